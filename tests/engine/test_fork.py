"""Rest on the springs and the springs for a rest: against SciPy, hand work and what every rider knows."""

import math
import warnings
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tuning.engine.air import SEA_LEVEL_KPA, AirColumn, AirFork
from tuning.engine.arrays import Law, Num
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.fork import (
    WIDEST,
    equilibrium,
    fork_law,
    implied_rate,
    preload_for,
    rate_and_preload,
    vertical_rate,
)

STROKE = 120.0
rates = st.floats(4.0, 30.0)
preloads = st.floats(-15.0, 40.0)
# Without load a loose coil between its top-out spring and its touch rests anywhere: see the test of that.
loads = st.one_of(st.floats(1.0, 4000.0), st.floats(-200.0, -1.0))


def column(oil: float = 0.0) -> AirColumn:
    return AirColumn(1300.0, 250e3 - oil, SEA_LEVEL_KPA, SEA_LEVEL_KPA, 1.2)


@st.composite
def forks(draw: st.DrawFn) -> Callable[..., Law]:
    """A maker of forks from a rate scale, a preload to add, and oil to add (mm³)."""
    first, seat = draw(rates), draw(preloads)
    dual = (draw(rates), draw(st.floats(0.0, 60.0))) if draw(st.booleans()) else None
    top_out = TopOut(draw(rates), draw(st.floats(1.0, 15.0))) if draw(st.booleans()) else None
    bump_stop = BumpStop(draw(st.floats(80.0, 119.0)), draw(rates)) if draw(st.booleans()) else None
    with_air = draw(st.booleans())

    def make(scale: Num = 1.0, delta: Num = 0.0, oil: float = 0.0) -> Law:
        first_, seat_ = np.multiply(scale, first), np.add(delta, seat)
        second = None if dual is None else (np.multiply(scale, dual[0]),) * 2
        return fork_law(
            (first_, first_),
            seat_,
            second_rates=second,
            crossover=None if dual is None else dual[1],
            top_out=top_out,
            air=column(oil) if with_air else None,
            bump_stop=bump_stop,
        )

    return make


def by_brentq(law: Law, load: float, stroke: float = STROKE) -> float:
    if law.force(0.0) >= load:
        return 0.0
    if law.force(stroke) <= load:
        return stroke
    return float(brentq(lambda s: float(law.force(s)) - load, 0.0, stroke, xtol=1e-13, maxiter=500))


@given(forks(), loads)
def test_rest_agrees_with_brentq(make: Callable[..., Law], load: float) -> None:
    assert equilibrium(make(), load, STROKE) == pytest.approx(by_brentq(make(), load), abs=1e-7)


@given(forks(), st.lists(loads, min_size=2, max_size=6))
def test_many_at_once_are_each_alone(make: Callable[..., Law], some: list[float]) -> None:
    together = equilibrium(make(np.array([[1.0], [1.3]])), np.array([some]), STROKE)
    assert together.shape == (2, len(some))
    for row, scale in enumerate((1.0, 1.3)):
        for place, load in enumerate(some):
            assert together[row, place] == pytest.approx(by_brentq(make(scale), load), abs=1e-7)


@given(forks(), loads, st.floats(-3.0, 3.0), st.floats(-2.0, 2.0))
def test_a_near_start_ends_where_the_whole_solve_does(
    make: Callable[..., Law], load: float, percent: float, delta: float
) -> None:
    start = equilibrium(make(), load, STROKE)
    moved, heavier = make(1 + percent / 100, delta), load * (1 + percent / 100)
    # A last step within NEAR across a corner may be off by its length times the ratio of the slopes.
    assert equilibrium(moved, heavier, STROKE, start) == pytest.approx(by_brentq(moved, heavier), abs=0.01)
    np.testing.assert_allclose(equilibrium(make(), load, STROKE, start), start, atol=1e-9)


@given(st.floats(10.0, 110.0), st.floats(-0.2, 0.2))
def test_from_a_near_start_the_slope_of_the_answer_is_right(s: float, delta: float) -> None:
    law = Sum((Coil(18.0, 10.0), column().times(2)))
    nominal = np.asarray(s)
    moved = equilibrium(law.with_preload(delta), law.force(s), STROKE, nominal)
    assert moved == pytest.approx(by_brentq(law.with_preload(delta), float(law.force(s))), abs=1e-7)


@given(forks(), loads)
def test_a_far_start_costs_time_not_truth(make: Callable[..., Law], load: float) -> None:
    starts = np.array([0.0, 60.0, STROKE])
    np.testing.assert_allclose(equilibrium(make(), load, STROKE, starts), by_brentq(make(), load), atol=0.01)


@given(forks(), loads, st.floats(1.0, 2.0))
def test_a_stiffer_spring_never_gives_more_travel(make: Callable[..., Law], load: float, scale: float) -> None:
    travel = equilibrium(make(np.array([1.0, scale])), load, STROKE)
    assert travel[1] <= travel[0] + 1e-7


@given(forks(), loads, st.floats(0.0, 15.0), st.floats(0.0, 60e3))
def test_more_preload_or_oil_never_gives_more_travel(
    make: Callable[..., Law], load: float, delta: float, oil: float
) -> None:
    assert equilibrium(make(1.0, delta), load, STROKE) <= equilibrium(make(), load, STROKE) + 1e-7
    assert equilibrium(make(1.0, 0.0, oil), load, STROKE) <= equilibrium(make(), load, STROKE) + 1e-7


@given(forks(), loads, st.floats(0.0, 500.0))
def test_more_load_never_gives_less_travel(make: Callable[..., Law], load: float, more: float) -> None:
    assert equilibrium(make(), load + more, STROKE) >= equilibrium(make(), load, STROKE) - 1e-7


@given(rates, st.floats(0.0, 30.0), st.floats(10.0, 100.0), st.floats(-8.0, 8.0))
def test_preload_moves_sag_mm_for_mm_on_a_plain_coil_and_not_the_rate(
    rate: float, preload: float, travel: float, delta: float
) -> None:
    coil = Coil(rate, preload)
    light, heavy = coil.force(travel), coil.force(travel + 10.0)
    sags = [equilibrium(coil.with_preload(d), np.array([light, heavy]), STROKE) for d in (0.0, delta)]
    np.testing.assert_allclose(sags[1] - sags[0], -delta, atol=1e-8)
    for sag in sags:
        assert implied_rate(sag[0], light, sag[1], heavy) == pytest.approx(rate, rel=1e-9)


@pytest.mark.parametrize("start", [None, 30.0])
def test_topped_out_and_bottomed(start: float | None) -> None:
    coil = Coil(18.0, 10.0)
    # 180 N holds it out, 18 × 130 = 2340 N is the end.
    got = equilibrium(coil, np.array([-50.0, 180.0, 198.0, 2339.0, 2340.0, 9000.0]), STROKE, start)
    np.testing.assert_allclose(got, [0.0, 0.0, 1.0, 120.0 - 1 / 18, 120.0, 120.0], atol=1e-8)


@pytest.mark.parametrize("start", [None, 5.0, 30.0])
def test_no_load_on_a_loose_coil_is_topped_out(start: float | None) -> None:
    np.testing.assert_array_equal(equilibrium(Coil(20.0, -8.0), np.array([0.0, -1.0]), STROKE, start), 0.0)


@pytest.mark.parametrize("start", [None, 30.0])
def test_nan_stays_in_its_place(start: float | None) -> None:
    law = Coil(np.array([18.0, np.nan, 18.0, 18.0, 18.0]), np.array([5.0, 5.0, np.nan, 5.0, 5.0]))
    load = np.array([900.0, 900.0, 900.0, np.nan, 900.0])
    stroke = np.array([120.0, 120.0, 120.0, 120.0, np.nan])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        got = equilibrium(law, load, stroke, start)
    np.testing.assert_allclose(got, [45.0, np.nan, np.nan, np.nan, np.nan])


def test_no_stroke_no_rest() -> None:
    assert np.isnan(equilibrium(Coil(18.0, 5.0), 900.0, np.array([0.0, -10.0]))).all()


def test_an_air_column_used_up_before_the_stroke_ends_is_out_of_physics() -> None:
    assert np.isnan(equilibrium(AirColumn(1000.0, 90e3, 101.3, 101.3, 1.2), 200.0, STROKE))


@given(rates, preloads, st.floats(0.0, 110.0), st.floats(1.0, 3000.0))
def test_preload_for_a_plain_coil_brings_the_travel(rate: float, preload: float, travel: float, load: float) -> None:
    law = Sum((Coil(rate, preload), TopOut(20.0, 10.0), column().times(2)))
    delta = preload_for(law, travel, load)
    if np.isnan(delta):
        need = load - law.force(travel) + law.laws[0].force(travel)
        assert need < 0 or abs(need / rate - travel - preload) > WIDEST
        return
    assert law.with_preload(delta).force(travel) == pytest.approx(load, rel=1e-9, abs=1e-6)


@given(rates, rates, st.floats(0.0, 60.0), preloads, st.floats(0.0, 110.0), st.floats(20.0, 2000.0))
def test_preload_for_a_dual_rate_brings_the_travel(
    first: float, second: float, crossover: float, preload: float, travel: float, load: float
) -> None:
    law = Sum((Coil(first, preload, second, crossover), TopOut(20.0, 10.0)))
    delta = preload_for(law, travel, load)
    low, high = (law.with_preload(end).force(travel) for end in (-WIDEST, WIDEST))
    assert np.isnan(delta) == (not low <= load <= high)
    if not np.isnan(delta):
        assert law.with_preload(delta).force(travel) == pytest.approx(load, abs=1e-6)


def test_closed_form_and_bracket_agree() -> None:
    plain = Sum((Coil(18.0, 5.0), column()))
    same = Sum((Coil(18.0, 5.0, 18.0, 40.0), column()))
    loads_ = np.array([[300.0, 800.0], [-10.0, np.nan]])
    np.testing.assert_allclose(preload_for(same, 35.0, loads_), preload_for(plain, 35.0, loads_), atol=1e-8)


def test_preload_for_says_when_no_seat_gets_there() -> None:
    # 18 N/mm at 30 mm: 5000 N would want 248 mm.
    assert np.isnan(preload_for(Coil(18.0, 0.0), 30.0, 5000.0))
    assert np.isnan(preload_for(Coil(18.0, 0.0), 30.0, -1.0))
    assert np.isnan(preload_for(column(), 30.0, 500.0))


@given(rates, st.floats(0.0, 30.0), st.floats(5.0, 50.0), st.floats(2.0, 40.0), st.booleans())
def test_rate_and_preload_give_back_the_coil(
    rate: float, preload: float, travel: float, further: float, with_others: bool
) -> None:
    others = Sum((TopOut(25.0, 12.0), column().times(2))) if with_others else None
    law: Law = Coil(rate, preload) if others is None else Sum((Coil(rate, preload), *others.laws))
    end = travel + further
    found = rate_and_preload(travel, law.force(travel), end, law.force(end), others)
    assert found == (pytest.approx(rate, rel=1e-6), pytest.approx(preload, abs=1e-4))


@pytest.mark.parametrize(
    "states",
    [
        (30.0, 600.0, 30.0, 800.0),
        (30.0, 600.0, 25.0, 800.0),
        (30.0, 600.0, 40.0, 600.0),
        (30.0, 600.0, 40.0, 500.0),
        (30.0, -5.0, 40.0, 500.0),
        (np.nan, 600.0, 40.0, 700.0),
        (30.0, 600.0, 40.0, np.nan),
    ],
)
def test_two_states_that_no_coil_joins_give_nothing(states: tuple[float, float, float, float]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isnan(rate_and_preload(*states)).all()


def test_implied_rate_wants_the_second_state_deeper() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        got = implied_rate(np.array([30.0, 30.0, 30.0]), 600.0, np.array([40.0, 30.0, 20.0]), 790.0)
    np.testing.assert_allclose(got, [19.0, np.nan, np.nan])


@given(rates, st.floats(0.0, 1.0))
def test_vertical_rate_is_what_the_wheel_feels(rate: float, rake: float) -> None:
    # dz of the wheel is cos ε of travel, and the vertical force is the axial one over cos ε.
    travel, rise = 1.0, math.cos(rake)
    assert vertical_rate(rate, rake) == pytest.approx(rate * travel / math.cos(rake) / rise)
    assert np.isnan(vertical_rate(rate, math.pi / 2))


def test_legs_add_alike_or_not() -> None:
    s = np.linspace(0.0, 110.0, 12)
    both = Coil(18.0, 12.0).force(s)
    np.testing.assert_allclose(fork_law((9.0, 9.0), 12.0).force(s), both)
    np.testing.assert_allclose(fork_law((18.0, np.nan), 12.0).force(s), both)
    np.testing.assert_allclose(fork_law((9.0, 9.0), (12.0, 12.0)).force(s), both)
    unlike = Coil(8.0, 10.0).force(s) + Coil(11.0, -6.0).force(s)
    np.testing.assert_allclose(fork_law((8.0, 11.0), (10.0, -6.0)).force(s), unlike)
    np.testing.assert_allclose(fork_law((np.nan, 11.0), (np.nan, -6.0)).force(s), Coil(11.0, -6.0).force(s))


def test_dual_and_single_legs_side_by_side() -> None:
    s = np.linspace(0.0, 110.0, 12)
    law = fork_law((8.0, 9.0), 10.0, second_rates=(12.0, np.nan), crossover=40.0)
    np.testing.assert_allclose(law.force(s), Coil(8.0, 10.0, 12.0, 40.0).force(s) + Coil(9.0, 10.0).force(s))
    unknown = fork_law((8.0, 9.0), 10.0, second_rates=(12.0, np.nan))
    assert np.isnan(unknown.force(50.0))


def test_single_and_dual_documents_in_one_batch() -> None:
    second = np.array([[12.0], [np.nan]])
    law = fork_law((np.full((2, 1), 8.0),) * 2, 10.0, second_rates=(second, second), crossover=40.0)
    got = law.force(np.full((2, 1), 80.0))
    # By hand: 2 (8 × 40 + 12 × 50), 2 × 8 × 90.
    np.testing.assert_allclose(got, [[1840.0], [1440.0]])


def test_air_in_one_leg_or_both() -> None:
    coil = fork_law((9.0, 9.0), 5.0).force(100.0)
    one, two = (fork_law((9.0, 9.0), 5.0, air=column(), legs_with_air=legs).force(100.0) for legs in (1, 2))
    assert two - coil == pytest.approx(2 * (one - coil))
    assert one - coil == pytest.approx(column().force(100.0))


def test_a_fork_without_coils_is_an_air_fork_or_not_known() -> None:
    air = AirFork(1200.0, 450e3, 900.0, 900.0, 30e3, 900.0, SEA_LEVEL_KPA, 1.0)
    law = fork_law((np.nan, np.nan), np.nan, air=air, legs_with_air=1)
    assert law.force(150.0) == pytest.approx(1808.399, abs=0.002)
    assert equilibrium(law, 1000.0, 300.0) == pytest.approx(by_brentq(air, 1000.0, 300.0), abs=1e-6)
    assert np.isnan(fork_law((np.nan, np.nan), 5.0).force(30.0))
    assert np.isnan(fork_law((np.nan, np.nan), (5.0, 5.0)).force(30.0))


def test_stops_are_both_legs_together() -> None:
    law = fork_law((9.0, 9.0), 5.0, top_out=TopOut(30.0, 12.0), bump_stop=BumpStop(100.0, 40.0))
    # 18 × 5 − 30 × 12, and 18 × 115 + 40 × 10.
    np.testing.assert_allclose(law.force(np.array([0.0, 110.0])), [-270.0, 2470.0])


@given(forks())
def test_a_spring_in_the_fork_winds_in_and_the_rest_stays(make: Callable[..., Law]) -> None:
    assume(make().force(60.0) > 0)
    np.testing.assert_allclose(make().with_preload(4.0).force(60.0), make(1.0, 4.0).force(60.0), rtol=1e-12)
