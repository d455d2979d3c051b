"""A steady stop against closed forms and against a bike built from points, and the plane it stands in."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.stops import BIKE, Bike, bikes, by_points
from tuning.engine.braking import (
    ASKED,
    LIFT_OFF,
    braked_loads,
    grip_limit,
    lift_off,
)
from tuning.engine.coil import Coil
from tuning.engine.dive import Plane
from tuning.engine.loads import body_at_rest
from tuning.engine.plane import attitude
from tuning.engine.units import STANDARD_GRAVITY as G


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
