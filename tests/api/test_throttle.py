"""Too many calls are told so, with when to come back."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from intake.models import SetupRequest, User
from tests.api.conftest import basic_header, example, link_header


@pytest.fixture
def rates(settings: Any) -> dict[str, str]:
    found: dict[str, str] = dict(settings.THROTTLE_RATES)
    settings.THROTTLE_RATES = found
    return found


def is_refused(answer: Any) -> bool:
    """True for a whole 429: a wait in seconds, and the reason in the body."""
    if answer.status_code != 429:
        return False
    assert 0 < int(answer["Retry-After"]) <= 3600
    assert answer.json()["faults"][0]["reason"] == "throttled"
    return True


def test_creating(api: APIClient, rates: dict[str, str]) -> None:
    rates["api-create"] = "2/hour"
    answers = [api.post("/api/v1/requests/", example(), format="json") for _ in range(3)]
    assert [answer.status_code for answer in answers[:2]] == [201, 201]
    assert is_refused(answers[2])
    assert SetupRequest.objects.count() == 2


def test_guessing_links_is_counted(api: APIClient, rates: dict[str, str]) -> None:
    rates["api"] = "3/hour"
    place, wrong = "/api/v1/requests/FP-0000-00/", link_header("FP-0000-00", "A" * 24)
    answers = [api.get(place, **wrong) for _ in range(4)]
    assert [answer.status_code for answer in answers[:3]] == [404, 404, 404]
    assert is_refused(answers[3])


def test_guessing_passwords_is_counted_and_right_ones_are_not(
    api: APIClient, tuner_user: User, rates: dict[str, str]
) -> None:
    rates["login"] = "2/hour"
    place = "/api/v1/desk/requests/"
    assert [api.get(place, **basic_header("sanne")).status_code for _ in range(4)] == [200] * 4
    assert [api.get(place, **basic_header("sanne", "guess")).status_code for _ in range(2)] == [401, 401]
    assert is_refused(api.get(place, **basic_header("sanne")))
