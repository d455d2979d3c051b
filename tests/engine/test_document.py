"""The public document: what examples mean, every fault at once, and that only faults come out of what is none."""

import json
import math
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.engine.documents import EXAMPLES, JUNK, SOUND, example, mangled, spoilt
from tuning.engine.case import Case, Reading
from tuning.engine.document import parse_text, read_document, read_text, write_document
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.jsontext import MOST_CHARACTERS, MOST_DEEP
from tuning.engine.serial import case_from_json, case_to_json, input_hash
from tuning.engine.validate import require_sound

SLOW = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def small(**more: Any) -> dict[str, Any]:
    kinds = {"discipline": "naked", "front_architecture": "coil", "rear_architecture": "linkage"}
    return {"schema": 2, **kinds, "readings": [], **more}


def row(quantity: str, value: object, unit: str, **more: object) -> dict[str, object]:
    return {"quantity": quantity, "value": value, "unit": unit, **more}


def faults_of(document: object) -> tuple[Fault, ...]:
    with pytest.raises(EngineInputError) as caught:
        read_document(document)
    return caught.value.faults


def reasons(document: object) -> set[tuple[str, str]]:
    return {(fault.path, fault.reason) for fault in faults_of(document)}


def of(case: Case, quantity: str, end: str = "") -> Reading:
    return next(one for one in case.readings if (one.quantity, one.end) == (quantity, end))


# --- What is written is what is read ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "quantity", "end", "value", "half_width"),
    [
        # 4.72 × 25.4; the quantity's own 1 mm where no half-width is told.
        ("inches", "stroke", "front", 119.888, 1.0),
        ("inches", "length_topped_out", "front", 130.175, 1.5875),  # a sixteenth of an inch
        ("inches", "rider_mass", "", 83.91458845, 1.0),  # 185 × 0.45359237
        ("inches", "spring_rate", "front", 8.9314685976, 0.0),  # 51 × 4.4482216152605 N / 25.4 mm
        ("inches", "tyre_pressure", "front", 248.21126255, 5.0),  # 36 × 6.894757293 (NIST SP 811, B.8)
        ("inches", "temperature_ambient", "", 20.0, 2.0),  # (68 − 32)/1.8; a difference of 3.6/1.8
        ("inches", "altitude", "", 457_200.0, 30_480.0),  # 1500 ft and 100 ft of 304.8 mm
        ("air_fork", "air_pressure", "front", 1020.0, 10.0),
        ("air_fork", "air_area", "front", 450.0, 10.0),
        ("air_fork", "balance_area", "front", 387.096, 10.0),  # 0.6 × 645.16
        ("air_fork", "air_volume", "front", 210.0, 10.0),
        ("air_fork", "temperature_set", "", 20.0, 2.0),  # 293.15 − 273.15
        ("linkage", "spring_rate", "rear", 93.163175, 0.0),  # 9.5 × 9.80665
        ("linkage", "bike_front_share", "", 0.504, 0.01),
        ("linkage", "settle_period", "rear", 0.55, 0.033),
        ("linkage", "spring_preload", "rear", -2.0, 1.0),
    ],
)
def test_units_are_read_as_written(name: str, quantity: str, end: str, value: float, half_width: float) -> None:
    found = of(read_document(example(name)), quantity, end)
    assert found.value == pytest.approx(value, rel=1e-7)
    assert found.half_width == pytest.approx(half_width, rel=1e-9)


def test_what_is_left_out_has_its_usual_meaning() -> None:
    case = read_document(example("linkage"))
    states = [(one.quantity, one.load_state) for one in case.readings if one.quantity.startswith("length_")]
    assert states == [
        ("length_topped_out", "bike_alone"),
        ("length_bike_alone", "bike_alone"),
        ("length_rider_aboard", "two_up"),
        ("length_rider_aboard", "two_up"),
        ("length_rider_aboard", "solo"),
    ]
    assert read_document(small()).load_state == "solo"
    rebound, preload, position = read_document(example("inches")).adjusters
    assert (rebound.kind, rebound.end, rebound.leg, rebound.counted_from) == ("rebound", "front", "left", "closed")
    assert (preload.half_width, preload.step_mm, position.half_width) == (0.0, 1.0, 0.5)


def test_tables_come_in_their_unit() -> None:
    case = read_document(example("linkage"))
    assert case.leverage_table[1] == (31.75, 2.9)  # 1.25 in
    assert case.settle_frames["rear"][3] == (0.1, 822.0)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_examples_come_back_by_document_text_and_store(name: str) -> None:
    case = read_text(EXAMPLES[name].read_bytes())
    assert read_document(json.loads(json.dumps(write_document(case)))) == case
    assert case_from_json(json.loads(json.dumps(case_to_json(case)))) == case
    require_sound(case)


@SLOW
@given(SOUND)
def test_sound_documents_are_read_and_come_back(document: dict[str, Any]) -> None:
    case = read_document(document)
    require_sound(case)
    assert read_document(write_document(case)) == case
    assert case_from_json(json.loads(json.dumps(case_to_json(case)))) == case


# --- Every fault at once ------------------------------------------------------------------------------------------


def test_shape_and_content_are_told_in_one_pass() -> None:
    document = small(
        schema=1,
        colour="red",
        load_state=7,
        readings=[
            row("stroke", 4.72, "in", end="front"),
            row("stroke", 400, "in", end="front"),
            row("rake", True, "mm", vlaue=3),
            row("girth", 1e999, "ell", end=None),
            row("wheel_radius", 300, "mm", leg="left", repeat=0, approach="sideways", half_width=-1),
            {"value": 3},
            "stroke",
        ],
        adjusters=[
            {"key": "front.rebound", "unit": "click", "found": "12"},
            {"key": "front.rebound", "unit": "ell", "range_counted": 0, "step_mm": 51, "half_width": 501},
            {"key": "middle.rebound", "unit": "click"},
        ],
        answers={"bottomed": "no", "bottomed.front": "perhaps", "mood": "good", "alone": 1},
        tyre_size={"middle": "120/70-17", "rear": "\ud800"},
        leverage_table={"unit": "kg", "rows": [[0, 3], [20, 3], [10, 9], [30]]},
        settle_frames={"front": {"rows": [[0, 0]]}, "middle": {"unit": "mm", "rows": [[0, 0], [1, 1], [2, 9e9]]}},
    )
    del document["discipline"]
    assert reasons(document) == {
        ("schema", "unknown_schema"),
        ("colour", "unknown_field"),
        ("load_state", "wrong_type"),
        ("discipline", "missing_field"),
        ("readings[1].value", "above_physical_limit"),
        ("readings[1]", "read_twice"),
        ("readings[2].value", "wrong_type"),
        ("readings[2].unit", "unlike_dimensions"),
        ("readings[2].vlaue", "unknown_field"),
        ("readings[3].quantity", "unknown_quantity"),
        ("readings[3].value", "not_finite"),
        ("readings[3].unit", "unknown_unit"),
        ("readings[3].end", "wrong_type"),
        ("readings[4].end", "unknown_end"),
        ("readings[4].leg", "unknown_leg"),
        ("readings[4].repeat", "unknown_repeat"),
        ("readings[4].approach", "unknown_approach"),
        ("readings[4].half_width", "not_a_half_width"),
        ("readings[5].quantity", "missing_field"),
        ("readings[5].unit", "missing_field"),
        ("readings[6]", "not_an_object"),
        ("adjusters[0].found", "wrong_type"),
        ("adjusters[1].key", "told_twice"),
        ("adjusters[1].unit", "unknown_unit"),
        ("adjusters[1].range_counted", "not_a_range"),
        ("adjusters[1].step_mm", "not_a_step"),
        ("adjusters[1].half_width", "not_a_half_width"),
        ("adjusters[2].key", "unknown_adjuster"),
        ("answers.bottomed", "unknown_end"),
        ("answers.bottomed.front", "unknown_answer"),
        ("answers.mood", "unknown_question"),
        ("answers.alone", "wrong_type"),
        ("tyre_size.middle", "unknown_end"),
        ("tyre_size.rear", "unreadable_text"),
        ("leverage_table.unit", "unlike_dimensions"),
        ("leverage_table.rows[2][0]", "not_rising"),
        ("leverage_table.rows[2][1]", "above_physical_limit"),
        ("leverage_table.rows[3]", "wrong_type"),
        ("settle_frames.front.unit", "missing_field"),
        ("settle_frames.front.rows", "too_few"),
        ("settle_frames.middle", "unknown_end"),
        ("settle_frames.middle.rows[2][1]", "above_physical_limit"),
    }


def test_no_path_and_reason_is_told_twice() -> None:
    found = faults_of(small(discipline=1, readings=[row("stroke", "x", "kg", end=3)]))
    assert len({(fault.path, fault.reason) for fault in found}) == len(found) == 4


def test_a_value_outside_is_told_with_limits_in_the_unit_it_was_given_in() -> None:
    (fault,) = faults_of(small(readings=[row("stroke", 16, "in", end="front")]))
    assert (fault.path, fault.value, fault.reason) == ("readings[0].value", 16, "above_physical_limit")
    # 20 mm and 400 mm over 25.4.
    assert fault.params["low"] == pytest.approx(0.787402, rel=1e-6)
    assert fault.params["high"] == pytest.approx(15.748031, rel=1e-6)
    assert fault.params["unit"] == "in"
    (fault,) = faults_of(small(readings=[row("temperature_set", -41, "degF")]))
    assert (fault.reason, fault.params) == ("below_physical_limit", {"low": -40.0, "high": 140.0, "unit": "degF"})


def test_a_wrong_unit_is_told_with_those_that_fit() -> None:
    found = faults_of(small(readings=[row("rider_mass", 80, "mm"), row("rake", 24, "rad")]))
    assert [(fault.path, fault.value, fault.reason, fault.params["known"]) for fault in found] == [
        ("readings[0].unit", "mm", "unlike_dimensions", ("kg", "lb")),
        ("readings[1].unit", "rad", "unknown_unit", ("deg",)),
    ]


@pytest.mark.parametrize(
    ("readings", "path", "reason"),
    [
        ([row("spring_rate_second", 9, "N/mm", end="front")], "readings[0].value", "incomplete"),
        ([row("spring_crossover", 80, "mm", end="rear")], "readings[0].value", "incomplete"),
        # 100 mm × cos 24° = 91.35 mm; 96 lies beyond half-widths and rounding.
        (
            [row("rake", 24, "deg"), row("normal_trail", 96, "mm"), row("ground_trail", 100, "mm")],
            "readings[1].value",
            "trails_contradict",
        ),
        ([row("ground_trail", 100, "mm"), row("normal_trail", 4.1, "in")], "readings[1].value", "trails_contradict"),
        (
            [row("settle_second", 20, "mm", end="front"), row("settle_first", 10, "mm", end="front")],
            "readings[0].value",
            "overshoot_grows",
        ),
    ],
)
def test_contradictions(readings: list[dict[str, object]], path: str, reason: str) -> None:
    (fault,) = faults_of(small(readings=readings))
    assert (fault.path, fault.reason) == (path, reason)
    assert {"low", "high", "unit"} <= fault.params.keys()
    assert fault.params["unit"] == readings[int(path[9])]["unit"]


@pytest.mark.parametrize(
    "readings",
    [
        [row("rake", 24, "deg"), row("normal_trail", 91.4, "mm"), row("ground_trail", 100, "mm")],
        [row("ground_trail", 100, "mm"), row("normal_trail", 91.4, "mm")],
        [row("normal_trail", 91.4, "mm")],
        [row("spring_rate_second", 9, "N/mm", end="front"), row("spring_crossover", 80, "mm", end="front")],
        [row("settle_first", 10, "mm", end="front"), row("settle_second", 11, "mm", end="front")],
        [row("settle_first", 10, "mm", end="front"), row("settle_second", 20, "mm", end="rear")],
    ],
)
def test_no_contradiction(readings: list[dict[str, object]]) -> None:
    read_document(small(readings=readings))


@pytest.mark.parametrize(
    "number",
    [float("nan"), float("inf"), -float("inf"), 10**400, -(10**5000)],
    ids=["nan", "inf", "-inf", "huge", "-huge"],
)
def test_numbers_no_double_holds_are_told_wherever_they_stand(number: float) -> None:
    document = small(
        readings=[row("stroke", number, "mm", end="front", half_width=number)],
        adjusters=[{"key": "front.preload", "unit": "turn", "found": number, "range_counted": number}],
        leverage_table={"unit": "mm", "rows": [[0, number], [number, 3]]},
    )
    assert reasons(document) == {
        ("readings[0].value", "not_finite"),
        ("readings[0].half_width", "not_a_half_width"),
        ("adjusters[0].found", "not_finite"),
        ("adjusters[0].range_counted", "not_finite"),
        ("leverage_table.rows[0][1]", "not_finite"),
        ("leverage_table.rows[1][0]", "not_finite"),
    }


@pytest.mark.parametrize("document", [None, [], "x", 2, math.nan, b"{}", object()])
def test_what_is_no_object_is_no_document(document: object) -> None:
    assert reasons(document) == {("", "not_an_object")}


def test_lists_and_objects_too_long_are_not_looked_into() -> None:
    many = [row("rake", 900, "deg")] * 401
    assert reasons(small(readings=many)) == {("readings", "too_many")}
    assert reasons(small(answers=dict.fromkeys(map(str, range(65)), "x"))) == {("answers", "too_many")}
    assert reasons(dict.fromkeys(map(str, range(65)))) == {("", "too_many")}
    table = {"unit": "mm", "rows": [[0, 0]] * 2001}
    assert reasons(small(leverage_table=table)) == {("leverage_table.rows", "too_many")}


def test_faults_are_short_and_can_be_printed() -> None:
    deep: Any = []
    for _ in range(5000):
        deep = [deep]
    found = faults_of(small(**{"x" * 10_000: deep}, discipline="\udcff" * 999, readings=[{"value": {"a": deep}}]))
    assert all(len(str(fault)) < 1000 for fault in found)
    "; ".join(map(str, found)).encode()


@pytest.mark.slow
@SLOW
@given(spoilt())
def test_a_spoilt_document_is_a_case_or_is_refused(document: object) -> None:
    try:
        case = read_document(document)
    except EngineInputError as error:
        str(error).encode()
        return
    require_sound(case)
    input_hash(case)


@pytest.mark.slow
@SLOW
@given(st.randoms(use_true_random=False))
def test_thousands_of_mangled_examples_are_cases_or_are_refused(random: Random) -> None:
    for _ in range(25):
        document = mangled(random)
        try:
            input_hash(read_document(document))
        except EngineInputError as error:
            str(error).encode()


@SLOW
@given(JUNK)
def test_junk_is_refused(document: object) -> None:
    assert faults_of(document)


# --- Texts --------------------------------------------------------------------------------------------------------


def text_faults(text: str | bytes) -> list[tuple[str, str, object, object]]:
    with pytest.raises(EngineInputError) as caught:
        parse_text(text)
    return [(one.path, one.reason, one.params.get("line"), one.params.get("column")) for one in caught.value.faults]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", ("not_json", 1, 1)),
        ('{"a":', ("not_json", 1, 6)),
        ("{'a': 1}", ("not_json", 1, 2)),
        ('{"a": 1,\n "b": 2,}', ("not_json", 2, 9)),
        ("[1] [2]", ("not_json", 1, 5)),
        (b'{"a":\n "\xff"}', ("not_utf8", 2, 3)),
        ("[\n" + "[" * 50, ("too_deep", 2, MOST_DEEP)),
        ("[" * 200_000, ("too_deep", 1, MOST_DEEP + 1)),
        ('"' + "a" * 200_000, ("not_json", 1, 1)),
        (" " * (MOST_CHARACTERS + 1), ("too_long", None, None)),
    ],
)
def test_texts_that_say_nothing(text: str | bytes, found: tuple[object, ...]) -> None:
    assert text_faults(text) == [("", *found)]


def test_every_name_told_twice_is_found_with_its_place() -> None:
    text = '{"a": [{"b": "}", "c": 1,\n "\\u0062": 2}, {"b": ","}], "b": 0,\n  "a": {"a": "\\"a\\":"}}'
    assert text_faults(text) == [("a[0].b", "told_twice", 2, 2), ("a", "told_twice", 3, 3)]


def test_names_told_twice_are_told_with_all_other_faults() -> None:
    with pytest.raises(EngineInputError) as caught:
        read_text('{"schema": 2, "schema": 2, "discipline": "x"}')
    assert [(one.path, one.reason) for one in caught.value.faults] == [
        ("schema", "told_twice"),
        ("front_architecture", "missing_field"),
        ("rear_architecture", "missing_field"),
        ("readings", "missing_field"),
        ("discipline", "unknown_discipline"),
    ]


def test_numbers_beyond_json_are_refused_where_they_stand() -> None:
    rows = ", ".join(
        f'{{"quantity": "rake", "unit": "deg", "repeat": {index + 1}, "value": {number}}}'
        for index, number in enumerate(("NaN", "-Infinity", "1e999", "9" * 5000))
    )
    with pytest.raises(EngineInputError) as caught:
        read_text(json.dumps(small()).replace("[]", f"[{rows}]"))
    assert [(one.path, one.reason) for one in caught.value.faults] == [
        (f"readings[{index}].value", "not_finite") for index in range(4)
    ]


def test_a_byte_order_mark_is_passed_over() -> None:
    assert parse_text(b'\xef\xbb\xbf{"a": 1}') == {"a": 1}


@given(st.one_of(st.text(), st.text(alphabet='{}[]",:\\ \n1ae.-')))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        found = parse_text(text)
    except EngineInputError:
        return
    # By their texts, in which NaN is like itself.
    assert json.dumps(found) == json.dumps(json.loads(text))
