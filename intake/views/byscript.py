"""Answers for the form's script: where a browser is led on by a redirect, the script is told where to go."""

import functools
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, JsonResponse
from django.http.response import HttpResponseBase

View = Callable[..., HttpResponseBase]

HEADER = "X-Sent-By"


def by_script(request: HttpRequest) -> bool:
    """Say whether the form's script sent this, not the browser by itself."""
    return request.headers.get(HEADER, "") == "script"


def told_where(view: View) -> View:
    """Answer a script's POST with ``{"to": address, "version": n}`` where a browser would be redirected.

    A script that followed the redirect would use up the messages meant for the page it then opens. ``version`` is
    what the step was saved as (``request.saved_version``), null when nothing was saved. Pages stay pages.
    """

    @functools.wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        answer = view(request, *args, **kwargs)
        if request.method != "POST" or not by_script(request) or answer.status_code not in (302, 303):
            return answer
        told = JsonResponse({"to": answer["Location"], "version": getattr(request, "saved_version", None)})
        told.cookies = answer.cookies
        return told

    return answered
