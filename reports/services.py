"""The steps around a sheet that others call."""

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from config.dispatch import dispatch
from intake.choices import RequestState
from intake.models import Event, SetupRequest, User
from reports import jobs
from reports.jobs import claim, give_up, heartbeat, store
from reports.models import Job, Sheet
from reports.tasks import render_sheet
from tuning.desk.models import ApprovedDocument

__all__ = [
    "claim", "give_up", "heartbeat", "order_sheet", "printed_and_unfinished", "retry", "sheet_taken", "store",
]  # fmt: skip


class NotFailed(Exception):
    """A retry was asked for of a job that has not failed."""


def order_sheet(document: ApprovedDocument, language: str, paper: str) -> Job:
    """Write the job of a sheet and hand it to the worker on commit; the same order again gives the same job."""
    with transaction.atomic():
        job, made = Job.objects.get_or_create(
            document=document,
            variant=Job.Variant.SHEET,
            language=language,
            paper=paper,
            defaults={"dispatched_at": timezone.now()},
        )
        if made:
            dispatch(render_sheet, job.pk)
    return job


def retry(job: Job, by: User) -> Job:
    """Put a failed job back in the queue and hand it over. Raises NotFailed."""
    with transaction.atomic():
        if not jobs.requeue(job):
            raise NotFailed(f"job {job.pk} has not failed")
        Event.objects.create(
            request=request_of(job), kind="sheet_retried", actor=by, params={"job": job.pk}, public=False
        )
        dispatch(render_sheet, job.pk)
    job.refresh_from_db()
    return job


def request_of(job: Job) -> SetupRequest:
    """Return the setup request a job's sheet belongs to."""
    return job.document.recommendation.round.request


def sheet_query(request: SetupRequest) -> QuerySet[Sheet]:
    """Return the query of a request's finished sheets with their documents, newest first."""
    return (
        Sheet.objects.filter(job__document__recommendation__round__request=request)
        .select_related("job__document__recommendation__round")
        .order_by("-created_at", "-pk")
    )


def sheets_of(request: SetupRequest) -> list[Sheet]:
    """Return a request's finished sheets, newest first, in one query, each with ``replaced`` set: a later
    version of the same round's sheet is there."""
    sheets = list(sheet_query(request))
    newest: dict[int, int] = {}
    for sheet in sheets:
        recommendation = sheet.job.document.recommendation
        newest[recommendation.round_id] = max(newest.get(recommendation.round_id, 0), recommendation.version)
    for sheet in sheets:
        recommendation = sheet.job.document.recommendation
        sheet.replaced = recommendation.version < newest[recommendation.round_id]
    return sheets


def unfinished_jobs_of(request: SetupRequest) -> list[Job]:
    """Return the jobs of a request that have no sheet yet, in one query."""
    return list(
        Job.objects.filter(document__recommendation__round__request=request)
        .exclude(state=Job.State.DONE)
        .order_by("pk")
    )


def printed_and_unfinished(request: SetupRequest) -> tuple[list[Sheet], list[Job]]:
    """Return a request's finished sheets and its jobs without one, in two queries.

    The jobs are read first: one that ends between the two reads then shows as both, where the other order would
    show it as neither and tell the client that there is no sheet.
    """
    unfinished = unfinished_jobs_of(request)
    return sheets_of(request), unfinished


def sheet_taken(request: SetupRequest, sheet: Sheet) -> None:
    """Note that the client has a sheet in hand; the first time, the request moves on to the ride."""
    with transaction.atomic():
        locked = SetupRequest.objects.select_for_update().get(pk=request.pk)
        if locked.state != RequestState.SHEET_READY:
            return
        locked.move_to(RequestState.RIDE)
        Event.objects.create(request=locked, kind="sheet_downloaded", params={"sheet": sheet.pk})
    request.state = locked.state
