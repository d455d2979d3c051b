"""JSON Schemas (draft 2020-12) of the public document and of a derivation, made from the engine's own tables.

``document.json`` and ``derivation.json`` beside this file are what ``document_schema`` and ``derivation_schema``
return; ``python -m tuning.engine.schemas`` writes them again. A schema says what a document looks like; what its
numbers must be among themselves, in whatever units, only ``read_document`` says. It refuses all that the schema does.
"""

import json
from pathlib import Path
from typing import Any

from tuning.engine.schemas.derivations import derivation_schema as derivation_schema
from tuning.engine.schemas.documents import document_schema as document_schema

FOLDER = Path(__file__).parent
NAMES = ("document", "derivation")


def made(name: str) -> dict[str, Any]:
    """Return a schema as the engine's tables have it now."""
    return document_schema() if name == "document" else derivation_schema()


def text(schema: dict[str, Any]) -> str:
    """Return a schema as its file holds it."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def load(name: str) -> dict[str, Any]:
    """Return the schema shipped under this name, one of NAMES."""
    schema: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return schema
