"""POST /api/v1/requests/."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from rest_framework.test import APIClient

from intake.models import Client, OutboxMail, Reading, SetupRequest
from tests.api.conftest import example
from tuning.engine.vocabulary import STOP_QUESTIONS

pytestmark = pytest.mark.slow

PLACE = "/api/v1/requests/"


def faults(answer: Any) -> dict[str, dict[str, Any]]:
    return {one["path"]: one for one in answer.json()["faults"]}


@pytest.mark.parametrize("name", ["request.json", "request-inches.json", "request-stop.json"])
def test_examples_are_accepted_and_stored_as_typed(api: APIClient, name: str) -> None:
    sent = example(name)
    answer = api.post(PLACE, sent, format="json")
    assert answer.status_code == 201, answer.content
    made = SetupRequest.objects.get(reference=answer.json()["reference"])
    assert made.state == "received"
    assert made.client.length_unit == sent["client"]["units"]["length"]
    rows = {(r.quantity, r.end): (r.text, r.unit) for r in Reading.objects.filter(round__request=made)}
    assert rows == {(r["quantity"], r.get("end", "")): (r["value"], r["unit"]) for r in sent["readings"]}


def test_answer_tells_how_to_come_back(api: APIClient, created: dict[str, Any]) -> None:
    assert created["link"].endswith(f"/r/{created['reference']}/{created['token']}/")
    assert created["stop"] is False
    header = f"Link {created['reference']}:{created['token']}"
    assert api.get(f"{PLACE}{created['reference']}/", HTTP_AUTHORIZATION=header).status_code == 200


def test_inches_become_millimetres(api: APIClient) -> None:
    api.post(PLACE, example("request-inches.json"), format="json")
    # 5 1/8 in × 25.4 mm/in (exact, yard and pound agreement of 1959) = 130.175 mm
    reading = Reading.objects.get(quantity="length_topped_out", end="front")
    assert reading.value == pytest.approx(130.175, rel=1e-12)


def test_stop_gate_is_told_at_once(create: Callable[..., dict[str, Any]]) -> None:
    assert create(**example("request-stop.json"))["stop"] is True


def test_left_unsent_it_stays_a_draft(create: Callable[..., dict[str, Any]]) -> None:
    assert create(send=False, consent=False)["state"] == "draft"


def test_every_fault_is_listed_with_path_value_and_reason(api: APIClient, document: dict[str, Any]) -> None:
    document["aim"]["discipline"] = "hovering"
    document["readings"][2]["quantity"] = "girth"
    document["readings"][3]["vlaue"] = "3"
    document["bike"]["year"] = "soon"
    del document["readings"][4]["value"]
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400
    found = faults(answer)
    assert set(found) == {
        "aim.discipline", "readings[2].quantity", "readings[3].vlaue", "bike.year", "readings[4].value",
    }  # fmt: skip
    assert (found["aim.discipline"]["value"], found["aim.discipline"]["reason"]) == ("hovering", "invalid_choice")
    assert found["readings[3].vlaue"]["reason"] == "unknown_field"
    assert (found["bike.year"]["value"], found["bike.year"]["reason"]) == ("soon", "invalid")
    assert found["readings[4].value"]["reason"] == "required"
    assert all(one["message"] for one in found.values())
    assert not SetupRequest.objects.exists()


def test_faults_of_shape_and_content_are_told_together(api: APIClient, document: dict[str, Any]) -> None:
    document["readings"][0]["vlaue"] = "84"  # the rider's mass: shape
    document["readings"][2]["value"] = "12x4"
    document["readings"][3]["value"] = "90000"
    document["adjusters"][0]["found"] = "five"
    document["adjusters"][1]["unit"] = "ell"  # shape
    document["answers"][1] |= {"question": "bottomed", "end": "", "value": "no"}
    document["bike"]["year"] = "soon"  # shape
    del document["stop"]["leak"]
    document["stop"]["brakes"] = "perhaps"  # shape: not said to be missing as well
    document["consent"] = False
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400
    assert {path: one["reason"] for path, one in faults(answer).items()} == {
        "readings[0].vlaue": "unknown_field",
        "readings[2].value": "not_a_number",
        "readings[3].value": "out_of_limits",
        "adjusters[0].found": "not_a_number",
        "adjusters[1].unit": "invalid_choice",
        "answers[1]": "unknown_end",
        "bike.year": "invalid",
        "stop.leak": "stop_answer_missing",
        "stop.brakes": "invalid_choice",
        "consent": "consent_missing",
    }
    assert not SetupRequest.objects.exists()
    assert not Client.objects.exists()
    assert not OutboxMail.objects.exists()


@pytest.mark.parametrize(
    ("part", "wrong"),
    [("aim", None), ("aim", "fast"), ("client", 3), ("client", {"units": {"length": "ell"}}), ("bike", []),
     ("stop", "no"), ("readings", {}), ("readings", [None, 3, "x"]), ("adjusters", "none"), ("answers", [[]]),
     ("symptoms", [{"id": "itch"}]), ("words", {}), ("send", "later"), ("load_state", 7), ("consent", "perhaps")],
)  # fmt: skip
def test_whatever_part_cannot_be_read_the_rest_is(
    api: APIClient, document: dict[str, Any], part: str, wrong: Any
) -> None:
    document |= {part: wrong}
    bad = "adjusters[0].found"
    if part == "adjusters":
        document["readings"][0]["value"], bad = "a hand", "readings[0].value"
    else:
        document["adjusters"][0]["found"] = "five"
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400
    found = faults(answer)
    assert found.pop(bad)["reason"] == "not_a_number"
    assert found
    assert {path.partition(".")[0].partition("[")[0] for path in found} == {part}


def test_what_is_not_told_at_all_is_missed_beside_other_faults(api: APIClient, document: dict[str, Any]) -> None:
    document["readings"] = [row for row in document["readings"] if row["quantity"] != "rider_mass"]
    document["readings"][0]["value"] = "a hand"
    document["words"] = {}
    assert {one["reason"] for one in api.post(PLACE, document, format="json").json()["faults"]} == {
        "not_a_number", "invalid", "rider_mass_missing",
    }  # fmt: skip


def test_numbers_that_cannot_be_are_refused_where_they_stand(api: APIClient, document: dict[str, Any]) -> None:
    document["readings"][2]["value"] = "12x4"
    document["readings"][3]["value"] = "90000"
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400, answer.content
    found = faults(answer)
    assert set(found) == {"readings[2].value", "readings[3].value"}
    assert found["readings[2].value"]["value"] == "12x4"
    assert found["readings[3].value"]["value"] == "90000"
    assert not SetupRequest.objects.exists()
    assert not Client.objects.exists()


def test_what_is_missing_to_send_is_said(api: APIClient, document: dict[str, Any]) -> None:
    document["readings"] = [row for row in document["readings"] if row["quantity"] != "rider_mass"]
    document["consent"] = False
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400
    assert {"rider_mass_missing", "consent_missing"} <= {one["reason"] for one in answer.json()["faults"]}
    assert not SetupRequest.objects.exists()


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (b"{", "parse_error"),
        (b"[]", "invalid"),
        (b"null", "null"),
        (b'"text"', "invalid"),
        (b"\xff\xfe", "parse_error"),
        (b'{"aim": NaN}', "parse_error"),
        (b'{"words": "a", "words": "b"}', "parse_error"),
        (b"[" * 100_000, "parse_error"),
        (b'{"schema": ' + b"1" * 5000 + b"}", "parse_error"),
    ],
)
def test_bodies_that_are_no_document(api: APIClient, body: bytes, reason: str) -> None:
    answer = api.post(PLACE, body, content_type="application/json")
    assert answer.status_code == 400
    assert [one["reason"] for one in answer.json()["faults"]] == [reason]


@pytest.mark.parametrize("body", [b"", b"{}"])
def test_an_empty_document_is_told_all_that_it_lacks(api: APIClient, body: bytes) -> None:
    found = faults(api.post(PLACE, body, content_type="application/json"))
    assert found["aim"]["reason"] == "required"
    assert set(found) == {"aim", "consent", "readings", *(f"stop.{question}" for question in STOP_QUESTIONS)}


@pytest.mark.parametrize("text", ["a\x00b", "\ud800"])
@pytest.mark.parametrize("place", ["words", "doubt_note"])
def test_text_no_database_takes_is_refused(api: APIClient, document: dict[str, Any], place: str, text: str) -> None:
    body = json.dumps(document | {place: text})
    answer = api.post(PLACE, body, content_type="application/json")
    assert answer.status_code == 400
    assert set(faults(answer)) == {place}


def test_a_number_without_end_is_refused(api: APIClient, document: dict[str, Any]) -> None:
    body = json.dumps(document).replace('"year": 2019', '"year": 1e999')
    answer = api.post(PLACE, body, content_type="application/json")
    assert answer.status_code == 400
    assert set(faults(answer)) == {"bike.year"}


@pytest.mark.parametrize("kind", ["text/plain", "application/xml", "application/x-www-form-urlencoded"])
def test_only_json_is_read(api: APIClient, kind: str) -> None:
    answer = api.post(PLACE, b"a=1", content_type=kind)
    assert answer.status_code == 415
    assert answer.json()["faults"][0]["reason"] == "unsupported_media_type"


def test_files_are_not_read(api: APIClient) -> None:
    assert api.post(PLACE, {"a": "1"}, format="multipart").status_code == 415


def test_too_large_is_refused(api: APIClient, document: dict[str, Any]) -> None:
    document["words"] = "a" * 262_144
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 413
    assert answer.json()["faults"][0]["reason"] == "too_large"


@pytest.mark.parametrize(("part", "most"), [("readings", 200), ("symptoms", 60), ("answers", 60), ("adjusters", 40)])
def test_lists_have_an_end(api: APIClient, document: dict[str, Any], part: str, most: int) -> None:
    document[part] = [document[part][0]] * (most + 1)
    answer = api.post(PLACE, document, format="json")
    assert answer.status_code == 400
    assert set(faults(answer)) == {part}


def test_only_posting(api: APIClient) -> None:
    answer = api.get(PLACE)
    assert answer.status_code == 405
    assert answer["Allow"] == "POST, OPTIONS"


@pytest.mark.parametrize("method", ["get", "post", "put", "delete", "patch"])
@pytest.mark.parametrize("place", ["/api/", "/api/v1/", "/api/v2/requests/", "/api/v1/desk/nothing/here/"])
def test_addresses_that_do_not_exist_are_told_in_json(api: APIClient, method: str, place: str) -> None:
    answer = getattr(api, method)(place)
    assert answer.status_code == 404
    assert [one["reason"] for one in answer.json()["faults"]] == ["not_found"]
