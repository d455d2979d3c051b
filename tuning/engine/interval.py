"""Half-widths, standard uncertainties and the 95 % interval of a sum where one rectangular term may dominate.

Sources: JCGM 100:2008 (4.3.7 rectangular, 4.3.9 trapezoid and triangle, 5.1.2 combination, F.2.2.1 resolution) and
JCGM 101:2008 (propagation of distributions). All functions broadcast; NaN in, NaN out; a value no distribution has
(a negative half-width, a part greater than the whole) gives NaN.
"""

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Num

COVERAGE = 0.95
#: 95 % coverage factors of the two ends: a normal distribution, and a rectangular one (0.95 √3).
NORMAL = 1.959963984540054
RECTANGULAR = COVERAGE * math.sqrt(3.0)

# Rounding may leave a part greater than the whole by this share of it; more is a mistake of the caller's.
_ROUNDING = 1e-9
_NODES = 641


def _checked(value: Num) -> Array:
    array = np.asarray(value, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where(array >= 0, array, np.nan)


def rectangular(half_width: Num) -> Array:
    """Return u of a quantity anywhere within ± ``half_width`` alike: a/√3."""
    return _checked(half_width) / math.sqrt(3.0)


def triangular(half_width: Num) -> Array:
    """Return u of a quantity within ± ``half_width``, likeliest in the middle: a/√6."""
    return _checked(half_width) / math.sqrt(6.0)


def trapezoidal(half_width: Num, top: Num) -> Array:
    """Return u within ± ``half_width``, level over the share ``top`` (0 to 1) of it: a √((1 + β²)/6)."""
    share = _checked(top)
    share = np.where(share <= 1, share, np.nan)
    return _checked(half_width) * np.sqrt((1.0 + share * share) / 6.0)


def resolution(step: Num) -> Array:
    """Return u of a reading rounded to the nearest ``step``: q/√12."""
    return _checked(step) / math.sqrt(12.0)


def combined(parts: Array, axis: int = -1) -> Array:
    """Return the standard uncertainty of the sum of independent ``parts`` (standard uncertainties) along ``axis``."""
    return np.asarray(np.sqrt(np.sum(np.square(_checked(parts)), axis=axis)), dtype=np.float64)


def of_rectangular(half_widths: Array, axis: int = -1) -> tuple[Array, Array]:
    """Return (u, dominant) of a sum of independent rectangular terms: what ``coverage`` asks for.

    ``half_widths`` holds |c_i| a_i along ``axis``; ``dominant`` is the greatest of them. The others are taken for
    normal with their own variance, as ``coverage`` does with whatever is not the dominant term.
    """
    parts = np.abs(half_widths)
    return combined(rectangular(parts), axis), np.max(parts, axis=axis)


def _share(u_total: Num, dominant: Num) -> Array:
    """Return the dominant term's u over the whole u, 0 to 1; 0 when both are nought."""
    u, a = _checked(u_total), rectangular(dominant)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where((u == 0) & (a == 0), 0.0, a / u)
        return np.where(share <= 1.0 + _ROUNDING, np.minimum(share, 1.0), np.nan)


def coverage(u_total: Num, dominant: Num) -> Array:
    """Return the factor k for which value ± k ``u_total`` holds 95 %.

    The sum is one rectangular term of half-width ``dominant`` (|c_i| a_i, in the result's unit) and a normal rest
    of variance u_total² − dominant²/3. k falls from 1.960 (no rectangular term) to 1.645 (nothing else). Exact to
    1e-5 for that sum; a rest that is itself one rectangular term makes k at most 1.4 % too small or 0.9 % too great.
    """
    shares, factors = _table()
    return np.asarray(np.interp(_share(u_total, dominant), shares, factors), dtype=np.float64)


def expanded(u_total: Num, dominant: Num) -> Array:
    """Return the half-width of the 95 % interval, in the result's unit: ``coverage`` times ``u_total``."""
    return coverage(u_total, dominant) * np.asarray(u_total, dtype=np.float64)


def distribution(u_total: Num, dominant: Num) -> npt.NDArray[np.str_]:
    """Return which distribution the interval rests on, as far as two decimals of k tell: a note to go with it."""
    k = coverage(u_total, dominant)
    names = ["normal", "rectangular", "rectangular and normal"]
    return np.select([k >= NORMAL - 0.005, k <= RECTANGULAR + 0.005, ~np.isnan(k)], names, default="unknown")


def _phi(z: float) -> float:
    return math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


def _below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _sum_of(share: float) -> tuple[Callable[[float], float], Callable[[float], float]]:
    """Return the distribution function and density of the unit-variance sum with this share of rectangular u.

    Normal of s.d. s averaged over a rectangle of half-width h: (s/2h) [G((x + h)/s) − G((x − h)/s)], where
    G(z) = z Φ(z) + φ(z) is the integral of Φ.
    """
    h, s = math.sqrt(3.0) * share, math.sqrt(1.0 - share * share)

    def integral(z: float) -> float:
        return z * _below(z) + _phi(z)

    def below(x: float) -> float:
        return s / (2.0 * h) * (integral((x + h) / s) - integral((x - h) / s))

    def density(x: float) -> float:
        return (_below((x + h) / s) - _below((x - h) / s)) / (2.0 * h)

    return below, density


def quantile(share: float) -> float:
    """Return the exact 95 % factor for one ``share`` (dominant's u over the whole u, 0 to 1): the table's source.

    The distribution function is concave above nought, so Newton's steps come from below after the first.
    """
    if share < 1e-3:  # k differs from the normal one by less than 1e-13 here, and the formula divides by the share
        return NORMAL
    if share >= 1.0:
        return RECTANGULAR
    below, density = _sum_of(share)
    x = RECTANGULAR * share
    for _ in range(60):
        step = (0.5 * (1.0 + COVERAGE) - below(x)) / density(x)
        x += step
        if abs(step) < 1e-13:
            break
    return x


@cache
def _table() -> tuple[Array, Array]:
    # Even steps of the angle whose sine is the share: k bends hardest where the normal rest is small, near 1.
    shares = np.sin(np.linspace(0.0, 0.5 * math.pi, _NODES))
    factors = np.array([quantile(float(share)) for share in shares])
    for array in (shares, factors):
        array.setflags(write=False)
    return shares, factors
