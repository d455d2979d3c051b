"""From a problem to its answers in point values: search, order, and each answer told in full."""

from dataclasses import dataclass

import numpy as np

from tuning.engine.levers import standing
from tuning.engine.solve_answers import Outcome, Solution, Step
from tuning.engine.solve_levers import SPRINGS_OF, Barred, Move, above, moves_of
from tuning.engine.solve_problem import SKILLS, TARGETS, Problem
from tuning.engine.solve_search import (
    MOST_ANSWERS,
    Both,
    Rows,
    apart,
    at_once,
    effort,
    grid,
    rows_of,
    without_idle,
)
from tuning.engine.solve_values import Judged, Places, Teller
from tuning.engine.whatif import Model

#: Places of the plane's levers, at most.
MOST_HEIGHTS = 400


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """One search: what was looked at and what was found, as places of ``moves``."""

    problem: Problem
    teller: Teller
    keys: tuple[str, ...]
    both: Both
    barred: tuple[Barred, ...]
    found: tuple[Places, ...]
    complete: bool

    @property
    def moves(self) -> tuple[Move, ...]:
        return self.both.moves


def end_of(key: str) -> str:
    """Return the end whose levers alone a target hangs on; nothing where it hangs on more."""
    end = key.partition(".")[2]
    return end if key.startswith(("sag_", "reserve_", "ride_frequency.")) else ""


def _moves_springs(key: str, end: str) -> bool:
    """Return whether a target that hangs on more than one end is reason enough to touch this end's springs.

    Geometry is not: an end whose sags nobody asks about keeps them.
    """
    return key == "ride_frequency_ratio" or (end == "front" and (key.startswith("brake_") or "_braking" in key))


def search(problem: Problem, model: Model, teller: Teller, keys: tuple[str, ...]) -> Search:
    moves, barred = moves_of(problem, model)
    joint = tuple(key for key in keys if not end_of(key))
    ends: list[Rows] = []
    for end in ("front", "rear"):
        own = [key for key in keys if end_of(key) == end]
        if not own and not any(_moves_springs(key, end) for key in joint):
            levers = [move.lever for move in moves] + [one.lever for one in barred]
            springs = [lever for lever in SPRINGS_OF[end] if lever in levers]
            moves = [move for move in moves if move.lever not in springs]
            barred = [one for one in barred if one.lever not in springs]
            barred += [Barred(lever, "not_asked") for lever in springs]
        ends.append(rows_of(teller, [move for move in moves if move.end == end], own))
    plane, heights, thinned = grid([move for move in moves if move.end == "plane" and joint], MOST_HEIGHTS)
    both = Both(ends[0], ends[1], plane, heights, joint)
    complete = not (thinned or ends[0].thinned or ends[1].thinned)
    if not joint:
        found = apart(*ends)
    elif all(end.judged.meets.any() for end in ends):
        found, looked = at_once(teller, both)
        complete = complete and looked
    else:
        found = []
    return Search(problem, teller, keys, both, tuple(barred), tuple(found), complete)


def answers(search: Search, found: list[Places]) -> list[Solution]:
    """Return the answers in order, each foretold in full and held against every target once more."""
    moves = search.moves
    if not search.complete:
        found = without_idle(search.teller, search.keys, moves, found)
    if not found:
        return []
    places = np.stack(found)
    judged = search.teller.judge(search.keys, moves, places)
    return [solution(search, judged, places, row) for row in _order(moves, places, judged)[:MOST_ANSWERS]]


def _order(moves: tuple[Move, ...], places: Places, judged: Judged) -> list[int]:
    def rank(row: int) -> tuple[object, ...]:
        mask = sum(1 << bit for bit, place in enumerate(places[row]) if place)
        margin = round(float(judged.margin[row]), 2)
        return effort(moves, mask), mask.bit_count(), -margin, int(places[row].sum()), tuple(places[row].tolist())

    return sorted(np.flatnonzero(judged.meets).tolist(), key=rank)


def solution(search: Search, judged: Judged, places: Places, row: int) -> Solution:
    steps = tuple(
        _step(search.problem, move, int(place))
        for move, place in zip(search.moves, places[row], strict=True)
        if place
    )
    moved = [move for move, place in zip(search.moves, places[row], strict=True) if place]
    return Solution(
        steps=steps,
        outcomes=outcomes(search.teller, judged, row),
        meets=bool(judged.meets[row]),
        margin=float(judged.margin[row]),
        count=len(steps),
        effort=sum(move.effort for move in moved),
        skill=SKILLS[max((SKILLS.index(move.skill) for move in moved), default=0)],
        have_it_done=any(step.have_it_done for step in steps),
        parts={step.lever: step.size for step in steps if step.part},
    )


def _step(problem: Problem, move: Move, place: int) -> Step:
    by = float(move.by[place])
    worked_out = move.part and move.lever not in standing(problem.case)
    size = float(move.sizes[place])
    return Step(
        lever=move.lever,
        unit=move.unit,
        start=move.start,
        by=by,
        to=size if move.part else None if move.start is None else move.start + by,
        size=size,
        adjusters=move.keys,
        start_from="unknown" if move.start is None else "worked_out" if worked_out else "told",
        skill=move.skill,
        have_it_done=above(problem, move),
        part=move.part,
        fitted_as_before=move.part,
        needs=move.needs if by > 0 else (),
        at_a_time=move.most_at_a_time,
    )


def outcomes(teller: Teller, judged: Judged, row: int) -> tuple[Outcome, ...]:
    found = []
    for place, key in enumerate(judged.keys):
        band = teller.targets[key]
        found.append(
            Outcome(
                target=key,
                unit=TARGETS[key],
                value=float(judged.value[place, row]),
                other=float(judged.other[place, row]) if _bracket(key) else None,
                low=band.low,
                high=band.high,
                miss=_miss(judged, place, row),
                margin=float(judged.share[place, row]),
            )
        )
    return tuple(found)


def _bracket(key: str) -> bool:
    return key.startswith("reserve_") and "_by_" not in key


def _miss(judged: Judged, place: int, row: int) -> float:
    return 0.0 if judged.met[place, row] else float(-judged.inside[place, row])
