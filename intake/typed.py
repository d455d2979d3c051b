"""Reads numbers as people type them in a garage: fractions, decimal commas, units written behind.

Nothing is guessed: a text that can be read two ways, with both of them possible, is refused with both named.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from intake.spellings import SPELLINGS
from tuning.engine.units import UNITS, to_canonical, width_to_canonical

#: Stored with every reading: a later parser may read the same text otherwise.
#: 2: feet with inches, more words for units; "1.250" where 1250 is possible, "1 9/8" and "5 - 3/8" are asked about.
PARSER_VERSION = "2"

LONGEST = 60
EIGHTH = Fraction(1, 8)

_VULGAR: Mapping[str, str] = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
#: Written alike: minus signs, the fraction slash, the Arabic decimal point; marks of no width that come with pasting.
#: Marks that turn the direction of writing stay, and are refused: what is seen would not be what is read.
_ALIKE = {ord(minus): "-" for minus in "−–‒"} | {ord("⁄"): "/", ord("٫"): "."}
_ALIKE |= dict.fromkeys(map(ord, "\u200b\u200c\u200d\u200e\u2060\ufeff"), "")
#: Full-width forms, as keyboards for Chinese and Japanese type them, lie this far above their plain ones.
_ALIKE |= {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}

_DECIMAL = r"\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9}"
_FRACTION = r"(?P<num>\d{1,4}) ?/ ?(?P<den>\d{1,4})"
_NUMBER = re.compile(
    rf"^(?P<sign>[+-]?)\s*(?:"
    rf"(?P<whole>\d{{1,6}})[ -]{_FRACTION}"
    rf"|(?P<onlynum>\d{{1,4}}) ?/ ?(?P<onlyden>\d{{1,4}})"
    rf"|(?P<decimal>{_DECIMAL})"
    rf")\s*(?P<unit>[^\d\s+-][^\d]*(?:2|(?<=[mn])3)?)?$"
)
#: 4' 9 1/2", 4 ft 9 in, 4'9: less than twelve inches behind whole feet.
_FEET = re.compile(
    rf"^(?P<feet>\d{{1,3}}) ?(?:['′’]|ft\.?|feet|foot) ?"
    rf"(?:(?P<whole>\d{{1,2}})(?:[ -]{_FRACTION})?|(?P<decimal>\d{{1,2}}[.,]\d{{1,9}}))"
    rf" ?(?:[\"″”“]|['′’]{{2}}|in\.?|inch(?:es)?)?$",
    re.IGNORECASE,
)
_GROUPED = re.compile(r"^\s*[+-]?\d{1,3}(?:[.,]\d{3})+[.,]\d+|^\s*[+-]?\d{1,3}(?:[.,]\d{3}){2,}")
#: One separator and three digits behind it: a decimal here, a thousands separator there.
_TWO_WAYS = re.compile(r"^([1-9]\d{0,2})[.,](\d{3})$")

Limits = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Typed:
    """A number read: in the unit typed, and canonical.

    resolution: half of the last digit or fraction typed, canonical; what the writing itself allows, not the tool.
    written: the unit stands behind the number; fraction: it was written as one.
    """

    value: float
    unit: str
    canonical: float
    resolution: float
    written: bool = False
    fraction: bool = False


class NotANumber(ValueError):
    """The text is not a number we can read without guessing.

    reason: ``empty``, ``not_a_number``, ``two_separators``, ``thousand_or_decimal``, ``unknown_unit``,
    ``unlike_unit``, ``too_long``, ``zero_denominator``, ``improper_fraction``; params: what the wording needs.
    """

    def __init__(self, reason: str, text: str, params: Mapping[str, object] | None = None) -> None:
        super().__init__(f"{reason}: {text!r}")
        self.reason = reason
        self.text = text
        self.params: dict[str, object] = {"typed": text, **(params or {})}


def parse(text: str, dimension: str, default_unit: str, limits: Limits = (None, None)) -> Typed:
    """Return the number in ``text``; a unit written behind it wins over ``default_unit``.

    limits: canonical; where they allow for a thousand, "1.250" is asked about; without any it is one and a quarter.

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
    feet = _FEET.match(tidy)
    match = feet or _NUMBER.match(tidy)
    if match is None:
        raise NotANumber("not_a_number", text)
    number, last_place = _feet_and_inches(match, text) if feet else _magnitude(match, text)
    if not feet and match["sign"] == "-":
        number = -number
    unit_id = "in" if feet else _unit_of(match["unit"], default_unit, text)
    if unit_id not in UNITS:  # only a default unit gets here unknown
        raise NotANumber("unknown_unit", text, {"unit": unit_id})
    if not _fits(unit_id, dimension, default_unit):
        raise NotANumber("unlike_unit", text, {"unit": unit_id, "wanted": default_unit})
    if not feet:
        _refuse_two_ways(match, unit_id, limits, text)
    if unit_id == "in":
        # A tape in inches is read to the eighth: 24 and 4 3/4 are written short, not measured to the inch or quarter.
        last_place = min(last_place, EIGHTH)
    value = float(number)
    return Typed(
        value,
        unit_id,
        to_canonical(value, unit_id),
        width_to_canonical(float(last_place) / 2, unit_id),
        written=bool(feet or match["unit"]),
        fraction=match["decimal"] is None,
    )


def _refuse_two_ways(match: re.Match[str], unit_id: str, limits: Limits, text: str) -> None:
    """Raise NotANumber where the one separator may stand for a thousand, and such a thousand is possible."""
    low, high = limits
    groups = _TWO_WAYS.match(match["decimal"] or "")
    if groups is None or (low is None and high is None):
        return
    plain = match["sign"].replace("+", "") + groups[1] + groups[2]
    thousand = to_canonical(float(plain), unit_id)
    if (low is None or thousand >= low) and (high is None or thousand <= high):
        exact = f"{match['sign'].replace('+', '')}{match['decimal']}0"
        raise NotANumber("thousand_or_decimal", text, {"plain": plain, "exact": exact})


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
    return re.sub(r"\s+", " ", text.translate(_ALIKE)).strip()


def _magnitude(match: re.Match[str], text: str) -> tuple[Fraction, Fraction]:
    if match["decimal"]:
        return _decimal(match["decimal"])
    if match["onlynum"]:
        return _fraction(match["onlynum"], match["onlyden"], text)
    return _mixed(match, text)


def _feet_and_inches(match: re.Match[str], text: str) -> tuple[Fraction, Fraction]:
    """Return inches and their last place."""
    inches, last_place = _decimal(match["decimal"]) if match["decimal"] else _mixed(match, text)
    if inches >= 12:
        raise NotANumber("not_a_number", text)
    return int(match["feet"]) * 12 + inches, last_place


def _decimal(digits: str) -> tuple[Fraction, Fraction]:
    digits = digits.replace(",", ".")
    places = len(digits.partition(".")[2])
    return Fraction(digits if digits[0] != "." else "0" + digits), Fraction(1, 10**places)


def _mixed(match: re.Match[str], text: str) -> tuple[Fraction, Fraction]:
    if not match["num"]:
        return Fraction(int(match["whole"])), Fraction(1)
    part, last_place = _fraction(match["num"], match["den"], text)
    if part >= 1:
        # "1 9/8" is a slip of a key: 1 5/8 as likely as 2 1/8.
        raise NotANumber("improper_fraction", text)
    return int(match["whole"]) + part, last_place


def _fraction(numerator: str, denominator: str, text: str) -> tuple[Fraction, Fraction]:
    if int(denominator) == 0:
        raise NotANumber("zero_denominator", text)
    return Fraction(int(numerator), int(denominator)), Fraction(1, int(denominator))


def _unit_of(written: str | None, default_unit: str, text: str) -> str:
    if not written:
        return default_unit
    if written.strip() in UNITS:
        return written.strip()
    spelled = re.sub(r"[.\s]", "", written.lower())
    try:
        return SPELLINGS[spelled]
    except KeyError:
        raise NotANumber("unknown_unit", text, {"unit": written.strip()}) from None
