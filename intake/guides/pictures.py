"""Every drawing by name: what it is called, what it shows for those who cannot see it, and the function that draws it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from intake.guides import adjusters, details, whole
from intake.guides.svg import Pen


@dataclass(frozen=True)
class Picture:
    """A drawing before it is drawn."""

    title: Any
    described: Any
    draw: Callable[[], Pen]


PICTURES: Mapping[str, Picture] = {
    "side": Picture(
        _("A motorcycle from the side"),
        _(
            "A line drawing with the two lengths a rider measures: the bare tube of the fork, and from the rear axle straight up to a mark on the tail."
        ),
        whole.side,
    ),
    "sag_front": Picture(
        _("Three lengths at the fork"),
        _(
            "Three fork legs beside each other: topped out the bare tube is longest, L0; bike alone it is shorter, L1; rider aboard the shortest, L2. Each is taken between the dust seal and the axle clamp."
        ),
        details.sag_front,
    ),
    "sag_rear": Picture(
        _("The length at the rear"),
        _("Rear wheel and tail from the side: the length is taken from the axle straight up to a mark on the tail."),
        details.sag_rear,
    ),
    "topped_out_front": Picture(
        _("Front topped out"),
        _(
            "The motorcycle stands on a trestle under the engine, the front wheel free of the ground. Below, the fork tube by itself: on an upside-down fork L0 runs from the seal down to the axle clamp, on one the usual way up from the seal up to the lower fork clamp."
        ),
        whole.topped_out_front,
    ),
    "topped_out_rear": Picture(
        _("Rear topped out"),
        _(
            "The motorcycle stands on a trestle under frame or engine, the rear wheel free of the ground, the front brake held by a strap. L0 runs from the rear axle straight up to the mark on the tail."
        ),
        whole.topped_out_rear,
    ),
    "bike_alone": Picture(
        _("Bike alone"),
        _(
            "The motorcycle stands upright on both wheels, a slack strap from the bar to a beam. L1 is taken at the fork tube and from the rear axle up to the mark on the tail."
        ),
        whole.bike_alone,
    ),
    "rider_aboard": Picture(
        _("Rider aboard"),
        _(
            "A rider in full kit sits on the motorcycle with both feet on the pegs. A phone on a stack of books films the rear from behind, a mirror on the floor ahead of the front wheel shows the fork. L2 is taken at the same places as before."
        ),
        whole.rider_aboard,
    ),
    "friction": Picture(
        _("Two readings and the friction between them"),
        _(
            "Two fork legs at rest. Pressed down and let rise, the leg stays a little low; lifted and let settle, it stays a little high. The gap between the two is friction, the middle is the reading."
        ),
        whole.friction,
    ),
    "ring": Picture(
        _("The tie on the fork tube"),
        _(
            "A fork leg before the ride with the cable tie pushed against the seal, and after the ride, wheel free, with the tie away from the seal. From the seal to the tie is the deepest travel; what lies beyond is left over."
        ),
        details.ring,
    ),
    "ring_rear": Picture(
        _("The tie on the shock shaft"),
        _(
            "A shock with its spring. A cable tie sits on the shaft between the coils; from the end of the body to the tie is the deepest the shaft went in."
        ),
        details.ring_rear,
    ),
    "stroke": Picture(
        _("The stroke of a fork"),
        _(
            "A fork leg with the wheel free beside the same leg pushed home with its spring out. The seal has moved by the stroke."
        ),
        details.stroke,
    ),
    "clickers": Picture(
        _("Counting a clicker"),
        _(
            "The adjuster from above: clockwise is in, to the stop; anticlockwise is out, counting. Below, the count in a row from closed to open: as found nine out, the whole range twenty-two."
        ),
        adjusters.clickers,
    ),
    "turning": Picture(
        _("Turn in, turn out"),
        _("The head of an adjuster seen from above, twice: turned in is clockwise, turned out is anticlockwise."),
        adjusters.turning,
    ),
    "preload": Picture(
        _("Three sorts of preload adjuster"),
        _(
            "A nut on the fork cap that is counted in turns from fully soft; a cap with four lines showing above its nut; a stepped collar on a shock, standing on step three."
        ),
        adjusters.preload,
    ),
    "fork_position": Picture(
        _("Fork position in the clamps"),
        _(
            "The upper clamp with both fork legs: each leg is measured from the clamp’s upper face to the flat top edge of the tube. The cap on top does not count."
        ),
        adjusters.fork_position,
    ),
    "ride_height": Picture(
        _("Rear ride height adjuster"),
        _("The upper end of a shock with a threaded adjuster below the frame: the thread that shows is measured."),
        adjusters.ride_height,
    ),
    "settle": Picture(
        _("Filming the settle test"),
        _(
            "A phone’s picture of the motorcycle from the side, with a rule standing beside it and an arrow pushing the bars down. Below, where the phone stands: still on a stack of books, about two metres to the side, at the height of the rule."
        ),
        whole.settle,
    ),
    "scales": Picture(
        _("Two bathroom scales"),
        _("The motorcycle stands with each wheel on a bathroom scale, both at the same height."),
        whole.scales,
    ),
    "weigh": Picture(
        _("Weighing rider and luggage"),
        _("A rider in full kit stands on a bathroom scale, then once more holding the luggage."),
        details.weigh,
    ),
    "pressure": Picture(
        _("Tyre pressure, cold"),
        _("A wheel with a gauge on its valve."),
        details.pressure,
    ),
    "air_pressure": Picture(
        _("Air pressure in a fork"),
        _("A fork leg, topped out with the wheel free, and a fork pump with its gauge on the valve of the cap."),
        details.air_pressure,
    ),
    "date_code": Picture(
        _("The tyre’s date code"),
        _(
            "A piece of a tyre’s sidewall with an oval stamp behind the letters DOT: the digits 2319 mean week 23 of 2019."
        ),
        details.date_code,
    ),
    "bodywork_gap": Picture(
        _("Gap between tyre and bodywork"),
        _(
            "The front wheel under a mudguard that is fixed to the fork clamp: the gap is taken along the fork from the tyre to the part above it. The radiator stands behind, off that line."
        ),
        details.bodywork_gap,
    ),
    "papers": Picture(
        _("Where a maker’s figures stand"),
        _("An open manual, the maker’s plate on the frame, and a spring with its rate stamped on it."),
        details.papers,
    ),
    "geometry": Picture(
        _("The lengths of the chassis"),
        _(
            "The motorcycle from the side with wheelbase from axle to axle, wheel radius from axle to ground, swingarm from pivot to axle, and rake and trail at the steering axis."
        ),
        whole.geometry,
    ),
    "display": Picture(
        _("Modes on the display"),
        _("A dash display with a level for the front, one for the rear, and the name of the mode."),
        adjusters.display,
    ),
}


def picture(name: str, uid: str = "") -> SafeString:
    """Return a drawing as SVG in the language in use. ``uid`` keeps ids apart where it stands twice on a page.

    Raises KeyError for a name that is none.
    """
    return _drawn(name, uid or f"d-{name}", get_language() or "")


@lru_cache(maxsize=256)
def _drawn(name: str, uid: str, language: str) -> SafeString:
    it = PICTURES[name]
    return it.draw().svg(uid, it.title, it.described)
