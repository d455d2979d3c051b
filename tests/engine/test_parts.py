"""Springs to buy: sums worked by hand, and a plain search over all preloads that the closed form must not lose to."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.fork import equilibrium
from tuning.engine.linkage import Constant, Linear, Table
from tuning.engine.parts import Adjuster, Aim, Seat, choose, offer, wanted

#: Two springs; each carries 350 N alone and 450 N aboard.
FORK = Seat(count=2.0)
AIM = Aim(alone=700.0, aboard=900.0, alone_band=(20.0, 28.0), aboard_band=(33.0, 40.0), stroke=120.0)
ANY = Adjuster(-50.0, 1000.0)


def test_the_spring_that_meets_both_middles_by_hand() -> None:
    # middles 24 and 36.5: (450 − 350)/12.5 = 8 N/mm; 350/8 − 24 = 19.75 mm
    rate, preload = wanted(FORK, AIM)
    assert (float(rate), float(preload)) == (8.0, 19.75)
    # one leg with the only spring needs twice that, wound in as much
    rate, preload = wanted(Seat(), AIM)
    assert (float(rate), float(preload)) == (16.0, 19.75)


def test_the_rear_spring_by_hand() -> None:
    # LR 2.5: 1250 and 3000 N at 3.4 and 12.6 mm of stroke → 1750/9.2 = 190.217 N/mm, 1250/190.217 − 3.4 = 3.1714 mm
    aim = Aim(500.0, 1200.0, (5.0, 12.0), (28.0, 35.0), 130.0)
    rate, preload = wanted(Seat(leverage=Constant(2.5)), aim)
    assert float(rate) == pytest.approx(1750 / 9.2)
    assert float(preload) == pytest.approx(3.171429, abs=1e-6)
    # twin shocks share it
    assert float(wanted(Seat(count=2.0, leverage=Constant(2.5)), aim)[0]) == pytest.approx(875 / 9.2)


def test_what_else_pushes_and_pulls_is_taken_off_first() -> None:
    leverage = Linear(3.0, 2.4, 130.0)
    seat = Seat(1.0, leverage, beside=TopOut(5.0, 20.0), stop=BumpStop(12.0, 200.0))
    aim = Aim(500.0, 1100.0, (8.0, 14.0), (28.0, 38.0), 130.0)
    rate, preload = wanted(seat, aim)
    law = seat.law(rate, preload)
    assert float(equilibrium(law, 500.0, 130.0)) == pytest.approx(11.0, abs=1e-8)
    assert float(equilibrium(law, 1100.0, 130.0)) == pytest.approx(33.0, abs=1e-8)


@pytest.mark.parametrize(
    ("rate", "low", "high", "preload", "alone", "aboard"),
    [
        # sag = G/k − p: alone 350/k, aboard 450/k; the bands' edges turned round
        (7.5, 20.0, 350 / 7.5 - 20, 23.5, 350 / 7.5 - 23.5, 36.5),
        (8.0, 16.25, 23.25, 19.75, 24.0, 36.5),
        (10.0, 7.0, 12.0, 8.5, 26.5, 36.5),
        (5.0, 50.0, 50.0, 50.0, 20.0, 40.0),
        # 450/18 − 36.5 = −11.5 would leave 30.9 mm alone: wound in as far as that band needs
        (18.0, 350 / 18 - 28, 25.0 - 33, 350 / 18 - 28, 28.0, 25.0 + 28 - 350 / 18),
    ],
)
def test_the_preloads_that_meet_both_bands(
    rate: float, low: float, high: float, preload: float, alone: float, aboard: float
) -> None:
    found = offer(FORK, AIM, (rate,), ANY)
    assert found.meets.tolist() == [True]
    assert found.miss.tolist() == [0.0]
    for name, value in {
        "low": low, "high": high, "preload": preload, "ideal": preload, "sag_alone": alone, "sag_aboard": aboard,
    }.items():  # fmt: skip
        assert getattr(found, name)[0] == pytest.approx(value, abs=1e-7), name


@pytest.mark.parametrize(
    ("rate", "preload", "alone", "aboard", "miss"),
    [
        # soft and wound up: alone wants at most 67.5 mm, aboard at least 72.5: half-way, 2.5 mm out at each
        (4.0, 70.0, 17.5, 42.5, 2.5),
        # too stiff: alone at least −14, aboard at most −15
        (25.0, -14.5, 28.5, 32.5, 0.5),
        # far too soft: topped out alone whatever is done, so the rider's sag is put right
        (1.0, 410.0, 0.0, 40.0, 20.0),
    ],
)
def test_the_nearest_where_no_preload_meets_both(
    rate: float, preload: float, alone: float, aboard: float, miss: float
) -> None:
    found = offer(FORK, AIM, (rate,), ANY)
    assert found.meets.tolist() == found.rate_meets.tolist() == [False]
    assert np.isnan([found.low[0], found.high[0]]).all()
    for name, value in {"preload": preload, "sag_alone": alone, "sag_aboard": aboard, "miss": miss}.items():
        assert getattr(found, name)[0] == pytest.approx(value, abs=1e-6), name


def test_the_adjuster_may_not_reach() -> None:
    # 8 N/mm wants 16.25 to 23.25 mm; at 15 mm the sags are 28.75 and 41.25: 0.75 and 1.25 mm too much
    found = offer(FORK, AIM, (8.0,), Adjuster(5.0, 15.0, 1.25))
    assert (found.meets.tolist(), found.rate_meets.tolist()) == ([False], [True])
    assert found.preload.tolist() == [15.0]
    assert found.turns.tolist() == [8.0]
    assert found.miss[0] == pytest.approx(1.25, abs=1e-8)
    # a spacer of this length makes it good
    assert found.ideal[0] - found.preload[0] == pytest.approx(4.75)
    # an adjuster that reaches only part of the way into it is used to that edge
    found = offer(FORK, AIM, (8.0,), Adjuster(5.0, 18.0))
    assert found.meets.tolist() == [True]
    assert (found.low[0], found.high[0], found.preload[0]) == (16.25, 18.0, 18.0)
    assert np.isnan(found.turns).all()


def test_the_nearest_rate_that_meets_is_taken() -> None:
    found = choose(FORK, AIM, (6.0, 7.4, 7.8, 8.3, 9.5, 30.0), Adjuster(0.0, 40.0, 1.0))
    assert float(found.best.rate) == 7.8
    assert found.order[:3].tolist() == [2, 3, 1]
    assert found.order[-1] == 5
    assert bool(found.best.meets)
    # the adjuster rules the nearest out: 7.8 needs 17.7 mm or more; 9.5 at most 14.4
    found = choose(FORK, AIM, (7.8, 9.5), Adjuster(0.0, 12.0, 1.0))
    assert float(found.best.rate) == 9.5
    assert float(found.best.turns) == pytest.approx(450 / 9.5 - 36.5)


def test_a_spring_that_meets_goes_before_one_that_all_but_does() -> None:
    # 8 N/mm at 16.245 mm is 0.005 mm out aboard; 9 meets both from 10.89 to 17 mm
    found = choose(FORK, AIM, (8.0, 9.0), Adjuster(0.0, 16.245))
    assert (float(found.best.rate), bool(found.best.meets)) == (9.0, True)
    assert found.offers.miss.tolist() == pytest.approx([0.005, 0.0], abs=1e-8)


def test_that_none_meets_is_said_with_the_nearest() -> None:
    found = choose(FORK, AIM, (3.0, 4.0, 25.0, 40.0), ANY)
    assert not found.best.meets
    assert float(found.best.rate) == 25.0
    assert float(found.best.miss) == pytest.approx(0.5, abs=1e-7)


def test_no_spring_for_sags_that_do_not_differ() -> None:
    for aim in (
        Aim(700.0, 900.0, (20.0, 28.0), (20.0, 28.0), 120.0),
        Aim(700.0, 700.0, (20.0, 28.0), (33.0, 40.0), 120.0),
        Aim(math.nan, 900.0, (20.0, 28.0), (33.0, 40.0), 120.0),
    ):
        assert np.isnan(wanted(FORK, aim)).all()


def test_an_unknown_load_leaves_the_choice_unknown() -> None:
    aim = Aim(np.array([[700.0, math.nan]]), 900.0, (20.0, 28.0), (33.0, 40.0), 120.0)
    best = choose(FORK, aim, (7.5, 8.0), ANY).best
    assert np.isnan(best.rate).tolist() == np.isnan(best.miss).tolist() == [[False, True]]
    assert best.meets.tolist() == [[True, False]]


def test_many_are_worked_in_blocks_with_the_same_answers() -> None:
    alone = np.linspace(600.0, 800.0, 30_000)
    aim = Aim(alone, alone + 200.0, (20.0, 28.0), (33.0, 40.0), 120.0)
    # an adjuster for each candidate, since springs differ in length
    reach = Adjuster(np.array([[0.0], [2.0], [4.0]]), np.array([[20.0], [15.0], [30.0]]), 1.0)
    many = offer(FORK, aim, (7.0, 8.0, 9.0), reach)
    assert many.rate.shape == (3, 30_000)
    for r, c in ((0, 0), (1, 12_345), (2, 29_999)):
        one = Aim(float(alone[c]), float(alone[c]) + 200.0, (20.0, 28.0), (33.0, 40.0), 120.0)
        single = offer(FORK, one, ((7.0, 8.0, 9.0)[r],), Adjuster((0.0, 2.0, 4.0)[r], (20.0, 15.0, 30.0)[r], 1.0))
        for name in ("preload", "turns", "sag_alone", "sag_aboard", "miss"):
            assert getattr(many, name)[r, c] == pytest.approx(getattr(single, name)[0], abs=1e-8), name


def test_documents_columns_and_candidates_in_one_pass() -> None:
    table = Table(
        np.array([[[0.0, 60.0, 130.0]], [[0.0, 50.0, 130.0]]]), np.array([[[3, 2.6, 2.5]], [[2.8, 2.6, 2.4]]])
    )
    alone, aboard = np.array([[480.0, 500.0, 520.0], [450.0, 470.0, 430.0]]), np.array([[1100.0], [1200.0]])
    aim = Aim(alone, aboard, (5.0, 12.0), (28.0, 35.0), 130.0)
    rates = (80.0, 120.0, 160.0, 240.0)
    together = choose(Seat(leverage=table), aim, rates, Adjuster(0.0, 9.0, 1.5))
    assert together.offers.rate.shape == (4, 2, 3)
    assert together.best.rate.shape == (2, 3)
    for d in range(2):
        single = Table(table.points[d, 0], table.ratios[d, 0])
        for c in range(3):
            one = Aim(float(alone[d, c]), float(aboard[d, 0]), (5.0, 12.0), (28.0, 35.0), 130.0)
            found = choose(Seat(leverage=single), one, rates, Adjuster(0.0, 9.0, 1.5))
            assert together.order[:, d, c].tolist() == found.order.tolist()
            assert together.offers.miss[:, d, c] == pytest.approx(found.offers.miss, abs=1e-7)
            assert together.best.preload[d, c] == pytest.approx(float(found.best.preload), abs=1e-7)


SEATS = [
    FORK,
    Seat(count=1.0, beside=TopOut(15.0, 20.0)),
    Seat(count=2.0, beside=Sum((TopOut(15.0, 12.0), Coil(1.5, 10.0)))),
    # an unlike leg that carries nearly all there is
    Seat(count=1.0, beside=Coil(16.0, 25.0)),
    Seat(leverage=Linear(1.2, 0.9, 120.0), stop=BumpStop(30.0, 90.0)),
]


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, len(SEATS) - 1),
    st.floats(1.0, 40.0),
    st.floats(150, 900),
    st.floats(20, 500),
    st.floats(-30, 60),
    st.floats(0, 60),
    st.tuples(*[st.floats(0, 15)] * 4),
)
def test_no_preload_does_better(
    number: int, rate: float, alone: float, more: float, least: float, span: float, edges: tuple[float, ...]
) -> None:
    seat = SEATS[number]
    a, b, c, d = np.cumsum(edges)
    aim = Aim(alone, alone + more, (float(a), float(b)), (float(c), float(d)), 110.0)
    found = offer(seat, aim, (rate,), Adjuster(least, least + span))
    preloads = np.linspace(least, least + span, 1501)
    law = seat.law(rate, preloads)
    sags = [equilibrium(law, load, 110.0) for load in (aim.alone, aim.aboard)]
    misses = np.max([np.maximum(low - s, s - high) for s, (low, high) in zip(sags, ((a, b), (c, d)), strict=True)], 0)
    assert found.miss[0] <= max(misses.min(), 0.0) + 1e-6
    assert least - 1e-12 <= found.preload[0] <= least + span + 1e-12
    if misses.min() < -1e-6:
        assert found.meets[0]
        met = preloads[misses < -1e-6]
        assert found.low[0] <= met.min() + 1e-9
        assert found.high[0] >= met.max() - 1e-9
    if found.meets[0]:
        sag = found.sag_alone[0], found.sag_aboard[0]
        assert a - 1e-6 <= sag[0] <= b + 1e-6
        assert c - 1e-6 <= sag[1] <= d + 1e-6


@given(st.floats(3, 30), st.floats(0.3, 3.0), st.floats(0, 40))
def test_going_back_from_a_known_spring(rate: float, ratio: float, preload: float) -> None:
    seat = Seat(leverage=Constant(ratio))
    law = seat.law(rate, preload)
    loads = [float(law.force(s)) for s in (20.0, 40.0)]
    aim = Aim(loads[0], loads[1], (18.0, 22.0), (37.0, 43.0), 120.0)
    found = wanted(seat, aim)
    assert float(found[0]) == pytest.approx(rate, rel=1e-9)
    assert float(found[1]) == pytest.approx(preload, rel=1e-9, abs=1e-9)
