"""Coils, top-out springs and stops: energy and stiffness are the integral and the slope of the force."""

import itertools
import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tuning.engine.air import AirColumn
from tuning.engine.arrays import Law
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut, wire_rate

rates = st.floats(1.0, 60.0)
travels = st.floats(0.0, 150.0)


@st.composite
def laws(draw: st.DrawFn) -> tuple[Law, list[float]]:
    """A sum of some parts, and the travels at which it has corners."""
    seat = draw(st.floats(-20.0, 40.0))
    parts: list[Law] = []
    if draw(st.booleans()):
        crossover = draw(st.floats(0.0, 80.0))
        parts.append(Coil(draw(rates), seat, draw(rates), crossover))
        corners = [-seat, crossover - seat]
    else:
        parts.append(Coil(draw(rates), seat))
        corners = [-seat]
    if draw(st.booleans()):
        length = draw(st.floats(0.0, 25.0))
        parts.append(TopOut(draw(rates), length))
        corners.append(length)
    if draw(st.booleans()):
        start = draw(st.floats(60.0, 140.0))
        parts.append(BumpStop(start, draw(rates)))
        corners.append(start)
    if draw(st.booleans()):
        parts.append(AirColumn(draw(st.floats(500, 1500)), 3e5, 101.325, 101.325, draw(st.floats(1.0, 1.4))))
    return Sum(tuple(parts)), corners


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")  # corners that all but meet
@given(laws(), travels)
def test_energy_is_the_integral_of_the_force(law_and_corners: tuple[Law, list[float]], s: float) -> None:
    law, corners = law_and_corners
    breaks = sorted({x for x in corners if 0 < x < s})
    ends = [0.0, *breaks, s]
    work = sum(quad(lambda x: float(law.force(x)), a, b)[0] for a, b in itertools.pairwise(ends))
    assert law.energy(s) == pytest.approx(work, rel=1e-9, abs=1e-6)


@given(laws(), travels)
def test_stiffness_is_the_slope_of_the_force(law_and_corners: tuple[Law, list[float]], s: float) -> None:
    law, corners = law_and_corners
    h = 1e-4
    if any(abs(s - corner) <= 2 * h for corner in corners):
        # At a corner: the slope of going further in.
        s = max(corner for corner in corners if abs(s - corner) <= 2 * h) + 3 * h
        if any(abs(s - corner) <= 2 * h for corner in corners):
            return
    slope = (law.force(s + h) - law.force(s - h)) / (2 * h)
    assert law.stiffness(s) == pytest.approx(slope, rel=1e-5, abs=1e-5)


@given(rates, st.floats(0.0, 40.0), travels, st.floats(-5.0, 20.0))
def test_preload_shifts_a_coil_and_not_its_rate(rate: float, preload: float, s: float, delta: float) -> None:
    coil = Coil(rate, preload)
    moved = coil.with_preload(delta)
    assert moved.force(s + 5.0) == pytest.approx(coil.force(s + 5.0 + delta), rel=1e-12, abs=1e-9)
    assert moved.stiffness(s + 5.1) == coil.stiffness(s + 5.1) == rate
    assert coil.preload == preload


def test_dual_rate_by_hand() -> None:
    coil = Coil(8.0, 10.0, 12.0, 30.0)
    # 30 mm of compression at 20 mm of travel: 240 N; 10 mm more at 12 N/mm.
    np.testing.assert_allclose(coil.force(np.array([0.0, 20.0, 30.0])), [80.0, 240.0, 360.0])
    np.testing.assert_allclose(coil.stiffness(np.array([19.9, 20.0, 20.1])), [8.0, 12.0, 12.0])


def test_a_dual_rate_of_two_like_rates_is_a_plain_coil() -> None:
    s = np.linspace(0, 120, 25)
    for name in ("force", "stiffness", "energy"):
        np.testing.assert_allclose(getattr(Coil(9.0, -4.0, 9.0, 30.0), name)(s), getattr(Coil(9.0, -4.0), name)(s))


def test_a_loose_coil_pushes_nothing_until_it_is_touched() -> None:
    coil = Coil(20.0, -8.0)
    np.testing.assert_allclose(coil.force(np.array([0.0, 8.0, 10.0])), [0.0, 0.0, 40.0])
    np.testing.assert_allclose(coil.stiffness(np.array([7.9, 8.0])), [0.0, 20.0])


def test_top_out_pulls_in_over_its_length_only() -> None:
    spring = TopOut(30.0, 12.0)
    np.testing.assert_allclose(spring.force(np.array([0.0, 6.0, 12.0, 50.0])), [-360.0, -180.0, 0.0, 0.0])
    np.testing.assert_allclose(spring.stiffness(np.array([0.0, 12.0])), [30.0, 0.0])
    # -30/2 × 12²
    np.testing.assert_allclose(spring.energy(np.array([0.0, 12.0, 50.0])), [0.0, -2160.0, -2160.0])


def test_only_the_coil_of_a_sum_has_a_seat() -> None:
    law = Sum((Coil(18.0, 5.0), TopOut(30.0, 12.0), BumpStop(100.0, 40.0)))
    moved = law.with_preload(3.0)
    assert moved.laws[1:] == law.laws[1:]
    assert moved.force(50.0) - law.force(50.0) == pytest.approx(54.0)


@pytest.mark.parametrize(
    "law",
    [
        Coil(np.nan, 5.0),
        Coil(18.0, np.nan),
        Coil(8.0, 5.0, np.nan, 30.0),
        Coil(8.0, 5.0, 12.0, np.nan),
        Coil(8.0, 5.0, 12.0, -1.0),
        TopOut(np.nan, 12.0),
        TopOut(30.0, np.nan),
        BumpStop(np.nan, 40.0),
        BumpStop(90.0, np.nan),
    ],
)
def test_what_is_not_known_stays_so(law: Law) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for got in (law.force(40.0), law.stiffness(40.0), law.energy(40.0)):
            assert np.isnan(got)
        assert np.isnan(Sum((Coil(1.0, 0.0), law)).force(40.0))


@pytest.mark.parametrize("law", [Coil(18.0, 5.0), Coil(8.0, 5.0, 12.0, 30.0), TopOut(3.0, 9.0), BumpStop(90.0, 4.0)])
def test_no_travel_no_answer(law: Law) -> None:
    for got in (law.force(np.nan), law.stiffness(np.nan), law.energy(np.nan)):
        assert np.isnan(got)


def test_half_a_dual_rate_is_refused() -> None:
    with pytest.raises(ValueError, match="come together"):
        Coil(8.0, 5.0, second_rate=12.0)


def test_fields_and_travel_broadcast() -> None:
    law = Sum((Coil(np.full((3, 1), 9.0), np.zeros((1, 4))), TopOut(30.0, np.full((3, 1), 10.0))))
    assert law.force(np.full((1, 4), 30.0)).shape == (3, 4)
    assert law.force(0.0).shape == (3, 4)


@given(st.floats(1e4, 1e5), st.floats(2.0, 20.0), st.floats(20.0, 90.0), st.floats(2.0, 40.0))
def test_wire_rate_goes_with_its_powers(modulus: float, wire: float, coil: float, active: float) -> None:
    rate = wire_rate(modulus, wire, coil, active)
    assert wire_rate(modulus, 2 * wire, coil, active) == pytest.approx(16 * rate)
    assert wire_rate(modulus, wire, 2 * coil, active) == pytest.approx(rate / 8)
    assert wire_rate(modulus, wire, coil, 2 * active) == pytest.approx(rate / 2)


@pytest.mark.parametrize("bad", [(5.0, 30.0, 0.0), (5.0, 0.0, 9.0), (-5.0, 30.0, 9.0), (5.0, np.nan, 9.0)])
def test_no_wire_no_rate(bad: tuple[float, float, float]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isnan(wire_rate(79000.0, *bad))
