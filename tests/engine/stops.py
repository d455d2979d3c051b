"""A bike to be braked, any such bike, and the same bike built from points to check the engine by."""

import math
from dataclasses import dataclass, fields

import numpy as np
from hypothesis import strategies as st
from scipy.optimize import fsolve

from tuning.engine.arrays import Law, Num
from tuning.engine.braking import (
    Braking,
    brake,
)
from tuning.engine.coil import Coil
from tuning.engine.loads import Body, body_at_rest
from tuning.engine.plane import Chassis
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


def by_points(
    bike: Bike, decel_g: float | None, topped: frozenset[str] = frozenset()
) -> tuple[float, float, float, float, float]:
    """Both travels, nose-down angle, deceleration and rear load; None: at lift-off; topped: ends held so."""
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
            front
            if "front" in topped
            else (on_wheel @ along) / bike.front_rate - max(front + bike.front_preload, 0.0),
            rear
            if "rear" in topped
            else (behind - bike.unsprung_rear * G) / bike.rear_rate - rear - bike.rear_preload,
            behind / 50 if decel_g is None else a - decel_g * G,
        ]

    guess = [60.0, 20.0, 0.0, 0.0, G if decel_g is None else decel_g * G]
    found, _, _, words = fsolve(residual, guess, xtol=1e-13, full_output=True)
    assert np.max(np.abs(residual(found))) < 1e-7, words
    beyond = {end for end, travel in (("front", found[0]), ("rear", found[1])) if travel < 0 and end not in topped}
    if beyond:
        return by_points(bike, decel_g, topped | beyond)
    front, rear, down, lift, a = found[0], found[1], found[2] / 1000, found[3], found[4]
    return front, rear, down, a / G, rear_load(front, rear, down, lift, a)


def spread(shape: tuple[int, ...], seed: int = 7) -> Bike:
    """A grid of bikes some per cent apart."""
    rng = np.random.default_rng(seed)
    names = [field.name for field in fields(Bike)]
    return Bike(**{name: getattr(BIKE, name) * (1 + 0.03 * rng.standard_normal(shape)) for name in names})


def one_of(bikes_: Bike, at: tuple[int, ...]) -> Bike:
    return Bike(**{field.name: float(getattr(bikes_, field.name)[at]) for field in fields(Bike)})
