"""Where an end comes to rest on its springs, and the springs that bring it to rest where it is wanted.

The questions are asked of any force law, fork or rear. Travel mm, load N, both in that end's own coordinate.
"""

import numpy as np

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.roots import newton, polish

#: A last Newton step longer than this, mm, and the start was not near: solve in full.
NEAR = 0.01


def equilibrium(law: Law, load: Num, stroke: Num, start: Num | None = None) -> Array:
    """Return the travel, mm, in [0, stroke] at which ``law`` carries ``load`` N.

    0 (topped out) where the load is no more than force(0), ``stroke`` (bottomed) where it is force(stroke) or more.
    ``start`` is a near solution (the nominal case's, say): two Newton steps from it, and the whole solve only where
    those did not settle. NaN where anything is NaN or the stroke is not above zero. Shape: the broadcast of all.
    """

    def excess(s: Array) -> Array:
        return law.force(s) - load

    if start is not None:
        first = polish(excess, law.stiffness, start, 0.0, stroke, steps=1)
        second = polish(excess, law.stiffness, first, 0.0, stroke, steps=1)
        if not np.any(np.abs(second - first) > NEAR):
            return second
    with np.errstate(all="ignore"):
        top, bottom = excess(np.zeros(())), excess(np.asarray(stroke, dtype=np.float64))
        between = (top < 0.0) & (bottom > 0.0)
        # Where the answer is an end, the solver is given a bracket of no width there.
        low = np.where(top >= 0.0, 0.0, np.where(bottom <= 0.0, stroke, 0.0))
        high = np.where(top >= 0.0, 0.0, stroke)
        guess = np.where(between, -top / (bottom - top), 0.0) * (high - low) + low
        known = np.where((np.asarray(stroke) > 0.0) & ~np.isnan(top + bottom), 0.0, np.nan)
        if not np.any(between & (known == 0.0)):
            ends: Array = guess + known
            return ends
        return newton(excess, law.stiffness, low, high, guess + known)
