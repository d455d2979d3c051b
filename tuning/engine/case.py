"""The engine's input: one bike, loaded one way, with the settings and readings of one round.

All numbers are canonical (mm, kg, N/mm, kPa, degrees, counts); units as typed stay with whoever took them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

#: What an adjuster does.
ADJUSTER_KINDS = (
    "preload",
    "rebound",
    "compression",
    "compression_low",
    "compression_high",
    "fork_position",
    "ride_height",
    "air_pressure",
    "mode",
)
ADJUSTER_UNITS = ("click", "turn", "line", "step", "mm", "kPa", "mode")
#: Architectures the model covers; the others are known by name and refused by name.
FRONT_ARCHITECTURES = ("coil", "coil_split", "air", "semi_active")
FRONT_REFUSED = ("leading_link", "hub_centre", "sidecar")
REAR_ARCHITECTURES = ("linkage", "direct", "twin_shock", "cantilever", "semi_active")
DISCIPLINES = (
    "road_sport",
    "naked",
    "touring",
    "track",
    "adventure",
    "dual_sport",
    "enduro",
    "motocross",
    "supermoto",
    "cruiser",
    "classic",
)


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured number: canonical value with its rectangular half-width, and all that says what it is of."""

    quantity: str
    value: float
    half_width: float
    end: str = ""
    leg: str = ""
    load_state: str = ""
    approach: str = "as_is"
    repeat: int = 1


@dataclass(frozen=True, slots=True)
class Adjuster:
    """One adjuster of this bike and where it stands.

    key: stable name, ``front.rebound.left``; unit: of ADJUSTER_UNITS. Clicker and turn counts run outward from
    fully closed (counted_from "closed") unless the client says otherwise ("open"). ``more_is`` tells which way
    a rising count goes: "softer" for damping counted out from closed, "firmer" for preload turns put in.
    range_counted: the full count from stop to stop, None when not counted. found: None when not given.
    step_mm: what one unit moves the spring seat by (preload), where known.
    """

    key: str
    kind: str
    end: str
    unit: str
    leg: str = ""
    found: float | None = None
    half_width: float = 0.0
    range_counted: float | None = None
    counted_from: str = "closed"
    step_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """One round of one bike, ready to be derived from."""

    discipline: str
    front_architecture: str
    rear_architecture: str
    readings: tuple[Reading, ...]
    adjusters: tuple[Adjuster, ...] = ()
    #: Answers that change how numbers are read: ``bottomed.front`` → "yes" | "no" | "unsure", ride hardness …
    answers: Mapping[str, str] = field(default_factory=dict)
    #: The load state the rider-aboard readings were taken in.
    load_state: str = "solo"
    #: Tyre size as printed on the sidewall, by end.
    tyre_size: Mapping[str, str] = field(default_factory=dict)
    #: Leverage by rear wheel travel: rows of travel (mm, from topped out, rising) and wheel travel over shock stroke.
    leverage_table: tuple[tuple[float, float], ...] = ()
    #: A filmed settle test by end: rows of time (s, rising) and height (mm, of any one point).
    settle_frames: Mapping[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)
