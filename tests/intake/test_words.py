"""Every id has words, and a check says in the reader's units what to take again."""

import pytest
from django.utils.translation import override

from intake import words
from intake.choices import SINCE
from intake.doubts import DOUBT_IDS, TOOLS
from intake.presentation import UnitPrefs
from intake.typed import NotANumber
from tests.engine.test_checks import clicks, loaded, springs, weighed
from tuning.engine.case import ADJUSTER_KINDS, ADJUSTER_UNITS, Adjuster, Case, Reading
from tuning.engine.checks import CHECK_IDS, check
from tuning.engine.derivation import Check
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES
from tuning.engine.vocabulary import ANSWERS, STOP_QUESTIONS, SYMPTOM_IDS, YES_NO

METRIC, IMPERIAL = UnitPrefs.metric(), UnitPrefs.imperial()
VALUES = {value for values in ANSWERS.values() for value in values} | set(YES_NO) | set(SINCE)


@pytest.mark.parametrize(
    ("table", "ids"),
    [
        (words.QUANTITY_NAMES, QUANTITIES),
        (words.KIND_NAMES, ADJUSTER_KINDS),
        (words.STOP_QUESTIONS, STOP_QUESTIONS),
        (words.STOP_REASONS, STOP_QUESTIONS),
        (words.SYMPTOM_NAMES, SYMPTOM_IDS),
        (words.QUESTION_NAMES, ANSWERS),
        (words.ANSWER_NAMES, VALUES),
        (words.CHECK_TEXTS, (*CHECK_IDS, *DOUBT_IDS)),
        (words.CHECK_NAMES, (*CHECK_IDS, *DOUBT_IDS)),
        (words.TOOLS, TOOLS),
        (words.LOADS, LOAD_STATES),
        (words.APPROACHES, APPROACHES),
    ],
)
def test_the_words_are_complete_and_name_nothing_that_is_not_there(table, ids):
    assert set(table) == set(ids)


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_a_quantity_is_named_with_its_end(quantity):
    spec = QUANTITIES[quantity]
    for end in ENDS if spec.per_end else ("",):
        name = words.quantity_name(quantity, end)
        assert name[:1].isupper()
        assert "_" not in name
        assert (end in name.lower()) if end else name


def test_an_adjuster_is_named_with_end_and_leg():
    assert words.adjuster_name("front.rebound.left") == "Front rebound damping, left leg"
    assert words.adjuster_name("rear.preload") == "Rear preload"
    for kind in ADJUSTER_KINDS:
        for end in ENDS:
            for leg in ("", *LEGS):
                assert "_" not in words.adjuster_name(".".join(part for part in (end, kind, leg) if part))


def test_the_ambiguous_static_sag_is_nowhere():
    tables = (words.QUANTITY_NAMES, words.CHECK_TEXTS, words.CHECK_NAMES, words.STOP_QUESTIONS)
    assert not any("static sag" in str(text).lower() for table in tables for text in table.values())


@pytest.mark.parametrize("unit", ADJUSTER_UNITS)
def test_a_setting_says_how_it_was_counted(unit):
    text = words.setting_text("rebound", 12.0, unit, "closed", METRIC, mode="Sport" if unit == "mode" else "")
    assert text
    assert ("out from fully closed" in text) == (unit in {"click", "turn"})


# --- Checks -------------------------------------------------------------------------------------------------------


def reading(quantity, value, end="", load_state="", approach="as_is"):
    return Reading(quantity, value, 1.0, end=end, load_state=load_state, approach=approach)


def bad_case() -> Case:
    """Return a case at which every check that can fail fails, front end."""
    return Case(
        discipline="road_sport",
        front_architecture="coil",
        rear_architecture="linkage",
        readings=(
            reading("length_topped_out", 130, "front", "bike_alone"),
            reading("length_bike_alone", 150, "front", "bike_alone"),
            reading("length_bike_alone", 130, "front", "bike_alone", "from_below"),
            reading("length_bike_alone", 170, "front", "bike_alone", "from_above"),
            reading("length_rider_aboard", 160, "front", "solo"),
            reading("length_topped_out", 600, "rear", "bike_alone"),
            reading("length_bike_alone", 599, "rear", "bike_alone"),
            reading("length_rider_aboard", 450, "rear", "solo"),
            reading("stroke", 120, "rear"),
            reading("deepest_normal", 140, "rear"),
            reading("deepest_hardest", 100, "rear"),
            reading("rider_mass", 84),
            reading("bike_mass", 200),
            reading("gross_mass_limit", 250),
            reading("scale_bike_alone", 150, "front"),
            reading("scale_bike_alone", 150, "rear"),
            reading("tyre_pressure", 150, "front"),
            reading("tyre_pressure_manual", 250, "front"),
            reading("tyre_age", 12, "front"),
        ),
        adjusters=(
            Adjuster("front.rebound.left", "rebound", "front", "click", "left", found=30, range_counted=22),
            Adjuster("front.fork_position.left", "fork_position", "front", "mm", "left", found=5),
            Adjuster("front.fork_position.right", "fork_position", "front", "mm", "right", found=8),
        ),
    )


def all_checks() -> tuple[Check, ...]:
    spare = Case("road_sport", "coil", "linkage", ())
    steep = Case(
        "road_sport",
        "coil",
        "linkage",
        (
            reading("length_topped_out", 600, "rear", "bike_alone"),
            reading("length_bike_alone", 590, "rear", "bike_alone"),
            reading("length_rider_aboard", 587.5, "rear", "solo"),
            reading("rider_mass", 150),
            reading("bike_mass", 200),
        ),
    )
    # Two springs of 4 N/mm: the rider's 42 kg on the front let them sag some 45 mm more, and 10 mm were read.
    stiff = Case(
        "road_sport",
        "coil",
        "linkage",
        (
            reading("length_topped_out", 600, "front", "bike_alone"),
            reading("length_bike_alone", 560, "front", "bike_alone"),
            reading("length_rider_aboard", 550, "front", "solo"),
            reading("stroke", 120, "front"),
            reading("spring_rate", 4, "front"),
            reading("rider_mass", 100),
            reading("bike_mass", 200),
        ),
    )
    # Worked in tests/engine/test_checks.py: an enduro's ends exchanged, one end's lengths told for both, unlike legs.
    unlike = loaded("enduro", 100, 30)
    twice = Case("road_sport", "coil", "linkage", loaded("road_sport", 20, 20).readings + springs(9, 5).readings)
    return tuple(
        row
        for case in (bad_case(), spare, steep, stiff, unlike, twice, weighed(60), clicks(10, 14))
        for row in check(case)
    )


def test_each_failed_check_reads_as_a_sentence_in_both_systems_of_units():
    failed = [row for row in all_checks() if row.verdict != "passes"]
    # rate_implausible needs a rate that can be stated; its words are filled by hand below.
    assert {row.id for row in failed} >= set(CHECK_IDS) - {"rate_implausible"}
    for row in failed:
        for prefs in (METRIC, IMPERIAL):
            text = words.check_text(row, prefs)
            assert text.endswith(".")
            assert "%(" not in text
            assert "_" not in text


def test_an_implausible_rate_is_worded_in_the_clients_unit():
    row = Check("rate_implausible", "second_look", "front", (), {"rate_nmm": 80.0, "low_nmm": 5.0, "high_nmm": 40.0})
    assert "80\u00a0N/mm" in words.check_text(row, METRIC)
    assert "457\u00a0lbf/in" in words.check_text(row, IMPERIAL)  # 80 / 0.1751268 = 456.8


@pytest.mark.parametrize(
    ("id_", "named"),
    [
        ("order_bike_alone_rider", ("L1", "L2", "again")),
        ("order_topped_out_bike_alone", ("L0", "L1", "again")),
        ("ring_false", ("ring", "again")),
    ],
)
def test_a_failed_check_names_the_readings_to_take_again(id_, named):
    row = next(row for row in all_checks() if row.id == id_ and row.verdict == "blocks")
    text = words.check_text(row, METRIC)
    assert all(word in text for word in named)


def test_a_check_speaks_the_clients_unit():
    row = next(row for row in all_checks() if row.id == "ring_beyond_stroke" and row.verdict == "blocks")
    assert "140\u00a0mm" in words.check_text(row, METRIC)
    assert "5.51\u00a0in" in words.check_text(row, IMPERIAL)  # 140 / 25.4 = 5.512


def test_a_passed_check_says_what_was_tested():
    row = Check("order_bike_alone_rider", "passes", "front")
    assert words.check_text(row, METRIC) == "L1 is longer than L2"


@pytest.mark.parametrize("reason", sorted(words.NUMBER_PROBLEMS))
def test_a_number_that_cannot_be_read_is_told_with_the_way_out(reason):
    with override("en"):
        text = words.not_a_number(NotANumber(reason, "a hand", {"unit": "hand"}), "mm")
    assert text.endswith(".")
    assert "%(" not in text
