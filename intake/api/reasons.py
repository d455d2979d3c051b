"""Reason ids of the services and the engine as faults with a sentence."""

from collections.abc import Iterable, Iterator, Mapping
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
    "thousand_or_decimal": _(
        "The point or comma before three digits may part thousands; write the number without it, or one more digit."
    ),
    "improper_fraction": _("The fraction behind a whole number must be less than one."),
    "unknown_unit": _("This unit is not known here."),
    "unlike_unit": _("This unit does not measure this quantity."),
    "too_long": _("This is longer than is read here."),
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
    # Of documents, as the engine reads them.
    "not_json": _("This is not JSON."),
    "not_utf8": _("This is not UTF-8 text."),
    "too_deep": _("There are more objects and lists inside each other than are read here."),
    "not_an_object": _("An object is wanted here."),
    "not_a_list": _("A list is wanted here."),
    "wrong_type": _("This is of another type than is wanted here."),
    "unknown_field": _("There is no such field here."),
    "missing_field": _("This field is missing."),
    "unknown_schema": _("This version of the document is not read here."),
    "unreadable_text": _("This text has characters that cannot be printed."),
    "unreadable_file": _("This file cannot be read."),
    "unlike_dimensions": _("This unit does not measure this quantity."),
    "unknown_discipline": _("There is no such discipline."),
    "unknown_approach": _("There is no such way of coming to a length."),
    "unknown_repeat": _("There is no such repeat number."),
    "key_does_not_fit": _("The adjuster's key does not say the same as its end, kind and leg."),
    "not_rising": _("This column has to rise from row to row."),
    "too_few": _("There are fewer than are needed here."),
    "alpha_tyre_size": _(
        "A tyre size with a letter for its width cannot be worked with; measure once round the tyre."
    ),
    "inch_tyre_size": _("A tyre size in inches does not tell its height; measure once round the tyre."),
    "trails_contradict": _("Rake, ground trail and normal trail contradict each other; one of them is wrong."),
    "incomplete": _("This reading says nothing without another."),
    "overshoot_grows": _("The second overshoot cannot be larger than the first."),
    "outside_the_model": _("This kind of suspension is outside the model."),
    # Of changes, targets and rounds.
    "not_a_wish": _("A change is written like front.preload_mm=+6."),
    "unknown_lever": _("There is nothing of this name that can be changed."),
    "present_place_unknown": _("Where this stands now is not known; tell it in the document or give a difference."),
    "foretells_nothing": _("Nothing that is foretold hangs on this adjuster."),
    "step_unknown": _("How far one step of this adjuster goes is not known; tell its step_mm."),
    "out_of_range": _("This does not go so far."),
    "unknown_target": _("There is no such target."),
    "no_band": _("A target needs a least value, a greatest value or both."),
    "upside_down": _("The first of the two must not be above the second."),
    "unknown_skill": _("There is no such skill."),
    "unknown_budget": _("There is no such budget."),
    "another_bike": _("This is not the same bike as in the first round."),
    "no_loaded_length": _("No round has a length with the bike on its wheels; there is nothing to learn from."),
    "lengths_missing": _("At one end at least, the lengths topped out, bike alone and rider aboard are needed."),
}


_COUNTS: Mapping[str, str | Promise] = {
    "least": _("At least %(least)g."),
    "most": _("At most %(most)g."),
    "above": _("It must be above %(above)g."),
}
#: Longer lists of what is known are looked up in the schema.
_MOST_KNOWN = 16


def has_words(reason: str) -> bool:
    """Return whether a reason has a sentence of its own."""
    return reason in _SAID


def said(reason: str, params: Mapping[str, object] | None = None) -> str:
    """Return the sentence of a reason; one that has none is shown as it is, with its numbers."""
    if reason == "stop_answer_missing" and params:
        return str(_SAID[reason]) % {"question": words.stop_question(str(params["question"]))}
    if reason in _SAID:
        return " ".join([str(_SAID[reason]), *_details(params or {})])
    details = ", ".join(f"{key} {value}" for key, value in (params or {}).items())
    return reason.replace("_", " ") + (f" ({details})" if details else "")


def _details(params: Mapping[str, object]) -> Iterator[str]:
    """Yield what would have been taken, and where in the text it stands, as far as the params tell."""
    low, high, known = params.get("low"), params.get("high"), params.get("known")
    unit = params.get("unit") or ""
    if isinstance(low, int | float) and isinstance(high, int | float):
        limits = {"low": low, "high": high, "unit": "" if unit == "1" else unit}
        yield (_("Between %(low)g and %(high)g %(unit)s is possible here.") % limits).replace("  ", " ")
    for name, sentence in _COUNTS.items():
        if isinstance(params.get(name), int | float):
            yield str(sentence) % {name: params[name]}
    if isinstance(known, tuple) and 0 < len(known) <= _MOST_KNOWN:
        yield _("Known: %(known)s.") % {"known": ", ".join(str(one) or '""' for one in known)}
    missing = params.get("missing")
    if isinstance(missing, tuple):
        yield _("Missing: %(missing)s.") % {"missing": ", ".join(map(str, missing))}
    if "wanted" in params:
        yield _("Wanted: %(wanted)s.") % {"wanted": params["wanted"]}
    if "line" in params and "column" in params:
        yield _("Line %(line)s, column %(column)s.") % params


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
