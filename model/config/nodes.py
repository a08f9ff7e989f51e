"""What a YAML file holds, every node with the place it was written at."""

from dataclasses import dataclass, field

from model.config.types import TaggedFloat, TaggedInt, TaggedStr
from model.errors import Mark
from model.lengths import LengthUnit

Loc = tuple[str | int, ...]
"""A key path: the keys of mappings and the places in lists (from 0) that lead to a node."""


@dataclass(frozen=True, slots=True, eq=False)
class ScalarNode:
    """A single value. `unit` is what the bare numbers of its file count in."""

    mark: Mark
    value: str | int | float | bool | None
    unit: LengthUnit = "mm"


@dataclass(frozen=True, slots=True, eq=False)
class ListNode:
    """A list."""

    mark: Mark
    items: "tuple[Node, ...]"


@dataclass(frozen=True, slots=True, eq=False)
class MapNode:
    """A mapping; `keys` holds where each key is written."""

    mark: Mark
    entries: "dict[str, Node]"
    keys: dict[str, Mark] = field(default_factory=dict)


Node = ScalarNode | ListNode | MapNode

Places = dict[int, tuple[Loc, Mark]]
"""Where the object of an identity came from: its key path and its mark."""


def child(node: Node, step: str | int) -> Node | None:
    """The node one step down, or None where there is none."""
    if isinstance(node, MapNode) and isinstance(step, str):
        return node.entries.get(step)
    if isinstance(node, ListNode) and isinstance(step, int) and 0 <= step < len(node.items):
        return node.items[step]
    return None


def nearest(tree: Node, loc: Loc) -> Node:
    """The node at a key path, or the last one on the way there that exists."""
    node = tree
    for step in loc:
        below = child(node, step)
        if below is None:
            return node
        node = below
    return node


def merge(base: Node, change: Node) -> Node:
    """`base` with `change` laid over it: mappings key by key, lists and single values replaced as a whole.

    A key that `change` sets to null is null: there is none of it. Every node keeps its own place.
    """
    if not isinstance(change, MapNode):
        return change
    start = base if isinstance(base, MapNode) else MapNode(change.mark, {}, {})
    entries, keys = dict(start.entries), dict(start.keys)
    for key, value in change.entries.items():
        entries[key] = merge(entries[key], value) if key in entries else value
        keys[key] = change.keys[key]
    return MapNode(start.mark, entries, keys)


def plain(tree: Node) -> tuple[object, Places]:
    """The tree as dicts, lists and tagged scalars, and where each of them (by identity) came from.

    Keys are in the table too. Booleans and null are the same object everywhere and so are left out of it.
    """
    places: Places = {}
    return _plain(tree, (), places), places


def _plain(node: Node, loc: Loc, places: Places) -> object:
    if isinstance(node, MapNode):
        value: object = {}
        for key, below in node.entries.items():
            tagged = TaggedStr(key)
            places[id(tagged)] = ((*loc, key), node.keys[key])
            value[tagged] = _plain(below, (*loc, key), places)  # pyright: ignore[reportIndexIssue]
    elif isinstance(node, ListNode):
        value = [_plain(below, (*loc, i), places) for i, below in enumerate(node.items)]
    elif node.value is None or isinstance(node.value, bool):
        return node.value
    else:
        value = _tagged(node.value, node.unit)
    places[id(value)] = (loc, node.mark)
    return value


def _tagged(value: str | int | float, unit: LengthUnit) -> object:
    kind = TaggedStr if isinstance(value, str) else TaggedInt if isinstance(value, int) else TaggedFloat
    tagged = kind(value)
    tagged.unit = unit
    return tagged
