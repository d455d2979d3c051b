"""The bike as the readings describe it: springs, loads and plane together, and the same bike after a change."""

from dataclasses import dataclass, replace

import numpy as np

from tuning.engine.air import AirColumn, AirFork
from tuning.engine.arrays import Array, Num
from tuning.engine.case import FRONT_REFUSED
from tuning.engine.coil import Coil
from tuning.engine.ends import End, front_end, rear_end
from tuning.engine.loads import WheelMasses, axial_fork_load, rear_sprung_load, wheel_masses
from tuning.engine.pack import Pack
from tuning.engine.propagate import resolved
from tuning.engine.published import Filled
from tuning.engine.rates import added_loads
from tuning.engine.units import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class Bike:
    """One bike, loaded as its case says; arrays (D, C).

    alone, aboard: what a scale under each wheel shows, kg. unsprung: front and rear, kg. rake: as published or usual,
    radians. height_share: of the centre of mass with the rider aboard, of the wheelbase. fork_position, rear_height:
    mm moved up since the readings were taken; front_radius, rear_radius: mm that other tyres add.
    """

    front: End
    rear: End
    filled: Filled
    alone: WheelMasses
    aboard: WheelMasses
    unsprung: tuple[Array, Array]
    rake: Array
    height_share: Array
    grip: Array
    exponent: Array
    fork_position: Num = 0.0
    rear_height: Num = 0.0
    front_radius: Num = 0.0
    rear_radius: Num = 0.0

    @property
    def stance(self) -> dict[str, Num]:
        """What was moved that the plane must know of, as arguments of ``attitude``."""
        chassis = self.filled.chassis
        return {
            "fork_position": self.fork_position,
            "rear_height": self.rear_height,
            "front_radius": chassis.front_radius + self.front_radius,
            "rear_radius": chassis.rear_radius + self.rear_radius,
        }

    def at_rest(self, *, rider: bool) -> tuple[Array, Array]:
        """Return (front, rear) travel, mm, where the springs carry the bike alone or with the rider aboard."""
        if rider:
            return self.front.rest_aboard, self.rear.rest_aboard
        return self.front.rest_alone, self.rear.rest_alone


def bike_of(pack: Pack, filled: Filled) -> Bike | None:
    """Return the bikes of a pack; None where no model of their architecture is here (named refusals)."""
    if pack.front_architecture in FRONT_REFUSED:
        return None
    rake = filled.chassis.rake
    unsprung = tuple(np.asarray(pack.usual(f"unsprung_mass.{end}")) for end in ("front", "rear"))
    alone, aboard = masses_of(pack)
    lighter, heavier = (alone, aboard) if pack.columns > 1 else masses_of(pack.with_columns())
    more = WheelMasses(heavier.front - lighter.front, heavier.rear - lighter.rear, heavier.weighed)
    fork = [axial_fork_load(wheels.front * STANDARD_GRAVITY, unsprung[0], rake) for wheels in (alone, aboard)]
    axle = [rear_sprung_load(wheels.rear * STANDARD_GRAVITY, unsprung[1]) for wheels in (alone, aboard)]
    return Bike(
        front=front_end(pack, fork[0], fork[1], resolved(more.front)),
        rear=rear_end(pack, axle[0], axle[1], resolved(more.rear)),
        filled=filled,
        alone=alone,
        aboard=aboard,
        unsprung=(unsprung[0], unsprung[1]),
        rake=np.asarray(rake),
        height_share=_height_share(pack, filled, alone, aboard),
        grip=pack.usual("tyre_grip"),
        exponent=pack.usual("riding_exponent") if pack.has("assumed.riding_exponent") else np.array([[1.3]]),
    )


def masses_of(pack: Pack) -> tuple[WheelMasses, WheelMasses]:
    """Return what is on each wheel, kg: the bike alone, and as loaded; scales replace the guesses."""
    alone = wheel_masses(
        pack.usual("bike_mass"),
        pack.first("bike_front_share", "assumed.bike_front_share"),
        pack.get("scale_bike_alone.front"),
        pack.get("scale_bike_alone.rear"),
    )
    added = added_loads(pack)
    front, rear = (
        np.where(
            np.isnan(pack.get(f"scale_rider_aboard.{end}")), base + added[end], pack.get(f"scale_rider_aboard.{end}")
        )
        for end, base in (("front", alone.front), ("rear", alone.rear))
    )
    return alone, WheelMasses(front, rear, alone.weighed)


def _height_share(pack: Pack, filled: Filled, alone: WheelMasses, aboard: WheelMasses) -> Array:
    share = pack.usual("com_height_ridden")
    bike, rider = pack.get("com_height_bike"), pack.get("com_height_rider")
    whole = (bike * alone.mass + rider * (aboard.mass - alone.mass)) / aboard.mass / filled.chassis.wheelbase
    return np.where(np.isnan(whole), share, whole)


@dataclass(frozen=True, slots=True)
class Change:
    """What is changed on a bike; floats or arrays (D, 1), as differences from how it stands.

    Preload in mm at the spring, all springs of the end alike; rate: the new rate of each spring, N/mm, NaN for as it
    is; oil: mm the oil is raised (the gap made smaller) in each leg; pressure: kPa in the main chamber;
    fork_position: mm the legs go up; rear_height: mm the rear goes up; radius: mm that another tyre adds; loads: kg
    more at the front and rear wheel.
    """

    front_preload: Num = 0.0
    rear_preload: Num = 0.0
    front_rate: Num = np.nan
    rear_rate: Num = np.nan
    oil: Num = 0.0
    pressure: Num = 0.0
    fork_position: Num = 0.0
    rear_height: Num = 0.0
    front_radius: Num = 0.0
    rear_radius: Num = 0.0
    front_load: Num = 0.0
    rear_load: Num = 0.0


def changed(bike: Bike, change: Change) -> Bike:
    """Return the bike after a change. A new spring is taken to be fitted with the preload of the old one."""
    aboard = bike.aboard
    if np.any(change.front_load) or np.any(change.rear_load):
        front_mass, rear_mass = aboard.front + change.front_load, aboard.rear + change.rear_load
        aboard = WheelMasses(front_mass, rear_mass, aboard.weighed)
    front, rear = bike.front, bike.rear
    # An end that nothing touches is the same end, with all that was found of it.
    if not _as_it_is(change.front_rate, change.front_preload, change.front_load, change.oil, change.pressure):
        load = np.asarray(change.front_load) * STANDARD_GRAVITY * np.cos(bike.rake)
        front = _respring(front, change.front_preload, change.front_rate)
        front = replace(front, load_aboard=front.load_aboard + load)
        air = front.air
        if air is not None:
            front = front.with_air(_refill(air, change.oil, change.pressure))
    if not _as_it_is(change.rear_rate, change.rear_preload, change.rear_load):
        load = np.asarray(change.rear_load) * STANDARD_GRAVITY
        rear = _respring(rear, change.rear_preload, change.rear_rate)
        rear = replace(rear, load_aboard=rear.load_aboard + load)
    return replace(
        bike,
        front=front,
        rear=rear,
        aboard=aboard,
        fork_position=bike.fork_position + np.asarray(change.fork_position),
        rear_height=bike.rear_height + np.asarray(change.rear_height),
        front_radius=bike.front_radius + np.asarray(change.front_radius),
        rear_radius=bike.rear_radius + np.asarray(change.rear_radius),
    )


def _as_it_is(rate: Num, *moves: Num) -> bool:
    """Return whether a change of one bike keeps the rate and moves nothing; many changes at once always move."""
    if any(isinstance(one, np.ndarray) for one in (rate, *moves)):
        return False
    return bool(np.isnan(rate)) and not any(moves)


def _respring(end: End, preload: Num, rate: Num) -> End:
    total = np.asarray(rate, dtype=np.float64) * end.count
    coil = replace(
        end.coil,
        rate=np.where(np.isnan(total), end.coil.rate, total),
        preload=end.coil.preload + np.asarray(preload),
    )
    if end.coil.second_rate is not None:
        # A new spring is a plain one.
        second = np.where(np.isnan(total), end.coil.second_rate, coil.rate)
        coil = Coil(coil.rate, coil.preload, second, end.coil.crossover)
    return replace(end, coil=coil)


def _refill(air: AirColumn | AirFork, oil: Num, pressure: Num) -> AirColumn | AirFork:
    if isinstance(air, AirFork):
        return replace(air, main_kpa=air.main_kpa + np.asarray(pressure))
    return replace(air, volume=air.volume - np.asarray(oil) * air.area)
