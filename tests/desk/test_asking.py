"""One press sends what a draft and the checks ask, in the client's language and units, each to where it is told."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake.choices import RequestState
from intake.models import Question, SetupRequest, User
from tests.desk.test_history import _document
from tuning.desk import asking, casefile, services
from tuning.desk.models import Recommendation

pytestmark = pytest.mark.django_db


def url(request: SetupRequest) -> str:
    return reverse("desk:ask", args=[request.reference])


@pytest.fixture
def only_asks(setup_request: SetupRequest, tuner: User) -> Recommendation:
    """A draft that holds nothing but questions."""
    draft = services.open_draft(casefile.sent_rounds(setup_request)[0], tuner)
    questions = [
        {"id": "ask_reading", "params": {"reading": "length_rider_aboard.rear"}},
        {"id": "ask_setting", "params": {"adjuster": "front.rebound.left"}},
        {"id": "ask_decide", "params": {"finding": "sag_rider_aboard.front", "reading": "friction.front"}},
        {"id": "ask_clearance", "params": {}},
        {"id": "ask_settle", "params": {"end": "rear"}},
        {"id": "ask_unsure", "params": {"question": "leak"}},
    ]
    content = {**draft.content, "changes": [], "notes": [], "stop": [], "questions": questions}
    Recommendation.objects.filter(pk=draft.pk).update(content=content)
    draft.refresh_from_db()
    return draft


def test_each_question_knows_where_it_is_answered(only_asks: Recommendation) -> None:
    found = [one.ask for one in asking.proposals(only_asks.round, only_asks)]
    places = {ask.key.split(":")[0]: (ask.step, ask.fields) for ask in found if ask.key.startswith("ask_")}
    assert places == {
        "ask_reading": ("sag", ("length_rider_aboard.rear",)),
        "ask_setting": ("settings", ("front.rebound.left.found",)),
        "ask_decide": (
            "sag",
            ("length_bike_alone.front.from_below", "length_bike_alone.front.from_above",
             "length_rider_aboard.front.from_below", "length_rider_aboard.front.from_above"),
        ),
        "ask_clearance": ("", ()),
        "ask_settle": ("travel", ("settle.rear",)),
        "ask_unsure": ("safety", ("leak",)),
    }  # fmt: skip


def test_a_draft_that_only_asks_offers_to_send_its_questions_in_the_place_of_approval(
    only_asks: Recommendation, desk: Client
) -> None:
    request = only_asks.round.request
    page = desk.get(reverse("desk:draft", args=[request.reference, only_asks.pk])).content.decode()
    assert "This draft only asks" in page
    assert reverse("desk:approve", args=[request.reference, only_asks.pk]) not in page
    with pytest.raises(services.UnsoundDraft):
        services.approve(only_asks, only_asks.lock, User.objects.get())
    answer = desk.post(url(request), {"all": "1"})
    assert answer.status_code == 302
    request.refresh_from_db()
    assert request.state == RequestState.QUESTION
    assert Question.objects.filter(key__startswith="ask_").count() == 6
    assert Question.objects.get(key__startswith="ask_reading").text.startswith("Please measure this one as well")
    # Pressed again, nothing is asked twice.
    desk.post(url(request), {"all": "1"})
    assert Question.objects.filter(key__startswith="ask_").count() == 6
    assert all(one.asked for one in asking.proposals(only_asks.round, only_asks))


def test_questions_are_put_in_the_clients_units_and_language(only_asks: Recommendation) -> None:
    client = only_asks.round.request.client
    client.language, client.length_unit = "de", "in"
    client.save()
    questions = [{"id": "ask_gentle_ride", "params": {"end": "rear", "reserve_mm": 25.4}}]
    only_asks.content = {**only_asks.content, "questions": questions}
    texts = [one.ask.text for one in asking.proposals(only_asks.round, only_asks) if "ask_" in one.ask.key]
    assert any("1\xa0in" in text for text in texts)
    assert not any("of travel stayed unused" in text for text in texts)


def test_a_tuners_own_question_goes_to_each_step_it_names(setup_request: SetupRequest, desk: Client) -> None:
    told = {
        "own": "Both again, please.", "step": ["travel", "nonsense"],
        "field": ["sag:length_rider_aboard.front", "sag:no_such", "bike:rear"],
    }  # fmt: skip
    assert desk.post(url(setup_request), told).status_code == 302
    rows = {row.step: row.fields for row in Question.objects.all()}
    assert rows == {"travel": [], "sag": ["length_rider_aboard.front"], "bike": ["rear"]}


@pytest.mark.parametrize("told", [{}, {"step": "sag"}, {"own": "   "}])
def test_nothing_to_ask_is_said_and_nothing_typed_is_lost(
    told: dict[str, Any], setup_request: SetupRequest, desk: Client
) -> None:
    answer = desk.post(url(setup_request), {"body": "My own line", **told})
    assert answer.status_code == 422
    assert "My own line" in answer.content.decode()
    assert not Question.objects.exists()


def test_the_case_form_takes_several_steps(setup_request: SetupRequest, desk: Client) -> None:
    told = {"body": "Sag and travel again.", "kind": "question", "step": ["sag", "travel", "sag"]}
    desk.post(reverse("desk:say", args=[setup_request.reference]), told)
    assert [row.step for row in Question.objects.all()] == ["sag", "travel"]
    page = desk.get(reverse("desk:case", args=[setup_request.reference])).content.decode()
    assert page.count("Sag and travel again.") == 1


def test_a_later_rounds_questions_are_about_the_round_at_work(
    make: Callable[..., SetupRequest], tuner: User, desk: Client
) -> None:
    request = make(**_document())
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    services.approve(draft, draft.lock, tuner)
    desk.post(url(request), {"own": "How heavy is the luggage?", "step": "rider"})
    assert Question.objects.get().round.number == 2


def test_only_tuners_ask(setup_request: SetupRequest) -> None:
    answer = Client().post(url(setup_request), {"own": "?"})
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("desk:login"))
    assert not Question.objects.exists()
