"""What must hold of any steady stop, whatever the bike, its springs and the shape of its arrays."""

import math
import warnings
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.stops import BIKE, Bike, bikes, one_of, spread
from tuning.engine import loads
from tuning.engine.air import AirColumn
from tuning.engine.arrays import Law
from tuning.engine.braking import (
    ASKED,
    GRIP,
    LIFT_OFF,
    LIMITED_BY,
    UNKNOWN,
    Braking,
    brake,
    braking_points,
    limit,
)
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.units import STANDARD_GRAVITY as G

pytestmark = pytest.mark.slow

# What must always hold.


@given(bikes(), st.floats(0.0, 1.5), st.floats(0.0, 0.5), st.floats(0.5, 1.6))
@settings(max_examples=150, deadline=None)
def test_braking_harder_never_unloads_the_front(bike: Bike, decel_g: float, more: float, mu: float) -> None:
    less, harder = bike.stop(decel_g, mu=mu), bike.stop(decel_g + more, mu=mu)
    assert bool(less.converged)
    assert bool(harder.converged)
    assert harder.front_load >= less.front_load - 1e-6
    assert harder.rear_travel <= less.rear_travel + 1e-6
    for found in (less, harder):
        assert found.front_load + found.rear_load == pytest.approx(bike.mass * G)
        assert found.rear_load >= 0.0
        assert 0.0 <= found.front_travel <= 130.0
        assert 0.0 <= found.rear_travel <= 140.0
        assert found.left == pytest.approx(130.0 - found.front_travel)
        assert found.decel_g <= min(mu, float(found.l_f / found.h)) + 1e-9
        # Moments about the rear contact.
        moment = bike.mass * G * (found.wheelbase - found.l_f + found.decel_g * found.h)
        assert found.front_load * found.wheelbase == pytest.approx(float(moment))


@given(bikes(), st.floats(0.0, 1.5), st.floats(1.001, 1.5))
@settings(max_examples=150, deadline=None)
def test_a_stiffer_fork_never_dives_more(bike: Bike, decel_g: float, factor: float) -> None:
    soft = bike.stop(decel_g)
    stiff = replace(bike, front_rate=bike.front_rate * factor).stop(decel_g)
    assert stiff.front_travel <= soft.front_travel + 1e-6


@given(bikes(), st.floats(0.0, 1.5), st.floats(0.0, 20.0))
@settings(max_examples=100, deadline=None)
def test_more_preload_never_dives_more(bike: Bike, decel_g: float, more: float) -> None:
    before = bike.stop(decel_g)
    after = bike.stop(decel_g, bike.front.with_preload(more))
    assert after.front_travel <= before.front_travel + 1e-6


@given(bikes())
@settings(max_examples=60, deadline=None)
def test_the_limit_is_no_less_than_the_last_stop_below_it(bike: Bike) -> None:
    options = {"front_stroke": 130.0, "rear_stroke": 140.0, "mu": 3.0}
    hardest = limit(bike.body, bike.chassis, bike.front, bike.rear, **options)
    assert hardest.limited_by == LIFT_OFF
    assert hardest.rear_load == 0.0
    # Just below, the wheel is still on the ground, by as much as is not yet asked for.
    below = brake(hardest.decel_g - 1e-3, bike.body, bike.chassis, bike.front, bike.rear, **options)
    assert below.limited_by == ASKED
    assert 0.0 < below.rear_load < 0.01 * bike.mass * G
    beyond = brake(hardest.decel_g + 0.2, bike.body, bike.chassis, bike.front, bike.rear, **options)
    assert beyond.decel_g == pytest.approx(hardest.decel_g, abs=1e-9)
    assert beyond.limited_by == LIFT_OFF


def test_grip_comes_first_on_a_slippery_road() -> None:
    found = BIKE.stop(math.inf, mu=0.7)
    assert found.limited_by == GRIP
    assert found.limit_g == pytest.approx(0.7)
    assert LIMITED_BY[int(found.limited_by)] == "grip"
    assert np.isnan(BIKE.stop(0.3, mu=0.7).limit_g)


def test_standing_still_is_what_the_springs_carry() -> None:
    still = BIKE.stop(0.0)
    axial = loads.axial_fork_load(still.front_load, BIKE.unsprung_front, still.rake)
    assert axial == pytest.approx(20.0 * (still.front_travel + 20.0), abs=1e-6)
    below = loads.rear_sprung_load(still.rear_load, BIKE.unsprung_rear)
    assert below == pytest.approx(28.0 * (still.rear_travel + 12.0), abs=1e-6)


def test_dive_lowers_the_centre_and_shortens_its_lead() -> None:
    still, hard = BIKE.stop(0.0), BIKE.stop(0.6)
    assert hard.h < still.h
    assert hard.l_f < still.l_f
    assert hard.pitch > still.pitch
    assert hard.trail < still.trail
    assert hard.rake == pytest.approx(still.rake - (hard.pitch - still.pitch))


def test_the_end_of_the_stroke_takes_what_the_springs_do_not() -> None:
    soft = replace(BIKE, front_rate=10.0)
    found = soft.stop(0.8)
    assert found.front_travel == 130.0
    assert found.left == 0.0
    assert found.on_stop == pytest.approx(float(found.fork_force) - 10.0 * 150.0)
    assert soft.stop(0.1).on_stop == 0.0


# Laws with corners, and arrays.

CORNERS: dict[str, Law] = {
    "loose coil": Coil(20.0, -30.0),
    "two rates": Coil(12.0, 10.0, 40.0, 60.0),
    "two rates, softer late": Coil(40.0, 5.0, 8.0, 30.0),
    "top-out": Sum((Coil(18.0, 25.0), TopOut(40.0, 25.0))),
    "bump stop": Sum((Coil(9.0, 10.0), BumpStop(100.0, 400.0))),
    "all of it": Sum((Coil(10.0, 15.0), TopOut(60.0, 20.0), BumpStop(110.0, 300.0))),
    "air shut before the end": Sum((Coil(4.0, 10.0), AirColumn(2200.0, 2200.0 * 118.0, 101.3, 101.3, 1.2))),
    "hardly a spring": Coil(0.1, 0.0),
}


@pytest.mark.parametrize("name", CORNERS)
def test_laws_with_corners_converge(name: str) -> None:
    decels = np.linspace(0.0, 1.4, 141)
    found = BIKE.stop(decels, CORNERS[name])
    assert found.converged.all()
    assert (np.diff(found.front_travel) >= -1e-6).all()
    inside = (found.front_travel > 0) & (found.front_travel < 130.0)
    np.testing.assert_allclose(
        CORNERS[name].force(found.front_travel)[inside], found.fork_force[inside], rtol=0, atol=1e-5
    )


@given(
    bikes(),
    st.sampled_from(sorted(CORNERS)),
    st.sampled_from(["loose coil", "top-out", "bump stop", "two rates"]),
    st.floats(0.0, 1.5),
)
@settings(max_examples=150, deadline=None)
def test_any_bike_on_laws_with_corners_converges(bike: Bike, front: str, rear: str, decel_g: float) -> None:
    assert bool(bike.stop(decel_g, CORNERS[front], CORNERS[rear]).converged)


def test_arrays_are_the_single_bikes() -> None:
    many = spread((3, 4))
    found = many.stop(0.5)
    assert found.front_travel.shape == (3, 4)
    for at in ((0, 0), (2, 3)):
        alone = one_of(many, at).stop(0.5)
        for field in fields(Braking):
            np.testing.assert_allclose(
                getattr(found, field.name)[at], getattr(alone, field.name), rtol=1e-9, atol=1e-9
            )


@pytest.mark.parametrize("few", [0, 4096])
def test_points_are_the_single_stops(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tuning.engine.braking.FEW", few)
    many = spread((2, 5))
    options = {"front_stroke": 130.0, "rear_stroke": 140.0, "mu": 1.1}
    found = braking_points((0.3, 0.6), many.body, many.chassis, many.front, many.rear, **options)
    assert found.front_travel.shape == (3, 2, 5)
    for index, decel_g in enumerate((0.3, 0.6, math.inf)):
        single = brake(decel_g, many.body, many.chassis, many.front, many.rear, **options)
        for field in fields(Braking):
            np.testing.assert_allclose(
                getattr(found[index], field.name), getattr(single, field.name), rtol=1e-9, atol=1e-9
            )


@pytest.mark.parametrize("few", [0, 4096])
def test_points_from_a_nearby_start(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tuning.engine.braking.FEW", few)
    options = {"front_stroke": 130.0, "rear_stroke": 140.0, "mu": 1.1}
    near, here = ((bike.body, bike.chassis, bike.front, bike.rear) for bike in (spread((2, 5), 3), spread((2, 5), 4)))
    start = braking_points((0.3, 0.6), *near, **options)
    warm, cold = (braking_points((0.3, 0.6), *here, start=each, **options) for each in (start, None))
    assert warm.front_travel.shape == (3, 2, 5)
    np.testing.assert_allclose(warm.front_travel, cold.front_travel, rtol=0, atol=2e-9)


def test_a_nearby_start_ends_at_the_same_place() -> None:
    near, here = spread((1, 6), 3).stop(0.6), spread((1, 6), 4)
    cold, warm = here.stop(0.6), here.stop(0.6, start=near)
    np.testing.assert_allclose(warm.front_travel, cold.front_travel, rtol=0, atol=2e-9)
    np.testing.assert_allclose(here.stop(0.6, start=(np.nan, 0.0)).rear_travel, cold.rear_travel, rtol=0, atol=2e-9)


def test_what_is_not_known_stays_in_its_column() -> None:
    names = [field.name for field in fields(Bike) if field.name not in ("arm", "arm_angle")]
    columns = {name: np.full((1, len(names) + 1), getattr(BIKE, name)) for name in names}
    for column, name in enumerate(names, start=1):
        columns[name][0, column] = np.nan
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = Bike(**columns).stop(0.6)
    assert found.converged.tolist() == [[True] + [name == "offset" for name in names]]
    assert found.front_travel[0, 0] == pytest.approx(float(BIKE.stop(0.6).front_travel))
    # The offset matters to the trail alone.
    assert np.isnan(found.trail[0, 1:]).all()
    unknown = ~found.converged
    assert (found.limited_by[unknown] == UNKNOWN).all()
    assert np.isnan(found.front_load[unknown]).all()


@pytest.mark.parametrize("change", [{"mu": math.nan}, {"mu": -0.5}, {"front_stroke": 0.0}, {"rear_stroke": math.nan}])
def test_options_that_make_no_sense_give_nan(change: dict[str, float]) -> None:
    assert np.isnan(BIKE.stop(0.5, **change).front_travel)
    assert BIKE.stop(0.5, **change).limited_by == UNKNOWN


def test_driving_off_is_not_braking() -> None:
    assert np.isnan(BIKE.stop(-0.1).front_travel)
    assert np.isnan(BIKE.stop(math.nan).front_travel)


def test_an_unknown_stroke_holds_nothing_and_leaves_nothing_known() -> None:
    found = BIKE.stop(0.5, front_stroke=math.inf, rear_stroke=math.inf)
    assert found.front_travel == pytest.approx(float(BIKE.stop(0.5).front_travel), abs=2e-9)
    assert np.isnan(found.left)


def test_inputs_are_left_alone() -> None:
    many = spread((2, 3))
    before = {field.name: getattr(many, field.name).copy() for field in fields(Bike)}
    many.stop(np.array([[0.3], [math.inf]]))
    for name, was in before.items():
        np.testing.assert_array_equal(getattr(many, name), was)
