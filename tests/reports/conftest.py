"""An approved recommendation and its people, as the desk would leave them."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from intake.choices import RequestState
from intake.models import Bike, Client, Round, SetupRequest, User
from reports.models import Job
from tests.reports import sample
from tuning.desk.models import ApprovedDocument, Derivation, Recommendation


@pytest.fixture(autouse=True)
def _own_media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def tuner(db: None) -> User:
    return User.objects.create_user("imre", password="a-long-pass-phrase", display_name="Imre Vadas")


@pytest.fixture
def make_request(db: None) -> Callable[..., SetupRequest]:
    def make(**fields: Any) -> SetupRequest:
        client = Client.objects.create(name="Tove Lindqvaern", email="tove@rider.example")
        fields = {"state": RequestState.SHEET_READY} | fields
        request = SetupRequest.objects.create(client=client, **fields)
        Bike.objects.create(request=request, name="Corvane Tessel 690")
        Round.objects.create(request=request, number=1, sent_at=timezone.now())
        return request

    return make


@pytest.fixture
def setup_request(make_request: Callable[..., SetupRequest]) -> SetupRequest:
    return make_request()


@pytest.fixture
def approve(tuner: User) -> Callable[..., ApprovedDocument]:
    def make(request: SetupRequest, version: int = 1, **changed: Any) -> ApprovedDocument:
        round_ = request.rounds.get(number=1)
        derivation, _ = Derivation.objects.get_or_create(
            round=round_, input_hash="0" * 64, engine_version="1", defaults={"result": {}}
        )
        recommendation = Recommendation.objects.create(
            round=round_,
            version=version,
            state=Recommendation.State.APPROVED,
            derivation=derivation,
            judgement_version="1",
            proposed={},
            content={},
        )
        content = sample.document(
            reference=request.reference, version=version, number=f"{request.reference}/1.{version}", **changed
        )
        return ApprovedDocument.objects.create(
            recommendation=recommendation,
            text=ApprovedDocument.canonical(content),
            approved_by=tuner,
            approved_at=timezone.now(),
        )

    return make


@pytest.fixture
def document(approve: Callable[..., ApprovedDocument], setup_request: SetupRequest) -> ApprovedDocument:
    return approve(setup_request)


@pytest.fixture
def job(document: ApprovedDocument) -> Job:
    return Job.objects.create(document=document, dispatched_at=timezone.now())
