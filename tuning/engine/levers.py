"""What can be changed on a bike, by name, and how a wish such as ``front.preload_mm=+6`` becomes a change.

A wish is a number: with a sign it is a difference, without one it is where the lever is to stand. An adjuster of the
case is named by its key and set in its own unit.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from tuning.engine.bike import Change
from tuning.engine.case import Adjuster, Case
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.settings import preload_in
from tuning.engine.shape import is_number
from tuning.engine.validate import finite, told

_NUMBER = re.compile(r"(?P<sign>[+\-−]?)(?P<number>[0-9]{1,9}(?:[.,][0-9]{1,9})?)")


@dataclass(frozen=True, slots=True)
class Lever:
    """One thing that can be changed: its name, its unit, and how far a single wish may go in that unit.

    ``part``: a part is exchanged rather than an adjuster moved.
    """

    name: str
    unit: str
    most: float
    part: bool = False


_ALL = (
    Lever("front.preload_mm", "mm", 60.0),
    Lever("rear.preload_mm", "mm", 60.0),
    Lever("front.spring_rate", "N/mm", 400.0, part=True),
    Lever("rear.spring_rate", "N/mm", 400.0, part=True),
    Lever("front.oil_level_mm", "mm", 500.0),
    Lever("front.air_pressure_kpa", "kPa", 3500.0),
    Lever("front.fork_position_mm", "mm", 60.0),
    Lever("rear.ride_height_mm", "mm", 60.0),
    Lever("front.tyre_radius_mm", "mm", 60.0),
    Lever("rear.tyre_radius_mm", "mm", 60.0),
    Lever("rider_mass", "kg", 250.0),
    Lever("passenger_mass", "kg", 250.0),
    Lever("luggage_mass", "kg", 150.0),
)
LEVERS: Mapping[str, Lever] = MappingProxyType({lever.name: lever for lever in _ALL})


@dataclass(frozen=True, slots=True)
class Wish:
    """Where a lever is to go: ``by`` a difference, or ``to`` a place; one of them is None."""

    lever: str
    by: float | None = None
    to: float | None = None


def read_wish(text: str) -> Wish:
    """Return the wish that ``name=number`` tells. Raises EngineInputError for any other text."""
    name, equals, number = text.partition("=")
    return wish(name.strip(), number.strip()) if equals else _refuse("set", told(text), "not_a_wish")


def wish(name: str, number: str | float, path: str = "set") -> Wish:
    """Return the wish for a lever or adjuster. A text with a sign is a difference; a number is a place."""
    if isinstance(number, str):
        found = _NUMBER.fullmatch(number.replace(" ", ""))
        if not found:
            return _refuse(f"{path}.{told(name)}", told(number), "not_a_number")
        size = float(found["number"].replace(",", "."))
        if found["sign"]:
            return Wish(name, by=size if found["sign"] == "+" else -size)
        return Wish(name, to=size)
    if not is_number(number):
        return _refuse(f"{path}.{told(name)}", told(number), "not_a_number")
    if not finite(number):
        return _refuse(f"{path}.{told(name)}", told(number), "not_finite")
    return Wish(name, to=float(number))


def _refuse(path: str, value: object, reason: str, **params: object) -> Wish:
    raise EngineInputError([Fault(path, value, reason, params)])


#: What moves which lever, by the kind of adjuster; the others move nothing that the model foretells.
_LEVER_OF = {"preload": "preload_mm", "fork_position": "fork_position_mm", "ride_height": "ride_height_mm"}
#: Readings that tell where a lever stands.
_READ = {
    "front.spring_rate": ("spring_rate", "front"),
    "rear.spring_rate": ("spring_rate", "rear"),
    "front.oil_level_mm": ("oil_level", ""),
    "front.air_pressure_kpa": ("air_pressure", "front"),
    "front.tyre_radius_mm": ("wheel_radius", "front"),
    "rear.tyre_radius_mm": ("wheel_radius", "rear"),
    "rider_mass": ("rider_mass", ""),
    "passenger_mass": ("passenger_mass", ""),
    "luggage_mass": ("luggage_mass", ""),
}


def standing(case: Case) -> dict[str, float]:
    """Return where each lever stands now, as far as the case tells; repeats and legs by their mean."""
    read: dict[tuple[str, str], dict[str, list[float]]] = {}
    for one in case.readings:
        read.setdefault((one.quantity, one.end), {}).setdefault(one.leg, []).append(one.value)
    found = {name: _mean(_mean(leg) for leg in read[key].values()) for name, key in _READ.items() if key in read}
    places: dict[str, list[float]] = {}
    for row in case.adjusters:
        place = _place(row)
        if place is not None and _lever_of(row) in LEVERS:
            places.setdefault(_lever_of(row), []).append(place)
    return found | {name: _mean(each) for name, each in places.items()}


def _mean(numbers: Iterable[float]) -> float:
    each = list(numbers)
    return sum(each) / len(each)


def _lever_of(row: Adjuster) -> str:
    return f"{row.end}.{_LEVER_OF.get(row.kind, '')}"


def _place(row: Adjuster) -> float | None:
    """Return where an adjuster stands in mm: preload wound in, or the position read; None when not known."""
    place = preload_in(row) if row.kind == "preload" else row.found
    size = _size(row)
    return None if place is None or size is None else place * size


def _size(row: Adjuster) -> float | None:
    return 1.0 if row.unit == "mm" else row.step_mm


def change_of(case: Case, wishes: Iterable[Wish], shares: Mapping[str, float]) -> Change:
    """Return the change that the wishes ask for. ``shares``: front share of the rider, passenger and luggage.

    Raises EngineInputError with every fault at once: unknown levers, places where the present one is not known,
    differences too far, adjusters that move nothing the model foretells.
    """
    now, adjusters = standing(case), {row.key: row for row in case.adjusters}
    faults: list[Fault] = []
    moved: dict[str, float] = {}
    for one in wishes:
        row = adjusters.get(one.lever)
        found = _of_adjuster(case, row, one) if row is not None else _of_lever(one, now)
        if isinstance(found, Fault):
            faults.append(found)
        else:
            name, size = found
            moved[name] = size if LEVERS[name].part else moved.get(name, 0.0) + size
    if faults:
        raise EngineInputError(faults)
    loads = {load: moved.get(f"{load}_mass", 0.0) for load in ("rider", "passenger", "luggage")}
    front = sum(mass * shares[load] for load, mass in loads.items())
    return Change(
        front_preload=moved.get("front.preload_mm", 0.0),
        rear_preload=moved.get("rear.preload_mm", 0.0),
        front_rate=moved.get("front.spring_rate", np.nan),
        rear_rate=moved.get("rear.spring_rate", np.nan),
        oil=-moved.get("front.oil_level_mm", 0.0),
        pressure=moved.get("front.air_pressure_kpa", 0.0),
        fork_position=moved.get("front.fork_position_mm", 0.0),
        rear_height=moved.get("rear.ride_height_mm", 0.0),
        front_radius=moved.get("front.tyre_radius_mm", 0.0),
        rear_radius=moved.get("rear.tyre_radius_mm", 0.0),
        front_load=front,
        rear_load=sum(loads.values()) - front,
    )


def _of_lever(one: Wish, now: Mapping[str, float]) -> tuple[str, float] | Fault:
    """Return a lever's name and by how much it moves, or the new rate where a part is exchanged."""
    given = one.to if one.by is None else one.by
    path = f"set.{told(one.lever)}"
    lever = LEVERS.get(one.lever)
    if lever is None:
        return Fault(path, given, "unknown_lever", {"known": tuple(LEVERS)})
    standing_at = now.get(lever.name)
    if standing_at is None and (one.by is None) != lever.part:
        return Fault(path, given, "present_place_unknown", {"unit": lever.unit})
    base = standing_at or 0.0
    if lever.part:
        rate = one.to if one.by is None else base + one.by
        if rate is None or not 0 < rate <= lever.most:
            return Fault(path, given, "out_of_range", {"low": 0.0, "high": lever.most, "unit": lever.unit})
        return lever.name, rate
    size = one.by if one.to is None else one.to - base
    if size is None or abs(size) > lever.most:
        return Fault(path, given, "out_of_range", {"low": -lever.most, "high": lever.most, "unit": lever.unit})
    return lever.name, size


def _of_adjuster(case: Case, row: Adjuster, one: Wish) -> tuple[str, float] | Fault:
    """Return the lever an adjuster moves and by how much; one leg of two moves the end by half of its own."""
    given = one.to if one.by is None else one.by
    path, name, size = f"set.{row.key}", _lever_of(row), _size(row)
    if name not in LEVERS:
        return Fault(path, given, "foretells_nothing", {"known": tuple(LEVERS)})
    if size is None:
        return Fault(path, given, "step_unknown", {"unit": row.unit})
    if one.by is None and row.found is None:
        return Fault(path, given, "present_place_unknown", {"unit": row.unit})
    start = row.found or 0.0
    target = start + one.by if one.by is not None else float(one.to or 0.0)
    if row.range_counted is not None and row.found is not None and not 0 <= target <= row.range_counted:
        return Fault(path, given, "out_of_range", {"low": 0.0, "high": row.range_counted, "unit": row.unit})
    inward = -1.0 if row.kind == "preload" and row.counted_from == "closed" else 1.0
    legs = sum(1 for other in case.adjusters if other.kind == row.kind and other.end == row.end)
    moved = inward * (target - start) * size / legs
    most = LEVERS[name].most
    if abs(moved) > most:
        return Fault(path, given, "out_of_range", {"low": -most, "high": most, "unit": LEVERS[name].unit})
    return name, moved
