"""Doubts about single numbers as typed: one that fits another unit better, one written finer than its tool reads.

Pure functions over text, unit and quantity. They hold nothing up: the client may be right.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from intake import typed
from tuning.engine.derivation import Check
from tuning.engine.quantities import METHODS, QUANTITIES
from tuning.engine.units import to_canonical, width_to_canonical

DOUBT_IDS = ("other_unit", "too_exact")

#: Units that people take for each other, by dimension.
SIBLINGS: Mapping[str, tuple[str, ...]] = {
    "mass": ("kg", "lb"),
    "length": ("mm", "cm", "in", "m"),
    "pressure": ("bar", "psi", "kPa"),
    "rate": ("N/mm", "kgf/mm", "lbf/in"),
    "temperature": ("degC", "degF"),
}
#: Where most numbers of a quantity lie, canonical, where that is narrower than the engine's plausible band (common
#: practice). One fork spring carries half of a light end, one shock spring most of a heavy one, geared down by the
#: linkage; of twin shocks each carries half without gearing.
USUAL: Mapping[tuple[str, str], tuple[float, float]] = {
    ("spring_rate", "front"): (3.0, 25.0),
    ("spring_rate", "rear"): (12.0, 250.0),
}
#: Tools that the words name. Of what stands in a manual, or was counted, every digit may be right.
TOOLS = ("rule", "tape", "caliper", "scale", "ring")
#: A decimal is too fine where its last place is below this share of the tool's half-width (``METHODS``; common
#: practice). A tape, to the millimetre either side: hundredths are doubted, tenths are not, since 1 3/8 in converted
#: is 34.9 mm. A bathroom scale, half a kilogram: hundredths are, tenths of a kilogram or a pound are not.
FINE_DECIMAL = 1 / 20
#: The same for a fraction: nobody converts into fractions. A tape has no 64ths (0.4 mm), a steel rule has.
FINE_FRACTION = 1 / 2
#: A decimal inch that is a fraction of this kind was read as that fraction.
INCH_MARKS = 32


class Row(Protocol):
    """A reading as stored: what it is of, and how it was typed."""

    quantity: str
    end: str
    leg: str
    method: str
    text: str
    unit: str


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """A number that is unusual in its unit and usual in others, given in its unit."""

    value: float
    unit: str
    others: tuple[str, ...]


def usual(quantity: str, end: str) -> tuple[float, float]:
    """Return where most numbers of a quantity lie, canonical."""
    spec = QUANTITIES[quantity]
    return USUAL.get((quantity, end), (spec.plausible_low, spec.plausible_high))


def units_that_fit(value: float, unit: str, dimension: str, band: tuple[float, float]) -> tuple[str, ...]:
    """Return the other units in which the same number would lie within ``band`` (canonical)."""
    low, high = band
    return tuple(u for u in SIBLINGS.get(dimension, ()) if u != unit and low <= to_canonical(value, u) <= high)


def other_unit(text: str, unit: str, quantity: str, end: str = "") -> OtherUnit | None:
    """Return the doubt about a number's unit, or None: where it is usual as it is, or has its unit written behind it.

    ``unit`` is what the number is taken to be in. A text that cannot be read raises no doubt.
    """
    spec, band = QUANTITIES[quantity], usual(quantity, end)
    number = _read(text, spec.dimension, unit)
    if number is None or number.written or band[0] <= number.canonical <= band[1]:
        return None
    others = units_that_fit(number.value, number.unit, spec.dimension, band)
    return OtherUnit(number.value, number.unit, others) if others else None


def too_exact(text: str, unit: str, quantity: str, method: str) -> bool:
    """Say whether a number is written finer than its tool reads."""
    spec = QUANTITIES[quantity]
    number = _read(text, spec.dimension, unit) if method in TOOLS else None
    if number is None:
        return False
    if number.unit == "in" and not number.fraction and (number.value * INCH_MARKS).is_integer():
        return False
    place = width_to_canonical(_place(number), number.unit)
    # Half a unit in the fifteenth digit is no finer a number.
    return place < METHODS[method] * (FINE_FRACTION if number.fraction else FINE_DECIMAL) * (1 - 1e-9)


def of(rows: Iterable[Row]) -> Iterator[Check]:
    """Yield the doubts about readings as stored, those of exactness one for each tool."""
    fine: dict[str, list[Row]] = {}
    for row in rows:
        doubt = other_unit(row.text, row.unit, row.quantity, row.end)
        if doubt is not None:
            yield Check(
                "other_unit",
                "second_look",
                row.end,
                (key_of(row),),
                {"quantity": row.quantity, "leg": row.leg, "number": doubt.value, "unit": doubt.unit,
                 "others": list(doubt.others)},
            )  # fmt: skip
        elif too_exact(row.text, row.unit, row.quantity, row.method):
            fine.setdefault(row.method, []).append(row)
    for method, found in fine.items():
        again = tuple(key_of(row) for row in found)
        texts = [[row.text, row.unit] for row in found]
        yield Check("too_exact", "second_look", "", again, {"tool": method, "texts": texts})


def key_of(row: Row) -> str:
    """Return ``quantity.end.leg``, as checks name a reading."""
    return ".".join(part for part in (row.quantity, row.end, row.leg) if part)


def _read(text: str, dimension: str, unit: str) -> typed.Typed | None:
    try:
        return typed.parse(text, dimension, unit)
    except typed.NotANumber:
        return None  # taken by an earlier parser, or by none


def _place(number: typed.Typed) -> float:
    """Return what the last digit that says something stands for, in the unit typed.

    34.50 is told to the tenth, 84.25 to the twentieth, as a scale with steps of 0.05 shows it.
    """
    if number.fraction:
        return 1 / Fraction(number.value).limit_denominator(10_000).denominator
    digits = f"{number.value:.9f}".rstrip("0").partition(".")[2]
    if not digits:
        return 1.0
    return 10.0 ** -len(digits) * (5 if digits[-1] == "5" and len(digits) > 1 else 1)
