"""The damping that the settle test shows: how one overshoot compares with the next, by eye or frame by frame."""

import math
from collections.abc import Iterator

import numpy as np

from tuning.engine.case import Case
from tuning.engine.damping import damping_ratio, least_ratio, log_decrement
from tuning.engine.derivation import Derived
from tuning.engine.frames import peaks_from_frames, settling
from tuning.engine.pack import Pack
from tuning.engine.propagate import AT_LEAST, OK, Each, Value
from tuning.engine.quantities import ENDS

#: A second overshoot smaller than this does not show, mm (common practice: what a rule beside the fork tells).
SMALLEST_SEEN = 2.0


def derive_settling(pack: Pack) -> Iterator[Value]:
    """Yield the damping ratio of each end that was pushed and watched.

    Where no second overshoot was seen the ratio is "at least" that of one just too small to see.
    """
    for end in ENDS:
        if not pack.has(f"settle_first.{end}"):
            continue
        first, second = pack.get(f"settle_first.{end}"), pack.get(f"settle_second.{end}")
        with np.errstate(invalid="ignore"):
            seen = second[:, :1] > SMALLEST_SEEN
        ratio = np.where(
            seen, damping_ratio(log_decrement(first, second)), least_ratio(first, np.full_like(first, SMALLEST_SEEN))
        )
        bound = Each(None if flag else "no_second_peak" for flag in seen[:, 0])
        yield Value(
            f"damping_ratio.{end}", ratio, "1", "damping_ratio", np.where(seen, OK, AT_LEAST), {"bound": bound}
        )


def derive_film(case: Case) -> Iterator[Derived]:
    """Yield damping ratio and undamped frequency of each end that was filmed, from the heights frame by frame.

    The half-width reaches to the further end of the range that the film allows.
    """
    for end, frames in case.settle_frames.items():
        if not frames:
            continue
        times, heights = (np.array(row) for row in zip(*frames, strict=True))
        found = settling(peaks_from_frames(times, heights))
        key, tag = f"damping_ratio.{end}", ((f"settle_frames.{end}", 1.0),)
        if math.isfinite(found.zeta) and math.isfinite(found.high):
            width = max(found.zeta - found.low, found.high - found.zeta)
            yield Derived(key, found.zeta, width, "1", "ok", "damping_ratio", tag)
        elif found.low > 0:
            params = {"bound": "no_second_peak"}
            yield Derived(key, found.low, 0.0, "1", "at_least", "least_damping_ratio", (), params)
        if math.isfinite(found.frequency) and math.isfinite(found.frequency_half_width):
            width = found.frequency_half_width
            yield Derived(f"settle_frequency.{end}", found.frequency, width, "Hz", "ok", "natural_frequency", tag)
