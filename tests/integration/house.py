"""The service as real processes on loopback: web, worker and beat, each to be started and killed by itself."""

import contextlib
import json
import os
import signal
import sqlite3
import subprocess
import sys
import urllib.error
import urllib.request
from base64 import b64encode
from pathlib import Path
from typing import Any

import psycopg

from tests.integration.servers import free_port, listening, wait_until

ROOT = Path(__file__).resolve().parents[2]
TUNER, PASSWORD = "integration-tuner", "a pass phrase for this test only"
#: Several times what rendering takes, so that only a dead worker overruns it.
LEASE_SECONDS = 8


class House:
    """Web, worker and beat over one database, broker and media folder."""

    def __init__(self, folder: Path, static: Path, *, database: str = "", redis: str = "", broker: str = "") -> None:
        self.folder, self.database = folder, database
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("FARPADDOCK_", "DJANGO_"))}
        self.env = kept | {
            "FARPADDOCK_SECRET_KEY": "k7Qw" * 15,
            "FARPADDOCK_STATE_DIR": str(folder),
            "FARPADDOCK_STATIC_DIR": str(static),
            "FARPADDOCK_PUBLIC_URL": self.url,
            "FARPADDOCK_JOB_LEASE_SECONDS": str(LEASE_SECONDS),
            "FARPADDOCK_SWEEP_SECONDS": "1",
            "FARPADDOCK_THROTTLE_API": "10000/minute",
            "FARPADDOCK_THROTTLE_API_CREATE": "10000/minute",
            "DJANGO_SUPERUSER_PASSWORD": PASSWORD,
        }
        if database:
            self.env["FARPADDOCK_DATABASE_URL"] = database
        if redis:
            self.env["FARPADDOCK_REDIS_URL"] = redis
        if broker:
            self.env["FARPADDOCK_BROKER_URL"] = broker
        self.manage("migrate", "--verbosity", "0")
        self.manage("createcachetable")
        self.manage("createsuperuser", "--noinput", "--username", TUNER, "--email", "tuner@farpaddock.example")

    def manage(self, *arguments: str) -> None:
        command = [sys.executable, "manage.py", *arguments]
        done = subprocess.run(command, cwd=ROOT, env=self.env, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr

    def start(self, *names: str) -> None:
        python = [sys.executable, "-m"]
        celery = [*python, "celery", "-A", "config"]
        commands = {
            "web": [*python, "gunicorn", "config.wsgi", "--bind", f"127.0.0.1:{self.port}", "--no-control-socket"],
            "worker": [*celery, "worker", "--concurrency", "1", "--loglevel", "INFO"],
            "beat": [*celery, "beat", "--schedule", str(self.folder / "beat"), "--pidfile=", "--loglevel", "INFO"],
        }  # fmt: skip
        for name in names:
            with (self.folder / f"{name}.log").open("ab") as log:
                self._running[name] = subprocess.Popen(
                    commands[name], cwd=ROOT, env=self.env, stdout=log, stderr=log, start_new_session=True
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
        """End all that still runs."""
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

    def mails(self, kind: str) -> list[str]:
        """Return the states of the outbox's mails of this kind."""
        return [state for state, found in self.rows("SELECT state, kind FROM intake_outboxmail") if found == kind]

    def posted(self, words: str) -> int:
        """Return how many mails with these words went out."""
        return sum(path.read_text(encoding="utf-8").count(words) for path in (self.folder / "mail").glob("*.log"))

    def logs(self) -> dict[str, str]:
        """Return the end of what each process wrote."""
        found = sorted(self.folder.glob("*.log"))
        return {path.name: path.read_text(encoding="utf-8", errors="replace")[-4000:] for path in found}

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

    def new_request(self) -> dict[str, Any]:
        """Send the example request that is told in inches; return the API's answer."""
        document = json.loads((ROOT / "reports" / "examples" / "request-inches.json").read_text(encoding="utf-8"))
        status, content = self.call("POST", "/api/v1/requests/", document)
        assert status == 201, content
        made: dict[str, Any] = json.loads(content)
        return made

    def sheet(self, made: dict[str, Any]) -> tuple[int, bytes]:
        """Ask for the sheet as the holder of the private link."""
        link = f"Link {made['reference']}:{made['token']}"
        return self.call("GET", f"/api/v1/requests/{made['reference']}/sheet/", authorization=link)

    def draft(self, made: dict[str, Any]) -> dict[str, Any]:
        return self.as_tuner("POST", f"/api/v1/desk/requests/{made['reference']}/draft/")

    def approve(self, made: dict[str, Any], draft: dict[str, Any]) -> dict[str, Any]:
        return self.as_tuner("POST", f"/api/v1/desk/requests/{made['reference']}/approve/", {"lock": draft["lock"]})
