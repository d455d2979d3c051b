"""What moved from round to round at each end: sags, deepest travel and stroke, against the bands they are wanted in.

The number of queries does not grow with the rounds. A round that cannot be derived keeps its deepest travel and
stroke.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from intake import words
from intake.case import build_cases
from intake.models import Round
from intake.presentation import UnitPrefs, show
from tuning.desk import practice
from tuning.desk.models import Derivation as DerivationRow
from tuning.engine.case import Case
from tuning.engine.derivation import ENGINE_VERSION, Derivation
from tuning.engine.derive import derive
from tuning.engine.errors import EngineInputError
from tuning.engine.quantities import ENDS
from tuning.engine.serial import derivation_from_json, derivation_to_json, input_hash
from tuning.judgement.model import Target
from tuning.judgement.targets import targets_for

#: What is followed, from topped out downwards, and what it is called.
ALONE, RIDER, DEEPEST, STROKE = "alone", "rider", "deepest", "stroke"
NAMES = {
    ALONE: gettext_lazy("Sag, bike alone"),
    RIDER: gettext_lazy("Sag, rider aboard"),
    DEEPEST: gettext_lazy("Deepest on the ride"),
    STROKE: gettext_lazy("Full stroke"),
}
_SAGS = {ALONE: "sag_bike_alone", RIDER: "sag_rider_aboard"}

Band = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Point:
    """One length of one round, mm from topped out, and its text in the reader's unit.

    stands: "in", "below" or "above" its band, "" without a band. bottomed: the stroke was used up.
    """

    round: int
    value: float
    text: str
    stands: str = ""
    bottomed: bool = False

    @property
    def stands_text(self) -> str:
        if self.bottomed:
            return _("all of it used")
        return str(_STANDS.get(self.stands, ""))

    @property
    def shape(self) -> str:
        """Return the chip's shape: by shape and word, never by colour alone."""
        return "ok" if self.stands == "in" else "doing"


_STANDS = {
    "in": gettext_lazy("as wanted"),
    "below": gettext_lazy("less than wanted"),
    "above": gettext_lazy("more than wanted"),
}


@dataclass(frozen=True, slots=True)
class Track:
    """One length over the rounds that have it, first to last; band: where it is wanted now, mm; None without."""

    kind: str
    name: str
    points: tuple[Point, ...]
    band: Band | None
    band_text: str

    def at(self, number: int) -> Point | None:
        return next((point for point in self.points if point.round == number), None)


@dataclass(frozen=True, slots=True)
class EndOver:
    """One end over the rounds."""

    end: str
    name: str
    tracks: tuple[Track, ...]
    rounds: tuple[int, ...]

    @property
    def rows(self) -> list[tuple[Track, list[tuple[int, Point | None]]]]:
        """Return a table's rows: each length with its points by round, None where a round has none."""
        return [(track, [(number, track.at(number)) for number in self.rounds]) for track in self.tracks]

    def track(self, kind: str) -> Track | None:
        return next((track for track in self.tracks if track.kind == kind), None)


def over_rounds(rounds: Sequence[Round], prefs: UnitPrefs) -> tuple[EndOver, ...]:
    """Return both ends over a request's sent rounds, in order; an end of which nothing was measured is left out."""
    if not rounds:
        return ()
    cases = build_cases(rounds)
    derived = _derivations(rounds, cases)
    bands = targets_for(cases[-1], practice.built(practice.current()))
    numbers = tuple(round_.number for round_ in rounds)
    found = []
    for end in ENDS:
        lengths = [_lengths(end, case, derivation) for case, derivation in zip(cases, derived, strict=True)]
        tracks = tuple(_tracks(end, numbers, lengths, bands, prefs))
        if any(track.kind != STROKE for track in tracks):
            found.append(EndOver(end, str(words.ENDS[end]), tracks, numbers))
    return tuple(found)


def _derivations(rounds: Sequence[Round], cases: Sequence[Case]) -> list[Derivation | None]:
    """Return what is derived of each round as it stands, from the store where it was derived before."""
    hashes = [input_hash(case) for case in cases]
    rows = DerivationRow.objects.filter(round__in=rounds, input_hash__in=hashes, engine_version=ENGINE_VERSION)
    known = {(row.round_id, row.input_hash): row.result for row in rows}
    found: list[Derivation | None] = []
    for round_, case, told in zip(rounds, cases, hashes, strict=True):
        result = known.get((round_.pk, told))
        if result is None:
            try:
                result = derivation_to_json(derive(case))
            except EngineInputError:
                found.append(None)
                continue
            # Two readers at once may both have derived it; either's is the same.
            DerivationRow.objects.bulk_create(
                [DerivationRow(round=round_, input_hash=told, engine_version=ENGINE_VERSION, result=result)],
                ignore_conflicts=True,
            )
        found.append(derivation_from_json(result))
    return found


def _lengths(end: str, case: Case, derivation: Derivation | None) -> dict[str, tuple[float, bool]]:
    """Return each length of a round that is known, mm, and whether the stroke was used up."""
    read = {row.quantity: row.value for row in case.readings if row.end == end}
    found: dict[str, tuple[float, bool]] = {}
    for kind, name in _SAGS.items():
        value = derivation.get(f"{name}.{end}") if derivation else None
        if value is not None and value.value is not None and value.status == "ok":
            found[kind] = (value.value, False)
    deepest = read.get("deepest_hardest", read.get("deepest_normal"))
    if deepest is not None:
        reserves = (derivation.get(f"reserve_{ride}.{end}") if derivation else None for ride in ("normal", "hardest"))
        used_up = any(row is not None and row.status == "at_most" for row in reserves)
        found[DEEPEST] = (deepest, used_up)
    if "stroke" in read:
        found[STROKE] = (read["stroke"], False)
    return found


def _tracks(
    end: str,
    numbers: Sequence[int],
    lengths: Sequence[Mapping[str, tuple[float, bool]]],
    targets: Sequence[Target],
    prefs: UnitPrefs,
) -> Iterable[Track]:
    stroke = next((told[STROKE][0] for told in reversed(lengths) if STROKE in told), None)
    for kind, name in NAMES.items():
        band = _band(kind, end, targets, stroke)
        points = tuple(
            _point(number, *told[kind], band, prefs)
            for number, told in zip(numbers, lengths, strict=True)
            if kind in told
        )
        if points:
            yield Track(kind, str(name), points, band, _band_text(band, prefs))


def _band(kind: str, end: str, targets: Sequence[Target], stroke: float | None) -> Band | None:
    """Return the band a length is wanted in, mm from topped out; of the deepest travel, what leaves its reserve."""
    about = {**_SAGS, DEEPEST: "reserve_normal"}.get(kind)
    for target in targets:
        if about is None or target.key not in (f"{about}.{end}", f"{about}_share.{end}"):
            continue
        if target.unit == "1" and stroke is None:
            continue
        scale = (stroke or 0.0) if target.unit == "1" else 1.0
        low, high = target.low * scale, target.high * scale
        if kind != DEEPEST:
            return low, high
        if stroke is not None:
            return stroke - high, stroke - low
    return None


def _point(number: int, value: float, bottomed: bool, band: Band | None, prefs: UnitPrefs) -> Point:
    stands = ""
    if band is not None:
        stands = "below" if value < band[0] else "above" if value > band[1] else "in"
    if bottomed and stands:
        stands = "above"
    return Point(number, value, show(value, "length", prefs), stands, bottomed)


def _band_text(band: Band | None, prefs: UnitPrefs) -> str:
    if band is None:
        return ""
    return _("%(low)s to %(high)s") % {
        "low": show(band[0], "length", prefs),
        "high": show(band[1], "length", prefs),
    }
