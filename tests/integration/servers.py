"""Real Redis and PostgreSQL on loopback, in folders of their own; they end with the tests that started them."""

import contextlib
import itertools
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg

from config.preflight import postgres_programs


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def listening(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def wait_until(true: Callable[[], Any], limit: float, what: str) -> Any:
    """Return the first thing found that is true. Raises AssertionError after ``limit`` seconds without one."""
    until = time.monotonic() + limit
    while time.monotonic() < until:
        found = true()
        if found:
            return found
        time.sleep(0.005)
    raise AssertionError(f"not within {limit} s: {what}")


class Redis:
    """A Redis that keeps nothing; after a stop it starts again on the same port."""

    def __init__(self) -> None:
        self.port = free_port()
        self.url = f"redis://127.0.0.1:{self.port}/0"
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        options = {"--port": str(self.port), "--bind": "127.0.0.1", "--save": "", "--appendonly": "no"}
        command = ["redis-server", *itertools.chain.from_iterable(options.items())]
        self._process = subprocess.Popen(command, cwd=tempfile.gettempdir(), stdout=subprocess.DEVNULL)
        wait_until(lambda: listening(self.port), 20, "Redis listens")

    def hang(self) -> None:
        """Make it take connections and never answer."""
        assert self._process
        self._process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        assert self._process
        self._process.send_signal(signal.SIGCONT)

    def stop(self) -> None:
        if self._process:
            self._process.kill()
            self._process.wait()
            self._process = None


@contextlib.contextmanager
def running_redis() -> Iterator[Redis]:
    server = Redis()
    try:
        server.start()
        yield server
    finally:
        server.stop()


class Postgres:
    """A server that makes empty databases."""

    def __init__(self, port: int) -> None:
        self._address = f"postgres://farpaddock@127.0.0.1:{port}"
        self._numbers = itertools.count(1)

    def answers(self) -> bool:
        try:
            psycopg.connect(f"{self._address}/postgres", connect_timeout=2).close()
        except psycopg.OperationalError:
            return False
        return True

    def new_database(self) -> str:
        """Return the URL of a new, empty database."""
        name = f"house_{next(self._numbers)}"
        with psycopg.connect(f"{self._address}/postgres", autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return f"{self._address}/{name}"


@contextlib.contextmanager
def running_postgres() -> Iterator[Postgres]:
    """PostgreSQL refuses to run as root; for root it runs as another user. Raises AssertionError with its log."""
    programs = postgres_programs()[-1].resolve().parent
    folder = Path(tempfile.mkdtemp(prefix="farpaddock-pg-"))
    as_user: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "nobody")
        as_user = ["setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups"]
    port, data = free_port(), folder / "data"
    process = None
    try:
        initdb = [str(programs / "initdb"), "-D", str(data), "-U", "farpaddock", "-A", "trust", "-E", "UTF8", "-N"]
        subprocess.run([*as_user, *initdb], cwd="/", check=True, stdout=subprocess.DEVNULL)
        serve = [str(programs / "postgres"), "-D", str(data), "-h", "127.0.0.1", "-p", str(port)]
        serve += ["-c", "unix_socket_directories=", "-c", "fsync=off"]
        with (folder / "server.log").open("wb") as log:
            process = subprocess.Popen([*as_user, *serve], cwd="/", stdout=log, stderr=log)
        server = Postgres(port)
        wait_until(lambda: server.answers() or process.poll() is not None, 30, "PostgreSQL answers")
        assert process.poll() is None, (folder / "server.log").read_text(encoding="utf-8")
        yield server
    finally:
        if process:
            process.send_signal(signal.SIGINT)  # "fast": ends sessions, does not wait for them
            process.wait(timeout=30)
        shutil.rmtree(folder)
