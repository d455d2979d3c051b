"""The data of the rounds: what follows from how earlier changes went, and which complaints answer to which change;
refused loudly when they do not fit together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from tuning.engine.quantities import ENDS
from tuning.engine.values import VALUES
from tuning.engine.vocabulary import SYMPTOM_IDS
from tuning.judgement.model import VERDICTS
from tuning.judgement.rulebook import MOVES, PROCEDURES, SENTENCES, RulebookError, read_data

#: What can follow, and whether it is a limit.
DOES: Mapping[str, bool] = MappingProxyType(
    dict.fromkeys(
        ("keep", "undo", "halve", "again", "remind", "ask", "settle", "bar_undone", "bar_useless", "bar_compromise"),
        False,
    )
    | {"limit_round": True, "limit_overall": True}
)
_RULE_ENTRIES = ("id", "does", "on", "says", "statement", "source")
_ANSWER_ENTRIES = ("kind", "move", "ends", "cures", "overdone", "source")


@dataclass(frozen=True, slots=True)
class RoundRule:
    """One rule over the rounds: what it ``does`` after an earlier change with one of the verdicts ``on``."""

    id: str
    does: str
    on: tuple[str, ...]
    says: tuple[str, ...]
    statement: str
    source: str
    limit_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Answers:
    """What a change is made for, what it brings when it goes too far, and the finding it is to bring into band."""

    cures: frozenset[str]
    overdone: frozenset[str]
    finding: str = ""
    source: str = ""


NOTHING = Answers(frozenset(), frozenset())


def _entries(
    file: str, about: str, row: Mapping[str, Any], needed: tuple[str, ...], allowed: tuple[str, ...]
) -> None:
    for name in needed:
        if name not in row:
            raise RulebookError(f"{file}: {about}: no {name}")
    strange = sorted(set(row) - {*needed, *allowed})
    if strange:
        raise RulebookError(f"{file}: {about}: unknown entry {strange}")


def read_round_rules(rows: Iterable[Mapping[str, Any]]) -> tuple[RoundRule, ...]:
    """Return the rules over the rounds; raises RulebookError for what is missing, unknown or told twice."""
    found: dict[str, RoundRule] = {}
    for row in rows:
        about = str(row.get("id", "?"))

        def need(fine: bool, reason: str, about: str = about) -> None:
            if not fine:
                raise RulebookError(f"rounds.toml: {about}: {reason}")

        _entries("rounds.toml", about, row, _RULE_ENTRIES, ("limit_mm",))
        need(bool(row["source"]), "no source")
        need(bool(row["statement"]), "no statement")
        need(row["does"] in DOES, f"nothing does {row['does']}")
        need(row["does"] not in {rule.does for rule in found.values()}, f"two rules do {row['does']}")
        need(about not in found, "twice the same id")
        need(set(row["on"]) <= set(VERDICTS), f"a verdict among {row['on']} is never given")
        need(bool(row["says"]) and set(row["says"]) <= set(SENTENCES), f"unknown sentence among {row['says']}")
        limit = row.get("limit_mm")
        need(DOES[row["does"]] == (limit is not None), "a limit needs limit_mm, and nothing else has one")
        need(limit is None or limit > 0, "a limit that lets nothing move")
        found[about] = RoundRule(
            about,
            row["does"],
            tuple(row["on"]),
            tuple(row["says"]),
            row["statement"],
            row["source"],
            None if limit is None else float(limit),
        )
    return tuple(found.values())


def read_answers(rows: Iterable[Mapping[str, Any]]) -> dict[tuple[str, str, str], Answers]:
    """Return what each change answers by (kind, move, end); raises RulebookError for what does not fit."""
    found: dict[tuple[str, str, str], Answers] = {}
    for row in rows:
        about = f"{row.get('kind', '?')} {row.get('move', '')}".strip()

        def need(fine: bool, reason: str, about: str = about) -> None:
            if not fine:
                raise RulebookError(f"rounds.toml: {about}: {reason}")

        _entries("rounds.toml", about, row, _ANSWER_ENTRIES, ("finding",))
        need(bool(row["source"]), "no source")
        need(row["kind"] in PROCEDURES, "unknown change")
        need(row["move"] in MOVES, f"unknown move {row['move']}")
        need(bool(row["ends"]) and set(row["ends"]) <= set(ENDS), "unknown end")
        cures, overdone = frozenset(row["cures"]), frozenset(row["overdone"])
        need(bool(cures), "answers nothing")
        need(cures | overdone <= SYMPTOM_IDS, f"unknown complaint {sorted((cures | overdone) - SYMPTOM_IDS)}")
        need(not cures & overdone, f"both cured and brought: {sorted(cures & overdone)}")
        need(row.get("finding", "") in ("", *VALUES), f"unknown value {row.get('finding')}")
        for end in row["ends"]:
            key = (row["kind"], row["move"], end)
            need(key not in found, f"told twice for {end}")
            found[key] = Answers(cures, overdone, row.get("finding", ""), row["source"])
    return found


ROUND_RULES = read_round_rules(read_data("rounds.toml")["round"])
ANSWERS: Mapping[tuple[str, str, str], Answers] = MappingProxyType(read_answers(read_data("rounds.toml")["answer"]))
