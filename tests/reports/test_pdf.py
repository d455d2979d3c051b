"""Step three: the PDF, read back with a reader that is not ours."""

import json
import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from reports import typefaces
from reports.content import ContentError, build
from reports.html import to_html
from reports.pdf import SheetError, render, to_pdf
from tests.reports import sample
from tests.reports.test_html import hostile_document

pytestmark = pytest.mark.slow


def reader(document: dict[str, Any] | None = None, paper: str = "A4") -> PdfReader:
    return PdfReader(BytesIO(render(document or sample.document(), paper).data))


def texts(pdf: PdfReader) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in pdf.pages]


# Page sizes in points: ISO 216 A4 is 210 × 297 mm; ANSI/ASME Y14.1 letter is 8.5 × 11 in; 72 points to the inch.
@pytest.mark.parametrize(
    ("paper", "width", "height"), [("A4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("Letter", 8.5 * 72, 11 * 72)]
)
def test_every_page_has_the_papers_size(paper: str, width: float, height: float) -> None:
    for page in reader(paper=paper).pages:
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_text_holds_the_approved_changes_in_the_clients_units(paper: str) -> None:
    text = " ".join(texts(reader(paper=paper)))
    for part in (
        "FP-7K3M-2Q/1.1",
        "4 May 2026",
        "Imre Vadas",
        "More preload on both fork legs",
        "3 turns clockwise (in), both legs alike",
        "0.28 in",
        "12 clicks out from fully closed",
        "1.46 ± 0.10 in",
        "37 ± 2.5 mm",
        "from your owner's manual",
        "Take your time with the second change.",
        "https://shop.example/report/FP-7K3M-2Q/",
    ):
        assert part in text


def test_every_page_tells_reference_version_and_page() -> None:
    pages = texts(reader())
    for number, text in enumerate(pages, start=1):
        assert "FP-7K3M-2Q" in text
        assert "version 1" in text
        assert f"page {number} of {len(pages)}" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_change_is_not_broken_across_pages(paper: str) -> None:
    pages = texts(reader(paper=paper))
    for start, end in (
        ("More preload on both fork legs", "Measure the sag again with you aboard."),
        ("Move both fork legs up through the clamps", "Check the brakes at walking pace"),
    ):
        assert [start in page for page in pages] == [end in page for page in pages]


def test_the_document_is_attached_as_it_was_approved() -> None:
    attachments = reader().attachments
    assert list(attachments) == ["FP-7K3M-2Q_1.1.json"]
    assert json.loads(attachments["FP-7K3M-2Q_1.1.json"][0]) == sample.document()


def test_a_reprint_is_the_same_file() -> None:
    first, again = render(sample.document(), "A4"), render(sample.document(), "A4")
    assert first == again
    other = sample.document(tuner_note="Another note.")
    assert render(other, "A4").data != first.data


def test_dates_and_title_are_the_documents() -> None:
    pdf = reader()
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Setup sheet FP-7K3M-2Q/1.1"
    assert pdf.metadata.creation_date is not None
    assert pdf.metadata.creation_date.isoformat().startswith("2026-05-04T09:30:00")


def test_the_pdf_is_tagged_and_claims_pdf_ua() -> None:
    pdf = reader()
    root: Any = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    kinds: set[str] = set()

    def walk(node: Any) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for kid in node:
                walk(kid)
        elif isinstance(node, dict):
            if "/S" in node:
                kinds.add(node["/S"])
                if node["/S"] == "/Figure":
                    assert node["/Alt"]
            walk(node.get("/K", []))

    walk(root["/StructTreeRoot"]["/K"])
    assert {"/H1", "/H2", "/H3", "/Table", "/TH", "/TD", "/LI", "/Figure"} <= kinds
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()


def shipped() -> dict[str, TTFont]:
    return {path.stem: TTFont(path) for path in typefaces.FOLDER.glob("*.ttf")}


def test_every_glyph_comes_from_a_shipped_font() -> None:
    document = sample.document(notes_text=["→ ± − × µ Δ ≥ ½ ☐ Ж Ω ş ł € №"])
    names = {font["name"].getDebugName(6).replace("-Regular", "") for font in shipped().values()}
    used = set()
    for page in reader(document).pages:
        fonts: Any = page["/Resources"]["/Font"]
        for font in fonts.values():
            used.add(str(font.get_object()["/BaseFont"]).split("+")[1])
    assert used
    assert {name.replace("-Sans", "Sans").replace("-Regular", "") for name in used} <= names
    for character in set(to_html(build(document), "A4")) - set("\n"):
        assert any(ord(character) in font.getBestCmap() for font in shipped().values()), character
    assert "→ ± − × µ Δ ≥ ½ ☐ Ж Ω ş ł € №" in " ".join(texts(reader(document)))


def test_fontconfig_knows_no_other_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FONTCONFIG_FILE", "")
    conf = typefaces.use_shipped_fonts(tmp_path)
    assert re.findall(r"<dir>(.*?)</dir>", conf.read_text()) == [str(typefaces.FOLDER)]
    assert "<include" not in conf.read_text()


def test_hostile_text_is_printed_and_fetches_nothing() -> None:
    text = " ".join(texts(reader(hostile_document())))
    assert "file:///etc/passwd" in text.replace(" ", "")
    assert "root:" not in text


@pytest.mark.parametrize(
    "markup",
    [
        '<img src="file:///etc/passwd" alt="">',
        '<img src="https://shop.example/x.png" alt="">',
        '<link rel="stylesheet" href="file:///etc/passwd">',
        '<p style="background: url(file:///etc/passwd)">x</p>',
        '<style>@import url("https://shop.example/x.css");</style>',
        '<img src="data:image/png;base64,AAAA" alt="">',
        '<img src="sheet:other.svg" alt="">',
    ],
)
def test_markup_that_would_fetch_stops_the_rendering(markup: str) -> None:
    content = build(sample.document())
    html = to_html(content, "A4").replace("</body>", f"{markup}</body>")
    with pytest.raises(SheetError, match="may not fetch"):
        to_pdf(html, content, sample.document())


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(SheetError, match="A5"):
        render(sample.document(), "A5")


def test_a_document_that_lacks_something_is_refused() -> None:
    with pytest.raises(ContentError):
        render({"schema": 1}, "A4")


def test_a_long_sheet_and_a_stop_sheet_render() -> None:
    long = sample.document()
    long["changes"] = [change | {"key": f"{change['key']}{n}"} for n in range(8) for change in long["changes"]]
    assert render(long, "A4").pages > 5
    stop = reader(sample.document(changes=[], predictions=[], stop_text=["The fork leaks oil onto the brake."]))
    assert "The fork leaks oil onto the brake." in texts(stop)[0]
