"""The plane in closed form against a bike built from points and set on the ground by a root finder."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from bicycleparameters.geometry import trail as library_trail
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tuning.engine import plane
from tuning.engine.plane import Attitude, Chassis, attitude, sensitivities

#: Hard points of a 1000 cm³ sport motorcycle (Sharp, Evangelou, Limebeer 2004), mm, x forward, z up from a frame
#: point 472.4 above ground: steering head, onward to the front axle; rear axle.
HEAD = np.array([495.1, 276.6])
ONWARD = np.array([[7.288, 32.801], [123.33, -260.89], [8.9, -85.25], [97.47, -153.64]])
REAR_AXLE = np.array([-677.9, -175.4])
GROUND, RAKE, FRONT, REAR = -472.4, 0.4189, 282.0, 297.0

SPORT = Chassis(RAKE, 26.55, 1409.99, FRONT, REAR)
ARM = replace(SPORT, front_travel=30.0, rear_travel=20.0, swingarm_length=575.0, swingarm_angle=0.2)
LENGTHS = {"offset", "wheelbase", "front_radius", "rear_radius", "front_travel", "rear_travel", "swingarm_length"}

chassis = st.builds(
    Chassis,
    rake=st.floats(0.25, 0.7),
    offset=st.floats(-60, 90),
    wheelbase=st.floats(1100, 1900),
    front_radius=st.floats(220, 370),
    rear_radius=st.floats(220, 370),
    front_travel=st.floats(0, 60),
    rear_travel=st.floats(0, 60),
    swingarm_length=st.one_of(st.just(math.nan), st.floats(350, 750)),
    swingarm_angle=st.floats(-0.2, 0.35),
)
states = st.fixed_dictionaries(
    {
        "front_travel": st.floats(0, 150),
        "rear_travel": st.floats(0, 120),
        "fork_position": st.floats(-15, 15),
        "rear_height": st.floats(-15, 15),
        "front_radius": st.floats(220, 370),
        "rear_radius": st.floats(220, 370),
    }
)


def built(bike: Chassis, state: dict[str, float]) -> dict[str, float]:
    """Return the geometry of a bike put together from points, turned until both wheels touch the ground."""
    down = np.array([math.sin(bike.rake), -math.cos(bike.rake)])  # along the steering axis
    forward = np.array([math.cos(bike.rake), math.sin(bike.rake)])
    published = np.array([bike.wheelbase, bike.front_radius])
    foot = published - bike.offset * forward
    shorter = state["front_travel"] - bike.front_travel + state["fork_position"]
    front = foot + bike.offset * forward - shorter * down
    lift = state["rear_travel"] - bike.rear_travel - state["rear_height"]
    rear = np.array([0.0, bike.rear_radius])
    if math.isnan(bike.swingarm_length):
        rear = rear + np.array([0.0, lift])
    else:
        length, at = bike.swingarm_length, bike.swingarm_angle
        pivot = rear + length * np.array([math.cos(at), math.sin(at)])
        angle = brentq(
            lambda a: pivot[1] - length * math.sin(a) - rear[1] - lift, -math.pi / 2, math.pi / 2, xtol=1e-15
        )
        rear = pivot - length * np.array([math.cos(angle), math.sin(angle)])

    def turned(pitch: float, point: np.ndarray) -> np.ndarray:
        c, s = math.cos(pitch), math.sin(pitch)
        return np.array([[c, s], [-s, c]]) @ point

    def lower(pitch: float) -> float:
        front_low = turned(pitch, front)[1] - state["front_radius"]
        return front_low - (turned(pitch, rear)[1] - state["rear_radius"])

    pitch = brentq(lower, -0.8, 0.8, xtol=1e-15)
    f, r, on_axis, axis = (turned(pitch, point) for point in (front, rear, foot, down))
    ground = r[1] - state["rear_radius"]
    meets = on_axis + axis * (ground - on_axis[1]) / axis[1]
    contact = np.array([f[0], ground])
    across = contact - on_axis
    return {
        "rake": math.atan2(axis[0], -axis[1]),
        "wheelbase": f[0] - r[0],
        "ground_trail": meets[0] - f[0],
        "normal_trail": -(across[0] * -axis[1] + across[1] * axis[0]),
        "pitch": pitch,
        "head_height": turned(pitch, foot - plane.HEAD_UP_AXIS * down)[1] - ground,
        "seat_height": turned(pitch, np.array([plane.SEAT_SHARE * bike.wheelbase, plane.SEAT_HEIGHT]))[1] - ground,
        "swingarm_angle": math.nan
        if math.isnan(bike.swingarm_length)
        else math.asin((turned(pitch, pivot)[1] - r[1]) / bike.swingarm_length),
    }


@given(chassis, states)
def test_closed_form_is_the_bike_built_from_points(bike: Chassis, state: dict[str, float]) -> None:
    assume(math.isnan(bike.swingarm_length) or abs(math.sin(bike.swingarm_angle)) + 200 / bike.swingarm_length < 0.95)
    found, expected = attitude(bike, **state), built(bike, state)
    for name, value in expected.items():
        assert float(getattr(found, name)) == pytest.approx(value, rel=1e-9, abs=1e-8, nan_ok=True), name


@given(chassis)
def test_the_published_state_is_as_published(bike: Chassis) -> None:
    for found in (attitude(bike), attitude(bike, bike.front_travel, bike.rear_travel)):
        assert float(found.rake) == pytest.approx(bike.rake, abs=1e-12)
        assert float(found.wheelbase) == pytest.approx(bike.wheelbase, abs=1e-9)
        assert float(found.ground_trail) == pytest.approx(
            float(plane.ground_trail(bike.rake, bike.front_radius, bike.offset)), abs=1e-9
        )
        assert float(found.pitch) == pytest.approx(0.0, abs=1e-12)
        assert float(found.seat_height) == pytest.approx(plane.SEAT_HEIGHT, abs=1e-9)
        assert bool(bike.straight) == math.isnan(float(found.swingarm_angle))


@given(chassis, states, st.floats(0.01, 100))
def test_the_unit_of_length_does_not_matter(bike: Chassis, state: dict[str, float], scale: float) -> None:
    other = replace(bike, **{name: getattr(bike, name) * scale for name in LENGTHS})
    found, scaled = attitude(bike, **state), attitude(other, **{k: v * scale for k, v in state.items()})
    for name in ("wheelbase", "ground_trail", "normal_trail"):
        assert float(getattr(scaled, name)) == pytest.approx(
            float(getattr(found, name)) * scale, rel=1e-7, nan_ok=True
        )
    assert float(scaled.rake) == pytest.approx(float(found.rake), abs=1e-9, nan_ok=True)


@given(chassis, states)
def test_one_move_after_the_other_is_both_at_once(bike: Chassis, state: dict[str, float]) -> None:
    # The state reached is itself a published state: the rest of the move from there ends in the same place.
    assume(math.isnan(bike.swingarm_length))
    half = attitude(bike, fork_position=state["fork_position"], front_travel=state["front_travel"])
    there = replace(
        bike, rake=float(half.rake), wheelbase=float(half.wheelbase), front_travel=0.0, offset=float(bike.offset)
    )
    whole = attitude(bike, fork_position=state["fork_position"] + 7.0, front_travel=state["front_travel"])
    assert float(attitude(there, fork_position=7.0).rake) == pytest.approx(float(whole.rake), abs=1e-12)
    assert float(attitude(there, fork_position=7.0).wheelbase) == pytest.approx(float(whole.wheelbase), abs=1e-9)


@given(st.floats(900, 1900), st.floats(220, 370), st.floats(220, 370), st.floats(-60, 60))
def test_a_mirrored_bike_pitches_the_other_way(base: float, one: float, other: float, lift: float) -> None:
    # With an upright axis both axles move straight up and down: front and rear are each other's mirror image.
    found = attitude(Chassis(0.0, 0.0, base, one, other), fork_position=lift)
    mirror = attitude(Chassis(0.0, 0.0, base, other, one), rear_height=-lift)
    assert float(mirror.pitch) == pytest.approx(-float(found.pitch), abs=1e-13)
    assert float(mirror.wheelbase) == pytest.approx(float(found.wheelbase), rel=1e-13)


@given(chassis, states, st.floats(-500, 2000), st.floats(0, 1500))
def test_a_chassis_point_keeps_its_distance_to_the_rear_axle(
    bike: Chassis, state: dict[str, float], x: float, z: float
) -> None:
    found = attitude(bike, **state)
    assume(not math.isnan(found.pitch))
    ahead, high = found.place(x, z)
    before = math.hypot(x - float(found.rear_x), z - float(found.rear_z))
    assert math.hypot(float(ahead), float(high) - state["rear_radius"]) == pytest.approx(before, rel=1e-9, abs=1e-9)
    seat = found.place(plane.SEAT_SHARE * bike.wheelbase, plane.SEAT_HEIGHT)[1]
    assert float(seat) == pytest.approx(float(found.seat_height), rel=1e-12)


@given(st.floats(0.05, 0.8), st.floats(0.2, 0.4), st.floats(-0.1, 0.1))
def test_trails_agree_with_an_independent_library(rake: float, radius: float, offset: float) -> None:
    ground, normal = library_trail(radius, rake, offset)
    assert float(plane.ground_trail(rake, radius, offset)) == pytest.approx(ground, rel=1e-12, abs=1e-15)
    assert float(plane.normal_trail(rake, radius, offset)) == pytest.approx(normal, rel=1e-12, abs=1e-15)
    assert float(plane.offset_from_trail(rake, radius, ground)) == pytest.approx(offset, abs=1e-12)
    assert float(plane.radius_from_trail(rake, offset, ground)) == pytest.approx(radius, rel=1e-9)


def test_hard_points_of_a_sport_motorcycle() -> None:
    axle = HEAD + ONWARD.sum(axis=0)
    assert axle == pytest.approx([732.088, -190.379], abs=1e-3)
    wheelbase = axle[0] - REAR_AXLE[0]
    assert wheelbase == pytest.approx(1409.99, abs=0.01)
    # Both tyres stand on the ground there: it is a state our chassis can be published in.
    assert axle[1] - FRONT == pytest.approx(GROUND, abs=0.1)
    assert REAR_AXLE[1] - REAR == pytest.approx(GROUND, abs=0.1)
    offset = (axle - HEAD) @ [math.cos(RAKE), math.sin(RAKE)]
    assert offset == pytest.approx(26.55, abs=0.1)
    found = attitude(replace(SPORT, wheelbase=wheelbase, offset=offset))
    assert float(found.normal_trail) == pytest.approx(88.15, abs=0.1)
    assert float(found.ground_trail) == pytest.approx(96.5, abs=0.1)


CAUSES = {
    "fork_position": "fork_position",
    "rear_height": "rear_height",
    "front_sag": "front_travel",
    "rear_sag": "rear_travel",
    "front_radius": "front_radius",
    "rear_radius": "rear_radius",
}


@pytest.mark.parametrize("cause", CAUSES)
@given(bike=chassis, state=states)
def test_sensitivities_are_the_derivatives(cause: str, bike: Chassis, state: dict[str, float]) -> None:
    assume(math.isnan(bike.swingarm_length) or abs(math.sin(bike.swingarm_angle)) + 200 / bike.swingarm_length < 0.9)
    slopes = getattr(sensitivities(bike, attitude(bike, **state)), cause)
    name, step = CAUSES[cause], 1e-2
    above, below = (attitude(bike, **state | {name: state[name] + sign * step}) for sign in (1, -1))
    for of in ("rake", "ground_trail", "normal_trail", "wheelbase"):
        slope = (float(getattr(above, of)) - float(getattr(below, of))) / (2 * step)
        assert float(getattr(slopes, of)) == pytest.approx(slope, rel=1e-5, abs=1e-8), of


def test_legs_up_lowers_the_head_and_quickens_and_rear_up_raises_the_seat() -> None:
    slope = sensitivities(ARM, attitude(ARM))
    assert slope.fork_position.rake < 0
    assert slope.fork_position.ground_trail < 0
    assert slope.rear_height.rake < 0
    before, legs, rear = attitude(ARM), attitude(ARM, fork_position=10.0), attitude(ARM, rear_height=10.0)
    # By hand: the head lies at 0.838 of the wheelbase, 10 cos 24° × 0.838; the seat at 0.35, 10 × (1 − 0.35).
    assert legs.head_height - before.head_height == pytest.approx(-7.66, abs=0.05)
    assert rear.seat_height - before.seat_height == pytest.approx(6.5, abs=0.05)
    # An arm pointing down from its pivot points further down with a longer shock.
    assert rear.swingarm_angle > before.swingarm_angle


def test_arrays_of_documents_and_columns_are_the_single_bikes() -> None:
    rng = np.random.default_rng(1)
    rake, travel = rng.uniform(0.35, 0.5, (5, 1)), rng.uniform(0, 90, (5, 3))
    whole = attitude(replace(ARM, rake=rake), travel, 30.0)
    for field in fields(Attitude):
        assert getattr(whole, field.name).shape == (5, 3)
    for d in range(5):
        for c in range(3):
            one = attitude(replace(ARM, rake=float(rake[d, 0])), float(travel[d, c]), 30.0)
            assert float(one.ground_trail) == pytest.approx(whole.ground_trail[d, c], rel=1e-14)


@pytest.mark.parametrize(
    "impossible",
    [
        replace(SPORT, wheelbase=0.0),
        replace(SPORT, wheelbase=-1400.0),
        replace(SPORT, front_radius=-300.0),
        replace(SPORT, rear_radius=0.0),
        replace(SPORT, wheelbase=10.0, rear_radius=100.0),
        replace(SPORT, rake=1.6),
        replace(SPORT, rake=math.inf),
        replace(ARM, swingarm_length=10.0),
        replace(ARM, swingarm_length=-500.0),
        replace(ARM, swingarm_angle=2.0),
    ],
)
def test_no_bike_no_number(impossible: Chassis) -> None:
    found = attitude(impossible, 60.0, 50.0)
    for name in ("rake", "ground_trail", "normal_trail", "wheelbase", "pitch", "head_height", "seat_height"):
        assert np.isnan(getattr(found, name)), name
    for slope in (sensitivities(impossible, found).fork_position, sensitivities(impossible, found).rear_sag):
        assert np.isnan(slope.rake)


@pytest.mark.parametrize("missing", ["rake", "wheelbase", "front_radius", "rear_radius", "offset", "front_travel"])
def test_what_is_missing_is_missing_in_what_leans_on_it(missing: str) -> None:
    found = attitude(replace(ARM, **{missing: math.nan}), 60.0, 50.0)
    assert np.isnan(found.ground_trail)
    assert np.isnan(found.rake) == (missing != "offset")


def test_only_one_document_pays_for_its_missing_figure() -> None:
    found = attitude(replace(SPORT, wheelbase=np.array([1409.99, np.nan])), fork_position=5.0)
    assert np.isnan(found.rake).tolist() == [False, True]


def test_a_roll_out_of_no_turns_is_no_radius() -> None:
    assert np.isnan(plane.radius_from_roll_out(1900.0, 0.0))
    assert np.isnan(plane.radius_from_trail(0.0, 30.0, 100.0))
    assert float(plane.radius_from_roll_out(2 * math.pi, 1)) == pytest.approx(1.0)


def test_inputs_are_left_alone() -> None:
    travel = np.array([10.0, 20.0])
    attitude(ARM, travel, travel, fork_position=travel)
    assert travel.tolist() == [10.0, 20.0]
