"""Units at the surface and the one canonical unit per dimension inside.

The factors are exact by definition (international yard and pound of 1959, standard gravity of ISO 80000-3,
the avoirdupois pound); NIST SP 811, appendix B.8 prints them rounded. The scales of temperature do not share their
zero (NIST SP 811, appendix B.8, table footnotes: t/°C = (t/°F − 32)/1.8 = T/K − 273.15), so a difference or a
half-width converts by ``width_to_canonical``, never by ``to_canonical``.
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
    """A unit: its id, its dimension, and the factor that turns it into the dimension's canonical unit.

    zero: what a scale in this unit shows at the canonical unit's zero; 0 for all but temperatures.
    """

    id: str
    dimension: str
    factor: float
    zero: float = 0.0

    def canonical(self, value: float) -> float:
        """Return a value given in this unit in the canonical one."""
        return (value - self.zero) * self.factor

    def shown(self, value: float) -> float:
        """Return a canonical value in this unit."""
        return value / self.factor + self.zero


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
        "area": "mm2",
        "volume": "cm3",
        "temperature": "degC",
        "time": "s",
    }
)

_ALL = (
    Unit("mm", "length", 1.0),
    Unit("cm", "length", 10.0),
    Unit("m", "length", 1000.0),
    Unit("in", "length", INCH),
    Unit("ft", "length", 12 * INCH),
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
    Unit("mm2", "area", 1.0),
    Unit("cm2", "area", 100.0),
    Unit("in2", "area", INCH * INCH),
    Unit("cm3", "volume", 1.0),
    Unit("ml", "volume", 1.0),
    Unit("l", "volume", 1000.0),
    Unit("in3", "volume", INCH * INCH * INCH / 1000.0),
    Unit("degC", "temperature", 1.0),
    Unit("degF", "temperature", 5.0 / 9.0, zero=32.0),
    Unit("K", "temperature", 1.0, zero=273.15),
    Unit("s", "time", 1.0),
    Unit("ms", "time", 0.001),
)
UNITS: Mapping[str, Unit] = MappingProxyType({unit.id: unit for unit in _ALL})


def units_of(dimension: str) -> tuple[str, ...]:
    """Return the ids of the units a quantity of this dimension may be given in, the canonical one first.

    A bare count (years) is given in ones: clicks and turns count something else.
    """
    canonical = CANONICAL[dimension]
    if dimension == "count":
        return (canonical,)
    return (canonical, *(one.id for one in _ALL if one.dimension == dimension and one.id != canonical))


def unit(unit_id: str, path: str = "unit") -> Unit:
    """Return the unit with this id. Raises EngineInputError (``unknown_unit``) for any other text."""
    try:
        return UNITS[unit_id]
    except KeyError:
        known = tuple(UNITS)
        raise EngineInputError([Fault(path, unit_id, "unknown_unit", {"known": known})]) from None


def to_canonical(value: float, unit_id: str, path: str = "value") -> float:
    """Return ``value`` given in ``unit_id`` in the canonical unit of its dimension."""
    return unit(unit_id, path).canonical(value)


def from_canonical(value: float, unit_id: str, path: str = "value") -> float:
    """Return a canonical ``value`` in ``unit_id``."""
    return unit(unit_id, path).shown(value)


def width_to_canonical(width: float, unit_id: str, path: str = "half_width") -> float:
    """Return a difference or half-width given in ``unit_id`` in the canonical unit: zeros cancel."""
    return width * unit(unit_id, path).factor


def width_from_canonical(width: float, unit_id: str, path: str = "half_width") -> float:
    """Return a canonical difference or half-width in ``unit_id``: zeros cancel."""
    return width / unit(unit_id, path).factor


def convert(value: float, source: str, target: str) -> float:
    """Return ``value`` in ``source`` as ``target``; both must be of one dimension.

    Raises EngineInputError (``unlike_dimensions``) when they are not.
    """
    a, b = unit(source), unit(target)
    if a.dimension != b.dimension:
        raise EngineInputError([Fault("unit", source, "unlike_dimensions", {"target": target})])
    return b.shown(a.canonical(value))
