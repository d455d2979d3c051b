"""The bike's plane from published or measured figures, in every state the readings allow, and what a mm changes."""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from tuning.engine.arrays import Array, Mask, Num
from tuning.engine.assumptions import nominal
from tuning.engine.case import FRONT_REFUSED
from tuning.engine.pack import Pack
from tuning.engine.plane import Attitude, Slopes, attitude, ground_trail, normal_trail, sensitivities
from tuning.engine.propagate import ABSENT, CANNOT_STATE, OK, REFUSED, Each, Value
from tuning.engine.published import Figures, Filled, fill, usual
from tuning.engine.sag import sags_of

#: States the geometry is told for, besides braking.
STATES = ("topped_out", "bike_alone", "rider_aboard")
#: Trails given both ways further apart than this, mm, contradict each other (twice what makers round to).
TRAILS_AGREE = 4.0


def chassis_of(pack: Pack) -> Filled:
    """Return the chassis of each document, what is missing assumed; columns carry the uncertainty of both."""
    standing = np.array([[case.answers.get("geometry_state", "") for case in pack.cases]]).T
    travel = {}
    for end in ("front", "rear"):
        alone, _ = sags_of(pack, end)
        told = np.where(standing == "bike_alone", alone, np.nan)
        travel[end] = np.where(standing == "topped_out", 0.0, told)
    size = {
        end: np.array([[nominal(case, end) or np.nan] for case in pack.cases], dtype=np.float64)
        for end in ("front", "rear")
    }
    figures = Figures(
        rake=np.radians(pack.get("rake")),
        ground_trail=pack.get("ground_trail"),
        normal_trail=pack.get("normal_trail"),
        offset=pack.get("fork_offset"),
        wheelbase=pack.get("wheelbase"),
        front_radius=pack.get("wheel_radius.front"),
        rear_radius=pack.get("wheel_radius.rear"),
        front_roll_out=pack.get("roll_out.front"),
        rear_roll_out=pack.get("roll_out.rear"),
        front_nominal=size["front"],
        rear_nominal=size["rear"],
        front_travel=travel["front"],
        rear_travel=travel["rear"],
        front_stroke=pack.get("stroke.front"),
        rear_stroke=pack.get("stroke.rear"),
        swingarm_length=pack.get("swingarm_length"),
        swingarm_angle=np.radians(pack.get("swingarm_angle")),
    )
    return fill(figures, _usually(pack))


def _usually(pack: Pack) -> Mapping[str, tuple[Num, Num]]:
    """Return what is usual in each document's class, moved in the columns that stand for it."""
    found = dict(usual([case.discipline for case in pack.cases]))
    for name, (value, half_width) in found.items():
        if pack.has(f"assumed.{name}"):
            assumed = pack.get(f"assumed.{name}")
            found[name] = (np.where(np.isnan(assumed), value, assumed), half_width)
    return found


def derive_geometry(pack: Pack, filled: Filled) -> Iterator[Value]:
    """Yield rake, both trails and wheelbase as quoted, in each state, and their change per mm of height at an end."""
    if pack.front_architecture in FRONT_REFUSED:
        nothing = np.full((pack.rows, 1), np.nan)
        yield Value("ground_trail", nothing, "mm", "ground_trail", REFUSED, {"reason": pack.front_architecture})
        return
    yield from _as_quoted(pack, filled)
    figures = pack.given("rake") | pack.given("wheelbase")
    states = _states(pack, filled)
    yield from _per_mm(filled, figures, states.pop("published"))
    for state, now in states.items():
        yield from of_state(filled, state, now)


def _states(pack: Pack, filled: Filled) -> dict[str, Attitude]:
    """Return how the bike stands in each of STATES, and as published: all but the first in one pass."""
    chassis, travels = filled.chassis, travels_of(pack)
    del travels[STATES[0]]
    travels["published"] = np.asarray(chassis.front_travel), np.asarray(chassis.rear_travel)
    front, rear = (np.stack(np.broadcast_arrays(*each)) for each in zip(*travels.values(), strict=True))
    found = attitude(chassis, front, rear)
    return {STATES[0]: filled.topped_out} | {state: found[place] for place, state in enumerate(travels)}


def travels_of(pack: Pack) -> dict[str, tuple[Array, Array]]:
    """Return (front, rear) travel from topped out, mm, in each of STATES, NaN where it was not read."""
    front, rear = sags_of(pack, "front"), sags_of(pack, "rear")
    none = np.zeros((pack.rows, 1))
    return dict(zip(STATES, ((none, none), (front[0], rear[0]), (front[1], rear[1])), strict=True))


def _by_document(found: "np.ndarray[tuple[int, ...], Any]", rows: int) -> "np.ndarray[tuple[int, ...], Any]":
    """Return the nominal column, one item a document."""
    return np.broadcast_to(found[:, 0], (max(len(found), rows),))


def _where(numbers: Array, mask: Mask) -> Array:
    return np.where(mask, numbers, np.nan)


def _as_quoted(pack: Pack, filled: Filled) -> Iterator[Value]:
    chassis, stated = filled.chassis, filled.stated
    yield Value("wheelbase", pack.get("wheelbase"), "mm", "as_published")
    rake_from = Each("as_published" if given else "rake_from_trail" for given in pack.given("rake")[:, 0])
    yield Value("rake", _where(np.degrees(chassis.rake), stated["rake"]), "deg", rake_from)
    sources = _by_document(filled.radius_from["front"], pack.rows)
    trails = {
        "ground_trail": ground_trail(chassis.rake, chassis.front_radius, chassis.offset),
        "normal_trail": normal_trail(chassis.rake, chassis.front_radius, chassis.offset),
    }
    apart = _by_document(np.abs(filled.trail_gap), pack.rows) > TRAILS_AGREE
    any_given = (pack.given("ground_trail") | pack.given("normal_trail"))[:, 0]
    for name, numbers in trails.items():
        given = pack.given(name)[:, 0]
        told = _by_document(stated[name], pack.rows)
        status = np.where(told, np.where(apart, CANNOT_STATE, OK), ABSENT)[:, None]
        yield Value(
            name,
            numbers,
            "mm",
            Each("as_published" if flag else name for flag in given),
            status,
            {
                "radius": Each(
                    None if flag else str(source) for flag, source in zip(any_given, sources, strict=True)
                ),
                "reason": Each("trails_contradict" if flag else None for flag in apart),
            },
        )


def _per_mm(filled: Filled, figures: Mask, published: Attitude) -> Iterator[Value]:
    found = sensitivities(filled.chassis, published)
    leans = {"radius": Each(str(source) for source in _by_document(filled.radius_from["front"], len(figures)))}
    # Without a swingarm the axle is taken to move straight up and down: some 0.2 mm of wheelbase a mm are left out.
    straight = Each("straight" if flag else None for flag in _by_document(filled.chassis.straight, len(figures)))
    slopes: Mapping[str, Slopes] = {
        "fork_position": found.fork_position,
        "rear_height": found.rear_height,
        "front_sag": found.front_sag,
        "rear_sag": found.rear_sag,
    }
    for cause, slope in slopes.items():
        yield Value(f"rake_per_mm_{cause}", _where(np.degrees(slope.rake), figures), "deg", "rake_per_height")
        trail = _where(slope.ground_trail, figures)
        yield Value(f"ground_trail_per_mm_{cause}", trail, "mm", "trail_per_rake", params=leans)
        wheelbase = _where(slope.wheelbase, figures)
        told = {"rear_axle": straight} if cause.startswith("rear") else {}
        yield Value(f"wheelbase_per_mm_{cause}", wheelbase, "mm", "wheelbase_per_height", params=told)


def of_state(filled: Filled, state: str, now: Attitude) -> Iterator[Value]:
    """Yield rake, both trails, wheelbase, swingarm angle and heights of one state.

    Heights are how far head and seat have come down from topped out.
    """
    stated, top = filled.stated, filled.topped_out
    yield Value(f"rake_{state}", _where(np.degrees(now.rake), stated["rake"]), "deg", "attitude")
    yield Value(f"ground_trail_{state}", _where(now.ground_trail, stated["ground_trail"]), "mm", "attitude")
    yield Value(f"normal_trail_{state}", _where(now.normal_trail, stated["normal_trail"]), "mm", "attitude")
    yield Value(f"wheelbase_{state}", _where(now.wheelbase, stated["wheelbase"]), "mm", "attitude")
    yield Value(f"swingarm_angle_{state}", np.degrees(now.swingarm_angle), "deg", "attitude")
    if state != "topped_out":
        figures = stated["rake"] | stated["wheelbase"]
        yield Value(f"head_drop_{state}", _where(top.head_height - now.head_height, figures), "mm", "attitude")
        yield Value(f"seat_drop_{state}", _where(top.seat_height - now.seat_height, figures), "mm", "attitude")
