"""Who calls: a client with the private token of one request, or a tuner with name and password or a session."""

from typing import Any

from django.contrib.auth.models import AnonymousUser
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication, BasicAuthentication, SessionAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from config.throttling import SharedThrottle
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


class FailedLogins(SharedThrottle):
    """Counts wrong passwords by address; while there are too many, none is looked at."""

    scope = "login"

    def history_of(self, request: Request) -> list[float]:
        self.key = self.get_cache_key(request, None)
        self.now = self.timer()
        history = self.cache.get(self.key, [])
        return [at for at in history if at > self.now - self.duration]

    def refuse_when_full(self, request: Request) -> None:
        self.history = self.history_of(request)
        if len(self.history) >= self.num_requests:
            raise exceptions.Throttled(self.wait())

    def count(self, request: Request) -> None:
        self.cache.set(self.key, [self.now, *self.history_of(request)], self.duration)


class PasswordAuthentication(BasicAuthentication):
    """HTTP Basic, for a tuner's own scripts: no second long-lived secret that would have to be stored and revoked."""

    www_authenticate_realm = "desk"

    def authenticate(self, request: Request) -> Any:
        if not request.META.get("HTTP_AUTHORIZATION", "").lower().startswith("basic"):
            return None
        failed = FailedLogins()
        failed.refuse_when_full(request)
        try:
            return super().authenticate(request)
        except exceptions.AuthenticationFailed:
            failed.count(request)
            raise

    def authenticate_credentials(self, userid: str, password: str, request: Any = None) -> Any:
        if "\x00" in userid:  # PostgreSQL cannot look such a name up
            raise exceptions.AuthenticationFailed
        return super().authenticate_credentials(userid, password, request)


#: Basic comes first, so that a call without credentials is told so (401) rather than turned away (403).
TUNER = (PasswordAuthentication, SessionAuthentication)
