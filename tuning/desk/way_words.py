"""What options and the tree of steps say, in words; ``tuning.judgement.catalogue.SAID_IDS`` has the parameters."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

OPTIONS_AND_TREE: Mapping[str, Any] = {
    # What an option leaves undone against the proper fix.
    "gives_rate_soft": _(
        "The %(end)s spring stays too soft for the load: the bike alone sinks %(alone_mm)s and %(rider_mm)s with "
        "you aboard, and no preload brings both right."
    ),
    "gives_rate_stiff": _(
        "The %(end)s spring stays too stiff for the load: the bike alone sinks %(alone_mm)s and %(rider_mm)s with "
        "you aboard, and no preload brings both right."
    ),
    "gives_attitude": _(
        "How the bike stands comes right, not the spring: at the %(end)s it still sinks %(rider_mm)s with you "
        "aboard, and not a millimetre of travel is won."
    ),
    "gives_alone": _(
        "The sag with you aboard comes right, that of the bike alone does not: at the %(end)s it is %(alone_mm)s "
        "now and moves by as much. The rate of the spring stays as it is."
    ),
    "gives_end_only": _(
        "Oil holds up the last part of the travel only: the sags stay as they are, and the fork gets harder near "
        "its end."
    ),
    "gives_slow_hits": _(
        "Firmer compression holds back quick hits only: in a long dip or under long braking the %(end)s goes as "
        "deep as before, and its reserve (%(reserve_mm)s) stays short."
    ),
    "gives_harsher": _("Small sharp bumps come through harder at the %(end)s."),
    "gives_old_fluid": _(
        "The old oil stays in: the clicks are set on what it still does, and have to be set afresh after the service."
    ),
    "gives_sag": _("Nothing is done at the %(end)s: it still sinks %(rider_mm)s with you aboard."),
    # What to buy, and how far to wind it in.
    "spacer_longer": _("At the %(end)s, a spacer %(by_mm)s longer brings the sag to the middle of its band."),
    "spacer_shorter": _("At the %(end)s, a spacer %(by_mm)s shorter brings the sag to the middle of its band."),
    "buy_rate": _("At the %(end)s, each spring should be of about %(rate_nmm)s."),
    "buy_wound_as_before": _("At the %(end)s, fit it with as much preload as the old one had."),
    "buy_read_first": _("Before anything is bought, please read this one: %(reading)s."),
    "buy_spacer": _(
        "At the %(end)s, the spacer changes by %(by_mm)s as well: the adjuster alone does not reach that far."
    ),
    "cannot_be_met": _(
        "No spring looked at, with any preload, brings this into its band: %(finding)s (off by %(miss_mm)s)."
    ),
    "would_meet_rate": _("What would: a spring of %(rate_nmm)s at the %(end)s."),
    "would_meet_band": _("What would: a band %(miss_mm)s wider, or another load. It is about: %(finding)s."),
    "over_budget": _("This is outside the budget that was given."),
    "after_spring": _("The %(end)s spring has changed, so its preload is set afresh and the sag measured again."),
    # The tree of steps.
    "tree_gone": _("it is gone: %(symptom)s"),
    "tree_settles": _("the %(end)s rises and settles in about a second after a push"),
    "tree_reserve": _("the ring shows at least %(wanted_mm)s left at the %(end)s"),
    "tree_better": _("it is better, but not enough"),
    "tree_same": _("you notice no change"),
    "tree_worse": _("it is worse, strange or new"),
    "tree_stop_strange": _("Stop at once if it wobbles, weaves, knocks or feels loose: put this step back first."),
    "tree_stop_overdone": _("Stop and put this step back if this appears or grows: %(symptom)s."),
    "tree_further": _("It helped, so it goes half a step further the same way: %(change)s."),
    "tree_other": _("The next likely thing is tried: %(change)s."),
}
#: What an option takes.
KINDS: Mapping[str, Any] = {
    "adjusters": _("Adjusters only"),
    "hand_tools": _("Hand tools"),
    "workshop": _("Workshop"),
    "parts": _("Parts"),
}
COSTS: Mapping[str, Any] = {
    "nothing": _("costs nothing"),
    "small": _("costs a little: oil, seals, a length of tube"),
    "service": _("costs a service"),
    "springs": _("costs springs"),
}
SKILLS: Mapping[str, Any] = {
    "adjusters": _("adjusters"),
    "hand_tools": _("hand tools"),
    "home_workshop": _("home workshop"),
    "specialist": _("a specialist"),
}
