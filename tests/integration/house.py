"""The service as real processes on loopback, and the servers it may need; all of it ends with the test."""

import contextlib
import json
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from base64 import b64encode
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg

from config.preflight import postgres_programs

ROOT = Path(__file__).resolve().parents[2]
TUNER, PASSWORD = "integration-tuner", "a pass phrase for this test only"
LEASE_SECONDS = 6


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_until(true: Callable[[], Any], limit: float, what: str) -> Any:
    until = time.monotonic() + limit
    while time.monotonic() < until:
        found = true()
        if found:
            return found
        time.sleep(0.005)
    raise AssertionError(f"not within {limit} s: {what}")


def listening(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.1", port)) == 0


class Redis:
    def __init__(self) -> None:
        self.port = free_port()
        self.url = f"redis://127.0.0.1:{self.port}/0"
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [
            "redis-server",
            "--port",
            str(self.port),
            "--bind",
            "127.0.0.1",
            "--save",
            "",
            "--appendonly",
            "no",
        ]
        self._process = subprocess.Popen(command, cwd=tempfile.gettempdir(), stdout=subprocess.DEVNULL)
        wait_until(lambda: listening(self.port), 20, "Redis listens")

    def stop(self) -> None:
        if self._process:
            self._process.kill()
            self._process.wait()
            self._process = None


@contextlib.contextmanager
def running_postgres() -> Iterator[str]:
    """Yield the URL of a new, empty database. PostgreSQL refuses to run as root; then it runs as another user."""
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
        process = subprocess.Popen([*as_user, *serve], cwd="/", stderr=subprocess.DEVNULL)
        url = f"postgres://farpaddock@127.0.0.1:{port}/postgres"

        def answers() -> bool:
            try:
                psycopg.connect(url, connect_timeout=2).close()
            except psycopg.OperationalError:
                return False
            return True

        wait_until(answers, 30, "PostgreSQL answers")
        yield url
    finally:
        if process:
            process.send_signal(signal.SIGINT)  # "fast": ends sessions, does not wait for them
            process.wait(timeout=30)
        shutil.rmtree(folder)


class House:
    """Web, worker and beat over one database, broker and media folder."""

    def __init__(self, folder: Path, *, database: str = "", redis: str = "") -> None:
        self.folder, self.database = folder, database
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("FARPADDOCK_", "DJANGO_"))}
        self.env = kept | {
            "FARPADDOCK_SECRET_KEY": "k7Qw" * 15,
            "FARPADDOCK_STATE_DIR": str(folder),
            "FARPADDOCK_PUBLIC_URL": self.url,
            "FARPADDOCK_JOB_LEASE_SECONDS": str(LEASE_SECONDS),
            "FARPADDOCK_SWEEP_SECONDS": "1",
            "FARPADDOCK_THROTTLE_API": "10000/minute",
            "DJANGO_SUPERUSER_PASSWORD": PASSWORD,
        }
        if database:
            self.env["FARPADDOCK_DATABASE_URL"] = database
        if redis:
            self.env["FARPADDOCK_REDIS_URL"] = redis
        self.manage("migrate", "--verbosity", "0")
        self.manage("createcachetable")
        self.manage("createsuperuser", "--noinput", "--username", TUNER, "--email", "tuner@farpaddock.example")

    def manage(self, *arguments: str) -> None:
        subprocess.run([sys.executable, "manage.py", *arguments], cwd=ROOT, env=self.env, check=True)

    def start(self, *names: str) -> None:
        celery = [sys.executable, "-m", "celery", "-A", "config"]
        commands = {
            "web": [sys.executable, "-m", "gunicorn", "config.wsgi", "--bind", f"127.0.0.1:{self.port}"],
            "worker": [*celery, "worker", "--concurrency", "1", "--loglevel", "INFO"],
            "beat": [*celery, "beat", "--schedule", str(self.folder / "beat"), "--pidfile=", "--loglevel", "INFO"],
        }  # fmt: skip
        for name in names:
            with (self.folder / f"{name}.log").open("ab") as log:
                env = self.env | {"FARPADDOCK_TEST_ROLE": name}
                self._running[name] = subprocess.Popen(
                    commands[name], cwd=ROOT, env=env, stdout=log, stderr=log, start_new_session=True
                )
        if "web" in names:
            wait_until(lambda: listening(self.port), 60, "the web process listens")

    def kill(self, name: str) -> None:
        """End the process and its children at once, as a power cut would."""
        process = self._running.pop(name)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def stop(self) -> None:
        for name in list(self._running):
            self.kill(name)

    # --- what the database and the folder say -----------------------------------------------------------------

    def rows(self, query: str) -> list[tuple[Any, ...]]:
        if self.database:
            with psycopg.connect(self.database) as connection:
                return connection.execute(query).fetchall()
        with contextlib.closing(sqlite3.connect(self.folder / "farpaddock.sqlite3", timeout=20)) as lite:
            return lite.execute(query).fetchall()

    def jobs(self) -> list[tuple[str, int]]:
        return [(state, attempt) for state, attempt in self.rows("SELECT state, attempt FROM reports_job")]

    def sheets(self) -> int:
        return int(self.rows("SELECT count(*) FROM reports_sheet")[0][0])

    def files(self) -> list[Path]:
        return [path for path in (self.folder / "media").rglob("*") if path.is_file()]

    # --- over HTTP --------------------------------------------------------------------------------------------

    def call(self, method: str, path: str, body: Any = None, authorization: str = "") -> tuple[int, bytes]:
        headers = {"Content-Type": "application/json"} | ({"Authorization": authorization} if authorization else {})
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.url + path, data=data, headers=headers, method=method)
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                return answer.status, answer.read()
        except urllib.error.HTTPError as error:
            return error.code, error.read()

    def as_tuner(self, method: str, path: str, body: Any = None) -> dict[str, Any]:
        basic = "Basic " + b64encode(f"{TUNER}:{PASSWORD}".encode()).decode()
        status, content = self.call(method, path, body, basic)
        assert status == 200, (path, status, content)
        answer: dict[str, Any] = json.loads(content)
        return answer

    def new_request(self) -> tuple[str, str]:
        """Send the example request; return its reference and the client's authorization."""
        document = json.loads((ROOT / "reports" / "examples" / "request.json").read_text(encoding="utf-8"))
        status, content = self.call("POST", "/api/v1/requests/", document)
        assert status == 201, content
        made = json.loads(content)
        return made["reference"], f"Link {made['reference']}:{made['token']}"

    def approve(self, reference: str) -> None:
        place = f"/api/v1/desk/requests/{reference}"
        lock = self.as_tuner("POST", f"{place}/draft/")["lock"]
        self.as_tuner("POST", f"{place}/approve/", {"lock": lock})
