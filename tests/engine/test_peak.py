"""Deepest travel after a change: sums worked by hand, SciPy's root search, and what must hold for any spring."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from tuning.engine.arrays import Law
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.linkage import Linear
from tuning.engine.peak import bracket, by_energy, by_peak_force, unloaded_rest
from tuning.engine.shock import RearLaw

STROKE = 120.0
#: At 100 mm: 9 × 115 = 1035 N, and 4.5 (115² − 15²) = 58 500 N·mm.
BEFORE = Coil(9.0, 15.0)
rates, preloads, marks = st.floats(4, 15), st.floats(0, 30), st.floats(5, 119)


def test_a_stiffer_spring_by_hand() -> None:
    after = Coil(10.0, 15.0)
    # 1035/10 − 15; √(58 500/5 + 15²) − 15
    assert float(by_peak_force(BEFORE, after, 100.0, STROKE).travel) == pytest.approx(88.5, abs=1e-9)
    assert float(by_energy(BEFORE, after, 100.0, STROKE).travel) == pytest.approx(math.sqrt(11925) - 15, abs=1e-9)


def test_more_preload_by_hand() -> None:
    after = BEFORE.with_preload(5.0)
    found = bracket(BEFORE, after, 100.0, STROKE)
    assert float(found.by_force) == pytest.approx(95.0, abs=1e-9)
    assert float(found.by_energy) == pytest.approx(math.sqrt(13400) - 20, abs=1e-9)
    assert (float(found.low), float(found.high)) == (float(found.by_force), float(found.by_energy))
    assert not found.disagree(100.0)


def test_the_two_may_disagree_in_sign() -> None:
    # Stiffer with less preload: force 103.5 − 5 = 98.5 mm, shallower; energy √(11 700 + 25) − 5 = 103.28 mm, deeper.
    found = bracket(BEFORE, Coil(10.0, 5.0), 100.0, STROKE)
    assert float(found.by_force) == pytest.approx(98.5, abs=1e-9)
    assert float(found.by_energy) == pytest.approx(103.2820, abs=1e-4)
    assert found.disagree(100.0)
    assert not found.disagree(100.0, within=2.0)


def test_past_the_end_of_the_stroke_says_what_is_left_over() -> None:
    # 8 N/mm would need 114.375 mm; at the end of 105: 1035 − 8 × 120 = 75 N, 58 500 − 4 (120² − 15²) = 1800 N·mm
    found = bracket(BEFORE, Coil(8.0, 15.0), 100.0, 105.0)
    assert (float(found.low), float(found.high)) == (105.0, 105.0)
    assert float(found.left_over_force) == pytest.approx(75.0)
    assert float(found.left_over_energy) == pytest.approx(1800.0)
    short = bracket(BEFORE, Coil(10.0, 15.0), 100.0, 105.0)
    assert (float(short.left_over_force), float(short.left_over_energy)) == (0.0, 0.0)


def test_a_force_that_is_there_topped_out_moves_nothing() -> None:
    found = bracket(BEFORE, Coil(9.0, 130.0), 100.0, STROKE)
    assert float(found.by_force) == 0.0
    assert float(found.by_energy) > 0.0


LAWS: dict[str, Law] = {
    "top-out and stop": Sum((Coil(9.0, 12.0), TopOut(25.0, 10.0), BumpStop(105.0, 40.0))),
    "dual rate": Coil(7.0, 5.0, 11.0, 60.0),
    "loose": Coil(9.0, -6.0),
    "rear": RearLaw(Linear(3.0, 2.4, 120.0), Coil(90.0, 8.0), bump=BumpStop(40.0, 150.0)),
}


@pytest.mark.parametrize("name", LAWS)
@pytest.mark.parametrize("delta", [-3.0, 4.0])
@pytest.mark.parametrize("mark", [40.0, 95.0])
def test_any_law_agrees_with_quadrature_and_a_root_search(name: str, delta: float, mark: float) -> None:
    before = LAWS[name]
    after = before.with_preload(delta)

    def rest(law: Law) -> float:
        if float(law.force(0.0)) >= 0:
            return 0.0
        return brentq(lambda s: float(law.force(s)), 0, STROKE, xtol=1e-12)

    def work(law: Law, s: float) -> float:
        return quad(lambda x: float(law.force(x)), rest(law), s, limit=200)[0]

    force, energy = float(before.force(mark)), work(before, mark)
    by_force = brentq(lambda s: float(after.force(s)) - force, 0, STROKE, xtol=1e-11)
    by_work = brentq(lambda s: work(after, s) - energy, rest(after), STROKE, xtol=1e-9)
    found = bracket(before, after, mark, STROKE)
    assert float(found.by_force) == pytest.approx(by_force, abs=1e-7)
    assert float(found.by_energy) == pytest.approx(by_work, abs=1e-4)


def test_the_energy_counts_from_where_the_top_out_spring_balances_the_coil() -> None:
    # 9 (s + 10) = 21 (8 − s) → s = 78/30 = 2.6 mm; a coil that wins topped out rests at 0, a loose one too
    assert float(unloaded_rest(Sum((Coil(9.0, 10.0), TopOut(21.0, 8.0))), STROKE)) == pytest.approx(2.6, abs=1e-9)
    assert float(unloaded_rest(Coil(9.0, 10.0), STROKE)) == 0.0
    assert float(unloaded_rest(Coil(9.0, -10.0), STROKE)) == 0.0
    # a mark that no ride can leave
    assert np.isnan(by_energy(LAWS["top-out and stop"], BEFORE, 0.5, STROKE).travel)


def test_documents_and_columns_in_one_pass() -> None:
    rate = np.linspace(7, 11, 12).reshape(3, 4)
    deepest, stroke = np.array([[80.0], [95.0], [math.nan]]), np.array([[110.0], [100.0], [120.0]])
    together = bracket(BEFORE, Coil(rate, 12.0), deepest, stroke)
    assert np.isnan(together.low[2]).all()
    assert np.isnan(together.left_over_energy[2]).all()
    for d in range(2):
        for c in range(4):
            alone = bracket(BEFORE, Coil(float(rate[d, c]), 12.0), float(deepest[d, 0]), float(stroke[d, 0]))
            for name in ("low", "high", "left_over_force", "left_over_energy"):
                assert getattr(together, name)[d, c] == pytest.approx(float(getattr(alone, name)), abs=1e-6)


@pytest.mark.parametrize(("deepest", "stroke"), [(-1.0, 120.0), (121.0, 120.0), (50.0, math.nan), (50.0, 0.0)])
def test_an_impossible_mark_is_not_a_number(deepest: float, stroke: float) -> None:
    found = bracket(BEFORE, BEFORE, deepest, stroke)
    assert np.isnan([found.low, found.high, found.left_over_force, found.left_over_energy]).all()


@given(rates, preloads, marks)
def test_no_change_leaves_it_where_it_was(rate: float, preload: float, mark: float) -> None:
    for law in (Coil(rate, preload), RearLaw(Linear(3.0, 2.4, 120.0), Coil(10 * rate, preload))):
        found = bracket(law, law, mark, STROKE)
        assert float(found.low) == pytest.approx(mark, abs=1e-9)
        assert float(found.high) == pytest.approx(mark, abs=1e-9)


@given(rates, st.floats(1.0, 2.0), preloads, marks)
def test_a_stiffer_spring_with_the_same_preload_is_never_deeper(
    rate: float, more: float, preload: float, mark: float
) -> None:
    found = bracket(Coil(rate, preload), Coil(rate * more, preload), mark, STROKE)
    assert float(found.high) <= mark + 1e-9
    # and the energy answer moves less, since the force on the way counts too
    assert float(found.by_force) <= float(found.by_energy) + 1e-9


@given(rates, preloads, st.floats(-20, 20), marks)
def test_preload_alone_moves_the_steady_event_by_itself(
    rate: float, preload: float, delta: float, mark: float
) -> None:
    assume(preload + delta >= 0)
    assume(0 < mark - delta < STROKE)
    before = Coil(rate, preload)
    found = bracket(before, before.with_preload(delta), mark, STROKE)
    assert float(found.by_force) == pytest.approx(mark - delta, abs=1e-7)
    # a bump is moved the same way, and never by more
    assert abs(float(found.by_energy) - mark) <= abs(delta) + 1e-7
