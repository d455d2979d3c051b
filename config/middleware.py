"""Headers for pages that hold somebody's private data, and the language of an answer."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.cache import patch_vary_headers


class LanguageMiddleware(LocaleMiddleware):
    """The language by cookie, else by what the browser asks for; see ``intake.access`` for a client's own pages.

    Both say which answer is right, so a cache has to look at both: guides may be kept by everybody.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        patch_vary_headers(response, ("Cookie",))
        return super().process_response(request, response)


class PrivacyHeadersMiddleware:
    """Keep pages out of shared caches and search engines, and switch off device features nothing here uses."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "private, no-store"
        response.setdefault("X-Robots-Tag", "noindex, nofollow")
        response.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
        return response
