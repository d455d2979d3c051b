"""One request made over the API, and the people who may or may not touch it."""

import copy
import json
from base64 import b64encode
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from rest_framework.test import APIClient

from intake.models import SetupRequest, User
from reports.models import Job
from reports.tasks import render_sheet

EXAMPLES = Path(__file__).resolve().parents[2] / "reports" / "examples"
PASSWORD = "a-long-pass-phrase"


def example(name: str = "request.json") -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((EXAMPLES / name).read_text(encoding="utf-8"))
    return loaded


def link_header(reference: str, token: str) -> dict[str, str]:
    return {"HTTP_AUTHORIZATION": f"Link {reference}:{token}"}


def basic_header(name: str, password: str = PASSWORD) -> dict[str, str]:
    return {"HTTP_AUTHORIZATION": "Basic " + b64encode(f"{name}:{password}".encode()).decode()}


@pytest.fixture(autouse=True)
def _clean(settings: Any, tmp_path: Path, db: None) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def document() -> dict[str, Any]:
    return copy.deepcopy(example())


@pytest.fixture
def api() -> APIClient:
    return APIClient()


@pytest.fixture
def create(api: APIClient) -> Callable[..., dict[str, Any]]:
    def make(**changed: Any) -> dict[str, Any]:
        answer = api.post("/api/v1/requests/", example() | changed, format="json")
        assert answer.status_code == 201, answer.content
        made: dict[str, Any] = answer.json()
        return made

    return make


@pytest.fixture
def created(create: Callable[..., dict[str, Any]]) -> dict[str, Any]:
    return create()


@pytest.fixture
def setup_request(created: dict[str, Any]) -> SetupRequest:
    return SetupRequest.objects.get(reference=created["reference"])


@pytest.fixture
def owner(created: dict[str, Any]) -> APIClient:
    client = APIClient()
    client.credentials(**link_header(created["reference"], created["token"]))
    return client


@pytest.fixture
def tuner_user(db: None) -> User:
    return User.objects.create_user("sanne", password=PASSWORD, display_name="Sanne Okeld")


@pytest.fixture
def tuner(tuner_user: User) -> APIClient:
    client = APIClient()
    client.credentials(**basic_header("sanne"))
    return client


@pytest.fixture
def approved(tuner: APIClient, created: dict[str, Any]) -> dict[str, Any]:
    """The request's first draft, approved; its job is queued and not yet done."""
    place = f"/api/v1/desk/requests/{created['reference']}"
    draft = tuner.post(f"{place}/draft/").json()
    answer = tuner.post(f"{place}/approve/", {"lock": draft["lock"]}, format="json")
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    return found


@pytest.fixture
def printed(approved: dict[str, Any]) -> Job:
    job = Job.objects.get()
    render_sheet(job.pk)
    job.refresh_from_db()
    assert job.state == Job.State.DONE
    return job
