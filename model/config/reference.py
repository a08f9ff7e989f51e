"""Every key of a kind of config file in a table for people, from its JSON Schema."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its path (`drawers.box.bottom`), what it takes, its default as written and what it says."""

    path: str
    takes: str
    default: str
    says: str


def keys(schema: dict[str, Any]) -> list[Key]:
    """The keys of a schema made by `json_schema`, in the order of the types."""
    return list(_keys(schema, schema, ""))


def markdown(schema: dict[str, Any]) -> str:
    """The keys as a Markdown table."""
    lines = ["| key | takes | default | |", "|---|---|---|---|"]
    for key in keys(schema):
        default = f"`{key.default}`" if key.default else "must be given"
        if key.default == "{}":
            default = "none"
        if key.takes.startswith("keys") and key.default.startswith("{"):
            default = "as below"
        lines.append(f"| `{key.path}` | {key.takes} | {default} | {key.says} |")
    return "\n".join(lines) + "\n"


def _keys(node: dict[str, Any], root: dict[str, Any], prefix: str) -> Iterator[Key]:
    required = node.get("required", ())
    for name, said in node.get("properties", {}).items():
        path = f"{prefix}{name}"
        branches = [b for b in _branches(said, root) if b.get("type") != "null"]
        default = "" if name in required else _written(said.get("default"))
        says = " ".join(said.get("description", "").split())
        yield Key(path, _takes(said, root), default, says)
        for branch in branches:
            if "properties" in branch:
                yield from _keys(branch, root, f"{path}.")
            for inner, mark in ((branch.get("additionalProperties"), "NAME"), (branch.get("items"), "-")):
                if isinstance(inner, dict):
                    for deep in _branches(inner, root):
                        yield from _keys(deep, root, f"{path}.{mark}.")
                        if isinstance(deep.get("items"), dict):
                            for deepest in _branches(deep["items"], root):
                                yield from _keys(deepest, root, f"{path}.{mark}.-.")


def _branches(node: dict[str, Any], root: dict[str, Any]) -> list[dict[str, Any]]:
    """The schemas a node may be, references followed."""
    if "$ref" in node:
        return _branches(root["$defs"][node["$ref"].rsplit("/", 1)[-1]], root)
    found = [b for key in ("anyOf", "oneOf", "allOf") for inner in node.get(key, ()) for b in _branches(inner, root)]
    return found or [node]


def _takes(node: dict[str, Any], root: dict[str, Any]) -> str:
    if "743 mm" in node.get("examples", ()):
        return "length"
    if "$ref" in node:
        return _takes(root["$defs"][node["$ref"].rsplit("/", 1)[-1]], root)
    for key in ("anyOf", "oneOf", "allOf"):
        if key in node and not node.get("examples"):
            return " or ".join(dict.fromkeys(_takes(inner, root) for inner in node[key]))
    if node.get("examples"):
        return f"such as `{node['examples'][-1]}`"
    if "const" in node:
        return f"`{_written(node['const'])}`"
    if "enum" in node:
        return " or ".join(f"`{_written(v)}`" for v in node["enum"])
    kind = node.get("type")
    if kind == "array":
        return f"list of {_takes(node.get('items', {}), root)}"
    if kind == "object":
        inner = node.get("additionalProperties")
        return f"names to {_takes(inner, root)}" if isinstance(inner, dict) else "keys below"
    return {"string": "text", "boolean": "true or false", "integer": "whole number", "null": "null"}.get(
        str(kind), str(kind or "anything")
    )


def _written(value: Any) -> str:
    """A default as one would write it in YAML."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{}" if not value else "{" + ", ".join(f"{k}: {_written(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_written, value)) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value) or "''"
