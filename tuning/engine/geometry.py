"""Steering geometry as published or worked out from what was, and what a height change at either end does to it."""

import math
from collections.abc import Iterator

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.case import FRONT_REFUSED
from tuning.engine.pack import Pack
from tuning.engine.plane import ground_trail, normal_trail, offset_from_trail, radius_from_trail, trail_per_rake
from tuning.engine.propagate import REFUSED, Each, Value

DEGREE = math.pi / 180


def derive_geometry(pack: Pack) -> Iterator[Value]:
    """Yield rake, both trails and wheelbase as quoted, and their change per mm of fork position and rear height."""
    if pack.front_architecture in FRONT_REFUSED:
        nothing = np.full((pack.rows, 1), np.nan)
        yield Value("ground_trail", nothing, "mm", "ground_trail", REFUSED, {"reason": pack.front_architecture})
        return
    rake_degrees, wheelbase = pack.get("rake"), pack.get("wheelbase")
    yield Value("wheelbase", wheelbase, "mm", "as_published")
    yield Value("rake", rake_degrees, "deg", "as_published")
    rake = np.radians(rake_degrees)
    trail = pack.get("ground_trail")
    with np.errstate(invalid="ignore"):
        trail = np.where(np.isnan(trail), pack.get("normal_trail") / np.cos(rake), trail)
        read_radius, read_offset = pack.usual("wheel_radius.front"), pack.get("fork_offset")
        offset = np.where(np.isnan(read_offset), offset_from_trail(rake, read_radius, trail), read_offset)
        radius = np.where(np.isnan(read_radius), radius_from_trail(rake, read_offset, trail), read_radius)
    source = _sources(pack, radius)
    worked = Each(None if given else name for given, name in zip(_trail_given(pack), source, strict=True))
    yield Value(
        "ground_trail",
        np.where(np.isnan(trail), ground_trail(rake, radius, offset), trail),
        "mm",
        "ground_trail",
        params={"radius": worked},
    )
    yield Value(
        "normal_trail",
        np.where(np.isnan(trail), normal_trail(rake, radius, offset), trail * np.cos(rake)),
        "mm",
        "normal_trail",
        params={"radius": worked},
    )
    yield from _per_mm(pack, rake, wheelbase, radius, offset, source)


def _trail_given(pack: Pack) -> list[bool]:
    return list((pack.given("ground_trail") | pack.given("normal_trail"))[:, 0])


def _sources(pack: Pack, radius: Array) -> Each:
    """Return by document where the front wheel's radius is from."""
    measured, size = pack.given("wheel_radius.front")[:, 0], pack.given("assumed.wheel_radius.front")[:, 0]
    return Each(
        "measured" if is_measured else "tyre_size" if is_size else "trail" if known else None
        for is_measured, is_size, known in zip(measured, size, np.isfinite(radius[:, 0]), strict=True)
    )


def _per_mm(pack: Pack, rake: Array, wheelbase: Array, radius: Array, offset: Array, source: Each) -> Iterator[Value]:
    front = -np.cos(rake) / wheelbase  # radians per mm the legs go up
    rear = -1 / wheelbase + 0 * rake  # radians per mm the rear axle's height grows
    yield Value("rake_per_mm_fork_position", front / DEGREE, "deg", "rake_per_height")
    yield Value("rake_per_mm_rear_height", rear / DEGREE, "deg", "rake_per_height")
    slope = trail_per_rake(rake, radius, offset)
    leans = {"radius": source}
    yield Value("ground_trail_per_mm_fork_position", slope * front, "mm", "trail_per_rake", params=leans)
    yield Value("ground_trail_per_mm_rear_height", slope * rear, "mm", "trail_per_rake", params=leans)
    step = radius - pack.usual("wheel_radius.rear")
    step = np.where(np.isnan(step), pack.get("assumed.radii_alike"), step)
    per_mm = -np.sin(rake) + np.cos(rake) * step / wheelbase
    yield Value("wheelbase_per_mm_fork_position", per_mm, "mm", "wheelbase_per_fork_position")
