"""Queue, derivation, draft and approval, as a tuner's script sees them."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from intake.models import Event, SetupRequest, User
from reports.models import Job
from tuning.desk.models import ApprovedDocument, Recommendation

pytestmark = pytest.mark.slow

QUEUE = "/api/v1/desk/requests/"


def place(made: dict[str, Any], rest: str) -> str:
    return f"{QUEUE}{made['reference']}/{rest}/"


def test_queue_is_longest_waiting_first_and_pages(
    tuner: APIClient, create: Callable[..., dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tuning.desk.api.paging.QueuePagination.page_size", 2)
    made = [create()["reference"] for _ in range(5)]
    create(send=False)  # a draft is not the shop's to read yet
    now = timezone.now()
    for age, reference in enumerate(made):
        SetupRequest.objects.filter(reference=reference).update(waiting_since=now - timedelta(hours=age))
    seen, address = [], QUEUE
    while address:
        page = tuner.get(address).json()
        assert len(page["results"]) <= 2
        seen += [row["reference"] for row in page["results"]]
        parts = urlsplit(page["next"] or "")
        address = f"{parts.path}?{parts.query}" if page["next"] else ""
    assert seen == made[::-1]


@pytest.mark.parametrize("cursor", ["x", "%00", "cD1qdW5r", "cD0lMDA=", "cD0yMDI2LTk5LTk5", "bz05OTk5OTk5OTk5"])
def test_queue_knows_its_own_cursors_only(tuner: APIClient, created: dict[str, Any], cursor: str) -> None:
    assert tuner.get(f"{QUEUE}?cursor={cursor}").status_code in {200, 404}


def test_queue_costs_the_same_however_long(
    tuner: APIClient, create: Callable[..., dict[str, Any]], django_assert_num_queries: Any
) -> None:
    for _ in range(3):
        create()
    # who logs in; the page
    with django_assert_num_queries(2):
        assert len(tuner.get(QUEUE).json()["results"]) == 3


def test_derivation(tuner: APIClient, created: dict[str, Any]) -> None:
    answer = tuner.get(place(created, "derivation"))
    assert answer.status_code == 200, answer.content
    values = {row["key"]: row for row in answer.json()["values"]}
    # By hand from the example: topped out 128 mm less 84 mm with the rider aboard; 128 less 102 for the bike alone.
    assert values["sag_rider_aboard.front"]["value"] == pytest.approx(44.0)
    assert values["sag_bike_alone.front"]["value"] == pytest.approx(26.0)
    assert values["sag_rider_aboard.rear"]["value"] == pytest.approx(38.0)
    assert values["sag_rider_aboard.front"]["unit"] == "mm"
    assert values["sag_rider_aboard.front"]["half_width"] > 0


def test_nothing_to_derive_before_it_is_sent(tuner: APIClient, create: Callable[..., dict[str, Any]]) -> None:
    made = create(send=False)
    for rest, method in (("derivation", tuner.get), ("draft", tuner.post)):
        answer = method(place(made, rest))
        assert answer.status_code == 409
        assert answer.json()["faults"][0]["reason"] == "not_sent"


def test_draft_is_opened_once(tuner: APIClient, created: dict[str, Any]) -> None:
    first, again = tuner.post(place(created, "draft")), tuner.post(place(created, "draft"))
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json() == tuner.get(place(created, "draft")).json()
    assert Recommendation.objects.count() == 1


def test_draft_as_read_can_be_saved(tuner: APIClient, created: dict[str, Any]) -> None:
    draft = tuner.post(place(created, "draft")).json()
    draft["content"]["tuner_note"] = "Take your time."
    body = {"lock": draft["lock"], "content": draft["content"]}
    saved = tuner.put(place(created, "draft"), body, format="json")
    assert saved.status_code == 200, saved.content
    assert saved.json()["content"] == draft["content"]
    assert saved.json()["lock"] == draft["lock"] + 1


def test_drafts_do_not_overwrite_each_other(tuner: APIClient, created: dict[str, Any]) -> None:
    draft = tuner.post(place(created, "draft")).json()
    mine = {"lock": draft["lock"], "content": draft["content"] | {"tuner_note": "mine"}}
    theirs = {"lock": draft["lock"], "content": draft["content"] | {"tuner_note": "theirs"}}
    assert tuner.put(place(created, "draft"), mine, format="json").status_code == 200
    answer = tuner.put(place(created, "draft"), theirs, format="json")
    assert answer.status_code == 409
    assert answer.json()["faults"][0]["reason"] == "stale_lock"
    assert "Sanne Okeld saved" in answer.json()["faults"][0]["message"]
    assert tuner.get(place(created, "draft")).json()["changed_by"] == "sanne"
    late = tuner.post(place(created, "approve"), {"lock": draft["lock"]}, format="json")
    assert late.status_code == 409
    assert Recommendation.objects.get().content["tuner_note"] == "mine"
    assert not ApprovedDocument.objects.exists()


def test_faults_of_a_draft_name_their_place(tuner: APIClient, created: dict[str, Any]) -> None:
    draft = tuner.post(place(created, "draft")).json()
    content = draft["content"] | {
        "changes": [{"key": "a", "kind": "preload", "end": "middle", "why": [{"id": 3}, {}]}]
    }
    answer = tuner.put(place(created, "draft"), {"lock": draft["lock"], "content": content}, format="json")
    assert answer.status_code == 400
    assert {one["path"] for one in answer.json()["faults"]} == {
        "content.changes[0].end", "content.changes[0].why[1].id",
    }  # fmt: skip


def test_approving_freezes_and_orders_the_sheet(
    tuner: APIClient, created: dict[str, Any], approved: dict[str, Any]
) -> None:
    document = ApprovedDocument.objects.get()
    assert approved["sha256"] == document.sha256
    assert approved["number"] == f"{created['reference']}/1.1"
    jobs = tuner.get(f"/api/v1/desk/requests/{created['reference']}/jobs/").json()
    assert [(row["state"], row["sheet"], row["number"]) for row in jobs] == [("queued", False, approved["number"])]
    assert tuner.get(place(created, "draft")).status_code == 404


def test_a_request_a_colleague_has_is_taken_over_before_it_is_approved(
    tuner: APIClient, tuner_user: User, created: dict[str, Any]
) -> None:
    imre = User.objects.create_user("imre", display_name="Imre Vadas")
    SetupRequest.objects.update(tuner=imre)
    draft = tuner.post(place(created, "draft")).json()
    lock = {"lock": draft["lock"]}
    for rest, body in (("approve", lock), ("take", {})):
        answer = tuner.post(place(created, rest), body, format="json")
        assert answer.status_code == 409
        (fault,) = answer.json()["faults"]
        assert (fault["path"], fault["value"], fault["reason"]) == ("tuner", "imre", "taken_by_another")
        assert "Imre Vadas" in fault["message"]
    assert not ApprovedDocument.objects.exists()
    answer = tuner.post(place(created, "take"), {"over": True}, format="json")
    assert (answer.status_code, answer.json()["tuner"]) == (200, "sanne")
    assert tuner.post(place(created, "approve"), lock, format="json").status_code == 200
    assert Event.objects.get(kind="taken_over").params == {"from": "Imre Vadas"}


@pytest.mark.parametrize("state", ["settled", "closed"])
def test_nothing_is_drafted_once_it_is_over(tuner: APIClient, created: dict[str, Any], state: str) -> None:
    SetupRequest.objects.update(state=state)
    answer = tuner.post(place(created, "draft"))
    assert answer.status_code == 409
    assert answer.json()["faults"][0]["reason"] == "wrong_state"
    assert not Recommendation.objects.exists()


def test_retry_is_for_failed_jobs(tuner: APIClient, approved: dict[str, Any]) -> None:
    job = Job.objects.get()
    address = f"/api/v1/desk/jobs/{job.pk}/retry/"
    answer = tuner.post(address)
    assert answer.status_code == 409
    assert answer.json()["faults"][0]["reason"] == "not_failed"
    Job.objects.update(state=Job.State.FAILED, attempt=4, error="the disk was full")
    answer = tuner.post(address)
    assert answer.status_code == 200
    assert answer.json()["state"] == "queued"
