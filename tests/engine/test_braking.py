"""A steady stop against closed forms, against a bike built from points, and against what must always hold."""

import math
import warnings
from dataclasses import dataclass, fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import fsolve

from tuning.engine import loads
from tuning.engine.air import AirColumn
from tuning.engine.arrays import Law, Num
from tuning.engine.braking import (
    ASKED,
    GRIP,
    LIFT_OFF,
    LIMITED_BY,
    UNKNOWN,
    Braking,
    brake,
    braked_loads,
    braking_points,
    grip_limit,
    lift_off,
    limit,
)
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.dive import Plane
from tuning.engine.loads import Body, body_at_rest
from tuning.engine.plane import Chassis, attitude
from tuning.engine.units import STANDARD_GRAVITY as G


@dataclass(frozen=True)
class Bike:
    """Everything a stop depends on; a road sport bike unless told otherwise."""

    rake: Num = 0.42
    offset: Num = 30.0
    wheelbase: Num = 1410.0
    front_radius: Num = 285.0
    rear_radius: Num = 300.0
    arm: Num = 570.0
    arm_angle: Num = 0.17
    mass: Num = 280.0
    share: Num = 0.48
    height: Num = 0.44
    unsprung_front: Num = 17.5
    unsprung_rear: Num = 19.0
    front_rest: Num = 36.0
    rear_rest: Num = 32.0
    front_rate: Num = 20.0
    front_preload: Num = 20.0
    rear_rate: Num = 28.0
    rear_preload: Num = 12.0
    fork_position: Num = 0.0
    rear_height: Num = 0.0

    @property
    def chassis(self) -> Chassis:
        """Published with rider aboard, at the rest travels."""
        return Chassis(
            self.rake,
            self.offset,
            self.wheelbase,
            self.front_radius,
            self.rear_radius,
            self.front_rest,
            self.rear_rest,
            self.arm,
            self.arm_angle,
        )

    @property
    def l_f(self) -> Num:
        return (1 - self.share) * self.wheelbase

    @property
    def h(self) -> Num:
        return self.height * self.wheelbase

    @property
    def body(self) -> Body:
        return body_at_rest(
            self.chassis,
            mass=self.mass,
            l_f=self.l_f,
            h=self.h,
            unsprung_front=self.unsprung_front,
            unsprung_rear=self.unsprung_rear,
        )

    @property
    def front(self) -> Law:
        return Coil(self.front_rate, self.front_preload)

    @property
    def rear(self) -> Law:
        return Coil(self.rear_rate, self.rear_preload)

    def stop(self, decel_g: Num, front: Law | None = None, rear: Law | None = None, **rest: Num) -> Braking:
        options = {"front_stroke": 130.0, "rear_stroke": 140.0, "mu": 1.2} | rest
        return brake(
            decel_g,
            self.body,
            self.chassis,
            front or self.front,
            rear or self.rear,
            fork_position=self.fork_position,
            rear_height=self.rear_height,
            **options,
        )


BIKE = Bike()


def bikes() -> st.SearchStrategy[Bike]:
    def between(low: float, high: float) -> st.SearchStrategy[float]:
        return st.floats(low, high)

    return st.builds(
        Bike,
        rake=between(0.35, 0.60),
        offset=between(20.0, 90.0),
        wheelbase=between(1250.0, 1750.0),
        front_radius=between(270.0, 350.0),
        rear_radius=between(280.0, 330.0),
        arm=st.one_of(st.just(math.nan), between(480.0, 650.0)),
        arm_angle=between(-0.05, 0.3),
        mass=between(170.0, 450.0),
        share=between(0.38, 0.55),
        height=between(0.33, 0.55),
        unsprung_front=between(10.0, 25.0),
        unsprung_rear=between(12.0, 30.0),
        front_rest=between(20.0, 80.0),
        rear_rest=between(20.0, 90.0),
        front_rate=between(8.0, 30.0),
        front_preload=between(-5.0, 40.0),
        rear_rate=between(12.0, 50.0),
        rear_preload=between(0.0, 40.0),
        fork_position=between(-5.0, 15.0),
        rear_height=between(-8.0, 15.0),
    )


# A bike built from points: axles, pivot and masses put in the plane one by one, forces summed by components.


def _turned(point: np.ndarray, down: float, lift: float = 0.0) -> np.ndarray:
    c, s = math.cos(down), math.sin(down)
    return np.array([point[0] * c + point[1] * s, lift - point[0] * s + point[1] * c])


def _axles(bike: Bike, front: float, rear: float, moved: bool) -> tuple[np.ndarray, np.ndarray]:
    """Both axles in the chassis; ``moved``: with the fork position and rear height of the stop."""
    up_axis = np.array([-math.sin(bike.rake), math.cos(bike.rake)])
    slid = front - bike.front_rest + (bike.fork_position if moved else 0.0)
    rise = rear - bike.rear_rest - (bike.rear_height if moved else 0.0)
    a = np.array([bike.wheelbase, bike.front_radius]) + slid * up_axis
    if math.isnan(bike.arm):
        return a, np.array([0.0, bike.rear_radius + rise])
    pivot = np.array([math.cos(bike.arm_angle), math.sin(bike.arm_angle)]) * bike.arm + [0.0, bike.rear_radius]
    angle = math.asin((pivot[1] - bike.rear_radius - rise) / bike.arm)
    return a, pivot - bike.arm * np.array([math.cos(angle), math.sin(angle)])


def _sprung_centre(bike: Bike) -> np.ndarray:
    """At the published state the chassis's axes are the ground's: no turning is needed."""
    whole = np.array([bike.wheelbase - bike.l_f, bike.h])
    at_axles = bike.unsprung_front * np.array([bike.wheelbase, bike.front_radius]) + bike.unsprung_rear * np.array(
        [0.0, bike.rear_radius]
    )
    return (bike.mass * whole - at_axles) / (bike.mass - bike.unsprung_front - bike.unsprung_rear)


def by_points(bike: Bike, decel_g: float | None, topped: bool = False) -> tuple[float, float, float, float, float]:
    """Both travels, nose-down angle, deceleration and rear load; None asks for lift-off, topped holds z = 0."""
    centre = _sprung_centre(bike)
    sprung = bike.mass - bike.unsprung_front - bike.unsprung_rear

    def rear_load(front: float, rear: float, down: float, lift: float, a: float) -> float:
        axle, hub = (_turned(point, down, lift) for point in _axles(bike, front, rear, True))
        moment = 0.0
        for mass, (x, z) in (
            (sprung, _turned(centre, down, lift)),
            (bike.unsprung_front, axle),
            (bike.unsprung_rear, hub),
        ):
            moment += mass * (G * (axle[0] - x) - a * z)
        return moment / (axle[0] - hub[0])

    def residual(unknown: np.ndarray) -> list[float]:
        front, rear, down, lift, a = unknown[0], unknown[1], unknown[2] / 1000, unknown[3], unknown[4]
        axle, hub = (_turned(point, down, lift) for point in _axles(bike, front, rear, True))
        behind = rear_load(front, rear, down, lift, a)
        ahead = bike.mass * G - behind
        along = _turned(np.array([-math.sin(bike.rake), math.cos(bike.rake)]), down)
        on_wheel = np.array([-bike.mass * a + bike.unsprung_front * a, ahead - bike.unsprung_front * G])
        return [
            axle[1] - bike.front_radius,
            hub[1] - bike.rear_radius,
            (on_wheel @ along - bike.front_rate * max(front + bike.front_preload, 0.0)) / bike.front_rate,
            rear
            if topped
            else (behind - bike.unsprung_rear * G) / bike.rear_rate - max(rear + bike.rear_preload, -1e3),
            behind / 50 if decel_g is None else a - decel_g * G,
        ]

    guess = [60.0, 20.0, 0.0, 0.0, G if decel_g is None else decel_g * G]
    found, _, _, words = fsolve(residual, guess, xtol=1e-13, full_output=True)
    assert np.max(np.abs(residual(found))) < 1e-7, words
    if found[1] < 0 and not topped:
        return by_points(bike, decel_g, topped=True)
    front, rear, down, lift, a = found[0], found[1], found[2] / 1000, found[3], found[4]
    return front, rear, down, a / G, rear_load(front, rear, down, lift, a)


def agrees(bike: Bike, decel_g: float | None) -> None:
    front, rear, down, reached, behind = by_points(bike, decel_g)
    asked = math.inf if decel_g is None else decel_g
    got = bike.stop(asked, front_stroke=1e4, rear_stroke=1e4, mu=math.inf)
    assert bool(got.converged)
    assert got.decel_g == pytest.approx(reached, abs=1e-8)
    assert got.front_travel == pytest.approx(front, abs=1e-6)
    assert got.rear_travel == pytest.approx(rear, abs=1e-6)
    assert got.pitch == pytest.approx(down, abs=1e-9)
    assert got.rear_load == pytest.approx(max(behind, 0.0), abs=1e-5)
    assert got.limited_by == (LIFT_OFF if decel_g is None else ASKED)


@pytest.mark.parametrize("decel_g", [0.0, 0.3, 0.6, 0.9, None])
@pytest.mark.parametrize(
    "bike",
    [
        BIKE,
        Bike(arm=math.nan),
        Bike(fork_position=10.0, rear_height=8.0),
        Bike(rake=math.radians(33), wheelbase=1700.0, height=0.36, mass=390.0, front_radius=310.0, share=0.45),
    ],
    ids=["sport", "no swingarm known", "legs up and rear up", "cruiser"],
)
def test_fixed_point_is_that_of_a_bike_built_from_points(bike: Bike, decel_g: float | None) -> None:
    agrees(bike, decel_g)


@given(bikes(), st.sampled_from([0.0, 0.25, 0.5, 0.6]))
@settings(max_examples=60, deadline=None)
def test_any_bike_built_from_points(bike: Bike, decel_g: float) -> None:
    agrees(bike, decel_g)


# Closed forms: with the suspension rigid the textbook's load transfer is all there is.


def test_lift_off_of_the_published_sets() -> None:
    # Benchmark bicycle with rider (Meijaard and others 2007, table 1): l_f 677.87 mm, h 861.17 mm, worked by hand
    # from its four bodies; and a sport-tourer with rider of a textbook table.
    assert lift_off(677.872, 861.170) == pytest.approx(0.7872, abs=5e-5)
    assert lift_off(1448.0 - 688.0, 640.0) == pytest.approx(1.1875, abs=1e-12)


def test_lift_off_on_a_grade() -> None:
    assert lift_off(0.7, 1.0, -0.10) == pytest.approx(0.6, abs=0.005)
    assert lift_off(0.7, 1.0, 0.10) == pytest.approx(0.8, abs=0.005)
    # Exactly: 3-4-5 slope down, cos 0.8, sin −0.6.
    assert lift_off(1.0, 1.0, -0.75) == pytest.approx(0.2, abs=1e-12)
    assert grip_limit(1.0, -0.75) == pytest.approx(0.2, abs=1e-12)
    assert grip_limit(0.9) == pytest.approx(0.9)


def test_nothing_lifts_about_a_centre_on_the_ground() -> None:
    assert np.isnan(lift_off(700.0, 0.0))


def test_load_transfer_by_hand() -> None:
    # 280 kg, half each, h = 0.45 L, 0.6 g: 0.5 + 0.27 of 2745.862 N on the front.
    front, rear = braked_loads(280.0, 700.0, 630.0, 1400.0, 0.6)
    assert (front, rear) == pytest.approx((0.77 * 2745.862, 0.23 * 2745.862))


def test_load_transfer_stops_at_lift_off() -> None:
    at_limit = lift_off(677.0, 861.0)
    assert braked_loads(100.0, 677.0, 861.0, 1020.0, at_limit)[1] == pytest.approx(0.0, abs=1e-9)
    assert np.isnan(braked_loads(100.0, 677.0, 861.0, 1020.0, at_limit + 0.01)).all()


@given(bikes(), st.floats(0.0, 0.6))
@settings(max_examples=50, deadline=None)
def test_rigid_suspension_is_the_textbook(bike: Bike, decel_g: float) -> None:
    bike = replace(bike, front_rest=0.0, rear_rest=0.0, fork_position=0.0, rear_height=0.0)
    rigid = bike.stop(decel_g, Coil(1e9, 0.0), Coil(1e9, 0.0), mu=math.inf)
    front, rear = braked_loads(bike.mass, bike.l_f, bike.h, bike.wheelbase, decel_g)
    assert (rigid.front_load, rigid.rear_load) == pytest.approx((float(front), float(rear)), rel=1e-6)
    assert rigid.pitch == pytest.approx(0.0, abs=1e-6)
    hardest = bike.stop(math.inf, Coil(1e9, 0.0), Coil(1e9, 0.0), mu=math.inf)
    assert hardest.limit_g == pytest.approx(float(lift_off(bike.l_f, bike.h)), rel=1e-6)
    assert hardest.rear_load == 0.0
    # (N_f − m_uf g) cos ε + (X_f − m_uf a) sin ε, written out.
    weighs, slows = bike.unsprung_front * G, (bike.mass - bike.unsprung_front) * decel_g * G
    assert rigid.fork_force == pytest.approx(
        (front - weighs) * math.cos(bike.rake) + slows * math.sin(bike.rake), rel=1e-6
    )


def test_share_of_the_front_brake() -> None:
    # Without brake force at the contact the front wheel's inertia alone pulls on the leg.
    none, all_of_it = (BIKE.stop(0.5, front_brake_share=share) for share in (0.0, 1.0))
    assert none.front_travel < all_of_it.front_travel
    assert np.isnan(BIKE.stop(0.5, front_brake_share=1.1).front_travel)


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


# The plane in the loop is the one of plane.py.


@given(bikes(), st.floats(0.0, 120.0), st.floats(0.0, 120.0))
@settings(max_examples=80, deadline=None)
def test_plane_in_the_loop_is_attitude(bike: Bike, front: float, rear: float) -> None:
    plane = Plane(bike.chassis, bike.body, bike.fork_position, bike.rear_height, None, None)
    at = plane.at(np.asarray(front), np.asarray(rear))
    stands = attitude(bike.chassis, front, rear, bike.fork_position, bike.rear_height)
    assert at.base == pytest.approx(float(stands.wheelbase), rel=1e-12)
    assert math.atan2(at.pitch_sine, at.pitch_cosine) == pytest.approx(float(stands.pitch), abs=1e-12)
    assert (at.sine, at.cosine) == pytest.approx((np.sin(stands.rake), np.cos(stands.rake)), abs=1e-12)
    ahead, up = stands.place(bike.body.x, bike.body.z)
    assert (at.x, at.z + bike.rear_radius) == pytest.approx((float(ahead), float(up)), rel=1e-12)


def test_body_carried_to_another_attitude_and_back() -> None:
    there = {
        "front_travel": 5.0,
        "rear_travel": 60.0,
        "fork_position": 4.0,
        "rear_height": 3.0,
        "front_radius": 290.0,
    }
    again = body_at_rest(BIKE.chassis, mass=280.0, l_f=700.0, h=640.0, unsprung_front=0.0, unsprung_rear=0.0, **there)
    stands = attitude(BIKE.chassis, **there)
    ahead, up = stands.place(again.x, again.z)
    assert (stands.wheelbase - ahead, up) == pytest.approx((700.0, 640.0))


@pytest.mark.parametrize(
    "change", [{"l_f": 1500.0}, {"l_f": -1.0}, {"h": 0.0}, {"unsprung_front": 300.0}, {"unsprung_rear": -1.0}]
)
def test_a_body_that_cannot_stand_is_nan(change: dict[str, float]) -> None:
    given_ = {"mass": 280.0, "l_f": 700.0, "h": 640.0, "unsprung_front": 17.0, "unsprung_rear": 19.0} | change
    assert np.isnan(body_at_rest(BIKE.chassis, **given_).x)


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


def spread(shape: tuple[int, ...], seed: int = 7) -> Bike:
    """A grid of bikes some per cent apart."""
    rng = np.random.default_rng(seed)
    names = [field.name for field in fields(Bike)]
    return Bike(**{name: getattr(BIKE, name) * (1 + 0.03 * rng.standard_normal(shape)) for name in names})


def one_of(bikes_: Bike, at: tuple[int, ...]) -> Bike:
    return Bike(**{field.name: float(getattr(bikes_, field.name)[at]) for field in fields(Bike)})


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
