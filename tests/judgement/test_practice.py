"""A shop's practice laid over the shipped data: what it changes, what is refused, and that the shipped data stay."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.judgement.bikes import bike, findings
from tests.judgement.build import dossier
from tests.judgement.cases import CASES
from tuning.engine.case import DISCIPLINES
from tuning.engine.errors import EngineInputError
from tuning.judgement import assess, draft, rank
from tuning.judgement.practice import (
    BOUNDS,
    SHIPPED,
    STEPS,
    faults_of,
    fixed_rule,
    practice_of,
    shipped_rules,
    strengths_of,
    tidied,
)
from tuning.judgement.rulebook import SENTENCES, TARGETS

FRONT = "sag_rider_aboard.front"


def refused(content: object) -> dict[str, str]:
    return {fault.path: fault.reason for fault in faults_of(content)}


def test_nothing_of_its_own_is_the_shipped_practice() -> None:
    own = practice_of({}, 3)
    assert own.version == 3
    assert (own.targets, own.rules, own.cause_rules) == (SHIPPED.targets, SHIPPED.rules, SHIPPED.cause_rules)
    assert draft(dossier({FRONT: 28}), own) == draft(dossier({FRONT: 28}))


def test_a_band_of_its_own_is_judged_by_and_named() -> None:
    case = dossier({FRONT: 31.5})
    discipline = case.case.discipline
    own = practice_of({"targets": {discipline: {FRONT: {"low": 28.0, "high": 34.0}}}}, 2)
    found = {row.key: row for row in assess(case, own).findings}[FRONT]
    assert found.verdict == "in_band"
    assert found.target.source == "the shop's own practice, version 2"
    assert {row.key: row for row in assess(case).findings}[FRONT].verdict == "below"
    assert TARGETS[discipline] == SHIPPED.targets[discipline]


def test_a_smaller_damping_step() -> None:
    case = dossier(answers={"settle.rear": "many_bounces", "fluid_age": "under_two_years"})
    sizes = []
    for share in (0.10, 0.15):
        change = draft(case, practice_of({"steps": {"damping_share": share}}, 1)).changes[0]
        assert change.target is not None
        assert change.start is not None
        sizes.append(abs(change.target - change.start))
    assert sizes[0] < sizes[1]


@pytest.mark.parametrize("rule", [key for key in shipped_rules() if key.startswith("draft.") and not fixed_rule(key)])
def test_a_rule_that_is_not_followed_proposes_nothing(rule: str) -> None:
    case = CASES[rule.removeprefix("draft.")][0]
    own = practice_of({"rules": {rule: {"off": "not here"}}}, 1)
    assert rule.removeprefix("draft.") in {change.rule for change in draft(case).changes}
    assert rule.removeprefix("draft.") not in {change.rule for change in draft(case, own).changes}
    assert own.off == {rule: "not here"}


def test_the_strength_of_a_cause_moves_its_prior() -> None:
    case = bike("rear_kicks@rear")
    first = rank(case, findings(case))[0]
    rule = f"cause.{first.rules[0]}"
    weights = {}
    for strength in strengths_of(rule):
        own = practice_of({"rules": {rule: {"strength": strength}}}, 1)
        again = {cause.key: cause for cause in rank(case, findings(case), own.cause_rules)}
        weights[strength] = again[first.key].prior
    assert weights["weak"] <= weights["fair"] <= weights["strong"]
    assert weights["weak"] < weights["strong"]


def on_track(low: object, high: object) -> dict[str, Any]:
    return {"targets": {"track": {FRONT: {"low": low, "high": high}}}}


LOW, HIGH, MORE = f"targets.track.{FRONT}.low", f"targets.track.{FRONT}.high", "draft.preload_more"
REFUSED = [
    ([], "", "not_a_table"),
    ({"colours": {}}, "colours", "unknown_table"),
    ({"targets": 4}, "targets", "not_a_table"),
    ({"targets": {"drag": {}}}, "targets.drag", "unknown_discipline"),
    ({"targets": {"track": {"sag.front": {}}}}, "targets.track.sag.front", "unknown_target"),
    ({"targets": {"track": {FRONT: {"low": 3}}}}, f"targets.track.{FRONT}", "not_a_band"),
    (on_track(30, 30), LOW, "low_not_below_high"),
    (on_track(31, 30), LOW, "low_not_below_high"),
    (on_track(-1, 30), LOW, "out_of_bounds"),
    (on_track("x", 30), LOW, "not_a_number"),
    (on_track(1, float("inf")), HIGH, "not_a_number"),
    ({"steps": {"damping_share": 0.2}}, "steps.damping_share", "out_of_bounds"),
    ({"steps": {"clearance_mm": 5}}, "steps.clearance_mm", "out_of_bounds"),
    ({"steps": {"height_mm": True}}, "steps.height_mm", "not_a_number"),
    ({"steps": {"leap": 1}}, "steps.leap", "unknown_step"),
    ({"rules": {"draft.none": {"off": "x"}}}, "rules.draft.none", "unknown_rule"),
    ({"rules": {"draft.legs_even": {"off": "x"}}}, "rules.draft.legs_even", "rule_is_needed"),
    ({"rules": {MORE: {"off": " "}}}, f"rules.{MORE}.off", "no_reason"),
    ({"rules": {MORE: {"strength": "weak"}}}, f"rules.{MORE}.strength", "unknown_strength"),
    ({"rules": {MORE: {}}}, f"rules.{MORE}", "not_a_rule"),
    ({"texts": {"xx": {}}}, "texts.xx", "unknown_language"),
    ({"texts": {"en": {"hello": "x"}}}, "texts.en.hello", "unknown_sentence"),
    ({"texts": {"en": {"stop_leak": "Ride on."}}}, "texts.en.stop_leak", "sentence_is_fixed"),
    ({"texts": {"en": {"fluid_old": " "}}}, "texts.en.fluid_old", "empty_text"),
    ({"texts": {"en": {"bottomed": "It hit the end."}}}, "texts.en.bottomed", "missing_parameters"),
    ({"texts": {"en": {"bottomed": "%(end)s %(sag_mm)s"}}}, "texts.en.bottomed", "strange_parameters"),
    ({"texts": {"en": {"bottomed": "%(end)s to 100 %"}}}, "texts.en.bottomed", "stray_percent"),
    ({"texts": {"en": {"bottomed": "%(end)s" * 100}}}, "texts.en.bottomed", "too_long"),
]


@pytest.mark.parametrize(("content", "path", "reason"), REFUSED)
def test_what_is_refused_and_where(content: object, path: str, reason: str) -> None:
    assert refused(content) == {path: reason}
    if isinstance(content, dict):
        with pytest.raises(EngineInputError):
            practice_of(content, 1)


def bands() -> st.SearchStrategy[Any]:
    def band(unit: str) -> st.SearchStrategy[Any]:
        low, high = BOUNDS[unit]
        pair = st.lists(st.floats(low, high), min_size=2, max_size=2, unique=True).map(sorted)
        return pair.map(lambda edges: {"low": edges[0], "high": edges[1]})

    def table(name: str) -> st.SearchStrategy[Any]:
        return st.fixed_dictionaries({}, optional={row.key: band(row.unit) for row in TARGETS[name]})

    return st.fixed_dictionaries({}, optional={name: table(name) for name in DISCIPLINES})


def contents() -> st.SearchStrategy[Any]:
    keys = [key for key in shipped_rules() if not fixed_rule(key)]
    rule = st.sampled_from(keys).flatmap(
        lambda key: st.tuples(
            st.just(key),
            st.one_of(
                st.sampled_from(strengths_of(key)).map(lambda one: {"strength": one}),
                st.just({"off": "not in this shop"}),
            ),
        )
    )
    text = st.sampled_from([name for name in SENTENCES if not name.startswith("stop_")]).map(
        lambda name: (name, "Ours: " + " ".join(f"%({one})s" for one in SENTENCES[name]))
    )
    return st.fixed_dictionaries(
        {},
        optional={
            "targets": bands(),
            "steps": st.fixed_dictionaries(
                {}, optional={name: st.floats(step.low, step.high) for name, step in STEPS.items()}
            ),
            "rules": st.lists(rule, max_size=6).map(dict),
            "texts": st.lists(text, max_size=4).map(lambda rows: {"en": dict(rows)}),
        },
    )


@given(contents())
@settings(max_examples=60, deadline=None)
def test_a_sound_practice_is_kept_as_it_is(content: dict[str, Any]) -> None:
    assert refused(content) == {}
    tidy = tidied(content)
    assert tidied(tidy) == tidy
    assert refused(tidy) == {}
    one, other = practice_of(tidy, 1), practice_of(content, 1)
    assert (one.rules, one.cause_rules, one.off) == (other.rules, other.cause_rules, other.off)
    assert (one.damping_share, one.height_mm, one.clearance_mm) == (
        other.damping_share,
        other.height_mm,
        other.clearance_mm,
    )
    for name, rows in one.targets.items():
        assert [(row.low, row.high) for row in rows] == [(row.low, row.high) for row in other.targets[name]]


NAMES = [*"targets steps rules texts track low high damping_share off strength en bottomed".split(), FRONT, MORE]
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=8),
    lambda inner: st.dictionaries(st.sampled_from(NAMES), inner, max_size=4) | st.lists(inner, max_size=2),
    max_leaves=12,
)


@given(ANYTHING)
@settings(max_examples=150, deadline=None)
def test_anything_is_taken_or_refused_with_its_place(content: Any) -> None:
    faults = list(faults_of(content))
    if not faults:
        assert practice_of(content, 1).version == 1
        tidied(content)
    assert all(fault.reason for fault in faults)
