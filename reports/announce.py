"""Tells the client that a sheet is there: event, and a mail with the private link."""

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from intake import links
from intake.choices import Purpose
from intake.mailbox import queue_mail
from intake.models import Event
from reports.models import Sheet
from reports.says import NO_CHANGE, STOP, what_it_says


def announce(sheet: Sheet) -> None:
    """Write the event and queue the mail, inside the storing transaction.

    Once per approved document: a reprint on other paper tells nothing new.
    """
    document = sheet.job.document
    if Sheet.objects.filter(job__document=document).exclude(pk=sheet.pk).exists():
        return
    request = document.recommendation.round.request
    number = str(document.content()["number"])
    Event.objects.create(request=request, kind="sheet_ready", params={"number": number, "sheet": sheet.pk})
    with translation.override(request.client.language):
        told = {"number": number, "link": links.link(request, Purpose.FULL), "shop": settings.SHOP_NAME}
        subject, body = _mail(what_it_says(document.content()))
        queue_mail(request, "sheet_ready", subject % told, body % told)


def _mail(says: str) -> tuple[str, str]:
    """Return subject and body for what the sheet says."""
    if says == STOP:
        return _("%(number)s: please do not ride before you have read this"), _(
            "Sheet %(number)s is ready. It says what has to be put right before the bike is ridden: please do not "
            "ride until then.\n\n"
            "Open your private page to read and print it, and to report once it is put right:\n%(link)s\n\n"
            "%(shop)s"
        )
    if says == NO_CHANGE:
        return _("Your setup sheet %(number)s is ready"), _(
            "Your setup sheet %(number)s is ready. There is nothing to change on it: read what it says.\n\n"
            "Open your private page to download it, and to report how the bike rides:\n%(link)s\n\n"
            "%(shop)s"
        )
    return _("Your setup sheet %(number)s is ready"), _(
        "Your setup sheet %(number)s is ready to print.\n\n"
        "Open your private page to download it, and to report how the bike rides afterwards:\n%(link)s\n\n"
        "Do one change at a time, in the order of the sheet. If anything feels worse or strange, stop and go "
        "back to the settings in its baseline table.\n\n"
        "%(shop)s"
    )
