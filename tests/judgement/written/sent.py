"""What a client sends, and what a tuner would make of it, written before anything was run.

A case is raw: lengths as read between two points, where the ring was pushed to, clicks as counted, complaints as
ticked, words as typed. The engine derives from it; nothing derived is written by hand.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tuning.engine.derive import derive
from tuning.engine.document import read_document
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.model import Change, Dossier, Draft, Said, Symptom
from tuning.judgement.moves import sense

Row = dict[str, Any]
LEGS = ("left", "right")
#: The lengths of one end: topped out, bike alone, rider aboard, mm.
Lengths = tuple[float, float, float]

COMMON = "common practice"
#: Usual adjusters: where they stand and what was counted from stop to stop; preload counted in from fully out.
USUAL: Mapping[str, tuple[float, float]] = {
    "front.preload": (7, 15),
    "front.rebound": (10, 20),
    "front.compression": (10, 20),
    "rear.preload": (6, 14),
    "rear.rebound": (10, 20),
    "rear.compression": (10, 20),
}
#: What one turn moves the spring seat by, mm.
TURN = {"front": 1.0, "rear": 1.5}


def reading(quantity: str, value: float, end: str = "", unit: str = "mm", **more: Any) -> Row:
    return {"quantity": quantity, "value": value, "unit": unit} | ({"end": end} if end else {}) | more


def lengths(end: str, read: Lengths, band: float = 2.0, load: str = "solo") -> list[Row]:
    """Return an end's three lengths by rule, the loaded ones let up from below and let down from above."""
    top, alone, rider = read
    rows = [reading("length_topped_out", top, end, half_width=0.5)]
    for name, value, state in (("bike_alone", alone, "bike_alone"), ("rider_aboard", rider, load)):
        for approach, shift in (("from_below", -band), ("from_above", band)):
            rows.append(
                reading(f"length_{name}", value + shift, end, approach=approach, load_state=state, half_width=0.5)
            )
    return rows


def knob(key: str, found: float | None, counted: float | None, unit: str = "click", **more: Any) -> Row:
    return {"key": key, "unit": unit, "found": found, "range_counted": counted} | more


def knobs(
    *without: str,
    at: Mapping[str, float | None] | None = None,
    legs: tuple[float, float] | None = (5, 5),
    front_legs: bool = True,
) -> list[Row]:
    """Return a road bike's usual adjusters, left out those named; ``at`` says where some stand."""
    rows: list[Row] = []
    for name, (usual, counted) in USUAL.items():
        if name in without:
            continue
        end, kind = name.split(".")
        found = (at or {}).get(name, usual)
        keys = [f"{name}.{leg}" for leg in LEGS] if end == "front" and front_legs else [name]
        for key in keys:
            if kind == "preload":
                rows.append(knob(key, found, counted, "turn", counted_from="open", step_mm=TURN[end]))
            else:
                rows.append(knob(key, found, counted))
    if legs is not None:
        rows += [
            {"key": f"front.fork_position.{leg}", "unit": "mm", "found": mm}
            for leg, mm in zip(LEGS, legs, strict=True)
        ]
    return rows


@dataclass(frozen=True)
class Bike:
    """What every case of a discipline starts from: a bike on which nothing is to be put right."""

    front: Lengths
    rear: Lengths
    strokes: tuple[float, float]
    #: How far the ring was pushed by a normal hard ride, mm.
    rings: tuple[float | None, float | None]
    leverage: float = 2.0


#: Sags in the middle of the bands, and travel left as wanted (common practice).
RIGHT: Mapping[str, Bike] = {
    "road_sport": Bike((600, 576, 563.5), (500, 491.5, 468.5), (120, 130), (97.5, 114)),
    "naked": Bike((600, 576, 563.5), (500, 491.5, 468.5), (120, 130), (97.5, 114)),
    "touring": Bike((620, 595, 580), (520, 508.5, 485), (140, 140), (115, 123)),
    "track": Bike((600, 578.5, 568.5), (500, 492.5, 472.5), (120, 120), (107.5, 108)),
    "adventure": Bike((700, 665, 639), (560, 525, 499), (200, 200), (175, 175)),
    "dual_sport": Bike((800, 756.25, 723.75), (600, 556.25, 523.75), (250, 250), (219, 220), 2.8),
    "enduro": Bike((900, 860, 826.5), (650, 615, 550), (300, 300), (285, 280), 2.8),
    "motocross": Bike((900, 860, 826.5), (650, 615, 550), (300, 300), (290, 290), 2.8),
    "supermoto": Bike((800, 766.25, 731.25), (600, 566.25, 531.25), (250, 250), (237.5, 230), 2.8),
    "cruiser": Bike((560, 543.75, 517.75), (420, 410, 394), (130, 80), (113.75, 70), 1.2),
    "classic": Bike((560, 542.5, 514.5), (400, 390, 374), (140, 80), (122.5, 70), 1.1),
}


def document(
    discipline: str = "road_sport",
    *,
    fork: str = "coil",
    shock: str = "linkage",
    front: Lengths | None = None,
    rear: Lengths | None = None,
    bands: tuple[float, float] = (2.0, 2.0),
    rings: tuple[float | None, float | None] | None = None,
    adjusters: list[Row] | None = None,
    more: tuple[Row, ...] = (),
    drop: tuple[str, ...] = (),
    load: str = "solo",
    read_in: str = "",
    answers: Mapping[str, str] | None = None,
) -> Row:
    """Return the document of a bike that is right but for what is said here.

    drop: readings left out, as ``quantity`` or ``quantity.end``; read_in: the load that the rider's lengths were read
    in, where it is not the one that the bike is set up for.
    """
    bike = RIGHT[discipline]
    rows = lengths("front", front or bike.front, bands[0], read_in or load)
    rows += lengths("rear", rear or bike.rear, bands[1], read_in or load)
    for end, stroke, ring in zip(("front", "rear"), bike.strokes, rings or bike.rings, strict=True):
        rows.append(reading("stroke", stroke, end))
        if ring is not None:
            rows.append(reading("deepest_normal", ring, end))
    rows += [reading("rider_mass", 80, unit="kg"), reading("leverage", bike.leverage, "rear", "1")]
    told = {(row["quantity"], row.get("end", "")) for row in more}
    rows = [
        row
        for row in rows
        if (row["quantity"], row.get("end", "")) not in told
        and not {row["quantity"], f"{row['quantity']}.{row.get('end', '')}"} & set(drop)
    ]
    return {
        "schema": 2,
        "discipline": discipline,
        "front_architecture": fork,
        "rear_architecture": shock,
        "load_state": load,
        "readings": [*rows, *more],
        "adjusters": knobs() if adjusters is None else adjusters,
        "answers": {"fluid_age": "under_two_years"} | dict(answers or {}),
    }


@dataclass(frozen=True)
class Written:
    """One case: what was sent, and what a tuner would make of it.

    source: who says so; why: the reasoning, in a sentence. gate: where the case stands, "" when all is passed.
    first: all changes of the draft in order, as ``told`` tells them, but for those that only belong with another.
    along: kinds that must come with them. never: kinds, or ``end.kind``, that must not be proposed. asks: questions
    that must be there, as ``id`` or ``id parameter``. stop: what stops it, nothing else. notes, unsaid: sentences
    that must, and must not, be on the sheet. done_for: kinds that must be had done. compromise: the changes stand in
    for a part.
    """

    id: str
    source: str
    why: str
    sent: Row
    gate: str
    first: tuple[str, ...] = ()
    along: tuple[str, ...] = ()
    complaints: tuple[str, ...] = ()
    stop_answers: Mapping[str, str] = field(default_factory=dict)
    words: str = ""
    budget: str = "none"
    skill: str = "home_workshop"
    never: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    stop: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    unsaid: tuple[str, ...] = ()
    done_for: tuple[str, ...] = ()
    compromise: bool = False

    def dossier(self) -> Dossier:
        case = read_document(self.sent)
        return Dossier(
            case,
            derive(case),
            dict.fromkeys(STOP_QUESTIONS, "no") | dict(self.stop_answers),
            tuple(_symptom(text) for text in self.complaints),
            self.skill,
            self.budget,
            self.words,
        )


def _symptom(text: str) -> Symptom:
    """Return a complaint told as ``id@end:severity``."""
    name, _, severity = text.partition(":")
    name, _, end = name.partition("@")
    return Symptom(name, end, int(severity or 2))


def told(change: Change, dossier: Dossier) -> str:
    """Return a change as a tuner says it: kind, adjuster, way, and from where to where."""
    row = next((row for row in dossier.case.adjusters if row.key == change.adjuster), None)
    if row is None or change.start is None or change.target is None:
        return f"{change.kind} {change.end}"
    height = row.kind in ("fork_position", "ride_height")
    ways = {"preload": ("more", "less")}.get(row.kind, ("up", "down") if height else ("firmer", "softer"))
    rises = (change.target > change.start) == (sense(row, "more") > 0)
    return f"{change.kind} {change.adjuster} {ways[0 if rises else 1]} {change.start:g}→{change.target:g}"


def asked(question: Said) -> set[str]:
    """Return the ways to name a question: its id, alone and with each parameter."""
    return {question.id} | {f"{question.id} {value}" for value in question.params.values() if isinstance(value, str)}


def proposed(made: Draft, dossier: Dossier) -> tuple[str, ...]:
    """Return the changes of a draft, without those that only belong with another."""
    return tuple(told(change, dossier) for change in made.changes if not change.together)


def is_never(change: Change, never: str) -> bool:
    return never in ("*", change.kind, f"{change.end}.{change.kind}")


def all_asked(made: Draft) -> set[str]:
    return {name for question in made.questions for name in asked(question)}
