"""The measuring guides as data: for each, the drawing, what to do, how to do it alone, and the cautions that belong to it."""

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.guides.guide import CALIPER, FRAME_STAND, PHONE, SCREWDRIVER, TAPE, Guide
from intake.guides.words_of_travel import TRAVEL

GUIDES: tuple[Guide, ...] = (
    Guide(
        id="weigh",
        title=_("Rider, passenger and luggage"),
        picture="weigh",
        step=Step.RIDER,
        measures=("rider_mass", "passenger_mass", "luggage_mass"),
        tools=(_("bathroom scale"), _("a hard, level floor")),
        lines=(
            _("Put on everything you ride in: helmet, boots, back protector, rucksack."),
            _("Stand on the scale with both feet, look ahead, wait until it rests. Write it down."),
            _("Luggage: step on again holding it, and take your own figure off. Or weigh each case by itself."),
            _("Passenger: the same, in full kit."),
        ),
        alone=_("Helmet on, you cannot see the display: let the phone film it from the floor."),
    ),
    Guide(
        id="scales",
        title=_("Two bathroom scales under the wheels"),
        picture="scales",
        step=Step.RIDER,
        measures=("scale_bike_alone", "scale_rider_aboard"),
        tools=(
            _("two bathroom scales, or one and a board of the same height"),
            _("strap or helper"),
            PHONE,
        ),
        lines=(
            _("Level ground. A scale under each wheel; with one scale, a board of its height under the other wheel."),
            _("Roll the bike on, upright, brakes off once it stands. Read both, bike alone."),
            _("Then sit on it as you ride, in full kit, feet up. Read both again."),
            _("With one scale, change scale and board over and do both readings again."),
            _("Front and rear together make the bike’s weight: if not, something leans on the wall or on you."),
        ),
        alone=_(
            "Slack straps from both bars to a beam catch the bike if it tips; a finger on the wall keeps your balance. Phones or mirrors on the floor show the displays."
        ),
        cautions=(
            _("Never let the bike balance on scales by itself: somebody or a strap holds it the whole time."),
            _("Keep to the greatest load printed on the scale."),
        ),
    ),
    Guide(
        id="clickers",
        title=_("Counting a clicker"),
        picture="clickers",
        step=Step.SETTINGS,
        measures=("rebound", "compression", "compression_low", "compression_high"),
        tools=(SCREWDRIVER, _("paper and pencil")),
        lines=(
            _("Look which it is: on a fork the leg and top or bottom; on a shock, the letters beside the screw."),
            _("Turn it in, clockwise, counting clicks, gently until it stops. That count is the setting as found."),
            _("Then count out, all the way to the other stop: that is the whole range."),
            _(
                "Go back in to the stop and out again by the count as found. The last click and the stop may be one place."
            ),
            _("No clicks to feel? Count turns, to the eighth. A few turn the other way: the manual tells."),
        ),
        alone=_(
            "Say each click aloud and let the phone record it; a strip of tape on the screwdriver shows the turns."
        ),
        cautions=(_("Never force an adjuster against its stop: the needle and its seat are soft."),),
    ),
    Guide(
        id="preload",
        title=_("Preload: turns, lines or steps"),
        picture="preload",
        step=Step.SETTINGS,
        measures=("preload",),
        tools=(_("the spanner or key that fits"), CALIPER, _("brush or rag for the threads")),
        lines=(
            _("Clean the threads. Write down how it stands before you turn anything."),
            _("Turns or clicks: count how far it is in from fully soft, then put it back."),
            _("Lines: count the whole lines that show above the nut, and judge the last one in tenths."),
            _("Steps: say which step it stands on; 1 is the softest."),
            _("A threaded collar on a shock: measure the thread that shows, or the length of the spring, in mm."),
            _("Fork: both legs."),
        ),
        alone=_("Mark the nut and the cap with a pen in one line: every time they meet is one turn."),
        cautions=(_("Never force a collar: slack the lock ring first and use the spanner that fits."),),
    ),
    Guide(
        id="air-pressure",
        title=_("Air springs: pressure"),
        picture="air_pressure",
        step=Step.SETTINGS,
        measures=("air_pressure", "air_pressure_balance"),
        tools=(_("fork pump with a gauge"), FRAME_STAND),
        lines=(
            _("Cold, not ridden for an hour, and the wheel off the ground: loaded, the spring shows more."),
            _("Screw the pump on by hand until the gauge jumps, and no further. Read it at once."),
            _("Two chambers? Read both, the main one first, and say which is which."),
            _("Some air goes into the pump’s hose: pump back up to what you read, then unscrew it briskly."),
        ),
        alone=_("Nothing here needs a second pair of hands."),
        cautions=(_("A pump worked by hand only, never a compressor. Never loosen a cap that holds pressure."),),
    ),
    Guide(
        id="fork-position",
        title=_("Fork position in the clamps"),
        picture="fork_position",
        step=Step.SETTINGS,
        measures=("fork_position",),
        end="front",
        tools=(CALIPER, _("rag")),
        lines=(
            _("Bars straight ahead. Wipe the upper clamp and the tops of the tubes."),
            _(
                "From the clamp’s upper face to the flat top edge of the tube, beside the cap. Caps differ: they do not count."
            ),
            _("The tube’s edge lies below the face? Write it with a minus."),
            _("Measure each leg at the same place, twice. Legs that differ by more than half a millimetre: say so."),
        ),
        alone=_("The depth bar of a caliper stands by itself on the clamp. Photograph it straight from the side."),
        cautions=(_("Only measure. Loosen nothing."),),
    ),
    Guide(
        id="ride-height",
        title=_("Rear ride height adjuster"),
        picture="ride_height",
        step=Step.SETTINGS,
        measures=("ride_height",),
        end="rear",
        tools=(CALIPER, _("torch")),
        lines=(
            _("Find it: a threaded rod or shims at the shock’s upper end, or an eccentric at the linkage."),
            _(
                "Measure the thread that shows between the lock nut and the part it screws into, or the shims together."
            ),
            _("Photograph it with the rule beside it, so that the same two faces can be found again."),
        ),
        alone=_("Hold the phone where your head will not go and film with its lamp on."),
        cautions=(_("Only measure. Loosen nothing: the thread carries the bike."),),
    ),
    Guide(
        id="modes",
        title=_("Electronic suspension: modes and levels"),
        picture="display",
        step=Step.SETTINGS,
        measures=("mode",),
        tools=(PHONE,),
        lines=(
            _("Ignition on, engine as the manual says, bike upright. Wait until levelling has finished."),
            _("Write down the mode, and the level or load setting for front and rear, as the display says it."),
            _("Photograph every page of the suspension menu."),
        ),
        alone=_("Nothing here needs a second pair of hands."),
        cautions=(_("A warning lamp that stays on comes first: no setting makes up for it."),),
    ),
    *TRAVEL,
    Guide(
        id="tyre-pressure",
        title=_("Tyre pressure, cold"),
        picture="pressure",
        step=Step.BIKE,
        measures=("tyre_pressure",),
        tools=(_("pressure gauge"),),
        lines=(
            _("Before you ride: the tyre has stood for three hours, out of the sun."),
            _("Press the gauge on straight, read, and press it on once more: the two should agree."),
            _("Write down what you read, not what it should be. Then set it to the manual’s figure."),
        ),
        alone=_("Turn the wheel until the valve is easy to reach. A gauge that holds its reading helps."),
    ),
    Guide(
        id="tyre-date",
        title=_("Tyre date code"),
        picture="date_code",
        step=Step.BIKE,
        measures=("tyre_age",),
        tools=(_("torch"), _("rag")),
        lines=(
            _(
                "Find the letters DOT on the sidewall; the last four digits stand in an oval, on one side of the tyre only."
            ),
            _("The first two are the week, the last two the year: 2319 is week 23 of 2019."),
            _("Take that from today’s date: the age in years, to the half."),
            _("Only three digits? Then it is from before 2000: do not ride on it."),
        ),
        alone=_("Roll the bike forward half a turn at a time. Photograph the code with the lamp from the side."),
    ),
    Guide(
        id="papers",
        title=_("Figures from the manual"),
        picture="papers",
        step=Step.BIKE,
        measures=("bike_mass", "gross_mass_limit", "tyre_pressure_manual", "spring_rate", "leverage", "leverage_end"),
        tools=(_("owner’s manual, registration papers"), _("torch")),
        lines=(
            _("Weight ready to ride, with fuel and fluids: the manual’s technical data."),
            _(
                "Highest permitted total and tyre pressures: the maker’s plate on frame or swingarm, the papers, the manual."
            ),
            _("Spring rate: stamped or painted on the spring, or on its bill. Copy the unit too."),
            _("Leverage: only if you have the maker’s figure. What you do not know, leave empty."),
        ),
        alone=_("Photograph plate and stamp, and read them off the picture."),
    ),
    Guide(
        id="geometry",
        title=_("Wheelbase, radius, swingarm, rake and trail"),
        picture="geometry",
        step=Step.BIKE,
        measures=("rake", "ground_trail", "wheelbase", "fork_offset", "wheel_radius", "roll_out", "swingarm_length"),
        tools=(TAPE, _("chalk"), _("owner’s manual")),
        lines=(
            _("Rake, trail and fork offset: from the manual only. They are hard to measure well."),
            _("Wheelbase: wheels in line, bike upright; from axle to axle along the ground."),
            _("Radius: chalk the tyre where it stands, roll one whole turn, divide the way rolled by 6.28."),
            _("Swingarm: from the middle of its pivot to the middle of the axle."),
        ),
        alone=_("Plumb down from each axle with a nut on a thread and mark the floor; measure between the marks."),
    ),
)
