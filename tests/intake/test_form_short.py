"""The short way in: its pages, what they record, and the way over to the whole form."""

import pytest
from django.utils import timezone

from intake.models import Message, Question, Reading, Setting, SetupRequest, StepDraft, Symptom
from intake.services import requests
from intake.steps import SHORT_WAY, At, pages_of, reachable
from intake.steps.twelve import REAR_BY_SHARE, TwelvePage
from tests.intake.at_form import address, begin, fill, fill_short, save
from tests.intake.filled import FILLED, SHORT, SHORT_STEPS

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def shown(page) -> dict[str, str]:
    return {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}


def short(client, **more) -> SetupRequest:
    return begin(client, units="metric", way="short", **more)


def test_the_home_page_offers_the_short_way_first_and_the_whole_form_beside_it(client):
    text = client.get("/").content.decode()
    assert 0 < text.index('name="way" value="short"') < text.index('name="way" value="whole"')
    assert "twelve numbers" in text
    assert "ten minutes" in text


def test_whoever_says_no_way_gets_the_whole_form(client):
    client.post("/start/", {"units": "metric"})
    assert SetupRequest.objects.get().way == "whole"


def test_the_short_way_is_five_steps_and_twelve_numbers(client):
    request = short(client)
    page = client.get(address(request, "safety"))
    assert [row.page.id for row in page.context["steps"]] == [*SHORT_STEPS, "review"]
    fill_short(client, request, upto="basics")
    page = client.get(address(request, "twelve"))
    assert (page.context["tally"]["done"], page.context["tally"]["count"]) == (0, 12)
    assert "0 of 12 measured" in page.content.decode()
    numbers = [name for name in shown(page) if name in SHORT["twelve"] and not name.endswith("counted_in")]
    assert len(numbers) == 12
    for step in ("you", "bike", "rider", "settings", "sag", "travel"):
        assert client.get(address(request, step)).status_code == 404


def test_what_is_typed_the_short_way_makes_the_whole_forms_records(client):
    request = short(client)
    fill_short(client, request)
    round_ = request.rounds.get()
    rows = {row.key() for row in Reading.objects.filter(round=round_, is_current=True)}
    assert rows == {name for name in SHORT["twelve"] if not name.startswith("front.")}
    aboard = Reading.objects.get(quantity="length_rider_aboard", end="front")
    assert (aboard.text, aboard.unit, aboard.value, aboard.load_state, aboard.method) == (
        "84", "mm", 84, "solo", "tape",
    )  # fmt: skip
    assert Reading.objects.get(quantity="tyre_pressure", end="front").value == pytest.approx(230)  # 2.3 bar in kPa
    standing = Setting.objects.filter(round=round_, kind="found", is_current=True)
    assert {(row.adjuster.key, row.value, row.adjuster.unit, row.adjuster.counted_from) for row in standing} == {
        ("front.preload.left", 3, "turn", "open"),
        ("front.preload.right", 3, "turn", "open"),
    }
    assert {row.symptom for row in Symptom.objects.filter(round=round_)} == {
        "brake_dive", "runs_wide_mid", "rear_squats",
    }  # fmt: skip
    request.refresh_from_db()
    assert (request.discipline, request.bike.name, request.client.email) == (
        "road_sport", "Corvane 600 S", "nell@riders.example",
    )  # fmt: skip


def test_lines_that_show_are_counted_from_fully_in_and_legs_may_stand_apart(client):
    request = short(client)
    fill_short(
        client, request, upto="twelve",
        front__preload__counted_in="line", front__preload__left__found="4", front__preload__right__found="5",
    )  # fmt: skip
    rows = {row.adjuster.key: (row.value, row.adjuster.counted_from) for row in Setting.objects.all()}
    assert rows == {"front.preload.left": (4, "closed"), "front.preload.right": (5, "closed")}
    # Emptied, both are taken back.
    save(client, request, "twelve", {**SHORT["twelve"], "front.preload.left.found": ""})
    assert not Setting.objects.filter(is_current=True).exists()


@pytest.mark.parametrize("discipline", ["road_sport", *sorted(REAR_BY_SHARE), "enduro"])
@pytest.mark.parametrize("front", ["coil", "air"])
def test_there_are_twelve_for_every_discipline(client, discipline, front):
    request = short(client)
    fill_short(client, request, upto="safety")
    save(client, request, "basics", {**SHORT["basics"], "discipline": discipline, "front": front})
    request.refresh_from_db()
    round_ = request.round()
    page, at = TwelvePage(), At(round_.request, round_)
    names = {spec.name for spec in page.specs(at)}
    assert ("stroke.rear" in names) == (discipline in REAR_BY_SHARE)
    assert ("air_pressure.front" in names) == (front == "air" and discipline not in REAR_BY_SHARE)
    assert len(page.counted(at)) == 12
    assert set(page.counted(at)) <= names


def test_not_all_twelve_are_needed_and_sending_asks_what_it_always_asks(client):
    request = short(client)
    fill_short(client, request, upto="basics")
    saved = save(client, request, "twelve", {"length_topped_out.front": "130"})
    assert saved.status_code == 302
    refused = save(client, request, "review", {"consent": "on"})
    assert refused.status_code == 422
    assert {step for step, _text in refused.context["missing"]} == {"twelve"}
    rest = {"length_bike_alone.front": "100", "length_rider_aboard.front": "84", "rider_mass": "84"}
    save(client, request, "twelve", {"length_topped_out.front": "130", **rest})
    assert save(client, request, "review", {"consent": "on"}).status_code == 302


def test_the_review_shows_what_belongs_to_the_way_and_nothing_else(client):
    request = short(client)
    fill_short(client, request)
    page = client.get(address(request, "review"))
    assert [summary.page.id for summary in page.context["summaries"]] == list(SHORT_STEPS)
    text = page.content.decode()
    assert "Geometry from the manual" not in text
    assert "569\u00a0mm" in text


def test_a_number_that_cannot_be_right_is_asked_about_on_the_short_page(client):
    request = short(client)
    fill_short(client, request, upto="basics")
    wrong = {**SHORT["twelve"], "length_rider_aboard.front": "101"}
    first = save(client, request, "twelve", wrong)
    assert first.status_code == 200
    assert any(asked.id.startswith("order_bike_alone_rider") for asked in first.context["asked"])
    assert save(client, request, "twelve", wrong, seen=first.context["seen"]).status_code == 302


def test_telling_more_goes_over_to_the_whole_form_with_everything_typed(client):
    request = short(client)
    fill_short(client, request, upto="basics")
    typed = {**SHORT["twelve"], "length_topped_out.rear": "two hands", "stroke.front": "12 cm"}
    answer = save(client, request, "twelve", typed, more="1")
    assert answer.status_code == 302
    request.refresh_from_db()
    assert request.way == "whole"
    sag, travel, rider = (shown(client.get(address(request, step))) for step in ("sag", "travel", "rider"))
    bike, settings, you = (shown(client.get(address(request, step))) for step in ("bike", "settings", "you"))
    for name, text in typed.items():
        there = {**sag, **travel, **rider, **bike, **settings}
        if name in there:
            assert there[name] == text, name
    assert sag["length_topped_out.rear"] == "two hands"
    assert bike["name"] == "Corvane 600 S"
    assert you["name"] == ""
    assert (you["discipline"], you["email"]) == ("road_sport", "nell@riders.example")
    assert {row.page.id for row in client.get(address(request, "sag")).context["steps"]} > {"you", "travel"}


def test_what_could_be_read_is_on_the_settings_step_too(client):
    request = short(client)
    fill_short(client, request)
    client.post(f"/requests/{request.reference}/more/")
    settings = shown(client.get(address(request, "settings")))
    assert settings["front.preload.left.found"] == "3"
    assert settings["front.preload.right.found"] == "3"
    # Saved as it stands, the whole form changes nothing.
    before = set(Setting.objects.filter(is_current=True).values_list("adjuster__key", "value"))
    fields = {name: value for name, value in settings.items() if value}
    assert save(client, request, "settings", fields).status_code in {200, 302}
    assert set(Setting.objects.filter(is_current=True).values_list("adjuster__key", "value")) == before


def test_the_status_page_offers_the_whole_form_while_nothing_is_sent(client):
    request = short(client)
    fill_short(client, request)
    there = f'action="/requests/{request.reference}/more/"'
    assert there in client.get(f"/requests/{request.reference}/").content.decode()
    save(client, request, "review", {"consent": "on"})
    assert there not in client.get(f"/requests/{request.reference}/").content.decode()


def test_going_over_is_for_a_draft_of_the_short_way_only(client):
    request = begin(client)
    assert client.post(f"/requests/{request.reference}/more/").status_code == 302
    sent = short(client)
    fill_short(client, sent)
    save(client, sent, "review", {"consent": "on"})
    client.post(f"/requests/{sent.reference}/more/")
    sent.refresh_from_db()
    assert sent.way == "short"


def asked_for(request: SetupRequest, step: str, number: int = 1) -> Question:
    request.refresh_from_db()
    request.move_to("question")
    message = Message.objects.create(request=request, from_client=False, body="One more number, please.", step=step)
    return Question.objects.create(
        message=message, round=request.rounds.get(number=number), step=step, text="One more number, please."
    )


def test_a_tuners_question_opens_the_step_it_names_and_no_other(client):
    request = short(client)
    fill_short(client, request)
    save(client, request, "review", {"consent": "on"})
    question = asked_for(request, "sag")
    page = client.get(address(request, "sag"))
    assert page.status_code == 200
    # What was told on the short page is filled in.
    assert shown(page)["length_rider_aboard.rear"] == "569"
    assert client.get(address(request, "travel")).status_code == 404
    fields = {name: value for name, value in shown(page).items() if value}
    answer = save(client, request, "sag", {**fields, "length_rider_aboard.rear": "566"})
    if answer.status_code == 200:
        answer = save(
            client, request, "sag", {**fields, "length_rider_aboard.rear": "566"}, seen=answer.context["seen"]
        )
    assert answer["Location"] == f"/requests/{request.reference}/"
    # The short page shows the newer reading, and does not take it back.
    assert shown(client.get(address(request, "twelve")))["length_rider_aboard.rear"] == "566"
    Question.objects.filter(pk=question.pk).update(answered_at=timezone.now())
    assert client.get(address(request, "sag")).status_code == 404


@pytest.mark.parametrize("step", ["you", "bike", "rider"])
def test_a_question_opens_a_step_of_the_first_round_in_a_later_one(client, step):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    request.move_to("sheet_ready")
    requests.open_next_round(request, [])
    save(client, request, "safety", FILLED["safety"], 2)
    assert client.get(address(request, step, 2)).status_code == 404
    asked_for(request, step, 2)
    page = client.get(address(request, step, 2))
    assert page.status_code == 200
    fields = {name: value for name, value in shown(page).items() if value}
    answer = save(client, request, step, fields, 2)
    if answer.status_code == 200:
        answer = save(client, request, step, fields, 2, seen=answer.context["seen"])
    assert answer["Location"] == f"/requests/{request.reference}/"


def test_reachable_is_the_way_and_nothing_more(client):
    request = short(client)
    round_ = request.round()
    assert [page.id for page in pages_of(round_)] == list(SHORT_WAY)
    assert reachable(round_, "twelve") is SHORT_WAY["twelve"]
    assert reachable(round_, "sag") is None
    assert reachable(round_, "nonsense") is None
    assert not StepDraft.objects.exists()
