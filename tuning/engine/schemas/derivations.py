"""The schema of a derivation as ``derivation_to_json`` writes it, made from the engine's own tables."""

from typing import Any

from tuning.engine.checks import CHECK_IDS
from tuning.engine.derivation import STATUSES
from tuning.engine.formulas import FORMULAS
from tuning.engine.quantities import ENDS
from tuning.engine.schemas.tables import DRAFT, closed
from tuning.engine.serial import DERIVATION_SCHEMA

VERDICTS = ("passes", "second_look", "blocks")
_KEY = r"^[a-z0-9_]+(\.[a-z0-9_]+)*$"
#: Statuses that come without a number; all others have one.
_NUMBERLESS = ("cannot_state", "refused")


def derivation_schema() -> dict[str, Any]:
    """Return the JSON Schema of a derivation, schema 1."""
    return {
        "$schema": DRAFT,
        "title": "All that the engine has to say about one case",
        **closed(
            schema={"const": DERIVATION_SCHEMA},
            engine_version={"type": "string", "minLength": 1},
            input_hash={"type": "string", "pattern": "^[0-9a-f]{64}$"},
            values={"type": "array", "items": {"$ref": "#/$defs/value"}},
            checks={"type": "array", "items": {"$ref": "#/$defs/check"}},
        ),
        "$defs": {"value": value(), "check": _check(), "params": params()},
    }


def value() -> dict[str, Any]:
    """Return the schema of one derived value; its params are ``#/$defs/params``."""
    share = {"type": "number", "minimum": 0, "maximum": 1}
    return {
        "description": "One derived value. half_width: of the 95 % interval, in the same unit.",
        **closed(
            key={"type": "string", "pattern": _KEY},
            value={"type": ["number", "null"]},
            half_width={"type": ["number", "null"], "minimum": 0},
            unit={"type": "string", "minLength": 1},
            status={"enum": list(STATUSES)},
            formula={"enum": sorted(FORMULAS)},
            contributions={
                "description": "Shares of the variance by reading, largest first.",
                "type": "array",
                "items": {
                    "type": "array",
                    "prefixItems": [{"type": "string", "minLength": 1}, share],
                    "items": False,
                    "minItems": 2,
                },
            },
            params={"$ref": "#/$defs/params"},
        ),
        "if": {"properties": {"status": {"enum": list(_NUMBERLESS)}}},
        "then": {"properties": {"value": {"type": "null"}}},
        "else": {"properties": {"value": {"type": "number"}}},
    }


def _check() -> dict[str, Any]:
    return {
        "description": "One test of the readings. again: the readings to take again, as quantity.end.",
        **closed(
            id={"enum": list(CHECK_IDS)},
            verdict={"enum": list(VERDICTS)},
            end={"enum": ["", *ENDS]},
            again={"type": "array", "items": {"type": "string", "pattern": _KEY}},
            params={"$ref": "#/$defs/params"},
        ),
    }


def params() -> dict[str, Any]:
    """Return the schema of what a wording needs."""
    plain = ["string", "number", "boolean", "null"]
    return {
        "description": "Numbers and ids that the wording needs.",
        "type": "object",
        "additionalProperties": {"type": [*plain, "array", "object"]},
    }
