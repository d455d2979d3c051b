"""Answers held against a search over every place, against the outlook, and against documents with the change made."""

import copy
import itertools
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.engine.solving import (
    ALL,
    EIGHT,
    SAGS_FRONT,
    SAGS_REAR,
    adjuster,
    ask,
    fork,
    point,
    row,
    whole,
)
from tuning.engine.bike import Bike, Change, changed
from tuning.engine.document import read_document
from tuning.engine.levers import Wish
from tuning.engine.outlook import outlook, sags, standing
from tuning.engine.solve import Problem, solve
from tuning.engine.solve_answers import VERDICTS, Solution, Step
from tuning.engine.solve_levers import moves_of
from tuning.engine.solve_problem import CHANGE, TARGETS
from tuning.engine.solve_values import Teller, change_of
from tuning.engine.whatif import Model, model_of, what_if

pytestmark = pytest.mark.slow


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


def test_a_coarse_search_has_no_change_too_many_either() -> None:
    document = whole()
    document["adjusters"] = [
        adjuster("front.preload", 100, 300, unit="click", step_mm=0.05),
        adjuster("rear.preload", 100, 300, unit="click", step_mm=0.08),
        document["adjusters"][2],
    ]
    parts = {"front_rates": np.linspace(8, 13, 40).tolist(), "rear_rates": np.linspace(80, 120, 40).tolist()}
    targets = SAGS_FRONT | SAGS_REAR | {f"rake_rider_aboard{CHANGE}": (-0.3, -0.1)}
    limits = {"ride_height": [-10, 10]}
    problem = ask(document, targets, parts=parts, limits=limits, **ALL)
    found = point(problem)
    assert not found.complete
    assert found.solutions
    for one in found.solutions:
        for size in range(one.count):
            for some in itertools.combinations(one.steps, size):
                assert not meets(problem, some)
        assert meets(problem, one.steps)


def meets(problem: Problem, steps: tuple[Step, ...]) -> bool:
    wishes = [
        Wish(step.lever, to=step.to) if step.part else Wish((*step.adjusters, step.lever)[0], by=step.by)
        for step in steps
    ]
    found = what_if(problem.case, wishes, uncertain=False)
    for key, band in problem.targets.items():
        plain = key.removesuffix(CHANGE)
        value = (found.difference if plain != key else found.after)[plain].value
        assert value is not None
        assert band.low is not None
        assert band.high is not None
        if not band.low - 1e-6 <= value <= band.high + 1e-6:
            return False
    return True
