"""Reference rows: published or independently worked figures, and the engine functions that must reproduce them.

``data/<topic>.json`` is a list of rows; ``compute_<topic>.py`` holds ``COMPUTE``, a mapping from the name a row asks
for to a function of the row's ``given``. Expected values never come from the engine.
"""

import importlib
import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
SEEN = ("read", "transcribed", "derived", "from memory")
REQUIRED = ("id", "formula", "compute", "given", "expected", "unit", "source", "seen")
OPTIONAL = ("abs", "rel", "note")

Compute = Callable[[dict[str, Any]], float]


class BadRow(ValueError):
    """A row, or the code it names, that cannot be checked; the message says which and why."""


@dataclass(frozen=True, slots=True)
class Row:
    """One check: what is given, what must come out, how closely, and who says so."""

    topic: str
    raw: Mapping[str, Any]

    @property
    def name(self) -> str:
        return f"{self.topic}:{self.raw.get('id', '?')}"

    def problems(self) -> list[str]:
        """Return what is wrong with the row as written, in words; empty when it can be run."""
        raw = self.raw
        found = [f"no {key}" for key in REQUIRED if key not in raw]
        found += [f"unknown key {key!r}" for key in raw if key not in REQUIRED + OPTIONAL]
        texts = ("id", "formula", "compute", "unit", "source", "seen")
        found += [
            f"{key} is empty" for key in texts if key in raw and not (isinstance(raw[key], str) and raw[key].strip())
        ]
        if raw.get("seen") not in (None, "", *SEEN):
            found.append(f"seen is {raw['seen']!r}, not one of {', '.join(SEEN)}")
        if "expected" in raw and not _finite(raw["expected"]):
            found.append(f"expected is {raw['expected']!r}, not a finite number")
        if not isinstance(raw.get("given", {}), dict):
            found.append("given is not an object")
        tolerances = [key for key in ("abs", "rel") if key in raw]
        if len(tolerances) != 1:
            found.append("wants one tolerance, abs or rel")
        elif not (_finite(raw[tolerances[0]]) and raw[tolerances[0]] > 0):
            found.append(f"{tolerances[0]} is {raw[tolerances[0]]!r}, not a positive number")
        return found

    @property
    def tolerance(self) -> float:
        """Return the tolerance in the row's own unit."""
        return float(self.raw["abs"]) if "abs" in self.raw else abs(self.raw["rel"] * self.raw["expected"])

    def got(self) -> float:
        """Return what the engine gives. Raises BadRow when the row is incomplete or names no known function."""
        if wrong := self.problems():
            raise BadRow(f"{self.name}: {'; '.join(wrong)}")
        value = compute(self.raw["compute"], self.name)(dict(self.raw["given"]))
        return float(value)


def _finite(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


@cache
def load_rows(folder: Path = HERE / "data") -> tuple[Row, ...]:
    """Return every row of every list in ``folder``, by file and then as written; other shapes are not rows."""
    rows: list[Row] = []
    for path in sorted(folder.glob("*.json")):
        content = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(content, list):
            rows += [Row(path.stem, raw) for raw in content]
    return tuple(rows)


@cache
def modules() -> Mapping[str, Mapping[str, Compute] | Exception]:
    """Return COMPUTE of every compute_*.py; in its place the error of one that does not import.

    One broken file then fails its own rows, and the others are still checked.
    """
    found: dict[str, Mapping[str, Compute] | Exception] = {}
    for path in sorted(HERE.glob("compute_*.py")):
        try:
            found[path.stem] = importlib.import_module(f"tests.reference.{path.stem}").COMPUTE
        except Exception as error:  # noqa: BLE001 - whatever an import raises is shown where it matters
            found[path.stem] = error
    return found


def compute(name: str, asked_by: str) -> Compute:
    """Return the function called ``name``. Raises BadRow when none or more than one is called so."""
    loaded = {module: table for module, table in modules().items() if not isinstance(table, Exception)}
    homes = [module for module, table in loaded.items() if name in table]
    if len(homes) == 1:
        return loaded[homes[0]][name]
    if homes:
        raise BadRow(f"{asked_by}: compute {name!r} is in {' and in '.join(homes)}; names are shared by all topics")
    broken = [f"{module} does not import ({table!r})" for module, table in modules().items() if module not in loaded]
    known = ", ".join(sorted(key for table in loaded.values() for key in table))
    raise BadRow("; ".join([f"{asked_by}: no compute {name!r} in compute_*.py", *broken, f"known: {known}"]))
