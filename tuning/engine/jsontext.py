"""JSON text read strictly (RFC 8259): bounded in size and depth, and no name told twice in one object.

The standard library's reader takes the last of two like names in silence and is stopped by depth only where the
interpreter is; both are looked for in the text itself, which also tells the line.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.validate import told

#: Most characters of a text, and most objects and lists inside each other.
MOST_CHARACTERS = 1_000_000
MOST_DEEP = 12
#: Whole numbers longer than this are read as floats: exact conversion takes time that grows with their square.
_LONGEST_INTEGER = 40
# Possessive, so that a string that never ends is given up at once.
_TOKEN = re.compile(r'("(?:[^"\\]++|\\.)*+")(\s*+:)?|[\[\]{},]', re.DOTALL)


def parse_text(text: str | bytes) -> Any:
    """Return what a JSON text (UTF-8 where bytes) says.

    Numbers that no double holds, NaN and Infinity come out as such: ``read_document`` refuses them where they stand.
    Raises EngineInputError with a fault's line and column: ``not_utf8``, ``not_json``, ``too_long``, ``too_deep``,
    or ``told_twice`` for each name that stands twice in one object.
    """
    found, faults = parse(text)
    if faults:
        raise EngineInputError(faults)
    return found


def parse(text: str | bytes) -> tuple[Any, list[Fault]]:
    """Return what a text says, and the names told twice. Raises EngineInputError for a text that says nothing."""
    plain = _decoded(text).removeprefix("\ufeff")
    if len(plain) > MOST_CHARACTERS:
        raise EngineInputError([Fault("", len(plain), "too_long", {"most": MOST_CHARACTERS})])
    _require_flat(plain)
    try:
        found = json.loads(plain, parse_int=_whole)
    except json.JSONDecodeError as error:
        params = {"line": error.lineno, "column": error.colno, "wanted": error.msg}
        raise EngineInputError([Fault("", told(plain[error.pos : error.pos + 20]), "not_json", params)]) from None
    return found, list(_told_twice(plain))


def _decoded(text: str | bytes) -> str:
    if isinstance(text, str):
        return text
    try:
        return text.decode()
    except UnicodeDecodeError as error:
        before = text[: error.start]
        params = {"line": before.count(b"\n") + 1, "column": error.start - before.rfind(b"\n")}
        raise EngineInputError([Fault("", f"byte {text[error.start]:#04x}", "not_utf8", params)]) from None


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= _LONGEST_INTEGER else float(digits)


def _place(text: str, position: int) -> dict[str, object]:
    return {"line": text.count("\n", 0, position) + 1, "column": position - text.rfind("\n", 0, position)}


def _require_flat(text: str) -> None:
    depth = 0
    for token in _TOKEN.finditer(text):
        if token[0] in "[{":
            depth += 1
            if depth > MOST_DEEP:
                params = {"most": MOST_DEEP, **_place(text, token.start())}
                raise EngineInputError([Fault("", token[0], "too_deep", params)])
        elif token[0] in "]}":
            depth -= 1


def _told_twice(text: str) -> Iterator[Fault]:
    """Yield each name that stands a second time in its object. The text is known to be JSON."""
    # One entry per open object or list: the path to it, the names seen (None in a list), the member it is at.
    open_: list[tuple[str, dict[str, int] | None]] = []
    at: list[str | int] = []
    for token in _TOKEN.finditer(text):
        mark = token[0]
        if mark in ("{", "["):
            open_.append((_path(open_, at), {} if mark == "{" else None))
            at.append("" if mark == "{" else 0)
        elif mark in ("}", "]"):
            open_.pop()
            at.pop()
        elif mark == ",":
            last = at[-1]
            at[-1] = last + 1 if isinstance(last, int) else last
        elif token[2] and open_[-1][1] is not None:
            name = str(json.loads(token[1]))
            at[-1] = name
            seen = open_[-1][1]
            if name in seen:
                place = _place(text, token.start())
                yield Fault(_path(open_, at), told(name), "told_twice", {**place, "first_line": seen[name]})
            else:
                seen[name] = text.count("\n", 0, token.start()) + 1


def _path(open_: list[tuple[str, dict[str, int] | None]], at: list[str | int]) -> str:
    """Return the path of the member that the innermost object or list is at."""
    if not open_:
        return ""
    path, member = open_[-1][0], at[-1]
    if isinstance(member, int):
        return f"{path}[{member}]"
    return f"{path}.{told(member)}" if path else str(told(member))
