"""What the form's script asks for: the checks' answer while somebody types, the worker that keeps pages for a garage
without a connection, and a device that is to forget a request. The form works without all of it."""

import json
from pathlib import Path

from django.contrib import messages
from django.contrib.staticfiles import finders
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.templatetags.static import static
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from config import statics
from config.throttling import throttled
from intake import access
from intake.access import with_request
from intake.choices import Purpose
from intake.models import Round, SetupRequest
from intake.steps import At, reachable
from intake.steps.form import posted
from intake.steps.look import look as look_at
from intake.views.form import is_open

#: What a step's page loads: kept on the phone with the pages. A test holds it against the pages.
ASSETS = (
    "intake/mark.svg",
    "intake/farpaddock.css",
    "intake/asked.css",
    *(
        f"intake/{name}.js"
        for name in "fields form live notices outbox phone queue send step store tabs tally".split()
    ),
    *(f"intake/fonts/{name}.woff2" for name in ("barlow-400", "barlow-600", "signs")),
)


@require_POST
@throttled("look")
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def look(request: HttpRequest, setup_request: SetupRequest, n: int, step: str) -> JsonResponse:
    """Say what saving these fields would be answered with, and write nothing.

    Answers ``{"errors": {name: text}, "asked": [{id, text, stops, fields: [name]}], "stopped": [text]}``: what
    is wrong with fields that hold something, the checks' questions with the fields they are about, and what the stop
    gate was answered with yes for. 409 when the round is closed.
    """
    round_ = get_object_or_404(Round, request=setup_request, number=n)
    round_.request = setup_request
    page = reachable(round_, step)
    if page is None or not (request.access_purpose == Purpose.FULL or n > 1):  # type: ignore[attr-defined]
        raise Http404
    if not is_open(setup_request, round_):
        return JsonResponse({"closed": True}, status=409)
    raw = posted(request.POST, request.POST)
    seen = look_at(At(setup_request, round_), page, raw)
    return JsonResponse(
        {
            # That something is still missing is said when the button is pressed, not before.
            "errors": {name: " ".join(texts) for name, texts in seen.errors.items() if raw.get(name, "").strip()},
            "asked": [
                {"id": asked.id, "text": asked.text, "stops": asked.stops, "fields": asked.fields}
                for asked in seen.asked
            ],
            "stopped": list(seen.stopped),
        }
    )


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Give the service worker, from the root, so that it may keep every step's page and the guides.

    What it keeps is told in its first line; any change of a static file changes that line, and with it the worker.
    """
    told = {"version": statics.version(), "assets": [static(name) for name in ASSETS]}
    path = finders.find("intake/worker.js")
    if path is None:
        raise Http404
    body = f"const KEPT = {json.dumps(told)};\n{Path(path).read_text(encoding='utf-8')}"
    return HttpResponse(body, content_type="text/javascript; charset=utf-8")


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def forget(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Take this browser's way in to a request away; the script takes away what it kept. The request stays."""
    messages.success(
        request,
        _("This device has forgotten %(reference)s. Your private link opens it again, here or anywhere.")
        % {"reference": setup_request.reference},
        extra_tags="done",
    )
    answer = redirect("intake:home")
    access.forget(answer, setup_request)
    return answer
