"""Why nothing meets all targets: what is out of reach, what clashes, what is in the way, and what comes nearest."""

from dataclasses import replace
from itertools import combinations

import numpy as np

from tuning.engine.solve_answers import Reason, Shortfall, Solution
from tuning.engine.solve_levers import Barred, Move
from tuning.engine.solve_problem import SKILLS, Client, Parts
from tuning.engine.solve_search import Both, thin_three
from tuning.engine.solve_tell import Search, answers, end_of, outcomes, search, solution
from tuning.engine.solve_values import Judged, Places
from tuning.engine.whatif import Model

#: Rows of each end that the compromise is looked for among: the nearest, and as many evenly spread.
SHORT_LIST = 24
#: Rates looked at when none at hand will do: shares of the present one.
LADDER = tuple(float(step) for step in np.round(np.geomspace(0.6, 1.7, 40), 3))
#: A wider search is made only with so many rows left.
KEPT_FOR_MORE = 4_000


def reason_of(made: Search) -> tuple[Reason, Solution]:
    """Return why nothing meets all, and the best compromise: the least sum of misses, then the least effort."""
    both, teller = made.both, made.teller
    groups = [(end.moves, end.places, end.judged) for end in (both.front, both.rear)]
    places = _pool(both)
    pool = teller.judge(made.keys, both.moves, places)
    if both.keys:
        groups.append((both.moves, places, pool))
    row = _nearest(both.moves, places, pool)
    compromise = solution(made, pool, places, row)
    kind, targets, shortfalls = "", [], []
    for moves, grid_, judged in groups:
        far = [place for place in range(len(judged.keys)) if not judged.met[place].any()]
        for place in far:
            key = judged.keys[place]
            if key in targets:
                continue
            nearest = int(np.argmax(judged.inside[place]))
            targets.append(key)
            shortfalls.append(_shortfall(made, judged, place, nearest, _stuck(made, moves, grid_[nearest], key)))
            kind = "out_of_reach"
    if not kind:
        # Each by itself can be reached: name the fewest that no row meets together.
        clash = next((_clash(judged) for _, _, judged in groups if not judged.meets.any()), ())
        kind, targets = ("together", list(clash)) if clash else ("search_bounded", [])
        for place, key in enumerate(pool.keys):
            if not pool.met[place, row]:
                stuck = _stuck(made, both.moves, places[row], key)
                shortfalls.append(_shortfall(made, pool, place, row, stuck))
    wish, beyond = _more(made)
    return Reason(kind, tuple(targets), tuple(shortfalls), wish, beyond), compromise


def _shortfall(made: Search, judged: Judged, place: int, row: int, stuck: tuple[Barred, ...]) -> Shortfall:
    one = outcomes(made.teller, judged, row)[place]
    return Shortfall(one.target, one.unit, one.value, one.other, one.miss, stuck)


def _clash(judged: Judged) -> tuple[str, ...]:
    for size in range(2, len(judged.keys) + 1):
        for some in combinations(range(len(judged.keys)), size):
            if not judged.met[list(some)].all(axis=0).any():
                return tuple(judged.keys[place] for place in some)
    return ()


def _stuck(made: Search, moves: tuple[Move, ...], places: Places, key: str) -> tuple[Barred, ...]:
    """Return the levers a target hangs on that go no further there, and those that are not offered."""
    end = end_of(key)
    found = []
    for move, place in zip(moves, places, strict=True):
        at = move.by[place]
        if (not end or move.end == end) and at in (move.by.min(), move.by.max()):
            found.append(Barred(move.lever, "end_of_parts" if move.part else "end_of_range"))
    return (
        *found,
        *(one for one in made.barred if one.reason != "not_asked" and (not end or one.lever.startswith(end))),
    )


def _nearest(moves: tuple[Move, ...], places: Places, judged: Judged) -> int:
    misses = np.where(judged.met, 0.0, np.maximum(-judged.share, 0.0)).sum(axis=0)
    costs = (places > 0) @ np.array([move.effort for move in moves], dtype=np.int64)
    order = np.lexsort(
        (np.arange(len(places)), places.sum(axis=1), -np.round(judged.margin, 2), costs, misses.round(3))
    )
    return int(order[0])


def _pool(both: Both) -> Places:
    """Return the places of both ends and the plane that come nearest by themselves, in every combination."""
    short = []
    for end in (both.front, both.rear):
        misses = np.where(end.judged.met, 0.0, np.maximum(-end.judged.share, 0.0)).sum(axis=0)
        costs = (end.places > 0) @ np.array([move.effort for move in end.moves], dtype=np.int64)
        order = np.lexsort((end.places.sum(axis=1), -np.round(end.judged.margin, 2), costs, misses.round(3)))
        spread = np.round(np.linspace(0, len(order) - 1, SHORT_LIST)).astype(np.intp)
        short.append(np.unique(np.concatenate((order[:SHORT_LIST], order[spread] if both.keys else order[:1]))))
    heights = np.arange(len(both.heights))
    front, rear, height, _ = thin_three(short[0], short[1], heights, both.most)
    return both.together(front, rear, both.heights[height])[0]


def _more(made: Search) -> tuple[Solution | None, tuple[str, ...]]:
    """Return what would meet all, were more skill, money or springs at hand, and what of these it goes beyond."""
    problem, model = made.problem, made.teller.model
    free = Client("specialist", "any")
    springs = Parts(*(_ladder(model, end) for end in ("front", "rear")))
    for wider in (replace(problem, client=free), replace(problem, client=free, parts=springs)):
        if wider == problem or made.teller.left < KEPT_FOR_MORE:
            continue
        found = search(wider, model, made.teller, made.keys)
        solutions = answers(found, list(found.found)) if found.found else []
        if solutions:
            first = solutions[0]
            new_parts = wider.parts is springs and bool(first.parts)
            skill = SKILLS.index(first.skill) > SKILLS.index(problem.client.skill)
            budget = bool(first.parts) and problem.client.budget == "none"
            over = (("skill", skill), ("budget", budget), ("parts", new_parts))
            return first, tuple(name for name, flag in over if flag)
    return None, ()


def _ladder(model: Model, name: str) -> tuple[float, ...]:
    end = model.bike.front if name == "front" else model.bike.rear
    rate = float(np.asarray(end.coil.rate).flat[0]) / end.count
    return tuple(rate * step for step in LADDER) if np.isfinite(rate) and rate > 0 else ()
