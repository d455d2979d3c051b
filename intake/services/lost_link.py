"""A lost link, mailed again to the address it belongs to."""

from intake.models import SetupRequest
from intake.reference import tidy_reference
from intake.services.requests import mail_link


def find_and_mail(email: str, reference: str) -> None:
    """Mail the link when address and reference belong together; otherwise do nothing, and tell nobody which."""
    request = (
        SetupRequest.objects.select_related("client")
        .filter(reference=tidy_reference(reference), client__email__iexact=email.strip())
        .first()
    )
    if request:
        mail_link(request)
