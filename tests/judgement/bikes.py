"""Bikes with everything right, by discipline, for the causes to be told on; what is wrong is put in by each case."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from tests.judgement.build import dossier, knobs, number
from tuning.engine.case import Adjuster
from tuning.engine.derivation import Check
from tuning.judgement.findings import find_all
from tuning.judgement.model import Agreed, Cause, Dossier, Finding
from tuning.judgement.targets import targets_for


def _sags(alone: tuple[float, float], rider: tuple[float, float], strokes: tuple[float, float]) -> dict[str, float]:
    found = {}
    for at, end in enumerate(("front", "rear")):
        for name, sag in (("sag_bike_alone", alone[at]), ("sag_rider_aboard", rider[at])):
            found |= {f"{name}.{end}": sag, f"{name}_share.{end}": sag / strokes[at]}
    return found


def _left(front: float, rear: float, strokes: tuple[float, float]) -> dict[str, float]:
    return {
        "reserve_normal.front": front,
        "reserve_normal_share.front": front / strokes[0],
        "reserve_normal.rear": rear,
        "reserve_normal_share.rear": rear / strokes[1],
    }


STROKES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "road_sport": (120, 130),
        "naked": (120, 130),
        "touring": (140, 140),
        "track": (120, 120),
        "adventure": (200, 200),
        "dual_sport": (250, 250),
        "enduro": (300, 300),
        "motocross": (300, 300),
        "supermoto": (250, 250),
        "cruiser": (130, 80),
        "classic": (140, 80),
    }
)
#: Sags (alone, rider) in mm in the middle of each discipline's bands, and travel left (common practice).
_MIDDLE = {
    "road_sport": ((24, 8), (36, 31), (22, 16)),
    "naked": ((24, 8), (36, 31), (22, 16)),
    "touring": ((25, 11), (40, 35), (25, 17)),
    "track": ((21, 7), (31, 27), (12, 12)),
    "adventure": ((35, 35), (61, 61), (25, 30)),
    "dual_sport": ((43, 43), (76, 76), (31, 35)),
    "enduro": ((40, 35), (74, 100), (15, 20)),
    "motocross": ((40, 35), (74, 100), (15, 20)),
    "supermoto": ((34, 34), (68, 68), (12, 20)),
    "cruiser": ((16, 10), (42, 26), (16, 10)),
    "classic": ((17, 10), (45, 26), (17, 10)),
}


def right(discipline: str) -> dict[str, float]:
    """Return the derived values of a bike on which nothing is to be put right."""
    alone, rider, left = _MIDDLE[discipline]
    strokes = STROKES[discipline]
    return _sags(alone, rider, strokes) | _left(*left, strokes)


def sag(discipline: str = "road_sport", **found: float) -> dict[str, float]:
    """Return sags in mm with their shares: ``front``, ``rear`` with the rider, ``front_alone``, ``rear_alone``."""
    values = {}
    for name, mm in found.items():
        end, _, alone = name.partition("_")
        key = "sag_bike_alone" if alone else "sag_rider_aboard"
        stroke = STROKES[discipline][0 if end == "front" else 1]
        values |= {f"{key}.{end}": mm, f"{key}_share.{end}": mm / stroke}
    return values


def left(discipline: str = "road_sport", **found: float) -> dict[str, float]:
    """Return travel left in mm at ``front`` or ``rear``, with its share."""
    values = {}
    for end, mm in found.items():
        stroke = STROKES[discipline][0 if end == "front" else 1]
        values |= {f"reserve_normal.{end}": mm, f"reserve_normal_share.{end}": mm / stroke}
    return values


def pressure(end: str, now: float, wanted: float) -> Check:
    verdict = "passes" if abs(now / wanted - 1) <= 0.1 else "second_look"
    return Check("pressure_off", verdict, end, (), {"pressure_kpa": now, "manual_kpa": wanted})


def rubbing(end: str, band: float, limit: float) -> Check:
    verdict = "passes" if band <= limit else "second_look"
    return Check("friction_high", verdict, end, (), {"band_mm": band, "limit_mm": limit})


def bike(
    *symptoms: str,
    discipline: str = "road_sport",
    front: str = "coil",
    rear: str = "linkage",
    values: Mapping[str, float] | None = None,
    drop: tuple[str, ...] = (),
    load: str = "solo",
    tried: Mapping[str, str] | None = None,
    settled: Mapping[str, Agreed] | None = None,
    severity: int = 2,
    adjusters: tuple[Adjuster, ...] | None = None,
    checks: tuple[Check, ...] = (),
    bottomed: str = "",
    answers: Mapping[str, str] | None = None,
    stop: Mapping[str, str] | None = None,
) -> Dossier:
    """Return a dossier of a bike that is right but for what the keywords say; symptoms as ``id@end``."""
    rows = knobs() if adjusters is None else adjusters
    if front == "coil_split":
        # Rebound in the right leg, compression in the left (common practice).
        apart = ("front.rebound.left", "front.compression.right", "front.preload.left")
        rows = tuple(row for row in rows if row.key not in apart)
    if front == "air":
        rows = tuple(row for row in rows if not row.key.startswith("front.preload"))
    made = dossier(
        right(discipline) | dict(values or {}),
        adjusters=rows,
        checks=checks,
        bottomed=bottomed,
        symptoms=symptoms,
        answers=answers,
        stop=stop,
    )
    found = {key: value for key, value in made.derivation.values.items() if key not in drop}
    if bottomed:
        key = f"reserve_normal_share.{bottomed}"
        found[key] = number(key, 0.01, "at_most")
    case = replace(
        made.case, discipline=discipline, front_architecture=front, rear_architecture=rear, load_state=load
    )
    return replace(
        made,
        case=case,
        derivation=replace(made.derivation, values=found),
        symptoms=tuple(replace(symptom, severity=severity) for symptom in made.symptoms),
        tried=dict(tried or {}),
        settled=dict(settled or {}),
    )


def findings(case: Dossier) -> tuple[Finding, ...]:
    return find_all(case.derivation, targets_for(case.case))


@dataclass(frozen=True)
class Judged:
    """A case and what a tuner would say of it.

    first: the cause that leads; order: causes that must come in this order; speaks: cause → signs with their state,
    "+" for and "−" against; decide: what would tell the first two apart; absent: causes that cannot be.
    """

    case: Dossier
    first: str
    order: tuple[str, ...] = ()
    speaks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    decide: str = ""
    absent: tuple[str, ...] = ()


def spoken(cause: Cause) -> set[str]:
    return {f"+{item.said.id}" for item in cause.evidence_for} | {
        f"−{item.said.id}" for item in cause.evidence_against
    }
