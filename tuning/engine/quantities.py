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

#: Half-widths (canonical units) by measuring method; common practice.
METHODS: Mapping[str, float] = MappingProxyType(
    {"rule": 0.5, "tape": 1.0, "caliper": 0.05, "scale": 0.5, "ring": 1.0, "manual": 0.0, "counted": 0.0}
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
    # Springs.
    Quantity("spring_rate", "rate", 1, 400, 4, 250, 0.0, per_end=True, per_leg=True, standing=True),
    Quantity("leverage", "ratio", 0.5, 5, 1.0, 3.6, 0.1, per_end=True, standing=True),
    # Geometry as published or measured, in the state the maker quotes.
    Quantity("rake", "angle", 5, 50, 20, 36, 0.1, standing=True),
    Quantity("ground_trail", "length", 10, 250, 70, 180, 1.0, standing=True),
    Quantity("wheelbase", "length", 700, 2200, 1150, 1800, 5.0, standing=True),
    Quantity("fork_offset", "length", -20, 150, 15, 90, 1.0, standing=True),
    Quantity("wheel_radius", "length", 100, 450, 230, 360, 2.0, per_end=True, standing=True),
    Quantity("swingarm_length", "length", 200, 900, 400, 700, 5.0, standing=True),
    Quantity("bodywork_gap", "length", 0, 400, 20, 330, 2.0, per_end=True),
    # Tyres.
    Quantity("tyre_pressure", "pressure", 30, 500, 70, 320, 5.0, per_end=True),
    Quantity("tyre_pressure_manual", "pressure", 30, 500, 70, 320, 0.0, per_end=True, standing=True),
    Quantity("tyre_age", "count", 0, 60, 0, 10, 0.5, per_end=True),
)
QUANTITIES: Mapping[str, Quantity] = MappingProxyType({quantity.id: quantity for quantity in _ALL})
