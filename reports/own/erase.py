"""Erases all that is known of a client, step by step, so that what was broken off is taken up again.

    asked (no link opens any more) → files deleted → in one transaction: rows deleted, the rest blanked, mail written

What stays: the reference, when things happened, each sheet's number and fingerprint, and the settled case, which says
nothing of anybody. Approved documents go with the rest: a tuner's own words may name the client anywhere in them.
"""

import logging
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import models, transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from config.dispatch import dispatch
from intake import links
from intake.choices import RequestState
from intake.mailbox import queue_last_mail
from intake.models import Client, Event, SetupRequest
from reports.models import Sheet
from reports.own import rows

logger = logging.getLogger(__name__)

#: What an event may go on saying: numbers and ids of our own vocabulary.
_EVENT_KEEPS = ("round", "number", "questions", "from", "step", "sheets")
#: What a kept row keeps beside its keys and its relations: nothing that was typed.
_ROW_KEEPS = {
    "intake.SetupRequest": {
        "reference", "state", "created_at", "state_changed_at", "link_generation", "report_generation",
        "current_round", "erase_asked_at", "erased_at",
    },
    "intake.Client": {"language", "created_at"},
    "intake.Bike": set(),
}  # fmt: skip


def ask(request: SetupRequest) -> None:
    """Note that the client wants everything erased, end every link, and hand it to the worker."""
    from reports.tasks import erase_request

    with transaction.atomic():
        held = SetupRequest.objects.select_for_update(of=("self",)).get(pk=request.pk)
        if held.erase_asked_at is None:
            held.erase_asked_at, held.waiting_since = timezone.now(), None
            held.save(update_fields=["erase_asked_at", "waiting_since"])
            links.revoke_all(held)
        dispatch(erase_request, held.pk)
    request.refresh_from_db()


def left_over() -> list[int]:
    """Return the ids of requests whose erasure was asked for and is not done."""
    due = SetupRequest.objects.filter(erase_asked_at__isnull=False, erased_at__isnull=True)
    return list(due.order_by("pk").values_list("pk", flat=True)[:100])


def erase(pk: int) -> bool:
    """Erase one request that was asked for; False when there is nothing (more) to do."""
    wanted = SetupRequest.objects.filter(pk=pk, erase_asked_at__isnull=False, erased_at__isnull=True)
    request = wanted.first()
    if request is None:
        return False
    # The files go while the rows still name them: broken off here, the next try finds the rest.
    _delete_files(rows.file_names(request))
    with transaction.atomic():
        held = wanted.select_for_update(of=("self",)).select_related("client").first()
        if held is None:
            return False
        late = rows.file_names(held)
        _tell(held)
        sheets = _fingerprints(held)
        for label in rows.dependents_first():
            if label not in rows.KEPT:
                rows.of_request(label, held).delete()
        if held.state == RequestState.DRAFT:
            _forget(held)
        else:
            _blank(held, sheets)
        # A sheet that was printed between the two.
        transaction.on_commit(lambda: _delete_files(late))
    logger.info("request %s erased", pk)
    return True


def _delete_files(names: list[str]) -> None:
    for name in names:
        default_storage.delete(name)


def _fingerprints(request: SetupRequest) -> list[dict[str, str]]:
    """Return number and SHA-256 of each sheet: enough to tell a true one from a false one, nothing to read."""
    sheets = Sheet.objects.filter(job__document__recommendation__round__request=request).order_by("pk")
    return [{"number": sheet.number(), "sha256": sheet.sha256} for sheet in sheets.select_related("job__document")]


def _forget(request: SetupRequest) -> None:
    """Delete what was never sent as a whole: the shop has nothing to keep of it."""
    client = request.client_id
    for label in rows.KEPT:
        if label not in {"intake.Client", "intake.SetupRequest"}:
            rows.of_request(label, request).delete()
    SetupRequest.objects.filter(pk=request.pk).delete()
    Client.objects.filter(pk=client).delete()


def _blank(request: SetupRequest, sheets: list[dict[str, str]]) -> None:
    now = timezone.now()
    rows.of_request("desk.SettledCase", request).update(request=None)
    for event in rows.of_request("intake.Event", request):
        event.params = {key: value for key, value in event.params.items() if key in _EVENT_KEEPS}
        event.save(update_fields=["params"])
    for label, keeps in _ROW_KEEPS.items():
        for row in rows.of_request(label, request):
            _set_back(row, keeps)
    SetupRequest.objects.filter(pk=request.pk).update(
        state=RequestState.CLOSED, state_changed_at=now, waiting_since=None, erased_at=now
    )
    Event.objects.create(request=request, kind="erased", at=now, params={"sheets": sheets}, public=False)


def _set_back(row: Any, keeps: set[str]) -> None:
    """Give every column of a row the value of a row nobody has written into."""
    changed = []
    for field in row._meta.concrete_fields:
        if field.primary_key or isinstance(field, models.ForeignKey) or field.name in keeps:
            continue
        setattr(row, field.name, field.get_default())
        changed.append(field.name)
    row.save(update_fields=changed)


def _tell(request: SetupRequest) -> None:
    with translation.override(request.client.language):
        told = {"reference": request.reference, "shop": settings.SHOP_NAME}
        subject = _("%(reference)s: everything is erased") % told
        body = (
            _(
                "As you asked, everything you sent with %(reference)s is erased: your name and address, readings, "
                "words, photos, messages and sheets. Its links open nothing any more. What the shop keeps is the "
                "reference, when things happened, the numbers and fingerprints of the sheets, and, of a settled "
                "bike, figures that say nothing of you.\n\n"
                "This mail is the last one, and your address is erased once it is sent.\n\n%(shop)s"
            )
            % told
        )
    queue_last_mail(request.client.email, subject, body)
