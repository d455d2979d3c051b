"""Who calls: a client with the private token of one request, or a tuner with name and password or a session."""

import time
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.core.cache import cache
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication, BasicAuthentication, SessionAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from config.throttling import address, rate
from intake import links
from intake.choices import Purpose
from intake.models import SetupRequest


class LinkAuthentication(BaseAuthentication):
    """``Authorization: Link <reference>:<token>`` with the token of the full private link.

    A wrong token, a revoked one, a report-only one and an unknown reference are answered alike: 404.
    """

    keyword = "Link"

    def authenticate(self, request: Request) -> tuple[AnonymousUser, SetupRequest] | None:
        scheme, _, rest = request.META.get("HTTP_AUTHORIZATION", "").partition(" ")
        if scheme.lower() != self.keyword.lower():
            return None
        reference, _, token = rest.strip().partition(":")
        found = links.verify(reference, token, Purpose.FULL)
        if found is None:
            raise exceptions.NotFound
        return AnonymousUser(), found

    def authenticate_header(self, request: Request) -> str:
        return 'Link realm="setup request"'


class HoldsLink(BasePermission):
    """The caller holds the link of the very request that the address names."""

    def has_permission(self, request: Request, view: Any) -> bool:
        if not isinstance(request.auth, SetupRequest):
            return False
        if request.auth.reference != view.kwargs["reference"]:
            raise exceptions.NotFound
        return True


class FailedLogins:
    """Wrong passwords from one address; while there are more than the rate ``login`` allows, none is looked at."""

    def __init__(self, request: Request) -> None:
        self.limit, self.seconds = rate("login")
        self.now = int(time.time())
        self.key = f"login-failed:{self.now // self.seconds}:{address(request)}".replace(" ", "_")[:230]

    def refuse_when_full(self) -> None:
        """Raise Throttled (429) when the window is used up."""
        if int(cache.get(self.key, 0)) >= self.limit:
            raise exceptions.Throttled(self.seconds - self.now % self.seconds)

    def count(self) -> None:
        if not cache.add(self.key, 1, timeout=self.seconds + 5):
            cache.incr(self.key)


class PasswordAuthentication(BasicAuthentication):
    """HTTP Basic, for a tuner's own scripts: no second long-lived secret that would have to be stored and revoked."""

    www_authenticate_realm = "desk"

    def authenticate(self, request: Request) -> Any:
        if not request.META.get("HTTP_AUTHORIZATION", "").lower().startswith("basic"):
            return None
        failed = FailedLogins(request)
        failed.refuse_when_full()
        try:
            return super().authenticate(request)
        except exceptions.AuthenticationFailed:
            failed.count()
            raise

    def authenticate_credentials(self, userid: str, password: str, request: Any = None) -> Any:
        if "\x00" in userid:  # PostgreSQL cannot look such a name up
            raise exceptions.AuthenticationFailed
        return super().authenticate_credentials(userid, password, request)


#: Basic comes first, so that a call without credentials is told so (401) rather than turned away (403).
TUNER = (PasswordAuthentication, SessionAuthentication)
