"""Approving does not need the broker: the job's row is written, and the sweeper hands it over later."""

import time

import pytest

from tests.integration.house import House
from tests.integration.servers import Redis, wait_until

pytestmark = [pytest.mark.slow, pytest.mark.servers, pytest.mark.xdist_group("servers")]
#: Seconds a tuner may have to wait for the answer.
PATIENCE = 5


def approve_in_time(house: House) -> dict[str, object]:
    made = house.new_request()
    draft = house.draft(made)
    before = time.monotonic()
    house.approve(made, draft)
    assert time.monotonic() - before < PATIENCE
    assert house.jobs() == [("queued", 0)]
    return made


def assert_printed(house: House, made: dict[str, object]) -> None:
    wait_until(lambda: house.sheets() and house.mails("sheet_ready") == ["sent"], 120, "the sheet is there, and told")
    assert house.jobs() == [("done", 1)]
    assert house.sheet(made)[0] == 200


def test_no_broker(with_own_broker: House, broker: Redis) -> None:
    with_own_broker.start("web", "worker", "beat")
    broker.stop()
    made = approve_in_time(with_own_broker)
    broker.start()
    assert_printed(with_own_broker, made)


def test_a_broker_that_never_answers(with_own_broker: House, broker: Redis) -> None:
    with_own_broker.start("web", "worker", "beat")
    broker.hang()
    made = approve_in_time(with_own_broker)
    broker.go_on()
    assert_printed(with_own_broker, made)


def test_neither_broker_nor_cache(on_servers: House, redis: Redis) -> None:
    """The throttles cannot count then; that must not keep anybody from working."""
    on_servers.start("web", "worker", "beat")
    redis.hang()
    made = approve_in_time(on_servers)
    redis.go_on()
    assert_printed(on_servers, made)
