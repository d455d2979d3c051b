"""The damping that the settle test shows: how one overshoot compares with the next."""

from collections.abc import Iterator

import numpy as np

from tuning.engine.damping import damping_ratio, least_ratio, log_decrement
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
