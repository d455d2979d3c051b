"""Step three of a sheet: HTML becomes a tagged PDF that is the same whenever and wherever it is made."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC
from hashlib import sha256
from io import BytesIO
from typing import Any

from django.conf import settings

from intake.choices import Paper
from reports.content import SheetContent, build
from reports.html import STYLESHEET, qr_svg, to_html
from reports.typefaces import use_shipped_fonts

use_shipped_fonts(settings.STATE_DIR)

import weasyprint  # noqa: E402  (fontconfig must know its folder before this loads it)
from weasyprint.text.fonts import FontConfiguration  # noqa: E402
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse  # noqa: E402

VARIANT = "pdf/ua-1"


class SheetError(Exception):
    """The sheet cannot be rendered, and trying again will not help."""


@dataclass(frozen=True, slots=True)
class Pdf:
    """A rendered sheet: the file's bytes and its number of pages."""

    data: bytes
    pages: int


class OwnParts(URLFetcher):  # type: ignore[misc]  # the library has no types
    """Gives WeasyPrint the parts of one sheet by name (``sheet:qr.svg``) and nothing else: no file, no host."""

    def __init__(self, parts: Mapping[str, tuple[str, bytes]]) -> None:
        super().__init__(allowed_protocols=("sheet",), allow_redirects=False, fail_on_errors=True)
        self._parts = parts

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        """Return the named part. Raises FatalURLFetchingError for every other address."""
        if url not in self._parts:
            raise FatalURLFetchingError(f"a sheet may not fetch {url!r}")
        kind, data = self._parts[url]
        return URLFetcherResponse(url, data, {"Content-Type": kind})


def render(document: Mapping[str, Any], paper: str) -> Pdf:
    """Return the sheet of an approved document on ``paper`` ("A4" or "Letter").

    Raises ContentError for a document that lacks something and SheetError for one that cannot be rendered.
    """
    if paper not in Paper.values:
        raise SheetError(f"paper {paper!r} is none of {', '.join(Paper.values)}")
    content = build(document)
    return to_pdf(to_html(content, paper), content, document)


def to_pdf(html: str, content: SheetContent, document: Mapping[str, Any]) -> Pdf:
    """Render ``html`` with the document itself attached as JSON. Raises SheetError."""
    fetcher = OwnParts(
        {
            "sheet:sheet.css": ("text/css", STYLESHEET.read_bytes()),
            "sheet:qr.svg": ("image/svg+xml", qr_svg(content.report_url)),
        }
    )
    machine_readable = json.dumps(document, sort_keys=True, ensure_ascii=False, indent=1).encode()
    approved = content.approved.astimezone(UTC)
    attachment = weasyprint.Attachment(
        file_obj=BytesIO(machine_readable),
        name=f"{content.number.replace('/', '_')}.json",
        description="The approved recommendation this sheet was made from",
        created=approved,
        modified=approved,
        relationship="Source",
    )
    return print_html(html, fetcher, sha256(html.encode() + machine_readable).hexdigest(), [attachment])


def print_html(
    html: str, fetcher: OwnParts, identifier: str, attachments: Sequence[weasyprint.Attachment] = ()
) -> Pdf:
    """Print ``html`` with the parts that ``fetcher`` has and nothing else. Raises SheetError."""
    options = {
        "pdf_variant": VARIANT,
        "pdf_identifier": identifier[:32].encode(),
        "attachments": list(attachments),
    }
    try:
        source = weasyprint.HTML(string=html, base_url="sheet:", url_fetcher=fetcher)
        rendered = source.render(font_config=FontConfiguration(), **options)
        return Pdf(rendered.write_pdf(**options), len(rendered.pages))
    except FatalURLFetchingError as exc:
        raise SheetError(str(exc)) from exc
