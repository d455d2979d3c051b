"""Damping from how the machine settles, and ride frequency from rate and sprung mass.

One end is taken as one mass on one spring with viscous damping (S. S. Rao, Mechanical Vibrations, chapter 2). All
functions broadcast; NaN in, NaN out; what such an oscillator cannot do (peaks that grow, a mass of nought) gives NaN.
"""

import math

import numpy as np

from tuning.engine.arrays import Array, Num

_TURN = 2.0 * math.pi
FULL_CYCLE = 1.0
HALF_CYCLE = 0.5


def _positive(value: Num) -> Array:
    array = np.asarray(value, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where(array > 0, array, np.nan)


def _at_least_nought(value: Num) -> Array:
    array = np.asarray(value, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        return np.where(array >= 0, array, np.nan)


def log_decrement(x1: Num, x2: Num, cycles: Num = FULL_CYCLE) -> Array:
    """Return δ per full cycle from the peak ``x1`` and a later one ``x2``: ln(x1/x2) / cycles.

    Both are distances from the settled height, in one unit. ``cycles`` lie between them: 1 for successive peaks on
    one side, ½ from a peak to the next on the other side (or from where it was let go, at rest, to the overshoot).
    """
    first, second = _positive(x1), _positive(x2)
    ratio = np.where(second <= first, first / second, np.nan)
    return np.asarray(np.log(ratio) / _positive(cycles), dtype=np.float64)


def damping_ratio(delta: Num) -> Array:
    """Return ζ = δ / √(4π² + δ²)."""
    decrement = _at_least_nought(delta)
    return np.asarray(decrement / np.hypot(_TURN, decrement), dtype=np.float64)


def decrement_of(zeta: Num) -> Array:
    """Return δ per full cycle of a damping ratio below 1: 2πζ / √(1 − ζ²); NaN at 1 and above, where none repeats."""
    ratio = _at_least_nought(zeta)
    ratio = np.where(ratio < 1, ratio, np.nan)
    return np.asarray(_TURN * ratio / np.sqrt((1.0 - ratio) * (1.0 + ratio)), dtype=np.float64)


def least_ratio(x1: Num, smallest: Num, cycles: Num = FULL_CYCLE) -> Array:
    """Return the least ζ there can be when no second peak shows ``cycles`` after the first.

    It is the ratio at which the second would be ``smallest``, the least that would be seen: a bound, not a value. A
    first peak no greater than that says nothing: 0.
    """
    first, seen = _positive(x1), _positive(smallest)
    return damping_ratio(log_decrement(np.maximum(first, seen), seen, cycles))


def natural_frequency(damped_period: Num, zeta: Num) -> Array:
    """Return the undamped frequency, Hz, from the period of the settling motion (s): 1 / (T √(1 − ζ²))."""
    ratio = _at_least_nought(zeta)
    ratio = np.where(ratio < 1, ratio, np.nan)
    return np.asarray(1.0 / (_positive(damped_period) * np.sqrt((1.0 - ratio) * (1.0 + ratio))), dtype=np.float64)


def ride_frequency(wheel_rate: Num, sprung_mass: Num) -> Array:
    """Return √(k/m) / 2π in Hz from the rate at the wheel, N/mm, and the mass sprung at that end, kg."""
    return np.asarray(np.sqrt(_positive(wheel_rate) * 1000.0 / _positive(sprung_mass)) / _TURN, dtype=np.float64)


def wheel_rate_of(frequency: Num, sprung_mass: Num) -> Array:
    """Return the rate at the wheel, N/mm, that gives a ride ``frequency`` (Hz): m (2πf)²."""
    return np.asarray(_positive(sprung_mass) * np.square(_TURN * _positive(frequency)) / 1000.0, dtype=np.float64)


def frequency_ratio(rear: Num, front: Num) -> Array:
    """Return rear over front ride frequency; a little above 1 is usual (common practice)."""
    return np.asarray(_positive(rear) / _positive(front), dtype=np.float64)


def critical_damping(wheel_rate: Num, sprung_mass: Num) -> Array:
    """Return the damping, N·s/m at the wheel, at which it just no longer overshoots: 2 √(k m)."""
    return np.asarray(2.0 * np.sqrt(_positive(wheel_rate) * 1000.0 * _positive(sprung_mass)), dtype=np.float64)


def damping_coefficient(zeta: Num, wheel_rate: Num, sprung_mass: Num) -> Array:
    """Return the damping c at the wheel, N·s/m: ζ times the critical one (rate N/mm, mass kg)."""
    return np.asarray(_at_least_nought(zeta) * critical_damping(wheel_rate, sprung_mass), dtype=np.float64)


def ratio_of_coefficient(coefficient: Num, wheel_rate: Num, sprung_mass: Num) -> Array:
    """Return ζ of a damping c at the wheel, N·s/m (rate N/mm, mass kg)."""
    return np.asarray(_at_least_nought(coefficient) / critical_damping(wheel_rate, sprung_mass), dtype=np.float64)


def decay_rates(zeta: Num, frequency: Num) -> tuple[Array, Array]:
    """Return how fast it settles, 1/s: (slow, fast), from ζ and the undamped frequency (Hz).

    Below ζ = 1 both are ζω, the rate of the envelope; above, ω(ζ ∓ √(ζ² − 1)). After 3 / slow seconds 5 % is left.
    """
    ratio, omega = _at_least_nought(zeta), _TURN * _positive(frequency)
    over = np.maximum(ratio, 1.0)
    root = np.sqrt((over - 1.0) * (over + 1.0))
    fast = omega * np.where(ratio > 1, ratio + root, ratio)
    # The product of the two roots is ω²: no difference of nearly equal numbers.
    slow = np.where(ratio > 1, omega / (over + root), fast)
    return np.asarray(slow, dtype=np.float64), np.asarray(fast, dtype=np.float64)
