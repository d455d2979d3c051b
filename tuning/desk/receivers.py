"""What the desk does when the intake says that something happened."""

from typing import Any

from django.dispatch import receiver

from intake.models import SetupRequest
from intake.signals import request_erased, request_settled
from tuning.desk import similar


@receiver(request_settled)
def keep_settled(sender: object, request: SetupRequest, **kwargs: Any) -> None:
    """Keep what the request teaches the next one like it."""
    similar.keep(request)


@receiver(request_erased)
def forget_whose(sender: object, request: SetupRequest, **kwargs: Any) -> None:
    """Leave no way back from what a settled request taught to the request itself."""
    similar.forget(request)
