"""Who may see a request: the first visit swaps the link's token for a cookie that only this request's pages get."""

import functools
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from intake import links
from intake.choices import Purpose
from intake.models import SetupRequest

COOKIE = "far-access"
_YEAR = 365 * 24 * 3600

View = Callable[..., HttpResponseBase]


def grant(response: HttpResponseBase, setup_request: SetupRequest, purpose: str) -> None:
    """Put the access cookie on a response. It holds the link's token, so revoking the link ends it too."""
    response.set_cookie(
        f"{COOKIE}-{purpose}",
        links.token(setup_request, purpose),
        max_age=_YEAR,
        path=f"/requests/{setup_request.reference}/",
        secure=settings.HTTPS,
        httponly=True,
        samesite="Lax",
    )


def forget(response: HttpResponse, setup_request: SetupRequest) -> None:
    """Take the access cookies off this browser."""
    for purpose in Purpose.values:
        response.delete_cookie(f"{COOKIE}-{purpose}", path=f"/requests/{setup_request.reference}/", samesite="Lax")


def granted(request: HttpRequest, reference: str) -> tuple[SetupRequest, str] | None:
    """Return the request this browser may see, and for which purpose; None for none.

    A cookie for each purpose: who scans the code on the sheet keeps the whole request on the same phone.
    """
    for purpose in (Purpose.FULL, Purpose.REPORT):
        given = request.COOKIES.get(f"{COOKIE}-{purpose}")
        found = links.verify(reference, given, purpose) if given else None
        if found:
            return found, purpose
    return None


def with_request(*, purposes: tuple[str, ...]) -> Callable[[View], View]:
    """Give a view its setup request in place of the ``reference`` of the address.

    Raises Http404 for a request that does not exist and for one that this browser may not see, alike. The purpose
    the browser came with stands on ``request.access_purpose``.
    """

    def decorate(view: View) -> View:
        @functools.wraps(view)
        def guarded(request: HttpRequest, reference: str, *args: Any, **kwargs: Any) -> HttpResponseBase:
            found = granted(request, reference)
            if found is None or found[1] not in purposes:
                raise Http404
            request.access_purpose = found[1]  # type: ignore[attr-defined]
            return view(request, found[0], *args, **kwargs)

        guarded.access_purposes = purposes  # type: ignore[attr-defined]
        return guarded

    return decorate
