"""Cases and derivations as JSON documents, and the hash a case is known by."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derivation import Check, Derivation, Derived
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.shape import is_number, pairs_of
from tuning.engine.validate import told

CASE_SCHEMA = 1
DERIVATION_SCHEMA = 1
#: Fields younger than stored cases: left out while empty, so that the hash of an old case stays what it was.
_YOUNGER = ("leverage_table", "settle_frames")


def case_to_json(case: Case) -> dict[str, Any]:
    """Return a case as plain JSON values, canonical units throughout."""
    document = {"schema": CASE_SCHEMA} | {name: plain(getattr(case, name)) for name in _CASE_FIELDS}
    for name in _YOUNGER:
        if not document[name]:
            del document[name]
    return document


#: Field names, looked up once: cases are hashed by the thousand.
_CASE_FIELDS = tuple(field.name for field in fields(Case))
_ROW_FIELDS = {kind: tuple(field.name for field in fields(kind)) for kind in (Reading, Adjuster)}


def plain(value: Any) -> Any:
    if isinstance(value, (str, int, float)) or value is None:
        return value
    names = _ROW_FIELDS.get(type(value))
    if names is not None:
        return {name: getattr(value, name) for name in names}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    return value


_canonical = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode


def _in_order(row: Mapping[str, Any]) -> str:
    """Return a text that sorts as the reading's JSON, names in order, does: without writing that JSON a row."""
    return (
        f'{row["approach"]}"{row["end"]}"{row["half_width"]},{row["leg"]}"'
        f'{row["load_state"]}"{row["quantity"]}"{row["repeat"]},{row["value"]}'
    )


def input_hash(case: Case) -> str:
    """Return the SHA-256 of a case's canonical JSON; the order in which readings were taken does not matter."""
    document = case_to_json(case)
    document["readings"].sort(key=_in_order)
    document["adjusters"].sort(key=lambda row: str(row["key"]))
    return hashlib.sha256(_canonical(document).encode()).hexdigest()


def _build(kind: type[Any], row: Any, path: str, faults: list[Fault]) -> Any | None:
    if not isinstance(row, Mapping):
        faults.append(Fault(path, told(row), "not_an_object"))
        return None
    known = {f.name: f for f in fields(kind)}
    found = len(faults)
    for name in row:
        if name not in known:
            faults.append(Fault(f"{path}.{told(name)}", told(row[name]), "unknown_field", {"known": tuple(known)}))
    for name, spec in known.items():
        if name not in row:
            continue
        wanted = str(spec.type)
        value = row[name]
        number = is_number(value)
        fits = (
            (wanted.startswith("<class 'str'") and isinstance(value, str))
            or (wanted.startswith("<class 'int'") and isinstance(value, int) and not isinstance(value, bool))
            or (wanted.startswith("<class 'float'") and number)
            or (wanted == "float | None" and (number or value is None))
        )
        if not fits:
            faults.append(Fault(f"{path}.{name}", told(value), "wrong_type", {"wanted": wanted}))
    if len(faults) > found:
        return None
    try:
        return kind(**row)
    except TypeError:
        missing = [name for name in known if name not in row]
        faults.append(Fault(path, told(row), "missing_field", {"missing": tuple(missing)}))
        return None


def _sound(rows: Iterable[tuple[float, float] | None]) -> tuple[tuple[float, float], ...]:
    return tuple(row for row in rows if row is not None)


def case_from_json(document: Any) -> Case:
    """Return the case a document describes. Raises EngineInputError listing every fault with its path."""
    faults: list[Fault] = []
    if not isinstance(document, Mapping):
        raise EngineInputError([Fault("", told(document), "not_an_object")])
    if document.get("schema") != CASE_SCHEMA:
        faults.append(Fault("schema", told(document.get("schema")), "unknown_schema", {"known": (CASE_SCHEMA,)}))
    rows: dict[str, tuple[Any, ...]] = {}
    for name, kind in (("readings", Reading), ("adjusters", Adjuster)):
        given = document.get(name, [])
        if not isinstance(given, list):
            faults.append(Fault(name, told(given), "not_a_list"))
            given = []
        built = [_build(kind, row, f"{name}[{index}]", faults) for index, row in enumerate(given)]
        rows[name] = tuple(row for row in built if row is not None)
    texts = ("discipline", "front_architecture", "rear_architecture", "load_state")
    for name in texts:
        if not isinstance(document.get(name, "solo" if name == "load_state" else None), str):
            faults.append(Fault(name, told(document.get(name)), "wrong_type", {"wanted": "text"}))
    maps: dict[str, dict[str, str]] = {}
    for name in ("answers", "tyre_size"):
        given = document.get(name, {})
        if not isinstance(given, Mapping) or not all(isinstance(v, str) for v in given.values()):
            faults.append(Fault(name, told(given), "wrong_type", {"wanted": "texts by name"}))
            given = {}
        maps[name] = dict(given)
    table = pairs_of(document.get("leverage_table", []), "leverage_table", faults)
    frames: dict[str, tuple[tuple[float, float], ...]] = {}
    given = document.get("settle_frames", {})
    if isinstance(given, Mapping):
        for end, film in given.items():
            frames[str(end)] = _sound(pairs_of(film, f"settle_frames.{told(end)}", faults))
    else:
        faults.append(Fault("settle_frames", told(given), "not_an_object"))
    for name in document:
        if name not in {"schema", "readings", "adjusters", *texts, *maps, *_YOUNGER}:
            faults.append(Fault(str(told(name)), told(document[name]), "unknown_field"))
    if faults:
        raise EngineInputError(faults)
    return Case(
        discipline=document["discipline"],
        front_architecture=document["front_architecture"],
        rear_architecture=document["rear_architecture"],
        load_state=document.get("load_state", "solo"),
        readings=rows["readings"],
        adjusters=rows["adjusters"],
        answers=maps["answers"],
        tyre_size=maps["tyre_size"],
        leverage_table=_sound(table),
        settle_frames=frames,
    )


def derivation_to_json(derivation: Derivation) -> dict[str, Any]:
    """Return a derivation as plain JSON values."""
    return {
        "schema": DERIVATION_SCHEMA,
        "engine_version": derivation.engine_version,
        "input_hash": derivation.input_hash,
        "values": [plain(asdict(value)) for value in derivation.values.values()],
        "checks": [plain(asdict(check)) for check in derivation.checks],
    }


def derivation_from_json(document: Mapping[str, Any]) -> Derivation:
    """Return the derivation that ``derivation_to_json`` wrote."""
    values = {
        row["key"]: Derived(**{**row, "contributions": tuple((tag, share) for tag, share in row["contributions"])})
        for row in document["values"]
    }
    checks = tuple(Check(**{**row, "again": tuple(row["again"])}) for row in document["checks"])
    return Derivation(document["engine_version"], document["input_hash"], values, checks)
