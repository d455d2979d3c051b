"""Which levers a problem offers, in which steps and how far; and which it does not, and why.

Each lever moves in its adjuster's own step and stays in its counted range. Geometry levers are offered only where
geometry is asked for: moving the legs restores attitude, never travel.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tuning.engine.air import AirColumn, AirFork
from tuning.engine.arrays import Array
from tuning.engine.case import Adjuster
from tuning.engine.clearance import NEEDED, full_compression
from tuning.engine.levers import standing
from tuning.engine.solve_problem import GEOMETRY, SKILLS, Problem
from tuning.engine.whatif import Model

#: What a lever costs in trouble: one that opens the fork outweighs three adjusters, a shock's spring all of them.
PRELOAD, PLANE, OIL, FORK_SPRING, SHOCK_SPRING = 1, 2, 4, 8, 16
#: Smallest move of an adjuster in its own unit: a detent, a quarter turn, a millimetre.
STEPS = {"click": 1.0, "line": 1.0, "step": 1.0, "turn": 0.25, "mm": 1.0, "kPa": 5.0}
#: Oil is topped up or drawn off by no less, mm of gap.
OIL_STEP = 5.0
#: Fork position, mm (common practice): at a time, in one round, and overall from the maker's position.
FORK_AT_A_TIME, FORK_A_ROUND, FORK_OVERALL = 3.0, 5.0, 10.0
#: Legs further apart than this, mm, are set level before they are moved.
LEGS_AGREE = 0.5
#: A spacer on the fork springs, longer or shorter: preload that no adjuster reaches.
SPACER = "front.spacer_mm"
#: What belongs to the springs of each end.
SPRINGS_OF = {
    "front": ("front.preload_mm", SPACER, "front.oil_level_mm", "front.air_pressure_kpa", "front.spring_rate"),
    "rear": ("rear.preload_mm", "rear.spring_rate"),
}
#: Places closer than this are one.
SAME = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Move:
    """One lever, and the places it can be put in; the first is as it is.

    end: "front", "rear" or "plane". start: where it stands, in ``unit``; None when not known. by: how far each place
    is away, in ``unit``. sizes: the same as the model takes it (mm, kPa; the new rate of a spring, NaN for as it is).
    keys: the adjusters that move it. needs: readings to take before it is moved.
    """

    lever: str
    end: str
    unit: str
    start: float | None
    by: Array
    sizes: Array
    effort: int
    skill: str
    keys: tuple[str, ...] = ()
    part: bool = False
    needs: tuple[str, ...] = ()
    most_at_a_time: float | None = None


@dataclass(frozen=True, slots=True)
class Barred:
    """A lever that is left out or goes no further, and why.

    reason: skill, budget, no_parts, range_unknown, place_unknown, step_unknown, legs_unlike, oil_unknown, no_room,
    not_asked; end_of_range, end_of_parts, no_effect.
    """

    lever: str
    reason: str


def moves_of(problem: Problem, model: Model) -> tuple[list[Move], list[Barred]]:
    """Return the levers that may be moved, in a fixed order, and those left out."""
    moves: list[Move] = []
    out: list[Barred] = []
    for found in _all(problem, model):
        if isinstance(found, Barred):
            out.append(found)
        elif (reason := _barred(problem, found)) is not None:
            out.append(Barred(found.lever, reason))
        elif len(found.by) < 2:
            out.append(Barred(found.lever, "no_parts" if found.part else "no_room"))
        else:
            moves.append(found)
    return moves, out


def above(problem: Problem, move: Move) -> bool:
    """Return whether a lever is above what the client can do: it is then had done."""
    return SKILLS.index(move.skill) > SKILLS.index(problem.client.skill)


def _barred(problem: Problem, move: Move) -> str | None:
    budget = problem.client.budget
    if move.part:
        return "budget" if budget == "none" else None
    return "skill" if above(problem, move) and budget != "any" else None


def _all(problem: Problem, model: Model) -> Iterator[Move | Barred]:
    for end in ("front", "rear"):
        if end == "front" and model.pack.front_architecture == "air":
            yield _pressure(problem, model)
            continue
        yield _preload(problem, end)
        if end == "front":
            yield _spacer(problem)
            yield _oil(problem, model)
        yield _spring(problem, model, end)
    if asks_geometry(problem):
        yield _fork_position(problem, model)
        yield _ride_height(problem)
    else:
        yield Barred("front.fork_position_mm", "not_asked")
        yield Barred("rear.ride_height_mm", "not_asked")


def asks_geometry(problem: Problem) -> bool:
    """Return whether any target is one of geometry, or the clearance that only the legs' position changes."""
    return any(key.startswith((*GEOMETRY, "clearance")) for key in problem.targets)


def _ranked(places: Array) -> Array:
    """Return differences with none first, then the small before the large, and up before down."""
    places = places[np.abs(places) > SAME]
    return np.concatenate(([0.0], places[np.lexsort((-places, np.abs(places)))]))


#: No lever is looked at further off than this, however small its steps are told to be.
MOST_STEPS = 2000


def _stepped(low: float, high: float, step: float) -> Array:
    """Return the multiples of a step within [low, high] and nought."""
    first, last = np.ceil(min(low, 0.0) / step - SAME), np.floor(max(high, 0.0) / step + SAME)
    first, last = int(max(first, -MOST_STEPS)), int(min(last, MOST_STEPS))
    places = np.arange(first, last + 1, dtype=np.float64) * step
    return _ranked(places[(places >= low - SAME) & (places <= high + SAME)])


def _rows(problem: Problem, kind: str, end: str) -> list[Adjuster]:
    return sorted((row for row in problem.case.adjusters if (row.kind, row.end) == (kind, end)), key=lambda r: r.key)


def _alike(rows: Sequence[Adjuster]) -> bool:
    return len({(row.unit, row.step_mm, row.counted_from) for row in rows}) == 1


def _size(row: Adjuster) -> float | None:
    return 1.0 if row.unit == "mm" else row.step_mm


def _counted(rows: Sequence[Adjuster]) -> tuple[float, float]:
    """Return how far all of the rows can be moved down and up in their own count; as far as has been counted."""
    down, up = -np.inf, np.inf
    for row in rows:
        if row.found is None:
            return -np.inf, np.inf
        down = max(down, -row.found)
        # A range that nobody counted is known to reach as far as where it stands.
        up = min(up, 0.0 if row.range_counted is None else row.range_counted - row.found)
    return down, up


def _mean_found(rows: Sequence[Adjuster]) -> float | None:
    places = [row.found for row in rows if row.found is not None]
    return sum(places) / len(places) if len(places) == len(rows) and rows else None


def _preload(problem: Problem, end: str) -> Move | Barred:
    lever = f"{end}.preload_mm"
    allowed = problem.limits.front_preload if end == "front" else problem.limits.rear_preload
    rows = _rows(problem, "preload", end)
    if not rows:
        if allowed is None:
            return Barred(lever, "range_unknown")
        by = _stepped(*allowed, STEPS["mm"])
        # An adjuster that nobody named: caps in the fork, a collar on the shock.
        return Move(lever, end, "mm", None, by, by, PRELOAD, "adjusters" if end == "front" else "hand_tools")
    if not _alike(rows):
        return Barred(lever, "legs_unlike")
    row, size = rows[0], _size(rows[0])
    if size is None:
        return Barred(lever, "step_unknown")
    inward = -size if row.counted_from == "closed" else size
    low, high = _counted(rows)
    if allowed is None and not np.isfinite([low, high]).all():
        return Barred(lever, "place_unknown")
    if allowed is not None:
        ends = sorted(limit / inward for limit in allowed)
        if all(one.range_counted is None or one.found is None for one in rows):
            # Not counted: the limit says how far it goes, yet never past closed.
            low, high = (max(low, ends[0]), ends[1])
        low, high = max(low, ends[0]), min(high, ends[1])
    by = _stepped(low, high, STEPS.get(row.unit, 1.0))
    keys = tuple(one.key for one in rows)
    return Move(lever, end, row.unit, _mean_found(rows), by, by * inward, PRELOAD, "adjusters", keys)


def _spacer(problem: Problem) -> Move | Barred:
    allowed = problem.limits.front_spacer
    if allowed is None:
        return Barred(SPACER, "range_unknown")
    by = _stepped(*allowed, STEPS["mm"])
    return Move(SPACER, "front", "mm", None, by, by, OIL, "home_workshop")


def _spring(problem: Problem, model: Model, end: str) -> Move | Barred:
    lever = f"{end}.spring_rate"
    rates = problem.parts.front_rates if end == "front" else problem.parts.rear_rates
    if not rates:
        return Barred(lever, "no_parts")
    now = model.bike.front if end == "front" else model.bike.rear
    told = standing(problem.case).get(lever)
    found = float(np.asarray(now.coil.rate).flat[0]) / now.count
    start = found if told is None else told
    # With no rate known at all the spring is exchanged for one whose preload nobody can foretell.
    if not np.isfinite(start):
        return Barred(lever, "place_unknown")
    by = _ranked(np.unique(np.asarray(rates, dtype=np.float64)) - start)
    sizes = np.where(by == 0.0, np.nan, by + start)
    effort, skill = (FORK_SPRING, "home_workshop") if end == "front" else (SHOCK_SPRING, "specialist")
    return Move(lever, end, "N/mm", start, by, sizes, effort, skill, part=True)


def _oil(problem: Problem, model: Model) -> Move | Barred:
    lever = "front.oil_level_mm"
    start, allowed = standing(problem.case).get(lever), problem.limits.oil_level
    if start is None or not isinstance(model.bike.front.air, AirColumn):
        return Barred(lever, "oil_unknown")
    if allowed is None:
        return Barred(lever, "range_unknown")
    by = _stepped(allowed[0] - start, allowed[1] - start, OIL_STEP)
    return Move(lever, "front", "mm", start, by, -by, OIL, "home_workshop")


def _pressure(problem: Problem, model: Model) -> Move | Barred:
    lever = "front.air_pressure_kpa"
    start, allowed = standing(problem.case).get(lever), problem.limits.air_pressure
    if start is None or not isinstance(model.bike.front.air, AirFork):
        return Barred(lever, "place_unknown")
    if allowed is None:
        return Barred(lever, "range_unknown")
    by = _stepped(allowed[0] - start, allowed[1] - start, STEPS["kPa"])
    return Move(lever, "front", "kPa", start, by, by, PRELOAD, "adjusters")


def _fork_position(problem: Problem, model: Model) -> Move | Barred:
    """Legs up by whole millimetres: 5 a round, 10 overall, within the mark, and never into the bodywork."""
    lever = "front.fork_position_mm"
    rows = _rows(problem, "fork_position", "front")
    start = _mean_found(rows)
    if start is None:
        return Barred(lever, "place_unknown")
    if any(row.unit != "mm" for row in rows):
        return Barred(lever, "step_unknown")
    heights = [row.found for row in rows if row.found is not None]
    if max(heights) - min(heights) > LEGS_AGREE:
        return Barred(lever, "legs_unlike")
    maker = problem.limits.fork_maker if problem.limits.fork_maker is not None else start
    low = max(-FORK_A_ROUND, maker - FORK_OVERALL - start, -start)
    high = min(FORK_A_ROUND, maker + FORK_OVERALL - start)
    if problem.limits.fork_mark is not None:
        high = min(high, problem.limits.fork_mark - start)
    for row in rows:
        if row.range_counted is not None:
            high = min(high, row.range_counted - start)
    room = full_compression(model.pack.get("bodywork_gap.front"), model.bike.front.stroke).left.flat[0] - NEEDED
    measured = bool(np.isfinite(room))
    if measured:
        high = min(high, float(room))
    # Where nothing more is left either way up, coming down still is; a range that leaves out nought has none.
    by = _stepped(min(low, 0.0), max(high, 0.0), STEPS["mm"])
    needs = () if measured else ("bodywork_gap.front",)
    keys = tuple(row.key for row in rows)
    return Move(
        lever, "plane", "mm", start, by, by, PLANE, "hand_tools", keys, needs=needs, most_at_a_time=FORK_AT_A_TIME
    )


def _ride_height(problem: Problem) -> Move | Barred:
    lever, allowed = "rear.ride_height_mm", problem.limits.ride_height
    rows = _rows(problem, "ride_height", "rear")
    if not rows:
        if allowed is None:
            return Barred(lever, "range_unknown")
        by = _stepped(*allowed, STEPS["mm"])
        return Move(lever, "plane", "mm", None, by, by, PLANE, "hand_tools")
    row, size = rows[0], _size(rows[0])
    if size is None:
        return Barred(lever, "step_unknown")
    low, high = _counted(rows)
    if allowed is None and not np.isfinite([low, high]).all():
        return Barred(lever, "place_unknown")
    if allowed is not None:
        if all(one.range_counted is None for one in rows):
            high = np.inf
        low, high = max(low, allowed[0] / size), min(high, allowed[1] / size)
    by = _stepped(low, high, STEPS.get(row.unit, 1.0))
    keys = tuple(one.key for one in rows)
    return Move(lever, "plane", row.unit, _mean_found(rows), by, by * size, PLANE, "hand_tools", keys)
