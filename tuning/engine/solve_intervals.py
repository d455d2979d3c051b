"""Answers held against their bands by 95 % intervals: what the readings and assumptions leave open."""

from collections.abc import Mapping
from dataclasses import replace

from tuning.engine.bike import Change, changed
from tuning.engine.derivation import Derived
from tuning.engine.outlook import outlook
from tuning.engine.propagate import Value, finalise
from tuning.engine.solve_answers import Outcome, Solution
from tuning.engine.solve_problem import CHANGE
from tuning.engine.solve_values import moved
from tuning.engine.whatif import Model

Interval = tuple[float, float]


def judged_by_intervals(model: Model, one: Solution) -> Solution:
    """Return a solution with the half-widths of each outcome, and the verdict. ``model``: one with uncertainties."""
    change = moved({step.lever: step.size for step in one.steps})
    keys = {outcome.target: told_by(outcome.target) for outcome in one.outcomes}
    wanted = {name.removesuffix(CHANGE) for names in keys.values() for name in names}
    after = _outlook(model, change, wanted)
    if any(key.endswith(CHANGE) for key in keys):
        before = _outlook(model, Change(), wanted)
        for name, value in [(name, value) for name, value in after.items() if name in before]:
            # What both lean on falls out of the difference.
            less = value.numbers - before[name].numbers
            after[name + CHANGE] = replace(value, key=name + CHANGE, numbers=less)
    found = finalise(model.pack, after.values())[0]
    return replace(one, outcomes=tuple(_with(outcome, keys[outcome.target], found) for outcome in one.outcomes))


def told_by(target: str) -> tuple[str, ...]:
    """Return the values of the outlook that a target asks of: two for a bracket."""
    name, _, end = target.partition(".")
    if name.startswith("reserve_") and "_by_" not in name:
        return f"{name}_by_force.{end}", f"{name}_by_energy.{end}"
    return (target,)


def _outlook(model: Model, change: Change, wanted: set[str]) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for value in outlook(model.pack, model.base, changed(model.bike, change)):
        if value.key in wanted:
            found[value.key] = value
            # The outlook comes as it is asked: what comes after the last value wanted is never worked.
            if len(found) == len(wanted):
                break
    return found


def _with(outcome: Outcome, names: tuple[str, ...], found: Mapping[str, Derived]) -> Outcome:
    told = [found[name] for name in names if name in found]
    known = [one.half_width for one in told if one.half_width is not None]
    if len(known) < len(names):
        return replace(outcome, verdict="cannot_tell")
    points = [outcome.value] if outcome.other is None else [outcome.value, outcome.other]
    pairs = list(zip(points, known, strict=True))
    says = verdict(pairs, outcome.low, outcome.high)
    widest = max(told, key=lambda one: one.half_width or 0.0)
    return replace(
        outcome,
        half_width=known[0],
        other_half_width=known[1] if len(known) > 1 else None,
        verdict=says,
        leans_on=widest.contributions[0][0] if widest.contributions and says != "certain" else None,
    )


def verdict(pairs: list[Interval], low: float | None, high: float | None) -> str:
    """Return what the intervals (value, half-width) say of a band: see ``solve_answers.VERDICTS``."""
    least, greatest = (float("-inf") if low is None else low), (float("inf") if high is None else high)
    if all(least <= value - width and value + width <= greatest for value, width in pairs):
        return "certain"
    if all(least <= value - width / 2 and value + width / 2 <= greatest for value, width in pairs):
        return "likely"
    if any(value + width < least or value - width > greatest for value, width in pairs):
        return "misses"
    return "cannot_tell"
