"""What is asked beyond one document: every fault under its own path, and bounds on what one answer takes."""

import copy
import json
from typing import Any

import pytest

from tests.engine.documents.wild import SHIPPED
from tuning.engine.asked import MOST_READINGS, MOST_ROUNDS, rounds_from_json, what_if_from_json, wishes_of
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import Wish, read_wish

BIKE: dict[str, Any] = json.loads((SHIPPED / "bike.json").read_text(encoding="utf-8"))


def reasons(asked: object, reads: Any) -> set[tuple[str, str]]:
    with pytest.raises(EngineInputError) as caught:
        reads(asked)
    return {(fault.path, fault.reason) for fault in caught.value.faults}


@pytest.mark.parametrize(
    ("text", "wish"),
    [
        ("front.preload_mm=+6", Wish("front.preload_mm", by=6.0)),
        ("front.preload_mm=-6", Wish("front.preload_mm", by=-6.0)),
        ("front.preload_mm=−6,5", Wish("front.preload_mm", by=-6.5)),
        ("front.preload_mm=6", Wish("front.preload_mm", to=6.0)),
        ("front.preload_mm=16", Wish("front.preload_mm", to=16.0)),
        (" rear.spring_rate = 95.5 ", Wish("rear.spring_rate", to=95.5)),
    ],
)
def test_a_sign_makes_a_difference(text: str, wish: Wish) -> None:
    assert read_wish(text) == wish


@pytest.mark.parametrize("number", ["x6", "", "+", "1e3", "6mm", "++6", "*6", "6\n7", "٣", "9" * 400, "nan", "inf"])
def test_what_is_no_number_is_no_wish(number: str) -> None:
    assert reasons([f"rider_mass={number}"], wishes_of) == {("set.rider_mass", "not_a_number")}


def test_every_wish_is_looked_at() -> None:
    told = ["front.preload_mm", "rider_mass=x", "rider_mass=+1", "rider_mass=+2"]
    assert reasons(told, wishes_of) == {
        ("set", "not_a_wish"),
        ("set.rider_mass", "not_a_number"),
        ("set.rider_mass", "told_twice"),
    }


def test_a_change_to_try() -> None:
    case, wishes = what_if_from_json({"document": BIKE, "set": {"front.preload_mm": "+6", "rear.spring_rate": 100}})
    assert case.discipline == "naked"
    assert wishes == (Wish("front.preload_mm", by=6.0), Wish("rear.spring_rate", to=100.0))


@pytest.mark.parametrize("number", [None, True, [], {}, float("nan"), float("inf"), 10**400])
def test_numbers_of_wishes_that_are_none(number: object) -> None:
    found = reasons({"document": BIKE, "set": {"rider_mass": number}}, what_if_from_json)
    assert found in ({("set.rider_mass", "not_a_number")}, {("set.rider_mass", "not_finite")})


def test_faults_of_both_sides_are_told_at_once() -> None:
    document = copy.deepcopy(BIKE)
    document["readings"][2]["unit"] = "kg"
    asked = {"document": document, "set": {"rider_mass": "x"}, "note": 1}
    assert reasons(asked, what_if_from_json) == {
        ("document.readings[2].unit", "unlike_dimensions"),
        ("set.rider_mass", "not_a_number"),
        ("note", "unknown_field"),
    }
    assert reasons({}, what_if_from_json) == {("document", "missing_field"), ("set", "missing_field")}
    assert reasons({"document": BIKE, "set": {}}, what_if_from_json) == {("set", "too_few")}
    many = {str(count): 1 for count in range(65)}
    assert reasons({"document": BIKE, "set": many}, what_if_from_json) == {("set", "too_many")}


@pytest.mark.parametrize("asked", [None, [], 3, "x", float("nan")])
def test_what_is_no_object_asks_nothing(asked: object) -> None:
    for reads in (what_if_from_json, rounds_from_json):
        assert reasons(asked, reads) == {("", "not_an_object")}


def test_faults_of_rounds_name_the_round() -> None:
    wrong = copy.deepcopy(BIKE)
    wrong["readings"][0]["value"] = -1
    found = reasons({"rounds": [BIKE, wrong, 7]}, rounds_from_json)
    assert found == {("rounds[1].readings[0].value", "below_physical_limit"), ("rounds[2]", "not_an_object")}
    assert reasons({"rounds": 3}, rounds_from_json) == {("rounds", "wrong_type")}


def test_a_fit_is_bounded() -> None:
    assert len(rounds_from_json({"rounds": [BIKE] * MOST_ROUNDS})) == MOST_ROUNDS
    assert reasons({"rounds": [BIKE] * (MOST_ROUNDS + 1)}, rounds_from_json) == {("rounds", "too_many")}
    long = copy.deepcopy(BIKE)
    row = {"quantity": "length_rider_aboard", "end": "rear", "value": 574, "unit": "mm"}
    long["readings"] += [row | {"repeat": count} for count in range(2, 90)]
    count = MOST_READINGS // len(long["readings"]) + 1
    assert reasons({"rounds": [long] * count}, rounds_from_json) == {("rounds", "too_many")}
