"""Steering geometry in the plane: rake from the vertical, both trails, and what a height change does to them.

Angles are radians inside this file and degrees in its Derived values. The chassis is one rigid body; legs pushed up
through the clamps by s bring the front axle nearer to the head along the steering axis.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from uncertainties import umath

from tuning.engine.case import FRONT_REFUSED
from tuning.engine.derivation import Derived
from tuning.engine.errors import EngineInputError
from tuning.engine.measured import Readings, derived, uncertain, unstated
from tuning.engine.tyres import nominal_diameter

DEGREE = math.pi / 180
#: Half-width of a radius taken from the size on the sidewall, mm: road tyres squash some 7–9 mm under load (from
#: memory, no page seen), so the middle of nominal and loaded is taken.
SQUASH = 4.0


def ground_trail(rake: Any, radius: Any, offset: Any) -> Any:
    """Return T = (R sin ε − d)/cos ε; rake in radians, lengths in mm. Moore 2012, 'Physical Parameters'."""
    return (radius * umath.sin(rake) - offset) / umath.cos(rake)


def normal_trail(rake: Any, radius: Any, offset: Any) -> Any:
    """Return T_n = R sin ε − d; rake in radians, lengths in mm. Moore 2012, 'Physical Parameters'."""
    return radius * umath.sin(rake) - offset


def offset_from_trail(rake: Any, radius: Any, trail: Any) -> Any:
    """Return the offset d that gives a ground trail: d = R sin ε − T cos ε."""
    return radius * umath.sin(rake) - trail * umath.cos(rake)


def radius_from_roll_out(distance: Any, turns: float) -> Any:
    """Return R = L/(2πn) from a roll-out of n turns. Moore 2012."""
    return distance / (2 * math.pi * turns)


def trail_per_rake(rake: Any, radius: Any, offset: Any) -> Any:
    """Return dT/dε = (R − d sin ε)/cos² ε in mm per radian."""
    return (radius - offset * umath.sin(rake)) / umath.cos(rake) ** 2


@dataclass(frozen=True, slots=True)
class Attitude:
    """Geometry in one state: rake in radians, lengths in mm."""

    rake: float
    ground_trail: float
    normal_trail: float
    wheelbase: float


def attitude_after(
    *,
    rake: float,
    offset: float,
    wheelbase: float,
    front_radius: float,
    rear_radius: float,
    fork_position: float = 0.0,
    rear_height: float = 0.0,
) -> Attitude:
    """Return the exact planar geometry after the legs went up by ``fork_position`` and the rear by ``rear_height``.

    rake in radians, lengths in mm; both wheels stay on level ground. With A, B the axles in chassis coordinates the
    wheelbase is √(|AB|² − (R_f − R_r)²) and the pitch follows from the angle of AB. The rear axle is moved straight
    down in the chassis, which a swingarm near level does.
    """
    ax = wheelbase - fork_position * math.sin(rake)
    az = front_radius + fork_position * math.cos(rake)
    bz = rear_radius - rear_height
    apart = math.hypot(ax, az - bz)
    step = front_radius - rear_radius
    pitch = math.atan2(az - bz, ax) - math.asin(step / apart)
    new_rake = rake - pitch
    return Attitude(
        rake=new_rake,
        ground_trail=float(ground_trail(new_rake, front_radius, offset)),
        normal_trail=float(normal_trail(new_rake, front_radius, offset)),
        wheelbase=math.sqrt(apart**2 - step**2),
    )


def _radius(readings: Readings, end: str) -> tuple[Any | None, str]:
    measured = readings.value("wheel_radius", end)
    if measured is not None:
        return measured, "measured"
    size = readings.case.tyre_size.get(end)
    if not size:
        return None, ""
    try:
        nominal = nominal_diameter(size) / 2
    except EngineInputError:
        return None, ""
    return uncertain(nominal - SQUASH, SQUASH, f"tyre_size.{end}"), "tyre_size"


def derive_geometry(readings: Readings) -> Iterator[Derived]:
    """Yield rake, both trails and wheelbase as quoted, and their change per mm of fork position and rear height."""
    if readings.case.front_architecture in FRONT_REFUSED:
        yield unstated("ground_trail", "mm", "ground_trail", "refused", reason=readings.case.front_architecture)
        return
    rake_degrees = readings.value("rake")
    wheelbase = readings.value("wheelbase")
    if wheelbase is not None:
        yield derived("wheelbase", wheelbase, "mm", "as_published")
    if rake_degrees is None:
        return
    rake = rake_degrees * DEGREE
    yield derived("rake", rake_degrees, "deg", "as_published")
    trail = readings.value("ground_trail")
    offset = readings.value("fork_offset")
    radius, source = _radius(readings, "front")
    if trail is not None:
        yield derived("ground_trail", trail, "mm", "as_published")
        yield derived("normal_trail", trail * umath.cos(rake), "mm", "normal_trail")
        if radius is not None and offset is None:
            offset = offset_from_trail(rake, radius, trail)
        elif radius is None and offset is not None:
            radius, source = (trail * umath.cos(rake) + offset) / umath.sin(rake), "trail"
    elif radius is not None and offset is not None:
        yield derived("ground_trail", ground_trail(rake, radius, offset), "mm", "ground_trail", radius=source)
        yield derived("normal_trail", normal_trail(rake, radius, offset), "mm", "normal_trail", radius=source)
    if wheelbase is None:
        return
    yield from _per_mm(readings, rake, wheelbase, radius, offset, source)


def _per_mm(
    readings: Readings, rake: Any, wheelbase: Any, radius: Any | None, offset: Any | None, source: str
) -> Iterator[Derived]:
    front = -umath.cos(rake) / wheelbase  # radians per mm the legs go up
    rear = -1 / wheelbase  # radians per mm the rear axle's height grows
    yield derived("rake_per_mm_fork_position", front / DEGREE, "deg", "rake_per_height")
    yield derived("rake_per_mm_rear_height", rear / DEGREE, "deg", "rake_per_height")
    if radius is not None and offset is not None:
        slope = trail_per_rake(rake, radius, offset)
        yield derived("ground_trail_per_mm_fork_position", slope * front, "mm", "trail_per_rake", radius=source)
        yield derived("ground_trail_per_mm_rear_height", slope * rear, "mm", "trail_per_rake", radius=source)
    rear_radius, _ = _radius(readings, "rear")
    step = (
        radius - rear_radius
        if radius is not None and rear_radius is not None
        else uncertain(0.0, 20.0, "radii_alike")
    )
    per_mm = -umath.sin(rake) + umath.cos(rake) * step / wheelbase
    yield derived("wheelbase_per_mm_fork_position", per_mm, "mm", "wheelbase_per_fork_position")
