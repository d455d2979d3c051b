"""Numbers as a person reads them: in their unit, no more digits than the reading carries, the unit always beside."""

import math
from dataclasses import dataclass

from django.utils.formats import get_format, number_format
from django.utils.translation import gettext as _

from intake.models import Client
from tuning.engine.units import CANONICAL, from_canonical

NBSP = "\u00a0"
MINUS = "\u2212"

#: Most decimals that make sense per unit, for numbers whose half-width is not told.
DECIMALS = {
    "mm": 1, "cm": 1, "in": 2, "kg": 1, "lb": 1, "N/mm": 1, "kgf/mm": 2, "lbf/in": 0, "kPa": 0, "bar": 2, "psi": 0,
    "N.m": 0, "lbf.ft": 0, "deg": 1, "%": 0, "1": 2, "click": 0, "turn": 1, "line": 1, "step": 0, "Hz": 1, "N": 0,
    "mm2": 0, "cm3": 0, "degC": 0, "s": 2,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class UnitPrefs:
    """The units one person reads, by dimension."""

    length: str = "mm"
    mass: str = "kg"
    pressure: str = "bar"
    rate: str = "N/mm"
    torque: str = "N.m"

    @classmethod
    def of(cls, client: Client) -> "UnitPrefs":
        return cls(client.length_unit, client.mass_unit, client.pressure_unit, client.rate_unit, client.torque_unit)

    @classmethod
    def metric(cls) -> "UnitPrefs":
        return cls()

    @classmethod
    def imperial(cls) -> "UnitPrefs":
        return cls("in", "lb", "psi", "lbf/in", "lbf.ft")

    def unit(self, dimension: str) -> str:
        """Return the unit id used for a dimension of ``tuning.engine.units``."""
        own = {"length": self.length, "mass": self.mass, "pressure": self.pressure, "rate": self.rate}
        own["torque"] = self.torque
        return own.get(dimension) or ("1" if dimension in {"share", "count"} else CANONICAL.get(dimension, "1"))


def unit_label(unit_id: str) -> str:
    """Return a unit as printed behind a number."""
    labels = {
        "N.m": "N·m", "lbf.ft": "lbf·ft", "kgf.m": "kgf·m", "kgf/cm2": "kgf/cm²", "deg": "°", "1": "",
        "mm2": "mm²", "cm2": "cm²", "in2": "in²", "cm3": "cm³", "in3": "in³", "degC": "°C", "degF": "°F",
        "click": _("clicks"), "turn": _("turns"), "line": _("lines"), "step": _("steps"), "mode": "",
    }  # fmt: skip
    return labels.get(unit_id, unit_id)


def _one(unit_id: str) -> str:
    """Return a unit as printed behind a one."""
    singular = {"click": _("click"), "turn": _("turn"), "line": _("line"), "step": _("step")}
    return singular.get(unit_id) or unit_label(unit_id)


def number(value: float, decimals: int) -> str:
    """Return a number with at most ``decimals`` digits behind the point, trailing zeros dropped, a real minus."""
    rounded = round(value, decimals)
    if rounded == 0:
        rounded = 0.0
    text = number_format(abs(rounded), decimal_pos=decimals, use_l10n=True)
    separator = number_format(0.5, decimal_pos=1, use_l10n=True)[1]
    if separator in text:
        text = text.rstrip("0").rstrip(separator)
    return f"{MINUS}{text}" if rounded < 0 else text


def plain(value: float, decimals: int = 6) -> str:
    """Return a number as a person would type it into a field: no unit, no grouping, their decimal sign."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"
    return ("0" if text == "-0" else text).replace(".", get_format("DECIMAL_SEPARATOR"))


def amount(value: float, unit_id: str, decimals: int | None = None) -> str:
    """Return a number already in ``unit_id`` with its unit: ``34.5 mm``, ``24.3°``, ``35 %``."""
    digits = DECIMALS.get(unit_id, 2) if decimals is None else decimals
    label = _one(unit_id) if round(abs(value), digits) == 1 else unit_label(unit_id)
    if unit_id == "deg":
        return f"{number(value, digits)}{label}"
    return f"{number(value, digits)}{NBSP}{label}" if label else number(value, digits)


def decimals_for(half_width: float, unit_id: str) -> int:
    """Return how many decimals a value with this half-width (in ``unit_id``) carries: up to the half-width's first
    digit, or its second where the first is a 1 or 2 and rounding it would tell too little."""
    most = DECIMALS.get(unit_id, 2)
    if not math.isfinite(half_width) or half_width <= 0:
        return most
    place = math.floor(math.log10(half_width))
    leading = half_width / 10**place
    return max(0, min(most, -place + (1 if leading < 3 else 0)))


def show(value: float, dimension: str, prefs: UnitPrefs | Client, half_width: float | None = None) -> str:
    """Return a canonical value in the reader's unit, rounded to what its 95 % half-width (if told) carries."""
    units = UnitPrefs.of(prefs) if isinstance(prefs, Client) else prefs
    unit_id = "%" if dimension == "share" else units.unit(dimension)
    shown = from_canonical(value, unit_id)
    digits = None if half_width is None else decimals_for(from_canonical(half_width, unit_id), unit_id)
    return amount(shown, unit_id, digits)


def show_with_half_width(value: float, half_width: float, dimension: str, prefs: UnitPrefs | Client) -> str:
    """Return ``34 ± 2 mm``; without the half-width where it is less than the last digit that the unit carries."""
    units = UnitPrefs.of(prefs) if isinstance(prefs, Client) else prefs
    unit_id = "%" if dimension == "share" else units.unit(dimension)
    spread = from_canonical(half_width, unit_id)
    digits = decimals_for(spread, unit_id)
    if round(spread, digits) == 0:
        return amount(from_canonical(value, unit_id), unit_id, digits)
    return f"{number(from_canonical(value, unit_id), digits)}{NBSP}±{NBSP}{amount(spread, unit_id, digits)}"
