"""The settings of a later round: what became of each change of the sheet, and where everything else stands.

Nothing is taken for done that the client did not say: no answer stands chosen beforehand. "Not done" and "put back"
set an adjuster to where it stood before, "otherwise" asks for the number, or for words where a change has none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake.choices import Done, SettingKind
from intake.models import Client, Setting
from intake.services import advice, readings
from intake.services.advice import LONGEST_NOTE, Told
from intake.services.requests import plain
from intake.steps.base import At
from intake.steps.fields import Choice, Field, Group, Number, NumberField, Text
from intake.steps.settings import KNOBS, SettingsPage
from intake.typed import Typed

#: Nearer than this a number is the one meant, in the adjuster's unit: lengths are shown rounded to the client's.
SAME = {"mm": 0.3, "kPa": 1.0}
_KNOWN = frozenset(knob.key(leg) for knob in KNOBS for leg in knob.legs)
_LENGTHS = {"mm": "length", "kPa": "pressure"}
_BACK = (Done.NOT_DONE, Done.UNDONE)


def name_of(told: Told) -> str:
    """Return the name of the field that asks what became of a change."""
    return f"done.{told['name']}"


def number_name(told: Told) -> str:
    return f"{told['adjuster']}.found"


def note_name(told: Told) -> str:
    return f"instead.{told['name']}"


class SetOtherwiseField(NumberField):
    """A number that goes with the answer above it."""

    def __init__(self, *, told: Told, done: str, **options: Any) -> None:
        super().__init__(**options)
        self.told, self.done = told, done

    def clean(self, value: Any) -> Typed | None:
        number = super().clean(value)
        if number is None:
            if self.done == Done.OTHERWISE:
                raise ValidationError(_("You did it otherwise: please write what it is set to now."))
            return None
        fits = {Done.AS_TOLD: self.told["target"], Done.NOT_DONE: self.told["start"], Done.UNDONE: self.told["start"]}
        meant = fits.get(Done(self.done)) if self.done in Done.values else None
        if meant is not None and abs(number.canonical - meant) > SAME.get(self.told["unit"], 0.05):
            raise ValidationError(
                _("%(typed)s does not go with “%(answer)s”: choose “%(otherwise)s”, or empty this field.")
                % {"typed": str(value).strip(), "answer": Done(self.done).label, "otherwise": Done.OTHERWISE.label}
            )
        return number


@dataclass(frozen=True, kw_only=True)
class SetOtherwise(Number):
    """Where an adjuster of the sheet stands when it was set otherwise."""

    told: Told

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return SetOtherwiseField(
            told=self.told,
            done=values.get(name_of(self.told), ""),
            dimension=self.dimension,
            unit=self.unit(client, values),
            client=client,
            low=self.low,
            high=self.high,
            **self.options(),
        )


class InsteadField(forms.CharField):
    def __init__(self, *, done: str, **options: Any) -> None:
        super().__init__(**options)
        self.done = done

    def clean(self, value: Any) -> str:
        text = str(super().clean(value))
        if self.done == Done.OTHERWISE and not text.strip():
            raise ValidationError(_("You did it otherwise: please say in a few words what was done or fitted."))
        return text


@dataclass(frozen=True, kw_only=True)
class Instead(Text):
    """What was done or fitted in the place of a change that has no adjuster."""

    told: Told
    longest: int = LONGEST_NOTE

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return InsteadField(
            done=values.get(name_of(self.told), ""), max_length=self.longest, strip=True, **self.options()
        )


class SettingsAndChangesPage(SettingsPage):
    """The settings as found in the first round; later what became of the sheet, and the settings as ridden."""

    about_later = _(
        "Say of each change what became of it. Everything else is filled in as it stood: change only what you set otherwise."
    )
    about_unadvised = _("Filled in as it stood. Change only what you set otherwise.")

    def lead(self, at: At) -> Any:
        return self.about_unadvised if at.later and not _advised(at) else super().lead(at)

    def groups(self, at: At) -> Sequence[Group]:
        groups = list(super().groups(at))
        rows = _advised(at)
        if not rows:
            return groups
        asked = {number_name(told) for told in rows if told["adjuster"]}
        rest = [_without(group, asked) for group in groups]
        return [*self._changes(at, rows), *(group for group in rest if group.fields)]

    def _changes(self, at: At, rows: Sequence[Told]) -> list[Group]:
        groups, numbered = [], set[str]()
        for told in rows:
            fields: list[Field] = [
                Choice(
                    name=name_of(told),
                    label=_("What became of it?"),
                    hint=_from_to(told),
                    choices=Done.choices,
                )
            ]
            if not told["adjuster"] or told["target"] is None:
                label = _("If otherwise: what was done or fitted?")
                fields.append(Instead(name=note_name(told), label=label, told=told))
            elif told["adjuster"] not in numbered:
                # Told twice on one sheet, an adjuster stands in one place all the same.
                numbered.add(told["adjuster"])
                fields.append(_number(told))
            title = _("Change %(number)s: %(title)s") % {"number": told["number"], "title": told["title"]}
            groups.append(Group(title, fields))
        return groups

    def initial(self, at: At) -> dict[str, str]:
        start = super().initial(at)
        rows = _advised(at)
        if not rows:
            return start
        said = advice.said_of([at.round])[at.round.pk]
        own = set(
            Setting.objects.filter(round=at.round, kind=SettingKind.APPLIED, is_current=True).values_list(
                "adjuster__key", flat=True
            )
        )
        for told in rows:
            answer = said.get(told["key"])
            if answer is not None:
                start[name_of(told)] = answer.done
                start[note_name(told)] = answer.note
            # What was recommended is no word of the client's; a number of theirs stays.
            if told["adjuster"] not in own or (answer is not None and answer.done != Done.OTHERWISE):
                start.pop(number_name(told), None)
        return start

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        super().store(at, cleaned, specs, values)
        known = {row.key: row for row in at.request.bike.adjusters.all()}
        for told in _advised(at):
            done = str(cleaned.get(name_of(told)) or "")
            advice.follow(at.round, told["key"], done, str(cleaned.get(note_name(told)) or ""))
            adjuster = known.get(told["adjuster"])
            if adjuster is None:
                continue
            typed = cleaned.get(number_name(told))
            stands = told["target"] if done == Done.AS_TOLD else told["start"] if done in _BACK else None
            if stands is not None:
                kept = plain(stands)
                readings.record_setting(at.round, adjuster, SettingKind.APPLIED, value=stands, text=kept)
            elif adjuster.key not in _KNOWN and typed is not None:
                text = values[number_name(told)].strip()
                readings.record_setting(
                    at.round, adjuster, SettingKind.APPLIED, value=typed.canonical, text=text[:60]
                )


def _without(group: Group, asked: set[str]) -> Group:
    """Return a group without what is asked with the changes already; folded away where no setting is left in it."""
    fields = [spec for spec in group.fields if spec.name not in asked]
    if len(fields) == len(group.fields) or any(spec.name.endswith(".found") for spec in fields):
        return replace(group, fields=fields)
    legend = now("%(name)s: how it is counted") % {"name": group.legend}
    return replace(group, legend=legend, fields=fields, folded=True, shut=True)


def _advised(at: At) -> list[Told]:
    return advice.advised(at.round) if at.later else []


def _from_to(told: Told) -> str:
    """Return what the sheet says, from and to, in the client's units; "" for a change without numbers."""
    if not told["to_text"]:
        return ""
    text = now("From %(from)s to %(to)s") % {"from": told["from_text"] or "–", "to": told["to_text"]}
    return f"{text} ({told['turn_text']})" if told["turn_text"] else text


def _number(told: Told) -> SetOtherwise:
    dimension = _LENGTHS.get(told["unit"], "count")
    return SetOtherwise(
        name=number_name(told),
        label=_("If otherwise: set to"),
        told=told,
        dimension=dimension,
        fixed_unit="1" if dimension == "count" else "",
        low=-60.0 if dimension == "length" else 0.0,
        high={"length": 150.0, "pressure": 2000.0}.get(dimension, 500.0),
        signed=dimension == "length",
        hint=_counted(told) if dimension == "count" else "",
    )


def _counted(told: Told) -> str:
    """Return how the number is counted, by example of the sheet's own."""
    return now("Counted as on the sheet: %(example)s.") % {"example": told["to_text"]}
