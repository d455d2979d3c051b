"""What a tuner asks for: each question opens just its step, is ticked off, and the answers are sent together."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake import access
from intake.choices import Purpose, RequestState
from intake.models import OutboxMail, Question, Reading, Round, SetupRequest, User
from intake.models.requests import WrongState
from intake.services import asking, conversation, requests
from intake.services.asking import Ask
from tests.intake.rounds import LENGTHS, advised, fit_to_ride, lengths, read, sent, tuner

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
L2_REAR = "length_rider_aboard.rear"
SAG = {f"{quantity}.front": text for quantity, text in LENGTHS.items()}


def fresh(request: SetupRequest) -> SetupRequest:
    return SetupRequest.objects.select_related("client", "bike", "tuner").get(pk=request.pk)


def browser(request: SetupRequest, purpose: str = Purpose.FULL) -> Client:
    client = Client()
    client.cookies[f"{access.COOKIE}-{purpose}"] = access.links.token(request, purpose)
    return client


def asked(round_: Round, *asks: Ask, by: User | None = None) -> SetupRequest:
    request = fresh(round_.request)
    asks = asks or (Ask("Please measure L2 at the rear again.", "sag", (L2_REAR,)),)
    conversation.post_message(request, body="Two things:", author=by or tuner(), question=True, asks=asks)
    return fresh(request)


def at(question: Question, what: str = "answer") -> str:
    return reverse(f"intake:{what}", args=[question.message.request.reference, question.pk])


def status(request: SetupRequest) -> str:
    return reverse("reports:status", args=[request.reference])


def save(client: Client, question: Question, fields: dict[str, str], **more: Any) -> Any:
    page = client.get(at(question))
    assert page.status_code == 200
    answer = client.post(at(question), {"base": page.context["base"], **fields, **more})
    if answer.status_code == 200 and answer.context["seen"]:
        answer = client.post(
            at(question), {"base": answer.context["base"], "seen": answer.context["seen"], **fields, **more}
        )
    return answer


def second(round_: Round) -> Round:
    """Return the second round, open after a sheet."""
    request = advised(round_)
    requests.open_next_round(request, ())
    return Round.objects.select_related("request__client", "request__bike").get(request=request, number=2)


def second_sent(round_: Round) -> Round:
    two = second(round_)
    fit_to_ride(two)
    lengths(two)
    requests.send_round(two)
    return Round.objects.select_related("request__client", "request__bike").get(pk=two.pk)


# --- The flow -----------------------------------------------------------------------------------------------------


def test_a_question_opens_only_its_step_with_the_asked_fields_first() -> None:
    request = asked(sent())
    question = Question.objects.get()
    page = browser(request).get(at(question))
    text = page.content.decode()
    assert "Please measure L2 at the rear again." in text
    assert [one.label for one in page.context["wanted"]] == ["L2: rider aboard"]
    assert any(field.spec.name == L2_REAR for field in page.context["groups"][0].fields)
    assert 'class="steps"' not in text
    assert reverse("intake:step", args=[request.reference, 1, "travel"]) not in text


def test_an_answer_is_ticked_off_and_the_answers_are_sent() -> None:
    request = asked(sent())
    question = Question.objects.get()
    client = browser(request)
    listed = client.get(status(request)).content.decode()
    assert at(question) in listed
    assert "0 of 1 question answered" in listed
    assert reverse("intake:send_answers", args=[request.reference]) not in listed
    rear = {f"{quantity}.rear": text for quantity, text in LENGTHS.items()}
    answer = save(client, question, {**SAG, **rear})
    assert (answer.status_code, answer["Location"]) == (302, status(request))
    assert fresh(request).state == RequestState.QUESTION
    listed = client.get(status(request)).content.decode()
    assert "1 of 1 question answered" in listed
    answer = client.post(reverse("intake:send_answers", args=[request.reference]))
    assert answer["Location"] == status(request)
    assert fresh(request).state == RequestState.RECEIVED
    assert Reading.objects.get(quantity="length_rider_aboard", end="rear", is_current=True).text == "92"
    assert not asking.standing(fresh(request))


def test_what_was_asked_for_and_left_empty_is_not_ticked_off() -> None:
    request = asked(sent())
    question = Question.objects.get()
    answer = save(browser(request), question, SAG)
    assert answer.status_code == 200
    assert "still empty" in answer.content.decode()
    question.refresh_from_db()
    assert question.answered_at is None


def test_why_it_cannot_be_answered_is_an_answer() -> None:
    request = asked(sent())
    question = Question.objects.get()
    client = browser(request)
    client.post(at(question, "beyond"), {"why": "  "})
    question.refresh_from_db()
    assert question.answered_at is None
    client.post(at(question, "beyond"), {"why": "The swingarm is at the welder's."})
    question.refresh_from_db()
    assert question.cannot == "The swingarm is at the welder's."
    assert "1 of 1 question answered" in client.get(status(request)).content.decode()
    client.post(reverse("intake:send_answers", args=[request.reference]))
    assert fresh(request).state == RequestState.RECEIVED


@pytest.mark.parametrize("step", ["safety", "you", "bike", "rider", "settings", "sag", "travel", "behaviour"])
def test_a_later_round_is_asked_about_any_step(step: str) -> None:
    two = second_sent(sent())
    request = asked(two, Ask("Please look at this.", step))
    question = Question.objects.get()
    assert question.round_id == two.pk
    page = browser(request).get(at(question))
    assert page.status_code == 200
    assert page.context["page"].id == step


def test_a_message_answers_what_no_step_does_and_leaves_the_rest_open() -> None:
    request = asked(sent(), Ask("How far is the tyre from the fairing?"), Ask("L2 again, please.", "sag", (L2_REAR,)))
    conversation.post_message(request, body="Two fingers.")
    request = fresh(request)
    by_words, by_step = Question.objects.order_by("pk")
    assert by_words.answered_at is not None
    assert by_step.answered_at is None
    # The tuner has it back at once, and the client may still answer.
    assert request.state == RequestState.RECEIVED
    page = browser(request).get(status(request)).content.decode()
    assert "One question is still open" in page
    rear = {f"{quantity}.rear": text for quantity, text in LENGTHS.items()}
    assert save(browser(request), by_step, {**SAG, **rear}).status_code == 302
    answer = browser(request).post(reverse("intake:send_answers", args=[request.reference]))
    assert answer.status_code == 302
    assert not asking.standing(fresh(request))


def test_a_question_that_is_past_leads_back() -> None:
    one = sent()
    asked(one)
    question = Question.objects.get()
    second(one)
    answer = browser(one.request).get(at(question))
    assert (answer.status_code, answer["Location"]) == (302, status(one.request))
    assert at(question) not in browser(one.request).get(status(one.request)).content.decode()


def test_a_step_saved_in_the_form_answers_as_well() -> None:
    request = asked(sent())
    client = browser(request)
    step = reverse("intake:step", args=[request.reference, 1, "sag"])
    rear = {f"{quantity}.rear": text for quantity, text in LENGTHS.items()}
    answer = client.post(step, {"base": "0", **SAG, **rear})
    if answer.status_code == 200:
        answer = client.post(step, {"base": answer.context["base"], "seen": answer.context["seen"], **SAG, **rear})
    assert answer.status_code == 302
    assert Question.objects.get().answered_at is not None


# --- Who may ------------------------------------------------------------------------------------------------------


def test_a_report_link_answers_about_later_rounds_only() -> None:
    one = sent()
    first = asked(one)
    early = Question.objects.get()
    reporter = browser(first, Purpose.REPORT)
    for what in ("answer", "beyond"):
        method = reporter.get if what == "answer" else reporter.post
        assert method(at(early, what)).status_code == 404
    assert reporter.post(reverse("intake:send_answers", args=[first.reference])).status_code == 404
    conversation.post_message(fresh(first), body="So be it.")
    two = second_sent(one)
    request = asked(two, by=User.objects.get())
    late = Question.objects.order_by("pk").last()
    assert late is not None
    sent_page = reverse("intake:sent", args=[request.reference])
    assert at(late) in reporter.get(sent_page).content.decode()
    rear = {f"{quantity}.rear": text for quantity, text in LENGTHS.items()}
    answer = save(reporter, late, {**SAG, **rear})
    assert answer["Location"] == sent_page
    assert reporter.post(reverse("intake:send_answers", args=[request.reference]))["Location"] == sent_page
    assert fresh(request).state == RequestState.RECEIVED


def test_strangers_and_other_clients_see_nothing() -> None:
    request = asked(sent())
    question = Question.objects.get()
    other = sent().request
    mine_there = reverse("intake:answer", args=[other.reference, question.pk])
    for client in (Client(), browser(other)):
        assert client.get(at(question)).status_code == 404
        assert client.post(at(question, "beyond"), {"why": "x"}).status_code == 404
        assert client.post(reverse("intake:send_answers", args=[request.reference])).status_code == 404
    assert browser(other).get(mine_there).status_code == 404


# --- Races --------------------------------------------------------------------------------------------------------


def test_two_tabs_answering_lose_neither() -> None:
    request = asked(sent())
    question = Question.objects.get()
    one, two = browser(request), browser(request)
    base = one.get(at(question)).context["base"]
    rear = {f"{quantity}.rear": text for quantity, text in LENGTHS.items()}
    first = {"base": base, **SAG, **rear}
    assert one.post(at(question), first).status_code in {200, 302}
    answer = two.post(at(question), {**first, L2_REAR: "90"})
    assert answer.status_code == 409
    assert ("L2: rider aboard", "90", "92") in answer.context["other"]
    again = {**first, L2_REAR: "90", "base": answer.context["base"]}
    saved = two.post(at(question), again)
    if saved.status_code == 200:
        saved = two.post(at(question), {**again, "base": saved.context["base"], "seen": saved.context["seen"]})
    assert saved.status_code == 302
    assert Reading.objects.get(quantity="length_rider_aboard", end="rear", is_current=True).text == "90"


def test_answers_sent_from_two_tabs_are_sent_once() -> None:
    request = asked(sent())
    question = Question.objects.get()
    client = browser(request)
    client.post(at(question, "beyond"), {"why": "No tape here."})
    OutboxMail.objects.all().delete()
    for _tab in (1, 2):
        answer = client.post(reverse("intake:send_answers", args=[request.reference]))
        assert answer["Location"] == status(request)
    assert OutboxMail.objects.filter(kind="received").count() == 1


def test_a_question_asked_while_the_report_is_sent_is_kept_whichever_comes_first() -> None:
    two = second(sent())
    fit_to_ride(two)
    lengths(two)
    read(two, "rider_mass", "84", "kg", method="scale")
    before = fresh(two.request)
    drawn_before = fresh(two.request)
    conversation.post_message(before, body="L2 again?", author=tuner(), step="sag", question=True)
    requests.send_round(two)
    request = fresh(two.request)
    assert request.state == RequestState.RECEIVED
    assert [row.text for row in asking.standing(request)] == ["L2 again?"]
    # The desk still shows the request as it was before the report; the question goes to it as it is now.
    conversation.post_message(drawn_before, body="And L1?", author=User.objects.get(), step="sag", question=True)
    request = fresh(two.request)
    assert request.state == RequestState.QUESTION
    assert [row.text for row in asking.standing(request)] == ["L2 again?", "And L1?"]


def test_nothing_is_asked_of_a_settled_request() -> None:
    request = fresh(sent().request)
    SetupRequest.objects.filter(pk=request.pk).update(state=RequestState.SETTLED)
    with pytest.raises(WrongState):
        conversation.post_message(fresh(request), body="L2?", author=tuner(), step="sag", question=True)
    assert not Question.objects.exists()


# --- Mails --------------------------------------------------------------------------------------------------------


def test_each_side_is_told_once() -> None:
    one = sent()
    mine = tuner()
    mine.email = "imre@shop.example"
    mine.save()
    SetupRequest.objects.filter(pk=one.request_id).update(tuner=mine)
    OutboxMail.objects.all().delete()
    request = asked(one, Ask("L2 at the rear, please."), Ask("And L1.", "sag"), by=mine)
    (mail,) = OutboxMail.objects.all()
    assert mail.to == "tove@riders.example"
    for text in ("Two things:", "- L2 at the rear, please.", "- And L1.", f"/r/{request.reference}/"):
        assert text in mail.body
    mail.delete()
    conversation.post_message(request, body="I have no tape here.")
    (mail,) = OutboxMail.objects.all()
    assert (mail.to, mail.request_id) == ("imre@shop.example", None)
    assert mail.subject == f"{request.reference}: the client has written"
    assert f"/desk/requests/{request.reference}/" in mail.body
    assert "tape" not in mail.body
