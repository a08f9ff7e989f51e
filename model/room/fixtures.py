"""The room as bodies: walls, baseboards, radiators, pipes and beams at their places, for checks against the parts."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.part import Part, PlacedPart
from model.placement import Placement
from model.room.ceiling import Slope
from model.siting.layout import RoomWall, at_baseboard

if TYPE_CHECKING:
    from model.build import Build

THICK = 100.0
"""mm. A wall counts as this thick: what is deeper in it was found on the way."""

ROOM = "room"
"""The first step of every path here; a unit of the same name cannot be confused with it, for a part has two steps."""


@dataclass(frozen=True)
class Fixture:
    """A body of the room: `kind` is wall, baseboard, obstacle or ceiling; `wall` the wall it belongs to."""

    placed: PlacedPart
    kind: str
    wall: str
    name: str


def fixtures(build: "Build") -> dict[str, Fixture]:
    """Every body of the room by path."""
    found = [*_ceiling(build)]
    for wall in build.walls:
        found += _of_wall(build, wall)
    return {f.placed.path: f for f in found}


def body(path: str, at: Placement, size: tuple[float, float, float]) -> PlacedPart:
    """A plain box of the room: x, y and z sizes from its corner (mm)."""
    part = Part(kind="hardware", material=ROOM, length=size[0], width=size[1], thickness=size[2], mass=0.0)
    return PlacedPart(path, part, at, ROOM)


def _of_wall(build: "Build", room_wall: RoomWall) -> Iterator[Fixture]:
    name, wall, frame = room_wall.name, room_wall.wall, room_wall.frame
    path = f"//{ROOM}/{name}"
    slab = body(path, frame, (wall.width, THICK, build.ceiling))
    yield Fixture(slab, "wall", name, f"the wall {name}")
    board = wall.baseboard
    if board and at_baseboard(build.inputs, name) != "removed":
        at = frame.compose(Placement((0.0, -board.thickness, 0.0)))
        placed = body(f"{path}/baseboard", at, (wall.width, board.thickness, board.height))
        yield Fixture(placed, "baseboard", name, f"the baseboard of {name}")
    for i, thing in enumerate(wall.obstacles):
        at = frame.compose(Placement((thing.x, -thing.projection, thing.z)))
        placed = body(f"{path}/{i}", at, (thing.width, thing.projection, thing.height))
        yield Fixture(placed, "obstacle", name, f"the {thing.name} on {name}")


FAR = 10_000.0
"""mm. How far the ceiling and its slopes reach beyond the walls."""


def _ceiling(build: "Build") -> Iterator[Fixture]:
    corners = [w.frame.apply((x, 0.0, 0.0)) for w in build.walls for x in (0.0, w.wall.width)]
    low = [min(c[i] for c in corners) - FAR for i in (0, 1)]
    high = [max(c[i] for c in corners) + FAR for i in (0, 1)]
    size = (high[0] - low[0], high[1] - low[1], THICK)
    placed = body(f"//{ROOM}", Placement((low[0], low[1], build.ceiling)), size)
    yield Fixture(placed, "ceiling", "", "the ceiling")
    for i, slope in enumerate(build.overhead.slopes):
        yield Fixture(_slab(f"//{ROOM}/slope {i}", slope), "ceiling", "", "the sloping ceiling")


def _slab(path: str, slope: Slope) -> PlacedPart:
    """A slab whose underside is the plane of a slope; where that runs on above the level ceiling or behind the wall it
    does no harm."""
    length = math.hypot(1.0, slope.rise)
    x, y, _ = slope.away
    up = (x / length, y / length, slope.rise / length)
    out = (-x * slope.rise / length, -y * slope.rise / length, 1 / length)
    aside = (y, -x, 0.0)
    turn = tuple(zip(aside, up, out, strict=True))
    foot = (slope.foot[0], slope.foot[1], slope.low)
    corner = Placement(foot, (turn[0], turn[1], turn[2])).apply((-FAR, -FAR, 0.0))
    return body(path, Placement(corner, (turn[0], turn[1], turn[2])), (2 * FAR, 2 * FAR, THICK))
