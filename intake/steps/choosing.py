"""Choosing a bike of the catalogue, and taking it back: what that does to records and to what was typed."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from intake.catalogue.keys import ADJUSTERS
from intake.models import Adjuster, Bike, CatalogueBike, Reading, StepDraft
from intake.services import readings, requests, steps
from intake.steps.base import At, StepPage
from intake.steps.from_catalogue import METHOD, NAMING, chosen_before, untouched

_NAMED = ("name", "front", "rear")


def facts_of(chosen: CatalogueBike) -> dict[str, Any]:
    """Return what the catalogue says of a bike now, as ``Bike.from_catalogue`` keeps it."""
    one_year = chosen.year_from if chosen.year_from == chosen.year_to else None
    return {
        "name": chosen.name,
        "years": chosen.years,
        "year": one_year,
        "front": chosen.front,
        "rear": chosen.rear,
        "note": chosen.note,
        "values": dict(chosen.values),
        "adjusters": dict(chosen.adjusters),
    }


@transaction.atomic
def choose(at: At, chosen: CatalogueBike, pages: Iterable[StepPage]) -> None:
    """Take a bike of the catalogue for the client's: its adjusters are known from now on, its figures are offered."""
    if at.request.bike.from_catalogue:
        take_back(at, pages)
    requests.describe_bike(at.request, catalogue=chosen, catalogue_at=timezone.now(), from_catalogue=facts_of(chosen))
    bike = at.request.bike
    has = set(bike.adjusters.values_list("key", flat=True))
    for key, row in chosen.adjusters.items():
        if key in ADJUSTERS and key not in has:
            readings.put_adjuster(bike, key, **_put(row))
    # What is offered is not on record yet: the step that names the bike asks to be looked over.
    for kept in steps.kept(at.round, NAMING).values():
        if kept.standing:
            steps.mark_complete(kept.standing, complete=False)


def _put(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "unit": row["unit"],
        "counted_from": row.get("counted_from") or "closed",
        "range_counted": row.get("range"),
        "step_mm": row.get("step_mm"),
        "place": row.get("place") or "",
    }


@transaction.atomic
def take_back(at: At, pages: Iterable[StepPage]) -> None:
    """Say that it is not this bike. What came from the catalogue and was left as it was goes, on record and in the
    text of every step; what the client typed or corrected stays. Rounds sent before stay as they were sent."""
    bike = at.request.bike
    kept = steps.kept(at.round)
    for page in pages:
        standing = kept[page.id].standing if page.id in kept else None
        if chosen_before(bike, standing):
            _empty(at, page, standing)
    for row in Reading.objects.filter(round=at.round, is_current=True, method=METHOD):
        readings.withdraw_reading(
            at.round,
            quantity=row.quantity,
            end=row.end,
            leg=row.leg,
            load_state=row.load_state,
            approach=row.approach,
            repeat=row.repeat,
        )
    _forget_adjusters(bike)
    requests.describe_bike(at.request, **_before(at), catalogue=None, catalogue_at=None, from_catalogue={})


def _empty(at: At, page: StepPage, standing: StepDraft | None) -> None:
    """Save a step's text anew without what stands as the catalogue has it."""
    if standing is None:
        return
    gone = set(untouched(at.request.bike, page.specs(at), standing.fields))
    if not gone:
        return
    typed = _typed_before(at)
    left = {
        name: typed.get(name, "") if name in gone and page.id in NAMING else "" if name in gone else text
        for name, text in standing.fields.items()
    }
    fresh = steps.save_raw(at.round, page.id, left, standing.version)
    StepDraft.objects.filter(pk=fresh.pk).update(complete=standing.complete and page.id not in NAMING)


def _typed_before(at: At) -> dict[str, str]:
    """Return what the client had typed of name and build before the bike was chosen."""
    drafts = StepDraft.objects.filter(
        round=at.round, step__in=NAMING, aside=False, saved_at__lte=at.request.bike.catalogue_at
    )
    last = drafts.order_by("-pk").first()
    return {name: last.fields.get(name, "") for name in _NAMED} if last else {}


def _before(at: At) -> dict[str, Any]:
    """Return what the bike's row goes back to: where it says what the catalogue said, what was told before."""
    bike, typed = at.request.bike, _typed_before(at)
    facts = bike.from_catalogue
    back: dict[str, Any] = {}
    for name in _NAMED:
        if getattr(bike, name) == facts[name] and typed.get(name, "") != facts[name]:
            back[name] = typed.get(name) or getattr(Bike(), name)
    if facts["year"] and bike.year == facts["year"]:
        back["year"] = None
    return back


def _forget_adjusters(bike: Bike) -> None:
    """Delete the adjusters that only the catalogue told of: as it told them, and never set."""
    told = bike.from_catalogue["adjusters"]
    for adjuster in bike.adjusters.filter(key__in=told, settings=None):
        if _as_told(adjuster, _put(told[adjuster.key])):
            adjuster.delete()


def _as_told(adjuster: Adjuster, told: dict[str, Any]) -> bool:
    return all(getattr(adjuster, name) == value for name, value in told.items())
