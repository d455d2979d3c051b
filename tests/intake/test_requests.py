"""The steps a request takes: what it takes to send, what sending does, and the rounds after."""

import pytest
from django.core import mail
from django.db import IntegrityError

from intake import case, models
from intake.choices import RequestState, SettingKind
from intake.models import Event, OutboxMail, Reading, Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import conversation, readings, requests
from tests.intake.rounds import advised, fit_to_ride, lengths, read, ready, sent, started, tuner

pytestmark = pytest.mark.django_db


def fresh(round_: Round) -> SetupRequest:
    return SetupRequest.objects.get(pk=round_.request_id)


def test_a_request_starts_with_client_bike_and_first_round():
    request = requests.start_request(language="en", length_unit="in", mass_unit="lb")
    assert request.state == RequestState.DRAFT
    assert request.client.length_unit == "in"
    assert request.bike.pk
    assert request.round().number == 1


def test_a_reference_that_is_taken_is_drawn_again(monkeypatch):
    taken = started().reference
    drawn = iter([taken, taken, "FP-7K3M-2Q"])
    monkeypatch.setattr(SetupRequest._meta.get_field("reference"), "_get_default", lambda: next(drawn))
    assert requests.start_request().reference == "FP-7K3M-2Q"
    assert models.Client.objects.count() == 2


def test_a_reference_that_stays_taken_is_an_error(monkeypatch):
    taken = started().reference
    monkeypatch.setattr(SetupRequest._meta.get_field("reference"), "_get_default", lambda: taken)
    with pytest.raises(IntegrityError):
        requests.start_request()


# --- Sending ------------------------------------------------------------------------------------------------------


def test_an_empty_round_is_told_everything_that_is_missing():
    round_ = requests.start_request().round()
    with pytest.raises(requests.NotReady) as refused:
        requests.send_round(round_)
    assert refused.value.problems == [
        ("safety", "stop_answers_missing"),
        ("you", "discipline_missing"),
        ("review", "consent_missing"),
        ("rider", "rider_mass_missing"),
        ("sag", "lengths_missing"),
    ]
    round_.refresh_from_db()
    assert round_.sent_at is None
    assert not OutboxMail.objects.exists()


def test_one_stop_question_left_open_is_not_a_no():
    round_ = ready()
    readings.answer(round_, "leak", "", "")
    with pytest.raises(requests.NotReady) as refused:
        requests.send_round(round_)
    assert refused.value.problems == [("safety", "stop_answers_missing")]


def test_lengths_split_over_two_ends_are_not_enough():
    round_ = ready()
    readings.withdraw_reading(round_, quantity="length_rider_aboard", end="front", load_state="solo")
    read(round_, "length_rider_aboard", "520", end="rear", load_state="solo")
    with pytest.raises(requests.NotReady):
        requests.send_round(round_)


def test_one_end_is_enough_and_no_address_is_needed():
    round_ = ready()
    models.Client.objects.update(email="")
    requests.send_round(round_)
    assert fresh(round_).state == RequestState.RECEIVED
    assert not OutboxMail.objects.exists()


def test_sending_stores_the_checks_moves_on_and_tells_the_client(django_capture_on_commit_callbacks):
    round_ = ready()
    with django_capture_on_commit_callbacks() as later:
        requests.send_round(round_, doubt_note="  The ring may have slipped. ")
    round_.refresh_from_db()
    request = fresh(round_)
    assert request.state == RequestState.RECEIVED
    assert request.waiting_since is not None
    assert round_.sent_at is not None
    assert round_.doubt_note == "The ring may have slipped."
    stored = {row["id"]: row["verdict"] for row in round_.checks if row["end"] == "front"}
    assert stored["order_topped_out_bike_alone"] == "passes"
    assert stored["order_bike_alone_rider"] == "passes"
    assert tuple(requests.check_from_json(row) for row in round_.checks) == case.partial_checks(round_)
    assert Event.objects.get(kind="sent").params == {"round": 1}
    (queued,) = OutboxMail.objects.all()
    assert queued.to == "tove@riders.example"
    assert request.reference in queued.subject
    assert f"/r/{request.reference}/" in queued.body
    assert "not ride" not in queued.body
    assert len(later) == 1
    assert mail.outbox == []


def test_pressing_send_twice_sends_once():
    round_ = ready()
    twin = Round.objects.get(pk=round_.pk)
    requests.send_round(round_)
    with pytest.raises(WrongState):
        requests.send_round(twin)
    assert Event.objects.filter(kind="sent").count() == 1
    assert OutboxMail.objects.count() == 1


@pytest.mark.parametrize("state", ["reading", "sheet_ready", "settled", "closed"])
def test_a_round_that_was_sent_cannot_be_sent_again_later(state):
    round_ = sent()
    SetupRequest.objects.filter(pk=round_.request_id).update(state=state)
    with pytest.raises(WrongState):
        requests.send_round(round_)
    assert fresh(round_).state == state


def test_a_round_asked_about_may_be_sent_again():
    round_ = sent()
    conversation.post_message(
        fresh(round_), body="Please measure L2 again.", author=tuner(), step="sag", question=True
    )
    lengths(round_, length_rider_aboard="90")
    requests.send_round(round_)
    assert fresh(round_).state == RequestState.RECEIVED


def test_the_form_takes_a_second_press_for_the_first(client):
    from tests.intake.at_form import address, begin, fill, save

    request = begin(client)
    fill(client, request)
    round_ = request.round()
    save(client, request, "review", {"consent": "on"})
    # What a second press meets that came while the first was being saved: a page that still thought it open.
    round_.refresh_from_db()
    from intake.views import form

    real, form.is_open = form.is_open, lambda *_: True
    try:
        answer = save(client, request, "review", {"consent": "on"})
    finally:
        form.is_open = real
    assert answer.status_code == 302
    assert answer["Location"] != address(request, "review")
    assert Event.objects.filter(kind="sent").count() == 1


# --- Flags --------------------------------------------------------------------------------------------------------


def flags(round_: Round) -> set[str]:
    request = fresh(round_)
    return {name for name in ("stop", "blocked", "bottomed", "words") if getattr(request, f"flag_{name}")}


def test_nothing_wrong_raises_no_flag():
    assert flags(sent()) == set()


def test_a_stop_answer_is_flagged_and_the_client_told_not_to_ride():
    round_ = ready()
    readings.answer(round_, "leak", "", "yes")
    requests.send_round(round_)
    assert flags(round_) == {"stop"}
    queued = OutboxMail.objects.get()
    assert "do not ride" in queued.subject
    assert "Please do not ride" in queued.body


def test_unsure_is_no_yes():
    round_ = ready()
    readings.answer(round_, "leak", "", "unsure")
    requests.send_round(round_)
    assert flags(round_) == set()


def test_readings_out_of_order_are_flagged_as_blocked():
    round_ = ready()
    lengths(round_, length_rider_aboard="110")
    requests.send_round(round_)
    assert flags(round_) == {"blocked"}


def test_more_than_the_maker_permits_stops():
    round_ = ready()
    read(round_, "bike_mass", "200", "kg")
    read(round_, "gross_mass_limit", "280", "kg")
    requests.send_round(round_)
    assert flags(round_) == {"stop", "blocked"}
    assert "do not ride" in OutboxMail.objects.get().subject


def test_bottoming_is_flagged():
    round_ = ready()
    readings.answer(round_, "bottomed", "front", "yes")
    requests.send_round(round_)
    assert flags(round_) == {"bottomed"}


@pytest.mark.parametrize(
    ("words", "flagged"),
    [("There is a leak at the left seal.", True), ("No leaks, no cracks, never crashed.", False), ("", False)],
)
def test_safety_words_are_flagged_unless_denied(words, flagged):
    round_ = ready()
    round_.words = words
    round_.save(update_fields=["words"])
    requests.send_round(round_)
    assert flags(round_) == ({"words"} if flagged else set())


def test_a_flag_falls_when_what_raised_it_is_mended():
    round_ = ready()
    readings.answer(round_, "leak", "", "yes")
    requests.send_round(round_)
    conversation.post_message(fresh(round_), body="Is the seal done?", author=tuner(), question=True)
    readings.answer(round_, "leak", "", "no")
    requests.send_round(round_)
    assert flags(round_) == set()


# --- Rounds after -------------------------------------------------------------------------------------------------


@pytest.fixture
def with_rebound():
    round_ = ready()
    for leg, found in (("left", "12"), ("right", "12")):
        adjuster = readings.put_adjuster(round_.request.bike, f"front.rebound.{leg}", unit="click", range_counted=22)
        readings.record_setting(round_, adjuster, SettingKind.FOUND, text=found)
    readings.put_adjuster(round_.request.bike, "rear.rebound", unit="click")
    requests.send_round(round_)
    return Round.objects.get(pk=round_.pk)


def settings_of(round_: Round) -> dict[str, float | None]:
    return {row.adjuster.key: row.value for row in case.current_settings(round_).values()}


def test_the_next_round_starts_as_recommended_and_else_as_it_stood(with_rebound):
    request = advised(with_rebound)
    second = requests.open_next_round(request, [("front.rebound.left", 9.0, "")])
    assert second.number == 2
    assert SetupRequest.objects.get(pk=request.pk).current_round == 2
    assert settings_of(second) == {"front.rebound.left": 9, "front.rebound.right": 12}
    assert settings_of(with_rebound) == {"front.rebound.left": 12, "front.rebound.right": 12}


def test_what_the_client_applied_otherwise_is_what_the_round_after_starts_from(with_rebound):
    request = advised(with_rebound)
    second = requests.open_next_round(request, [("front.rebound.left", 9.0, "")])
    left = request.bike.adjusters.get(key="front.rebound.left")
    readings.record_setting(second, left, SettingKind.APPLIED, text="10")
    Round.objects.filter(pk=second.pk).update(sent_at=with_rebound.sent_at)
    third = requests.open_next_round(request, [])
    assert settings_of(third)["front.rebound.left"] == 10


def test_a_corrected_sheet_uses_the_open_round_again(with_rebound):
    request = advised(with_rebound)
    requests.open_next_round(request, [("front.rebound.left", 9.0, "")])
    again = requests.open_next_round(request, [("front.rebound.right", 8.0, "")])
    assert again.number == 2
    assert settings_of(again) == {"front.rebound.left": 12, "front.rebound.right": 8}


def test_a_later_round_needs_no_second_consent_but_lengths_of_its_own(with_rebound):
    request = advised(with_rebound)
    second = requests.open_next_round(request, [])
    with pytest.raises(requests.NotReady) as refused:
        requests.send_round(second)
    assert refused.value.problems == [("safety", "stop_answers_missing"), ("sag", "lengths_missing")]
    fit_to_ride(second)
    lengths(second)
    requests.send_round(second)
    request.refresh_from_db()
    assert request.state == RequestState.RECEIVED
    assert Reading.objects.filter(round=with_rebound, is_current=True).exists()


# --- Taking, releasing, settling ----------------------------------------------------------------------------------


def test_taking_reads_and_releasing_puts_back():
    request, by = fresh(sent()), tuner()
    requests.take(request, by)
    request.refresh_from_db()
    assert (request.tuner, request.state) == (by, RequestState.READING)
    requests.release(request, by)
    request.refresh_from_db()
    assert (request.tuner, request.state) == (None, RequestState.RECEIVED)
    assert not Event.objects.filter(kind__in=["taken", "released"], public=True).exists()


def test_a_colleague_takes_over():
    request = fresh(sent())
    requests.take(request, tuner("first"))
    second = tuner("second")
    for step in (requests.take, requests.release):
        with pytest.raises(requests.Taken, match="Imre Vadas"):
            step(request, second)
    request.refresh_from_db()
    assert request.tuner.username == "first"
    requests.take(request, second, over=True)
    request.refresh_from_db()
    assert request.tuner == second
    (event,) = Event.objects.filter(kind="taken_over")
    assert (event.actor, event.params, event.public) == (second, {"from": "Imre Vadas"}, False)


def test_settled_comes_back_when_the_client_reports_again():
    request = fresh(sent())
    requests.settle(request, tuner())
    request.refresh_from_db()
    assert request.state == RequestState.SETTLED
    second = requests.open_next_round(request, [])
    fit_to_ride(second)
    lengths(second)
    requests.send_round(second)
    request.refresh_from_db()
    assert request.state == RequestState.RECEIVED


def test_a_draft_cannot_be_settled():
    request = started()
    with pytest.raises(WrongState):
        requests.settle(request, tuner())
    assert not Event.objects.exists()


def test_two_who_act_on_what_they_saw_cannot_both_move_a_request():
    mine, theirs = (SetupRequest.objects.get(pk=pk) for pk in [sent().request_id] * 2)
    mine.move_to(RequestState.SETTLED)
    with pytest.raises(WrongState):
        theirs.move_to(RequestState.READING)


# --- Conversation -------------------------------------------------------------------------------------------------


def test_a_question_waits_for_the_client_and_an_answer_for_the_shop():
    request = fresh(sent())
    OutboxMail.objects.all().delete()
    asked = conversation.post_message(request, body=" L2 again? ", author=tuner(), step="sag", question=True)
    assert (asked.body, asked.step, asked.from_client) == ("L2 again?", "sag", False)
    assert (request.state, request.waiting_since) == (RequestState.QUESTION, None)
    queued = OutboxMail.objects.get()
    assert "Imre Vadas" in queued.body
    assert "L2 again?" in queued.body
    conversation.post_message(request, body="Measured: 91.")
    assert request.state == RequestState.RECEIVED
    assert request.waiting_since is not None
    assert OutboxMail.objects.count() == 1


def test_a_plain_message_moves_nothing():
    request = fresh(sent())
    conversation.post_message(request, body="Ride safely.", author=tuner())
    assert request.state == RequestState.RECEIVED


def test_nobody_is_asked_about_a_draft():
    request = started()
    with pytest.raises(WrongState):
        conversation.post_message(request, body="?", author=tuner(), question=True)
    assert not request.messages.exists()


# --- Lost link ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("written", ["{0}", " {0} ", "lower", "spaced"])
def test_a_lost_link_goes_to_its_own_address_however_the_reference_is_written(written):
    from intake.services.lost_link import find_and_mail

    request = started()
    reference = request.reference
    as_typed = {"lower": reference.lower(), "spaced": reference.replace("-", " ")}.get(
        written, written.format(reference)
    )
    find_and_mail("TOVE@riders.example", as_typed)
    assert OutboxMail.objects.get().to == "tove@riders.example"


def test_a_lost_link_asked_for_by_somebody_else_sends_nothing():
    from intake.services.lost_link import find_and_mail

    find_and_mail("other@riders.example", started().reference)
    find_and_mail("tove@riders.example", "FP-0000-00")
    # A miss costs what a hit costs, but its mail goes to nobody.
    assert [mail.to for mail in OutboxMail.objects.all()] == ["", ""]
