"""Changing values in YAML text and leaving all the rest of it, comments and layout too, as its maker wrote it."""

import json
import re
from collections.abc import Iterator, Mapping

import yaml

from model.config.nodes import Loc

_PLAIN = re.compile(r"[A-Za-z0-9./][A-Za-z0-9 ./_-]*")
_READ_OTHERWISE = re.compile(r"(?i)null|true|false|yes|no|on|off|[-+.0-9][-+.0-9eox_]*")


def scalar(value: str) -> str:
    """A text as a YAML value, in quotes only where it needs them."""
    if _PLAIN.fullmatch(value) and not _READ_OTHERWISE.fullmatch(value) and value == value.strip():
        return value
    return json.dumps(value, ensure_ascii=False)


def rewritten(text: str, values: Mapping[Loc, str], keys: Mapping[Loc, str] | None = None) -> str:
    """The text with other values at key paths and other names for keys (the path of a key ends with it).

    `text` is YAML that has been read without error and is a mapping. Values are YAML of one line; a path that is not
    there yet is written in where the mapping above it begins, or at the end where nothing of it is there.
    """
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    edits: dict[tuple[int, int], str] = {}
    for loc, name in (keys or {}).items():
        key = _entry(_at(root, loc[:-1]), loc[-1])[0]
        edits[_span(key, text)] = name
    added = ""
    for loc, value in values.items():
        there = next(loc[:n] for n in range(len(loc), -1, -1) if _at(root, loc[:n]) is not None)
        if len(there) == len(loc):
            edits[_span(_at(root, loc), text)] = value
        elif there:
            at, written = _insertion(_at(root, there), loc[len(there) :], value)
            edits[at, at] = edits.get((at, at), "") + written
        else:
            added += f"\n{_nested(loc, value)}\n"
    for (start, end), new in sorted(edits.items(), reverse=True):
        text = text[:start] + new + text[end:]
    return text.rstrip("\n") + "\n" + added


def found_scalars(text: str) -> Iterator[tuple[Loc, str]]:
    """The key path and the value of every single value in the text, in order."""
    yield from _scalars(yaml.compose(text, Loader=yaml.SafeLoader), ())


def _scalars(node: yaml.Node | None, loc: Loc) -> Iterator[tuple[Loc, str]]:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from _scalars(value, (*loc, key.value))
    elif isinstance(node, yaml.SequenceNode):
        for i, value in enumerate(node.value):
            yield from _scalars(value, (*loc, i))
    elif isinstance(node, yaml.ScalarNode):
        yield loc, node.value


def _entry(node: yaml.Node | None, step: str | int) -> tuple[yaml.Node, yaml.Node]:
    assert isinstance(node, yaml.MappingNode)
    return next((k, v) for k, v in node.value if k.value == step)


def _at(node: yaml.Node | None, loc: Loc) -> yaml.Node | None:
    for step in loc:
        if isinstance(node, yaml.MappingNode):
            node = next((v for k, v in node.value if k.value == step), None)
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
            node = node.value[step]
        else:
            return None
    return node


def _span(node: yaml.Node | None, text: str) -> tuple[int, int]:
    assert node is not None
    start, end = node.start_mark.index, node.end_mark.index
    return start, start + len(text[start:end].rstrip())


def _insertion(node: yaml.Node | None, below: Loc, value: str) -> tuple[int, str]:
    """Where to write a new entry into a mapping, and what."""
    assert isinstance(node, yaml.MappingNode)
    entry = _nested(below, value)
    if node.flow_style:
        return node.start_mark.index + 1, f"{entry}, " if node.value else entry
    return node.start_mark.index, f"{entry}\n{' ' * node.start_mark.column}"


def _nested(loc: Loc, value: str) -> str:
    for step in reversed(loc[1:]):
        value = f"{{{scalar(str(step))}: {value}}}"
    return f"{scalar(str(loc[0]))}: {value}"
