"""Photos over the API: sent, listed, fetched, taken back; refused with the limit named."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from intake import links
from intake.models import Photo, SetupRequest
from intake.photos import limits
from tests.api.conftest import example, link_header
from tests.intake.photos import made

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


@pytest.fixture
def begun(create: Any) -> dict[str, Any]:
    made_: dict[str, Any] = create(send=False)
    return made_


@pytest.fixture
def holder(begun: dict[str, Any]) -> APIClient:
    client = APIClient()
    client.credentials(**link_header(begun["reference"], begun["token"]))
    return client


def place(begun: dict[str, Any], more: str = "") -> str:
    return f"/api/v1/requests/{begun['reference']}/photos/{more}"


def send(client: APIClient, begun: dict[str, Any], data: bytes, **more: str) -> Any:
    return client.post(place(begun), {"file": made.sent(data), **more}, format="multipart")


def test_a_photo_is_kept_listed_fetched_and_taken_back(holder: APIClient, begun: dict[str, Any]) -> None:
    answer = send(holder, begun, made.with_everything(), alt="the leak")
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["kind"], told["width"], told["height"], told["alt"]) == ("photo", 40, 60, "the leak")
    assert holder.get(place(begun)).json() == [told]
    fetched = holder.get(place(begun, f"{told['id']}/"))
    assert fetched["Content-Type"] == "image/jpeg"
    assert "sandbox" in fetched["Content-Security-Policy"]
    assert b"Secret Camera" not in b"".join(fetched.streaming_content)
    assert holder.delete(place(begun, f"{told['id']}/")).status_code == 204
    assert not Photo.objects.exists()


def test_a_video_is_an_attachment(holder: APIClient, begun: dict[str, Any]) -> None:
    told = send(holder, begun, made.MP4).json()
    fetched = holder.get(place(begun, f"{told['id']}/"))
    assert fetched["Content-Disposition"].startswith("attachment")
    assert told["width"] is None


@pytest.mark.parametrize(
    ("data", "reason"),
    [(made.SVG, "unknown_kind"), (made.photo()[:200], "not_readable"), (made.HOSTILE["huge png"], "too_many_pixels")],
    ids=["svg", "cut short", "huge"],
)
def test_a_file_that_is_not_taken_is_a_fault_at_the_file(
    holder: APIClient, begun: dict[str, Any], data: bytes, reason: str
) -> None:
    answer = send(holder, begun, data)
    assert answer.status_code == 400
    fault = answer.json()["faults"][0]
    assert (fault["path"], fault["reason"]) == ("file", reason)


def test_a_form_without_a_file_and_one_that_is_no_form(holder: APIClient, begun: dict[str, Any]) -> None:
    assert holder.post(place(begun), {"alt": "x"}, format="multipart").status_code == 400
    assert holder.post(place(begun), {"alt": "x"}, format="json").status_code == 415
    broken = holder.generic("POST", place(begun), b"--x\r\n", content_type="multipart/form-data")
    assert broken.status_code == 400


def test_a_body_beyond_all_limits_is_413(
    holder: APIClient, begun: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "FORM_BYTES", 1000)
    answer = send(holder, begun, made.MP4 + b"\x00" * 3000)
    assert answer.status_code == 413
    assert not Photo.objects.exists()


def test_others_get_nothing(holder: APIClient, begun: dict[str, Any], api: APIClient, tuner: APIClient) -> None:
    number = send(holder, begun, made.photo()).json()["id"]
    theirs = APIClient().post("/api/v1/requests/", example(), format="json").json()
    other = APIClient()
    other.credentials(**link_header(theirs["reference"], theirs["token"]))
    assert other.get(place(theirs, f"{number}/")).status_code == 404
    assert other.delete(place(theirs, f"{number}/")).status_code == 404
    assert other.get(place(begun, f"{number}/")).status_code == 404
    assert {client.get(place(begun, f"{number}/")).status_code for client in (api, tuner)} == {401}
    links.revoke(SetupRequest.objects.get(reference=begun["reference"]), "full")
    assert holder.get(place(begun, f"{number}/")).status_code == 404
    assert Photo.objects.exists()


def test_a_round_that_was_sent_takes_and_gives_back_nothing(holder: APIClient, begun: dict[str, Any]) -> None:
    number = send(holder, begun, made.photo()).json()["id"]
    sent = holder.post(f"/api/v1/requests/{begun['reference']}/send/", {}, format="json")
    assert sent.status_code == 200, sent.content
    assert send(holder, begun, made.photo(size=(9, 9))).status_code == 409
    assert holder.delete(place(begun, f"{number}/")).status_code == 409
    assert Photo.objects.count() == 1
