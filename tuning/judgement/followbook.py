"""The data of the tree: which change may follow which, and which never stand together; refused loudly when they do
not fit together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from tuning.judgement.causebook import KINDS
from tuning.judgement.model import GATES
from tuning.judgement.rulebook import MOVES, PROCEDURES, SENTENCES, RulebookError, read_data

FILE = "follow.toml"
FURTHER = "further"
ON = ("better", "same")
WHERE = ("same", "other")
_ENTRIES = ("id", "on", "after", "then", "where", "gates", "statement", "source")
_FIGHT_ENTRIES = ("id", "one", "other", "statement", "source")


@dataclass(frozen=True, slots=True)
class Follow:
    """One rule: after a step that moved one of ``after`` and went as ``on`` says, ``then`` may follow."""

    id: str
    on: str
    after: tuple[str, ...]
    then: str
    where: str
    gates: tuple[str, ...]
    statement: str
    source: str
    share: float | None = None


@dataclass(frozen=True, slots=True)
class Fight:
    """Two changes, each (kind, move), that never stand in one tree at the same end."""

    id: str
    one: tuple[str, str]
    other: tuple[str, str]
    statement: str
    source: str


@dataclass(frozen=True, slots=True)
class Together:
    """A change and what it brings along: the kind and key of what comes, and the sentence that says why."""

    id: str
    change: str
    brings: str
    key: str
    says: str
    statement: str
    source: str


def _need(fine: bool, about: str, reason: str) -> None:
    if not fine:
        raise RulebookError(f"{FILE}: {about}: {reason}")


def _entries(about: str, row: Mapping[str, Any], needed: tuple[str, ...], allowed: tuple[str, ...] = ()) -> None:
    for name in needed:
        _need(name in row, about, f"no {name}")
    strange = sorted(set(row) - {*needed, *allowed})
    _need(not strange, about, f"unknown entry {strange}")
    _need(bool(row["source"]), about, "no source")
    _need(bool(row["statement"]), about, "no statement")


def _by_hand(kind: str, about: str) -> None:
    """Refuse what is not an adjuster that is put back by hand: parts, oil, anything with a torque."""
    steps = PROCEDURES.get(kind)
    _need(steps is not None, about, f"unknown change {kind}")
    fine = steps is not None and steps.skill == steps.skill_rear == "adjusters" and not steps.torque
    _need(fine, about, f"{kind} is not put back by hand")


def read_follows(rows: Iterable[Mapping[str, Any]]) -> tuple[Follow, ...]:
    """Return the rules in order; raises RulebookError for what is missing, unknown, told twice or too bold."""
    found: dict[str, Follow] = {}
    for row in rows:
        about = str(row.get("id", "?"))
        _entries(about, row, _ENTRIES, ("share",))
        _need(about not in found, about, "twice the same id")
        _need(row["on"] in ON, about, f"nothing goes {row['on']}")
        _need(row["where"] in WHERE, about, f"unknown place {row['where']}")
        _need(bool(row["gates"]) and set(row["gates"]) <= set(GATES), about, "unknown gate")
        _need(bool(row["after"]), about, "follows nothing")
        for kind in (*row["after"], *(() if row["then"] == FURTHER else (row["then"],))):
            _by_hand(kind, about)
        share = row.get("share")
        _need(
            (row["then"] == FURTHER) == (share is not None), about, "a step further needs a share, and nothing else"
        )
        _need(share is None or 0 < share < 1, about, "a step further is a part of the step before")
        further = row["then"] != FURTHER or (row["on"], row["where"]) == ("better", "same")
        _need(further, about, "only what helped goes further, and at its own end")
        found[about] = Follow(
            about,
            row["on"],
            tuple(row["after"]),
            row["then"],
            row["where"],
            tuple(row["gates"]),
            row["statement"],
            row["source"],
            share,
        )
    return tuple(found.values())


def _deed(text: str, about: str) -> tuple[str, str]:
    kind, _, move = text.partition(" ")
    _by_hand(kind, about)
    _need(bool(move) and move in MOVES, about, f"unknown move {move}")
    return kind, move


def read_fights(rows: Iterable[Mapping[str, Any]]) -> tuple[Fight, ...]:
    """Return the pairs that fight; raises RulebookError for what is missing, unknown or told twice."""
    found: dict[str, Fight] = {}
    for row in rows:
        about = str(row.get("id", "?"))
        _entries(about, row, _FIGHT_ENTRIES)
        _need(about not in found, about, "twice the same id")
        one, other = _deed(row["one"], about), _deed(row["other"], about)
        _need(one != other, about, "fights itself")
        _need(all({one, other} != {row.one, row.other} for row in found.values()), about, "the same pair twice")
        found[about] = Fight(about, one, other, row["statement"], row["source"])
    return tuple(found.values())


def read_answering(rows: Mapping[str, str]) -> Mapping[str, tuple[str, str]]:
    """Return the change that answers each cause; raises RulebookError for an unknown cause or change."""
    for cause in rows:
        _need(cause in KINDS, cause, "unknown cause")
    return MappingProxyType({cause: _deed(text, cause) for cause, text in rows.items()})


def read_together(rows: Iterable[Mapping[str, Any]]) -> tuple[Together, ...]:
    """Return what belongs together; raises RulebookError for what is missing, unknown or told twice."""
    found: dict[str, Together] = {}
    for row in rows:
        about = str(row.get("id", "?"))
        _entries(about, row, ("id", "change", "brings", "key", "says", "statement", "source"))
        _need(about not in found, about, "twice the same id")
        for name in ("change", "brings"):
            _need(row[name] in PROCEDURES, about, f"unknown change {row[name]}")
        _need(row["change"] != row["brings"], about, "brings itself")
        _need(row["says"] in SENTENCES, about, f"unknown sentence {row['says']}")
        _need(set(SENTENCES[row["says"]]) <= {"end"}, about, f"{row['says']} takes what nobody fills in")
        _need(bool(row["key"].replace("{end}", "")), about, "no key of its own")
        found[about] = Together(**row)
    return tuple(found.values())


_DATA = read_data(FILE)
TOGETHER = read_together(_DATA["together"])
FOLLOWS = read_follows(_DATA["follow"])
FIGHTS = read_fights(_DATA["fight"])
ANSWERING = read_answering(_DATA["cause"])
