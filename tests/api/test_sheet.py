"""The sheet by the private token."""

from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from rest_framework.test import APIClient

from intake.models import SetupRequest
from reports import services
from reports.models import Job
from reports.tasks import render_sheet

pytestmark = pytest.mark.slow


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


def test_a_job_that_ends_between_two_reads_is_not_overlooked(
    owner: APIClient, created: dict[str, Any], approved: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    rendered: list[int] = []

    def then_render(read: Any) -> Any:
        def reading(*args: Any) -> Any:
            found = read(*args)
            if not rendered:
                rendered.append(Job.objects.get().pk)
                render_sheet(rendered[0])
            return found

        return reading

    for name in ("sheets_of", "unfinished_jobs_of"):
        monkeypatch.setattr(services, name, then_render(getattr(services, name)))
    answer = owner.get(place(created), HTTP_ACCEPT="application/pdf")
    assert rendered
    assert answer.status_code == 200
