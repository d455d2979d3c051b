"""Where the bike goes under a steady stop: load transfer, dive, what travel is left, and what ends it first.

Statics with inertia forces, for an upright bike in a straight line on a level road, brake torque reacted at the fork
legs. Dive feeds back: as the front goes down and the rear comes up, pitch, centre of mass and wheelbase follow, and
the loads with them, so every state here is the fixed point of springs, loads and geometry.

What is taken: the sprung mass, rider and all, is one body fixed in the chassis; the unsprung masses sit at the axles;
the rear springs see the vertical load alone (a rear brake's or a chain's pull on the swingarm is left out); wheels do
not spin up or down; the tyres keep their radii. Friction and damping are left out: they delay a steady dive, they do
not move where it ends. The grip limit is that of both brakes used to the full, while the fork carries the whole stop
unless told otherwise: at that limit the dive is an upper estimate. Anti-dive linkages, linked brakes and semi-active
legs are outside the model; the caller says so.

Lengths mm, forces N, masses kg, angles radians, deceleration in g. Inputs: floats or arrays that broadcast; NaN in,
NaN out.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.dive import Found, Plane, Stop, settled
from tuning.engine.loads import Body
from tuning.engine.plane import Chassis, ground_trail
from tuning.engine.units import STANDARD_GRAVITY

#: What a deceleration was ended by, and the names of the codes.
UNKNOWN, ASKED, GRIP, LIFT_OFF = -1, 0, 1, 2
LIMITED_BY: Mapping[int, str] = MappingProxyType(
    {UNKNOWN: "unknown", ASKED: "asked", GRIP: "grip", LIFT_OFF: "lift_off"}
)
#: Up to so many states several stops are solved in one pass; beyond, one after the other stays in the cache.
FEW = 4096
#: A stroke taken for the first guess where none is known, mm.
LONG = 150.0


def lift_off(l_f: Num, h: Num, grade: Num = 0.0) -> Array:
    """Return a/g at which the rear wheel leaves the ground: (l_f/h) cos γ + sin γ, geometry as it stands.

    ``grade`` is the road's slope, tan γ, negative downhill. J. S. Riel, 'Maximal Braking on a Standard Bicycle',
    2005, eq. 3 and 6. NaN for a centre of mass at or below the ground.
    """
    height, slope = np.asarray(h, dtype=np.float64), np.asarray(grade, dtype=np.float64)
    with np.errstate(all="ignore"):
        level = np.asarray(l_f, dtype=np.float64) / np.where(height > 0, height, np.nan)
        return np.asarray((level + slope) / np.sqrt(1.0 + slope**2))


def grip_limit(mu: Num, grade: Num = 0.0) -> Array:
    """Return a/g at which the tyres slide, each wheel braked as hard as it can be: μ cos γ + sin γ."""
    slope = np.asarray(grade, dtype=np.float64)
    return np.asarray((np.asarray(mu, dtype=np.float64) + slope) / np.sqrt(1.0 + slope**2))


def braked_loads(mass: Num, l_f: Num, h: Num, wheelbase: Num, decel_g: Num) -> tuple[Array, Array]:
    """Return the front and rear wheel load, N, at a deceleration, geometry as it stands.

    N_f = m g l_r/L + m a h/L. Past lift-off the rear load is NaN, and so is the front's: no steady state is there.
    """
    weight = np.asarray(mass, dtype=np.float64) * STANDARD_GRAVITY
    with np.errstate(all="ignore"):
        rear = weight * (l_f - np.asarray(decel_g) * h) / wheelbase
        # At lift-off itself rounding may leave less than nothing.
        rear = np.asarray(np.where(rear >= -1e-9 * weight, np.maximum(rear, 0.0), np.nan))
        return weight - rear, rear


@dataclass(frozen=True, slots=True)
class Braking:
    """A steady stop; arrays of the inputs' common shape.

    decel_g: that which is reached: as asked, or the lower of lift-off and grip where that comes first. left: fork
    travel left over, mm; on_stop: axial force that the springs at full stroke leave to the stop, N. pitch: nose down
    from the published state (less that at 0 g: the pitch of the stop). trail: on the ground. l_f, h: of the whole
    centre of mass as the bike then stands. limited_by: a code of LIMITED_BY. Where ``converged`` is False every
    number is NaN and limited_by UNKNOWN.
    """

    decel_g: Array
    front_travel: Array
    rear_travel: Array
    left: Array
    on_stop: Array
    pitch: Array
    rake: Array
    trail: Array
    wheelbase: Array
    front_load: Array
    rear_load: Array
    front_share: Array
    fork_force: Array
    l_f: Array
    h: Array
    limited_by: npt.NDArray[np.int8]
    converged: npt.NDArray[np.bool_]

    @property
    def limit_g(self) -> Array:
        """The deceleration no stop goes beyond, g; NaN where what was asked for came first."""
        return np.where(self.limited_by > ASKED, self.decel_g, np.nan)

    def __getitem__(self, index: int) -> "Braking":
        """Return the part at ``index`` of the leading axis."""
        return Braking(*(getattr(self, name)[index] for name in self.__slots__))


def brake(
    decel_g: Num,
    body: Body,
    chassis: Chassis,
    front_law: Law,
    rear_law: Law,
    *,
    front_stroke: Num,
    rear_stroke: Num,
    mu: Num,
    front_brake_share: Num = 1.0,
    fork_position: Num = 0.0,
    rear_height: Num = 0.0,
    front_radius: Num | None = None,
    rear_radius: Num | None = None,
    start: Braking | tuple[Num, Num] | None = None,
) -> Braking:
    """Return the steady stop at ``decel_g``, or at the lower of lift-off and grip where that comes first.

    Fork force along both legs = (N_f − m_uf g) cos ε + (X_f − m_uf a) sin ε with X_f the front brake's share of m a.
    decel_g: 0 is standing still on the laws given (which agree with a measured sag only where they were made to), inf
    asks for the limit, negative gives NaN. mu: deceleration over g at which the tyres slide (inf: they never do).
    front_stroke, rear_stroke: travels stay in [0, stroke]; inf where it is not known, which leaves ``left`` NaN.
    start: a nearby solution, to save steps.
    """
    with np.errstate(all="ignore"):
        asked = np.asarray(decel_g, dtype=np.float64)
        asked = np.where(asked >= 0, asked, np.nan)
        share = np.asarray(front_brake_share, dtype=np.float64)
        stop = Stop(
            Plane(chassis, body, fork_position, rear_height, front_radius, rear_radius),
            body,
            (front_law, rear_law),
            asked,
            np.asarray(mu, dtype=np.float64),
            np.where((share >= 0) & (share <= 1), share, np.nan),
        )
        strokes = _where_positive(front_stroke), _where_positive(rear_stroke)
        if start is None:
            begin: tuple[Num, Num] = (0.5 * np.minimum(strokes[0], LONG), 0.25 * np.minimum(strokes[1], LONG))
        else:
            begin = (start.front_travel, start.rear_travel) if isinstance(start, Braking) else start
        return _report(stop, chassis, strokes, settled(stop, strokes, begin))


def limit(body: Body, chassis: Chassis, front_law: Law, rear_law: Law, **rest: Num) -> Braking:
    """Return the hardest steady stop there is: ``brake`` asked for more than any bike gives."""
    return brake(math.inf, body, chassis, front_law, rear_law, **rest)  # type: ignore[arg-type]


def braking_points(
    decels_g: Sequence[float],
    body: Body,
    chassis: Chassis,
    front_law: Law,
    rear_law: Law,
    *,
    start: "Braking | tuple[Array, Array] | None" = None,
    **rest: Num,
) -> Braking:
    """Return stops at each of ``decels_g`` and, last, at the limit, along a new leading axis; inputs two-dimensional.

    start: a nearby result of this function for the same ``decels_g``, or travels near it along the same leading axis;
    the other keyword arguments are those of ``brake``.
    """
    asked = (*decels_g, math.inf)
    options: dict[str, Any] = dict(rest)
    if np.size(body.x) <= FEW:
        return brake(np.reshape(asked, (-1, 1, 1)), body, chassis, front_law, rear_law, start=start, **options)
    stops: list[Braking] = []
    for index, each in enumerate(asked):
        near: Braking | tuple[Num, Num] | None = stops[-1] if stops else None
        if start is not None:
            near = start[index] if isinstance(start, Braking) else (start[0][index], start[1][index])
        stops.append(brake(each, body, chassis, front_law, rear_law, start=near, **options))
    return Braking(*(np.stack([getattr(stop, name) for stop in stops]) for name in Braking.__slots__))


def _report(stop: Stop, chassis: Chassis, strokes: tuple[Array, Array], found: Found) -> Braking:
    front, at, now = found.front, found.at, found.now
    sound = found.sound & (now.l_f > 0) & (now.l_f < at.base) & (now.h > 0) & (at.cosine > 0) & (now.a >= 0)
    pitch = np.arctan2(at.pitch_sine, at.pitch_cosine)
    rake = chassis.rake - pitch
    by = np.where(now.a >= stop.asked, ASKED, np.where(now.a >= now.lift, LIFT_OFF, GRIP))
    numbers = (
        now.a / STANDARD_GRAVITY,
        front,
        found.rear,
        np.where(np.isinf(strokes[0]), np.nan, strokes[0] - front),
        np.where(front >= strokes[0], np.maximum(found.lacks, 0.0), 0.0),
        pitch,
        rake,
        ground_trail(rake, stop.plane.front, chassis.offset),
        at.base,
        now.front,
        now.rear,
        now.front / stop.weight,
        now.fork,
        now.l_f,
        now.h,
    )
    parts: tuple[Any, ...] = (
        *(np.where(sound, number, np.nan) for number in numbers),
        np.where(sound, by, UNKNOWN).astype(np.int8),
        sound,
    )
    return Braking(*parts)


def _where_positive(number: Num) -> Array:
    each = np.asarray(number, dtype=np.float64)
    return np.where(each > 0, each, np.nan)
