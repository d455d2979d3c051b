"""What the readings should be: a bike's sags, deepest travels, attitude and stops as its model foretells them.

The same outlook of the bike as found and of the bike after a change; their difference keeps what both lean on alike,
so that its uncertainty is that of the change alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.bike import Bike
from tuning.engine.damping import frequency_ratio, ride_frequency
from tuning.engine.ends import End
from tuning.engine.geometry import of_state
from tuning.engine.loads import Body
from tuning.engine.pack import Pack
from tuning.engine.peak import bracket
from tuning.engine.plane import attitude
from tuning.engine.propagate import AT_MOST, OK, Each, Value
from tuning.engine.quantities import ENDS
from tuning.engine.readouts import body_of, braking, clearance, wheel_rates
from tuning.engine.reserve import RIDES, censored


@dataclass(frozen=True, slots=True)
class Found:
    """The bike as found, solved once: what every outlook is compared with."""

    bike: Bike
    alone: tuple[Array, Array]
    aboard: tuple[Array, Array]
    body: Body


def found(bike: Bike) -> Found:
    """Return the bike as found at rest, alone and with the rider aboard."""
    alone, aboard = bike.at_rest(rider=False), bike.at_rest(rider=True)
    return Found(bike, alone, aboard, body_of(bike, *aboard))


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
        for ride in RIDES:
            deepest = pack.get(f"deepest_{ride}.{name}")
            if np.isnan(deepest[:, 0]).all():
                continue
            yield from _reserve(pack, name, ride, deepest, before, after, base.bike.exponent)


def _reserve(
    pack: Pack, name: str, ride: str, deepest: Array, before: End, after: End, exponent: Array
) -> Iterator[Value]:
    reach = bracket(before.riding(exponent), after.riding(exponent), deepest, after.stroke)
    hit = censored(pack, name, ride)
    for how, travel, over in (
        ("force", reach.by_force, reach.left_over_force),
        ("energy", reach.by_energy, reach.left_over_energy),
    ):
        ends = _nominal(over, pack.rows) > 0
        rows = max(len(hit), len(ends))
        status = np.broadcast_to(np.where(hit | ends, AT_MOST, OK), (rows, 1))
        told = np.broadcast_to(ends, (rows, 1))[:, 0]
        left = Each(float(x) if flag else None for x, flag in zip(_nominal(over, rows)[:, 0], told, strict=True))
        yield Value(
            f"reserve_{ride}_by_{how}.{name}",
            after.stroke - travel,
            "mm",
            "deepest_after",
            status,
            {"left_over": left},
        )


def _nominal(numbers: Array, rows: int) -> Array:
    return np.broadcast_to(numbers, np.broadcast_shapes(numbers.shape, (rows, 1)))[:, :1]


def standing(base: Found, now: Bike) -> Iterator[Value]:
    """Yield the geometry with the rider aboard, and the ride frequencies."""
    travels = now.at_rest(rider=True)
    heights = (now.fork_position, now.rear_height)
    yield from of_state(now.filled, "rider_aboard", attitude(now.filled.chassis, *travels, *heights))
    rates = wheel_rates(now, *travels)
    front = ride_frequency(rates[0], now.aboard.front - now.unsprung[0])
    rear = ride_frequency(rates[1], now.aboard.rear - now.unsprung[1])
    yield Value("ride_frequency.front", front, "Hz", "ride_frequency")
    yield Value("ride_frequency.rear", rear, "Hz", "ride_frequency")
    yield Value("ride_frequency_ratio", frequency_ratio(rear, front), "1", "frequency_ratio")


def outlook(pack: Pack, base: Found, now: Bike) -> Iterator[Value]:
    """Yield all that is foretold of ``now``, a bike changed from ``base``."""
    yield from sags(now)
    yield from reserves(pack, base, now)
    yield from standing(base, now)
    yield from clearance(pack, now)
    travels = now.at_rest(rider=True)
    changed_load = now.aboard is not base.bike.aboard
    yield from braking(pack, now, travels, body_of(now, *travels) if changed_load else base.body)
