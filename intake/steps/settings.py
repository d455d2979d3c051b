"""Where every adjuster stands: as found in the first round, as applied in the later ones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from intake.case import current_settings
from intake.choices import FrontArchitecture, SettingKind, Step
from intake.models import Adjuster, Client, Setting
from intake.presentation import plain
from intake.services import readings
from intake.steps import asked
from intake.steps.asked import Turned
from intake.steps.base import At, StepPage, measures
from intake.steps.fields import Field, Group, Number, NumberField, Pick, Text, measure
from intake.steps.known import known_measures
from intake.steps.store import store_measures
from intake.steps.turns import where
from intake.typed import Typed
from tuning.engine.quantities import ENDS
from tuning.engine.units import from_canonical

CLICK, TURN = ("click", _("clicks")), ("turn", _("turns"))
LINE, STEP, MM = ("line", _("lines showing")), ("step", _("steps")), ("mm", _("mm"))


@dataclass(frozen=True, kw_only=True)
class Count(Number):
    """A number in what the adjuster is counted in, which is chosen beside it: three turns are not three clicks."""

    dimension: str = "count"
    fixed_unit: str = "1"
    knob: "Knob"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        known = [unit for unit, _name in self.knob.units]
        chosen = values.get(f"{self.knob.end}.{self.knob.kind}.counted_in", "")
        unit = chosen if chosen in known else known[0]
        return NumberField(
            dimension="length" if unit == "mm" else "count",
            unit=unit,
            client=client,
            low=self.low,
            high=self.high,
            **self.options(),
        )


@dataclass(frozen=True)
class Knob:
    """An adjuster a bike may have.

    units: what it may be counted in, the usual one first; a length is asked for in the client's own unit.
    closed: counts run outward from fully closed; preload counts inward from fully soft, lines excepted.
    """

    kind: str
    end: str
    name: Any
    units: Sequence[tuple[str, Any]] = ()
    legs: tuple[str, ...] = ("",)
    closed: bool = True
    folded: bool = False

    @property
    def is_length(self) -> bool:
        return not self.units

    def key(self, leg: str) -> str:
        return ".".join(part for part in (self.end, self.kind, leg) if part)


LEGS = ("left", "right")
KNOBS = (
    Knob("preload", "front", _("Fork preload"), (TURN, LINE, STEP, CLICK, MM), LEGS, closed=False),
    Knob("rebound", "front", _("Fork rebound"), (CLICK, TURN), LEGS),
    Knob("compression", "front", _("Fork compression"), (CLICK, TURN), LEGS),
    Knob("fork_position", "front", _("Fork position in the clamps"), legs=LEGS),
    Knob("preload", "rear", _("Rear preload"), (TURN, STEP, CLICK, LINE, MM), closed=False),
    Knob("rebound", "rear", _("Rear rebound"), (CLICK, TURN)),
    Knob("compression_low", "rear", _("Rear compression (low speed, or the only one)"), (CLICK, TURN)),
    Knob("compression_high", "rear", _("Rear compression, high speed"), (CLICK, TURN), folded=True),
    Knob("ride_height", "rear", _("Rear ride height adjuster"), folded=True),
)
LEG_NAMES = {"left": _("left leg"), "right": _("right leg")}
#: How to count, said at the first adjuster of its sort.
HOW: Mapping[str, Sequence[Any]] = {
    "preload": (
        _("Turns and clicks: count how far it is in from fully soft, then put it back."),
        _("Lines: count the lines that show above the nut; fewer lines are more preload."),
        _("Steps of a ramp: 1 is the softest. Millimetres: how far the collar stands in from its softest place."),
        _("Never force a collar; use the spanner that fits it."),
    ),
    "damping": (
        _("Turn in, clockwise, gently until it stops, counting. That count is the setting. Never force the stop."),
        _("Then count the whole way out to the other stop: that is the range. Turn back to where it was."),
    ),
    "fork_position": (
        _("How far the tube's top edge stands above the upper clamp, on the same flat place, each leg."),
        _("Only measure. Loosen nothing."),
    ),
}
DRAWN = {"damping": "turning", "fork_position": "fork_position"}
#: Which way a count runs, said at each: by kind of adjuster and where it is counted from.
RUNS: Mapping[tuple[str, str], Any] = {
    ("damping", "closed"): _("Counted out from fully closed."),
    ("damping", "open"): _("Counted in from fully open."),
    ("preload", "open"): _("Counted in from fully soft; lines: how many show."),
    ("preload", "closed"): _("Counted out from fully wound in; lines: how many show."),
}


def sort_of(kind: str) -> str:
    """Return the sort of an adjuster kind: how it is counted is said once for each."""
    return "damping" if kind.startswith(("rebound", "compression")) else kind


class SettingsPage(StepPage):
    id = Step.SETTINGS.value
    about = _("Write down what is there before anything is turned: it is the way back.")
    about_unticked = _(
        "Write down what is there before anything is turned: it is the way back. What your bike does not have stays empty."
    )
    about_later = _(
        "Filled in with what your sheet recommended. Change only what you set otherwise, so that your tuner knows what you "
        "rode with."
    )

    def title(self, at: At) -> Any:
        return _("Settings as you rode") if at.later else _("Settings as found")

    def lead(self, at: At) -> Any:
        return super().lead(at) if at.later or asked.told(at).known else self.about_unticked

    def groups(self, at: At) -> Sequence[Group]:
        modes = self._modes(at)
        electronic = any(getattr(at.request.bike, end) == "semi_active" for end in ENDS)
        groups: list[Group] = [*(modes if electronic else ()), *self._air(at)]
        explained: set[str] = set()
        for knob in KNOBS:
            group = self._group(at, knob, explained)
            groups += [group] if group else []
        return groups if electronic else [*groups, *modes]

    def _group(self, at: At, knob: Knob, explained: set[str]) -> Group | None:
        """Return what is asked of one sort of adjuster at one end; None when the bike has none of it. ``explained``
        grows by what has been said on how to count."""
        places = asked.turned(at, knob.end, knob.kind, knob.legs)
        if not places:
            return None
        known = asked.told(at)
        sort, first = sort_of(knob.kind), sort_of(knob.kind) not in explained
        explained.add(sort)
        fields: list[Field] = []
        for place in places:
            fields += self._fields(at, knob, place, units=place is places[0])
        has_it = any(knob.key(place.leg) in known.adjusters for place in places)
        ticked = any(place.place for place in places)
        return Group(
            knob.name,
            fields,
            how=() if at.later or not first else HOW.get(sort, ()),
            folded=(knob.folded and not ticked) or (at.later and not has_it),
            layout="row",
            drawing=DRAWN.get(sort, "") if (first and not at.later) or sort == "fork_position" else "",
        )

    def _air(self, at: At) -> list[Group]:
        """Return the air of an air fork, which stands for its springs."""
        known = asked.told(at)
        is_air = at.request.bike.front == FrontArchitecture.AIR
        if not is_air and ("air_pressure", "front", "") not in known.readings:
            return []
        return [
            Group(
                _("The fork's air"),
                [
                    measure("air_pressure", _("Pressure in the main chamber"), end="front", method=""),
                    measure(
                        "air_pressure_balance",
                        _("Pressure in the balance chamber"),
                        end="front",
                        method="",
                        hint=_("Leave it empty when yours has none or fills it by itself."),
                    ),
                ],
                how=[_("Cold, with the front wheel off the ground.")],
                layout="row",
            )
        ]

    def _modes(self, at: At) -> list[Group]:
        labels = {"front": _("Front: mode or level"), "rear": _("Rear: mode, load level")}
        fields = [
            Text(name=f"{end}.mode.found", label=label, longest=40)
            for end, label in labels.items()
            if asked.has_modes(at, end)
        ]
        how = [_("Ignition on, levelling finished. Write what the display says.")]
        return [Group(_("Electronic modes"), fields, how=how, layout="row")] if fields else []

    def _fields(self, at: At, knob: Knob, place: Turned, *, units: bool) -> list[Field]:
        """Return the fields of one adjuster; ``units``: with what they are counted in, said once for both legs of a
        pair, as they are the same part."""
        key, who = knob.key(place.leg), where(place.leg, place.place)
        label = _("As ridden") if at.later else _("As found")
        found: Any = f"{label}, {who}" if who else label
        if knob.is_length:
            return [
                Number(
                    name=f"{key}.found",
                    label=found,
                    hint=place.why,
                    dimension="length",
                    low=-60,
                    high=150,
                    signed=True,
                )
            ]
        base = f"{knob.end}.{knob.kind}"
        before = asked.told(at).adjusters.get(key)
        runs = before.counted_from if before else "closed" if knob.closed else "open"
        fields: list[Field] = []
        if units:
            fields.append(
                Pick(
                    name=f"{base}.counted_in",
                    label=_("Counted in"),
                    choices=knob.units,
                    default=knob.units[0][0],
                    wide=knob.kind != "preload",
                )
            )
            if knob.kind == "preload":
                fields.append(
                    Number(
                        name=f"{base}.step",
                        label=_("One of them moves the spring by"),
                        dimension="length",
                        low=0.1,
                        high=10,
                        only_if=(f"{base}.counted_in", frozenset({"turn", "line", "step", "click"})),
                    )
                )
        counted: Any = _("Whole range")
        return [
            *fields,
            Count(
                name=f"{key}.found",
                label=found,
                hint=place.why or RUNS[sort_of(knob.kind), runs],
                knob=knob,
                low=0,
                high=100,
            ),
            Count(
                name=f"{key}.range",
                label=f"{counted}, {LEG_NAMES[place.leg]}" if place.leg else counted,
                hint=_("From stop to stop."),
                knob=knob,
                low=0.5,
                high=100,
            ),
        ]

    def initial(self, at: At) -> dict[str, str]:
        """Start from where everything stands: in later rounds that is what was recommended, so that only what differs
        is typed."""
        start = known_measures(at, self.specs(at))
        length = at.client.unit_of("length")
        told = asked.told(at)
        for adjuster in told.adjusters.values():
            base = f"{adjuster.end}.{adjuster.kind}.counted_in"
            start[base] = adjuster.unit
            if adjuster.step_mm and adjuster.kind == "preload":
                start[f"{adjuster.end}.preload.step"] = _length(adjuster.step_mm, length)
            if adjuster.range_counted is not None:
                start[f"{adjuster.key}.range"] = plain(adjuster.range_counted)
        for row in told.settings:
            is_length = row.adjuster.kind in {"fork_position", "ride_height"}
            start[f"{row.adjuster.key}.found"] = row.mode or _typed(row, length if is_length else "")
        return start

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        kind = SettingKind.APPLIED if at.later else SettingKind.FOUND
        known = {adjuster.key: adjuster for adjuster in at.request.bike.adjusters.all()}
        standing = {row.adjuster.key: row for row in current_settings(at.round).values()}
        by_name = {spec.name: spec for spec in specs}
        store_measures(at, measures(specs), cleaned, values)
        for knob in KNOBS:
            base = f"{knob.end}.{knob.kind}"
            for leg in ("", *LEGS):
                key = knob.key(leg)
                # What was not asked stays as it is.
                if f"{key}.found" not in cleaned:
                    continue
                found, counted = cleaned[f"{key}.found"], cleaned.get(f"{key}.range")
                before = known.get(key)
                said = "mm" if knob.is_length else cleaned.get(f"{base}.counted_in")
                unit = said or (before.unit if before else knob.units[0][0])
                step = cleaned.get(f"{base}.step")
                if found is None and before is not None:
                    readings.withdraw_setting(at.round, before, kind)
                emptied = before is not None and before.range_counted is not None
                if found is None and counted is None and not emptied:
                    continue
                adjuster = readings.put_adjuster(
                    at.request.bike,
                    key,
                    unit=unit,
                    counted_from=_counted_from(knob, unit, before),
                    range_counted=None if counted is None else counted.canonical,
                    step_mm=_step_mm(step, values.get(f"{base}.step", ""), before),
                    place=before.place if before else "",
                )
                if found is not None:
                    spec = by_name[f"{key}.found"]
                    own = spec.unit(at.client, values) if isinstance(spec, Number) and knob.is_length else ""
                    text = _as_typed(values[spec.name], own)
                    # A length shown rounded in the client's unit and left alone is still the length it was.
                    stood = standing.get(key)
                    untouched = stood is not None and _typed(stood, own) == values[spec.name].strip()
                    value = stood.value if stood is not None and untouched else found.canonical
                    readings.record_setting(at.round, adjuster, kind, value=value, text=text)
        for end in ("front", "rear"):
            mode = str(cleaned.get(f"{end}.mode.found", "")).strip()
            before = known.get(f"{end}.mode")
            if f"{end}.mode.found" not in cleaned:
                continue
            if mode:
                place = before.place if before else ""
                adjuster = readings.put_adjuster(at.request.bike, f"{end}.mode", unit="mode", place=place)
                readings.record_setting(at.round, adjuster, kind, mode=mode, text=mode)
            elif before is not None:
                readings.withdraw_setting(at.round, before, kind)
        asked.forget(at)


def _counted_from(knob: Knob, unit: str, before: Adjuster | None) -> str:
    """Return which way a count runs: as it was said before for the same unit, else as is usual."""
    if before is not None and before.unit == unit:
        return before.counted_from
    return "closed" if knob.closed or unit == "line" else "open"


def _step_mm(typed: Typed | None, text: str, before: Adjuster | None) -> float | None:
    """Return what one unit of preload moves the spring by; left alone or emptied, it stays what it was."""
    was = before.step_mm if before else None
    if typed is None or (was is not None and text.strip() == _length(was, typed.unit)):
        return was
    return typed.canonical


def _as_typed(text: str, unit: str) -> str:
    """Return the text with the unit it was typed in, unless the client wrote one behind it."""
    typed = text.strip()
    return f"{typed} {unit}" if unit and typed[-1:].isdigit() else typed


def _typed(setting: Setting, length_unit: str) -> str:
    """Return a setting as the client would type it: a length in their unit, a count as it is."""
    if setting.value is None:
        return ""
    return _length(setting.value, length_unit) if length_unit else plain(setting.value)


def _length(value: float, unit: str) -> str:
    return plain(from_canonical(value, unit), 3)
