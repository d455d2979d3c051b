"""Who may see a request: the first visit swaps the link's token for a cookie that only this request's pages get.

Its pages speak the client's language, unless whoever reads them has chosen one in this browser.
"""

import functools
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils import translation

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


def lead_in(request: HttpRequest, response: HttpResponseBase, setup_request: SetupRequest) -> None:
    """Let the guides speak the client's language as well, where a link is opened in a browser without a choice."""
    if not chosen_language(request) and not request.user.is_authenticated:
        keep_language(response, our_language(setup_request.client.language), for_good=False)


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


def keep_language(response: HttpResponseBase, code: str, *, for_good: bool) -> None:
    """Put the language of the pages on a response, until the browser is closed or for good."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        code,
        max_age=settings.LANGUAGE_COOKIE_AGE if for_good else None,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite="Lax",
    )


def chosen_language(request: HttpRequest) -> str:
    """Return the language chosen in this browser, or "" for none that we speak."""
    code = request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME, "")
    return code if code in dict(settings.LANGUAGES) else ""


def our_language(code: str) -> str:
    """Return the language we speak to somebody who asked for ``code``, such as "de" for "de-AT"."""
    try:
        return translation.get_supported_language_variant(code)
    except LookupError:
        return settings.LANGUAGE_CODE


def speak(request: HttpRequest, code: str) -> None:
    """Answer in a client's language; a language chosen in this browser goes first."""
    if not chosen_language(request):
        translation.activate(our_language(code))
        request.LANGUAGE_CODE = translation.get_language()


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
            request.own_request = found[0]  # type: ignore[attr-defined]
            speak(request, found[0].client.language)
            return view(request, found[0], *args, **kwargs)

        guarded.access_purposes = purposes  # type: ignore[attr-defined]
        return guarded

    return decorate
