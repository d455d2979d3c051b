"""Who may call what: every endpoint of the URL configuration as owner, tuner, stranger and with a dead link."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from rest_framework.test import APIClient

from intake import links
from intake.choices import Purpose
from intake.models import SetupRequest, User
from reports.models import Job
from tests.api.conftest import basic_header, example, link_header
from tuning.desk.models import Recommendation

pytestmark = pytest.mark.slow

UNKNOWN = "FP-0000-00"
#: What is open to all, to the holder of a request's private link, and to tuners: name, method, status when allowed.
PUBLIC = [
    ("api:schema", "get", 200),
    ("api:docs", "get", 200),
    ("api:requests", "post", 400),
    ("engine-api:schemas", "get", 200),
    ("engine-api:schema", "get", 200),
]
CLIENT = [
    ("api:request", "get", 200),
    ("api:readings", "post", 409),  # the round was sent
    ("api:send", "post", 409),
    ("api:photos", "get", 200),
    ("api:photos", "post", 409),
    ("api:photo", "get", 404),  # nothing sent with it
    ("api:photo", "delete", 404),
    ("reports-api:sheet", "get", 404),  # nothing approved yet
]
TUNER = [
    ("desk-api:queue", "get", 200),
    ("desk-api:derivation", "get", 200),
    ("desk-api:causes", "get", 200),
    ("desk-api:take", "post", 200),
    ("desk-api:draft", "get", 404),  # none opened yet
    ("desk-api:draft", "post", 200),
    ("desk-api:draft", "put", 400),
    ("desk-api:approve", "post", 400),
    ("desk-api:practice", "get", 200),
    ("desk-api:practice", "put", 403),  # for lead tuners
    ("desk-api:practice_versions", "get", 200),
    ("reports-api:jobs", "get", 200),
    ("reports-api:retry", "post", 404),
    ("engine-api:derive", "post", 400),  # nothing is in the document
    ("engine-api:whatif", "post", 400),
    ("engine-api:solve", "post", 400),
    ("engine-api:learn", "post", 400),
    ("engine-api:curve", "post", 400),
]


def endpoints(patterns: list[Any], space: str = "") -> Iterator[tuple[str, str]]:
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from endpoints(one.url_patterns, f"{one.namespace}:" if one.namespace else space)
        elif isinstance(one, URLPattern) and hasattr(one.callback, "cls"):
            for method in one.callback.cls().allowed_methods:
                if method != "OPTIONS":
                    yield f"{space}{one.name}", method.lower()


def address(name: str, reference: str) -> str:
    if name in {
        "api:schema",
        "api:docs",
        "api:requests",
        "desk-api:queue",
        "desk-api:practice",
        "desk-api:practice_versions",
    }:
        return reverse(name)
    if name == "engine-api:schema":
        return reverse(name, args=["document"])
    if name.startswith("engine-api:"):
        return reverse(name)
    if name == "api:photo":
        return reverse(name, args=[reference, 999_999])
    if name == "reports-api:retry":
        return reverse(name, args=[999_999])
    return reverse(name, args=[reference])


def call(client: APIClient, name: str, method: str, reference: str) -> Any:
    place = address(name, reference)
    return client.get(place) if method == "get" else getattr(client, method)(place, {}, format="json")


def untouched(request: SetupRequest) -> bool:
    request.refresh_from_db()
    return request.state == "received" and not Recommendation.objects.exists() and not Job.objects.exists()


def test_no_endpoint_is_forgotten() -> None:
    known = {(name, method) for name, method, _ in [*PUBLIC, *CLIENT, *TUNER]}
    assert set(endpoints(get_resolver().url_patterns)) == known


@pytest.mark.parametrize(("name", "method", "status"), PUBLIC)
def test_public(api: APIClient, name: str, method: str, status: int) -> None:
    assert call(api, name, method, UNKNOWN).status_code == status


@pytest.mark.parametrize(("name", "method", "status"), CLIENT)
class TestClients:
    def test_owner(self, owner: APIClient, created: dict[str, Any], name: str, method: str, status: int) -> None:
        assert call(owner, name, method, created["reference"]).status_code == status

    def test_tuner_and_stranger_need_the_link(
        self, tuner: APIClient, api: APIClient, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        for client in (tuner, api):
            answer = call(client, name, method, created["reference"])
            assert answer.status_code == 401
            assert answer["WWW-Authenticate"].startswith("Link")

    def test_every_wrong_link_is_answered_alike(
        self, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        reference, token = created["reference"], created["token"]
        request = SetupRequest.objects.get(reference=reference)
        other = APIClient().post("/api/v1/requests/", example(), format="json").json()
        links.revoke(request, Purpose.FULL)
        request.refresh_from_db()
        wrong = {
            "revoked": link_header(reference, token),
            "guessed": link_header(reference, "A" * len(token)),
            "empty": link_header(reference, ""),
            "report only": link_header(reference, links.token(request, Purpose.REPORT)),
            "another's token": link_header(reference, other["token"]),
            "another's link": link_header(other["reference"], other["token"]),
            "unknown": link_header(UNKNOWN, token),
            "no reference": {"HTTP_AUTHORIZATION": "Link"},
            "odd": {"HTTP_AUTHORIZATION": "Link a:b:c \x00é"},
        }
        told = set()
        for credentials in wrong.values():
            client = APIClient()
            client.credentials(**credentials)
            answer = call(client, name, method, reference)
            told.add((answer.status_code, answer.content))
        client.credentials(**link_header(UNKNOWN, token))
        answer = call(client, name, method, UNKNOWN)
        told.add((answer.status_code, answer.content))
        assert len(told) == 1
        assert told.pop()[0] == 404
        assert untouched(request)


@pytest.mark.parametrize(("name", "method", "status"), TUNER)
class TestTuners:
    def test_tuner_by_password(
        self, tuner: APIClient, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        assert call(tuner, name, method, created["reference"]).status_code == status

    def test_tuner_by_session_needs_the_csrf_token(
        self, tuner_user: User, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        client = APIClient(enforce_csrf_checks=True)
        client.force_login(tuner_user)
        wanted = status if method == "get" else 403
        assert call(client, name, method, created["reference"]).status_code == wanted

    def test_others(
        self, api: APIClient, owner: APIClient, setup_request: SetupRequest, name: str, method: str, status: int
    ) -> None:
        for client in (api, owner):
            answer = call(client, name, method, setup_request.reference)
            assert answer.status_code == 401
            assert answer["WWW-Authenticate"].startswith("Basic")
        assert untouched(setup_request)

    def test_wrong_password(
        self, tuner_user: User, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        for credentials in (
            basic_header("sanne", "guess"), basic_header("nobody"), basic_header("a\x00b"),
            {"HTTP_AUTHORIZATION": "Basic"}, {"HTTP_AUTHORIZATION": "Basic %%%"},
        ):  # fmt: skip
            client = APIClient()
            client.credentials(**credentials)
            assert call(client, name, method, created["reference"]).status_code == 401

    def test_unknown_reference(
        self, tuner: APIClient, created: dict[str, Any], name: str, method: str, status: int
    ) -> None:
        if address(name, UNKNOWN) == address(name, created["reference"]):
            return
        for reference in (UNKNOWN, "junk", "FP-0000-00\n", "a\x00b"):
            wanted = 400 if method == "put" or name == "desk-api:approve" else 404
            assert call(tuner, name, method, reference).status_code == wanted
