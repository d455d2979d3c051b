"""What a step asks for, declared: each field says what it is of, and makes its own Django form field.

A step's text is kept as typed. A measurement carries the unit it was typed in beside it (``<name>.unit``), so that
changing one's units later never turns 4.5 inches into 4.5 millimetres.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from intake import typed, words
from intake.models import Client
from intake.presentation import UnitPrefs, show, unit_label
from tuning.engine.quantities import QUANTITIES
from tuning.engine.units import UNITS

UNIT_SUFFIX = ".unit"


def element_id(name: str) -> str:
    """Return the id of the element that a field of this name is drawn with."""
    return "f-" + name.replace(".", "-")


class NumberField(forms.CharField):
    """A number with its unit, read by ``intake.typed``. Cleans to ``Typed``, or None when nothing was typed."""

    def __init__(
        self, *, dimension: str, unit: str, client: Client, low: float | None, high: float | None, **options: Any
    ) -> None:
        super().__init__(max_length=60, **options)
        self.dimension, self.unit, self.low, self.high = dimension, unit, low, high
        self.prefs = UnitPrefs.of(client)

    def clean(self, value: Any) -> typed.Typed | None:
        text = super().clean(value)
        if not text.strip():
            return None
        try:
            number = typed.parse(text, self.dimension, self.unit, (self.low, self.high))
        except typed.NotANumber as problem:
            raise ValidationError(words.not_a_number(problem, self.unit)) from problem
        if (self.low is not None and number.canonical < self.low) or (
            self.high is not None and number.canonical > self.high
        ):
            raise ValidationError(
                _("%(typed)s cannot be right here: it must lie between %(low)s and %(high)s. Please measure again.")
                % {
                    "typed": self._shown(number.canonical),
                    "low": self._shown(self.low),
                    "high": self._shown(self.high),
                }
            )
        return number

    def _shown(self, canonical: float | None) -> str:
        return "–" if canonical is None else show(canonical, self.dimension, self.prefs)


@dataclass(frozen=True, kw_only=True)
class Field:
    """One thing asked. ``name`` is the HTML name; ``kind`` picks the template that draws it."""

    name: str
    label: Any
    hint: Any = ""
    required: Any = ""  # what to say when it is left empty; empty: may be left out
    kind: ClassVar[str] = "text"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        raise NotImplementedError

    def more_fields(self) -> dict[str, forms.Field]:
        """Return further form fields that belong to this one, by name."""
        return {}

    def options(self) -> dict[str, Any]:
        """Return what every form field of ours is made with."""
        return {
            "label": self.label,
            "required": bool(self.required),
            "error_messages": {"required": self.required, "invalid_choice": _("Please choose one of the answers.")},
        }


@dataclass(frozen=True, kw_only=True)
class Text(Field):
    """A line of text."""

    longest: int = 80
    autocomplete: str = "off"
    kind: ClassVar[str] = "text"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return forms.CharField(max_length=self.longest, **self.options())


@dataclass(frozen=True, kw_only=True)
class LongText(Text):
    """Several lines of the client's own words."""

    longest: int = 2000
    kind: ClassVar[str] = "long_text"


@dataclass(frozen=True, kw_only=True)
class Email(Text):
    kind: ClassVar[str] = "email"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        options = self.options()
        options["error_messages"]["invalid"] = _("This does not look like an e-mail address: name@place.example.")
        return forms.EmailField(max_length=254, **options)


@dataclass(frozen=True, kw_only=True)
class Day(Field):
    """A date, by the browser's own picker, or as 2026-08-31."""

    kind: ClassVar[str] = "date"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        options = self.options()
        options["error_messages"]["invalid"] = _("Write the date as year-month-day, for example 2026-08-31.")
        return forms.DateField(input_formats=["%Y-%m-%d"], **options)


@dataclass(frozen=True, kw_only=True)
class Whole(Field):
    """A whole number without a unit, such as a year."""

    low: int = 0
    high: int = 9999
    kind: ClassVar[str] = "whole"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        options = self.options()
        options["error_messages"]["invalid"] = _("Digits only, please.")
        return forms.IntegerField(min_value=self.low, max_value=self.high, **options)


@dataclass(frozen=True, kw_only=True)
class Choice(Field):
    """One of several; ``question`` and ``end`` say which answer of the vocabulary it is, if it is one."""

    choices: Sequence[tuple[str, Any]] = ()
    default: str = ""
    across: bool = False
    question: str = ""
    end: str = ""
    kind: ClassVar[str] = "choice"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return forms.ChoiceField(choices=[("", ""), *self.choices], **self.options())


@dataclass(frozen=True, kw_only=True)
class Pick(Choice):
    """One of several, from a drop-down list."""

    empty: Any = ""
    #: Takes the whole width where fields stand side by side.
    wide: bool = False
    kind: ClassVar[str] = "pick"


@dataclass(frozen=True, kw_only=True)
class Tick(Field):
    """A box to tick."""

    kind: ClassVar[str] = "tick"

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return forms.BooleanField(**self.options())


@dataclass(frozen=True, kw_only=True)
class Number(Field):
    """A number with a unit of one dimension; limits are canonical."""

    dimension: str
    fixed_unit: str = ""
    low: float | None = None
    high: float | None = None
    signed: bool = False
    kind: ClassVar[str] = "number"

    def unit(self, client: Client, values: Mapping[str, str]) -> str:
        """Return the unit this field was typed in, or the client's own while it is empty."""
        if self.fixed_unit:
            return self.fixed_unit
        noted = values.get(self.name + UNIT_SUFFIX, "")
        if values.get(self.name, "").strip() and noted in UNITS and UNITS[noted].dimension == self.dimension:
            return noted
        return client.unit_of(self.dimension)

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return NumberField(
            dimension=self.dimension,
            unit=self.unit(client, values),
            client=client,
            low=self.low,
            high=self.high,
            **self.options(),
        )


@dataclass(frozen=True, kw_only=True)
class Measure(Number):
    """A measurement, with everything that says what the reading is of. ``load_state`` "rider" stands for whatever
    the client said is aboard."""

    quantity: str
    end: str = ""
    leg: str = ""
    load_state: str = ""
    approach: str = "as_is"
    repeat: int = 1
    method: str = "tape"


def measure(
    quantity: str, label: Any, *, end: str = "", leg: str = "", approach: str = "as_is", **more: Any
) -> Measure:
    """Return the field of one reading, its limits taken from the engine's table of quantities."""
    known = QUANTITIES[quantity]
    suffix = "" if approach == "as_is" else approach
    return Measure(
        name=".".join(part for part in (quantity, end, leg, suffix) if part),
        label=label,
        quantity=quantity,
        end=end,
        leg=leg,
        approach=approach,
        dimension=known.dimension,
        low=known.low,
        high=known.high,
        **more,
    )


@dataclass(frozen=True)
class Group:
    """Fields that stand together under one heading.

    how: a few short lines on how to do it safely; folded: behind a line to unfold; layout: "" one below the
    other, "row" side by side where there is room.
    """

    legend: Any
    fields: Sequence[Field]
    how: Sequence[Any] = ()
    folded: bool = False
    layout: str = ""
    #: A drawing of ``intake.guides.pictures``.
    drawing: str = ""


class StepForm(forms.Form):
    """The form of one step, made from its fields.

    ``values`` are raw strings by name, as saved or posted. With ``check`` they are read and complaints shown;
    without, they only fill the fields.
    """

    def __init__(self, groups: Iterable[Group], client: Client, values: Mapping[str, str], *, check: bool) -> None:
        super().__init__(data=dict(values) if check else None, initial=dict(values))
        self.groups = tuple(groups)
        self.client = client
        self.values = values
        for spec in self.specs():
            self.fields[spec.name] = spec.form_field(client, values)
            self.fields.update(spec.more_fields())

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

    def drawn(self) -> list["DrawnGroup"]:
        """Return the groups with what the templates need to draw each field."""
        return [DrawnGroup(group, [self._drawn(spec) for spec in group.fields]) for group in self.groups]

    def _drawn(self, spec: Field) -> "DrawnField":
        unit = spec.unit(self.client, self.values) if isinstance(spec, Number) else ""
        value = self.values.get(spec.name, "")
        if not value and isinstance(spec, Choice):
            value = spec.default
        more = {name.removeprefix(spec.name + "."): self.values.get(name, "") for name in spec.more_fields()}
        names = (spec.name, *spec.more_fields())
        errors = [str(e) for name in names for e in self.errors.get(name, [])] if self.is_bound else []
        return DrawnField(spec, value, errors, unit, str(unit_label(unit)) if unit else "", more)


@dataclass(frozen=True)
class DrawnField:
    """One field as a template draws it."""

    spec: Field
    value: str
    errors: list[str]
    unit: str = ""
    unit_text: str = ""
    more: Mapping[str, str] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return element_id(self.spec.name)

    @property
    def template(self) -> str:
        return f"intake/fields/{self.spec.kind}.html"

    @property
    def described_by(self) -> str:
        """Return the ids of error and hint, for aria-describedby."""
        parts = [f"{self.id}-error"] if self.errors else []
        return " ".join([*parts, f"{self.id}-hint"] if self.spec.hint else parts)


@dataclass(frozen=True)
class DrawnGroup:
    group: Group
    fields: list[DrawnField] = field(default_factory=list)

    @property
    def open(self) -> bool:
        """A folded group stands open when something in it was filled in or is wrong."""
        return any(drawn.errors or drawn.value != getattr(drawn.spec, "default", "") for drawn in self.fields)
