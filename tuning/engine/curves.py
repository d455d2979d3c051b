"""Force over travel for each end, to be drawn: what the springs push back with, and where the bike stands."""

from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.case import Case
from tuning.engine.whatif import Model, model_of

#: How many points a curve has; a bend of a dual rate or a stop falls between two of them.
POINTS = 61


@dataclass(frozen=True, slots=True)
class Curve:
    """One end's springs, no friction: travel mm (N,), force N (N,), in the end's own travel.

    alone, aboard: the travels at which the springs carry the bike alone and with the rider aboard, mm.
    """

    end: str
    travel: tuple[float, ...]
    force: tuple[float, ...]
    alone: float
    aboard: float


def curves(case: Case) -> tuple[Curve, ...]:
    """Return the curve of each end whose springs and stroke are known. Raises EngineInputError."""
    return curves_of(model_of(case, uncertain=False))


def curves_of(model: Model) -> tuple[Curve, ...]:
    """Return the same of a model that is ready."""
    found = []
    rest = (model.base.alone, model.base.aboard)
    for place, (name, end) in enumerate((("front", model.bike.front), ("rear", model.bike.rear))):
        stroke = float(end.stroke[0, 0])
        if not np.isfinite(stroke):
            continue
        travel: Array = np.linspace(0.0, stroke, POINTS)
        force = np.ravel(end.law.force(travel[None, :]))
        if force.shape == travel.shape and np.isfinite(force).all():
            alone, aboard = (float(np.ravel(state[place])[0]) for state in rest)
            found.append(Curve(name, tuple(travel.tolist()), tuple(force.tolist()), alone, aboard))
    return tuple(found)
