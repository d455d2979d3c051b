"""Typed, loud readers for settings taken from the environment.

Every reader names the variable and what it wanted when a value does not fit; a secret may also be given
as a file, by the same name with ``_FILE`` appended (the usual way of container secrets).
"""

import os
from collections.abc import Mapping
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE_WORDS = frozenset({"1", "true", "yes", "on"})
FALSE_WORDS = frozenset({"0", "false", "no", "off"})


class Env:
    """Reads settings from a mapping (the process environment unless a test hands in its own)."""

    def __init__(self, source: Mapping[str, str] | None = None) -> None:
        self._source = os.environ if source is None else source

    def text(self, name: str, default: str | None = None) -> str:
        """Return the variable as text. Raises ImproperlyConfigured when it is missing without default."""
        value = self._source.get(name)
        if value is None or value == "":
            if default is None:
                raise ImproperlyConfigured(f"{name} is not set; it has no default")
            return default
        return value

    def secret(self, name: str, default: str | None = None) -> str:
        """Return a secret, from ``NAME`` or from the file named by ``NAME_FILE``; never both."""
        path = self._source.get(f"{name}_FILE", "")
        if not path:
            return self.text(name, default)
        if self._source.get(name):
            raise ImproperlyConfigured(f"set {name} or {name}_FILE, not both")
        try:
            value = Path(path).read_text(encoding="utf-8").strip()
        except OSError as exc:
            raise ImproperlyConfigured(f"{name}_FILE={path!r} cannot be read: {exc.strerror}") from exc
        if not value:
            raise ImproperlyConfigured(f"{name}_FILE={path!r} is empty")
        return value

    def flag(self, name: str, default: bool) -> bool:
        """Return a yes/no setting; anything but the listed words is refused."""
        value = self._source.get(name, "").strip().lower()
        if not value:
            return default
        if value in TRUE_WORDS:
            return True
        if value in FALSE_WORDS:
            return False
        allowed = ", ".join(sorted(TRUE_WORDS | FALSE_WORDS))
        raise ImproperlyConfigured(f"{name}={value!r} is neither yes nor no; use one of {allowed}")

    def integer(self, name: str, default: int, *, at_least: int | None = None) -> int:
        """Return a whole number, optionally bounded from below."""
        raw = self._source.get(name, "")
        if not raw:
            return default
        try:
            value = int(raw)
        except ValueError as exc:
            raise ImproperlyConfigured(f"{name}={raw!r} is not a whole number") from exc
        if at_least is not None and value < at_least:
            raise ImproperlyConfigured(f"{name}={value} is below {at_least}")
        return value

    def listing(self, name: str, default: list[str]) -> list[str]:
        """Return a comma-separated list, blanks stripped and empty entries refused."""
        raw = self._source.get(name, "")
        if not raw:
            return list(default)
        items = [item.strip() for item in raw.split(",")]
        if not all(items):
            raise ImproperlyConfigured(f"{name}={raw!r} has an empty entry; separate entries by one comma")
        return items

    def path(self, name: str, default: Path) -> Path:
        """Return a folder or file name as an absolute path."""
        raw = self._source.get(name, "")
        return (Path(raw) if raw else default).expanduser().resolve()
