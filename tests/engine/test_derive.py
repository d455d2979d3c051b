"""Sag, rates and reserve worked by hand; invariances; and that nothing but EngineInputError comes out."""

import dataclasses
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derive import derive
from tuning.engine.errors import EngineInputError
from tuning.engine.quantities import APPROACHES, ENDS, QUANTITIES
from tuning.engine.serial import case_from_json, case_to_json, derivation_from_json, derivation_to_json
from tuning.engine.units import UNITS, from_canonical, to_canonical


def front(quantity: str, value: float, state: str = "", approach: str = "as_is") -> Reading:
    return Reading(quantity, value, 1.0, "front", load_state=state, approach=approach)


def case(*readings: Reading, **more: object) -> Case:
    return Case("road_sport", str(more.pop("front", "coil")), "linkage", readings, **more)  # type: ignore[arg-type]


def lengths(shift: float = 0.0, alone: float = 574.0, rider: float = 562.0) -> tuple[Reading, ...]:
    return (
        front("length_topped_out", 600 + shift, "bike_alone"),
        front("length_bike_alone", alone + shift, "bike_alone"),
        front("length_rider_aboard", rider + shift, "solo"),
    )


def test_friction_pair_gives_the_mean_and_half_the_difference() -> None:
    # Tape ±1: u² = (1 + 1/4 + 1/4)/3 = 0.5, u = 0.707 mm (JCGM 100:2008). One rectangle of ±1 and the triangle of the
    # pair's two halves: beyond h lies (2 − h)³/12, so 2.5 % a side lie beyond 2 − 0.3^(1/3) = 1.3306 mm (by hand).
    found = derive(
        case(
            front("length_topped_out", 600, "bike_alone"),
            front("length_rider_aboard", 560, "solo", "from_below"),
            front("length_rider_aboard", 566, "solo", "from_above"),
        )
    )
    sag = found.values["sag_rider_aboard.front"]
    assert sag.value == pytest.approx(37.0)
    assert sag.half_width == pytest.approx(2 - 0.3 ** (1 / 3), rel=0.01)
    assert found.values["friction_band.front"].value == pytest.approx(3.0)


def test_implied_fork_rate_by_scales_is_force_over_travel() -> None:
    scales = (
        Reading("scale_bike_alone", 100, 0.5, "front"),
        Reading("scale_rider_aboard", 130, 0.5, "front"),
        Reading("rake", 24, 0.1),
    )
    rate = derive(case(*lengths(alone=574, rider=556), *scales)).values["implied_fork_rate"]
    assert rate.status == "ok"
    assert rate.value == pytest.approx(30 * 9.80665 * 0.913545 / 18, rel=1e-5)


def test_topped_out_alone_makes_the_rate_an_upper_bound() -> None:
    rate = derive(case(*lengths(alone=600), Reading("rider_mass", 85, 1))).values["implied_fork_rate"]
    assert rate.status == "at_most"


def test_difference_within_resolution_states_no_rate() -> None:
    rate = derive(case(*lengths(alone=563), Reading("rider_mass", 85, 1))).values["implied_fork_rate"]
    assert (rate.status, rate.value) == ("cannot_state", None)


def test_a_load_that_the_scales_do_not_resolve_states_no_rate() -> None:
    scales = (Reading("scale_bike_alone", 100, 0.5, "front"), Reading("scale_rider_aboard", 99, 0.5, "front"))
    rate = derive(case(*lengths(alone=574, rider=556), *scales)).values["implied_fork_rate"]
    assert (rate.status, rate.value) == ("cannot_state", None)


@pytest.mark.parametrize("architecture", ["leading_link", "hub_centre", "sidecar"])
def test_architectures_outside_the_model_are_refused_by_name(architecture: str) -> None:
    found = derive(case(*lengths(), Reading("rider_mass", 85, 1), front=architecture)).values
    for key in ("implied_fork_rate", "ground_trail"):
        assert (found[key].status, found[key].params["reason"]) == ("refused", architecture)


def test_bottomed_reserve_is_censored() -> None:
    found = derive(case(front("stroke", 120), front("deepest_normal", 118))).values["reserve_normal.front"]
    assert (found.status, found.value) == ("at_most", 2.0)


def test_another_load_state_is_never_subtracted() -> None:
    readings = (front("length_topped_out", 600, "bike_alone"), front("length_rider_aboard", 560, "two_up"))
    assert "sag_rider_aboard.front" not in derive(case(*readings)).values


@given(st.floats(-300, 300))
def test_shifting_every_length_changes_no_sag(shift: float) -> None:
    one, other = derive(case(*lengths())).values, derive(case(*lengths(shift))).values
    for key in ("sag_bike_alone.front", "sag_rider_aboard.front"):
        assert other[key].value == pytest.approx(one[key].value, abs=1e-9)
        assert other[key].half_width == pytest.approx(one[key].half_width)


@given(st.sampled_from(sorted(one.id for one in UNITS.values() if not one.zero)), st.floats(-1e6, 1e6))
def test_units_there_and_back(unit: str, value: float) -> None:
    assert from_canonical(to_canonical(value, unit), unit) == pytest.approx(value, rel=1e-12, abs=1e-300)


READINGS = st.builds(
    Reading,
    st.sampled_from(sorted(QUANTITIES)),
    st.one_of(st.floats(20, 130), st.floats()),
    st.one_of(st.sampled_from([0.0, 0.5, 1.0]), st.floats()),
    st.sampled_from(["", *ENDS]),
    load_state=st.sampled_from(["", "bike_alone", "solo"]),
    approach=st.sampled_from(APPROACHES),
)
ADJUSTERS = st.builds(
    Adjuster,
    st.just("front.fork_position.left"),
    st.just("fork_position"),
    st.just("front"),
    st.just("mm"),
    st.just("left"),
    st.one_of(st.none(), st.floats()),
    st.floats(),
)


@given(st.lists(READINGS, max_size=12), st.lists(ADJUSTERS, max_size=1))
def test_nothing_but_an_input_error_comes_out(readings: list[Reading], adjusters: list[Adjuster]) -> None:
    sound = dataclasses.replace(case(*readings), adjusters=tuple(adjusters))
    try:
        derivation = derive(sound)
    except EngineInputError:
        return
    assert all(v.value is None or math.isfinite(v.value) for v in derivation.values.values())


def test_every_fault_is_listed_at_once() -> None:
    with pytest.raises(EngineInputError) as caught:
        derive(case(front("stroke", -5), Reading("colour", 1, 1)))
    assert {fault.path for fault in caught.value.faults} == {"readings[0].value", "readings[1].quantity"}


def test_json_there_and_back() -> None:
    made = case(*lengths(), Reading("rider_mass", 85, 1), answers={"bottomed.front": "no"})
    assert case_from_json(json.loads(json.dumps(case_to_json(made)))) == made
    derivation = derive(made)
    back = derivation_from_json(json.loads(json.dumps(derivation_to_json(derivation))))
    assert dict(back.values) == dict(derivation.values)
