"""The words of the trade that are answers rather than numbers: ids only, worded by the faces.

Engine, judgement and forms share these lists, so that none can ask what the others do not know.
"""

from collections.abc import Mapping
from types import MappingProxyType

YES_NO = ("yes", "no", "unsure")

#: The stop gate, in the order asked. "yes" stops; "unsure" asks; no answer is not a no.
STOP_QUESTIONS = (
    "warning_lamp",  # suspension, ABS or engine warning lamp on, or an open recall
    "leak",  # oil at fork seals or shock
    "play",  # play in head, wheel or swingarm bearings; knocking
    "damage",  # cracks, bent or broken parts
    "recent_crash",  # crashed or dropped and not inspected since
    "tyres",  # worn, cracked, over ten years old or below the legal tread
    "overload",  # above the maker's gross mass or the luggage limit
    "brakes",  # fading, pulling or sticking brakes
    "wobble",  # shake of the bars or weave at speed
)

#: Other answers of the form: question id → allowed values. Those in PER_END are asked for front and rear.
ANSWERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "bottomed": YES_NO,  # a bang, or the ring at the end of its way
        "ride_hardness": ("1", "2", "3", "4", "5"),
        "ring": ("ring", "cable_tie", "none"),
        "ring_true": YES_NO,  # was the ring pushed back before that ride and untouched by transport
        "settle": ("no_bounce", "one_bounce", "many_bounces", "slow"),
        "settle_checked": ("yes", "no"),
        "fluid_age": ("under_two_years", "two_to_four", "older", "unknown"),
        "geometry_state": ("topped_out", "bike_alone", "unknown"),  # in which the published geometry holds
        "alone": ("yes", "no"),
        "levelling_done": YES_NO,
        "outcome": ("better", "same", "worse", "mixed"),
        "terrain": ("sand", "mud", "hard_ground", "mixed_ground"),  # asked of those who ride off the road
        "chain_slack": ("as_in_manual", "too_tight", "too_loose", "not_checked"),
        "steering_damper": ("not_fitted", "set_soft", "set_middle", "set_hard"),
        "spring_leg": ("left", "right", "both", "unknown"),  # of a fork with separate functions
        "damping_leg": ("left", "right", "both", "unknown"),
    }
)
#: Questions whose answer holds in later rounds until another is given.
HELD = ("fluid_age", "steering_damper", "spring_leg", "damping_leg")
#: Disciplines that ride on ground worth asking about.
OFF_ROAD = frozenset({"adventure", "dual_sport", "enduro", "motocross"})
PER_END = frozenset({"bottomed", "ring", "ring_true", "settle"})

#: Symptoms by the phase of riding they show in.
SYMPTOMS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "braking": ("brake_dive", "brake_bottoms", "rear_hops_braking", "chatter_braking"),
        "turn_in": ("slow_turn_in", "falls_in", "nervous_turn_in"),
        "mid_corner": ("runs_wide_mid", "front_vague", "tucks", "chatter_mid", "rear_skips_mid", "wallows"),
        "exit": ("runs_wide_exit", "rear_squats", "rear_slides", "rear_skips_exit", "headshake_exit"),
        "straight": ("twitchy", "weaves", "floats"),
        "bumps": (
            "harsh_single",
            "harsh_series",
            "packs_down",
            "pogo",
            "rear_kicks",
            "bottoms_bumps",
            "tops_out",
        ),
        "landing": ("bottoms_landing", "harsh_landing", "kicks_landing"),
        "general": (
            "too_tall",
            "too_low",
            "feels_stiff",
            "feels_soft",
            "rear_tyre_torn",
            "rear_tyre_cold",
            "not_right",
        ),
    }
)
SYMPTOM_IDS = frozenset(symptom for group in SYMPTOMS.values() for symptom in group)
