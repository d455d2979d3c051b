"""What a change would do, worked by hand on a bike of plain coils; and wishes that cannot be."""

import math

import pytest

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import read_wish
from tuning.engine.whatif import WhatIf, what_if


def bike(*more: Reading, **fields: object) -> Case:
    rows = [
        Reading("stroke", 120, 1, "front"),
        Reading("stroke", 130, 1, "rear"),
        Reading("spring_rate", 9.0, 0, "front"),
        Reading("spring_rate", 90.0, 0, "rear"),
        Reading("leverage", 2.0, 0, "rear"),
        Reading("rider_mass", 80, 1),
        Reading("bike_mass", 200, 3),
        Reading("wheelbase", 1410, 1),
        Reading("rake", 24, 0.1),
        Reading("ground_trail", 97, 1),
        Reading("wheel_radius", 298, 1, "front"),
        Reading("wheel_radius", 298, 1, "rear"),
    ]
    for end, alone, rider in (("front", 575, 562), ("rear", 590, 570)):
        for quantity, value in (
            ("length_topped_out", 600),
            ("length_bike_alone", alone),
            ("length_rider_aboard", rider),
        ):
            state = "solo" if quantity == "length_rider_aboard" else "bike_alone"
            rows.append(Reading(quantity, value, 1, end, load_state=state))
    return Case("road_sport", "coil", "linkage", (*rows, *more), **fields)  # type: ignore[arg-type]


def told(*wishes: str, case: Case | None = None) -> WhatIf:
    return what_if(case or bike(), [read_wish(text) for text in wishes])


def test_preload_moves_the_fork_by_itself_and_the_axle_by_the_leverage() -> None:
    # Hooke's law: a plain coil moves by what its seat moves; at the axle times the leverage of 2.
    found = told("front.preload_mm=+4", "rear.preload_mm=+3").difference
    assert found["sag_rider_aboard.front"].value == pytest.approx(-4)
    assert found["sag_rider_aboard.rear"].value == pytest.approx(-6)
    # What is changed is known to the last digit, though the sag itself is not.
    assert found["sag_rider_aboard.front"].half_width == pytest.approx(0, abs=1e-6)


def test_another_tyre_turns_the_bike_about_the_other_contact() -> None:
    # The front axle stands 5 mm higher on a wheelbase of 1410 mm: asin(5/1410) more rake, by hand.
    found = told("front.tyre_radius_mm=+5")
    turned = math.degrees(math.asin(5 / 1410))
    assert found.difference["rake_rider_aboard"].value == pytest.approx(turned, rel=0.02)
    assert found.difference["sag_rider_aboard.front"].value == pytest.approx(0)


def test_a_stiffer_spring_sinks_less_and_turns_no_wheel() -> None:
    found = told("front.spring_rate=10")
    assert found.difference["sag_rider_aboard.front"].value < 0
    assert found.difference["sag_rider_aboard.rear"].value == 0


def test_an_adjuster_is_moved_in_its_own_unit() -> None:
    case = bike(adjusters=(Adjuster("front.preload", "preload", "front", "turn", "", 4, 0, 15, "open", 1.5),))
    assert told("front.preload=6", case=case).difference["sag_rider_aboard.front"].value == pytest.approx(-3)
    with pytest.raises(EngineInputError) as caught:
        told("front.preload=16", case=case)
    assert caught.value.faults[0].reason == "out_of_range"


def test_without_lengths_it_says_what_is_missing() -> None:
    bare = Case("road_sport", "coil", "linkage", (Reading("rider_mass", 80, 1),))
    found = what_if(bare, [read_wish("front.preload_mm=+5")])
    assert set(found.missing) == {"front", "rear"}
    assert "length_topped_out.front" in found.missing["front"]


@pytest.mark.parametrize(
    ("wish", "reason"),
    [
        ("front.colour=3", "unknown_lever"),
        ("front.preload_mm=5", "present_place_unknown"),
        ("front.preload_mm=+500", "out_of_range"),
        ("front.spring_rate=0", "out_of_range"),
    ],
)
def test_wishes_that_cannot_be(wish: str, reason: str) -> None:
    with pytest.raises(EngineInputError) as caught:
        told(wish)
    assert caught.value.faults[0].reason == reason


def test_a_front_end_outside_the_model_is_refused_by_name() -> None:
    with pytest.raises(EngineInputError) as caught:
        what_if(Case("classic", "leading_link", "twin_shock", (Reading("rider_mass", 80, 1),)), [])
    assert (caught.value.faults[0].value, caught.value.faults[0].reason) == ("leading_link", "outside_the_model")
