"""JSON Schema for editors, from the same types that read the configs."""

from typing import Any

from pydantic import TypeAdapter

from model.config.types import LENGTH_FORMAT

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(kind: Any) -> dict[str, Any]:
    """The draft 2020-12 schema of a config type, as plain dicts ready for `json.dumps`.

    A default length is shown with its unit, since a bare number would count in the unit of the file.
    """
    schema = TypeAdapter(kind).json_schema(mode="validation")
    return {"$schema": DIALECT, **_tidied(schema, is_properties=False)}


def _tidied(node: Any, is_properties: bool) -> Any:
    """The schema without the titles made up from field names, and with units on default lengths."""
    if isinstance(node, list):
        return [_tidied(n, False) for n in node]
    if not isinstance(node, dict):
        return node
    tidy = {
        key: value
        if key in ("default", "examples", "const", "enum") and not is_properties
        else _tidied(value, not is_properties and key in ("properties", "$defs"))
        for key, value in node.items()
        if is_properties or key != "title"
    }
    if not is_properties and "patternProperties" in tidy:
        tidy = _closed(tidy)
    if not is_properties and _is_length(tidy) and isinstance(tidy.get("default"), int | float):
        tidy["default"] = f"{tidy['default']:.12g} mm"
    return tidy


def _closed(node: dict[str, Any]) -> dict[str, Any]:
    """A mapping with keys of one pattern, so that a key outside the pattern is an error and not merely unknown."""
    ((pattern, value),) = node["patternProperties"].items()
    rest = {key: below for key, below in node.items() if key != "patternProperties"}
    names = {**rest.get("propertyNames", {}), "pattern": pattern}
    return {**rest, "propertyNames": names, "additionalProperties": value}


def _is_length(node: dict[str, Any]) -> bool:
    """Whether a number given here would be a length: the node itself or a branch of its union is one."""
    return node.get("format") == LENGTH_FORMAT or any(
        _is_length(branch) for branch in node.get("anyOf", ()) if isinstance(branch, dict)
    )
