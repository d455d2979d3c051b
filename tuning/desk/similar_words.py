"""Settled cases like this one, in words and numbers: why each is similar, where it started and where it ended."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from intake import words
from intake.choices import Discipline, FrontArchitecture, RearArchitecture
from intake.models import Round
from intake.presentation import UnitPrefs, number, show
from tuning.desk import sentences, similar
from tuning.desk import words as desk_words
from tuning.engine.values import VALUES
from tuning.judgement.model import Dossier

PART_NAMES: Mapping[str, Any] = {
    "model": _("model"),
    "discipline": _("discipline"),
    "architecture": _("kind of suspension"),
    "bike_mass": _("mass of the bike"),
    "stroke.front": _("front travel"),
    "stroke.rear": _("rear travel"),
    "wheelbase": _("wheelbase"),
    "rake": _("rake"),
    "rider_mass": _("rider's mass"),
    "load": _("load"),
    "symptoms": _("complaints"),
}
_DIMENSIONS = {"bike_mass": "mass", "rider_mass": "mass", "rake": "angle"}


@dataclass(frozen=True, slots=True)
class ShownCase:
    """One similar case. why: what is alike; parts: (what, how much it adds to the distance) of all that is not;
    values: (what, at the start, at the end)."""

    title: str
    distance: str
    weight: str
    why: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]
    rider: str
    complaints: tuple[str, ...]
    values: tuple[tuple[str, str, str], ...]
    rounds: int
    outcome: str


@dataclass(frozen=True, slots=True)
class Near:
    """The settled cases near to one, and what they agree on: (what they did, its weight in the ranking of causes; ""
    where they are too few or too far to count)."""

    cases: tuple[ShownCase, ...] = ()
    trends: tuple[tuple[str, str], ...] = ()
    farthest: str = number(similar.FARTHEST, 1)


def near_to(round: Round, dossier: Dossier, found: tuple[similar.Similar, ...], prefs: UnitPrefs) -> Near:
    """Return the settled cases found for a round's case, in words."""
    profile = similar.profile_for(round, dossier)
    weight = number(similar.EVIDENCE, 1)
    return Near(
        tuple(_shown(one, profile, prefs) for one in found),
        tuple((_trend(one), weight if one.speaks else "") for one in similar.trends(found)),
    )


def _shown(one: similar.Similar, profile: similar.Profile, prefs: UnitPrefs) -> ShownCase:
    row = one.row
    told = {
        "discipline": Discipline(row.discipline).label,
        "front": FrontArchitecture(row.front).label,
        "rear": RearArchitecture(row.rear).label,
    }
    return ShownCase(
        title=now("%(discipline)s · front: %(front)s · rear: %(rear)s") % told,
        distance=number(one.distance, 2),
        weight=number(one.weight, 2),
        why=tuple(_why(one, profile, prefs)),
        parts=tuple(_parts(one)),
        rider=show(row.figures["rider_mass"], "mass", prefs) if "rider_mass" in row.figures else "",
        complaints=tuple(_complaint(name) for name in row.symptoms),
        values=tuple(_values(row.start, row.end, prefs)),
        rounds=row.rounds,
        outcome=str(words.answer_name(row.outcome)) if row.outcome else "",
    )


def _why(one: similar.Similar, profile: similar.Profile, prefs: UnitPrefs) -> Iterable[str]:
    """Yield what the two have in common, the nearest numbers with both their values."""
    if profile.model_key and profile.model_key == one.row.model_key:
        yield now("the same model")
    if one.row.discipline == profile.discipline:
        yield now("the same discipline")
    if not one.parts["architecture"]:
        yield now("the same kind of suspension")
    for name, part in similar.PARTS.items():
        if part.unit and name not in one.unknown and one.parts[name] <= part.weight / 2:
            dimension = _DIMENSIONS.get(name, "length")
            yield now("%(what)s %(there)s (here %(here)s)") % {
                "what": PART_NAMES[name],
                "there": show(one.row.figures[name], dimension, prefs),
                "here": show(profile.figures[name], dimension, prefs),
            }
    common = [_complaint(name) for name in one.row.symptoms if name in profile.symptoms]
    if common:
        yield now("complaints in common: %s") % ", ".join(common)


def _parts(one: similar.Similar) -> Iterable[tuple[str, str]]:
    for name, by in sorted(one.parts.items(), key=lambda part: -part[1]):
        if by >= 0.005:
            what = str(PART_NAMES[name])
            yield (now("%s, not known") % what if name in one.unknown else what), number(by, 2)


def _complaint(name: str) -> str:
    symptom, _dot, end = name.partition(".")
    told = str(words.symptom_name(symptom))
    return now("%(symptom)s (%(end)s)") % {"symptom": told, "end": words.ENDS[end]} if end else told


def _values(start: Mapping[str, float], end: Mapping[str, float], prefs: UnitPrefs) -> Iterable[tuple[str, str, str]]:
    order = {name: place for place, name in enumerate(similar.VALUES)}
    for key in sorted({*start, *end}, key=lambda one: (order.get(one.partition(".")[0], 99), one)):
        unit = VALUES[key.partition(".")[0]].unit
        before, after = (
            desk_words.value_text(told[key], None, unit, prefs) if key in told else "–" for told in (start, end)
        )
        yield desk_words.derived_name(key), before, after


def _trend(one: similar.Trend) -> str:
    return ngettext(
        "%(adjuster)s: %(move)s in %(count)s of %(of)s case that tells",
        "%(adjuster)s: %(move)s in %(count)s of %(of)s cases that tell",
        one.of,
    ) % {
        "adjuster": desk_words.change_name(one.kind, one.end),
        "move": sentences.MOVES[one.move],
        "count": one.count,
        "of": one.of,
    }
