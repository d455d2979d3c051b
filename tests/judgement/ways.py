"""Cases with more than one way out, as a tuner would lay them before a rider; reasoned from common practice before
anything was run. Name → (dossier, [(kind, ways, what it gives up), ...], the fullest first).

Road sport bands: bike alone 20–28 / 5–12 mm, rider 33–40 / 28–35 mm, front reserve 20–25 mm (common practice).
"""

from collections.abc import Mapping

from tests.judgement.build import dossier, knobs
from tests.judgement.cases import CASES
from tuning.judgement.model import Dossier

Told = tuple[str, tuple[str, ...], tuple[str, ...]]

WAYS_OUT: Mapping[str, tuple[Dossier, list[Told]]] = {
    # The proper fix of a spring too soft is a spring. Oil holds up the end of the travel, clicks only quick hits.
    "soft spring that bottoms": (
        dossier({"sag_bike_alone.front": 3}, bottomed="front"),
        [
            ("parts", ("soft_spring",), ()),
            ("workshop", ("soft_oil",), ("gives_rate_soft", "gives_end_only")),
            ("adjusters", ("soft_compression",), ("gives_rate_soft", "gives_slow_hits")),
        ],
    ),
    # Alone 3 mm, with the rider 48: soft, and the preload can still hold the bike up.
    "soft spring with preload left": (
        dossier({"sag_bike_alone.front": 3, "sag_rider_aboard.front": 48}),
        [("parts", ("soft_spring",), ()), ("adjusters", ("soft_preload",), ("gives_rate_soft",))],
    ),
    # The same with the preload all in: the legs restore how it stands, never the travel.
    "soft spring, preload all in": (
        dossier({"sag_bike_alone.front": 3, "sag_rider_aboard.front": 48}, adjusters=knobs(preload_front=15)),
        [
            ("parts", ("soft_spring",), ()),
            ("hand_tools", ("soft_legs_down",), ("gives_rate_soft", "gives_attitude")),
        ],
    ),
    # Alone 33 mm, with the rider 26: stiff, backed off as far as it is.
    "stiff spring with preload to take out": (
        dossier({"sag_bike_alone.front": 33, "sag_rider_aboard.front": 26}),
        [("parts", ("stiff_spring",), ()), ("adjusters", ("stiff_preload",), ("gives_rate_stiff",))],
    ),
    "stiff spring, preload all out": (
        dossier({"sag_bike_alone.front": 33, "sag_rider_aboard.front": 26}, adjusters=knobs(preload_front=0)),
        [
            ("parts", ("stiff_spring",), ()),
            ("hand_tools", ("stiff_legs_up",), ("gives_rate_stiff", "gives_attitude")),
        ],
    ),
    # Both sags too deep: the spring bears the load and sits too low. A length of tube, not a spring.
    "both sags too deep, preload all in": (
        dossier(
            {"sag_bike_alone.front": 33, "sag_rider_aboard.front": 48}, adjusters=knobs(preload_front=15),
            budget="springs",
        ),
        [("workshop", ("longer_spacer",), ()), ("hand_tools", ("all_in_legs_down",), ("gives_attitude",))],
    ),
    "both sags too small, preload all out": (
        dossier({"sag_bike_alone.front": 12, "sag_rider_aboard.front": 26}, adjusters=knobs(preload_front=0)),
        [("workshop", ("shorter_spacer",), ()), ("hand_tools", ("all_out_legs_up",), ("gives_attitude",))],
    ),
    # Alone in its band: a spacer puts the rider right and the bike alone wrong, so the spring is the proper fix.
    "rider too deep, bike alone right, preload all in": (
        dossier({"sag_rider_aboard.front": 48}, adjusters=knobs(preload_front=15)),
        [
            ("parts", ("all_in_spring",), ()),
            ("workshop", ("longer_spacer_instead",), ("gives_alone",)),
            ("hand_tools", ("all_in_legs_down",), ("gives_attitude",)),
        ],
    ),
    "rider too high, bike alone right, preload all out": (
        dossier({"sag_rider_aboard.front": 26}, adjusters=knobs(preload_front=0)),
        [
            ("parts", ("all_out_spring",), ()),
            ("workshop", ("shorter_spacer_instead",), ("gives_alone",)),
            ("hand_tools", ("all_out_legs_up",), ("gives_attitude",)),
        ],
    ),
    # The rear needs a turn or two whatever is done in front; each option has it.
    "soft front and a rear that only needs preload": (
        dossier({"sag_bike_alone.front": 3, "sag_rider_aboard.rear": 40}, bottomed="front"),
        [
            ("parts", ("soft_spring", "preload_in"), ()),
            ("workshop", ("soft_oil", "preload_in"), ("gives_rate_soft", "gives_end_only")),
            ("adjusters", ("soft_compression", "preload_in"), ("gives_rate_soft", "gives_slow_hits")),
        ],
    ),
    # One way only: nothing to choose.
    "preload and nothing else": (CASES["preload_more"][0], [("adjusters", ("preload_in",), ())]),
    "less preload and nothing else": (CASES["preload_less"][0], [("adjusters", ("preload_out",), ())]),
    # Fresh fluid before clicks; clicks on old oil are a guess that has to be made again.
    "old fluid, too little rebound": (
        CASES["service_fluid"][0],
        [("workshop", ("fresh_fluid",), ()), ("adjusters", ("old_fluid_rebound_firmer",), ("gives_old_fluid",))],
    ),
    "old fluid, too much rebound": (
        dossier(symptoms=("packs_down@rear",), answers={"fluid_age": "older"}),
        [("workshop", ("fresh_fluid",), ()), ("adjusters", ("old_fluid_rebound_softer",), ("gives_old_fluid",))],
    ),
    "old fluid, harsh": (
        dossier(symptoms=("harsh_single@front",), answers={"fluid_age": "older"}),
        [("workshop", ("fresh_fluid",), ()), ("adjusters", ("old_fluid_compression_softer",), ("gives_old_fluid",))],
    ),
    "old fluid, sinks too fast": (
        dossier(symptoms=("bottoms_bumps@rear",), answers={"fluid_age": "older"}),
        [("workshop", ("fresh_fluid",), ()), ("adjusters", ("old_fluid_compression_firmer",), ("gives_old_fluid",))],
    ),
    # A worn damper has no way by clicks.
    "rebound closed and still too little": (
        CASES["service_rebound_closed"][0], [("workshop", ("worn_closed",), ())],
    ),
    "compression closed and still too little": (
        CASES["service_compression_closed"][0], [("workshop", ("worn_compression_closed",), ())],
    ),
    "compression open and still too much": (
        CASES["service_compression_open"][0], [("workshop", ("worn_compression_open",), ())],
    ),
    "rear reserve short on old oil": (
        CASES["reserve_service_fluid"][0],
        [
            ("workshop", ("short_service_rear",), ()),
            ("adjusters", ("old_fluid_compression_rear",), ("gives_old_fluid",)),
        ],
    ),
    "rear reserve short, compression closed": (
        CASES["reserve_service_closed"][0], [("workshop", ("short_worn_rear",), ())],
    ),
    "rebound open and still too much": (CASES["service_rebound_open"][0], [("workshop", ("worn_open",), ())]),
    "too little rebound": (CASES["rebound_firmer"][0], [("adjusters", ("clicks_rebound_firmer",), ())]),
    "too much rebound": (CASES["rebound_softer"][0], [("adjusters", ("clicks_rebound_softer",), ())]),
    "harsh": (CASES["compression_softer"][0], [("adjusters", ("clicks_compression_softer",), ())]),
    "sinks too fast": (CASES["compression_firmer"][0], [("adjusters", ("clicks_compression_firmer",), ())]),
    # The air above the oil holds up the end of the travel; clicks do so for quick hits only.
    "front reserve short": (
        dossier(bottomed="front"),
        [
            ("workshop", ("short_oil",), ()),
            ("adjusters", ("short_compression_front",), ("gives_slow_hits", "gives_harsher")),
        ],
    ),
    "rear reserve short": (CASES["reserve_compression"][0], [("adjusters", ("short_compression_rear",), ())]),
    # The budget rules the spring out, so the pathway goes on; it is named before what goes on without it.
    "soft spring behind a damping complaint": (
        dossier({"sag_bike_alone.front": 3}, symptoms=("pogo@rear",)),
        [("parts", ("soft_spring",), ()), ("adjusters", ("clicks_rebound_firmer",), ("gives_rate_soft",))],
    ),
    "steers slowly": (CASES["steer_quicker"][0], [("hand_tools", ("quicker_legs",), ())]),
    "steers nervously": (CASES["steer_calmer"][0], [("hand_tools", ("calmer_legs",), ())]),
    "steers slowly, no fork position": (CASES["height_quicker"][0], [("hand_tools", ("quicker_height",), ())]),
    "steers nervously, no fork position": (CASES["height_calmer"][0], [("hand_tools", ("calmer_height",), ())]),
}  # fmt: skip

#: Nothing to choose between: the bike must not be ridden, the readings are in doubt, or nothing is to be done.
NO_WAY: Mapping[str, Dossier] = {
    "nothing wrong": dossier(),
    "a leak": dossier({"sag_rider_aboard.front": 28}, stop={"leak": "yes"}),
    "a leak nobody looked for": dossier({"sag_rider_aboard.front": 28}, stop={"leak": "unsure"}),
    "legs that stand unlike": CASES["legs_even"][0],
    "complaints that disagree": dossier(symptoms=("pogo@rear", "packs_down@rear")),
    "a spring that is likely but not certain": dossier(
        {"sag_rider_aboard.rear": 35.5}, adjusters=knobs(preload_rear=14), budget="springs"
    ),
}
