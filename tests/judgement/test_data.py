"""The data are refused when they do not fit together, by file, id and reason; the catalogue leaves nothing out."""

from typing import Any

import pytest

from tests.judgement.cases import CASES
from tuning.judgement import catalogue, draft
from tuning.judgement.findings import judge
from tuning.judgement.model import Target
from tuning.judgement.roundbook import read_answers, read_round_rules
from tuning.judgement.rulebook import PROCEDURES, RULES, SENTENCES, RulebookError, read_rules, read_targets, say

RULE: dict[str, Any] = {
    "id": "r", "gate": "sag", "ends": ["front"], "when": {"rider": ["above"]}, "change": "preload",
    "says": ["sag_above"], "strength": "certain", "source": "common practice", "move": "more",
}  # fmt: skip


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"source": ""}, "no source"),
        ({"when": {"moon": ["full"]}}, "unknown fact moon"),
        ({"when": {"rider": ["sideways"]}}, "never has one of"),
        ({"says": ["sing"]}, "unknown sentence sing"),
        ({"change": "paint"}, "unknown change paint"),
        ({"gate": "garden"}, "unknown gate garden"),
    ],
)
def test_faulty_rule_is_refused_by_file_id_and_reason(fault: dict[str, Any], reason: str) -> None:
    assert read_rules([RULE], SENTENCES, PROCEDURES)[0].id == "r"
    with pytest.raises(RulebookError, match=rf"rules\.toml: r: .*{reason}"):
        read_rules([RULE | fault], SENTENCES, PROCEDURES)


def test_target_without_source_is_refused() -> None:
    row = {"disciplines": ["track"], "key": "k", "low": 1, "high": 2, "unit": "mm"}
    with pytest.raises(RulebookError, match="no source"):
        read_targets([row])


def test_sentence_with_wrong_parameters_is_refused() -> None:
    with pytest.raises(RulebookError, match="bottomed"):
        say("bottomed")


def test_every_rule_has_its_case() -> None:
    assert set(CASES) == {rule.id for rule in RULES}


def test_all_that_is_emitted_is_in_the_catalogue() -> None:
    for case, _ in CASES.values():
        made = draft(case)
        said = [*made.stop, *made.questions, *made.notes, *(item for change in made.changes for item in change.why)]
        assert all(set(item.params) == set(catalogue.SAID_IDS[item.id]) for item in said)
        for change in made.changes:
            assert change.kind in catalogue.CHANGE_KINDS
            assert set(change.how) <= set(catalogue.HOW_IDS)
            assert set(change.verify) <= set(catalogue.VERIFY_IDS)
            assert set(change.cautions) <= set(catalogue.CAUTION_IDS)


def test_without_a_number_nothing_is_told() -> None:
    found = judge(None, Target("sag_rider_aboard.front", 33, 40, "mm", "common practice"))
    assert (found.verdict, found.certain, found.worth_acting) == ("cannot_tell", False, False)


ROUND_RULE: dict[str, Any] = {
    "id": "r", "does": "undo", "on": ["worse"], "says": ["round_undone"], "statement": "Back.",
    "source": "common practice",
}  # fmt: skip
ANSWER: dict[str, Any] = {
    "kind": "rebound", "move": "firmer", "ends": ["rear"], "cures": ["pogo"], "overdone": ["packs_down"],
    "source": "common practice",
}  # fmt: skip


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"source": ""}, "no source"),
        ({"statement": ""}, "no statement"),
        ({"does": "sing"}, "nothing does sing"),
        ({"on": ["splendid"]}, "never given"),
        ({"says": ["sing"]}, "unknown sentence"),
        ({"says": []}, "unknown sentence"),
        ({"limit_mm": 5}, "a limit needs limit_mm"),
        ({"does": "limit_round"}, "a limit needs limit_mm"),
        ({"does": "limit_round", "limit_mm": 0}, "lets nothing move"),
        ({"when": 1}, "unknown entry"),
    ],
)
def test_faulty_rule_over_the_rounds_is_refused(fault: dict[str, Any], reason: str) -> None:
    assert read_round_rules([ROUND_RULE])[0].id == "r"
    with pytest.raises(RulebookError, match=rf"rounds\.toml: r: .*{reason}"):
        read_round_rules([ROUND_RULE | fault])


def test_two_rules_over_the_rounds_never_do_the_same() -> None:
    with pytest.raises(RulebookError, match="two rules do undo"):
        read_round_rules([ROUND_RULE, ROUND_RULE | {"id": "s"}])
    with pytest.raises(RulebookError, match="no says"):
        read_round_rules([{name: value for name, value in ROUND_RULE.items() if name != "says"}])


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"source": ""}, "no source"),
        ({"kind": "paint"}, "unknown change"),
        ({"move": "sideways"}, "unknown move"),
        ({"ends": ["middle"]}, "unknown end"),
        ({"cures": []}, "answers nothing"),
        ({"cures": ["boredom"]}, "unknown complaint"),
        ({"overdone": ["pogo"]}, "both cured and brought"),
        ({"finding": "moon"}, "unknown value moon"),
        ({"ends": ["rear", "rear"]}, "told twice"),
    ],
)
def test_faulty_answer_to_a_complaint_is_refused(fault: dict[str, Any], reason: str) -> None:
    assert read_answers([ANSWER])["rebound", "firmer", "rear"].cures == {"pogo"}
    with pytest.raises(RulebookError, match=rf"rounds\.toml: .*{reason}"):
        read_answers([ANSWER | fault])
