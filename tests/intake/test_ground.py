"""What only some are asked: landing and the ground; what can feel like suspension; and the end a complaint is of."""

import pytest

from intake import case
from intake.models import Answer, SetupRequest, Symptom
from intake.steps.behaviour import PHASES, own_end
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED
from tuning.engine.vocabulary import SYMPTOM_IDS, SYMPTOMS

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def rides(request: SetupRequest, discipline: str) -> None:
    SetupRequest.objects.filter(pk=request.pk).update(discipline=discipline)


@pytest.fixture
def request_(client) -> SetupRequest:
    request = begin(client)
    fill(client, request, upto="travel")
    return request


def test_every_phase_has_its_heading():
    assert set(PHASES) == set(SYMPTOMS)


def test_a_complaint_that_names_its_end_does_not_ask_for_it():
    asked = {symptom for symptom in SYMPTOM_IDS if own_end(symptom) is None}
    for symptom in sorted(SYMPTOM_IDS):
        if symptom.startswith("rear_") or symptom == "runs_wide_exit":
            assert own_end(symptom) == "rear"
    assert own_end("tucks") == own_end("chatter_mid") == "front"
    assert own_end("not_right") == ""
    assert asked == {*SYMPTOMS["bumps"], *SYMPTOMS["landing"], "too_tall", "too_low", "feels_stiff", "feels_soft"} - {
        "rear_kicks"
    }


@pytest.mark.parametrize(
    ("discipline", "shown"),
    [("motocross", True), ("enduro", True), ("dual_sport", True), ("adventure", True), ("supermoto", True),
     ("road_sport", False), ("touring", False), ("", False)],
)  # fmt: skip
def test_landing_is_asked_of_those_who_land(client, request_, discipline, shown):
    rides(request_, discipline)
    page = client.get(address(request_, "behaviour")).content.decode()
    assert ("s.bottoms_landing" in page) is shown
    assert "s.tops_out" in page


def test_landing_stays_where_it_was_told(client, request_):
    rides(request_, "enduro")
    told = {"s.bottoms_landing": "on", "s.bottoms_landing.severity": "3", "s.bottoms_landing.end": "front"}
    assert save(client, request_, "behaviour", FILLED["behaviour"] | told).status_code == 302
    assert Symptom.objects.filter(symptom="bottoms_landing", end="front", severity=3).exists()
    rides(request_, "touring")
    page = client.get(address(request_, "behaviour")).content.decode()
    assert "s.bottoms_landing" in page
    assert "s.harsh_landing" in page
    assert save(client, request_, "behaviour", FILLED["behaviour"]).status_code == 302
    assert not Symptom.objects.filter(symptom="bottoms_landing").exists()


def test_the_ground_is_asked_off_the_road_only_and_may_be_left_out(client, request_):
    assert 'name="terrain"' not in client.get(address(request_, "travel")).content.decode()
    rides(request_, "enduro")
    assert 'name="terrain"' in client.get(address(request_, "travel")).content.decode()
    assert save(client, request_, "travel", FILLED["travel"]).status_code == 302
    assert not Answer.objects.filter(question="terrain").exists()
    assert save(client, request_, "travel", FILLED["travel"] | {"terrain": "mud"}).status_code == 302
    assert case.build_case(request_.round()).answers["terrain"] == "mud"
    assert save(client, request_, "travel", FILLED["travel"] | {"terrain": "moon"}).status_code == 422


def test_chain_and_steering_damper_may_be_told(client, request_):
    told = {"chain_slack": "too_tight", "steering_damper": "set_hard"}
    assert save(client, request_, "behaviour", FILLED["behaviour"] | told).status_code == 302
    answers = case.build_case(request_.round()).answers
    assert (answers["chain_slack"], answers["steering_damper"]) == ("too_tight", "set_hard")
