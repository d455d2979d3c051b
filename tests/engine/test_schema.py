"""The schemas shipped: not stale, valid themselves, and never stricter than what reads the document."""

import copy
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator

from tests.engine.documents import EXAMPLES, JUNK, SOUND, example, spoilt
from tuning.engine.derive import derive
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.quantities import QUANTITIES
from tuning.engine.schemas import FOLDER, NAMES, load, made, text
from tuning.engine.serial import derivation_to_json

SLOW = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
DOCUMENT, DERIVATION = (Draft202012Validator(load(name)) for name in ("document", "derivation"))


@pytest.mark.parametrize("name", NAMES)
def test_the_file_is_what_the_tables_make(name: str) -> None:
    stale = "python -m tuning.engine.schemas writes it again"
    assert (FOLDER / f"{name}.json").read_text(encoding="utf-8") == text(made(name)), stale


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_is_one(name: str) -> None:
    Draft202012Validator.check_schema(load(name))


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_examples_are_valid(name: str) -> None:
    DOCUMENT.validate(example(name))


def test_every_quantity_is_in_the_schema() -> None:
    cases = load("document")["$defs"]["reading"]["allOf"]
    assert [one["if"]["properties"]["quantity"]["const"] for one in cases] == list(QUANTITIES)


@SLOW
@given(SOUND)
def test_sound_documents_are_valid(document: dict[str, Any]) -> None:
    DOCUMENT.validate(document)


def _refused(document: object) -> bool:
    try:
        read_document(document)
    except EngineInputError:
        return True
    return False


@pytest.mark.slow
@SLOW
@given(spoilt())
def test_what_the_schema_refuses_is_refused(document: object) -> None:
    if not DOCUMENT.is_valid(document):
        assert _refused(document)


@SLOW
@given(JUNK)
def test_the_schema_refuses_junk(document: object) -> None:
    assert not DOCUMENT.is_valid(document)
    assert _refused(document)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("readings", 0, "unit"), "kg"),
        (("readings", 0, "unit"), "ell"),
        (("readings", 0, "end"), ""),
        (("readings", 0, "quantity"), "girth"),
        (("readings", 0, "value"), "5 1/8"),
        (("readings", 0, "half_width"), -1),
        (("readings", 0, "leg"), "left"),
        (("readings", 10, "value"), 80),
        (("readings", 10, "end"), "front"),
        (("adjusters", 0, "key"), "middle.rebound"),
        (("adjusters", 1, "step_mm"), 0),
        (("answers", "bottomed"), "no"),
        (("tyre_size", "middle"), "120/70-17"),
        (("leverage_table",), {"unit": "mm", "rows": [[0, 3]]}),
        (("leverage_table",), {"unit": "mm", "rows": [[0, 3], [9, 3, 1]]}),
        (("settle_frames",), {"front": {"rows": []}}),
        (("schema",), 1),
        (("note",), ""),
    ],
)
def test_both_refuse(path: tuple[str | int, ...], value: object) -> None:
    document: Any = copy.deepcopy(example("inches"))
    holder = document
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    assert not DOCUMENT.is_valid(document)
    assert _refused(document)


def _written(document: dict[str, Any]) -> Any:
    return json.loads(json.dumps(derivation_to_json(derive(read_document(document))), allow_nan=False))


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_derivations_of_examples_are_valid(name: str) -> None:
    made = _written(example(name))
    DERIVATION.validate(made)
    assert made["values"]


@pytest.mark.slow
@SLOW
@given(SOUND)
def test_derivations_are_valid(document: dict[str, Any]) -> None:
    DERIVATION.validate(_written(document))
