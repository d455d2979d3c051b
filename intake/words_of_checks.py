"""What the checks ask, which reading to take again and why; what is said of a number that cannot be read.

Held complete by the tests of ``intake.words``, which fills these sentences in.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

CHECK_TEXTS: Mapping[str, Any] = {
    "order_topped_out_bike_alone": _(
        "At the %(end)s, the bike alone stands %(excess_mm)s higher than topped out, which cannot be. Please measure L0 "
        "(wheel off the ground) and L1 (bike on its wheels, nobody aboard) again, between the same two points."
    ),
    "order_bike_alone_rider": _(
        "At the %(end)s, L2 (rider aboard) is not shorter than L1 (bike alone), as if your weight did not press it down. Please measure L1 and L2 again, between the same two points."
    ),
    "sag_beyond_stroke": _(
        "At the %(end)s, the sag with the rider aboard (%(sag_mm)s) is as much as the whole stroke (%(stroke_mm)s). "
        "Please measure L0, L2 and the stroke again."
    ),
    "ring_beyond_stroke": _(
        "At the %(end)s, the ring shows %(deepest_mm)s, further than the stroke of %(stroke_mm)s. Please read the ring "
        "and measure the stroke again, both from the seal."
    ),
    "ring_false": _(
        "At the %(end)s, the ring shows %(deepest_mm)s, but your own weight alone takes up %(sag_mm)s. The ring slipped, "
        "or was pushed back after the ride. Please push it to the seal, ride, and read it again."
    ),
    "deepest_hardest_below_normal": _(
        "At the %(end)s, the hardest event (%(hardest_mm)s) used less travel than the normal ride (%(deepest_mm)s). "
        "Please look which is which."
    ),
    "clicks_beyond_range": _(
        "%(adjuster)s stands at %(found)s, outside its counted range of %(range)s. Please count both again, gently and from the same stop."
    ),
    "legs_unequal": _(
        "The fork legs stand %(apart_mm)s apart in the clamps (left %(left_mm)s, right %(right_mm)s). Please measure both "
        "again on the same flat place. If it is so, it has to be put right before anything else."
    ),
    "legs_set_unlike": _(
        "In the fork, %(kind)s stands at %(left)s in the left leg and at %(right)s in the right. Both legs are usually set alike: please count both again, from the same stop."
    ),
    "friction_high": _(
        "At the %(end)s, letting it rise and letting it sink end %(band_mm)s either side of the middle, more than the "
        "%(limit_mm)s that is usual. Something sticks: please take both readings again, slowly."
    ),
    "rate_implausible": _(
        "At the %(end)s, your weight takes the bike from L1 to L2 as a spring of %(rate_nmm)s at the wheel would let it; for such riding %(low_nmm)s to %(high_nmm)s is usual. Please measure L1 and L2 again, and check the weight in full kit."
    ),
    "ends_swapped": _(
        "What your weight does to the lengths fits the other end better, both ways: the front's numbers may stand at the rear, and the rear's at the front. Please compare L1 and L2 of both ends with your notes."
    ),
    "ends_equal": _(
        "L0, L1 and L2 are the same at front and rear. Two ends measured between other points never agree to the last digit: please measure the rear again, or put in its own numbers."
    ),
    "spring_misfits": _(
        "The spring rate told for the %(end)s should let the bike alone sag %(expected_mm)s, but it reads %(sag_mm)s. Please check the rate, and take the three lengths again."
    ),
    "springs_unequal": _(
        "The fork springs differ: left %(left_nmm)s, right %(right_nmm)s. Fork legs usually carry the same spring. Please look at both figures again, and at their units."
    ),
    "scales_disagree": _(
        "The two scales together say %(sum_kg)s, the manual says %(told_kg)s. They should agree: please read both scales again, with the other wheel on a board of the same height."
    ),
    "scales_load_disagree": _(
        "With the rider aboard the two scales show %(more_kg)s more than for the bike alone, but %(told_kg)s was told to be aboard. Please read the four scale readings and that weight again."
    ),
    "overload": _(
        "Bike, people and luggage together are %(total_kg)s; the maker permits %(limit_kg)s. Do not ride it like this: take "
        "load off first."
    ),
    "pressure_off": _(
        "The %(end)s tyre has %(pressure_kpa)s, the manual asks for %(manual_kpa)s. Please set it cold, then measure again."
    ),
    "tyre_old": _("The %(end)s tyre is %(age)s years old. Please have it replaced before the bike is tuned."),
    "other_unit": _(
        "%(quantity)s: %(taken)s would be unusual, %(others)s would not. Please write the unit you measured in behind the "
        "number."
    ),
    "too_exact": _(
        "Written finer than %(tool)s can show: %(readings)s. Was this read off, or worked out from another number? Please "
        "write what was read off, with its unit."
    ),
    "unusual_value": _(
        "%(quantity)s: %(value)s is unusual, most lie between %(low)s and %(high)s. Please look whether number and unit are right."
    ),
    "missing_core": _(
        "At the %(end)s, %(count)s of the three lengths L0, L1 and L2 are missing. Without them the sag is not known."
    ),
}
#: Where a passed check says what it found.
CHECK_NAMES: Mapping[str, Any] = {
    "order_topped_out_bike_alone": _("L0 is not shorter than L1"),
    "order_bike_alone_rider": _("L1 is longer than L2"),
    "sag_beyond_stroke": _("sag lies within the stroke"),
    "ring_beyond_stroke": _("ring lies within the stroke"),
    "ring_false": _("ring went at least as far as the rider's weight"),
    "deepest_hardest_below_normal": _("hardest event used most travel"),
    "clicks_beyond_range": _("setting lies within its range"),
    "legs_unequal": _("fork legs stand alike"),
    "legs_set_unlike": _("both fork legs are set alike"),
    "friction_high": _("friction is as usual"),
    "rate_implausible": _("implied spring rate is plausible"),
    "ends_equal": _("front and rear have their own lengths"),
    "ends_swapped": _("front and rear are not exchanged"),
    "spring_misfits": _("sag fits the spring told"),
    "springs_unequal": _("both fork springs are alike"),
    "scales_disagree": _("scales agree with the bike's weight"),
    "scales_load_disagree": _("scales show the weight aboard"),
    "overload": _("load is within the maker's limit"),
    "pressure_off": _("tyre pressure is as the manual asks"),
    "tyre_old": _("tyre is not too old"),
    "other_unit": _("number fits its unit"),
    "too_exact": _("no finer than the tool reads"),
    "unusual_value": _("values are as usual"),
    "missing_core": _("the three lengths are there"),
}
TOOLS: Mapping[str, Any] = {
    "rule": _("a rule"),
    "tape": _("a tape"),
    "caliper": _("a caliper"),
    "scale": _("a scale"),
    "ring": _("a ring"),
}
VERDICTS = {"passes": _("passes"), "second_look": _("second look"), "blocks": _("blocks")}

NUMBER_PROBLEMS: Mapping[str, Any] = {
    "empty": _("Please write a number in %(unit)s."),
    "not_a_number": _("“%(typed)s” cannot be read as a number. Write it like 34.5 or 1 3/8; the unit is %(unit)s."),
    "two_separators": _("“%(typed)s” can be read in two ways. Write it without a thousands separator, like 1234.5."),
    "thousand_or_decimal": _(
        "“%(typed)s” can be read as %(plain)s or as a number below it. Write %(plain)s without a separator if you mean "
        "that, or %(exact)s with one more nought if not."
    ),
    "improper_fraction": _(
        "The fraction in “%(typed)s” is a whole or more. Please look again and write it like 1 3/8; the unit is %(unit)s."
    ),
    "unknown_unit": _("The unit “%(written)s” is not known here. Write the number alone for %(unit)s."),
    "unlike_unit": _("“%(typed)s” has a unit of something else. What is wanted here is in %(unit)s."),
    "too_long": _("This is too long for a number. Write it like 34.5; the unit is %(unit)s."),
    "zero_denominator": _("“%(typed)s” divides by zero. Write the fraction like 1 3/8; the unit is %(unit)s."),
}
