"""The search: each end by itself, since its sags and reserves hang on its own levers alone, then both with the plane.

Rows are places: one index a lever into its places, nought for as it is. A set of levers is a mask, one bit a lever.
Sets come in order of effort, then of how many levers; sets that hold a set already solved are passed over, so that
no answer can do without one of its changes.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from tuning.engine.arrays import Array, Mask
from tuning.engine.solve_levers import Move
from tuning.engine.solve_values import Judged, Places, Teller

#: Rows worked at most: of one end, and of one set of levers at both, without braking and with.
MOST_OF_AN_END, MOST_OF_A_SET, MOST_BRAKING = 12_000, 4_000, 1_500
#: Rows kept back for what comes after the search: cutting answers down, reasons, the compromise.
KEPT_BACK = 10_000
#: Answers with the same levers and other springs, at most; answers in all.
ALTERNATIVES, MOST_ANSWERS = 3, 12
#: Margins nearer than this are alike: the shorter way is taken.
ALIKE = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """One end's levers in every combination of their places (K, levers), and what each gives."""

    moves: tuple[Move, ...]
    places: Places
    judged: Judged
    thinned: bool

    @property
    def masks(self) -> Places:
        """(K) the levers moved, one bit each."""
        bits: Places = np.asarray((self.places > 0) @ (1 << np.arange(len(self.moves), dtype=np.intp)), dtype=np.intp)
        return bits

    def effort(self, mask: int) -> int:
        return effort(self.moves, mask)


def effort(moves: Sequence[Move], mask: int) -> int:
    """Return what a set of levers costs in trouble."""
    return sum(move.effort for bit, move in enumerate(moves) if mask >> bit & 1)


def grid(moves: Sequence[Move], most: int) -> tuple[tuple[Move, ...], Places, bool]:
    """Return every combination of places, in coarser steps (told) where there are more than ``most``."""
    kept, thinned = list(moves), False
    while np.prod([len(move.by) for move in kept]) > most:
        lengths = [0 if move.part else len(move.by) for move in kept]
        longest = int(np.argmax(lengths))
        if lengths[longest] < 4:
            break
        kept[longest], thinned = _coarser(kept[longest]), True
    sizes = [len(move.by) for move in kept]
    places: Places = (
        np.indices(sizes, dtype=np.intp).reshape(len(sizes), -1).T if sizes else np.zeros((1, 0), dtype=np.intp)
    )
    return tuple(kept), places, thinned


def _coarser(move: Move) -> Move:
    """Return every second place, as it is among them: still whole steps of the adjuster."""
    step = np.abs(move.by[1:]).min()
    keep = np.round(move.by / step) % 2 == 0
    return replace(move, by=move.by[keep], sizes=move.sizes[keep])


def rows_of(teller: Teller, moves: Sequence[Move], keys: Iterable[str]) -> Rows:
    """Return all that an end can do, judged by its own targets."""
    kept, places, thinned = grid(moves, min(MOST_OF_AN_END, teller.left // 4))
    return Rows(kept, places, teller.judge(keys, kept, places), thinned)


def best_of(moves: Sequence[Move], places: Places, margin: Array, most: int = ALTERNATIVES) -> list[int]:
    """Return the best row for each choice of parts, best first: greatest margin, then shortest way, then order.

    Margins count in hundredths. The way is the sum of the places' ranks, nearest to as it is first.
    """
    order = np.lexsort((np.arange(len(places)), places.sum(axis=1), -np.round(margin / ALIKE)))
    parts = [column for column, move in enumerate(moves) if move.part]
    seen: set[tuple[int, ...]] = set()
    found = []
    for row in order:
        choice = tuple(int(places[row, column]) for column in parts)
        if choice not in seen:
            seen.add(choice)
            found.append(int(row))
        if len(found) == most:
            break
    return found


def minimal(masks: Iterable[int]) -> list[int]:
    """Return the masks that hold no other of them."""
    each = sorted(set(masks))
    return [mask for mask in each if not any(other != mask and other & mask == other for other in each)]


def apart(front: Rows, rear: Rows) -> list[Places]:
    """Return the answers where no target asks of both ends: each end's, combined; rows over both ends' levers."""
    found = []
    for one, other in product(_minimal_rows(front), _minimal_rows(rear)):
        found.append(np.concatenate((front.places[one], rear.places[other])))
    return found


def _minimal_rows(end: Rows) -> list[int]:
    masks = end.masks
    met = np.flatnonzero(end.judged.meets)
    found = []
    for mask in minimal(masks[met].tolist()):
        rows = met[masks[met] == mask]
        found += [int(rows[best]) for best in best_of(end.moves, end.places[rows], end.judged.margin[rows])]
    return found


@dataclass(frozen=True, slots=True, eq=False)
class Both:
    """Both ends and the plane, for targets that ask of all."""

    front: Rows
    rear: Rows
    plane: tuple[Move, ...]
    heights: Places
    keys: tuple[str, ...]

    @property
    def moves(self) -> tuple[Move, ...]:
        return (*self.front.moves, *self.rear.moves, *self.plane)

    @property
    def most(self) -> int:
        """Rows of one set of levers."""
        brakes = any(key.startswith("brake_") or "_braking" in key for key in self.keys)
        return MOST_BRAKING if brakes else MOST_OF_A_SET

    def together(self, front: Places, rear: Places, heights: Places) -> tuple[Places, Places, Places]:
        """Return every combination of rows as (places, which front row, which rear row)."""
        one, other, height = (
            axis.ravel() for axis in np.meshgrid(front, rear, np.arange(len(heights)), indexing="ij")
        )
        places = np.concatenate((self.front.places[one], self.rear.places[other], heights[height]), axis=1)
        return places, one, other


def _thin(rows: Places, most: int) -> Places:
    """Return at most so many of the rows, evenly spread."""
    if len(rows) <= most:
        return rows
    return rows[np.unique(np.round(np.linspace(0, len(rows) - 1, most)).astype(np.intp))]


def thin_three(front: Places, rear: Places, heights: Places, most: int) -> tuple[Places, Places, Places, bool]:
    """Return as many of each as their combinations may be, the longest cut first."""
    thinned = False
    rows = [front, rear, heights]
    while len(rows[0]) * len(rows[1]) * len(rows[2]) > most:
        longest = max(range(3), key=lambda place: len(rows[place]))
        others = np.prod([len(rows[place]) for place in range(3) if place != longest])
        size = len(rows[longest])
        rows[longest] = _thin(rows[longest], max(2, min(size * 3 // 4, max(int(most // others), size // 2))))
        thinned = True
    return rows[0], rows[1], rows[2], thinned


def _sets(both: Both) -> Iterator[tuple[int, int, int]]:
    """Yield the sets of levers whose ends are met, least effort first."""
    fronts, rears = (sorted(set(end.masks[end.judged.meets].tolist())) for end in (both.front, both.rear))
    planes = sorted(set(_bits(both.heights).tolist()))

    def rank(sets: tuple[int, int, int]) -> tuple[object, ...]:
        cost = both.front.effort(sets[0]) + both.rear.effort(sets[1]) + effort(both.plane, sets[2])
        return cost, sum(one.bit_count() for one in sets), sets

    yield from sorted(product(fronts, rears, planes), key=rank)


def _bits(places: Places) -> Places:
    return np.asarray((places > 0) @ (1 << np.arange(places.shape[1], dtype=np.intp)), dtype=np.intp)


def at_once(teller: Teller, both: Both) -> tuple[list[Places], bool]:
    """Return the answers where targets ask of both ends and the plane, and whether every row was looked at."""
    found: list[Places] = []
    solved: list[tuple[int, int, int]] = []
    complete = True
    masks = {"front": both.front.masks, "rear": both.rear.masks}
    met: dict[str, Mask] = {"front": both.front.judged.meets, "rear": both.rear.judged.meets}
    planes = _bits(both.heights)
    for sets in _sets(both):
        if any(all(a & b == a for a, b in zip(one, sets, strict=True)) for one in solved):
            continue
        if len(found) >= MOST_ANSWERS:
            break
        if teller.left < both.most + KEPT_BACK:
            return found, False
        rows = [np.flatnonzero((masks[end] == mask) & met[end]) for end, mask in zip(masks, sets[:2], strict=True)]
        heights = np.flatnonzero(planes == sets[2])
        front, rear, height, thinned = thin_three(rows[0], rows[1], heights, both.most)
        complete = complete and not thinned
        places, one, other = both.together(front, rear, both.heights[height])
        judged = teller.judge(both.keys, both.moves, places)
        hits = np.flatnonzero(judged.meets)
        if not len(hits):
            continue
        solved.append(sets)
        margin = np.minimum(both.front.judged.margin[one], both.rear.judged.margin[other])
        margin = np.minimum(margin, judged.margin)[hits]
        found += [places[hits[best]] for best in best_of(both.moves, places[hits], margin)]
    return found, complete


def without_idle(teller: Teller, keys: Sequence[str], moves: Sequence[Move], found: list[Places]) -> list[Places]:
    """Return the answers, each cut to the smallest part of itself that meets all: a coarse search may pass one."""
    kept: list[Places] = []
    for row in found:
        moved = np.flatnonzero(row)
        subsets: Places = (np.arange(1 << len(moved), dtype=np.intp)[:, None] >> np.arange(len(moved))) & 1
        places = np.zeros((len(subsets), len(row)), dtype=np.intp)
        places[:, moved] = subsets * row[moved]
        meets = teller.judge(keys, moves, places).meets
        meets[-1] = True
        costs = [(effort(moves, int(_bits(one[None])[0])), int((one > 0).sum()), k) for k, one in enumerate(places)]
        best = places[min(cost for cost, ok in zip(costs, meets, strict=True) if ok)[2]]
        if not any((best == other).all() for other in kept):
            kept.append(best)
    sets = [int(_bits(row[None])[0]) for row in kept]
    least = set(minimal(sets))
    return [row for row, mask in zip(kept, sets, strict=True) if mask in least]
