"""The leverage of a rear suspension: how far the shock moves for what the axle does.

LR(z) = dz/du, z the axle's vertical travel and u the shock's stroke, both mm from topped out. Linkage-less, linkage,
twin-shock and cantilever rear ends are all cases of LR(z), and all three forms here integrate in closed form. A ratio
that is not positive is no linkage: NaN.
"""

import math
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Num

#: How far past its first and last points a table is still believed, mm: its end ratios hold that far, then NaN.
PAST_THE_ENDS = 10.0


class Leverage(Protocol):
    """A leverage ratio over the axle's vertical travel. Every argument and answer broadcasts."""

    def ratio(self, z: Num) -> Array:
        """Return LR = dz/du at axle travel ``z``."""
        ...

    def slope(self, z: Num) -> Array:
        """Return dLR/dz, 1/mm; at a kink, that of the shallower side."""
        ...

    def shock_travel(self, z: Num) -> Array:
        """Return the shock's stroke, mm, at axle travel ``z``: the integral of dz/LR from topped out."""
        ...

    def wheel_travel(self, u: Num) -> Array:
        """Return the axle's travel, mm, at shock stroke ``u``: the inverse, for a ring read at the shock's shaft."""
        ...


def _positive(ratio: Num) -> Array:
    ratio = np.asarray(ratio, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where(ratio > 0, ratio, np.nan)


def _spread(value: Array, over: Num) -> Array:
    with np.errstate(invalid="ignore"):
        return value + 0.0 * np.asarray(over)


def _strokes(z: Num, start: Num, slope: Num) -> Array:
    """Return the integral of dz/(start + slope z) from 0 to z; the relative change of LR may be nought."""
    with np.errstate(all="ignore"):
        change = np.asarray(slope * z / start, dtype=np.float64)
        share = np.where(change == 0, 1.0, np.log1p(change) / change)
        # at or past the travel where the ratio would be nought the shock no longer moves with the wheel
        return np.where(change <= -1, np.nan, z / start * share)


def _travels(u: Num, start: Num, slope: Num) -> Array:
    with np.errstate(all="ignore"):
        growth = np.asarray(slope * u, dtype=np.float64)
        return np.asarray(start * u * np.where(growth == 0, 1.0, np.expm1(growth) / growth))


@dataclass(frozen=True, slots=True, eq=False)
class Constant:
    """One leverage over the whole travel.

    Attributes:
        value: LR, any broadcastable shape.
    """

    value: Num
    _lr: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_lr", _positive(self.value))

    def ratio(self, z: Num) -> Array:
        return _spread(self._lr, z)

    def slope(self, z: Num) -> Array:
        return 0.0 * self.ratio(z)

    def shock_travel(self, z: Num) -> Array:
        return np.asarray(z / self._lr)

    def wheel_travel(self, u: Num) -> Array:
        return np.asarray(u * self._lr)


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """A leverage going evenly from ``start`` topped out to ``end`` at ``travel``, and on in the same line.

    Attributes:
        start: LR topped out.
        end: LR at ``travel``; less than ``start`` for a rising-rate rear.
        travel: axle travel at which ``end`` holds, mm.
    """

    start: Num
    end: Num
    travel: Num

    def _slope(self) -> Array:
        with np.errstate(all="ignore"):
            return (np.asarray(self.end) - self.start) / _positive(self.travel)

    def ratio(self, z: Num) -> Array:
        return _positive(_positive(self.start) + self._slope() * z)

    def slope(self, z: Num) -> Array:
        return _spread(self._slope(), self.ratio(z))

    def shock_travel(self, z: Num) -> Array:
        return _strokes(z, _positive(self.start), self._slope())

    def wheel_travel(self, u: Num) -> Array:
        return _travels(u, _positive(self.start), self._slope())


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A measured leverage: straight lines between the points, each integrated exactly.

    Past the first and last points the end ratios hold for PAST_THE_ENDS mm, then NaN: a table says nothing there.
    Points that do not rise, or a ratio that is not positive, make the whole table NaN. Pad a short table by
    repeating its last point.

    Attributes:
        points: axle travels, mm, rising along the last axis: (K,) for one table, or (D, 1, K) for a table each.
        ratios: LR at the points, of a shape that broadcasts with ``points``.
    """

    points: Array
    ratios: Array
    _z: Array = field(init=False, repr=False)
    _lr: Array = field(init=False, repr=False)
    _slopes: Array = field(init=False, repr=False)
    _u: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        z, lr = np.broadcast_arrays(np.asarray(self.points, np.float64), np.asarray(self.ratios, np.float64))
        with np.errstate(all="ignore"):
            sound = (np.diff(z) >= 0).all(-1, keepdims=True) & (lr > 0).all(-1, keepdims=True)
        z, lr = np.where(sound, z, np.nan), np.where(sound, lr, np.nan)
        z = np.concatenate([z[..., :1] - PAST_THE_ENDS, z, z[..., -1:] + PAST_THE_ENDS], axis=-1)
        lr = np.concatenate([lr[..., :1], lr, lr[..., -1:]], axis=-1)
        width = np.diff(z)
        with np.errstate(all="ignore"):
            slopes = np.where(width > 0, np.diff(lr) / width, 0.0 * width)
            # one a knot, so that all four are picked from alike; past the last knot there is nothing
            slopes = np.concatenate([slopes, np.nan * slopes[..., :1]], axis=-1)
        u = np.cumsum(_strokes(width, lr[..., :-1], slopes[..., :-1]), axis=-1)
        u = np.concatenate([0.0 * u[..., :1], u], axis=-1)
        for name, value in (("_z", z), ("_lr", lr), ("_slopes", slopes), ("_u", u)):
            object.__setattr__(self, name, value)
        # the stroke is counted from topped out, wherever the first point lies
        object.__setattr__(self, "_u", u - self._strokes_at(np.zeros(z.shape[:-1]))[..., None])

    def _segment(self, x: Num, knots: Array) -> tuple[Array, npt.NDArray[np.intp]]:
        """Return ``x`` in the full shape, NaN past the knots, and where its segment lies in the tables laid flat."""
        lead, count = knots.shape[:-1], knots.shape[-1]
        x = np.asarray(x, dtype=np.float64) + np.zeros(lead)
        with np.errstate(invalid="ignore"):
            inside = (x >= knots[..., 0]) & (x <= knots[..., -1])
            # at a kink the shallower side, but at the very first point the table's own side
            at = (x >= knots[..., 1]).astype(np.intp)
            if knots.size == count:
                at += np.searchsorted(knots.reshape(-1)[2:-1], x)  # one table, maybe a long one, for all
            else:
                for k in range(2, count - 1):
                    at += x > knots[..., k]
        at += count * np.arange(math.prod(lead)).reshape(lead)
        return np.where(inside, x, np.nan), at

    def _strokes_at(self, z: Num) -> Array:
        z, at = self._segment(z, self._z)
        return self._u.take(at) + _strokes(z - self._z.take(at), self._lr.take(at), self._slopes.take(at))

    def ratio(self, z: Num) -> Array:
        z, at = self._segment(z, self._z)
        return self._lr.take(at) + self._slopes.take(at) * (z - self._z.take(at))

    def slope(self, z: Num) -> Array:
        z, at = self._segment(z, self._z)
        return self._slopes.take(at) + 0.0 * z

    def shock_travel(self, z: Num) -> Array:
        return self._strokes_at(z)

    def wheel_travel(self, u: Num) -> Array:
        u, at = self._segment(u, self._u)
        return self._z.take(at) + _travels(u - self._u.take(at), self._lr.take(at), self._slopes.take(at))
