"""Tells the client that a sheet is there: event, and a mail with the private link."""

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from intake import links
from intake.choices import Purpose
from intake.mailbox import queue_mail
from intake.models import Event
from reports.models import Sheet


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
        subject = _("Your setup sheet %(number)s is ready") % {"number": number}
        body = _(
            "Your setup sheet %(number)s is ready to print.\n\n"
            "Open your private page to download it, and to report how the bike rides afterwards:\n%(link)s\n\n"
            "Do one change at a time, in the order of the sheet. If anything feels worse or strange, stop and go "
            "back to the settings in its baseline table.\n\n"
            "%(shop)s"
        ) % {"number": number, "link": links.link(request, Purpose.FULL), "shop": settings.SHOP_NAME}
    queue_mail(request, "sheet_ready", subject, body)
