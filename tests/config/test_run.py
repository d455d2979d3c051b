"""``make run``'s processes: they come up together, and when one ends all end."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from config import run
from tests.integration.house import ROOT, free_port, listening, wait_until

pytestmark = pytest.mark.slow


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


@pytest.mark.parametrize("ending", ["interrupt", "one dies"])
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
        if ending == "interrupt":
            house.send_signal(signal.SIGINT)
        else:
            beat = next(pid for pid in alive_with(tmp_path) if b"beat" in Path(f"/proc/{pid}/cmdline").read_bytes())
            os.kill(beat, signal.SIGKILL)
        house.wait(timeout=60)
        wait_until(lambda: not alive_with(tmp_path), 20, "nothing is left running")
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
