"""Status page and downloads: as their owner, a tuner, a stranger, with a wrong link and with a report-only link."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.http import HttpResponse
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from intake import access, links
from intake.choices import Purpose, RequestState
from intake.models import Event, Message, Round, SetupRequest, User
from reports import jobs, tasks
from reports.models import Job, Sheet
from reports.pdf import Pdf
from tuning.desk.models import ApprovedDocument

pytestmark = pytest.mark.django_db
PDF = Pdf(b"%PDF-1.7 a sheet", 3)


@pytest.fixture
def sheet(job: Job) -> Sheet:
    claimed = jobs.claim(job.pk)
    assert claimed is not None
    stored = jobs.store(*claimed, PDF)
    assert stored is not None
    return stored


def with_link(request: SetupRequest, purpose: str = Purpose.FULL) -> Browser:
    """Return a browser that has followed a private link, and so holds the cookie it is swapped for."""
    answer = HttpResponse()
    access.grant(answer, request, purpose)
    browser = Browser()
    browser.cookies = answer.cookies
    return browser


def status_url(request: SetupRequest) -> str:
    return reverse("reports:status", args=[request.reference])


def download_url(sheet: Sheet) -> str:
    request = sheet.job.document.recommendation.round.request
    return reverse("reports:download", args=[request.reference, sheet.pk])


# --- who may see what -------------------------------------------------------------------------------------------


@pytest.fixture
def stranger() -> Browser:
    return Browser()


@pytest.fixture
def other_client(make_request: Callable[..., SetupRequest]) -> Browser:
    return with_link(make_request())


@pytest.fixture
def reporter(setup_request: SetupRequest) -> Browser:
    return with_link(setup_request, Purpose.REPORT)


@pytest.fixture
def desk(tuner: User) -> Browser:
    browser = Browser()
    browser.force_login(tuner)
    return browser


@pytest.mark.parametrize("who", ["stranger", "other_client", "reporter", "desk"])
def test_only_the_owner_gets_status_and_sheet(
    who: str, sheet: Sheet, setup_request: SetupRequest, request: pytest.FixtureRequest
) -> None:
    browser = request.getfixturevalue(who)
    assert browser.get(status_url(setup_request)).status_code == 404
    assert browser.get(download_url(sheet)).status_code == 404
    setup_request.refresh_from_db()
    assert setup_request.state == RequestState.SHEET_READY


def test_a_wrong_link_and_a_missing_request_look_the_same(setup_request: SetupRequest, stranger: Browser) -> None:
    wrong = stranger.get(status_url(setup_request))
    missing = stranger.get(reverse("reports:status", args=["FP-0000-00"]))
    assert (wrong.status_code, missing.status_code) == (404, 404)
    assert wrong.content.replace(setup_request.reference.encode(), b"") == missing.content.replace(b"FP-0000-00", b"")


def test_a_revoked_link_opens_nothing_more(sheet: Sheet, setup_request: SetupRequest) -> None:
    browser = with_link(setup_request)
    links.revoke(setup_request, Purpose.FULL)
    assert browser.get(status_url(setup_request)).status_code == 404
    assert browser.get(download_url(sheet)).status_code == 404


def test_scanning_the_code_on_the_sheet_takes_nothing_from_the_owner(setup_request: SetupRequest) -> None:
    browser = with_link(setup_request)
    browser.cookies.update(with_link(setup_request, Purpose.REPORT).cookies)
    assert browser.get(status_url(setup_request)).status_code == 200


def test_the_owner_downloads_and_the_first_time_moves_on_to_the_ride(
    sheet: Sheet, setup_request: SetupRequest
) -> None:
    browser = with_link(setup_request)
    assert browser.head(download_url(sheet)).status_code == 200
    setup_request.refresh_from_db()
    assert setup_request.state == RequestState.SHEET_READY
    for _time in (1, 2):
        answer = browser.get(download_url(sheet))
        assert answer.status_code == 200
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == f'attachment; filename="{setup_request.reference}-1.1.pdf"'
        assert b"".join(answer.streaming_content) == PDF.data  # type: ignore[attr-defined]
    setup_request.refresh_from_db()
    assert setup_request.state == RequestState.RIDE
    assert Event.objects.filter(kind="sheet_downloaded").count() == 1


def test_a_download_later_in_the_way_changes_no_state(sheet: Sheet, setup_request: SetupRequest) -> None:
    SetupRequest.objects.filter(pk=setup_request.pk).update(state=RequestState.RECEIVED)
    assert with_link(setup_request).get(download_url(sheet)).status_code == 200
    setup_request.refresh_from_db()
    assert setup_request.state == RequestState.RECEIVED


def test_another_requests_sheet_is_not_to_be_had_by_its_number(
    sheet: Sheet, make_request: Callable[..., SetupRequest]
) -> None:
    other = make_request()
    answer = with_link(other).get(reverse("reports:download", args=[other.reference, sheet.pk]))
    assert answer.status_code == 404


def test_pages_and_sheets_stay_out_of_shared_caches(sheet: Sheet, setup_request: SetupRequest) -> None:
    browser = with_link(setup_request)
    for url in (status_url(setup_request), download_url(sheet)):
        assert browser.get(url)["Cache-Control"] == "private, no-store"


# --- what the page says -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "headline"),
    [
        (RequestState.DRAFT, "Not sent yet"),
        (RequestState.RECEIVED, "We have your numbers"),
        (RequestState.READING, "A tuner is reading your numbers"),
        (RequestState.QUESTION, "There is a question for you"),
        (RequestState.SHEET_READY, "Your setup sheet is ready"),
        (RequestState.RIDE, "Ride, then report"),
        (RequestState.SETTLED, "Settled"),
        (RequestState.CLOSED, "Closed"),
    ],
)
def test_every_state_is_told_in_words(state: str, headline: str, setup_request: SetupRequest) -> None:
    SetupRequest.objects.filter(pk=setup_request.pk).update(state=state)
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert f"<h1>{headline}</h1>" in page
    assert page.count('aria-current="step"') == (0 if state in {"draft", "settled", "closed"} else 1)


def test_the_page_shows_sheet_link_messages_and_the_private_link(
    sheet: Sheet, setup_request: SetupRequest, tuner: User
) -> None:
    Round.objects.create(request=setup_request, number=2)
    SetupRequest.objects.filter(pk=setup_request.pk).update(current_round=2)
    Message.objects.create(request=setup_request, author=tuner, from_client=False, body="<b>Mind</b> the clamp.")
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert download_url(sheet) in page
    assert reverse("intake:step", args=[setup_request.reference, 2, "safety"]) in page
    assert "Imre Vadas" in page
    assert "&lt;b&gt;Mind&lt;/b&gt; the clamp." in page
    assert links.link(setup_request, Purpose.FULL) in page
    assert reverse("intake:message", args=[setup_request.reference]) in page
    assert "style=" not in page
    assert "<script" not in page


def test_a_question_leads_to_its_step(setup_request: SetupRequest, tuner: User) -> None:
    SetupRequest.objects.filter(pk=setup_request.pk).update(state=RequestState.QUESTION)
    Message.objects.create(
        request=setup_request, author=tuner, from_client=False, body="L2 again, please", step="sag"
    )
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert reverse("intake:step", args=[setup_request.reference, 1, "sag"]) in page


def test_a_sheet_on_its_way_and_a_failed_one_are_told(job: Job, setup_request: SetupRequest) -> None:
    browser = with_link(setup_request)
    assert "being printed" in browser.get(status_url(setup_request)).content.decode()
    Job.objects.filter(pk=job.pk).update(state=Job.State.FAILED)
    assert "printing it failed" in browser.get(status_url(setup_request)).content.decode()


def test_a_corrected_sheet_marks_the_one_it_replaces(
    sheet: Sheet, setup_request: SetupRequest, approve: Callable[..., ApprovedDocument]
) -> None:
    again = Job.objects.create(document=approve(setup_request, version=2))
    claimed = jobs.claim(again.pk)
    assert claimed is not None
    assert jobs.store(*claimed, PDF)
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert page.count("Replaced by a later version") == 1
    assert page.index(f"{setup_request.reference}/1.2") < page.index("Replaced by a later version")


def test_more_sheets_and_messages_cost_no_more_queries(
    sheet: Sheet,
    setup_request: SetupRequest,
    approve: Callable[..., ApprovedDocument],
    tuner: User,
    django_assert_num_queries: Any,
) -> None:
    browser = with_link(setup_request)
    browser.get(status_url(setup_request))
    for version in range(2, 6):
        claimed = jobs.claim(Job.objects.create(document=approve(setup_request, version=version)).pk)
        assert claimed is not None
        assert jobs.store(*claimed, PDF)
        Message.objects.create(request=setup_request, author=tuner, from_client=False, body="More.")
    # The request with its client, rounds with their photos, sheets, unfinished jobs, questions, messages with theirs;
    # readings, settings, bike, adjusters, answers, derivations and practice of the history: one query each.
    with django_assert_num_queries(14):
        assert browser.get(status_url(setup_request)).status_code == 200


# --- the desk ---------------------------------------------------------------------------------------------------


def test_a_tuner_downloads_any_sheet_without_moving_the_request(
    sheet: Sheet, setup_request: SetupRequest, desk: Browser
) -> None:
    answer = desk.get(reverse("reports:desk_download", args=[sheet.pk]))
    assert b"".join(answer.streaming_content) == PDF.data  # type: ignore[attr-defined]
    setup_request.refresh_from_db()
    assert setup_request.state == RequestState.SHEET_READY


def test_the_desk_is_closed_to_clients_and_strangers(
    sheet: Sheet, setup_request: SetupRequest, stranger: Browser
) -> None:
    Job.objects.filter(pk=sheet.job.pk).update(state=Job.State.FAILED)
    for browser in (stranger, with_link(setup_request)):
        for answer in (
            browser.get(reverse("reports:desk_download", args=[sheet.pk])),
            browser.post(reverse("reports:retry", args=[sheet.job.pk])),
        ):
            assert answer.status_code == 302
            assert answer["Location"].startswith(reverse("desk:login"))
    sheet.job.refresh_from_db()
    assert sheet.job.state == Job.State.FAILED


def test_a_tuner_retries_a_failed_job(
    job: Job, desk: Browser, setup_request: SetupRequest, django_capture_on_commit_callbacks: Any
) -> None:
    Job.objects.filter(pk=job.pk).update(
        state=Job.State.FAILED, attempt=4, not_before=timezone.now() + timedelta(hours=1)
    )
    with patch.object(tasks.render_sheet, "apply_async") as sent, django_capture_on_commit_callbacks(execute=True):
        answer = desk.post(reverse("reports:retry", args=[job.pk]))
    assert (answer.status_code, answer["Location"]) == (302, reverse("desk:case", args=[setup_request.reference]))
    sent.assert_called_once_with(args=(job.pk,))
    assert jobs.claim(job.pk) is not None


def test_a_retry_is_a_post_with_its_token(job: Job, desk: Browser, tuner: User) -> None:
    url = reverse("reports:retry", args=[job.pk])
    assert desk.get(url).status_code == 405
    strict = Browser(enforce_csrf_checks=True)
    strict.force_login(tuner)
    assert strict.post(url).status_code == 403


def test_a_retry_of_a_job_that_is_done_says_so(sheet: Sheet, desk: Browser) -> None:
    answer = desk.post(reverse("reports:retry", args=[sheet.job.pk]))
    assert answer.status_code == 302
    sheet.job.refresh_from_db()
    assert sheet.job.state == Job.State.DONE
