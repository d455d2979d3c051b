"""Settled cases like this one: how they are kept, found, and how far they are from it.

Of a settled request only a class of bike, numbers and complaints are kept (``SettledCase``): no name, mail, reference
or free text; the model's name as a digest, the rider's mass to the next 5 kg. At most 200 rows are looked at, found
by two indexes: the last settled of the same model, and of the same discipline, architecture and nearly the same
travel. Among these the distance decides:

    distance = Σ over the parts of min(difference / unit, 1) × weight

What is unknown on either side counts half of its weight, and nothing of a bike of the same model. Cases farther than
``FARTHEST`` are not shown. The weights are common practice, not fitted to cases.
"""

import hashlib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from intake.case import build_case
from intake.choices import RequestState
from intake.models import Round, SetupRequest
from tuning.desk import services
from tuning.desk.models import SettledCase
from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.errors import EngineInputError
from tuning.engine.serial import derivation_from_json
from tuning.judgement.causebook import WEIGHTS
from tuning.judgement.model import Agreed, Dossier
from tuning.judgement.signs import EITHER_END


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the distance: its weight, and the difference that counts in full (``unit``; ``relative``: as a
    share of the smaller). Without a unit the two are alike or not."""

    weight: float
    unit: float = 0.0
    relative: bool = False
    of_bike: bool = True


#: All that the distance is made of.
PARTS: Mapping[str, Part] = MappingProxyType(
    {
        "model": Part(0.5),
        "discipline": Part(1.0, of_bike=False),
        "architecture": Part(1.5),
        "bike_mass": Part(0.5, 0.25, relative=True),
        "stroke.front": Part(0.75, 0.30, relative=True),
        "stroke.rear": Part(0.75, 0.30, relative=True),
        "wheelbase": Part(0.25, 0.08, relative=True),
        "rake": Part(0.25, 3.0),
        "rider_mass": Part(1.0, 40.0, of_bike=False),
        "load": Part(0.75, of_bike=False),
        "symptoms": Part(2.0, of_bike=False),
    }
)
FARTHEST = 3.0
SHOWN = 5
BY_MODEL, BY_CLASS = 100, 50
BAND_MM = 20.0
MASS_STEP = 5.0
#: A setting has moved when it stands this share of its range elsewhere.
MOVED = 0.05
#: Similar cases speak as one weak sign where two at least, this share of their weight, and this much weight in all,
#: went one way (common practice).
ENOUGH_SHARE, ENOUGH_WEIGHT = 2 / 3, 0.5
EVIDENCE = WEIGHTS["weak"]
_FIGURES = (("bike_mass", ""), ("stroke", "front"), ("stroke", "rear"), ("wheelbase", ""), ("rake", ""))
VALUES = ("sag_bike_alone", "sag_rider_aboard", "reserve_normal", "clicker_position", "preload_position")
_NUMBERED = ("ok", "at_most", "at_least")
#: A request that goes on is not settled any more.
_GOING_ON = [state for state in RequestState.values if state not in (RequestState.SETTLED, RequestState.CLOSED)]
_CHUNK = 200


@dataclass(frozen=True, slots=True)
class Profile:
    """What is compared of a case. symptoms: the id each, with its end where it may be either."""

    model_key: str
    discipline: str
    front: str
    rear: str
    load: str
    figures: Mapping[str, float]
    symptoms: frozenset[str]

    @property
    def travel_band(self) -> int:
        stroke = self.figures.get("stroke.front")
        return int(stroke // BAND_MM) if stroke else 0


@dataclass(frozen=True, slots=True)
class Similar:
    """A settled case, how far it is, and what each part adds to that; None for a part that is unknown."""

    row: SettledCase
    distance: float
    parts: Mapping[str, float]
    unknown: frozenset[str]

    @property
    def weight(self) -> float:
        """How much it counts beside the others: 1 for the very same, 0 at the farthest."""
        return max(0.0, 1.0 - self.distance / FARTHEST)


@dataclass(frozen=True, slots=True)
class Trend:
    """Which way similar cases moved one kind of setting: how many of those that tell, and the share of their weight
    that went that way. speaks: enough of them, near enough, to be a weak sign in the ranking of causes."""

    kind: str
    end: str
    move: str
    count: int
    of: int
    share: float
    speaks: bool


def model_key(name: str) -> str:
    """Return the digest of a model's name, blind to case, accents, spaces and marks; "" for a name of nothing."""
    plain = unicodedata.normalize("NFKD", name).casefold()
    kept = "".join(letter for letter in plain if letter.isalnum())
    return hashlib.sha256(kept.encode()).hexdigest() if len(kept) > 2 else ""


def profile_of(name: str, case: Case, symptoms: Iterable[tuple[str, str]]) -> Profile:
    """Return what is compared of a case; ``name`` is the bike's model, symptoms are (id, end) as it began with."""
    at = {(one.quantity, one.end): one.value for one in reversed(case.readings)}
    figures = {f"{name}.{end}".rstrip("."): at[name, end] for name, end in _FIGURES if (name, end) in at}
    if ("rider_mass", "") in at:
        figures["rider_mass"] = round(at["rider_mass", ""] / MASS_STEP) * MASS_STEP
    return Profile(
        model_key(name),
        case.discipline,
        case.front_architecture,
        case.rear_architecture,
        case.load_state,
        figures,
        frozenset(f"{symptom}.{end}" if end and symptom in EITHER_END else symptom for symptom, end in symptoms),
    )


def profile_of_row(row: SettledCase) -> Profile:
    return Profile(
        row.model_key, row.discipline, row.front, row.rear, row.load_state, row.figures, frozenset(row.symptoms)
    )


def distance(one: Profile, other: Profile) -> tuple[dict[str, float], frozenset[str]]:
    """Return what each part adds to the distance of two cases, and the parts that are unknown."""
    same_model = bool(one.model_key) and one.model_key == other.model_key
    union = one.symptoms | other.symptoms
    apart: dict[str, float | None] = {
        "model": 0.0 if same_model else 1.0,
        "discipline": float(one.discipline != other.discipline),
        "architecture": ((one.front != other.front) + (one.rear != other.rear)) / 2,
        "load": float(one.load != other.load),
        "symptoms": 1 - len(one.symptoms & other.symptoms) / len(union) if union else 0.0,
    }
    for name, part in PARTS.items():
        if name not in apart:
            apart[name] = _apart(part, one.figures.get(name), other.figures.get(name))
    parts = {}
    for name, part in PARTS.items():
        by = apart[name]
        if by is None:
            parts[name] = 0.0 if same_model and part.of_bike else part.weight / 2
        else:
            parts[name] = min(by, 1.0) * part.weight
    return parts, frozenset(name for name, by in apart.items() if by is None)


def _apart(part: Part, one: float | None, other: float | None) -> float | None:
    if not one or not other:
        return None
    off = abs(one - other)
    return (off / min(one, other) if part.relative else off) / part.unit


def find(request: int, profile: Profile) -> tuple[Similar, ...]:
    """Return the settled cases nearest to a case, nearest first; never the request itself."""
    found = []
    for row in candidates(request, profile):
        parts, unknown = distance(profile, profile_of_row(row))
        far = sum(parts.values())
        if far <= FARTHEST:
            found.append(Similar(row, far, parts, unknown))
    found.sort(key=lambda one: (round(one.distance, 6), -one.row.settled_on.toordinal(), -one.row.pk))
    return tuple(found[:SHOWN])


def candidates(request: int, profile: Profile) -> list[SettledCase]:
    """Return at most 200 settled cases that may be near: of the same model, and of the same class."""
    rows: dict[int, SettledCase] = {}
    if profile.model_key:
        rows |= {row.pk: row for row in _settled(request, model_key=profile.model_key)[:BY_MODEL]}
    band = profile.travel_band
    stroke = profile.figures.get("stroke.front", 0.0)
    beside = band + (1 if stroke % BAND_MM >= BAND_MM / 2 else -1)
    same = {"discipline": profile.discipline, "front": profile.front, "rear": profile.rear}
    for one in (band, beside) if band else (0,):
        rows |= {row.pk: row for row in _settled(request, **same, travel_band=one)[:BY_CLASS]}
    return list(rows.values())


def _settled(request: int, **same: Any) -> QuerySet[SettledCase]:
    rows = SettledCase.objects.filter(**same).exclude(Q(request=request) | Q(request__state__in=_GOING_ON))
    return rows.order_by("-settled_on", "-id")


def moves_of(row: SettledCase) -> dict[tuple[str, str], str]:
    """Return which way each kind of setting went from the first round to the last, by (kind, end); "" where it
    stayed. Legs that went different ways tell nothing."""
    ways: dict[tuple[str, str], set[str]] = {}
    for key, before in row.start.items():
        name, _dot, adjuster = key.partition(".")
        if name in ("clicker_position", "preload_position") and key in row.end:
            end, kind = adjuster.split(".")[:2]
            by = row.end[key] - before
            inward = by < 0 if name == "clicker_position" else by > 0
            way = ("more", "less") if name == "preload_position" else ("firmer", "softer")
            moved = "" if abs(by) < MOVED else way[0] if inward else way[1]
            ways.setdefault((kind.partition("_")[0], end), set()).add(moved)
    return {about: way.pop() for about, way in ways.items() if len(way) == 1}


def trends(found: Iterable[Similar]) -> tuple[Trend, ...]:
    """Return where similar cases that ended well went the same way, two at least; nearer ones count for more."""
    told: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for one in found:
        if one.row.outcome not in ("worse", "mixed"):
            for about, move in moves_of(one.row).items():
                told.setdefault(about, []).append((move, one.weight))
    rows = []
    for (kind, end), said in sorted(told.items()):
        whole = sum(weight for _way, weight in said)
        for move in ("firmer", "softer", "more", "less"):
            weights = [weight for way, weight in said if way == move]
            if len(weights) >= 2 and sum(weights) > 0:
                share = sum(weights) / whole
                speaks = share >= ENOUGH_SHARE and sum(weights) >= ENOUGH_WEIGHT
                rows.append(Trend(kind, end, move, len(weights), len(said), share, speaks))
    return tuple(rows)


def with_evidence(dossier: Dossier, found: Iterable[Similar]) -> Dossier:
    """Return a case with what similar settled cases agree on, as the signs of the causes read it."""
    agreed = {f"{one.end}.{one.kind}": Agreed(one.move, one.count, one.of) for one in trends(found) if one.speaks}
    return replace(dossier, settled=agreed)


def found_for(round: Round, dossier: Dossier) -> tuple[Similar, ...]:
    """Return the settled cases nearest to a round's case."""
    return find(round.request_id, profile_for(round, dossier))


def profile_for(round: Round, dossier: Dossier) -> Profile:
    """Return what is compared of a round's case: a case is like another by how it came, not by what is left of it."""
    began = [(one.id, one.end) for one in dossier.symptoms]
    if dossier.history:
        began = [(one.symptom, one.end) for one in dossier.history[0].felt if one.change != "new"]
    return profile_of(round.request.bike.name, dossier.case, began)


def keep(request: SetupRequest) -> SettledCase | None:
    """Keep what a settled request teaches, anew where it was kept before; None when its rounds tell no numbers."""
    rounds = list(request.rounds.filter(sent_at__isnull=False).select_related("request__bike").order_by("number"))
    if not rounds:
        return None
    ends: list[tuple[Round, Case, Derivation]] = []
    for round_ in dict.fromkeys((rounds[0], rounds[-1])):
        try:
            derivation = derivation_from_json(services.derive_round(round_).result)
        except EngineInputError:
            return None
        ends.append((round_, build_case(round_), derivation))
    first, case, derivation = ends[0]
    profile = profile_of(request.bike.name, case, first.symptoms.values_list("symptom", "end"))
    kept, _made = SettledCase.objects.update_or_create(
        request=request,
        defaults={
            "settled_on": (request.state_changed_at or timezone.now()).date(),
            "discipline": profile.discipline,
            "front": profile.front,
            "rear": profile.rear,
            "model_key": profile.model_key,
            "travel_band": profile.travel_band,
            "load_state": profile.load,
            "figures": dict(profile.figures),
            "symptoms": sorted(profile.symptoms),
            "start": _values(derivation),
            "end": _values(ends[-1][2]),
            "rounds": len(rounds),
            "outcome": ends[-1][1].answers.get("outcome", ""),
        },
    )
    return kept


def forget(request: SetupRequest) -> None:
    """Keep what a request taught, once and for all, without a way back to the request."""
    SettledCase.objects.filter(request=request).update(request=None)


def _values(derivation: Derivation) -> dict[str, float]:
    return {
        key: round(one.value, 3)
        for key, one in derivation.values.items()
        if one.id in VALUES and one.value is not None and one.status in _NUMBERED
    }


def rebuild() -> int:
    """Keep every settled request anew; rows without a request stay as they are. Return how many are kept."""
    count = 0
    settled = SetupRequest.objects.filter(state=RequestState.SETTLED).select_related("bike").order_by("pk")
    for request in settled.iterator(chunk_size=_CHUNK):
        with transaction.atomic():
            count += keep(request) is not None
    return count
