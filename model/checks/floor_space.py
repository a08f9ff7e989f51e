"""The floor in front of the units: doors of the room and their leaves, and room to stand and walk.

Plans of the floor are convex polygons in room coordinates (mm). The codes: `door-leaf` (a leaf swings into a part),
`doorway` (a part stands before a door), `clear-floor` (too little floor before a unit).
"""

import math
from collections.abc import Iterable, Iterator, Sequence

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.room.room import Door
from model.shapes import Box, Point2
from model.tolerances import CONTACT, rounded

CLEAR_FLOOR = 915.0
"""mm. Clear width of a walking surface, 36 in (2010 ADA Standards for Accessible Design, 403.5.1)."""

STEP = 600.0
"""mm. Before a door nothing stands nearer than this to its wall (common practice)."""

Polygon = Sequence[Point2]


CODES = (
    Code(
        "door-leaf",
        "The leaf of the room's door swings into a unit.",
        causes=("a unit in the swing of the door",),
        moved_by=(
            "project: margins",
            "project: walls.width",
            "unit: depth",
            "room: walls.doors.hinged",
            "room: walls.doors.swings",
        ),
    ),
    Code(
        "doorway",
        "A unit stands before a door of the room.",
        causes=("widths that run past the door",),
        moved_by=(
            "project: margins",
            "project: walls.width",
        ),
    ),
    Code(
        "clear-floor",
        "There is too little floor before a unit to stand and walk there.",
        causes=("units across from each other in a narrow room",),
        moved_by=(
            "unit: depth",
            "project: walls",
        ),
    ),
)


@check
def floor_space(build: Build) -> Iterator[Finding]:
    """Findings `door-leaf`, `doorway` and `clear-floor`."""
    for wall in build.walls:
        for door in wall.wall.doors:
            yield from _leaf(build, wall, door)
            yield from _doorway(build, wall, door)
    yield from _clear_floor(build)


def footprint(placed: PlacedPart, frame: Placement) -> Polygon:
    """The convex outline of a placed blank seen from above, in the frame of a wall."""
    at = frame.inverse().compose(placed.placement)
    size = placed.part.size
    seen = {
        (rounded(p[0]), rounded(p[1]))
        for x in (0.0, size[0])
        for y in (0.0, size[1])
        for z in (0.0, size[2])
        for p in (at.apply((x, y, z)),)
    }
    return hull(seen)


def hull(points: Iterable[Point2]) -> Polygon:
    """The convex hull, anticlockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered

    def half(run: Iterable[Point2]) -> list[Point2]:
        chain: list[Point2] = []
        for p in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0:
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return [*half(ordered), *half(reversed(ordered))]


def _turn(a: Point2, b: Point2, c: Point2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def clipped(polygon: Polygon, at: Point2, normal: Point2) -> list[Point2]:
    """The part of a convex polygon on the side of the line through `at` that `normal` points to."""
    found: list[Point2] = []
    heights = [(p[0] - at[0]) * normal[0] + (p[1] - at[1]) * normal[1] for p in polygon]
    for i, (p, h) in enumerate(zip(polygon, heights, strict=True)):
        q, k = polygon[i - 1], heights[i - 1]
        if (h > 0) != (k > 0):
            s = k / (k - h)
            found.append((q[0] + s * (p[0] - q[0]), q[1] + s * (p[1] - q[1])))
        if h > 0:
            found.append(p)
    return found


def distance(point: Point2, polygon: Polygon) -> float:
    """From a point outside a convex polygon to it, mm; 0 inside."""
    if len(polygon) > 2 and all(_turn(polygon[i - 1], polygon[i], point) >= 0 for i in range(len(polygon))):
        return 0.0
    return min(_to_segment(point, polygon[i - 1], polygon[i]) for i in range(len(polygon)))


def _to_segment(p: Point2, a: Point2, b: Point2) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    s = min(max(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length, 0.0), 1.0) if length else 0.0
    return math.hypot(p[0] - a[0] - s * dx, p[1] - a[1] - s * dy)


def leaf_sector(door: Door) -> tuple[Point2, Point2, Point2]:
    """The hinge of an inward door in its wall's frame, and the inner normals of the two sides of its sector.

    The leaf turns from the wall into the room (toward negative y). For an angle of at most half a turn the sector is
    what lies inside both sides.
    """
    angle = math.radians(door.opens)
    if door.hinged == "left":
        return (door.x, 0.0), (0.0, -1.0), (math.sin(angle), math.cos(angle))
    return (door.x + door.width, 0.0), (0.0, -1.0), (-math.sin(angle), math.cos(angle))


def _leaf(build: Build, wall: RoomWall, door: Door) -> Iterator[Finding]:
    if door.swings == "out":
        return
    hinge, first, second = leaf_sector(door)
    worst: dict[str, tuple[float, PlacedPart]] = {}
    for placed in build.plan.walk():
        if placed.bounds().lo[2] >= door.height:
            continue
        inside = clipped(clipped(footprint(placed, wall.frame), hinge, first), hinge, second)
        if len(inside) < 3:
            continue
        near = distance(hinge, inside)
        unit = placed.path.split("/", 1)[0]
        if near < door.width - CONTACT and near < worst.get(unit, (math.inf,))[0]:
            worst[unit] = (near, placed)
    for unit, (near, placed) in worst.items():
        yield Finding(
            code="door-leaf",
            severity="fault",
            message=f"{door.name} on {wall.name} swings into {unit}: {placed.path} stands "
            f"{show_length(near, build.plan.lengths)} from its hinges, the leaf is "
            f"{show_length(door.width, build.plan.lengths)} wide",
            parts=(placed.path,),
            value=rounded(near),
            limit=door.width,
            source="the room file",
            at=placed.bounds().center,
        )


def _doorway(build: Build, wall: RoomWall, door: Door) -> Iterator[Finding]:
    before = Box((door.x, -STEP, 0.0), (door.x + door.width, 0.0, door.height))
    back = wall.frame.inverse()
    units: dict[str, list[PlacedPart]] = {}
    for placed in build.plan.walk():
        if before.common(placed.moved(back).bounds()):
            units.setdefault(placed.path.split("/", 1)[0], []).append(placed)
    for unit, them in units.items():
        away = max(0.0, min(-p.moved(back).bounds().hi[1] for p in them))
        yield Finding(
            code="doorway",
            severity="fault",
            message=f"{unit} stands before {door.name} on {wall.name}, {show_length(away, build.plan.lengths)} from it",
            parts=tuple(p.path for p in them),
            value=rounded(away),
            limit=STEP,
            source="room to step through a door (common practice)",
            at=them[0].bounds().center,
        )


def _clear_floor(build: Build) -> Iterator[Finding]:
    """The floor before each unit that stands on it, out from its foremost part to what is across from it."""
    for wall in build.walls:
        units = [u for u in build.plan.units if build.stands_at[u.name] == wall.name and _on_floor(u)]
        for unit in units:
            yield from _before(build, wall, unit)


def _on_floor(unit: BuiltUnit) -> bool:
    return unit.kind != "corner" and any(p.bounds().lo[2] <= CONTACT for p in unit.parts)


HEAD = 2000.0
"""mm. What hangs higher than this is walked under (common practice)."""


def _before(build: Build, wall: RoomWall, unit: BuiltUnit) -> Iterator[Finding]:
    outlines = [footprint(p, wall.frame) for p in unit.parts if p.role != "hardware"]
    (left, front), (right, _) = extent(outlines)
    free, met = free_ahead(build, wall, unit, outlines)
    if free < CLEAR_FLOOR - CONTACT:
        yield Finding(
            code="clear-floor",
            severity="warning",
            message=f"{unit.name} has {show_length(free, build.plan.lengths)} of clear floor before it, to {met}",
            parts=(),
            value=rounded(free),
            limit=CLEAR_FLOOR,
            source="2010 ADA Standards 403.5.1: 36 in of clear width",
            at=wall.frame.apply(((left + right) / 2, front - free / 2, 0.0)),
        )


def extent(outlines: Sequence[Polygon]) -> tuple[Point2, Point2]:
    """The least and the greatest x and y of some outlines."""
    points = [p for outline in outlines for p in outline]
    (x0, x1), (y0, y1) = ((min(c), max(c)) for c in zip(*points, strict=True))
    return (x0, y0), (x1, y1)


def free_ahead(build: Build, wall: RoomWall, unit: BuiltUnit, outlines: Sequence[Polygon]) -> tuple[float, str]:
    """The free floor (mm) before the foremost point of some outlines of a unit, in the frame of its wall, and what
    bounds it: the units of other walls, or a wall. Infinite where nothing is across."""
    (left, front), (right, _) = extent(outlines)
    free, met = math.inf, ""
    own = {p.path for p in unit.parts}
    for other in build.plan.walk():
        name = other.path.split("/", 1)[0]
        if other.path in own or build.stands_at[name] == wall.name or other.bounds().lo[2] >= HEAD:
            continue
        free, met = min((free, met), (_ahead(footprint(other, wall.frame), left, right, front), name))
    for across in build.walls:
        if across is wall:
            continue
        ends = [wall.frame.inverse().apply(across.frame.apply((x, 0.0, 0.0))) for x in (0.0, across.wall.width)]
        line = [(p[0], p[1]) for p in ends]
        free, met = min((free, met), (_ahead(line, left, right, front), f"the wall {across.name}"))
    return free, met


def _ahead(outline: Polygon, left: float, right: float, front: float) -> float:
    """How far before the line y = `front`, between `left` and `right`, the outline begins; infinite where it is not."""
    strip = clipped(clipped(outline, (left + 1.0, 0.0), (1.0, 0.0)), (right - 1.0, 0.0), (-1.0, 0.0))
    ahead = [front - y for _, y in strip if y < front]
    return min(ahead, default=math.inf)
