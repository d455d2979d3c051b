"""A chassis from whatever subset of figures is published or measured; what is missing is assumed, and said so.

Given figures always come back: where a trail is given the offset follows from it and the radius in use, so that the
filled chassis has the published trail whatever radius stands in. Arrays, (documents, columns); mm, radians.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Mask, Num
from tuning.engine.plane import Attitude, Chassis, attitude, offset_from_trail, radius_from_trail

#: Name → (value, rectangular half-width), each a float or an array.
Usual = Mapping[str, tuple[Num, Num]]

_DEGREE = math.pi / 180
#: What every class shares.
_COMMON: Mapping[str, tuple[float, float]] = {
    # Road tyres squash some 7–9 mm under load (from memory, no page seen): the middle of nominal and loaded radius.
    "squash.front": (4.0, 4.0),
    "squash.rear": (4.0, 4.0),
    # Makers seldom say at what sag their figures hold: anything from topped out to a rider aboard (common practice).
    "travel_share.front": (0.15, 0.15),
    "travel_share.rear": (0.15, 0.15),
    # Pivot close behind the engine, axle below it with the bike on its wheels (common practice).
    "swingarm_share": (0.40, 0.04),
    "swingarm_angle": (9 * _DEGREE, 6 * _DEGREE),
}
_COLUMNS = "rake wheelbase fork_offset wheel_radius.front wheel_radius.rear stroke.front stroke.rear".split()
#: Ranges of makers' figures by class: rake in degrees, the rest mm (common practice; radii also follow from the usual
#: sizes, 120/70-17 to 180/55-17 on the road and 90/90-21, 120/90-18 off it, less the squash).
_BY_CLASS: Mapping[str, tuple[tuple[float, float], ...]] = {
    "road_sport": ((24, 1.5), (1410, 40), (28, 9), (296, 6), (311, 9), (120, 10), (130, 15)),
    "track": ((24, 1.5), (1410, 40), (28, 9), (296, 6), (311, 9), (120, 10), (130, 15)),
    "naked": ((24.5, 2), (1430, 50), (32, 10), (296, 6), (311, 10), (125, 15), (135, 20)),
    "touring": ((26, 3), (1490, 80), (40, 14), (300, 12), (312, 15), (130, 20), (130, 25)),
    "supermoto": ((25.5, 2), (1480, 50), (35, 15), (296, 8), (306, 12), (240, 50), (250, 55)),
    "adventure": ((26, 2), (1540, 60), (45, 20), (333, 18), (318, 14), (195, 40), (195, 40)),
    "dual_sport": ((27, 2), (1470, 70), (48, 20), (343, 10), (324, 14), (250, 50), (250, 50)),
    "enduro": ((27, 1.5), (1480, 30), (52, 14), (344, 8), (330, 10), (300, 15), (310, 20)),
    "motocross": ((27, 1.5), (1480, 30), (52, 14), (344, 8), (330, 10), (305, 15), (310, 20)),
    "cruiser": ((31, 4), (1630, 110), (42, 25), (322, 26), (318, 20), (125, 30), (95, 30)),
    "classic": ((27.5, 2.5), (1420, 80), (48, 20), (315, 20), (312, 20), (125, 25), (90, 25)),
}
_LOW, _HIGH = (
    [f(middle + sign * half for middle, half in column) for column in zip(*_BY_CLASS.values(), strict=True)]
    for f, sign in ((min, -1), (max, 1))
)
#: For any other name: all of their ranges together.
_ANY = tuple(((low + high) / 2, (high - low) / 2) for low, high in zip(_LOW, _HIGH, strict=True))
#: A radius that a published trail and offset ask for is believed only between these, mm: a yoke's offset printed
#: without the axle's lead asks for wheels that do not exist.
_WHEELS = (220.0, 390.0)


def usual(disciplines: str | Sequence[str]) -> Usual:
    """Return what is usual in a class: floats for one name, arrays (documents, 1) for several.

    Names: ``rake`` and ``swingarm_angle`` in radians, ``wheelbase``, ``fork_offset``, ``wheel_radius.<end>``,
    ``stroke.<end>`` and ``squash.<end>`` in mm, ``travel_share.<end>`` of the stroke at which figures hold,
    ``swingarm_share`` of the wheelbase.
    """
    if isinstance(disciplines, str):
        return _usual_of(disciplines)
    rows = [_BY_CLASS.get(name, _ANY) for name in disciplines]
    table = np.array(rows, dtype=np.float64).reshape(-1, len(_COLUMNS), 2)
    table[:, 0] *= _DEGREE
    found: dict[str, tuple[Num, Num]] = dict(_COMMON)
    for at, column in enumerate(_COLUMNS):
        found[column] = (table[:, at, :1], table[:, at, 1:])
    return MappingProxyType(found)


@lru_cache
def _usual_of(discipline: str) -> Usual:
    found: dict[str, tuple[Num, Num]] = dict(_COMMON)
    for column, (value, half_width) in zip(_COLUMNS, _BY_CLASS.get(discipline, _ANY), strict=True):
        scale = _DEGREE if column == "rake" else 1.0
        found[column] = (value * scale, half_width * scale)
    return MappingProxyType(found)


@dataclass(frozen=True, slots=True)
class Figures:
    """What is published or measured, NaN where nothing is: mm and radians, floats or arrays.

    offset: yokes plus axle lead. radius: measured, axle to ground; roll_out: of one turn; nominal: the diameter by
    the size on the sidewall. travel: from topped out in the state the figures hold for; swingarm_angle in that state.
    """

    rake: Num = math.nan
    ground_trail: Num = math.nan
    normal_trail: Num = math.nan
    offset: Num = math.nan
    wheelbase: Num = math.nan
    front_radius: Num = math.nan
    rear_radius: Num = math.nan
    front_roll_out: Num = math.nan
    rear_roll_out: Num = math.nan
    front_nominal: Num = math.nan
    rear_nominal: Num = math.nan
    front_travel: Num = math.nan
    rear_travel: Num = math.nan
    front_stroke: Num = math.nan
    rear_stroke: Num = math.nan
    swingarm_length: Num = math.nan
    swingarm_angle: Num = math.nan


@dataclass(frozen=True)
class Filled:
    """A whole chassis, and how much of it is anyone's figure.

    assumed: name of ``usual`` → its half-width where the chassis leans on it, else 0. stated: whether ``rake``,
    ``ground_trail``, ``normal_trail`` and ``wheelbase`` in the published state are figures rather than guesses; where
    not, only changes may be told. radius_from: by end, ``measured``, ``roll_out``, ``tyre_size``, ``trail`` or
    ``usual``. offset_gap: the offset given less the one that the given trail asks for, mm; trail_gap: normal trail
    given less that of the ground trail given, mm; NaN where there is nothing to compare.
    """

    chassis: Chassis
    assumed: Mapping[str, Array]
    stated: Mapping[str, Mask]
    radius_from: Mapping[str, npt.NDArray[np.str_]]
    offset_gap: Array
    trail_gap: Array

    @cached_property
    def topped_out(self) -> Attitude:
        """How the chassis stands with both ends topped out: heights are told from there."""
        return attitude(self.chassis, 0.0, 0.0)


def fill(figures: Figures, usually: Usual) -> Filled:
    """Return the chassis of these figures with what is usual in the place of what is missing.

    A swingarm of which nothing is known stays NaN: the axle then moves straight up and down, which only the wheelbase
    notices much. A missing rake follows from trail, offset and radius where that lies in the class's usual range: an
    offset printed without the axle's lead would ask for another. ``usually``: of ``usual``; its values may be arrays
    of columns.
    """
    f = {name: np.asarray(getattr(figures, name), dtype=np.float64) for name in Figures.__slots__}
    assumed: dict[str, Array] = {}

    def take(given: Array, name: str, where: Mask | bool = True, scale: Num = 1.0) -> Array:
        value, half_width = usually[name]
        missing = np.isnan(given) & where
        assumed[name] = np.where(missing, half_width, 0.0)
        return np.where(missing, value * np.asarray(scale), given)

    with np.errstate(all="ignore"):
        front, front_from = _radius(f, "front", usually)
        rear, rear_from = _radius(f, "rear", usually)
        seen = ~np.isnan(front)
        middle, width = usually["rake"]
        fitting = _rake(f, front)
        fitting = np.where(np.abs(fitting - middle) <= width, fitting, np.nan)
        rake = np.where(np.isnan(f["rake"]), fitting, f["rake"])
        sure = ~np.isnan(rake)
        rake = take(rake, "rake")
        trail = np.where(np.isnan(f["ground_trail"]), f["normal_trail"] / np.cos(rake), f["ground_trail"])
        fitted = radius_from_trail(rake, f["offset"], trail)
        fitted = np.where(sure & (fitted > _WHEELS[0]) & (fitted < _WHEELS[1]), fitted, np.nan)
        front_from = np.where(seen | np.isnan(fitted), front_from, "trail")
        front = take(np.where(seen, front, fitted), "wheel_radius.front")
        rear = take(rear, "wheel_radius.rear")
        implied = offset_from_trail(rake, front, trail)
        offset = take(np.where(np.isnan(trail), f["offset"], implied), "fork_offset")
        wheelbase = take(f["wheelbase"], "wheelbase")
        travel = {end: _travel(f, end, take) for end in ("front", "rear")}
        half = np.isnan(f["swingarm_length"]) != np.isnan(f["swingarm_angle"])
        length = take(f["swingarm_length"], "swingarm_share", half, wheelbase)
        angle = take(f["swingarm_angle"], "swingarm_angle", half)
        for end, source in (("front", front_from), ("rear", rear_from)):
            assumed[f"squash.{end}"] = np.where(source == "tyre_size", usually[f"squash.{end}"][1], 0.0)
    whole = sure & ~np.isnan(f["offset"]) & seen
    has_ground, has_normal = ~np.isnan(f["ground_trail"]), ~np.isnan(f["normal_trail"])
    return Filled(
        chassis=Chassis(
            rake, offset, wheelbase, front, rear, travel["front"], travel["rear"], length, angle
        ),
        assumed=assumed,
        stated={
            "rake": sure,
            "wheelbase": ~np.isnan(f["wheelbase"]),
            "ground_trail": has_ground | (has_normal & sure) | whole,
            "normal_trail": has_normal | (has_ground & sure) | whole,
        },
        radius_from={"front": front_from, "rear": rear_from},
        offset_gap=np.where(sure, f["offset"] - implied, np.nan),
        trail_gap=np.where(sure, f["normal_trail"] - f["ground_trail"] * np.cos(rake), np.nan),
    )  # fmt: skip


def _radius(f: Mapping[str, Array], end: str, usually: Usual) -> tuple[Array, npt.NDArray[np.str_]]:
    measured, rolled = f[f"{end}_radius"], f[f"{end}_roll_out"] / (2 * math.pi)
    by_size = f[f"{end}_nominal"] / 2 - usually[f"squash.{end}"][0]
    found: Array = np.asarray(by_size)
    source = np.where(np.isnan(by_size), "usual", "tyre_size")
    for name, value in (("roll_out", rolled), ("measured", measured)):
        missing = np.isnan(value)
        found, source = np.where(missing, found, value), np.where(missing, source, name)
    return found, source


def _rake(f: Mapping[str, Array], radius: Array) -> Array:
    """Return the rake that trail, offset and radius ask for: T cos ε = R sin ε − d, or T_n = R sin ε − d."""
    ground, offset = f["ground_trail"], f["offset"]
    by_ground = np.arctan2(ground, radius) + np.arcsin(offset / np.hypot(ground, radius))
    return np.where(np.isnan(ground), np.arcsin((f["normal_trail"] + offset) / radius), by_ground)


def _travel(f: Mapping[str, Array], end: str, take: Callable[..., Array]) -> Array:
    missing = np.isnan(f[f"{end}_travel"])
    stroke = take(f[f"{end}_stroke"], f"stroke.{end}", missing)
    return take(f[f"{end}_travel"], f"travel_share.{end}", True, stroke)


def leaning(figures: Figures, usually: Usual, answer: Callable[[Chassis], Array]) -> Mapping[str, Array]:
    """Return by how much an answer leans on each assumption: half its change from one end of it to the other.

    ``answer`` takes a chassis and returns an array, such as the change of trail for 5 mm. Assumptions that the
    chassis does not rest on are left out.
    """
    found: dict[str, Array] = {}
    for name, half_width in fill(figures, usually).assumed.items():
        if not np.any(half_width > 0):
            continue
        value, width = usually[name]
        ends = [answer(fill(figures, {**usually, name: (value + sign * width, width)}).chassis) for sign in (1, -1)]
        found[name] = np.asarray(np.abs(ends[0] - ends[1]) / 2)
    return found
