"""The request document makes the same records as the form, or none at all."""

import copy
import json
from pathlib import Path

import pytest

from intake.choices import RequestState
from intake.document import DocumentError, accept, add_readings
from intake.models import Adjuster, Client, OutboxMail, Reading, Setting, SetupRequest
from intake.services import readings
from tests.intake.rounds import started

pytestmark = pytest.mark.django_db

EXAMPLE = json.loads(
    (Path(__file__).resolve().parents[2] / "reports" / "examples" / "request.json").read_text(encoding="utf-8")
)


@pytest.fixture
def document():
    return copy.deepcopy(EXAMPLE)


def test_every_part_of_the_document_is_on_record(document):
    request = accept(document)
    round_ = request.round()
    assert request.state == RequestState.RECEIVED
    assert request.consent_at is not None
    told = document["client"]
    assert (request.client.name, request.client.email) == (told["name"], told["email"])
    assert (request.client.length_unit, request.client.paper) == (told["units"]["length"], told["paper"])
    aim, bike = document["aim"], document["bike"]
    assert (request.discipline, request.skill, request.aim) == (aim["discipline"], aim["skill"], aim["words"])
    assert (request.bike.name, request.bike.year) == (bike["name"], bike["year"])
    assert Reading.objects.filter(is_current=True).count() == len(document["readings"])
    assert Adjuster.objects.count() == len(document["adjusters"])
    assert {row.adjuster.key: row.text for row in Setting.objects.all()} == {
        row["key"]: row["found"] for row in document["adjusters"]
    }
    assert round_.symptoms.count() == len(document["symptoms"])
    assert round_.words == document["words"]
    assert OutboxMail.objects.get().kind == "received"


def test_text_stays_as_typed(document):
    place = next(
        row for row in document["readings"] if (row["quantity"], row.get("end")) == ("length_topped_out", "front")
    )
    place |= {"value": "5 1/8", "unit": "in"}
    accept(document)
    row = Reading.objects.get(quantity="length_topped_out", end="front")
    assert (row.text, row.unit) == ("5 1/8", "in")
    assert row.value == pytest.approx(130.175)  # 5.125 × 25.4


def test_a_document_not_to_be_sent_stays_a_draft_with_its_link_mailed(document):
    request = accept(document | {"send": False, "consent": False})
    assert request.state == RequestState.DRAFT
    assert OutboxMail.objects.get().kind == "link"


def test_every_fault_is_told_with_its_path_and_nothing_is_stored(document):
    document["readings"][2]["value"] = "a hand"
    document["readings"][0]["value"] = "9000"
    document["adjusters"][0]["found"] = "five"
    document["adjusters"][1]["range_counted"] = "0"
    document["answers"][1]["end"] = "middle"
    document["stop"]["leak"] = "perhaps"
    with pytest.raises(DocumentError) as refused:
        accept(document)
    assert {(fault.path, fault.reason) for fault in refused.value.faults} == {
        ("readings[2].value", "not_a_number"),
        ("readings[0].value", "out_of_limits"),
        ("adjusters[0].found", "not_a_number"),
        ("adjusters[1].range_counted", "not_a_range"),
        ("answers[1]", "unknown_end"),
        ("stop.leak", "unknown_answer"),
    }
    assert not SetupRequest.objects.exists()
    assert not Client.objects.exists()
    assert not OutboxMail.objects.exists()


def test_a_document_that_lacks_what_sending_needs_says_so(document):
    document["consent"] = False
    del document["stop"]["leak"]
    with pytest.raises(DocumentError) as refused:
        accept(document)
    assert {(fault.path, fault.reason) for fault in refused.value.faults} == {
        ("consent", "consent_missing"),
        ("stop.leak", "stop_answer_missing"),
    }
    assert not SetupRequest.objects.exists()


def test_readings_added_together_are_added_together_or_not_at_all():
    round_ = started().round()
    good = {"quantity": "stroke", "end": "front", "value": "120", "unit": "mm"}
    with pytest.raises(DocumentError) as refused:
        add_readings(round_, [good, good | {"end": "rear", "value": "a hand"}])
    assert [fault.path for fault in refused.value.faults] == ["readings[1].value"]
    assert not Reading.objects.exists()
    add_readings(round_, [good])
    assert Reading.objects.get().value == 120


def test_lengths_added_without_a_load_are_of_the_load_measured_so_far():
    round_ = started().round()
    readings.record_reading(
        round_, quantity="length_rider_aboard", end="front", load_state="two_up", text="92", unit="mm"
    )
    add_readings(round_, [{"quantity": "length_rider_aboard", "end": "rear", "value": "500", "unit": "mm"}])
    assert set(Reading.objects.values_list("load_state", flat=True)) == {"two_up"}
