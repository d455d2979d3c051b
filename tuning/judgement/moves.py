"""From a rule's direction to numbers on an adjuster, within its range and step; and the way back."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Protocol

from tuning.engine.case import Adjuster, Case
from tuning.judgement.model import Change, Draft

#: Share of the counted range that one damping change moves (common practice: 10–15 %).
DAMPING_STEP = 0.125
#: Height changes: at most this many mm a step (common practice).
HEIGHT_STEP = 3.0
#: Left between tyre and bodywork at full compression, mm (common practice).
CLEARANCE = 8.0
#: What can be set by hand, by unit of the adjuster.
SMALLEST = {"click": 1.0, "turn": 0.25, "line": 0.5, "step": 1.0, "mm": 0.5}


def sense(row: Adjuster, move: str) -> int:
    """Return +1 or −1: which way the count goes for the move."""
    if row.kind in ("fork_position", "ride_height"):
        return 1 if move == "more" else -1
    inward = 1 if row.counted_from == "open" else -1
    return inward if move in ("more", "firmer") else -inward


def rounded(size: float, unit: str) -> float:
    """Return a size that can be set by hand, never nothing."""
    smallest = SMALLEST.get(unit, 1.0)
    return max(smallest, round(size / smallest) * smallest)


def within(row: Adjuster, target: float) -> float:
    """Return the target held to the adjuster's range."""
    top = row.range_counted
    return max(0.0, target if top is None else min(target, top))


def step_of(row: Adjuster) -> float | None:
    """Return what one unit moves the spring seat by, mm; preload told in mm needs no telling."""
    return 1.0 if row.unit == "mm" else row.step_mm


def preload_target(row: Adjuster, move: str, axle_mm: float, leverage: float | None) -> float | None:
    """Return where the preload should stand to move the axle by ``axle_mm``; None when the adjuster cannot move.

    Without the size of a step, or the leverage at the rear, one unit only: small, and measured afterwards. One
    millimetre of preload moves a fork's sag by 1 mm and a rear axle by the leverage (plain coil; common practice).
    """
    if row.found is None:
        return None
    ratio = 1.0 if row.end == "front" else leverage
    step = step_of(row)
    known = step and ratio and (row.range_counted is not None or sense(row, move) < 0)
    size = abs(axle_mm) / ratio / step if known and step and ratio else 1.0
    target = within(row, row.found + sense(row, move) * rounded(size, row.unit))
    return None if target == row.found else target


def damping_target(row: Adjuster, move: str, share: float = DAMPING_STEP) -> float | None:
    """Return the count after one step; None without a count or range, or at the end of the range."""
    if row.found is None or not row.range_counted:
        return None
    size = rounded(share * row.range_counted, row.unit)
    target = within(row, row.found + sense(row, move) * size)
    return None if target == row.found else target


def height_target(row: Adjuster, move: str, step: float = HEIGHT_STEP) -> float | None:
    """Return the reading after at most one ``step`` in mm; in other units one unit, if its size allows; else None."""
    if row.found is None:
        return None
    size = step if row.unit == "mm" else 1.0
    if row.unit != "mm" and (row.step_mm is None or row.step_mm > step):
        return None
    target = within(row, row.found + sense(row, move) * size)
    return None if target == row.found else target


def apply(case: Case, changes: Iterable[Change]) -> Case:
    """Return the case with the adjusters as the changes set them; parts and jobs leave it as it is."""
    targets = {change.adjuster: change.target for change in changes if change.adjuster and change.target is not None}
    return replace(
        case, adjusters=tuple(replace(row, found=targets.get(row.key, row.found)) for row in case.adjusters)
    )


class Moved(Protocol):
    """What was moved: the adjuster's key, from where and to where."""

    @property
    def adjuster(self) -> str: ...
    @property
    def start(self) -> float | None: ...
    @property
    def target(self) -> float | None: ...


def tried_by(changes: Iterable[Moved], case: Case) -> dict[str, str]:
    """Return what a round changed as ``end.kind`` → "more" | "less", for ``Dossier.tried``; empty when it changed
    more than one thing, since its outcome then says nothing of either."""
    rows = {row.key: row for row in case.adjusters}
    ways: dict[str, set[str]] = {}
    for change in changes:
        row = rows.get(change.adjuster)
        if row is None or change.start is None or change.target in (None, change.start):
            continue
        grows = (change.target or 0.0) > change.start
        kind = "compression" if row.kind.startswith("compression") else row.kind
        ways.setdefault(f"{row.end}.{kind}", set()).add("more" if grows == (sense(row, "more") > 0) else "less")
    return {key: way.pop() for key, way in ways.items() if len(way) == 1} if len(ways) == 1 else {}


def undo(draft: Draft) -> tuple[Change, ...]:
    """Return the changes that put every adjuster back, last one first."""
    back = (c for c in reversed(draft.changes) if c.adjuster and c.start is not None)
    return tuple(replace(change, start=change.target, target=change.start) for change in back)
