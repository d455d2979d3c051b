"""Every field of every page, for bikes and units that make the pages differ; and hostile things to type into them."""

import re
import unicodedata
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from hypothesis import strategies as st

from intake.models import SetupRequest
from intake.steps import PAGES, SHORT_WAY, At, StepPage
from intake.steps.fields import Field
from tests.intake.rounds import started

SYSTEMS = (
    {"length_unit": "mm", "mass_unit": "kg", "pressure_unit": "bar", "rate_unit": "N/mm"},
    {"length_unit": "in", "mass_unit": "lb", "pressure_unit": "psi", "rate_unit": "lbf/in"},
    {"length_unit": "mm", "mass_unit": "kg", "pressure_unit": "kPa", "rate_unit": "kgf/mm"},
)
BIKES = (
    ("road_sport", "coil", "linkage"),
    ("enduro", "air", "direct"),
    ("classic", "coil_split", "twin_shock"),
    ("touring", "semi_active", "semi_active"),
    ("cruiser", "coil", "cantilever"),
)
ALL_PAGES: dict[str, StepPage] = {**PAGES, **SHORT_WAY}


def request_of(bike: tuple[str, str, str], units: dict[str, str]) -> SetupRequest:
    request = started(**units)
    request.discipline, request.bike.front, request.bike.rear = bike
    request.save()
    request.bike.save()
    return request


def at_of(request: SetupRequest) -> At:
    round_ = request.round()
    round_.request = request
    return At(request, round_)


def every_field(units: dict[str, str]) -> Iterator[tuple[At, StepPage, Field]]:
    """Yield each field once a page, for whichever bike shows it first."""
    seen = set()
    for bike in BIKES:
        at = at_of(request_of(bike, units))
        for page in ALL_PAGES.values():
            for group in page.groups(at):
                for spec in group.fields:
                    if (page.id, spec.name) not in seen:
                        seen.add((page.id, spec.name))
                        yield at, page, spec


_PIECES = [*"0123456789.,/-+'\"° ½¾⅜−", "mm", "in", "kg", "lb", "psi", "bar", "ft", "Klicks", "vueltas", "cm2"]
_ODD = [
    "",
    " ",
    "\x00",
    "8\x004",
    "NaN",
    "inf",
    "1e999",
    "0x10",
    "1_000",
    "-0",
    "∞",
    "١٢٣",
    "۱۲",
    "３４．５",
    "𝟜𝟚",
    "10²",
    "\u202e12",
    "\u200f12",
    "\u200e34\u200e",
    "\u2066 12 \u2069",
    "1\u0301\u0301\u0301",
    "🏍️ 34",
    "👨\u200d👩\u200d👧",
    "1\u20e3",
    "\ufeff34",
    "1/0",
    "1 9/8",
    "1.250",
    "1,250",
    "1.234,5",
    "1 250",
    "12'345",
    "4'9 1/2\"",
    "9" * 61,
    "9" * 5000,
    "0." + "0" * 50 + "1",
    "<script>alert(1)</script>",
    "{{ 7|add:7 }}",
    "%(x)s %s %",
    "' OR 1=1 --",
    "a\r\nb\nc\rd",
    "\u2028\u2029\x85",
    "x" * 2001,
    "x" * 9001,
    "ﷺ" * 700,
    "\U0010ffff\ufffe",
    "on",
    "False",
    "2026-02-30",
    "٢٠٢٦-٠٨-٣١",
    "a@b.example",
    "a@" + "b" * 300 + ".example",
]
HOSTILE = st.one_of(
    st.sampled_from(_ODD),
    st.lists(st.sampled_from(_PIECES), max_size=8).map("".join),
    st.text(max_size=70),
    st.sampled_from([61, 81, 255, 2001, 8001, 20_000]).map(lambda length: "x" * length),
    st.integers(-(10**7), 10**7).map(str),
    st.decimals(allow_nan=True, allow_infinity=True).map(str),
)

_VULGAR = {c: unicodedata.normalize("NFKC", c).replace("⁄", "/") for c in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
_FEET = re.compile(r"['′’]|ft|feet|foot", re.IGNORECASE)


def independent(text: str) -> Fraction:
    """Return the number that a text which is one number stands for, in the unit it is written in.

    Feet with inches are inches. Made apart from ``intake.typed``: by the digits in rows and what stands between.
    """
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    text = re.sub(r"(?<=[^\W\d_])[23]$", "", text.strip())  # cm2, in3
    digits = "".join(str(unicodedata.decimal(c)) if c.isdecimal() else c for c in text)
    runs = list(re.finditer(r"\d+", digits))
    numbers = [int(run[0]) for run in runs]
    between = [digits[a.end() : b.start()] for a, b in pairwise(runs)]
    before = digits[: runs[0].start()]
    value = Fraction(0)
    if _FEET.search("".join(between[:1])):
        value, numbers, runs, between = Fraction(12 * numbers[0]), numbers[1:], runs[1:], between[1:]
        before = ""
    decimal = next((n for n, gap in enumerate(between) if set(gap) & set(".,٫．，")), None)
    if before and before[-1] in ".,٫．，":
        value += Fraction(numbers[0], 10 ** len(runs[0][0]))
    elif decimal is not None:
        value += numbers[0] + Fraction(numbers[1], 10 ** len(runs[1][0]))
    elif between and "/" in between[-1].replace("⁄", "/").replace("／", "/"):
        value += (numbers[0] if len(numbers) == 3 else 0) + Fraction(numbers[-2], numbers[-1])
    else:
        value += numbers[0]
    return -value if set(before) & set("-−–‒－") else value
