"""How often each rule fired, and whether tuners kept, edited or dropped what it proposed.

Every round counts once: what fired is told by the last version drafted for it, what became of it by the last version
approved. The counts stand in ``RuleTally``, one row a rule, and are moved by what one round adds or takes away in the
transaction that drafts or approves; so a page reads some three hundred rows however many recommendations there are.
``manage.py tally_rules`` works all of them out anew in one pass over the recommendations.

Keys are those of ``tuning.desk.rule_words``; ``ROUNDS`` counts the rounds drafted.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from tuning.desk.models import Recommendation, RuleTally
from tuning.desk.rule_words import key_of_change
from tuning.judgement import assess, rank
from tuning.judgement.causebook import CAUSE_RULES
from tuning.judgement.model import Dossier
from tuning.judgement.practice import SHIPPED, Practice

ROUNDS = "rounds"
OUTCOMES = ("kept", "edited", "dropped")
COUNTS = ("fired", *OUTCOMES)
#: Read at once when all is counted anew.
CHUNK = 500
_CAUSE_OF = {rule.id: rule.cause for rule in CAUSE_RULES}

#: (key of a rule, which count) → how often.
Tally = Counter[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Version:
    """What of a version of a round's recommendation is counted."""

    approved: bool
    proposed: Mapping[str, Any]
    content: Mapping[str, Any]
    causes: Sequence[str]

    @classmethod
    def of(cls, row: Recommendation) -> "Version":
        return cls(row.state == Recommendation.State.APPROVED, row.proposed, row.content, row.causes)


def causes_that_fired(dossier: Dossier, practice: Practice = SHIPPED) -> list[str]:
    """Return the ids of the cause rules that name a cause in a case."""
    causes = rank(dossier, assess(dossier, practice).findings, practice.cause_rules)
    return sorted({rule for cause in causes for rule in cause.rules})


def outcomes(proposed: Mapping[str, Any], approved: Mapping[str, Any]) -> dict[str, str]:
    """Return what became of the changes that each rule of the draft proposed: "kept" all as they were, "dropped" all,
    else "edited". Own words, other numbers and other cautions are edits; the order is none."""
    after = {change["key"]: change for change in approved["changes"]}
    seen: dict[str, set[str]] = {}
    for change in proposed["changes"]:
        if change["rule"]:
            now = after.get(change["key"])
            became = "dropped" if now is None else "kept" if now == change else "edited"
            seen.setdefault(change["rule"], set()).add(became)
    return {rule: became.pop() if len(became) == 1 else "edited" for rule, became in seen.items()}


def of_round(versions: Sequence[Version]) -> Tally:
    """Return what one round counts, from its versions in order."""
    found: Tally = Counter()
    if not versions:
        return found
    last = versions[-1]
    found[ROUNDS, "fired"] += 1
    fired = {key_of_change(change["rule"]) for change in last.proposed["changes"] if change["rule"]}
    fired |= {f"cause.{rule}" for rule in last.causes}
    fired |= {f"kind.{_CAUSE_OF[rule]}" for rule in last.causes if rule in _CAUSE_OF}
    found.update((key, "fired") for key in fired)
    sent = [version for version in versions if version.approved]
    if sent:
        found.update(
            (f"draft.{rule}", became) for rule, became in outcomes(sent[-1].proposed, sent[-1].content).items()
        )
    return found


def drafted(row: Recommendation) -> None:
    """Count a version just drafted. To be called in its transaction."""
    versions = _versions(row)
    _move(of_round(versions[:-1]), of_round(versions))


def dropped(row: Recommendation) -> None:
    """Count a draft no more that is about to be put aside. To be called in its transaction, before that."""
    versions = _versions(row)
    _move(of_round(versions), of_round(versions[:-1]))


def approved(row: Recommendation) -> None:
    """Count a version just approved. To be called in its transaction."""
    versions = _versions(row)
    before = [*versions[:-1], Version(False, versions[-1].proposed, versions[-1].content, versions[-1].causes)]
    _move(of_round(before), of_round(versions))


def _versions(row: Recommendation) -> list[Version]:
    rows = Recommendation.objects.filter(round=row.round_id, version__lte=row.version)
    return [Version.of(one) for one in _counted(rows).order_by("version")]


def _counted(rows: QuerySet[Recommendation]) -> QuerySet[Recommendation]:
    fields = ("state", "proposed", "content", "causes", "round_id", "version")
    return rows.exclude(state=Recommendation.State.DROPPED).only(*fields)


def _move(before: Tally, after: Tally) -> None:
    """Add to the counts what came, and take away what went. Rows are locked in one order, so that two tuners at once
    wait for each other and never for good."""
    moved = Counter(after)
    moved.subtract(before)
    keys = sorted({key for (key, _count), by in moved.items() if by})
    if not keys:
        return
    RuleTally.objects.bulk_create([RuleTally(rule=key) for key in keys], ignore_conflicts=True)
    rows = list(RuleTally.objects.select_for_update().filter(rule__in=keys).order_by("rule"))
    for row in rows:
        for count in COUNTS:
            setattr(row, count, max(0, getattr(row, count) + moved[row.rule, count]))
    RuleTally.objects.bulk_update(rows, COUNTS)


@transaction.atomic
def recount() -> int:
    """Count everything anew in one pass; return the number of rounds.

    The rows are locked before the pass: what is drafted or approved meanwhile waits and is added afterwards.
    """
    RuleTally.objects.get_or_create(rule=ROUNDS)
    list(RuleTally.objects.select_for_update().order_by("rule"))
    total: Tally = Counter()
    for versions in _rounds():
        total.update(of_round(versions))
    keys = {key for key, _count in total} | {ROUNDS}
    RuleTally.objects.exclude(rule__in=keys).delete()
    RuleTally.objects.bulk_create([RuleTally(rule=key) for key in sorted(keys)], ignore_conflicts=True)
    rows = list(RuleTally.objects.order_by("rule"))
    for row in rows:
        for count in COUNTS:
            setattr(row, count, total[row.rule, count])
    RuleTally.objects.bulk_update(rows, COUNTS)
    return total[ROUNDS, "fired"]


def _rounds() -> Iterator[list[Version]]:
    rows = _counted(Recommendation.objects.all()).order_by("round_id", "version").iterator(chunk_size=CHUNK)
    for _round, group in groupby(rows, key=lambda row: row.round_id):
        yield [Version.of(row) for row in group]


def counts() -> tuple[dict[str, RuleTally], int]:
    """Return the counts by key, and the number of rounds drafted, in one query."""
    rows = {row.rule: row for row in RuleTally.objects.all()}
    rounds = rows.pop(ROUNDS, None)
    return rows, rounds.fired if rounds else 0
