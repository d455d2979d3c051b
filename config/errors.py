"""Error answers of pages and API."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from rest_framework.response import Response
from rest_framework.views import exception_handler


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "403_csrf.html", status=403)


def api_exception_handler(exc: Exception, context: dict[str, Any]) -> Response | None:
    return exception_handler(exc, context)
