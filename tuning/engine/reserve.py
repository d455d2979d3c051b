"""Travel reserve: the stroke left over at the deepest travel, censored where the end of the stroke was reached."""

from collections.abc import Iterator

import numpy as np

from tuning.engine.arrays import Mask
from tuning.engine.pack import Pack
from tuning.engine.propagate import AT_MOST, OK, Each, Value
from tuning.engine.quantities import ENDS
from tuning.engine.rates import BOTTOMED

RIDES = ("normal", "hardest")


def censored(pack: Pack, end: str, ride: str) -> Mask:
    """Return (D, 1): whose ride wanted at least the whole stroke, so that its demand is known only as a bound.

    With 0–3 mm left, or a bang felt: how much more travel the ride would have used cannot be told.
    """
    felt = pack.answer(f"bottomed.{end}", "yes")
    left = pack.get(f"stroke.{end}")[:, :1] - pack.get(f"deepest_{ride}.{end}")[:, :1]
    hit = (left <= BOTTOMED) | (felt if ride == "hardest" else np.zeros_like(felt))
    return np.asarray(hit | (felt & ~pack.given(f"deepest_hardest.{end}")))


def derive_reserve(pack: Pack) -> Iterator[Value]:
    """Yield what was left in mm and as a share of the stroke, after a normal hard ride and after the hardest event.

    Censored reserves are "at_most" what was read.
    """
    for end in ENDS:
        stroke = pack.get(f"stroke.{end}")
        for ride in RIDES:
            reserve = stroke - pack.get(f"deepest_{ride}.{end}")
            hit = censored(pack, end, ride)
            status = np.where(hit, AT_MOST, OK)
            bound = Each("bottomed" if flag else None for flag in hit[:, 0])
            yield Value(f"reserve_{ride}.{end}", reserve, "mm", "reserve", status, {"bound": bound})
            if ride == "normal":
                yield Value(f"reserve_normal_share.{end}", reserve / stroke, "1", "reserve", status)
