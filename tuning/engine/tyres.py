"""Tyres by the size on the sidewall, and what another tyre does to the radius."""

import math
import re
import unicodedata
from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array, Num
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.units import INCH

# Width/aspect, then what stands between in print: a speed letter (older sizes), R, B or D for the build, dashes.
# Spaces are single by then, so that no text makes the patterns backtrack far.
_METRIC = re.compile(
    r"(?P<width>\d{2,3}) ?/ ?(?P<aspect>\d{2,3}) ?-? ?[HJ-NPQS-Z]? ?[RBD]? ?[-X]? ?(?P<rim>\d{2})(?!\d| ?/ ?\d)"
)
_ALPHA = re.compile(r"M[A-Z] ?\d{2} ?-? ?[A-Z]{0,2} ?-? ?\d{2}(?!\d)")
_INCH = re.compile(r"\d[.,]\d{1,2} ?(?:/ ?\d{2,3})? ?[-X]? ?[A-Z]{0,2} ?-? ?\d{2}(?!\d)")
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-") | {"×": "X"})
#: What the parts of a size can be: width mm, aspect %, rim code.
_LIMITS = {"width": (50, 330), "aspect": (25, 110), "rim": (8, 23)}


@dataclass(frozen=True, slots=True)
class Tyre:
    """A metric size: width in mm, aspect in %, rim code (inches)."""

    width: int
    aspect: int
    rim: int

    @property
    def diameter(self) -> float:
        """Return the nominal outer diameter, mm: D = rim code × 25.4 + 2 × width × aspect/100."""
        return self.rim * INCH + 2 * self.width * self.aspect / 100


def parse(size: str, path: str = "tyre_size") -> Tyre:
    """Return the tyre of a metric size such as ``120/70ZR17 M/C (58W)``, ``150/80 VB 16`` or ``90/90-21``.

    Raises EngineInputError. Alpha (``MH90-21``) and inch sizes (``3.50-18``) are refused by name: the letters stand
    for no one width, and an inch size states no aspect ratio; other text is ``unreadable_tyre_size``.
    """
    text = " ".join(unicodedata.normalize("NFKC", size).translate(_DASHES).upper().split())
    match = _METRIC.match(text)
    if match is None:
        reason = "unreadable_tyre_size"
        if _ALPHA.match(text):
            reason = "alpha_tyre_size"
        elif _INCH.match(text):
            reason = "inch_tyre_size"
        raise EngineInputError([Fault(path, size, reason)])
    parts = {name: int(match[name]) for name in _LIMITS}
    if not all(low <= parts[name] <= high for name, (low, high) in _LIMITS.items()):
        raise EngineInputError([Fault(path, size, "unreadable_tyre_size")])
    return Tyre(**parts)


def nominal_diameter(size: str, path: str = "tyre_size") -> float:
    """Return the nominal outer diameter in mm (convention of ISO 5751 and ETRTO; tables not seen).

    Under load the radius is smaller by some millimetres. Raises EngineInputError as ``parse`` does.
    """
    return parse(size, path).diameter


def radius_growth(before: Num, after: Num) -> Array:
    """Return how much higher another tyre lifts its axle: ΔR = ΔC/2π, from two circumferences.

    Roll-outs of one turn, lengths alike; NaN where one is missing. E. Brasfield, magazine article on tyre diameter
    and ride height.
    """
    return np.asarray((np.asarray(after, dtype=np.float64) - before) / (2 * math.pi))


def growth_by_size(before: str, after: str) -> float:
    """Return the nominal growth of the radius from one size to another, mm. Raises EngineInputError as ``parse``.

    Tyres of one nominal size differ between makes by some millimetres: two roll-outs are better.
    """
    return (nominal_diameter(after, "after") - nominal_diameter(before, "before")) / 2
