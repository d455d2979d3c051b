"""How changes are done, checked and guarded, in words a rider on a garage floor follows.

One text per id of ``tuning.judgement.catalogue``. No torque is ever given as a figure: the sheet prints a blank.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

HOW: Mapping[str, Any] = {
    "preload_note_down": _("Write down where the preload stands now, both sides where there are two."),
    "preload_turn": _("Turn the preload a little at a time, as far as this change says. Clean the threads first."),
    "preload_both_alike": _("Where there are two adjusters, set both alike, taking turns from side to side."),
    "stand_frame": _(
        "Stand the bike on level ground, engine cold, held by a stand under the headstock, frame or engine. A side-stand "
        "and a helper are a compromise: then have the helper hold the bike the whole time."
    ),
    "legs_note_down": _(
        "Measure how far each leg stands proud: from the upper clamp's face to the top edge of the tube, not to the cap. "
        "Write both readings down. Mark where clip-on bars sit, then slacken them if they grip the legs."
    ),
    "slacken_one_leg": _(
        "Slacken the axle pinch on one side so that the leg can move. On one leg only, slacken the upper clamp, then the "
        "lower a little at a time, until the leg still holds itself but can be twisted by hand."
    ),
    "legs_small_steps": _(
        "Twist the leg up or down by about 1 mm (0.04 in), nip the lower clamp, do the same on the other leg, and "
        "go on side by side. Gone too far: go back past the mark and come to it again from the same side."
    ),
    "legs_alike": _(
        "Twist the leg until it reads like the other one. Gone too far: go back past the mark and come to it again "
        "from the same side."
    ),
    "tighten_in_order": _(
        "Tighten the lower clamp, measure again, then the upper clamp. Bring the other leg to the same reading. Use the "
        "torque from the owner's manual: write it on the blank of this sheet first."
    ),
    "axle_free_pump": _(
        "See that the axle slides freely in the legs, hold the front brake, pump the front a few times, and tighten the "
        "axle pinch last. Put clip-on bars back to their mark."
    ),
    "height_note_down": _("Write down the present setting and measure from the axle straight up to a fixed point."),
    "height_by_manual": _(
        "Take the weight off the rear wheel and change the height by the steps in the owner's manual; lock it again."
    ),
    "chain_slack_by_manual": _("Set the chain slack to the owner's manual, with the bike held as the manual says."),
    "headlamp_set": _("Set the headlamp's height again, with you aboard."),
    "spring_choose_with_tuner": _("Agree the spring's rate with your tuner before you order it."),
    "spring_by_manual": _("Change the spring by the maker's workshop manual, with its tools, or have it done."),
    "preload_afresh": _("Start with the preload the tuner names, then measure the sag and set it afresh."),
    "oil_by_manual": _(
        "Set the oil level by the maker's workshop manual: spring out, fork fully compressed, air bled, leg upright."
    ),
    "oil_both_alike": _("Set both legs to the same level, unless the manual says that they differ."),
    "spacer_by_manual": _(
        "Take the fork cap off and the spacer out by the maker's workshop manual: the spring pushes against the cap."
    ),
    "spacer_cut_square": _(
        "Make the new spacer to the length that this change says, both ends cut square and free of burrs, with its "
        "washers as before."
    ),
    "spacer_both_alike": _("Make both legs alike, unless the manual says that only one has a spring."),
    "service_by_workshop": _("Have the damping oil changed and the seals and bushes looked at."),
    "clicks_from_closed": _(
        "Turn the adjuster clockwise, gently, until it stops: fully closed. Count the clicks or turns on the way and "
        "compare them with the count on this sheet."
    ),
    "clicks_turn": _("From fully closed, count out to the new setting."),
    "clicks_both_alike": _("Set both legs alike, unless this sheet says that they do different work."),
}
VERIFY: Mapping[str, Any] = {
    "sag_again": _("Measure the sag again, bike alone and with you aboard in full kit."),
    "settle_again": _("Push down hard once and let go: it should rise and settle in about a second."),
    "reserve_again": _("Push the ring to the seal, ride, and read the travel used again."),
    "legs_agree": _("Both legs agree: within 0.1 mm (0.004 in) by caliper, 0.5 mm (0.02 in) by rule."),
    "lock_to_lock": _("Turn from lock to lock: bars and clip-ons are clear, hoses and cables have slack."),
    "tyre_clearance": _(
        "The tyre clears mudguard, radiator and fairing with the fork fully compressed. If you cannot be sure, have a "
        "workshop check it with the springs out."
    ),
    "brake_walking_pace": _("Try the front brake at walking pace, several times, before you ride off."),
    "headlamp": _("The headlamp does not dazzle."),
    "side_stand": _("The bike leans safely on its side-stand, neither too upright nor too far over."),
    "chain_slack": _("The chain has its slack at the tightest place, with you aboard."),
    "no_leaks": _("No oil shows after the first ride."),
}
CAUTIONS: Mapping[str, Any] = {
    "adjuster_never_forced": _("Never force an adjuster against its stop: the needle and its seat are soft."),
    "stand_not_under_fork": _(
        "Never put the stand under the fork feet: it would load the very legs that you loosen."
    ),
    "never_both_loose": _("Never have both legs loose at once unless the front is held: it would drop."),
    "no_ride_until_even": _("Do not ride until both legs stand alike."),
    "torque_from_manual": _("Every bolt gets the torque of the owner's manual; fill in the blank before you start."),
    "maker_mark_is_limit": _("A maker's mark or limit ends the range: do not go past it."),
    "thread_engaged": _("Never unscrew a height adjuster past the maker's limit: the thread must stay engaged."),
    "chain_tight_breaks": _(
        "A chain that is too tight with you aboard can break and lock the wheel: check its slack."
    ),
    "spring_under_load": _("A spring holds force: never undo a cap or a collar without the tools that hold it."),
    "oil_level_limit": _("Never fill above the maker's highest level: the fork would lock before its stop."),
    "coils_never_solid": _(
        "With a longer spacer the coils come closer: check against the manual that they do not touch before the fork "
        "reaches its stop."
    ),
    "gas_never_opened": _("Never open a damper or shock that is charged with gas: a specialist does that."),
    "rests_on_readings": _(
        "Advice at a distance rests on the readings you sent. If something differs on your bike, stop and ask."
    ),
    "manual_comes_first": _("The owner's manual and the law where you ride come first, before this sheet."),
    "tyres_cold": _("Set tyre pressures cold, as the maker says, before every test."),
}
RIDE_TEST: Mapping[str, Any] = {
    "ride_same_road_gently": _("Ride a short road that you know, gently first."),
    "ride_then_normally": _("If all is well, ride the same road at your normal pace."),
    "ride_read_ring": _("Push the rings to the seals before the ride and read them after it."),
    "ride_stop_if_worse": _("If anything feels worse or strange, stop, and go back to the baseline of this sheet."),
}
TOOLS: Mapping[str, Any] = {
    "preload_tool": _("preload spanner or key"),
    "front_stand": _("stand that holds the front by headstock, frame or engine"),
    "rear_stand": _("stand that takes the weight off the rear wheel"),
    "torque_wrench": _("torque wrench"),
    "caliper": _("caliper or rule"),
    "workshop_manual": _("the maker's workshop manual and tools"),
    "oil_level_gauge": _("oil level gauge"),
    "screwdriver": _("screwdriver that fits the adjuster"),
}
TITLES: Mapping[str, Any] = {
    "preload": _("Preload, %(end)s"),
    "legs_even": _("Set both fork legs to the same height"),
    "fork_position": _("Move the fork legs in the clamps"),
    "ride_height": _("Ride height, %(end)s"),
    "chain_and_headlamp": _("Chain slack and headlamp"),
    "spring": _("Another spring, %(end)s"),
    "oil_level": _("Fork oil level"),
    "spacer": _("Spacer on the fork springs"),
    "service": _("Service the damping, %(end)s"),
    "rebound": _("Rebound damping, %(end)s"),
    "compression": _("Compression damping, %(end)s"),
}
