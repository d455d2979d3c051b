"""Travel reserve: the stroke left over at the deepest travel, censored where the end of the stroke was reached."""

from collections.abc import Iterator

from tuning.engine.derivation import Derived
from tuning.engine.measured import Readings, derived
from tuning.engine.quantities import ENDS
from tuning.engine.rates import BOTTOMED


def derive_reserve(readings: Readings) -> Iterator[Derived]:
    """Yield what was left in mm and as a share of the stroke, after a normal hard ride and after the hardest event.

    With 0–3 mm left, or a bang felt, the ride wanted at least the whole stroke: the reserve is "at_most" what was
    read, since how much more travel the ride would have used cannot be told.
    """
    for end in ENDS:
        stroke = readings.value("stroke", end)
        if stroke is None:
            continue
        felt = readings.case.answers.get(f"bottomed.{end}") == "yes"
        for ride in ("normal", "hardest"):
            deepest = readings.value(f"deepest_{ride}", end)
            if deepest is None:
                continue
            reserve = stroke - deepest
            hit = reserve.nominal_value <= BOTTOMED or (felt and ride == "hardest")
            censored = hit or (felt and readings.value("deepest_hardest", end) is None)
            status = "at_most" if censored else "ok"
            yield derived(
                f"reserve_{ride}.{end}",
                reserve,
                "mm",
                "reserve",
                status,
                **({"bound": "bottomed"} if censored else {}),
            )
            if ride == "normal":
                yield derived(f"reserve_normal_share.{end}", reserve / stroke, "1", "reserve", status)
