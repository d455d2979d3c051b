"""Every unit against pint, which keeps its own definitions."""

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tuning.engine.errors import EngineInputError
from tuning.engine.units import CANONICAL, STANDARD_GRAVITY, UNITS, convert, from_canonical, to_canonical

PINT = pint.UnitRegistry()
#: The engine's id and pint's words for it. Clicks, turns of an adjuster, lines and steps are counts of their own.
WORDS = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
    "kg": "kilogram",
    "lb": "pound",
    "N": "newton",
    "lbf": "force_pound",
    "kgf": "force_kilogram",
    "N/mm": "newton / millimeter",
    "kgf/mm": "force_kilogram / millimeter",
    "lbf/in": "force_pound / inch",
    "kPa": "kilopascal",
    "bar": "bar",
    "psi": "force_pound / inch ** 2",
    "kgf/cm2": "force_kilogram / centimeter ** 2",
    "N.m": "newton * meter",
    "lbf.ft": "force_pound * foot",
    "kgf.m": "force_kilogram * meter",
    "deg": "degree",
    "1": "dimensionless",
    "%": "percent",
    "Hz": "hertz",
    "mm2": "millimeter ** 2",
    "cm2": "centimeter ** 2",
    "in2": "inch ** 2",
    "cm3": "centimeter ** 3",
    "ml": "milliliter",
    "l": "liter",
    "in3": "inch ** 3",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
    "K": "kelvin",
    "s": "second",
    "ms": "millisecond",
}
COUNTS = {"click", "turn", "line", "step"}
#: Temperatures have a zero of their own: near the other scale's zero only the digits of the zero are left.
ZERO = 1e-12
values = st.floats(-1e9, 1e9)


def test_every_unit_is_compared_or_a_count() -> None:
    assert set(UNITS) == set(WORDS) | COUNTS
    assert {UNITS[count].factor for count in COUNTS} == {1.0}


@pytest.mark.parametrize("unit_id", sorted(WORDS))
@settings(max_examples=20)  # a factor and a zero: few values tell
@given(value=values)
def test_to_canonical_is_pints(unit_id: str, value: float) -> None:
    canonical = CANONICAL[UNITS[unit_id].dimension]
    wanted = PINT.Quantity(value, WORDS[unit_id]).to(WORDS[canonical]).magnitude
    assert to_canonical(value, unit_id) == pytest.approx(wanted, rel=1e-12, abs=ZERO)


@pytest.mark.parametrize("source", sorted(WORDS))
@pytest.mark.parametrize("value", [-40.0, 1.0, 98765.4321])
def test_units_of_one_dimension_convert_as_pints(source: str, value: float) -> None:
    for target in WORDS:
        if UNITS[source].dimension == UNITS[target].dimension:
            wanted = PINT.Quantity(value, WORDS[source]).to(WORDS[target]).magnitude
            assert convert(value, source, target) == pytest.approx(wanted, rel=1e-12, abs=ZERO)


#: pint knows no dimension of angles and shares, and torque as energy; apart from these, both must agree.
PLAIN = [unit_id for unit_id in WORDS if UNITS[unit_id].dimension not in ("angle", "ratio")]


@pytest.mark.parametrize("source", PLAIN)
def test_units_of_two_dimensions_do_not_convert_and_pint_agrees(source: str) -> None:
    for target in PLAIN:
        if UNITS[source].dimension != UNITS[target].dimension:
            assert not PINT.Quantity(1.0, WORDS[source]).is_compatible_with(WORDS[target])
            with pytest.raises(EngineInputError):
                convert(1.0, source, target)


@given(st.sampled_from(sorted(UNITS)), values)
def test_there_and_back_is_where_it_was(unit_id: str, value: float) -> None:
    assert from_canonical(to_canonical(value, unit_id), unit_id) == pytest.approx(value, rel=1e-14, abs=ZERO)


def test_standard_gravity_is_pints() -> None:
    assert PINT.Quantity(1, "standard_gravity").to("m / s ** 2").magnitude == STANDARD_GRAVITY
