"""Where each adjuster stands in its counted range."""

from collections.abc import Iterator

from tuning.engine.case import Adjuster, Case
from tuning.engine.derivation import Derived
from tuning.engine.measured import derived, uncertain

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


def derive_settings(case: Case) -> Iterator[Derived]:
    """Yield clicker and preload positions as shares of the counted range, preload left, and the legs' difference."""
    for adjuster in case.adjusters:
        full = adjuster.range_counted
        if adjuster.kind in DAMPING and full:
            out = out_from_closed(adjuster)
            if out is not None and 0 <= out <= full:
                share = uncertain(out / full, 0.0, adjuster.key)
                yield derived(f"clicker_position.{adjuster.key}", share, "1", "clicker_position")
        if adjuster.kind == "preload" and full:
            wound = preload_in(adjuster)
            if wound is not None and 0 <= wound <= full:
                yield derived(
                    f"preload_position.{adjuster.key}",
                    uncertain(wound / full, 0.0, adjuster.key),
                    "1",
                    "preload_position",
                )
                left = uncertain(full - wound, 0.0, adjuster.key)
                yield derived(f"preload_left.{adjuster.key}", left, adjuster.unit, "preload_position")
    legs = {a.leg: a for a in case.adjusters if a.kind == "fork_position" and a.found is not None}
    if {"left", "right"} <= legs.keys():
        left_leg, right_leg = (
            uncertain(float(legs[leg].found or 0.0), legs[leg].half_width, legs[leg].key) for leg in ("left", "right")
        )
        yield derived("fork_leg_difference", left_leg - right_leg, "mm", "fork_leg_difference")
