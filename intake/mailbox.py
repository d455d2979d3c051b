"""Mails are rows first: written with what they tell of, sent by the worker, swept when a worker died."""

import logging
import random
import smtplib
import uuid
from datetime import timedelta
from email.utils import parseaddr

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from config.dispatch import dispatch
from intake.models import OutboxMail, SetupRequest

logger = logging.getLogger(__name__)

#: What a mail server or the way to it can do wrong and may do right a minute later.
TRANSIENT = (smtplib.SMTPException, OSError)
LEASE = timedelta(seconds=90)
#: Kinds of mail whose rows are not kept: the last one to a client who had everything erased, and one to nobody.
LAST, NOTHING = "erased", "nothing"
#: A mail to a tuner belongs to no request: it is in no client's copy, and says nothing but the reference.
TO_TUNER = "tuner"
_TO_TUNER = {
    "message": gettext_lazy("%(reference)s: the client has written"),
    "report": gettext_lazy("%(reference)s: the client has sent a round"),
}


def queue_mail(request: SetupRequest, kind: str, subject: str, body: str) -> OutboxMail | None:
    """Write a mail to the request's client, to be sent once the transaction is through.

    Returns None when the client gave no address: everything is on their private page as well.
    """
    from intake.tasks import send_mail

    address = request.client.email
    if not address:
        return None
    one_line = " ".join(subject.split())[:200]
    mail = OutboxMail.objects.create(request=request, kind=kind, to=address, subject=one_line, body=body)
    dispatch(send_mail, mail.pk)
    return mail


def queue_word_to_tuner(request: SetupRequest, kind: str) -> OutboxMail | None:
    """Write a mail to the tuner who has a request: the client has written, answered or reported.

    It says only that, and where to read it, in the shop's language: nothing of the client's leaves the desk. Returns
    None when nobody has taken the request or the tuner gave no address: the queue shows it all the same.
    """
    from intake.tasks import send_mail

    address = request.tuner.email if request.tuner else ""
    if not address:
        return None
    with translation.override(settings.LANGUAGE_CODE):
        subject = str(_TO_TUNER[kind]) % {"reference": request.reference}
        body = _("%(said)s\n\nRead it at the desk:\n%(link)s\n") % {
            "said": subject,
            "link": f"{settings.PUBLIC_URL}{reverse('desk:case', args=[request.reference])}",
        }
    mail = OutboxMail.objects.create(kind=TO_TUNER, to=address, subject=subject, body=body)
    dispatch(send_mail, mail.pk)
    return mail


def queue_last_mail(address: str, subject: str, body: str) -> None:
    """Write a mail that belongs to no request any more; its row is deleted once it is sent or given up."""
    from intake.tasks import send_mail

    if address:
        one_line = " ".join(subject.split())[:200]
        mail = OutboxMail.objects.create(kind=LAST, to=address, subject=one_line, body=body)
        dispatch(send_mail, mail.pk)


def queue_nothing() -> None:
    """Write a mail to nobody, which the worker drops: to take as long as one that is sent."""
    from intake.tasks import send_mail

    mail = OutboxMail.objects.create(kind=NOTHING, to="", subject="", body="")
    dispatch(send_mail, mail.pk)


def claim(mail_id: int) -> OutboxMail | None:
    """Take a queued mail that is due, by one conditional update; None when somebody else has it."""
    now = timezone.now()
    token = uuid.uuid4()
    taken = OutboxMail.objects.filter(pk=mail_id, state=OutboxMail.State.QUEUED, not_before__lte=now).update(
        state=OutboxMail.State.SENDING, claim_token=token, lease_until=now + LEASE, attempt=F("attempt") + 1
    )
    return OutboxMail.objects.get(pk=mail_id) if taken else None


def send(mail: OutboxMail) -> None:
    """Send a claimed mail and save the outcome under its claim token.

    A transient error puts it back with a growing pause; after the last attempt it is failed and the error raised.
    """
    if mail.kind == NOTHING:
        mail.delete()
        return
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    message = EmailMessage(
        mail.subject, mail.body, to=[mail.to], headers={"Message-ID": f"<{mail.message_id}@{domain}>"}
    )
    mine = OutboxMail.objects.filter(pk=mail.pk, claim_token=mail.claim_token, state=OutboxMail.State.SENDING)
    try:
        message.send()
    except TRANSIENT as error:
        told = f"{type(error).__name__}: {error}"[:500]
        if mail.attempt >= settings.JOB_MAX_ATTEMPTS:
            mine.update(state=OutboxMail.State.FAILED, error=told, claim_token=None)
            _drop_unkept()
            raise
        pause = timedelta(seconds=30 * 2**mail.attempt * random.uniform(0.8, 1.2))  # noqa: S311  (jitter)
        mine.update(state=OutboxMail.State.QUEUED, error=told, claim_token=None, not_before=timezone.now() + pause)
        logger.warning("mail %s put back after attempt %s: %s", mail.pk, mail.attempt, told)
        return
    mine.update(state=OutboxMail.State.SENT, sent_at=timezone.now(), claim_token=None, error="")
    if mail.kind == LAST:
        _drop_unkept()


def _drop_unkept() -> None:
    """Delete the mails that are done with and whose address nobody may keep."""
    done = (OutboxMail.State.SENT, OutboxMail.State.FAILED)
    OutboxMail.objects.filter(kind__in=(LAST, NOTHING), state__in=done).delete()


def sweep() -> int:
    """Take back mails whose worker died and hand out all that are due; return how many were handed out."""
    from intake.tasks import send_mail

    now = timezone.now()
    lost = OutboxMail.objects.filter(state=OutboxMail.State.SENDING, lease_until__lt=now)
    lost.filter(attempt__gte=settings.JOB_MAX_ATTEMPTS).update(
        state=OutboxMail.State.FAILED, error="the worker died while sending", claim_token=None
    )
    lost.update(state=OutboxMail.State.QUEUED, claim_token=None)
    _drop_unkept()
    # A grace period, so that a mail just written is not handed out twice as a matter of course.
    grace = now - timedelta(seconds=settings.SWEEP_SECONDS)
    due = OutboxMail.objects.filter(
        Q(created_at__lt=grace), state=OutboxMail.State.QUEUED, not_before__lte=now
    ).values_list("pk", flat=True)[:200]
    with transaction.atomic():
        for pk in due:
            dispatch(send_mail, pk)
    return len(due)
