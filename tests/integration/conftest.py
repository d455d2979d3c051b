"""The service on its embedded set-up and on real servers."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.integration.house import House, Redis, running_postgres


@pytest.fixture
def embedded(tmp_path: Path) -> Iterator[House]:
    house = House(tmp_path)
    yield house
    house.stop()


@pytest.fixture
def redis() -> Iterator[Redis]:
    server = Redis()
    server.start()
    yield server
    server.stop()


@pytest.fixture
def on_servers(tmp_path: Path, redis: Redis) -> Iterator[House]:
    with running_postgres() as database:
        house = House(tmp_path, database=database, redis=redis.url)
        yield house
        house.stop()


@pytest.fixture
def house(request: pytest.FixtureRequest) -> House:
    """The set-up that the test names."""
    found: House = request.getfixturevalue(request.param)
    return found
