"""Looks for the system's libraries and programs before Python packages are installed; standard library only.

``python3 config/preflight.py run`` (what the service needs) or ``… test`` (what its tests need as well). What is
missing is installed where that is permitted (root, and apt-get at hand); otherwise the exact command is printed.
"""

import ctypes.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

#: Library (as the linker names it) → Debian package.
LIBRARIES = {
    "pango-1.0": "libpango-1.0-0",
    "pangoft2-1.0": "libpangoft2-1.0-0",
    "harfbuzz-subset": "libharfbuzz-subset0",
    "fontconfig": "libfontconfig1",
}
#: Program → Debian package.
PROGRAMS = {
    "chromium": "chromium",
    "redis-server": "redis-server",
    "pdftoppm": "poppler-utils",
    "xgettext": "gettext",
    "msgmerge": "gettext",
    "msgfmt": "gettext",
}
OLDEST = (3, 11)


def postgres_programs() -> list[Path]:
    """Return where initdb is: on the path, or where Debian puts each version."""
    found = [Path(path) for path in [shutil.which("initdb")] if path]
    return found + sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


def missing(what: str) -> Iterator[str]:
    """Yield the Debian packages that are missing for ``run`` or ``test``."""
    for library, package in LIBRARIES.items():
        if ctypes.util.find_library(library) is None:
            yield package
    if what == "test":
        for program, package in PROGRAMS.items():
            if shutil.which(program) is None:
                yield package
        if not postgres_programs():
            yield "postgresql"


def install(packages: list[str]) -> bool:
    """Install Debian packages if we may; return whether that worked."""
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        return False
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update", "-q"], ["install", "-y", "-q", "--no-install-recommends", *packages]):
        if subprocess.run(["apt-get", *command], env=quiet, stdout=sys.stderr, check=False).returncode:  # noqa: S603, S607
            return False
    return True


def main(what: str) -> int:
    if sys.version_info[:2] < OLDEST:
        print(  # noqa: T201
            f"Python {'.'.join(map(str, OLDEST))} or newer is needed; this is {sys.version.split()[0]}",
            file=sys.stderr,
        )
        return 1
    packages = sorted(set(missing(what)))
    if not packages or (install(packages) and not list(missing(what))):
        return 0
    print("These system packages are missing. Please run:", file=sys.stderr)  # noqa: T201
    print(f"  sudo apt-get update && sudo apt-get install -y {' '.join(packages)}", file=sys.stderr)  # noqa: T201
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "run"))
