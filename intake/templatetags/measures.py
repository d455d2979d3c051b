"""Template filters that print numbers with their units."""

from django import template

from intake.models import Client
from intake.presentation import UnitPrefs, amount, show, unit_label

register = template.Library()


@register.filter
def measure(value: float | None, dimension: str, prefs: UnitPrefs | Client | None = None) -> str:
    """Print a canonical value in metric units: ``{{ value|measure:"length" }}``."""
    return "–" if value is None else show(value, dimension, prefs or UnitPrefs.metric())


@register.simple_tag
def measured(value: float | None, dimension: str, prefs: UnitPrefs | Client, half_width: float | None = None) -> str:
    """Print a canonical value in somebody's units: ``{% measured value "length" client %}``."""
    return "–" if value is None else show(value, dimension, prefs, half_width)


@register.filter
def in_unit(value: float | None, unit_id: str) -> str:
    """Print a value that is in ``unit_id`` already: ``{{ setting.value|in_unit:"click" }}``."""
    return "–" if value is None else amount(value, unit_id)


@register.filter
def unit_name(unit_id: str) -> str:
    return unit_label(unit_id)
