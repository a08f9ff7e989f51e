"""What the sheets of a room have in common: the units at a wall, what is on it, the tables of both."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from exporters.drawings.frame import Table, Titles, short
from exporters.drawings.scan import distinct
from exporters.drawings.views import bounds
from model.lengths import LengthUnit, show_number
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit

if TYPE_CHECKING:
    from model.build import Build, RoomWall

COARSE = {"mm": (20.0, 50.0), "in": (24.0, 48.0)}
"""The coarsest scale of a room on the first paper and on the next, before a larger one is taken."""
OVER_FLOOR = ("top", "upper", "connecting")
"""Kinds of units that do not stand on the floor."""
Thing = tuple[str, float, float, float, float]
"""Name, x and z of the lower left corner, width, height."""


def units_at(build: "Build", wall: "RoomWall") -> list[BuiltUnit]:
    """The units at a wall; a corner is at both of its walls."""
    corners = {c.name for c in build.inputs.project.value.corners if wall.name in c.walls}
    return [u for u in build.plan.units if u.parts and (build.stands_at[u.name] == wall.name or u.name in corners)]


def titles(build: "Build", title: str, kind: str, number: str, of: tuple[int, int]) -> Titles:
    return Titles(build.plan.title, title, build.plan.title, kind, number, *of, build.plan.lengths)


def units_table(units: Sequence[BuiltUnit], frames: dict[str, Placement], unit: LengthUnit) -> Table:
    rows = []
    for u in units:
        low, high = bounds(made_of(u), frames[u.name])
        size = [show_number(b - a, unit) for a, b in zip(low, high, strict=True)]
        rows.append((u.code, short(u.name, 24), size[0], size[2], size[1]))
    return Table("Units", ("code", "unit", "width", "height", "depth"), tuple(rows))


def made_of(unit: BuiltUnit) -> list[PlacedPart]:
    """The parts of a unit but its hardware."""
    return [p for p in unit.parts if p.part.kind != "hardware"] or list(unit.parts)


def on_wall(x: float, wall: "RoomWall") -> float:
    """A place along a wall, no farther than its ends."""
    return min(max(x, 0.0), wall.wall.width)


def stops_along(build: "Build", wall: "RoomWall") -> list[float]:
    """Where units that stand on the floor begin and end along a wall, ends of the wall included."""
    frame = wall.frame.inverse()
    found = [0.0, wall.wall.width]
    for unit in units_at(build, wall):
        low, high = bounds(made_of(unit), frame)
        if unit.kind not in OVER_FLOOR:
            found += [low[0], high[0]]
    kept = distinct([on_wall(v, wall) for v in found])
    return kept if len(kept) > 2 else []


def things_on(wall: "RoomWall") -> list[Thing]:
    """What is on a wall."""
    w = wall.wall
    found = [(o.name, o.x, o.z, o.width, o.height) for o in (*w.windows, *w.obstacles)]
    found += [(d.name, d.x, 0.0, d.width, d.height) for d in w.doors]
    found += [(o.name, o.x - o.width / 2, o.z - o.height / 2, o.width, o.height) for o in w.outlets]
    return found
