"""The schemas of what is asked beyond one document: a change to try, targets to meet, the rounds of one bike."""

from typing import Any

from tuning.engine import asked, solve_problem
from tuning.engine.document import ADJUSTER_KEYS, DOCUMENT
from tuning.engine.levers import LEVERS
from tuning.engine.schemas.tables import DRAFT, Schema, array, closed
from tuning.engine.shape import MOST_MEMBERS, Shape

_DOCUMENT = {"$ref": "document.json"}
_NOT_READ = {"type": "string", "description": "For editors; not read."}
#: As ``levers.wish`` reads it; blanks are passed over.
_SIGNED = r"^ *([+\-−] *)?[0-9][0-9 ]*([.,] *[0-9][0-9 ]*)?$"


def what_if_request_schema() -> Schema:
    """Return the JSON Schema of a change to try on a bike."""
    number = {
        "description": 'A number is where the lever is to stand; a text with a sign is by how much it moves: "+6".',
        "anyOf": [{"type": "number"}, {"type": "string", "pattern": _SIGNED}],
    }
    units = ", ".join(f"{lever.name} {lever.unit}" for lever in LEVERS.values())
    wishes = {
        "description": f"By lever ({units}), or by the key of one of the document's adjusters, in its own unit.",
        "type": "object",
        "propertyNames": {"enum": [*LEVERS, *ADJUSTER_KEYS]},
        "additionalProperties": number,
        "minProperties": 1,
        "maxProperties": MOST_MEMBERS,
    }
    members = {"document": _DOCUMENT, "set": wishes, "$schema": _NOT_READ}
    return {"$schema": DRAFT, "title": "A bike and what is to be changed on it", **_told(asked.WHAT_IF, members)}


def rounds_schema() -> Schema:
    """Return the JSON Schema of the rounds of one bike."""
    rounds = {**array(_DOCUMENT), "minItems": 1, "maxItems": asked.MOST_ROUNDS}
    members = {"rounds": rounds, "$schema": _NOT_READ}
    return {"$schema": DRAFT, "title": "The rounds of one bike, in their order", **_told(asked.ROUNDS, members)}


def _told(shape: Shape, members: dict[str, Any]) -> Schema:
    return {**closed(**members), "required": list(shape.required)}


def problem_schema() -> Schema:
    """Return the JSON Schema of a problem: a document, targets, and what may be changed by whom."""
    document = {name: {"$ref": f"document.json#/properties/{name}"} for name in DOCUMENT.fields}
    rates = {
        "type": "array",
        "maxItems": solve_problem.MOST_RATES,
        "items": {"type": "number", "exclusiveMinimum": 0, "maximum": LEVERS["front.spring_rate"].most},
    }
    ranges = {
        name: {
            "type": "array",
            "items": {"type": "number", "minimum": low, "maximum": high},
            "minItems": 2,
            "maxItems": 2,
        }
        for name, (low, high) in solve_problem.RANGES.items()
    }
    low, high = solve_problem.PLACE_LIMITS
    places = {name: {"type": ["number", "null"], "minimum": low, "maximum": high} for name in solve_problem.PLACES}
    targets = {
        "description": "Where values are to come to, by key, in the unit told.",
        "type": "object",
        "additionalProperties": False,
        "minProperties": 1,
        "properties": {
            key: {"$ref": "#/$defs/band", "description": unit} for key, unit in solve_problem.TARGETS.items()
        },
    }
    client = {
        "skill": {"type": "string", "enum": list(solve_problem.SKILLS), "default": solve_problem.SKILLS[0]},
        "budget": {"type": "string", "enum": list(solve_problem.BUDGETS), "default": solve_problem.BUDGETS[0]},
    }
    return {
        "$schema": DRAFT,
        "title": "A bike, where its values are to come to, and what may be changed by whom",
        "type": "object",
        "additionalProperties": False,
        "required": [*DOCUMENT.required, "targets"],
        "properties": {
            **document,
            "targets": targets,
            "parts": {
                "description": "Rates of springs that can be bought, N/mm, of one spring.",
                **_open(front_rates=rates, rear_rates=rates),
            },
            "limits": {
                "description": "How far levers may go where adjusters do not tell: least and greatest, mm or kPa.",
                **_open(**ranges, **places),
            },
            "client": {"description": "What the client can do, and what may be paid for.", **_open(**client)},
        },
        "$defs": {
            "band": {
                "description": "Least and greatest value; null or left out: no bound on that side.",
                **_open(low={"type": ["number", "null"]}, high={"type": ["number", "null"]}),
                "anyOf": [{"required": [side], "properties": {side: {"type": "number"}}} for side in ("low", "high")],
            }
        },
    }


def _open(**properties: Any) -> Schema:
    """Return the schema of an object with no members but these, any of which may be left out."""
    return {"type": "object", "additionalProperties": False, "properties": properties}
