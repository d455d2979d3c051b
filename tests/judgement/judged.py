"""Cases as a tuner would judge them: what leads, what comes before what, what spoke. Reasoned from the sources at
each case before anything was run. Road sport bands: front 33–40, rear 28–35 mm with the rider (common practice)."""

from dataclasses import replace

from tests.judgement.bikes import Judged, bike, left, pressure, rubbing, sag
from tests.judgement.build import knobs
from tests.judgement.judged_bikes import OTHER_BIKES
from tests.judgement.judged_ground import GROUND
from tuning.engine.derivation import Check

_far_up = knobs(fork_position=12.0)
_one_leg_low = tuple(
    replace(row, found=8.0) if row.key == "front.fork_position.right" else row for row in knobs(fork_position=5.0)
)
APART = Check("legs_unequal", "second_look", "front", (), {"apart_mm": 3.0, "left_mm": 5.0, "right_mm": 8.0})

JUDGED: dict[str, Judged] = {
    # --- Driving out: 4 guides disagree about rear rebound. Does the rear squat, or is it held down? ---------------
    "wide on exit, creeps up after a push: held down": Judged(
        bike("runs_wide_exit@rear", answers={"settle.rear": "slow"}),
        "rebound_high.rear",
        ("rebound_high.rear", "compression_low.rear", "rebound_low.rear"),
        {"rebound_high.rear": ("+settle_slow",), "rebound_low.rear": ("−settle_slow",)},
    ),
    "wide on exit, bounces on after a push: too little": Judged(
        bike("runs_wide_exit@rear", answers={"settle.rear": "many_bounces"}),
        "rebound_low.rear",
        ("rebound_low.rear", "rebound_high.rear"),
        {"rebound_high.rear": ("−settle_many_bounces",)},
    ),
    # "First restore rear sag": 42 mm is more than 35.
    "wide on exit and squats with too much rear sag: sag first": Judged(
        bike("runs_wide_exit@rear", "rear_squats@rear", values=sag(rear=42, rear_alone=18)),
        "preload_low.rear",
        ("preload_low.rear", "compression_low.rear"),
        {"preload_low.rear": ("+rider_sag_above",)},
    ),
    # Sag is right, it squats: compression, and it is not held down.
    "wide on exit and squats with the sag right: compression": Judged(
        bike("runs_wide_exit@rear", "rear_squats@rear"),
        "compression_low.rear",
        ("compression_low.rear", "preload_low.rear", "rebound_high.rear"),
        {"rebound_high.rear": ("−felt_yes",), "preload_low.rear": ("−rider_sag_in_band",)},
    ),
    # Held down and squatting: nothing known tells them apart, and the settle test is what would.
    "wide on exit with nothing else known: the settle test would tell": Judged(
        bike("runs_wide_exit@rear", "feels_stiff@rear"),
        "rebound_high.rear",
        ("rebound_high.rear", "rebound_low.rear"),
        decide="answer.settle.rear",
    ),
    # --- Running wide: a topped-out front is not a sitting rear. --------------------------------------------------
    "wide in mid-corner with the front at its top": Judged(
        bike("runs_wide_mid@front", values=sag(front=28, front_alone=1)),
        "topping_out.front",
        ("topping_out.front", "rear_low.rear"),
        {
            "topping_out.front": ("+alone_sag_topped_out", "+rider_sag_below"),
            "rear_low.rear": ("−rider_sag_in_band",),
        },
    ),
    "wide in mid-corner with the rear sitting": Judged(
        bike("runs_wide_mid@front", "rear_squats@rear", values=sag(rear=42, rear_alone=18)),
        "rear_low.rear",
        ("rear_low.rear", "topping_out.front"),
        {"rear_low.rear": ("+attitude_nose_high", "+rider_sag_above"), "topping_out.front": ("−felt_yes",)},
    ),
    # Both ends right, legs flush, long trail: 2 guides, fork position.
    "slow to turn with both ends right: geometry": Judged(
        bike(
            "slow_turn_in@front",
            adjusters=knobs(fork_position=0.0),
            values={"ground_trail": 118},
            checks=(pressure("front", 250, 250),),
        ),
        "geometry_slow.front",
        ("geometry_slow.front", "preload_high.front"),
        {"geometry_slow.front": ("+trail_long", "+attitude_level", "+fork_legs_flush")},
    ),
    # 1 guide: harsh, high, slow turn-in: front preload. Sag comes before geometry.
    "slow to turn, high and harsh in front: preload": Judged(
        bike("slow_turn_in@front", "harsh_single@front", values=sag(front=28, front_alone=16) | left(front=50)),
        "preload_high.front",
        ("preload_high.front", "geometry_slow.front"),
        {"preload_high.front": ("+rider_sag_below", "+reserve_above", "+felt_yes")},
    ),
    # 2 guides: legs far up or rear too high. 12 mm up is beyond the 10 of common practice.
    "nervous with the legs far up": Judged(
        bike("nervous_turn_in@front", adjusters=_far_up),
        "geometry_quick.front",
        ("geometry_quick.front", "rear_high.rear"),
        {"geometry_quick.front": ("+fork_legs_far_up",)},
    ),
    "falls in with a front that stands low": Judged(
        bike("falls_in@front", values=sag(front=48, front_alone=33)),
        "front_low.front",
        ("front_low.front", "rear_high.rear"),
        {"front_low.front": ("+attitude_nose_low", "+rider_sag_above"), "rear_high.rear": ("−rider_sag_in_band",)},
    ),
    # 1 guide: under way on a soft front tyre everything feels wrong.
    "falls in on a soft front tyre": Judged(
        bike("falls_in@front", checks=(pressure("front", 180, 250),)),
        "tyre_pressure.front",
        speaks={"tyre_pressure.front": ("+tyre_pressure_low",)},
    ),
    # --- Harshness: with much travel left it is not harsh at the end of the stroke. -------------------------------
    "harsh with much travel left: compression": Judged(
        bike("harsh_single@front", values=left(front=55)),
        "compression_high.front",
        ("compression_high.front", "spring_soft.front"),
        {"compression_high.front": ("+reserve_above", "+felt_no"), "spring_soft.front": ("−reserve_above",)},
    ),
    "harsh at the end of the stroke: it meets the stop": Judged(
        bike("harsh_single@front", bottomed="front", values=sag(front_alone=3)),
        "spring_soft.front",
        ("spring_soft.front", "compression_high.front"),
        {"spring_soft.front": ("+reserve_bottomed",), "compression_high.front": ("−reserve_bottomed",)},
    ),
    # With the spring right, it is the air above the oil that gives no end force.
    "harsh at the end of the stroke with the sags right: oil": Judged(
        bike("harsh_single@front", bottomed="front"),
        "oil_low.front",
        ("oil_low.front", "spring_soft.front", "compression_high.front"),
        {"oil_low.front": ("+reserve_bottomed", "+rate_right")},
    ),
    # 1 guide: tyre pressure before adjusting; too much air is hard, too little is not.
    "harsh on a hard tyre": Judged(
        bike("harsh_single@rear", checks=(pressure("rear", 340, 290),)),
        "tyre_pressure.rear",
        speaks={"tyre_pressure.rear": ("+tyre_pressure_high",)},
    ),
    "harsh, and the tyre is soft: not the tyre": Judged(
        bike("harsh_single@rear", checks=(pressure("rear", 230, 290),)),
        "compression_high.rear",
        speaks={"tyre_pressure.rear": ("−tyre_pressure_low",)},
    ),
    # 4 guides: harsh in a series is rebound.
    "harsh in a series, creeps up: rebound": Judged(
        bike("harsh_series@rear", answers={"settle.rear": "slow"}),
        "rebound_high.rear",
        ("rebound_high.rear", "compression_high.rear"),
    ),
    # 2 guides: hard though soft, riding deep, rebound nearly closed (1 of 20 out).
    "packs down, feels soft, rides deep with rebound closed: packing": Judged(
        bike(
            "packs_down@rear", "feels_soft@rear", values=sag(rear=42, rear_alone=18), adjusters=knobs(rebound_rear=1)
        ),
        "packing.rear",
        ("packing.rear", "rebound_high.rear"),
        {"packing.rear": ("+rebound_at_closed", "+rider_sag_above", "+felt_yes")},
    ),
    # 3 guides: free friction before clicking; 8 mm against the 6 of common practice.
    "stiff with a wide friction band": Judged(
        bike("feels_stiff@front", checks=(rubbing("front", 8, 6),)),
        "friction.front",
        speaks={"friction.front": ("+friction_high",)},
    ),
    "stiff with legs at unequal heights": Judged(
        bike("feels_stiff@front", adjusters=_one_leg_low, checks=(APART,)),
        "legs_uneven.front",
        ("legs_uneven.front", "compression_high.front"),
        {"legs_uneven.front": ("+legs_unequal",)},
    ),
    # 3 guides: the axle not in line comes before clicks; friction is what it makes.
    "stiff and vague with legs at unequal heights": Judged(
        bike("feels_stiff@front", "front_vague@front", adjusters=_one_leg_low, checks=(APART,)),
        "legs_uneven.front",
        ("legs_uneven.front", "friction.front", "rebound_low.front"),
        {"friction.front": ("+legs_unequal",)},
    ),
    # "Ask what the ride was": much left with the sag right, after a gentle ride.
    "stiff after a gentle ride with much left: the ride asked little": Judged(
        bike(
            "feels_stiff@front",
            values=left(front=55),
            answers={"ride_hardness": "1"},
            checks=(rubbing("front", 3, 6),),
        ),
        "gentle_ride.front",
        speaks={"gentle_ride.front": ("+ride_gentle", "+reserve_above")},
    ),
    # --- Braking -------------------------------------------------------------------------------------------------
    # Sag and rate are right and it still reaches its end: the air above the oil has no end force to give.
    "bottoms in braking with the sag right: oil level": Judged(
        bike("brake_bottoms@front", bottomed="front"),
        "oil_low.front",
        ("oil_low.front", "spring_soft.front", "preload_low.front"),
        {"oil_low.front": ("+reserve_bottomed", "+rate_right", "+rider_sag_in_band")},
    ),
    # Bike alone 3 mm with the rider's sag right: soft and wound up. Preload hardly cures bottoming.
    "bottoms in braking on a soft spring wound up": Judged(
        bike("brake_bottoms@front", bottomed="front", values=sag(front_alone=3)),
        "spring_soft.front",
        ("spring_soft.front", "oil_low.front", "preload_low.front"),
        {"spring_soft.front": ("+rate_soft",), "preload_low.front": ("−rate_soft",)},
    ),
    # A seal that leaks is oil that is missing.
    "dives with a leaking seal": Judged(
        bike("brake_dive@front", stop={"leak": "yes"}),
        "oil_low.front",
        speaks={"oil_low.front": ("+leak_yes",)},
    ),
    # 2 guides: tyre and unsprung mass, not clicks alone.
    "chatters under braking on the track": Judged(
        bike("chatter_braking@front", discipline="track"),
        "resonance.front",
        ("resonance.front", "rebound_low.front", "rebound_high.front"),
        decide="tyre_pressure.front",
    ),
    "rear hops under braking, rebound nearly closed, supermoto": Judged(
        bike("rear_hops_braking@rear", discipline="supermoto", adjusters=knobs(rebound_rear=1)),
        "rebound_high.rear",
        ("rebound_high.rear", "braking_style", "rebound_low.rear"),
        {"rebound_high.rear": ("+rebound_at_closed",), "rebound_low.rear": ("−rebound_at_closed",)},
    ),
    # Too little tops out quickly and makes the wheel jump.
    "rear hops under braking and clunks at the top": Judged(
        bike("rear_hops_braking@rear", "tops_out@rear", discipline="supermoto"),
        "rebound_low.rear",
        ("rebound_low.rear", "rebound_high.rear"),
        {"rebound_low.rear": ("+felt_yes",), "topping_out.rear": ("+felt_yes",)},
    ),
    # --- Rear kick: 2 guides disagree. ---------------------------------------------------------------------------
    "kicks with nothing known: the settle test would tell": Judged(
        bike("rear_kicks@rear"),
        "rebound_low.rear",
        ("rebound_low.rear", "rebound_high.rear"),
        decide="answer.settle.rear",
    ),
    "kicks and bounces on: too little": Judged(
        bike("rear_kicks@rear", "pogo@rear"), "rebound_low.rear", ("rebound_low.rear", "rebound_high.rear")
    ),
    # The last round tells: less rebound made it worse.
    "kicks, and less rebound made it worse": Judged(
        bike("rear_kicks@rear", tried={"rear.rebound": "less"}, answers={"outcome": "worse"}),
        "rebound_low.rear",
        ("rebound_low.rear", "rebound_high.rear"),
        {"rebound_low.rear": ("+rebound_trial_less_hurt",), "rebound_high.rear": ("−rebound_trial_less_hurt",)},
    ),
    "kicks, and less rebound helped": Judged(
        bike("rear_kicks@rear", tried={"rear.rebound": "less"}, answers={"outcome": "better"}),
        "rebound_high.rear",
        ("rebound_high.rear", "rebound_low.rear"),
    ),
    # --- Grip and shake ------------------------------------------------------------------------------------------
    # 2 guides: packing over a series washes the front out.
    "tucks over a series of bumps": Judged(
        bike("tucks@front", "harsh_series@front", discipline="track", answers={"settle.front": "slow"}),
        "packing.front",
        ("packing.front", "compression_high.front"),
    ),
    # 5 guides: bearings and tyres first.
    "headshake with play in the head": Judged(
        bike("headshake_exit@front", stop={"play": "yes"}),
        "bearings.front",
        ("bearings.front", "rebound_high.front"),
        {"bearings.front": ("+play_yes",)},
    ),
    "headshake without play: tyres first, then rebound": Judged(
        bike("headshake_exit@front"),
        "tyre_pressure.front",
        ("tyre_pressure.front", "rebound_high.front", "bearings.front"),
        {"bearings.front": ("−play_no",)},
        decide="tyre_pressure.front",
    ),
    # 1 guide: too much compression, unless the sag says that there is much else.
    "slides on drive with compression nearly closed": Judged(
        bike("rear_slides@rear", discipline="track", adjusters=knobs(compression_rear=1)),
        "compression_high.rear",
        speaks={"compression_high.rear": ("+compression_at_closed",)},
    ),
    "rear tyre tears, and nobody knows its pressure": Judged(
        bike("rear_tyre_torn@rear", discipline="track"), "tyre_pressure.rear", decide="tyre_pressure.rear"
    ),
    "rear tyre stays cold, rear bounces": Judged(
        bike("rear_tyre_cold@rear", discipline="track", answers={"settle.rear": "many_bounces"}),
        "rebound_low.rear",
    ),
}
JUDGED |= OTHER_BIKES | GROUND
