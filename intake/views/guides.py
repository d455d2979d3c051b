"""The measuring guides and the sheet to fill in by pencil: open to everybody, the same for everybody."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from intake.choices import Step
from intake.guides import BY_ID, GUIDES
from intake.guides.sheet import PARTS

#: How long a browser or a proxy may keep a guide, in seconds.
KEPT = 3600


def _shown(request: HttpRequest, template: str, context: dict[str, object]) -> HttpResponse:
    """Return a page that may be kept: nothing on it is of the person who asks."""
    response = render(request, template, {"messages": (), **context})
    patch_cache_control(response, public=True, max_age=KEPT)
    return response


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    steps = [(step, [guide for guide in GUIDES if guide.step == step]) for step in Step]
    return _shown(request, "intake/guides/index.html", {"steps": [row for row in steps if row[1]]})


@require_safe
def guide(request: HttpRequest, name: str) -> HttpResponse:
    """Show one guide, with the way to the ones before and after it."""
    found = BY_ID.get(name)
    if found is None:
        raise Http404
    place = GUIDES.index(found)
    around = {
        "before": GUIDES[place - 1] if place else None,
        "after": GUIDES[place + 1] if place + 1 < len(GUIDES) else None,
    }
    return _shown(request, "intake/guides/guide.html", {"guide": found, **around})


@require_safe
def sheet(request: HttpRequest) -> HttpResponse:
    return _shown(request, "intake/guides/sheet.html", {"parts": PARTS, "linked": True})
