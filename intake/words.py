"""What the ids of engine and intake are called, in the reader's language.

Completeness is tested against the vocabularies: an id without words fails the tests.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake.doubts import DOUBT_IDS
from intake.presentation import NBSP, UnitPrefs, amount, plain, show, unit_label
from intake.typed import NotANumber
from intake.words_of_checks import CHECK_NAMES as CHECK_NAMES
from intake.words_of_checks import CHECK_TEXTS as CHECK_TEXTS
from intake.words_of_checks import NUMBER_PROBLEMS as NUMBER_PROBLEMS
from intake.words_of_checks import TOOLS as TOOLS
from intake.words_of_checks import VERDICTS as VERDICTS
from tuning.engine.derivation import Check
from tuning.engine.quantities import QUANTITIES

ENDS = {"front": _("front"), "rear": _("rear"), "": ""}
LEGS = {"left": _("left leg"), "right": _("right leg"), "": ""}
LOADS = {
    "bike_alone": _("bike alone"),
    "solo": _("rider alone"),
    "two_up": _("rider and passenger"),
    "solo_luggage": _("rider with luggage"),
    "two_up_luggage": _("rider, passenger and luggage"),
}
APPROACHES = {"as_is": "", "from_below": _("after pressing down"), "from_above": _("after lifting")}

QUANTITY_NAMES: Mapping[str, Any] = {
    "length_topped_out": _("length topped out (L0)"),
    "length_bike_alone": _("length, bike alone (L1)"),
    "length_rider_aboard": _("length, rider aboard (L2)"),
    "stroke": _("stroke"),
    "deepest_normal": _("deepest travel, normal hard ride"),
    "deepest_hardest": _("deepest travel, hardest event"),
    "rider_mass": _("rider in full kit"),
    "passenger_mass": _("passenger in full kit"),
    "luggage_mass": _("luggage"),
    "bike_mass": _("bike ready to ride"),
    "gross_mass_limit": _("highest permitted total"),
    "scale_bike_alone": _("scale reading, bike alone"),
    "scale_rider_aboard": _("scale reading, rider aboard"),
    "bike_front_share": _("bike's weight on the front wheel"),
    "rider_front_share": _("rider's weight on the front wheel"),
    "com_height_bike": _("height of the bike's centre of mass"),
    "com_height_rider": _("height of the rider's centre of mass"),
    "unsprung_mass": _("unsprung mass"),
    "spring_rate": _("spring rate"),
    "spring_rate_second": _("second spring rate"),
    "spring_crossover": _("compression at which the second rate begins"),
    "spring_preload": _("compression of the spring topped out"),
    "top_out_rate": _("top-out spring rate"),
    "top_out_length": _("length over which the top-out spring works"),
    "bump_stop_rate": _("bump stop rate"),
    "bump_stop_length": _("length of the bump stop"),
    "oil_level": _("oil level, fork compressed, spring out"),
    "tube_bore": _("bore of the fork tube"),
    "spring_volume": _("volume of spring and spacer"),
    "air_pressure": _("air pressure, main chamber"),
    "air_pressure_balance": _("air pressure, balance chamber"),
    "air_area": _("piston area, main chamber"),
    "air_volume": _("air volume topped out, main chamber"),
    "balance_area": _("piston area, balance chamber"),
    "balance_volume": _("air volume topped out, balance chamber"),
    "temperature_set": _("temperature when the air was set"),
    "temperature_ambient": _("temperature on the ride"),
    "altitude": _("altitude"),
    "leverage": _("leverage"),
    "leverage_end": _("leverage at full travel"),
    "shock_stroke": _("shock stroke"),
    "rake": _("rake"),
    "ground_trail": _("trail"),
    "normal_trail": _("normal trail"),
    "wheelbase": _("wheelbase"),
    "fork_offset": _("fork offset"),
    "wheel_radius": _("wheel radius"),
    "roll_out": _("tyre roll-out"),
    "swingarm_length": _("swingarm length"),
    "swingarm_angle": _("swingarm angle"),
    "bodywork_gap": _("gap between tyre and bodywork"),
    "settle_first": _("settle test, first overshoot"),
    "settle_second": _("settle test, second overshoot"),
    "settle_period": _("settle test, time from one peak to the next"),
    "tyre_grip": _("tyre grip"),
    "tyre_pressure": _("tyre pressure, cold"),
    "tyre_pressure_manual": _("tyre pressure asked for by the manual"),
    "tyre_age": _("tyre age in years"),
}
KIND_NAMES: Mapping[str, Any] = {
    "preload": _("preload"),
    "rebound": _("rebound damping"),
    "compression": _("compression damping"),
    "compression_low": _("low-speed compression damping"),
    "compression_high": _("high-speed compression damping"),
    "fork_position": _("fork position"),
    "ride_height": _("ride height"),
    "air_pressure": _("air pressure"),
    "mode": _("mode"),
}
STOP_QUESTIONS: Mapping[str, Any] = {
    "warning_lamp": _("Is a warning lamp on (suspension, ABS, engine), or is a recall open?"),
    "leak": _("Is there oil on a fork leg, a seal or the shock?"),
    "play": _("Is there play or knocking in the steering head, a wheel or the swingarm?"),
    "damage": _("Is anything cracked, bent or broken?"),
    "recent_crash": _("Has the bike crashed or fallen, and nobody has inspected it since?"),
    "tyres": _("Are the tyres worn, cracked or more than ten years old?"),
    "overload": _("Is it ridden above the maker's permitted total, or the luggage limit?"),
    "brakes": _("Do the brakes fade, pull to a side or stick?"),
    "wobble": _("Do the bars shake, or does the bike weave at speed?"),
}
STOP_REASONS: Mapping[str, Any] = {
    "warning_lamp": _("a warning lamp or an open recall"),
    "leak": _("oil leaking from fork or shock"),
    "play": _("play or knocking in a bearing"),
    "damage": _("a cracked, bent or broken part"),
    "recent_crash": _("a crash that was not inspected"),
    "tyres": _("worn, cracked or old tyres"),
    "overload": _("more load than the maker permits"),
    "brakes": _("brakes that fade, pull or stick"),
    "wobble": _("shaking bars or weaving at speed"),
}
SYMPTOM_NAMES: Mapping[str, Any] = {
    "brake_dive": _("dives a lot under braking"),
    "brake_bottoms": _("hits the stop under hard braking"),
    "rear_hops_braking": _("rear wheel hops or skips under braking"),
    "chatter_braking": _("front chatters under braking"),
    "slow_turn_in": _("turns in slowly, needs a push"),
    "falls_in": _("falls into the corner"),
    "nervous_turn_in": _("nervous while turning in"),
    "runs_wide_mid": _("runs wide in mid-corner"),
    "front_vague": _("front feels vague"),
    "tucks": _("front tucks or lets go in the corner"),
    "chatter_mid": _("front chatters in the corner"),
    "rear_skips_mid": _("rear skips over bumps in the corner"),
    "wallows": _("wallows through the corner"),
    "runs_wide_exit": _("runs wide when driving out"),
    "rear_squats": _("rear sits down when driving out"),
    "rear_slides": _("rear slides when driving out"),
    "rear_skips_exit": _("rear skips sideways over bumps when driving out"),
    "headshake_exit": _("bars shake when driving out"),
    "twitchy": _("twitchy straight ahead"),
    "weaves": _("weaves at speed"),
    "floats": _("floats, never settles"),
    "harsh_single": _("harsh over one sharp bump"),
    "harsh_series": _("harsh over a series of bumps"),
    "packs_down": _("gets lower and harder over a series of bumps"),
    "pogo": _("keeps bouncing after a bump"),
    "rear_kicks": _("rear kicks up over bumps"),
    "bottoms_bumps": _("hits the stop over bumps"),
    "tops_out": _("clunks at full extension"),
    "bottoms_landing": _("hits the stop on landing"),
    "harsh_landing": _("jars on landing without hitting the stop"),
    "kicks_landing": _("springs back hard after landing"),
    "too_tall": _("stands too tall"),
    "too_low": _("stands too low"),
    "feels_stiff": _("feels stiff or sticky"),
    "feels_soft": _("feels soft"),
    "rear_tyre_torn": _("rear tyre tears or wears fast"),
    "rear_tyre_cold": _("rear tyre does not come up to temperature"),
    "not_right": _("nothing definite, just not right any more"),
}
QUESTION_NAMES: Mapping[str, Any] = {
    "bottomed": _("did it hit the stop"),
    "ride_hardness": _("how hard the ride was, 1 to 5"),
    "ring": _("read with"),
    "ring_true": _("ring pushed back before the ride and left alone after"),
    "settle": _("settle test"),
    "settle_checked": _("settle test done"),
    "fluid_age": _("age of the fork oil"),
    "geometry_state": _("published geometry holds for"),
    "alone": _("measured alone"),
    "levelling_done": _("levelling had finished"),
    "outcome": _("outcome"),
    "terrain": _("ground it was ridden on"),
    "chain_slack": _("slack of the chain"),
    "steering_damper": _("steering damper"),
    "spring_leg": _("leg with the spring"),
    "damping_leg": _("leg with the damping"),
}
ANSWER_NAMES: Mapping[str, Any] = {
    "yes": _("yes"),
    "no": _("no"),
    "unsure": _("not sure"),
    "1": "1",
    "2": "2",
    "3": "3",
    "4": "4",
    "5": "5",
    "ring": _("ring on the tube"),
    "cable_tie": _("cable tie"),
    "none": _("nothing"),
    "no_bounce": _("rises and settles"),
    "one_bounce": _("goes past and comes back once"),
    "many_bounces": _("keeps bouncing"),
    "slow": _("creeps up slowly"),
    "under_two_years": _("less than two years"),
    "two_to_four": _("two to four years"),
    "older": _("more than four years"),
    "unknown": _("unknown"),
    "topped_out": _("topped out"),
    "bike_alone": _("bike alone"),
    "better": _("better"),
    "same": _("the same"),
    "worse": _("worse"),
    "gone": _("gone"),
    "mixed": _("better here, worse there"),
    "sand": _("sand"),
    "mud": _("mud"),
    "hard_ground": _("hard ground"),
    "mixed_ground": _("some of each"),
    "as_in_manual": _("as the manual says"),
    "too_tight": _("too tight"),
    "too_loose": _("too loose"),
    "not_checked": _("not checked"),
    "not_fitted": _("not fitted"),
    "set_soft": _("set soft"),
    "set_middle": _("set in the middle"),
    "set_hard": _("set hard"),
    "left": _("left"),
    "right": _("right"),
    "both": _("both"),
}

#: Dimension of a parameter by the end of its name, as engine and judgement name them.
SUFFIXES = {
    "_mm": "length",
    "_kg": "mass",
    "_nmm": "rate",
    "_kpa": "pressure",
    "_share": "share",
    "_deg": "angle",
}


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def quantity_name(quantity: str, end: str = "", leg: str = "") -> str:
    """Return ``front stroke``, ``front spring rate, left leg``."""
    name = str(QUANTITY_NAMES[quantity])
    if end:
        name = now("%(end)s: %(name)s") % {"end": ENDS[end], "name": name}
    return _first_up(f"{name}, {LEGS[leg]}" if leg else name)


def reading_name(key: str) -> str:
    """Return the words for a reading's key such as ``length_topped_out.front`` or ``setting.front.rebound.left``."""
    if key.startswith("setting."):
        return adjuster_name(key.removeprefix("setting."))
    quantity, *where = key.split(".")
    return quantity_name(quantity, *where) if quantity in QUANTITY_NAMES else key


def adjuster_name(key: str) -> str:
    """Return ``Front rebound damping, left leg`` for ``front.rebound.left``."""
    end, kind, *leg = key.split(".")
    name = now("%(end)s %(name)s") % {"end": ENDS[end], "name": KIND_NAMES[kind]}
    return _first_up(f"{name}, {LEGS[leg[0]]}" if leg else name)


def setting_text(
    kind: str, value: float | None, unit: str, counted_from: str, prefs: UnitPrefs, mode: str = ""
) -> str:
    """Return where an adjuster stands, the way of counting said with it: ``12 clicks out from fully closed``."""
    if mode or value is None:
        return mode or "–"
    if unit in {"mm", "kPa"}:
        return show(value, "length" if unit == "mm" else "pressure", prefs)
    counted = amount(value, unit, 1)
    if unit == "line":
        return now("%(count)s showing") % {"count": counted}
    if unit == "step":
        return now("step %(count)s from the softest") % {"count": plain(value)}
    if counted_from == "closed":
        return now("%(count)s out from fully closed") % {"count": counted}
    if kind == "preload":
        return now("%(count)s in from fully soft") % {"count": counted}
    return now("%(count)s in from fully open") % {"count": counted}


def symptom_name(symptom: str) -> Any:
    return SYMPTOM_NAMES[symptom]


def stop_question(question: str) -> Any:
    return STOP_QUESTIONS[question]


def answer_name(value: str) -> Any:
    return ANSWER_NAMES.get(value, value)


def params_text(params: Mapping[str, Any], prefs: UnitPrefs) -> dict[str, str]:
    """Return a sentence's parameters as printed: numbers with a dimension by their name's end in the reader's unit."""
    shown: dict[str, str] = {}
    for name, value in params.items():
        dimension = next((d for suffix, d in SUFFIXES.items() if name.endswith(suffix)), None)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            shown[name] = str(value)
        elif dimension:
            shown[name] = show(float(value), dimension, prefs)
        else:
            shown[name] = amount(float(value), "1", 1)
    return shown


def check_text(check: Check, prefs: UnitPrefs) -> str:
    """Return what a check asks, which readings to take again and why, in the reader's units; the name of what was
    tested when it passed."""
    if check.verdict == "passes":
        return _first_up(str(CHECK_NAMES[check.id]))
    shown = {"end": str(ENDS[check.end]), **params_text(check.params, prefs)}
    if "adjuster" in check.params:
        shown["adjuster"] = adjuster_name(str(check.params["adjuster"]))
    if "quantity" in check.params:
        spec = QUANTITIES[str(check.params["quantity"])]
        shown["quantity"] = quantity_name(
            spec.id, check.end if spec.per_end else "", str(check.params.get("leg", ""))
        )
        if "value" in check.params:
            told = {name: float(str(check.params[name])) for name in ("value", "low", "high")}
            shown |= {name: show(value, spec.dimension, prefs) for name, value in told.items()}
    if "kind" in check.params:
        shown["kind"] = str(KIND_NAMES[str(check.params["kind"])])
    if check.id in DOUBT_IDS:
        shown |= _doubted(check)
    return str(CHECK_TEXTS[check.id]) % shown


def _doubted(check: Check) -> dict[str, str]:
    """Return what a doubt's sentence needs: numbers as they were typed."""
    if check.id == "too_exact":
        texts: Any = check.params["texts"]
        named = [f"{reading_name(key)}: {as_typed(*text)}" for key, text in zip(check.again, texts, strict=True)]
        return {"tool": str(TOOLS[str(check.params["tool"])]), "readings": "; ".join(named)}
    told: Any = check.params
    return {
        "quantity": quantity_name(told["quantity"], check.end, told["leg"]),
        "taken": amount(told["number"], told["unit"], 3),
        "others": with_units(told["number"], told["others"]),
    }


def with_units(value: float, units: Iterable[str]) -> str:
    """Return a number in each of the units: ``180 lb``, or ``14 cm / 14 in``."""
    return " / ".join(amount(value, unit, 3) for unit in units)


def as_typed(text: str, unit: str) -> str:
    """Return a number as typed, its unit behind it unless the text has one: ``34.27 mm``."""
    return f"{text}{NBSP}{unit_label(unit)}" if text[-1:].isdigit() else text


def not_a_number(problem: NotANumber, unit: str) -> str:
    """Return why a typed text is no number and what to write instead."""
    label = unit_label(unit) or now("plain figures")
    told = {name: problem.params.get(name, "") for name in ("plain", "exact")}
    shown = {"typed": problem.text, "written": problem.params.get("unit", ""), "unit": label, **told}
    return str(NUMBER_PROBLEMS[problem.reason]) % shown
