"""Sets of changes: plain coils worked by hand, what cannot be met and why, verdicts, bounds and speed."""

import contextlib
import json
import math
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.documents import JUNK, SOUND
from tests.engine.solving import (
    ALL,
    EIGHT,
    RATE,
    SAGS_FRONT,
    SAGS_REAR,
    adjuster,
    ask,
    by,
    fork,
    point,
    row,
    whole,
    without,
)
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.solve import Band, Limits, Problem, problem_from_json, solutions_to_json, solve
from tuning.engine.solve_intervals import verdict
from tuning.engine.solve_problem import TARGETS
from tuning.engine.solve_values import MOST_ROWS


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
        ("front.spacer_mm", "range_unknown"),
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


def test_sags_too_near_to_tell_a_rate_are_not_judged() -> None:
    # 2 mm apart, read to ±3 by friction: any spring might do that
    document = without(fork(30, 32), "spring_rate")
    found = point(ask(document, {"sag_rider_aboard.front": (33, 40)}))
    assert [(one.target, one.reason, one.missing) for one in found.cannot_judge] == [
        ("sag_rider_aboard.front", "unresolved", ("spring_rate.front",))
    ]
    assert found.solutions == ()


def test_a_band_of_no_width_is_met_to_within_rounding() -> None:
    for high in (37.0, math.nextafter(37.0, 38)):
        (one,) = point(ask(fork(15, 45), {"sag_rider_aboard.front": (37.0, high)})).solutions
        assert by(one) == {"front.preload_mm": 8.0}
        assert one.margin == pytest.approx(0, abs=1e-6)
    found = point(ask(fork(15, 45), {"sag_rider_aboard.front": (37.1, 37.1)}))
    assert found.compromise is not None
    # 5 mm counts as far
    assert found.compromise.margin == pytest.approx(-0.1 / 5, abs=1e-6)


def test_an_end_without_readings_names_them() -> None:
    found = point(ask(fork(15, 45), {"sag_rider_aboard.rear": (28, 35)}))
    (one,) = found.cannot_judge
    assert {"length_topped_out.rear", "stroke.rear"} <= set(one.missing)


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


_BAND = st.tuples(st.floats(-20, 60), st.floats(0, 60)).map(lambda pair: {"low": pair[0], "high": sum(pair)})
_TARGETS = st.dictionaries(st.sampled_from(sorted(TARGETS)), _BAND, min_size=1, max_size=4)


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(SOUND, _TARGETS, st.lists(st.floats(1, 300), max_size=4))
def test_any_sound_document_has_an_answer_or_a_reason(
    drawn: dict[str, Any], targets: dict[str, Any], rates: list[float]
) -> None:
    base = whole()
    told = {(one["quantity"], one.get("end")) for one in base["readings"]}
    base["readings"] += [one for one in drawn["readings"] if (one["quantity"], one.get("end")) not in told]
    parts = {"front_rates": rates, "rear_rates": rates}
    for document in (drawn, base):
        try:
            problem = problem_from_json({**document, "targets": targets, "parts": parts, **ALL})
            found = solve(problem)
        except EngineInputError:
            continue
        assert bool(found.solutions) != bool(found.reason)
        assert found.evaluations <= MOST_ROWS
        assert set(targets) == {one.target for one in (*found.as_found, *found.cannot_judge)}
        json.dumps(solutions_to_json(found), allow_nan=False)


@given(JUNK, JUNK, JUNK, JUNK)
def test_junk_is_refused(targets: Any, parts: Any, limits: Any, client: Any) -> None:
    document = fork(15, 45) | {"targets": targets, "parts": parts, "limits": limits, "client": client}
    for junk in (document, targets):
        with contextlib.suppress(EngineInputError):
            problem_from_json(junk)
