"""What can be turned on the bike: ticks by leg and place, so that the settings step asks for just that.

What is ticked is an adjuster of the bike with its place; without any tick every adjuster such a bike may have is asked
for. An adjuster that somebody gave a setting for stays when its tick goes, and is asked for until it is emptied.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from intake.choices import RearArchitecture as Rear
from intake.models import Client
from intake.services import readings
from intake.steps import asked
from intake.steps.asked import WITH_FORK, WITH_FORK_SPRINGS
from intake.steps.base import At
from intake.steps.fields import Field, Group, Tick

CAP, BOTTOM, BODY, REMOTE, DISPLAY = "cap", "bottom", "body", "remote", "display"
#: Where an adjuster sits, as its field says it, by leg and place.
WHERE: Mapping[tuple[str, str], Any] = {
    ("left", CAP): _("left leg, at the cap"),
    ("left", BOTTOM): _("left leg, at the bottom"),
    ("left", ""): _("left leg"),
    ("right", CAP): _("right leg, at the cap"),
    ("right", BOTTOM): _("right leg, at the bottom"),
    ("right", ""): _("right leg"),
    ("", BODY): _("on the shock"),
    ("", REMOTE): _("by a knob on a hose"),
}


def where(leg: str, place: str) -> Any:
    """Return where an adjuster sits, in words; "" where nothing is known of it."""
    return WHERE.get((leg, place)) or WHERE.get((leg, ""), "")


@dataclass(frozen=True)
class Spot:
    """An adjuster that may be ticked. key: as the engine names it; unit: what such a one is counted in as a rule."""

    key: str
    place: str
    label: Any
    unit: str
    only_if: tuple[str, frozenset[str]] | None = None

    @property
    def name(self) -> str:
        return f"turns.{self.place}.{self.key}"


def _legs(kind: str, place: str, labels: tuple[Any, Any], unit: str, built: frozenset[Any]) -> list[Spot]:
    only_if = ("front", frozenset(str(one) for one in built))
    return [
        Spot(f"front.{kind}.{leg}", place, label, unit, only_if)
        for leg, label in zip(("left", "right"), labels, strict=True)
    ]


ONE_SHOCK = ("rear", frozenset({Rear.LINKAGE.value, Rear.DIRECT.value, Rear.CANTILEVER.value}))
FORK: tuple[Spot, ...] = (
    *_legs("preload", CAP, (_("Preload, left cap"), _("Preload, right cap")), "turn", WITH_FORK_SPRINGS),
    *_legs("rebound", CAP, (_("Rebound, left cap"), _("Rebound, right cap")), "click", WITH_FORK),
    *_legs("compression", CAP, (_("Compression, left cap"), _("Compression, right cap")), "click", WITH_FORK),
    *_legs("rebound", BOTTOM, (_("Rebound, bottom left"), _("Rebound, bottom right")), "click", WITH_FORK),
    *_legs(
        "compression", BOTTOM, (_("Compression, bottom left"), _("Compression, bottom right")), "click", WITH_FORK
    ),
)
SHOCK: tuple[Spot, ...] = (
    Spot("rear.preload", BODY, _("Preload: collar or ramp on the shock"), "turn"),
    Spot("rear.preload", REMOTE, _("Preload: knob on a hose"), "click"),
    Spot("rear.rebound", BODY, _("Rebound, on the shock"), "click"),
    Spot("rear.compression_low", BODY, _("Compression, on the shock or its reservoir"), "click"),
    Spot("rear.compression_high", BODY, _("A second compression, for high speed"), "click"),
    Spot("rear.ride_height", BODY, _("Ride height, at the shock's end"), "mm", ONE_SHOCK),
)
MODES: tuple[Spot, ...] = (
    Spot("front.mode", DISPLAY, _("Front: modes or levels, by button or display"), "mode"),
    Spot("rear.mode", DISPLAY, _("Rear: modes or levels, by button or display"), "mode"),
)
SPOTS = (*FORK, *SHOCK, *MODES)


class OncePerLeg(forms.BooleanField):
    """A tick for an adjuster that may sit in one of two places, and not in both."""

    def __init__(self, *, twice: bool, **options: Any) -> None:
        super().__init__(**options)
        self.twice = twice

    def clean(self, value: Any) -> bool:
        ticked = bool(super().clean(value))
        if ticked and self.twice:
            raise ValidationError(_("This is ticked in two places. Please tick it where it sits on your bike."))
        return ticked


@dataclass(frozen=True, kw_only=True)
class SpotTick(Tick):
    """The tick of one adjuster in one place."""

    spot: Spot

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        earlier = SPOTS[: SPOTS.index(self.spot)]
        twice = any(one.key == self.spot.key and values.get(one.name) for one in earlier)
        return OncePerLeg(twice=twice, **self.options())


def groups() -> list[Group]:
    """Return the question what can be turned, of fork, shock and display."""
    return [
        Group(
            _("What can be turned on the fork?"),
            _ticks(FORK),
            how=[
                _("Look at both caps and at the bottom of both legs. Tick what is there, and nothing else."),
                _("Your settings are then asked for just these. Not sure? Tick nothing here and go on."),
            ],
            layout="row",
        ),
        Group(_("What can be turned at the rear?"), _ticks(SHOCK), layout="row"),
        Group(_("Electronics"), _ticks(MODES), layout="row", folded=True),
    ]


def _ticks(spots: Sequence[Spot]) -> list[Field]:
    return [SpotTick(name=spot.name, label=spot.label, only_if=spot.only_if, spot=spot) for spot in spots]


def initial(at: At) -> dict[str, str]:
    """Return the ticks of the adjusters whose place is known."""
    known = asked.told(at)
    return {spot.name: "on" for spot in SPOTS if known.place(spot.key) == spot.place}


def store(at: At, cleaned: Mapping[str, Any]) -> None:
    """Write what can be turned: ticked, an adjuster has its place; not ticked, it has none, and is no adjuster of the
    bike unless something is on record of it."""
    before = {row.key: row for row in at.request.bike.adjusters.all()}
    ticked: dict[str, Spot] = {}
    for spot in SPOTS:
        if cleaned.get(spot.name):
            ticked.setdefault(spot.key, spot)
    for key in dict.fromkeys(spot.key for spot in SPOTS):
        row, there = before.get(key), ticked.get(key)
        place = there.place if there else ""
        offered = {"", *(one.place for one in SPOTS if one.key == key)}
        # A place that no tick stands for is not taken away by one that is missing.
        if row is not None and row.place != place and (there or row.place in offered):
            readings.move_adjuster(row, place)
        if row is None and there is not None:
            readings.put_adjuster(
                at.request.bike, key, unit=there.unit, place=place,
                counted_from="open" if ".preload" in key else "closed",
            )  # fmt: skip
    asked.forget(at)
