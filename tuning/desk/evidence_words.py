"""What spoke for or against a cause, and what would decide between two, in the reader's language and units.

One template per id of ``tuning.judgement.causebook.EVIDENCE`` and per sign in ``DECIDERS``.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.presentation import UnitPrefs
from tuning.desk.cause_words import CAUSES, STATEMENTS
from tuning.judgement.model import Cause, Decider, Said

EVIDENCE: Mapping[str, Any] = {
    "rider_sag_below": _("%(end)s: only %(sag_mm)s of sag with the rider aboard, less than wanted"),
    "rider_sag_in_band": _("%(end)s: %(sag_mm)s of sag with the rider aboard, as wanted"),
    "rider_sag_above": _("%(end)s: %(sag_mm)s of sag with the rider aboard, more than wanted"),
    "alone_sag_topped_out": _("%(end)s: topped out with the bike alone (%(alone_mm)s of sag)"),
    "alone_sag_below": _("%(end)s: only %(alone_mm)s of sag with the bike alone, less than wanted"),
    "alone_sag_in_band": _("%(end)s: %(alone_mm)s of sag with the bike alone, as wanted"),
    "alone_sag_above": _("%(end)s: %(alone_mm)s of sag with the bike alone, more than wanted"),
    "rate_soft": _("%(end)s: the two sags (%(alone_mm)s and %(sag_mm)s) speak of a spring too soft"),
    "rate_right": _("%(end)s: the two sags (%(alone_mm)s and %(sag_mm)s) speak of a spring that fits"),
    "rate_stiff": _("%(end)s: the two sags (%(alone_mm)s and %(sag_mm)s) speak of a spring too stiff"),
    "reserve_bottomed": _("%(end)s: it reached the end of its travel"),
    "reserve_below": _("%(end)s: only %(reserve_mm)s of travel left, less than wanted"),
    "reserve_in_band": _("%(end)s: %(reserve_mm)s of travel left, as wanted"),
    "reserve_above": _("%(end)s: %(reserve_mm)s of travel left, more than wanted"),
    "ride_gentle": _("the ride was a gentle one"),
    "ride_hard": _("the ride was a hard one"),
    "rebound_at_closed": _("%(end)s: rebound at %(position_share)s of its range, nearly closed"),
    "rebound_at_open": _("%(end)s: rebound at %(position_share)s of its range, nearly open"),
    "compression_at_closed": _("%(end)s: compression at %(position_share)s of its range, nearly closed"),
    "compression_at_open": _("%(end)s: compression at %(position_share)s of its range, nearly open"),
    "high_compression_at_closed": _(
        "%(end)s: high-speed compression at %(position_share)s of its range, nearly closed"
    ),
    "high_compression_at_open": _("%(end)s: high-speed compression at %(position_share)s of its range, nearly open"),
    "room_more_yes": _("%(end)s: there is preload left to give"),
    "room_more_no": _("%(end)s: the preload is all in"),
    "room_less_yes": _("%(end)s: there is preload left to take out"),
    "room_less_no": _("%(end)s: the preload is all out"),
    "sides_alike": _("%(end)s: left and right are set alike"),
    "sides_unlike": _("%(end)s: left and right are set unlike"),
    "friction_usual": _("%(end)s: the friction band of %(band_mm)s is usual"),
    "friction_high": _("%(end)s: the friction band of %(band_mm)s is above the usual %(limit_mm)s"),
    "fluid_fresh": _("the oil is less than two years old"),
    "fluid_ageing": _("the oil is two to four years old"),
    "fluid_old": _("the oil is more than four years old"),
    "tyre_pressure_low": _("%(end)s: tyre at %(pressure_kpa)s, the manual asks for %(manual_kpa)s"),
    "tyre_pressure_right": _("%(end)s: tyre at %(pressure_kpa)s, as the manual asks"),
    "tyre_pressure_high": _("%(end)s: tyre at %(pressure_kpa)s, the manual asks for only %(manual_kpa)s"),
    "tyre_age_fresh": _("%(end)s: the tyre's age, in years: %(age)s"),
    "tyre_age_ageing": _("%(end)s: the tyre is getting old, in years: %(age)s"),
    "tyre_age_old": _("%(end)s: the tyre is too old, in years: %(age)s"),
    "settled_rebound_firmer": _("%(end)s: %(count)s of %(of)s similar settled cases ended with firmer rebound"),
    "settled_rebound_softer": _("%(end)s: %(count)s of %(of)s similar settled cases ended with softer rebound"),
    "settled_compression_firmer": _(
        "%(end)s: %(count)s of %(of)s similar settled cases ended with firmer compression"
    ),
    "settled_compression_softer": _(
        "%(end)s: %(count)s of %(of)s similar settled cases ended with softer compression"
    ),
    "settled_preload_more": _("%(end)s: %(count)s of %(of)s similar settled cases ended with more preload"),
    "settled_preload_less": _("%(end)s: %(count)s of %(of)s similar settled cases ended with less preload"),
    "settle_no_bounce": _("%(end)s: it rises and settles in the settle test"),
    "settle_one_bounce": _("%(end)s: it goes past once in the settle test"),
    "settle_many_bounces": _("%(end)s: it keeps bouncing in the settle test"),
    "settle_slow": _("%(end)s: it creeps up in the settle test"),
    "legs_even": _("the fork legs stand alike"),
    "legs_unequal": _("the fork legs stand %(apart_mm)s apart"),
    "load_solo": _("ridden alone, without luggage"),
    "load_passenger": _("ridden with a passenger"),
    "load_luggage": _("ridden with luggage"),
    "gross_over": _("%(total_kg)s in all; the maker permits %(limit_kg)s"),
    "attitude_nose_high": _("by both sags it stands high at the front or low at the rear"),
    "attitude_level": _("by both sags it stands level"),
    "attitude_nose_low": _("by both sags it stands low at the front or high at the rear"),
    "trail_short": _("the trail of %(trail_mm)s is short"),
    "trail_long": _("the trail of %(trail_mm)s is long"),
    "fork_legs_flush": _("the legs stand flush in the clamps (%(proud_mm)s)"),
    "fork_legs_far_up": _("the legs stand far up through the clamps (%(proud_mm)s)"),
    "levelling_done": _("the levelling had finished"),
    "levelling_not_done": _("the levelling had not finished"),
    "terrain_sand": _("ridden in sand"),
    "terrain_mud": _("ridden in mud, which clings and weighs"),
    "terrain_hard": _("ridden on hard ground"),
    "chain_right": _("the chain's slack is as the manual says"),
    "chain_off": _("the chain is too tight or too loose"),
    "steering_damper_absent": _("no steering damper is fitted"),
    "steering_damper_soft": _("the steering damper is set soft"),
    "steering_damper_hard": _("the steering damper is set hard"),
    "outcome_better": _("the last change made it better"),
    "outcome_worse": _("the last change made it worse"),
    "outcome_mixed": _("the last change made it better here, worse there"),
    "play_yes": _("play or knocking in a bearing was found"),
    "play_no": _("no play or knocking in a bearing"),
    "leak_yes": _("oil leaks from fork or shock"),
    "damage_yes": _("something is cracked, bent or broken"),
    "damage_no": _("nothing is cracked, bent or broken"),
    "crash_yes": _("crashed or dropped, and not inspected since"),
    "worn_tyres_yes": _("the tyres are worn, cracked or old"),
    "worn_tyres_no": _("the tyres are not worn, cracked or old"),
    "lamp_yes": _("a warning lamp is on"),
    "lamp_no": _("no warning lamp is on"),
    "wobble_yes": _("the bars shake or the bike weaves"),
    "rebound_trial_more_helped": _("%(end)s: more rebound helped"),
    "rebound_trial_more_hurt": _("%(end)s: more rebound made it worse"),
    "rebound_trial_less_helped": _("%(end)s: less rebound helped"),
    "rebound_trial_less_hurt": _("%(end)s: less rebound made it worse"),
    "compression_trial_more_helped": _("%(end)s: more compression helped"),
    "compression_trial_more_hurt": _("%(end)s: more compression made it worse"),
    "compression_trial_less_helped": _("%(end)s: less compression helped"),
    "compression_trial_less_hurt": _("%(end)s: less compression made it worse"),
    "preload_trial_more_helped": _("%(end)s: more preload helped"),
    "preload_trial_more_hurt": _("%(end)s: more preload made it worse"),
    "preload_trial_less_helped": _("%(end)s: less preload helped"),
    "preload_trial_less_hurt": _("%(end)s: less preload made it worse"),
    "ride_height_trial_less_helped": _("a lower rear helped"),
    "ride_height_trial_more_hurt": _("a higher rear made it worse"),
    "felt_yes": _("it also does this: %(symptom)s"),
    "felt_no": _("it does not do this: %(symptom)s"),
}
DECIDE: Mapping[str, Any] = {
    "rider_sag": _("the sag with the rider aboard, %(end)s"),
    "alone_sag": _("the sag of the bike alone, %(end)s"),
    "rate": _("both sags, bike alone and rider aboard, %(end)s"),
    "reserve": _("the deepest travel after a normal hard ride, %(end)s"),
    "ride": _("how hard the ride was"),
    "rebound_at": _("where the rebound stands and its counted range, %(end)s"),
    "compression_at": _("where the compression stands and its counted range, %(end)s"),
    "high_compression_at": _("where the high-speed compression stands and its counted range, %(end)s"),
    "room_more": _("where the preload stands and its counted range, %(end)s"),
    "room_less": _("where the preload stands and its counted range, %(end)s"),
    "sides": _("the settings of both sides, %(end)s"),
    "friction": _("the loaded lengths twice, once after pressing down and once after lifting, %(end)s"),
    "fluid": _("how old the oil is"),
    "tyre_pressure": _("the tyre's pressure, cold, and what the manual asks for, %(end)s"),
    "tyre_age": _("the tyre's age, %(end)s"),
    "settle": _("the settle test, %(end)s"),
    "legs": _("how far both fork legs stand through the clamps"),
    "gross": _("the weights of bike, people and luggage, and what the maker permits"),
    "attitude": _("the sags with the rider aboard, both ends"),
    "trail": _("the trail, from the manual or measured"),
    "fork_legs": _("how far the fork legs stand through the clamps"),
    "levelling": _("whether the levelling had finished"),
    "terrain": _("what ground it is ridden on"),
    "chain": _("whether the chain's slack is as the manual says"),
    "steering_damper": _("whether a steering damper is fitted, and how it is set"),
    "outcome": _("whether the last change made it better"),
    "play": _("whether there is play in a bearing"),
    "leak": _("whether oil leaks"),
    "damage": _("whether anything is cracked or bent"),
    "crash": _("whether it crashed or fell and was not inspected since"),
    "worn_tyres": _("whether the tyres are worn, cracked or old"),
    "lamp": _("whether a warning lamp is on"),
    "wobble": _("whether the bars shake or the bike weaves"),
    "rebound_trial": _("one step of rebound tried on the same road, %(end)s"),
    "compression_trial": _("one step of compression tried on the same road, %(end)s"),
    "preload_trial": _("one step of preload tried on the same road, %(end)s"),
    "ride_height_trial": _("the rear a little lower, tried on the same road"),
}


def cause_text(cause: Cause) -> str:
    """Return ``front: too much rebound damping``."""
    return at_end(str(CAUSES[cause.id]), str(words.ENDS[cause.end]))


def at_end(name: str, end: str) -> str:
    """Return a cause's name with where it sits, unless the name begins with that."""
    return now("%(end)s: %(name)s") % {"end": end, "name": name} if end and not name.startswith(end) else name


def statement_text(said: Said) -> str:
    """Return how a cause makes what is felt."""
    return str(STATEMENTS[said.id]) % {"end": words.ENDS[str(said.params["end"])]}


def evidence_text(said: Said, prefs: UnitPrefs) -> str:
    """Return what spoke, with its number in the reader's unit; a dash where the number is not known."""
    shown = words.params_text({key: value for key, value in said.params.items() if value is not None}, prefs)
    shown |= {key: "–" for key, value in said.params.items() if value is None}
    shown["end"] = str(words.ENDS[str(said.params["end"])])
    if "symptom" in said.params:
        shown["symptom"] = str(words.symptom_name(str(said.params["symptom"])))
    return str(EVIDENCE[said.id]) % shown


def decide_text(decide: Decider) -> str:
    """Return what to read, answer, look at or try next."""
    return str(DECIDE[decide.sign]) % {"end": words.ENDS[decide.end]}
