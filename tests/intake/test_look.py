"""What a page says of its fields before anything is saved: the same as after saving, and nothing is written."""

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from intake.models import SetupRequest
from intake.steps import PAGES, At
from intake.steps.look import look
from tests.intake.at_form import begin, fill, save
from tests.intake.filled import FILLED

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def at_of(request: SetupRequest) -> At:
    fresh = SetupRequest.objects.select_related("client", "bike").get(pk=request.pk)
    round_ = fresh.rounds.get(number=1)
    round_.request = fresh
    return At(fresh, round_)


def rows() -> dict[str, int]:
    return {model.__name__: model._default_manager.count() for model in apps.get_app_config("intake").get_models()}


def told(found):
    return [(asked.id, asked.text, asked.fields) for asked in found]


CASES = [
    # L2 longer than L1; the bike alone higher than topped out.
    ("sag", {**FILLED["sag"], "length_rider_aboard.front": "4 1/2", "length_bike_alone.rear": "25"}),
    # 13 of 12 turns; legs 5 mm apart.
    ("settings", {**FILLED["settings"], "front.preload.left.range": "12", "front.fork_position.left.found": "0.4"}),
    # 430 lb of bike and 214 lb of rider are more than 600 lb.
    ("bike", {**FILLED["bike"], "gross_mass_limit": "600"}),
    # The mark lies beyond the stroke.
    ("travel", {**FILLED["travel"], "deepest_normal.front": "5.2"}),
]


@pytest.mark.parametrize(("step", "typed"), CASES)
def test_a_look_says_what_saving_says(client, step, typed):
    request = begin(client)
    fill(client, request)
    before = rows()
    seen = look(at_of(request), PAGES[step], typed)
    assert rows() == before
    assert not seen.errors
    assert seen.asked
    answer = save(client, request, step, typed)
    assert told(answer.context["asked"]) == told(seen.asked)


def test_a_look_names_what_cannot_be_read_and_still_asks_about_the_rest(client):
    request = begin(client)
    fill(client, request)
    typed = {**FILLED["sag"], "length_topped_out.rear": "about 24", "length_rider_aboard.front": "4 1/2"}
    seen = look(at_of(request), PAGES["sag"], typed)
    assert list(seen.errors) == ["length_topped_out.rear"]
    assert "order_bike_alone_rider.front" in {asked.id for asked in seen.asked}
    (asked,) = [asked for asked in seen.asked if asked.id == "order_bike_alone_rider.front"]
    assert asked.fields == ("length_bike_alone.front", "length_rider_aboard.front")
    assert [place.id for place in asked.places] == ["f-length_bike_alone-front", "f-length_rider_aboard-front"]


def test_an_emptied_field_is_taken_back_in_the_look(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "sag", {**FILLED["sag"], "length_rider_aboard.front": "4 1/2"})
    assert not look(at_of(request), PAGES["sag"], {**FILLED["sag"], "length_rider_aboard.front": ""}).asked


def test_a_yes_at_the_gate_is_told(client):
    request = begin(client)
    assert look(at_of(request), PAGES["safety"], {"leak": "yes"}).stopped == ("oil leaking from fork or shock",)


def test_another_load_said_takes_the_lengths_aboard_out(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "sag", {**FILLED["sag"], "length_rider_aboard.front": "4 1/2"})
    at = at_of(request)
    typed = {**FILLED["rider"], "load_state": "two_up"}
    assert not [row for row in look(at, PAGES["rider"], typed).asked if row.id.startswith("order_")]


@pytest.mark.parametrize("step", sorted(PAGES))
def test_a_look_takes_few_queries(client, step):
    request = begin(client)
    fill(client, request)
    at = at_of(request)
    with CaptureQueriesContext(
        connection,
    ) as taken:
        look(at, PAGES[step], FILLED.get(step, {}))
    assert len(taken) <= 8
