"""The causes' data: kinds of cause and the rules that name them for a complaint; refused loudly when they do not fit.

A kind holds what speaks for or against it whatever is felt; a rule says that a complaint may come of it, who says so,
and what speaks for or against it in that complaint. ``data/causes/kinds.toml`` has the kinds, the other files the
rules by theme.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from tuning.engine.case import DISCIPLINES, FRONT_ARCHITECTURES, REAR_ARCHITECTURES
from tuning.engine.quantities import ENDS
from tuning.engine.vocabulary import SYMPTOM_IDS
from tuning.judgement.rulebook import RulebookError
from tuning.judgement.signs import ALWAYS, EITHER_END, SIGNS, WHOLE, felt_end, spec

DATA = Path(__file__).parent / "data" / "causes"
PHASES = ("braking", "turn_in", "mid_corner", "exit", "straight", "single_bump", "series", "landing", "general")
#: Weights on a scale of natural logarithms of odds: about ×1.5, ×2.2 and ×4.
WEIGHTS: Mapping[str, float] = MappingProxyType({"weak": 0.4, "fair": 0.8, "strong": 1.4})
_SOURCE = re.compile(r"published guides \((\d+)\)|an owner's manual, [^,]+, \d{4}|common practice")
_ARCHITECTURES = {"front": FRONT_ARCHITECTURES, "rear": REAR_ARCHITECTURES}
#: Entries that a kind and a rule must have, and those they may have.
_KIND_ENTRIES = (("id", "ends"), ("opposite", "inspect", "when", "for", "against"))
_RULE_ENTRIES = (
    ("id", "symptoms", "cause", "says", "strength", "source"),
    ("phase", "ends", "felt", "disciplines", "when", "for", "against"),
)


@dataclass(frozen=True, slots=True)
class Clause:
    """When the sign ``ref`` shows one of ``states``, ``weight`` is added: above zero for the cause, below against."""

    ref: str
    states: tuple[str, ...]
    weight: float


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of cause: the ends it can sit at ("" for the whole bike), the architectures it needs, its opposite."""

    id: str
    ends: tuple[str, ...]
    when: Mapping[str, tuple[str, ...]]
    clauses: tuple[Clause, ...]
    opposite: str = ""
    inspect: bool = False


@dataclass(frozen=True, slots=True)
class CauseRule:
    """One voice: at ``ends``, any of ``symptoms`` may come of ``cause``.

    felt: "same", the complaint must be felt at the cause's end (or not told where); "any", wherever it is felt.
    """

    id: str
    phase: str
    symptoms: tuple[str, ...]
    ends: tuple[str, ...]
    disciplines: tuple[str, ...]
    cause: str
    says: str
    strength: str
    source: str
    when: Mapping[str, tuple[str, ...]]
    clauses: tuple[Clause, ...]
    felt: str = "same"

    @property
    def needs(self) -> tuple[str, ...]:
        """The signs it reads."""
        return tuple(dict.fromkeys([*self.when, *(clause.ref for clause in self.clauses)]))

    @property
    def voices(self) -> int:
        """How many published voices stand behind it; a manual and common practice count as one."""
        told = _SOURCE.fullmatch(self.source)
        return int(told[1]) if told and told[1] else 1


class Need:
    """Refuses with file, id and reason."""

    def __init__(self, file: str, about: str) -> None:
        self.file, self.about = file, about

    def __call__(self, fine: bool, reason: str) -> None:
        if not fine:
            raise RulebookError(f"{self.file}: {self.about}: {reason}")

    def entries(self, row: Mapping[str, Any], entries: tuple[tuple[str, ...], tuple[str, ...]]) -> None:
        needed, allowed = entries
        for name in needed:
            self(name in row, f"no {name}")
        strange = sorted(set(row) - {*needed, *allowed})
        self(not strange, f"unknown entry {strange}")


def _states_of(ref: str, end: str) -> frozenset[str]:
    """Return the states a sign can show to a cause at ``end``."""
    if ref == "architecture" and end:
        return frozenset(_ARCHITECTURES[end])
    known = spec(ref)
    return frozenset(known.states if known else ())


def _clauses(row: Mapping[str, Any], need: Need, ends: tuple[str, ...]) -> tuple[Clause, ...]:
    found: list[Clause] = []
    taken: dict[str, set[str]] = {}
    for side, sign in (("for", 1.0), ("against", -1.0)):
        for strength, table in row.get(side, {}).items():
            need(strength in WEIGHTS, f"unknown weight {strength}")
            for ref, values in table.items():
                need(spec(ref) is not None, f"unknown sign {ref}")
                local = not ends and not ref.startswith("felt.") and ref not in WHOLE
                need(not local, f"{ref} is read at an end, and this cause has none")
                states = set().union(*(_states_of(ref, end) for end in ends or ("",)))
                need(bool(values) and set(values) <= states, f"sign {ref} never shows one of {values}")
                need(set(values) != states, f"{ref} would always speak: it lists every state")
                both = taken.setdefault(ref, set()) & set(values)
                need(not both, f"contradictory or double clauses: {ref} {sorted(both)} speaks twice")
                taken[ref] |= set(values)
                found.append(Clause(ref, tuple(values), sign * WEIGHTS[strength]))
    return tuple(found)


def _conditions(row: Mapping[str, Any], need: Need, ends: tuple[str, ...]) -> Mapping[str, tuple[str, ...]]:
    for ref, values in row.get("when", {}).items():
        need(spec(ref) is not None, f"unknown sign {ref}")
        need(ref in ALWAYS, f"a condition on {ref}, which may be unknown: make it evidence")
        need(bool(values) and set(values) <= _states_of(ref, ""), f"sign {ref} never shows one of {values}")
        for end in ends:
            need(bool(set(values) & _states_of(ref, end)), f"unreachable: no {end} has {ref} {values}")
    return MappingProxyType({ref: tuple(values) for ref, values in row.get("when", {}).items()})


def read_kinds(rows: Iterable[Mapping[str, Any]], file: str = "kinds.toml") -> dict[str, Kind]:
    """Return the kinds of cause by id; raises RulebookError for what does not fit."""
    found: dict[str, Kind] = {}
    for row in rows:
        need = Need(file, str(row.get("id", "?")))
        need.entries(row, _KIND_ENTRIES)
        ends = tuple(row["ends"])
        need(row["id"] not in found, "twice the same id")
        need(set(ends) <= set(ENDS), "unknown end")
        when = _conditions(row, need, ends)
        clauses = _clauses(row, need, ends)
        found[row["id"]] = Kind(
            row["id"], ends or ("",), when, clauses, row.get("opposite", ""), row.get("inspect", False)
        )
    for kind in found.values():
        other = found.get(kind.opposite)
        fits = not kind.opposite or (other is not None and other.opposite == kind.id)
        Need(file, kind.id)(fits, f"opposite {kind.opposite} does not know it")
    return found


def read_cause_rules(
    rows: Iterable[Mapping[str, Any]], kinds: Mapping[str, Kind], file: str, phase: str = ""
) -> tuple[CauseRule, ...]:
    """Return the rules of one file; raises RulebookError naming file, rule and reason for unknown ids, a missing
    source, conditions that can never hold together, and clauses that can never speak or are shadowed."""
    found: list[CauseRule] = []
    for row in rows:
        need = Need(file, str(row.get("id", "?")))
        need.entries(row, _RULE_ENTRIES)
        source = str(row["source"])
        need(bool(source), "no source")
        need(_SOURCE.fullmatch(source) is not None, f"source {source!r} is not one of the ways to name a source")
        need(row["cause"] in kinds, f"unknown cause {row['cause']}")
        kind = kinds[row["cause"]]
        ends = tuple(row.get("ends", kind.ends))
        need(bool(ends) and set(ends) <= set(kind.ends), f"{kind.id} does not sit at {ends}")
        need(bool(row["symptoms"]), "no symptom")
        for symptom in row["symptoms"]:
            need(symptom in SYMPTOM_IDS, f"unknown symptom {symptom}")
        need(row.get("phase", phase) in PHASES, f"unknown phase {row.get('phase', phase)}")
        disciplines = tuple(row.get("disciplines", DISCIPLINES))
        need(bool(disciplines) and set(disciplines) <= set(DISCIPLINES), "unknown discipline")
        need(row["strength"] in WEIGHTS, f"unknown strength {row['strength']}")
        need(bool(row["says"]), "no statement")
        need(row.get("felt", "same") in ("same", "any"), "unknown place where it is felt")
        at = tuple(end for end in ends if end)
        rule = CauseRule(
            row["id"],
            row.get("phase", phase),
            tuple(row["symptoms"]),
            ends,
            disciplines,
            row["cause"],
            row["says"],
            row["strength"],
            source,
            _conditions(row, need, at),
            _clauses(row, need, at),
            row.get("felt", "same"),
        )
        _reachable(rule, kind, need)
        found.append(rule)
    return tuple(found)


def _reachable(rule: CauseRule, kind: Kind, need: Need) -> None:
    for symptom in rule.symptoms:
        fixed = felt_end(symptom, "")
        heard = rule.felt == "any" or not fixed or fixed in rule.ends or rule.ends == ("",)
        need(heard, f"unreachable: {symptom} is felt at the {fixed}")
    limits = dict(kind.when)
    for ref, values in rule.when.items():
        limits[ref] = tuple(value for value in values if value in limits.get(ref, values))
        need(bool(limits[ref]), f"unreachable: {kind.id} and the rule want different {ref}")
    limits["discipline"] = rule.disciplines
    for clause in rule.clauses:
        if clause.ref in limits:
            meet = set(clause.states) & set(limits[clause.ref])
            need(bool(meet), f"clause on {clause.ref} can never speak: the conditions shut it out")
            need(not set(limits[clause.ref]) <= set(clause.states), f"clause on {clause.ref} would always speak")
        only = len(rule.symptoms) == 1 and clause.ref == f"felt.{rule.symptoms[0]}"
        alone = only and (rule.symptoms[0] not in EITHER_END or rule.felt == "same")
        need(not alone, f"clause on {clause.ref} always or never speaks: it is the rule's own complaint")
        for general in kind.clauses:
            same = general.ref == clause.ref and set(clause.states) <= set(general.states)
            need(not (same and general.weight == clause.weight), f"clause on {clause.ref} only repeats {kind.id}")


def refuse_shadows(files: Mapping[str, tuple[CauseRule, ...]]) -> None:
    """Raise RulebookError for the same id twice, and for two rules that say the same of the same case."""
    ids: dict[str, str] = {}
    seen: dict[tuple[str, str, str], list[CauseRule]] = {}
    for file, rules in files.items():
        for rule in rules:
            need = Need(file, rule.id)
            need(rule.id not in ids, f"twice the same id, also in {ids.get(rule.id)}")
            ids[rule.id] = file
            for symptom in rule.symptoms:
                for end in rule.ends:
                    for other in seen.setdefault((symptom, rule.cause, end), []):
                        meet = bool(set(rule.disciplines) & set(other.disciplines)) and _meet(rule.when, other.when)
                        need(other is rule or not meet, f"shadowed: {other.id} names {rule.cause} for {symptom} too")
                    seen[symptom, rule.cause, end].append(rule)


def _meet(one: Mapping[str, tuple[str, ...]], other: Mapping[str, tuple[str, ...]]) -> bool:
    return all(set(one[ref]) & set(other[ref]) for ref in set(one) & set(other))


def read_file(path: Path) -> dict[str, Any]:
    """Return a file's data; raises RulebookError naming the file when it is not TOML."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise RulebookError(f"{path.name}: not TOML: {error}") from error


def _load() -> tuple[dict[str, Kind], tuple[CauseRule, ...]]:
    data = {path.name: read_file(path) for path in sorted(DATA.glob("*.toml"))}
    kinds = read_kinds(data.pop("kinds.toml")["kind"])
    files = {name: read_cause_rules(found["rule"], kinds, name, found["phase"]) for name, found in data.items()}
    refuse_shadows(files)
    rules = tuple(rule for group in files.values() for rule in group)
    for kind in kinds.values():
        Need("kinds.toml", kind.id)(any(rule.cause == kind.id for rule in rules), "no rule names it")
    return kinds, tuple(sorted(rules, key=lambda rule: PHASES.index(rule.phase)))


_KINDS, CAUSE_RULES = _load()
KINDS: Mapping[str, Kind] = MappingProxyType(_KINDS)
STATEMENTS: tuple[str, ...] = tuple(dict.fromkeys(rule.says for rule in CAUSE_RULES))


def clauses() -> Iterator[Clause]:
    """Yield every clause of the data, those of the kinds and those of the rules."""
    yield from (clause for kind in KINDS.values() for clause in kind.clauses)
    yield from (clause for rule in CAUSE_RULES for clause in rule.clauses)


def _evidence() -> Iterator[tuple[str, tuple[str, ...]]]:
    for clause in clauses():
        known = spec(clause.ref)
        name = clause.ref.split(".")[0]
        for state in clause.states:
            yield f"{name}_{state}", ("end", *(known.params if known else ()))


#: Sentence id → parameters, of every sign and state that can speak; and the signs that may be asked about.
EVIDENCE: Mapping[str, tuple[str, ...]] = MappingProxyType(dict(_evidence()))
DECIDERS = frozenset(clause.ref for clause in clauses()) & frozenset(name for name, sign in SIGNS.items() if sign.ask)


def without(rules: tuple[CauseRule, ...], *ids: str) -> tuple[CauseRule, ...]:
    """Return the rules but for those named."""
    return tuple(rule for rule in rules if rule.id not in ids)
