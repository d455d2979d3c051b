"""A lost link, mailed again to the address it belongs to."""

from config.throttling import wait_after_counting
from intake.mailbox import queue_nothing
from intake.models import SetupRequest
from intake.reference import tidy_reference
from intake.services.requests import mail_link


def find_and_mail(email: str, reference: str) -> None:
    """Mail the link when address and reference belong together; otherwise do as much, and tell nobody which.

    A mail to nobody takes the same way as the one with the link, so that neither the answer nor its time says whether
    they fit. A reference is mailed a few times an hour at most, whoever asks and from wherever.
    """
    wanted = tidy_reference(reference)
    too_often = wait_after_counting("lost-link", wanted)
    request = (
        SetupRequest.objects.select_related("client")
        .filter(reference=wanted, erase_asked_at=None, client__email__iexact=email.strip())
        .first()
    )
    if request and not too_often:
        mail_link(request)
    else:
        queue_nothing()
