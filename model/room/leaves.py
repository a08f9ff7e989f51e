"""What of the room itself turns into it: the leaves of its doors and the sashes of its windows."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.part import Motion, PlacedPart
from model.placement import Placement
from model.room.fixtures import ROOM, body
from model.room.room import Door, Window
from model.shapes import Vec
from model.siting.layout import RoomWall

if TYPE_CHECKING:
    from model.build import Build

LEAF = 40.0
"""mm. A leaf or a sash is taken to be this thick (common practice)."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """A leaf shut in its wall and its swing. `name` is for people, `kind` is `door` or `window`."""

    placed: PlacedPart
    motion: Motion
    name: str
    kind: str


def leaves(build: "Build") -> tuple[Leaf, ...]:
    """Every leaf that swings into the room, wall by wall."""
    return tuple(leaf for wall in build.walls for leaf in _of_wall(wall))


def _of_wall(wall: RoomWall) -> Iterator[Leaf]:
    for i, door in enumerate(wall.wall.doors):
        if door.swings == "in":
            name = f"the {door.name} on {wall.name}"
            yield _leaf(wall, f"door {i}", name, "door", door, (0.0, 0.0), door.hinged)
    for i, window in enumerate(wall.wall.windows):
        if window.hinged is not None:
            name = f"the {window.name} on {wall.name}"
            yield _leaf(wall, f"window {i}", name, "window", window, (window.reveal, window.z), window.hinged)


def _leaf(
    wall: RoomWall, path: str, name: str, kind: str, opening: Door | Window, at: tuple[float, float], hinged: str
) -> Leaf:
    """The leaf of an opening; its face toward the room lies `at[0]` mm in the wall, its lower edge `at[1]` up."""
    depth, bottom = at
    path = f"//{ROOM}/{wall.name}/{path}"
    size = (opening.width, LEAF, opening.height)
    placed = body(path, wall.frame.compose(Placement((opening.x, depth, bottom))), size)
    right = opening.x + opening.width if hinged == "right" else opening.x
    top = bottom + opening.height if hinged == "top" else bottom
    axis: Vec = (0.0, 0.0, 1.0) if hinged in ("left", "right") else (1.0, 0.0, 0.0)
    # into the room is -y: a leaf hinged at its left turns clockwise seen from above, one hinged below tips forward
    sign = -1.0 if hinged in ("left", "top") else 1.0
    travel = sign * math.radians(opening.opens)
    hinge = wall.frame.apply((right, depth, top))
    return Leaf(placed, Motion(name, "swing", (path,), wall.frame.turn(axis), travel, hinge), name, kind)
