"""JSON Schemas (draft 2020-12) of what the engine is asked and of what it answers, made from its own tables.

``document.json`` and the others beside this file are what MADE returns; ``python -m tuning.engine.schemas`` writes
them again. They refer to each other by file name. A schema says what a document looks like; what its numbers must be
among themselves, in whatever units, only ``read_document`` says. It refuses all that the schema does.
"""

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from tuning.engine.schemas.answers import (
    curves_schema,
    faults_schema,
    learned_schema,
    solutions_schema,
    what_if_schema,
)
from tuning.engine.schemas.derivations import derivation_schema as derivation_schema
from tuning.engine.schemas.documents import document_schema as document_schema
from tuning.engine.schemas.requests import problem_schema, rounds_schema, what_if_request_schema

FOLDER = Path(__file__).parent
#: What makes each schema, by name: the questions, then the answers.
MADE: Mapping[str, Callable[[], dict[str, Any]]] = MappingProxyType(
    {
        "document": document_schema,
        "whatif-request": what_if_request_schema,
        "problem": problem_schema,
        "rounds": rounds_schema,
        "derivation": derivation_schema,
        "whatif": what_if_schema,
        "solutions": solutions_schema,
        "learned": learned_schema,
        "curves": curves_schema,
        "faults": faults_schema,
    }
)
NAMES = tuple(MADE)


def made(name: str) -> dict[str, Any]:
    """Return a schema as the engine's tables have it now."""
    return MADE[name]()


def text(schema: dict[str, Any]) -> str:
    """Return a schema as its file holds it."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def load(name: str) -> dict[str, Any]:
    """Return the schema shipped under this name, one of NAMES."""
    schema: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return schema
