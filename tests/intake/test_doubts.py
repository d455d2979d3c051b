"""Numbers that fit another unit better, and numbers finer than their tool. By hand: 1 lb is 0.45359237 kg, 1 in is
25.4 mm, 1 psi is 6.894757 kPa, 1 kgf/mm is 9.80665 N/mm, 1 lbf/in is 0.1751268 N/mm."""

import pytest
from django.utils.translation import override

from intake import case, words
from intake.doubts import SIBLINGS, USUAL, other_unit, too_exact, usual
from intake.presentation import UnitPrefs
from intake.steps import PAGES, At
from intake.steps.questions import asked_at
from tests.intake.rounds import read, started
from tuning.engine.quantities import QUANTITIES
from tuning.engine.units import UNITS


@pytest.mark.parametrize(
    ("text", "unit", "quantity", "end", "others"),
    [
        ("180", "kg", "rider_mass", "", ("lb",)),  # 81.6 kg
        ("84", "lb", "rider_mass", "", ("kg",)),  # 38.1 kg is less than a rider in full kit
        ("430", "kg", "bike_mass", "", ("lb",)),  # 195 kg
        ("24", "mm", "length_topped_out", "rear", ("cm", "in")),  # 240 mm, 610 mm
        ("36", "kPa", "tyre_pressure", "front", ("psi",)),  # 248 kPa
        ("9", "kgf/mm", "spring_rate", "front", ("N/mm",)),  # 88 N/mm is no fork spring
        ("50", "N/mm", "spring_rate", "front", ("lbf/in",)),  # 8.76 N/mm
        ("200", "kg", "rider_mass", "", ("lb",)),  # 90.7 kg
        ("9.5", "N/mm", "spring_rate", "rear", ("kgf/mm",)),  # 93 N/mm
    ],
)
def test_a_number_that_fits_the_other_unit_better_is_doubted(text, unit, quantity, end, others):
    doubt = other_unit(text, unit, quantity, end)
    assert doubt is not None
    assert (doubt.value, doubt.unit, doubt.others) == (float(text), unit, others)


@pytest.mark.parametrize(
    ("text", "unit", "quantity", "end"),
    [
        ("84", "kg", "rider_mass", ""),
        ("180", "lb", "rider_mass", ""),
        ("180 kg", "kg", "rider_mass", ""),  # the unit stands behind it: so it was meant
        ("180kg", "lb", "rider_mass", ""),
        ("95", "lbf/in", "spring_rate", "rear"),  # 16.6 N/mm, as one of two shocks has it
        ("2.4", "bar", "tyre_pressure", "front"),
        ("36", "psi", "tyre_pressure", "front"),
        ("160", "kg", "luggage_mass", ""),  # 72.6 kg as pounds: as unusual
        ("about 180", "kg", "rider_mass", ""),
        ("99", "deg", "rake", ""),  # an angle has no other unit here
    ],
)
def test_a_number_that_fits_its_unit_or_no_other_is_not(text, unit, quantity, end):
    assert other_unit(text, unit, quantity, end) is None


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_the_usual_band_lies_within_the_limits(quantity):
    spec = QUANTITIES[quantity]
    for end in ("", "front", "rear"):
        low, high = usual(quantity, end)
        assert spec.low <= low < high <= spec.high


def test_siblings_are_units_of_their_dimension():
    for dimension, units in SIBLINGS.items():
        assert {UNITS[unit].dimension for unit in units} == {dimension}
    assert {quantity for quantity, _end in USUAL} <= QUANTITIES.keys()


@pytest.mark.parametrize(
    ("text", "unit", "method", "fine"),
    [
        # A tape, 1 mm either side: below 0.05 mm for decimals, below 0.5 mm for fractions.
        ("34", "mm", "tape", False),
        ("34.5", "mm", "tape", False),
        ("34.9", "mm", "tape", False),  # 1 3/8 in is 34.925 mm
        ("34.27", "mm", "tape", True),
        ("34,27 mm", "in", "tape", True),
        ("34.25", "mm", "tape", False),  # a quarter, seen between two marks
        ("34.50", "mm", "tape", False),
        ("3.43", "cm", "tape", False),  # tenths of a millimetre
        ("3.427", "cm", "tape", True),
        ("1 3/8", "in", "tape", False),
        ("1 3/16", "in", "tape", False),
        ("1 5/32", "in", "tape", False),  # 0.79 mm
        ("1 5/64", "in", "tape", True),  # 0.40 mm
        ("24.375", "in", "tape", False),  # 24 3/8
        ("24.0625", "in", "tape", False),  # 24 1/16
        ("24.37", "in", "tape", False),  # a hundredth of an inch is 0.25 mm
        ("24.372", "in", "tape", True),
        # A steel rule, 0.5 mm: 64ths are on it. A caliper, 0.05 mm: hundredths are.
        ("1 5/64", "in", "rule", False),
        ("34.27", "mm", "rule", True),
        ("34.27", "mm", "caliper", False),
        ("34.271", "mm", "caliper", True),
        # A bathroom scale, 0.5 kg: tenths of a kilogram or a pound are on its display, hundredths are not.
        ("84.2", "kg", "scale", False),
        ("84.25", "kg", "scale", False),  # steps of 50 g
        ("84.27", "kg", "scale", True),
        ("185.2", "lb", "scale", False),
        ("185.23", "lb", "scale", True),
        ("104.33", "mm", "ring", True),
        # Of figures read in a manual or counted every digit may be right.
        ("34.27", "mm", "manual", False),
        ("34.27", "mm", "", False),
    ],
)
def test_finer_than_the_tool(text, unit, method, fine):
    quantity = "rider_mass" if unit in {"kg", "lb"} else "stroke"
    assert too_exact(text, unit, quantity, method) is fine


# --- With the records ---------------------------------------------------------------------------------------------


def at_of(round_):
    return At(round_.request, round_)


@pytest.mark.django_db
def test_a_doubt_replaces_the_unusual_value_and_names_both_readings_and_the_way_out():
    round_ = started().round()
    read(round_, "rider_mass", "180", "kg", method="scale")
    (found,) = [
        check for check in case.partial_checks(round_) if check.verdict != "passes" and check.again == ("rider_mass",)
    ]
    assert found.id == "other_unit"
    with override("en"):
        text = words.check_text(found, UnitPrefs.metric())
    assert text == (
        "Rider in full kit: 180\u00a0kg would be unusual, 180\u00a0lb would not. "
        "Please write the unit you measured in behind the number."
    )
    read(round_, "rider_mass", "180 kg", "kg", method="scale")
    assert "other_unit" not in {check.id for check in case.partial_checks(round_)}


@pytest.mark.django_db
def test_numbers_too_exact_are_listed_once_for_their_tool():
    round_ = started().round()
    read(round_, "length_topped_out", "130.27", end="front", load_state="bike_alone", method="tape")
    read(round_, "length_bike_alone", "105.13", end="front", load_state="bike_alone", method="tape")
    read(round_, "length_rider_aboard", "92", end="front", load_state="solo", method="tape")
    (found,) = [check for check in case.partial_checks(round_) if check.id == "too_exact"]
    assert found.again == ("length_topped_out.front", "length_bike_alone.front")
    text = words.check_text(found, UnitPrefs.imperial())
    assert "130.27\u00a0mm" in text  # as typed, whatever units are read
    assert "105.13\u00a0mm" in text
    (asked,) = [asked for asked in asked_at(at_of(round_), PAGES["sag"]) if asked.id == "too_exact"]
    assert asked.fields == found.again
    assert not [asked for asked in asked_at(at_of(round_), PAGES["travel"]) if asked.id == "too_exact"]
