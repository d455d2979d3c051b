"""The schema of the public document, made from the shapes and tables that ``read_document`` reads by."""

from collections.abc import Mapping
from typing import Any

from tuning.engine import document, validate
from tuning.engine.case import ADJUSTER_UNITS, DISCIPLINES, REAR_ARCHITECTURES
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES, Quantity
from tuning.engine.schemas.tables import DRAFT
from tuning.engine.shape import Shape
from tuning.engine.units import CANONICAL, UNITS, units_of
from tuning.engine.vocabulary import ANSWERS, PER_END

_TYPES: Mapping[str, Any] = {
    "text": "string",
    "number": "number",
    "number or null": ["number", "null"],
    "integer": "integer",
    "list": "array",
    "object": "object",
}


def document_schema() -> dict[str, Any]:
    """Return the JSON Schema of the public document, schema 2."""
    rows = {"type": "array", "maxItems": validate.MOST_ROWS}
    return {
        "$schema": DRAFT,
        "title": "One bike, loaded one way, with its readings and settings",
        **object_of(
            document.DOCUMENT,
            {
                "schema": {"const": document.DOCUMENT_SCHEMA},
                "$schema": {"description": "For editors; not read."},
                "discipline": {"enum": list(DISCIPLINES)},
                "front_architecture": {"enum": list(validate.FRONTS)},
                "rear_architecture": {"enum": list(REAR_ARCHITECTURES)},
                "load_state": {"enum": list(LOAD_STATES), "default": "solo"},
                "readings": {**rows, "items": {"$ref": "#/$defs/reading"}},
                "adjusters": {**rows, "items": {"$ref": "#/$defs/adjuster"}},
                "answers": _answers(),
                "tyre_size": _by_end({"type": "string", "maxLength": validate.LONGEST_TYRE_SIZE}),
                "leverage_table": {"$ref": "#/$defs/leverage_table"},
                "settle_frames": _by_end({"$ref": "#/$defs/settle_frames"}),
            },
        ),
        "$defs": {
            "reading": _reading(),
            "adjuster": _adjuster(),
            "leverage_table": _table(
                "Rear wheel travel from topped out, rising; wheel travel over shock stroke.",
                validate.FEWEST_LEVERAGE,
                [{"type": "number", "minimum": 0}, _within(validate.RATIO_LIMITS)],
            ),
            "settle_frames": _table(
                "Time in s, rising; height of one point in the unit told.",
                validate.FEWEST_FRAMES,
                [_within(validate.TIME_LIMITS), {"type": "number"}],
            ),
        },
    }


def _within(limits: tuple[float, float]) -> dict[str, Any]:
    return {"type": "number", "minimum": limits[0], "maximum": limits[1]}


def object_of(shape: Shape, more: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Return the schema of an object of this shape, with what ``more`` says of its fields."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(shape.required),
        "properties": {name: {"type": _TYPES[kind], **more.get(name, {})} for name, kind in shape.fields.items()},
    }


def _by_end(of: Mapping[str, Any]) -> dict[str, Any]:
    return {"additionalProperties": False, "properties": {end: dict(of) for end in ENDS}}


def _answers() -> dict[str, Any]:
    keys = {
        f"{question}.{end}" if end else question: {"enum": list(values)}
        for question, values in ANSWERS.items()
        for end in (ENDS if question in PER_END else ("",))
    }
    return {"additionalProperties": False, "properties": keys}


def _reading() -> dict[str, Any]:
    return {
        "description": "One measured number with its unit; what it is of decides which units and limits hold.",
        **object_of(
            document.READING,
            {
                "quantity": {"enum": list(QUANTITIES)},
                "unit": {"enum": list(UNITS)},
                "half_width": {
                    "minimum": 0,
                    "description": "In the same unit; the quantity's usual one if left out.",
                },
                "end": {"enum": ["", *ENDS]},
                "leg": {"enum": ["", *LEGS]},
                "load_state": {
                    "enum": ["", *LOAD_STATES],
                    "description": "Lengths without one are of the bike alone, or of the document's load_state.",
                },
                "approach": {"enum": list(APPROACHES), "default": "as_is"},
                "repeat": {"minimum": 1, "maximum": validate.MOST_REPEATS, "default": 1},
            },
        ),
        "allOf": [_of_quantity(spec) for spec in QUANTITIES.values()],
    }


def _of_quantity(spec: Quantity) -> dict[str, Any]:
    """Return which units, ends and legs a quantity takes, and its limits where it is given in the canonical unit."""
    canonical = CANONICAL[spec.dimension]
    then: dict[str, Any] = {
        "properties": {
            "unit": {"enum": list(units_of(spec.dimension))},
            "end": {"enum": list(ENDS) if spec.per_end else [""]},
            **({} if spec.per_leg else {"leg": {"enum": [""]}}),
        },
        "if": {"properties": {"unit": {"const": canonical}}, "required": ["unit"]},
        "then": {
            "properties": {
                "value": {"minimum": spec.low, "maximum": spec.high},
                "half_width": {"maximum": spec.high},
            }
        },
    }
    if spec.per_end:
        then["required"] = ["end"]
    return {"if": {"properties": {"quantity": {"const": spec.id}}, "required": ["quantity"]}, "then": then}


def _adjuster() -> dict[str, Any]:
    found_low, found_high = validate.FOUND_LIMITS
    return {
        "description": "One adjuster and where it stands; damping is counted out from fully closed.",
        **object_of(
            document.ADJUSTER,
            {
                "key": {"enum": list(document.ADJUSTER_KEYS), "description": "end.kind, or end.kind.leg"},
                "unit": {"enum": list(ADJUSTER_UNITS)},
                "found": {"minimum": found_low, "maximum": found_high},
                "half_width": {"minimum": validate.HALF_WIDTH_LIMITS[0], "maximum": validate.HALF_WIDTH_LIMITS[1]},
                "range_counted": {"exclusiveMinimum": validate.RANGE_LIMITS[0], "maximum": validate.RANGE_LIMITS[1]},
                "counted_from": {"enum": list(validate.COUNTED_FROM), "default": "closed"},
                "step_mm": {
                    "exclusiveMinimum": validate.STEP_LIMITS[0],
                    "maximum": validate.STEP_LIMITS[1],
                    "description": "What one unit moves the spring's seat by.",
                },
            },
        ),
    }


def _table(description: str, fewest: int, columns: list[dict[str, Any]]) -> dict[str, Any]:
    pair = {"type": "array", "prefixItems": columns, "items": False, "minItems": 2}
    return {
        "description": description,
        **object_of(
            document.TABLE,
            {
                "unit": {"enum": list(units_of("length"))},
                "rows": {"minItems": fewest, "maxItems": validate.MOST_PAIRS, "items": pair},
            },
        ),
    }
