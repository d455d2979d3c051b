"""Error answers: pages for people, JSON under ``/api/``."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def _api(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "403_csrf.html", status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    if _api(request):
        return JsonResponse(
            {"faults": [{"path": "", "value": None, "reason": "not_found", "message": _("There is nothing here.")}]},
            status=404,
        )
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    if _api(request):
        told = _("Something went wrong here. It has been noted.")
        return JsonResponse({"faults": [{"path": "", "value": None, "reason": "error", "message": told}]}, status=500)
    return render(request, "500.html", status=500)
