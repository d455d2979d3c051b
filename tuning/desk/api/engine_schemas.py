"""The engine's published schemas as parts of the API's description."""

from typing import Any

from tuning.engine import schemas


def _name(schema: str, inside: str = "") -> str:
    return "Engine" + "".join(part.capitalize() for part in (*schema.split("-"), inside))


def component(schema: str) -> dict[str, str]:
    """Return the reference to one of the engine's schemas inside the API's description."""
    return {"$ref": f"#/components/schemas/{_name(schema)}"}


def _here(schema: str, reference: str) -> str:
    """Return where a reference of a schema leads to in the description, whose parts have no schemas of their own."""
    place, _, inside = reference.partition("#")
    part = _name(place.removesuffix(".json") if place else schema)
    if inside.startswith("/$defs/"):
        part, inside = part + inside.removeprefix("/$defs/").capitalize(), ""
    return f"#/components/schemas/{part}{inside}"


def _moved(schema: str, node: Any) -> Any:
    """Return a part of a schema as it stands in the description.

    What holds of some quantities only is left to the published schema: few readers of descriptions know conditions.
    """
    if isinstance(node, dict):
        return {
            key: _here(schema, item) if key == "$ref" and isinstance(item, str) else _moved(schema, item)
            for key, item in node.items()
            if not (key == "allOf" and all("if" in one for one in item))
        }
    return [_moved(schema, item) for item in node] if isinstance(node, list) else node


def components() -> dict[str, Any]:
    """Return all of the engine's schemas and their parts by their names in the description."""
    found = {}
    for name in schemas.NAMES:
        whole = schemas.load(name)
        del whole["$schema"]
        for inside, part in whole.pop("$defs", {}).items():
            found[_name(name, inside)] = _moved(name, part)
        found[_name(name)] = _moved(name, whole)
    return found


def tell_engine(result: dict[str, Any], generator: Any, **kwargs: Any) -> dict[str, Any]:
    """Postprocessing hook: what the engine's operations refer to."""
    parts = result.setdefault("components", {}).setdefault("schemas", {})
    parts |= components()
    result["components"]["schemas"] = dict(sorted(parts.items()))
    return result
