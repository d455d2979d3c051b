"""Nominal tyre diameters from the size on the sidewall."""

import re

from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.units import INCH

_METRIC = re.compile(
    r"^\s*(?P<width>\d{2,3})\s*/\s*(?P<aspect>\d{2,3})\s*-?\s*(?P<build>Z?R|B|D)?\s*-?\s*(?P<rim>\d{2})\b",
    re.IGNORECASE,
)
_ALPHA = re.compile(r"^\s*M[A-Z]\s*\d{2}\s*-?\s*(?:B|R)?\s*\d{2}", re.IGNORECASE)
_INCH = re.compile(r"^\s*\d\.\d{2}\s*-?\s*(?:B|R)?\s*\d{2}", re.IGNORECASE)


def nominal_diameter(size: str, path: str = "tyre_size") -> float:
    """Return the nominal outer diameter in mm of a metric size such as ``120/70ZR17 M/C (58W)``.

    D = rim code × 25.4 + 2 × width × aspect / 100 (convention of ISO 5751 and ETRTO). Under load the radius is
    smaller by some millimetres. Raises EngineInputError: alpha (``MH90-21``) and inch sizes (``3.50-18``) are refused
    by name, since neither states an aspect ratio; other text is ``unreadable_tyre_size``.
    """
    match = _METRIC.match(size)
    if match is None:
        reason = "unreadable_tyre_size"
        if _ALPHA.match(size):
            reason = "alpha_tyre_size"
        elif _INCH.match(size):
            reason = "inch_tyre_size"
        raise EngineInputError([Fault(path, size, reason)])
    width, aspect, rim = (int(match[name]) for name in ("width", "aspect", "rim"))
    if not (50 <= width <= 330 and 25 <= aspect <= 110 and 8 <= rim <= 23):
        raise EngineInputError([Fault(path, size, "unreadable_tyre_size")])
    return rim * INCH + 2 * width * aspect / 100
