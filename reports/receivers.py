"""What reports does when the desk approves."""

from typing import Any

from django.dispatch import receiver

from reports.services import order_sheet
from tuning.desk.models import ApprovedDocument
from tuning.desk.signals import recommendation_approved


@receiver(recommendation_approved, dispatch_uid="reports.order_approved_sheet")
def order_approved_sheet(sender: object, document: ApprovedDocument, **kwargs: Any) -> None:
    """Write the job in the approving transaction, so that no approval is without its sheet."""
    content = document.content()
    order_sheet(document, str(content["language"]), str(content["paper"]))
