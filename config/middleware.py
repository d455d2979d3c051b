"""Headers for pages that hold somebody's private data."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


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
