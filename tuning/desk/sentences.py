"""What the judgement says, in words: stop notices, questions to the client, reasons and notes.

One template per sentence id; ``tuning.judgement.catalogue.SAID_IDS`` has the parameters of each.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from tuning.desk.way_words import OPTIONS_AND_TREE

SAID: Mapping[str, Any] = {
    # Stop gate.
    "stop_warning_lamp": _(
        "Do not ride until the warning lamp or the open recall has been seen to by a dealer or a workshop."
    ),
    "stop_leak": _(
        "Do not ride until the oil leak at fork or shock is mended: oil on a brake disc or a tyre takes the grip away."
    ),
    "stop_play": _(
        "Do not ride until the play or knocking in steering head, wheel or swingarm has been found and put right."
    ),
    "stop_damage": _("Do not ride until the cracked, bent or broken part has been replaced and the bike inspected."),
    "stop_recent_crash": _("Do not ride until a workshop has inspected the bike after its crash or fall."),
    "stop_tyres": _("Do not ride until the worn, cracked or old tyres have been replaced."),
    "stop_overload": _(
        "Do not ride with this load: it is more than the maker permits. Take load off, then measure again."
    ),
    "stop_brakes": _("Do not ride until the brakes work evenly, without fading, pulling or sticking."),
    "stop_wobble": _(
        "Do not ride until the cause of the shaking bars or the weave has been found: have bearings, tyres, wheels and "
        "frame checked first."
    ),
    # Questions to the client.
    "ask_unsure": _("You were not sure about this: %(question)s. Please look again, or let a workshop look."),
    "ask_unanswered": _("One safety question is still open: %(question)s. Please answer yes or no."),
    "ask_words": _(
        "Your own words sound like %(question)s, but you answered no to that. Which is right? Please look at the bike."
    ),
    "ask_again": _("Please take these readings again (%(end)s): this test failed: %(check)s."),
    "ask_second_look": _("Please have a second look (%(end)s): this test was doubtful: %(check)s."),
    "ask_reading": _("Please measure this one as well: %(reading)s."),
    "ask_decide": _(
        "%(finding)s: it is too close to call. Please take this reading again, as carefully as you can: %(reading)s."
    ),
    "ask_setting": _("Where does this adjuster stand now: %(adjuster)s?"),
    "ask_range": _(
        "Please count the whole range of this adjuster: %(adjuster)s. Turn it gently in until it stops, then count all "
        "the way out, and put it back."
    ),
    "ask_preload_step": _(
        "How far does one turn, line or step of this adjuster move the spring: %(adjuster)s? The owner's manual says "
        "it, or measure it with a caliper."
    ),
    "ask_symptoms_disagree": _(
        "At the %(end)s, what you feel asks for firmer and for softer damping at once. Which of the two bothers you more?"
    ),
    "ask_gentle_ride": _(
        "At the %(end)s, %(reserve_mm)s of travel stayed unused although the sag is right. How hard was that ride?"
    ),
    "ask_fluid_age": _("How old is the oil in the fork and the shock?"),
    "ask_clearance": _(
        "Before the legs go up: how far is the tyre from the mudguard, radiator and fairing with the wheel off the ground?"
    ),
    "ask_levelling": _(
        "Was the ignition on, and had the levelling finished, when the sags were read? If not, please read them again."
    ),
    "ask_settle": _(
        "Push the %(end)s down hard once and let go. Does it rise and settle at once, bounce on, or creep up slowly? What "
        "you feel can come of too much rebound damping and of too little, and this tells which."
    ),
    "ask_air_pressure": _(
        "The sag of an air fork is set by its pressure, cold and with the wheel off the ground. What does it stand at now, "
        "and between what pressures does the owner's manual allow it?"
    ),
    "ask_lowering": _(
        "Lowering a bike for reach is a job of its own: both ends alike, a shorter side-stand, and room left for the "
        "wheels at full travel. By how much should it come down, and is that what you want first?"
    ),
    "ask_architecture": _(
        "This front end cannot be worked out here: %(architecture)s. Nothing is guessed for it. If that is not what your "
        "bike has, which front end is it?"
    ),
    # Why, and notes.
    "legs_apart": _(
        "The legs stand %(apart_mm)s apart (left %(left_mm)s, right %(right_mm)s). Unequal legs cock the axle and make "
        "the fork bind, so this comes first."
    ),
    "sag_above": _(
        "With you aboard the %(end)s sinks %(sag_mm)s; %(low_mm)s to %(high_mm)s is wanted. It sinks too far."
    ),
    "sag_below": _(
        "With you aboard the %(end)s sinks %(sag_mm)s; %(low_mm)s to %(high_mm)s is wanted. It stands too high."
    ),
    "rate_soft": _(
        "At the %(end)s, the bike alone sinks only %(alone_mm)s but %(rider_mm)s with you aboard: the spring is too soft "
        "for the load, and more preload would only hide it."
    ),
    "rate_stiff": _(
        "At the %(end)s, the bike alone already sinks %(alone_mm)s and only %(rider_mm)s with you aboard: the spring is "
        "too stiff for the load."
    ),
    "preload_all_in": _("The preload is wound all the way in already: %(adjuster)s."),
    "preload_all_out": _("The preload is backed all the way out already: %(adjuster)s."),
    "implied_rate": _("Your readings mean that the %(end)s spring works like one of about %(rate_nmm)s."),
    "bottomed": _(
        "The %(end)s hit the end of its travel, so the true need is more than the ring can show. Mind it on rough roads "
        "until that is put right."
    ),
    "reserve_short": _("At the %(end)s, only %(reserve_mm)s of travel is left after a hard ride."),
    "reserve_much_sag_little": _(
        "At the %(end)s, %(reserve_mm)s of travel stays unused while the sag is small: it rides high. Sag comes first."
    ),
    "spring_wanted_budget": _(
        "The proper cure at the %(end)s is a spring of another rate. That is outside the budget you gave, so this sheet "
        "does what can be done without it."
    ),
    "spring_no_number": _(
        "The %(end)s spring is wrong for the load, but the readings do not carry a number for the right one. Your tuner "
        "names the rate before you buy anything."
    ),
    "settles_bouncing": _("At the %(end)s, the bike bounces on after a push: it needs more rebound damping."),
    "settles_slowly": _("At the %(end)s, the bike creeps up after a push: it needs less rebound damping."),
    "symptom_rebound_firmer": _(
        "What you feel at the %(end)s (floating, wallowing or bouncing on) comes of too little rebound damping."
    ),
    "symptom_rebound_softer": _(
        "What you feel at the %(end)s (creeping up, or getting lower bump by bump) comes of too much rebound damping."
    ),
    "symptom_compression_softer": _(
        "What you feel at the %(end)s (hard knocks over bumps) comes of too much compression damping."
    ),
    "symptom_compression_firmer": _(
        "What you feel at the %(end)s (too deep into its travel, too fast) comes of too little compression damping."
    ),
    "damper_out_of_range": _(
        "%(adjuster)s stands at %(position_share)s of its range and still does not do enough. The damper is worn or out of "
        "its range; more clicks will not help."
    ),
    "compression_out_of_range": _(
        "At the %(end)s the compression stands at %(compression_share)s of its range and still does not do enough. The "
        "damper is worn or out of its range; more clicks will not help."
    ),
    "fluid_old": _("The damping oil is old. Fresh oil comes before clicks: old oil makes every click a guess."),
    "steers_slowly": _(
        "Sag and damping are right, and it still turns in slowly: a lower front quickens the steering."
    ),
    "steers_nervously": _("Sag and damping are right, and it is still nervous: a higher front calms the steering."),
    "attitude_front_low": _("The front stands too low and the preload has no more to give."),
    "attitude_front_high": _("The front stands too high and the preload has no more to take away."),
    "height_not_travel": _(
        "Moving the legs changes how the bike stands and steers, never the fork's travel: its reserve stays as it was."
    ),
    "clearance_short": _(
        "Moving the legs up would leave only %(clearance_mm)s between tyre and bodywork at full compression. That is too "
        "little, so the legs stay where they are."
    ),
    "preload_small_step": _(
        "How far one step of this adjuster moves the spring is not known, so it moves by one only: %(adjuster)s. Measure "
        "the sag afterwards."
    ),
    "trail_change": _("Expect the trail to change by %(trail_mm)s and the rake by %(rake_deg)s."),
    "after_height": _("The rear height has changed, so chain slack and headlamp have to be set again."),
    "nothing_to_change": _("Your readings are where they should be. Leave the bike as it is."),
    # What the rounds before teach.
    "ask_contradict": _(
        "The readings of your rounds contradict each other by more than they can be off. Before anything new is tried, "
        "please take this one again, as carefully as you can: %(reading)s."
    ),
    "ask_missed": _(
        "%(finding)s: the last sheet foretold %(foretold_mm)s, and %(measured_mm)s was measured. Before anything new is "
        "tried, please take this one again: %(reading)s."
    ),
    "seen_better": _("Better since then: %(symptom)s."),
    "seen_gone": _("Gone since then: %(symptom)s."),
    "seen_same": _("The same as before: %(symptom)s."),
    "seen_worse": _("Worse since then: %(symptom)s."),
    "seen_opposite": _("New since then, and what too much of it feels like: %(symptom)s."),
    "seen_in_band": _("Now where it is wanted: %(finding)s."),
    "seen_nearer": _("Nearer to where it is wanted, but not there: %(finding)s."),
    "seen_across": _("Now out on the other side of where it is wanted: %(finding)s."),
    "seen_unmoved": _("No nearer to where it is wanted: %(finding)s."),
    "seen_all_better": _("You found it better on the whole."),
    "seen_all_same": _("You found it the same as before."),
    "seen_all_worse": _("You found it worse on the whole."),
    "seen_put_back": _("You put it back, since it rode worse."),
    "round_kept": _("Kept, since it helped in round %(round)s: %(change)s."),
    "round_undone": _("Put back to where it stood before round %(round)s, since it made things worse: %(change)s."),
    "round_went_back": _(
        "You have put this back already, since it made things worse in round %(round)s: %(change)s. It stays there."
    ),
    "round_part_worse": _(
        "This made things worse in round %(round)s and cannot be put back by a setting: %(change)s. Your tuner says what "
        "to do about it."
    ),
    "round_halved": _("Half of the step of round %(round)s goes back, since it went too far: %(change)s."),
    "round_again": _(
        "The step of round %(round)s went the right way but not far enough, so another follows: %(change)s."
    ),
    "round_not_done": _("Not done in round %(round)s, so nothing is known of it yet: %(change)s."),
    "round_undone_stays": _("Not tried again, since it made things worse in round %(round)s: %(change)s."),
    "round_no_effect_twice": _("Not tried a third time, since it changed nothing twice: %(change)s."),
    "round_compromise_once": _(
        "This stood in for a part in round %(round)s and is not done twice: %(change)s. What is still missing is the part."
    ),
    "round_fork_limit": _(
        "The fork legs have moved %(moved_mm)s from where they were first found; %(limit_mm)s is the most for advice at a "
        "distance, so they go no further."
    ),
    "settled_targets": _("What was measured is where it is wanted."),
    "settled_complaints": _("No clear complaint is left: leave the bike as it is."),
    "settled_content": _("You find it better and name nothing more: leave the bike as it is."),
    **OPTIONS_AND_TREE,
}
#: How an earlier change went.
#: What became of an earlier change.
DONE = {
    "as_told": _("done as written"),
    "assumed": _("not said; taken as done"),
    "otherwise": _("done otherwise"),
    "not_done": _("not done, says the client"),
    "undone": _("done, then put back"),
    "unknown": _("not said"),
}
REVIEWED: Mapping[str, Any] = {
    "worked": _("worked"),
    "short": _("the right way, not far enough"),
    "no_effect": _("no effect"),
    "worse": _("made it worse"),
    "overshot": _("went too far"),
    "not_done": _("not done"),
    "cannot_tell": _("cannot tell"),
}
#: Which way an adjuster was moved.
MOVES: Mapping[str, Any] = {
    "more": _("more"),
    "less": _("less"),
    "firmer": _("firmer"),
    "softer": _("softer"),
}
#: What is learnt of a bike over its rounds.
LEARNED: Mapping[str, Any] = {
    "effective_rate": _("Spring rate it behaves like"),
    "effective_preload": _("Preload it behaves like, first round"),
    "friction": _("Friction, half of its band"),
    "bike_mass": _("Mass of the bike"),
    "bike_front_share": _("Share of the bike on the front wheel"),
    "rider_front_share": _("Share of the rider on the front wheel"),
    "rider_mass": _("Mass of the rider"),
}
#: A reading that does not fit the others.
SUSPECT = _("%(reading)s, round %(round)s")
#: What was measured against what was foretold.
COMPARISONS: Mapping[str, Any] = {
    "as_foretold": _("as foretold"),
    "more": _("more than foretold"),
    "less": _("less than foretold"),
    "cannot_tell": _("cannot tell"),
}
#: Names of the pathway's gates.
GATES: Mapping[str, Any] = {
    "safe": _("Fit to ride"),
    "trust": _("Data trusted"),
    "sag": _("Sag and springs"),
    "damping": _("Damping"),
    "reserve": _("Travel reserve"),
    "geometry": _("Geometry"),
}
GATE_STATES: Mapping[str, Any] = {
    "passed": _("passed"),
    "stands_here": _("stands here"),
    "waiting": _("waiting"),
}
VERDICTS: Mapping[str, Any] = {
    "in_band": _("in band"),
    "below": _("below the band"),
    "above": _("above the band"),
    "cannot_tell": _("cannot tell"),
}
STATUSES: Mapping[str, Any] = {
    "at_least": _("at least %(text)s"),
    "at_most": _("at most %(text)s"),
    "cannot_state": _("cannot be told from these readings"),
    "refused": _("outside what can be worked out here"),
}
