"""What an input must be before anything is derived from it: every fault at once.

The faults of rows are told by path, so that the public document is held to the same rules as a case.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from tuning.engine import case as cases
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES, Quantity
from tuning.engine.units import CANONICAL, unit
from tuning.engine.vocabulary import ANSWERS, PER_END

#: Most rows of readings, of adjusters, of a table of pairs; most repeats of one reading.
MOST_ROWS = 400
MOST_PAIRS = 2000
MOST_REPEATS = 99
LONGEST_TYRE_SIZE = 40
FRONTS = (*cases.FRONT_ARCHITECTURES, *cases.FRONT_REFUSED)
COUNTED_FROM = ("closed", "open")
#: Limits of an adjuster's numbers, in its own unit; a range and a step are more than nothing.
FOUND_LIMITS = (-10_000.0, 10_000.0)
HALF_WIDTH_LIMITS = (0.0, 500.0)
RANGE_LIMITS = (0.0, 500.0)
STEP_LIMITS = (0.0, 50.0)
#: Limits of the columns of tables: travel mm, ratio; time s, height mm.
TRAVEL_LIMITS = (0.0, 500.0)
RATIO_LIMITS = (QUANTITIES["leverage"].low, QUANTITIES["leverage"].high)
TIME_LIMITS = (0.0, 600.0)
HEIGHT_LIMITS = (-3000.0, 3000.0)
#: Fewest rows that say anything: a line needs two points, a peak three.
FEWEST_LEVERAGE, FEWEST_FRAMES = 2, 3
_LONGEST_TOLD = 80
Pair = tuple[float, float]


def require_sound(case: Case) -> None:
    """Raise EngineInputError with every fault of the case; return None when there is none."""
    faults = list(_faults(case))
    if faults:
        raise EngineInputError(faults)


def told(value: object) -> object:
    """Return what a fault shows of a value: short, and printable whatever was given."""
    if value is None or isinstance(value, (bool, float)):
        return value
    if isinstance(value, int):
        return value if abs(value) < 10**18 else f"integer of {value.bit_length()} bits"
    if isinstance(value, str):
        short = value if len(value) <= _LONGEST_TOLD else f"{value[: _LONGEST_TOLD - 1]}…"
        return short.encode(errors="backslashreplace").decode()
    if isinstance(value, Mapping):
        return f"object of {len(value)}"
    return f"list of {len(value)}" if isinstance(value, (list, tuple)) else type(value).__name__


def finite(value: float) -> bool:
    """Return whether a number is finite as a float; an integer beyond all floats is not."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def known(path: str, value: str, allowed: tuple[str, ...], reason: str) -> Iterator[Fault]:
    """Yield a fault unless the value is one of those allowed."""
    if value not in allowed:
        yield Fault(path, told(value), reason, {"known": allowed})


def _faults(case: Case) -> Iterator[Fault]:
    yield from kind_faults(case.discipline, case.front_architecture, case.rear_architecture, case.load_state)
    if len(case.readings) > MOST_ROWS or len(case.adjusters) > MOST_ROWS:
        yield Fault("readings", len(case.readings), "too_many", {"most": MOST_ROWS})
        return
    for index, reading in enumerate(case.readings):
        yield from _reading_faults(f"readings[{index}]", reading)
    yield from read_twice(enumerate(case.readings))
    for index, adjuster in enumerate(case.adjusters):
        yield from adjuster_faults(f"adjusters[{index}]", adjuster)
    yield from told_twice(enumerate(case.adjusters))
    yield from answer_faults(case.answers)
    yield from tyre_faults(case.tyre_size)
    yield from leverage_faults(case.leverage_table)
    for end, rows in case.settle_frames.items():
        path = f"settle_frames.{told(end)}"
        yield from known(path, end, ENDS, "unknown_end")
        yield from frame_faults(rows, path)


def kind_faults(discipline: str, front: str, rear: str, load_state: str) -> Iterator[Fault]:
    """Yield what is unknown of the words that say what kind of bike it is and what it carries."""
    yield from known("discipline", discipline, cases.DISCIPLINES, "unknown_discipline")
    yield from known("front_architecture", front, FRONTS, "unknown_architecture")
    yield from known("rear_architecture", rear, cases.REAR_ARCHITECTURES, "unknown_architecture")
    yield from known("load_state", load_state, LOAD_STATES, "unknown_load_state")


def _reading_faults(path: str, row: Reading) -> Iterator[Fault]:
    spec = QUANTITIES.get(row.quantity)
    if spec is None:
        yield Fault(f"{path}.quantity", told(row.quantity), "unknown_quantity", {"known": tuple(QUANTITIES)})
        return
    yield from place_faults(path, row, spec)
    yield from value_faults(f"{path}.value", row.value, spec)
    yield from width_faults(f"{path}.half_width", row.half_width, spec)


def place_faults(path: str, row: Reading, spec: Quantity) -> Iterator[Fault]:
    """Yield what does not fit of where and how a quantity was read."""
    if spec.per_end != bool(row.end) or (row.end and row.end not in ENDS):
        yield Fault(f"{path}.end", told(row.end), "unknown_end", {"known": ENDS if spec.per_end else ("",)})
    if row.leg and (not spec.per_leg or row.leg not in LEGS):
        yield Fault(f"{path}.leg", told(row.leg), "unknown_leg", {"known": LEGS if spec.per_leg else ("",)})
    if row.load_state:
        yield from known(f"{path}.load_state", row.load_state, LOAD_STATES, "unknown_load_state")
    yield from known(f"{path}.approach", row.approach, APPROACHES, "unknown_approach")
    if not 1 <= row.repeat <= MOST_REPEATS:
        yield Fault(f"{path}.repeat", told(row.repeat), "unknown_repeat", {"low": 1, "high": MOST_REPEATS})


def limits_in(spec: Quantity, unit_id: str) -> dict[str, object]:
    """Return a quantity's hard limits as a fault tells them: low and high in this unit, and the unit."""
    shown = unit(unit_id).shown
    return {"low": shown(spec.low), "high": shown(spec.high), "unit": unit_id}


def value_faults(path: str, value: float, spec: Quantity, unit_id: str = "") -> Iterator[Fault]:
    """Yield what is wrong with a value given in ``unit_id`` (else canonical): not finite, or outside what can be."""
    unit_id = unit_id or CANONICAL[spec.dimension]
    if not finite(value):
        yield Fault(path, told(value), "not_finite", limits_in(spec, unit_id))
        return
    canonical = unit(unit_id).canonical(value)
    if not spec.low <= canonical <= spec.high:
        reason = "below_physical_limit" if canonical < spec.low else "above_physical_limit"
        yield Fault(path, value, reason, limits_in(spec, unit_id))


def width_faults(path: str, width: float, spec: Quantity, unit_id: str = "") -> Iterator[Fault]:
    """Yield a fault unless the half-width is between nothing and the quantity's highest value."""
    unit_id = unit_id or CANONICAL[spec.dimension]
    factor = unit(unit_id).factor
    if not finite(width) or not 0 <= width * factor <= spec.high:
        params = {"low": 0.0, "high": spec.high / factor, "unit": unit_id}
        yield Fault(path, told(width), "not_a_half_width", params)


def read_twice(rows: Iterable[tuple[int, Reading]]) -> Iterator[Fault]:
    """Yield the readings that say again what an earlier one said: one place, one state, one repeat."""
    seen: dict[tuple[object, ...], int] = {}
    for index, row in rows:
        key = (row.quantity, row.end, row.leg, row.load_state, row.approach, row.repeat)
        if key in seen:
            yield Fault(f"readings[{index}]", told(row.quantity), "read_twice", {"first": seen[key]})
        seen.setdefault(key, index)


def told_twice(rows: Iterable[tuple[int, Adjuster]]) -> Iterator[Fault]:
    """Yield the adjusters named before."""
    seen: dict[str, int] = {}
    for index, row in rows:
        if row.key in seen:
            yield Fault(f"adjusters[{index}].key", told(row.key), "told_twice", {"first": seen[row.key]})
        seen.setdefault(row.key, index)


def adjuster_faults(path: str, row: Adjuster) -> Iterator[Fault]:
    """Yield what is wrong with one adjuster."""
    named = ".".join(part for part in (row.end, row.kind, row.leg) if part)
    if row.key != named:
        yield Fault(f"{path}.key", told(row.key), "key_does_not_fit", {"wanted": told(named)})
    yield from known(f"{path}.kind", row.kind, cases.ADJUSTER_KINDS, "unknown_adjuster")
    yield from known(f"{path}.end", row.end, ENDS, "unknown_end")
    yield from known(f"{path}.leg", row.leg, ("", *LEGS), "unknown_leg")
    yield from known(f"{path}.unit", row.unit, cases.ADJUSTER_UNITS, "unknown_unit")
    yield from known(f"{path}.counted_from", row.counted_from, COUNTED_FROM, "unknown_direction")
    if row.found is not None:
        yield from _between(f"{path}.found", row.found, FOUND_LIMITS, row.unit)
    if row.range_counted is not None and not _more_than(row.range_counted, RANGE_LIMITS):
        yield _outside(f"{path}.range_counted", row.range_counted, "not_a_range", RANGE_LIMITS, row.unit)
    if row.step_mm is not None and not _more_than(row.step_mm, STEP_LIMITS):
        yield _outside(f"{path}.step_mm", row.step_mm, "not_a_step", STEP_LIMITS, "mm")
    low, high = HALF_WIDTH_LIMITS
    if not finite(row.half_width) or not low <= row.half_width <= high:
        yield _outside(f"{path}.half_width", row.half_width, "not_a_half_width", HALF_WIDTH_LIMITS, row.unit)


def _more_than(value: float, limits: tuple[float, float]) -> bool:
    return finite(value) and limits[0] < value <= limits[1]


def _outside(path: str, value: float, reason: str, limits: tuple[float, float], unit_id: str) -> Fault:
    """Return the fault of a number outside its limits, which it tells; of one that is not finite, that."""
    reason = reason if finite(value) else "not_finite"
    return Fault(path, told(value), reason, {"low": limits[0], "high": limits[1], "unit": told(unit_id)})


def _between(path: str, value: float, limits: tuple[float, float], unit_id: str) -> Iterator[Fault]:
    if not finite(value) or not limits[0] <= value <= limits[1]:
        reason = "below_physical_limit" if value < limits[0] else "above_physical_limit"
        yield _outside(path, value, reason, limits, unit_id)


def answer_faults(answers: Mapping[str, str]) -> Iterator[Fault]:
    """Yield the answers to questions nobody asks, and those no question has."""
    for key, value in answers.items():
        question, _, end = key.partition(".")
        path = f"answers.{told(key)}"
        if question not in ANSWERS:
            yield Fault(path, told(value), "unknown_question", {"known": tuple(ANSWERS)})
        elif (question in PER_END) != bool(end) or (end and end not in ENDS):
            yield Fault(path, told(value), "unknown_end", {"known": ENDS if question in PER_END else ("",)})
        elif value not in ANSWERS[question]:
            yield Fault(path, told(value), "unknown_answer", {"known": ANSWERS[question]})


def tyre_faults(sizes: Mapping[str, str]) -> Iterator[Fault]:
    """Yield tyre sizes of no end, and texts that no sidewall carries; whether a size can be read is asked later."""
    for end, size in sizes.items():
        path = f"tyre_size.{told(end)}"
        yield from known(path, end, ENDS, "unknown_end")
        if len(size) > LONGEST_TYRE_SIZE:
            yield Fault(path, told(size), "too_long", {"most": LONGEST_TYRE_SIZE})
        elif any(0xD800 <= ord(letter) <= 0xDFFF or letter < " " for letter in size):
            yield Fault(path, told(size), "unreadable_text")


def leverage_faults(
    rows: Sequence[Pair | None], path: str = "leverage_table", unit_id: str = "mm", *, least: bool = False
) -> Iterator[Fault]:
    """Yield what is wrong with a leverage table: travels in ``unit_id`` that do not rise, numbers that cannot be.

    A table left out is none; with ``least`` an empty one is too short.
    """
    factor = unit(unit_id).factor
    travel = (TRAVEL_LIMITS[0] / factor, TRAVEL_LIMITS[1] / factor)
    if rows or least:
        yield from _table_faults(path, rows, FEWEST_LEVERAGE, (travel, RATIO_LIMITS), (unit_id, "1"))


def frame_faults(
    rows: Sequence[Pair | None], path: str, unit_id: str = "mm", *, least: bool = False
) -> Iterator[Fault]:
    """Yield what is wrong with a filmed settle test: times that do not rise, heights in ``unit_id`` that cannot be.

    A film left out is none; with ``least`` an empty one is too short.
    """
    factor = unit(unit_id).factor
    height = (HEIGHT_LIMITS[0] / factor, HEIGHT_LIMITS[1] / factor)
    if rows or least:
        yield from _table_faults(path, rows, FEWEST_FRAMES, (TIME_LIMITS, height), ("s", unit_id))


def _table_faults(
    path: str,
    rows: Sequence[Pair | None],
    fewest: int,
    limits: tuple[tuple[float, float], tuple[float, float]],
    units: tuple[str, str],
) -> Iterator[Fault]:
    """A table has rows enough, numbers within limits, and a first column that rises; None is a row told otherwise."""
    if not fewest <= len(rows) <= MOST_PAIRS:
        reason = "too_few" if len(rows) < fewest else "too_many"
        yield Fault(path, len(rows), reason, {"least": fewest, "most": MOST_PAIRS})
        return
    for index, row in enumerate(rows):
        if row is not None:
            for column in (0, 1):
                yield from _between(f"{path}[{index}][{column}]", row[column], limits[column], units[column])
    for index, (before, after) in enumerate(pairwise(rows), start=1):
        if before and after and finite(before[0]) and finite(after[0]) and not before[0] < after[0]:
            params = {"above": before[0], "unit": units[0]}
            yield Fault(f"{path}[{index}][0]", told(after[0]), "not_rising", params)
