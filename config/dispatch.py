"""Hands a task to the broker once the transaction is through, and lives with a broker that is away."""

import logging
from typing import Any

from django.db import transaction
from kombu.exceptions import OperationalError

logger = logging.getLogger(__name__)


def dispatch(task: Any, *args: object) -> None:
    """Send ``task`` with plain ids as arguments on commit.

    A broker that cannot be reached is logged and no more: the row is committed and the sweeper takes it up.
    """

    def send() -> None:
        try:
            task.apply_async(args=args)
        except (OperationalError, OSError) as exc:
            logger.warning("broker away, %s%s is left to the sweeper: %s", task.name, args, exc)

    transaction.on_commit(send)
