"""The bike in its plane: one rigid chassis on two wheels that touch level ground, solved exactly.

Chassis coordinates are those of the state the figures were published for: origin at the rear contact, x forward, z
up from the ground, mm. In them the front axle slides along the steering axis at its offset and the rear axle swings
about the pivot. Where the swingarm is not known the rear axle moves straight up and down (``Chassis.straight`` says
so). Radians; floats or arrays that broadcast; NaN in, NaN out, and NaN for a state no bike can take.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Num

#: The head whose height is given: on the steering axis, this far up it from the foot of the published front axle, mm.
#: About the middle of a road bike's head; 50 mm more or less alters a height *change* by some 0.1 mm.
HEAD_UP_AXIS = 500.0
#: The seat whose height is given: share of the wheelbase ahead of the rear axle, and height above ground, mm
#: (common practice; a rider's centre of mass lies at about 0.41 of the wheelbase, the seat's low point behind it).
SEAT_SHARE, SEAT_HEIGHT = 0.35, 800.0


def ground_trail(rake: Num, radius: Num, offset: Num) -> Array:
    """Return T = (R sin ε − d)/cos ε; rake in radians, lengths alike. Moore 2012, 'Physical Parameters'."""
    return np.asarray(normal_trail(rake, radius, offset) / np.cos(rake), dtype=np.float64)


def normal_trail(rake: Num, radius: Num, offset: Num) -> Array:
    """Return T_n = R sin ε − d; rake in radians, lengths alike. Moore 2012, 'Physical Parameters'."""
    return np.asarray(radius * np.sin(rake) - offset, dtype=np.float64)


def offset_from_trail(rake: Num, radius: Num, trail: Num) -> Array:
    """Return the offset that gives a ground trail: d = R sin ε − T cos ε; rake in radians, lengths alike."""
    return np.asarray(radius * np.sin(rake) - trail * np.cos(rake), dtype=np.float64)


def radius_from_trail(rake: Num, offset: Num, trail: Num) -> Array:
    """Return the radius that gives a ground trail: R = (T cos ε + d)/sin ε; NaN for an upright axis."""
    sine = np.asarray(np.sin(rake), dtype=np.float64)
    return np.asarray((trail * np.cos(rake) + offset) / np.where(sine > 0, sine, np.nan))


def radius_from_roll_out(distance: Num, turns: Num) -> Array:
    """Return R = L/(2πn) from a roll-out of n turns, in the unit of L; NaN unless n > 0. Moore 2012."""
    counted = np.asarray(turns, dtype=np.float64)
    return np.asarray(distance / (2 * math.pi * np.where(counted > 0, counted, np.nan)))


def trail_per_rake(rake: Num, radius: Num, offset: Num) -> Array:
    """Return dT/dε = (R − d sin ε)/cos² ε, length per radian."""
    return np.asarray((radius - offset * np.sin(rake)) / np.cos(rake) ** 2, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Chassis:
    """A bike's published figures and the travels at which they hold; every field a float or an array.

    rake: from the vertical; offset: steering axis to front axle, yokes plus axle lead; front_travel: along the fork,
    and rear_travel: vertical at the axle, both from topped out, in the published state. swingarm_angle: how far the
    line from pivot to rear axle points below the horizontal in that state, positive with the axle below the pivot.
    """

    rake: Num
    offset: Num
    wheelbase: Num
    front_radius: Num
    rear_radius: Num
    front_travel: Num = 0.0
    rear_travel: Num = 0.0
    swingarm_length: Num = math.nan
    swingarm_angle: Num = math.nan

    @property
    def straight(self) -> npt.NDArray[np.bool_]:
        """Where the swingarm is not known and the rear axle is taken to move straight up and down."""
        return np.isnan(np.asarray(self.swingarm_length + self.swingarm_angle, dtype=np.float64))


@dataclass(frozen=True, slots=True)
class Attitude:
    """How a chassis stands in one state; arrays of the inputs' common shape, mm and radians.

    pitch: nose down from the published state (ISO 8855), so rake = published rake − pitch. swingarm_angle: to the
    ground, positive with the axle below the pivot, NaN without a swingarm. head_height and seat_height: above the
    ground, of the chassis points HEAD_UP_AXIS and SEAT_SHARE, SEAT_HEIGHT; only their changes mean something.
    rear_x, rear_z: the rear axle in chassis coordinates.
    """

    rake: Array
    ground_trail: Array
    normal_trail: Array
    wheelbase: Array
    pitch: Array
    swingarm_angle: Array
    head_height: Array
    seat_height: Array
    front_radius: Array
    rear_radius: Array
    rear_x: Array
    rear_z: Array

    def __getitem__(self, index: int) -> "Attitude":
        """Return the part at ``index`` of the leading axis."""
        return Attitude(*(getattr(self, name)[index] for name in self.__slots__))

    def place(self, x: Num, z: Num) -> tuple[Array, Array]:
        """Return where a chassis point (chassis coordinates, mm) is now: ahead of the rear contact, and how high."""
        ahead, above = x - self.rear_x, z - self.rear_z
        cosine, sine = np.cos(self.pitch), np.sin(self.pitch)
        return ahead * cosine + above * sine, self.rear_radius + above * cosine - ahead * sine


def attitude(
    chassis: Chassis,
    front_travel: Num | None = None,
    rear_travel: Num | None = None,
    fork_position: Num = 0.0,
    rear_height: Num = 0.0,
    front_radius: Num | None = None,
    rear_radius: Num | None = None,
) -> Attitude:
    """Return how the chassis stands on level ground; closed form.

    Travels in mm from topped out (None: as published); fork_position: mm the legs went up through the clamps from
    where they were published; rear_height: mm the axle went down in the chassis, as a longer shock would do it; radii
    when other tyres are on. With A, B the axles in chassis coordinates, wheelbase = √(|AB|² − (R_f − R_r)²) and the
    pitch is the angle of AB less asin((R_f − R_r)/|AB|). Rear travel is vertical in the chassis.
    """
    with np.errstate(all="ignore"):
        rake, offset, wheelbase, front_0, rear_0 = (
            np.asarray(part, dtype=np.float64)
            for part in (chassis.rake, chassis.offset, chassis.wheelbase, chassis.front_radius, chassis.rear_radius)
        )
        front = front_0 if front_radius is None else np.asarray(front_radius, dtype=np.float64)
        rear = rear_0 if rear_radius is None else np.asarray(rear_radius, dtype=np.float64)
        up = fork_position + (0.0 if front_travel is None else front_travel - chassis.front_travel)
        rise = (0.0 if rear_travel is None else rear_travel - chassis.rear_travel) - np.asarray(rear_height)
        back, arm = _swing(chassis, rise)
        rear_z = rear_0 + rise
        ahead = wheelbase - up * np.sin(rake) - back
        above = front_0 + up * np.cos(rake) - rear_z
        apart = np.hypot(ahead, above)
        pitch = np.arctan2(above, ahead) - np.arcsin((front - rear) / apart)
        now = rake - pitch
        # Wheels that would stand in each other, or an axis laid flat, are no bike.
        pitch = np.where((wheelbase > 0) & (front > 0) & (rear > 0) & (ahead > 0) & (np.cos(now) > 0), pitch, np.nan)
        now = rake - pitch
        trail = normal_trail(now, front, offset)
        whole = (
            now,
            trail / np.cos(now),
            trail,
            np.sqrt(apart**2 - (front - rear) ** 2) + 0 * pitch,
            pitch,
            arm - pitch,
            _height(
                wheelbase - offset * np.cos(rake) - HEAD_UP_AXIS * np.sin(rake) - back,
                front_0 - offset * np.sin(rake) + HEAD_UP_AXIS * np.cos(rake) - rear_z,
                pitch,
                rear,
            ),
            _height(SEAT_SHARE * wheelbase - back, SEAT_HEIGHT - rear_z, pitch, rear),
            front,
            rear,
            back,
            rear_z,
        )
    shape = trail.shape
    return Attitude(*(part if np.shape(part) == shape else np.broadcast_to(part, shape) for part in whole))


def _height(ahead: Array, above: Array, pitch: Array, radius: Array) -> Array:
    return np.asarray(radius + above * np.cos(pitch) - ahead * np.sin(pitch))


def _swing(chassis: Chassis, rise: Num) -> tuple[Array, Array]:
    """Return how far forward the rear axle went in the chassis as it rose by ``rise``, and the arm's angle there."""
    length, angle = (np.asarray(part, np.float64) for part in (chassis.swingarm_length, chassis.swingarm_angle))
    sine = np.sin(angle) - rise / length
    # |sin| > 1: the arm does not reach; a published angle past the vertical is no swingarm.
    arm = np.where((length > 0) & (np.cos(angle) > 0), np.arcsin(sine), np.nan)
    forward = length * (np.cos(angle) - np.cos(arm))
    return np.where(chassis.straight, 0.0, forward), arm


@dataclass(frozen=True, slots=True)
class Slopes:
    """Change per mm of one cause: rake in rad/mm, the others mm/mm."""

    rake: Array
    ground_trail: Array
    normal_trail: Array
    wheelbase: Array


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """What 1 mm more of each does: legs up, rear up, sag at an end, a wheel's radius."""

    fork_position: Slopes
    rear_height: Slopes
    front_sag: Slopes
    rear_sag: Slopes
    front_radius: Slopes
    rear_radius: Slopes


def sensitivities(chassis: Chassis, state: Attitude) -> Sensitivities:
    """Return the exact derivatives at ``state``, an attitude of ``chassis``.

    With φ the pitch, w the wheelbase, s = R_f − R_r and (x, z) = AB: dφ = (cos φ dz − sin φ dx − ds)/w and
    dw = cos φ dx + sin φ dz + s dφ. The front axle moves along the steering axis, the rear square to the arm.
    """
    with np.errstate(all="ignore"):
        rake, base, step = state.rake, state.wheelbase, state.front_radius - state.rear_radius

        def slopes(pitch: Array, along: Array, radius: float = 0.0) -> Slopes:
            turned = -pitch
            return Slopes(
                turned,
                trail_per_rake(rake, state.front_radius, _offset(state)) * turned + radius * np.tan(rake),
                state.front_radius * np.cos(rake) * turned + radius * np.sin(rake),
                along + step * pitch,
            )

        none, one = np.zeros_like(rake), np.ones_like(rake)
        front = slopes(np.cos(rake) / base, -np.sin(rake))
        straight = chassis.straight
        # The arm's angle in the chassis; a vertical path is that of a level arm.
        arm = np.where(straight, 0.0, state.swingarm_angle + state.pitch)
        seen = arm - state.pitch
        rear = slopes(-np.cos(seen) / np.cos(arm) / base, np.sin(seen) / np.cos(arm))
        up = Slopes(-rear.rake, -rear.ground_trail, -rear.normal_trail, -rear.wheelbase)
        return Sensitivities(front, up, front, rear, slopes(-one / base, none, 1.0), slopes(one / base, none))


def _offset(state: Attitude) -> Array:
    return state.front_radius * np.sin(state.rake) - state.normal_trail
