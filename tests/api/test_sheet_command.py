"""``manage.py sheet`` from a document to paper."""

import io
import json
import sqlite3
import subprocess
import sys
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from pypdf import PdfReader

from intake.models import Client, SetupRequest, User
from reports.models import Job
from tests.api.conftest import EXAMPLES, example
from tuning.desk.models import ApprovedDocument

pytestmark = pytest.mark.slow

ROOT = EXAMPLES.parents[1]


def text_of(pdf: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf.read_bytes())).pages)


def run(document: str, *more: str) -> str:
    out = StringIO()
    call_command("sheet", document, *more, stdout=out)
    return out.getvalue()


def refused(document: str) -> list[str]:
    err = StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("sheet", document, stdout=StringIO(), stderr=err)
    assert stopped.value.code == 2
    return err.getvalue().splitlines()


@pytest.fixture
def bad(tmp_path: Path) -> Any:
    def write(document: object) -> str:
        place = tmp_path / "bad.json"
        place.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
        return str(place)

    return write


@pytest.mark.parametrize(
    ("name", "bike", "unit", "width_mm"),
    [
        ("request.json", "Oskarn Vey 640", "mm", 210.0),  # A4 by ISO 216
        ("request-inches.json", "Tarrow Linn 610", "in", 215.9),  # Letter, 8.5 in
    ],
)
def test_whole_way_leaves_a_sheet_and_nothing_else(
    tmp_path: Path, name: str, bike: str, unit: str, width_mm: float
) -> None:
    sheet = tmp_path / "sheet.pdf"
    told = run(str(EXAMPLES / name), "-o", str(sheet))
    assert bike in told
    assert f"\N{NO-BREAK SPACE}{unit}" in told or f" {unit}" in told
    text = text_of(sheet)
    assert bike in text
    assert float(PdfReader(sheet).pages[0].mediabox.width) / 72 * 25.4 == pytest.approx(width_mm, abs=0.5)
    assert [one.name for one in tmp_path.iterdir()] == ["sheet.pdf"]
    for model in (SetupRequest, Client, User, ApprovedDocument, Job):
        assert not model.objects.exists()


def test_what_is_recommended_is_on_the_sheet(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.pdf"
    told = run(str(EXAMPLES / "request.json"), "-o", str(sheet))
    # 44 mm of 120 mm is well beyond a third: the front hangs too low and its preload has turns left.
    assert "1. " in told
    titles = [line.strip().partition(". ")[2] for line in told.splitlines() if line.strip()[:2] in {"1.", "2.", "3."}]
    printed = " ".join(text_of(sheet).split())
    assert titles
    for title in titles:
        assert title in printed


def test_stop_gate_makes_a_do_not_ride_sheet(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.pdf"
    told = run(str(EXAMPLES / "request-stop.json"), "-o", str(sheet))
    assert "STOP" in told
    assert "1. " not in told
    assert "not ride" in text_of(sheet).lower()


def test_without_output_only_text() -> None:
    assert "Oskarn Vey 640" in run(str(EXAMPLES / "request.json"))


def test_reads_stdin(monkeypatch: pytest.MonkeyPatch) -> None:
    body = io.TextIOWrapper(BytesIO((EXAMPLES / "request.json").read_bytes()))
    monkeypatch.setattr(sys, "stdin", body)
    assert "Oskarn Vey 640" in run("-")


def test_every_fault_is_told_with_path_value_and_reason(bad: Any) -> None:
    document = example()
    document["aim"]["discipline"] = "hovering"
    document["readings"][0]["unit"] = "stone"
    lines = refused(bad(document))
    assert len(lines) == 2
    assert any("aim.discipline" in line and "'hovering'" in line and "invalid_choice" in line for line in lines)
    assert any("readings[0].unit" in line and "'stone'" in line for line in lines)


def test_faults_beyond_the_shape_are_told_as_well(bad: Any) -> None:
    document = example()
    document["readings"][0]["value"] = "eighty"
    document["readings"][2]["value"] = "12000"
    lines = refused(bad(document))
    assert [line.partition(":")[0] for line in lines] == ["readings[0].value", "readings[2].value"]


def test_faults_of_shape_and_content_are_told_together_without_any_tables(bad: Any) -> None:
    document = example() | {"consent": False}
    document["aim"]["discipline"] = "hovering"
    document["readings"][0]["value"] = "eighty"
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE intake_client RENAME TO not_here")
    lines = refused(bad(document))
    assert {line.partition(":")[0] for line in lines} == {"aim.discipline", "readings[0].value"}


@pytest.mark.parametrize("body", ["", "{", "[]", "null", "[" * 100_000, '{"words": "' + "a" * 300_000 + '"}'])
def test_what_is_no_document(bad: Any, body: str) -> None:
    assert refused(bad(body))


def test_files_that_are_not_there(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"none\.json"):
        call_command("sheet", str(tmp_path / "none.json"))
    with pytest.raises(CommandError, match="nowhere"):
        call_command(
            "sheet", str(EXAMPLES / "request.json"), "-o", str(tmp_path / "nowhere" / "a.pdf"), stdout=StringIO()
        )


def test_on_a_machine_without_tables(tmp_path: Path) -> None:
    environment = {
        "FARPADDOCK_SECRET_KEY": "only-for-tests-" + "x" * 50,
        "FARPADDOCK_STATE_DIR": str(tmp_path / "state"),
        "PATH": str(Path(sys.executable).parent),
    }
    sheet = tmp_path / "sheet.pdf"
    call = [sys.executable, "manage.py", "sheet", "reports/examples/request.json", "-o", str(sheet)]
    done = subprocess.run(call, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert sheet.read_bytes().startswith(b"%PDF-")
    database = tmp_path / "state" / "farpaddock.sqlite3"
    if database.exists():
        assert sqlite3.connect(database).execute("select count(*) from sqlite_master").fetchone() == (0,)
