"""Cases that the ground, the chain or a steering damper decides, reasoned from the sources (common practice where
none is named)."""

from tests.judgement.bikes import Judged, bike, sag
from tests.judgement.build import knobs

DIRT = {"discipline": "enduro", "front": "coil_split"}

GROUND: dict[str, Judged] = {
    # 1 guide names the chain for a bike that is just not right: one that is too tight is seen to before anything.
    "not right, and the chain is too tight": Judged(
        bike("not_right", answers={"chain_slack": "too_tight"}),
        "chain.rear",
        ("chain.rear", "bearings.rear"),
        {"chain.rear": ("+chain_off",)},
    ),
    "not right, and the chain is as it should be": Judged(
        bike("not_right", answers={"chain_slack": "as_in_manual", "fluid_age": "older"}),
        "service_due.front",
        ("service_due.rear", "chain.rear"),
        {"chain.rear": ("−chain_right",)},
    ),
    # A steering damper set hard holds the bars: it is turned back before the fork is touched.
    "weaves with the steering damper set hard": Judged(
        bike("weaves", "slow_turn_in", answers={"steering_damper": "set_hard"}),
        "steering_damper_tight.front",
        ("steering_damper_tight.front", "geometry_slow.front"),
        {"steering_damper_tight.front": ("+steering_damper_hard",)},
    ),
    # None is fitted, so none can hold it.
    "slow to turn without a steering damper": Judged(
        bike("slow_turn_in@front", answers={"steering_damper": "not_fitted"}, values=sag(front=28)),
        "front_high.front",
        ("geometry_slow.front", "steering_damper_tight.front"),
        {"steering_damper_tight.front": ("−steering_damper_absent",)},
    ),
    "slow to turn with the steering damper set soft": Judged(
        bike("slow_turn_in@front", answers={"steering_damper": "set_soft"}, values=sag(front=28)),
        "front_high.front",
        ("geometry_slow.front", "steering_damper_tight.front"),
        {"steering_damper_tight.front": ("−steering_damper_soft",)},
    ),
    # The sag is right and the clicker nearly open; sand rolls under the wheel and asks for firmer compression, while
    # hard ground shows a firm setting at once.
    "meets the stop over bumps in sand": Judged(
        bike("bottoms_bumps@front", **DIRT, bottomed="front", adjusters=knobs(compression_front=19),
             answers={"terrain": "sand"}),
        "compression_low.front",
        ("compression_low.front", "oil_low.front"),
        {"compression_low.front": ("+terrain_sand", "+compression_at_open")},
    ),
    "harsh over bumps on hard ground, compression nearly closed": Judged(
        bike("harsh_series@front", **DIRT, adjusters=knobs(compression_front=1), answers={"terrain": "hard_ground"}),
        "compression_high.front",
        ("compression_high.front", "rebound_high.front"),
        {"compression_high.front": ("+terrain_hard", "+compression_at_closed")},
    ),
    "harsh over bumps in sand: not for too much compression alone": Judged(
        bike("harsh_series@front", **DIRT, adjusters=knobs(rebound_front=1), answers={"terrain": "sand"}),
        "rebound_high.front",
        ("rebound_high.front", "compression_high.front"),
        {"compression_high.front": ("−terrain_sand",)},
    ),
    # In sand a low front digs in and steers by itself.
    "twitchy in sand with the legs far up": Judged(
        bike("twitchy", **DIRT, adjusters=knobs(fork_position=12), answers={"terrain": "sand"}),
        "geometry_quick.front",
        ("geometry_quick.front", "front_low.front"),
        {"front_low.front": ("+terrain_sand", "+fork_legs_far_up")},
    ),
    # Mud clings to the bike and weighs on it: 120 of 300 is 40 %, more than wanted.
    "sits low behind in mud": Judged(
        bike("too_low@rear", **DIRT, values=sag("enduro", rear=120, rear_alone=50), answers={"terrain": "mud"}),
        "preload_low.rear",
        ("preload_low.rear", "load_change.rear"),
        {"load_change.rear": ("+terrain_mud", "+rider_sag_above")},
    ),
}  # fmt: skip
