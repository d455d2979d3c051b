"""The service on its embedded set-up and on real servers."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.integration.house import ROOT, House
from tests.integration.servers import Postgres, Redis, running_postgres, running_redis


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):  # type: ignore[no-untyped-def]
    """Show what the processes wrote when a test fails."""
    report = yield
    if report.failed:
        arguments = getattr(item, "funcargs", {}).values()
        for house in {id(one): one for one in arguments if isinstance(one, House)}.values():
            report.sections += house.logs().items()
    return report


@pytest.fixture(scope="session")
def static(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The web's own files as they are served, made once. The API's page of docs is not visited: it stays out."""
    folder = tmp_path_factory.mktemp("static")
    env = {"FARPADDOCK_SECRET_KEY": "k7Qw" * 15, "FARPADDOCK_STATE_DIR": str(folder), "PATH": ""}
    env["FARPADDOCK_STATIC_DIR"] = str(folder / "built")
    command = [sys.executable, "manage.py", "collectstatic", "--noinput", "--ignore", "drf_spectacular_sidecar"]
    subprocess.run(command, cwd=ROOT, env=env, check=True, stdout=subprocess.DEVNULL)
    return folder / "built"


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    with running_postgres() as server:
        yield server


@pytest.fixture
def redis() -> Iterator[Redis]:
    """The Redis of the throttles and, where no other is named, the broker."""
    with running_redis() as server:
        yield server


@pytest.fixture
def broker() -> Iterator[Redis]:
    """A Redis that is the broker and nothing else."""
    with running_redis() as server:
        yield server


@pytest.fixture
def embedded(tmp_path: Path, static: Path) -> Iterator[House]:
    house = House(tmp_path, static)
    yield house
    house.stop()


@pytest.fixture
def on_servers(tmp_path: Path, static: Path, postgres: Postgres, redis: Redis) -> Iterator[House]:
    house = House(tmp_path, static, database=postgres.new_database(), redis=redis.url)
    yield house
    house.stop()


@pytest.fixture
def with_own_broker(tmp_path: Path, static: Path, postgres: Postgres, redis: Redis, broker: Redis) -> Iterator[House]:
    house = House(tmp_path, static, database=postgres.new_database(), redis=redis.url, broker=broker.url)
    yield house
    house.stop()


@pytest.fixture
def house(request: pytest.FixtureRequest) -> House:
    """The set-up that the test names."""
    found: House = request.getfixturevalue(request.param)
    return found
