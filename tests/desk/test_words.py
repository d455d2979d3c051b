"""Every id that engine and judgement can emit has words, and the words take the id's own parameters."""

import re
from pathlib import Path
from typing import Any

import pytest

from intake.presentation import UnitPrefs
from intake.words import CHECK_NAMES
from tuning.desk import procedures, sentences, trail, value_words, words
from tuning.engine.values import THEMES, VALUES
from tuning.judgement import catalogue
from tuning.judgement.model import COMPARISONS, GATE_STATES, GATES, VERDICTS
from tuning.judgement.roundbook import ANSWERS

PREFS = UnitPrefs.metric()


@pytest.mark.parametrize(
    ("told", "ids"),
    [
        (sentences.SAID, catalogue.SAID_IDS),
        (procedures.HOW, catalogue.HOW_IDS),
        (procedures.VERIFY, catalogue.VERIFY_IDS),
        (procedures.CAUTIONS, catalogue.CAUTION_IDS),
        (procedures.RIDE_TEST, catalogue.RIDE_TEST_IDS),
        (procedures.TOOLS, catalogue.TOOL_IDS),
        (procedures.TITLES, catalogue.CHANGE_KINDS),
        (sentences.GATES, GATES),
        (value_words.NAMES, VALUES),
        (value_words.THEMES, THEMES),
        (sentences.GATE_STATES, GATE_STATES),
        (sentences.REVIEWED, VERDICTS),
        (sentences.MOVES, {key[1] for key in ANSWERS} - {""}),
        (sentences.COMPARISONS, COMPARISONS),
    ],
)
def test_complete(told: Any, ids: Any) -> None:
    assert set(told) == set(ids)


def test_every_event_that_is_written_down_has_words() -> None:
    root = Path(__file__).resolve().parents[2]
    written = set()
    for package in ("intake", "tuning", "reports"):
        for source in (root / package).rglob("*.py"):
            for call in re.findall(
                r"Event\.objects\.create\((.{0,200})", source.read_text(encoding="utf-8"), re.DOTALL
            ):
                told = re.search(r'kind=("\w+"(?: if \w+ else "\w+")?)', call)
                written |= set(re.findall(r'"(\w+)"', told[1])) if told else set()
    assert written | {"stop_told", "stop_cleared"} == set(trail.EVENTS)


@pytest.mark.parametrize("name", sorted(catalogue.SAID_IDS))
def test_sentences_take_their_parameters(name: str) -> None:
    wanted = set(re.findall(r"%\((\w+)\)s", str(sentences.SAID[name])))
    assert wanted <= set(catalogue.SAID_IDS[name])
    texts = {
        "end": "front", "question": "leak", "check": next(iter(CHECK_NAMES)), "reading": "stroke.front",
        "finding": "sag_rider_aboard.front", "adjuster": "front.rebound.left",
        "change": "rebound.front", "symptom": "pogo.rear",
    }  # fmt: skip
    params = {param: texts.get(param, 12.0) for param in catalogue.SAID_IDS[name]}
    text = words.said({"id": name, "params": params}, PREFS)
    assert "%(" not in text
    assert "_" not in text


def test_numbers_are_in_the_readers_unit() -> None:
    # 25.4 mm is an inch (ISO 31-1).
    row = {"id": "reserve_short", "params": {"end": "front", "reserve_mm": 25.4}}
    assert "25.4\u00a0mm" in words.said(row, PREFS)
    assert "1\u00a0in" in words.said(row, UnitPrefs.imperial())


def test_no_torque_is_given_as_a_figure() -> None:
    for table in (procedures.HOW, procedures.CAUTIONS, procedures.VERIFY):
        for text in table.values():
            assert not re.search(r"\d+\s*(N·m|Nm|lbf)", str(text))


def change(adjuster: str, unit: str, start: float, target: float) -> dict[str, Any]:
    return {"adjuster": adjuster, "kind": "", "end": "", "unit": unit, "start": start, "target": target}


@pytest.mark.parametrize(
    ("adjuster", "unit", "start", "target", "counted", "way"),
    [
        # Counted out from closed: fewer clicks is in, clockwise, firmer.
        ("front.rebound.left", "click", 12.0, 10.0, "closed", "2\u00a0clicks in, clockwise (firmer)"),
        ("rear.rebound", "click", 8.0, 10.0, "closed", "2\u00a0clicks out, anticlockwise (softer)"),
        ("front.preload.left", "turn", 3.0, 5.5, "open", "2.5\u00a0turns in, clockwise (more preload)"),
        # Lines showing: fewer lines is more preload.
        ("front.preload.left", "line", 5.0, 3.0, "closed",
         "in, clockwise, until 2\u00a0lines fewer show (more preload)"),
        ("front.fork_position.left", "mm", 4.0, 7.0, "closed",
         "leg up through the clamps by 3\u00a0mm (front lower)"),
        ("rear.ride_height", "mm", 0.0, -3.0, "closed", "rear lower by 3\u00a0mm"),
    ],
)  # fmt: skip
def test_direction_is_said(adjuster: str, unit: str, start: float, target: float, counted: str, way: str) -> None:
    assert words.change_from_to(change(adjuster, unit, start, target), PREFS, counted)[2] == way


def test_what_would_decide_is_never_an_id() -> None:
    # Where friction decides, the cure is reading from both directions (common practice).
    assert words.decide_text("friction.front").endswith("after lifting, front")
    assert words.decide_text("stroke.rear") == "Rear: stroke"
    assert words.decide_text("sag_bike_alone.front") == "Sag, bike alone, front"


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("214 lb", "lb", "214 lb"),
        ("34.5", "mm", "34.5 mm"),
        ("5 1/8", "in", "5 1/8 in"),
        ("4\u00bd", "in", "4\u00bd in"),
    ],
)
def test_a_unit_that_was_typed_is_not_said_twice(text: str, unit: str, shown: str) -> None:
    assert words.as_typed(text, unit).replace("\u00a0", " ") == shown
