"""Bikes and questions for the solver's tests."""

import math
from typing import Any

from tuning.engine.solve import Problem, problem_from_json, solve
from tuning.engine.solve_answers import Solution, Solutions
from tuning.engine.solve_levers import moves_of
from tuning.engine.whatif import model_of

G, COS25 = 9.80665, math.cos(math.radians(25))
#: Each of two fork springs, N/mm, so that 1 kg more on the front wheel is 1 mm more of sag.
RATE = G * COS25 / 2
SAGS_FRONT = {"sag_bike_alone.front": (20, 28), "sag_rider_aboard.front": (33, 40)}
SAGS_REAR = {"sag_bike_alone.rear": (5, 12), "sag_rider_aboard.rear": (28, 35)}
ALL = {"client": {"skill": "specialist", "budget": "any"}}
EIGHT = {
    "front_rates": [8.5, 9.0, 9.5, 10.0, 10.5, 11.0, 11.5, 12.0],
    "rear_rates": [80, 85, 90, 95, 100, 105, 110, 115],
}


def row(quantity: str, value: float, unit: str = "mm", end: str = "", **more: Any) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "unit": unit, **({"end": end} if end else {}), **more}


def adjuster(key: str, found: float | None, counted: float | None, **more: Any) -> dict[str, Any]:
    told = {"key": key, "unit": "turn", "counted_from": "open", "step_mm": 1.0} | more
    return told | {name: x for name, x in (("found", found), ("range_counted", counted)) if x is not None}


def fork(alone: float, aboard: float, rate: float = RATE, found: float = 45, counted: float = 60) -> dict[str, Any]:
    """100 kg on the front wheel, 130 kg with the rider, 10 of them unsprung; sags as given, the rate told."""
    readings = [
        row("length_topped_out", 600, end="front"),
        row("length_bike_alone", 600 - alone, end="front"),
        row("length_rider_aboard", 600 - aboard, end="front"),
        row("stroke", 120, end="front"),
        row("scale_bike_alone", 100, "kg", "front"),
        row("scale_rider_aboard", 130, "kg", "front"),
        row("unsprung_mass", 10, "kg", "front"),
        row("rake", 25, "deg"),
        row("spring_rate", rate, "N/mm", "front"),
    ]
    kinds = {"discipline": "naked", "front_architecture": "coil", "rear_architecture": "linkage"}
    return {"schema": 2, **kinds, "readings": readings, "adjusters": [adjuster("front.preload", found, counted)]}


def whole() -> dict[str, Any]:
    """A bike of which both ends and the plane are known."""
    readings = [
        row("length_topped_out", 600, end="front"),
        row("length_bike_alone", 570, end="front"),
        row("length_rider_aboard", 555, end="front"),
        row("stroke", 120, end="front"),
        row("length_topped_out", 600, end="rear"),
        row("length_bike_alone", 588, end="rear"),
        row("length_rider_aboard", 562, end="rear"),
        row("stroke", 130, end="rear"),
        row("rider_mass", 85, "kg"),
        row("bike_mass", 200, "kg"),
        row("leverage", 2.5, "1", "rear"),
        row("rake", 24.5, "deg"),
        row("ground_trail", 100),
        row("wheelbase", 1420),
        row("deepest_normal", 100, end="front"),
        row("deepest_hardest", 112, end="front"),
        row("bodywork_gap", 150, end="front"),
        row("swingarm_length", 560),
        row("swingarm_angle", 12, "deg"),
    ]
    adjusters = [
        adjuster("front.preload", 4, 15),
        adjuster("rear.preload", 4, 12, step_mm=1.5),
        {"key": "front.fork_position", "unit": "mm", "found": 4},
    ]
    return fork(30, 45) | {"readings": readings, "adjusters": adjusters}


def ask(document: dict[str, Any], targets: dict[str, tuple[float | None, float | None]], **more: Any) -> Problem:
    bands = {key: {"low": low, "high": high} for key, (low, high) in targets.items()}
    return problem_from_json({**document, "targets": bands, **more})


def point(problem: Problem) -> Solutions:
    return solve(problem, uncertain=False)


def by(found: Solution) -> dict[str, float]:
    return {step.lever: step.by for step in found.steps}


def levers(problem: Problem) -> tuple[dict[str, Any], dict[str, str]]:
    moves, out = moves_of(problem, model_of(problem.case, uncertain=False))
    return {move.lever: move for move in moves}, {one.lever: one.reason for one in out}


def without(document: dict[str, Any], quantity: str) -> dict[str, Any]:
    kept = [one for one in document["readings"] if one["quantity"] != quantity]
    return document | {"readings": kept}
