"""What went before: each earlier round with its readings, what its sheet recommended, and what became of it.

A round's outcome is what the rider reports in the next one; what its sheet foretold is measured by the next one too.
"""

from dataclasses import dataclass

from tuning.engine.case import Case
from tuning.engine.derivation import Derivation

#: What became of a recommended change: set as told and said so; taken as set since nothing else was said; set to
#: another value; left where it was; done and put back, since it rode worse; or unknown (of parts and jobs, which have
#: no number, until the client says).
DONE = ("as_told", "assumed", "otherwise", "not_done", "undone", "unknown")
#: What the next readings were not taken with.
NOT_IN_PLACE = ("not_done", "undone")
#: How a complaint went. "" when nothing was said of it.
FELT = ("better", "same", "worse", "gone", "new", "")


@dataclass(frozen=True, slots=True)
class Advised:
    """One change of an earlier sheet.

    adjuster: its key, or "" for a part or a job; start, target and applied (where it was set, None when unknown) in
    ``unit``; rule: the rule that proposed it, "" for the tuner's own; told: the client said of this very change what
    became of it, so that one not done was not tried and put back either.
    """

    kind: str
    end: str
    adjuster: str
    start: float | None
    target: float | None
    unit: str
    rule: str = ""
    applied: float | None = None
    done: str = "assumed"
    told: bool = False


@dataclass(frozen=True, slots=True)
class Felt:
    """A complaint over one round: the end it is felt at, its severity as told before the change (of a new one, after
    it), and how it went."""

    symptom: str
    end: str
    severity: int
    change: str = ""


@dataclass(frozen=True, slots=True)
class Foretold:
    """What a sheet said that the next readings should show: derived key, value and 95 % half-width."""

    key: str
    value: float
    half_width: float
    unit: str


@dataclass(frozen=True, slots=True)
class Past:
    """One earlier round: its case and derivation as they were before the changes, and how the ride after them went.

    outcome: the rider's word on the whole, "" when not told; note: what the tuner wrote on the sheet.
    """

    number: int
    case: Case
    derivation: Derivation
    changes: tuple[Advised, ...] = ()
    predictions: tuple[Foretold, ...] = ()
    outcome: str = ""
    felt: tuple[Felt, ...] = ()
    note: str = ""


def family(kind: str) -> str:
    """Return the kind of a change with low-speed, high-speed and plain compression as one."""
    return "compression" if kind.startswith("compression") else kind


def way(kind: str, counted_from: str) -> int:
    """Return +1 or −1: which way the count goes for more of what the adjuster does."""
    if kind in ("fork_position", "ride_height"):
        return 1
    return 1 if counted_from == "open" else -1
