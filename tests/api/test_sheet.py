"""The sheet by the private token."""

from io import BytesIO
from typing import Any

from pypdf import PdfReader
from rest_framework.test import APIClient

from intake.models import SetupRequest
from reports.models import Job


def place(created: dict[str, Any]) -> str:
    return f"/api/v1/requests/{created['reference']}/sheet/"


def reason(answer: Any) -> str:
    return str(answer.json()["faults"][0]["reason"])


def test_before_approval_there_is_none(owner: APIClient, created: dict[str, Any]) -> None:
    answer = owner.get(place(created))
    assert (answer.status_code, reason(answer)) == (404, "not_found")


def test_while_it_is_printed(owner: APIClient, created: dict[str, Any], approved: dict[str, Any]) -> None:
    answer = owner.get(place(created), HTTP_ACCEPT="application/pdf")
    assert (answer.status_code, reason(answer)) == (409, "sheet_on_its_way")
    assert answer["Content-Type"] == "application/json"
    Job.objects.update(state=Job.State.FAILED)
    answer = owner.get(place(created))
    assert (answer.status_code, reason(answer)) == (409, "sheet_failed")


def test_the_pdf(owner: APIClient, created: dict[str, Any], approved: dict[str, Any], printed: Job) -> None:
    answer = owner.get(place(created), HTTP_ACCEPT="application/pdf")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(b"".join(answer.streaming_content))).pages)
    assert approved["number"] in text
    assert "Oskarn Vey 640" in text
    # A sheet in hand moves the request on to the ride, as on the page.
    assert SetupRequest.objects.get(reference=created["reference"]).state == "ride"
