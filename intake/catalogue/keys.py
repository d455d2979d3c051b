"""What a bike in the catalogue may say: the engine's quantities by key, and its adjusters.

Only what some step of the form asks for: a figure that no client could correct has no business being filled in.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tuning.engine.quantities import ENDS, LEGS, QUANTITIES, Quantity
from tuning.engine.units import CANONICAL


@dataclass(frozen=True, slots=True)
class Known:
    """One figure a catalogue bike may hold. key: ``stroke.front``, as the form's field is named; unit: canonical."""

    key: str
    quantity: str
    end: str = ""
    leg: str = ""

    @property
    def of(self) -> Quantity:
        return QUANTITIES[self.quantity]

    @property
    def unit(self) -> str:
        return CANONICAL[self.of.dimension]

    @property
    def widest(self) -> float:
        """The largest half-width that still says something: half of what is possible at all."""
        return (self.of.high - self.of.low) / 2


def _known(key: str) -> Known:
    quantity, _, rest = key.partition(".")
    end, _, leg = rest.partition(".")
    return Known(key, quantity, end, leg)


#: In the order of the form; the columns of a file follow it, so new ones go to the end.
VALUES: Mapping[str, Known] = MappingProxyType(
    {
        key: _known(key)
        for key in (
            "tyre_pressure_manual.front",
            "tyre_pressure_manual.rear",
            "bike_mass",
            "gross_mass_limit",
            "spring_rate.front.left",
            "spring_rate.front.right",
            "spring_rate.rear",
            "leverage.rear",
            "rake",
            "ground_trail",
            "wheelbase",
            "fork_offset",
            "wheel_radius.front",
            "wheel_radius.rear",
            "swingarm_length",
            "stroke.front",
            "stroke.rear",
        )
    }
)

CLICKS = ("click", "turn")
PRELOAD = ("turn", "line", "step", "click", "mm")


@dataclass(frozen=True, slots=True)
class KnownAdjuster:
    """One adjuster a catalogue bike may have.

    units: what it may be counted in, the usual one first; places: where it may sit, as the form asks for it.
    """

    key: str
    units: tuple[str, ...]
    places: tuple[str, ...]

    @property
    def end(self) -> str:
        return self.key.split(".")[0]

    @property
    def kind(self) -> str:
        return self.key.split(".")[1]

    @property
    def leg(self) -> str:
        return self.key.split(".")[2] if self.key.count(".") == 2 else ""


ADJUSTERS: Mapping[str, KnownAdjuster] = MappingProxyType(
    {
        one.key: one
        for one in (
            *(KnownAdjuster(f"front.preload.{leg}", PRELOAD, ("cap",)) for leg in LEGS),
            *(KnownAdjuster(f"front.rebound.{leg}", CLICKS, ("cap", "bottom")) for leg in LEGS),
            *(KnownAdjuster(f"front.compression.{leg}", CLICKS, ("cap", "bottom")) for leg in LEGS),
            KnownAdjuster("rear.preload", ("turn", "step", "click", "line", "mm"), ("body", "remote")),
            KnownAdjuster("rear.rebound", CLICKS, ("body",)),
            KnownAdjuster("rear.compression_low", CLICKS, ("body",)),
            KnownAdjuster("rear.compression_high", CLICKS, ("body",)),
            KnownAdjuster("rear.ride_height", ("mm",), ("body",)),
            *(KnownAdjuster(f"{end}.mode", ("mode",), ("display",)) for end in ENDS),
        )
    }
)
DIRECTIONS = ("closed", "open")
FIRST_YEAR, LAST_YEAR = 1900, 2100
LONGEST_SOURCE = 120
LONGEST_MAKE, LONGEST_MODEL, LONGEST_NOTE = 30, 45, 1000
MOST_RANGE, MOST_STEP_MM = 500.0, 50.0
