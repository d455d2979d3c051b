"""Air columns and air forks: against the gas law written out, SciPy, and the choices they leave open."""

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tuning.engine.air import (
    EXPONENTS,
    SEA_LEVEL_KPA,
    AirColumn,
    AirFork,
    air_fork,
    ambient_pressure,
    circle,
    coil_volume,
    column_volume,
    exponent_effect,
    polytropic_pressure,
    polytropic_temperature,
    polytropic_volume,
    polytropic_work,
    pressure_at,
)

exponents = st.one_of(st.just(1.0), st.floats(1.0, 1.4))


@st.composite
def columns(draw: st.DrawFn) -> AirColumn:
    """A leg's column with at least 20 mm of it left at 150 mm of travel."""
    area = draw(st.floats(300.0, 1600.0))
    volume = area * (150.0 + draw(st.floats(20.0, 300.0)))
    return AirColumn(area, volume, draw(st.floats(80.0, 110.0)), draw(st.floats(70.0, 105.0)), draw(exponents))


@st.composite
def air_forks(draw: st.DrawFn) -> AirFork:
    main = draw(columns())
    return AirFork(
        main.area,
        main.volume,
        draw(st.floats(300.0, 1200.0)),
        draw(st.floats(200.0, 900.0)),
        draw(st.floats(5e3, 8e4)),
        draw(st.floats(300.0, 1200.0)),
        main.ambient_kpa,
        main.exponent,
    )


springs = st.one_of(columns(), air_forks())


@given(columns(), st.floats(0.0, 150.0))
def test_force_is_the_gas_law(column: AirColumn, s: float) -> None:
    left = column.volume - column.area * s
    pressure = column.sealed_kpa * (column.volume / left) ** column.exponent
    expected = column.area * (pressure - column.ambient_kpa) / 1000
    assert column.force(s) == pytest.approx(expected, rel=1e-11, abs=1e-9)


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")  # down to rounding
@given(springs, st.floats(0.0, 150.0))
def test_energy_is_the_integral_of_the_force(spring: AirColumn | AirFork, s: float) -> None:
    work = quad(lambda x: float(spring.force(x)), 0.0, s, epsrel=1e-11, limit=200)[0]
    assert spring.energy(s) == pytest.approx(work, rel=1e-8, abs=1e-5)


@given(springs, st.floats(0.5, 149.0))
def test_stiffness_is_the_slope_of_the_force(spring: AirColumn | AirFork, s: float) -> None:
    h = 1e-3
    slope = (spring.force(s + h) - spring.force(s - h)) / (2 * h)
    assert spring.stiffness(s) == pytest.approx(slope, rel=1e-5, abs=1e-6)


@given(columns(), st.floats(0.1, 150.0))
def test_work_on_the_gas_is_the_columns_energy_and_the_ambients_share(column: AirColumn, s: float) -> None:
    left = column.volume - column.area * s
    gas = polytropic_work(column.sealed_kpa, column.volume, left, column.exponent) / 1000
    ambient = column.ambient_kpa * column.area * s / 1000
    assert column.energy(s) == pytest.approx(gas - ambient, rel=1e-9, abs=1e-5)


@given(columns(), st.floats(1.0, 150.0), st.floats(10.0, 5e4))
def test_less_air_is_stiffer(column: AirColumn, s: float, oil: float) -> None:
    fuller = replace(column, volume=column.volume - min(oil, 15.0 * column.area))
    assert fuller.force(s) > column.force(s)
    assert fuller.stiffness(s) > column.stiffness(s)


@given(springs, st.floats(0.0, 150.0), st.integers(1, 3))
def test_legs_add(spring: AirColumn | AirFork, s: float, legs: int) -> None:
    together = spring.times(legs)
    for name in ("force", "stiffness", "energy"):
        one = getattr(spring, name)(s)
        assert getattr(together, name)(s) == pytest.approx(legs * one, rel=1e-9, abs=1e-6)


@given(springs, st.floats(0.0, 100.0), st.floats(-20.0, 20.0))
def test_a_spring_seat_does_not_move_the_air(spring: AirColumn | AirFork, s: float, delta: float) -> None:
    assert spring.with_preload(delta).force(s) == spring.force(s)


def test_the_exponent_matters_and_how_much_is_shown() -> None:
    column = AirColumn(1000.0, 200000.0, SEA_LEVEL_KPA, SEA_LEVEL_KPA, 1.3)
    # Half the volume left: 101.325 (2ⁿ − 1) N.
    expected = [SEA_LEVEL_KPA * (2**n - 1) for n in (1.0, 1.2, 1.4)]
    np.testing.assert_allclose(exponent_effect(column, 100.0), expected, rtol=1e-12)
    assert exponent_effect(column, np.full((3, 4), 100.0)).shape == (len(EXPONENTS), 3, 4)
    fork = AirFork(1200.0, 450000.0, 900.0, 900.0, 30000.0, 900.0, SEA_LEVEL_KPA, 1.0)
    effect = exponent_effect(fork, 150.0)
    assert effect[0] < effect[1] < effect[2]


def test_work_goes_over_into_the_isothermal() -> None:
    for near in (1.0, 1.0 + 1e-12, 1.0 + 1e-8, 1.0 - 1e-8):
        assert polytropic_work(100.0, 2.0, 1.0, near) == pytest.approx(200.0 * math.log(2), rel=1e-7)


@given(st.floats(50, 500), st.floats(0.1, 5), st.floats(0.2, 5), st.floats(1.0, 1.6))
def test_polytropic_ways_agree(pressure: float, volume: float, ratio: float, n: float) -> None:
    to = polytropic_pressure(pressure, volume, volume / ratio, n)
    assert polytropic_volume(volume, pressure, to, n) == pytest.approx(volume / ratio)
    # An ideal gas: P V / T stays.
    kelvin = polytropic_temperature(300.0, pressure, to, n)
    assert to * (volume / ratio) / kelvin == pytest.approx(pressure * volume / 300.0)
    work = quad(lambda v: -pressure * (volume / v) ** n, volume, volume / ratio, epsrel=1e-11)[0]
    assert polytropic_work(pressure, volume, volume / ratio, n) == pytest.approx(work, rel=1e-7, abs=1e-9)


def test_air_fork_without_balance_air_is_a_column() -> None:
    fork = AirFork(1200.0, 450000.0, 900.0, 0.0, 1.0, 0.0, 95.0, 1.2)
    column = AirColumn(1200.0, 450000.0, 995.0, 95.0, 1.2)
    s = np.linspace(0, 200, 9)
    for name in ("force", "stiffness", "energy"):
        np.testing.assert_allclose(getattr(fork, name)(s), getattr(column, name)(s), rtol=1e-12)


def test_air_fork_goes_with_the_weather() -> None:
    chamber = {"main_area": 1200.0, "main_volume": 450000.0, "main_kpa": 900.0}
    chamber |= {"balance_area": 900.0, "balance_volume": 30000.0, "balance_kpa": 900.0}
    here = air_fork(**chamber, set_temperature=20, temperature=20, set_altitude=0, altitude=0)
    assert here.main_kpa == pytest.approx(900.0)
    assert here.ambient_kpa == pytest.approx(SEA_LEVEL_KPA)
    warm = air_fork(**chamber, set_temperature=20, temperature=40, set_altitude=0, altitude=0)
    assert warm.main_kpa == pytest.approx(1001.325 * 313.15 / 293.15 - 101.325)
    high = air_fork(**chamber, set_temperature=20, temperature=20, set_altitude=0, altitude=1000)
    # The same air against thinner air: the gauge gains what the ambient lost.
    assert high.balance_kpa == pytest.approx(900.0 + 101.325 - 89.8763, abs=1e-4)
    assert high.force(60.0) > here.force(60.0)


def test_pressure_at_is_itself_where_nothing_changed() -> None:
    assert pressure_at(700.0, 15.0, 15.0) == pytest.approx(700.0)
    assert pressure_at(0.0, 15.0, 15.0, 101.325, 89.8763) == pytest.approx(11.4487)


@pytest.mark.parametrize(
    "bad", [(-102.0, 20.0, 20.0), (100.0, -274.0, 20.0), (100.0, 20.0, -300.0), (np.nan, 1.0, 1.0)]
)
def test_no_such_pressure(bad: tuple[float, float, float]) -> None:
    assert np.isnan(pressure_at(*bad))


def test_ambient_pressure_falls_with_height_and_ends_where_the_layer_does() -> None:
    heights = np.array([-2500.0, -1900.0, 0.0, 500.0, 3000.0, 11000.0, 11100.0, np.nan])
    pressure = ambient_pressure(heights)
    np.testing.assert_array_equal(np.isnan(pressure), [True, False, False, False, False, False, True, True])
    assert (np.diff(pressure[1:6]) < 0).all()
    # ISO 2533 gives 22.6321 kPa at 11 km of geopotential, which is 11 019.1 m by tape.
    assert ambient_pressure(11019.06) == pytest.approx(22.6321, abs=1e-3)


def test_leaving_the_spring_in_the_oil_level_can_halve_the_end_force() -> None:
    area = circle(40.0)
    spring = coil_volume(5.0, 30.0, 36.0) + 10e3
    # π/4 5² × π 30 × 36 = 66 620 mm³
    assert coil_volume(5.0, 30.0, 36.0) == pytest.approx(66620, abs=1)
    forces = []
    for taken in (0.0, spring):
        volume = column_volume(40.0, 110.0, 120.0, taken)
        forces.append(float(AirColumn(area, volume, SEA_LEVEL_KPA, SEA_LEVEL_KPA, 1.2).force(120.0)))
    assert forces[0] < 0.5 * forces[1]


def test_column_volume_sweeps_the_tube_that_slides() -> None:
    assert column_volume(39.0, 130.0, 120.0, 0.0, 43.0) == pytest.approx(
        math.pi / 4 * (39.0**2 * 130.0 + 43.0**2 * 120.0)
    )


@pytest.mark.parametrize("bad", [(43.0, 40.0, 120.0, 60e3), (np.nan, 130.0, 120.0, 0.0), (43.0, 130.0, -1.0, 0.0)])
def test_no_air_no_volume(bad: tuple[float, float, float, float]) -> None:
    assert np.isnan(column_volume(*bad))


@pytest.mark.parametrize(
    "column",
    [
        AirColumn(1000.0, 200000.0, 101.0, 101.0, np.nan),
        AirColumn(np.nan, 200000.0, 101.0, 101.0, 1.2),
        AirColumn(1000.0, -5.0, 101.0, 101.0, 1.2),
        AirColumn(1000.0, 200000.0, -1.0, 101.0, 1.2),
        AirColumn(1000.0, 90000.0, 101.0, 101.0, 1.2),
        AirColumn(1000.0, 90000.0, 101.0, 101.0, 1.0),
    ],
)
def test_out_of_physics_is_nan_and_quiet(column: AirColumn) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for got in (column.force(100.0), column.stiffness(100.0), column.energy(100.0)):
            assert np.isnan(got)
