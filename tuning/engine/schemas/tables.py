"""The schema of a frozen dataclass as ``dataclasses.asdict`` writes it, from its fields' types and its docstring."""

import inspect
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_origin, get_type_hints

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]
_PLAIN: Mapping[Any, str] = {str: "string", float: "number", int: "integer", bool: "boolean", type(None): "null"}


def closed(**properties: Any) -> Schema:
    """Return the schema of an object with just these members, all of them there."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(properties),
        "properties": properties,
    }


def row_of(kind: type[Any], defs: dict[str, Schema], **more: Schema) -> Schema:
    """Return the schema of a dataclass; those inside it are added to ``defs`` under their names in lower case.

    ``more``: by field's name, what is known of it beyond its type; with a "type" of its own it stands alone.
    """
    hints = get_type_hints(kind)
    members = {}
    for field in fields(kind):
        own = more.get(field.name, {})
        alone = own.keys() & {"type", "$ref", "enum", "const", "anyOf"}
        members[field.name] = own if alone else {**_of(hints[field.name], defs), **own}
    said = inspect.cleandoc(kind.__doc__ or "").split("\n\n")
    return {"description": "\n".join(" ".join(part.split()) for part in said), **closed(**members)}


def array(of: Schema) -> Schema:
    return {"type": "array", "items": of}


def _of(hint: Any, defs: dict[str, Schema]) -> Schema:
    if hint in _PLAIN:
        return {"type": _PLAIN[hint]}
    if is_dataclass(hint) and isinstance(hint, type):
        name = hint.__name__.lower()
        if name not in defs:
            defs[name] = {}
            defs[name].update(row_of(hint, defs))
        return {"$ref": f"#/$defs/{name}"}
    origin, parts = get_origin(hint), get_args(hint)
    if origin is types.UnionType:
        each = [_of(part, defs) for part in parts]
        if all(set(one) == {"type"} for one in each):
            return {"type": [one["type"] for one in each]}
        return {"anyOf": each}
    if origin is tuple and len(parts) == 2 and parts[1] is Ellipsis:
        return array(_of(parts[0], defs))
    if origin is tuple:
        return {
            "type": "array",
            "prefixItems": [_of(part, defs) for part in parts],
            "items": False,
            "minItems": len(parts),
        }
    if origin is Mapping:
        return {"type": "object", "additionalProperties": _of(parts[1], defs)}
    if hint is object:
        return {}
    raise TypeError(f"{hint} has no place in a schema")
