"""Readings as uncertain numbers that remember where they came from.

One reading is one variable, however often it is used: the same topped-out length in two sags is not independent of
itself. Half-widths are rectangular, u = a/√3 (JCGM 100:2008, 4.3.7); results are stated with coverage factor 2.
"""

import math
from collections.abc import Mapping
from typing import Any

from uncertainties import UFloat, ufloat
from uncertainties.core import AffineScalarFunc, LinearCombination

from tuning.engine.case import Case, Reading
from tuning.engine.derivation import Derived

COVERAGE = 2.0
#: Half the usual friction band of an end in good order, mm: what an unrepeated loaded length may be off by.
#: Common practice: up to about 6 mm front and 4 mm rear counts as in order; half of that is taken as usual.
USUAL_FRICTION: Mapping[str, float] = {"front": 3.0, "rear": 2.0}


def uncertain(value: float, half_width: float, tag: str) -> Any:
    """Return ``value`` with a rectangular half-width as an uncertain number tagged for its contributions."""
    if half_width == 0:
        return AffineScalarFunc(value, LinearCombination({}))
    return ufloat(value, half_width / math.sqrt(3), tag=tag)


class Readings:
    """A case's readings by what they are of, each as one uncertain variable.

    ``friction`` adds the usual friction of the end to a loaded length that was read only one way.
    """

    def __init__(self, case: Case) -> None:
        self.case = case
        self._by_key: dict[tuple[str, str, str], list[Reading]] = {}
        for reading in case.readings:
            self._by_key.setdefault((reading.quantity, reading.end, reading.load_state), []).append(reading)
        self._made: dict[tuple[str, str, str], Any] = {}

    def rows(self, quantity: str, end: str = "", load_state: str = "") -> list[Reading]:
        """Return the readings of a quantity; an empty load state means any."""
        if load_state:
            return self._by_key.get((quantity, end, load_state), [])
        return [row for (q, e, _), rows in self._by_key.items() if (q, e) == (quantity, end) for row in rows]

    def value(self, quantity: str, end: str = "", load_state: str = "") -> Any | None:
        """Return the quantity as one uncertain number (mean of repeats and of the friction pair), or None."""
        key = (quantity, end, load_state)
        if key in self._made:
            return self._made[key]
        rows = self.rows(quantity, end, load_state)
        if not rows:
            return None
        tag = ".".join(part for part in (quantity, end) if part)
        below = [r for r in rows if r.approach == "from_below"]
        above = [r for r in rows if r.approach == "from_above"]
        if below and above:
            made = (_mean(below, tag) + _mean(above, tag)) / 2
        else:
            made = _mean(rows, tag)
            if quantity in {"length_bike_alone", "length_rider_aboard"}:
                made = made + ufloat(0.0, USUAL_FRICTION[end] / math.sqrt(3), tag=f"friction.{end}")
        self._made[key] = made
        return made

    def friction_band(self, quantity: str, end: str, load_state: str) -> Any | None:
        """Return half the difference of a friction pair, or None when the length was not read both ways."""
        rows = self.rows(quantity, end, load_state)
        below = [r for r in rows if r.approach == "from_below"]
        above = [r for r in rows if r.approach == "from_above"]
        if not (below and above):
            return None
        tag = f"{quantity}.{end}"
        difference = _mean(above, tag) - _mean(below, tag)
        return difference / 2 if difference.nominal_value >= 0 else -difference / 2


def _mean(rows: list[Reading], tag: str) -> Any:
    return sum(uncertain(row.value, row.half_width, tag) for row in rows) / len(rows)


def derived(
    key: str,
    value: UFloat | Any,
    unit: str,
    formula: str,
    status: str = "ok",
    **params: object,
) -> Derived:
    """Return an uncertain result as a Derived value with its contributions by reading."""
    shares: dict[str, float] = {}
    for variable, component in value.error_components().items():
        tag = variable.tag or "assumed"
        shares[tag] = shares.get(tag, 0.0) + component**2
    total = sum(shares.values())
    ranked = (
        sorted(((tag, part / total) for tag, part in shares.items()), key=lambda row: (-row[1], row[0]))
        if total
        else []
    )
    return Derived(
        key=key,
        value=float(value.nominal_value),
        half_width=COVERAGE * float(value.std_dev),
        unit=unit,
        status=status,
        formula=formula,
        contributions=tuple(ranked),
        params=params,
    )


def unstated(key: str, unit: str, formula: str, status: str, **params: object) -> Derived:
    """Return a Derived without a number: ``cannot_state`` or ``refused``, with the reason in its params."""
    return Derived(key, None, None, unit, status, formula, (), params)
