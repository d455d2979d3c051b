"""The demo's invented scenario: a small shop, its riders and their bikes. Every make, model and person is made up.

Each story is a request document (the one the API takes) with what happened to it afterwards, and is there to exercise
a different part of the judgement. Numbers are typed as a rider would type them, in that rider's own units.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from intake.services.asking import Ask
from tuning.engine.vocabulary import STOP_QUESTIONS

METRIC = {"length": "mm", "mass": "kg", "pressure": "bar", "rate": "N/mm", "torque": "N.m"}
IMPERIAL = {"length": "in", "mass": "lb", "pressure": "psi", "rate": "lbf/in", "torque": "lbf.ft"}

#: Tuners of the demo shop: user name, name on the sheet, role.
TUNERS = (("marit", "Marit Oldenkott", "lead"), ("teo", "Teo Brandvik", "tuner"))


@dataclass(frozen=True)
class Report:
    """A later round as the rider reports it: new readings (same keys as in the document), answers, words.

    The stop gate, asked again, is answered "no" but for what ``stop`` says. symptoms: (id, end, severity, how it went
    since: "better", "same", "worse", "" for one told anew). followed: what became of a change that was not done as the
    sheet says, by its adjuster, or its key where it has none: (one of ``Done``, where it was set or what was fitted).
    """

    readings: Sequence[Mapping[str, Any]]
    answers: Sequence[tuple[str, str, str]]
    words: str
    stop: Mapping[str, str] = field(default_factory=dict)
    symptoms: Sequence[tuple[str, str, int, str]] = ()
    followed: Mapping[str, tuple[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Story:
    """One request: its document, how far the shop has taken it, and what the rider reported afterwards.

    reached: "draft", "received", "taken", "question", "drafted", "sheet" or "settled".
    """

    slug: str
    about: str
    document: dict[str, Any]
    reached: str = "received"
    #: What the tuner asks for: the line above it, and each question with its step and the fields meant.
    question: str = ""
    asks: tuple[Ask, ...] = ()
    reports: tuple[Report, ...] = field(default=())


def lengths(end: str, unit: str, topped: str, alone: str, rider: str, load: str = "solo") -> list[dict[str, Any]]:
    """The three lengths sag is read from, at one end."""
    rows = (
        ("length_topped_out", "bike_alone", topped),
        ("length_bike_alone", "bike_alone", alone),
        ("length_rider_aboard", load, rider),
    )
    return [
        {"quantity": q, "end": end, "load_state": state, "value": text, "unit": unit, "method": "tape"}
        for q, state, text in rows
    ]


def ring(end: str, unit: str, stroke: str, normal: str, hardest: str = "") -> list[dict[str, Any]]:
    """The stroke and how far the ring was pushed."""
    rows = [("stroke", stroke, "rule"), ("deepest_normal", normal, "ring"), ("deepest_hardest", hardest, "ring")]
    return [
        {"quantity": q, "end": end, "value": text, "unit": unit, "method": method} for q, text, method in rows if text
    ]


def one(quantity: str, text: str, unit: str, method: str = "manual", **where: str) -> dict[str, Any]:
    """A single reading."""
    return {"quantity": quantity, "value": text, "unit": unit, "method": method, **where}


def pair(
    kind: str, unit: str, left: str, right: str | None = None, counted: str = "", **more: str
) -> list[dict[str, Any]]:
    """The same adjuster on both fork legs."""
    return [
        {"key": f"front.{kind}.{leg}", "unit": unit, "found": found, "range_counted": counted, **more}
        for leg, found in (("left", left), ("right", left if right is None else right))
    ]


def at_rear(kind: str, unit: str, found: str, counted: str = "", **more: str) -> dict[str, Any]:
    """An adjuster at the rear."""
    return {"key": f"rear.{kind}", "unit": unit, "found": found, "range_counted": counted, **more}


def document(
    name: str,
    *,
    bike: dict[str, Any],
    aim: dict[str, Any],
    readings: list[dict[str, Any]],
    adjusters: list[dict[str, Any]],
    answers: Sequence[tuple[str, str, str]],
    symptoms: Sequence[tuple[str, str, int]],
    words: str,
    units: Mapping[str, str] = METRIC,
    stop: Mapping[str, str] | None = None,
    load_state: str = "solo",
    doubt: str = "",
    send: bool = True,
) -> dict[str, Any]:
    """Assemble a request document; the stop gate is answered "no" but for what ``stop`` says."""
    return {
        "schema": 1,
        "client": {
            "name": name,
            "email": f"{name.split()[0].lower()}@riders.example",
            "language": "en",
            "units": dict(units),
            "paper": "Letter" if units is IMPERIAL else "A4",
        },
        "aim": {"pace": "brisk", "skill": "hand_tools", "budget": "none", **aim},
        "stop": dict.fromkeys(STOP_QUESTIONS, "no") | dict(stop or {}),
        "bike": bike,
        "load_state": load_state,
        "readings": readings,
        "adjusters": adjusters,
        "answers": [{"question": q, "end": end, "value": value} for q, end, value in answers],
        "symptoms": [{"id": s, "end": end, "severity": severity} for s, end, severity in symptoms],
        "words": words,
        "doubt_note": doubt,
        "consent": True,
        "send": send,
    }


def ridden(
    hardness: str = "4", front: str = "no", rear: str = "no", fluid: str = "under_two_years"
) -> list[tuple[str, str, str]]:
    """The answers that go with every ring reading."""
    return [
        ("ride_hardness", "", hardness),
        ("bottomed", "front", front),
        ("bottomed", "rear", rear),
        ("ring", "front", "cable_tie"),
        ("ring_true", "front", "yes"),
        ("settle", "front", "no_bounce"),
        ("settle", "rear", "no_bounce"),
        ("fluid_age", "", fluid),
    ]
