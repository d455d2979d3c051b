"""Every rule with its source, as a table in Markdown: ``python -m tuning.judgement.rules > docs/rules.md``."""

import sys
from collections.abc import Iterable, Iterator, Mapping

from tuning.engine.case import DISCIPLINES
from tuning.judgement.causebook import CAUSE_RULES, KINDS, PHASES, WEIGHTS, CauseRule, Clause, Kind
from tuning.judgement.followbook import FIGHTS, FOLLOWS, TOGETHER
from tuning.judgement.roundbook import ANSWERS, ROUND_RULES
from tuning.judgement.rulebook import RULES
from tuning.judgement.waybook import WAYS

_STRENGTHS = {weight: name for name, weight in WEIGHTS.items()}
_HEAD = """# Rules

Written by `python -m tuning.judgement.rules`; the data are in `tuning/judgement/data/`, the scheme in
[judgement.md](judgement.md). In "for" and "against", a sign stands with the states that speak and how strongly.
"""


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    yield f"| {' | '.join(head)} |"
    yield "|" + "---|" * len(head)
    for row in rows:
        yield f"| {' | '.join(cell or '–' for cell in row)} |"


def _when(conditions: Mapping[str, tuple[str, ...]]) -> str:
    return "; ".join(f"{ref} {' / '.join(states)}" for ref, states in conditions.items())


def _side(clauses: tuple[Clause, ...], sign: int) -> str:
    return "; ".join(
        f"{clause.ref} {' / '.join(clause.states)} ({_STRENGTHS[abs(clause.weight)]})"
        for clause in clauses
        if clause.weight * sign > 0
    )


def _kind(kind: Kind) -> tuple[str, ...]:
    first = "first" if kind.inspect else ""
    ends = " ".join(kind.ends)
    return (
        kind.id,
        ends,
        _when(kind.when),
        _side(kind.clauses, 1),
        _side(kind.clauses, -1),
        kind.opposite,
        first,
    )


def _cause_rule(rule: CauseRule) -> tuple[str, ...]:
    everywhere = len(rule.disciplines) == len(DISCIPLINES)
    where = "all" if everywhere else " ".join(rule.disciplines)
    ends = " ".join(rule.ends)
    return (
        rule.id,
        " ".join(rule.symptoms),
        f"{rule.cause} {ends}".strip(),
        "; ".join(part for part in (where, _when(rule.when)) if part),
        rule.strength,
        _side(rule.clauses, 1),
        _side(rule.clauses, -1),
        rule.source,
    )


def page() -> str:
    """Return the whole table."""
    lines = [_HEAD, "## Causes", ""]
    kind_heads = ("cause", "ends", "only with", "for", "against", "opposite", "inspected")
    lines += _table(kind_heads, (_kind(kind) for kind in KINDS.values()))
    lines += ["", "## What may cause a complaint", "", f"{len(CAUSE_RULES)} rules.", ""]
    for phase in PHASES:
        lines += [f"### {phase.replace('_', ' ').capitalize()}", ""]
        rule_heads = ("rule", "complaints", "cause", "where", "strength", "for", "against", "source")
        lines += [*_table(rule_heads, (_cause_rule(rule) for rule in CAUSE_RULES if rule.phase == phase)), ""]
    lines += [
        "## What is drafted",
        "",
        "The first rule of an end that holds at the case's gate speaks for that end.",
        "",
    ]
    rows = (
        (rule.id, rule.gate, " ".join(rule.ends), _when(rule.when), f"{rule.change} {rule.move}".strip(), rule.source)
        for rule in RULES
    )
    lines += _table(("rule", "gate", "ends", "when", "change", "source"), rows)
    lines += ["", "## What follows from earlier rounds", ""]
    rounds = ((rule.id, " / ".join(rule.on), rule.does, rule.statement, rule.source) for rule in ROUND_RULES)
    lines += _table(("rule", "after a change that", "does", "statement", "source"), rounds)
    lines += ["", "What a change is made for, and what too much of it feels like:", ""]
    answers = (
        (f"{kind} {move}".strip(), end, " ".join(sorted(row.cures)), " ".join(sorted(row.overdone)), row.source)
        for (kind, move, end), row in ANSWERS.items()
    )
    lines += _table(("change", "end", "answers", "too much of it", "source"), answers)
    lines += ["", "## More than one way", "", "Of one kind the first that holds speaks for its end.", ""]
    ways = (
        (
            way.id,
            way.kind,
            f"{way.rule.gate} {' '.join(way.rule.ends)}",
            _when(way.rule.when),
            f"{way.rule.change} {way.rule.move}".strip(),
            " ".join(way.gives_up),
            way.rule.source,
        )
        for way in WAYS
    )
    lines += _table(("way", "takes", "at", "when", "change", "gives up", "source"), ways)
    lines += ["", "## What may follow without a new round", ""]
    follows = (
        (row.id, f"{' / '.join(row.after)}, {row.on}", f"{row.then}, {row.where} end", row.statement, row.source)
        for row in FOLLOWS
    )
    lines += _table(("rule", "after", "then", "statement", "source"), follows)
    lines += ["", "Never in one tree at the same end:", ""]
    fights = ((row.id, " ".join(row.one), " ".join(row.other), row.statement, row.source) for row in FIGHTS)
    lines += _table(("pair", "one", "other", "statement", "source"), fights)
    lines += ["", "Done together, before the next ride:", ""]
    together = ((row.id, row.change, row.brings, row.statement, row.source) for row in TOGETHER)
    lines += _table(("rule", "change", "brings", "statement", "source"), together)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(page())
