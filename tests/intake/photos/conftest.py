"""A store of its own for every test, and a request whose behaviour step is at hand."""

from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from intake.models import Photo, Round, SetupRequest
from intake.services import photos
from tests.intake.at_form import begin
from tests.intake.photos import made


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return Path(settings.MEDIA_ROOT)


@pytest.fixture
def request_(client: Client, db: None) -> SetupRequest:
    return begin(client)


@pytest.fixture
def round_(request_: SetupRequest) -> Round:
    found = request_.round()
    found.request = request_
    return found


@pytest.fixture
def kept(round_: Round) -> Photo:
    return photos.add(round_, made.arrived(made.photo()), "the ring on the leg")


def files(store: Path) -> list[Path]:
    return sorted(path for path in store.rglob("*") if path.is_file())
