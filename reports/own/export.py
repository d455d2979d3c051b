"""Everything of a request in one ZIP: a document in plain words and numbers, the sheets, the photos and the video."""

import json
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _

from intake import words
from intake.models import Answer, Photo, Reading, Round, Setting, SetupRequest, Symptom, User
from intake.personal import PERSONAL
from intake.presentation import UnitPrefs
from reports.models import Sheet
from reports.own import rows
from tuning.desk.models import Recommendation

#: A draft is no advice until a tuner approves it: nobody is to turn a screw by one.
_ONLY: dict[str, dict[str, Any]] = {"desk.Recommendation": {"state": Recommendation.State.APPROVED}}
#: What keeps the service's own wheels turning and says nothing of anybody.
_WHEELS = frozenset(
    {"claim_token", "lease_until", "heartbeat_at", "not_before", "dispatched_at", "input_hash", "lock", "attempt"}
)
_TITLES: dict[str, Callable[[], str]] = {
    "intake.SetupRequest": lambda: _("The request"),
    "intake.Client": lambda: _("You"),
    "intake.Bike": lambda: _("The bike"),
    "intake.Adjuster": lambda: _("Adjusters of the bike"),
    "intake.Round": lambda: _("Rounds"),
    "intake.StepDraft": lambda: _("Every step as it was typed, version by version"),
    "intake.Reading": lambda: _("Readings"),
    "intake.Setting": lambda: _("Settings"),
    "intake.Answer": lambda: _("Answers"),
    "intake.Symptom": lambda: _("Complaints"),
    "intake.Photo": lambda: _("Photos and video"),
    "intake.Followed": lambda: _("What became of each change of a sheet"),
    "intake.Message": lambda: _("Messages"),
    "intake.Question": lambda: _("What the tuner asked for"),
    "intake.OutboxMail": lambda: _("Mails sent to you"),
    "intake.Event": lambda: _("What happened"),
    "desk.Derivation": lambda: _("What was worked out of the readings"),
    "desk.Recommendation": lambda: _("Approved recommendations"),
    "desk.ApprovedDocument": lambda: _("Approved documents, as printed"),
    "desk.SettledCase": lambda: _("What a settled case like yours teaches, without your name"),
    "reports.Job": lambda: _("Printing"),
    "reports.Sheet": lambda: _("Setup sheets"),
}


def bundle(request: SetupRequest) -> IO[bytes]:
    """Return the ZIP as an open, unnamed file on the disk: it is gone as soon as it is closed."""
    folder = settings.MEDIA_ROOT
    folder.mkdir(parents=True, exist_ok=True)
    out = tempfile.TemporaryFile(dir=folder, prefix="export-")  # noqa: SIM115  (closed by the answer)
    try:
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            told = json.dumps(document(request), ensure_ascii=False, indent=1, default=str)
            archive.writestr("request.json", told)
            archive.writestr("README.txt", _readme(request))
            for name, file in _files(request):
                try:
                    # Pictures and PDFs are packed already; they are copied in pieces.
                    packed = zipfile.ZipInfo(name, timezone.now().timetuple()[:6])
                    with file.open("rb") as source, archive.open(packed, "w", force_zip64=True) as target:
                        while piece := source.read(1 << 20):
                            target.write(piece)
                except FileNotFoundError:
                    archive.writestr(f"{name}.missing.txt", _("This file was not found in the store."))
    except BaseException:
        out.close()
        raise
    out.seek(0)
    return out


def document(request: SetupRequest) -> dict[str, Any]:
    """Return all that is on record: ``personal`` by the register's names, ``records`` in plain words."""
    personal: dict[str, list[Any]] = {name: [] for name in PERSONAL if name.rpartition(".")[0] in rows.ways()}
    records: dict[str, list[dict[str, Any]]] = {}
    for label in reversed(rows.dependents_first()):
        told = []
        query = rows.of_request(label, request).filter(**_ONLY.get(label, {}))
        for row in query:
            told.append(_record(row, request))
            for name in personal:
                if name.startswith(f"{label}."):
                    personal[name].append(_value(row, row._meta.get_field(name.rpartition(".")[2])))
        title = _TITLES.get(label, lambda label=label: apps.get_model(label)._meta.verbose_name_plural)
        records[str(title())] = told
    return {
        "reference": request.reference,
        "made_at": timezone.now().isoformat(timespec="seconds"),
        "personal": personal,
        "records": records,
    }


def _record(row: models.Model, request: SetupRequest) -> dict[str, Any]:
    told: dict[str, Any] = {}
    sentence = _in_words(row, request)
    if sentence:
        told["in words"] = sentence
    for field in row._meta.concrete_fields:
        if field.primary_key or field.name in _WHEELS:
            continue
        value = _value(row, field)
        if value not in (None, ""):
            told[str(field.verbose_name)] = value
    return told


def _value(row: models.Model, field: Any) -> Any:
    """Return a field as it is read: a choice by its words, a person by their signature, a file by its place here."""
    if isinstance(field, models.ForeignKey):
        other = getattr(row, field.name)
        if isinstance(other, User):
            return other.signature()
        return other.number if isinstance(other, Round) else None
    value = getattr(row, field.name)
    if isinstance(field, models.FileField):
        return _place(row)
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(value, datetime | date):
        return value.isoformat()
    return value


def _in_words(row: models.Model, request: SetupRequest) -> str:
    prefs = UnitPrefs.of(request.client)
    if isinstance(row, Reading):
        name = words.reading_name(row.key())
        beside = [str(words.LOADS.get(row.load_state, "")), str(words.APPROACHES.get(row.approach, ""))]
        return ", ".join([name, *(part for part in beside if part)]) + f": {row.text} {row.unit}"
    if isinstance(row, Setting):
        of = row.adjuster
        stands = words.setting_text(of.kind, row.value, of.unit, of.counted_from, prefs, row.mode)
        return f"{words.adjuster_name(of.key)}: {stands}"
    if isinstance(row, Answer):
        asked = words.STOP_QUESTIONS.get(row.question) or words.QUESTION_NAMES.get(row.question, row.question)
        end = f" ({words.ENDS[row.end]})" if row.end else ""
        return f"{asked}{end}: {words.answer_name(row.value)}"
    if isinstance(row, Symptom):
        end = f", {words.ENDS[row.end]}" if row.end else ""
        return f"{words.symptom_name(row.symptom)}{end}"
    return ""


def _place(row: models.Model) -> str:
    """Return where in the ZIP a row's file lies."""
    if isinstance(row, Sheet):
        return f"sheets/{row.number().replace('/', '-')}-{row.pk}.pdf"
    if isinstance(row, Photo):
        return f"photos/{row.kind}-{row.pk}.{str(row.file.name).rpartition('.')[2]}"
    return f"files/{row._meta.model_name}-{row.pk}"


def _files(request: SetupRequest) -> Iterator[tuple[str, Any]]:
    for label in rows.dependents_first():
        for field in apps.get_model(label)._meta.get_fields():
            if isinstance(field, models.FileField):
                for row in rows.of_request(label, request):
                    file = getattr(row, field.name)
                    if file:
                        yield _place(row), file


def _readme(request: SetupRequest) -> str:
    return _(
        "Everything on record of %(reference)s.\n\n"
        "request.json   all of it as text: under “records” by subject, in plain words; under “personal” each\n"
        "               field that may hold something of you, by its name in the register\n"
        "sheets/        your setup sheets as printed\n"
        "photos/        your photos, and the video as you sent it\n\n"
        "A recommendation that no tuner has approved is a draft and not in here: it is no advice.\n"
    ) % {"reference": request.reference}
