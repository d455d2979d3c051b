"""Damping and ride frequency: by hand, against an integrated motion, and what must hold for any of them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tuning.engine import damping
from tuning.engine.arrays import Array
from tuning.engine.units import STANDARD_GRAVITY

zetas = st.floats(1e-3, 0.99)
rates = st.floats(1, 200)
masses = st.floats(10, 400)


def peaks_of(zeta: float, rate: float, mass: float) -> tuple[list[float], list[float]]:
    """Times (s) and sizes of the turning points after release from 1, by integrating m x'' + c x' + k x = 0."""
    k = rate * 1000
    c = zeta * 2 * math.sqrt(k * mass)

    def stands_still(_: float, state: Array) -> float:
        return float(state[1])

    motion = solve_ivp(
        lambda _, state: [state[1], -(c * state[1] + k * state[0]) / mass],
        (0, 12 * math.pi * math.sqrt(mass / k)),
        [1.0, 0.0],
        events=stands_still,
        rtol=1e-10,
        atol=1e-13,
    )
    late = motion.t_events[0] > 1e-6
    return [0.0, *motion.t_events[0][late]], [1.0, *np.abs(motion.y_events[0][late, 0])]


@pytest.mark.parametrize(("zeta", "rate", "mass"), [(0.05, 8, 75), (0.2, 18, 120), (0.4, 25, 90), (0.6, 12, 140)])
def test_an_integrated_motion_gives_back_its_damping_and_frequency(zeta: float, rate: float, mass: float) -> None:
    times, sizes = peaks_of(zeta, rate, mass)
    for delta in (
        damping.log_decrement(sizes[0], sizes[2]),
        damping.log_decrement(sizes[0], sizes[1], damping.HALF_CYCLE),
        damping.log_decrement(sizes[1], sizes[2], damping.HALF_CYCLE),
    ):
        assert float(damping.damping_ratio(delta)) == pytest.approx(zeta, rel=1e-5)
    frequency = damping.natural_frequency(times[2], zeta)
    assert float(frequency) == pytest.approx(float(damping.ride_frequency(rate, mass)), rel=1e-6)
    assert float(damping.wheel_rate_of(frequency, mass)) == pytest.approx(rate, rel=1e-5)


def test_by_hand() -> None:
    # A third each half cycle is a ninth each cycle.
    assert float(damping.log_decrement(3, 1, 0.5)) == pytest.approx(math.log(9), rel=1e-14)
    assert float(damping.log_decrement(9, 1)) == pytest.approx(math.log(9), rel=1e-14)
    # 2π/√3 is the decrement of ζ = 0.5: √0.75 = √3/2.
    assert float(damping.damping_ratio(2 * math.pi / math.sqrt(3))) == pytest.approx(0.5, rel=1e-14)
    # 10 N/mm under 100 kg: √(10 000 / 100) = 10 rad/s; critical 2 · 100 · 10 = 2000 N·s/m.
    assert float(damping.ride_frequency(10, 100)) == pytest.approx(10 / (2 * math.pi), rel=1e-14)
    assert float(damping.critical_damping(10, 100)) == pytest.approx(2000, rel=1e-14)
    assert float(damping.damping_coefficient(0.3, 10, 100)) == pytest.approx(600, rel=1e-14)
    assert float(damping.frequency_ratio(1.98, 1.8)) == pytest.approx(1.1, rel=1e-14)


@given(rates, masses)
def test_ride_frequency_is_that_of_the_sag_of_a_straight_spring_without_preload(rate: float, mass: float) -> None:
    sag = mass * STANDARD_GRAVITY / rate
    pendulum = math.sqrt(STANDARD_GRAVITY / (sag / 1000)) / (2 * math.pi)
    assert float(damping.ride_frequency(rate, mass)) == pytest.approx(pendulum, rel=1e-12)


@given(zetas)
def test_decrement_and_ratio_undo_each_other(zeta: float) -> None:
    assert float(damping.damping_ratio(damping.decrement_of(zeta))) == pytest.approx(zeta, rel=1e-9)


@given(zetas, rates, masses)
def test_coefficient_and_ratio_undo_each_other(zeta: float, rate: float, mass: float) -> None:
    coefficient = damping.damping_coefficient(zeta, rate, mass)
    assert float(damping.ratio_of_coefficient(coefficient, rate, mass)) == pytest.approx(zeta, rel=1e-12)


@given(st.floats(2, 100), st.floats(0.1, 1), st.floats(0.1, 1))
def test_the_bound_lies_under_every_ratio_that_hides_the_second_peak(
    first: float, smallest: float, part: float
) -> None:
    hidden = smallest * part
    bound = float(damping.least_ratio(first, smallest))
    assert bound <= float(damping.damping_ratio(damping.log_decrement(first, hidden))) + 1e-12


def test_a_first_peak_too_small_to_tell_bounds_nothing() -> None:
    assert float(damping.least_ratio(0.5, 1.0)) == 0.0
    assert float(damping.least_ratio(1.0, 1.0)) == 0.0


def test_a_finer_reading_raises_the_bound_and_half_a_cycle_more_so() -> None:
    bounds = damping.least_ratio(60.0, np.array([4.0, 2.0, 1.0]), np.array([[1.0], [0.5]]))
    assert bounds.shape == (2, 3)
    assert np.all(np.diff(bounds, axis=1) > 0)
    assert np.all(bounds[1] > bounds[0])


@given(st.floats(0, 5), st.floats(0.5, 5))
def test_decay_rates_are_the_roots(zeta: float, frequency: float) -> None:
    slow, fast = (float(rate) for rate in damping.decay_rates(zeta, frequency))
    omega = 2 * math.pi * frequency
    assert slow <= fast
    if zeta > 1:
        roots = np.sort(np.roots([1, 2 * zeta * omega, omega * omega]).real)
        assert slow == pytest.approx(-roots[1], rel=1e-5)  # np.roots loses digits near ζ = 1
        assert fast == pytest.approx(-roots[0], rel=1e-5)
        assert slow * fast == pytest.approx(omega * omega, rel=1e-12)
    else:
        assert slow == fast == pytest.approx(zeta * omega, rel=1e-12, abs=1e-300)


@given(st.floats(1e-3, 0.999))
def test_stiffer_or_lighter_is_quicker(step: float) -> None:
    base = float(damping.ride_frequency(10, 100))
    assert float(damping.ride_frequency(10 * (1 + step), 100)) > base
    assert float(damping.ride_frequency(10, 100 * (1 + step))) < base


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("bad", [math.nan, -1.0])
def test_what_cannot_be_is_nan_and_warns_of_nothing(bad: float) -> None:
    for found in (
        damping.log_decrement(bad, 1.0),
        damping.log_decrement(1.0, bad),
        damping.log_decrement(2.0, 1.0, bad),
        damping.log_decrement(0.0, 0.0),
        damping.log_decrement(1.0, 2.0),
        damping.damping_ratio(bad),
        damping.decrement_of(bad),
        damping.decrement_of(1.0),
        damping.least_ratio(bad, 1.0),
        damping.least_ratio(1.0, 0.0),
        damping.natural_frequency(bad, 0.1),
        damping.natural_frequency(1.0, 1.0),
        damping.ride_frequency(bad, 100),
        damping.ride_frequency(10, 0),
        damping.wheel_rate_of(bad, 100),
        damping.frequency_ratio(1.0, bad),
        damping.critical_damping(bad, 100),
        damping.damping_coefficient(bad, 10, 100),
        damping.ratio_of_coefficient(bad, 10, 100),
        *damping.decay_rates(bad, 1.0),
        *damping.decay_rates(0.5, bad),
    ):
        assert math.isnan(float(found))


def test_arrays_of_documents_and_columns_broadcast_and_stay_as_they_were() -> None:
    x1, x2 = np.array([[60.0], [40.0]]), np.array([6.0, 5.0, np.nan])
    kept = x1.copy(), x2.copy()
    zeta = damping.damping_ratio(damping.log_decrement(x1, x2))
    assert zeta.shape == (2, 3)
    assert np.isnan(zeta).sum() == 2
    np.testing.assert_array_equal(x1, kept[0])
    np.testing.assert_array_equal(x2, kept[1])
