"""Write docs/reference-checks.md: what the engine was checked against. ``python -m tests.reference``."""

import math
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from tests.reference.rows import HERE, SEEN, Row, load_rows
from tuning.engine.formulas import FORMULAS

PAGE = HERE.parent.parent / "docs" / "reference-checks.md"
_TOP = """# Reference checks

What the engine computes, against figures from print, from independent libraries, or worked by hand. Written by
`python -m tests.reference` from `tests/reference/data/`; `tests/reference/test_rows.py` fails when a check does, or
when this page is stale. "Seen" says how the source was: read, read in a transcription, derived here from such
figures, or quoted from memory.
"""
_HEAD = (
    "| check | formula | source | seen | expected | got | difference | tolerance |\n|---|---|---|---|--:|--:|--:|--:|"
)
_DIGITS = 12  # of 15 a double holds: the rest is the order of summation, and differs between machines


def figure(value: float, tolerance: float) -> str:
    """Return ``value`` to two figures beyond the tolerance's first, and no more than twelve in all."""
    places = 2 - math.floor(math.log10(tolerance))
    if value:
        places = min(places, _DIGITS - 1 - math.floor(math.log10(abs(value))))
    rounded = round(value, places) + 0.0  # no minus zero
    if not rounded:
        return "0"
    shown = f"{rounded:.{max(places, 0)}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _difference(row: Row, got: float) -> str:
    # Judged against the expected value's own last figures, so that rounding noise is nought on every machine.
    floor = max(row.tolerance, abs(row.raw["expected"]) * 10.0 ** (3 - _DIGITS))
    return figure(got - row.raw["expected"], floor)


def _line(row: Row) -> str:
    raw, got = row.raw, row.got()
    unit = "" if raw["unit"] == "1" else f" {raw['unit']}"
    formula = FORMULAS.get(raw["formula"])
    allowed = f"{raw['abs']:g}{unit}" if "abs" in raw else f"{raw['rel']:g} of it"
    cells = (
        raw["id"],
        formula.statement if formula else raw["formula"],
        raw["source"],
        raw["seen"],
        f"{raw['expected']!r}{unit}",
        figure(got, row.tolerance or 1e-12),
        _difference(row, got),
        allowed,
    )
    return "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"


def text(rows: Iterable[Row]) -> str:
    """Return the whole page."""
    by_topic: dict[str, list[str]] = {}
    seen: Counter[str] = Counter()
    for row in rows:
        by_topic.setdefault(row.topic, []).append(_line(row))
        seen[row.raw["seen"]] += 1
    counts = ", ".join(f"{seen[way]} {way}" for way in SEEN if seen[way])
    parts = [
        f"{_TOP}\n{seen.total()} checks: {counts}.\n",
        *(f"## {topic}\n\n{_HEAD}\n" + "\n".join(lines) + "\n" for topic, lines in by_topic.items()),
    ]
    return "\n".join(parts)


def main(page: Path = PAGE) -> None:
    page.write_text(text(load_rows()), encoding="utf-8")


if __name__ == "__main__":
    main()
