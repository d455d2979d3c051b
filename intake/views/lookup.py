"""The catalogue on the page that names the bike: its buttons, and what it shows."""

from collections.abc import Callable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from intake.catalogue import lookup
from intake.models import CatalogueBike, StepDraft
from intake.steps import PAGES, SHORT_WAY, At
from intake.steps.base import StepPage
from intake.steps.choosing import choose, take_back
from intake.steps.from_catalogue import NAMING, chosen_before

Leave = Callable[[HttpRequest, At], HttpResponse]


def offers(at: At, page: StepPage) -> bool:
    """Say whether a page offers the catalogue: the one that names the bike, until the first round is sent."""
    return page.id in NAMING and not at.later


def leaving(post: Mapping[str, str], at: At, page: StepPage) -> Leave | None:
    """Return what a button of the catalogue does once the page is saved as typed, or None for any other button."""
    if not offers(at, page):
        return None
    if "look_up" in post:
        return lambda _request, at: redirect(_address(at, page) + "?look=1#catalogue")
    if "choose" in post:
        return lambda _request, at: _choose(at, page, post["choose"])
    return (lambda _request, at: _take_back(at, page)) if "not_mine" in post else None


def _choose(at: At, page: StepPage, number: str) -> HttpResponse:
    chosen = CatalogueBike.objects.filter(pk=int(number)).first() if _is_key(number) else None
    if chosen is None:  # taken out of the catalogue meanwhile, or made up
        return redirect(_address(at, page) + "?look=1#catalogue")
    choose(at, chosen, _pages())
    return redirect(_address(at, page) + "#catalogue")


def _take_back(at: At, page: StepPage) -> HttpResponse:
    if at.request.bike.from_catalogue:
        take_back(at, _pages())
    return redirect(_address(at, page) + "#catalogue")


def _pages() -> list[StepPage]:
    return list({**PAGES, **SHORT_WAY}.values())


def _address(at: At, page: StepPage) -> str:
    return reverse("intake:step", args=[at.request.reference, at.round.number, page.id])


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10


def under_way(request: HttpRequest, at: At, page: StepPage, standing: StepDraft | None) -> bool:
    """Say whether a page is drawn in the midst of a look-up, when its other fields are not due yet.

    That is while matches are shown, and once a bike was chosen until the page is saved again.
    """
    if not offers(at, page):
        return False
    bike = at.request.bike
    return "look" in request.GET or bool(bike.from_catalogue and not chosen_before(bike, standing))


def panel(request: HttpRequest, at: At, page: StepPage, values: Mapping[str, str]) -> dict[str, Any]:
    """Return what the page shows of the catalogue: the bike chosen, the matches looked up, or the means to look."""
    if not offers(at, page):
        return {}
    bike = at.request.bike
    names = lookup.suggestions()
    shown: dict[str, Any] = {
        "any": bool(names),
        "names": names if len(names) <= lookup.MOST_SUGGESTED else [],
        "chosen": bike.from_catalogue,
    }
    if "look" in request.GET and names:
        typed = values.get("name", "").strip()
        shown |= {"looked": True, "typed": typed, "matches": lookup.matches(typed)}
    return shown
