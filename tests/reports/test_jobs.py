"""The life of a job: one worker at a time, stored once, taken back when its worker dies."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.db import OperationalError
from django.utils import timezone

from intake.models import Event, OutboxMail, SetupRequest, User
from reports import jobs, services, storage, tasks
from reports.models import Job, Sheet
from reports.pdf import Pdf, SheetError
from tuning.desk.models import ApprovedDocument
from tuning.desk.signals import recommendation_approved

PDF = Pdf(b"%PDF-1.7 a sheet", 3)
pytestmark = pytest.mark.django_db


def files(settings: Any) -> list[str]:
    return sorted(path.name for path in (Path(settings.MEDIA_ROOT) / "sheets").rglob("*.pdf"))


def let_lease_run_out(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(lease_until=timezone.now() - timedelta(seconds=1))


# --- ordering ---------------------------------------------------------------------------------------------------


def test_approval_writes_the_job_and_dispatches_on_commit(
    document: ApprovedDocument, django_capture_on_commit_callbacks: Any
) -> None:
    with patch.object(tasks.render_sheet, "apply_async") as sent:
        with django_capture_on_commit_callbacks(execute=True):
            recommendation_approved.send(sender=ApprovedDocument, document=document)
            assert not sent.called
        assert sent.call_count == 1
    job = Job.objects.get()
    assert (job.document, job.state, job.language, job.paper) == (document, "queued", "en", "A4")
    assert job.dispatched_at is not None


def test_the_same_order_again_gives_the_same_job(
    document: ApprovedDocument, django_capture_on_commit_callbacks: Any
) -> None:
    with patch.object(tasks.render_sheet, "apply_async") as sent, django_capture_on_commit_callbacks(execute=True):
        first = services.order_sheet(document, "en", "A4")
        assert services.order_sheet(document, "en", "A4") == first
        assert services.order_sheet(document, "en", "Letter") != first
    assert sent.call_count == 2


def test_a_broker_that_is_away_leaves_the_row_queued(
    document: ApprovedDocument, django_capture_on_commit_callbacks: Any
) -> None:
    with (
        patch.object(tasks.render_sheet, "apply_async", side_effect=ConnectionRefusedError("no broker")),
        django_capture_on_commit_callbacks(execute=True),
    ):
        services.order_sheet(document, "en", "A4")
    assert Job.objects.get().state == Job.State.QUEUED


# --- claiming ---------------------------------------------------------------------------------------------------


def test_a_claim_takes_the_job_for_one_worker(job: Job) -> None:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    assert jobs.claim(job.pk) is None
    job.refresh_from_db()
    assert (job.state, job.attempt, job.claim_token) == ("rendering", 1, claimed[1])
    assert job.lease_until is not None
    assert job.lease_until > timezone.now()


def test_a_job_is_not_claimed_before_its_time(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(not_before=timezone.now() + timedelta(minutes=1))
    assert jobs.claim(job.pk) is None


def test_a_heartbeat_renews_only_the_own_lease(job: Job) -> None:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    let_lease_run_out(job)
    assert jobs.heartbeat(*claimed)
    job.refresh_from_db()
    assert job.lease_until is not None
    assert job.lease_until > timezone.now()
    let_lease_run_out(job)
    jobs.take_back_expired()
    assert not jobs.heartbeat(*claimed)


# --- storing ----------------------------------------------------------------------------------------------------


def test_storing_writes_file_row_event_and_one_mail(job: Job, settings: Any) -> None:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    sheet = jobs.store(*claimed, PDF)
    assert sheet is not None
    job.refresh_from_db()
    assert (job.state, job.claim_token, job.lease_until) == ("done", None, None)
    assert sheet.sha256 in sheet.file.name
    assert sheet.file.read() == PDF.data
    assert (sheet.size, sheet.pages) == (len(PDF.data), 3)
    assert files(settings) == [Path(sheet.file.name).name]
    assert Event.objects.filter(kind="sheet_ready").count() == 1
    mail = OutboxMail.objects.get()
    assert mail.kind == "sheet_ready"
    assert f"/r/{job.document.recommendation.round.request.reference}/" in mail.body


def test_a_reprint_on_other_paper_sends_no_second_mail(job: Job, document: ApprovedDocument) -> None:
    other = Job.objects.create(document=document, paper="Letter")
    for each in (job, other):
        claimed = jobs.claim(each.pk)
        assert claimed is not None
        assert jobs.store(*claimed, PDF)
    assert OutboxMail.objects.count() == 1
    assert Event.objects.filter(kind="sheet_ready").count() == 1


def test_a_late_worker_with_an_old_token_changes_nothing(job: Job, settings: Any) -> None:
    late = jobs.claim(job.pk)
    assert late is not None
    let_lease_run_out(job)
    assert jobs.take_back_expired() == (1, 0)
    second = jobs.claim(job.pk)
    assert second is not None

    # The late one comes back first with the very same bytes, and again after the second has stored.
    assert jobs.store(*late, PDF) is None
    assert files(settings) == []
    kept = jobs.store(*second, PDF)
    assert kept is not None
    assert jobs.store(*late, PDF) is None
    assert jobs.give_up(*late, SheetError("late")) is False

    job.refresh_from_db()
    assert (job.state, job.error) == ("done", "")
    assert Sheet.objects.get() == kept
    assert files(settings) == [Path(kept.file.name).name]
    assert kept.file.read() == PDF.data
    assert OutboxMail.objects.count() == 1


def test_storing_that_fails_midway_leaves_no_half_state(job: Job, settings: Any) -> None:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    with (
        patch("reports.jobs.announce", side_effect=OperationalError("disk I/O error")),
        pytest.raises(OperationalError),
    ):
        jobs.store(*claimed, PDF)
    job.refresh_from_db()
    assert (job.state, job.claim_token) == ("rendering", claimed[1])
    assert not Sheet.objects.exists()
    assert not OutboxMail.objects.exists()
    assert files(settings) == []


def test_a_full_disk_leaves_the_job_for_another_attempt(job: Job) -> None:
    with (
        patch("reports.pdf.render", return_value=PDF),
        patch.object(storage, "save_durably", side_effect=OSError(28, "No space left on device")),
    ):
        tasks.render_sheet(job.pk)
    job.refresh_from_db()
    assert (job.state, job.error_code) == ("queued", "OSError")
    assert not Sheet.objects.exists()


# --- the task ---------------------------------------------------------------------------------------------------


def test_the_task_renders_and_a_second_delivery_is_harmless(job: Job) -> None:
    tasks.render_sheet(job.pk)
    sheet = Sheet.objects.get()
    assert sheet.file.read(5) == b"%PDF-"
    with patch("reports.pdf.render") as render:
        tasks.render_sheet(job.pk)
    assert not render.called
    assert Sheet.objects.get() == sheet
    assert OutboxMail.objects.count() == 1


def test_a_transient_error_waits_longer_each_time_and_then_fails(job: Job, settings: Any) -> None:
    settings.JOB_MAX_ATTEMPTS = 3
    waits = []
    with patch("reports.pdf.render", side_effect=OperationalError("database is locked")):
        for _attempt in (1, 2):
            tasks.render_sheet(job.pk)
            job.refresh_from_db()
            assert (job.state, job.error_code, job.dispatched_at) == ("queued", "OperationalError", None)
            waits.append((job.not_before - timezone.now()).total_seconds())
            Job.objects.filter(pk=job.pk).update(not_before=timezone.now())
        with pytest.raises(OperationalError):
            tasks.render_sheet(job.pk)
    # BACKOFF_SECONDS doubled, with up to half as much again: 5 to 7.5 s, then 10 to 15 s.
    assert 4 < waits[0] <= 7.5
    assert 9 < waits[1] <= 15
    job.refresh_from_db()
    assert (job.state, job.attempt, job.error) == ("failed", 3, "database is locked")
    assert job.finished_at is not None


def test_an_error_of_the_document_fails_at_once_and_is_raised(job: Job) -> None:
    with patch("reports.pdf.render", side_effect=SheetError("may not fetch")), pytest.raises(SheetError):
        tasks.render_sheet(job.pk)
    job.refresh_from_db()
    assert (job.state, job.attempt, job.error_code, job.error) == ("failed", 1, "SheetError", "may not fetch")
    assert job.claim_token is None


# --- the sweeper ------------------------------------------------------------------------------------------------


def test_a_killed_workers_job_is_taken_back_and_done_once(job: Job, django_capture_on_commit_callbacks: Any) -> None:
    killed = jobs.claim(job.pk)
    assert killed is not None
    let_lease_run_out(job)

    # Without the sweeper nothing mends it, however often the message is delivered.
    tasks.render_sheet(job.pk)
    job.refresh_from_db()
    assert (job.state, job.claim_token) == ("rendering", killed[1])

    with patch.object(tasks.render_sheet, "apply_async") as sent, django_capture_on_commit_callbacks(execute=True):
        tasks.sweep()
    sent.assert_called_once_with(args=(job.pk,))
    job.refresh_from_db()
    assert (job.state, job.error_code, job.attempt) == ("queued", jobs.LEASE_RAN_OUT, 1)
    tasks.render_sheet(job.pk)
    job.refresh_from_db()
    assert (job.state, job.attempt) == ("done", 2)
    assert Sheet.objects.count() == 1


def test_a_worker_killed_between_file_and_row_leaves_no_file_behind(job: Job, settings: Any) -> None:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    token = claimed[1]
    # What a SIGKILL leaves: the file is written, and no line after that ran.
    left = storage.save_durably(f"sheets/{job.pk}/{token.hex}-{'0' * 64}.pdf", PDF.data)
    other = storage.save_durably(f"sheets/{job.pk}/{'f' * 32}-{'0' * 64}.pdf", PDF.data)
    assert files(settings) == sorted(Path(name).name for name in (left, other))
    let_lease_run_out(job)
    jobs.take_back_expired()
    assert files(settings) == [Path(other).name]


def test_a_lease_that_runs_out_too_often_fails_the_job(job: Job, settings: Any) -> None:
    settings.JOB_MAX_ATTEMPTS = 2
    for expected in ((1, 0), (0, 1)):
        assert jobs.claim(job.pk)
        let_lease_run_out(job)
        assert jobs.take_back_expired() == expected
    job.refresh_from_db()
    assert (job.state, job.error_code) == ("failed", jobs.LEASE_RAN_OUT)


def test_the_sweeper_leaves_a_living_worker_alone(job: Job) -> None:
    assert jobs.claim(job.pk)
    assert jobs.take_back_expired() == (0, 0)


def test_a_lost_message_is_sent_again_after_the_grace_and_once(job: Job, settings: Any) -> None:
    assert jobs.take_due() == []
    long_ago = timezone.now() - timedelta(seconds=3 * settings.SWEEP_SECONDS + 1)
    Job.objects.filter(pk=job.pk).update(dispatched_at=long_ago)
    assert jobs.take_due() == [job.pk]
    assert jobs.take_due() == []


def test_a_job_waiting_out_its_backoff_is_not_sent(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(dispatched_at=None, not_before=timezone.now() + timedelta(seconds=30))
    assert jobs.take_due() == []


# --- the tuner's retry ------------------------------------------------------------------------------------------


def test_a_failed_job_can_be_tried_again(job: Job, tuner: User, django_capture_on_commit_callbacks: Any) -> None:
    Job.objects.filter(pk=job.pk).update(state=Job.State.FAILED, attempt=4, error_code="SheetError", error="x")
    with patch.object(tasks.render_sheet, "apply_async") as sent, django_capture_on_commit_callbacks(execute=True):
        services.retry(job, tuner)
    assert sent.call_count == 1
    assert (job.state, job.attempt, job.error, job.error_code) == ("queued", 0, "", "")
    event = Event.objects.get(kind="sheet_retried")
    assert (event.actor, event.public) == (tuner, False)


@pytest.mark.parametrize("state", [Job.State.QUEUED, Job.State.RENDERING, Job.State.DONE])
def test_only_a_failed_job_can_be_tried_again(job: Job, tuner: User, state: str) -> None:
    Job.objects.filter(pk=job.pk).update(state=state)
    with pytest.raises(services.NotFailed):
        services.retry(job, tuner)
    assert not Event.objects.exists()


def test_a_correction_is_a_job_and_a_mail_of_its_own(
    approve: Callable[..., ApprovedDocument], setup_request: SetupRequest
) -> None:
    for version in (1, 2):
        job = Job.objects.create(document=approve(setup_request, version=version))
        claimed = jobs.claim(job.pk)
        assert claimed is not None
        assert jobs.store(*claimed, PDF)
    assert OutboxMail.objects.count() == 2
