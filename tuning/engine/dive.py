"""The fixed point of a steady stop: springs, wheel loads and geometry at once, by Newton's steps on arrays.

What the model takes and leaves out stands in braking.py, which is what others call. Lengths mm, forces N, masses kg,
angles radians, deceleration in m/s² from here on.
"""

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.loads import Body
from tuning.engine.plane import Chassis
from tuning.engine.units import STANDARD_GRAVITY

#: A travel is found when a step moves it by less, mm.
TOLERANCE = 1e-9
#: Steps before a state is given up as not converged, and those after which a step that turns back is halved: a
#: law with corners may make full ones jump to and fro.
MOST_STEPS, FULL_STEPS = 80, 12
#: While steps are longer than this, mm, the slopes are taken anew at each.
FAR = 0.02
#: The least stiffness a step is taken by, N/mm: a loose spring has none.
LEAST = 0.5


class State(NamedTuple):
    """The plane at two travels. x, z: sprung mass from the rear axle, ground axes; arm: tan of the swingarm."""

    base: Array
    sine: Array
    cosine: Array
    pitch_sine: Array
    pitch_cosine: Array
    x: Array
    z: Array
    arm: Array | float


class Plane:
    """``attitude`` cut down to what a fixed point asks for, without an angle function in the loop."""

    def __init__(
        self,
        chassis: Chassis,
        body: Body,
        fork_position: Num,
        rear_height: Num,
        front_radius: Num | None,
        rear_radius: Num | None,
    ) -> None:
        rake = np.asarray(chassis.rake, dtype=np.float64)
        self.sine, self.cosine = np.sin(rake), np.cos(rake)
        self.front = np.asarray(chassis.front_radius if front_radius is None else front_radius, dtype=np.float64)
        self.rear = np.asarray(chassis.rear_radius if rear_radius is None else rear_radius, dtype=np.float64)
        self.step = self.front - self.rear
        up = np.asarray(fork_position, dtype=np.float64) - chassis.front_travel
        self.rise = -np.asarray(chassis.rear_travel, dtype=np.float64) - rear_height
        self.ahead = chassis.wheelbase - up * self.sine
        self.above = chassis.front_radius + up * self.cosine - chassis.rear_radius - self.rise
        self.x, self.z = body.x, body.z - chassis.rear_radius - self.rise
        self.straight = chassis.straight
        self.swings = not bool(np.all(self.straight))
        if self.swings:
            angle = np.asarray(chassis.swingarm_angle, dtype=np.float64)
            arm = np.asarray(chassis.swingarm_length, dtype=np.float64)
            self.length = np.where((arm > 0) & (np.cos(angle) > 0), arm, np.nan)
            self.arm_sine, self.arm_cosine = np.sin(angle), np.cos(angle)

    def at(self, front: Array, rear: Array) -> State:
        ahead, above = self.ahead - front * self.sine, self.above + front * self.cosine - rear
        x, z = self.x, self.z - rear
        slope: Array | float = 0.0
        if self.swings:
            sine = self.arm_sine - (self.rise + rear) / self.length
            cosine = np.sqrt(1.0 - sine * sine)
            back = np.where(self.straight, 0.0, self.length * (self.arm_cosine - cosine))
            slope = np.where(self.straight, 0.0, sine / cosine)
            ahead, x = ahead - back, x - back
        square = ahead * ahead + above * above
        base = np.sqrt(square - self.step * self.step)
        c, s = (ahead * base + above * self.step) / square, (above * base - ahead * self.step) / square
        return State(
            base,
            self.sine * c - self.cosine * s,
            self.cosine * c + self.sine * s,
            s,
            c,
            x * c + z * s,
            z * c - x * s,
            slope,
        )


class Loads(NamedTuple):
    """a: deceleration, m/s²; front, rear: under the wheels; fork: along the legs; shock: N_r − m_ur g; all N."""

    a: Array
    lift: Array
    front: Array
    rear: Array
    fork: Array
    shock: Array
    l_f: Array
    h: Array


class Stop:
    """One call of ``brake``: what stays the same from step to step."""

    def __init__(self, plane: Plane, body: Body, laws: tuple[Law, Law], asked: Array, mu: Array, front_brake: Num):
        self.plane, self.body, self.laws = plane, body, laws
        self.asked, self.slide = asked * STANDARD_GRAVITY, mu * STANDARD_GRAVITY
        self.most = np.minimum(self.asked, self.slide)
        self.weight = body.mass * STANDARD_GRAVITY
        self.front_weight = body.unsprung_front * STANDARD_GRAVITY
        self.rear_weight = body.unsprung_rear * STANDARD_GRAVITY
        self.part = body.sprung / body.mass
        self.sprung_weight = body.sprung * STANDARD_GRAVITY
        self.front_part = body.unsprung_front / body.mass
        # What a longer wheelbase lifts about the front contact: all but what hangs on the front axle.
        self.moved = self.weight - self.front_weight
        # The whole centre's height over the rear axle's, but for what moves.
        self.low = plane.rear + self.front_part * plane.step
        self.pull = np.asarray(front_brake, dtype=np.float64) * body.mass - body.unsprung_front

    def loads(self, at: State) -> Loads:
        l_f = at.base * (1.0 - self.front_part) - self.part * at.x
        h = self.low + self.part * at.z
        lift = l_f / h * STANDARD_GRAVITY
        a = np.minimum(self.most, lift)
        rear = np.where(lift <= self.most, 0.0, (self.weight * l_f - self.body.mass * a * h) / at.base)
        front = self.weight - rear
        fork = (front - self.front_weight) * at.cosine + self.pull * a * at.sine
        return Loads(a, lift, front, rear, fork, rear - self.rear_weight, l_f, h)

    def slopes(self, at: State, now: Loads, front: Array, rear: Array) -> tuple[Array, Array, Array, Array]:
        """Return d(spring force − load) by front and rear travel: fork row, then rear row. Exact, dive included."""
        lifted = now.a >= now.lift
        # Ground axes: the front axle goes up its axis, the rear one square to the arm.
        out, up = -at.pitch_sine, -at.pitch_cosine
        if self.plane.swings:
            out, up = out - at.arm * up, up + at.arm * out
        pull = self.pull * at.sine
        along = (now.front - self.front_weight) * at.sine - self.pull * now.a * at.cosine
        slowing = self.body.mass * now.a * self.part

        def row(turn: Array, base: Array, moment: Array) -> tuple[Array, Array]:
            less = (moment - now.rear * base) / at.base
            loses = less * at.cosine
            if lifted.any():
                # The rear stays unloaded; what changes is the deceleration that lifts it.
                loses = np.where(lifted, -pull * moment / (self.body.mass * now.h), loses)
                less = np.where(lifted, 0.0, less)
            return along * turn - loses, less

        turn = at.cosine / at.base
        base = self.plane.step * turn - at.sine
        moment = self.moved * base - turn * (self.sprung_weight * at.z - slowing * at.x)
        fork_f, rear_f = row(turn, base, moment)
        turn = up / at.base
        base = self.plane.step * turn + out
        moment = self.moved * base - self.sprung_weight * (out + turn * at.z) - slowing * (up - turn * at.x)
        fork_r, rear_r = row(turn, base, moment)
        return (
            np.maximum(self.laws[0].stiffness(front) - fork_f, LEAST),
            -fork_r,
            -rear_f,
            np.maximum(self.laws[1].stiffness(rear) - rear_r, LEAST),
        )


class Found(NamedTuple):
    """Both travels at the fixed point, what was there, the force the fork springs lack, and where it was found."""

    front: Array
    rear: Array
    at: State
    now: Loads
    lacks: Array
    sound: npt.NDArray[np.bool_]


def settled(stop: Stop, strokes: tuple[Array, Array], begin: tuple[Num, Num]) -> Found:
    """Return the fixed point by Newton's steps held inside the strokes."""
    front, rear = (
        np.clip(np.where(np.isnan(at), 0.5 * stroke, at), 0.0, stroke)
        for at, stroke in zip(begin, strokes, strict=True)
    )
    front, rear, _ = np.broadcast_arrays(front, rear, stop.most)
    good, slopes, known, longest = (front, rear), None, None, math.inf
    for count in range(MOST_STEPS):
        at = stop.plane.at(front, rear)
        now = stop.loads(at)
        lacks_f, lacks_r = now.fork - stop.laws[0].force(front), now.shock - stop.laws[1].force(rear)
        lost = np.isnan(lacks_f + lacks_r)
        if known is None:
            known = ~lost
        elif (lost := lost & known).any():
            # A step went where a law ends (air squeezed to nothing): halfway back.
            front, rear = (np.where(lost, 0.5 * (to + was), to) for to, was in zip((front, rear), good, strict=True))
            slopes = None
            continue
        if slopes is None or longest > FAR:
            slopes = stop.slopes(at, now, front, rear)
        step_f, step_r = _step(slopes, (lacks_f, lacks_r), (front, rear), strokes)
        if count >= FULL_STEPS:
            back = ((front - good[0]) * step_f < 0) | ((rear - good[1]) * step_r < 0)
            step_f, step_r = np.where(back, 0.5 * step_f, step_f), np.where(back, 0.5 * step_r, step_r)
        to_f = np.minimum(np.maximum(front + step_f, 0.0), strokes[0])
        to_r = np.minimum(np.maximum(rear + step_r, 0.0), strokes[1])
        moves = np.maximum(np.abs(to_f - front), np.abs(to_r - rear))
        going = moves > TOLERANCE
        if not going.any():
            break
        good, front, rear = (front, rear), to_f, to_r
        last, longest = longest, float(moves[going].max())
        if longest > 0.1 * last:
            # Slopes kept from before served badly.
            slopes = None
    return Found(front, rear, at, now, lacks_f, moves <= TOLERANCE)


def _step(
    slopes: tuple[Array, Array, Array, Array],
    lacks: tuple[Array, Array],
    travels: tuple[Array, Array],
    strokes: tuple[Array, Array],
) -> tuple[Array, Array]:
    """Return Newton's step of both ends; an end pressed against its stop stays and no longer moves the other."""
    (ff, fr, rf, rr), (lacks_f, lacks_r) = slopes, lacks
    held_f, held_r = (
        ((travel <= 0.0) & (lack < 0.0)) | ((travel >= stroke) & (lack > 0.0))
        for travel, lack, stroke in zip(travels, lacks, strokes, strict=True)
    )
    held = held_f | held_r
    if held.any():
        lacks_f, lacks_r = np.where(held_f, 0.0, lacks_f), np.where(held_r, 0.0, lacks_r)
        fr, rf = np.where(held, 0.0, fr), np.where(held, 0.0, rf)
    whole = ff * rr - fr * rf
    return (lacks_f * rr - fr * lacks_r) / whole, (ff * lacks_r - rf * lacks_f) / whole
