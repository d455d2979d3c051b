"""``make run``'s processes: they come up together, and when one ends all end."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from config import run
from tests.integration.house import ROOT
from tests.integration.servers import free_port, listening, wait_until

pytestmark = pytest.mark.slow
#: A word of each process's command line, and of no other's.
ROLES = {"web": b"gunicorn", "worker": b"worker", "beat": b"beat"}


def alive_with(state: Path) -> list[int]:
    """Return the processes that were started with this state folder."""
    found = []
    for folder in Path("/proc").iterdir():
        if not folder.name.isdigit():
            continue
        try:
            environment = (folder / "environ").read_bytes()
        except OSError:  # ended meanwhile, or not ours to read
            continue
        if f"FARPADDOCK_STATE_DIR={state}".encode() in environment.split(b"\0"):
            found.append(int(folder.name))
    return found


def in_role(role: str, state: Path) -> list[int]:
    """Return the role's processes, oldest first."""
    found = []
    for pid in sorted(alive_with(state)):
        try:
            words = Path(f"/proc/{pid}/cmdline").read_bytes().split(b"\0")
        except (FileNotFoundError, ProcessLookupError):
            continue  # gone since it was listed
        if ROLES[role] in words:
            found.append(pid)
    return found


@pytest.mark.parametrize("ending", ["interrupt", "worker", "beat"])
def test_processes_end_together(tmp_path: Path, ending: str) -> None:
    port = free_port()
    env = {name: value for name, value in os.environ.items() if not name.startswith(("FARPADDOCK_", "DJANGO_"))}
    env |= {"FARPADDOCK_DEMO": "1", "FARPADDOCK_STATE_DIR": str(tmp_path), "FARPADDOCK_PORT": str(port)}
    for command in (["migrate", "--verbosity", "0"], ["createcachetable"]):
        subprocess.run([sys.executable, "manage.py", *command], cwd=ROOT, env=env, check=True)
    log = (tmp_path / "run.log").open("wb")
    house = subprocess.Popen(
        [sys.executable, "-m", "config.run"], cwd=ROOT, env=env, stdout=log, stderr=log, start_new_session=True
    )
    try:
        wait_until(lambda: listening(port) or house.poll() is not None, 120, "the web process listens")
        assert house.poll() is None, (tmp_path / "run.log").read_text(encoding="utf-8")
        wait_until(lambda: b"Farpaddock answers" in (tmp_path / "run.log").read_bytes(), 60, "the address is told")
        wait_until(lambda: all(in_role(role, tmp_path) for role in ROLES), 30, "web, worker and beat live")
        if ending == "interrupt":
            house.send_signal(signal.SIGINT)
        else:
            os.kill(in_role(ending, tmp_path)[0], signal.SIGKILL)
        house.wait(timeout=15)
        wait_until(lambda: not alive_with(tmp_path), 5, "nothing is left running")
    finally:
        for pid in alive_with(tmp_path):
            os.kill(pid, signal.SIGKILL)
        log.close()


def test_a_taken_port_is_passed_over() -> None:
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert run.free_port(port) > port
