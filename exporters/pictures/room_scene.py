"""The room round the parts as it is drawn: floor, walls and what is on them, in quiet tones."""

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.scene import AT_REST, FLOOR, WALL, Array, Batch, Camera, Colour, Span, in_front
from model.placement import Placement
from model.room.room import Door, Outlet, Wall, Window
from model.shapes import Vec

if TYPE_CHECKING:
    from model.build import Build, RoomWall
    from model.room.ceiling import Ceiling, Slope

TRIM: Colour = (0.96, 0.955, 0.94)
LEAF: Colour = (0.945, 0.94, 0.92)
PANE: Colour = (0.80, 0.86, 0.90)
CEILING: Colour = (0.985, 0.98, 0.97)
METAL: Colour = (0.66, 0.66, 0.67)
PLATE = 8.0
"""mm. How far an outlet's plate stands off the wall."""
CASING, CASED = 65.0, 15.0
"""mm. Width of the casing round windows and doors, and how far it stands off the wall (common practice)."""
BEYOND = 9000.0
"""mm. How far floor and end walls run on past the room."""


def surfaces(build: "Build", low: Array, high: Array, walls: bool = True, eye: Camera | None = None) -> list[Batch]:
    """Floor and walls as seen from inside the room, with what is on them; `low` and `high` bound the parts.

    There is no level ceiling: the background shows above the walls. Slopes are there for a camera under the ceiling.
    Walls that a camera at `eye` sees from behind are left out. Without `walls` there is only the floor, all round.
    """
    shown = [walls and (eye is None or in_front(eye, w)) for w in build.walls]
    drawn = [w for w, there in zip(build.walls, shown, strict=True) if there]
    corners = [w.frame.apply((x, 0.0, 0.0)) for w in drawn for x in (0.0, w.wall.width)]
    reached = np.array([*corners, low, high])[:, :2]
    least, most = reached.min(axis=0), reached.max(axis=0)
    into = np.array([w.frame.turn((0.0, 1.0, 0.0))[:2] for w in drawn] or [(0.0, 0.0)])
    # the floor runs on wherever no wall ends it
    (x0, y0), (x1, y1) = least - BEYOND * (into.min(axis=0) > -0.5), most + BEYOND * (into.max(axis=0) < 0.5)
    floor = _quads(FLOOR, [((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))])
    runs = {w.name: _run(build.walls, shown, i) for i, w in enumerate(build.walls) if shown[i]}
    on_walls = [b for w in drawn for b in _wall(w, runs[w.name], build.overhead)]
    under = bool(drawn) and eye is not None and eye.at[2] < build.ceiling
    ground = np.array([(x, y, 0.0) for x in (x0, x1) for y in (y0, y1)])
    return [floor, *on_walls, *(_sloping(s, ground, build.ceiling) for s in build.overhead.slopes if under)]


def _sloping(slope: "Slope", ground: Array, level: float) -> Batch:
    """A sloping ceiling over the whole floor (its corners N x 3), as seen from below, up to where it is level.

    It hides no part: those and the camera that sees it are both below its plane.
    """
    foot, away = np.array(slope.foot), np.array(slope.away)
    along = np.cross(away, (0.0, 0.0, 1.0))
    sides = (ground - foot) @ along
    left, right = foot + along * sides.min(), foot + along * sides.max()
    up = away * ((level - slope.low) / slope.rise) + (0.0, 0.0, level)
    low = np.array((0.0, 0.0, slope.low))
    corners = [tuple(c.tolist()) for c in (left + low, left + up, right + up, right + low)]
    return _quads(CEILING, [(corners[0], corners[1], corners[2], corners[3])])


def _run(walls: "tuple[RoomWall, ...]", shown: list[bool], i: int) -> Span:
    """From where to where a wall is drawn: it runs on past an end where no wall that is shown meets it."""
    closed = len(walls) >= 4
    before = shown[i - 1] if i or closed else False
    after = shown[(i + 1) % len(walls)] if i + 1 < len(walls) or closed else False
    return (0.0 if before else -BEYOND, walls[i].wall.width + (0.0 if after else BEYOND))


def _wall(placed: "RoomWall", x: Span, ceiling: "Ceiling") -> Iterator[Batch]:
    """One wall, drawn over `x`, and what is on it."""
    wall, frame = placed.wall, placed.frame
    yield _quads(WALL, list(_strips(placed, x, ceiling)), frame)
    if wall.baseboard:
        for span in _between(x, wall):
            yield _slab(TRIM, span, wall.baseboard.thickness, (0.0, wall.baseboard.height), frame)
    for window in wall.windows:
        yield from _window(window, frame)
    for door in wall.doors:
        yield from _door(door, frame)
    for thing in wall.obstacles:
        yield _slab(TRIM, (thing.x, thing.x + thing.width), thing.projection, (thing.z, thing.z + thing.height), frame)
    for outlet in wall.outlets:
        yield _plate(outlet, frame)


def _strips(wall: "RoomWall", x: Span, ceiling: "Ceiling") -> Iterator[tuple[Vec, Vec, Vec, Vec]]:
    """The face of a wall up to the ceiling over it, from each bend of the ceiling to the next."""
    for a, b in itertools.pairwise(bends(wall, x, ceiling)):
        tops = [max(ceiling.over(wall.frame.apply((end, 0.0, 0.0))), 0.0) for end in (a, b)]
        if max(tops) > 0:
            yield (a, 0.0, 0.0), (b, 0.0, 0.0), (b, 0.0, tops[1]), (a, 0.0, tops[0])


def bends(wall: "RoomWall", x: Span, ceiling: "Ceiling") -> list[float]:
    """The ends of a wall and all places between where two ceiling planes, or a plane and the floor, meet over it."""
    ends = [wall.frame.apply((end, 0.0, 0.0)) for end in x]
    heights = [(s.height(ends[0]), s.height(ends[1])) for s in ceiling.slopes]
    heights += [(ceiling.level, ceiling.level), (0.0, 0.0)] if heights else []
    found = set(x)
    for (a0, a1), (b0, b1) in itertools.combinations(heights, 2):
        before, after = a0 - b0, a1 - b1
        if before * after < 0:
            found.add(x[0] + (x[1] - x[0]) * before / (before - after))
    return sorted(found)


def _between(x: Span, wall: Wall) -> Iterator[Span]:
    """Where a baseboard runs: the wall without its doors."""
    start = x[0]
    for door in sorted(wall.doors, key=lambda d: d.x):
        if door.x - CASING > start:
            yield start, door.x - CASING
        start = door.x + door.width + CASING
    if x[1] > start:
        yield start, x[1]


def _window(window: Window, frame: Placement) -> Iterator[Batch]:
    (x0, x1), (z0, z1) = (window.x, window.x + window.width), (window.z, window.z + window.height)
    yield _quads(PANE, [_front((x0, x1), -4.0, (z0, z1))], frame)
    middle = (x0 + x1) / 2
    yield _slab(TRIM, (middle - 20.0, middle + 20.0), 10.0, (z0, z1), frame)
    for x in ((x0 - CASING, x0), (x1, x1 + CASING)):
        yield _slab(TRIM, x, CASED, (z0 - CASING, z1), frame)
    for z in ((z0 - CASING, z0), (z1, z1 + CASING)):
        yield _slab(TRIM, (x0 - CASING, x1 + CASING), CASED, z, frame)


def _door(door: Door, frame: Placement) -> Iterator[Batch]:
    """A door, shut."""
    x0, x1 = door.x, door.x + door.width
    yield _slab(LEAF, (x0, x1), 6.0, (8.0, door.height), frame)
    for x in ((x0 - CASING, x0), (x1, x1 + CASING)):
        yield _slab(TRIM, x, CASED, (0.0, door.height), frame)
    yield _slab(TRIM, (x0 - CASING, x1 + CASING), CASED, (door.height, door.height + CASING), frame)
    handle = x1 - 70.0 if door.hinged == "left" else x0 + 70.0
    yield _slab(METAL, (handle - 55.0, handle + 55.0), 50.0, (1010.0, 1030.0), frame)


def _plate(outlet: Outlet, frame: Placement) -> Batch:
    across = (outlet.x - outlet.width / 2, outlet.x + outlet.width / 2)
    return _slab(TRIM, across, PLATE, (outlet.z - outlet.height / 2, outlet.z + outlet.height / 2), frame)


def _front(x: Span, y: float, z: Span) -> tuple[Vec, Vec, Vec, Vec]:
    return (x[0], y, z[0]), (x[1], y, z[0]), (x[1], y, z[1]), (x[0], y, z[1])


def _slab(colour: Colour, x: Span, out: float, z: Span, frame: Placement) -> Batch:
    """A board on a wall: its front, its upper side and underside and its ends."""
    (x0, x1), (z0, z1) = x, z
    upper = ((x0, -out, z1), (x1, -out, z1), (x1, 0.0, z1), (x0, 0.0, z1))
    under = ((x0, 0.0, z0), (x1, 0.0, z0), (x1, -out, z0), (x0, -out, z0))
    left = ((x0, 0.0, z0), (x0, -out, z0), (x0, -out, z1), (x0, 0.0, z1))
    right = ((x1, -out, z0), (x1, 0.0, z0), (x1, 0.0, z1), (x1, -out, z1))
    return _quads(colour, [_front(x, -out, z), upper, under, left, right], frame)


def _quads(colour: Colour, corners: list[tuple[Vec, Vec, Vec, Vec]], frame: Placement = AT_REST) -> Batch:
    """Rectangles in a frame, each seen where its corners run anticlockwise; they cast no shadow."""
    points = np.array([[frame.apply(p) for p in each] for each in corners])
    square = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    normals = np.repeat(square / np.linalg.norm(square, axis=1, keepdims=True), 4, axis=0)
    triangles = np.array([[(k, k + 1, k + 2), (k, k + 2, k + 3)] for k in range(0, 4 * len(corners), 4)])
    return Batch(
        colour, points.reshape(-1, 3), normals, triangles.reshape(-1, 3), np.empty((0, 2, 3)), np.empty((0, 3, 3))
    )
