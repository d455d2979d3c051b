"""``python -m config.run``: the embedded set-up as real processes that start and stop together.

Web (gunicorn), worker and beat run as children of honcho's manager; when one ends, or on Ctrl-C, all end. The demo is
built first; its addresses and logins are printed once the web process answers.
"""

import os
import shlex
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request

from honcho.manager import Manager

FIRST_PORT = 8000
PATIENCE = 60.0
WEB_OPTIONS = "--no-control-socket"
#: There is one worker: it has no other to talk to.
ALONE = "--without-gossip --without-mingle --without-heartbeat"


def free_port(first: int = FIRST_PORT) -> int:
    """Return the first port from ``first`` on that nobody listens on. Raises OSError after a hundred."""
    for port in range(first, first + 100):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise OSError(f"no free port from {first} to {first + 99}")


def say(*lines: str) -> None:
    sys.stdout.write("\n".join(lines) + "\n")
    sys.stdout.flush()


def wait_for(url: str) -> bool:
    """Return whether the address answered within the patience we have."""
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(url, timeout=2):  # noqa: S310  (our own address)
                return True
        except (urllib.error.URLError, OSError):
            time.sleep(0.3)
    return False


def announce(url: str, told: str) -> None:
    if wait_for(f"{url}/healthz"):
        say("", f"Farpaddock answers at {url}/   tuner's desk at {url}/desk/   mails at {url}/demo/mail/", told, "")
    else:
        say(f"Farpaddock did not answer at {url} within {PATIENCE:.0f} seconds; see the lines above.")


def processes(port: int) -> dict[str, str]:
    """Return each process's command line."""
    # "exec": the shell that honcho starts each command in gives way to it, so that its death is seen at once.
    python = f"exec {shlex.quote(sys.executable)}"
    celery = f"{python} -m celery -A config --skip-checks"
    schedule = os.path.join(os.environ.get("FARPADDOCK_STATE_DIR", "var"), "beat-schedule")  # noqa: PTH118
    return {
        "web": f"{python} -m gunicorn config.wsgi --bind 127.0.0.1:{port} --workers 2 --threads 2 {WEB_OPTIONS}",
        "worker": f"{celery} worker --concurrency 1 {ALONE} --loglevel WARNING",
        "beat": f"{celery} beat --schedule {schedule} --pidfile= --loglevel WARNING",
    }


def main() -> int:
    os.environ.setdefault("FARPADDOCK_DEMO", "1")
    port = free_port(int(os.environ.get("FARPADDOCK_PORT", FIRST_PORT)))
    url = os.environ.setdefault("FARPADDOCK_PUBLIC_URL", f"http://127.0.0.1:{port}")
    built = subprocess.run([sys.executable, "manage.py", "demo"], capture_output=True, text=True, check=False)
    if built.returncode:
        sys.stderr.write(built.stdout + built.stderr)
        return built.returncode
    manager = Manager()
    for name, command in processes(port).items():
        manager.add_process(name, command, env={**os.environ, "PYTHONUNBUFFERED": "1"})
    threading.Thread(target=announce, args=(url, built.stdout), daemon=True).start()
    manager.loop()
    return int(manager.returncode or 0)


if __name__ == "__main__":
    sys.exit(main())
