"""What a bike of the catalogue may say, checked in one place for form, import and model alike."""

from collections.abc import Iterator, Mapping
from typing import Any, TypeGuard

from django.utils.translation import gettext as _

from intake.catalogue.keys import (
    ADJUSTERS,
    DIRECTIONS,
    FIRST_YEAR,
    LAST_YEAR,
    LONGEST_MAKE,
    LONGEST_MODEL,
    LONGEST_NOTE,
    LONGEST_SOURCE,
    MOST_RANGE,
    MOST_STEP_MM,
    VALUES,
)
from intake.choices import FrontArchitecture, RearArchitecture
from intake.models.catalogue import CatalogueBike
from intake.presentation import plain
from tuning.engine.errors import Fault

_TEXTS = (("make", LONGEST_MAKE, True), ("model", LONGEST_MODEL, True), ("note", LONGEST_NOTE, False))
_OF_VALUE = frozenset({"value", "half_width", "source"})
_OF_ADJUSTER = frozenset({"unit", "place", "counted_from", "range", "step_mm"})


def faults_of(bike: CatalogueBike) -> list[Fault]:
    """Return what is wrong with a bike, all at once; each path is the name of a column (``stroke.front``)."""
    return [*_texts(bike), *_years(bike), *_built(bike), *_values(bike.values), *_adjusters(bike.adjusters)]


def _texts(bike: CatalogueBike) -> Iterator[Fault]:
    for name, longest, needed in _TEXTS:
        text = getattr(bike, name)
        if not isinstance(text, str):
            yield Fault(name, text, "not_text")
        elif needed and not text.strip():
            yield Fault(name, text, "empty")
        elif len(text) > longest:
            yield Fault(name, text, "too_long", {"longest": longest, "length": len(text)})
        elif "\x00" in text:
            yield Fault(name, text.replace("\x00", "\ufffd"), "no_text_character")


def _years(bike: CatalogueBike) -> Iterator[Fault]:
    sound = True
    for name in ("year_from", "year_to"):
        year = getattr(bike, name)
        if year is None:
            continue
        if isinstance(year, bool) or not isinstance(year, int) or not FIRST_YEAR <= year <= LAST_YEAR:
            sound = False
            yield Fault(name, year, "not_a_year", {"low": FIRST_YEAR, "high": LAST_YEAR})
    if sound and bike.year_from and bike.year_to and bike.year_from > bike.year_to:
        yield Fault("year_to", bike.year_to, "years_turned_round", {"first": bike.year_from})


def _built(bike: CatalogueBike) -> Iterator[Fault]:
    for name, known in (("front", FrontArchitecture.values), ("rear", RearArchitecture.values)):
        if getattr(bike, name) not in known:
            yield Fault(name, getattr(bike, name), "not_one_of", {"known": ", ".join(known)})


def _values(values: Any) -> Iterator[Fault]:
    if not isinstance(values, Mapping):
        yield Fault("values", values, "not_an_object")
        return
    for key, row in values.items():
        known = VALUES.get(key)
        if known is None:
            yield Fault(str(key), row, "unknown_quantity", {"known": ", ".join(VALUES)})
            continue
        if not isinstance(row, Mapping):
            yield Fault(key, row, "not_an_object")
            continue
        for name in row.keys() - _OF_VALUE:
            yield Fault(f"{key}.{name}", row[name], "unknown_column")
        value, half, source = row.get("value"), row.get("half_width", 0), row.get("source", "")
        if not _is_number(value):
            yield Fault(key, value, "not_a_number")
        elif not known.of.low <= value <= known.of.high:
            yield Fault(key, value, "beyond", {"low": known.of.low, "high": known.of.high, "unit": known.unit})
        if not _is_number(half):
            yield Fault(f"{key}.half_width", half, "not_a_number")
        elif not 0 <= half <= known.widest:
            params = {"low": 0, "high": known.widest, "unit": known.unit}
            yield Fault(f"{key}.half_width", half, "beyond", params)
        yield from _short(f"{key}.source", source, LONGEST_SOURCE)


def _adjusters(adjusters: Any) -> Iterator[Fault]:
    if not isinstance(adjusters, Mapping):
        yield Fault("adjusters", adjusters, "not_an_object")
        return
    for key, row in adjusters.items():
        known = ADJUSTERS.get(key)
        if known is None:
            yield Fault(str(key), row, "unknown_adjuster", {"known": ", ".join(ADJUSTERS)})
            continue
        if not isinstance(row, Mapping):
            yield Fault(key, row, "not_an_object")
            continue
        for name in row.keys() - _OF_ADJUSTER:
            yield Fault(f"{key}.{name}", row[name], "unknown_column")
        if row.get("unit") not in known.units:
            yield Fault(f"{key}.unit", row.get("unit"), "not_one_of", {"known": ", ".join(known.units)})
        if row.get("counted_from", "closed") not in DIRECTIONS:
            params = {"known": ", ".join(DIRECTIONS)}
            yield Fault(f"{key}.counted_from", row.get("counted_from"), "not_one_of", params)
        if row.get("place", "") not in ("", *known.places):
            yield Fault(f"{key}.place", row.get("place"), "not_one_of", {"known": ", ".join(known.places)})
        for name, most, unit in (("range", MOST_RANGE, ""), ("step_mm", MOST_STEP_MM, "mm")):
            number = row.get(name)
            if number is None:
                continue
            if not _is_number(number):
                yield Fault(f"{key}.{name}", number, "not_a_number")
            elif not 0 < number <= most:
                yield Fault(f"{key}.{name}", number, "not_above_nought", {"high": most, "unit": unit})


def _short(path: str, text: Any, longest: int) -> Iterator[Fault]:
    if not isinstance(text, str):
        yield Fault(path, text, "not_text")
    elif len(text) > longest:
        yield Fault(path, text, "too_long", {"longest": longest, "length": len(text)})
    elif "\x00" in text:
        yield Fault(path, text.replace("\x00", "\ufffd"), "no_text_character")


def _is_number(value: Any) -> TypeGuard[float]:
    # Compared, never subtracted: a whole number of a thousand digits is a number, and beyond every limit.
    return isinstance(value, int | float) and not isinstance(value, bool) and value == value


def words_for(fault: Fault) -> str:
    """Return what is wrong with a column and the way out, in the reader's language."""
    if fault.reason == "said":
        return str(fault.params["says"])
    texts = {
        "not_text": _("This has to be text."),
        "empty": _("This is needed: a bike is found by make and model."),
        "too_long": _("%(length)s characters; at most %(longest)s can be kept."),
        "no_text_character": _("A character in this cannot be kept. Please write it again."),
        "not_a_year": _("A year from %(low)s to %(high)s, or nothing."),
        "years_turned_round": _("The last year lies before the first, %(first)s."),
        "not_one_of": _("Has to be one of: %(known)s."),
        "not_an_object": _("This is no list of named values."),
        "unknown_quantity": _("The catalogue knows no such figure. It knows: %(known)s."),
        "unknown_adjuster": _("The catalogue knows no such adjuster. It knows: %(known)s."),
        "unknown_column": _("No such column."),
        "not_a_number": _("This is not a number that can be read."),
        "beyond": _("Has to lie from %(low)s to %(high)s %(unit)s."),
        "not_above_nought": _("Has to be above nought and at most %(high)s %(unit)s."),
        "without_value": _("There is no value in the column %(column)s that this would belong to."),
        "without_unit": _("Say what it is counted in, in the column %(column)s."),
        "twice": _("The same make, model and first year as row %(row)s."),
        "not_a_cell": _("Has to be a text or a number."),
        "nothing": _("There is nothing in it to take in."),
        "too_many_rows": _("At most %(most)s bikes at once. Please divide the file."),
        "not_json": _("This begins like JSON but cannot be read as such; line %(line)s."),
        "not_csv": _("This cannot be read as CSV: a quotation mark is left open, or stands inside a cell."),
        "unknown_schema": _("This is of another version; this catalogue reads version %(known)s."),
        "not_a_list": _("A list of bikes is expected here."),
        "not_a_row": _("A bike is expected here, as column names with values."),
        "column_twice": _("This column is there twice."),
        "column_missing": _("This column is missing."),
        "too_many_cells": _("More cells than the head has columns (%(most)s): is a comma unquoted?"),
        "exists": _("A bike of this make, model and first year is in the catalogue already."),
    }
    told = {name: plain(value) if isinstance(value, float) else value for name, value in fault.params.items()}
    return (texts[fault.reason] % told).replace(" .", ".")
