"""The readings of several rounds as one vector with its covariance, for fitting a bike to all of them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.case import Case, Reading
from tuning.engine.pack import USUAL_FRICTION
from tuning.engine.quantities import ENDS
from tuning.engine.rates import BOTTOMED, TOPPED_OUT

#: Which way friction holds a loaded length: let up from below the end stands lower, so the sag is greater.
_HELD = {"from_below": 1.0, "from_above": -1.0, "as_is": 0.0}


@dataclass(frozen=True, slots=True)
class Datum:
    """One number to fit: a sag in mm, or what a scale showed in kg.

    round: from 0; state: "bike_alone" or "rider_aboard"; friction: what the end's friction adds to it.
    """

    round: int
    key: str
    end: str
    state: str
    value: float
    sag: bool
    friction: float = 0.0


def data_of(rounds: Sequence[Case]) -> tuple[tuple[Datum, ...], Array]:
    """Return the data of all rounds with their covariance (mm², kg²).

    Sags of one end and round share their topped-out length. A bike alone that stands topped out, and a rider who
    bottoms it, say only "at most" and "at least": they are left out.
    """
    data: list[Datum] = []
    variance: list[float] = []
    shared: list[tuple[int, str, float]] = []
    for place, case in enumerate(rounds):
        for end in ENDS:
            tops = _rows(case, "length_topped_out", end)
            if tops:
                top = sum(row.value for row in tops) / len(tops)
                top_variance = sum(row.half_width**2 for row in tops) / 3 / len(tops) ** 2
                for row in _loaded(case, end, top):
                    data.append(_sag(place, row, end, top - row.value))
                    one_way = USUAL_FRICTION[end] if row.approach == "as_is" else 0.0
                    variance.append((row.half_width**2 + one_way**2) / 3)
                    shared.append((place, end, top_variance))
            for state in ("bike_alone", "rider_aboard"):
                for row in _rows(case, f"scale_{state}", end):
                    if state == "bike_alone" or row.load_state in ("", case.load_state):
                        data.append(Datum(place, f"scale_{state}.{end}", end, state, row.value, sag=False))
                        variance.append(max(row.half_width, 0.1) ** 2 / 3)
                        shared.append((place, "", 0.0))
    covariance = np.diag(np.maximum(np.array(variance), 1e-4)) if variance else np.empty((0, 0))
    for i, (place, end, top_variance) in enumerate(shared):
        for j, (other_place, other_end, _) in enumerate(shared):
            if end and (place, end) == (other_place, other_end):
                covariance[i, j] += top_variance
    return tuple(data), covariance


def _rows(case: Case, quantity: str, end: str) -> list[Reading]:
    return [row for row in case.readings if row.quantity == quantity and row.end == end]


def _loaded(case: Case, end: str, top: float) -> list[Reading]:
    strokes = [row.value for row in _rows(case, "stroke", end)]
    stroke = strokes[0] if strokes else np.inf
    alone = _rows(case, "length_bike_alone", end)
    aboard = [row for row in _rows(case, "length_rider_aboard", end) if row.load_state == case.load_state]
    return [row for row in (*alone, *aboard) if TOPPED_OUT <= top - row.value <= stroke - BOTTOMED]


def _sag(place: int, row: Reading, end: str, value: float) -> Datum:
    state = row.quantity.removeprefix("length_")
    return Datum(place, f"sag_{state}.{end}", end, state, value, sag=True, friction=_HELD[row.approach])
