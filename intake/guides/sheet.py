"""The sheet to fill in by pencil: everything the form asks to be measured, in the order that moves the bike least.

One stand position at a time. What is done as the bike stands in the garage comes first, cold, with both hands free;
then each wheel off the ground once; then upright on its wheels; then with the rider aboard, so that the kit is put
on once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.guides import BY_ID, Guide

#: What may be circled in a box, by what is written there.
UNITS = {
    "length": "mm · in",
    "pressure": "bar · psi · kPa",
    "mass": "kg · lb",
    "count": _("clicks · turns"),
    "preload": _("turns · lines · steps"),
    "code": "",
}


@dataclass(frozen=True)
class Row:
    """A line of the sheet: its words, and per column what is written there ("" where there is no box).

    measures: the field names of the form it serves, as ``intake.guides.guide_of_name`` reads them.
    """

    label: Any
    boxes: tuple[str, ...]
    measures: tuple[str, ...] = ()

    @property
    def cells(self) -> list[tuple[bool, Any]]:
        """Return per column whether there is a box, and the units to circle in it."""
        return [(bool(kind), UNITS.get(kind, "")) for kind in self.boxes]


@dataclass(frozen=True)
class Table:
    caption: Any
    columns: Sequence[Any]
    rows: Sequence[Row]


@dataclass(frozen=True)
class Part:
    """What is done while the bike stands in one way."""

    title: Any
    stands: Any
    picture: str
    tables: Sequence[Table]
    guides: Sequence[str]
    cautions: Sequence[Any] = ()

    @property
    def how(self) -> list[Guide]:
        return [BY_ID[name] for name in self.guides]


ENDS = (_("Front"), _("Rear"))
LEGS = (_("Left leg"), _("Right leg"), _("Whole range"))


def _both(label: Any, kind: str, *quantities: str) -> Row:
    names = tuple(f"{quantity}.{end}" for quantity in quantities for end in ("front", "rear"))
    return Row(label, (kind, kind), names)


def _twice(label: Any, quantity: str, approach: str) -> Row:
    return Row(label, ("length", "length"), tuple(f"{quantity}.{end}.{approach}" for end in ("front", "rear")))


def _knob(label: Any, kind: str, knob: str) -> Row:
    return Row(label, (kind, kind, kind), tuple(f"front.{knob}.{leg}.found" for leg in ("left", "right")))


PARTS: Sequence[Part] = (
    Part(
        _("As it stands, cold"),
        _("On the side-stand or a paddock stand, before any ride."),
        "",
        (
            Table(
                "",
                (_("Front, cold pressure"), _("Front, date code"), _("Rear, cold pressure"), _("Rear, date code")),
                (
                    Row(
                        _("Tyres"),
                        ("pressure", "code", "pressure", "code"),
                        ("tyre_pressure.front", "tyre_age.front", "tyre_pressure.rear", "tyre_age.rear"),
                    ),
                ),
            ),
            Table(
                _("Fork: as found, counted out from fully closed; preload in from fully soft"),
                LEGS,
                (
                    _knob(_("Preload"), "preload", "preload"),
                    _knob(_("Rebound"), "count", "rebound"),
                    _knob(_("Compression"), "count", "compression"),
                    Row(
                        _("Fork position, flat top edge"),
                        ("length", "length", ""),
                        ("front.fork_position.left.found", "front.fork_position.right.found"),
                    ),
                ),
            ),
            Table(
                _("Shock: as found"),
                (_("As found"), _("Whole range")),
                (
                    Row(_("Preload"), ("preload", "preload"), ("rear.preload.found",)),
                    Row(_("Rebound"), ("count", "count"), ("rear.rebound.found",)),
                    Row(_("Compression, low or only"), ("count", "count"), ("rear.compression_low.found",)),
                    Row(_("Compression, high speed"), ("count", "count"), ("rear.compression_high.found",)),
                    Row(_("Ride height adjuster"), ("length", ""), ("rear.ride_height.found",)),
                ),
            ),
        ),
        ("tyre-pressure", "tyre-date", "clickers", "preload", "fork-position", "ride-height"),
        (_("Gently to the stop, never forced; then back to the count as found."),),
    ),
    Part(
        _("Front wheel off the ground"),
        _("Stand under frame or engine, never under the fork feet; rear held down."),
        "topped_out_front",
        (
            Table(
                "",
                (_("Front"),),
                (
                    Row(_("L0: bare tube, topped out"), ("length",), ("length_topped_out.front",)),
                    Row(
                        _("Seal to ring or tie, last ride"),
                        ("length",),
                        ("deepest_normal.front", "deepest_hardest.front"),
                    ),
                    Row(_("Stroke the ring can show"), ("length",), ("stroke.front",)),
                ),
            ),
        ),
        ("topped-out-front", "ring", "stroke"),
    ),
    Part(
        _("Rear wheel off the ground"),
        _("Stand under frame or engine, or centre stand; front brake held. Not by the swingarm."),
        "topped_out_rear",
        (
            Table(
                "",
                (_("Rear"),),
                (
                    Row(_("L0: axle up to the cross on the tail"), ("length",), ("length_topped_out.rear",)),
                    Row(
                        _("Body to ring or tie on the shaft"),
                        ("length",),
                        ("deepest_normal.rear", "deepest_hardest.rear"),
                    ),
                    Row(_("Stroke the ring can show"), ("length",), ("stroke.rear",)),
                ),
            ),
        ),
        ("topped-out-rear", "ring-rear", "stroke"),
    ),
    Part(
        _("On its wheels, bike alone"),
        _("Upright, level, brakes off, nobody on it; the strap slack."),
        "bike_alone",
        (
            Table(
                "",
                ENDS,
                (
                    _both(_("L1"), "length", "length_bike_alone"),
                    _twice(_("L1, pressed down and let rise"), "length_bike_alone", "from_below"),
                    _twice(_("L1, lifted and let settle"), "length_bike_alone", "from_above"),
                    _both(_("On two bathroom scales, if you have them"), "mass", "scale_bike_alone"),
                ),
            ),
        ),
        ("bike-alone", "friction", "scales"),
    ),
    Part(
        _("Rider aboard, in full kit"),
        _("Riding posture, feet up, brakes off; the load as it is to be set up for."),
        "rider_aboard",
        (
            Table(
                "",
                ENDS,
                (
                    _both(_("L2"), "length", "length_rider_aboard"),
                    _twice(_("L2, pressed down and let rise"), "length_rider_aboard", "from_below"),
                    _twice(_("L2, lifted and let settle"), "length_rider_aboard", "from_above"),
                    _both(_("On two bathroom scales, if you have them"), "mass", "scale_rider_aboard"),
                ),
            ),
            Table(
                _("Weights"),
                (_("Rider, full kit"), _("Passenger"), _("Luggage")),
                (Row(_("On a scale"), ("mass", "mass", "mass"), ("rider_mass", "passenger_mass", "luggage_mass")),),
            ),
        ),
        ("rider-aboard", "friction", "scales", "weigh"),
    ),
    Part(
        _("Before and after the next ride"),
        _("Push each ring or tie against its seal. Ride. Read them with the wheel free."),
        "",
        (
            Table(
                "",
                ENDS,
                (
                    _both(_("Deepest, normal hard ride"), "length", "deepest_normal"),
                    _both(_("Deepest, hardest event"), "length", "deepest_hardest"),
                ),
            ),
        ),
        ("ring", "ring-rear", "settle"),
    ),
)


def served() -> set[str]:
    """Return the names of the form's fields that the sheet has a box for."""
    return {name for part in PARTS for table in part.tables for row in table.rows for name in row.measures}
