"""Readings, sending and reading back, as the holder of the private link."""

from collections.abc import Callable
from typing import Any

import pytest
from rest_framework.test import APIClient

from intake.models import Answer, Reading, Round, Setting, SetupRequest
from intake.services import requests
from tests.api.conftest import example, link_header
from tuning.engine.vocabulary import STOP_QUESTIONS

pytestmark = pytest.mark.slow


@pytest.fixture
def draft(create: Callable[..., dict[str, Any]]) -> dict[str, Any]:
    return create(send=False)


@pytest.fixture
def holder(draft: dict[str, Any]) -> APIClient:
    client = APIClient()
    client.credentials(**link_header(draft["reference"], draft["token"]))
    return client


def place(made: dict[str, Any], rest: str = "") -> str:
    return f"/api/v1/requests/{made['reference']}/{rest}"


def sag(text: str, **changed: Any) -> dict[str, Any]:
    row = {"quantity": "length_rider_aboard", "end": "front", "load_state": "solo", "value": text, "unit": "mm"}
    return row | {"method": "tape"} | changed


def test_state_rounds_checks_and_messages(owner: APIClient, created: dict[str, Any]) -> None:
    found = owner.get(place(created)).json()
    assert found["state"] == "received"
    assert [one["number"] for one in found["rounds"]] == [1]
    typed = {(r["quantity"], r["end"]): (r["text"], r["value"]) for r in found["rounds"][0]["readings"]}
    assert typed[("length_rider_aboard", "front")] == ("84", 84.0)
    assert found["messages"] == []


def test_a_reading_supersedes_and_the_old_one_stays(holder: APIClient, draft: dict[str, Any]) -> None:
    answer = holder.post(place(draft, "readings/"), {"readings": [sag("81.5")]}, format="json")
    assert answer.status_code == 200, answer.content
    rows = Reading.objects.filter(quantity="length_rider_aboard", end="front").order_by("pk")
    assert [(row.text, row.is_current) for row in rows] == [("84", False), ("81.5", True)]
    shown = [
        r for r in answer.json()["round"]["readings"] if (r["quantity"], r["end"]) == (rows[0].quantity, "front")
    ]
    assert [row["text"] for row in shown] == ["81.5"]


def test_a_check_that_fails_is_told_at_once(holder: APIClient, draft: dict[str, Any]) -> None:
    # Longer with the rider aboard than topped out (128 mm): impossible whatever the spring.
    answer = holder.post(place(draft, "readings/"), {"readings": [sag("140")]}, format="json").json()
    told = [one for one in answer["round"]["checks"] if one["verdict"] != "passes" and one["end"] == "front"]
    assert told
    assert all(one["text"] for one in told)


def test_all_or_nothing_with_every_fault(holder: APIClient, draft: dict[str, Any]) -> None:
    body = {
        "readings": [sag("80"), sag("eighty", end="rear"), sag("70", end="")],
        "settings": [{"key": "rear.compression", "value": "3"}, {"key": "rear.rebound", "value": "x"}],
        "answers": [{"question": "bottomed", "end": "", "value": "no"}],
    }
    answer = holder.post(place(draft, "readings/"), body, format="json")
    assert answer.status_code == 400
    found = {one["path"]: one["reason"] for one in answer.json()["faults"]}
    assert found == {
        "readings[1].value": "not_a_number",
        "readings[2].end": "unknown_end",
        "settings[0].key": "unknown_adjuster",
        "settings[1].value": "not_a_number",
        "answers[0].end": "unknown_end",
    }
    assert not Reading.objects.filter(text="80").exists()


def test_shape_and_content_are_told_together(holder: APIClient, draft: dict[str, Any]) -> None:
    body = {
        "stop": {"leak": "perhaps"},
        "readings": [sag("80"), sag("70", unit="ell"), sag("eighty", end="rear")],
        "settings": [{"key": "nowhere", "value": "3"}, {"key": "rear.rebound", "value": "x"}],
        "answers": [{"question": "bottomed", "end": "", "value": "no"}],
        "symptoms": "none",
    }
    answer = holder.post(place(draft, "readings/"), body, format="json")
    assert answer.status_code == 400
    assert {one["path"]: one["reason"] for one in answer.json()["faults"]} == {
        "stop.leak": "invalid_choice",
        "readings[1].unit": "invalid_choice",
        "readings[2].value": "not_a_number",
        "settings[0].key": "invalid",
        "settings[1].value": "not_a_number",
        "answers[0].end": "unknown_end",
        "symptoms": "not_a_list",
    }
    assert not Reading.objects.filter(text="80").exists()


def test_settings_answers_symptoms_and_words_are_kept(holder: APIClient, draft: dict[str, Any]) -> None:
    body = {
        "settings": [{"key": "rear.rebound", "value": "9"}],
        "answers": [{"question": "bottomed", "end": "rear", "value": "yes"}],
        "symptoms": [{"id": "wallows", "end": "rear", "severity": 3}],
        "words": "Now it wallows.",
    }
    assert holder.post(place(draft, "readings/"), body, format="json").status_code == 200
    round_ = SetupRequest.objects.get(reference=draft["reference"]).round()
    assert Setting.objects.get(round=round_, adjuster__key="rear.rebound", is_current=True).value == 9
    assert Answer.objects.get(round=round_, question="bottomed", end="rear").value == "yes"
    assert list(round_.symptoms.values_list("symptom", "severity")) == [("wallows", 3)]
    assert round_.words == "Now it wallows."


def test_sending_and_then_no_more(holder: APIClient, draft: dict[str, Any]) -> None:
    answer = holder.post(place(draft, "send/"), {"doubt_note": "The tape was bent."}, format="json")
    assert answer.status_code == 200, answer.content
    assert answer.json()["state"] == "received"
    round_ = SetupRequest.objects.get(reference=draft["reference"]).round()
    assert round_.sent_at is not None
    assert round_.doubt_note == "The tape was bent."
    for rest, body in (("send/", {}), ("readings/", {"readings": [sag("80")]})):
        again = holder.post(place(draft, rest), body, format="json")
        assert again.status_code == 409
        assert again.json()["faults"][0]["reason"] == "no_open_round"
    assert not Reading.objects.filter(text="80").exists()


def later_round(owner: APIClient, created: dict[str, Any]) -> Round:
    """Return the request's second round, with what it takes to be sent but the stop gate's answers."""
    request = SetupRequest.objects.get(reference=created["reference"])
    request.move_to("sheet_ready")
    round_ = requests.open_next_round(request, [])
    lengths = [
        sag("120", quantity="length_topped_out", load_state="bike_alone"),
        sag("95", quantity="length_bike_alone", load_state="bike_alone"),
        sag("80"),
    ]
    answer = owner.post(place(created, "readings/"), {"readings": lengths}, format="json")
    assert answer.status_code == 200, answer.content
    assert answer.json()["stop"] is False
    assert answer.json()["stop_unanswered"] == list(STOP_QUESTIONS)
    return round_


def test_a_later_round_needs_its_own_stop_answers(owner: APIClient, created: dict[str, Any]) -> None:
    round_ = later_round(owner, created)
    told = dict.fromkeys(STOP_QUESTIONS, "no")
    del told["leak"], told["brakes"]
    assert owner.post(place(created, "readings/"), {"stop": told}, format="json").status_code == 200
    refused = owner.post(place(created, "send/"), {}, format="json")
    assert refused.status_code == 400
    found = {one["path"]: one for one in refused.json()["faults"]}
    assert set(found) == {"stop.leak", "stop.brakes"}
    assert {one["reason"] for one in found.values()} == {"stop_answer_missing"}
    assert "Is there oil on a fork leg" in found["stop.leak"]["message"]
    answer = owner.post(place(created, "readings/"), {"stop": {"leak": "no", "brakes": "unsure"}}, format="json")
    assert answer.json()["stop_unanswered"] == []
    assert owner.post(place(created, "send/"), {}, format="json").status_code == 200
    assert Answer.objects.get(round=round_, question="brakes").value == "unsure"


def test_a_yes_in_a_report_is_told_at_once(owner: APIClient, created: dict[str, Any]) -> None:
    later_round(owner, created)
    told = dict.fromkeys(STOP_QUESTIONS, "no") | {"wobble": "yes"}
    answer = owner.post(place(created, "readings/"), {"stop": told}, format="json").json()
    assert answer["stop"] is True
    assert owner.post(place(created, "send/"), {}, format="json").json()["stop"] is True
    assert SetupRequest.objects.get(reference=created["reference"]).flag_stop


@pytest.mark.parametrize("stop", [{"leak": "perhaps"}, {"leek": "no"}, {"leak": None}, "no"])
def test_stop_answers_that_are_none_are_refused(owner: APIClient, created: dict[str, Any], stop: Any) -> None:
    later_round(owner, created)
    answer = owner.post(place(created, "readings/"), {"stop": stop}, format="json")
    assert answer.status_code == 400
    assert {one["path"].partition(".")[0] for one in answer.json()["faults"]} == {"stop"}
    assert not Answer.objects.filter(round__number=2).exists()


def test_the_example_report_is_taken(owner: APIClient, created: dict[str, Any]) -> None:
    later_round(owner, created)
    assert owner.post(place(created, "readings/"), example("report.json"), format="json").status_code == 200
    assert owner.post(place(created, "send/"), {}, format="json").status_code == 200


def test_sending_too_early_says_what_is_missing(create: Callable[..., dict[str, Any]]) -> None:
    made = create(send=False, readings=[], stop={}, consent=False)
    answer = APIClient().post(
        place(made, "send/"), {}, format="json", **link_header(made["reference"], made["token"])
    )
    assert answer.status_code == 400
    assert {one["reason"] for one in answer.json()["faults"]} == {
        "stop_answer_missing", "consent_missing", "rider_mass_missing", "lengths_missing",
    }  # fmt: skip
    assert SetupRequest.objects.get().state == "draft"
