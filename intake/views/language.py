"""The language of the pages: chosen at the foot of any page, kept in a cookie, and with the client on their own."""

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from config.throttling import throttled
from intake import access
from intake.access import with_request
from intake.choices import Purpose
from intake.models import SetupRequest
from intake.services import requests


@csrf_exempt
@require_POST
@throttled("form")
def choose(request: HttpRequest) -> HttpResponse:
    """Keep the language chosen in this browser, and lead back to the page.

    The guides are kept by caches for everybody, so no page of theirs can hold a token against forgery. What could be
    forged is a language, in the reader's browser and nowhere else.
    """
    if request.headers.get("Sec-Fetch-Site") == "cross-site":
        raise PermissionDenied
    return speak(request, None, request.POST.get("language", ""), _back(request))


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def choose_own(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Likewise from a page of a client's own request: their mails and sheets follow.

    A report link may be in other hands than the client's, and a tuner may have a look with the client's link: they
    choose for themselves only.
    """
    return speak(request, setup_request, request.POST.get("language", ""), _back(request))


def _back(request: HttpRequest) -> HttpResponse:
    back = request.POST.get("next", "")
    ours = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(back if ours else resolve_url("intake:home"))


def is_spoken(code: str) -> bool:
    return code in dict(settings.LANGUAGES)


def speak(request: HttpRequest, own: SetupRequest | None, code: str, response: HttpResponse) -> HttpResponse:
    """Put the language ``code`` on a response, and keep it with the client whose ``own`` page it was chosen on.

    What is no language of ours changes nothing.
    """
    if is_spoken(code):
        access.keep_language(response, code, for_good=True)
        full = getattr(request, "access_purpose", "") == Purpose.FULL
        if own is not None and full and not request.user.is_authenticated:
            requests.describe_client(own, language=code)
    return response
