"""How often one address may call, on pages and under /api/."""

from typing import Any

import pytest
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured
from django.test import Client, RequestFactory

from config import throttling

#: A moment ten seconds into a minute.
NOW = 1_800_000_010


@pytest.fixture(autouse=True)
def _counted(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    settings.THROTTLE_RATES = dict.fromkeys(settings.THROTTLE_RATES, "2/minute")
    settings.NUM_PROXIES = 0
    cache.clear()
    at(monkeypatch, NOW)


def at(monkeypatch: pytest.MonkeyPatch, moment: float) -> None:
    monkeypatch.setattr(throttling.time, "time", lambda: moment)


def test_the_moment_is_ten_seconds_into_a_minute() -> None:
    assert NOW % 60 == 10


def test_within_the_rate_then_beyond_it_until_the_window_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    def call(who: str = "192.0.2.1") -> int:
        return throttling.wait_after_counting("api", who)

    assert [call(), call(), call()] == [0, 0, 50]
    assert call("192.0.2.2") == 0
    at(monkeypatch, NOW + 49)
    assert call() == 1
    at(monkeypatch, NOW + 50)
    assert call() == 0


def test_scopes_are_counted_apart() -> None:
    for _ in range(3):
        throttling.wait_after_counting("api", "192.0.2.1")
    assert throttling.wait_after_counting("api-create", "192.0.2.1") == 0


@pytest.mark.parametrize("text", ["", "lots", "0/minute", "-1/minute", "5", "5/fortnight", "1.5/minute"])
def test_a_rate_that_cannot_be_read_is_refused(text: str, settings: Any) -> None:
    settings.THROTTLE_RATES = {"api": text}
    with pytest.raises(ImproperlyConfigured, match="api="):
        throttling.rate("api")


@pytest.mark.parametrize(
    ("proxies", "forwarded", "who"),
    [
        (0, "203.0.113.9", "198.51.100.1"),
        (1, "", "198.51.100.1"),
        (1, "203.0.113.9", "203.0.113.9"),
        # What stands left of our own proxies' entries was written by the caller, who may write anything.
        (1, "10.9.9.9, 203.0.113.9", "203.0.113.9"),
        (2, "10.9.9.9, 203.0.113.9, 192.0.2.7", "203.0.113.9"),
        (3, "203.0.113.9", "203.0.113.9"),
    ],
)
def test_who_calls_is_told_by_our_own_proxies_only(settings: Any, proxies: int, forwarded: str, who: str) -> None:
    settings.NUM_PROXIES = proxies
    headers = {"HTTP_X_FORWARDED_FOR": forwarded} if forwarded else {}
    assert throttling.address(RequestFactory().get("/", REMOTE_ADDR="198.51.100.1", **headers)) == who


@pytest.mark.django_db
def test_a_page_answers_429_and_says_when_to_come_back(client: Client) -> None:
    codes = [client.post("/start/", {"units": "metric"}).status_code for _ in range(2)]
    assert codes == [302, 302]
    refused = client.post("/start/", {"units": "metric"})
    assert (refused.status_code, refused["Retry-After"]) == (429, "50")
    assert "text/html" in refused["Content-Type"]
    elsewhere = client.post("/start/", {"units": "metric"}, REMOTE_ADDR="192.0.2.2")
    assert elsewhere.status_code == 302


@pytest.mark.django_db
def test_the_api_answers_429_and_says_when_to_come_back(client: Client) -> None:
    for _ in range(2):
        assert client.get("/api/v1/requests/FP-0000-00/").status_code != 429
    refused = client.get("/api/v1/requests/FP-0000-00/")
    assert (refused.status_code, refused["Retry-After"]) == (429, "50")
    assert refused["Content-Type"].startswith("application/json")


class Forgetful:
    """A cache that loses what it was given."""

    def add(self, key: str, value: int, timeout: int) -> bool:
        return True

    def incr(self, key: str) -> int:
        raise ValueError(key)


def test_a_cache_that_lost_the_counter_lets_the_call_through(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(throttling, "cache", Forgetful())
    assert throttling.wait_after_counting("api", "192.0.2.1") == 0
