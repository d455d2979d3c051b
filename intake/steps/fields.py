"""What a step asks for, declared: each field says what it is of, and makes its own Django form field.

A step's text is kept as typed. A measurement carries the unit it was typed in beside it (``<name>.unit``), so that
changing one's units later never turns 4.5 inches into 4.5 millimetres.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from intake import doubts
from intake.models import Client
from intake.steps.numbers import NumberField as NumberField
from tuning.engine.quantities import QUANTITIES
from tuning.engine.units import UNITS

UNIT_SUFFIX = ".unit"
#: What stands for a character that could not be read or cannot be kept (Unicode's replacement character).
LOST = "\ufffd"


def element_id(name: str) -> str:
    """Return the id of the element that a field of this name is drawn with."""
    return "f-" + name.replace(".", "-")


@dataclass(frozen=True, kw_only=True)
class Field:
    """One thing asked. ``name`` is the HTML name; ``kind`` picks the template that draws it.

    only_if: another field of the step and the answers that make this one a question. With any other answer it is not
    shown, read or complained about; its text stays. While the other field is open, nothing is ruled out.
    """

    name: str
    label: Any
    hint: Any = ""
    required: Any = ""  # what to say when it is left empty; empty: may be left out
    only_if: tuple[str, frozenset[str]] | None = None
    kind: ClassVar[str] = "text"

    def is_asked(self, values: Mapping[str, str]) -> bool:
        """Say whether the answers of the step, raw by name, leave this a question."""
        if self.only_if is None:
            return True
        name, answers = self.only_if
        return values.get(name, "") in {"", *answers}

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
            "error_messages": {
                "required": self.required,
                "invalid_choice": _("Please choose one of the answers."),
                "max_length": _(
                    "This is %(show_value)d characters long, and %(limit_value)d can be kept. Please shorten it."
                ),
            },
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
        beyond = _("Please write a whole number from %(low)d to %(high)d.") % {"low": self.low, "high": self.high}
        options["error_messages"] |= {
            "invalid": _("Digits only, please."),
            "min_value": beyond,
            "max_value": beyond,
        }
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

    def keypad(self, unit: str) -> str:
        """Return the ``inputmode`` whose keys can write any number of this field in ``unit``.

        Phones' decimal keypads have digits and one separator: no slash, no space, often no minus. So inches, read in
        fractions, and what may be below nought get the plain keyboard.
        """
        if self.signed or self.low is None or self.low < 0 or unit in {"in", "ft"}:
            return "text"
        return "decimal"

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
            low=self.low,
            high=self.high,
            usual=self.usual(),
            **self.options(),
        )

    def usual(self) -> tuple[float, float] | None:
        """Return where such a number usually lies, canonical; None: anywhere within its limits."""
        return None


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

    def keypad(self, unit: str) -> str:
        """Return the keypad; what is counted in ones (years) has whole numbers only."""
        return "numeric" if self.dimension == "count" else super().keypad(unit)

    def usual(self) -> tuple[float, float] | None:
        return doubts.usual(self.quantity, self.end)


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
    #: Folded even though it holds what is on record: nobody has to look into it here.
    shut: bool = False
    layout: str = ""
    #: A drawing of ``intake.guides.pictures``.
    drawing: str = ""
