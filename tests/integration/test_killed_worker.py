"""What is approved gets printed, exactly once, though the worker is killed while it prints."""

import time
from typing import Any

import pytest

from tests.integration.house import LEASE_SECONDS, House
from tests.integration.servers import wait_until

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("servers")]
SET_UPS = [
    pytest.param("embedded", id="SQLite and files"),
    pytest.param("on_servers", id="PostgreSQL and Redis", marks=pytest.mark.servers),
]
#: Sweeps happen every second here.
SOME_SWEEPS = 3


def kill_while_printing(house: House) -> dict[str, Any]:
    """Approve a request and kill the worker as soon as it has taken the job; return the request as made."""
    made = house.new_request()
    house.approve(made, house.draft(made))
    wait_until(lambda: house.jobs() != [("queued", 0)], 90, "the worker has the job")
    house.kill("worker")
    assert house.jobs() == [("rendering", 1)], "the worker was not killed in the middle of it"
    assert not house.sheets()
    assert not house.files()
    return made


def leave_a_file(house: House) -> None:
    """Put a file where a worker that was killed between file and row would have left it."""
    [(job, token)] = house.rows("SELECT id, claim_token FROM reports_job")
    folder = house.folder / "media" / "sheets" / str(job)
    folder.mkdir(parents=True)
    (folder / f"{str(token).replace('-', '')}-half.pdf").write_bytes(b"%PDF-1.7")


def assert_printed_once(house: House, made: dict[str, Any]) -> None:
    wait_until(lambda: house.sheets() and house.mails("sheet_ready") == ["sent"], 90, "the sheet is there, and told")
    time.sleep(SOME_SWEEPS)  # which find nothing to do
    assert house.jobs() == [("done", 2)]
    assert house.sheets() == 1
    assert house.mails("sheet_ready") == ["sent"]
    assert house.posted("Subject: Your setup sheet") == 1
    status, pdf = house.sheet(made)
    assert status == 200
    assert [path.read_bytes() for path in house.files()] == [pdf]


@pytest.mark.parametrize("house", SET_UPS, indirect=True)
def test_the_sweeper_brings_the_job_back(house: House) -> None:
    house.start("web", "worker", "beat")
    made = kill_while_printing(house)
    leave_a_file(house)
    house.start("worker")
    assert_printed_once(house, made)


@pytest.mark.parametrize("house", SET_UPS, indirect=True)
def test_without_the_sweeper_the_job_stays_lost(house: House) -> None:
    """Shows that the test above is about the sweeper: the broker does not bring the job back, nor a new worker."""
    house.start("web", "worker")
    made = kill_while_printing(house)
    house.start("worker")
    time.sleep(LEASE_SECONDS + 4)
    assert house.jobs() == [("rendering", 1)]
    assert house.sheet(made)[0] == 409
    assert not house.files()

    house.start("beat")
    assert_printed_once(house, made)
