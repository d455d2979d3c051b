"""What the readings should be: a bike's sags, deepest travels, attitude and stops as its model foretells them.

The same outlook of the bike as found and of the bike after a change; their difference keeps what both lean on alike,
so that its uncertainty is that of the change alone.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.bike import Bike
from tuning.engine.braking import Braking
from tuning.engine.damping import frequency_ratio, ride_frequency
from tuning.engine.ends import End
from tuning.engine.geometry import of_state
from tuning.engine.loads import Body
from tuning.engine.pack import Pack
from tuning.engine.peak import bracket
from tuning.engine.plane import Attitude, attitude
from tuning.engine.propagate import AT_MOST, OK, Each, Value
from tuning.engine.quantities import ENDS
from tuning.engine.readouts import body_of, brakes, braking, clearance, stops, wheel_rates
from tuning.engine.reserve import RIDES, censored


@dataclass(frozen=True)
class Found:
    """The bike as found, solved once: what every outlook is compared with."""

    pack: Pack
    bike: Bike
    alone: tuple[Array, Array]
    aboard: tuple[Array, Array]
    body: Body

    @cached_property
    def stops(self) -> Braking:
        """Its stops, which those of a changed bike are near to."""
        return stops(self.bike, self.body)

    @cached_property
    def reserves(self) -> Mapping[str, tuple[Value, ...]]:
        """What it will have left after the same ride, by end: what an end that is not changed keeps."""
        ends = zip(ENDS, (self.bike.front, self.bike.rear), strict=True)
        return {name: tuple(_reserves(self.pack, name, end, end, self.bike.exponent)) for name, end in ends}


def found(pack: Pack, bike: Bike) -> Found:
    """Return the bike as found at rest, alone and with the rider aboard."""
    alone, aboard = bike.at_rest(rider=False), bike.at_rest(rider=True)
    return Found(pack, bike, alone, aboard, body_of(bike, *aboard))


def sags(now: Bike) -> Iterator[Value]:
    """Yield both sags of both ends in mm and as shares of the stroke."""
    for state, rider in (("bike_alone", False), ("rider_aboard", True)):
        for end, sag, stroke in zip(ENDS, now.at_rest(rider=rider), (now.front.stroke, now.rear.stroke), strict=True):
            yield Value(f"sag_{state}.{end}", sag, "mm", "equilibrium")
            yield Value(f"sag_{state}_share.{end}", sag / stroke, "1", "equilibrium")


def reserves(pack: Pack, base: Found, now: Bike) -> Iterator[Value]:
    """Yield what will be left of the stroke after the same ride, by equal peak force and by equal energy.

    Censored demands make both "at_most"; what the springs do not take up at the end of the stroke is told in params.
    """
    for name, before, after in zip(ENDS, (base.bike.front, base.bike.rear), (now.front, now.rear), strict=True):
        if after is before:
            yield from base.reserves[name]
        else:
            yield from _reserves(pack, name, before, after, base.bike.exponent)


def _reserves(pack: Pack, name: str, before: End, after: End, exponent: Array) -> Iterator[Value]:
    read = {ride: pack.get(f"deepest_{ride}.{name}") for ride in RIDES}
    rides = [ride for ride in RIDES if not np.isnan(read[ride][:, 0]).all()]
    if not rides:
        return
    # All rides in one pass, along a leading axis.
    deepest = np.stack(np.broadcast_arrays(*(read[ride] for ride in rides)))
    reach = bracket(before.riding(exponent), after.riding(exponent), deepest, after.stroke)
    for place, ride in enumerate(rides):
        hit = censored(pack, name, ride)
        for how, travel, over in (
            ("force", reach.by_force[place], reach.left_over_force[place]),
            ("energy", reach.by_energy[place], reach.left_over_energy[place]),
        ):
            ends = over[:, :1] > 0
            told = zip(over[:, 0].tolist(), ends[:, 0].tolist(), strict=True)
            yield Value(
                f"reserve_{ride}_by_{how}.{name}",
                after.stroke - travel,
                "mm",
                "deepest_after",
                np.where(hit | ends, AT_MOST, OK),
                {"left_over": Each(left if flag else None for left, flag in told)},
            )


def standing(base: Found, now: Bike, level: Attitude | None = None) -> Iterator[Value]:
    """Yield the geometry with the rider aboard, ``level`` where it is at hand, and the ride frequencies."""
    if level is None:
        level = standing_level(now)
    yield from of_state(now.filled, "rider_aboard", level)
    rates = wheel_rates(now, *now.at_rest(rider=True))
    front = ride_frequency(rates[0], now.aboard.front - now.unsprung[0])
    rear = ride_frequency(rates[1], now.aboard.rear - now.unsprung[1])
    yield Value("ride_frequency.front", front, "Hz", "ride_frequency")
    yield Value("ride_frequency.rear", rear, "Hz", "ride_frequency")
    yield Value("ride_frequency_ratio", frequency_ratio(rear, front), "1", "frequency_ratio")


def standing_level(now: Bike) -> Attitude:
    """Return how the bike stands with the rider aboard."""
    return attitude(now.filled.chassis, *now.at_rest(rider=True), **now.stance)


def outlook(pack: Pack, base: Found, now: Bike) -> Iterator[Value]:
    """Yield all that is foretold of ``now``, a bike changed from ``base``."""
    travels = now.at_rest(rider=True)
    level = standing_level(now)
    yield from sags(now)
    yield from reserves(pack, base, now)
    yield from standing(base, now, level)
    yield from clearance(pack, now)
    if not brakes(pack, now):
        return
    if now is base.bike:
        yield from braking(pack, now, level, base.stops)
        return
    body = base.body
    if now.aboard is not base.bike.aboard:
        body = body_of(now, *travels)
    yield from braking(pack, now, level, stops(now, body, base.stops))
