"""What bad input gets: the complaint beside the field, what was typed still there, and nothing lost."""

import re

import pytest
from django.test import Client

from intake.models import Reading, StepDraft
from tests.intake.at_form import address, begin, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db


def field_of(page, name):
    return next(f for group in page.context["groups"] for f in group.fields if f.spec.name == name)


def test_text_that_is_no_number_stays_and_is_told_beside_the_field(client):
    request = begin(client)
    answer = save(client, request, "sag", {**FILLED["sag"], "length_topped_out.front": "about five"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert 'value="about five"' in text
    assert 'href="#f-length_topped_out-front"' in text
    assert re.search(r'id="f-length_topped_out-front"[^>]*aria-describedby="f-length_topped_out-front-error', text)
    assert re.search(r'id="f-length_topped_out-front"[^>]*aria-invalid="true"', text)
    draft = StepDraft.objects.get(step="sag")
    assert draft.fields["length_topped_out.front"] == "about five"
    assert draft.complete is False
    assert not Reading.objects.exists()


def test_the_unread_text_is_there_when_the_client_comes_back(client):
    request = begin(client)
    save(client, request, "sag", {"length_topped_out.front": "about five"})
    page = client.get(address(request, "sag"))
    assert page.status_code == 200
    field = field_of(page, "length_topped_out.front")
    assert field.value == "about five"
    assert field.errors


def test_a_value_outside_what_is_possible_is_told_in_the_clients_unit(client):
    request = begin(client)
    answer = save(client, request, "sag", {"length_topped_out.front": "900"})
    (error,) = field_of(answer, "length_topped_out.front").errors
    # The engine's limits, 20 and 1500 mm, in inches by hand: 0.787… and 59.055…
    assert "900\u00a0in" in error
    assert "0.79\u00a0in" in error
    assert "59.06\u00a0in" in error


def test_a_unit_of_another_kind_is_refused(client):
    request = begin(client)
    answer = save(client, request, "rider", {"load_state": "solo", "rider_mass": "80 mm"})
    assert answer.status_code == 422
    assert field_of(answer, "rider_mass").errors


def test_two_tabs_lose_nothing(client):
    request = begin(client)
    first = save(client, request, "rider", {"load_state": "solo", "rider_mass": "214"})
    assert first.status_code == 302
    late = client.post(address(request, "rider"), {"base": "0", "load_state": "solo", "rider_mass": "220"})
    assert late.status_code == 409
    text = late.content.decode()
    assert "220" in text
    assert "214" in text
    assert ("214", "220") in {(theirs, mine) for _label, mine, theirs in late.context["other"]}
    assert Reading.objects.get(quantity="rider_mass", is_current=True).text == "214"
    again = client.post(
        address(request, "rider"), {"base": str(late.context["base"]), "load_state": "solo", "rider_mass": "220"}
    )
    assert again.status_code == 302
    assert Reading.objects.get(quantity="rider_mass", is_current=True).text == "220"
    drafts = StepDraft.objects.filter(step="rider").order_by("version")
    assert [(row.fields["rider_mass"], row.aside) for row in drafts] == [
        ("214", False), ("220", True), ("220", False)
    ]  # fmt: skip


def test_what_a_tab_typed_too_late_is_shown_to_whoever_comes_back(client):
    request = begin(client)
    save(client, request, "rider", {"load_state": "solo", "rider_mass": "214"})
    client.post(address(request, "rider"), {"base": "0", "load_state": "solo", "rider_mass": "220"})
    # The tab was closed. On another day, another device:
    page = client.get(address(request, "rider"))
    assert field_of(page, "rider_mass").value == "214"
    assert ("214", "220") in {(here, there) for _label, here, there in page.context["beside"]}
    assert "Another tab typed something else here" in page.content.decode()
    again = save(client, request, "rider", {"load_state": "solo", "rider_mass": "220"})
    assert again.status_code == 302
    assert client.get(address(request, "rider")).context["beside"] == []


def test_a_form_without_its_token_is_refused_with_a_page_that_says_what_to_do():
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post("/start/", {"units": "metric"})
    assert answer.status_code == 403
    assert "load the page again" in answer.content.decode()


def test_an_unknown_step_or_round_is_not_there(client):
    request = begin(client)
    assert client.get(address(request, "nonsense")).status_code == 404
    assert client.get(address(request, "sag", 7)).status_code == 404


def test_a_fault_of_ours_gets_a_page_without_any_detail(client, monkeypatch):
    request = begin(client)
    client.raise_request_exception = False

    def broken(*_args: object, **_more: object) -> None:
        raise RuntimeError("a detail that is nobody's business")

    monkeypatch.setattr("intake.views.form.steps.kept", broken)
    answer = client.get(address(request, "sag"))
    assert answer.status_code == 500
    text = answer.content.decode()
    assert "<h1>Something went wrong on our side</h1>" in text
    assert "nobody" not in text


def test_text_that_is_too_long_is_told_and_kept_whole(client):
    request = begin(client)
    words = "x" * 20_000
    answer = save(client, request, "you", {**FILLED["you"], "aim": words})
    assert answer.status_code == 422
    assert "20000 characters long, and 2000 can be kept" in field_of(answer, "aim").errors[0]
    assert words in answer.content.decode()
    assert StepDraft.objects.get(step="you").fields["aim"] == words


@pytest.mark.parametrize(("step", "name"), [("you", "aim"), ("rider", "rider_mass"), ("rider", "load_state")])
def test_a_character_that_cannot_be_kept_is_told_not_dropped(client, step, name):
    request = begin(client)
    answer = save(client, request, step, {**FILLED[step], name: "8\x004"})
    assert answer.status_code == 422
    assert any("8\ufffd4" in error or "\ufffd" in error for error in field_of(answer, name).errors)
    assert StepDraft.objects.get(step=step).fields[name] == "8\ufffd4"


def test_a_question_leads_to_its_fields_and_marks_them(client):
    request = begin(client)
    typed = {**FILLED["sag"], "length_rider_aboard.front": "4 1/2"}
    answer = save(client, request, "sag", typed)
    text = answer.content.decode()
    assert '<li id="q-order_bike_alone_rider-front">' in text
    assert '<a href="#f-length_rider_aboard-front">Front: length, rider aboard (L2)</a>' in text
    described = re.search(r'id="f-length_rider_aboard-front"[^>]*aria-describedby="([^"]*)"', text)
    assert "q-order_bike_alone_rider-front" in described[1]
    page = client.get(address(request, "review"))
    assert f'<a href="{address(request, "sag")}#f-length_rider_aboard-front">' in page.content.decode()
