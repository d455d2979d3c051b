"""The measuring guides as data: for each, the drawing, what to do, how to do it alone, and the cautions that belong to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import Step


@dataclass(frozen=True, kw_only=True)
class Guide:
    """One thing to measure.

    measures: the quantities and adjuster kinds it is for; end: "" where one guide serves both ends; approach: only
    for readings taken twice. picture: a drawing of ``intake.guides.pictures``.
    """

    id: str
    title: Any
    picture: str
    step: Step
    lines: Sequence[Any]
    alone: Any
    tools: Sequence[Any]
    cautions: Sequence[Any] = ()
    measures: tuple[str, ...] = ()
    end: str = ""
    repeated: bool = False


TAPE = _("tape measure")
PHONE = _("phone")
FRAME_STAND = _("stand or jack for frame or engine")
MASKING = _("adhesive tape and a pen")
CALIPER = _("caliper or steel rule")
SCREWDRIVER = _("screwdriver that fits the slot")

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
    Guide(
        id="topped-out-front",
        title=_("L0 front, topped out"),
        picture="topped_out_front",
        step=Step.SAG,
        measures=("length_topped_out",),
        end="front",
        tools=(FRAME_STAND, TAPE, _("strap")),
        lines=(
            _("Hard, level ground, a gear in. Hold the rear down or chock it."),
            _("Lift the front by the frame, the engine or under the headstock until the wheel hangs free."),
            _(
                "Measure the bare, polished tube: from the dust seal to the part it ends in. That is the axle clamp on an upside-down fork, the lower fork clamp on one the usual way up."
            ),
            _("Photograph the place: L1 and L2 are taken between the same two points. Measure twice."),
        ),
        alone=_("Strap the tail down, so that the wheel stays up by itself; then both hands are free for the tape."),
        cautions=(
            _("Never lift by the fork feet: it presses the fork together, and the length is wrong."),
            _("A strap from the frame to a beam, if there is one: a bike on a stand can tip."),
        ),
    ),
    Guide(
        id="topped-out-rear",
        title=_("L0 rear, topped out"),
        picture="topped_out_rear",
        step=Step.SAG,
        measures=("length_topped_out",),
        end="rear",
        tools=(FRAME_STAND, TAPE, _("strap for the front brake"), MASKING),
        lines=(
            _("Stick tape on the tail straight above the axle and draw a cross on it."),
            _("Hold the front brake with a strap. Lift by frame, engine or centre stand until the wheel hangs free."),
            _("Measure from the middle of the axle straight up to the cross. Twice."),
            _("Leave the cross there: L1 and L2 use it too."),
        ),
        alone=_("Hang the tape from the cross with adhesive tape and read it at the axle."),
        cautions=(
            _("A paddock stand under the swingarm does not do: it carries the wheel, and the spring stays pressed."),
        ),
    ),
    Guide(
        id="bike-alone",
        title=_("L1, bike alone"),
        picture="bike_alone",
        step=Step.SAG,
        measures=("length_bike_alone",),
        tools=(TAPE, _("strap or helper"), PHONE),
        lines=(
            _("On its wheels on level ground, brakes off, nobody on it, fuel as you ride. Never on the side-stand."),
            _("Press the front down once and let it come up by itself; the same at the rear. Stand it upright."),
            _("Front: the bare tube, between the same two points as L0."),
            _("Rear: from the axle straight up to the cross."),
        ),
        alone=_(
            "Stand the bike beside a wall, a slack strap from the bar to a beam, a hand on the seat. Stick the tape on, film it, read the film."
        ),
        cautions=(_("The strap must be slack when you read: a tight one carries the bike."),),
    ),
    Guide(
        id="rider-aboard",
        title=_("L2, rider aboard"),
        picture="rider_aboard",
        step=Step.SAG,
        measures=("length_rider_aboard",),
        tools=(TAPE, _("cable tie"), PHONE, _("mirror"), _("wall or helper")),
        lines=(
            _("Full kit, and the load you said under “Rider and load”. Brakes off, feet on the pegs."),
            _("Sit as you ride. Bounce once, let it settle, then keep still."),
            _("Front: the bare tube, between the same two points. Rear: axle to cross."),
            _("Get off, get on, do it again: two readings that agree are worth more than one."),
        ),
        alone=_(
            "Beside a wall, an elbow against it and no weight on it. Front: push a cable tie to the seal, sit on gently without bouncing, get off: the tie keeps the place. Rear: a phone on books films the tape; a mirror on the floor shows you the fork."
        ),
        cautions=(_("Engine off, side-stand down, the wall on the other side: a slip then ends on one of the two."),),
    ),
    Guide(
        id="friction",
        title=_("Each length twice, for friction"),
        picture="friction",
        step=Step.SAG,
        measures=("length_bike_alone", "length_rider_aboard"),
        repeated=True,
        tools=(TAPE, PHONE, _("helper, if there is one")),
        lines=(
            _("Press that end down a hand’s breadth, let it rise slowly by itself, take your hands off. Measure."),
            _("Lift that end a hand’s breadth, let it settle slowly by itself, take your hands off. Measure."),
            _("The same way for bike alone and for rider aboard. Do not push it to where you expect it."),
            _(
                "The gap between the two is friction; the middle is the sag. A wide gap is worth knowing, not a mistake."
            ),
        ),
        alone=_(
            "Rider aboard: film the tape. Push down with your weight and rise slowly back; then pull up at a beam or the wall and let yourself down slowly."
        ),
        cautions=(_("Lift with straight back, by grab rail or bars, never by plastic."),),
    ),
    Guide(
        id="ring",
        title=_("Ring or cable tie: deepest travel, front"),
        picture="ring",
        step=Step.TRAVEL,
        measures=("deepest_normal", "deepest_hardest", "ring"),
        end="front",
        tools=(_("thin cable tie"), TAPE, FRAME_STAND),
        lines=(
            _(
                "A snug cable tie on the bare tube, its lock where nothing touches it. It must hold by itself and slide by hand."
            ),
            _(
                "Push it against the seal just before the ride; not before loading on a trailer, where straps press the fork."
            ),
            _("Ride. Note what was hardest: a stop, a bump, a landing."),
            _("Wheel free, as for L0: measure from the seal to the tie. That is the deepest it went."),
            _("No tie? The edge of the dust film on the tube tells roughly; choose “Nothing; guessed”."),
        ),
        alone=_("Nothing here needs a second pair of hands. Photograph the tie with the tape beside it."),
        cautions=(_("Cut the tie’s tail short and smooth, clear of seal, brake hose and tyre."),),
    ),
    Guide(
        id="ring-rear",
        title=_("Ring or cable tie: deepest travel, rear"),
        picture="ring_rear",
        step=Step.TRAVEL,
        measures=("deepest_normal", "deepest_hardest", "ring"),
        end="rear",
        tools=(_("thin cable tie"), CALIPER, _("torch")),
        lines=(
            _(
                "A cable tie on the shock’s shaft, or a ring if there is one, pushed against the body before the ride."
            ),
            _(
                "After the ride, wheel free: measure from the body’s end to the tie. Say that it was read at the shaft."
            ),
            _("A soft bump stop in the way? Measure to its edge, and say so."),
            _("Out of reach? Leave it empty: the front tells enough."),
        ),
        alone=_("Hold the phone in there instead of your head: film the shaft with the rule beside it."),
        cautions=(_("Engine off. Never a hand between wheel, chain and swingarm while the wheel can turn."),),
    ),
    Guide(
        id="stroke",
        title=_("Full stroke: what the ring can show"),
        picture="stroke",
        step=Step.TRAVEL,
        measures=("stroke",),
        tools=(TAPE, _("the owner’s or workshop manual")),
        lines=(
            _("The manual’s wheel travel is enough for most: say that it came from there."),
            _(
                "Wheel free: measure the bare tube that the ring can slide on, from the seal to where something stops the ring."
            ),
            _("Shorter than the manual’s travel? Then that is the stroke the ring can show: give it, and say so."),
            _(
                "Exactly: the tube topped out, less the tube pushed home with the spring out. A workshop does that with a service."
            ),
        ),
        alone=_("Nothing here needs a second pair of hands."),
        cautions=(_("Do not take a fork apart for this number."),),
    ),
    Guide(
        id="settle",
        title=_("The settle test, and how to film it"),
        picture="settle",
        step=Step.TRAVEL,
        measures=("settle", "settle_first", "settle_second", "settle_period"),
        tools=(PHONE, _("books or a box"), _("rule or tape, stood upright")),
        lines=(
            _(
                "Phone still on a stack of books, side on, at axle height, about 2 m (7 ft) away. A rule upright in the picture."
            ),
            _("Bike upright. Front: hold the front brake and push the bars. Rear: push the seat, brakes off."),
            _("Push down hard once and let go at the bottom. Keep your hands clear; film until it rests."),
            _("Right: it comes up and settles, without bouncing on, in about a second."),
            _("Slow motion, if the phone has it. Send the film as it is."),
        ),
        alone=_(
            "Start the film, walk over, push three times with a pause between. Astride the bike or with a slack strap to a beam."
        ),
        cautions=(_("Somebody or something must hold the bike: pushing it off its stand drops it."),),
    ),
    Guide(
        id="bodywork-gap",
        title=_("Gap between tyre and bodywork"),
        picture="bodywork_gap",
        step=Step.TRAVEL,
        measures=("bodywork_gap",),
        tools=(TAPE, _("modelling clay")),
        lines=(
            _("Wheel free, fork topped out. Turn the wheel and find the tyre’s highest place."),
            _("Measure along the fork, from the tyre to the first thing above it: mudguard, clamp or fairing."),
            _("A mudguard that moves with the wheel does not count; measure from its upper side then."),
            _("The radiator lies off that line: a ball of clay on it, a ride, and the clay tells what is left."),
        ),
        alone=_("A strip of card cut to fit the gap is quicker to measure than the gap."),
        cautions=(_("Ignition off, wheel still, hands clear of the spokes."),),
    ),
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
