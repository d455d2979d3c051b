"""Every published figure against the engine, and the rows themselves against what a row must say."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.reference import __main__ as page
from tests.reference.rows import BadRow, Row, compute, load_rows, modules
from tuning.engine.formulas import FORMULAS

ROWS = load_rows()
GOOD: dict[str, Any] = {
    "id": "x",
    "formula": "f",
    "compute": "no such name",
    "given": {},
    "expected": 1.0,
    "unit": "mm",
    "abs": 0.1,
    "source": "a book",
    "seen": "read",
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_row(row: Row) -> None:
    got = row.got()
    # Not approx(): NaN must fail, and the tolerance is exactly the one written in the row.
    assert abs(got - row.raw["expected"]) <= row.tolerance, f"{row.name}: got {got!r}, {row.raw['source']}"


def test_there_are_rows_and_ids_are_unique() -> None:
    assert ROWS
    assert [name for name, count in Counter(row.name for row in ROWS).items() if count > 1] == []


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_row_is_complete_and_says_its_source(row: Row) -> None:
    assert row.problems() == []


def test_rows_name_known_formulas_and_every_formula_of_the_engine_is_checked() -> None:
    checked = {str(row.raw["formula"]) for row in ROWS}
    assert checked == set(FORMULAS)


@pytest.mark.parametrize("module", modules())
def test_every_compute_function_is_used(module: str) -> None:
    table = modules()[module]
    if isinstance(table, Exception):
        raise table
    used = {row.raw.get("compute") for row in ROWS}
    assert sorted(set(table) - used) == [], f"{module} holds functions no row asks for"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"source": " "}, "source is empty"),
        ({"seen": ""}, "seen is empty"),
        ({"seen": "hearsay"}, "seen is 'hearsay'"),
        ({"abs": 0}, "abs is 0"),
        ({"rel": 0.1}, "one tolerance"),
        ({"expected": "1"}, "expected is '1'"),
        ({"expected": float("nan")}, "expected is nan"),
        ({"tolerence": 1}, "unknown key 'tolerence'"),
        ({}, "no compute 'no such name'"),
    ],
)
def test_a_bad_row_is_refused_in_words(change: dict[str, Any], words: str) -> None:
    with pytest.raises(BadRow, match=words):
        Row("t", GOOD | change).got()


@pytest.mark.parametrize("key", sorted(set(GOOD) - {"abs"}))
def test_a_row_without_a_part_is_refused(key: str) -> None:
    with pytest.raises(BadRow, match=f"no {key}"):
        Row("t", {name: value for name, value in GOOD.items() if name != key}).got()


def test_a_row_without_tolerance_is_refused() -> None:
    with pytest.raises(BadRow, match="one tolerance"):
        Row("t", {name: value for name, value in GOOD.items() if name != "abs"}).got()


def test_a_name_in_two_modules_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    twice = {"compute_a": {"f": lambda _: 1.0}, "compute_b": {"f": lambda _: 2.0}}
    monkeypatch.setattr("tests.reference.rows.modules", lambda: twice)
    with pytest.raises(BadRow, match="compute_a and in compute_b"):
        compute("f", "t:x")


def test_files_that_are_not_lists_are_not_rows(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text('{"rows": []}', encoding="utf-8")
    (tmp_path / "b.json").write_text("[{}]", encoding="utf-8")
    assert [row.topic for row in load_rows(tmp_path)] == ["b"]


def test_the_page_is_not_stale() -> None:
    assert page.PAGE.read_text(encoding="utf-8") == page.text(ROWS), "run python -m tests.reference"


@pytest.mark.parametrize(
    ("value", "tolerance", "shown"),
    [
        (0.40371234567, 5e-5, "0.4037123"),
        (2358.26521, 0.05, "2358.2652"),
        (25.4, 2.54e-11, "25.4"),
        (1e-17, 1e-9, "0"),
        (-1e-17, 1e-9, "0"),
        (-0.0004, 0.01, "-0.0004"),
        (1234567.8, 1000.0, "1234570"),
        (17.3, 0.5, "17.3"),
    ],
)
def test_figures_are_shown_as_finely_as_the_tolerance_asks(value: float, tolerance: float, shown: str) -> None:
    assert page.figure(value, tolerance) == shown
