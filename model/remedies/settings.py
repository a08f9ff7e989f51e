"""What could be changed about a project: every number and choice its files give or leave at a default, one by one.

What is measured and what is bought stays as it is: the room, the stock, and the names of what stands where.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args

from pydantic import BaseModel

from model.config.fields import Choice, choices
from model.config.messages import name_of
from model.config.nodes import Loc, MapNode, Node, ScalarNode, child
from model.errors import Mark
from model.inputs import Inputs, UnitInput
from model.project import Project

Kind = Literal["length", "angle", "number", "count", "choice"]
Value = float | int | str | bool

NOT_OURS = ("kind", "lengths", "note", "name", "load", "materials", "change", "mattress", "mattress_thickness", "fill")
"""Keys that say what a thing is, what it must carry or what lies on it: none of them is changed to please a check."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """A value below a model: its key path there, and None as its value where it is a length that was left out."""

    key: Loc
    kind: Kind
    value: Value | None
    words: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Setting:
    """One value of a project: whose it is (empty: the project's own), its key path there, and where it is written.

    `loc` is its key path in `file`; `mark` where it stands there, or what it would be added to where it is not
    `written`. `shared` says that more than one placement reads it from there.
    """

    owner: str
    key: Loc
    kind: Kind
    old: Value | None
    words: tuple[Value, ...]
    file: str
    loc: Loc
    mark: Mark
    written: bool
    shared: bool = False
    of_unit: bool = False

    @property
    def order(self) -> tuple[str, str, bool]:
        return (self.owner, name_of(self.key), not self.shared)


def leaves(model: BaseModel, key: Loc = ()) -> Iterator[Leaf]:
    """Every number and choice below a model, in the order of its fields."""
    for name in type(model).model_fields:
        if name not in NOT_OURS:
            found = choices(Choice(type(model)).below(name))
            yield from _below(getattr(model, name), found, (*key, name))


def _below(value: Any, found: tuple[Choice, ...], key: Loc) -> Iterator[Leaf]:
    if isinstance(value, BaseModel):
        yield from leaves(value, key)
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            yield from _below(item, tuple(c for f in found for c in choices(f.below(i))), (*key, i))
    else:
        kind, words = _kind(value, found)
        if kind is not None:
            yield Leaf(key, kind, value, words)


def _kind(value: Any, found: tuple[Choice, ...]) -> tuple[Kind | None, tuple[Value, ...]]:
    """What a value can be changed to: more or less of it, or one of some words."""
    counted = {c.wants.many for c in found if c.wants}
    words = tuple(w for c in found if c.origin is Literal for w in get_args(c.kind))
    if isinstance(value, bool):
        return "choice", (True, False)
    if value is None or isinstance(value, float):
        if "lengths" in counted:
            return "length", ()
        if "angles" in counted and value is not None:
            return "angle", ()
        return ("number" if value is not None and not counted else None), ()
    if value in words:
        return "choice", words
    return ("count", ()) if isinstance(value, int) else (None, ())


def settings_of(inputs: Inputs, owners: Iterable[str], walls: Iterable[str]) -> list[Setting]:
    """All that could be changed about some units, tops and corners, and about where they stand along their walls."""
    names, along = set(owners), set(walls)
    found = [s for name in sorted(names) if name in inputs.units for s in _of_unit(inputs, inputs.units[name])]
    found += _of_project(inputs, names, along)
    return found


def placement(project: Project, name: str) -> Loc:
    """Where a project places a unit."""
    for wall, row in project.walls.items():
        for i, placed in enumerate(row):
            if placed.name == name:
                return ("walls", wall, i)
    for key in ("uppers", "connecting"):
        for i, placed in enumerate(getattr(project, key)):
            if placed.name == name:
                return (key, i)
    raise KeyError(name)


def _of_unit(inputs: Inputs, unit: UnitInput) -> Iterator[Setting]:
    at = placement(inputs.project.value, unit.name)
    project = inputs.project.tree.mark.file
    home = unit.loaded.tree.mark.file
    shared = sum(u.loaded.tree.mark.file == home for u in inputs.units.values()) > 1
    for leaf in leaves(unit.options):
        node, depth = deepest(unit.loaded.tree, leaf.key)
        written = depth == len(leaf.key) and isinstance(node, ScalarNode)
        if not written and not isinstance(node, MapNode):
            continue  # what is above it is null: there is none of it
        file = node.mark.file
        if not written and file == home and shared and not any(isinstance(k, int) for k in leaf.key[:depth]):
            file = project  # what one placement alone should differ in is said there
        loc = (*at, "change", *leaf.key) if file == project else leaf.key
        mark = node.mark if written or file != project else inputs.mark(*at)
        yield Setting(
            unit.name, leaf.key, leaf.kind, leaf.value, leaf.words, file, loc, mark, written,
            shared and file == home, True,
        )  # fmt: skip


def local(inputs: Inputs, setting: Setting) -> Setting | None:
    """The same value of one placement alone, laid over the file it shares with others; None in the middle of a list."""
    if not setting.shared or any(isinstance(k, int) for k in setting.key):
        return None
    at = placement(inputs.project.value, setting.owner)
    project = inputs.project.tree.mark.file
    return Setting(
        setting.owner, setting.key, setting.kind, setting.old, setting.words, project,
        (*at, "change", *setting.key), inputs.mark(*at), False, False, True,
    )  # fmt: skip


def _of_project(inputs: Inputs, names: set[str], along: set[str]) -> Iterator[Setting]:
    said = inputs.project.value
    for wall, row in said.walls.items():
        if wall not in along:
            continue
        for i, placed in enumerate(row):
            at: Loc = ("walls", wall, i)
            yield from _keys(inputs, placed.name, at, _chosen(placed, "width"))
        margins = said.margins.get(wall)
        for side in ("left", "right"):
            value = getattr(margins, side) if margins else 0.0
            yield _setting(inputs, "", ("margins", wall), ("margins", wall), Leaf((side,), "length", value))
    for i, top in enumerate(said.tops):
        standing = {u.name for u in said.uppers if u.on == top.name}
        if names & ({top.name} | set(top.over) | standing):
            yield from _keys(inputs, top.name, ("tops", i), leaves(top))
    for i, upper in enumerate(said.uppers):
        if upper.name in names:
            yield from _keys(inputs, upper.name, ("uppers", i), leaves(upper))
    for i, shelves in enumerate(said.connecting):
        if names & {shelves.name, *shelves.between}:
            yield from _keys(inputs, shelves.name, ("connecting", i), leaves(shelves))
    for i, corner in enumerate(said.corners):
        if corner.name in names or along & set(corner.walls):
            yield from _keys(inputs, corner.name, ("corners", i), leaves(corner))


def _chosen(model: BaseModel, name: str) -> Iterator[Leaf]:
    return (leaf for leaf in leaves(model) if leaf.key[0] == name)


def _keys(inputs: Inputs, owner: str, at: Loc, found: Iterable[Leaf]) -> Iterator[Setting]:
    for leaf in found:
        if leaf.value is not None:
            yield _setting(inputs, owner, (), at, leaf)


def _setting(inputs: Inputs, owner: str, above: Loc, at: Loc, leaf: Leaf) -> Setting:
    tree = inputs.project.tree
    loc = (*at, *leaf.key)
    node, depth = deepest(tree, loc)
    key = (*above, *leaf.key)
    return Setting(
        owner, key, leaf.kind, leaf.value, leaf.words, tree.mark.file, loc, node.mark, depth == len(loc),
    )  # fmt: skip


def deepest(tree: Node, loc: Loc) -> tuple[Node, int]:
    """The last node there is on the way along a key path, and how many steps lead to it."""
    node = tree
    for n, step in enumerate(loc):
        below = child(node, step)
        if below is None:
            return node, n
        node = below
    return node, len(loc)
