"""The schemas of the answers beyond a derivation, made from the classes they are written from."""

from typing import Any

from tuning.engine.answers import ANSWER_SCHEMA
from tuning.engine.curves import POINTS, Curve
from tuning.engine.errors import Fault
from tuning.engine.learn import Compared, Parameter
from tuning.engine.levers import Wish
from tuning.engine.quantities import ENDS
from tuning.engine.schemas.derivations import params, value
from tuning.engine.schemas.tables import DRAFT, Schema, array, closed, row_of
from tuning.engine.solve_answers import SOLUTIONS_SCHEMA, VERDICTS, Outcome, Solutions

_HASH = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_VERSION = {"type": "string", "minLength": 1}
_VALUES = array({"$ref": "#/$defs/value"})


def what_if_schema() -> Schema:
    """Return the JSON Schema of what a change would do."""
    defs: dict[str, Schema] = {"value": value(), "params": params()}
    missing = {
        "description": "By end, the readings without which nothing is foretold of it.",
        **_by_end(array({"type": "string"})),
    }
    return {
        "$schema": DRAFT,
        "title": "What a change would do: foretold before and after, and after less before",
        **closed(
            schema={"const": ANSWER_SCHEMA},
            engine_version=_VERSION,
            input_hash=_HASH,
            set=array(row_of(Wish, defs)),
            before=_VALUES,
            after=_VALUES,
            difference=_VALUES,
            missing=missing,
        ),
        "$defs": defs,
    }


def _by_end(of: Schema) -> Schema:
    return {"type": "object", "additionalProperties": False, "properties": dict.fromkeys(ENDS, of)}


def learned_schema() -> Schema:
    """Return the JSON Schema of what the rounds of one bike teach."""
    defs: dict[str, Schema] = {}
    widths: dict[str, Any] = {"half_width": {"minimum": 0}}
    least = {"type": "integer", "minimum": 1}
    return {
        "$schema": DRAFT,
        "title": "What the rounds of one bike teach",
        **closed(
            schema={"const": ANSWER_SCHEMA},
            engine_version=_VERSION,
            rounds=least,
            parameters={
                "type": "object",
                "additionalProperties": row_of(Parameter, defs, before_half_width={"minimum": 0}, **widths),
            },
            readings=array(row_of(Compared, defs, round=least, **widths)),
            misfit={
                "description": "χ² of the whole, its degrees of freedom, and what 1 in 100 exceeds by chance.",
                **closed(value={"type": "number", "minimum": 0}, freedom=least, most={"type": "number"}),
            },
            contradicts={"type": "boolean"},
            suspects={
                "description": "Readings further off than chance lets them, worst first.",
                **array(closed(round=least, key={"type": "string"})),
            },
        ),
    }


def curves_schema() -> Schema:
    """Return the JSON Schema of force over travel."""
    points = {"minItems": POINTS, "maxItems": POINTS}
    rest = {"type": ["number", "null"]}
    curve = row_of(Curve, {}, end={"enum": list(ENDS)}, travel=points, force=points, alone=rest, aboard=rest)
    return {
        "$schema": DRAFT,
        "title": "Force over travel of each end",
        **closed(schema={"const": ANSWER_SCHEMA}, curves=array(curve)),
    }


def solutions_schema() -> Schema:
    """Return the JSON Schema of the solver's answers."""
    defs: dict[str, Schema] = {}
    verdict = {"enum": [*VERDICTS, None]}
    widths = {name: {"type": ["number", "null"], "minimum": 0} for name in ("half_width", "other_half_width")}
    defs["outcome"] = row_of(Outcome, defs, verdict=verdict, miss={"minimum": 0}, **widths)
    whole = row_of(Solutions, defs, engine_version=_VERSION, input_hash=_HASH)
    whole["required"].insert(0, "schema")
    whole["properties"] = {"schema": {"const": SOLUTIONS_SCHEMA}, **whole["properties"]}
    return {"$schema": DRAFT, "title": "Changes that meet all targets, or why none do", **whole, "$defs": defs}


def faults_schema() -> Schema:
    """Return the JSON Schema of a refusal as the shell tells it."""
    anything = {"type": ["null", "boolean", "number", "string", "array"]}
    row = row_of(Fault, {}, value=anything, params={"type": "object"})
    faults = {**array(row), "minItems": 1}
    return {"$schema": DRAFT, "title": "Everything that is wrong with what was asked", **closed(faults=faults)}
