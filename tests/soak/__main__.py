"""``python -m tests.soak``: requests come in and sheets go out for minutes on end, while what may break is broken.

Web, worker and beat over real PostgreSQL and Redis. Clients send requests and fetch their sheets, a tuner drafts
and approves, and every few seconds something is taken away: the worker killed, the broker stopped or hung, the web
process killed; the second half is left in peace. At the end everything approved must have been printed once and told
once, and no process may have grown. Ends with 1 when one of these does not hold. ``--minutes 10`` says how long;
with ``--write`` docs/soak.md is written.
"""

import argparse
import contextlib
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
from base64 import b64encode
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from tests.integration.house import PASSWORD, ROOT, TUNER, House
from tests.integration.servers import Redis, running_postgres, running_redis, wait_until

PAGE = ROOT / "docs" / "soak.md"
#: Between two breakages, s: at least, at most.
PEACE = (6.0, 14.0)
#: How long the house may take at the end to catch up, s.
CATCH_UP = 240.0
#: A process may end this much larger than it was early in the half left in peace, as caches fill.
GROWTH = 1.3
#: Printing leaves memory behind; the worker's child is replaced at 300 MB (config/settings.py) and stays below, kB.
WORKER = 330_000
#: What the network says of a web process that is away.
AWAY = (urllib.error.URLError, ConnectionError, TimeoutError)


@dataclass
class Log:
    """What happened: how often, and how long the calls took that were answered, s."""

    counts: Counter[str] = field(default_factory=Counter)
    took: dict[str, list[float]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)


def timed(log: Log, name: str, call: Callable[[], tuple[int, bytes]]) -> tuple[int, bytes] | None:
    """Make a call; return what was answered, or None when the web process was away. A 500 is written down."""
    began = time.perf_counter()
    try:
        status, content = call()
    except AWAY:
        log.counts["calls that found the web process away"] += 1
        return None
    log.took.setdefault(name, []).append(time.perf_counter() - began)
    if status >= 500:
        log.wrong.append(f"{name} answered {status}: {content[:200]!r}")
    return status, content


class Clients:
    """Sends a request, has it drafted and approved, and remembers what is owed."""

    def __init__(self, house: House, log: Log) -> None:
        self.house, self.log = house, log
        self.document = json.loads((ROOT / "reports/examples/request-inches.json").read_text(encoding="utf-8"))
        self.approved: set[str] = set()
        self.waiting: dict[str, str] = {}

    def one_turn(self) -> None:
        sent = timed(self.log, "send a request", lambda: self.house.call("POST", "/api/v1/requests/", self.document))
        if sent is None or sent[0] != 201:
            return
        made = json.loads(sent[1])
        self.log.counts["requests sent"] += 1
        reference = made["reference"]
        drafted = self._tuner("draft", f"/api/v1/desk/requests/{reference}/draft/")
        if drafted is None:
            return
        body = {"lock": drafted["lock"]}
        if self._tuner("approve", f"/api/v1/desk/requests/{reference}/approve/", body) is not None:
            self.waiting[reference] = made["token"]

    def _tuner(self, name: str, path: str, body: Any = None) -> dict[str, Any] | None:
        basic = "Basic " + b64encode(f"{TUNER}:{PASSWORD}".encode()).decode()
        answer = timed(self.log, name, lambda: self.house.call("POST", path, body, basic))
        if answer is None:
            return None
        if answer[0] != 200:
            self.log.wrong.append(f"{name} answered {answer[0]}: {answer[1][:200]!r}")
            return None
        read: dict[str, Any] = json.loads(answer[1])
        return read

    def _sheet(self, reference: str, token: str) -> tuple[int, bytes]:
        link = f"Link {reference}:{token}"
        return self.house.call("GET", f"/api/v1/requests/{reference}/sheet/", authorization=link)

    def fetch(self) -> None:
        """Fetch the sheets that are ready, as their clients."""
        for reference, token in list(self.waiting.items()):
            answer = timed(self.log, "fetch a sheet", partial(self._sheet, reference, token))
            if answer is None:
                return
            status, pdf = answer
            if status == 200:
                if not pdf.startswith(b"%PDF"):
                    self.log.wrong.append(f"{reference}: a sheet that is no PDF")
                del self.waiting[reference]
                self.log.counts["sheets fetched"] += 1


def break_something(house: House, redis: Redis, log: Log, chance: random.Random) -> None:
    """Take something away, and put it back a moment later."""
    what = chance.choice(("worker", "worker", "web", "broker", "broker hangs"))
    log.counts[f"{what} {'taken away' if what != 'broker hangs' else 'for a moment'}"] += 1
    if what == "broker":
        redis.stop()
        time.sleep(chance.uniform(0.5, 3))
        redis.start()
    elif what == "broker hangs":
        redis.hang()
        time.sleep(chance.uniform(0.5, 3))
        redis.go_on()
    else:
        house.kill(what)
        time.sleep(chance.uniform(0, 1))
        house.start(what)


def sizes() -> dict[int, tuple[str, int]]:
    """Return what each of our Python processes holds in memory, kB, by process id."""
    listed = subprocess.run(
        ["ps", "-eo", "pid=,rss=,args="], capture_output=True, text=True, check=True
    ).stdout.splitlines()
    found = {}
    for line in listed:
        pid, rss, args = line.split(maxsplit=2)
        for name in ("gunicorn config.wsgi", "celery -A config worker", "celery -A config beat"):
            if name in args and args.startswith(sys.executable):
                found[int(pid)] = (name, int(rss))
    return found


def owed(house: House) -> list[str]:
    """Return what is not as it must be: each approved document printed once, each client told once."""
    wrong = []
    approved = house.rows("SELECT count(*) FROM desk_approveddocument")[0][0]
    jobs = Counter(state for state, _attempt in house.jobs())
    if jobs != {"done": approved}:
        wrong.append(f"{approved} documents approved, jobs stand at {dict(jobs)}")
    if house.sheets() != approved:
        wrong.append(f"{house.sheets()} sheets for {approved} documents")
    if len(house.files()) != approved:
        wrong.append(f"{len(house.files())} files for {approved} sheets")
    told = Counter(house.mails("sheet_ready"))
    if told != {"sent": approved}:
        wrong.append(f"{approved} clients to be told, mails stand at {dict(told)}")
    return wrong


def soak(house: House, redis: Redis, minutes: float, chance: random.Random) -> tuple[Log, list[str], str]:
    log = Log()
    clients = Clients(house, log)
    house.start("web", "worker", "beat")
    began = time.monotonic()
    half, until = began + 30 * minutes, began + 60 * minutes
    next_breakage = began + chance.uniform(*PEACE)
    young: dict[int, tuple[str, int]] = {}
    while time.monotonic() < until:
        clients.one_turn()
        clients.fetch()
        if next_breakage < time.monotonic() < half:
            break_something(house, redis, log, chance)
            next_breakage = time.monotonic() + chance.uniform(*PEACE)
        # In peace the same processes live on, and are seen to stay the size they are.
        if not young and time.monotonic() > half + 6 * minutes:
            young = sizes()
    old = sizes()
    wrong = list(log.wrong)
    stopped = time.monotonic()
    with contextlib.suppress(AssertionError):  # what is still owed is said below
        wait_until(lambda: not owed(house), CATCH_UP, "everything approved is printed and told")
    log.counts["seconds to catch up"] = round(time.monotonic() - stopped)
    clients.fetch()
    wrong += owed(house)
    if clients.waiting:
        wrong.append(f"{len(clients.waiting)} sheets could not be fetched")
    wrong += [
        f"{name} grew from {young[pid][1] / 1024:.0f} to {rss / 1024:.0f} MB"
        for pid, (name, rss) in old.items()
        if pid in young and rss > GROWTH * young[pid][1] and not ("worker" in name and rss < WORKER)
    ]
    largest = {name: max(rss for other, rss in old.values() if other == name) for name, _rss in old.values()}
    memory = "; ".join(f"{name}: {rss / 1024:.0f} MB" for name, rss in sorted(largest.items()))
    return log, wrong, memory


def text(log: Log, wrong: list[str], memory: str, minutes: float, seed: int) -> str:
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.strip()
    lines = [
        "# Soak",
        "",
        f"Made by `make soak` at {commit}: {minutes:g} minutes on {os.cpu_count()} cores, seed {seed}; web, worker",
        "and beat on PostgreSQL and Redis, one client after the other as fast as answers come; in the first half",
        "something is broken every few seconds.",
        "",
        "| what | how often |",
        "| --- | --- |",
        *(f"| {what} | {count} |" for what, count in sorted(log.counts.items())),
        "",
        "| call | answered | median, ms | 95 %, ms | longest, ms |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, took in sorted(log.took.items()):
        ms = [1000 * each for each in took]
        high = statistics.quantiles(ms, n=20)[-1] if len(ms) > 1 else ms[0]
        lines.append(f"| {name} | {len(ms)} | {statistics.median(ms):.0f} | {high:.0f} | {max(ms):.0f} |")
    lines += ["", f"Memory at the end, the largest process of each kind: {memory}.", ""]
    lines += [f"- WRONG: {one}" for one in wrong] or [
        "Every approved document was printed once and told once; no answer was a server error; left in peace, no",
        f"process grew beyond {GROWTH:g} times what it was, but for the worker, which is replaced at 300 MB.",
    ]
    return "\n".join([*lines, ""])


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.soak")
    asked.add_argument("--minutes", type=float, default=10)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--write", action="store_true")
    told = asked.parse_args()
    with contextlib.ExitStack() as stack:
        postgres = stack.enter_context(running_postgres())
        redis = stack.enter_context(running_redis())
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        house = House(folder, folder / "static", database=postgres.new_database(), redis=redis.url)
        stack.callback(house.stop)
        house.env["FARPADDOCK_JOB_MAX_ATTEMPTS"] = "50"  # killed far more often than any house ought to be
        house.manage("collectstatic", "--noinput", "--verbosity", "0")
        log, wrong, memory = soak(house, redis, told.minutes, random.Random(told.seed))  # noqa: S311 - what breaks, not a secret
    page = text(log, wrong, memory, told.minutes, told.seed)
    sys.stdout.write(page)
    if told.write:
        PAGE.write_text(page, encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
