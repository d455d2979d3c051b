"""The data of the options: ways out of one need, by what they take; refused loudly when they do not fit together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from tuning.judgement.rulebook import (
    FACTS,
    PROCEDURES,
    RULES,
    SENTENCES,
    Rule,
    RulebookError,
    read_data,
    read_rules,
)

FILE = "options.toml"
#: What a way takes, the least first.
KINDS = ("adjusters", "hand_tools", "workshop", "parts")
#: What a way costs, the least first. nothing: what is there is set; small: oil, a length of tube.
COSTS = ("nothing", "small", "service", "springs")
#: Which skills a kind may ask for: nothing sold as "adjusters only" may need a stand.
SKILLS_OF: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "adjusters": ("adjusters",),
        "hand_tools": ("adjusters", "hand_tools"),
        "workshop": ("home_workshop", "specialist"),
        "parts": ("home_workshop", "specialist"),
    }
)
_OWN = ("gate", "ends", "change", "says", "strength", "source")
_ALL = ("id", "kind", "when", "gives_up")
#: What the sentences about what is given up can be filled with.
GIVEN = frozenset({"end", "alone_mm", "rider_mm", "reserve_mm"})


@dataclass(frozen=True, slots=True)
class Way:
    """One way: what it takes, the rule that it follows, and what it leaves undone against the proper fix.

    base: the drafting rule whose change it is, "" for its own.
    """

    id: str
    kind: str
    base: str
    rule: Rule
    gives_up: tuple[str, ...]


def read_ways(rows: Iterable[Mapping[str, Any]], rules: Iterable[Rule] = RULES) -> tuple[Way, ...]:
    """Return the ways in order; raises RulebookError for what is missing, unknown, told twice, or beyond its kind."""
    bases = {rule.id: rule for rule in rules}
    found: dict[str, Way] = {}
    for row in rows:
        about = str(row.get("id", "?"))

        def need(fine: bool, reason: str, about: str = about) -> None:
            if not fine:
                raise RulebookError(f"{FILE}: {about}: {reason}")

        for name in _ALL:
            need(name in row, f"no {name}")
        need(about not in found, "twice the same id")
        need(row["kind"] in KINDS, f"unknown kind {row['kind']}")
        base = row.get("rule", "")
        own = {name: row[name] for name in (*_OWN, "move", "compromise") if name in row}
        strange = sorted(set(row) - {*_ALL, *_OWN, "rule", "move", "compromise"})
        need(not strange, f"unknown entry {strange}")
        if base:
            need(base in bases, f"unknown rule {base}")
            need(not set(own) - {"compromise"}, f"has both a rule and its own {sorted(own)}")
            need(bool(row["when"]), "no facts: it would always hold")
            for fact, values in row["when"].items():
                need(fact in FACTS, f"unknown fact {fact}")
                need(set(values) <= set(FACTS[fact]), f"fact {fact} never has one of {values}")
            when = MappingProxyType({fact: tuple(values) for fact, values in row["when"].items()})
            rule = replace(bases[base], when=when, compromise=row.get("compromise", bases[base].compromise))
        else:
            for name in _OWN:
                need(name in own, f"no {name}")
            need(about not in bases, "the id of a drafting rule")
            rule = read_rules([{"id": about, "when": row["when"], **own}], SENTENCES, PROCEDURES)[0]
        for name in row["gives_up"]:
            need(name in SENTENCES, f"unknown sentence {name}")
            need(set(SENTENCES[name]) <= GIVEN, f"{name} takes what nobody fills in")
        need(not rule.compromise or bool(row["gives_up"]), "a compromise that gives nothing up")
        steps = PROCEDURES[rule.change]
        skills = {steps.skill_rear if end == "rear" else steps.skill for end in rule.ends}
        need(skills <= set(SKILLS_OF[row["kind"]]), f"{rule.change} takes more than {row['kind']}")
        found[about] = Way(about, row["kind"], base, rule, tuple(row["gives_up"]))
    return tuple(found.values())


def read_costs(rows: Mapping[str, str]) -> Mapping[str, str]:
    """Return the cost class of each kind of change; raises RulebookError for an unknown kind or class."""
    for kind, cost in rows.items():
        if kind not in PROCEDURES or cost not in COSTS:
            raise RulebookError(f"{FILE}: {kind}: unknown change, or unknown cost {cost}")
    return MappingProxyType({kind: rows.get(kind, COSTS[0]) for kind in PROCEDURES})


_DATA = read_data(FILE)
WAYS = read_ways(_DATA["way"])
COST_OF = read_costs(_DATA["cost"])
