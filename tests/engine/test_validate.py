"""What a case is held to, and that a case stored before its younger fields came is the case it was."""

import dataclasses
import hashlib
import json
from typing import Any

import pytest
from pint import UnitRegistry

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.errors import EngineInputError
from tuning.engine.quantities import QUANTITIES, Quantity
from tuning.engine.serial import case_from_json, case_to_json, input_hash
from tuning.engine.units import CANONICAL, UNITS, Unit, convert, units_of, width_from_canonical, width_to_canonical
from tuning.engine.validate import require_sound, told

BARE = Case("naked", "coil", "linkage", ())
REBOUND = Adjuster("front.rebound.left", "rebound", "front", "click", "left", found=3.0)


def faults_of(**changed: Any) -> set[tuple[str, str]]:
    with pytest.raises(EngineInputError) as caught:
        require_sound(dataclasses.replace(BARE, **changed))
    return {(fault.path, fault.reason) for fault in caught.value.faults}


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        (
            {"adjusters": (dataclasses.replace(REBOUND, leg="third", key="front.rebound.third"),)},
            {("adjusters[0].leg", "unknown_leg")},
        ),
        ({"adjusters": (dataclasses.replace(REBOUND, found=1e9),)}, {("adjusters[0].found", "above_physical_limit")}),
        ({"adjusters": (REBOUND, REBOUND)}, {("adjusters[1].key", "told_twice")}),
        ({"tyre_size": {"middle": "120/70-17"}}, {("tyre_size.middle", "unknown_end")}),
        ({"tyre_size": {"front": "9" * 41}}, {("tyre_size.front", "too_long")}),
        ({"leverage_table": ((0.0, 3.0),)}, {("leverage_table", "too_few")}),
        ({"leverage_table": ((0.0, 3.0), (0.0, 3.0))}, {("leverage_table[1][0]", "not_rising")}),
        ({"leverage_table": ((0.0, float("nan")), (5.0, 3.0))}, {("leverage_table[0][1]", "not_finite")}),
        ({"leverage_table": ((-1.0, 0.4), (5.0, 3.0))}, {
            ("leverage_table[0][0]", "below_physical_limit"), ("leverage_table[0][1]", "below_physical_limit"),
        }),
        ({"settle_frames": {"rear": ((0.0, 1.0), (1.0, 2.0))}}, {("settle_frames.rear", "too_few")}),
        ({"settle_frames": {"side": ()}}, {("settle_frames.side", "unknown_end")}),
        ({"readings": (Reading("rake", 10**400, 0.1),)}, {("readings[0].value", "not_finite")}),
        ({"readings": (Reading("rake", 24, 0.1, repeat=0),)}, {("readings[0].repeat", "unknown_repeat")}),
        ({"readings": (Reading("rake", 24, 0.1),) * 401}, {("readings", "too_many")}),
    ],
)  # fmt: skip
def test_faults(changed: dict[str, Any], found: set[tuple[str, str]]) -> None:
    assert faults_of(**changed) == found


def test_a_fault_tells_the_allowed_range_with_its_unit() -> None:
    with pytest.raises(EngineInputError) as caught:
        require_sound(dataclasses.replace(BARE, readings=(Reading("stroke", 500, 1, "front"),)))
    assert caught.value.faults[0].params == {"low": 20, "high": 400, "unit": "mm"}


@pytest.mark.parametrize(
    "row",
    [
        Reading("oil_level", 110, 2, leg="left"),
        Reading("spring_volume", 90, 10, leg="right"),
        Reading("spring_rate", 9.5, 0, "front", "left"),
        Reading("spring_preload", -50, 1, "rear"),
        Reading("altitude", 6e6, 0),
        Reading("temperature_set", -40, 2),
        Reading("swingarm_angle", -30, 0.5),
        Reading("roll_out", 1900, 5, "front"),
    ],
)
def test_the_ends_and_limits_of_quantities(row: Reading) -> None:
    require_sound(dataclasses.replace(BARE, readings=(row,)))


def test_what_a_fault_shows_is_short() -> None:
    assert [told(value) for value in (None, True, 1.5, 7, "ab", [1, 2], {"a": 1}, {1})] == [
        None, True, 1.5, 7, "ab", "list of 2", "object of 1", "set",
    ]  # fmt: skip
    assert told(10**5000) == "integer of 16610 bits"
    assert told("x" * 500) == "x" * 79 + "…"


# --- Storage ------------------------------------------------------------------------------------------------------

STORED = (
    '{"adjusters":[{"counted_from":"closed","end":"front","found":3.0,"half_width":0.0,"key":"front.rebound.left",'
    '"kind":"rebound","leg":"left","range_counted":null,"step_mm":null,"unit":"click"}],'
    '"answers":{"bottomed.front":"no"},"discipline":"naked","front_architecture":"coil","load_state":"solo",'
    '"readings":[{"approach":"as_is","end":"front","half_width":1.0,"leg":"","load_state":"","quantity":"stroke",'
    '"repeat":1,"value":120.0}],"rear_architecture":"linkage","schema":1,"tyre_size":{"front":"120/70-17"}}'
)


def test_a_case_stored_before_keeps_its_hash() -> None:
    case = case_from_json(json.loads(STORED))
    assert (case.leverage_table, case.settle_frames) == ((), {})
    assert json.dumps(case_to_json(case), sort_keys=True, separators=(",", ":")) == STORED
    assert input_hash(case) == hashlib.sha256(STORED.encode()).hexdigest()


def test_younger_fields_are_stored_where_told_and_change_the_hash() -> None:
    table, frames = ((0.0, 3.1), (130.0, 2.6)), {"rear": ((0.0, 1.0), (0.1, 2.0), (0.2, 1.5))}
    case = dataclasses.replace(BARE, leverage_table=table, settle_frames=frames)
    assert case_from_json(json.loads(json.dumps(case_to_json(case)))) == case
    assert len({input_hash(one) for one in (BARE, case, dataclasses.replace(BARE, leverage_table=table))}) == 3


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({"leverage_table": {}}, {("leverage_table", "not_a_list")}),
        ({"leverage_table": [[0, 3], [1]]}, {("leverage_table[1]", "wrong_type")}),
        ({"settle_frames": []}, {("settle_frames", "not_an_object")}),
        ({"settle_frames": {"rear": [["a", 1]]}}, {("settle_frames.rear[0]", "wrong_type")}),
        ({"leverage_tables": []}, {("leverage_tables", "unknown_field")}),
    ],
)
def test_stored_tables_of_another_shape_are_refused(changed: dict[str, Any], found: set[tuple[str, str]]) -> None:
    with pytest.raises(EngineInputError) as caught:
        case_from_json({**json.loads(STORED), **changed})
    assert {(fault.path, fault.reason) for fault in caught.value.faults} == found


# --- Units -------------------------------------------------------------------------------------------------


UREG = UnitRegistry()
#: Units whose id is not how pint writes them; counts are of no unit.
PINT = {
    "N.m": "N*m", "lbf.ft": "lbf*ft", "kgf.m": "kgf*m", "kgf/cm2": "kgf/cm**2", "lbf/in": "lbf/inch", "in": "inch",
    "mm2": "mm**2", "cm2": "cm**2", "in2": "inch**2", "cm3": "cm**3", "in3": "inch**3", "l": "liter", "1": "",
    "%": "percent", "deg": "degree", "K": "kelvin",
}  # fmt: skip


@pytest.mark.parametrize("one", [one for one in UNITS.values() if one.dimension != "count"], ids=lambda one: one.id)
def test_units_agree_with_pint(one: Unit) -> None:
    target = CANONICAL[one.dimension]
    wanted = UREG.Quantity(37.5, PINT.get(one.id, one.id)).to(PINT.get(target, target)).magnitude
    assert one.canonical(37.5) == pytest.approx(wanted, rel=1e-12)
    assert one.shown(one.canonical(37.5)) == pytest.approx(37.5, rel=1e-12)


def test_every_dimension_has_its_canonical_unit_first() -> None:
    for dimension, unit_id in CANONICAL.items():
        assert units_of(dimension)[0] == unit_id
        assert (UNITS[unit_id].factor, UNITS[unit_id].zero) == (1.0, 0.0)
    assert {quantity.dimension for quantity in QUANTITIES.values()} <= CANONICAL.keys()


@pytest.mark.parametrize("spec", QUANTITIES.values(), ids=lambda spec: spec.id)
def test_limits_hold_the_plausible_band(spec: Quantity) -> None:
    assert spec.low <= spec.plausible_low < spec.plausible_high <= spec.high
    assert 0 <= spec.half_width <= spec.high
    assert spec.id.islower()
    assert len(spec.id) <= 32  # as long as a stored reading's name may be


def test_temperatures_convert_by_their_zero_and_differences_do_not() -> None:
    # NIST SP 811, B.8: t/°C = (t/°F − 32)/1.8 = T/K − 273.15; the scales meet at −40.
    assert convert(-40, "degF", "degC") == pytest.approx(-40)
    assert convert(212, "degF", "K") == pytest.approx(373.15)
    assert convert(0, "K", "degF") == pytest.approx(-459.67)
    assert width_to_canonical(9, "degF") == pytest.approx(5)
    assert width_from_canonical(5, "degF") == pytest.approx(9)
    assert width_from_canonical(5, "K") == 5
