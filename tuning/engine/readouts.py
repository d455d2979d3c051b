"""What the bike's model says: rates, loads, ride frequencies, braking, what is left at full compression."""

from collections.abc import Iterator

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.bike import Bike
from tuning.engine.braking import LIMITED_BY, Braking, braking_points
from tuning.engine.clearance import full_compression
from tuning.engine.damping import frequency_ratio, ride_frequency
from tuning.engine.ends import STANDING, End
from tuning.engine.fork import vertical_rate
from tuning.engine.geometry import of_state
from tuning.engine.loads import Body, body_at_rest
from tuning.engine.pack import Pack
from tuning.engine.plane import Attitude, attitude
from tuning.engine.propagate import AT_LEAST, AT_MOST, OK, Each, Value
from tuning.engine.quantities import ENDS
from tuning.engine.units import STANDARD_GRAVITY

#: Decelerations asked about, g: a gentle stop and a firm one; the limit comes last.
STOPS = {"gentle": 0.3, "firm": 0.6}
#: Lift-off and grip nearer to each other than this cannot be told apart, of g: what either is usually known to.
LIMITS_APART = 0.15
#: Air exponents shown beside each other at the end of the stroke: standing still, and adiabatic.
QUICKEST = 1.4


def derive_bike(pack: Pack, bike: Bike) -> Iterator[Value]:
    """Yield everything that rests on the model rather than on readings alone."""
    yield from _loads(pack, bike)
    yield from _centre(bike)
    for end in ENDS:
        yield from _springs(pack, bike, end)
    yield from _frequencies(bike)
    yield from _end_force(bike.front)
    yield from clearance(pack, bike)
    if brakes(pack, bike):
        level = attitude(bike.filled.chassis, bike.front.sag_aboard, bike.rear.sag_aboard)
        body = body_of(bike, bike.front.sag_aboard, bike.rear.sag_aboard, level)
        yield from braking(pack, bike, level, stops(bike, body))


def _loads(pack: Pack, bike: Bike) -> Iterator[Value]:
    for state, wheels in (("bike_alone", bike.alone), ("rider_aboard", bike.aboard)):
        for end, mass in (("front", wheels.front), ("rear", wheels.rear)):
            weighed = pack.given(f"scale_{state}.{end}")[:, 0]
            told = {"mass_assumed": Each(None if flag else True for flag in weighed | pack.given("bike_mass")[:, 0])}
            yield Value(f"wheel_mass_{state}.{end}", mass, "kg", "wheel_mass", params=told)


def _centre(bike: Bike) -> Iterator[Value]:
    """Yield where the centre of mass lies with the rider aboard: ahead of the rear contact, and above ground."""
    wheelbase = np.where(bike.filled.stated["wheelbase"], bike.filled.chassis.wheelbase, np.nan)
    yield Value("centre_of_mass_ahead", bike.aboard.share * wheelbase, "mm", "static_loads")
    yield Value("centre_of_mass_height", bike.height_share * wheelbase, "mm", "centre_of_mass")


def _source(end: End) -> Each:
    return Each("spring_given" if flag else "spring_from_sags" for flag in end.known[:, 0])


def _springs(pack: Pack, bike: Bike, name: str) -> Iterator[Value]:
    end = bike.front if name == "front" else bike.rear
    aboard, law = end.sag_aboard, end.law
    if name == "front":
        yield Value("fork_spring_rate", _real(end.coil.rate), "N/mm", _source(end))
        yield Value("fork_spring_preload", _real(end.coil.preload, end.coil.rate), "mm", "preload_from_sag")
        wheel = vertical_rate(law.stiffness(aboard), bike.rake)
    else:
        levered = end.levered
        yield Value("shock_spring_rate", np.where(levered, _real(end.coil.rate), np.nan), "N/mm", _source(end))
        preload = np.where(levered, _real(end.coil.preload, end.coil.rate), np.nan)
        yield Value("shock_spring_preload", preload, "mm", "preload_from_sag")
        wheel = law.stiffness(aboard)
    yield Value(f"wheel_rate.{name}", _positive(wheel), "N/mm", "wheel_rate")
    # A known spring has one sag to spare: what it says of the bike alone against what was read.
    if end.known.any():
        alone = np.where(end.known, end.rest_alone, np.nan)
        with np.errstate(invalid="ignore"):
            topped = alone[:, :1] <= 0
        bound = Each("topped_out" if flag else None for flag in topped[:, 0])
        status = np.where(topped, AT_MOST, OK)
        yield Value(f"sag_expected_bike_alone.{name}", alone, "mm", "equilibrium", status, {"bound": bound})
        yield Value(f"sag_misfit.{name}", np.where(topped, np.nan, end.sag_alone - alone), "mm", "equilibrium")
    band = pack.first(f"band.length_rider_aboard.{name}", f"band.length_bike_alone.{name}")
    yield Value(f"friction_force.{name}", band * law.stiffness(aboard), "N", "friction_force")


def _real(numbers: object, rate: object = None) -> Array:
    """Return what a coil has; nothing where an air fork has none."""
    found = np.asarray(numbers, dtype=np.float64)
    there = np.asarray(found if rate is None else rate, dtype=np.float64)
    return np.where(there > 0, found, np.nan)


def _positive(numbers: Array) -> Array:
    with np.errstate(invalid="ignore"):
        return np.where(numbers > 0, numbers, np.nan)


def wheel_rates(bike: Bike, front: Array, rear: Array) -> tuple[Array, Array]:
    """Return the rate at each wheel against vertical movement, N/mm, at those travels."""
    return (
        _positive(vertical_rate(bike.front.law.stiffness(front), bike.rake)),
        _positive(bike.rear.law.stiffness(rear)),
    )


def _frequencies(bike: Bike) -> Iterator[Value]:
    rates = wheel_rates(bike, bike.front.sag_aboard, bike.rear.sag_aboard)
    front = ride_frequency(rates[0], bike.aboard.front - bike.unsprung[0])
    rear = ride_frequency(rates[1], bike.aboard.rear - bike.unsprung[1])
    yield Value("ride_frequency.front", front, "Hz", "ride_frequency")
    yield Value("ride_frequency.rear", rear, "Hz", "ride_frequency")
    yield Value("ride_frequency_ratio", frequency_ratio(rear, front), "1", "frequency_ratio")


def _end_force(end: End) -> Iterator[Value]:
    """Yield the force at the end of the fork's stroke; with air, the difference that its exponent makes."""
    yield Value("end_force_still.front", end.riding(STANDING).force(end.stroke), "N", "end_force")
    if end.air is not None:
        quick = np.where(end.breathes, end.riding(QUICKEST).force(end.stroke), np.nan)
        yield Value("end_force_quick.front", quick, "N", "end_force")


def clearance(pack: Pack, bike: Bike) -> Iterator[Value]:
    """Yield what is left between front tyre and bodywork at full compression; the gap was read topped out."""
    gap = pack.get("bodywork_gap.front")
    found = full_compression(gap, bike.front.stroke, legs_up=bike.fork_position, growth=bike.front_radius)
    yield Value("clearance.front", found.left, "mm", "clearance")


def body_of(bike: Bike, front: Array, rear: Array, level: Attitude | None = None) -> Body:
    """Return the loaded bike as one body, resting at those travels; level: its chassis so, if at hand."""
    if level is None:
        level = attitude(bike.filled.chassis, front, rear)
    return body_at_rest(
        bike.filled.chassis,
        mass=bike.aboard.mass,
        l_f=(1.0 - bike.aboard.share) * level.wheelbase,
        h=bike.height_share * bike.filled.chassis.wheelbase,
        unsprung_front=bike.unsprung[0],
        unsprung_rear=bike.unsprung[1],
        front_travel=front,
        rear_travel=rear,
    )


def stops(bike: Bike, body: Body, near: Braking | None = None) -> Braking:
    """Return the bike at each of STOPS and, last, at its limit, along a leading axis.

    near: the stops of a bike much like it, to start from; without one, where straight springs would let it dive.
    """
    start: Braking | tuple[Array, Array] = _dive(bike) if near is None else near
    return braking_points(
        list(STOPS.values()),
        body,
        bike.filled.chassis,
        bike.front.law,
        bike.rear.law,
        front_stroke=bike.front.stroke,
        rear_stroke=bike.rear.stroke,
        mu=bike.grip,
        start=start,
        **bike.stance,
    )


def _dive(bike: Bike) -> tuple[Array, Array]:
    """Return about where both ends stand in each of the stops, the rate at rest taken to hold: a first guess."""
    front, rear = bike.front, bike.rear
    with np.errstate(all="ignore"):
        lift = (1.0 - bike.aboard.share) / bike.height_share
        hardest = np.minimum(lift, bike.grip)
        decel = np.stack(np.broadcast_arrays(*(np.minimum(asked, hardest) for asked in STOPS.values()), hardest))
        inertia = decel * STANDARD_GRAVITY * bike.aboard.mass
        moved = inertia * bike.height_share
        pushed = moved * np.cos(bike.rake) + inertia * np.sin(bike.rake)
        down = front.sag_aboard + pushed / front.law.stiffness(front.sag_aboard)
        up = rear.sag_aboard - moved / rear.law.stiffness(rear.sag_aboard)
        # What cannot be guessed starts in the middle.
        down = np.where(np.isfinite(down), np.clip(down, 0.0, front.stroke), 0.5 * front.stroke)
        up = np.where(np.isfinite(up), np.clip(up, 0.0, rear.stroke), 0.25 * rear.stroke)
    return down, up


def brakes(pack: Pack, bike: Bike) -> bool:
    """Return whether any document's stops can be told: both ends' springs and strokes known, none electronic."""
    with np.errstate(invalid="ignore"):
        known = np.isfinite(bike.front.coil.rate + bike.rear.coil.rate + bike.front.stroke + bike.rear.stroke)
    return bool(known[:, 0].any()) and "semi_active" not in (pack.front_architecture, pack.rear_architecture)


def braking(pack: Pack, bike: Bike, level: Attitude, found: Braking) -> Iterator[Value]:
    """Yield fork travel and what is left of it, pitch and front share in each stop, and the limit with what sets it.

    level: the bike standing; found: its ``stops``.
    """
    for place, name in enumerate((*STOPS, "limit")):
        one = found[place]
        bottomed = _nominal(one.on_stop, pack.rows) > 0
        status = np.where(bottomed, AT_MOST, OK)
        bound = Each("bottomed" if flag else None for flag in bottomed[:, 0])
        ended = np.where(bottomed, AT_LEAST, OK)
        yield Value(f"brake_travel_{name}.front", one.front_travel, "mm", "braking", ended, {"bound": bound})
        yield Value(f"brake_reserve_{name}.front", one.left, "mm", "braking", status, {"bound": bound})
        yield Value(f"brake_pitch_{name}", np.degrees(one.pitch - level.pitch), "deg", "braking")
        yield Value(f"brake_load_share_{name}", one.front_share, "1", "braking")
    last = found[-1]
    by = np.broadcast_to(last.limited_by, last.decel_g.shape)[:, 0]
    limited = Each(LIMITED_BY[int(code)] for code in by)
    # Which of the two comes first is open where they lie close together: the lower of both is lower still.
    apart = np.broadcast_to(last.l_f / last.h - bike.grip, last.decel_g.shape)[:, :1]
    open_ = np.abs(apart) < LIMITS_APART
    yield Value(
        "brake_limit", last.decel_g, "1", "brake_limit", np.where(open_, AT_MOST, OK), {"limited_by": limited}
    )
    now = attitude(bike.filled.chassis, last.front_travel, last.rear_travel, **bike.stance)
    yield from of_state(bike.filled, "braking", now)


def _nominal(numbers: Array, rows: int) -> Array:
    return np.broadcast_to(numbers[:, :1], (max(len(numbers), rows), 1))
