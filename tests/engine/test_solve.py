"""Sets of changes: plain coils worked by hand, a search over every place that no answer may lose to, and limits."""

import copy
import itertools
import json
import math
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tuning.engine.bike import Bike, Change, changed
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import Wish
from tuning.engine.outlook import outlook, sags, standing
from tuning.engine.solve import Band, Limits, Problem, problem_from_json, solutions_to_json, solve
from tuning.engine.solve_answers import VERDICTS, Solution, Solutions
from tuning.engine.solve_intervals import verdict
from tuning.engine.solve_levers import moves_of
from tuning.engine.solve_problem import CHANGE, TARGETS
from tuning.engine.solve_values import MOST_ROWS, Teller, change_of
from tuning.engine.whatif import Model, model_of, what_if

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


# Worked by hand.


def test_preload_alone_by_hand() -> None:
    # 15 mm alone, 45 aboard: 1 mm of preload is 1 mm of sag; 8.5 turns come to 36.5, the middle of 33 to 40
    found = point(ask(fork(15, 45), {"sag_rider_aboard.front": (33, 40)}))
    (one,) = found.solutions
    (step,) = one.steps
    assert (step.lever, step.by, step.start, step.to, step.unit) == ("front.preload_mm", 8.5, 45, 53.5, "turn")
    assert (step.adjusters, step.skill, step.have_it_done, step.part) == (
        ("front.preload",),
        "adjusters",
        False,
        False,
    )
    assert one.outcomes[0].value == pytest.approx(36.5, abs=1e-9)
    assert (one.margin, one.count, one.effort) == (pytest.approx(1.0), 1, 1)
    assert found.reason is None
    assert found.compromise is None
    assert found.as_found[0].miss == pytest.approx(5.0)
    assert found.complete


def test_spring_and_preload_by_hand() -> None:
    # 90 mm and 120 mm of the spring's compression carry the two loads, 75 of them preload. A spring r times as stiff
    # rests at 90/r − 75 − d and 120/r − 75 − d. The bands are 5 to 20 apart: neither 30 (preload alone) nor any
    # spring at the preload as it is will do (r = 1.5: −15). r = 2 wants −55 to −50, past fully out (−45).
    rates = [RATE * r for r in (1.5, 1.6, 1.75, 2.0)]
    problem = ask(fork(15, 45), SAGS_FRONT, parts={"front_rates": rates}, **ALL)
    found = point(problem)
    assert [{k: round(v, 6) for k, v in by(one).items()} for one in found.solutions] == [
        {"front.preload_mm": -45.0, "front.spring_rate": round(0.75 * RATE, 6)},
        {"front.preload_mm": -39.5, "front.spring_rate": round(0.6 * RATE, 6)},
        {"front.preload_mm": -35.0, "front.spring_rate": round(0.5 * RATE, 6)},
    ]
    # r = 1.75, d = −45: 21.43 and 38.57; margins (21.43 − 20)/4 and (40 − 38.57)/3.5
    values = [outcome.value for outcome in found.solutions[0].outcomes]
    assert values == pytest.approx([90 / 1.75 - 30, 120 / 1.75 - 30], abs=1e-8)
    assert found.solutions[0].margin == pytest.approx((90 / 1.75 - 50) / 4)
    assert found.solutions[2].margin == pytest.approx(0, abs=1e-8)
    assert {(one.effort, one.count, one.skill) for one in found.solutions} == {(9, 2, "home_workshop")}
    assert found.solutions[0].parts == {"front.spring_rate": pytest.approx(1.75 * RATE)}


def test_sags_that_clash_say_so_and_what_would_do() -> None:
    # preload alone: 30 mm apart is more than 40 − 20
    found = point(ask(fork(15, 45), SAGS_FRONT))
    assert found.solutions == ()
    reason = found.reason
    assert reason is not None
    assert (reason.kind, reason.targets) == ("together", ("sag_bike_alone.front", "sag_rider_aboard.front"))
    assert reason.would_meet is not None
    assert set(by(reason.would_meet)) == {"front.preload_mm", "front.spring_rate"}
    assert reason.beyond == ("skill", "budget", "parts")
    compromise = found.compromise
    assert compromise is not None
    assert not compromise.meets
    # 10 mm missed in all wherever d lies in −5 … +5 (by band widths the rider's sag costs more): 40 aboard, 10 alone
    assert by(compromise) == {"front.preload_mm": 5.0}
    assert [outcome.miss for outcome in compromise.outcomes] == pytest.approx([10, 0], abs=1e-8)
    assert [(one.target, one.nearest) for one in reason.shortfalls] == [("sag_bike_alone.front", pytest.approx(10.0))]


def test_out_of_reach_names_the_lever_at_its_end() -> None:
    # 4 turns of 60 are left: 45 comes to 41, 5 mm short of 36
    found = point(ask(fork(15, 45, found=56), {"sag_rider_aboard.front": (33, 36)}))
    assert found.reason is not None
    (short,) = found.reason.shortfalls
    assert (found.reason.kind, short.nearest, short.miss) == ("out_of_reach", pytest.approx(41), pytest.approx(5))
    assert [(one.lever, one.reason) for one in short.blocked_by] == [
        ("front.preload_mm", "end_of_range"),
        ("front.oil_level_mm", "oil_unknown"),
        ("front.spring_rate", "no_parts"),
    ]


def test_what_no_lever_moves_says_so() -> None:
    # softer springs than these do not keep it off its stop at the limit, whatever their preload
    parts = {"front_rates": [5.0, 6.0]}
    found = point(ask(whole(), {"brake_reserve_limit.front": (5, None)}, parts=parts, **ALL))
    assert found.reason is not None
    (short,) = found.reason.shortfalls
    assert (found.reason.kind, short.nearest, short.miss) == ("out_of_reach", 0, 5)
    assert {one.reason for one in short.blocked_by if "preload" in one.lever or "rate" in one.lever} == {"no_effect"}


def test_met_as_found_asks_for_no_change() -> None:
    found = point(ask(fork(26, 36, 3 * RATE), {"sag_bike_alone.front": (20, 28)}, parts=EIGHT, **ALL))
    assert [one.steps for one in found.solutions] == [()]
    assert (found.solutions[0].effort, found.solutions[0].skill, found.solutions[0].meets) == (0, "adjusters", True)


def test_rear_preload_by_hand() -> None:
    # LR 2.5, constant, plain coil: 1.5 mm a turn at the shock moves the axle 2.5 × 1.5 = 3.75 mm
    found = point(ask(whole(), {"sag_rider_aboard.rear": (29, 32)}))
    (one,) = found.solutions
    assert by(one) == {"rear.preload_mm": 2.0}
    assert one.outcomes[0].value == pytest.approx(38 - 7.5, abs=1e-6)
    assert one.steps[0].size == pytest.approx(3.0)


def test_order_is_by_effort_then_count_then_margin() -> None:
    found = point(ask(whole(), SAGS_FRONT | SAGS_REAR, parts=EIGHT, **ALL)).solutions
    assert len(found) > 2
    keys = [(one.effort, one.count, -round(one.margin, 2)) for one in found]
    assert keys == sorted(keys)
    assert set(by(found[0])) == {"front.preload_mm", "rear.preload_mm"}


# Levers.


def levers(problem: Problem) -> tuple[dict[str, Any], dict[str, str]]:
    moves, out = moves_of(problem, model_of(problem.case, uncertain=False))
    return {move.lever: move for move in moves}, {one.lever: one.reason for one in out}


@pytest.mark.parametrize(
    ("unit", "step"), [("turn", 0.25), ("click", 1.0), ("mm", 1.0), ("step", 1.0), ("line", 1.0)]
)
@pytest.mark.parametrize("counted_from", ["open", "closed"])
def test_an_adjuster_moves_in_its_own_step_and_stays_in_its_range(unit: str, step: float, counted_from: str) -> None:
    document = fork(15, 45, found=3.1, counted=9)
    document["adjusters"][0] |= {"unit": unit, "counted_from": counted_from}
    move = levers(ask(document, {"sag_rider_aboard.front": (33, 40)}))[0]["front.preload_mm"]
    assert move.by[0] == 0
    assert move.by / step == pytest.approx(np.round(move.by / step))
    assert (3.1 + move.by >= 0).all()
    assert (3.1 + move.by <= 9).all()
    assert move.by.max() == pytest.approx(math.floor(5.9 / step) * step)
    # counted from closed, a higher count is less preload
    assert move.sizes == pytest.approx(-move.by if counted_from == "closed" else move.by)


def test_what_was_not_counted_goes_no_further_than_is_known() -> None:
    document = fork(15, 45)
    del document["adjusters"][0]["range_counted"]
    move = levers(ask(document, {"sag_rider_aboard.front": (33, 40)}))[0]["front.preload_mm"]
    assert (move.by.min(), move.by.max()) == (-45, 0)
    problem = ask(document, {"sag_rider_aboard.front": (33, 40)}, limits={"front_preload": [-50, 6.1]})
    move = levers(problem)[0]["front.preload_mm"]
    assert (move.by.min(), move.by.max()) == (-45, 6)
    document["adjusters"] = []
    problem = ask(document, {"sag_rider_aboard.front": (33, 40)}, limits={"front_preload": [-5, 6.5]}, **ALL)
    spacer = levers(problem)[0]["front.preload_mm"]
    assert (spacer.by.min(), spacer.by.max(), spacer.skill, spacer.keys) == (-5, 6, "home_workshop", ())


def test_a_count_outside_its_range_only_comes_back() -> None:
    document = fork(15, 45, found=62, counted=60)
    move = levers(ask(document, {"sag_rider_aboard.front": (33, 40)}))[0]["front.preload_mm"]
    assert move.by[0] == 0
    assert move.by[1:].max() == -2


@pytest.mark.parametrize(
    ("skill", "budget", "offered"),
    [
        ("adjusters", "none", {"front.preload_mm", "rear.preload_mm"}),
        ("hand_tools", "none", {"front.preload_mm", "rear.preload_mm", "front.fork_position_mm"}),
        ("adjusters", "springs", {"front.preload_mm", "rear.preload_mm", "front.spring_rate", "rear.spring_rate"}),
        (
            "adjusters",
            "any",
            {
                "front.preload_mm",
                "rear.preload_mm",
                "front.spring_rate",
                "rear.spring_rate",
                "front.fork_position_mm",
            },
        ),
    ],
)
def test_skill_and_budget_bar_levers(skill: str, budget: str, offered: set[str]) -> None:
    targets = SAGS_FRONT | SAGS_REAR | {"rake_rider_aboard": (23.0, 24.0)}
    problem = ask(whole(), targets, parts=EIGHT, client={"skill": skill, "budget": budget})
    moves, out = levers(problem)
    assert set(moves) == offered
    assert set(moves) | set(out) == {
        "front.preload_mm",
        "front.oil_level_mm",
        "front.spring_rate",
        "rear.preload_mm",
        "rear.spring_rate",
        "front.fork_position_mm",
        "rear.ride_height_mm",
    }


def test_work_above_the_client_is_had_done() -> None:
    rates = {"front_rates": [RATE * 1.75]}
    client = {"skill": "adjusters", "budget": "springs"}
    (one,) = point(ask(fork(15, 45), SAGS_FRONT, parts=rates, client=client)).solutions
    assert [(step.lever, step.have_it_done) for step in one.steps] == [
        ("front.preload_mm", False),
        ("front.spring_rate", True),
    ]
    assert one.have_it_done


def fork_places(document: dict[str, Any], **limits: float) -> tuple[float, float, tuple[str, ...]]:
    problem = ask(document, {"rake_rider_aboard": (23.0, 24.0)}, limits=limits, client={"skill": "hand_tools"})
    move = levers(problem)[0]["front.fork_position_mm"]
    assert (move.by == np.round(move.by)).all()
    return float(move.by.min()), float(move.by.max()), move.needs


def without(document: dict[str, Any], quantity: str) -> dict[str, Any]:
    kept = [one for one in document["readings"] if one["quantity"] != quantity]
    return document | {"readings": kept}


def test_the_legs_move_within_the_round_the_maker_and_the_clearance() -> None:
    # 4 mm up as found: 5 a round, yet never below flush
    assert fork_places(whole()) == (-4, 5, ())
    # 10 mm from the maker's position overall; a mark is a limit
    assert fork_places(whole(), fork_maker=-3.0) == (-4, 3, ())
    assert fork_places(whole(), fork_mark=6.0) == (-4, 2, ())
    # gap 131.5 less stroke 120 leaves 11.5: 3 more up keep 8
    near = copy.deepcopy(whole())
    next(one for one in near["readings"] if one["quantity"] == "bodywork_gap")["value"] = 131.5
    assert fork_places(near) == (-4, 3, ())
    assert fork_places(without(whole(), "bodywork_gap")) == (-4, 5, ("bodywork_gap.front",))


def test_the_legs_move_only_for_geometry_and_only_level() -> None:
    assert levers(ask(whole(), SAGS_FRONT, **ALL))[1]["front.fork_position_mm"] == "not_asked"
    document = whole()
    document["adjusters"][-1:] = [
        {"key": f"front.fork_position.{leg}", "unit": "mm", "found": place}
        for leg, place in (("left", 4), ("right", 5))
    ]
    problem = ask(document, {"rake_rider_aboard": (23.0, 24.0)}, **ALL)
    assert levers(problem)[1]["front.fork_position_mm"] == "legs_unlike"
    document["adjusters"] = []
    problem = ask(document, {"rake_rider_aboard": (23.0, 24.0)}, **ALL)
    assert levers(problem)[1]["front.fork_position_mm"] == "place_unknown"


def test_geometry_leaves_alone_the_springs_nobody_asks_about() -> None:
    found = point(ask(whole(), {f"rake_rider_aboard{CHANGE}": (-0.2, -0.1)}, parts=EIGHT, **ALL))
    assert [set(by(one)) for one in found.solutions] == [{"front.fork_position_mm"}]
    assert {"front.preload_mm", "rear.preload_mm"} <= {one.lever for one in found.barred if one.reason == "not_asked"}
    # about 0.037° a mm: 4 mm is the middle of the band
    assert by(found.solutions[0]) == {"front.fork_position_mm": 4.0}
    assert found.solutions[0].steps[0].at_a_time == 3.0


# Against the rest of the engine.


@pytest.fixture(scope="module")
def everything() -> tuple[Problem, Any]:
    targets = dict.fromkeys(TARGETS, (0.0, None))
    limits = {"ride_height": [-4, 8], "oil_level": [90, 140]}
    document = whole()
    document["readings"] += [row("oil_level", 110), row("tube_bore", 37), row("deepest_normal", 90, end="rear")]
    return ask(document, targets, parts=EIGHT, limits=limits, **ALL), np.random.default_rng(7)


def told(model: Model, now: Bike) -> dict[str, float]:
    return {value.key: float(value.numbers.flat[0]) for value in outlook(model.pack, model.base, now)}


def test_values_are_those_of_the_outlook(everything: tuple[Problem, Any]) -> None:
    problem, random = everything
    model = model_of(problem.case, uncertain=False)
    moves, _ = moves_of(problem, model)
    assert len(moves) == 7
    places = np.stack([random.integers(0, len(move.by), 12) for move in moves], axis=1)
    places[0] = 0
    teller = Teller(model, problem.targets)
    keys = [key for key in TARGETS if teller.known(key)]
    assert len(keys) > 50
    judged = teller.judge(keys, moves, places)
    before = told(model, model.bike)
    for column in range(len(places)):
        after = told(model, changed(model.bike, change_of(moves, places[column : column + 1])))
        for value, other, key in zip(judged.value[:, column], judged.other[:, column], keys, strict=True):
            plain = key.removesuffix(CHANGE)
            if key.startswith("reserve_") and "_by_" not in key:
                name, _, end = key.partition(".")
                assert value == pytest.approx(after[f"{name}_by_force.{end}"], abs=1e-6)
                assert other == pytest.approx(after[f"{name}_by_energy.{end}"], abs=1e-6)
            elif plain != key:
                assert value == pytest.approx(after[plain] - before[plain], abs=1e-6)
            else:
                assert value == pytest.approx(after[key], abs=1e-6)


@pytest.mark.parametrize("counted_from", ["open", "closed"])
def test_steps_are_what_the_levers_do(counted_from: str) -> None:
    document = whole()
    legs = [
        adjuster(f"front.preload.{leg}", 6, 15, step_mm=0.8, counted_from=counted_from) for leg in ("left", "right")
    ]
    document["adjusters"] = [*legs, *document["adjusters"][1:]]
    problem = ask(document, SAGS_FRONT | SAGS_REAR | {"rake_rider_aboard": (23.9, 24.2)}, parts=EIGHT, **ALL)
    found = solve(problem)
    assert len(found.solutions) > 1
    for one in found.solutions:
        wishes = []
        for step in one.steps:
            if step.part:
                wishes.append(Wish(step.lever, to=step.to))
            else:
                wishes += [Wish(key, by=step.by) for key in step.adjusters]
        after = what_if(problem.case, wishes).after
        for outcome in one.outcomes:
            told = after[outcome.target]
            assert told.value == pytest.approx(outcome.value)
            if outcome.half_width is not None:
                assert told.half_width == pytest.approx(outcome.half_width)
                assert outcome.verdict in VERDICTS
    assert all(outcome.verdict for one in found.solutions[:5] for outcome in one.outcomes)


def synthetic(draw: st.DrawFn) -> dict[str, Any]:
    """A bike of which springs and loads are told, so that a document after the change foretells its own sags."""
    front, rear = draw(st.floats(70, 120)), draw(st.floats(70, 120))
    rate, shock, leverage = draw(st.floats(6, 12)), draw(st.floats(60, 130)), draw(st.floats(1.8, 3.0))
    readings = [
        row("stroke", 120, end="front"),
        row("stroke", 130, end="rear"),
        row("scale_bike_alone", front, "kg", "front"),
        row("scale_rider_aboard", front + draw(st.floats(15, 45)), "kg", "front"),
        row("scale_bike_alone", rear, "kg", "rear"),
        row("scale_rider_aboard", rear + draw(st.floats(30, 70)), "kg", "rear"),
        row("rake", 25, "deg"),
        row("spring_rate", rate, "N/mm", "front"),
        row("spring_preload", draw(st.floats(5, 40)), end="front"),
        row("spring_rate", shock, "N/mm", "rear"),
        row("spring_preload", draw(st.floats(2, 12)), end="rear"),
        row("leverage", leverage, "1", "rear"),
    ]
    adjusters = [
        adjuster("front.preload", draw(st.integers(0, 12)), 12, unit=draw(st.sampled_from(["click", "mm", "step"]))),
        adjuster("rear.preload", draw(st.integers(0, 10)), 10, unit="click", counted_from="closed"),
    ]
    return fork(15, 45) | {"readings": readings, "adjusters": adjusters}


@st.composite
def problems(draw: st.DrawFn) -> tuple[dict[str, Any], Problem]:
    document = synthetic(draw)
    middles = {
        "sag_bike_alone.front": st.floats(10, 35),
        "sag_rider_aboard.front": st.floats(25, 50),
        "sag_bike_alone.rear": st.floats(3, 15),
        "sag_rider_aboard.rear": st.floats(22, 45),
    }
    keys = draw(st.lists(st.sampled_from(sorted(middles)), min_size=1, unique=True))
    targets = {}
    for key in keys:
        middle, half = draw(middles[key]), draw(st.floats(1, 6))
        targets[key] = (middle - half, middle + half)
    parts = {
        "front_rates": draw(st.lists(st.floats(6, 13), max_size=3)),
        "rear_rates": draw(st.lists(st.floats(60, 140), max_size=3)),
    }
    return document, ask(document, targets, parts=parts, **ALL)


def after_the_change(document: dict[str, Any], one: Solution) -> dict[str, Any]:
    """Return the document as it would be written with the change made."""
    new = copy.deepcopy(document)
    for step in one.steps:
        end = step.lever.split(".")[0]
        if step.part:
            next(r for r in new["readings"] if (r["quantity"], r.get("end")) == ("spring_rate", end))["value"] = (
                step.to
            )
            continue
        (told,) = [a for a in new["adjusters"] if a["key"] in step.adjusters]
        told["found"] += step.by
        assert 0 <= told["found"] <= told["range_counted"]
        assert step.by == round(step.by)
        inward = -1 if told["counted_from"] == "closed" else 1
        next(r for r in new["readings"] if (r["quantity"], r.get("end")) == ("spring_preload", end))["value"] += (
            inward * step.by * told["step_mm"]
        )
    return new


@settings(max_examples=60, deadline=None)
@given(problems())
def test_answers_meet_the_targets_when_foretold_again(drawn: tuple[dict[str, Any], Problem]) -> None:
    document, problem = drawn
    found = point(problem)
    assert bool(found.solutions) != bool(found.reason)
    for one in found.solutions:
        case = read_document(after_the_change(document, one))
        told = what_if(case, (), uncertain=False).before
        for key, band in problem.targets.items():
            value = told[key].value
            assert value is not None
            assert band.low is not None
            assert band.high is not None
            assert band.low - 1e-5 <= value <= band.high + 1e-5


def brute(problem: Problem) -> tuple[list[int], dict[int, float]]:
    """Try every place of every lever through the outlook: the sets that meet all, and the best margin of each."""
    model = model_of(problem.case, uncertain=False)
    rows = {one.key: one for one in problem.case.adjusters}
    axes: list[list[float]] = []
    for end, rates in (("front", problem.parts.front_rates), ("rear", problem.parts.rear_rates)):
        told = rows[f"{end}.preload"]
        count = int(told.range_counted or 0)
        inward = -1 if told.counted_from == "closed" else 1
        axes.append([inward * (place - (told.found or 0)) for place in range(count + 1)])
        axes.append([np.nan, *rates])
    every = np.array(list(itertools.product(*axes)))
    change = Change(*(every[:, k, None] for k in (0, 2, 1, 3)))
    told_sags = {value.key: value.numbers[:, 0] + 0 * every[:, 0] for value in sags(changed(model.bike, change))}
    worst = np.full(len(every), np.inf)
    for key, band in problem.targets.items():
        assert band.low is not None
        assert band.high is not None
        sag = told_sags[key]
        half = (band.high - band.low) / 2
        worst = np.minimum(worst, np.minimum(sag - band.low, band.high - sag) / half)
    moved = np.stack([every[:, 0] != 0, ~np.isnan(every[:, 1]), every[:, 2] != 0, ~np.isnan(every[:, 3])])
    masks = (moved * np.array([[1], [2], [4], [8]])).sum(axis=0)
    met = {int(mask): float(worst[masks == mask].max()) for mask in set(masks.tolist())}
    solved = {mask: min(margin, 1.0) for mask, margin in met.items() if margin >= 0}
    least = [m for m in solved if not any(n != m and n & m == n for n in solved)]
    return sorted(least), solved


_BITS = {"front.preload_mm": 1, "front.spring_rate": 2, "rear.preload_mm": 4, "rear.spring_rate": 8}


@settings(max_examples=60, deadline=None)
@given(problems())
def test_no_set_is_missed_and_none_has_a_change_too_many(drawn: tuple[dict[str, Any], Problem]) -> None:
    _, problem = drawn
    least, margins = brute(problem)
    found = point(problem)
    # a band touched to within rounding may be told either way
    assume(all(margin > 1e-6 for margin in margins.values()))
    masks = [sum(_BITS[step.lever] for step in one.steps) for one in found.solutions]
    assert sorted(set(masks)) == least
    for mask in least:
        best = max(one.margin for one, other in zip(found.solutions, masks, strict=True) if other == mask)
        assert best >= margins[mask] - 0.0051 - 1e-6


def test_geometry_and_sags_together_against_every_place() -> None:
    document = whole()
    document["adjusters"][0] = adjuster("front.preload", 4, 12, unit="click")
    document["adjusters"][1] = adjuster("rear.preload", 4, 12, unit="click")
    targets = SAGS_FRONT | SAGS_REAR | {"ground_trail_rider_aboard": (96.9, 97.4)}
    problem = ask(document, targets, limits={"ride_height": [-3, 6]}, **ALL)
    model = model_of(problem.case, uncertain=False)
    moves, _ = moves_of(problem, model)
    every = np.array(list(itertools.product(*(range(len(move.by)) for move in moves))), dtype=np.intp)
    assert len(every) == 13 * 13 * 10 * 10
    met = np.ones(len(every), dtype=bool)
    wanted = dict(problem.targets)
    for start in range(0, len(every), 2000):
        now = changed(model.bike, change_of(moves, every[start : start + 2000]))
        for value in itertools.chain(sags(now), standing(model.base, now)):
            if value.key in wanted:
                band, numbers = wanted[value.key], value.numbers[:, 0]
                met[start : start + 2000] &= (numbers >= band.low) & (numbers <= band.high)
    masks = ((every > 0) * np.array([1, 2, 4, 8])).sum(axis=1)
    solved = set(masks[met].tolist())
    least = {m for m in solved if not any(n != m and n & m == n for n in solved)}
    found = point(problem)
    assert found.complete
    bits = {move.lever: 1 << place for place, move in enumerate(moves)}
    assert {sum(bits[step.lever] for step in one.steps) for one in found.solutions} == least
    assert least


# Judging.


@pytest.mark.parametrize(
    ("pairs", "low", "high", "says"),
    [
        ([(36, 3)], 33, 40, "certain"),
        ([(36, 4)], 33, 40, "likely"),
        ([(34, 4)], 33, 40, "cannot_tell"),
        ([(30, 2)], 33, 40, "misses"),
        ([(30, 4)], 33, 40, "cannot_tell"),
        ([(25, 5), (22, 2)], 20, None, "certain"),
        ([(25, 5), (22, 3)], 20, None, "likely"),
        ([(25, 5), (15, 3)], 20, None, "misses"),
    ],
)
def test_verdicts_by_hand(pairs: list[tuple[float, float]], low: float, high: float | None, says: str) -> None:
    assert verdict(pairs, low, high) == says


def test_a_bracket_is_inside_with_both_its_ends() -> None:
    found = point(ask(whole(), {"sag_rider_aboard.front": (36, 40), "reserve_normal.front": (24, None)}))
    for one in found.solutions:
        reserve = next(outcome for outcome in one.outcomes if outcome.target == "reserve_normal.front")
        assert reserve.other is not None
        assert min(reserve.value, reserve.other) >= 24
    assert found.solutions


def test_what_cannot_be_judged_is_told_with_what_is_missing() -> None:
    document = whole()
    for quantity in ("deepest_hardest", "swingarm_length", "swingarm_angle", "bodywork_gap"):
        document = without(document, quantity)
    targets: dict[str, tuple[float | None, float | None]] = {
        "sag_rider_aboard.front": (33, 40),
        "reserve_hardest.front": (5, None),
        "swingarm_angle_rider_aboard": (5, 10),
        "clearance.front": (8, None),
    }
    found = point(ask(document, targets))
    assert {one.target: one.missing for one in found.cannot_judge} == {
        "reserve_hardest.front": ("deepest_hardest.front",),
        "swingarm_angle_rider_aboard": ("swingarm_length", "swingarm_angle"),
        "clearance.front": ("bodywork_gap.front",),
    }
    assert found.solutions
    nothing = point(ask(document, {"reserve_hardest.front": (5, None)}))
    assert nothing.reason is not None
    assert (nothing.reason.kind, nothing.solutions, nothing.compromise) == ("nothing_to_judge", (), None)


def test_a_demand_that_used_all_the_stroke_is_not_judged() -> None:
    document = whole() | {"answers": {"bottomed.front": "yes"}}
    found = point(ask(document, {"reserve_hardest.front": (5, None)}))
    assert [(one.target, one.reason) for one in found.cannot_judge] == [("reserve_hardest.front", "censored")]
    levelled = whole() | {"front_architecture": "semi_active"}
    found = point(ask(levelled, {"sag_rider_aboard.front": (33, 40)}))
    assert [one.reason for one in found.cannot_judge] == ["levelling"]


def test_an_end_without_readings_names_them() -> None:
    found = point(ask(fork(15, 45), {"sag_rider_aboard.rear": (28, 35)}))
    (one,) = found.cannot_judge
    assert {"length_topped_out.rear", "stroke.rear"} <= set(one.missing)


# Limits, faults, order, speed.


def test_same_problem_same_answer() -> None:
    targets = SAGS_FRONT | SAGS_REAR | {"reserve_normal.front": (20, None), "rake_rider_aboard": (23.8, 24.3)}
    first = solve(ask(whole(), targets, parts=EIGHT, **ALL))
    backwards = {key: targets[key] for key in reversed(list(targets))}
    rates = {name: list(reversed(each)) for name, each in EIGHT.items()}
    other = solve(ask(whole(), backwards, parts=rates, **ALL))
    assert solutions_to_json(first) == solutions_to_json(other)
    json.dumps(solutions_to_json(first), allow_nan=False)


@pytest.mark.parametrize(
    "extra",
    [
        {},
        {"brake_reserve_limit.front": (60, None)},
        {"rake_rider_aboard": (18, 18.5), "brake_reserve_firm.front": (60, None), "ride_frequency_ratio": (2, 3)},
    ],
)
def test_evaluations_are_bounded(extra: dict[str, tuple[float | None, float | None]]) -> None:
    document = whole()
    document["readings"] += [row("oil_level", 110), row("tube_bore", 37)]
    document["adjusters"] = [
        adjuster("front.preload", 100, 400, unit="click", step_mm=0.05),
        adjuster("rear.preload", 100, 400, unit="click", step_mm=0.05),
        document["adjusters"][2],
    ]
    parts = {"front_rates": np.linspace(6, 14, 64).tolist(), "rear_rates": np.linspace(60, 150, 64).tolist()}
    limits = {"ride_height": [-20, 20], "oil_level": [60, 180]}
    problem = ask(document, SAGS_FRONT | SAGS_REAR | extra, parts=parts, limits=limits, **ALL)
    found = point(problem)
    assert 0 < found.evaluations <= MOST_ROWS
    assert not found.complete
    for one in found.solutions:
        for step in one.steps:
            assert step.by == pytest.approx(round(step.by)) or step.part
    json.dumps(solutions_to_json(found), allow_nan=False)


def test_two_ends_with_eight_springs_each_are_quick() -> None:
    problem = ask(whole(), SAGS_FRONT | SAGS_REAR | {"reserve_normal.front": (20, None)}, parts=EIGHT, **ALL)
    best = math.inf
    for _ in range(7):
        start = time.perf_counter()
        found = point(problem)
        best = min(best, time.perf_counter() - start)
    assert found.solutions
    assert best < 0.060


def faults(**more: Any) -> dict[str, str]:
    with pytest.raises(EngineInputError) as caught:
        problem_from_json(fork(15, 45) | more)
    return {fault.path: fault.reason for fault in caught.value.faults}


def test_every_fault_is_told_at_once() -> None:
    found = faults(
        targets={"sag_rider_aboard.front": {"low": 40, "high": 33}, "sag.front": {"low": 1}, "brake_limit": {}},
        parts={"front_rates": [-9.0, 9.0, float("nan"), "9"], "rear_rates": 90},
        limits={"front_preload": [5, -5], "ride_height": [1], "fork_mark": 900, "oil_level": [0, 9000]},
        client={"skill": "wizard", "budget": 3},
        readings=[row("stroke", -5, end="front")],
        nonsense=1,
    )
    assert found == {
        "nonsense": "unknown_field",
        "readings[0].value": "below_physical_limit",
        "targets.sag_rider_aboard.front": "upside_down",
        "targets.sag.front": "unknown_target",
        "targets.brake_limit": "no_band",
        "parts.front_rates[0]": "out_of_range",
        "parts.front_rates[2]": "out_of_range",
        "parts.front_rates[3]": "wrong_type",
        "parts.rear_rates": "wrong_type",
        "limits.front_preload": "upside_down",
        "limits.ride_height": "wrong_type",
        "limits.fork_mark": "out_of_range",
        "limits.oil_level": "out_of_range",
        "client.skill": "unknown_skill",
        "client.budget": "wrong_type",
    }


def test_targets_are_asked_for() -> None:
    assert faults() == {"targets": "missing_field"}
    assert faults(targets={}) == {"targets": "too_few"}
    assert faults(targets=[1]) == {"targets": "wrong_type"}
    assert faults(targets={"brake_limit": {"low": float("inf")}}) == {"targets.brake_limit": "not_finite"}
    with pytest.raises(EngineInputError):
        problem_from_json(3)


def test_a_problem_made_by_hand_is_held_to_the_same() -> None:
    case = read_document(fork(15, 45))
    with pytest.raises(EngineInputError) as caught:
        solve(Problem(case, {"nothing": Band(1, 0)}, limits=Limits(ride_height=(4, 2))))
    assert {fault.reason for fault in caught.value.faults} == {"unknown_target", "upside_down"}
    with pytest.raises(EngineInputError):
        solve(ask(fork(15, 45) | {"front_architecture": "hub_centre"}, SAGS_FRONT))
