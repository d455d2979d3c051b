"""What can be measured: every quantity a reading may carry, with its limits and the tool's resolution.

``low`` and ``high`` are what physics and construction allow at all: a value outside is refused. The plausible band
inside them only raises a question. Half-widths are of a rectangular distribution (JCGM 100:2008, 4.3.7).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

#: Ends of the bike.
ENDS = ("front", "rear")
#: Legs of a fork, or of a twin-shock rear.
LEGS = ("left", "right")
#: Who and what is on the bike while a reading is taken. Readings of unlike states are never subtracted.
LOAD_STATES = ("bike_alone", "solo", "two_up", "solo_luggage", "two_up_luggage")
#: How a loaded length was approached: let up slowly after pressing down, or let down slowly after lifting.
APPROACHES = ("as_is", "from_below", "from_above")

#: Half-widths (canonical units) by measuring method; common practice. A figure out of a catalogue of bikes brings the
#: half-width that the catalogue says.
METHODS: Mapping[str, float] = MappingProxyType(
    {
        "rule": 0.5,
        "tape": 1.0,
        "caliper": 0.05,
        "scale": 0.5,
        "ring": 1.0,
        "manual": 0.0,
        "counted": 0.0,
        "catalogue": 0.0,
    }
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One measurable quantity. Limits and half-width are in the dimension's canonical unit."""

    id: str
    dimension: str
    low: float
    high: float
    plausible_low: float
    plausible_high: float
    half_width: float
    per_end: bool = False
    per_leg: bool = False
    #: Standing figures of the bike hold over all rounds; the rest belong to the round they were read in.
    standing: bool = False


_ALL = (
    # Lengths for sag: any two fixed points, so only their differences mean something.
    Quantity("length_topped_out", "length", 20, 1500, 60, 1000, 1.0, per_end=True),
    Quantity("length_bike_alone", "length", 20, 1500, 60, 1000, 1.0, per_end=True),
    Quantity("length_rider_aboard", "length", 20, 1500, 60, 1000, 1.0, per_end=True),
    # Travel: the stroke, and how far the ring was pushed from its topped-out place.
    Quantity("stroke", "length", 20, 400, 60, 330, 1.0, per_end=True, standing=True),
    Quantity("deepest_normal", "length", 0, 400, 20, 330, 1.0, per_end=True),
    Quantity("deepest_hardest", "length", 0, 400, 20, 330, 1.0, per_end=True),
    # Loads.
    Quantity("rider_mass", "mass", 25, 250, 45, 150, 1.0),
    Quantity("passenger_mass", "mass", 0, 250, 25, 130, 1.0),
    Quantity("luggage_mass", "mass", 0, 150, 0, 60, 1.0),
    Quantity("bike_mass", "mass", 40, 600, 95, 420, 3.0, standing=True),
    Quantity("gross_mass_limit", "mass", 100, 1000, 250, 700, 0.0, standing=True),
    Quantity("scale_bike_alone", "mass", 10, 400, 40, 250, 0.5, per_end=True),
    Quantity("scale_rider_aboard", "mass", 10, 500, 50, 330, 0.5, per_end=True),
    # Where the loads act: share on the front wheel, height of the centre of mass above the ground.
    Quantity("bike_front_share", "ratio", 0.2, 0.8, 0.4, 0.6, 0.01, standing=True),
    Quantity("rider_front_share", "ratio", 0, 0.9, 0.15, 0.6, 0.05, standing=True),
    Quantity("com_height_bike", "length", 200, 1200, 400, 750, 30.0, standing=True),
    Quantity("com_height_rider", "length", 400, 1800, 700, 1300, 50.0, standing=True),
    Quantity("unsprung_mass", "mass", 2, 80, 8, 35, 2.0, per_end=True, standing=True),
    # Springs. A rate with a leg is of that leg's spring; without one, of each spring.
    Quantity("spring_rate", "rate", 1, 400, 4, 250, 0.0, per_end=True, per_leg=True, standing=True),
    # The second rate sets in where the coil is compressed by the crossover.
    Quantity("spring_rate_second", "rate", 1, 400, 4, 250, 0.0, per_end=True, standing=True),
    Quantity("spring_crossover", "length", 0, 400, 10, 300, 3.0, per_end=True, standing=True),
    # How far the coil is compressed topped out, as found; negative when it lies loose.
    Quantity("spring_preload", "length", -50, 150, 0, 40, 1.0, per_end=True),
    Quantity("top_out_rate", "rate", 0.1, 400, 1, 150, 1.0, per_end=True, standing=True),
    Quantity("top_out_length", "length", 0, 150, 5, 80, 2.0, per_end=True, standing=True),
    Quantity("bump_stop_rate", "rate", 0.1, 5000, 10, 1000, 10.0, per_end=True, standing=True),
    Quantity("bump_stop_length", "length", 0, 150, 3, 60, 1.0, per_end=True, standing=True),
    # The fork's air over its oil. Oil level: the gap with the fork compressed and the spring out.
    Quantity("oil_level", "length", 0, 500, 60, 250, 2.0, per_leg=True, standing=True),
    Quantity("tube_bore", "length", 15, 80, 28, 50, 0.2, per_leg=True, standing=True),
    Quantity("spring_volume", "volume", 0, 600, 20, 250, 10.0, per_leg=True, standing=True),
    # Air springs. Pressures are gauge, as set with the wheel off the ground; volumes topped out.
    Quantity("air_pressure", "pressure", 0, 3500, 0, 1500, 5.0, per_end=True),
    Quantity("air_pressure_balance", "pressure", 0, 3500, 0, 1500, 5.0, per_end=True),
    Quantity("air_area", "area", 50, 8000, 300, 2000, 10.0, per_end=True, standing=True),
    Quantity("air_volume", "volume", 5, 3000, 50, 1200, 10.0, per_end=True, standing=True),
    Quantity("balance_area", "area", 20, 8000, 150, 2000, 10.0, per_end=True, standing=True),
    Quantity("balance_volume", "volume", 1, 3000, 10, 600, 5.0, per_end=True, standing=True),
    Quantity("temperature_set", "temperature", -40, 60, 0, 40, 2.0),
    Quantity("temperature_ambient", "temperature", -40, 60, 0, 40, 2.0),
    Quantity("altitude", "length", -500e3, 6e6, 0, 3e6, 50e3),
    # Rear linkage: wheel travel over shock stroke, at the start (or constant) and at full travel.
    Quantity("leverage", "ratio", 0.5, 5, 1.0, 3.6, 0.1, per_end=True, standing=True),
    Quantity("leverage_end", "ratio", 0.5, 5, 1.0, 3.6, 0.1, per_end=True, standing=True),
    Quantity("shock_stroke", "length", 10, 300, 30, 150, 1.0, standing=True),
    # Geometry as published or measured, in the state the maker quotes.
    Quantity("rake", "angle", 5, 50, 20, 36, 0.1, standing=True),
    Quantity("ground_trail", "length", 10, 250, 70, 180, 1.0, standing=True),
    Quantity("normal_trail", "length", 5, 245, 60, 165, 1.0, standing=True),
    Quantity("wheelbase", "length", 700, 2200, 1150, 1800, 5.0, standing=True),
    Quantity("fork_offset", "length", -20, 150, 15, 90, 1.0, standing=True),
    Quantity("wheel_radius", "length", 100, 450, 230, 360, 2.0, per_end=True, standing=True),
    # Once round the tyre on the ground.
    Quantity("roll_out", "length", 600, 2900, 1400, 2300, 5.0, per_end=True, standing=True),
    Quantity("swingarm_length", "length", 200, 900, 400, 700, 5.0, standing=True),
    # Of the line from pivot to axle; positive where the axle lies lower.
    Quantity("swingarm_angle", "angle", -30, 60, 0, 25, 0.5, standing=True),
    Quantity("bodywork_gap", "length", 0, 400, 20, 330, 2.0, per_end=True),
    # Settle test: how far it went past, and past again on the same side; the time between the two.
    Quantity("settle_first", "length", 0, 300, 1, 100, 2.0, per_end=True),
    Quantity("settle_second", "length", 0, 300, 0, 50, 2.0, per_end=True),
    Quantity("settle_period", "time", 0.05, 10, 0.25, 2, 0.05, per_end=True),
    # Tyres. Grip: the longitudinal force a tyre bears over the load on it.
    Quantity("tyre_grip", "ratio", 0.1, 2, 0.5, 1.4, 0.1),
    Quantity("tyre_pressure", "pressure", 30, 500, 70, 320, 5.0, per_end=True),
    Quantity("tyre_pressure_manual", "pressure", 30, 500, 70, 320, 0.0, per_end=True, standing=True),
    Quantity("tyre_age", "count", 0, 60, 0, 10, 0.5, per_end=True),
)
QUANTITIES: Mapping[str, Quantity] = MappingProxyType({quantity.id: quantity for quantity in _ALL})
