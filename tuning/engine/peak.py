"""How deep an end will go after a change of springs, preload or air, on the same ride.

Two readings of "the same ride". A steady event such as braking asks for the same force again: equal peak force. A
bump brings the same energy again, counted from the unloaded rest length: equal absorbed energy, an upper estimate of
the springs' share, for the damper takes part of it. They can disagree even in sign, and nobody knows which event made
the deepest mark: both are carried, never their mean.

A ring found at the end of the stroke says only that the event asked for *at least* that much. Then every travel found
here reads "at least", and so does what is left over; the caller carries that flag.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.roots import newton, root


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """How deep one kind of event goes.

    Attributes:
        travel: deepest travel, mm, in [0, stroke]; "at least" where the mark was at the end of the stroke.
        left_over: what the springs did not take up by the end of the stroke: N for a force, N·mm for an energy;
            nought where the travel is short of the end.
    """

    travel: Array
    left_over: Array


@dataclass(frozen=True, slots=True, eq=False)
class Bracket:
    """Both answers to how deep it will go. All arrays of one shape; never a mean of the two.

    Attributes:
        low: the lesser deepest travel, mm.
        high: the greater, mm.
        left_over_force: of the equal-force answer at the end of the stroke, N.
        left_over_energy: of the equal-energy answer at the end of the stroke, N·mm.
        by_force: deepest travel by equal peak force, mm: braking and other steady events.
        by_energy: deepest travel by equal absorbed energy, mm: bumps.
    """

    low: Array
    high: Array
    left_over_force: Array
    left_over_energy: Array
    by_force: Array
    by_energy: Array

    def disagree(self, deepest: Num, within: float = 0.0) -> npt.NDArray[np.bool_]:
        """Return where one goes deeper than ``deepest`` and the other less deep, each by more than ``within`` mm."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.low < deepest - within) & (self.high > deepest + within))


def by_peak_force(before: Law, after: Law, deepest: Num, stroke: Num) -> Reach:
    """Return the travel at which ``after`` pushes as hard as ``before`` did at ``deepest`` (mm).

    Both laws must push harder the further in. 0 where ``after`` pushes that hard topped out. NaN where anything is
    NaN, the stroke is not above nought or ``deepest`` lies outside [0, stroke].
    """
    force = before.force(_mark(deepest, stroke))
    return _reach(lambda s: after.force(s) - force, after.stiffness, deepest, stroke)


def by_energy(before: Law, after: Law, deepest: Num, stroke: Num) -> Reach:
    """Return the travel at which ``after`` has taken up what ``before`` had at ``deepest`` (mm).

    Each law's energy counts from its own unloaded rest: topped out, or where its top-out spring balances it. NaN as
    for by_peak_force, and where ``deepest`` is short of that rest.
    """
    first, rest = unloaded_rest(before, stroke), unloaded_rest(after, stroke)
    energy = before.energy(_mark(deepest, stroke, first)) - before.energy(first)
    nought = after.energy(rest)
    return _reach(lambda s: after.energy(s) - nought - energy, after.force, deepest, stroke, rest)


def bracket(before: Law, after: Law, deepest: Num, stroke: Num) -> Bracket:
    """Return both predictions for going from ``before`` to ``after``; NaN as for by_peak_force."""
    force = by_peak_force(before, after, deepest, stroke)
    energy = by_energy(before, after, deepest, stroke)
    f, e = np.broadcast_arrays(force.travel, energy.travel)
    return Bracket(np.minimum(f, e), np.maximum(f, e), force.left_over, energy.left_over, f, e)


def unloaded_rest(law: Law, stroke: Num) -> Array:
    """Return the travel, mm, at which the end comes to rest with no load: 0, or where it balances its top-out spring.

    A spring that is loose topped out rests at 0: the slack takes up no energy.
    """
    top = law.force(0.0)
    with np.errstate(invalid="ignore"):
        pulled = top < 0.0
    if not np.any(pulled):
        return 0.0 * top
    end = np.where(pulled, stroke, 0.0)
    # no bracket, no travel: an end that pulls together all the way is not a law of springs
    return root(lambda s: np.where(pulled, law.force(s), 0.0 * top), 0.0, end)


def _mark(deepest: Num, stroke: Num, least: Num = 0.0) -> Array:
    deepest = np.asarray(deepest, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where((deepest >= least) & (deepest <= stroke), deepest, np.nan)


def _reach(
    short: Callable[[Array], Array],
    slope: Callable[[Array], Array],
    deepest: Num,
    stroke: Num,
    rest: Num = 0.0,
) -> Reach:
    """Return where the rising ``short`` becomes nought, kept to [rest, stroke], and its shortfall at the end."""
    with np.errstate(all="ignore"):
        end = np.where(np.asarray(stroke) > 0.0, stroke, np.nan)
        top, bottom = short(np.asarray(rest, dtype=np.float64)), short(end)
        known = np.where(np.isnan(top + bottom), np.nan, 0.0)
        low = np.where((top < 0.0) & (bottom <= 0.0), end, rest)
        high = np.where(top >= 0.0, rest, end)
        # the old mark is near the new one
        start = np.minimum(np.maximum(deepest, low), high)
        between = (top < 0.0) & (bottom > 0.0)
        travel = newton(short, slope, low, high, start + known) if np.any(between) else start + known
        return Reach(travel, np.maximum(-bottom, 0.0) + known)
