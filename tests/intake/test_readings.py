"""Readings and settings are added, never changed; what the vocabulary does not know is refused."""

import pytest

from intake import case, typed
from intake.choices import SettingKind
from intake.models import Answer, Reading, Setting
from intake.models.readings import Immutable
from intake.services import readings
from intake.services.readings import NotRecordable
from intake.typed import NotANumber
from tests.intake.rounds import lengths, read, started
from tuning.engine.quantities import QUANTITIES
from tuning.engine.units import CANONICAL
from tuning.engine.validate import require_sound

pytestmark = pytest.mark.django_db


@pytest.fixture
def round_():
    return started().round()


def test_text_unit_and_canonical_value_are_kept_side_by_side(round_):
    row = read(round_, "stroke", "4 3/4", "in", end="front", method="tape")
    assert (row.text, row.unit) == ("4 3/4", "in")
    assert row.value == pytest.approx(120.65)  # 4.75 × 25.4
    # A quarter is two eighths written short: half of an eighth, 25.4/16, coarser than the tape's 1 mm.
    assert row.half_width == pytest.approx(1.5875)


def test_a_correction_supersedes_and_the_old_row_stays(round_):
    old = read(round_, "stroke", "120", end="front")
    new = read(round_, "stroke", "118", end="front")
    old.refresh_from_db()
    assert (old.is_current, old.superseded_by_id, old.text) == (False, new.pk, "120")
    assert new.is_current


def test_the_same_again_is_no_new_row(round_):
    first = read(round_, "stroke", "120", end="front", method="rule")
    assert read(round_, "stroke", "120", end="front", method="rule").pk == first.pk
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("changed", [{"unit": "in"}, {"method": "caliper"}])
def test_the_same_text_in_another_unit_or_by_another_tool_is_another_reading(round_, changed):
    read(round_, "stroke", "12", "cm", end="front", method="rule")
    readings.record_reading(
        round_, **({"quantity": "stroke", "end": "front", "text": "12", "unit": "cm", "method": "rule"} | changed)
    )
    assert [row.is_current for row in Reading.objects.order_by("pk")] == [False, True]


def test_unlike_keys_stand_beside_each_other(round_):
    for of in (
        {"end": "front"},
        {"end": "rear"},
        {"end": "front", "approach": "from_below"},
        {"end": "front", "approach": "from_above"},
        {"end": "front", "repeat": 2},
    ):
        read(round_, "length_rider_aboard", "92", load_state="solo", **of)
    read(round_, "length_rider_aboard", "88", load_state="two_up", end="front")
    assert Reading.objects.filter(is_current=True).count() == 6


def test_a_reading_taken_back_stays_on_record_and_can_be_read_again(round_):
    read(round_, "stroke", "120", end="front")
    readings.withdraw_reading(round_, quantity="stroke", end="front")
    assert not Reading.objects.filter(is_current=True).exists()
    assert Reading.objects.count() == 1
    read(round_, "stroke", "120", end="front")
    assert Reading.objects.filter(is_current=True).count() == 1


def test_a_reading_cannot_be_changed(round_):
    row = read(round_, "stroke", "120", end="front")
    row.value = 99.0
    for how in ({}, {"update_fields": ["value"]}):
        with pytest.raises(Immutable):
            row.save(**how)
    row.refresh_from_db()
    assert row.value == 120


def test_text_that_is_no_number_leaves_what_was_there(round_):
    read(round_, "stroke", "120", end="front")
    with pytest.raises(NotANumber):
        read(round_, "stroke", "a hand", end="front")
    assert Reading.objects.get(is_current=True).text == "120"


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"quantity": "torque"}, "unknown_quantity"),
        ({"end": "middle"}, "unknown_end"),
        ({"end": ""}, "unknown_end"),
        ({"quantity": "rider_mass", "end": "front"}, "unknown_end"),
        ({"leg": "left"}, "unknown_leg"),
        ({"text": "1200"}, "out_of_limits"),
        ({"load_state": "three_up"}, "unknown_load_state"),
        ({"approach": "sideways"}, "unknown_approach"),
        ({"method": "guess"}, "unknown_method"),
        ({"repeat": 0}, "unknown_repeat"),
    ],
)
def test_what_the_vocabulary_does_not_know_is_refused(round_, given, reason):
    of = {"quantity": "stroke", "end": "front", "text": "120", "unit": "mm"}
    with pytest.raises(NotRecordable) as refused:
        readings.record_reading(round_, **(of | given))
    assert refused.value.reason == reason
    assert not Reading.objects.exists()


def test_a_tools_half_width_is_of_its_own_dimension(round_):
    # A tape says nothing about a pressure: the quantity's usual 5 kPa stands, or the typed digit's where coarser.
    assert read(round_, "tyre_pressure", "2.50", "bar", end="front", method="tape").half_width == 5.0
    assert read(round_, "rake", "24.0", "deg", method="tape").half_width == pytest.approx(0.1)
    assert read(round_, "rider_mass", "84.0", "kg", method="scale").half_width == 0.5


def test_lengths_without_a_load_state_get_the_one_that_is_meant(round_):
    assert read(round_, "length_topped_out", "130", end="front").load_state == "bike_alone"
    assert read(round_, "length_bike_alone", "105", end="front").load_state == "bike_alone"
    assert read(round_, "length_rider_aboard", "92", end="front").load_state == "solo"
    read(round_, "length_rider_aboard", "80", end="rear", load_state="two_up")
    readings.withdraw_reading(round_, quantity="length_rider_aboard", end="front", load_state="solo")
    assert read(round_, "length_rider_aboard", "88", end="front").load_state == "two_up"


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_whatever_can_be_recorded_can_be_derived_from(round_, quantity):
    spec = QUANTITIES[quantity]
    unit = CANONICAL[spec.dimension]
    end = "front" if spec.per_end else ""
    for edge in (spec.low, spec.high):
        read(round_, quantity, f"{edge:.10g}", unit, end=end)
        require_sound(case.build_case(round_))


def test_a_coarse_unit_still_makes_a_sound_reading(round_):
    read(round_, "deepest_normal", "0 m", end="front")
    require_sound(case.build_case(round_))


# --- Adjusters and settings ---------------------------------------------------------------------------------------


@pytest.fixture
def rebound(round_):
    return readings.put_adjuster(round_.request.bike, "front.rebound.left", unit="click", range_counted=22)


def test_an_adjuster_is_put_once_and_corrected_after(round_, rebound):
    again = readings.put_adjuster(round_.request.bike, "front.rebound.left", unit="click", range_counted=20)
    assert (again.pk, again.kind, again.end, again.leg) == (rebound.pk, "rebound", "front", "left")
    assert again.range_counted == 20


@pytest.mark.parametrize(
    ("key", "given", "reason"),
    [
        ("front.magic", {}, "unknown_adjuster"),
        ("middle.rebound", {}, "unknown_adjuster"),
        ("front.rebound.third", {}, "unknown_adjuster"),
        ("front", {}, "unknown_adjuster"),
        ("front.rebound", {"unit": "mile"}, "unknown_unit"),
        ("front.rebound", {"counted_from": "middle"}, "unknown_direction"),
        ("front.rebound", {"range_counted": 0}, "not_a_range"),
        ("front.rebound", {"range_counted": -3}, "not_a_range"),
        ("front.preload", {"step_mm": 0}, "not_a_step"),
    ],
)
def test_an_adjuster_that_cannot_be_is_refused(round_, key, given, reason):
    with pytest.raises(NotRecordable) as refused:
        readings.put_adjuster(round_.request.bike, key, **({"unit": "click"} | given))
    assert refused.value.reason == reason


def test_found_recommended_and_applied_stand_beside_each_other(round_, rebound):
    for kind, text in (("found", "12"), ("recommended", "9"), ("applied", "10 clicks")):
        readings.record_setting(round_, rebound, kind, text=text)
    assert {row.kind: row.value for row in Setting.objects.all()} == {"found": 12, "recommended": 9, "applied": 10}


def test_a_setting_corrected_supersedes_and_the_same_again_does_not(round_, rebound):
    old = readings.record_setting(round_, rebound, SettingKind.FOUND, text="12")
    assert readings.record_setting(round_, rebound, SettingKind.FOUND, text="12").pk == old.pk
    new = readings.record_setting(round_, rebound, SettingKind.FOUND, text="13")
    old.refresh_from_db()
    assert (old.is_current, old.superseded_by_id) == (False, new.pk)


def test_turns_typed_for_an_adjuster_of_clicks_are_refused(round_, rebound):
    with pytest.raises(NotANumber):
        readings.record_setting(round_, rebound, SettingKind.FOUND, text="3 turns")


@pytest.mark.parametrize("text", ["3 steps", "3 %", "3 mm", "3 years"])
def test_nothing_but_clicks_is_taken_for_clicks(round_, rebound, text):
    with pytest.raises(NotANumber) as refused:
        readings.record_setting(round_, rebound, SettingKind.FOUND, text=text)
    assert refused.value.reason == "unlike_unit"


def test_a_range_may_be_told_in_any_count():
    assert typed.parse("22 clicks", "count", "1").canonical == 22
    assert typed.parse("22", "count", "1").canonical == 22


def test_an_unknown_unit_to_fall_back_on_is_told_like_any_other():
    with pytest.raises(NotANumber) as refused:
        typed.parse("3", "length", "furlong")
    assert refused.value.reason == "unknown_unit"


def test_a_length_is_kept_in_millimetres(round_):
    position = readings.put_adjuster(round_.request.bike, "front.fork_position.left", unit="mm")
    assert readings.record_setting(round_, position, SettingKind.FOUND, text="1/4 in").value == pytest.approx(6.35)


def test_a_mode_is_a_word(round_):
    mode = readings.put_adjuster(round_.request.bike, "rear.mode", unit="mode")
    row = readings.record_setting(round_, mode, SettingKind.FOUND, text="Touring 2")
    assert (row.value, row.mode) == (None, "Touring 2")


def test_a_count_beyond_all_adjusters_is_refused(round_, rebound):
    with pytest.raises(NotRecordable) as refused:
        readings.record_setting(round_, rebound, SettingKind.FOUND, text="999999")
    assert refused.value.reason == "out_of_limits"


def test_a_setting_taken_back_stays_on_record(round_, rebound):
    readings.record_setting(round_, rebound, SettingKind.FOUND, text="12")
    readings.withdraw_setting(round_, rebound, SettingKind.FOUND)
    assert Setting.objects.get().is_current is False


# --- Answers and symptoms -----------------------------------------------------------------------------------------


def test_an_answer_is_replaced_and_taken_back(round_):
    readings.answer(round_, "bottomed", "front", "no")
    readings.answer(round_, "bottomed", "front", "yes")
    assert Answer.objects.get().value == "yes"
    readings.answer(round_, "bottomed", "front", "")
    assert not Answer.objects.exists()


@pytest.mark.parametrize(
    ("question", "end", "value", "reason"),
    [
        ("colour", "", "red", "unknown_question"),
        ("bottomed", "", "yes", "unknown_end"),
        ("leak", "front", "yes", "unknown_end"),
        ("bottomed", "front", "perhaps", "unknown_answer"),
        ("leak", "", "older", "unknown_answer"),
    ],
)
def test_an_answer_outside_the_vocabulary_is_refused(round_, question, end, value, reason):
    with pytest.raises(NotRecordable) as refused:
        readings.answer(round_, question, end, value)
    assert refused.value.reason == reason
    assert not Answer.objects.exists()


def test_symptoms_are_set_as_a_whole(round_):
    readings.put_symptoms(round_, [("brake_dive", "front", 3, ""), ("pogo", "rear", 1, "")])
    readings.put_symptoms(round_, [("pogo", "rear", 2, "better")])
    (row,) = case.symptoms(round_)
    assert (row.symptom, row.end, row.severity, row.change) == ("pogo", "rear", 2, "better")


def test_a_symptom_outside_the_vocabulary_leaves_the_others(round_):
    readings.put_symptoms(round_, [("pogo", "rear", 1, "")])
    for wrong in (("sings", "", 1, ""), ("pogo", "middle", 1, ""), ("pogo", "", 4, ""), ("pogo", "", 1, "louder")):
        with pytest.raises(NotRecordable):
            readings.put_symptoms(round_, [wrong])
    assert [row.symptom for row in case.symptoms(round_)] == ["pogo"]


def test_lengths_in_the_shared_helper_are_a_sound_case(round_):
    lengths(round_)
    require_sound(case.build_case(round_))
