"""Each draft rule put aside in turn: which written case is then no longer what a tuner would write."""

from collections.abc import Iterator

from tests.judgement.written.sent import Written, all_asked, proposed
from tuning.judgement import assess, draft
from tuning.judgement.model import Dossier
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.rulebook import RULES


def fits(case: Written, dossier: Dossier, practice: Practice) -> bool:
    """Return whether a practice drafts what is written."""
    made = draft(dossier, practice)
    notes = {item.id for item in made.notes}
    return (
        proposed(made, dossier) == case.first
        and assess(dossier, practice).stands_at == case.gate
        and tuple(item.id for item in made.stop) == case.stop
        and set(case.asks) <= all_asked(made)
        and (bool(case.asks) or not made.questions)
        and set(case.notes) <= notes
        and not set(case.unsaid) & notes
    )


def failing(cases: tuple[Written, ...]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each rule with the written cases that fail without it."""
    dossiers = {case.id: case.dossier() for case in cases}
    uses: dict[str, set[str]] = {}
    for case in cases:
        dossier = dossiers[case.id]
        for change in draft(dossier).changes:
            uses.setdefault(change.rule, set()).add(case.id)
    for rule in RULES:
        rest = Practice(rules=tuple(row for row in SHIPPED.rules if row.id != rule.id))
        # A rule that drafts nothing of a case cannot be missed by it unless the case stands at the rule's gate.
        near = [case for case in cases if case.id in uses.get(rule.id, ())] or [
            c for c in cases if c.gate == rule.gate
        ]
        yield rule.id, tuple(case.id for case in near if not fits(case, dossiers[case.id], rest))
