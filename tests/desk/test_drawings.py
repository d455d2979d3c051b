"""The travel strips. Every coordinate is worked by hand from the values drawn.

The strip is 404 units wide (8 to 412); with 101 mm of stroke one millimetre is 4 units, so a state at v mm ends at
8 + 4 v. Rows stand 46 apart from 28 on, and a bar lies 20 below its row's top.
"""

import dataclasses
import re
from xml.etree import ElementTree

import pytest

from intake.presentation import UnitPrefs
from tuning.desk.drawings import Strip, travel_strip

SVG = "{http://www.w3.org/2000/svg}"
METRIC = UnitPrefs.metric()
WHOLE = Strip("front", stroke=101.0, bike_alone=25.0, rider=40.0, normal=80.0, hardest=90.0)


def drawn(strip: Strip) -> ElementTree.Element:
    return ElementTree.fromstring(str(travel_strip(strip, METRIC)))  # noqa: S314  our own drawing


def numbers(path: str) -> list[float]:
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)]


def outlines(figure: ElementTree.Element) -> list[list[float]]:
    return [numbers(one.get("d", "")) for one in figure.iter(f"{SVG}path") if one.get("class") == "outline"]


def labels(figure: ElementTree.Element) -> list[str]:
    return [str(one.text).replace("\u00a0", " ") for one in figure.iter(f"{SVG}text")]


def test_each_bar_ends_at_its_value() -> None:
    # M left, y; H end; v height; H left: bike alone 8+4·25, rider 8+4·40, normal 8+4·80, hardest 8+4·90, stroke 412.
    assert outlines(drawn(WHOLE)) == [
        [8, 48, 108, 12, 8],
        [8, 94, 168, 12, 8],
        [8, 140, 328, 12, 8],
        [8, 186, 368, 12, 8],
        [8, 232, 412, 12, 8],
    ]


def test_the_reserve_lies_between_the_deepest_and_the_stroke() -> None:
    figure = drawn(WHOLE)
    (mark,) = [one for one in figure.iter(f"{SVG}path") if one.get("class") == "mark"]
    # Sixth row: 28 + 5·46 = 258; its line lies 26 below, its end ticks from 20 below.
    assert numbers(mark.get("d", "")) == [368, 284, 412, 368, 278, 12, 412, 278, 12]
    assert "reserve 11 mm" in labels(figure)[-1]


def test_without_the_hardest_ride_the_reserve_starts_at_the_normal_one() -> None:
    figure = drawn(dataclasses.replace(WHOLE, hardest=None))
    (mark,) = [one for one in figure.iter(f"{SVG}path") if one.get("class") == "mark"]
    assert numbers(mark.get("d", ""))[0] == 328
    assert len(outlines(figure)) == 4


def test_bottomed_leaves_no_reserve() -> None:
    assert labels(drawn(dataclasses.replace(WHOLE, hardest=101.0, bottomed=True)))[-1] == "reserve: none, it bottomed"


def test_a_bar_never_runs_to_the_left_of_topped_out() -> None:
    assert outlines(drawn(dataclasses.replace(WHOLE, bike_alone=-3.0)))[0] == [8, 48, 8, 12, 8]


@pytest.mark.parametrize("end", ["front", "rear"])
def test_the_figure_has_a_name_and_says_its_values_without_inline_style(end: str) -> None:
    text = str(travel_strip(dataclasses.replace(WHOLE, end=end), METRIC))
    figure = ElementTree.fromstring(text)  # noqa: S314  our own drawing
    title = figure.find(f"{SVG}title")
    assert title is not None
    assert figure.get("role") == "img"
    assert figure.get("aria-labelledby") == title.get("id")
    description = str(figure.findtext(f"{SVG}desc")).replace("\u00a0", " ")
    for value in ("25", "40", "80", "90", "101"):
        assert re.search(rf"\b{value}(\.0)? mm", description)
    assert "style=" not in text


def test_nothing_measured_is_said_and_not_drawn() -> None:
    text = str(travel_strip(Strip("rear", None, None, None, None, None), METRIC))
    assert "nothing measured yet" in text
    assert "<svg" not in text
