"""Reason ids of the services and the engine as faults with a sentence."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.api import faults
from intake.document import lacking
from intake.services.readings import NotRecordable
from intake.services.requests import NotReady
from intake.typed import NotANumber
from tuning.engine.errors import Fault
from tuning.engine.quantities import QUANTITIES
from tuning.engine.units import CANONICAL

_SAID: Mapping[str, str | Promise] = {
    "empty": _("There is no number here."),
    "not_a_number": _("This cannot be read as one number; write it like 34.5 or 1 3/8."),
    "two_separators": _("Comma and point together could be read in two ways; write the number without either."),
    "unknown_unit": _("This unit is not known here."),
    "unlike_unit": _("This unit does not measure this quantity."),
    "too_long": _("This is too long to be one number."),
    "zero_denominator": _("A fraction cannot be divided by nothing."),
    "unknown_quantity": _("There is no such quantity."),
    "unknown_end": _("This needs front or rear, or neither, as the quantity or question has it."),
    "unknown_leg": _("This is not read leg by leg."),
    "unknown_adjuster": _("There is no such adjuster on this bike."),
    "unknown_direction": _("Counts run from closed or from open."),
    "unknown_question": _("There is no such question."),
    "unknown_answer": _("This is not one of the answers."),
    "unknown_symptom": _("There is no such symptom."),
    "unknown_severity": _("Severity is 1, 2 or 3."),
    "out_of_limits": _("This lies outside what such a thing can measure; the number or the unit is wrong."),
    "below_physical_limit": _("This is less than such a thing can measure."),
    "above_physical_limit": _("This is more than such a thing can measure."),
    "not_finite": _("This is not a finite number."),
    "not_a_step": _("A step moves by more than nothing."),
    "not_a_range": _("A range is counted from end to end; it is more than nothing."),
    "not_a_half_width": _("An uncertainty is not less than nothing."),
    "read_twice": _("This was read already; give it another repeat number."),
    "told_twice": _("This is told twice."),
    "too_many": _("There are more than are read here."),
    "unknown_architecture": _("This kind of suspension is not covered by the model."),
    "unknown_load_state": _("There is no such load."),
    "unreadable_tyre_size": _("The tyre size cannot be read; write it as on the sidewall, like 120/70 ZR 17."),
    "unknown_change": _("There is no such kind of change."),
    "unknown_id": _("There is no sentence, procedure or caution with this id."),
    "wrong_params": _("The sentence needs other numbers than these."),
    "bike_lacks_it": _("This bike does not have this adjuster."),
    "outside_range": _("The adjuster cannot be set there."),
    "stop_answer_missing": _("The stop gate asks this anew in every round; answer yes, no or unsure: %(question)s"),
    "discipline_missing": _("The discipline is missing."),
    "consent_missing": _("The client's consent is missing."),
    "rider_mass_missing": _("The rider's mass in full kit is missing."),
    "lengths_missing": _("At one end at least, the lengths topped out, bike alone and rider aboard are needed."),
}


def said(reason: str, params: Mapping[str, object] | None = None) -> str:
    """Return the sentence of a reason; one that has none is shown as it is, with its numbers."""
    if reason == "stop_answer_missing" and params:
        return str(_SAID[reason]) % {"question": words.stop_question(str(params["question"]))}
    if reason in _SAID:
        return str(_SAID[reason])
    details = ", ".join(f"{key} {value}" for key, value in (params or {}).items())
    return reason.replace("_", " ") + (f" ({details})" if details else "")


def from_engine(found: Iterable[Fault]) -> list[faults.Fault]:
    """Return engine and intake faults in the API's shape."""
    return [faults.fault(one.path, one.value, one.reason, said(one.reason, one.params)) for one in found]


def not_a_number(path: str, error: NotANumber) -> faults.Fault:
    return faults.fault(path, error.text, error.reason, said(error.reason, error.params))


def not_recordable(path: str, error: NotRecordable, quantity: str = "") -> faults.Fault:
    message = said(error.reason)
    if error.reason == "out_of_limits" and quantity in QUANTITIES:
        limits = QUANTITIES[quantity]
        unit = CANONICAL[limits.dimension]
        message = _("Between %(low)g and %(high)g %(unit)s is possible here; the number or the unit is wrong.") % {
            "low": limits.low,
            "high": limits.high,
            "unit": "" if unit == "1" else unit,
        }
    return faults.fault(path, error.value, error.reason, message)


def not_ready(error: NotReady) -> list[faults.Fault]:
    """Return what keeps a round from being sent."""
    return from_engine(lacking(error))


def at_path(error: NotRecordable) -> str:
    """Return the key of a reading, answer or setting that the refusal is about."""
    places = {"unknown_end": "end", "unknown_leg": "leg", "unknown_quantity": "quantity", "unknown_adjuster": "key"}
    places |= {"unknown_question": "question", "unknown_symptom": "id", "unknown_unit": "unit"}
    return places.get(error.reason, "value")


def document_faults(error: Any) -> list[faults.Fault]:
    """Return the faults of a ``DocumentError``."""
    return from_engine(error.faults)
