"""The rules and procedures, read from their data files and refused at start when they cannot be right."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from tuning.judgement.facts import FACTS
from tuning.judgement.model import GATES, SKILLS
from tuning.judgement.sayings import SAYINGS
from tuning.judgement.targets import DataError, read


@dataclass(frozen=True, slots=True)
class Rule:
    """When every clause holds (fact → answers that do), and the case stands at ``gate``: make ``move``, say why.

    certain: facts whose findings must be certain, since what is advised is dear or hard to undo.
    """

    id: str
    gate: str
    when: Mapping[str, tuple[str, ...]]
    move: str
    says: str
    strength: int
    source: str
    certain: tuple[str, ...] = ()

    def holds(self, facts: Mapping[str, str]) -> bool:
        return all(facts.get(fact, "unknown") in answers for fact, answers in self.when.items())


@dataclass(frozen=True, slots=True)
class Procedure:
    """What belongs to a kind of change."""

    kind: str
    how: tuple[str, ...]
    verify: tuple[str, ...]
    cautions: tuple[str, ...]
    critical: tuple[str, ...]
    skill: str
    tools: str
    torque: bool


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return every rule, in the order of the file. Raises DataError naming file, id and reason."""
    rules = []
    for row in read("rules.toml")["rule"]:
        name = str(row.get("id", "a rule without id"))
        wanted = {"id", "gate", "when", "move", "says", "strength", "source"}
        if not wanted <= set(row) <= wanted | {"certain"}:
            raise DataError("rules.toml", name, f"fields must be {sorted(wanted)} and at most certain")
        if not str(row["source"]).strip():
            raise DataError("rules.toml", name, "names no source")
        if row["gate"] not in GATES:
            raise DataError("rules.toml", name, f"unknown gate {row['gate']!r}")
        if row["says"] not in SAYINGS:
            raise DataError("rules.toml", name, f"unknown saying {row['says']!r}")
        if row["strength"] not in {1, 2, 3}:
            raise DataError("rules.toml", name, "strength is 1, 2 or 3")
        for fact, answers in row["when"].items():
            if fact not in FACTS:
                raise DataError("rules.toml", name, f"unknown fact {fact!r}")
            if not answers or not set(answers) <= set(FACTS[fact]):
                raise DataError("rules.toml", name, f"{fact} is never one of {answers}")
        if not set(row.get("certain", ())) <= set(row["when"]):
            raise DataError("rules.toml", name, "certain names a fact that the rule does not ask about")
        when = {fact: tuple(answers) for fact, answers in row["when"].items()}
        rest = {key: row[key] for key in ("id", "gate", "move", "says", "strength", "source")}
        rules.append(Rule(when=when, certain=tuple(row.get("certain", ())), **rest))
    if len({rule.id for rule in rules}) != len(rules):
        raise DataError("rules.toml", "rules", "two rules have one id")
    return tuple(rules)


@cache
def procedures() -> Mapping[str, Procedure]:
    """Return the procedure of each kind of change. Raises DataError."""
    found = {}
    for kind, row in read("procedures.toml").items():
        wanted = {"how", "verify", "cautions", "critical", "skill", "tools", "torque"}
        if set(row) != wanted:
            raise DataError("procedures.toml", kind, f"fields must be {sorted(wanted)}")
        if row["skill"] not in SKILLS:
            raise DataError("procedures.toml", kind, f"unknown skill {row['skill']!r}")
        if not row["cautions"] or not set(row["critical"]) <= set(row["cautions"]):
            raise DataError("procedures.toml", kind, "wants cautions, the critical ones among them")
        lists = {name: tuple(row[name]) for name in ("how", "verify", "cautions", "critical")}
        found[kind] = Procedure(kind=kind, skill=row["skill"], tools=row["tools"], torque=row["torque"], **lists)
    return found
