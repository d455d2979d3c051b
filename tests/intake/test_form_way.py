"""The whole way through the form, in inches and pounds, without any script."""

import math

import pytest

from intake import words
from intake.models import Adjuster, Answer, OutboxMail, Reading, Setting, SetupRequest, StepDraft, Symptom
from intake.services import requests
from intake.steps import PAGES
from intake.steps.questions import step_of
from tests.intake.at_form import address, base_of, begin, fill, save
from tests.intake.filled import FILLED, STEPS
from tuning.engine.derivation import Check

pytestmark = pytest.mark.django_db


def test_start_opens_a_draft_in_the_units_chosen_and_grants_the_cookie_for_its_pages_only(client):
    answer = client.post("/start/", {"units": "imperial"})
    request = SetupRequest.objects.get()
    assert answer["Location"] == f"/requests/{request.reference}/round/1/safety/"
    assert request.state == "draft"
    assert (request.client.length_unit, request.client.mass_unit, request.client.pressure_unit) == ("in", "lb", "psi")
    cookie = answer.cookies["far-access-full"]
    assert cookie["path"] == f"/requests/{request.reference}/"
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


def test_the_whole_form_makes_the_records(client):
    request = begin(client)
    fill(client, request)
    request.refresh_from_db()

    assert (request.discipline, request.skill, request.budget) == ("road_sport", "hand_tools", "springs")
    assert request.bike.name == "Corvane 600 S"
    assert request.bike.year == 2016
    round_ = request.rounds.get()
    topped = Reading.objects.get(round=round_, quantity="length_topped_out", end="front")
    assert (topped.text, topped.unit, topped.load_state) == ("5 1/8", "in", "bike_alone")
    # 5 1/8 in × 25.4 mm (the international inch), by hand.
    assert math.isclose(topped.value, 130.175, rel_tol=1e-9)
    mass = Reading.objects.get(round=round_, quantity="rider_mass")
    # 214 lb × 0.45359237 kg (the avoirdupois pound), by hand.
    assert math.isclose(mass.value, 97.06876718, rel_tol=1e-9)
    assert mass.text == "214 lbs"
    assert Reading.objects.get(round=round_, quantity="length_rider_aboard", end="rear").load_state == "solo"
    # 0.2 in = 5.08 mm.
    fork = Setting.objects.get(round=round_, adjuster__key="front.fork_position.left", kind="found")
    assert math.isclose(fork.value, 5.08, rel_tol=1e-9)
    assert fork.text == "0.2 in"
    rebound = Adjuster.objects.get(bike=request.bike, key="front.rebound.right")
    assert (rebound.unit, rebound.counted_from, rebound.range_counted) == ("click", "closed", 22)
    assert Adjuster.objects.get(bike=request.bike, key="front.preload.left").counted_from == "open"
    # Lines showing: fewer means more preload, so they count from closed.
    assert Adjuster.objects.get(bike=request.bike, key="rear.preload").counted_from == "closed"
    assert Answer.objects.get(round=round_, question="bottomed", end="front").value == "no"
    assert Answer.objects.filter(round=round_, question="leak", value="no").exists()
    assert set(Symptom.objects.values_list("symptom", "end", "severity")) == {
        ("brake_dive", "front", 3),
        ("harsh_single", "front", 2),
    }
    round_.refresh_from_db()
    assert round_.words == "Dives at the roundabout."


def test_review_shows_what_was_typed_in_its_unit_and_sending_needs_consent(client):
    request = begin(client)
    fill(client, request)
    page = client.get(address(request, "review"))
    text = page.content.decode()
    assert "5 1/8\u00a0in" in text
    assert "214 lbs" in text
    for step in STEPS:
        assert f'name="go" value="{step}"' in text

    refused = save(client, request, "review", {"doubt_note": "The rear tape slipped."})
    assert refused.status_code == 422
    assert "The rear tape slipped." in refused.content.decode()
    request.refresh_from_db()
    assert request.state == "draft"

    sent = save(client, request, "review", {"doubt_note": "The rear tape slipped.", "consent": "on"})
    assert sent.status_code == 302
    assert sent["Location"] == f"/requests/{request.reference}/"
    request.refresh_from_db()
    assert request.state == "received"
    assert request.consent_at is not None
    assert request.rounds.get().doubt_note == "The rear tape slipped."


def test_sending_with_a_core_number_missing_says_which_step_to_go_to(client):
    request = begin(client)
    fill(client, request, upto="you")
    answer = save(client, request, "review", {"consent": "on"})
    assert answer.status_code == 422
    steps = [step for step, _text in answer.context["missing"]]
    assert {"rider", "sag"} <= set(steps)
    request.refresh_from_db()
    assert request.state == "draft"


def test_going_back_shows_what_was_typed(client):
    request = begin(client)
    fill(client, request)
    for step in STEPS:
        page = client.get(address(request, step))
        shown = {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}
        for name, value in FILLED[step].items():
            if name in shown:
                assert shown[name] == value, (step, name)


def test_saving_the_same_again_makes_no_new_reading(client):
    request = begin(client)
    fill(client, request, upto="sag")
    before = Reading.objects.count()
    save(client, request, "sag", FILLED["sag"])
    assert Reading.objects.count() == before
    save(client, request, "sag", {**FILLED["sag"], "length_rider_aboard.front": "3 1/2"})
    assert Reading.objects.count() == before + 1
    assert Reading.objects.filter(quantity="length_rider_aboard", end="front", is_current=True).count() == 1


def test_an_emptied_field_takes_its_reading_back(client):
    request = begin(client)
    fill(client, request, upto="rider")
    save(client, request, "rider", {"load_state": "solo_luggage", "rider_mass": "214", "luggage_mass": "20"})
    assert Reading.objects.filter(quantity="luggage_mass", is_current=True).exists()
    save(client, request, "rider", {"load_state": "solo_luggage", "rider_mass": "214", "luggage_mass": ""})
    assert not Reading.objects.filter(quantity="luggage_mass", is_current=True).exists()


def test_another_load_takes_back_the_lengths_measured_with_the_first(client):
    request = begin(client)
    fill(client, request, upto="sag")
    save(client, request, "rider", {"load_state": "two_up", "rider_mass": "214", "passenger_mass": "150"})
    aboard = Reading.objects.filter(quantity="length_rider_aboard", is_current=True)
    assert not aboard.exists()
    state = {row.page.id: row.state for row in client.get(address(request, "travel")).context["steps"]}
    assert state["sag"] == "look"
    fill_again = save(client, request, "sag", FILLED["sag"])
    assert fill_again.status_code in {200, 302}
    assert set(aboard.values_list("load_state", flat=True)) == {"two_up"}


def test_changing_units_never_reinterprets_what_was_typed(client):
    request = begin(client)
    fill(client, request, upto="sag")
    save(client, request, "you", {**FILLED["you"], "length_unit": "mm"})
    page = client.get(address(request, "sag"))
    field = next(f for g in page.context["groups"] for f in g.fields if f.spec.name == "length_topped_out.front")
    assert (field.value, field.unit) == ("5 1/8", "in")
    empty = next(f for g in page.context["groups"] for f in g.fields if f.spec.name.endswith("front.from_below"))
    assert empty.unit == "mm"


def test_a_yes_at_the_stop_gate_says_at_once_not_to_ride_and_still_lets_go_on(client):
    request = begin(client)
    answers = {**FILLED["safety"], "leak": "yes"}
    first = save(client, request, "safety", answers)
    assert first.status_code == 200
    assert "Do not ride" in first.content.decode()
    again = save(client, request, "safety", answers, seen=first.context["seen"])
    assert again.status_code == 302
    assert "Do not ride" in client.get(address(request, "review")).content.decode()


def test_an_unanswered_stop_question_is_asked_again(client):
    request = begin(client)
    answers = dict(FILLED["safety"])
    del answers["brakes"]
    answer = save(client, request, "safety", answers)
    assert answer.status_code == 422
    assert [field.spec.name for field in answer.context["problems"]] == ["brakes"]


def test_lengths_in_the_wrong_order_are_questioned_at_once_and_may_be_kept(client):
    request = begin(client)
    fill(client, request, upto="settings")
    wrong = {**FILLED["sag"], "length_bike_alone.front": "3 1/2", "length_rider_aboard.front": "4 3/8"}
    first = save(client, request, "sag", wrong)
    assert first.status_code == 200
    assert any(asked.id.startswith("order_bike_alone_rider") for asked in first.context["asked"])
    again = save(client, request, "sag", wrong, seen=first.context["seen"])
    assert again.status_code == 302


def test_an_address_brings_the_link_by_mail_once(client):
    request = begin(client)
    save(client, request, "you", FILLED["you"])
    save(client, request, "you", {**FILLED["you"], "pace": "fast"})
    mail = OutboxMail.objects.get(kind="link")
    assert mail.to == "nell@riders.example"
    assert f"/r/{request.reference}/" in mail.body


def test_every_step_shows_the_private_link_and_the_progress(client):
    request = begin(client)
    for step in (*STEPS, "review"):
        text = client.get(address(request, step)).content.decode()
        assert f"/r/{request.reference}/" in text
        assert text.count("<h1>") == 1
        assert 'aria-current="step"' in text


def test_a_sent_round_is_closed(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    count = StepDraft.objects.count()
    answer = save(client, request, "sag", {"length_topped_out.front": "99"})
    assert answer.status_code == 302
    assert StepDraft.objects.count() == count


def test_the_report_of_a_ride_starts_from_what_was_recommended(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    request.move_to("sheet_ready")
    requests.open_next_round(
        request,
        [
            ("front.rebound.left", 9.0, ""),
            ("front.fork_position.left", 2.54, ""),
            ("front.fork_position.right", 2.54, ""),
        ],
    )

    page = client.get(address(request, "settings", 2))
    shown = {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}
    assert shown["front.rebound.left.found"] == "9"
    assert shown["front.rebound.right.found"] == "10"
    assert shown["front.fork_position.left.found"] == "0.1"  # 2.54 mm in inches, by hand
    steps = ["safety", "settings", "sag", "travel", "behaviour", "review"]
    assert [row.page.id for row in page.context["steps"]] == steps
    assert save(client, request, "safety", FILLED["safety"], 2)["Location"] == address(request, "settings", 2)

    fields = {name: value for name, value in shown.items() if value}
    assert save(client, request, "settings", fields, 2).status_code == 302
    applied = Setting.objects.get(adjuster__key="front.rebound.left", kind="applied", is_current=True)
    assert (applied.round.number, applied.value) == (2, 9)

    save(client, request, "sag", FILLED["sag"], 2)
    report = {"outcome": "better", "since.brake_dive.front": "better", "words": "Much calmer."}
    assert save(client, request, "behaviour", report, 2).status_code == 302
    row = Symptom.objects.get(round__number=2)
    assert (row.symptom, row.end, row.change, row.severity) == ("brake_dive", "front", "better", 3)
    sent = save(client, request, "review", {"consent": "on"}, 2)
    assert sent.status_code == 302
    request.refresh_from_db()
    assert (request.state, request.current_round) == ("received", 2)
    assert base_of(request, "review", 2) == 1


def test_more_load_than_the_maker_permits_is_a_stop_not_a_question(client):
    request = begin(client)
    fill(client, request, upto="you")
    save(client, request, "bike", {**FILLED["bike"], "gross_mass_limit": "600"})
    # 430 lb of bike and 214 lb of rider are 644 lb, above 600 lb.
    answer = save(client, request, "rider", FILLED["rider"])
    assert answer.status_code == 200
    assert answer.context["asked_to_stop"]
    assert "Do not ride it like this" in answer.content.decode()


def test_every_check_leads_to_a_step_of_the_form():
    for check in words.CHECK_TEXTS:
        assert step_of(Check(check, "second_look", "front", ("stroke.front",))) in PAGES
