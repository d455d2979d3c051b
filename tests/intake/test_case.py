"""From records to the engine's case: what carries over from round to round, and what does not."""

import pytest

from intake import case
from intake.choices import SettingKind
from intake.services import readings, requests
from tests.intake.rounds import advised, lengths, read, sent, started
from tuning.engine.derive import derive

pytestmark = pytest.mark.django_db


def values(case_, quantity):
    return [row.value for row in case_.readings if row.quantity == quantity]


@pytest.fixture
def second():
    first = sent()
    read(first, "stroke", "120", end="front")
    read(first, "rake", "24", "deg")
    read(first, "deepest_normal", "100", end="front")
    return first, requests.open_next_round(advised(first), [])


def test_standing_figures_and_the_riders_weight_carry_over(second):
    made = case.build_case(second[1])
    assert values(made, "stroke") == [120]
    assert values(made, "rake") == [24]
    assert values(made, "rider_mass") == [84]


def test_what_belongs_to_a_round_does_not(second):
    made = case.build_case(second[1])
    assert values(made, "length_topped_out") == []
    assert values(made, "deepest_normal") == []


def test_the_latest_figure_stands_and_the_round_before_keeps_its_own(second):
    first, later = second
    read(later, "stroke", "118", end="front")
    assert values(case.build_case(later), "stroke") == [118]
    assert values(case.build_case(first), "stroke") == [120]


def test_superseded_and_withdrawn_readings_are_left_out():
    round_ = started().round()
    read(round_, "stroke", "120", end="front")
    read(round_, "stroke", "118", end="front")
    read(round_, "rake", "24", "deg")
    readings.withdraw_reading(round_, quantity="rake")
    made = case.build_case(round_)
    assert values(made, "stroke") == [118]
    assert values(made, "rake") == []


def test_another_request_lends_nothing():
    read(started().round(), "stroke", "120", end="front")
    assert case.build_case(started().round()).readings == ()


def test_an_adjuster_stands_as_applied_before_as_found():
    round_ = started().round()
    adjuster = readings.put_adjuster(
        round_.request.bike, "rear.preload", unit="turn", counted_from="open", range_counted=14, step_mm=1.5
    )
    readings.record_setting(round_, adjuster, SettingKind.FOUND, text="4")
    readings.record_setting(round_, adjuster, SettingKind.RECOMMENDED, text="9")
    (made,) = case.build_case(round_).adjusters
    assert (made.key, made.kind, made.end, made.leg, made.found) == ("rear.preload", "preload", "rear", "", 4)
    assert (made.range_counted, made.counted_from, made.step_mm) == (14, "open", 1.5)
    readings.record_setting(round_, adjuster, SettingKind.APPLIED, text="6")
    assert case.build_case(round_).adjusters[0].found == 6


def test_an_adjuster_nobody_counted_is_there_without_a_place():
    round_ = started().round()
    readings.put_adjuster(round_.request.bike, "rear.rebound", unit="click")
    (made,) = case.build_case(round_).adjusters
    assert made.found is None


def test_the_load_is_the_one_the_lengths_were_read_with():
    round_ = started().round()
    assert case.build_case(round_).load_state == "solo"
    lengths(round_, state="two_up")
    assert case.build_case(round_).load_state == "two_up"


def test_lengths_told_without_their_load_still_make_a_sag():
    round_ = started().round()
    for quantity, text in (("length_topped_out", "130"), ("length_bike_alone", "105"), ("length_rider_aboard", "92")):
        read(round_, quantity, text, end="front")
    found = derive(case.build_case(round_)).values
    assert found["sag_rider_aboard.front"].value == pytest.approx(38)  # 130 − 92


def test_answers_carry_their_end_and_the_stop_gate_is_kept_apart():
    round_ = started().round()
    readings.answer(round_, "bottomed", "front", "yes")
    readings.answer(round_, "ride_hardness", "", "4")
    readings.answer(round_, "leak", "", "no")
    assert case.answers(round_) == {"bottomed.front": "yes", "ride_hardness": "4"}
    assert case.stop_answers(round_) == {"leak": "no"}


def test_the_stop_gate_is_a_rounds_own_and_the_oils_age_as_last_told(second):
    first, later = second
    readings.answer(first, "fluid_age", "", "older")
    readings.answer(later, "leak", "", "yes")
    assert case.stop_answers(first)["leak"] == "no"
    assert case.stop_answers(later) == {"leak": "yes"}  # a "no" of round 1 says nothing of the ride since
    assert case.answers(later)["fluid_age"] == "older"


@pytest.mark.parametrize(
    ("first_said", "then", "stands"),
    [("yes", "no", "no"), ("yes", "unsure", "yes"), ("yes", "", None), ("unsure", "no", "no"), ("no", "yes", "yes"),
     ("no", "unsure", "unsure"), ("unsure", "unsure", "unsure")],
)  # fmt: skip
def test_a_yes_is_lifted_by_a_no_alone(second, first_said, then, stands):
    first, later = second
    readings.answer(first, "leak", "", first_said)
    readings.answer(later, "leak", "", then)
    assert case.stop_answers(later).get("leak") == stands
    assert case.stops_before(later) == ({"leak"} if first_said == "yes" else set())
    assert case.stops_before(first) == set()


def test_an_unsure_in_between_does_not_lift_a_yes_for_the_rounds_after(second):
    first, later = second
    readings.answer(first, "leak", "", "yes")
    readings.answer(later, "leak", "", "unsure")
    third = first.request.rounds.create(number=3)
    assert case.stops_before(third) == {"leak"}
    assert case.stop_answers(third) == {}


def test_checks_cope_with_a_round_that_is_just_begun():
    assert {check.verdict for check in case.partial_checks(started().round())} <= {"passes", "second_look"}


def test_tyre_sizes_stand_where_they_were_told():
    request = started()
    requests.describe_bike(request, front_tyre="120/70 ZR17")
    assert case.build_case(request.round()).tyre_size == {"front": "120/70 ZR17"}


def test_a_case_costs_few_queries_however_many_readings(second, django_assert_num_queries):
    later = second[1]
    lengths(later)
    lengths(later, end="rear", length_topped_out="600", length_bike_alone="590", length_rider_aboard="570")
    round_ = type(later).objects.select_related("request__bike").get(pk=later.pk)
    # Readings, settings, adjusters, answers, and the oil's age of an earlier round.
    with django_assert_num_queries(5):
        case.build_case(round_)
