"""The life of a job: claimed by one worker at a time, stored once, given up or taken back.

Every step is one conditional update on the job's row, so that two deliveries, a late worker and the sweeper
can meet without harm. None of these functions sends anything to the broker.
"""

import random
import uuid
from datetime import timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import OperationalError, transaction
from django.db.models import F, Q
from django.utils import timezone

from reports import storage
from reports.announce import announce
from reports.models import Job, Sheet

if TYPE_CHECKING:
    from reports.pdf import Pdf

#: Errors that another attempt may mend; every other error is the document's or ours and fails at once.
TRANSIENT = (OSError, OperationalError)
#: First wait after a transient error; doubled with each attempt, with up to half as much again at random.
BACKOFF_SECONDS = 5

LEASE_RAN_OUT = "lease_ran_out"


def claim(job_id: int) -> tuple[Job, uuid.UUID] | None:
    """Take a due job for this worker: the job and the token that storing will ask for, or None when it is
    not queued, not due yet, or somebody else's."""
    now = timezone.now()
    token = uuid.uuid4()
    taken = Job.objects.filter(pk=job_id, state=Job.State.QUEUED, not_before__lte=now).update(
        state=Job.State.RENDERING,
        claim_token=token,
        lease_until=now + timedelta(seconds=settings.JOB_LEASE_SECONDS),
        heartbeat_at=now,
        attempt=F("attempt") + 1,
    )
    if not taken:
        return None
    return Job.objects.select_related("document").get(pk=job_id), token


def heartbeat(job: Job, token: uuid.UUID) -> bool:
    """Renew the lease. False: the job was taken back meanwhile and the worker may stop."""
    now = timezone.now()
    renewed = Job.objects.filter(pk=job.pk, state=Job.State.RENDERING, claim_token=token).update(
        heartbeat_at=now, lease_until=now + timedelta(seconds=settings.JOB_LEASE_SECONDS)
    )
    return bool(renewed)


def store(job: Job, token: uuid.UUID, pdf: "Pdf") -> Sheet | None:
    """Keep the PDF and mark the job done, or leave no trace: None when the token is no longer the job's.

    The file goes first, under a name of its own (hash and token), so that no other worker's file can be
    overwritten or deleted; the row, the state and the client's mail follow in one transaction. Raises what the
    storage or the database raises, its own file deleted.
    """
    digest = sha256(pdf.data).hexdigest()
    name = storage.save_durably(f"{_folder(job)}/{token.hex}-{digest}.pdf", pdf.data)
    sheet = None
    try:
        with transaction.atomic():
            mine = Job.objects.filter(pk=job.pk, state=Job.State.RENDERING, claim_token=token).update(
                state=Job.State.DONE,
                claim_token=None,
                lease_until=None,
                finished_at=timezone.now(),
                error_code="",
                error="",
            )
            if mine:
                sheet = Sheet.objects.create(job=job, file=name, sha256=digest, size=len(pdf.data), pages=pdf.pages)
                announce(sheet)
    except BaseException:
        storage.delete(name)
        raise
    if sheet is None:
        storage.delete(name)
    return sheet


def give_up(job: Job, token: uuid.UUID, error: BaseException) -> bool:
    """Put the job back for later after a transient error, or mark it failed. True: failed for good.

    Conditional on the token like storing: a job taken back meanwhile is left alone (False).
    """
    mine = Job.objects.filter(pk=job.pk, state=Job.State.RENDERING, claim_token=token)
    code, text = type(error).__name__[:40], str(error)[:500]
    if isinstance(error, TRANSIENT) and job.attempt < settings.JOB_MAX_ATTEMPTS:
        mine.update(**_queued_again(job.attempt), error_code=code, error=text)
        return False
    return bool(mine.update(**_failed(), error_code=code, error=text))


def take_back_expired() -> tuple[int, int]:
    """Take back the jobs whose worker died: (queued again, failed because the attempts are used up)."""
    expired = Job.objects.filter(state=Job.State.RENDERING, lease_until__lt=timezone.now())
    text = "the worker did not finish within its lease"
    queued = failed = 0
    for job in expired.order_by("pk"):
        mine = expired.filter(pk=job.pk, claim_token=job.claim_token)
        again = job.attempt < settings.JOB_MAX_ATTEMPTS
        fields = _queued_again(0) if again else _failed()
        if not mine.update(**fields, error_code=LEASE_RAN_OUT, error=text):
            continue
        queued, failed = (queued + 1, failed) if again else (queued, failed + 1)
        if job.claim_token is not None:
            # Killed between file and row: no row will ever speak of that file.
            for name in storage.leftovers(_folder(job), job.claim_token.hex):
                storage.delete(name)
    return queued, failed


def take_due() -> list[int]:
    """Return the ids of queued jobs that are due and not on their way, and mark them as handed over.

    Not on their way: never handed to the broker, or so long ago that the message must be lost or stuck.
    """
    now = timezone.now()
    lost_before = now - timedelta(seconds=3 * settings.SWEEP_SECONDS)
    lost = Q(dispatched_at=None) | Q(dispatched_at__lt=lost_before)
    due = Job.objects.filter(lost, state=Job.State.QUEUED, not_before__lte=now)
    return [
        pk for pk in due.order_by("pk").values_list("pk", flat=True) if due.filter(pk=pk).update(dispatched_at=now)
    ]


def requeue(job: Job) -> bool:
    """Queue a failed job again with fresh attempts; False when it is not failed."""
    fields = _queued_again(0) | {"attempt": 0, "dispatched_at": timezone.now(), "error_code": "", "error": ""}
    return bool(Job.objects.filter(pk=job.pk, state=Job.State.FAILED).update(**fields, finished_at=None))


def _folder(job: Job) -> str:
    return f"sheets/{job.pk}"


def _queued_again(attempt: int) -> dict[str, object]:
    """The columns of a job that waits again, longer after each attempt (``attempt`` 0: due at once)."""
    wait = BACKOFF_SECONDS * 2 ** (attempt - 1) * (1 + random.random() / 2) if attempt else 0  # noqa: S311
    return {
        "state": Job.State.QUEUED,
        "claim_token": None,
        "lease_until": None,
        "not_before": timezone.now() + timedelta(seconds=wait),
        "dispatched_at": None,
    }


def _failed() -> dict[str, object]:
    return {"state": Job.State.FAILED, "claim_token": None, "lease_until": None, "finished_at": timezone.now()}
