"""Roots of many equations at once: bracketed, guaranteed, and safe with NaN.

``root`` needs only the function; ``newton`` is quicker where the slope is known; ``polish`` takes a few Newton steps
from a near solution. An element whose bracket holds no root, or that has NaN anywhere, comes back NaN; nothing
raises and nothing warns. Shapes broadcast, the callable's result included.
"""

from collections.abc import Callable

import numpy as np

from tuning.engine.arrays import Array, Num

Function = Callable[[Array], Array]
#: Halvings of the bracket that ``root`` promises: 300 mm comes down to about 3e-10 mm.
HALVINGS = 40
#: Newton has arrived when its step is this share of the bracket; the error left is then of the order of its square.
ARRIVED = 1e-10
#: Guarded Newton at worst bisects every other step.
GUARDED_STEPS = 90
#: ITP's κ1 (as a share of 1/width); κ2 is 2 and the slack n0 is 1.
_TRUNCATION = 0.2


def root(f: Function, low: Num, high: Num, steps: int = HALVINGS) -> Array:
    """Return x in [low, high] with f(x) = 0 for each element; f may rise or fall, and is called on whole arrays.

    The bracket shrinks to 2^-steps of itself within ``steps + 1`` calls (about ten where f is smooth). NaN where
    the ends do not have unlike signs. ITP method: Oliveira & Takahashi 2020, ACM Trans. Math. Softw. 47(1).
    """
    with np.errstate(all="ignore"):
        a, b = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
        fa, fb = f(a), f(b)
        rising = np.sign(fb - fa)
        fa, fb = fa * rising, fb * rising
        # All four in the common shape, and NaN wherever there is nothing to find.
        none = np.where((fa <= 0) & (fb >= 0) & (a <= b), 0.0, np.nan)
        a, b, fa, fb = a + none, b + none, fa + none, fb + none
        b, fb = np.where(fa == 0, a, b), np.where(fa == 0, fa, fb)
        a, fa = np.where(fb == 0, b, a), np.where(fb == 0, fb, fa)
        width = b - a
        for step in range(steps + 1):
            span = b - a
            if not np.any(span > width * 2.0**-steps):
                break
            x = _itp(a, b, fa, fb, span, width, step)
            y = f(x) * rising
            y = np.where(span > 0, y, 0.0)
            a, fa = np.where(y <= 0, x, a), np.where(y <= 0, y, fa)
            b, fb = np.where(y >= 0, x, b), np.where(y >= 0, y, fb)
        return _secant(a, b, fa, fb) + none


def _itp(a: Array, b: Array, fa: Array, fb: Array, span: Array, width: Array, step: int) -> Array:
    """Interpolate, truncate towards the middle, project into what keeps bisection's worst case."""
    middle = 0.5 * (a + b)
    gap = middle - _secant(a, b, fa, fb)
    shift = _TRUNCATION * span * span / width
    room = np.abs(gap) - shift
    radius = np.maximum(width * 2.0**-step - 0.5 * span, 0.0)
    return np.where(span > 0, middle - np.sign(gap) * np.clip(room, 0.0, radius), a)


def _secant(a: Array, b: Array, fa: Array, fb: Array) -> Array:
    rise = fb - fa
    share = np.where(rise > 0, -fa / rise, 0.5)
    return a + np.clip(share, 0.0, 1.0) * (b - a)


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
