"""The judgement's data: targets, rules, sentences, procedures; read once and refused loudly when they do not fit."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from tuning.engine.case import DISCIPLINES
from tuning.engine.quantities import ENDS
from tuning.judgement.model import GATES, SKILLS, Said, Target

DATA = Path(__file__).parent / "data"

#: What a rule may ask about, and the answers each fact can have. See ``facts.py`` for how they are told.
FACTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "legs": ("even", "unequal", "unknown"),
        "alone": ("in_band", "below", "above", "unknown"),
        "rider": ("in_band", "below", "above", "unknown"),
        "rate": ("soft", "stiff", "right", "unknown"),
        "room_more": ("yes", "no", "unknown"),
        "room_less": ("yes", "no", "unknown"),
        "springs": ("yes", "no"),
        "reserve": ("bottomed", "below", "in_band", "above", "unknown"),
        "fluid": ("older", "not_old"),
        "damping_wish": ("yes", "no"),
        "rebound_wish": ("firmer", "softer", "none", "disagree"),
        "compression_wish": ("firmer", "softer", "none", "disagree"),
        "rebound_at": ("closed", "open", "middle", "unknown"),
        "compression_at": ("closed", "open", "middle", "unknown"),
        "steering": ("slow", "nervous", "none", "disagree"),
        "fork_position": ("yes", "flush", "no"),
        "air": ("yes", "no"),
    }
)
STRENGTHS = ("certain", "worth_acting")
MOVES = ("", "more", "less", "firmer", "softer")


class RulebookError(ValueError):
    """The data do not fit together: names the file, the id and the reason."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: at ``gate``, for each of ``ends``, when every fact has one of its values, propose ``change``."""

    id: str
    gate: str
    ends: tuple[str, ...]
    when: Mapping[str, tuple[str, ...]]
    change: str
    says: tuple[str, ...]
    strength: str
    source: str
    move: str = ""
    compromise: bool = False


@dataclass(frozen=True, slots=True)
class Procedure:
    """How one kind of change is done: ids in order, the skill it takes at each end, whether torque is needed."""

    kind: str
    how: tuple[str, ...]
    verify: tuple[str, ...]
    cautions: tuple[str, ...]
    critical: tuple[str, ...]
    skill: str
    skill_rear: str
    tools: tuple[str, ...]
    torque: bool


def _need(fine: bool, file: str, about: str, reason: str) -> None:
    if not fine:
        raise RulebookError(f"{file}: {about}: {reason}")


def read_data(file: str) -> dict[str, Any]:
    return tomllib.loads((DATA / file).read_text(encoding="utf-8"))


def read_targets(rows: Iterable[Mapping[str, Any]]) -> dict[str, tuple[Target, ...]]:
    """Return the target bands by discipline; raises RulebookError for an unknown discipline, an empty band or a
    missing source."""
    found: dict[str, list[Target]] = {name: [] for name in DISCIPLINES}
    for row in rows:
        about = str(row.get("key", "?"))
        _need(bool(row.get("source")), "targets.toml", about, "no source")
        _need(row["low"] < row["high"], "targets.toml", about, "low is not below high")
        _need(row["unit"] in ("mm", "1"), "targets.toml", about, f"unknown unit {row['unit']}")
        for name in row["disciplines"]:
            _need(name in found, "targets.toml", about, f"unknown discipline {name}")
            found[name].append(Target(about, float(row["low"]), float(row["high"]), row["unit"], row["source"]))
    return {name: tuple(bands) for name, bands in found.items()}


def read_procedures(data: Mapping[str, Mapping[str, Any]]) -> dict[str, Procedure]:
    """Return the procedures by kind of change; every kind carries at least one caution."""
    found = {}
    for kind, row in data.items():
        skills = (row["skill"], row.get("skill_rear", row["skill"]))
        for skill in skills:
            _need(skill in SKILLS, "procedures.toml", kind, f"unknown skill {skill}")
        _need(bool(row["how"]) and bool(row["verify"]), "procedures.toml", kind, "no steps or nothing to verify")
        _need(bool(row["cautions"]), "procedures.toml", kind, "no caution")
        _need(set(row["critical"]) <= set(row["cautions"]), "procedures.toml", kind, "critical but not a caution")
        how, verify, cautions, critical = (tuple(row[name]) for name in ("how", "verify", "cautions", "critical"))
        tools = tuple(row["tools"])
        found[kind] = Procedure(kind, how, verify, cautions, critical, skills[0], skills[1], tools, row["torque"])
    return found


def read_rules(
    rows: Iterable[Mapping[str, Any]], said: Mapping[str, object], procedures: Mapping[str, object]
) -> tuple[Rule, ...]:
    """Return the rules in order; raises RulebookError for unknown facts, values, sentences, kinds, ends or gates."""
    found: dict[str, Rule] = {}
    for row in rows:
        about = str(row.get("id", "?"))

        def need(fine: bool, reason: str, about: str = about) -> None:
            _need(fine, "rules.toml", about, reason)

        need(about not in found, "twice the same id")
        need(bool(row.get("source")), "no source")
        need(row["gate"] in GATES, f"unknown gate {row['gate']}")
        need(set(row["ends"]) <= set(ENDS) and bool(row["ends"]), "unknown end")
        need(bool(row["when"]), "no facts: it would always hold")
        for fact, values in row["when"].items():
            need(fact in FACTS, f"unknown fact {fact}")
            need(set(values) <= set(FACTS[fact]), f"fact {fact} never has one of {values}")
        need(row["change"] in procedures, f"unknown change {row['change']}")
        for sentence in row["says"]:
            need(sentence in said, f"unknown sentence {sentence}")
        need(row["strength"] in STRENGTHS, f"unknown strength {row['strength']}")
        need(row.get("move", "") in MOVES, "unknown move")
        found[about] = Rule(
            about,
            row["gate"],
            tuple(row["ends"]),
            MappingProxyType({fact: tuple(values) for fact, values in row["when"].items()}),
            row["change"],
            tuple(row["says"]),
            row["strength"],
            row["source"],
            row.get("move", ""),
            row.get("compromise", False),
        )
    return tuple(found.values())


SENTENCES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {name: tuple(params) for name, params in read_data("said.toml")["said"].items()}
)
_PROCEDURES = read_data("procedures.toml")
PROCEDURES: Mapping[str, Procedure] = MappingProxyType(read_procedures(_PROCEDURES["procedure"]))
RIDE_TEST: tuple[str, ...] = tuple(_PROCEDURES["always"]["ride_test"])
GENERAL_CAUTIONS: tuple[str, ...] = tuple(_PROCEDURES["always"]["cautions"])
RULES = read_rules(read_data("rules.toml")["rule"], SENTENCES, PROCEDURES)
TARGETS: Mapping[str, tuple[Target, ...]] = MappingProxyType(read_targets(read_data("targets.toml")["band"]))


def say(sentence: str, **params: object) -> Said:
    """Return one thing to say; raises RulebookError when the sentence or its parameters are not in said.toml."""
    _need(sentence in SENTENCES, "said.toml", sentence, "unknown sentence")
    _need(set(params) == set(SENTENCES[sentence]), "said.toml", sentence, f"takes {SENTENCES[sentence]}")
    return Said(sentence, dict(params))
