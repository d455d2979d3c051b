"""The leverage of a rear suspension against quadrature, root finding and tables worked by hand."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from tuning.engine.linkage import Constant, Leverage, Linear, Table

POINTS = np.array([0.0, 30.0, 60.0, 90.0, 120.0])
RATIOS = np.array([3.1, 2.9, 2.65, 2.5, 2.55])
FORMS: dict[str, Leverage] = {
    "constant": Constant(2.6),
    "rising": Linear(3.1, 2.4, 120.0),
    "falling": Linear(2.3, 2.9, 120.0),
    "even": Linear(2.6, 2.6, 120.0),
    "table": Table(POINTS, RATIOS),
}
ALL = pytest.mark.parametrize("name", FORMS)
ratios = st.floats(0.8, 4.0)
travels = st.floats(0.0, 120.0)


@ALL
@pytest.mark.parametrize("z", [0.0, 0.5, 30.0, 47.0, 90.0, 120.0])
def test_the_stroke_is_the_integral_of_one_over_the_ratio(name: str, z: float) -> None:
    form = FORMS[name]
    expected, _ = quad(lambda x: 1 / float(form.ratio(x)), 0, z, points=[p for p in POINTS if 0 < p < z] or None)
    assert float(form.shock_travel(z)) == pytest.approx(expected, rel=1e-10, abs=1e-12)


@ALL
@pytest.mark.parametrize("u", [0.1, 11.0, 23.0, 40.0])
def test_the_inverse_agrees_with_a_root_search(name: str, u: float) -> None:
    form = FORMS[name]
    expected = brentq(lambda z: float(form.shock_travel(z)) - u, 0, 129, xtol=1e-11)
    assert float(form.wheel_travel(u)) == pytest.approx(expected, abs=1e-8)


@ALL
@pytest.mark.parametrize("z", [0.5, 20.0, 47.0, 119.0])
def test_the_slope_is_the_derivative_of_the_ratio(name: str, z: float) -> None:
    form = FORMS[name]
    step = 1e-3
    by_difference = float(form.ratio(z + step) - form.ratio(z - step)) / (2 * step)
    assert float(form.slope(z)) == pytest.approx(by_difference, abs=1e-9)


def test_a_linear_leverage_by_hand() -> None:
    # LR from 3 to 2 over 100 mm: u = 100 ln(3/2) mm at the end, and ln(1 + m z/start)/m at half of it
    form = Linear(3.0, 2.0, 100.0)
    assert float(form.shock_travel(100.0)) == pytest.approx(100 * math.log(1.5), rel=1e-14)
    assert float(form.shock_travel(50.0)) == pytest.approx(100 * math.log(1.2), rel=1e-14)
    assert float(form.ratio(25.0)) == pytest.approx(2.75)


def test_a_table_by_hand() -> None:
    # 3 to 2 over 50 mm is 50 ln 1.5; then 2 throughout: 25 mm more
    form = Table(np.array([0.0, 50.0, 100.0]), np.array([3.0, 2.0, 2.0]))
    assert float(form.shock_travel(100.0)) == pytest.approx(50 * math.log(1.5) + 25, rel=1e-14)
    assert form.slope(np.array([0.0, 20.0, 50.0, 51.0, 100.0])) == pytest.approx([-0.02, -0.02, -0.02, 0, 0])


def test_a_table_on_one_line_is_a_linear_leverage() -> None:
    z = np.linspace(0, 120, 41)
    table, linear = (
        Table(np.array([0.0, 17.0, 120.0]), 3.1 - np.array([0.0, 17.0, 120.0]) * 0.7 / 120),
        FORMS["rising"],
    )
    assert table.shock_travel(z) == pytest.approx(linear.shock_travel(z), rel=1e-13)
    assert table.wheel_travel(table.shock_travel(z)) == pytest.approx(z, rel=1e-12, abs=1e-12)


def test_the_limit_of_equal_ends_is_smooth() -> None:
    z = np.array([0.0, 1.0, 60.0, 120.0])
    for difference in (1e-15, 1e-12, 1e-9, 1e-6):
        near = Linear(2.6, 2.6 + difference, 120.0)
        # u changes by about z/LR times half the relative change
        assert near.shock_travel(z) == pytest.approx(z / 2.6, rel=difference)
        assert near.wheel_travel(z / 2.6) == pytest.approx(z, rel=difference + 1e-15)


def test_a_table_for_each_document() -> None:
    points = np.stack([POINTS, POINTS * 1.1, np.array([0.0, 100.0, 120.0, 120.0, 120.0])])[:, None, :]
    ratios_ = np.stack([RATIOS, RATIOS - 0.4, np.array([2.8, 2.5, 2.4, 2.4, 2.4])])[:, None, :]
    z = np.linspace(0, 118, 21).reshape(3, 7)
    together = Table(points, ratios_)
    single = [Table(points[d, 0], ratios_[d, 0]) for d in range(3)]
    calls: list[Callable[[Leverage], Callable[[np.ndarray], np.ndarray]]] = [
        lambda form: form.ratio,
        lambda form: form.slope,
        lambda form: form.shock_travel,
    ]
    for call in calls:
        assert call(together)(z) == pytest.approx(np.stack([call(single[d])(z[d]) for d in range(3)]))
    assert together.wheel_travel(together.shock_travel(z)) == pytest.approx(z, abs=1e-11)
    # candidates in front of the documents, and one travel for all
    assert together.ratio(np.stack([z, z]))[1] == pytest.approx(together.ratio(z))
    assert together.ratio(40.0).shape == (3, 1)


def test_past_the_ends_a_table_holds_a_little_way_and_then_says_nothing() -> None:
    form = FORMS["table"]
    assert float(form.ratio(125.0)) == 2.55
    assert float(form.slope(125.0)) == 0.0
    assert float(form.shock_travel(-5.0)) == pytest.approx(-5 / 3.1)
    for beyond in (-10.1, 130.1):
        assert np.isnan([form.ratio(beyond), form.shock_travel(beyond), form.slope(beyond)]).all()
    assert np.isnan(form.wheel_travel(60.0))
    # a table that begins well past topped out cannot be counted from there
    assert np.isnan(Table(POINTS + 20.0, RATIOS).shock_travel(60.0))
    assert float(Table(POINTS + 4.0, RATIOS).shock_travel(4.0)) == pytest.approx(4 / 3.1)


@pytest.mark.parametrize(
    "form",
    [
        Constant(0.0),
        Constant(-2.0),
        Constant(math.nan),
        Linear(math.nan, 2.0, 100.0),
        Linear(2.0, 2.0, 0.0),
        Linear(-1.0, 2.0, 100.0),
        Table(POINTS, RATIOS * 0),
        Table(POINTS[::-1], RATIOS),
        Table(np.array([0.0, math.nan, 100.0]), np.array([3.0, 2.5, 2.0])),
    ],
)
def test_no_linkage_is_not_a_number(form: Leverage) -> None:
    assert np.isnan([form.ratio(20.0), form.shock_travel(20.0), form.wheel_travel(10.0)]).all()


def test_a_ratio_gone_through_nought_is_not_a_number() -> None:
    form = Linear(2.0, 1.0, 50.0)
    assert np.isnan([form.ratio(100.0), form.shock_travel(100.0), form.shock_travel(120.0)]).all()


@ALL
def test_an_unknown_travel_stays_unknown_beside_known_ones(name: str) -> None:
    form = FORMS[name]
    for call in (form.ratio, form.slope, form.shock_travel, form.wheel_travel):
        found = call(np.array([[10.0, math.nan, 20.0]]))
        assert np.isnan(found).tolist() == [[False, True, False]]
        assert found[0, 0] == call(10.0)


@given(ratios, ratios, travels, travels)
def test_more_travel_is_more_stroke_and_there_and_back_is_where_it_was(
    a: float, b: float, z1: float, z2: float
) -> None:
    for form in (Constant(a), Linear(a, b, 120.0), Table(np.array([0.0, 50.0, 120.0]), np.array([a, b, a]))):
        u1, u2 = float(form.shock_travel(z1)), float(form.shock_travel(z2))
        assert (u1 <= u2) == (z1 <= z2) or math.isclose(z1, z2, rel_tol=1e-12, abs_tol=1e-12)
        assert float(form.wheel_travel(u1)) == pytest.approx(z1, rel=1e-11, abs=1e-11)
        # the stroke lies between what the least and the greatest leverage would give
        assert z1 / max(a, b) - 1e-9 <= u1 <= z1 / min(a, b) + 1e-9
