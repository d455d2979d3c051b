"""The stop gate in later rounds: asked anew before anything else, told at once, and cleared by a plain no."""

import pytest

from intake.choices import RequestState
from intake.models import Answer, Event, OutboxMail, Round, SetupRequest
from intake.services import conversation, readings, requests
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED
from tests.intake.rounds import advised, fit_to_ride, lengths, ready, sent, tuner
from tuning.engine.vocabulary import STOP_QUESTIONS

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def second_of(first: Round) -> Round:
    fresh = requests.open_next_round(advised(first), [])
    lengths(fresh)
    return Round.objects.select_related("request__client", "request__bike").get(pk=fresh.pk)


def leaking() -> Round:
    round_ = ready()
    readings.answer(round_, "leak", "", "yes")
    requests.send_round(round_)
    return round_


def request_of(round_: Round) -> SetupRequest:
    return SetupRequest.objects.get(pk=round_.request_id)


def noted(kind: str) -> list[dict[str, object]]:
    return [event.params for event in Event.objects.filter(kind=kind).order_by("pk")]


# --- Sending ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("left_open", [("leak",), ("brakes", "wobble"), STOP_QUESTIONS])
def test_a_later_round_is_not_sent_before_every_question_is_answered(left_open):
    second = second_of(sent())
    fit_to_ride(second, **dict.fromkeys(left_open, ""))
    with pytest.raises(requests.NotReady) as refused:
        requests.send_round(second)
    assert refused.value.problems == [("safety", "stop_answers_missing")]
    assert refused.value.unanswered == tuple(left_open)
    assert request_of(second).state == RequestState.SHEET_READY


def test_a_yes_after_a_ride_flags_the_request_and_tells_the_client_not_to_ride():
    second = second_of(sent())
    OutboxMail.objects.all().delete()
    fit_to_ride(second, wobble="yes")
    requests.send_round(second)
    assert request_of(second).flag_stop
    assert "do not ride" in OutboxMail.objects.get().subject
    assert noted("stop_told") == [{"round": 2, "questions": ["wobble"]}]


def test_a_no_to_what_was_a_yes_clears_the_flag_and_is_noted():
    first = leaking()
    assert request_of(first).flag_stop
    second = second_of(first)
    fit_to_ride(second)
    requests.send_round(second)
    assert not request_of(second).flag_stop
    assert noted("stop_told") == [{"round": 1, "questions": ["leak"]}]
    assert noted("stop_cleared") == [{"round": 2, "questions": ["leak"]}]


def test_nothing_is_cleared_that_was_never_told():
    second = second_of(sent())
    fit_to_ride(second)
    requests.send_round(second)
    assert not noted("stop_told")
    assert not noted("stop_cleared")


def test_not_sure_after_a_yes_keeps_the_bike_off_the_road():
    second = second_of(leaking())
    fit_to_ride(second, leak="unsure")
    requests.send_round(second)
    assert request_of(second).flag_stop
    assert not noted("stop_cleared")
    assert "do not ride" in OutboxMail.objects.order_by("pk").last().subject


def test_a_round_sent_again_is_held_against_what_it_said_itself():
    round_ = leaking()
    for said in ("no", "yes", "no", "no"):
        conversation.post_message(request_of(round_), body="And now?", author=None, question=False)
        SetupRequest.objects.filter(pk=round_.request_id).update(state=RequestState.QUESTION)
        readings.answer(round_, "leak", "", said)
        requests.send_round(round_)
    assert len(noted("stop_told")) == 2
    assert noted("stop_cleared") == [{"round": 1, "questions": ["leak"]}] * 2


# --- The form -----------------------------------------------------------------------------------------------------


@pytest.fixture
def reporting(client):
    request = begin(client)
    fill(client, request)
    leak = {**FILLED["safety"], "leak": "yes"}
    save(client, request, "safety", leak)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    request.move_to("sheet_ready")
    requests.open_next_round(request, [])
    return request


def test_the_report_begins_with_the_nine_questions_and_none_is_answered_beforehand(client, reporting):
    status = client.get(f"/requests/{reporting.reference}/").content.decode()
    assert f'href="{address(reporting, "safety", 2)}"' in status
    page = client.get(address(reporting, "safety", 2))
    text = page.content.decode()
    assert "Since your last report, has any of this come up?" in text
    assert text.count('type="radio"') == 3 * len(STOP_QUESTIONS)
    assert "checked" not in text
    (hinted,) = [f.spec.name for g in page.context["groups"] for f in g.fields if f.spec.hint]
    assert hinted == "leak"


def test_a_yes_in_a_report_is_answered_at_once(client, reporting):
    told = {**FILLED["safety"], "brakes": "yes"}
    first = save(client, reporting, "safety", told, 2)
    assert first.status_code == 200
    assert "Do not ride until this is seen to" in first.content.decode()
    assert first.context["stopped"] == ["brakes that fade, pull or stick"]
    again = save(client, reporting, "safety", told, 2, seen=first.context["seen"])
    assert again["Location"] == address(reporting, "settings", 2)
    assert "Do not ride" in client.get(address(reporting, "review", 2)).content.decode()


@pytest.mark.parametrize("round_number", [1, 2])
def test_a_yes_is_answered_at_once_beside_a_question_left_open(client, round_number):
    request = begin(client)
    if round_number == 2:
        fill(client, request)
        save(client, request, "review", {"consent": "on"})
        request.refresh_from_db()
        request.move_to("sheet_ready")
        requests.open_next_round(request, [])
    answer = save(client, request, "safety", {"damage": "yes"}, round_number)
    assert answer.status_code == 422
    assert "Do not ride until this is seen to" in answer.content.decode()
    assert not Answer.objects.filter(round__number=round_number, question="damage", value="yes").exists()


def test_sending_without_the_gate_names_what_is_open_and_leads_there(client, reporting):
    save(client, reporting, "sag", FILLED["sag"], 2)
    refused = save(client, reporting, "review", {"consent": "on"}, 2)
    text = refused.content.decode()
    assert refused.status_code == 422
    assert "Answer the nine questions on whether the bike is fit to ride." in text
    assert f'<a href="{address(reporting, "safety", 2)}">Answer' in text
    second = reporting.rounds.get(number=2)
    fit_to_ride(second, tyres="")
    again = save(client, reporting, "review", {"consent": "on"}, 2)
    assert "Still open: worn, cracked or old tyres." in again.content.decode()
    second.refresh_from_db()
    assert second.sent_at is None
    fit_to_ride(second)
    assert save(client, reporting, "review", {"consent": "on"}, 2).status_code == 302
    assert noted("stop_cleared") == [{"round": 2, "questions": ["leak"]}]


def test_the_status_page_does_not_send_a_stopped_rider_to_ride(client, reporting):
    SetupRequest.objects.filter(pk=reporting.pk).update(state=RequestState.RIDE)
    text = client.get(f"/requests/{reporting.reference}/").content.decode()
    assert "Ride, then report" not in text
    assert "Do not ride yet" in text
    assert "says that it has been put right" in text


# --- The desk -----------------------------------------------------------------------------------------------------


def test_the_tuner_sees_what_has_been_put_right(client):
    second = second_of(leaking())
    fit_to_ride(second, play="unsure")
    requests.send_round(second)
    client.force_login(tuner())
    page = client.get(f"/desk/requests/{second.request.reference}/")
    text = page.content.decode()
    rows = {row["text"]: row["answer"] for row in page.context["file"].stop}
    assert rows["Is there oil on a fork leg, a seal or the shock?"] == "no: put right since the last report"
    assert rows["Is there play or knocking in the steering head, a wheel or the swingarm?"] == "not sure"
    assert "put right since, says the client: oil leaking from fork or shock" in text
    assert "Round 1, stop gate: the client tells of oil leaking from fork or shock" in text


def test_judged_is_what_this_round_answers(client):
    second = second_of(leaking())
    fit_to_ride(second)
    requests.send_round(second)
    Answer.objects.filter(round=second, question="tyres").delete()
    client.force_login(tuner())
    page = client.get(f"/desk/requests/{second.request.reference}/")
    safe = page.context["file"].gates[0]
    # The leak of round 1 is no reason any more; round 1's "no" to the tyres is no answer.
    assert len(safe["reasons"]) == 1
    assert "tyres" in str(safe["reasons"][0])
