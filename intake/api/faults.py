"""One shape for everything that is wrong with a call: ``{"faults": [{path, value, reason, message}, …]}``."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from rest_framework.exceptions import APIException, ErrorDetail, ValidationError

Fault = dict[str, Any]

#: What is echoed of a wrong value is cut to this many characters.
ECHOED = 100
#: A document that is wrong in more places than this is answered with the first ones.
MOST = 200


def fault(path: str, value: object, reason: str, message: object) -> Fault:
    """Return one fault. ``path`` is dotted, with indices: ``readings[3].value``, or "" for the whole."""
    return {"path": path, "value": echo(value), "reason": reason, "message": scrub(str(message))}


def echo(value: object) -> str | int | float | bool | None:
    """Return what stood there, fit to be shown: JSON can carry it, and it is not longer than need be."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        return value if abs(value) < 2**53 else scrub(f"{value:.6e}" if abs(value) < 10**300 else "…")
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    if isinstance(value, Mapping):
        return "{…}"
    if isinstance(value, list | tuple):
        return "[…]"
    return scrub(str(value))


def scrub(text: str) -> str:
    """Return text without what JSON or a terminal cannot take: lone surrogates and control characters. A space that
    does not break, as between a number and its unit, becomes a plain one."""
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    kept = "".join(
        letter if letter.isprintable() or letter == " " else "\N{REPLACEMENT CHARACTER}" for letter in text
    )
    return kept if len(kept) <= 4 * ECHOED else kept[: 4 * ECHOED] + "…"


def from_serializer(errors: object, data: object) -> list[Fault]:
    """Flatten a serializer's errors; ``data`` is what was sent, so that each fault can show its value."""
    return list(_walk(errors, data, ""))[:MOST]


def _walk(errors: object, data: object, path: str) -> Iterator[Fault]:
    if isinstance(errors, Mapping):
        for key, inner in errors.items():
            if key == "non_field_errors":
                yield from _walk(inner, data, path)
            elif isinstance(key, int):
                yield from _walk(inner, _at(data, key), f"{path}[{key}]")
            else:
                yield from _walk(inner, _at(data, key), f"{path}.{key}" if path else str(key))
    elif isinstance(errors, ErrorDetail | str):
        yield fault(path, data, str(getattr(errors, "code", "") or "invalid"), errors)
    elif isinstance(errors, Sequence):
        for index, inner in enumerate(errors):
            # A list of texts tells of one value; a list of objects tells of a list's members, in their order.
            if isinstance(inner, ErrorDetail | str):
                yield from _walk(inner, data, path)
            elif inner:
                yield from _walk(inner, _at(data, index), f"{path}[{index}]")


def _at(data: object, key: object) -> object:
    if isinstance(data, Mapping):
        return data.get(key)
    if isinstance(data, list) and isinstance(key, int) and key < len(data):
        return data[key]
    return None


def prefixed(prefix: str, faults: Iterable[Fault]) -> list[Fault]:
    """Return the faults with their paths hung under ``prefix``."""
    return [one | {"path": f"{prefix}.{one['path']}" if one["path"] else prefix} for one in faults]


class Faulty(ValidationError):
    """Faults found beyond the serializer, already in the one shape."""

    def __init__(self, faults: Iterable[Fault], status: int = 400) -> None:
        super().__init__()
        self.faults = list(faults)[:MOST]
        self.status_code = status


class Conflict(APIException):
    """The step does not fit the state things are in now."""

    status_code = 409

    def __init__(self, reason: str, message: object, path: str = "", value: object = None) -> None:
        super().__init__(str(message), reason)
        self.faults = [fault(path, value, reason, message)]


def of(exc: APIException, data: object = None) -> list[Fault]:
    """Return the faults of any API error."""
    known = getattr(exc, "faults", None)
    if known is not None:
        return list(known)
    if isinstance(exc, ValidationError):
        return from_serializer(exc.detail, data)
    codes = exc.get_codes()
    return [fault("", None, codes if isinstance(codes, str) else "error", exc.detail)]
