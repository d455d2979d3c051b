"""The twelve numbers of the short way, on one page.

Which twelve: those that decide the first changes. ``tests/judgement/test_twelve.py`` judges bikes drawn by chance, in
every discipline, with everything told and with less, and holds what is said here:

* L0 and L2 at both ends: without any one of them nothing is advised (gate "trust"). L1 tells a wrong spring from
  wrong preload. The rider's mass is what all of it is held against, and no request is sent without it.
* The fork's stroke and the deepest mark: the reserve, and the share of travel that half of the disciplines aim for.
* Both tyre pressures, cold: nothing that is felt is answered before they are as the maker asks (gate "damping").
* The twelfth depends on what was said before. Where the sag at the rear is aimed for as a share of its travel,
  nothing can be said of either end without that travel. Elsewhere most first changes are made at the fork's preload,
  from where it stands, and without it the judgement can only ask; on an air fork the pressure stands for it.

In the order that moves the bike least: the tyres while they are cold, then each wheel off the ground once, then the
bike on its wheels, then the rider aboard, then the scale with the kit still on, and last what the papers say.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.case import current_settings
from intake.choices import FrontArchitecture, SettingKind, ShortStep
from intake.presentation import plain
from intake.services import readings
from intake.steps.base import At, StepPage, measures
from intake.steps.bike import BikePage
from intake.steps.fields import Field, Group, Pick, measure
from intake.steps.known import known_measures
from intake.steps.rider import RiderPage
from intake.steps.sag import SagPage
from intake.steps.settings import KNOBS, Count
from intake.steps.store import store_measures
from intake.steps.travel import TravelPage

#: Disciplines whose sag at the rear is aimed for as a share of its travel, and in no other way.
REAR_BY_SHARE = frozenset({"adventure", "dual_sport", "supermoto", "cruiser", "classic"})
_SOURCES = (BikePage(), RiderPage(), SagPage(), TravelPage())
_PRELOAD = next(knob for knob in KNOBS if (knob.end, knob.kind) == ("front", "preload"))
COUNTED_IN, LEFT, RIGHT = "front.preload.counted_in", "front.preload.left.found", "front.preload.right.found"

_LABELS = {
    "tyre_pressure.front": _("Front tyre, cold"),
    "tyre_pressure.rear": _("Rear tyre, cold"),
    "length_topped_out.front": _("Front L0: topped out"),
    "deepest_normal.front": _("Fork: deepest mark of a normal hard ride"),
    "length_topped_out.rear": _("Rear L0: topped out"),
    "length_bike_alone.front": _("Front L1: bike alone"),
    "length_bike_alone.rear": _("Rear L1: bike alone"),
    "length_rider_aboard.front": _("Front L2: rider aboard"),
    "length_rider_aboard.rear": _("Rear L2: rider aboard"),
    "rider_mass": _("Rider in full kit"),
    "stroke.front": _("Fork: full stroke"),
    "stroke.rear": _("Rear: full wheel travel"),
}
_HINTS = {
    "length_topped_out.front": _(
        "From the dust seal along the bare tube to the clamp. Use these two points each time."
    ),
    "length_topped_out.rear": _("From the axle straight up to a mark on the tail. Use this mark each time."),
    "deepest_normal.front": _(
        "From the dust seal to the cable tie, with the fork still topped out. No tie on yet? Put one on now and leave "
        "this empty."
    ),
    "length_bike_alone.front": "",
    "length_bike_alone.rear": "",
    "length_rider_aboard.front": "",
    "length_rider_aboard.rear": "",
    "stroke.front": _("The whole travel the fork has, from the manual or the maker's data."),
    "stroke.rear": _("From the manual or the maker's data: travel of the wheel, not of the shock."),
}
#: Said once for both ends, by the first number of a group.
_HOW = {
    "length_bike_alone.front": [_("Upright, bounced once, brakes off. Each is shorter than its L0.")],
    "length_rider_aboard.front": [
        _("Riding posture, feet up, brakes off. Each is shorter than its L1."),
        _("Both in one sitting: alone, let a phone film the tapes while you lean on a wall."),
    ],
}


def twelfth(at: At) -> str:
    """Return the name of the number that decides most beside the other eleven, for this discipline and fork."""
    if at.request.discipline in REAR_BY_SHARE:
        return "stroke.rear"
    return "air_pressure.front" if at.request.bike.front == FrontArchitecture.AIR else LEFT


class TwelvePage(StepPage):
    id = ShortStep.TWELVE.value
    template = "intake/twelve.html"
    about = _(
        "In this order the bike is moved least. What you cannot measure stays empty: your tuner asks for it when it "
        "would change the advice."
    )

    def title(self, at: At) -> Any:
        return _("Twelve numbers")

    def groups(self, at: At) -> Sequence[Group]:
        asked = {spec.name: spec for page in _SOURCES for spec in page.specs(at)}
        last = twelfth(at)
        groups: tuple[tuple[Any, tuple[str, ...], str], ...] = (
            (_("Tyres, before you ride"), ("tyre_pressure.front", "tyre_pressure.rear"), ""),
            (_("Front wheel off the ground"), ("length_topped_out.front", "deepest_normal.front"), "sag_front"),
            (_("Rear wheel off the ground"), ("length_topped_out.rear",), "sag_rear"),
            (_("On its wheels, nobody aboard"), ("length_bike_alone.front", "length_bike_alone.rear"), ""),
            (_("Rider aboard in full kit"), ("length_rider_aboard.front", "length_rider_aboard.rear"), ""),
            (_("On the scale, kit still on"), ("rider_mass",), ""),
            (
                _("From the papers"),
                ("stroke.front", "stroke.rear") if last == "stroke.rear" else ("stroke.front",),
                "",
            ),
        )
        found = []
        for legend, names, drawing in groups:
            fields = [_named(asked[name]) for name in names if name in asked]
            # Front and rear of one reading stand side by side where there is room.
            pair = {name.partition(".")[0] for name in names}
            layout = "row" if len(names) == 2 and len(pair) == 1 else ""
            found.append(Group(legend, fields, how=_HOW.get(names[0], ()), drawing=drawing, layout=layout))
        if last != "stroke.rear":
            found.insert(4, self._fork(last))
        return [group for group in found if group.fields]

    def _fork(self, last: str) -> Group:
        if last == "air_pressure.front":
            pressure = measure("air_pressure", _("Pressure in the main chamber"), end="front", method="")
            return Group(_("The fork's air"), [pressure], how=[_("Cold, with the front wheel off the ground.")])
        return Group(
            _("Fork preload"),
            [
                Pick(name=COUNTED_IN, label=_("Counted in"), choices=_PRELOAD.units, default=_PRELOAD.units[0][0]),
                Count(name=LEFT, label=_("As found"), knob=_PRELOAD, low=0, high=100),
                Count(
                    name=RIGHT,
                    label=_("Right leg, only if it stands otherwise"),
                    knob=_PRELOAD,
                    low=0,
                    high=100,
                ),
            ],
            how=[
                _("Turns, clicks and steps: count how far it is in from fully soft, then put it back."),
                _("Lines: count the lines that show above the nut. No adjuster on the caps? Leave it empty."),
            ],
            layout="row",
        )

    def initial(self, at: At) -> dict[str, str]:
        specs = self.specs(at)
        start = known_measures(at, specs)
        if not any(spec.name == LEFT for spec in specs):
            return start
        for row in current_settings(at.round).values():
            if (row.adjuster.end, row.adjuster.kind) == ("front", "preload") and row.value is not None:
                start[COUNTED_IN] = row.adjuster.unit
                start[f"{row.adjuster.key}.found"] = plain(row.value)
        if start.get(RIGHT) == start.get(LEFT):
            start.pop(RIGHT, None)
        return start

    def counted(self, at: At) -> list[str]:
        names = [spec.name for spec in measures(self.specs(at))]
        return [*names, *([] if twelfth(at) in names else [LEFT])]

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        store_measures(at, measures(specs), cleaned, values)
        if any(spec.name == LEFT for spec in specs):
            _store_preload(at, cleaned, values)


def _named(spec: Field) -> Field:
    """Return a field of the whole form as it stands here, where both ends are on one page and nothing is required."""
    label, hint = _LABELS.get(spec.name, spec.label), _HINTS.get(spec.name, spec.hint)
    return replace(spec, label=label, hint=hint, required="")


def _store_preload(at: At, cleaned: Mapping[str, Any], values: Mapping[str, str]) -> None:
    """Record where both legs stand: the right one as the left, where it was not said to stand otherwise."""
    known = {row.key: row for row in at.request.bike.adjusters.filter(end="front", kind="preload")}
    unit = cleaned[COUNTED_IN] or _PRELOAD.units[0][0]
    for name in (LEFT, RIGHT):
        own = name if cleaned[name] is not None else LEFT
        key = name.removesuffix(".found")
        before = known.get(key)
        if cleaned[own] is None:
            if before is not None:
                readings.withdraw_setting(at.round, before, SettingKind.FOUND)
            continue
        adjuster = readings.put_adjuster(
            at.request.bike,
            key,
            unit=unit,
            # As at the settings step: lines that show are counted from fully in, everything else from fully soft.
            counted_from="closed" if unit == "line" else "open",
            range_counted=before.range_counted if before else None,
            step_mm=before.step_mm if before else None,
            place=before.place if before else "",
        )
        text = values[own].strip()
        readings.record_setting(at.round, adjuster, SettingKind.FOUND, value=cleaned[own].canonical, text=text)
