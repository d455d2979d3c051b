"""What the solver answers: sets of changes with what they are foretold to give, or why there is none."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from tuning.engine.serial import plain
from tuning.engine.solve_levers import Barred

SOLUTIONS_SCHEMA = 1
#: Of a target by its 95 % interval. certain: all of the interval is inside. likely: the middle half of it is.
#: cannot_tell: neither. misses: all of it is outside.
VERDICTS = ("certain", "likely", "cannot_tell", "misses")


@dataclass(frozen=True, slots=True)
class Step:
    """One lever moved. start, to: where it stands and where it goes, None when that was not read; by, in ``unit``.

    adjusters: the keys of those that move it, each by as much. size: the same as the model takes it: mm at the
    spring, mm of gap less, kPa, mm of height; a spring's new rate. start_from: told, worked_out or unknown.
    fitted_as_before: a new spring fitted with the preload of the old one. needs: readings to take first. at_a_time:
    most that is moved before the next ride. have_it_done: above what the client can do.
    """

    lever: str
    unit: str
    start: float | None
    by: float
    to: float | None
    size: float
    adjusters: tuple[str, ...]
    start_from: str
    skill: str
    have_it_done: bool
    part: bool
    fitted_as_before: bool
    needs: tuple[str, ...]
    at_a_time: float | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a target is foretold to come to.

    value: its point value; other: the other end of a bracket, by equal energy, None where there is no bracket.
    low, high: the band. miss: how far outside, 0 inside. margin: how far inside over half the band's width (1: its
    middle), negative outside. half_width, other_half_width: of the 95 % intervals, verdict: one of VERDICTS; None
    where they were not asked for. leans_on: the reading that would narrow the interval most, unless it is certain.
    """

    target: str
    unit: str
    value: float
    other: float | None
    low: float | None
    high: float | None
    miss: float
    margin: float
    half_width: float | None = None
    other_half_width: float | None = None
    verdict: str | None = None
    leans_on: str | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """A set of changes. ``meets``: whether all targets that can be judged are met.

    margin: the least of the outcomes'. count: how many levers move. effort: the sum of what each costs in trouble.
    skill: the highest needed. parts: springs to buy, ``front.spring_rate`` with the rate of one.
    """

    steps: tuple[Step, ...]
    outcomes: tuple[Outcome, ...]
    meets: bool
    margin: float
    count: int
    effort: int
    skill: str
    have_it_done: bool
    parts: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A target that is missed: the nearest that can be reached, by how much that misses, and what is in the way."""

    target: str
    unit: str
    nearest: float
    other: float | None
    miss: float
    blocked_by: tuple[Barred, ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why nothing meets all targets.

    kind: out_of_reach (each shortfall is of a target that no change at hand reaches), together (each can be reached,
    not all of ``targets`` at once; the shortfalls are those of the compromise), search_bounded (not found in the
    evaluations allowed), nothing_to_judge. would_meet: what would, were more allowed; beyond: skill, budget, parts.
    """

    kind: str
    targets: tuple[str, ...] = ()
    shortfalls: tuple[Shortfall, ...] = ()
    would_meet: Solution | None = None
    beyond: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CannotJudge:
    """A target that the case's readings cannot foretell, why, and the readings that are missing.

    reason: not_read; unresolved (what the sags differ by is within the readings' uncertainty); censored (the ride
    used all the stroke, so that its demand is not known); levelling (semi-active levelling hides the spring).
    """

    target: str
    reason: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Solutions:
    """All the answers, fewest and least invasive first; an empty first one where all is met as found.

    compromise: only where nothing meets all; never a solution. evaluations: rows worked. complete: every place of
    every lever was looked at; otherwise in coarser steps, or as far as the evaluations allowed.
    """

    engine_version: str
    input_hash: str
    as_found: tuple[Outcome, ...]
    solutions: tuple[Solution, ...]
    compromise: Solution | None
    reason: Reason | None
    cannot_judge: tuple[CannotJudge, ...]
    barred: tuple[Barred, ...]
    evaluations: int
    complete: bool


def solutions_to_json(found: Solutions) -> dict[str, Any]:
    """Return the answers as plain JSON values."""
    return {"schema": SOLUTIONS_SCHEMA, **plain(asdict(found))}
