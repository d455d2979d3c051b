"""Numbers and dates by language: a comma where people read, a point where programs do, and fields that read back."""

import copy
import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.template import Context, Template
from django.test import Client
from django.utils.translation import override

from intake import links
from intake.case import current_settings
from intake.document import accept
from intake.guides.pictures import PICTURES, picture
from intake.models import SetupRequest, User
from intake.typed import parse
from reports import html, measuring
from reports.content import build as sheet_content
from tests.intake.at_form import address
from tuning.desk import services
from tuning.desk.models import ApprovedDocument

EXAMPLE = Path(__file__).resolve().parents[2] / "reports" / "examples" / "request.json"
COMMA = re.compile(r"\d,\d")
POINT = re.compile(r"(?<![\d.])\d+\.\d+(?![\d.])")
#: Attributes of a drawing that people read.
READ = frozenset({"aria-label", "aria-labelledby", "aria-describedby", "id", "title", "lang", "class"})


class Shapes(HTMLParser):
    """The drawings of a page without their texts: what a browser draws lines from."""

    def __init__(self) -> None:
        super().__init__()
        self.depth = 0
        self.found: list[tuple[str, tuple[tuple[str, str | None], ...]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.depth += tag == "svg"
        if self.depth:
            self.found.append((tag, tuple(pair for pair in attrs if pair[0] not in READ)))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.depth -= tag == "svg"

    def handle_endtag(self, tag: str) -> None:
        self.depth -= tag == "svg"


def shapes(page: str) -> list[tuple[str, tuple[tuple[str, str | None], ...]]]:
    reader = Shapes()
    reader.feed(page)
    return reader.found


def not_as_a_program_reads_it(page: str) -> Iterator[str]:
    """Yield every attribute of a drawing or a control that holds a decimal comma."""
    for tag, attributes in shapes(page):
        for name, value in attributes:
            # A list of points is parted by blanks here, so a comma between digits is a decimal one.
            if COMMA.search(value or ""):
                yield f"{tag} {name}={value}"
    for tag in re.findall(r"<(?:progress|meter|input type=\"(?:number|range)\")[^>]*>", page):
        if COMMA.search(tag):
            yield tag


@pytest.fixture
def told(settings: Any, tmp_path: Path) -> Any:
    settings.MEDIA_ROOT = tmp_path
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

    def make(language: str) -> tuple[SetupRequest, User]:
        document = copy.deepcopy(json.loads(EXAMPLE.read_text(encoding="utf-8")))
        document["client"]["language"] = language
        request = accept(document)
        tuner = User.objects.get_or_create(username="sanne", defaults={"display_name": "Sanne Okeld"})[0]
        services.approve(draft := services.open_draft(request.round(), tuner), draft.lock, tuner)
        return request, tuner

    return make


@pytest.mark.parametrize(
    ("language", "day", "moment"),
    [
        ("en", "25 November 2026", "25 November 2026, 09:05"),
        ("de", "25. November 2026", "25. November 2026, 09:05"),
        ("es", "25 de noviembre de 2026", "25 de noviembre de 2026, 09:05"),
    ],
)
def test_dates(language: str, day: str, moment: str) -> None:
    page = Template('{{ at|date:"DATE_FORMAT" }}|{{ at|date:"DATETIME_FORMAT" }}|{{ n }}|{{ x }}')
    with override(language):
        shown = page.render(Context({"at": datetime(2026, 11, 25, 9, 5, tzinfo=UTC), "n": 12345, "x": 1.5}))
    assert shown == f"{day}|{moment}|12345|{'1.5' if language == 'en' else '1,5'}"


def test_no_template_writes_a_date_its_own_way() -> None:
    root = EXAMPLE.parents[2]
    found = [
        f"{path.name}: {use}"
        for package in ("intake", "tuning", "reports")
        for path in (root / package).rglob("*.html")
        for use in re.findall(r"""(?:\|date|\|time):["'][^"']*["']""", path.read_text(encoding="utf-8"))
        # "c" is for programs: the dates of a PDF, the datetime of a <time>.
        if not re.search(r"""["'](?:(?:SHORT_)?DATE(?:TIME)?_FORMAT|TIME_FORMAT|c)["']""", use)
    ]
    assert not found


@pytest.mark.parametrize("name", sorted(PICTURES))
def test_a_guides_drawing_has_the_same_lines_in_every_language(name: str) -> None:
    drawn = {}
    for language in ("en", "de", "es"):
        with override(language):
            page = str(picture(name))
        assert not list(not_as_a_program_reads_it(page))
        drawn[language] = [tag for tag, _attributes in shapes(page)]
    assert drawn["en"]
    assert drawn["en"] == drawn["de"] == drawn["es"]


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["de", "es"])
def test_pages_and_sheet_have_commas_for_people_and_points_for_programs(told: Any, language: str) -> None:
    request, tuner = told(language)
    desk, own = Client(headers={"accept-language": language}), Client()
    desk.force_login(tuner)
    own.get("/" + links.link(request, "full").split("/", 3)[3])
    document = ApprovedDocument.objects.get().content()
    pages = {
        "case": desk.get(f"/desk/requests/{request.reference}/").content.decode(),
        "status": own.get(f"/requests/{request.reference}/").content.decode(),
        "settings": own.get(address(request, "settings", 2)).content.decode(),
        "sheet": html.to_html(sheet_content(document), "A4"),
    }
    with override(language):
        pages["measuring"] = measuring.to_html("A4")
    for name, page in pages.items():
        assert not list(not_as_a_program_reads_it(page)), name
    # What the desk derives and the sheet prints is written with a comma; what the client typed stays as typed.
    typed = {row["typed"].split()[0] for row in document["readings"]}
    for text in [row["text"] for key in ("derived", "predictions", "load") for row in document[key]]:
        assert not POINT.search(text), text
    assert any(COMMA.search(row["text"]) for row in document["derived"])
    assert typed >= {"34.5"} or all("," not in text for text in typed)


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "de", "es"])
def test_a_field_filled_in_reads_back_as_the_same_number(told: Any, language: str) -> None:
    """The later round starts from what was recommended, each number as its reader would type it."""
    request, _tuner = told(language)
    own = Client()
    own.get("/" + links.link(request, "full").split("/", 3)[3])
    page = own.get(address(request, "settings", 2)).content.decode()
    fields = dict(re.findall(r'<input[^>]* name="([^"]+)"[^>]* value="([^"]*)"', page))
    standing = {
        f"{row.adjuster.key}.found": row.value
        for row in current_settings(request.rounds.get(number=2)).values()
        if row.value is not None and row.adjuster.unit != "mm"
    }
    read = {name: parse(fields[name], "count", "1").value for name in standing if fields.get(name)}
    assert read
    assert read == {name: standing[name] for name in read}
    shown = [value for value in fields.values() if re.fullmatch(r"\d+(?:[.,]\d+)?", value)]
    assert not any(("." if language != "en" else ",") in value for value in shown)
