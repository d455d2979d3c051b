"""A made-up language that wraps every message in ⟦…⟧, and what of a page stands outside the marks."""

import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from django.utils import translation
from django.utils.translation import trans_real

#: Its code has to be one that Django knows; its words are English in marks.
CODE = "eo"
#: In the data of a test every word that a person typed holds this letter.
TYPED = "Ω"

_OPEN, _SHUT = "⟦", "⟧"
#: Attributes that people read or hear.
SPOKEN = frozenset(
    "aria-label aria-description aria-roledescription title alt placeholder summary label content".split()
)
#: Names that a program reads stand in ``code``: columns of a file, ids.
_SILENT = frozenset({"script", "style", "template", "code"})
#: Data of a script that lists ids.
_IDS = frozenset({"data-is"})
_VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
#: Written alike in every language: units, paper, file kinds, names of lengths, the marks on a tyre and on scales.
ALIKE = frozenset(
    """mm cm in ft lb lbs lbf kg kgf bar psi kPa Nm deg Hz ms UTC PDF JSON CSV DOT MB kB JPEG PNG HEIC MP4 ABS QR OK
    Farpaddock English Deutsch Español""".split()
)
_WORD = re.compile(r"[^\W\d_]{2,}(?:['’][^\W\d_]+)?")
_ADDRESS = re.compile(r"https?://\S+|\S+@\S+\.\S+|\bFP-[0-9A-Z]{4}-[0-9A-Z]{2}\S*|\b[0-9a-f]{12,}\b")
#: Ids of rules, shown beside their words so that two tuners can speak of the same one.
_RULE = re.compile(r"\b(?:draft|cause|round|way|step|kind|gate|phase)(?:\.[a-z_0-9]+)+")


def wear(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Let the made-up language speak; return the set that every message asked for is put into."""
    asked: set[str] = set()

    def marking(original: Callable[..., str], at: int) -> Callable[..., str]:
        def function(*args: Any) -> str:
            text = original(*args)
            if translation.get_language() != CODE or not str(text).strip():
                return text
            # A context stands before the message itself, parted by this sign.
            asked.add(str(args[at]).rpartition("\x04")[2])
            return f"{_OPEN}{text}{_SHUT}"

        return function

    for name, at in (("gettext", 0), ("ngettext", 0), ("pgettext", 1), ("npgettext", 1)):
        marked = marking(getattr(trans_real, name), at)
        monkeypatch.setattr(trans_real, name, marked)
        monkeypatch.setattr(translation._trans, name, marked, raising=False)
    return asked


def bare(text: str) -> str:
    """Return what of a text stands outside the marks."""
    kept, depth = [], 0
    for sign in text:
        depth += (sign == _OPEN) - (sign == _SHUT)
        kept.append(sign if depth <= 0 and sign != _SHUT else " ")
    return "".join(kept)


def words(text: str) -> list[str]:
    """Return the words outside the marks that are neither typed by somebody nor alike in every language."""
    plain = " ".join(token for token in _RULE.sub(" ", _ADDRESS.sub(" ", bare(text))).split() if TYPED not in token)
    return [word for word in _WORD.findall(plain) if word not in ALIKE]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, bool]] = []
        self.runs: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        elsewhere = tag != "html" and told.get("lang", CODE) != CODE
        if not elsewhere:
            self.attributes += [
                (tag, name, value)
                for name, value in told.items()
                if name in SPOKEN or (name.startswith("data-") and name not in _IDS and " " in value.strip())
                if not (tag == "meta" and told.get("name") != "description")
            ]
        if tag not in _VOID:
            self.open.append((tag, elsewhere))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not any(tag in _SILENT or elsewhere for tag, elsewhere in self.open):
            self.runs.append(data)


def unmarked(html: str) -> Iterator[str]:
    """Yield each piece of a page that people read, in words that did not come by gettext."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    # A message may hold tags, so the marks are counted over the whole page.
    rest = bare("\x00".join(reader.runs))
    for run in rest.split("\x00"):
        if words(run):
            yield " ".join(run.split())
    for tag, name, value in reader.attributes:
        if words(value):
            yield f"{tag}[{name}] {value}"
