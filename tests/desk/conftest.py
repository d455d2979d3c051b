"""A sent request, and the people who may or may not work on it."""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from intake.document import accept
from intake.models import SetupRequest, User
from tuning.desk import casefile, services
from tuning.desk.models import Recommendation

EXAMPLE = Path(__file__).resolve().parents[2] / "reports" / "examples" / "request.json"
PASSWORD = "a-long-pass-phrase"


@pytest.fixture(autouse=True)
def _clean(settings: Any, tmp_path: Path, db: None) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()


@pytest.fixture
def make() -> Callable[..., SetupRequest]:
    def build(**changed: Any) -> SetupRequest:
        document = copy.deepcopy(json.loads(EXAMPLE.read_text(encoding="utf-8"))) | changed
        return accept(document)

    return build


@pytest.fixture
def setup_request(make: Callable[..., SetupRequest]) -> SetupRequest:
    return make()


@pytest.fixture
def tuner() -> User:
    return User.objects.create_user("sanne", password=PASSWORD, display_name="Sanne Okeld")


@pytest.fixture
def other() -> User:
    return User.objects.create_user("imre", password=PASSWORD, display_name="Imre Vadas")


@pytest.fixture
def desk(tuner: User) -> Client:
    client = Client()
    client.force_login(tuner)
    return client


@pytest.fixture
def draft(setup_request: SetupRequest, tuner: User) -> Recommendation:
    return services.open_draft(casefile.sent_rounds(setup_request)[0], tuner)
