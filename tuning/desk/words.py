"""The judgement's ids as sentences, in the reader's language and units: what stands on case page and sheet.

Completeness is tested against ``tuning.judgement.catalogue``. The longer steps and cautions stand in
``tuning.desk.procedures``.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.presentation import UnitPrefs, amount, number, show, show_with_half_width, unit_label
from tuning.desk.procedures import CAUTIONS, HOW, RIDE_TEST, TOOLS, VERIFY
from tuning.engine.derivation import Derived
from tuning.judgement.model import Said, Target

SAID: Mapping[str, Any] = {
    "stop_warning_lamp": _("A warning lamp is on or a recall is open. Do not ride until a workshop has seen to it."),
    "stop_leak": _(
        "Oil is leaking from fork or shock. Do not ride until it is repaired: oil may reach brake or tyre."
    ),
    "stop_play": _("There is play or knocking in a bearing. Do not ride until it is found and put right."),
    "stop_damage": _("A part is cracked, bent or broken. Do not ride until it is replaced."),
    "stop_recent_crash": _(
        "The bike has been down and was not inspected. Do not ride until a mechanic has checked it."
    ),
    "stop_tyres": _("The tyres are worn, cracked or too old. Do not ride until they are replaced."),
    "stop_overload": _("The load is above what the maker permits. Do not ride until it is below."),
    "stop_brakes": _("The brakes fade, pull or stick. Do not ride until they are put right."),
    "stop_wobble": _("The bars shake or the bike weaves. Do not ride until bearings, wheels and tyres are checked."),
    "ask_unsure": _("You were not sure: %(question)s Please have a look, or have somebody look, and tell us."),
    "ask_unanswered": _("Please answer this first: %(question)s"),
    "ask_words": _("Your own words made us ask: %(question)s"),
    "ask_again": _("This cannot be right and has to be measured again: %(check)s"),
    "ask_second_look": _("Please look at this once more: %(check)s"),
    "ask_reading": _("Please measure this: %(reading)s."),
    "ask_decide": _(
        "%(finding)s cannot be told from the readings yet. Measuring this again, twice, would decide it: %(reading)s."
    ),
    "ask_setting": _("Please tell us where this stands: %(adjuster)s."),
    "ask_range": _("Please count the whole range of this: %(adjuster)s."),
    "ask_preload_step": _("Please measure how far one turn or step moves the spring: %(adjuster)s."),
    "ask_symptoms_disagree": _(
        "What you tell of the %(end)s points both ways. Which of it bothers you most, and where?"
    ),
    "ask_gentle_ride": _("At the %(end)s, %(reserve_mm)s were left although the sag is right. Was it a gentle ride?"),
    "ask_fluid_age": _("How old is the fork oil?"),
    "ask_clearance": _(
        "Before the legs are moved up: how far is it from the front tyre to the nearest bodywork, wheel off the ground?"
    ),
    "legs_apart": _("The fork legs stand %(apart_mm)s apart in the clamps: left %(left_mm)s, right %(right_mm)s."),
    "sag_above": _("At the %(end)s you sink in %(sag_mm)s; %(low_mm)s to %(high_mm)s is wanted."),
    "sag_below": _("At the %(end)s you sink in only %(sag_mm)s; %(low_mm)s to %(high_mm)s is wanted."),
    "rate_soft": _(
        "At the %(end)s the bike alone hardly sinks in (%(alone_mm)s) while you sink in %(rider_mm)s: the spring is too soft "
        "and wound up."
    ),
    "rate_stiff": _(
        "At the %(end)s the bike alone sinks in a lot (%(alone_mm)s) compared with you aboard (%(rider_mm)s): the spring is "
        "too stiff."
    ),
    "preload_all_in": _("%(adjuster)s has nothing left to give."),
    "preload_all_out": _("%(adjuster)s cannot be taken out any further."),
    "implied_rate": _("Your weight and the sags imply a rate of about %(rate_nmm)s at the %(end)s as it stands."),
    "bottomed": _("The %(end)s reached the end of its stroke; how much more it wanted cannot be told."),
    "reserve_short": _("On a normal hard ride only %(reserve_mm)s of stroke were left at the %(end)s."),
    "reserve_much_sag_little": _(
        "%(reserve_mm)s of stroke were never used at the %(end)s, because it stands too high to begin with."
    ),
    "spring_wanted_budget": _(
        "The proper cure at the %(end)s is another spring; it was left out for the sake of the budget."
    ),
    "spring_no_number": _("Which spring the %(end)s needs is settled with your tuner before anything is bought."),
    "settles_bouncing": _("After a push the %(end)s goes on bouncing: too little rebound damping."),
    "settles_slowly": _("After a push the %(end)s creeps up slowly: too much rebound damping."),
    "symptom_rebound_firmer": _("What you feel at the %(end)s speaks for more rebound damping."),
    "symptom_rebound_softer": _("What you feel at the %(end)s speaks for less rebound damping."),
    "symptom_compression_softer": _("What you feel at the %(end)s speaks for less compression damping."),
    "symptom_compression_firmer": _("What you feel at the %(end)s speaks for more compression damping."),
    "damper_out_of_range": _(
        "%(adjuster)s stands at %(position_share)s of its range: the damper is worn or out of range."
    ),
    "fluid_old": _("The fork oil is old: service comes before clicks."),
    "steers_slowly": _("Sag, damping and reserve are in order, and it still steers slowly."),
    "steers_nervously": _("Sag, damping and reserve are in order, and it still steers nervously."),
    "attitude_front_low": _("The front stands low against the rear."),
    "attitude_front_high": _("The front stands high against the rear."),
    "height_not_travel": _(
        "Moving the legs restores how the bike stands, never its travel: the reserve stays as it was."
    ),
    "clearance_short": _("With the legs up only %(clearance_mm)s would remain at full compression, too little."),
    "preload_small_step": _("What one step of %(adjuster)s is worth is not known: one small step, then measure."),
    "trail_change": _("This changes the trail by %(trail_mm)s and the rake by %(rake_deg)s."),
    "after_height": _("After a change of height, chain slack and headlamp have to be set again."),
    "nothing_to_change": _("The readings are in order as they are; there is nothing to change."),
}

DERIVED: Mapping[str, Any] = {
    "sag_bike_alone": _("sag, bike alone"),
    "sag_rider_aboard": _("sag, rider aboard"),
    "sag_bike_alone_share": _("sag, bike alone, share of stroke"),
    "sag_rider_aboard_share": _("sag, rider aboard, share of stroke"),
    "friction_band": _("friction band"),
    "load_share_front": _("share of the load on the front"),
    "implied_fork_rate": _("implied fork rate, both legs"),
    "implied_rear_wheel_rate": _("implied rate at the rear wheel"),
    "implied_shock_rate": _("implied rate at the shock"),
    "reserve_normal": _("travel reserve, normal hard ride"),
    "reserve_hardest": _("travel reserve, hardest event"),
    "reserve_normal_share": _("travel reserve, share of stroke"),
    "clicker_position": _("position in the range"),
    "preload_position": _("preload wound in"),
    "preload_left": _("preload left"),
    "fork_leg_difference": _("difference between the fork legs"),
    "rake": _("rake"),
    "ground_trail": _("trail"),
    "normal_trail": _("normal trail"),
    "wheelbase": _("wheelbase"),
    "rake_per_mm_fork_position": _("change of rake per mm of fork position"),
    "rake_per_mm_rear_height": _("change of rake per mm of rear height"),
    "ground_trail_per_mm_fork_position": _("change of trail per mm of fork position"),
    "ground_trail_per_mm_rear_height": _("change of trail per mm of rear height"),
    "wheelbase_per_mm_fork_position": _("change of wheelbase per mm of fork position"),
}
CANNOT_STATE: Mapping[str, Any] = {
    "difference_within_resolution": _("no number: the two sags are too close together"),
    "levelling_hides_the_spring": _("no number: the levelling hides the spring"),
}
REFUSED = _("outside the model")
VERDICTS = {
    "in_band": _("in band"),
    "below": _("below"),
    "above": _("above"),
    "cannot_tell": _("cannot tell"),
}
GATES: Mapping[str, Any] = {
    "safe": _("Fit to ride"),
    "trust": _("Numbers trusted"),
    "sag": _("Sag and springs"),
    "damping": _("Damping"),
    "reserve": _("Travel reserve"),
    "geometry": _("Geometry"),
}
GATE_STATES = {"passed": _("passed"), "stands_here": _("stands here"), "waiting": _("waiting")}
CHANGES: Mapping[str, Any] = {
    "preload": _("Preload"),
    "legs_even": _("Set both fork legs to the same height"),
    "fork_position": _("Fork position in the clamps"),
    "ride_height": _("Rear ride height"),
    "chain_and_headlamp": _("Chain slack and headlamp"),
    "spring": _("Another spring"),
    "oil_level": _("Fork oil level"),
    "service": _("Service"),
    "rebound": _("Rebound damping"),
    "compression": _("Compression damping"),
}
SKILLS = {
    "adjusters": _("adjusters"),
    "hand_tools": _("hand tools"),
    "home_workshop": _("home workshop"),
    "specialist": _("specialist"),
}
_DIMENSIONS = {"mm": "length", "N/mm": "rate", "deg": "angle", "kPa": "pressure", "kg": "mass"}
_SHARES = frozenset({"clicker_position", "preload_position", "load_share_front"})


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def said(what: Said | Mapping[str, Any], prefs: UnitPrefs) -> str:
    """Return a sentence with its parameters, lengths and the rest in the reader's units."""
    name, params = (what.id, what.params) if isinstance(what, Said) else (what["id"], what["params"])
    shown = words.params_text(params, prefs)
    for key, value in params.items():
        text = str(value)
        if key == "end":
            shown[key] = str(words.ENDS.get(text, text))
        elif key == "adjuster" and text.count(".") >= 1:
            shown[key] = words.adjuster_name(text)
        elif key == "question":
            shown[key] = str(words.STOP_QUESTIONS.get(text, text))
        elif key == "check":
            shown[key] = str(words.CHECK_NAMES.get(text, text))
        elif key == "reading":
            shown[key] = words.reading_name(text)
        elif key == "finding":
            shown[key] = derived_name(text)
    return str(SAID[name]) % shown


def derived_name(key: str) -> str:
    """Return ``Front: sag, rider aboard`` for ``sag_rider_aboard.front``."""
    name, *where = key.split(".")
    text = str(DERIVED.get(name, name))
    if len(where) >= 2:
        return f"{words.adjuster_name('.'.join(where))}: {text}"
    if where:
        return _first_up(now("%(end)s: %(name)s") % {"end": words.ENDS[where[0]], "name": text})
    return _first_up(text)


def derived_text(value: Derived, prefs: UnitPrefs) -> str:
    """Return a derived value with its half-width, or why there is no number."""
    if value.value is None or value.half_width is None:
        reason = str(value.params.get("reason", ""))
        return str(REFUSED if value.status == "refused" else CANNOT_STATE.get(reason, reason))
    is_share = value.id.endswith("_share") or value.id in _SHARES
    dimension = "share" if is_share else _DIMENSIONS.get(value.unit)
    if value.id.endswith(("_per_mm_fork_position", "_per_mm_rear_height")):
        return f"{number(value.value, 3)}\u00a0{unit_label(value.unit)}\u00a0/\u00a0mm"
    if dimension is None:
        return amount(value.value, value.unit, 1)
    if value.half_width == 0:
        return show(value.value, dimension, prefs)
    text = show_with_half_width(value.value, value.half_width, dimension, prefs)
    if value.status == "at_most":
        return now("at most %(value)s") % {"value": text}
    if value.status == "at_least":
        return now("at least %(value)s") % {"value": text}
    return text


def target_text(target: Target, prefs: UnitPrefs) -> str:
    """Return a band in the reader's units: ``33 to 40 mm``."""
    dimension = "share" if target.unit == "1" else _DIMENSIONS.get(target.unit, "length")
    shown = {"low": show(target.low, dimension, prefs), "high": show(target.high, dimension, prefs)}
    return now("%(low)s to %(high)s") % shown


def change_title(change: Mapping[str, Any]) -> str:
    """Return what a change is about: the adjuster's name, or the job's."""
    if change["adjuster"]:
        name = words.adjuster_name(change["adjuster"])
        return f"{CHANGES[change['kind']]}: {name}" if change["kind"] == "legs_even" else name
    title = str(CHANGES[change["kind"]])
    end = words.ENDS.get(change["end"], "")
    return _first_up(now("%(end)s: %(name)s") % {"end": end, "name": title}) if end else title


def change_from_to(change: Mapping[str, Any], prefs: UnitPrefs) -> tuple[str, str, str]:
    """Return (from, to, which way to turn) of a change; empty texts where there is no number."""
    start, target, unit = change["start"], change["target"], change["unit"]
    if target is None:
        return "", "", ""
    to_text = _setting(target, unit, prefs)
    if start is None:
        return "", to_text, ""
    step = target - start
    return _setting(start, unit, prefs), to_text, _way(change, step, unit, prefs)


def _setting(value: float, unit: str, prefs: UnitPrefs) -> str:
    return show(value, "length", prefs) if unit == "mm" else amount(value, unit, 2)


def _way(change: Mapping[str, Any], step: float, unit: str, prefs: UnitPrefs) -> str:
    if step == 0:
        return now("leave as it is")
    size = _setting(abs(step), unit, prefs)
    kind = change["kind"]
    if kind in {"fork_position", "legs_even"}:
        up = (
            now("leg up through the clamps by %(size)s")
            if step > 0
            else now("leg down through the clamps by %(size)s")
        )
        return up % {"size": size}
    if kind == "ride_height":
        return (now("rear up by %(size)s") if step > 0 else now("rear down by %(size)s")) % {"size": size}
    if kind == "preload":
        more = (step > 0) != (unit == "line")
        if unit == "mm":
            return (now("%(size)s more preload") if more else now("%(size)s less preload")) % {"size": size}
        return (now("%(size)s in, more preload") if more else now("%(size)s out, less preload")) % {"size": size}
    out = now("%(size)s out, anticlockwise: softer") if step > 0 else now("%(size)s in, clockwise: firmer")
    return out % {"size": size}


def how_text(name: str) -> str:
    return str(HOW[name])


def verify_text(name: str) -> str:
    return str(VERIFY[name])


def caution_text(name: str) -> str:
    return str(CAUTIONS[name])


def tool_name(name: str) -> str:
    return str(TOOLS[name])


def ride_test_text(name: str) -> str:
    return str(RIDE_TEST[name])
