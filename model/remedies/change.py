"""A project with one value changed, in memory, just as if its file said so; and how the value is written there."""

from collections.abc import Callable
from dataclasses import replace

from model.config.nodes import ListNode, Loc, MapNode, Node, ScalarNode
from model.config.rewrite import scalar
from model.config.tree import validate
from model.inputs import Inputs, UnitInput
from model.lengths import LengthUnit, parse_length, show_length
from model.project import Project
from model.remedies.settings import Setting, Value, deepest, placement


def said(setting: Setting, value: Value, lengths: LengthUnit) -> Value:
    """The value as a file gives it: lengths with their unit, in mm where it falls on no mark of a tape."""
    if setting.kind != "length":
        return value
    length = float(value)
    text = show_length(length, lengths)
    return text if abs(parse_length(text, lengths) - length) < 5e-4 else f"{length:.10g} mm"


def yaml_of(setting: Setting, value: Value, lengths: LengthUnit) -> str:
    """The value as one line of YAML."""
    told = said(setting, value, lengths)
    if isinstance(told, bool):
        return str(told).lower()
    return scalar(told) if isinstance(told, str) else f"{told:.10g}"


def changed(inputs: Inputs, setting: Setting, value: Value) -> Inputs:
    """The project with that value. Raises ConfigError where a file could not say so."""
    node = ScalarNode(setting.mark, said(setting, value, inputs.project.value.lengths))
    return _written_over(inputs, setting, node) if setting.written else _added(inputs, setting, node)


def _written_over(inputs: Inputs, setting: Setting, node: ScalarNode) -> Inputs:
    """Whoever reads the value reads it from the same place in the same file: it is known by that place."""

    def other(tree: Node) -> Node:
        return _replaced(tree, node)

    project = other(inputs.project.tree)
    return _with(inputs, project, lambda unit: other(unit.loaded.tree))


def _added(inputs: Inputs, setting: Setting, node: ScalarNode) -> Inputs:
    """A value that is not there yet: in one placement of the project, or in a unit's file for all who read it."""
    if setting.file != inputs.project.tree.mark.file:
        home = setting.file
        return _with(
            inputs,
            inputs.project.tree,
            lambda unit: (
                _put(unit.loaded.tree, setting.loc, node) if home == unit.loaded.tree.mark.file else unit.loaded.tree
            ),
        )
    project = _put(inputs.project.tree, setting.loc, node, over=True)
    if not setting.of_unit:
        return _with(inputs, project, lambda unit: unit.loaded.tree)
    owner, key = setting.owner, setting.loc[len(placement(inputs.project.value, setting.owner)) + 1 :]
    return _with(
        inputs,
        project,
        lambda unit: _put(unit.loaded.tree, key, node, over=True) if unit.name == owner else unit.loaded.tree,
    )


def _with(inputs: Inputs, project: Node, tree_of: Callable[[UnitInput], Node]) -> Inputs:
    """The inputs with other trees, whatever differs read and checked again."""
    units: dict[str, UnitInput] = {}
    for name, unit in inputs.units.items():
        tree = tree_of(unit)
        same = tree is unit.loaded.tree
        units[name] = unit if same else replace(unit, loaded=validate(tree, unit.kind.options))
    whole = inputs.project if project is inputs.project.tree else validate(project, Project)
    return replace(inputs, project=whole, units=units)


def _replaced(tree: Node, new: ScalarNode) -> Node:
    """The tree with `new` wherever the value stands that is written at its place; the same tree where it is not."""
    if isinstance(tree, ScalarNode):
        return new if tree.mark == new.mark else tree
    if isinstance(tree, ListNode):
        items = tuple(_replaced(n, new) for n in tree.items)
        return tree if all(a is b for a, b in zip(items, tree.items, strict=True)) else replace(tree, items=items)
    entries = {k: _replaced(n, new) for k, n in tree.entries.items()}
    return tree if all(entries[k] is n for k, n in tree.entries.items()) else replace(tree, entries=entries)


def _put(tree: Node, loc: Loc, new: ScalarNode, over: bool = False) -> Node:
    """The tree with `new` at a key path, the mappings on the way made where they are missing.

    What stands there already stays, unless it is laid `over`.
    """
    _, depth = deepest(tree, loc)
    return tree if depth == len(loc) and not over else _set(tree, loc, new)


def _set(tree: Node | None, loc: Loc, new: ScalarNode) -> Node:
    if not loc:
        return new
    step = loc[0]
    if isinstance(tree, ListNode) and isinstance(step, int):
        items = list(tree.items)
        items[step] = _set(items[step], loc[1:], new)
        return replace(tree, items=tuple(items))
    start = tree if isinstance(tree, MapNode) else MapNode(new.mark, {}, {})
    key = str(step)
    return MapNode(
        start.mark,
        {**start.entries, key: _set(start.entries.get(key), loc[1:], new)},
        {**start.keys, key: start.keys.get(key, new.mark)},
    )
