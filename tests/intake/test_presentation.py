"""Numbers as printed, in both systems. Worked by hand from 25.4 mm an inch."""

import pytest
from django.utils.translation import override

from intake.presentation import (
    MINUS,
    NBSP,
    UnitPrefs,
    amount,
    decimals_for,
    number,
    plain,
    show,
    show_with_half_width,
)
from intake.typed import parse

METRIC, IMPERIAL = UnitPrefs.metric(), UnitPrefs.imperial()


@pytest.mark.parametrize(
    ("value", "dimension", "prefs", "text"),
    [
        (34.0, "length", METRIC, f"34{NBSP}mm"),
        (34.52, "length", METRIC, f"34.5{NBSP}mm"),
        (35.052, "length", IMPERIAL, f"1.38{NBSP}in"),
        (90.718474, "mass", IMPERIAL, f"200{NBSP}lb"),
        (84.0, "mass", METRIC, f"84{NBSP}kg"),
        (230.0, "pressure", METRIC, f"2.3{NBSP}bar"),
        (0.35, "share", METRIC, f"35{NBSP}%"),
        (24.25, "angle", IMPERIAL, "24.2°"),
        (-3.0, "length", METRIC, f"{MINUS}3{NBSP}mm"),
    ],
)
def test_show(value: float, dimension: str, prefs: UnitPrefs, text: str) -> None:
    assert show(value, dimension, prefs) == text


def test_minus_is_a_minus_and_zero_has_none() -> None:
    assert number(-0.04, 1) == "0"
    assert number(-1.5, 1) == "−1.5"
    assert "-" not in number(-1234.5, 1)


@pytest.mark.parametrize(
    ("half_width", "decimals"),
    # 95 % half-widths: one digit is carried, two where it begins with 1 or 2; never more than the unit's own.
    [(3.0, 0), (2.0, 1), (0.4, 1), (0.15, 1), (12.0, 0), (40.0, 0), (0.0, 1), (float("nan"), 1), (float("inf"), 1)],
)
def test_no_more_digits_than_the_reading_carries(half_width: float, decimals: int) -> None:
    assert decimals_for(half_width, "mm") == decimals


def test_half_width_beside_the_value() -> None:
    assert show_with_half_width(34.4, 4.0, "length", METRIC) == f"34{NBSP}±{NBSP}4{NBSP}mm"
    # 34.4 mm is 1.354 in; 4 mm is 0.157 in, which begins with 1 and so carries two digits.
    assert show_with_half_width(34.4, 4.0, "length", IMPERIAL) == f"1.35{NBSP}±{NBSP}0.16{NBSP}in"


def test_one_click_two_clicks() -> None:
    assert amount(1, "click") == f"1{NBSP}click"
    assert amount(2, "click") == f"2{NBSP}clicks"
    assert amount(3, "1") == "3"


def test_a_half_width_below_the_last_digit_is_left_out() -> None:
    # Degrees carry one decimal: ± 0.05 would read as ± 0.0.
    assert show_with_half_width(24.5, 0.04, "angle", UnitPrefs.metric()) == "24.5°"
    assert show_with_half_width(24.5, 0.1, "angle", UnitPrefs.metric()).startswith("24.5\u00a0±\u00a00.1")


@pytest.mark.parametrize(
    ("value", "decimals", "english", "german"),
    [(34.5, 6, "34.5", "34,5"), (1.375, 3, "1.375", "1,375"), (12.0, 6, "12", "12"), (-0.0, 2, "0", "0"),
     (-2.25, 2, "-2.25", "-2,25"), (1234567.5, 1, "1234567.5", "1234567,5"), (100.0, 0, "100", "100")],
)  # fmt: skip
def test_a_number_for_a_field_is_written_as_its_reader_writes_and_reads_back(value, decimals, english, german):
    for language, wanted in (("en", english), ("de", german), ("es", german)):
        with override(language):
            assert plain(value, decimals) == wanted
            assert parse(plain(value, decimals), "length", "mm").value == value


def test_numbers_are_written_by_language():
    for language, wanted in (("en", "34.5\u00a0mm"), ("de", "34,5\u00a0mm"), ("es", "34,5\u00a0mm")):
        with override(language):
            assert show(34.5, "length", METRIC) == wanted
