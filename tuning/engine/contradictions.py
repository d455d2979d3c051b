"""Readings of one document that cannot all be true, or that say nothing without each other.

Asked of documents, where all stands together; readings that come in one by one are asked about by the checks.
"""

import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass

from tuning.engine.case import Reading
from tuning.engine.errors import Fault
from tuning.engine.quantities import ENDS, QUANTITIES
from tuning.engine.units import CANONICAL, unit

#: Published trails and rakes are rounded to the half millimetre and the tenth of a degree.
_ROUNDED_TRAIL, _ROUNDED_RAKE = 0.5, 0.1


@dataclass(frozen=True, slots=True)
class Given:
    """A reading of a document: its place in the list of readings, its canonical value, the unit it was given in."""

    index: int
    row: Reading
    unit: str = ""

    def fault(self, reason: str, low: float, high: float, **params: object) -> Fault:
        """Return a fault of this reading's value, with the canonical limits shown in the unit it was given in."""
        at = unit(self.unit or CANONICAL[QUANTITIES[self.row.quantity].dimension])
        limits = {"low": at.shown(low), "high": at.shown(high), "unit": at.id}
        return Fault(f"readings[{self.index}].value", at.shown(self.row.value), reason, {**limits, **params})


def contradictions(readings: Sequence[Given], spoilt: Collection[str] = ()) -> Iterator[Fault]:
    """Yield what cannot be: the offending reading, the values that the others leave it, and which others they are.

    ``spoilt`` are quantities with a reading that could not be read: nothing is missing that may be one of these.
    """

    def of(quantity: str, end: str = "") -> Given | None:
        rows = (given for given in readings if (given.row.quantity, given.row.end) == (quantity, end))
        return next((given for given in rows if math.isfinite(given.row.value)), None)

    yield from _trails(of)
    for end in ENDS:
        yield from _rates(of, end, spoilt)
        first, second = of("settle_first", end), of("settle_second", end)
        if first and second and second.row.value - second.row.half_width > first.row.value + first.row.half_width:
            yield second.fault("overshoot_grows", 0.0, first.row.value, than=f"settle_first.{end}")


def _trails(of: Callable[..., Given | None]) -> Iterator[Fault]:
    """Normal trail is ground trail × cos rake (geometry in the plane); never more than ground trail."""
    ground, normal, rake = of("ground_trail"), of("normal_trail"), of("rake")
    if not (ground and normal):
        return
    spread = ground.row.half_width + normal.row.half_width + _ROUNDED_TRAIL
    if rake:
        angle, off = rake.row.value, rake.row.half_width + _ROUNDED_RAKE
        steepest, flattest = max(angle - off, 0.0), angle + off
    else:
        steepest, flattest = QUANTITIES["rake"].low, QUANTITIES["rake"].high
    low = ground.row.value * math.cos(math.radians(flattest)) - spread
    high = ground.row.value * math.cos(math.radians(steepest)) + spread
    if not low <= normal.row.value <= high:
        against = ("ground_trail", "rake") if rake else ("ground_trail",)
        yield normal.fault("trails_contradict", low, high, against=against)


def _rates(of: Callable[..., Given | None], end: str, spoilt: Collection[str]) -> Iterator[Fault]:
    """A second rate begins somewhere, and what begins is a second rate."""
    second, crossover = of("spring_rate_second", end), of("spring_crossover", end)
    for there, missing in ((second, "spring_crossover"), (crossover, "spring_rate_second")):
        if there and not (second and crossover) and missing not in spoilt:
            spec = QUANTITIES[there.row.quantity]
            yield there.fault("incomplete", spec.low, spec.high, missing=(f"{missing}.{end}",))
