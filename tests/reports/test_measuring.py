"""The measuring sheet as a PDF: whole, black, on both papers, printed once by a worker and then given to anybody."""

import logging
import re
from io import BytesIO
from itertools import product
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils.translation import override
from pypdf import PdfReader

from intake.guides.sheet import PARTS
from reports import measuring, views

pytestmark = pytest.mark.slow

PAPERS = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (8.5 * 72, 11 * 72)}


@pytest.fixture(scope="module")
def printed() -> dict[str, bytes]:
    return {paper: measuring.render(paper).data for paper in PAPERS}


@pytest.fixture(autouse=True)
def _own_cache(settings: Any) -> None:
    settings.CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "measuring"}
    }
    views.cache.clear()


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_is_two_sides_of_its_paper(printed: dict[str, bytes], paper: str) -> None:
    pages = PdfReader(BytesIO(printed[paper])).pages
    assert len(pages) == 2
    for page in pages:
        width, height = PAPERS[paper]
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_line_is_on_paper_and_every_position_on_one_page(printed: dict[str, bytes], paper: str) -> None:
    pages = [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(BytesIO(printed[paper])).pages]
    for part in PARTS:
        (page,) = [text for text in pages if str(part.stands) in text]
        for table in part.tables:
            for row in table.rows:
                assert str(row.label) in page


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_black_on_white(printed: dict[str, bytes], paper: str) -> None:
    colours = set()
    for page in PdfReader(BytesIO(printed[paper])).pages:
        stream = page.get_contents()
        assert stream is not None
        colours |= set(re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b", stream.get_data()))
    assert colours
    assert all(red == green == blue for red, green, blue in colours)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", ["de", "es"])
def test_other_languages_keep_to_two_sides_and_lose_no_line(language: str, paper: str) -> None:
    with override(language):
        pages = PdfReader(BytesIO(measuring.render(paper).data)).pages
        texts = [re.sub(r"\s+", " ", page.extract_text()) for page in pages]
        assert len(pages) == 2
        for part in PARTS:
            (page,) = [text for text in texts if str(part.stands) in text]
            assert all(str(row.label) in page for table in part.tables for row in table.rows)


def test_each_language_and_paper_has_a_file_of_its_own() -> None:
    names = set()
    for language, paper in product(("en", "de", "es"), PAPERS):
        with override(language):
            names.add(measuring.file_name(paper))
    assert len(names) == 6


def test_a_reader_is_given_the_sheet_of_their_language(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    for language, word in (("de", "Messblatt"), ("es", "Hoja de medidas"), ("en", "Measuring sheet")):
        with override(language):
            measuring.keep("A4")
        answer = Client().get(reverse("reports:measuring_sheet", args=["a4"]), headers={"accept-language": language})
        text = PdfReader(BytesIO(b"".join(answer.streaming_content))).pages[0].extract_text()
        assert word in text
        assert {"Cookie", "Accept-Language"} <= set(answer["Vary"].split(", "))


def test_the_drawings_of_the_page_are_on_the_paper(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        pages = PdfReader(BytesIO(measuring.render("A4").data)).pages
    assert [record.getMessage() for record in caplog.records if "SVG" in record.getMessage()] == []
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
    for word in ("stand under frame or engine", "upside-down fork", "strap to a beam", "phone, filming"):
        assert word in text


def test_it_is_printed_once() -> None:
    name = measuring.keep("A4")
    first = default_storage.get_modified_time(name)
    assert measuring.keep("A4") == name
    assert default_storage.get_modified_time(name) == first
    assert default_storage.listdir(measuring.FOLDER)[1] == [name.rpartition("/")[2]]


def test_its_name_changes_with_its_content(settings: Any) -> None:
    before = measuring.file_name("A4")
    assert measuring.file_name("Letter").split("-")[1] != before.split("-")[1]
    settings.SHOP_NAME = "Another shop"
    assert measuring.file_name("A4") != before


@pytest.mark.django_db
def test_until_it_is_printed_one_order_goes_to_the_worker(
    client: Client, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    orders: list[tuple[object, ...]] = []
    monkeypatch.setattr(views.print_measuring_sheet, "apply_async", lambda args: orders.append(args))
    for _attempt in range(3):
        with django_capture_on_commit_callbacks(execute=True):
            answer = client.get("/guide/sheet/letter.pdf")
        assert answer.status_code == 503
        assert answer["Retry-After"] == "5"
        assert "no-store" in answer["Cache-Control"]
    assert orders == [("Letter", "en")]
    views.print_measuring_sheet(*orders[0])
    answer = client.get("/guide/sheet/letter.pdf")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "public, max-age=3600"
    assert b"".join(answer.streaming_content).startswith(b"%PDF")  # type: ignore[attr-defined]


def test_there_is_no_other_paper(client: Client) -> None:
    assert client.get("/guide/sheet/a5.pdf").status_code == 404


def test_the_page_leads_to_both_papers(client: Client) -> None:
    page = client.get(reverse("intake:guide_sheet")).content.decode()
    for paper in PAPERS:
        assert f'href="/guide/sheet/{paper.lower()}.pdf"' in page
