"""Reading a whole project: its file, the room, the stock and every unit file, all checked before anything is built."""

import difflib
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from model.config.nodes import MapNode, Node, ScalarNode, child
from model.config.source import shown_path
from model.config.tree import Loaded, merge, parse_tree, read, read_tree, validate
from model.cutting.offcuts import Offcut, read_offcuts
from model.errors import ConfigError, Mark
from model.lengths import LengthUnit
from model.materials import TABLES, Materials
from model.messages import shown
from model.project import Connecting, Placed, Project, Upper
from model.room.room import Room
from model.site import Unbuildable
from model.stock.tables import Stock
from model.units import Stand, UnitKind, kinds

PLACES: dict[Stand, str] = {
    "floor": "along a wall",
    "top": "under uppers, on a top",
    "wall": "under uppers, on a wall",
    "between": "under connecting, between two uppers",
}
"""Where a project names units that stand so."""
AnyPlaced = Placed | Upper | Connecting


@dataclass(frozen=True)
class UnitInput:
    """A unit as it is asked for: its kind, its options and where each of them was written."""

    name: str
    kind: UnitKind
    loaded: Loaded[Any]
    named_at: Mark

    @property
    def options(self) -> Any:
        return self.loaded.value

    def error(self, problem: Unbuildable, lengths: LengthUnit) -> ConfigError:
        """The problem at the place in the unit's file (or in the change laid over it) that can mend it."""
        return ConfigError.at(self.loaded.mark(*problem.loc), f"{self.name}: {shown(problem.message, lengths)}")


@dataclass(frozen=True)
class Inputs:
    """Everything a project says, checked file by file."""

    project: Loaded[Project]
    room: Loaded[Room]
    stock: Stock
    materials: Materials
    units: dict[str, UnitInput]
    offcuts: tuple[Offcut, ...] = ()

    def mark(self, *loc: str | int) -> Mark:
        return self.project.mark(*loc)

    def error(self, message: str, *loc: str | int) -> ConfigError:
        """An error to raise about a key path of the project; lengths in the message in its unit."""
        return ConfigError.at(self.mark(*loc), shown(message, self.project.value.lengths))


def beside(path: Path, named: str) -> Path:
    """The file that `path` names, without the way round through `..`."""
    return Path(os.path.normpath(path.parent / named))


def read_inputs(path: Path, text: str | None = None) -> Inputs:
    """Read a project and all it names. Raises ConfigError, with every fault found in unit files together.

    `text` is read in place of what is in the file, as if it stood there.
    """
    project = read(path, Project) if text is None else validate(parse_tree(text, shown_path(path)), Project)
    said = project.value
    room = read(beside(path, said.room), Room, project.mark("room"))
    stock = read(beside(path, said.stock), Stock, project.mark("stock"))
    offcuts = read_offcuts(beside(path, said.offcuts), stock.value, project.mark("offcuts")) if said.offcuts else ()
    _check_names(project)
    faults = list(_strange_materials(project, said.materials, stock.value))
    faults += [
        _strange(project.mark("finish", what), f"finish.{what}", name, "finishes", stock.value)
        for what, name in said.finish
        if name is not None and name not in stock.value.finishes
    ]
    units: dict[str, UnitInput] = {}
    for i, corner in enumerate(said.corners):
        loc = ("corners", i)
        faults.extend(_strange_materials(project, corner.materials, stock.value, *loc))
    for i, top in enumerate(said.tops):
        if top.sheet is not None and top.sheet not in stock.value.sheets:
            faults.append(_strange(project.mark("tops", i, "sheet"), "sheet", top.sheet, "sheets", stock.value))
    for placed, loc in _placements(said):
        try:
            unit = units[placed.name] = _unit(path, placed, project, loc)
            faults.extend(_strange_materials(unit.loaded, unit.options.materials, stock.value))
        except ConfigError as error:
            faults.extend(error.lines)
    if faults:
        raise ConfigError(*dict.fromkeys(faults))
    return Inputs(project, room, stock.value, said.materials, units, offcuts)


def _placements(project: Project) -> Iterable[tuple[AnyPlaced, tuple[str | int, ...]]]:
    for wall, row in project.walls.items():
        for i, placed in enumerate(row):
            yield placed, ("walls", wall, i)
    for key in ("uppers", "connecting"):
        for i, placed in enumerate(getattr(project, key)):
            yield placed, (key, i)


def stands(placed: AnyPlaced) -> Stand:
    """How a unit is placed."""
    if isinstance(placed, Upper):
        return "wall" if placed.hung else "top"
    return "between" if isinstance(placed, Connecting) else "floor"


def _check_names(project: Loaded[Project]) -> None:
    """Every name once, whatever its case: names become files."""
    seen: dict[str, Mark] = {}
    said = project.value
    others = ((thing, (key, i)) for key in ("tops", "corners") for i, thing in enumerate(getattr(said, key)))
    for thing, loc in (*_placements(said), *others):
        mark = project.mark(*loc, "name")
        first = seen.setdefault(thing.name.casefold(), mark)
        if first is not mark:
            raise ConfigError.at(mark, f"{thing.name!r} is taken at {first}: call this one otherwise")


def _strange_materials(said: Loaded[Any], names: Materials, stock: Stock, *at: str | int) -> Iterator[str]:
    """A line for each material that is not in the table of stock its role draws on."""
    for role, table in TABLES.items():
        name = getattr(names, role)
        if name is None or name in getattr(stock, table):
            continue
        yield _strange(said.mark(*at, "materials", role), f"materials.{role}", name, table, stock)


def _strange(mark: Mark, key: str, name: str, table: str, stock: Stock) -> str:
    there = getattr(stock, table)
    near = difflib.get_close_matches(name, there, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there is {', '.join(sorted(there)) or 'none'}"
    return f"{mark}: {key}: no {name!r} among the {table} in stock, {hint}"


def _unit(path: Path, placed: AnyPlaced, project: Loaded[Project], loc: tuple[str | int, ...]) -> UnitInput:
    tree = read_tree(beside(path, placed.unit), project.mark(*loc, "unit"))
    change: Node | None = project.tree
    for step in (*loc, "change"):
        change = child(change, step) if change is not None else None
    if change is not None:
        tree = merge(tree, change)
    kind = _kind_of(tree)
    if stands(placed) not in kind.stands:
        where = " or ".join(PLACES[stand] for stand in kind.stands)
        raise ConfigError.at(project.mark(*loc, "unit"), f"the unit is of kind {kind.name}: it is placed {where}")
    return UnitInput(placed.name, kind, validate(tree, kind.options), project.mark(*loc, "name"))


def _kind_of(tree: Node) -> UnitKind:
    known = kinds()
    if not isinstance(tree, MapNode):
        raise ConfigError.at(tree.mark, "a unit file is a mapping that begins with its kind, such as kind: base")
    node = tree.entries.get("kind")
    if node is None:
        raise ConfigError.at(tree.mark, f"no kind: say kind: and one of {', '.join(known)}")
    if not isinstance(node, ScalarNode) or node.value not in known:
        said = node.value if isinstance(node, ScalarNode) else "that"
        near = difflib.get_close_matches(str(said), known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"there is {', '.join(known)}"
        raise ConfigError.at(node.mark, f"{said!r} is no kind of unit: {hint}")
    return known[str(node.value)]
