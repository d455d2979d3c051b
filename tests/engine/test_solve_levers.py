"""Which levers are offered: in their adjuster's step, in its range, and to whom."""

import copy
import math
from typing import Any

import numpy as np
import pytest

from tests.engine.documents import example
from tests.engine.solving import (
    ALL,
    EIGHT,
    RATE,
    SAGS_FRONT,
    SAGS_REAR,
    ask,
    by,
    fork,
    levers,
    point,
    row,
    whole,
    without,
)
from tuning.engine.levers import Wish
from tuning.engine.solve_problem import CHANGE
from tuning.engine.whatif import what_if


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
    assert (spacer.by.min(), spacer.by.max(), spacer.skill, spacer.keys) == (-5, 6, "adjusters", ())


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
        "front.spacer_mm",
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


def test_a_spacer_reaches_where_the_adjuster_ends() -> None:
    # 4 turns of 60 are left: 45 comes to 41; 36.5 is 8.5 mm away, a spacer of 8 or 9 mm does it alone
    limits = {"front_spacer": [-20, 20]}
    asked = ask(fork(15, 45, found=56), {"sag_rider_aboard.front": (33, 40)}, limits=limits, **ALL)
    (one,) = point(asked).solutions
    assert (by(one), one.effort, one.skill) == ({"front.spacer_mm": 8.0}, 4, "home_workshop")
    # with 3 turns more to 33–34 neither does alone: 12 from the spacer at most
    limits = {"front_spacer": [-10, 10]}
    asked = ask(fork(15, 45, found=56), {"sag_rider_aboard.front": (33, 34)}, limits=limits, **ALL)
    (one,) = point(asked).solutions
    assert set(by(one)) == {"front.preload_mm", "front.spacer_mm"}
    assert one.outcomes[0].value == pytest.approx(45 - sum(by(one).values()))
    assert one.outcomes[0].value == pytest.approx(33.5)


def test_oil_keeps_reserve_and_leaves_the_sag() -> None:
    document = whole()
    document["readings"] += [row("oil_level", 130), row("tube_bore", 37)]
    targets = {"sag_rider_aboard.front": (44.0, 46.0), "reserve_normal.front": (21.0, None)}
    client = {"skill": "home_workshop", "budget": "none"}
    problem = ask(document, targets, limits={"oil_level": [90, 140]}, client=client)
    found = point(problem)
    # a smaller gap, in steps of 5 mm, no less than 90
    (one,) = found.solutions
    (step,) = one.steps
    assert (step.lever, step.start, step.unit, one.skill) == ("front.oil_level_mm", 130, "mm", "home_workshop")
    assert step.to in {90, 95, 100, 105, 110, 115, 120, 125}
    after = what_if(problem.case, [Wish("front.oil_level_mm", to=step.to)], uncertain=False).after
    for outcome in one.outcomes:
        name = outcome.target.replace("normal", "normal_by_force")
        assert after[name].value == pytest.approx(outcome.value)


def test_an_air_fork_is_set_by_its_pressure() -> None:
    document = example("air_fork")
    problem = ask(document, {"sag_rider_aboard.front": (100, 120)}, limits={"air_pressure": [300, 1400]})
    moves, _ = levers(problem)
    assert set(moves) == {"front.air_pressure_kpa"}
    (one,) = point(problem).solutions
    (step,) = one.steps
    assert step.by > 0
    assert 300 <= (step.to or 0) <= 1400
    after = what_if(problem.case, [Wish("front.air_pressure_kpa", by=step.by)], uncertain=False).after
    assert after["sag_rider_aboard.front"].value == pytest.approx(one.outcomes[0].value)
    assert 100 <= one.outcomes[0].value <= 120
