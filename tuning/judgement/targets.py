"""Default target bands per discipline, read from ``data/targets.toml`` and checked as they are read."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from tuning.engine.case import DISCIPLINES, Case
from tuning.judgement.model import Target

DATA = Path(__file__).parent / "data"


class DataError(ValueError):
    """A data file of the judgement says something that cannot be: file, id and reason."""

    def __init__(self, file: str, entry: str, reason: str) -> None:
        super().__init__(f"{file}: {entry}: {reason}")


def read(file: str) -> dict[str, Any]:
    """Return a data file's content. Raises DataError when it is not TOML."""
    try:
        return tomllib.loads((DATA / file).read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise DataError(file, "file", str(error)) from error


@cache
def bands() -> Mapping[str, Mapping[str, tuple[str, float, float, str]]]:
    """Return, per discipline and derived key, (unit "mm" or "share", low, high, source)."""
    raw = read("targets.toml")
    if set(raw) != set(DISCIPLINES):
        raise DataError("targets.toml", "disciplines", f"wanted exactly {sorted(DISCIPLINES)}")
    return {discipline: _bands_of(raw, discipline) for discipline in raw}


def _bands_of(raw: Mapping[str, Any], discipline: str) -> dict[str, tuple[str, float, float, str]]:
    rows = raw[discipline]
    if "like" in rows:
        return _bands_of(raw, rows["like"])
    source = rows.get("source")
    if not source:
        raise DataError("targets.toml", discipline, "names no source")
    found = {}
    for key, band in rows.items():
        if key == "source":
            continue
        ((unit, (low, high)),) = band.items()
        if unit not in {"mm", "share"} or not low < high:
            raise DataError("targets.toml", f"{discipline} {key}", "wants mm or share = [low, high]")
        found[key] = (unit, float(low), float(high), source)
    return found


def targets_for(case: Case) -> tuple[Target, ...]:
    """Return the targets of a case in mm; a band given as a share of travel needs the stroke, else it is left out."""
    strokes = {row.end: row.value for row in case.readings if row.quantity == "stroke"}
    targets = []
    for key, (unit, low, high, source) in bands()[case.discipline].items():
        if unit == "mm":
            targets.append(Target(key, low, high, "mm", source))
        elif (stroke := strokes.get(key.split(".")[1])) is not None:
            targets.append(Target(key, low * stroke, high * stroke, "mm", source))
    return tuple(targets)
