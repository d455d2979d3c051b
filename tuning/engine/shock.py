"""The rear end's force law at the axle: a shock, or two, seen through the leverage.

Travel z is the axle's, vertical, mm from topped out; u is the shock's stroke. Virtual work gives F_w = F_s/LR and
dF_w/dz = (k_s − F_s dLR/dz)/LR²: a leverage that falls with travel stiffens the wheel even on a linear spring.
"""

from dataclasses import dataclass, replace

import numpy as np

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.coil import BumpStop
from tuning.engine.linkage import Leverage


def wheel_rate(shock_rate: Num, ratio: Num, count: Num = 1.0, force: Num = 0.0, slope: Num = 0.0) -> Array:
    """Return the vertical rate at the axle, N/mm: count (k_s − F_s dLR/dz)/LR².

    ``shock_rate`` N/mm and ``force`` N of one shock at that travel; ``slope`` dLR/dz in 1/mm, nought for a constant
    leverage, where the force does not matter.
    """
    return np.asarray(count * (shock_rate - force * np.asarray(slope)) / np.square(_positive(ratio)))


def rate_at_shock(rate_at_wheel: Num, ratio: Num, count: Num = 1.0) -> Array:
    """Return the rate of one shock's spring, N/mm, that gives a rate at the axle under a constant leverage."""
    with np.errstate(all="ignore"):
        return np.asarray(rate_at_wheel * np.square(_positive(ratio)) / _positive(count))


def axle_per_preload(ratio: Num) -> Array:
    """Return the axle's move, mm, for 1 mm of preload at the shock: LR, exact where the leverage is constant."""
    return _positive(ratio)


def _positive(value: Num) -> Array:
    value = np.asarray(value, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where(value > 0, value, np.nan)


@dataclass(frozen=True, slots=True, eq=False)
class RearLaw:
    """A rear end as a force law (see Law) in the axle's vertical travel.

    Attributes:
        leverage: LR(z).
        spring: one shock's spring, a law in its stroke: N against mm at the shock.
        count: shocks alike, 1 or 2; twin shocks add.
        bump: each shock's bump stop, in its stroke, or None where it is left out of the account.
    """

    leverage: Leverage
    spring: Law
    count: Num = 1.0
    bump: BumpStop | None = None

    def _at_shock(self, u: Array) -> Array:
        force = self.spring.force(u)
        return force if self.bump is None else force + self.bump.force(u)

    def force(self, s: Num) -> Array:
        """Return the vertical force at the axle, N, at axle travel ``s`` mm."""
        return np.asarray(self.count * self._at_shock(self.leverage.shock_travel(s)) / self.leverage.ratio(s))

    def stiffness(self, s: Num) -> Array:
        """Return the rate at the axle, N/mm, the change of leverage included."""
        u = self.leverage.shock_travel(s)
        rate = self.spring.stiffness(u)
        if self.bump is not None:
            rate = rate + self.bump.stiffness(u)
        return wheel_rate(rate, self.leverage.ratio(s), self.count, self._at_shock(u), self.leverage.slope(s))

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, from topped out to axle travel ``s``: the shocks' own, since no work is lost."""
        u = self.leverage.shock_travel(s)
        work = self.spring.energy(u)
        if self.bump is not None:
            work = work + self.bump.energy(u)
        return np.asarray(self.count * work)

    def with_preload(self, delta: Num) -> "RearLaw":
        """Return the same rear end with each shock's spring seat wound in by ``delta`` mm."""
        return replace(self, spring=self.spring.with_preload(delta))

    def bump_begins(self) -> Array:
        """Return the axle travel, mm, at which the bump stop begins; infinite where there is none."""
        return np.asarray(np.inf) if self.bump is None else self.leverage.wheel_travel(self.bump.start)

    def reserve(self, deepest: Num, stroke: Num, *, count_bump: bool) -> Array:
        """Return what is left beyond ``deepest``, mm at the axle.

        With ``count_bump`` up to the end of the ``stroke``; without, up to where the bump stop begins (negative: the
        ride was already that far on it), for it is a reserve only where the tuner says so.
        """
        end = np.asarray(stroke, dtype=np.float64)
        return (end if count_bump else np.minimum(end, self.bump_begins())) - deepest
