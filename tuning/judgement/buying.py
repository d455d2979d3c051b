"""Which spring to buy, and how far to wind it in: by the engine's solver, where the springs are known.

Rates are looked at in the steps that springs are sold in (common practice: forks by half a newton a millimetre, shock
springs by five), stiffer or softer than the present one only.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, floor, isfinite

import numpy as np

from tuning.engine.errors import EngineInputError
from tuning.engine.levers import standing
from tuning.engine.solve import solve
from tuning.engine.solve_answers import Solution, Solutions
from tuning.engine.solve_levers import SPACER
from tuning.engine.solve_problem import Band, Client, Limits, Parts, Problem
from tuning.engine.whatif import model_of
from tuning.judgement.model import Dossier, Finding, Said
from tuning.judgement.rulebook import say

#: Steps that springs are sold in, N/mm; how far from the present rate is looked; by how much a spacer may change, mm.
RATE_STEP: Mapping[str, float] = {"front": 0.5, "rear": 5.0}
FAR = 1.6
SPACER_MM = (-15.0, 15.0)
_SAGS = ("sag_bike_alone", "sag_rider_aboard")


@dataclass(frozen=True, slots=True)
class Purchase:
    """A spring to buy: the rate of one, as it is and as it should be, N/mm; where each preload adjuster goes, by key;
    by how much the spacer changes, 0 for not; and what there is to say: what is missed, and what would meet it."""

    end: str
    now: float
    rate: float
    preload: Mapping[str, float]
    spacer_mm: float
    says: tuple[Said, ...]


def spring_for(dossier: Dossier, findings: tuple[Finding, ...], end: str, move: str) -> Purchase | None:
    """Return the spring that brings both sags of an end into their bands, or the nearest there is; None where the
    springs are not known. move: "stiffer" or "softer"."""
    bands = _bands(dossier, findings, end)
    if not bands:
        return None
    try:
        now = _present(dossier, end)
        rates = _ladder(now, end, move) if now is not None else ()
        if now is None or not rates:
            return None
        parts = Parts(front_rates=rates) if end == "front" else Parts(rear_rates=rates)
        limits = Limits(front_spacer=SPACER_MM if end == "front" else None)
        problem = Problem(dossier.case, bands, parts, limits, Client("specialist", "any"))
        found = solve(problem, uncertain=False)
    except EngineInputError:
        # Outside the model, or a case made by hand for its findings alone: the tuner names the rate.
        return None
    lever = f"{end}.spring_rate"
    best = next((one for one in found.solutions if lever in one.parts), None)
    if best is not None:
        return _purchase(end, now, best, ())
    if found.solutions or found.compromise is None or lever not in found.compromise.parts:
        # The preload alone would do by the model, or nothing is nearer with another spring: no rate is named.
        return None
    return _purchase(end, now, found.compromise, _missed(found, end))


def _bands(dossier: Dossier, findings: tuple[Finding, ...], end: str) -> dict[str, Band]:
    """Return the end's bands of both sags in mm; a share is taken of the stroke."""
    stroke = next((r.value for r in dossier.case.readings if (r.quantity, r.end) == ("stroke", end)), None)
    found = {}
    for item in findings:
        name, _, where = item.key.partition(".")
        scale = stroke if item.target.unit == "1" else 1.0
        if where == end and name.removesuffix("_share") in _SAGS and scale:
            key = f"{name.removesuffix('_share')}.{end}"
            found[key] = Band(item.target.low * scale, item.target.high * scale)
    return found if len(found) == len(_SAGS) else {}


def _present(dossier: Dossier, end: str) -> float | None:
    told = standing(dossier.case).get(f"{end}.spring_rate")
    if told is not None:
        return told
    bike = model_of(dossier.case, uncertain=False).bike
    sprung = bike.front if end == "front" else bike.rear
    rate = float(np.asarray(sprung.coil.rate).flat[0]) / sprung.count
    return rate if isfinite(rate) and rate > 0 else None


def _ladder(now: float, end: str, move: str) -> tuple[float, ...]:
    """Return the rates on sale that are stiffer or softer than the present one, the nearest first."""
    step = RATE_STEP[end]
    if move == "stiffer":
        first, last = floor(now / step) + 1, floor(now * FAR / step)
        return tuple(at * step for at in range(first, last + 1))
    first, last = ceil(now / step) - 1, ceil(now / FAR / step)
    return tuple(at * step for at in range(first, max(last, 1) - 1, -1))


def _purchase(end: str, now: float, found: Solution, missed: tuple[Said, ...]) -> Purchase:
    rate = found.parts[f"{end}.spring_rate"]
    says = [say("buy_rate", end=end, rate_nmm=rate)]
    preload: dict[str, float] = {}
    spacer = 0.0
    for step in found.steps:
        if step.lever == f"{end}.preload_mm" and step.to is not None:
            preload |= dict.fromkeys(step.adjusters, step.to)
        if step.lever == SPACER:
            spacer = step.by
            says.append(say("buy_spacer", end=end, by_mm=abs(spacer)))
    if not preload and not spacer:
        says.append(say("buy_wound_as_before", end=end))
    return Purchase(end, now, rate, preload, spacer, (*says, *missed))


def _missed(found: Solutions, end: str) -> tuple[Said, ...]:
    """Return what cannot be met and by how much, and what would."""
    reason, says = found.reason, []
    worst = max(reason.shortfalls, key=lambda one: one.miss, default=None) if reason else None
    if reason is None or worst is None:
        return ()
    says.append(say("cannot_be_met", finding=worst.target, miss_mm=worst.miss))
    rate = reason.would_meet.parts.get(f"{end}.spring_rate") if reason.would_meet else None
    if rate is not None:
        says.append(say("would_meet_rate", end=end, rate_nmm=rate))
    else:
        says.append(say("would_meet_band", finding=worst.target, miss_mm=worst.miss))
    return tuple(says)
