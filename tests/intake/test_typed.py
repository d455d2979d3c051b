"""Numbers as people type them. The tables are worked by hand; an inch is 25.4 mm and a pound 0.45359237 kg exactly
(international yard and pound agreement, 1959)."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.typed import LONGEST, NotANumber, Typed, parse
from tuning.engine.units import CANONICAL


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("34", 34.0),
        ("34.5", 34.5),
        ("34,5", 34.5),
        (".5", 0.5),
        (",25", 0.25),
        ("  12  ", 12.0),
        ("+7", 7.0),
        ("-3", -3.0),
        ("−3", -3.0),
        ("1 3 / 8", 1.375),
        ("–3", -3.0),
        ("1/2", 0.5),
        ("1 3/8", 1.375),
        ("1-3/8", 1.375),
        ("1⅜", 1.375),
        ("½", 0.5),
        ("-1 1/4", -1.25),
        ("3⁄4", 0.75),
        ("1,234", 1.234),
    ],
)
def test_numbers(text: str, value: float) -> None:
    found = parse(text, "length", "mm")
    assert (found.value, found.unit) == (value, "mm")


@pytest.mark.parametrize(
    ("text", "dimension", "default", "unit", "canonical"),
    [
        ("34mm", "length", "in", "mm", 34.0),
        ("3.4 cm", "length", "mm", "cm", 34.0),
        ("1 3/8", "length", "in", "in", 34.925),
        ('1 3/8"', "length", "mm", "in", 34.925),
        ("2 inches", "length", "mm", "in", 50.8),
        ("100 lbs", "mass", "kg", "lb", 45.359237),
        ("2.3 bar", "pressure", "psi", "bar", 230.0),
        ("8.5 N/mm", "rate", "lbf/in", "N/mm", 8.5),
        ("24°", "angle", "deg", "deg", 24.0),
        ("12 clicks", "count", "click", "click", 12.0),
        ("1 1/2 turns", "count", "turn", "turn", 1.5),
    ],
)
def test_a_unit_written_behind_wins(text: str, dimension: str, default: str, unit: str, canonical: float) -> None:
    found = parse(text, dimension, default)
    assert found.unit == unit
    assert found.canonical == pytest.approx(canonical, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "unit"),
    [
        ("34 mm.", "length", "mm"),
        ("34 Millimeter", "length", "mm"),
        ("1 3/8 Zoll", "length", "in"),
        ("2 pulgadas", "length", "in"),
        ("1 3/8 in.", "length", "in"),
        ("3,4 Zentimeter", "length", "cm"),
        ("84 Kilo", "mass", "kg"),
        ("84 kilogramos", "mass", "kg"),
        ("180lb", "mass", "lb"),
        ("180 libras", "mass", "lb"),
        ("2,4 bares", "pressure", "bar"),
        ("36psi", "pressure", "psi"),
        ("0,9 kp/mm", "rate", "kgf/mm"),
        ("24 Grad", "angle", "deg"),
        ("24 grados", "angle", "deg"),
        ("12 Klicks", "count", "click"),
        ("12 Rasten", "count", "click"),
        ("12 clics", "count", "click"),
        ("3 Umdrehungen", "count", "turn"),
        ("3 vueltas", "count", "turn"),
        ("5 Ringe", "count", "line"),
        ("5 líneas", "count", "line"),
        ("4 Stufen", "count", "step"),
    ],
)
def test_units_are_read_in_english_german_and_spanish(text: str, dimension: str, unit: str) -> None:
    assert parse(text, dimension, unit if dimension == "count" else CANONICAL[dimension]).unit == unit


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1'2", 14),
        ("1' 2\"", 14),
        ("4'9 1/2\"", 57.5),
        ("4 ft 9 in", 57),
        ("4’9.5”", 57.5),
        ("4' 9''", 57),
    ],
)
def test_feet_with_inches_are_inches(text: str, inches: float) -> None:
    found = parse(text, "length", "mm")
    assert (found.value, found.unit) == (inches, "in")
    assert found.resolution <= 1.5875  # an eighth, as of a tape in inches


@pytest.mark.parametrize("text", ["1.450", "1,450", "+1.450"])
def test_a_point_that_may_part_thousands_is_asked_about(text: str) -> None:
    # A wheelbase of 1450 mm, written as German and Spanish part thousands, or of 1.45 mm.
    with pytest.raises(NotANumber) as problem:
        parse(text, "length", "mm", (700, 2200))
    assert problem.value.reason == "thousand_or_decimal"
    assert problem.value.params["plain"] == "1450"


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("25.400", 20, 400),  # no stroke is 25400 mm long
        ("0.250", -1000, 3000),  # no thousand begins with nought
        ("1.4500", 700, 2200),  # nor has a group of four
        ("1450", 700, 2200),
        ("1.45", 700, 2200),
    ],
)
def test_a_decimal_that_can_be_nothing_else_is_read(text: str, low: float, high: float) -> None:
    assert parse(text, "length", "mm", (low, high)).value == float(text)


def test_both_ways_out_of_a_thousand_are_read_as_they_say() -> None:
    # Altitude: 1.250 m, or 1250 m. Limits in mm.
    limits = (-500e3, 6e6)
    with pytest.raises(NotANumber) as problem:
        parse("1.250", "length", "m", limits)
    assert parse(str(problem.value.params["plain"]), "length", "m", limits).value == 1250
    assert parse(str(problem.value.params["exact"]), "length", "m", limits).value == 1.25


@pytest.mark.parametrize(
    ("text", "value"), [("３４．５", 34.5), ("\u200e34", 34.0), ("٣٤٫٥", 34.5), ("34\u00a0mm", 34.0)]
)
def test_digits_of_other_keyboards_are_digits(text: str, value: float) -> None:
    assert parse(text, "length", "mm").value == value


@pytest.mark.parametrize(
    ("text", "resolution"),
    [("34", 0.5), ("34.5", 0.05), ("34.50", 0.005), ("1/2", 0.25), ("1 3/8", 0.0625)],
)
def test_resolution_is_half_the_last_place_written(text: str, resolution: float) -> None:
    assert parse(text, "length", "mm").resolution == pytest.approx(resolution)


def test_whole_inches_are_taken_as_read_to_the_eighth() -> None:
    # Half of 1/8 in is 1/16 in, 1.5875 mm (the inch is 25.4 mm); common practice for a tape in inches.
    assert parse("24", "length", "in").resolution == pytest.approx(1.5875)
    assert parse("24.75", "length", "in").resolution == pytest.approx(0.127)


def test_resolution_is_canonical() -> None:
    # An eighth of an inch is 3.175 mm; half of it 1.5875 mm.
    assert parse("1 3/8", "length", "in").resolution == pytest.approx(1.5875)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        (" \t ", "empty"),
        ("about 30", "not_a_number"),
        ("30-35", "not_a_number"),
        ("1e3", "not_a_number"),
        ("3..4", "not_a_number"),
        ("nan", "not_a_number"),
        ("inf", "not_a_number"),
        ("1,234.5", "two_separators"),
        ("1.234,5", "two_separators"),
        ("1,234,567", "two_separators"),
        ("34 furlongs", "unknown_unit"),
        ("34 kg", "unlike_unit"),
        ("3/0", "zero_denominator"),
        ("9" * (LONGEST + 1), "too_long"),
        ("1 9/8", "improper_fraction"),
        ("1 8/8", "improper_fraction"),
        ("5 - 3/8", "not_a_number"),  # five less three eighths, or five and three eighths
        ("4'13", "not_a_number"),
        ("1'234", "not_a_number"),
        ("10²", "unknown_unit"),
        ("\u202e12", "not_a_number"),  # written from right to left: 21 is seen
        ("80 Pfund", "unknown_unit"),  # half a kilogram, or a pound
    ],
)
def test_what_cannot_be_read_says_why(text: str, reason: str) -> None:
    with pytest.raises(NotANumber) as problem:
        parse(text, "length", "mm")
    assert problem.value.reason == reason
    assert problem.value.params["typed"] == text[:LONGEST]


def test_turns_are_not_taken_for_clicks() -> None:
    with pytest.raises(NotANumber) as problem:
        parse("3 turns", "count", "click")
    assert problem.value.reason == "unlike_unit"


def test_a_default_unit_that_does_not_exist_is_told_like_any_other() -> None:
    with pytest.raises(NotANumber) as problem:
        parse("3", "length", "furlong")
    assert problem.value.reason == "unknown_unit"


@given(st.text(max_size=80), st.sampled_from([("length", "mm"), ("mass", "lb"), ("count", "click"), ("ratio", "1")]))
def test_any_text_is_a_number_or_a_named_refusal(text: str, kind: tuple[str, str]) -> None:
    try:
        found = parse(text, *kind)
    except NotANumber:
        return
    assert isinstance(found, Typed)
    assert abs(found.value) < 1e10
    assert found.resolution > 0


@given(st.text(alphabet='0123456789.,/- ½¾⅜−inmklbsN·%"', max_size=20))
def test_text_made_of_the_right_letters_is_no_exception(text: str) -> None:
    with contextlib.suppress(NotANumber):
        assert parse(text, "length", "in").unit in {"in", "mm", "m", "ft"}


@given(st.decimals(-9999, 9999, places=3), st.sampled_from([".", ","]))
def test_a_decimal_written_out_comes_back(number: object, point: str) -> None:
    assert parse(f"{number}".replace(".", point), "length", "mm").value == pytest.approx(float(str(number)))


@given(st.integers(0, 99), st.integers(1, 15))
def test_sixteenths_come_back(whole: int, sixteenths: int) -> None:
    assert parse(f"{whole} {sixteenths}/16", "length", "in").value == whole + sixteenths / 16
