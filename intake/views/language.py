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
    return _chosen(request)


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def choose_own(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Likewise from a page of a client's own request: their mails and sheets follow.

    A report link may be in other hands than the client's, and a tuner may have a look with the client's link: they
    choose for themselves only.
    """
    code = request.POST.get("language", "")
    own = getattr(request, "access_purpose", "") == Purpose.FULL and not request.user.is_authenticated
    if own and code in dict(settings.LANGUAGES):
        requests.describe_client(setup_request, language=code)
    return _chosen(request)


def _chosen(request: HttpRequest) -> HttpResponse:
    back = request.POST.get("next", "")
    ours = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    response = redirect(back if ours else resolve_url("intake:home"))
    code = request.POST.get("language", "")
    if code in dict(settings.LANGUAGES):
        access.keep_language(response, code, for_good=True)
    return response
