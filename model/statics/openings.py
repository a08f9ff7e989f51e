"""What opens in a unit, what it carries and where a child would hang on it: the movers of the checks of weight."""

import re
from collections.abc import Iterator
from typing import Any

from model.build import Build
from model.part import Motion, PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box, Vec
from model.statics.masses import Lump, lump_of, together
from model.statics.tipping import Opening

FROM_EDGE = 100.0
"""mm. A child hangs on a door so far from its free edge (EN 16122, the vertical load on a door; from memory)."""
_COLUMN = re.compile(r"column (\d+) ")
_NAMED = re.compile(r"(?:column \d+ )?(drawer|tray)\b")


def options_at(build: Build, unit: BuiltUnit, path: str) -> Any:
    """What a unit's file says at a path: the options of the column it stands in, else of the unit; None without a
    file."""
    said = build.inputs.units.get(unit.name)
    options: Any = None if said is None else said.options
    column = _COLUMN.match(path.removeprefix(f"{unit.name}/"))
    columns = getattr(options, "columns", ())
    return columns[int(column[1]) - 1] if column and 0 < int(column[1]) <= len(columns) else options


def carried(build: Build, unit: BuiltUnit, motion: Motion) -> float:
    """What a drawer is to carry, itself included, or a tray besides itself, kg; 0 where nothing is said."""
    found = _NAMED.match(motion.name.split("/", 1)[1])
    if found is None:
        return 0.0
    spec = getattr(options_at(build, unit, motion.name), "drawers" if found[1] == "drawer" else "tray", None)
    return getattr(spec, "load", 0.0)


def riders(unit: BuiltUnit, motion: Motion) -> list[PlacedPart]:
    paths = set(motion.parts)
    return [p for p in unit.parts if p.path in paths]


def outermost(unit: BuiltUnit) -> list[Motion]:
    """The motions of a unit, but for those that ride on another: the legs of a bed."""
    moves = [m for m in unit.motions if m.travel]
    return [m for m in moves if not any(set(m.parts) < set(other.parts) for other in moves)]


def openings(build: Build, unit: BuiltUnit) -> Iterator[Opening]:
    """Everything that opens in a unit."""
    for motion in outermost(unit):
        parts = riders(unit, motion)
        yield Opening(
            motion.name,
            motion.kind,
            motion.direction,
            motion.travel,
            motion.origin,
            together([*(lump_of(p, build.stock) for p in parts), *_bedding(build, parts)]),
            contents(build, unit, motion),
            _hang(motion, parts),
        )


def _bedding(build: Build, parts: list[PlacedPart]) -> Iterator[Lump]:
    for p in parts:
        if p.role == "mattress":
            yield Lump(build.inputs.project.value.safety.bedding, p.bounds().center)


def contents(build: Build, unit: BuiltUnit, motion: Motion) -> Lump | None:
    """What a drawer or tray carries, in the middle of its room (EN 16122); None where nothing is said."""
    said, parts = carried(build, unit, motion), riders(unit, motion)
    tray = next((p for p in parts if p.role == "tray"), None)
    if tray is not None:
        x, y, _ = tray.bounds().center
        return Lump(said, (x, y, tray.bounds().hi[2])) if said else None
    mass = said - sum(lump_of(p, build.stock).mass for p in parts)
    walls = [p.bounds() for p in parts if p.role in ("drawer side", "drawer front or back")]
    return Lump(mass, _around(walls).center) if mass > 0 and walls else None


def _around(boxes: list[Box]) -> Box:
    lo = [min(b.lo[i] for b in boxes) for i in range(3)]
    hi = [max(b.hi[i] for b in boxes) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _hang(motion: Motion, parts: list[PlacedPart]) -> Vec | None:
    """Where a child hangs: over the outer face of a drawer's front, or near the free edge of a door."""
    if motion.kind == "slide":
        boxes = [p.bounds() for p in parts if p.role in ("front", "tray")]
        return _foremost(_around(boxes), motion.direction) if boxes else None
    door = next((p.bounds() for p in parts if p.role == "door"), None)
    if door is None:
        return None
    far = max(
        ((x, y) for x in door.span("x") for y in door.span("y")),
        key=lambda p: (p[0] - motion.origin[0]) ** 2 + (p[1] - motion.origin[1]) ** 2,
    )
    along = 0 if door.size[0] > door.size[1] else 1
    at = [far[0], far[1], door.hi[2]]
    at[along] += FROM_EDGE if at[along] < motion.origin[along] else -FROM_EDGE
    return (at[0], at[1], at[2])


def _foremost(box: Box, direction: Vec) -> Vec:
    """The middle of the face of a box that looks along a direction, at its upper edge."""
    x, y, _ = box.center
    dx, dy, _ = direction
    return (x + dx * box.size[0] / 2, y + dy * box.size[1] / 2, box.hi[2])
