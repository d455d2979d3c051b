"""Leaving a step in the middle: back, to another step, to the review and from it. Nothing typed is lost, with
JavaScript off too, and nothing is complained about on the way out."""

import re

import pytest

from intake.models import Reading, StepDraft
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db


def shown(page) -> dict[str, str]:
    return {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}


def test_back_is_a_button_that_saves_what_was_typed(client):
    request = begin(client)
    fill(client, request, upto="settings")
    text = client.get(address(request, "sag")).content.decode()
    assert 'type="submit" name="back"' in text
    half = {"length_topped_out.front": "5 1/8", "length_bike_alone.front": "about four"}
    answer = save(client, request, "sag", half, back="1")
    assert answer.status_code == 302
    assert answer["Location"] == address(request, "settings")
    page = client.get(address(request, "sag"))
    assert shown(page)["length_topped_out.front"] == "5 1/8"
    assert shown(page)["length_bike_alone.front"] == "about four"
    assert StepDraft.objects.get(step="sag").complete is False


def test_back_from_a_step_that_can_be_read_makes_its_records(client):
    request = begin(client)
    fill(client, request, upto="settings")
    save(client, request, "sag", FILLED["sag"], back="1")
    assert Reading.objects.filter(quantity="length_rider_aboard", is_current=True).count() == 2
    assert StepDraft.objects.get(step="sag").complete is True


def test_back_from_a_step_left_alone_saves_nothing(client):
    request = begin(client)
    fill(client, request, upto="you")
    untouched = {name: value for name, value in shown(client.get(address(request, "rider"))).items() if value}
    assert untouched == {"load_state": "solo"}
    answer = save(client, request, "rider", untouched, back="1")
    assert answer["Location"] == address(request, "bike")
    assert not StepDraft.objects.filter(step="rider").exists()


def test_every_step_of_the_list_is_a_button_that_saves_first(client):
    request = begin(client)
    fill(client, request, upto="bike")
    page = client.get(address(request, "rider")).content.decode()
    assert '<button type="submit" form="step-form" name="go" value="sag"' in page
    answer = save(client, request, "rider", {"load_state": "solo", "rider_mass": "a lot"}, go="sag")
    assert answer["Location"] == address(request, "sag")
    assert shown(client.get(address(request, "rider")))["rider_mass"] == "a lot"


def test_a_step_that_cannot_be_gone_to_is_no_way_out(client):
    request = begin(client)
    fill(client, request, upto="you")
    answer = save(client, request, "bike", FILLED["bike"], go="nonsense")
    assert answer["Location"] == address(request, "rider")


def test_the_review_keeps_its_note_when_something_is_changed_first(client):
    request = begin(client)
    fill(client, request)
    answer = save(client, request, "review", {"doubt_note": "The rear tape slipped."}, go="sag")
    assert answer["Location"] == address(request, "sag")
    request.refresh_from_db()
    assert request.state == "draft"
    page = client.get(address(request, "review"))
    assert shown(page)["doubt_note"] == "The rear tape slipped."
    assert page.context["problems"] == []


def test_a_tick_of_consent_counts_only_when_it_is_sent(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"}, go="sag")
    request.refresh_from_db()
    assert request.consent_at is None


def test_leaving_by_a_tab_that_is_behind_shows_both_versions(client):
    request = begin(client)
    save(client, request, "rider", {"load_state": "solo", "rider_mass": "214"})
    late = client.post(
        address(request, "rider"), {"base": "0", "load_state": "solo", "rider_mass": "220", "back": "1"}
    )
    assert late.status_code == 409
    assert "220" in late.content.decode()
    assert StepDraft.objects.get(aside=True).fields["rider_mass"] == "220"


@pytest.mark.parametrize("step", ["safety", "bike", "sag", "review"])
def test_the_enter_key_saves_and_goes_on(client, step):
    """Enter presses the first button that belongs to the form: it must lead nowhere else."""
    request = begin(client)
    page = client.get(address(request, step)).content.decode()
    form = page[page.index('id="step-form"') :]
    first = re.search(r"<button[^>]*type=\"submit\"[^>]*>", form)
    assert first
    assert "name=" not in first[0]
    assert 'tabindex="-1"' in first[0]
    before = page[: page.index('id="step-form"')]
    assert 'form="step-form"' not in before
