"""What is approved gets printed, exactly once, whatever dies in between."""

import time

import pytest

from tests.integration.house import LEASE_SECONDS, House, Redis, wait_until

pytestmark = pytest.mark.slow
SET_UPS = [
    pytest.param("embedded", id="SQLite and files"),
    pytest.param("on_servers", id="PostgreSQL and Redis", marks=pytest.mark.servers),
]


def printed_once(house: House) -> bool:
    return house.sheets() == 1 and len(house.files()) == 1


def download(house: House, reference: str, client: str) -> bytes:
    status, content = house.call("GET", f"/api/v1/requests/{reference}/sheet/", authorization=client)
    assert status == 200, content
    return content


@pytest.mark.parametrize("house", SET_UPS, indirect=True)
def test_from_request_to_sheet(house: House) -> None:
    house.start("web", "worker", "beat")
    reference, client = house.new_request()
    house.approve(reference)
    wait_until(lambda: printed_once(house), 90, "the sheet is there")
    assert download(house, reference, client).startswith(b"%PDF-")


@pytest.mark.parametrize("house", SET_UPS, indirect=True)
def test_a_killed_worker_costs_time_and_nothing_else(house: House) -> None:
    house.start("web", "worker")  # no beat: nobody sweeps
    reference, client = house.new_request()
    house.approve(reference)
    wait_until(lambda: house.jobs() == [("rendering", 1)], 90, "the worker has the job")
    house.kill("worker")
    assert house.jobs() == [("rendering", 1)]
    assert not house.sheets()
    assert not house.files()

    # A new worker alone does not help: the broker has forgotten the message, and the row looks taken.
    house.start("worker")
    time.sleep(LEASE_SECONDS + 4)
    assert house.jobs() == [("rendering", 1)]
    assert not house.files()

    house.start("beat")
    wait_until(lambda: printed_once(house), 90, "the sheet is there")
    time.sleep(3)  # three more sweeps find nothing to do
    assert house.jobs() == [("done", 2)]
    assert printed_once(house)
    assert download(house, reference, client).startswith(b"%PDF-")


@pytest.mark.servers
def test_approving_while_the_broker_is_away(on_servers: House, redis: Redis) -> None:
    house = on_servers
    house.start("web", "worker", "beat")
    reference, client = house.new_request()
    redis.stop()
    before = time.monotonic()
    house.approve(reference)
    assert time.monotonic() - before < 15
    assert house.jobs() == [("queued", 0)]
    redis.start()
    wait_until(lambda: printed_once(house), 120, "the sheet is there")
    assert download(house, reference, client).startswith(b"%PDF-")
