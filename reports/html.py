"""Step two of a sheet: what the page shows becomes HTML, by a template and its stylesheet."""

from io import BytesIO
from pathlib import Path

import segno
from django.template.loader import render_to_string
from django.utils import translation

from reports.content import SheetContent

#: The stylesheet lies beside the template; it is for paper only and never served.
STYLESHEET = Path(__file__).resolve().parent / "templates" / "reports" / "sheet.css"
#: Rows left blank in the log of the ride test.
LOG_ROWS = 5


def to_html(content: SheetContent, paper: str) -> str:
    """Return the sheet as one HTML text. Every text of the document is escaped by the template."""
    with translation.override(content.language):
        return render_to_string("reports/sheet.html", {"sheet": content, "paper": paper, "log_rows": range(LOG_ROWS)})


def qr_svg(address: str) -> bytes:
    """Return a QR code of ``address`` as SVG, with the quiet zone of four modules that ISO/IEC 18004 asks for."""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", border=4, scale=4, light="#fff")
    return out.getvalue()
