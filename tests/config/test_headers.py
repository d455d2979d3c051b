"""Every address, taken from the URL configuration, sends the headers that keep private data private."""

import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

#: The measuring guides and the schemas of the documents hold nothing of anybody: browser and proxy may keep them.
KEPT = {"/guide/", "/guide/sheet/", "/api/v1/schemas/"}
SAMPLES = {"int": 1, "str": "none", "slug": "none", "uuid": uuid.UUID(int=0)}


def names(resolver: URLResolver, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from names(entry, f"{space}{entry.namespace}:" if entry.namespace else space)
        elif entry.name:
            yield f"{space}{entry.name}", entry


def addresses() -> list[str]:
    found = []
    for name, entry in names(get_resolver()):
        converters = getattr(entry.pattern, "converters", {})
        sample = {key: SAMPLES[_kind(converter)] for key, converter in converters.items()}
        found.append(reverse(name, kwargs=sample))
    return sorted(set(found))


def _kind(converter: Any) -> str:
    return str(type(converter).__name__).removesuffix("Converter").lower().replace("string", "str")


def test_there_are_addresses_of_every_part() -> None:
    found = addresses()
    for start in ("/healthz", "/requests/", "/desk/", "/api/v1/", "/api/v1/desk/"):
        assert any(address.startswith(start) for address in found), start


@pytest.mark.django_db
@pytest.mark.parametrize("address", addresses())
def test_headers(client: Client, address: str) -> None:
    client.raise_request_exception = True
    answer = client.get(address)
    assert answer.status_code < 500
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy or address == "/api/docs/"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] in {"same-origin", "no-referrer"}
    if address in KEPT:
        assert answer["Cache-Control"] == "public, max-age=3600"
        assert not answer.cookies
        # The cookie is looked at for the language alone.
        assert set(answer["Vary"].split(", ")) >= {"Cookie", "Accept-Language"}
    else:
        assert "no-store" in answer["Cache-Control"]
    assert "camera=()" in answer["Permissions-Policy"]


@pytest.mark.django_db
def test_errors_under_api_are_json(client: Client, settings: Any) -> None:
    answer = client.get("/api/v1/nothing-here/")
    assert answer.status_code == 404
    assert answer.json()["faults"][0]["reason"] == "not_found"
    settings.ALLOWED_HOSTS = ["elsewhere.example"]
    assert client.get("/api/v1/nothing-here/").json()["faults"]


@pytest.mark.django_db
def test_a_form_beyond_the_limit_is_413(client: Client, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    assert client.post("/start/", {"words": "x" * 200}).status_code == 413


@pytest.mark.django_db
def test_health_tells_of_a_database_that_is_away(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    from django.db import OperationalError, connection

    assert client.get("/healthz").status_code == 200

    def away() -> None:
        raise OperationalError("no connection")

    monkeypatch.setattr(connection, "cursor", away)
    assert client.get("/healthz").status_code == 503
