"""How each change is done, verified and ridden, and what to beware of: sentences for a garage floor.

Common practice throughout, in our own words. No torque is ever given: the sheet leaves a blank for the manual's.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

HOW: Mapping[str, Any] = {
    "preload_note_down": _("Write down where the adjuster stands now, counted the same way as before."),
    "preload_turn": _("Turn it with the tool that fits, bike upright, in the direction and by the amount above."),
    "preload_both_alike": _("Where there are two adjusters, set both to the same count."),
    "stand_frame": _(
        "Level ground, engine cold. Hold the bike by a stand under the headstock, frame or engine, front wheel just light. "
        "With a side-stand only, have a helper hold it throughout."
    ),
    "legs_note_down": _(
        "Measure both legs on the same flat place above the upper clamp and write both readings down."
    ),
    "slacken_one_leg": _(
        "Slacken the axle pinch on one side, and clip-ons to their mark if they clamp the tube. Then, on one leg only, slacken "
        "the upper clamp, and the lower a little at a time until the leg can just be turned by hand and still holds itself."
    ),
    "legs_small_steps": _(
        "Twist the leg to its new reading, about 1 mm at a time, changing sides. Gone too far: go back past the mark and come "
        "to it again from the same side."
    ),
    "legs_alike": _("Twist this leg to the reading of the other one. Measure on the same flat place."),
    "tighten_in_order": _(
        "Tighten the lower clamp, measure again, tighten the upper clamp; then the other leg the same way. Torque from the "
        "owner's manual."
    ),
    "axle_free_pump": _(
        "With the axle pinch still loose, pump the front a few times so that the legs stand parallel. Tighten the pinch last."
    ),
    "height_note_down": _("Write down the length of the ride-height adjuster before it is touched."),
    "height_by_manual": _("Change it as the owner's manual says, by the amount above, and lock it again."),
    "chain_slack_by_manual": _("Set the chain slack anew as the owner's manual says."),
    "headlamp_set": _("Set the headlamp anew, rider aboard."),
    "spring_choose_with_tuner": _("Settle the spring rate with your tuner before anything is bought."),
    "spring_by_manual": _(
        "Change the spring by the workshop manual, or have a workshop do it. A fork: both legs alike."
    ),
    "preload_afresh": _("Start with little preload and set the sag afresh."),
    "oil_by_manual": _(
        "Set the oil level by the workshop manual: spring out, leg fully compressed, measured from the top."
    ),
    "oil_both_alike": _("Bring both legs to the same level, in small steps."),
    "service_by_workshop": _("Have it serviced: new oil, seals and bushes looked at, shaft checked."),
    "clicks_from_closed": _(
        "Turn the clicker gently in, clockwise, until it stops, and count: that is where it stood."
    ),
    "clicks_turn": _("Then turn it out to the new count, from fully closed."),
    "clicks_both_alike": _("Set both legs alike, unless each leg does its own work."),
}
VERIFY: Mapping[str, Any] = {
    "sag_again": _("Measure L1 and L2 again and write them down below."),
    "legs_agree": _("Both legs agree: within 0.1 mm by caliper, 0.5 mm by rule."),
    "lock_to_lock": _("Turn lock to lock: bars, clip-ons, hoses and cables stay clear and slack."),
    "brake_walking_pace": _("Brake at walking pace before you ride off."),
    "tyre_clearance": _(
        "Check tyre against mudguard, radiator and fairing at full compression; a radiator needs a workshop's check."
    ),
    "headlamp": _("Look at the headlamp's height, and at how the bike stands on its side-stand."),
    "side_stand": _("See that the bike stands safely on its side-stand."),
    "chain_slack": _("Chain slack is right at its tightest point, rider aboard."),
    "reserve_again": _("Push the ring to the seal, ride the same road, and read it again."),
    "no_leaks": _("Nothing leaks after the first ride."),
    "settle_again": _("Push down once and let go: it rises and settles without bouncing, in about a second."),
}
CAUTIONS: Mapping[str, Any] = {
    "adjuster_never_forced": _("Never force an adjuster or its stop."),
    "torque_from_manual": _(
        "Every bolt to the torque of the owner's manual. Too tight binds the fork; too loose lets go."
    ),
    "stand_not_under_fork": _("Never put the stand under the fork feet: it would load the legs you are loosening."),
    "never_both_loose": _("Never loosen both legs at once: the front would drop."),
    "no_ride_until_even": _("Do not ride until both legs stand alike."),
    "maker_mark_is_limit": _("A mark or groove of the maker on the tube is a limit."),
    "thread_engaged": _("Keep as much thread engaged as the maker asks for."),
    "chain_tight_breaks": _("A chain too tight can break or lock the wheel."),
    "spring_under_load": _("Springs are under load: without the maker's tool and manual, leave it to a workshop."),
    "oil_level_limit": _("Too much oil can burst seals and lock the fork: never above the manual's highest level."),
    "gas_never_opened": _("Anything gas-charged is never opened, heated or bent: it belongs to a specialist."),
    "rests_on_readings": _("This advice was given at a distance and rests on the readings you sent."),
    "manual_comes_first": _(
        "The owner's manual and local law come first. What is beyond you belongs to a qualified mechanic."
    ),
    "tyres_cold": _("Tyre pressures cold, as the maker says, before every ride test."),
}
TOOLS: Mapping[str, Any] = {
    "preload_tool": _("the adjuster's own spanner"),
    "front_stand": _("stand under headstock, frame or engine"),
    "rear_stand": _("rear stand"),
    "torque_wrench": _("torque wrench"),
    "caliper": _("caliper or rule"),
    "workshop_manual": _("workshop manual and its tools"),
    "oil_level_gauge": _("oil level gauge"),
    "screwdriver": _("screwdriver that fits the slot"),
}
RIDE_TEST: Mapping[str, Any] = {
    "ride_same_road_gently": _("Push the ring to the seal. Ride the same short road gently first."),
    "ride_then_normally": _("Then ride it as you normally do."),
    "ride_read_ring": _("Read the ring before the bike is transported, and write it down."),
    "ride_stop_if_worse": _("If anything feels worse or strange, stop, and go back to the baseline settings."),
}
