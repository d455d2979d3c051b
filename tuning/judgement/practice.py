"""A shop's own practice: where its bands, steps, strengths and words differ from the data that ship with the program.

The differences are plain data, checked here before they hold and laid over the shipped data, which never change:

{"targets": {discipline: {key: {"low", "high"}}}, "steps": {name: value},
 "rules": {"draft.…" or "cause.…": {"strength": …} or {"off": why}}, "texts": {language: {sentence: words}}}
"""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import isfinite
from types import MappingProxyType
from typing import Any

from tuning.engine.case import DISCIPLINES
from tuning.engine.errors import EngineInputError, Fault
from tuning.judgement.causebook import CAUSE_RULES, WEIGHTS, CauseRule
from tuning.judgement.model import Target
from tuning.judgement.moves import CLEARANCE, DAMPING_STEP, HEIGHT_STEP
from tuning.judgement.rulebook import RULES, SENTENCES, STRENGTHS, TARGETS, Rule

TABLES = ("targets", "steps", "rules", "texts")
#: What a band may reach, by its unit: no wheel travels further, and nothing takes more than the whole stroke.
BOUNDS: Mapping[str, tuple[float, float]] = MappingProxyType({"mm": (0.0, 330.0), "1": (0.0, 1.0)})
LONGEST = 600
#: Rules of this gate keep people safe; they are no matter of taste.
_FIXED_GATE = "safe"
_FIXED_SENTENCES = "stop_"
_PARAM = re.compile(r"%\((\w*)\)s")


@dataclass(frozen=True, slots=True)
class Step:
    """The size of a step as shipped, and the least and most a shop may make of it."""

    shipped: float
    low: float
    high: float
    unit: str


#: Common practice: dampers move 10–15 % of their range; legs and ride height 3 mm, never more than 5 mm a round; with
#: less than 8 mm of clearance nothing moves up.
STEPS: Mapping[str, Step] = MappingProxyType(
    {
        "damping_share": Step(DAMPING_STEP, 0.10, 0.15, "1"),
        "height_mm": Step(HEIGHT_STEP, 1.0, 5.0, "mm"),
        "clearance_mm": Step(CLEARANCE, CLEARANCE, 20.0, "mm"),
    }
)


@dataclass(frozen=True, slots=True)
class Practice:
    """What a case is judged by. version: number of the shop's practice, 0 for the data as shipped; off: rules that
    the shop does not follow, each with its reason."""

    version: int = 0
    targets: Mapping[str, tuple[Target, ...]] = field(default_factory=lambda: TARGETS)
    damping_share: float = DAMPING_STEP
    height_mm: float = HEIGHT_STEP
    clearance_mm: float = CLEARANCE
    rules: tuple[Rule, ...] = RULES
    cause_rules: tuple[CauseRule, ...] = CAUSE_RULES
    off: Mapping[str, str] = field(default_factory=dict)


SHIPPED = Practice()


@dataclass(frozen=True, slots=True)
class Wordings:
    """What the faces know of sentences: their languages, and which parameters each sentence cannot do without."""

    languages: Collection[str] = ("en",)
    needed: Mapping[str, Collection[str]] = field(default_factory=lambda: SENTENCES)


def shipped_rules() -> dict[str, Rule | CauseRule]:
    """Return every rule a shop may set, by its key, in the order of the data."""
    return {f"draft.{rule.id}": rule for rule in RULES} | {f"cause.{rule.id}": rule for rule in CAUSE_RULES}


_RULES: Mapping[str, Rule | CauseRule] = MappingProxyType(shipped_rules())


def strengths_of(key: str) -> tuple[str, ...]:
    """Return the strengths that a rule may have."""
    return STRENGTHS if key.startswith("draft.") else tuple(WEIGHTS)


def fixed_rule(key: str) -> bool:
    """Return whether a rule keeps people safe and so is not the shop's to weaken or switch off."""
    rule = _RULES[key]
    return isinstance(rule, Rule) and rule.gate == _FIXED_GATE


def fixed_sentence(name: str) -> bool:
    """Return whether a sentence stands as shipped: what stops a ride is said in one way."""
    return name.startswith(_FIXED_SENTENCES)


def band(discipline: str, key: str) -> Target | None:
    """Return the shipped band."""
    return next((row for row in TARGETS.get(discipline, ()) if row.key == key), None)


def faults_of(content: object, words: Wordings = Wordings()) -> Iterator[Fault]:
    """Yield everything wrong with a practice's differences: where, what stood there, and why it cannot stay."""
    if not isinstance(content, Mapping):
        yield Fault("", content, "not_a_table")
        return
    checks = {"targets": _target_faults, "steps": _step_faults, "rules": _rule_faults}
    for table, rows in content.items():
        if table not in TABLES:
            yield Fault(str(table), rows, "unknown_table", {"known": TABLES})
        elif not isinstance(rows, Mapping):
            yield Fault(table, rows, "not_a_table")
        elif table == "texts":
            yield from _text_faults(rows, words)
        else:
            yield from checks[table](rows)


def _number(path: str, value: object, low: float, high: float, unit: str) -> Iterator[Fault]:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        yield Fault(path, value, "not_a_number")
    elif not low <= value <= high:
        yield Fault(path, value, "out_of_bounds", {"low": low, "high": high, "unit": unit})


def _target_faults(rows: Mapping[Any, Any]) -> Iterator[Fault]:
    for discipline, bands in rows.items():
        if discipline not in DISCIPLINES:
            yield Fault(f"targets.{discipline}", discipline, "unknown_discipline", {"known": DISCIPLINES})
            continue
        if not isinstance(bands, Mapping):
            yield Fault(f"targets.{discipline}", bands, "not_a_table")
            continue
        for key, row in bands.items():
            path = f"targets.{discipline}.{key}"
            shipped = band(discipline, str(key))
            if shipped is None:
                known = tuple(one.key for one in TARGETS[discipline])
                yield Fault(path, key, "unknown_target", {"known": known})
            elif not isinstance(row, Mapping) or set(row) != {"low", "high"}:
                yield Fault(path, row, "not_a_band")
            else:
                low, high = BOUNDS[shipped.unit]
                faults = [
                    fault
                    for name in ("low", "high")
                    for fault in _number(f"{path}.{name}", row[name], low, high, shipped.unit)
                ]
                yield from faults
                if not faults and row["low"] >= row["high"]:
                    yield Fault(f"{path}.low", row["low"], "low_not_below_high", {"high": row["high"]})


def _step_faults(rows: Mapping[Any, Any]) -> Iterator[Fault]:
    for name, value in rows.items():
        step = STEPS.get(name)
        if step is None:
            yield Fault(f"steps.{name}", name, "unknown_step", {"known": tuple(STEPS)})
        else:
            yield from _number(f"steps.{name}", value, step.low, step.high, step.unit)


def _rule_faults(rows: Mapping[Any, Any]) -> Iterator[Fault]:
    for key, row in rows.items():
        path = f"rules.{key}"
        if key not in _RULES:
            yield Fault(path, key, "unknown_rule")
        elif not isinstance(row, Mapping) or not row or set(row) - {"strength", "off"}:
            yield Fault(path, row, "not_a_rule")
        elif fixed_rule(key):
            yield Fault(path, row.get("off", row.get("strength")), "rule_is_needed")
        else:
            if "strength" in row and row["strength"] not in strengths_of(key):
                yield Fault(f"{path}.strength", row["strength"], "unknown_strength", {"known": strengths_of(key)})
            if "off" in row:
                yield from _why_faults(f"{path}.off", row["off"])


def _why_faults(path: str, why: object) -> Iterator[Fault]:
    if not isinstance(why, str) or not why.strip():
        yield Fault(path, why, "no_reason")
    elif len(why) > LONGEST:
        yield Fault(path, why, "too_long", {"longest": LONGEST})


def _text_faults(rows: Mapping[Any, Any], words: Wordings) -> Iterator[Fault]:
    for language, sentences in rows.items():
        path = f"texts.{language}"
        if language not in words.languages:
            yield Fault(path, language, "unknown_language", {"known": tuple(words.languages)})
        elif not isinstance(sentences, Mapping):
            yield Fault(path, sentences, "not_a_table")
        else:
            for name, text in sentences.items():
                yield from _sentence_faults(f"{path}.{name}", str(name), text, words)


def _sentence_faults(path: str, name: str, text: object, words: Wordings) -> Iterator[Fault]:
    if name not in SENTENCES:
        yield Fault(path, name, "unknown_sentence")
    elif fixed_sentence(name):
        yield Fault(path, text, "sentence_is_fixed")
    elif not isinstance(text, str) or not text.strip():
        yield Fault(path, text, "empty_text")
    elif len(text) > LONGEST:
        yield Fault(path, text, "too_long", {"longest": LONGEST})
    else:
        given = set(_PARAM.findall(text))
        strange, missing = given - set(SENTENCES[name]), set(words.needed[name]) - given
        if strange:
            yield Fault(
                path, text, "strange_parameters", {"strange": sorted(strange), "known": tuple(SENTENCES[name])}
            )
        if missing:
            yield Fault(path, text, "missing_parameters", {"missing": sorted(missing)})
        if "%" in _PARAM.sub("", text).replace("%%", ""):
            yield Fault(path, text, "stray_percent")


def tidied(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return sound differences without what only repeats the shipped data, and without empty tables."""
    targets = {
        discipline: {
            key: {"low": float(row["low"]), "high": float(row["high"])}
            for key, row in sorted(bands.items())
            if (float(row["low"]), float(row["high"])) != _edges(discipline, key)
        }
        for discipline, bands in sorted(content.get("targets", {}).items())
    }
    steps = {n: float(v) for n, v in sorted(content.get("steps", {}).items()) if float(v) != STEPS[n].shipped}
    rules = {}
    for key, row in sorted(content.get("rules", {}).items()):
        kept = {name: value.strip() for name, value in sorted(row.items())}
        if kept.get("strength") == _RULES[key].strength:
            del kept["strength"]
        rules[key] = kept
    texts = {
        language: {name: text.strip() for name, text in sorted(rows.items())}
        for language, rows in sorted(content.get("texts", {}).items())
    }
    found: dict[str, Any] = {
        "targets": {name: rows for name, rows in targets.items() if rows},
        "steps": steps,
        "rules": {key: row for key, row in rules.items() if row},
        "texts": {language: rows for language, rows in texts.items() if rows},
    }
    return {table: rows for table, rows in found.items() if rows}


def _edges(discipline: str, key: str) -> tuple[float, float]:
    shipped = band(discipline, key)
    assert shipped is not None, key  # noqa: S101  (the content is sound)
    return shipped.low, shipped.high


def practice_of(content: Mapping[str, Any], version: int, words: Wordings = Wordings()) -> Practice:
    """Return the shipped data with a shop's differences laid over them. Raises EngineInputError with every fault."""
    faults = list(faults_of(content, words))
    if faults:
        raise EngineInputError(faults)
    own = content.get("rules", {})
    off = {key: row["off"] for key, row in own.items() if "off" in row}
    strength = {key: row["strength"] for key, row in own.items() if "strength" in row}
    source = f"the shop's own practice, version {version}"
    bands = content.get("targets", {})
    targets = {
        discipline: tuple(
            replace(row, **bands[discipline][row.key], source=source) if row.key in bands.get(discipline, {}) else row
            for row in rows
        )
        for discipline, rows in TARGETS.items()
    }
    steps = content.get("steps", {})
    return Practice(
        version=version,
        targets=MappingProxyType(targets),
        damping_share=steps.get("damping_share", DAMPING_STEP),
        height_mm=steps.get("height_mm", HEIGHT_STEP),
        clearance_mm=steps.get("clearance_mm", CLEARANCE),
        rules=tuple(
            replace(rule, strength=strength.get(f"draft.{rule.id}", rule.strength))
            for rule in RULES
            if f"draft.{rule.id}" not in off
        ),
        cause_rules=tuple(
            replace(rule, strength=strength.get(f"cause.{rule.id}", rule.strength))
            for rule in CAUSE_RULES
            if f"cause.{rule.id}" not in off
        ),
        off=MappingProxyType(off),
    )
