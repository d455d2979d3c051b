"""What is asked of the solver: a case, where its values should come to, and what may be changed by whom.

As JSON it is a case's document (``tuning.engine.document``) with four more members, numbers in canonical units:

    {"schema": 2, …,
     "targets": {"sag_rider_aboard.front": {"low": 33, "high": 40}, "reserve_normal.front": {"low": 20}},
     "parts": {"front_rates": [8.5, 9.0, 9.5], "rear_rates": [90, 95]},
     "limits": {"rear_preload": [-4, 12], "fork_maker": 4.0},
     "client": {"skill": "home_workshop", "budget": "springs"}}
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from tuning.engine.case import Case
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.levers import LEVERS
from tuning.engine.quantities import ENDS
from tuning.engine.readouts import STOPS
from tuning.engine.reserve import RIDES
from tuning.engine.shape import Shape, as_float, is_number, rows_of
from tuning.engine.validate import finite, known, require_sound, told

#: What a client can do, each level the ones before it too.
SKILLS = ("adjusters", "hand_tools", "home_workshop", "specialist")
#: none: nothing is bought, and all is done by the client. springs: springs are bought, and fitted by a workshop where
#: the client cannot. any: all work above the client's level is had done.
BUDGETS = ("none", "springs", "any")
GEOMETRY: Mapping[str, str] = MappingProxyType(
    {
        "rake": "deg",
        "ground_trail": "mm",
        "normal_trail": "mm",
        "wheelbase": "mm",
        "swingarm_angle": "deg",
        "head_drop": "mm",
        "seat_drop": "mm",
    }
)
#: Added to a geometry target's key: the difference from the bike as found.
CHANGE = "_change"


def _targets() -> Iterator[tuple[str, str]]:
    for end in ENDS:
        for state in ("bike_alone", "rider_aboard"):
            yield f"sag_{state}.{end}", "mm"
            yield f"sag_{state}_share.{end}", "1"
        for ride in RIDES:
            for how in ("", "_by_force", "_by_energy"):
                yield f"reserve_{ride}{how}.{end}", "mm"
        yield f"ride_frequency.{end}", "Hz"
    yield "ride_frequency_ratio", "1"
    yield "clearance.front", "mm"
    for state in ("rider_aboard", "braking"):
        for name, unit in GEOMETRY.items():
            yield f"{name}_{state}", unit
            yield f"{name}_{state}{CHANGE}", unit
    for stop in (*STOPS, "limit"):
        yield f"brake_travel_{stop}.front", "mm"
        yield f"brake_reserve_{stop}.front", "mm"
        yield f"brake_pitch_{stop}", "deg"
        yield f"brake_load_share_{stop}", "1"
    yield "brake_limit", "1"


#: What may be asked, with its unit. ``reserve_normal.front`` asks both ends of the bracket, by equal peak force and
#: by equal energy, to be inside the band; with one bound, both to be on its right side.
TARGETS: Mapping[str, str] = MappingProxyType(dict(_targets()))


@dataclass(frozen=True, slots=True)
class Band:
    """Least and greatest value wanted, in the target's unit; None: no bound on that side."""

    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Parts:
    """Springs that can be bought: the rate of one spring, N/mm."""

    front_rates: tuple[float, ...] = ()
    rear_rates: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Limits:
    """How far levers may go, where their adjusters do not tell.

    front_preload, rear_preload: mm at the spring, from as found; with a counted adjuster the narrower of the two.
    front_spacer: mm by which the fork springs' spacer may be made longer or shorter.
    ride_height: mm from as found. oil_level: least and greatest gap, mm. air_pressure: kPa. fork_maker: where the
    maker puts the legs, mm as read at the clamp (None: as found); fork_mark: the highest place the maker allows, mm.
    """

    front_preload: tuple[float, float] | None = None
    rear_preload: tuple[float, float] | None = None
    front_spacer: tuple[float, float] | None = None
    ride_height: tuple[float, float] | None = None
    oil_level: tuple[float, float] | None = None
    air_pressure: tuple[float, float] | None = None
    fork_maker: float | None = None
    fork_mark: float | None = None


@dataclass(frozen=True, slots=True)
class Client:
    """What the client can do (SKILLS), and what may be paid for (BUDGETS)."""

    skill: str = "adjusters"
    budget: str = "none"


@dataclass(frozen=True, slots=True)
class Problem:
    """A case, and the band for each value that is to come into one, by key (TARGETS)."""

    case: Case
    targets: Mapping[str, Band]
    parts: Parts = Parts()
    limits: Limits = Limits()
    client: Client = field(default_factory=Client)


#: Limits that are ranges, and what their numbers may be.
RANGES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "front_preload": (-LEVERS["front.preload_mm"].most, LEVERS["front.preload_mm"].most),
        "front_spacer": (-LEVERS["front.preload_mm"].most, LEVERS["front.preload_mm"].most),
        "rear_preload": (-LEVERS["rear.preload_mm"].most, LEVERS["rear.preload_mm"].most),
        "ride_height": (-LEVERS["rear.ride_height_mm"].most, LEVERS["rear.ride_height_mm"].most),
        "oil_level": (0.0, LEVERS["front.oil_level_mm"].most),
        "air_pressure": (0.0, LEVERS["front.air_pressure_kpa"].most),
    }
)
PLACES = ("fork_maker", "fork_mark")
PLACE_LIMITS = (-LEVERS["front.fork_position_mm"].most, LEVERS["front.fork_position_mm"].most)
MOST_RATES = 64
_MEMBERS = {"targets": "object", "parts": "object", "limits": "object", "client": "object"}
_BAND = Shape(required={}, optional={"low": "number or null", "high": "number or null"})
_PARTS = Shape(required={}, optional={"front_rates": "list", "rear_rates": "list"})
_LIMITS = Shape(required={}, optional={**dict.fromkeys(RANGES, "list"), **dict.fromkeys(PLACES, "number or null")})
_CLIENT = Shape(required={}, optional={"skill": "text", "budget": "text"})


def require_solvable(problem: Problem) -> None:
    """Raise EngineInputError with every fault of the case and of what is asked; return None when there is none."""
    faults = list(_asked_faults(problem))
    try:
        require_sound(problem.case)
    except EngineInputError as error:
        faults = [*error.faults, *faults]
    if faults:
        raise EngineInputError(faults)


def _asked_faults(problem: Problem) -> Iterator[Fault]:
    if not problem.targets:
        yield Fault("targets", 0, "too_few", {"least": 1})
    for key, band in problem.targets.items():
        yield from _band_faults(f"targets.{told(key)}", key, band)
    for name in ("front_rates", "rear_rates"):
        yield from _rate_faults(f"parts.{name}", getattr(problem.parts, name))
    for name, (low, high) in RANGES.items():
        pair = getattr(problem.limits, name)
        if pair is None:
            continue
        path = f"limits.{name}"
        wrong = [
            Fault(path, told(x), "out_of_range", {"low": low, "high": high}) for x in pair if not _in(x, low, high)
        ]
        yield from wrong
        if not wrong and pair[0] > pair[1]:
            yield Fault(path, list(pair), "upside_down")
    for name in PLACES:
        place = getattr(problem.limits, name)
        if place is not None and not _in(place, *PLACE_LIMITS):
            low, high = PLACE_LIMITS
            yield Fault(f"limits.{name}", told(place), "out_of_range", {"low": low, "high": high, "unit": "mm"})
    yield from known("client.skill", problem.client.skill, SKILLS, "unknown_skill")
    yield from known("client.budget", problem.client.budget, BUDGETS, "unknown_budget")


def _in(value: float, low: float, high: float) -> bool:
    return finite(value) and low <= value <= high


def _band_faults(path: str, key: str, band: Band) -> Iterator[Fault]:
    if key not in TARGETS:
        yield Fault(path, told(key), "unknown_target", {"known": tuple(TARGETS)})
    if band.low is None and band.high is None:
        yield Fault(path, None, "no_band")
    bounds = [bound for bound in (band.low, band.high) if bound is not None]
    wrong = [Fault(path, told(bound), "not_finite") for bound in bounds if not finite(bound)]
    yield from wrong
    if not wrong and len(bounds) == 2 and bounds[0] > bounds[1]:
        yield Fault(path, bounds, "upside_down")


def _rate_faults(path: str, rates: tuple[float, ...]) -> Iterator[Fault]:
    most = LEVERS["front.spring_rate"].most
    if len(rates) > MOST_RATES:
        yield Fault(path, len(rates), "too_many", {"most": MOST_RATES})
        return
    for index, rate in enumerate(rates):
        if not _in(rate, math.ulp(0.0), most):
            params = {"low": 0.0, "high": most, "unit": "N/mm"}
            yield Fault(f"{path}[{index}]", told(rate), "out_of_range", params)


def problem_from_json(document: object) -> Problem:
    """Return the problem that a document with targets, parts, limits and client describes.

    Raises EngineInputError with every fault of all of them.
    """
    if not isinstance(document, Mapping):
        raise EngineInputError([Fault("", told(document), "not_an_object")])
    faults: list[Fault] = []
    case: Case | None = None
    try:
        case = read_document({name: value for name, value in document.items() if name not in _MEMBERS})
    except EngineInputError as error:
        faults += error.faults
    given = Shape(required={"targets": "object"}, optional=_MEMBERS).read(
        {name: document[name] for name in _MEMBERS if name in document}, "", faults
    )
    given = given or {}
    problem = Problem(
        case or Case("naked", "coil", "linkage", ()),
        _bands(given.get("targets", {}), faults),
        Parts(**_parts(given.get("parts", {}), faults)),
        Limits(**_limits(given.get("limits", {}), faults)),
        Client(**(_CLIENT.read(given.get("client", {}), "client", faults) or {})),
    )
    if isinstance(given.get("targets"), Mapping):
        faults += _asked_faults(problem)
    if faults:
        raise EngineInputError(faults)
    return problem


def _bands(given: Mapping[Any, Any], faults: list[Fault]) -> dict[str, Band]:
    if len(given) > len(TARGETS):
        faults.append(Fault("targets", len(given), "too_many", {"most": len(TARGETS)}))
        return {}
    found = {}
    for key, row in given.items():
        band = _BAND.read(row, f"targets.{told(key)}", faults)
        if band is not None:
            found[str(key)] = Band(**band)
    return found


def _numbers(rows: list[Any], path: str, faults: list[Fault], most: int) -> tuple[float, ...]:
    found = []
    for place, row in rows_of(rows, path, faults, most):
        if is_number(row):
            found.append(as_float(row))
        else:
            faults.append(Fault(place, told(row), "wrong_type", {"wanted": "number"}))
    return tuple(found)


def _parts(given: object, faults: list[Fault]) -> dict[str, tuple[float, ...]]:
    read = _PARTS.read(given, "parts", faults) or {}
    return {name: _numbers(rows, f"parts.{name}", faults, MOST_RATES) for name, rows in read.items()}


def _limits(given: object, faults: list[Fault]) -> dict[str, Any]:
    found = _LIMITS.read(given, "limits", faults) or {}
    for name in [name for name in found if name in RANGES]:
        before = len(faults)
        pair = _numbers(found[name], f"limits.{name}", faults, 2)
        if len(faults) == before and len(pair) != 2:
            faults.append(Fault(f"limits.{name}", len(pair), "wrong_type", {"wanted": "pair of numbers"}))
        found[name] = pair if len(pair) == 2 else None
    return found
