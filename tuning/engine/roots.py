"""Roots of many equations at once: bracketed, guaranteed, and safe with NaN.

``root`` needs only the function; ``newton`` is quicker where the slope is known; ``polish`` takes a few Newton steps
from a near solution. An element whose bracket holds no root, or that has NaN anywhere, comes back NaN; nothing
raises and nothing warns. Shapes broadcast, the callable's result included.
"""

from collections.abc import Callable

import numpy as np

from tuning.engine.arrays import Array, Num

Function = Callable[[Array], Array]
#: Halvings of the bracket by ``root``: 300 mm comes down to about 3e-10 mm.
HALVINGS = 40
#: Newton has arrived when its step is this share of the bracket; the error left is then of the order of its square.
ARRIVED = 1e-10
#: Guarded Newton at worst bisects every other step.
GUARDED_STEPS = 90


def root(f: Function, low: Num, high: Num, steps: int = HALVINGS) -> Array:
    """Return x in [low, high] with f(x) = 0 for each element; f is continuous, rising or falling, on arrays.

    The bracket shrinks to 2^-steps of itself: in about ten calls where f is smooth, never in more than
    ``2 steps + 4``. NaN where the ends have not unlike signs. Inverse quadratic interpolation where it is safe,
    else bisection: T. R. Chandrupatla 1997, Advances in Engineering Software 28:145-149.
    """
    with np.errstate(all="ignore"):
        a, b = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
        fa, fb = f(a), f(b)
        # All in the common shape, and NaN wherever there is nothing to find.
        none = np.where((np.sign(fa) * np.sign(fb) <= 0.0) & (a <= b), 0.0, np.nan)
        a, b, fa, fb = a + none, b + none, fa + none, fb + none
        width = b - a
        near = width * 2.0**-steps
        share: Array = np.full(none.shape, 0.5)
        for step in range(2 * steps + 2):
            x = a + share * (b - a)
            y = f(x)
            # a is the newest point, b the one across the root, c the one before.
            same = np.sign(y) == np.sign(fa)
            c, fc = np.where(same, a, b), np.where(same, fa, fb)
            b, fb = np.where(same, b, a), np.where(same, fb, fa)
            a, fa = x, y
            span = np.abs(b - a)
            # Where an end is the root itself, the bracket shuts on it.
            best = np.where(np.abs(fa) < np.abs(fb), a, b)
            open_ = (span > near) & (fa != 0.0) & (fb != 0.0)
            if not open_.any():
                break
            a, b = np.where(open_, a, best), np.where(open_, b, best)
            edge = 0.5 * near / span
            share = np.clip(_interpolated(a, b, c, fa, fb, fc), edge, 1.0 - edge)
            # Behind half the pace of bisection: bisect.
            share = np.where(open_ & (span <= width * 2.0 ** (-0.5 * step)), share, 0.5)
        return best + none


def _interpolated(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array) -> Array:
    """Return how far from a to b the parabola x(f) through three points puts the root, or one half."""
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    safe = (phi * phi < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
    share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(safe, share, 0.5)


def newton(f: Function, slope: Function, low: Num, high: Num, start: Num, steps: int = GUARDED_STEPS) -> Array:
    """Return x in [low, high] with f(x) = 0 for a rising f with f(low) <= 0 <= f(high), which the caller has seen to.

    Newton from ``start``; a step that leaves the bracket or fails to halve the one before last is a bisection
    instead. NaN where the steps ran out before it arrived.
    """
    with np.errstate(all="ignore"):
        x = np.asarray(start, dtype=np.float64)
        a, b = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
        near = ARRIVED * (b - a)
        last = before = b - a
        live = np.ones(x.shape, dtype=np.bool_)
        for _ in range(steps):
            y = f(x)
            a, b = np.where(y < 0, x, a), np.where(y > 0, x, b)
            move = np.where(y == 0, 0.0, y / slope(x))
            new = x - move
            good = (new >= a) & (new <= b) & (2.0 * np.abs(move) <= before)
            new = np.where(live, np.where(good, new, 0.5 * (a + b) + 0.0 * y), x)
            before, last = last, np.abs(new - x)
            live = live & (last > near)
            x = new
            if not live.any():
                return x
        return np.where(live, np.nan, x)


def polish(f: Function, slope: Function, start: Num, low: Num, high: Num, steps: int = 2) -> Array:
    """Return ``start`` after ``steps`` Newton steps on f with df/dx = ``slope``, each kept within [low, high]."""
    with np.errstate(all="ignore"):
        x = np.asarray(start, dtype=np.float64)
        for _ in range(steps):
            y = f(x)
            x = np.minimum(np.maximum(x - np.where(y == 0, 0.0, y / slope(x)), low), high)
        return x
