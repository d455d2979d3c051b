"""The Celery tasks. They carry ids only; what is to be done stands in the job's row."""

import logging

from celery import shared_task

from config.dispatch import dispatch
from reports import jobs

logger = logging.getLogger(__name__)


@shared_task(name="reports.render_sheet")
def render_sheet(job_id: int) -> None:
    """Render one job's sheet and store it. A second delivery finds nothing to claim and ends.

    Raises the error of a job that failed for good, after the row says so.
    """
    from reports.pdf import render  # only the worker needs WeasyPrint; the web processes stay without it

    claimed = jobs.claim(job_id)
    if claimed is None:
        logger.info("job %s is not to be had: done, in other hands or not due", job_id)
        return
    job, token = claimed
    try:
        pdf = render(job.document.content(), job.paper)
        jobs.heartbeat(job, token)
        if jobs.store(job, token, pdf) is None:
            logger.warning("job %s was taken back while it rendered; its result is dropped", job_id)
    except jobs.TRANSIENT as exc:
        logger.warning("job %s, attempt %s: %s", job_id, job.attempt, exc)
        if jobs.give_up(job, token, exc):
            raise
    except Exception as exc:
        jobs.give_up(job, token, exc)
        raise


@shared_task(name="reports.print_measuring_sheet")
def print_measuring_sheet(paper: str, language: str) -> None:
    """Print the measuring sheet for everybody and keep it. A second delivery finds it there and ends."""
    from django.utils import translation

    from reports import measuring

    with translation.override(language):
        logger.info("measuring sheet kept as %s", measuring.keep(paper))


@shared_task(name="reports.erase_request")
def erase_request(request_id: int) -> None:
    """Erase what a client asked to be erased. A second delivery finds nothing left and ends."""
    from reports.own import erase

    erase.erase(request_id)


@shared_task(name="reports.sweep_erasures")
def sweep_erasures() -> None:
    """Hand out every erasure that was asked for and is not done: its message was lost, or its worker died."""
    from reports.own import erase

    for request_id in erase.left_over():
        dispatch(erase_request, request_id)


@shared_task(name="reports.sweep")
def sweep() -> None:
    """Take back what dead workers held, and hand every job that is due and not on its way to the broker."""
    queued, failed = jobs.take_back_expired()
    if queued or failed:
        logger.warning("leases ran out: %s jobs queued again, %s failed", queued, failed)
    for job_id in jobs.take_due():
        dispatch(render_sheet, job_id)
