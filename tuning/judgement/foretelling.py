"""What the next readings should show after a draft's changes: by the engine's model of the bike, else by plain rules.

The engine foretells the difference a change makes; it is put on top of what was measured, so that what the model
gets wrong about the bike as found falls out. Where the springs are not known, 1 mm of preload moves a fork's sag by
1 mm and a rear axle by the leverage (plain coil; common practice).
"""

from collections.abc import Iterable, Mapping
from math import hypot

from tuning.engine.case import Adjuster
from tuning.engine.derivation import Derived
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import Wish
from tuning.engine.quantities import ENDS
from tuning.engine.whatif import what_if
from tuning.judgement.facts import leverage
from tuning.judgement.model import Change, Dossier, Prediction
from tuning.judgement.moves import step_of

#: A plain rule is trusted to a tenth of the shift: how far a spring seat's stated step can be (common practice).
RULE_OF_THUMB = 0.1
_MODELLED = ("preload", "fork_position", "ride_height")


def predict(dossier: Dossier, changes: Iterable[Change]) -> tuple[Prediction, ...]:
    """Return what the next readings should show after these changes; changes without numbers say nothing."""
    rows = tuple(changes)
    numbered = [row for row in rows if row.start is not None and row.target is not None]
    found = _by_rule(dossier, numbered)
    found |= _by_model(dossier, numbered)
    # A spring without a number moves the sags of its end by nobody knows how much.
    blind = tuple(f".{row.end}" for row in rows if row.kind == "spring" and row.target is None)
    return tuple(row for row in found.values() if row is not None and not row.key.endswith(blind))


def _by_model(dossier: Dossier, changes: list[Change]) -> dict[str, Prediction | None]:
    """Return what the engine foretells of sags and reserves, where it knows the springs."""
    rows = {row.key: row for row in dossier.case.adjusters}
    wishes = [
        Wish(row.adjuster, to=row.target)
        for row in changes
        if row.kind in _MODELLED and row.adjuster in rows and step_of(rows[row.adjuster]) is not None
    ]
    wishes += [Wish(f"{row.end}.spring_rate", to=row.target) for row in changes if row.kind == "spring"]
    wishes += [Wish(f"{row.end}.preload_mm", by=row.target) for row in changes if row.kind == "spacer"]
    if not wishes:
        return {}
    try:
        difference = what_if(dossier.case, wishes).difference
    except EngineInputError:
        # Outside the model, or a case made by hand for its findings alone: the plain rules stand.
        return {}
    found: dict[str, Prediction | None] = {}
    for end in ENDS:
        for name in ("sag_bike_alone", "sag_rider_aboard"):
            key = f"{name}.{end}"
            measured, moved = dossier.derivation.get(key), difference.get(key)
            if moved is not None and moved.value and moved.half_width is not None:
                found[key] = _shifted(measured, key, moved.value, moved.half_width)
        found |= _reserve(dossier, difference, end)
    return found


def _reserve(dossier: Dossier, difference: Mapping[str, Derived], end: str) -> dict[str, Prediction | None]:
    """Return the reserve after the same ride: an interval that holds both answers, by force and by energy."""
    key = f"reserve_normal.{end}"
    measured = dossier.derivation.get(key)
    ends = [difference.get(f"reserve_normal_by_{how}.{end}") for how in ("force", "energy")]
    moves = [row.value for row in ends if row is not None and row.value is not None]
    if measured is None or measured.status != "ok" or len(moves) < 2 or not any(moves):
        return {}
    widths = [row.half_width or 0.0 for row in ends if row is not None]
    middle, apart = sum(moves) / 2, abs(moves[0] - moves[1]) / 2
    return {key: _shifted(measured, key, middle, apart + max(widths))}


def _shifted(value: Derived | None, key: str, shift: float, half_width: float) -> Prediction | None:
    if value is None or value.value is None or value.half_width is None or value.value + shift < 0:
        return None
    return Prediction(key, value.value + shift, hypot(value.half_width, half_width), value.unit)


def _by_rule(dossier: Dossier, changes: list[Change]) -> dict[str, Prediction | None]:
    found: dict[str, Prediction | None] = {}
    rows = {row.key: row for row in dossier.case.adjusters}
    for change in changes:
        if change.kind == "spacer" and change.target is not None:
            found |= _sags(dossier, change.end, -change.target)
        row = rows.get(change.adjuster)
        if row is None or change.start is None or change.target is None:
            continue
        delta = change.target - change.start
        if change.kind == "preload":
            found |= _preload(dossier, change, row, delta)
        if change.kind == "fork_position":
            for name in ("rake", "ground_trail"):
                slope = dossier.derivation.get(f"{name}_per_mm_fork_position")
                if slope is not None and slope.value is not None:
                    shift = slope.value * delta
                    found[name] = _shifted(dossier.derivation.get(name), name, shift, RULE_OF_THUMB * abs(shift))
    return found


def _preload(dossier: Dossier, change: Change, row: Adjuster, delta: float) -> dict[str, Prediction | None]:
    ratio, step = (1.0 if row.end == "front" else leverage(dossier, "rear")), step_of(row)
    if not ratio or not step:
        return {}
    shift = -(delta if row.counted_from == "open" else -delta) * step * ratio
    return _sags(dossier, change.end, shift)


def _sags(dossier: Dossier, end: str, shift: float) -> dict[str, Prediction | None]:
    keys = [f"{name}.{end}" for name in ("sag_bike_alone", "sag_rider_aboard")]
    return {key: _shifted(dossier.derivation.get(key), key, shift, RULE_OF_THUMB * abs(shift)) for key in keys}
