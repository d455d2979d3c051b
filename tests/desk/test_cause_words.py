"""Every cause, statement, piece of evidence and deciding reading has words, in the reader's units."""

import re

import pytest

from intake.presentation import UnitPrefs
from tests.judgement.bikes import bike, findings, left, sag
from tests.judgement.judged import JUDGED
from tuning.desk import cause_words, evidence_words
from tuning.judgement.causebook import CAUSE_RULES, DECIDERS, EVIDENCE, KINDS, STATEMENTS
from tuning.judgement.causes import rank
from tuning.judgement.model import Said

METRIC, IMPERIAL = UnitPrefs.metric(), UnitPrefs.imperial()


def test_complete() -> None:
    assert set(cause_words.CAUSES) == set(KINDS)
    assert set(cause_words.STATEMENTS) == set(STATEMENTS)
    assert set(evidence_words.EVIDENCE) == set(EVIDENCE)
    assert set(evidence_words.DECIDE) == set(DECIDERS)


@pytest.mark.parametrize("name", sorted(EVIDENCE))
def test_evidence_takes_its_parameters(name: str) -> None:
    wanted = set(re.findall(r"%\((\w+)\)s", str(evidence_words.EVIDENCE[name])))
    assert wanted <= set(EVIDENCE[name])
    params = {"end": "front", "symptom": "pogo"}
    told = {param: params.get(param, 12.0) for param in EVIDENCE[name]}
    for prefs in (METRIC, IMPERIAL):
        text = evidence_words.evidence_text(Said(name, told), prefs)
        assert "%(" not in text
        assert "_" not in text
    unread = {param: params.get(param) for param in EVIDENCE[name]}
    assert "None" not in evidence_words.evidence_text(Said(name, unread), METRIC)


@pytest.mark.parametrize("name", STATEMENTS)
def test_a_statement_is_one_or_two_sentences(name: str) -> None:
    for end in ("front", "rear"):
        text = evidence_words.statement_text(Said(name, {"end": end}))
        assert text.endswith(".")
        assert "%(" not in text
        assert "the the" not in text


def test_a_statement_that_stands_at_both_ends_asks_for_the_end_or_names_none() -> None:
    for rule in CAUSE_RULES:
        template = str(cause_words.STATEMENTS[rule.says])
        named = set(re.findall(r"[a-z]+", template.lower())) & {"front", "fork", "rear"}
        assert len(rule.ends) == 1 or "%(end)s" in template or not named, rule.id


def test_every_judged_case_reads_in_words() -> None:
    for judged in JUDGED.values():
        for cause in rank(judged.case, findings(judged.case)):
            assert evidence_words.cause_text(cause)
            for item in (*cause.evidence_for, *cause.evidence_against):
                assert "%(" not in evidence_words.evidence_text(item.said, METRIC)
            if cause.decide:
                assert "%(" not in evidence_words.decide_text(cause.decide)


def test_numbers_are_in_the_readers_unit() -> None:
    # 25.4 mm is an inch (ISO 31-1).
    case = bike("harsh_single@front", values=left(front=25.4 * 2) | sag(front=36))
    found = next(cause for cause in rank(case, findings(case)) if cause.key == "compression_high.front")
    said = next(item.said for item in found.evidence_for if item.sign == "reserve")
    assert "2\u00a0in" in evidence_words.evidence_text(said, IMPERIAL)
    assert evidence_words.cause_text(found) == "front: too much compression damping"
