"""The rear force law: virtual work against quadrature, differences and published hand sums."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from tuning.engine.arrays import Law
from tuning.engine.coil import BumpStop, Coil
from tuning.engine.fork import equilibrium
from tuning.engine.linkage import Constant, Linear, Table
from tuning.engine.shock import RearLaw, axle_per_preload, rate_at_shock, wheel_rate

TABLE = Table(np.array([0.0, 40.0, 80.0, 130.0]), np.array([3.0, 2.7, 2.5, 2.6]))
LAWS: dict[str, RearLaw] = {
    "constant": RearLaw(Constant(2.6), Coil(90.0, 12.0)),
    "linear": RearLaw(Linear(3.0, 2.4, 130.0), Coil(90.0, 12.0)),
    "twin": RearLaw(Linear(1.1, 1.05, 100.0), Coil(18.0, 20.0), count=2),
    "table with a stop": RearLaw(TABLE, Coil(85.0, 10.0), bump=BumpStop(38.0, 150.0)),
    "loose at first": RearLaw(TABLE, Coil(85.0, -4.0)),
}
ALL = pytest.mark.parametrize("name", LAWS)
PLACES = pytest.mark.parametrize("z", [3.0, 35.0, 70.0, 99.0])


@ALL
@PLACES
def test_the_energy_is_the_integral_of_the_force(name: str, z: float) -> None:
    law = LAWS[name]
    corners = [float(law.leverage.wheel_travel(u)) for u in (4.0, 38.0)]
    kinks = [p for p in (40.0, 80.0, *corners) if 0 < p < z]
    expected, _ = quad(lambda x: float(law.force(x)), 0, z, points=kinks or None, epsabs=1e-9)
    assert float(law.energy(z)) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@ALL
@PLACES
def test_the_stiffness_is_the_derivative_of_the_force(name: str, z: float) -> None:
    law, step = LAWS[name], 1e-4
    by_difference = float(law.force(z + step) - law.force(z - step)) / (2 * step)
    assert float(law.stiffness(z)) == pytest.approx(by_difference, rel=1e-6, abs=1e-9)


def test_equal_wheel_rate_at_both_ends() -> None:
    # G. Byrnes, "Leverage and linkages": 2 × 9 N/mm at the fork and a 2:1 linkage → 72 N/mm at the shock
    assert float(rate_at_shock(2 * 9.0, 2.0)) == 72.0
    assert float(wheel_rate(72.0, 2.0)) == 18.0
    # each of twin shocks has half of it
    assert float(rate_at_shock(18.0, 2.0, count=2)) == 36.0
    assert float(wheel_rate(36.0, 2.0, count=2)) == 18.0


def test_an_inclined_fork_is_a_leverage_of_its_cosine() -> None:
    # Byrnes: about 1.1 mm of spring for 1 mm vertical, and some 20 % of rate; 1/cos² 24° = 1.198
    slanted = Constant(math.cos(math.radians(24.0)))
    assert float(slanted.shock_travel(1.0)) == pytest.approx(1.1, abs=0.01)
    assert float(wheel_rate(1.0, slanted.ratio(0.0))) == pytest.approx(1.198, abs=5e-4)


def test_a_falling_leverage_by_hand() -> None:
    # LR from 3 to 2 over 100 mm, at 100 mm: u = 100 ln 1.5 = 40.5465 mm; 50 N/mm with 10 mm preload →
    # F_s = 2527.326 N, F_w = 1263.663 N, k_w = (50 + 2527.326 × 0.01)/4 = 18.8183 N/mm,
    # energy 25 (50.5465² − 10²) = 61 373.7 N·mm
    law = RearLaw(Linear(3.0, 2.0, 100.0), Coil(50.0, 10.0))
    assert float(law.force(100.0)) == pytest.approx(1263.663, abs=1e-3)
    assert float(law.stiffness(100.0)) == pytest.approx(18.8183, abs=1e-4)
    assert float(law.energy(100.0)) == pytest.approx(25 * (50.5465108**2 - 100), abs=0.01)
    # k_s/LR² would be a third too soft
    assert float(wheel_rate(50.0, 2.0)) == 12.5


def test_twin_shocks_add() -> None:
    one = RearLaw(TABLE, Coil(20.0, 5.0), bump=BumpStop(30.0, 50.0))
    two = RearLaw(TABLE, Coil(20.0, 5.0), count=2, bump=BumpStop(30.0, 50.0))
    z = np.linspace(0, 130, 27)
    assert two.force(z) == pytest.approx(2 * one.force(z))
    assert two.stiffness(z) == pytest.approx(2 * one.stiffness(z))
    assert two.energy(z) == pytest.approx(2 * one.energy(z))


def test_preload_at_the_shock_moves_the_axle_by_the_leverage() -> None:
    law, load = LAWS["constant"], 900.0
    before = float(equilibrium(law, load, 130.0))
    assert before == pytest.approx(2.6 * (900 * 2.6 / 90 - 12), abs=1e-9)
    after = float(equilibrium(law.with_preload(1.0), load, 130.0))
    assert before - after == pytest.approx(float(axle_per_preload(2.6)), abs=1e-9)
    # and the rate at the axle stays what it was
    assert float(law.with_preload(1.0).stiffness(40.0)) == float(law.stiffness(40.0))


@ALL
@pytest.mark.parametrize("load", [150.0, 700.0, 1500.0])
def test_where_it_comes_to_rest_agrees_with_a_root_search(name: str, load: float) -> None:
    law: Law = LAWS[name]
    found = float(equilibrium(law, load, 100.0))
    if float(law.force(0.0)) >= load:
        assert found == 0.0
    elif float(law.force(100.0)) <= load:
        assert found == 100.0
    else:
        assert found == pytest.approx(brentq(lambda z: float(law.force(z)) - load, 0, 100, xtol=1e-11), abs=1e-8)


def test_the_bump_stop_counts_only_where_it_is_said_to() -> None:
    law = LAWS["table with a stop"]
    begins = float(law.bump_begins())
    assert float(law.leverage.shock_travel(begins)) == pytest.approx(38.0)
    assert float(law.reserve(90.0, 130.0, count_bump=True)) == 40.0
    assert float(law.reserve(90.0, 130.0, count_bump=False)) == pytest.approx(begins - 90.0)
    assert float(law.reserve(begins + 5, 130.0, count_bump=False)) == pytest.approx(-5.0)
    assert float(LAWS["constant"].reserve(90.0, 130.0, count_bump=False)) == 40.0
    without = RearLaw(law.leverage, law.spring)
    assert float(law.force(begins - 1)) == float(without.force(begins - 1))
    assert float(law.force(begins + 5)) > float(without.force(begins + 5))
    # winding the spring in does not move the stop
    assert float(law.with_preload(8.0).bump_begins()) == begins


def test_documents_and_columns_in_one_pass() -> None:
    rate, ratio = np.linspace(70, 110, 12).reshape(3, 4), np.array([[2.4], [2.6], [2.8]])
    together = RearLaw(Constant(ratio), Coil(rate, 10.0))
    for d in range(3):
        for c in range(4):
            alone = RearLaw(Constant(float(ratio[d, 0])), Coil(float(rate[d, c]), 10.0))
            assert float(together.force(40.0)[d, c]) == pytest.approx(float(alone.force(40.0)))
            assert float(together.energy(40.0)[d, c]) == pytest.approx(float(alone.energy(40.0)))


def test_what_is_not_known_stays_so() -> None:
    for law in (RearLaw(Constant(math.nan), Coil(90.0, 10.0)), RearLaw(Constant(2.6), Coil(math.nan, 10.0))):
        assert np.isnan([law.force(30.0), law.energy(30.0), law.stiffness(30.0)]).all()
    assert np.isnan([wheel_rate(90.0, 0.0), rate_at_shock(18.0, -1.0), rate_at_shock(18.0, 2.0, 0.0)]).all()


@given(st.floats(40, 150), st.floats(1.01, 2.0), st.floats(0, 20), st.floats(1.2, 3.5), st.floats(0.8, 1.2))
def test_a_stiffer_spring_is_never_deeper(rate: float, more: float, preload: float, start: float, end: float) -> None:
    leverage = Linear(start, start * end, 130.0)
    soft, stiff = RearLaw(leverage, Coil(rate, preload)), RearLaw(leverage, Coil(rate * more, preload))
    sags = [float(equilibrium(law, 800.0, 130.0)) for law in (soft, stiff)]
    assert sags[1] <= sags[0] + 1e-9
