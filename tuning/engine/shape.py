"""The shape of JSON documents: which fields an object has, of which type, and what is wrong with one that differs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tuning.engine.errors import Fault
from tuning.engine.validate import MOST_PAIRS, MOST_ROWS, finite, told

#: Objects with more members than this are refused without naming them.
MOST_MEMBERS = 64
TYPES = ("text", "number", "number or null", "integer", "list", "object")


def is_number(value: object) -> bool:
    """Return whether a value is a JSON number; true and false are none."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _fits(value: object, wanted: str) -> bool:
    if wanted == "text":
        return isinstance(value, str)
    if wanted == "list":
        return isinstance(value, list)
    if wanted == "object":
        return isinstance(value, Mapping)
    if wanted == "integer":
        # JSON knows no difference between 2 and 2.0.
        return is_number(value) and (isinstance(value, int) or (isinstance(value, float) and value.is_integer()))
    return is_number(value) or (value is None and wanted == "number or null")


@dataclass(frozen=True, slots=True)
class Shape:
    """An object's fields by name, each with one of TYPES."""

    required: Mapping[str, str]
    optional: Mapping[str, str]

    @property
    def fields(self) -> dict[str, str]:
        return {**self.required, **self.optional}

    def read(self, given: object, path: str, faults: list[Fault]) -> dict[str, Any] | None:
        """Return the fields that are of the right type; add a fault for every other one. None for no object."""
        if not isinstance(given, Mapping):
            faults.append(Fault(path, told(given), "not_an_object"))
            return None
        if len(given) > MOST_MEMBERS:
            faults.append(Fault(path, len(given), "too_many", {"most": MOST_MEMBERS}))
            return None
        return dict(self._read(given, f"{path}." if path else "", faults))

    def _read(self, given: Mapping[Any, Any], prefix: str, faults: list[Fault]) -> Iterator[tuple[str, Any]]:
        fields = self.fields
        for name, value in given.items():
            if name not in fields:
                faults.append(Fault(f"{prefix}{told(name)}", told(value), "unknown_field", {"known": tuple(fields)}))
            elif not _fits(value, fields[name]):
                faults.append(Fault(f"{prefix}{name}", told(value), "wrong_type", {"wanted": fields[name]}))
            elif fields[name] == "integer":
                yield name, int(value)
            elif is_number(value):
                yield name, as_float(value)
            else:
                yield name, value
        for name, wanted in self.required.items():
            if name not in given:
                faults.append(Fault(f"{prefix}{name}", None, "missing_field", {"wanted": wanted}))


def as_float(value: float) -> float:
    """Return a number as a float; an integer beyond all floats as infinity."""
    return float(value) if finite(value) or isinstance(value, float) else float("inf") * (1 if value > 0 else -1)


def rows_of(given: list[Any], path: str, faults: list[Fault], most: int = MOST_ROWS) -> list[tuple[str, Any]]:
    """Return a list's members with their paths; none of a list that is too long."""
    if len(given) > most:
        faults.append(Fault(path, len(given), "too_many", {"most": most}))
        return []
    return [(f"{path}[{index}]", row) for index, row in enumerate(given)]


def pairs_of(given: object, path: str, faults: list[Fault]) -> list[tuple[float, float] | None]:
    """Return a list of pairs of numbers, None (and a fault) in the place of any other member."""
    if not isinstance(given, list):
        faults.append(Fault(path, told(given), "not_a_list"))
        return []
    rows: list[tuple[float, float] | None] = []
    for place, row in rows_of(given, path, faults, MOST_PAIRS):
        if isinstance(row, list) and len(row) == 2 and all(is_number(number) for number in row):
            rows.append((as_float(row[0]), as_float(row[1])))
        else:
            faults.append(Fault(place, told(row), "wrong_type", {"wanted": "pair of numbers"}))
            rows.append(None)
    return rows


def texts_of(given: Mapping[Any, Any], path: str, faults: list[Fault]) -> dict[str, str]:
    """Return the texts of an object by name; add a fault for every member that is none."""
    if len(given) > MOST_MEMBERS:
        faults.append(Fault(path, len(given), "too_many", {"most": MOST_MEMBERS}))
        return {}
    for name, value in given.items():
        if not (isinstance(name, str) and isinstance(value, str)):
            faults.append(Fault(f"{path}.{told(name)}", told(value), "wrong_type", {"wanted": "text"}))
    return {name: value for name, value in given.items() if isinstance(name, str) and isinstance(value, str)}
