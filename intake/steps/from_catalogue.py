"""What the catalogue knows of the client's bike, laid into fields that were left empty: seen, and corrected, before
anything of it is on record.

``Bike.from_catalogue`` is what the catalogue said when the bike was chosen: a client who comes back finds the same text,
whatever the shop has written into the catalogue since.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from django.utils.translation import gettext as _

from intake.catalogue.keys import ADJUSTERS, VALUES, Known
from intake.choices import ShortStep, Step
from intake.models import Bike, StepDraft
from intake.presentation import plain
from intake.steps.base import At
from intake.steps.fields import UNIT_SUFFIX, Choice, Field, Measure, Number, Text, Tick
from intake.steps.form import DrawnField, DrawnGroup
from tuning.engine.units import from_canonical, to_canonical

METHOD = "catalogue"
#: The pages that name the bike.
NAMING = frozenset({Step.BIKE.value, ShortStep.BASICS.value})
#: Digits behind the point that keep a figure as exact as a maker prints it, by unit.
DIGITS = {
    "mm": 1, "in": 3, "kg": 1, "lb": 1, "N/mm": 2, "kgf/mm": 3, "lbf/in": 1, "kPa": 0, "bar": 2, "psi": 1, "deg": 2,
    "1": 3,
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class BikeName(Text):
    """Make and model, with what the catalogue offers beside it."""

    kind: ClassVar[str] = "bike_name"


def shown(known: Known, value: float, unit: str) -> str:
    """Return a canonical figure as a client would type it in ``unit``: rounded, but never past what is possible."""
    digits = DIGITS.get(unit, 3)
    exact, place = from_canonical(value, unit), 10.0**-digits
    near = (round(exact, digits), math.floor(exact / place) * place, math.ceil(exact / place) * place)
    fits = (one for one in near if known.of.low <= to_canonical(round(one, digits), unit) <= known.of.high)
    return plain(next(fits, exact), digits)


def _same(text: str, other: str) -> bool:
    """Say whether two texts are the same number or words, whichever decimal sign they were written with."""
    return text.strip().replace(",", ".") == other.strip().replace(",", ".")


def known_text(bike: Bike, spec: Field, unit: str) -> str:
    """Return what the catalogue said of a field, as text in ``unit``; "" where it said nothing."""
    facts = bike.from_catalogue
    if not facts:
        return ""
    if isinstance(spec, BikeName):
        return str(facts["name"])
    if isinstance(spec, Choice) and spec.name in {"front", "rear"}:
        return str(facts[spec.name])
    if spec.name == "year":
        return str(facts["year"] or "")
    if isinstance(spec, Measure):
        row = facts["values"].get(spec.name) if spec.name in VALUES else None
        return shown(VALUES[spec.name], row["value"], unit) if row else ""
    return _of_adjuster(facts["adjusters"], spec, unit)


def _of_adjuster(adjusters: Mapping[str, Mapping[str, Any]], spec: Field, unit: str) -> str:
    if isinstance(spec, Tick):
        _turns, _dot, rest = spec.name.partition(".")
        place, _dot, key = rest.partition(".")
        return "on" if key in ADJUSTERS and (adjusters.get(key) or {}).get("place") == place else ""
    base, _dot, what = spec.name.rpartition(".")
    if what == "range":
        counted = (adjusters.get(base) or {}).get("range")
        return plain(counted) if counted is not None else ""
    if what not in {"counted_in", "step"}:
        return ""
    # One unit and one step serve both legs of a pair.
    legs = [row for key, row in adjusters.items() if key == base or key.startswith(f"{base}.")]
    if not legs:
        return ""
    if what == "counted_in":
        return str(legs[0]["unit"])
    step = legs[0].get("step_mm")
    return plain(from_canonical(step, unit), 3) if step is not None else ""


def laid_into(
    at: At, specs: Sequence[Field], values: Mapping[str, str], since: Mapping[str, str], anew: bool
) -> dict[str, str]:
    """Return the text that the catalogue adds to a page: where nothing was typed, and nothing was emptied since.

    since: what was saved after the bike was chosen, and stands whatever it is. anew: nothing was saved of this page
    since, so that the words typed to find the bike give way to its name, and a unit without a number to its own.
    """
    bike = at.request.bike
    if not bike.from_catalogue:
        return {}
    declined = set(bike.from_catalogue.get("declined", ()))
    added: dict[str, str] = {}
    for spec in specs:
        if spec.name in since or spec.name in declined:
            continue
        unit = (spec.fixed_unit or at.client.unit_of(spec.dimension)) if isinstance(spec, Number) else ""
        text = known_text(bike, spec, unit)
        if not text or (values.get(spec.name, "").strip() and not (anew and _gives_way(spec, values))):
            continue
        added[spec.name] = text
        if unit:
            added[spec.name + UNIT_SUFFIX] = unit
    return added


def _gives_way(spec: Field, values: Mapping[str, str]) -> bool:
    """Say whether what stands in a field was not meant as an answer: search words, or what it started with."""
    if isinstance(spec, BikeName):
        return True
    if isinstance(spec, Choice) and spec.name in {"front", "rear"}:
        return values[spec.name] == str(getattr(Bike(), spec.name))
    base, _dot, what = spec.name.rpartition(".")
    counts = [text for name, text in values.items() if name.startswith(f"{base}.") and name.endswith(".found")]
    return what == "counted_in" and not any(text.strip() for text in counts)


def method_of(at: At, spec: Measure, text: str, unit: str) -> tuple[str, float]:
    """Return how a number came to be known, and the half-width that goes with it at least: from the catalogue while it
    stands as the catalogue has it, else as the field asks for it."""
    row = at.request.bike.from_catalogue.get("values", {}).get(spec.name)
    if row and _same(text, shown(VALUES[spec.name], row["value"], unit)):
        return METHOD, float(row.get("half_width") or 0.0)
    return spec.method, 0.0


def decline(at: At, names: Sequence[str]) -> None:
    """Remember that figures of the catalogue were emptied: no later page fills them in again."""
    facts = at.request.bike.from_catalogue
    fresh = [name for name in names if name in facts.get("values", {}) and name not in facts.get("declined", ())]
    if fresh:
        facts["declined"] = [*facts.get("declined", ()), *fresh]
        at.request.bike.save(update_fields=["from_catalogue"])


def untouched(bike: Bike, specs: Sequence[Field], fields: Mapping[str, str]) -> list[str]:
    """Return the names of fields whose text is what the catalogue said, to the letter."""
    found = []
    for spec in specs:
        text, unit = fields.get(spec.name, ""), fields.get(spec.name + UNIT_SUFFIX, "")
        if text.strip() and _same(text, _known_in(bike, spec, unit)):
            found.append(spec.name)
    return found


def _known_in(bike: Bike, spec: Field, unit: str) -> str:
    if isinstance(spec, Number):
        unit = unit or spec.fixed_unit
        if not unit:
            return ""
    return known_text(bike, spec, unit)


def marked(at: At, groups: Sequence[DrawnGroup]) -> list[DrawnGroup]:
    """Return the groups with a word at each field that stands as the catalogue has it."""
    if not at.request.bike.from_catalogue:
        return list(groups)
    note = _("From the catalogue: correct it where yours differs.")
    return [replace(group, fields=[_marked(at.request.bike, one, note) for one in group.fields]) for group in groups]


def _marked(bike: Bike, drawn: DrawnField, note: str) -> DrawnField:
    if isinstance(drawn.spec, Tick) or drawn.spec.name.endswith(".counted_in") or not drawn.value.strip():
        return drawn
    return replace(drawn, note=note) if _same(drawn.value, _known_in(bike, drawn.spec, drawn.unit)) else drawn


def chosen_before(bike: Bike, draft: StepDraft | None) -> bool:
    """Say whether a text was saved after the bike was chosen, and so with the catalogue's figures in sight."""
    return draft is not None and bike.catalogue_at is not None and draft.saved_at > bike.catalogue_at
