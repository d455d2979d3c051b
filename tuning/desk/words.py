"""What the judgement's ids are called, in the language that is active and the reader's units."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django.utils.translation import gettext as _

from intake import words
from intake.choices import FrontArchitecture
from intake.presentation import UnitPrefs, amount, show, show_with_half_width, unit_label
from tuning.desk import procedures, sentences, value_words
from tuning.engine.derivation import Derived
from tuning.engine.values import VALUES
from tuning.judgement.model import Said, Target

#: Dimension of a canonical unit. A plain 1 is a share of something.
DIMENSIONS = {
    "mm": "length",
    "N/mm": "rate",
    "deg": "angle",
    "kPa": "pressure",
    "kg": "mass",
    "1": "share",
    "N": "force",
    "Hz": "frequency",
}


#: A shop without words of its own.
NO_WORDS: Mapping[str, str] = MappingProxyType({})


def said(row: Said | Mapping[str, Any], prefs: UnitPrefs, own: Mapping[str, str] = NO_WORDS) -> str:
    """Return a sentence filled with its numbers, in the shop's ``own`` words where it has any. Raises KeyError for an id
    without words."""
    name, params = (row.id, row.params) if isinstance(row, Said) else (row["id"], row.get("params", {}))
    shown = words.params_text({key: value for key, value in params.items() if value is not None}, prefs)
    shown |= {key: "–" for key, value in params.items() if value is None}
    for key in ("question", "check", "reading", "finding", "adjuster", "end", "change", "symptom", "architecture"):
        if key in params:
            shown[key] = _name(key, str(params[key]))
    return str(own.get(name) or sentences.SAID[name]) % shown


def _name(kind: str, value: str) -> str:
    if kind == "question":
        return str(words.STOP_REASONS[value])
    if kind == "check":
        return str(words.CHECK_NAMES[value])
    if kind == "reading":
        return decide_text(value)
    if kind == "finding":
        return derived_name(value)
    if kind == "architecture":
        return str(dict(FrontArchitecture.choices).get(value, value))
    if kind == "change":
        return change_name(*value.split("."))
    if kind == "symptom":
        name, *where = value.split(".")
        told = str(words.symptom_name(name))
        return _("%(symptom)s (%(end)s)") % {"symptom": told, "end": words.ENDS[where[0]]} if where else told
    if kind == "end":
        return str(words.ENDS[value]) or _("both ends")
    return adjuster_name(value) if value else _("the adjuster")


def adjuster_name(key: str) -> str:
    return words.adjuster_name(key)


def change_name(kind: str, end: str) -> str:
    """Return what kind of change it is, at which end."""
    return str(procedures.TITLES[kind]) % {"end": words.ENDS[end]}


def how_text(name: str) -> str:
    return str(procedures.HOW[name])


def verify_text(name: str) -> str:
    return str(procedures.VERIFY[name])


def caution_text(name: str) -> str:
    return str(procedures.CAUTIONS[name])


def ride_test_text(name: str) -> str:
    return str(procedures.RIDE_TEST[name])


def tool_name(name: str) -> str:
    return str(procedures.TOOLS[name])


def change_title(change: Mapping[str, Any]) -> str:
    """Return the title of a change; one that sets an adjuster is named after it."""
    if change["adjuster"]:
        return adjuster_name(change["adjuster"])
    return str(procedures.TITLES[change["kind"]]) % {"end": words.ENDS[change["end"]]}


def change_from_to(
    change: Mapping[str, Any], prefs: UnitPrefs, counted_from: str | None = None
) -> tuple[str, str, str]:
    """Return (from, to, which way to turn and how far) of a change; empty texts where there is no number.

    ``counted_from``: as the adjuster is counted; without it as its kind usually is.
    """
    start, target, unit = change["start"], change["target"], change["unit"]
    kind = _kind(change)
    counted = counted_from or ("open" if kind == "preload" and unit != "line" else "closed")
    if target is None:
        return "", "", ""
    if kind == "spacer":
        longer = _("%(far)s longer") if target > 0 else _("%(far)s shorter")
        return _("as it is"), longer % {"far": show(abs(target), "length", prefs)}, ""
    if unit == "N/mm":
        return show(start, "rate", prefs) if start is not None else "–", show(target, "rate", prefs), ""
    to_text = words.setting_text(kind, target, unit, counted, prefs)
    if start is None:
        return "–", to_text, ""
    from_text = words.setting_text(kind, start, unit, counted, prefs)
    return from_text, to_text, _turn(kind, target - start, unit, counted, prefs)


def _kind(change: Mapping[str, Any]) -> str:
    return str(change["adjuster"]).split(".")[1] if change["adjuster"] else str(change["kind"])


def _turn(kind: str, delta: float, unit: str, counted: str, prefs: UnitPrefs) -> str:
    if delta == 0:
        return _("stays as it is")
    size = abs(delta)
    far = show(size, "length", prefs) if unit == "mm" else amount(size, unit, 2)
    if unit == "kPa":
        far = show(size, "pressure", prefs)
        return (_("%(far)s more") if delta > 0 else _("%(far)s less")) % {"far": far}
    if kind == "fork_position":
        text = (
            _("leg up through the clamps by %(far)s (front lower)")
            if delta > 0
            else _("leg down through the clamps by %(far)s (front higher)")
        )
        return text % {"far": far}
    if kind == "ride_height":
        return (_("rear higher by %(far)s") if delta > 0 else _("rear lower by %(far)s")) % {"far": far}
    inward = (delta > 0) == (counted == "open")
    if kind == "preload":
        if unit == "step":
            text = _("%(far)s firmer (more preload)") if inward else _("%(far)s softer (less preload)")
        elif unit == "line":
            text = (
                _("in, clockwise, until %(far)s fewer show (more preload)")
                if inward
                else _("out, anticlockwise, until %(far)s more show (less preload)")
            )
        else:
            text = (
                _("%(far)s in, clockwise (more preload)")
                if inward
                else _("%(far)s out, anticlockwise (less preload)")
            )
        return text % {"far": far}
    text = _("%(far)s in, clockwise (firmer)") if inward else _("%(far)s out, anticlockwise (softer)")
    return text % {"far": far}


def derived_name(key: str) -> str:
    """Return the words for a derived value's key such as ``sag_rider_aboard.front``."""
    name, *where = key.split(".")
    text = str(value_words.NAMES[name])
    if VALUES[name].where == "adjuster":
        return _("%(adjuster)s: %(name)s") % {"adjuster": adjuster_name(".".join(where)), "name": text}
    return _("%(name)s, %(end)s") % {"name": text, "end": words.ENDS[where[0]]} if where else text


def value_text(value: float, half_width: float | None, unit: str, prefs: UnitPrefs) -> str:
    """Return a number in a canonical or adjuster unit with its half-width."""
    dimension = DIMENSIONS.get(unit)
    if dimension is None:
        return amount(value, unit, 2)
    if half_width:
        return show_with_half_width(value, half_width, dimension, prefs)
    return show(value, dimension, prefs)


def derived_text(value: Derived, prefs: UnitPrefs) -> str:
    """Return a derived value as printed: ``34 ± 2 mm``, ``at most …``, or why there is no number."""
    if value.value is None:
        return str(sentences.STATUSES[value.status])
    if "_per_mm_" in value.key:
        # Far below the digits that the unit usually carries.
        return amount(value.value, value.unit, 3)
    text = value_text(value.value, value.half_width, value.unit, prefs)
    return str(sentences.STATUSES[value.status]) % {"text": text} if value.status in sentences.STATUSES else text


def target_text(target: Target, prefs: UnitPrefs) -> str:
    dimension = DIMENSIONS[target.unit]
    return _("%(low)s to %(high)s") % {
        "low": show(target.low, dimension, prefs),
        "high": show(target.high, dimension, prefs),
    }


def decide_text(key: str) -> str:
    """Return the words for what would decide: a reading, a setting, or (nothing better known) a derived value."""
    known, *where = key.split(".")
    if known == "friction":
        return _("the loaded lengths twice, once after pressing down and once after lifting, %(end)s") % {
            "end": words.ENDS[where[0]] if where else ""
        }
    return derived_name(key) if known in VALUES else words.reading_name(key)


def as_typed(text: str, unit: str) -> str:
    """Return a reading as it was typed, with its unit where only the number was typed."""
    typed = text.strip()
    return f"{typed} {unit_label(unit)}".strip() if typed[-1:].isnumeric() else typed
