"""How a step's fields become a form: what was posted, what could be read of it, and what templates draw.

The fields themselves are declared with ``intake.steps.fields``.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from django import forms
from django.utils.translation import gettext_lazy as _

from intake.models import Client
from intake.presentation import unit_label
from intake.steps.fields import LOST, UNIT_SUFFIX, Choice, Field, Group, Number, element_id


class Questioning(Protocol):
    """A question about fields: their names, and the id of the element it stands in."""

    @property
    def fields(self) -> tuple[str, ...]: ...

    @property
    def element_id(self) -> str: ...


def posted(data: Mapping[str, Any], names: Iterable[str]) -> dict[str, str]:
    """Return what was sent for the fields, as typed and whole: what is too long is told beside its field.

    A null character cannot be kept (PostgreSQL refuses it); it stands as "�" from here on, and is asked about.
    """
    return {name: str(data.get(name, "")).replace("\x00", LOST) for name in names}


class StepForm(forms.Form):
    """The form of one step, made from its fields.

    ``values`` are raw strings by name, as saved or posted. With ``check`` they are read and complaints shown;
    without, they only fill the fields.
    """

    def __init__(self, groups: Iterable[Group], client: Client, values: Mapping[str, str], *, check: bool) -> None:
        self.groups = tuple(groups)
        self.client = client
        self.values = values
        unasked = [spec for spec in self.specs() if not spec.is_asked(values)]
        #: What the answers rule out: read as if left empty, whatever stands in it.
        self.unasked = {name for spec in unasked for name in (spec.name, *spec.more_fields())}
        read = {name: "" if name in self.unasked else text for name, text in values.items()}
        super().__init__(data=read if check else None, initial=dict(values))
        for spec in self.specs():
            wanted = replace(spec, required="") if spec.name in self.unasked else spec
            self.fields[spec.name] = wanted.form_field(client, read)
            self.fields.update(spec.more_fields())

    def clean(self) -> dict[str, Any]:
        for name in self.fields:
            if LOST in self.values.get(name, "") and name not in self.unasked:
                self.add_error(
                    name,
                    _(
                        "A character in this did not arrive; it stands as %(mark)s. Please delete it or write it again."
                    )
                    % {"mark": LOST},
                )
        return self.cleaned_data

    def specs(self) -> list[Field]:
        return [spec for group in self.groups for spec in group.fields]

    def names(self) -> list[str]:
        """Return the names of everything the step may post, units included."""
        units = [spec.name + UNIT_SUFFIX for spec in self.specs() if isinstance(spec, Number)]
        return [*self.fields, *units]

    def with_units(self) -> dict[str, str]:
        """Return the raw text with the unit of every number noted beside it."""
        units = {
            s.name + UNIT_SUFFIX: s.unit(self.client, self.values) for s in self.specs() if isinstance(s, Number)
        }
        return {**self.values, **units}

    def drawn(self, asked: Iterable[Questioning] = ()) -> list["DrawnGroup"]:
        """Return the groups with what the templates need to draw each field; those asked about are marked."""
        about: dict[str, list[str]] = {}
        for question in asked:
            for name in question.fields:
                about.setdefault(name, []).append(question.element_id)
        return [
            DrawnGroup(
                group,
                [self._drawn(spec, tuple(about.get(spec.name, ()))) for spec in group.fields],
                [spec for spec in group.fields if spec.name in self.unasked and self.values.get(spec.name)],
            )
            for group in self.groups
        ]

    def _drawn(self, spec: Field, asked: tuple[str, ...]) -> "DrawnField":
        unit = spec.unit(self.client, self.values) if isinstance(spec, Number) else ""
        value = self.values.get(spec.name, "")
        if not value and isinstance(spec, Choice):
            value = spec.default
        more = {name.removeprefix(spec.name + "."): self.values.get(name, "") for name in spec.more_fields()}
        names = (spec.name, *spec.more_fields())
        errors = [str(e) for name in names for e in self.errors.get(name, [])] if self.is_bound else []
        return DrawnField(spec, value, errors, unit, str(unit_label(unit)) if unit else "", more, asked)


@dataclass(frozen=True)
class DrawnField:
    """One field as a template draws it."""

    spec: Field
    value: str
    errors: list[str]
    unit: str = ""
    unit_text: str = ""
    more: Mapping[str, str] = field(default_factory=dict)
    #: Ids of the elements with the checks' questions about it.
    asked: tuple[str, ...] = ()
    #: Where its text comes from, if not from the client.
    note: str = ""

    @property
    def keypad(self) -> str:
        """Return the ``inputmode`` of a number: the plain keyboard where a unit may have to be written behind it."""
        if not isinstance(self.spec, Number) or self.errors or self.asked:
            return "text"
        return self.spec.keypad(self.unit)

    @property
    def id(self) -> str:
        return element_id(self.spec.name)

    @property
    def template(self) -> str:
        return f"intake/fields/{self.spec.kind}.html"

    @property
    def described_by(self) -> str:
        """Return the ids of error, questions, note and hint, for aria-describedby."""
        noted = [f"{self.id}-note"] if self.note else []
        parts = [*([f"{self.id}-error"] if self.errors else []), *self.asked, *noted]
        return " ".join([*parts, f"{self.id}-hint"] if self.spec.hint else parts)


@dataclass(frozen=True)
class DrawnGroup:
    group: Group
    fields: list[DrawnField] = field(default_factory=list)
    #: What holds text that is not read, as another answer rules it out.
    unread: list[Field] = field(default_factory=list)

    @property
    def only_if(self) -> tuple[str, frozenset[str]] | None:
        """Return what any of its fields hangs on, where all hang on the same: without it nothing of the group is left.
        With text that is not read it stays, to say so."""
        conditions = [drawn.spec.only_if for drawn in self.fields]
        told = [condition for condition in conditions if condition is not None]
        if self.unread or len(told) < len(conditions) or len({name for name, _answers in told}) != 1:
            return None
        return told[0][0], frozenset[str]().union(*(answers for _name, answers in told))

    @property
    def open(self) -> bool:
        """A folded group stands open when something in it was filled in or is wrong."""
        if self.group.shut:
            return any(drawn.errors for drawn in self.fields)
        return any(drawn.errors or drawn.value != getattr(drawn.spec, "default", "") for drawn in self.fields)
