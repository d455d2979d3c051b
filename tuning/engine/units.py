"""Units at the surface and the one canonical unit per dimension inside.

The factors are exact by definition (international yard and pound of 1959, standard gravity of ISO 80000-3,
the avoirdupois pound); NIST SP 811, appendix B.8 prints them rounded.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tuning.engine.errors import EngineInputError, Fault

STANDARD_GRAVITY = 9.80665  # m/s², ISO 80000-3
INCH = 25.4  # mm
POUND = 0.45359237  # kg
POUND_FORCE = POUND * STANDARD_GRAVITY  # N
FOOT = 12 * INCH / 1000.0  # m


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its id, its dimension, and the factor that turns it into the dimension's canonical unit."""

    id: str
    dimension: str
    factor: float


#: Canonical unit id of each dimension.
CANONICAL: Mapping[str, str] = MappingProxyType(
    {
        "length": "mm",
        "mass": "kg",
        "force": "N",
        "rate": "N/mm",
        "pressure": "kPa",
        "torque": "N.m",
        "angle": "deg",
        "ratio": "1",
        "count": "1",
        "frequency": "Hz",
    }
)

_ALL = (
    Unit("mm", "length", 1.0),
    Unit("cm", "length", 10.0),
    Unit("m", "length", 1000.0),
    Unit("in", "length", INCH),
    Unit("kg", "mass", 1.0),
    Unit("lb", "mass", POUND),
    Unit("N", "force", 1.0),
    Unit("lbf", "force", POUND_FORCE),
    Unit("kgf", "force", STANDARD_GRAVITY),
    Unit("N/mm", "rate", 1.0),
    Unit("kgf/mm", "rate", STANDARD_GRAVITY),
    Unit("lbf/in", "rate", POUND_FORCE / INCH),
    Unit("kPa", "pressure", 1.0),
    Unit("bar", "pressure", 100.0),
    Unit("psi", "pressure", POUND_FORCE / (INCH * INCH) * 1000.0),
    Unit("kgf/cm2", "pressure", STANDARD_GRAVITY * 10.0),
    Unit("N.m", "torque", 1.0),
    Unit("lbf.ft", "torque", POUND_FORCE * FOOT),
    Unit("kgf.m", "torque", STANDARD_GRAVITY),
    Unit("deg", "angle", 1.0),
    Unit("1", "ratio", 1.0),
    Unit("%", "ratio", 0.01),
    Unit("click", "count", 1.0),
    Unit("turn", "count", 1.0),
    Unit("line", "count", 1.0),
    Unit("step", "count", 1.0),
    Unit("Hz", "frequency", 1.0),
)
UNITS: Mapping[str, Unit] = MappingProxyType({unit.id: unit for unit in _ALL})


def unit(unit_id: str, path: str = "unit") -> Unit:
    """Return the unit with this id. Raises EngineInputError (``unknown_unit``) for any other text."""
    try:
        return UNITS[unit_id]
    except KeyError:
        known = tuple(UNITS)
        raise EngineInputError([Fault(path, unit_id, "unknown_unit", {"known": known})]) from None


def to_canonical(value: float, unit_id: str, path: str = "value") -> float:
    """Return ``value`` given in ``unit_id`` in the canonical unit of its dimension."""
    return value * unit(unit_id, path).factor


def from_canonical(value: float, unit_id: str, path: str = "value") -> float:
    """Return a canonical ``value`` in ``unit_id``."""
    return value / unit(unit_id, path).factor


def convert(value: float, source: str, target: str) -> float:
    """Return ``value`` in ``source`` as ``target``; both must be of one dimension.

    Raises EngineInputError (``unlike_dimensions``) when they are not.
    """
    a, b = unit(source), unit(target)
    if a.dimension != b.dimension:
        raise EngineInputError([Fault("unit", source, "unlike_dimensions", {"target": target})])
    return value * a.factor / b.factor
