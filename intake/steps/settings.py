"""Where every adjuster stands: as found in the first round, as applied in the later ones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from intake.case import current_settings
from intake.choices import SettingKind, Step
from intake.models import Adjuster, Client, Setting
from intake.presentation import plain
from intake.services import readings
from intake.steps.base import At, StepPage
from intake.steps.fields import Field, Group, Number, NumberField, Pick, Text
from intake.typed import Typed
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
LEG_NAMES = {"left": _("left leg"), "right": _("right leg"), "": ""}
#: How to count, said at the first adjuster of its sort.
HOW = {
    ("front", "preload"): [
        _("Turns, clicks and steps: count how far it is in from fully soft, then put it back."),
        _("Lines: count the lines that show above the nut. Never force a collar; use the spanner that fits it."),
    ],
    ("front", "rebound"): [
        _("Turn in, clockwise, gently until it stops, counting. That count is the setting. Never force the stop."),
        _("Then count the whole way out to the other stop: that is the range. Turn back to where it was."),
    ],
    ("front", "fork_position"): [
        _("How far the tube's top edge stands above the upper clamp, on the same flat place, each leg."),
        _("Only measure. Loosen nothing."),
    ],
}


class SettingsPage(StepPage):
    id = Step.SETTINGS.value
    about = _(
        "Write down what is there before anything is turned: it is the way back. What your bike does not have stays empty."
    )
    about_later = _(
        "Filled in with what your sheet recommended. Change only what you set otherwise, so that your tuner knows what you "
        "rode with."
    )

    def title(self, at: At) -> Any:
        return _("Settings as you rode") if at.later else _("Settings as found")

    def groups(self, at: At) -> Sequence[Group]:
        units = {} if not at.later else dict(at.request.bike.adjusters.values_list("key", "unit"))
        groups = []
        for knob in KNOBS:
            fields: list[Field] = []
            for leg in knob.legs:
                fields += self._fields(at, knob, leg)
            has_it = any(knob.key(leg) in units for leg in knob.legs)
            groups.append(
                Group(
                    knob.name,
                    fields,
                    how=[] if at.later else HOW.get((knob.end, knob.kind), []),
                    folded=knob.folded or (at.later and not has_it),
                    layout="row",
                    drawing="fork_position" if knob.kind == "fork_position" else "",
                )
            )
        groups.append(
            Group(
                _("Electronic modes"),
                [
                    Text(name="front.mode.found", label=_("Front: mode or level"), longest=40),
                    Text(name="rear.mode.found", label=_("Rear: mode, load level"), longest=40),
                ],
                how=[_("Ignition on, levelling finished. Write what the display says.")],
                folded=True,
                layout="row",
            )
        )
        return groups

    def _fields(self, at: At, knob: Knob, leg: str) -> list[Field]:
        key, who = knob.key(leg), LEG_NAMES[leg]
        label = _("As ridden") if at.later else _("As found")
        found: Any = f"{label}, {who}" if leg else label
        if knob.is_length:
            return [Number(name=f"{key}.found", label=found, dimension="length", low=-60, high=150, signed=True)]
        fields: list[Field] = []
        # One unit serves both legs of a pair: they are the same part.
        if leg in {"", "left"}:
            fields.append(
                Pick(
                    name=f"{knob.end}.{knob.kind}.counted_in",
                    label=_("Counted in"),
                    choices=knob.units,
                    default=knob.units[0][0],
                    wide=knob.kind != "preload",
                )
            )
            if knob.kind == "preload":
                fields.append(
                    Number(
                        name=f"{knob.end}.{knob.kind}.step",
                        label=_("One of them moves the spring by"),
                        dimension="length",
                        low=0.1,
                        high=10,
                    )
                )
        counted: Any = _("Whole range")
        return [
            *fields,
            Count(name=f"{key}.found", label=found, knob=knob, low=0, high=100),
            Count(
                name=f"{key}.range",
                label=f"{counted}, {who}" if leg else counted,
                knob=knob,
                low=0.5,
                high=100,
            ),
        ]

    def initial(self, at: At) -> dict[str, str]:
        """Start from where everything stands: in later rounds that is what was recommended, so that only what differs
        is typed."""
        start: dict[str, str] = {}
        length = at.client.unit_of("length")
        for adjuster in at.request.bike.adjusters.all():
            base = f"{adjuster.end}.{adjuster.kind}.counted_in"
            start[base] = adjuster.unit
            if adjuster.step_mm and adjuster.kind == "preload":
                start[f"{adjuster.end}.preload.step"] = _length(adjuster.step_mm, length)
            if adjuster.range_counted is not None:
                start[f"{adjuster.key}.range"] = plain(adjuster.range_counted)
        for row in current_settings(at.round).values():
            is_length = row.adjuster.kind in {"fork_position", "ride_height"}
            start[f"{row.adjuster.key}.found"] = row.mode or _typed(row, length if is_length else "")
        return start

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        kind = SettingKind.APPLIED if at.later else SettingKind.FOUND
        known = {adjuster.key: adjuster for adjuster in at.request.bike.adjusters.all()}
        standing = {row.adjuster.key: row for row in current_settings(at.round).values()}
        by_name = {spec.name: spec for spec in specs}
        for knob in KNOBS:
            base = f"{knob.end}.{knob.kind}"
            unit = "mm" if knob.is_length else cleaned[f"{base}.counted_in"] or knob.units[0][0]
            step = cleaned.get(f"{base}.step")
            for leg in knob.legs:
                key = knob.key(leg)
                found, counted = cleaned[f"{key}.found"], cleaned.get(f"{key}.range")
                before = known.get(key)
                if found is None and before is not None:
                    readings.withdraw_setting(at.round, before, kind)
                if found is None and counted is None:
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
            mode = cleaned[f"{end}.mode.found"].strip()
            before = known.get(f"{end}.mode")
            if mode:
                adjuster = readings.put_adjuster(at.request.bike, f"{end}.mode", unit="mode")
                readings.record_setting(at.round, adjuster, kind, mode=mode, text=mode)
            elif before is not None:
                readings.withdraw_setting(at.round, before, kind)


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
