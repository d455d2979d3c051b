"""Why nothing meets all targets: what is out of reach, what clashes, what is in the way, and what comes nearest."""

from dataclasses import replace
from itertools import combinations, zip_longest

import numpy as np

from tuning.engine.solve_answers import Reason, Shortfall, Solution
from tuning.engine.solve_levers import Barred, Move
from tuning.engine.solve_problem import SKILLS, Client, Parts
from tuning.engine.solve_search import Both
from tuning.engine.solve_tell import Search, answers, end_of, outcomes, search, solution
from tuning.engine.solve_values import Judged, Places
from tuning.engine.whatif import Model

#: Rows that reasons and compromise are looked for among, and places of the plane's levers among them.
POOL, SHORT_HEIGHTS = 6_000, 12
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
    row = int(_ranked(both.moves, places, pool)[0])
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
            still = float(np.ptp(judged.inside[place])) == 0.0
            stuck = _stuck(made, moves, grid_[nearest], key, still=still)
            shortfalls.append(_shortfall(made, judged, place, nearest, stuck))
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
    """Return targets that no row meets together, none of which can be left out: a pair where there is one."""
    count = len(judged.keys)
    for pair in combinations(range(count), 2):
        if not judged.met[list(pair)].all(axis=0).any():
            return tuple(judged.keys[place] for place in pair)
    kept = list(range(count))
    for place in reversed(range(count)):
        fewer = [one for one in kept if one != place]
        if not judged.met[fewer].all(axis=0).any():
            kept = fewer
    return tuple(judged.keys[place] for place in kept)


def _stuck(
    made: Search, moves: tuple[Move, ...], places: Places, key: str, *, still: bool = False
) -> tuple[Barred, ...]:
    """Return the levers a target hangs on that go no further there, and those that are not offered.

    ``still``: no place of any lever moves the target at all.
    """
    end = end_of(key)
    found = []
    for move, place in zip(moves, places, strict=True):
        if end not in ("", move.end):
            continue
        if still:
            found.append(Barred(move.lever, "no_effect"))
        elif move.by[place] in (move.by.min(), move.by.max()):
            found.append(Barred(move.lever, "end_of_parts" if move.part else "end_of_range"))
    out = [one for one in made.barred if one.reason != "not_asked" and (not end or one.lever.startswith(end))]
    return (*found, *out)


def _ranked(moves: tuple[Move, ...], places: Places, judged: Judged) -> Places:
    """Return the rows, least sum of misses first, then least effort, greatest margin, shortest way."""
    misses = np.where(judged.met, 0.0, np.maximum(-judged.share, 0.0)).sum(axis=0)
    costs = (places > 0) @ np.array([move.effort for move in moves], dtype=np.int64)
    keys = (np.arange(len(places)), places.sum(axis=1), -np.round(judged.margin, 2), costs, np.round(misses, 3))
    return np.asarray(np.lexsort(keys), dtype=np.intp)


def _corners(moves: tuple[Move, ...], places: Places) -> Places:
    """Return the rows with every lever at an end of its way or as it is, those with most levers moved first."""
    there = np.ones(len(places), dtype=np.bool_)
    for column, move in enumerate(moves):
        there &= np.isin(places[:, column], (0, int(np.argmin(move.by)), int(np.argmax(move.by))))
    rows = np.flatnonzero(there)
    return np.asarray(rows[np.lexsort((rows, -(places[rows] > 0).sum(axis=1)))], dtype=np.intp)


def _pool(both: Both) -> Places:
    """Return what reasons and compromise are looked for among: each end's nearest, and the corners of what it can do.

    Where no target asks of more than an end, its nearest row is all there is to look at.
    """
    if not both.keys:
        nearest = [_ranked(end.moves, end.places, end.judged)[:1] for end in (both.front, both.rear)]
        return both.together(nearest[0], nearest[1], both.heights)[0]
    heights = _merged(_corners(both.plane, both.heights), np.arange(len(both.heights), dtype=np.intp))[:SHORT_HEIGHTS]
    most = int((POOL // len(heights)) ** 0.5)
    short = [
        _merged(_ranked(end.moves, end.places, end.judged), _corners(end.moves, end.places))[:most]
        for end in (both.front, both.rear)
    ]
    return both.together(short[0], short[1], both.heights[heights])[0]


def _merged(one: Places, other: Places) -> Places:
    """Return both in turn, each row once."""
    turns = [row for pair in zip_longest(one.tolist(), other.tolist()) for row in pair if row is not None]
    return np.array(list(dict.fromkeys(turns)), dtype=np.intp)


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
    return tuple(round(rate * step, 1) for step in LADDER) if np.isfinite(rate) and rate > 0 else ()
