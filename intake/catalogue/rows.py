"""A bike of the catalogue as one flat row: the columns of form, CSV and JSON alike, and back again.

What cannot be read stays in the row as given, with a fault at its column.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from intake import typed, words
from intake.catalogue.keys import ADJUSTERS, FIRST_YEAR, LAST_YEAR, MOST_RANGE, MOST_STEP_MM, VALUES
from intake.catalogue.rules import faults_of
from intake.choices import FrontArchitecture, RearArchitecture
from intake.models.catalogue import CatalogueBike
from tuning.engine.errors import Fault
from tuning.engine.units import UNITS

Cell = str | float | int | None
#: Digits behind the point that a canonical number is kept with, so that it is written and read back the same.
DIGITS = 6


@dataclass(frozen=True, slots=True)
class Column:
    """One column. kind: "text", "year", "number" or "choice"; unit and limits of a number, canonical; choices."""

    name: str
    kind: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()


def _columns() -> Iterator[Column]:
    yield Column("make", "text")
    yield Column("model", "text")
    yield Column("year_from", "year", low=FIRST_YEAR, high=LAST_YEAR)
    yield Column("year_to", "year", low=FIRST_YEAR, high=LAST_YEAR)
    yield Column("front", "choice", choices=tuple(FrontArchitecture.values))
    yield Column("rear", "choice", choices=tuple(RearArchitecture.values))
    yield Column("note", "text")
    for key, known in VALUES.items():
        yield Column(key, "number", known.unit, known.of.low, known.of.high)
        yield Column(f"{key}.half_width", "number", known.unit, 0, known.widest)
        yield Column(f"{key}.source", "text")
    for key, adjuster in ADJUSTERS.items():
        yield Column(f"{key}.unit", "choice", choices=adjuster.units)
        yield Column(f"{key}.place", "choice", choices=adjuster.places)
        yield Column(f"{key}.counted_from", "choice", choices=("closed", "open"))
        yield Column(f"{key}.range", "number", "1", 0, MOST_RANGE)
        yield Column(f"{key}.step_mm", "number", "mm", 0, MOST_STEP_MM)


#: In the order of a file; new ones go to the end of their kind.
COLUMNS: Mapping[str, Column] = {column.name: column for column in _columns()}


def row_of(bike: CatalogueBike) -> dict[str, Cell]:
    """Return a bike as a row with every column; None where nothing is known."""
    row: dict[str, Cell] = {
        "make": bike.make,
        "model": bike.model,
        "year_from": bike.year_from,
        "year_to": bike.year_to,
        "front": bike.front,
        "rear": bike.rear,
        "note": bike.note or None,
    }
    for key in VALUES:
        value = bike.values.get(key) or {}
        row[key] = value.get("value")
        row[f"{key}.half_width"] = value.get("half_width") or None
        row[f"{key}.source"] = value.get("source") or None
    for key in ADJUSTERS:
        told = bike.adjusters.get(key) or {}
        row[f"{key}.unit"] = told.get("unit")
        row[f"{key}.place"] = told.get("place") or None
        row[f"{key}.counted_from"] = told.get("counted_from")
        row[f"{key}.range"] = told.get("range")
        row[f"{key}.step_mm"] = told.get("step_mm")
    return row


def written(cell: Cell) -> str:
    """Return a cell as text that reads back as the same: a point for the decimal sign, no grouping."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    text = f"{cell:.{DIGITS}f}".rstrip("0").rstrip(".") if isinstance(cell, float) else str(cell)
    return "0" if text == "-0" else text


def read(row: Mapping[str, Any], bike: CatalogueBike) -> list[Fault]:
    """Put a row into a bike, unsaved, and return everything that is wrong with it, column by column."""
    faults: list[Fault] = []
    cells = {name: _cell(column, row.get(name), faults) for name, column in COLUMNS.items()}
    unread = {fault.path for fault in faults}
    for name in ("make", "model", "note"):
        setattr(bike, name, cells[name] or "")
    for name in ("year_from", "year_to"):
        setattr(bike, name, cells[name])
    bike.front, bike.rear = str(cells["front"] or ""), str(cells["rear"] or "")
    bike.values = dict(_values(cells, unread, faults))
    bike.adjusters = dict(_adjusters(cells, unread, faults))
    faults += [fault for fault in faults_of(bike) if fault.path not in unread]
    order = list(COLUMNS)
    return sorted(faults, key=lambda fault: order.index(fault.path) if fault.path in COLUMNS else len(order))


def _cell(column: Column, given: Any, faults: list[Fault]) -> Any:
    if given is None or (isinstance(given, str) and not given.strip()):
        return None
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        faults.append(Fault(column.name, given, "not_a_cell"))
        return None
    if column.kind in {"text", "choice"}:
        if not isinstance(given, str):
            given = written(given)
        return given.strip().replace("\r\n", "\n")
    if column.kind == "year":
        return _year(column, given, faults)
    return _number(column, given, faults)


def _year(column: Column, given: str | float, faults: list[Fault]) -> int | None:
    text = str(given).strip()
    if text.isascii() and text.isdigit() and len(text) <= 4:
        return int(text)
    faults.append(Fault(column.name, given, "not_a_year", {"low": FIRST_YEAR, "high": LAST_YEAR}))
    return None


def _number(column: Column, given: str | float, faults: list[Fault]) -> float | None:
    if isinstance(given, str):
        dimension = "ratio" if column.unit == "1" else UNITS[column.unit].dimension
        try:
            return round(typed.parse(given, dimension, column.unit, (column.low, column.high)).canonical, DIGITS)
        except typed.NotANumber as problem:
            faults.append(Fault(column.name, given, "said", {"says": str(words.not_a_number(problem, column.unit))}))
            return None
    try:
        number = float(given)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        faults.append(Fault(column.name, str(given)[:40], "not_a_number"))
        return None
    return round(number, DIGITS)


def _values(cells: Mapping[str, Any], unread: set[str], faults: list[Fault]) -> Iterator[tuple[str, dict[str, Any]]]:
    for key in VALUES:
        beside = {name: cells[f"{key}.{name}"] for name in ("half_width", "source")}
        if cells[key] is not None:
            half, source = beside["half_width"] or 0.0, beside["source"] or ""
            yield key, {"value": cells[key], "half_width": half, "source": source}
        elif key not in unread:
            for name, cell in beside.items():
                if cell is not None:
                    faults.append(Fault(f"{key}.{name}", cell, "without_value", {"column": key}))


def _adjusters(
    cells: Mapping[str, Any], unread: set[str], faults: list[Fault]
) -> Iterator[tuple[str, dict[str, Any]]]:
    for key in ADJUSTERS:
        told = {name: cells[f"{key}.{name}"] for name in ("place", "counted_from", "range", "step_mm")}
        unit = cells[f"{key}.unit"]
        if unit is not None:
            told["place"] = told["place"] or ""
            told["counted_from"] = told["counted_from"] or usual_direction(key, str(unit))
            yield key, {"unit": unit, **told}
        elif any(cell is not None for cell in told.values()):
            faults.append(Fault(f"{key}.unit", None, "without_unit", {"column": f"{key}.unit"}))


def usual_direction(key: str, unit: str) -> str:
    """Return which way an adjuster is counted as a rule: preload from fully soft, lines and clickers from closed."""
    preload = ADJUSTERS[key].kind == "preload"
    return "open" if preload and unit != "line" else "closed"
