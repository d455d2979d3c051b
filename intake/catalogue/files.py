"""The catalogue as a file and back: CSV with one row per bike, or JSON. Nothing is taken in when any row is wrong."""

import csv
import io
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from intake.catalogue import store
from intake.catalogue.rows import COLUMNS, read, row_of, written
from intake.models import CatalogueBike, User
from tuning.engine.errors import EngineInputError, Fault

SCHEMA = 1
MOST_ROWS = 2000
#: As many faults as a page can show and a person can read.
MOST_FAULTS = 200
#: A spreadsheet takes a text that begins so for a formula; a mark before it keeps it a text, and is taken off again.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")


@dataclass(frozen=True, slots=True)
class RowFault:
    """A fault with the row it stands in, counted as in a spreadsheet (the head is row 1); 0: all of the file."""

    row: int
    fault: Fault


class NotTakenIn(ValueError):
    """A file has faults; ``faults`` are all of them, row by row, as far as a page can show."""

    def __init__(self, faults: Iterable[RowFault]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{len(self.faults)} faults")


@dataclass(frozen=True, slots=True)
class TakenIn:
    """How many bikes a file added, changed, and named as they stood."""

    added: int
    changed: int
    same: int


def as_csv(bikes: Iterable[CatalogueBike]) -> str:
    """Return the bikes as CSV with every column."""
    out = io.StringIO()
    sheet = csv.writer(out)
    sheet.writerow(COLUMNS)
    for bike in bikes:
        row = row_of(bike)
        sheet.writerow([_safe(column.kind, written(row[name])) for name, column in COLUMNS.items()])
    return out.getvalue()


def as_json(bikes: Iterable[CatalogueBike]) -> str:
    """Return the bikes as JSON: ``{"schema", "bikes": [row]}``, columns without a value left out."""
    rows = [{name: cell for name, cell in row_of(bike).items() if cell is not None} for bike in bikes]
    return json.dumps({"schema": SCHEMA, "bikes": rows}, ensure_ascii=False, indent=1)


def _safe(kind: str, text: str) -> str:
    return f"'{text}" if kind == "text" and text.startswith(_FORMULA) else text


def _unsafe(text: str) -> str:
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text


@transaction.atomic
def take_in(text: str, by: User | None) -> TakenIn:
    """Add the bikes of a file, and change those of the same make, model and first year. A CSV column that the file
    does not have stays as it stands. Raises NotTakenIn with all faults; then nothing was taken in."""
    rows, whole = _rows_of(text)
    standing = {_identity(bike): bike for bike in CatalogueBike.objects.select_for_update()}
    faults: list[RowFault] = []
    ready: list[tuple[CatalogueBike, dict[str, Any]]] = []
    seen: dict[tuple[str, str, int | None], int] = {}
    for number, given in rows:
        bike = _by_identity(given, standing)
        row = {**_kept(bike, given, whole), **given}
        trial = CatalogueBike()
        found = read(row, trial)
        for name in given:
            if name not in COLUMNS:
                found.append(Fault(str(name), given[name], "unknown_column"))
        key = _identity(trial)
        if not found and key in seen:
            found.append(Fault("model", trial.model, "twice", {"row": seen[key]}))
        seen.setdefault(key, number)
        faults += [RowFault(number, fault) for fault in found]
        ready.append((bike, row))
    if faults:
        raise NotTakenIn(faults[:MOST_FAULTS])
    counts = {"added": 0, "changed": 0, "same": 0}
    for bike, row in ready:
        try:
            change = store.save(bike, row, by, imported=True)
        except EngineInputError as refused:
            raise NotTakenIn(RowFault(0, fault) for fault in refused.faults) from refused
        counts[change.kind if change else "same"] += 1
    return TakenIn(**counts)


def _kept(bike: CatalogueBike, given: Mapping[str, Any], whole: bool) -> dict[str, Any]:
    """Return what stands of a bike for the columns that a file does not have."""
    return {} if whole or bike.pk is None else {k: v for k, v in row_of(bike).items() if k not in given}


def _identity(bike: CatalogueBike) -> tuple[str, str, int | None]:
    return (bike.make, bike.model, bike.year_from)


def _by_identity(
    given: Mapping[str, Any], standing: Mapping[tuple[str, str, int | None], CatalogueBike]
) -> CatalogueBike:
    trial = CatalogueBike()
    read({name: given.get(name) for name in ("make", "model", "year_from")}, trial)
    return standing.get(_identity(trial)) or CatalogueBike()


def _rows_of(text: str) -> tuple[list[tuple[int, dict[str, Any]]], bool]:
    """Return the rows of a file with their numbers, and whether a column not named is one without a value."""
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise NotTakenIn([RowFault(0, Fault("", None, "nothing"))])
    is_json = text.lstrip()[0] in "{["
    rows = _from_json(text) if is_json else _from_csv(text)
    if not rows:
        raise NotTakenIn([RowFault(0, Fault("", None, "nothing"))])
    if len(rows) > MOST_ROWS:
        raise NotTakenIn([RowFault(0, Fault("", len(rows), "too_many_rows", {"most": MOST_ROWS}))])
    return rows, is_json


def _from_json(text: str) -> list[tuple[int, dict[str, Any]]]:
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", 0)
        raise NotTakenIn([RowFault(0, Fault("", None, "not_json", {"line": line}))]) from error
    if isinstance(document, Mapping):
        if document.get("schema") != SCHEMA:
            params = {"known": SCHEMA}
            raise NotTakenIn([RowFault(0, Fault("schema", document.get("schema"), "unknown_schema", params))])
        document = document.get("bikes")
    if not isinstance(document, list):
        raise NotTakenIn([RowFault(0, Fault("bikes", document, "not_a_list"))])
    wrong = [
        RowFault(n, Fault("", row, "not_a_row")) for n, row in enumerate(document, 1) if not isinstance(row, dict)
    ]
    if wrong:
        raise NotTakenIn(wrong[:MOST_FAULTS])
    return list(enumerate(document, 1))


def _from_csv(text: str) -> list[tuple[int, dict[str, Any]]]:
    first = text.lstrip("\r\n").splitlines()[0]
    mark = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error as error:
        raise NotTakenIn([RowFault(0, Fault("", None, "not_csv"))]) from error
    lines_with_number = [(n, line) for n, line in enumerate(lines, 1) if any(cell.strip() for cell in line)]
    number, head = lines_with_number[0][0], [name.strip() for name in lines_with_number[0][1]]
    while head and not head[-1]:
        head.pop()
    faults = [Fault(name, name, "unknown_column") for name in head if name not in COLUMNS]
    faults += [Fault(name, name, "column_twice") for name in dict.fromkeys(head) if head.count(name) > 1]
    faults += [Fault(name, None, "column_missing") for name in ("make", "model", "front", "rear") if name not in head]
    if faults:
        raise NotTakenIn([RowFault(number, fault) for fault in faults[:MOST_FAULTS]])
    rows, wrong = [], []
    for n, line in lines_with_number[1:]:
        if any(cell.strip() for cell in line[len(head) :]):
            wrong.append(RowFault(n, Fault("", len(line), "too_many_cells", {"most": len(head)})))
        cells = dict(zip(head, [*line, *[""] * len(head)], strict=False))
        rows.append((n, {k: _unsafe(v) if COLUMNS[k].kind == "text" else v for k, v in cells.items()}))
    if wrong:
        raise NotTakenIn(wrong[:MOST_FAULTS])
    return rows
