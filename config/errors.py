"""Error answers: pages for people, JSON under ``/api/``."""

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def _api(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "403_csrf.html", {"language_next": "/"}, status=403)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer a suspicious call. Django counts a body beyond the limit among them; its status is 413."""
    too_large = isinstance(exception, RequestDataTooBig)
    told = _("That is more than is read here at once.") if too_large else _("That cannot be understood.")
    status = 413 if too_large else 400
    if _api(request):
        reason = "too_large" if too_large else "bad_request"
        return JsonResponse(
            {"faults": [{"path": "", "value": None, "reason": reason, "message": told}]}, status=status
        )
    return HttpResponse(told, content_type="text/plain; charset=utf-8", status=status)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    if _api(request):
        return JsonResponse(
            {"faults": [{"path": "", "value": None, "reason": "not_found", "message": _("There is nothing here.")}]},
            status=404,
        )
    # Every shut door shows the same page, so it does not even tell the address; a choice of language leads home.
    return render(request, "404.html", {"language_next": "/"}, status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    if _api(request):
        told = _("Something went wrong here. It has been noted.")
        return JsonResponse({"faults": [{"path": "", "value": None, "reason": "error", "message": told}]}, status=500)
    return render(request, "500.html", status=500)
