"""The tree of steps: where each branch leads, what never follows, and that every step can be stopped and put back."""

from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings

from tests.judgement.build import dossier
from tests.judgement.cases import CASES
from tests.judgement.test_properties import dossiers
from tests.judgement.trees import NO_TREE, TREES
from tuning.judgement import draft
from tuning.judgement.followbook import (
    ANSWERING,
    FIGHTS,
    FOLLOWS,
    TOGETHER,
    read_answering,
    read_fights,
    read_follows,
    read_together,
)
from tuning.judgement.model import Change, Dossier, Draft
from tuning.judgement.moves import apply, damping_target, sense, undo
from tuning.judgement.roundbook import ANSWERS
from tuning.judgement.rulebook import PROCEDURES, RulebookError
from tuning.judgement.tree import MOST, Tree, tree

Sets = tuple[tuple[str, float | None, float | None], ...]
Told = tuple[str, Sets, tuple[str, ...]]


def made(case: Dossier, **more: Any) -> tuple[Tree, dict[str, Change]]:
    proposal = draft(case)
    found = tree(case, proposal, **more)
    return found, {change.key: change for change in (*proposal.changes, *found.changes)}


def told(case: Dossier, **more: Any) -> list[Told]:
    found, changes = made(case, **more)
    return [
        (
            step.id,
            tuple((changes[key].adjuster, changes[key].start, changes[key].target) for key in step.changes),
            tuple(f"{row.condition.id} {row.goto} {row.to}".strip() for row in step.branches),
        )
        for step in found.steps
    ]


@pytest.mark.parametrize("name", TREES)
def test_the_tree_is_what_a_tuner_would_write(name: str) -> None:
    case, expected = TREES[name]
    assert told(case) == expected


@pytest.mark.parametrize("name", NO_TREE)
def test_nothing_follows_what_must_be_measured_afresh(name: str) -> None:
    assert made(NO_TREE[name])[0] == Tree()


@pytest.mark.parametrize("rule", [row.id for row in FOLLOWS])
def test_a_tree_changes_when_the_rule_is_taken_away(rule: str) -> None:
    rest = tuple(row for row in FOLLOWS if row.id != rule)
    assert any(told(case, follows=rest) != expected for case, expected in TREES.values())


def test_a_pair_that_fights_is_not_in_one_tree() -> None:
    case = TREES["bounces and runs wide"][0]
    both = read_fights([FIGHT | {"other": "compression firmer"}])
    assert [step.id for step in made(case, fights=both)[0].steps] == ["first", "further"]


def test_each_step_has_its_own_stop_rule() -> None:
    # Too much rebound packs down and gets harsh; too much compression is stiff (data of the rounds).
    found, _ = made(TREES["bounces and runs wide"][0])
    first, further, other = (
        {said.params["symptom"] for said in step.stop if said.id == "tree_stop_overdone"} for step in found.steps
    )
    assert first == further == {"harsh_series.rear", "packs_down.rear"}
    assert other
    assert other.isdisjoint(first)


def test_steps_are_dropped_and_reordered_and_the_branches_follow() -> None:
    case = TREES["bounces and runs wide"][0]
    turned = told(case, order=("other.compression.rear", "further"))
    assert [name for name, _, _ in turned] == ["first", "other.compression.rear", "further"]
    assert turned[0][2][1:3] == ("tree_better next further", "tree_same back other.compression.rear")
    without = told(case, order=("other.compression.rear",))
    # Without the step further, what helped stays and the next likely thing comes on top.
    assert without[0][2][1] == "tree_better next other.compression.rear"
    assert made(case, order=())[0] == Tree()
    strange = made(case, order=("first", "moon", "further", "further"))[0]
    assert strange == made(case, order=("further",))[0]


def test_numbers_follow_the_draft_as_the_tuner_has_it() -> None:
    case = TREES["packs down"][0]
    proposal = draft(case)
    edited = replace(proposal, changes=tuple(replace(row, target=14.0) for row in proposal.changes))
    # Four clicks, so half of that is two.
    assert [(row.start, row.target) for row in tree(case, edited).changes] == [(14.0, 16.0)]
    two = replace(proposal, changes=(*proposal.changes, replace(proposal.changes[0], key="x", kind="compression")))
    assert tree(case, two) == Tree()


@settings(deadline=None)
@given(dossiers())
def test_every_tree_is_safe_small_and_put_back(case: Dossier) -> None:
    found, changes = made(case)
    assert found == made(case)[0]
    if not found.steps:
        assert not found.changes
        return
    assert 2 <= len(found.steps) <= MOST
    assert found.steps[0].kind == "first"
    rows = {row.key: row for row in case.case.adjusters}
    places = {step.id: at for at, step in enumerate(found.steps)}
    deeds = []
    for step in found.steps:
        assert step.stop
        assert step.ride_test
        assert {row.condition.id for row in step.branches} >= {"tree_better", "tree_same", "tree_worse"}
        worse = next(row for row in step.branches if row.condition.id == "tree_worse")
        assert (worse.goto, worse.to) == ("back", "")
        assert all(not row.to or places[row.to] > places[step.id] for row in step.branches)
        mine = [changes[key] for key in step.changes]
        for change in mine:
            row, steps = rows[change.adjuster], PROCEDURES[change.kind]
            assert steps.skill == steps.skill_rear == "adjusters"
            assert (change.cautions, change.critical) == (steps.cautions, steps.critical)
            assert change.start is not None
            assert change.target is not None
            assert 0 <= change.target <= (row.range_counted or 0)
            goals = [goal for move in ("firmer", "softer") if (goal := damping_target(row, move)) is not None]
            assert abs(change.target - change.start) <= max(abs(goal - (row.found or 0)) for goal in goals)
        grows = (mine[0].target or 0) > (mine[0].start or 0)
        firmer = grows == (sense(rows[mine[0].adjuster], "firmer") > 0)
        deeds.append((mine[0].kind, mine[0].end, "firmer" if firmer else "softer"))
        there = apply(case.case, mine)
        assert apply(there, undo(Draft(tuple(mine), (), (), (), (), ()))) == apply(
            case.case, [replace(change, target=change.start) for change in mine]
        )
    for one, other in combinations(deeds, 2):
        pair = {(one[0], one[2]), (other[0], other[2])}
        assert one[1] != other[1] or not any({row.one, row.other} == pair for row in FIGHTS)
    told_ = {symptom.id for symptom in case.symptoms}
    for deed in deeds[1:]:
        if deed != deeds[0]:
            assert not ANSWERS[deed[0], deed[2], deed[1]].overdone & told_


RULE: dict[str, Any] = {
    "id": "r", "on": "better", "after": ["rebound"], "then": "further", "where": "same", "gates": ["damping"],
    "share": 0.5, "statement": "On.", "source": "common practice",
}  # fmt: skip


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"source": ""}, "no source"),
        ({"statement": ""}, "no statement"),
        ({"on": "worse"}, "nothing goes worse"),
        ({"where": "moon"}, "unknown place"),
        ({"gates": ["garden"]}, "unknown gate"),
        ({"gates": []}, "unknown gate"),
        ({"after": []}, "follows nothing"),
        ({"after": ["paint"]}, "unknown change paint"),
        ({"after": ["spring"]}, "spring is not put back by hand"),
        ({"after": ["fork_position"]}, "not put back by hand"),
        ({"then": "oil_level", "share": None}, "not put back by hand"),
        ({"share": 1.0}, "a part of the step before"),
        ({"then": "compression"}, "needs a share, and nothing else"),
        ({"on": "same"}, "only what helped goes further"),
        ({"where": "other"}, "only what helped goes further"),
        ({"when": 1}, "unknown entry"),
    ],
)
def test_faulty_rule_of_what_follows_is_refused(fault: dict[str, Any], reason: str) -> None:
    assert read_follows([RULE])[0].id == "r"
    with pytest.raises(RulebookError, match=rf"follow\.toml: r: .*{reason}"):
        read_follows([RULE | fault])


FIGHT: dict[str, Any] = {
    "id": "f", "one": "rebound firmer", "other": "rebound softer", "statement": "No.", "source": "common practice",
}  # fmt: skip


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"one": "rebound sideways"}, "unknown move"),
        ({"one": "rebound"}, "unknown move"),
        ({"one": "spring more"}, "not put back by hand"),
        ({"one": "rebound softer"}, "fights itself"),
        ({"source": ""}, "no source"),
    ],
)
def test_faulty_fight_is_refused(fault: dict[str, Any], reason: str) -> None:
    assert read_fights([FIGHT])[0].id == "f"
    with pytest.raises(RulebookError, match=rf"follow\.toml: f: .*{reason}"):
        read_fights([FIGHT | fault])
    with pytest.raises(RulebookError, match="the same pair twice"):
        read_fights([FIGHT, FIGHT | {"id": "g", "one": "rebound softer", "other": "rebound firmer"}])


TOGETHER_ROW: dict[str, Any] = {
    "id": "t", "change": "spring", "brings": "preload", "key": "{end}.x", "says": "after_spring", "statement": "So.",
    "source": "common practice",
}  # fmt: skip


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"brings": "paint"}, "unknown change paint"),
        ({"brings": "spring"}, "brings itself"),
        ({"says": "sing"}, "unknown sentence sing"),
        ({"says": "sag_above"}, "takes what nobody fills in"),
        ({"key": "{end}"}, "no key of its own"),
        ({"statement": ""}, "no statement"),
    ],
)
def test_faulty_companion_is_refused(fault: dict[str, Any], reason: str) -> None:
    assert read_together([TOGETHER_ROW])[0].id == "t"
    with pytest.raises(RulebookError, match=rf"follow\.toml: t: .*{reason}"):
        read_together([TOGETHER_ROW | fault])


def test_a_spring_brings_its_preload_and_a_height_its_chain() -> None:
    # Written cases of both; none of the two is done without the other.
    for rule, brought in (("spring_stiffer", "front.preload_afresh"), ("height_quicker", "chain_and_headlamp")):
        first, second = draft(CASES[rule][0]).changes
        assert (second.key, second.together, second.adjuster) == (brought, first.key, "")
    assert {row.id for row in TOGETHER} == {"spring_and_preload", "height_and_chain"}


def test_an_unknown_cause_is_refused() -> None:
    assert set(ANSWERING) <= set(read_answering(dict.fromkeys(ANSWERING, "rebound firmer")))
    with pytest.raises(RulebookError, match="moon: unknown cause"):
        read_answering({"moon": "rebound firmer"})


def test_a_tree_of_a_settled_complaint_is_none() -> None:
    assert made(dossier(symptoms=("pogo@rear",), answers={"fluid_age": "older"}))[0] == Tree()
