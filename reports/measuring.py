"""The measuring sheet as a PDF: the same body as its page, printed by the renderer of the setup sheets.

It is the same for everybody, so it is printed once per paper and language and kept under a name that changes with
its content; a new version of the service prints it afresh. Only a worker prints: the web processes stay without
WeasyPrint.
"""

from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.files.storage import default_storage
from django.template.loader import render_to_string

from intake.guides.sheet import PARTS
from reports.storage import save_durably

if TYPE_CHECKING:
    from reports.pdf import Pdf

FOLDER = "measuring"


def to_html(paper: str) -> str:
    """Return the sheet as one HTML text in the language in use."""
    context = {"parts": PARTS, "paper": paper, "shop": settings.SHOP_NAME}
    return render_to_string("reports/measuring.html", context)


def stylesheets() -> dict[str, tuple[str, bytes]]:
    """Return what the sheet is set with: the page's own rules for it, and what paper adds."""
    page, paper = (
        finders.find("intake/measuring.css"),
        Path(__file__).parent / "templates" / "reports" / "measuring.css",
    )
    return {
        "sheet:page.css": ("text/css", Path(str(page)).read_bytes()),
        "sheet:paper.css": ("text/css", paper.read_bytes()),
    }


def file_name(paper: str) -> str:
    """Return where the sheet of this version lies in the media folder."""
    content = to_html(paper).encode() + b"".join(data for _kind, data in stylesheets().values())
    return f"{FOLDER}/{paper.lower()}-{sha256(content).hexdigest()[:16]}.pdf"


def render(paper: str) -> "Pdf":
    """Return the sheet on ``paper`` ("A4" or "Letter"). Raises SheetError."""
    from reports.pdf import OwnParts, print_html

    text = to_html(paper)
    return print_html(text, OwnParts(stylesheets()), sha256(text.encode()).hexdigest())


def keep(paper: str) -> str:
    """Print the sheet unless it is there already, and return its name. Raises SheetError, OSError."""
    name = file_name(paper)
    if not default_storage.exists(name):
        # Two workers at once leave a second copy under another name, which nobody asks for.
        save_durably(name, render(paper).data)
    return name
