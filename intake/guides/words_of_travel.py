"""Guides to the lengths and the travel: what is read between two points of the bike."""

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.guides.guide import CALIPER, FRAME_STAND, MASKING, PHONE, TAPE, Guide

TRAVEL: tuple[Guide, ...] = (
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
)
