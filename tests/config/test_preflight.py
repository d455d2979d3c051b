"""What is looked for before anything is installed, and what is said when it is missing."""

import subprocess
from pathlib import Path
from typing import Any

import pytest

from config import preflight


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine with nothing on it, where we are nobody."""
    monkeypatch.setattr(preflight.ctypes.util, "find_library", lambda name: None)
    monkeypatch.setattr(preflight.shutil, "which", lambda name: None)
    monkeypatch.setattr(preflight, "postgres_programs", lambda: [])
    monkeypatch.setattr(preflight.os, "geteuid", lambda: 1000)


@pytest.mark.usefixtures("bare")
def test_running_needs_the_libraries_and_testing_the_programs_too() -> None:
    run, test = set(preflight.missing("run")), set(preflight.missing("test"))
    assert run == set(preflight.LIBRARIES.values())
    assert test - run == {*preflight.PROGRAMS.values(), "postgresql"}


@pytest.mark.usefixtures("bare")
def test_who_may_not_install_is_given_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert preflight.main("run") == 1
    told = capsys.readouterr().err
    assert "sudo apt-get update && sudo apt-get install -y " in told
    for package in preflight.LIBRARIES.values():
        assert package in told


def test_nothing_missing_is_silent(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(preflight, "missing", lambda what: iter(()))
    monkeypatch.setattr(preflight, "install", lambda packages: pytest.fail("nothing is to be installed"))
    assert preflight.main("test") == 0
    assert capsys.readouterr().err == ""


@pytest.mark.usefixtures("bare")
def test_root_installs_what_is_missing_and_looks_again(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[list[str]] = []

    def run(command: list[str], **how: Any) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(preflight.os, "geteuid", lambda: 0)
    monkeypatch.setattr(preflight.shutil, "which", lambda name: "/usr/bin/apt-get" if name == "apt-get" else None)
    monkeypatch.setattr(preflight.subprocess, "run", run)
    # The installer said yes and the libraries are still not there: that is no success.
    assert preflight.main("run") == 1
    assert [command[1] for command in ran] == ["update", "install"]
    assert set(preflight.LIBRARIES.values()) <= set(ran[1])


def test_a_failed_update_ends_it(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[list[str]] = []

    def run(command: list[str], **how: Any) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, 100)

    monkeypatch.setattr(preflight.os, "geteuid", lambda: 0)
    monkeypatch.setattr(preflight.shutil, "which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr(preflight.subprocess, "run", run)
    assert preflight.install(["libpango-1.0-0"]) is False
    assert len(ran) == 1


def test_an_old_python_is_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(preflight, "OLDEST", (99, 0))
    assert preflight.main("run") == 1
    assert "Python 99.0 or newer is needed" in capsys.readouterr().err


def test_it_needs_no_package_of_ours() -> None:
    # It runs before there is a virtual environment: an empty path and no site packages must do.
    script = Path(preflight.__file__)
    ran = subprocess.run(
        ["python3", "-I", "-S", "-c", f"import runpy; runpy.run_path({str(script)!r})"],
        capture_output=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr.decode()
