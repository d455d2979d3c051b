"""The whole way from a request document to a sheet in one process, through the steps the service itself takes.

It runs in a database made in memory for the purpose, so that it needs no tables, leaves nothing behind and disturbs
nobody; what would go out by mail or broker waits for a commit that never comes.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.core.management import call_command
from django.db import connections, transaction
from django.db.backends.sqlite3.base import DatabaseWrapper
from django.utils import translation
from django.utils.translation import gettext as _

from intake import words
from intake.api.document import complete
from intake.document import accept
from intake.models import User
from intake.presentation import UnitPrefs
from intake.services.requests import check_from_json
from tuning.desk import services


@dataclass(frozen=True, slots=True)
class Worked:
    """What came of a document: the approved document the sheet is printed from, and what the checks say
    (verdict and sentence)."""

    document: dict[str, Any]
    checks: tuple[tuple[str, str], ...]


@contextmanager
def database_in_memory() -> Iterator[None]:
    """Put an empty, migrated database in memory in the place of the default one, for this thread and this block."""
    filled = connections.configure_settings({"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}})
    kept = connections["default"]
    connections["default"] = DatabaseWrapper(filled["default"], "default")
    try:
        call_command("migrate", verbosity=0, interactive=False, skip_checks=True)
        yield
    finally:
        connections["default"].close()
        connections["default"] = kept


def work(document: object) -> Worked:
    """Read, check, derive, draft and approve a request document.

    Raises ValidationError or DocumentError with every fault of the document, NotReady for one that lacks too much,
    EngineInputError for one that is outside the model.
    """
    with database_in_memory(), transaction.atomic():
        try:
            # Nothing is stored or passed on, so the client's consent to that is not asked for.
            whole = complete(document, send=True, consent=True)
            with translation.override(whole["client"]["language"]):
                return _work(whole)
        finally:
            transaction.set_rollback(True)


def _work(whole: Mapping[str, Any]) -> Worked:
    request = accept(dict(whole))
    tuner = User.objects.create(username="shell", display_name=_("printed from the shell"))
    round_ = request.rounds.get(number=1)
    draft = services.open_draft(round_, tuner)
    approved = services.approve(draft, draft.lock, tuner)
    units = UnitPrefs.of(request.client)
    checks = tuple((row["verdict"], str(words.check_text(check_from_json(row), units))) for row in round_.checks)
    return Worked(approved.content(), checks)


def as_text(worked: Worked) -> str:
    """Return what was found and what is recommended, as text for a terminal."""
    document = worked.document
    parts = [f"{document['number']}  {document['bike']['name']}", *_stop(document)]
    asked = [text for verdict, text in worked.checks if verdict != "passes"] + document["questions_text"]
    parts += _section(_("To look at again"), asked)
    parts += _section(_("Found"), [_derived(row) for row in document["derived"] if _told(row)])
    for number, change in enumerate(document["changes"], 1):
        if number == 1:
            parts += ["", _("Recommended, in this order")]
        parts += _change(number, change)
    if not document["changes"] and not document["stop_text"]:
        parts += ["", _("No change is recommended from these readings.")]
    expected = [f"{row['name']}: {row['text']}" for row in document["predictions"]]
    parts += _section(_("The next readings should show"), expected)
    parts += _section(_("Notes"), document["notes_text"])
    return "\n".join(parts) + "\n"


def _stop(document: Mapping[str, Any]) -> list[str]:
    if not document["stop_text"]:
        return []
    return ["", _("STOP: do not ride until this is seen to"), *(f"  ! {text}" for text in document["stop_text"])]


def _section(title: str, lines: list[str]) -> list[str]:
    return ["", title, *(f"  - {line}" for line in lines)] if lines else []


def _told(row: Mapping[str, Any]) -> bool:
    """Rates of change per millimetre serve the tuner's what-if; a reader of the shell has no use for them."""
    return bool(row["text"]) and "_per_mm_" not in row["key"]


def _derived(row: Mapping[str, Any]) -> str:
    verdicts = {
        "in_band": _("in band"),
        "below": _("below the band"),
        "above": _("above the band"),
        "cannot_tell": _("cannot tell"),
    }
    line = f"{row['name']}: {row['text']}"
    if row.get("target_text"):
        line += _(" (wanted %(band)s: %(verdict)s)") % {
            "band": row["target_text"],
            "verdict": verdicts.get(row["verdict"], row["verdict"]),
        }
    return line


def _change(number: int, change: Mapping[str, Any]) -> list[str]:
    lines = [f"  {number}. {change['title']}"]
    if change["from_text"] or change["to_text"]:
        turn = f" ({change['turn_text']})" if change["turn_text"] else ""
        lines.append(f"     {change['from_text']} → {change['to_text']}{turn}")
    lines += [f"     {text}" for text in change["why_text"]]
    lines += [f"     ! {caution['text']}" for caution in change["caution_text"] if caution["critical"]]
    return lines
