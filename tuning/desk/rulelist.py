"""The page of all rules: what each says in words, how often it fired and what tuners made of it, filtered and paged.

The rules are data of the program and are worded once a language; the counts come in one query (``tallies``), and so
does the shop's practice, which may set a rule aside or weigh it otherwise.
"""

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.utils.translation import get_language, gettext_lazy

from intake import words
from intake.choices import Discipline
from tuning.desk import practice, rule_words, sentences, tallies
from tuning.desk.models import RuleTally
from tuning.engine.case import DISCIPLINES
from tuning.judgement.causebook import CAUSE_RULES, KINDS, PHASES
from tuning.judgement.followbook import FIGHTS, FOLLOWS, TOGETHER, Fight, Follow, Together
from tuning.judgement.model import GATES
from tuning.judgement.roundbook import ROUND_RULES
from tuning.judgement.rulebook import RULES
from tuning.judgement.waybook import WAYS

PAGE = 25
LONGEST_SEARCH = 80
FAMILIES = {
    "draft": gettext_lazy("proposes a change"),
    "round": gettext_lazy("follows from earlier rounds"),
    "way": gettext_lazy("offers another way"),
    "follow": gettext_lazy("says what may follow on the same sheet"),
    "cause": gettext_lazy("names a cause"),
    "kind": gettext_lazy("general signs of a cause"),
}
USES = {
    "fired": gettext_lazy("fired at least once"),
    "never": gettext_lazy("never fired"),
    "changed": gettext_lazy("edited or dropped by a tuner"),
    "off": gettext_lazy("not followed by our practice"),
}
ORDERS = {
    "": gettext_lazy("order of work"),
    "fired": gettext_lazy("most often fired"),
    "changed": gettext_lazy("most often edited or dropped"),
}
#: Gate or phase, as the filter has it → its words.
PLACES: Mapping[str, Any] = {
    **{f"gate.{gate}": sentences.GATES[gate] for gate in GATES},
    **{f"phase.{phase}": rule_words.PHASES[phase] for phase in PHASES},
}


@dataclass(frozen=True, slots=True)
class Worded:
    """A rule in words. ``at``: ``gate.…`` or ``phase.…``, "" for a kind of cause; no disciplines mean all of them."""

    key: str
    family: str
    title: str
    says: tuple[str, ...]
    complaints: tuple[str, ...]
    needs: tuple[str, ...]
    speaks_for: tuple[tuple[str, str], ...]
    speaks_against: tuple[tuple[str, str], ...]
    at: str
    strength: str
    source: str
    source_kind: str
    disciplines: tuple[str, ...]
    kind: str = ""

    @property
    def family_name(self) -> str:
        return str(FAMILIES[self.family])

    @property
    def proposes(self) -> bool:
        """Whether it proposes changes, which tuners keep, edit or drop."""
        return self.family in ("draft", "round")

    @property
    def at_name(self) -> str:
        return str(PLACES[self.at]) if self.at else ""

    @property
    def discipline_names(self) -> str:
        return ", ".join(str(Discipline(one).label) for one in self.disciplines)

    @property
    def text(self) -> str:
        """All that a search looks through."""
        signs = [text for text, _strength in (*self.speaks_for, *self.speaks_against)]
        parts = (self.key, self.title, *self.says, *self.complaints, *self.needs, *signs, self.source)
        return "\n".join(parts).casefold()


@cache
def _worded(_language: str | None) -> tuple[Worded, ...]:
    return (*_draft_rules(), *_round_rules(), *_ways(), *_follows(), *_cause_rules(), *_kinds())


def all_rules() -> tuple[Worded, ...]:
    """Return every rule in the language that is active: of drafts, rounds, ways and steps, of causes and kinds."""
    return _worded(get_language())


def _plain(key: str, title: str, says: Iterable[str], needs: Iterable[str], source: str, **more: str) -> Worded:
    """Return a rule that has no complaints, no signs and no disciplines of its own."""
    return Worded(
        key=key,
        family=key.partition(".")[0],
        title=title,
        says=tuple(says),
        complaints=(),
        needs=tuple(needs),
        speaks_for=(),
        speaks_against=(),
        at=more.get("at", ""),
        strength=more.get("strength", ""),
        source=rule_words.source_text(source),
        source_kind=rule_words.source_kind(source),
        disciplines=(),
    )


def _draft_rules() -> Iterator[Worded]:
    for rule in RULES:
        yield _plain(
            f"draft.{rule.id}",
            rule_words.draft_title(rule),
            rule_words.draft_says(rule),
            rule_words.draft_needs(rule),
            rule.source,
            at=f"gate.{rule.gate}",
            strength=str(rule_words.STRENGTHS[rule.strength]),
        )


def _round_rules() -> Iterator[Worded]:
    for rule in ROUND_RULES:
        title = str(rule_words.ROUND_DOES[rule.does])
        yield _plain(
            f"round.{rule.id}", title, rule_words.round_says(rule), rule_words.round_needs(rule), rule.source
        )


def _ways() -> Iterator[Worded]:
    for way in WAYS:
        yield _plain(
            f"way.{way.id}",
            rule_words.draft_title(way.rule),
            rule_words.draft_says(way.rule),
            rule_words.draft_needs(way.rule),
            way.rule.source,
            at=f"gate.{way.rule.gate}",
            strength=str(rule_words.STRENGTHS[way.rule.strength]),
        )


def _follows() -> Iterator[Worded]:
    rows: list[Follow | Fight | Together] = [*FOLLOWS, *FIGHTS, *TOGETHER]
    for row in rows:
        yield _plain(f"follow.{row.id}", _first_up(row.id.replace("_", " ")), (row.statement,), (), row.source)


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _cause_rules() -> Iterator[Worded]:
    for rule in CAUSE_RULES:
        needs = {**KINDS[rule.cause].when, **rule.when}
        yield Worded(
            key=f"cause.{rule.id}",
            family="cause",
            title=rule_words.cause_title(rule.cause, rule.ends),
            says=(rule_words.statement(rule),),
            complaints=tuple(str(words.symptom_name(symptom)) for symptom in rule.symptoms),
            needs=tuple(rule_words.conditions(needs, rule.ends)),
            speaks_for=tuple(rule_words.clauses(rule.clauses, rule.ends, 1)),
            speaks_against=tuple(rule_words.clauses(rule.clauses, rule.ends, -1)),
            at=f"phase.{rule.phase}",
            strength=str(rule_words.STRENGTHS[rule.strength]),
            source=rule_words.source_text(rule.source),
            source_kind=rule_words.source_kind(rule.source),
            disciplines=() if len(rule.disciplines) == len(DISCIPLINES) else rule.disciplines,
            kind=f"kind.{rule.cause}",
        )


def _kinds() -> Iterator[Worded]:
    for kind in KINDS.values():
        yield Worded(
            key=f"kind.{kind.id}",
            family="kind",
            title=rule_words.cause_title(kind.id, kind.ends),
            says=(),
            complaints=(),
            needs=tuple(rule_words.conditions(kind.when, kind.ends)),
            speaks_for=tuple(rule_words.clauses(kind.clauses, kind.ends, 1)),
            speaks_against=tuple(rule_words.clauses(kind.clauses, kind.ends, -1)),
            at="",
            strength="",
            source=rule_words.source_text("common practice"),
            source_kind="practice",
            disciplines=(),
        )


@dataclass(frozen=True, slots=True)
class Filters:
    """What is shown; "" is all. ``rule``: the key of the one rule wanted, before all else."""

    rule: str = ""
    family: str = ""
    at: str = ""
    discipline: str = ""
    source: str = ""
    use: str = ""
    order: str = ""
    search: str = ""

    @classmethod
    def of(cls, given: Mapping[str, str]) -> "Filters":
        """Return the filters of a query string; what is unknown falls back to all."""

        def one_of(name: str, known: Container[str]) -> str:
            value = given.get(name, "")
            return value if value in known else ""

        return cls(
            rule=given.get("rule", "").replace("\x00", "")[:LONGEST_SEARCH],
            family=one_of("family", FAMILIES),
            at=one_of("at", PLACES),
            discipline=one_of("discipline", Discipline.values),
            source=one_of("source", rule_words.SOURCES),
            use=one_of("use", USES),
            order=one_of("order", ORDERS),
            search=given.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH],
        )


@dataclass(frozen=True, slots=True)
class Row:
    """A rule as the page shows it, with its counts of rounds. ``off``: why the shop's practice does not follow it;
    ``own_strength``: the practice's, where it differs from the strength as shipped."""

    rule: Worded
    fired: int
    kept: int
    edited: int
    dropped: int
    off: str = ""
    own_strength: str = ""

    @property
    def changed(self) -> int:
        return self.edited + self.dropped

    @property
    def judged(self) -> int:
        return self.kept + self.changed


@dataclass(frozen=True, slots=True)
class Page:
    """One page of rules: how many there are in all, which page of how many, and of how many rounds the counts are."""

    rows: tuple[Row, ...]
    found: int
    number: int
    pages: int
    rounds: int


def page(filters: Filters, number: int = 1) -> Page:
    """Return one page of the rules that the filters let through; a page beyond the last is the last."""
    counts, rounds = tallies.counts()
    by = practice.built(practice.current())
    strengths = {f"draft.{rule.id}": rule.strength for rule in by.rules}
    strengths |= {f"cause.{rule.id}": rule.strength for rule in by.cause_rules}
    rows = [_row(rule, counts.get(rule.key), by.off, strengths.get(rule.key, "")) for rule in all_rules()]
    rows = [row for row in rows if _fits(row, filters)]
    if filters.order:
        rows.sort(key=lambda row: -int(getattr(row, filters.order)))
    pages = max(1, -(-len(rows) // PAGE))
    number = min(max(1, number), pages)
    return Page(tuple(rows[(number - 1) * PAGE : number * PAGE]), len(rows), number, pages, rounds)


def _row(rule: Worded, tally: RuleTally | None, off: Mapping[str, str], strength: str) -> Row:
    own = str(rule_words.STRENGTHS[strength]) if strength else ""
    found = tally or RuleTally(rule=rule.key)
    return Row(
        rule,
        found.fired,
        found.kept,
        found.edited,
        found.dropped,
        off=off.get(rule.key, ""),
        own_strength="" if own == rule.strength else own,
    )


def _fits(row: Row, filters: Filters) -> bool:
    rule = row.rule
    if filters.rule:
        return rule.key == filters.rule
    used = {
        "": True,
        "fired": row.fired > 0,
        "never": row.fired == 0,
        "changed": row.changed > 0,
        "off": bool(row.off),
    }
    return (
        filters.family in ("", rule.family)
        and filters.at in ("", rule.at)
        and (not filters.discipline or not rule.disciplines or filters.discipline in rule.disciplines)
        and filters.source in ("", rule.source_kind)
        and used[filters.use]
        and all(part in rule.text for part in filters.search.casefold().split())
    )
