"""Who weighs what and where: class defaults, wheel loads, centre of mass, what the springs carry.

Masses in kg, lengths in mm, forces in N, rake in radians. Functions take floats or arrays that broadcast; NaN in, NaN
out. Shares are of the front wheel: N_f / (N_f + N_r) = l_r / L, with l_r the centre of mass's distance ahead of the
rear contact, l_f = L − l_r behind the front one, and L the wheelbase.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Num
from tuning.engine.case import DISCIPLINES
from tuning.engine.plane import Chassis, attitude
from tuning.engine.units import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class Default:
    """What is taken for a class where no reading says, with its rectangular half-width and where it comes from."""

    value: float
    half_width: float
    source: str


PRACTICE = "common practice"
_TWO_SETS = "two published sets (about 40 % on sport and touring bikes); common practice elsewhere"
_UPRIGHT = "25–35 % of the rider sitting bolt upright; common practice"
_BIKE_SHARE = "49.9 % in a published set of a sport-tourer (textbook table, book unidentified); common practice"
_BIKE_HEIGHT = (
    "39 motorcycles, mean 34.2 % and s.d. 6.7 % of the wheelbase: N. Rose 2018 quoting Foale 2006; class spread: "
    "common practice"
)
_RIDDEN_HEIGHT = (
    "0.442 in a published set of a sport-tourer with rider (textbook table, book unidentified); 0.30–0.45 of the "
    "wheelbase over motorcycles: Cossalter, quoted second hand; class spread: common practice"
)
_GRIP = "dry peak of about 1.2 on asphalt: TRL report PPR496; class spread: common practice"


def _by_class(source: str, **rows: tuple[float, float]) -> Mapping[str, Default]:
    return MappingProxyType({discipline: Default(*row, source) for discipline, row in rows.items()})


def _for_all(value: float, half_width: float, source: str) -> Mapping[str, Default]:
    return MappingProxyType(dict.fromkeys(DISCIPLINES, Default(value, half_width, source)))


#: Name → discipline → default. Heights are shares of the wheelbase; ``_ridden`` is with the rider aboard.
DEFAULTS: Mapping[str, Mapping[str, Default]] = MappingProxyType(
    {
        # Ready to ride, kg.
        "bike_mass": _by_class(
            PRACTICE,
            road_sport=(200, 20),
            naked=(205, 35),
            touring=(265, 65),
            track=(185, 20),
            adventure=(230, 40),
            dual_sport=(150, 30),
            enduro=(118, 12),
            motocross=(109, 8),
            supermoto=(135, 35),
            cruiser=(290, 70),
            classic=(190, 45),
        ),
        "bike_front_share": _by_class(
            _BIKE_SHARE,
            road_sport=(0.51, 0.03),
            naked=(0.50, 0.03),
            touring=(0.50, 0.03),
            track=(0.52, 0.03),
            adventure=(0.49, 0.03),
            dual_sport=(0.48, 0.04),
            enduro=(0.48, 0.03),
            motocross=(0.48, 0.03),
            supermoto=(0.48, 0.03),
            cruiser=(0.46, 0.04),
            classic=(0.47, 0.04),
        ),
        "rider_front_share": MappingProxyType(
            dict(_for_all(0.30, 0.08, _UPRIGHT))
            | dict(
                _by_class(
                    _TWO_SETS,
                    road_sport=(0.42, 0.08),
                    track=(0.44, 0.08),
                    naked=(0.38, 0.08),
                    touring=(0.36, 0.08),
                    supermoto=(0.36, 0.08),
                )
            )
        ),
        # Over the rear axle or behind it.
        "passenger_front_share": _for_all(0.08, 0.10, PRACTICE),
        "luggage_front_share": _for_all(0.08, 0.10, PRACTICE),
        # Wheel, tyre, discs, calipers, the legs' lower half, mudguard, kg.
        "unsprung_front": _by_class(
            PRACTICE,
            road_sport=(17.5, 3),
            naked=(17.5, 3),
            touring=(20, 4),
            track=(16, 3),
            adventure=(20, 4),
            dual_sport=(15, 3),
            enduro=(13, 2.5),
            motocross=(12, 2),
            supermoto=(15, 3),
            cruiser=(24, 6),
            classic=(18, 5),
        ),
        # Wheel, tyre, sprocket or drive box, brake, about half the swingarm and the linkage, kg.
        "unsprung_rear": _by_class(
            PRACTICE,
            road_sport=(19, 4),
            naked=(19, 4),
            touring=(25, 7),
            track=(17.5, 3.5),
            adventure=(23, 6),
            dual_sport=(17, 4),
            enduro=(15.5, 3),
            motocross=(15, 3),
            supermoto=(16.5, 3),
            cruiser=(28, 8),
            classic=(19, 5),
        ),
        "com_height_bike": _by_class(
            _BIKE_HEIGHT,
            road_sport=(0.36, 0.05),
            naked=(0.35, 0.05),
            touring=(0.34, 0.05),
            track=(0.37, 0.05),
            adventure=(0.37, 0.06),
            dual_sport=(0.38, 0.06),
            enduro=(0.39, 0.06),
            motocross=(0.39, 0.06),
            supermoto=(0.38, 0.06),
            cruiser=(0.29, 0.05),
            classic=(0.33, 0.06),
        ),
        "com_height_ridden": _by_class(
            _RIDDEN_HEIGHT,
            road_sport=(0.45, 0.05),
            naked=(0.45, 0.05),
            touring=(0.43, 0.05),
            track=(0.45, 0.05),
            adventure=(0.46, 0.06),
            dual_sport=(0.49, 0.06),
            enduro=(0.52, 0.06),
            motocross=(0.52, 0.06),
            supermoto=(0.50, 0.06),
            cruiser=(0.37, 0.06),
            classic=(0.43, 0.06),
        ),
        "com_height_passenger": _for_all(0.75, 0.10, PRACTICE),
        "com_height_luggage": _for_all(0.55, 0.15, PRACTICE),
        # Deceleration over g at which the tyres of the class slide on its dry ground.
        "grip": _by_class(
            _GRIP,
            road_sport=(1.15, 0.15),
            naked=(1.10, 0.15),
            touring=(1.05, 0.15),
            track=(1.30, 0.20),
            adventure=(0.95, 0.20),
            dual_sport=(0.85, 0.20),
            enduro=(0.60, 0.20),
            motocross=(0.65, 0.20),
            supermoto=(1.15, 0.20),
            cruiser=(1.00, 0.20),
            classic=(0.95, 0.20),
        ),
    }
)


def default(name: str, discipline: str) -> Default:
    """Return the class's default. Raises KeyError for a name or discipline that is not known."""
    return DEFAULTS[name][discipline]


def usual(name: str, discipline: str) -> tuple[float, float]:
    """Return the class's default as (value, half-width). Raises KeyError as ``default`` does."""
    found = DEFAULTS[name][discipline]
    return found.value, found.half_width


def axle_loads(mass: Num, front_share: Num) -> tuple[Array, Array]:
    """Return the loads under the front and the rear wheel at rest, N."""
    weight = np.asarray(mass, dtype=np.float64) * STANDARD_GRAVITY
    front = weight * front_share
    return front, weight - front


def front_share(ahead: Num, wheelbase: Num) -> Array:
    """Return l_r/L, the front wheel's share at rest, from the centre of mass ``ahead`` of the rear contact."""
    return np.asarray(ahead / np.asarray(_positive(wheelbase)), dtype=np.float64)


def ahead_of_rear(share: Num, wheelbase: Num) -> Array:
    """Return l_r = share L, how far ahead of the rear contact the centre of mass lies, mm."""
    return np.asarray(np.asarray(share, dtype=np.float64) * wheelbase)


def behind_front(share: Num, wheelbase: Num) -> Array:
    """Return l_f = (1 − share) L, how far behind the front contact the centre of mass lies, mm."""
    return np.asarray((1.0 - np.asarray(share, dtype=np.float64)) * wheelbase)


@dataclass(frozen=True, slots=True)
class Centre:
    """A mass (kg) and where its centre lies: ahead of the rear contact and above the ground, mm."""

    mass: Array
    ahead: Array
    height: Array


def combine(masses: Sequence[Num], ahead: Sequence[Num], heights: Sequence[Num]) -> Centre:
    """Return the common centre of mass of several masses; each entry a float or an array.

    Raises ValueError when the three are not of one length. NaN where there is no mass at all.
    """
    parts = [
        tuple(np.asarray(each, dtype=np.float64) for each in part)
        for part in zip(masses, ahead, heights, strict=True)
    ]
    none = np.zeros(())
    total = sum((mass for mass, _, _ in parts), none)
    with np.errstate(all="ignore"):
        whole = _positive(total)
        along = sum((mass * x for mass, x, _ in parts), none) / whole
        above = sum((mass * z for mass, _, z in parts), none) / whole
    return Centre(*(np.asarray(part) for part in (total, along, above)))


def without(whole: Centre, part: Centre) -> Centre:
    """Return what is left of ``whole`` when ``part`` gets off: the rider from bike with rider and bike alone."""
    return combine((whole.mass, -part.mass), (whole.ahead, part.ahead), (whole.height, part.height))


@dataclass(frozen=True, slots=True)
class WheelMasses:
    """What a scale under each wheel shows, kg; ``weighed``: how many of the two were read (one gives both)."""

    front: Array
    rear: Array
    weighed: npt.NDArray[np.int_]

    @property
    def mass(self) -> Array:
        """Both wheels together, kg."""
        return self.front + self.rear

    @property
    def share(self) -> Array:
        """The front wheel's share."""
        return self.front / _positive(self.front + self.rear)


def wheel_masses(mass: Num, share: Num, scale_front: Num = np.nan, scale_rear: Num = np.nan) -> WheelMasses:
    """Return the mass on each wheel, kg: as weighed where it was, else by ``mass`` and front ``share``.

    Scales replace the guesses, NaN for one not read: two of them replace the mass as well, one replaces the share and
    leaves the other wheel what remains of the mass. NaN where a scale shows more than the whole mass.
    """
    total, part = np.asarray(mass, dtype=np.float64), np.asarray(share, dtype=np.float64)
    front, rear = np.asarray(scale_front, dtype=np.float64), np.asarray(scale_rear, dtype=np.float64)
    no_front, no_rear = np.isnan(front), np.isnan(rear)
    left = np.where(no_front, np.where(no_rear, total * part, total - rear), front)
    right = np.where(no_rear, np.where(no_front, total - total * part, total - front), rear)
    sound = (left >= 0) & (right >= 0)
    return WheelMasses(
        np.where(sound, left, np.nan), np.where(sound, right, np.nan), 2 - no_front.astype(int) - no_rear.astype(int)
    )


def added_share(alone: WheelMasses, aboard: WheelMasses) -> Array:
    """Return the front wheel's share of what came aboard; NaN where nothing did."""
    return (aboard.front - alone.front) / _positive(aboard.mass - alone.mass)


def axial_fork_load(front_load: Num, unsprung_front: Num, rake: Num) -> Array:
    """Return the force along both legs together at rest, N: (N_f − m_uf g) cos ε."""
    return np.asarray((front_load - np.asarray(unsprung_front) * STANDARD_GRAVITY) * np.cos(rake), dtype=np.float64)


def rear_sprung_load(rear_load: Num, unsprung_rear: Num) -> Array:
    """Return the vertical force on the rear springs in wheel terms at rest, N: N_r − m_ur g."""
    return np.asarray(rear_load - np.asarray(unsprung_rear) * STANDARD_GRAVITY, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Body:
    """What the springs carry and what they do not: whole mass, unsprung masses, the sprung mass's centre.

    ``x``, ``z``: in chassis coordinates (plane.py), so that one body serves every attitude of its bike.
    """

    mass: Array
    unsprung_front: Array
    unsprung_rear: Array
    x: Array
    z: Array

    @property
    def sprung(self) -> Array:
        """The mass on the springs, kg."""
        return self.mass - self.unsprung_front - self.unsprung_rear


def body_at_rest(
    chassis: Chassis,
    *,
    mass: Num,
    l_f: Num,
    h: Num,
    unsprung_front: Num,
    unsprung_rear: Num,
    front_travel: Num | None = None,
    rear_travel: Num | None = None,
    fork_position: Num = 0.0,
    rear_height: Num = 0.0,
    front_radius: Num | None = None,
    rear_radius: Num | None = None,
) -> Body:
    """Return the body of a bike that stands at rest with rider, whole centre of mass l_f behind the front contact.

    Travels from topped out (None: as published) and the other arguments are those of ``attitude``, in the state in
    which l_f and h hold. NaN where the centre of mass lies outside the wheelbase or not above ground.
    """
    still = attitude(chassis, front_travel, rear_travel, fork_position, rear_height, front_radius, rear_radius)
    with np.errstate(all="ignore"):
        whole, front, rear = (np.asarray(each, np.float64) for each in (mass, unsprung_front, unsprung_rear))
        ahead = still.wheelbase - l_f
        sound = (ahead > 0) & (np.asarray(l_f) > 0) & (np.asarray(h) > 0) & (front >= 0) & (rear >= 0)
        sprung = whole - front - rear
        sprung = np.where(sound & (sprung > 0), sprung, np.nan)
        along = (whole * ahead - front * still.wheelbase) / sprung
        up = (whole * h - front * still.front_radius - rear * still.rear_radius) / sprung - still.rear_radius
        cosine, sine = np.cos(still.pitch), np.sin(still.pitch)
        x = still.rear_x + along * cosine - up * sine
        z = still.rear_z + along * sine + up * cosine
    return Body(whole, front, rear, x, z)


def _positive(number: Num) -> Array:
    each = np.asarray(number, dtype=np.float64)
    return np.asarray(np.where(each > 0, each, np.nan))
