"""The written cases, from raw readings through the engine to the draft."""

import pytest

from tests.judgement.written import clicks, readings, reserves, sags, springs, steering, stops
from tests.judgement.written.each_off import failing
from tests.judgement.written.sent import Written, all_asked, is_never, proposed
from tuning.engine.case import DISCIPLINES, FRONT_ARCHITECTURES, REAR_ARCHITECTURES
from tuning.judgement import assess, draft
from tuning.judgement.rulebook import PROCEDURES

CASES = tuple(case for theme in (sags, springs, reserves, clicks, steering, readings, stops) for case in theme.CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_the_draft_is_what_a_tuner_would_write(case: Written) -> None:
    dossier = case.dossier()
    made = draft(dossier)
    assert proposed(made, dossier) == case.first
    assert set(case.along) <= {change.kind for change in made.changes if change.together}
    assert tuple(item.id for item in made.stop) == case.stop
    assert assess(dossier).stands_at == case.gate
    assert set(case.asks) <= all_asked(made)
    if not case.asks:
        assert made.questions == ()
    notes = {item.id for item in made.notes}
    assert set(case.notes) <= notes
    assert not set(case.unsaid) & notes
    own = [change for change in made.changes if not change.together]
    assert not [change.key for change in own if any(is_never(change, never) for never in case.never)]
    assert {change.kind for change in own if change.have_it_done} == set(case.done_for)
    for change in made.changes:
        assert change.cautions == PROCEDURES[change.kind].cautions
        assert change.compromise == case.compromise


def test_every_discipline_and_architecture_is_written_about() -> None:
    assert len(CASES) >= 44
    assert len({case.id for case in CASES}) == len(CASES)
    assert {case.sent["discipline"] for case in CASES} == set(DISCIPLINES)
    assert {case.sent["front_architecture"] for case in CASES} >= set(FRONT_ARCHITECTURES)
    assert {case.sent["rear_architecture"] for case in CASES} == set(REAR_ARCHITECTURES)


def test_no_rule_of_the_draft_is_without_a_case_that_needs_it() -> None:
    assert [rule for rule, missed in failing(CASES) if not missed] == []


def test_every_case_names_its_source() -> None:
    named = ("published guides (", "an owner's manual, ")
    assert all(case.source == "common practice" or case.source.startswith(named) for case in CASES)
    assert all(case.why for case in CASES)
