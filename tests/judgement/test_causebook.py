"""The causes' data are refused when they do not fit, by file, id and reason; the printed table is not stale."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tuning.engine.case import DISCIPLINES
from tuning.engine.vocabulary import SYMPTOMS
from tuning.judgement.causebook import (
    CAUSE_RULES,
    KINDS,
    PHASES,
    read_cause_rules,
    read_file,
    read_kinds,
    refuse_shadows,
)
from tuning.judgement.rulebook import RULES, RulebookError
from tuning.judgement.rules import page

ROOT = Path(__file__).parents[2]
KIND: dict[str, Any] = {
    "id": "too_hard", "ends": ["front", "rear"], "for": {"strong": {"settle": ["slow"]}},
}  # fmt: skip
RULE: dict[str, Any] = {
    "id": "r", "symptoms": ["harsh_single"], "cause": "too_hard", "says": "hard", "strength": "fair",
    "source": "published guides (2)", "for": {"fair": {"reserve": ["above"]}},
}  # fmt: skip


def rules(*rows: dict[str, Any], kind: dict[str, Any] | None = None) -> Any:
    return read_cause_rules(rows, read_kinds([kind or KIND]), "some.toml", "single_bump")


def test_the_plain_rule_is_taken() -> None:
    rule = rules(RULE)[0]
    assert (rule.id, rule.ends, rule.disciplines, rule.voices) == ("r", ("front", "rear"), DISCIPLINES, 2)
    assert rule.needs == ("reserve",)
    assert [(clause.ref, clause.states, clause.weight) for clause in rule.clauses] == [("reserve", ("above",), 0.8)]


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ({"source": ""}, "no source"),
        ({"source": "a friend"}, "not one of the ways to name a source"),
        ({"cause": "moon"}, "unknown cause moon"),
        ({"ends": ["middle"]}, "does not sit at"),
        ({"symptoms": []}, "no symptom"),
        ({"symptoms": ["sings"]}, "unknown symptom sings"),
        ({"phase": "parking"}, "unknown phase parking"),
        ({"disciplines": ["polo"]}, "unknown discipline"),
        ({"strength": "loud"}, "unknown strength loud"),
        ({"says": ""}, "no statement"),
        ({"felt": "nowhere"}, "unknown place"),
        ({"for": {"loud": {"reserve": ["above"]}}}, "unknown weight loud"),
        ({"for": {"fair": {"moon": ["full"]}}}, "unknown sign moon"),
        ({"for": {"fair": {"felt.moon": ["yes"]}}}, "unknown sign felt.moon"),
        ({"for": {"fair": {"reserve": ["sideways"]}}}, "never shows one of"),
        ({"for": {"fair": {"reserve": []}}}, "never shows one of"),
        ({"for": {"fair": {"reserve": ["bottomed", "below", "in_band", "above"]}}}, "would always speak"),
        (
            {"against": {"weak": {"reserve": ["above"]}}},
            r"contradictory or double clauses: reserve \['above'\] speaks twice",
        ),
        ({"for": {"strong": {"settle": ["slow"]}}}, "only repeats too_hard"),
        ({"for": {"fair": {"felt.harsh_single": ["yes"]}}}, "its own complaint|rule's own complaint"),
        ({"when": {"moon": ["full"]}}, "unknown sign moon"),
        ({"when": {"settle": ["slow"]}}, "may be unknown: make it evidence"),
        ({"when": {"load": ["crowded"]}}, "never shows one of"),
        ({"ends": ["rear"], "when": {"architecture": ["air"]}}, "unreachable: no rear has architecture"),
        ({"ends": ["front"], "symptoms": ["rear_kicks"]}, "unreachable: rear_kicks is felt at the rear"),
        (
            {"disciplines": ["track"], "for": {"fair": {"discipline": ["enduro"]}}},
            "clause on discipline can never speak",
        ),
        (
            {"disciplines": ["track"], "for": {"fair": {"discipline": ["track"]}}},
            "clause on discipline would always speak",
        ),
    ],
)
def test_faulty_rule_is_refused_by_file_id_and_reason(fault: dict[str, Any], reason: str) -> None:
    with pytest.raises(RulebookError, match=rf"some\.toml: r: .*({reason})"):
        rules(RULE | fault)


@pytest.mark.parametrize("name", ["symptoms", "cause", "says", "strength", "source"])
def test_a_rule_that_lacks_an_entry_is_refused(name: str) -> None:
    with pytest.raises(RulebookError, match=rf"some\.toml: r: no {name}"):
        rules({key: value for key, value in RULE.items() if key != name})


def test_a_mistyped_entry_is_not_passed_over() -> None:
    with pytest.raises(RulebookError, match=r"some\.toml: r: unknown entry \['aganist'\]"):
        rules(RULE | {"aganist": {"weak": {"reserve": ["below"]}}})


def test_a_file_that_is_not_toml_is_named(tmp_path: Path) -> None:
    path = tmp_path / "broken.toml"
    path.write_text("[[rule]\n", encoding="utf-8")
    with pytest.raises(RulebookError, match=r"broken\.toml: not TOML"):
        read_file(path)


def test_a_rule_that_its_kind_shuts_out_is_refused() -> None:
    air = KIND | {"ends": ["front"], "when": {"architecture": ["air"]}}
    with pytest.raises(RulebookError, match=r"some\.toml: r: unreachable: too_hard and the rule want different"):
        rules(RULE | {"when": {"architecture": ["coil"]}}, kind=air)


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        ([KIND, KIND], "twice the same id"),
        ([KIND | {"ends": ["side"]}], "unknown end"),
        ([KIND | {"opposite": "too_soft"}], "opposite too_soft does not know it"),
        ([KIND | {"ends": []}], "read at an end, and this cause has none"),
        ([KIND | {"for": {"fair": {"moon": ["full"]}}}], "unknown sign moon"),
    ],
)
def test_faulty_kind_is_refused(rows: list[dict[str, Any]], reason: str) -> None:
    with pytest.raises(RulebookError, match=rf"kinds\.toml: too_hard: .*{reason}"):
        read_kinds(rows)


def test_shadowed_and_double_rules_are_refused() -> None:
    one, other = rules(RULE, RULE | {"id": "s"})
    with pytest.raises(RulebookError, match=r"b\.toml: s: shadowed: r names too_hard for harsh_single too"):
        refuse_shadows({"a.toml": (one,), "b.toml": (other,)})
    with pytest.raises(RulebookError, match=r"b\.toml: r: twice the same id, also in a\.toml"):
        refuse_shadows({"a.toml": (one,), "b.toml": (one,)})
    # Elsewhere, or on another bike, it says something of its own.
    apart = rules(RULE | {"ends": ["front"]}, RULE | {"id": "s", "ends": ["rear"]})
    refuse_shadows({"a.toml": apart})
    ridden = rules(RULE | {"disciplines": ["track"]}, RULE | {"id": "s", "disciplines": ["enduro"]})
    refuse_shadows({"a.toml": ridden})


def test_the_rules_cover_phases_ends_and_disciplines() -> None:
    assert len(CAUSE_RULES) >= 80
    assert {rule.phase for rule in CAUSE_RULES} == set(PHASES)
    assert {end for rule in CAUSE_RULES for end in rule.ends} == {"front", "rear", ""}
    for discipline in DISCIPLINES:
        assert sum(discipline in rule.disciplines for rule in CAUSE_RULES) > 80
    told = {symptom for rule in CAUSE_RULES for symptom in rule.symptoms}
    assert told == {symptom for group in SYMPTOMS.values() for symptom in group}


def test_no_data_file_has_grown_too_long() -> None:
    for path in (ROOT / "tuning/judgement/data").rglob("*.toml"):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= 400, path.name


def test_the_table_names_every_rule_with_its_source_and_is_not_stale() -> None:
    text = page()
    for rule in CAUSE_RULES:
        row = next(line for line in text.splitlines() if line.startswith(f"| {rule.id} |"))
        assert row.endswith(f"| {rule.source} |")
    for name in (*KINDS, *(rule.id for rule in RULES)):
        assert f"| {name} |" in text
    stored = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
    assert stored == text, "run: python -m tuning.judgement.rules > docs/rules.md"


def test_the_table_is_printed_by_its_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tuning.judgement.rules"], cwd=ROOT, capture_output=True, check=True, text=True
    )
    assert done.stdout == page()
