"""Background work of the intake: ids in, rows changed."""

from celery import shared_task

from intake import mailbox
from intake.photos import keeping


@shared_task(name="intake.send_mail")
def send_mail(mail_id: int) -> None:
    """Send one mail of the outbox; a second delivery finds it taken and does nothing."""
    mail = mailbox.claim(mail_id)
    if mail is not None:
        mailbox.send(mail)


@shared_task(name="intake.sweep_mail")
def sweep_mail() -> None:
    """Take up mails whose message was lost or whose worker died."""
    mailbox.sweep()


@shared_task(name="intake.sweep_photos")
def sweep_photos() -> None:
    """Remove files that an interrupted upload left behind."""
    keeping.sweep()
