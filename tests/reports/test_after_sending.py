"""The status page after sending: what a sheet says, by when a tuner answers, round by round, coming back."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from intake.choices import RequestState
from intake.models import OutboxMail, SetupRequest, User
from reports import jobs
from reports.demo.build import play
from reports.demo.rounds import HALF_DONE
from reports.models import Job
from tests.reports.test_views import PDF, status_url, with_link
from tuning.desk.models import ApprovedDocument
from tuning.desk.over_rounds import over_rounds

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def printed(document: ApprovedDocument) -> None:
    claimed = jobs.claim(Job.objects.create(document=document).pk)
    assert claimed is not None
    assert jobs.store(*claimed, PDF)


@pytest.mark.parametrize(
    ("changed", "headline", "mail"),
    [
        ({"stop": [{"id": "stop_leak", "params": {}}], "changes": []}, "Your sheet says what comes first",
         "please do not ride"),
        ({"stop": [], "changes": []}, "Your setup sheet is ready", "There is nothing to change on it"),
        ({}, "Your setup sheet is ready", "Do one change at a time"),
    ],
)  # fmt: skip
def test_page_and_mail_say_what_the_sheet_says(
    changed: dict[str, Any], headline: str, mail: str, setup_request: SetupRequest,
    approve: Callable[..., ApprovedDocument],
) -> None:  # fmt: skip
    SetupRequest.objects.filter(pk=setup_request.pk).update(state=RequestState.SHEET_READY)
    printed(approve(setup_request, **changed))
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert f"<h1>{headline}</h1>" in page
    body = OutboxMail.objects.get(kind="sheet_ready").body
    assert mail in body
    assert ("one change at a time" in page) == ("one change at a time" in body) == (not changed)


def test_by_when_a_tuner_answers_and_that_the_promise_could_not_be_kept(
    setup_request: SetupRequest, settings: Any
) -> None:
    settings.PROMISED_REPLY_HOURS = 48
    since = timezone.now()
    rows = SetupRequest.objects.filter(pk=setup_request.pk)
    rows.update(state=RequestState.RECEIVED, waiting_since=since)
    due = since + timedelta(hours=48)
    browser = with_link(setup_request)
    assert (
        f"by {due.day} {due:%B} {due.year}, {due:%H:%M} UTC"
        in browser.get(status_url(setup_request)).content.decode()
    )
    rows.update(waiting_since=since - timedelta(hours=49))
    assert "longer than we promised" in browser.get(status_url(setup_request)).content.decode()


def test_a_sheet_that_is_printed_anew_is_waited_for(
    setup_request: SetupRequest, approve: Callable[..., ApprovedDocument]
) -> None:
    SetupRequest.objects.filter(pk=setup_request.pk).update(state=RequestState.SHEET_READY)
    printed(approve(setup_request))
    Job.objects.create(document=approve(setup_request, version=2))
    page = with_link(setup_request).get(status_url(setup_request)).content.decode()
    assert "being printed" in page
    assert "Look whether it is there" in page


@pytest.fixture
def three_rounds(tuner: User) -> SetupRequest:
    request = play(HALF_DONE, tuner)
    assert request is not None
    request.refresh_from_db()
    return request


def test_the_picture_shows_what_moved_and_the_table_says_it(three_rounds: SetupRequest) -> None:
    page = with_link(three_rounds).get(status_url(three_rounds))
    front, rear = page.context["over"]
    # As typed in the story: L0 less L1, and L0 less L2.
    assert [point.value for point in front.track("alone").points] == [30.0, 21.5, 21.5]
    assert [point.value for point in front.track("rider").points] == [45.0, 36.5, 37.0]
    assert [point.value for point in rear.track("rider").points] == [41.0, 40.5, 32.5]
    # 33 to 40 mm is wanted at the front of a naked bike, 28 to 35 at its rear.
    assert [point.stands for point in front.track("rider").points] == ["above", "in", "in"]
    assert [point.stands for point in rear.track("rider").points] == ["above", "above", "in"]
    # A reserve of 20 to 25 mm of 125 mm leaves 100 to 105 mm to be used.
    assert front.track("deepest").band == (100.0, 105.0)
    text = page.content.decode()
    assert 'role="img"' in text
    assert "Sag, rider aboard: round 1 45" in text
    assert "more than wanted" in text
    assert "style=" not in text


def test_the_picture_is_in_the_clients_units(three_rounds: SetupRequest) -> None:
    three_rounds.client.length_unit = "in"
    three_rounds.client.save()
    front, _rear = with_link(three_rounds).get(status_url(three_rounds)).context["over"]
    # 45 mm are 1.77 in.
    assert front.track("rider").points[0].text == "1.77\xa0in"


def test_rounds_cost_no_more_queries(three_rounds: SetupRequest, django_assert_num_queries: Any) -> None:
    browser = with_link(three_rounds)
    browser.get(status_url(three_rounds))
    # As with one round, but for the questions of messages, since there are none: see tests/reports/test_views.py.
    with django_assert_num_queries(13):
        browser.get(status_url(three_rounds))


def test_nothing_is_drawn_without_rounds() -> None:
    from intake.presentation import UnitPrefs

    assert over_rounds([], UnitPrefs.metric()) == ()


def test_a_settled_client_comes_back(three_rounds: SetupRequest) -> None:
    browser = with_link(three_rounds)
    back = reverse("intake:come_back", args=[three_rounds.reference])
    # Not settled: nothing to come back to.
    assert browser.post(back)["Location"] == status_url(three_rounds)
    SetupRequest.objects.filter(pk=three_rounds.pk).update(state=RequestState.SETTLED)
    assert "Something has changed: report it" in browser.get(status_url(three_rounds)).content.decode()
    for _press in (1, 2):
        answer = browser.post(back)
        assert answer["Location"] == reverse("intake:step", args=[three_rounds.reference, 4, "safety"])
    assert three_rounds.rounds.count() == 4
