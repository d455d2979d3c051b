"""Reads numbers as people type them in a garage: fractions, decimal commas, units written behind."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from tuning.engine.units import UNITS, to_canonical, width_to_canonical

#: Stored with every reading: a later parser may read the same text otherwise.
PARSER_VERSION = "1"

LONGEST = 60
EIGHTH = Fraction(1, 8)

_VULGAR: Mapping[str, str] = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
#: How people write units → our ids. Lower case; compared without dots and spaces.
_SPELLINGS: Mapping[str, str] = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in",
    "kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "n/mm": "N/mm", "kgf/mm": "kgf/mm", "kg/mm": "kgf/mm", "lbf/in": "lbf/in", "lb/in": "lbf/in", "lbs/in": "lbf/in",
    "kpa": "kPa", "bar": "bar", "psi": "psi", "kgf/cm2": "kgf/cm2", "kgf/cm²": "kgf/cm2", "kg/cm2": "kgf/cm2",
    "nm": "N.m", "n·m": "N.m", "lbfft": "lbf.ft", "ftlb": "lbf.ft", "ftlbs": "lbf.ft", "lbft": "lbf.ft",
    "deg": "deg", "°": "deg", "degrees": "deg", "%": "%",
    "ft": "ft", "feet": "ft", "mm2": "mm2", "mm²": "mm2", "cm2": "cm2", "cm²": "cm2", "in2": "in2", "in²": "in2",
    "cm3": "cm3", "cm³": "cm3", "cc": "cm3", "ml": "ml", "l": "l", "in3": "in3", "in³": "in3",
    "degc": "degC", "°c": "degC", "c": "degC", "degf": "degF", "°f": "degF", "f": "degF", "k": "K",
    "s": "s", "ms": "ms",
    "click": "click", "clicks": "click", "turn": "turn", "turns": "turn", "line": "line", "lines": "line",
    "step": "step", "steps": "step", "notch": "step", "notches": "step",
    "year": "1", "years": "1",
}  # fmt: skip

_DECIMAL = r"\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9}"
_NUMBER = re.compile(
    rf"^(?P<sign>[+-]?)\s*(?:"
    rf"(?P<whole>\d{{1,6}})(?:\s+|\s*-\s*)(?P<num>\d{{1,4}})/(?P<den>\d{{1,4}})"
    rf"|(?P<onlynum>\d{{1,4}})/(?P<onlyden>\d{{1,4}})"
    rf"|(?P<decimal>{_DECIMAL})"
    rf")\s*(?P<unit>[^\d\s+-][^\d]*(?:2|(?<=[mn])3)?)?$"
)
_GROUPED = re.compile(r"^\s*[+-]?\d{1,3}(?:[.,]\d{3})+[.,]\d+|^\s*[+-]?\d{1,3}(?:[.,]\d{3}){2,}")


@dataclass(frozen=True, slots=True)
class Typed:
    """A number read: in the unit typed, and canonical.

    resolution: half of the last digit or fraction typed, canonical; what the writing itself allows, not the tool.
    """

    value: float
    unit: str
    canonical: float
    resolution: float


class NotANumber(ValueError):
    """The text is not a number we can read without guessing.

    reason: ``empty``, ``not_a_number``, ``two_separators``, ``unknown_unit``, ``unlike_unit``, ``too_long``,
    ``zero_denominator``; params: what the wording needs.
    """

    def __init__(self, reason: str, text: str, params: Mapping[str, object] | None = None) -> None:
        super().__init__(f"{reason}: {text!r}")
        self.reason = reason
        self.text = text
        self.params: dict[str, object] = {"typed": text, **(params or {})}


def parse(text: str, dimension: str, default_unit: str) -> Typed:
    """Return the number in ``text``; a unit written behind it wins over ``default_unit``.

    Raises NotANumber when the text cannot be read, or its unit is of another dimension. Counts are not converted:
    three turns are not three clicks, so a count written with another unit than the wanted one is refused too; where
    the wanted unit is "1" (a range, an age), any count will do.
    """
    if len(text) > LONGEST:
        raise NotANumber("too_long", text[:LONGEST], {"longest": LONGEST})
    tidy = _tidy(text)
    if not tidy:
        raise NotANumber("empty", text)
    if _GROUPED.match(tidy):
        raise NotANumber("two_separators", text)
    match = _NUMBER.match(tidy)
    if match is None:
        raise NotANumber("not_a_number", text)
    number, last_place = _magnitude(match, text)
    if match["sign"] == "-":
        number = -number
    unit_id = _unit_of(match["unit"], default_unit, text)
    if unit_id not in UNITS:  # only a default unit gets here unknown
        raise NotANumber("unknown_unit", text, {"unit": unit_id})
    if not _fits(unit_id, dimension, default_unit):
        raise NotANumber("unlike_unit", text, {"unit": unit_id, "wanted": default_unit})
    if unit_id == "in":
        # A tape in inches is read to the eighth: 24 and 4 3/4 are written short, not measured to the inch or quarter.
        last_place = min(last_place, EIGHTH)
    value = float(number)
    return Typed(value, unit_id, to_canonical(value, unit_id), width_to_canonical(float(last_place) / 2, unit_id))


def _fits(unit_id: str, dimension: str, default_unit: str) -> bool:
    if dimension != "count":
        return UNITS[unit_id].dimension == dimension
    # The unit one serves ratios and bare counts alike.
    if unit_id == default_unit:
        return unit_id == "1" or UNITS[unit_id].dimension == "count"
    return default_unit == "1" and UNITS[unit_id].dimension == "count"


def _tidy(text: str) -> str:
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    for minus in "−–‒":
        text = text.replace(minus, "-")
    return re.sub(r"\s+", " ", text.replace("⁄", "/")).strip()


def _magnitude(match: re.Match[str], text: str) -> tuple[Fraction, Fraction]:
    if match["decimal"]:
        digits = match["decimal"].replace(",", ".")
        places = len(digits.partition(".")[2])
        return Fraction(digits if digits[0] != "." else "0" + digits), Fraction(1, 10**places)
    numerator, denominator = int(match["num"] or match["onlynum"]), int(match["den"] or match["onlyden"])
    if denominator == 0:
        raise NotANumber("zero_denominator", text)
    return int(match["whole"] or 0) + Fraction(numerator, denominator), Fraction(1, denominator)


def _unit_of(written: str | None, default_unit: str, text: str) -> str:
    if not written:
        return default_unit
    if written.strip() in UNITS:
        return written.strip()
    spelled = re.sub(r"[.\s]", "", written.lower())
    try:
        return _SPELLINGS[spelled]
    except KeyError:
        raise NotANumber("unknown_unit", text, {"unit": written.strip()}) from None
