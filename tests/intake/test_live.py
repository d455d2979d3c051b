"""What the form's script asks the server for: the same doors as the form's, and nothing written."""

import json

import pytest
from django.test import Client

from intake import links
from intake.models import Reading, StepDraft
from intake.services import requests
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db

#: The rider aboard stands higher than the bike alone.
WRONG = FILLED["sag"] | {"length_rider_aboard.front": "4 1/2"}


def look(client: Client, request, step: str, fields: dict[str, str], n: int = 1):
    return client.post(address(request, step, n) + "look/", fields)


def test_a_look_answers_as_saving_would_and_writes_nothing(client):
    request = begin(client)
    before = StepDraft.objects.count(), Reading.objects.count()
    told = look(client, request, "sag", WRONG).json()
    assert [question["fields"] for question in told["asked"]]
    assert told["errors"] == {}
    assert (StepDraft.objects.count(), Reading.objects.count()) == before
    saved = save(client, request, "sag", WRONG)
    assert [question["text"] for question in told["asked"]] == [asked.text for asked in saved.context["asked"]]


def test_only_what_holds_something_is_wrong(client):
    request = begin(client)
    told = look(client, request, "bike", {"name": "", "year": "about 2016"}).json()
    assert set(told["errors"]) == {"year"}
    assert look(client, request, "safety", {"leak": "yes"}).json()["stopped"]


def test_a_garbled_look_is_no_error_page(client):
    request = begin(client)
    for fields in (
        {"length_topped_out.front": "\x00"},
        {"length_topped_out.front": "9" * 9000},
        {"front": "furlong"},
    ):
        for step in ("sag", "bike"):
            assert look(client, request, step, fields).status_code == 200


def test_a_look_opens_no_door_that_the_form_keeps_shut(client):
    request = begin(client)
    assert look(Client(), request, "sag", WRONG).status_code == 404
    assert look(client, request, "nowhere", WRONG).status_code == 404
    assert look(client, request, "sag", WRONG, n=2).status_code == 404
    assert client.get(address(request, "sag") + "look/").status_code == 405
    assert Client(enforce_csrf_checks=True).post(address(request, "sag") + "look/", WRONG).status_code == 403
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    assert look(client, request, "sag", WRONG).status_code == 409
    request.refresh_from_db()
    request.move_to("sheet_ready")
    requests.open_next_round(request, [])
    guest = Client()
    guest.get("/" + links.link(request, "report").split("/", 3)[3])
    assert look(guest, request, "sag", WRONG, n=2).status_code == 200
    assert look(guest, request, "sag", WRONG, n=1).status_code == 404


def test_looks_are_counted(client, settings):
    settings.THROTTLE_RATES = {**settings.THROTTLE_RATES, "look": "2/hour"}
    request = begin(client)
    url = address(request, "sag") + "look/"
    assert [client.post(url, WRONG, REMOTE_ADDR="203.0.113.77").status_code for _ in range(3)] == [200, 200, 429]


def test_the_script_is_told_where_to_go_instead_of_being_sent(client):
    request = begin(client)
    fields = {"base": "0", **FILLED["safety"]}
    told = client.post(address(request, "safety"), fields, headers={"X-Sent-By": "script"})
    assert told.status_code == 200
    assert json.loads(told.content) == {"to": address(request, "you"), "version": 1}
    # Pages stay pages, and a browser by itself is led on.
    late = client.post(address(request, "safety"), {**fields, "leak": "yes"}, headers={"X-Sent-By": "script"})
    assert late.status_code == 409
    assert client.post(address(request, "safety"), {**fields, "base": "1"}).status_code == 302


def test_a_device_that_forgets_has_no_way_in_and_the_request_stays(client):
    request = begin(client)
    save(client, request, "you", FILLED["you"])
    answer = client.post(f"/requests/{request.reference}/forget/")
    assert answer["Location"] == "/"
    assert request.reference in client.get("/").content.decode()
    assert client.get(address(request, "you")).status_code == 404
    fresh = Client()
    fresh.get("/" + links.link(request, "full").split("/", 3)[3])
    assert FILLED["you"]["aim"] in fresh.get(address(request, "you")).content.decode()
    assert Client().post(f"/requests/{request.reference}/forget/").status_code == 404
