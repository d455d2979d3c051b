"""Where each adjuster stands in its counted range."""

import math
from collections.abc import Iterator

import numpy as np

from tuning.engine.case import Adjuster, Case
from tuning.engine.derivation import Derived
from tuning.engine.interval import coverage

DAMPING = frozenset({"rebound", "compression", "compression_low", "compression_high"})


def preload_in(adjuster: Adjuster) -> float | None:
    """Return how much preload is wound in, in the adjuster's unit, however it is counted; None when unknown."""
    if adjuster.found is None:
        return None
    if adjuster.counted_from == "open":
        return adjuster.found
    return None if adjuster.range_counted is None else adjuster.range_counted - adjuster.found


def out_from_closed(adjuster: Adjuster) -> float | None:
    """Return clicks or turns out from fully closed, whichever way they were counted; None when unknown."""
    if adjuster.found is None:
        return None
    if adjuster.counted_from == "closed":
        return adjuster.found
    return None if adjuster.range_counted is None else adjuster.range_counted - adjuster.found


def _counted(key: str, value: float, unit: str, formula: str) -> Derived:
    return Derived(key, value, 0.0, unit, "ok", formula)


def derive_settings(case: Case) -> Iterator[Derived]:
    """Yield clicker and preload positions as shares of the counted range, preload left, and the legs' difference."""
    for adjuster in case.adjusters:
        full = adjuster.range_counted
        if adjuster.kind in DAMPING and full:
            out = out_from_closed(adjuster)
            if out is not None and 0 <= out <= full:
                yield _counted(f"clicker_position.{adjuster.key}", out / full, "1", "clicker_position")
        if adjuster.kind == "preload" and full:
            wound = preload_in(adjuster)
            if wound is not None and 0 <= wound <= full:
                yield _counted(f"preload_position.{adjuster.key}", wound / full, "1", "preload_position")
                yield _counted(f"preload_left.{adjuster.key}", full - wound, adjuster.unit, "preload_position")
    yield from _legs(case)


def _legs(case: Case) -> Iterator[Derived]:
    legs = {a.leg: a for a in case.adjusters if a.kind == "fork_position" and a.found is not None}
    if not {"left", "right"} <= legs.keys():
        return
    left, right = legs["left"], legs["right"]
    u = math.hypot(left.half_width, right.half_width) / math.sqrt(3)
    width = float(coverage(np.float64(u), np.float64(max(left.half_width, right.half_width)))) * u if u else 0.0
    parts = sorted(((leg.key, leg.half_width**2) for leg in (left, right)), key=lambda part: (-part[1], part[0]))
    total = sum(part for _, part in parts)
    yield Derived(
        "fork_leg_difference",
        float(left.found or 0.0) - float(right.found or 0.0),
        width,
        "mm",
        "ok",
        "fork_leg_difference",
        tuple((key, part / total) for key, part in parts) if total else (),
    )
