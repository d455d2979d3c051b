"""The catalogue of bikes as the desk shows it: a list, a form, and a start from a request."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils.html import format_html_join
from django.utils.translation import gettext as _

from intake import words
from intake.case import current_readings
from intake.catalogue.keys import ADJUSTERS, VALUES
from intake.catalogue.lookup import words_of
from intake.catalogue.rows import COLUMNS, DIGITS, Cell, written
from intake.catalogue.rules import words_for
from intake.choices import FrontArchitecture, RearArchitecture
from intake.models import CatalogueBike, CatalogueChange, SetupRequest
from intake.presentation import unit_label
from tuning.engine.errors import Fault

PER_PAGE = 50
#: What is typed is kept this far, also where it is too long to hold.
MOST_KEPT = 2000
TRAIL_SHOWN = 20


def found(text: str, number: str) -> Page[CatalogueBike]:
    """Return a page of the bikes that every word fits; a page that is not there is the nearest. Two queries."""
    query = CatalogueBike.objects.select_related("changed_by")
    for word in words_of(text):
        query = query.filter(search__contains=word)
    page: Page[CatalogueBike] = Paginator(query, PER_PAGE).get_page(number if number.isascii() else "1")
    return page


@dataclass(slots=True)
class Slot:
    """One field of the form. kind: "text", "long", "number" or "choice"; hint: limits of a number in words."""

    name: str
    label: str
    kind: str
    value: str = ""
    unit: str = ""
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    error: str = ""

    @property
    def id(self) -> str:
        return self.name.replace(".", "-")


@dataclass(slots=True)
class Block:
    """Fields that belong together under one name; told: whether any of them says something."""

    name: str
    cells: list[Slot]

    @property
    def told(self) -> bool:
        return any(cell.value or cell.error for cell in self.cells)


@dataclass(slots=True)
class Form:
    """A bike as a form; loose: refusals that belong to none of its fields."""

    what: list[Slot]
    values: list[Block]
    adjusters: list[Block]
    loose: list[str] = field(default_factory=list)

    def cells(self) -> Iterator[tuple[str, Slot]]:
        """Yield every field with the name of what it is about, "" for what the bike is."""
        yield from (("", cell) for cell in self.what)
        for block in (*self.values, *self.adjusters):
            yield from ((block.name, cell) for cell in block.cells)

    @property
    def errors(self) -> list[tuple[str, str, str]]:
        """(id of the field, what it is, why it is refused) of each field that is."""
        return [
            (cell.id, f"{about}: {cell.label}" if about else cell.label, cell.error)
            for about, cell in self.cells()
            if cell.error
        ]


def form_of(row: Mapping[str, Any]) -> Form:
    """Return the form of a row (columns as ``intake.catalogue.rows``), its cells as they stand or were typed."""
    form = Form(list(_what()), [_value(key) for key in VALUES], [_adjuster(key) for key in ADJUSTERS])
    for _about, cell in form.cells():
        cell.value = written(row.get(cell.name))
    return form


def _what() -> Iterator[Slot]:
    yield Slot("make", _("Make"), "text")
    yield Slot("model", _("Model"), "text")
    yield Slot("year_from", _("Built from"), "number", hint=_("The first year; empty when it is not known."))
    yield Slot("year_to", _("Built until"), "number", hint=_("The last year; empty while it is still built."))
    yield Slot("front", _("Front end"), "choice", options=_labels(FrontArchitecture.choices))
    yield Slot("rear", _("Rear end"), "choice", options=_labels(RearArchitecture.choices))
    yield Slot("note", _("Note, shown to the client"), "long")


def _labels(choices: Any) -> tuple[tuple[str, str], ...]:
    return tuple((str(value), str(label)) for value, label in choices)


def _value(key: str) -> Block:
    known = VALUES[key]
    unit = str(unit_label(known.unit))
    limits = {"low": written(float(known.of.low)), "high": written(float(known.of.high)), "unit": unit}
    return Block(
        words.quantity_name(known.quantity, known.end, known.leg),
        [
            Slot(key, _("Value"), "number", unit=unit, hint=_("%(low)s to %(high)s %(unit)s") % limits),
            Slot(f"{key}.half_width", _("Give or take"), "number", unit=unit),
            Slot(f"{key}.source", _("Source"), "text"),
        ],
    )


def _adjuster(key: str) -> Block:
    known = ADJUSTERS[key]
    directions = (("closed", _("out from fully in")), ("open", _("in from fully out")))
    return Block(
        words.adjuster_name(key),
        [
            Slot(f"{key}.unit", _("Counted in"), "choice", options=tuple((u, str(_unit(u))) for u in known.units)),
            Slot(f"{key}.place", _("Place"), "choice", options=tuple((p, _place(p)) for p in known.places)),
            Slot(f"{key}.counted_from", _("Counted"), "choice", options=directions),
            Slot(f"{key}.range", _("Whole range"), "number"),
            Slot(f"{key}.step_mm", _("One of them moves the spring by"), "number", unit="mm"),
        ],
    )


def _unit(unit: str) -> str:
    return _("mode") if unit == "mode" else str(unit_label(unit))


def _place(place: str) -> str:
    return {
        "cap": _("at the cap"),
        "bottom": _("at the bottom"),
        "body": _("on the shock"),
        "remote": _("a knob on a hose"),
        "display": _("button or display"),
    }[place]


def posted(post: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed, by column; nothing typed is lost by being refused."""
    return {name: post.get(name, "").replace("\x00", "\ufffd").strip()[:MOST_KEPT] for name in COLUMNS}


def place(form: Form, faults: tuple[Fault, ...]) -> None:
    """Put each refusal at its field; the others stand loose."""
    at = {cell.name: cell for _about, cell in form.cells()}
    for fault in faults:
        text = words_for(fault)
        if fault.path in at:
            at[fault.path].error = " ".join(filter(None, [at[fault.path].error, text]))
        else:
            form.loose.append(f"{fault.path}: {text}" if fault.path else text)


def from_request(request: SetupRequest) -> dict[str, Cell]:
    """Return the row that a request's bike would make, for a tuner to check: what its client measured and told."""
    bike = request.bike
    make, _space, model = bike.name.strip().partition(" ")
    row: dict[str, Cell] = {
        "make": make,
        "model": model.strip(),
        "year_from": bike.year,
        "year_to": bike.year,
        "front": bike.front,
        "rear": bike.rear,
    }
    round_ = request.round()
    round_.request = request
    source = _("%(reference)s, as its client told it") % {"reference": request.reference}
    for reading in current_readings(round_):
        if reading.key() in VALUES:
            row[reading.key()] = round(reading.value, DIGITS)
            row[f"{reading.key()}.half_width"] = round(reading.half_width, DIGITS) or None
            row[f"{reading.key()}.source"] = source
    for adjuster in bike.adjusters.all():
        known = ADJUSTERS.get(adjuster.key)
        if known is None or adjuster.unit not in known.units:
            continue
        row[f"{adjuster.key}.unit"] = adjuster.unit
        row[f"{adjuster.key}.place"] = adjuster.place if adjuster.place in known.places else None
        row[f"{adjuster.key}.counted_from"] = adjuster.counted_from
        row[f"{adjuster.key}.range"] = adjuster.range_counted
        row[f"{adjuster.key}.step_mm"] = adjuster.step_mm
    return row


def column_names() -> dict[str, str]:
    """Return the columns in the reader's words: what each is about, and which part of it."""
    return {cell.name: f"{about}: {cell.label}" if about else cell.label for about, cell in form_of({}).cells()}


def documented() -> list[tuple[str, str, str]]:
    """Return each column of a file: its name, what it holds, and what is allowed in it, as HTML."""
    rows = []
    allowed: str
    for name, told in column_names().items():
        column = COLUMNS[name]
        if column.kind == "choice":
            allowed = format_html_join(", ", "<code>{}</code>", ((choice,) for choice in column.choices))
        elif column.low is not None and column.high is not None:
            unit = "" if column.unit == "1" else column.unit
            allowed = f"{written(float(column.low))} … {written(float(column.high))} {unit}".strip()
        else:
            allowed = _("text")
        rows.append((name, told, allowed))
    return rows


def trail(bike: CatalogueBike | None = None) -> list[dict[str, Any]]:
    """Return the newest lines of the trail, of one bike or of all: who, and what stood and stands. One query."""
    changes = CatalogueChange.objects.select_related("by")
    if bike is not None:
        changes = changes.filter(bike=bike)
    names = column_names()
    return [
        {
            "change": change,
            "what": _kind(change),
            "who": change.by.signature() if change.by else _("a former tuner"),
            "columns": [
                (names.get(name, name), _shown(was), _shown(now)) for name, (was, now) in change.columns.items()
            ],
        }
        for change in changes[:TRAIL_SHOWN]
    ]


def _shown(cell: Cell) -> str:
    return written(cell) or "–"


def _kind(change: CatalogueChange) -> str:
    kinds = {
        CatalogueChange.Kind.ADDED: _("added"),
        CatalogueChange.Kind.CHANGED: _("changed"),
        CatalogueChange.Kind.REMOVED: _("taken out"),
    }
    return kinds[CatalogueChange.Kind(change.kind)]
