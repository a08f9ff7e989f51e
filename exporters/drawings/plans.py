"""The plan of a room: walls, doors, windows and outlets, the units from above, and what stands under a top dashed."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from exporters.drawings.arrange import Arrangement, composed
from exporters.drawings.codes import coded
from exporters.drawings.display import Hatch, Item, Path, Rect, Sheet, Text, overlap, rect_of
from exporters.drawings.on_paper import Placed, Space, drawn
from exporters.drawings.rows import Side
from exporters.drawings.standards import FIRST_ROW, LETTERS
from exporters.drawings.tidy import Line
from exporters.drawings.units import row
from exporters.drawings.views import behind, bounds, view
from exporters.drawings.walls import COARSE, OVER_FLOOR, made_of, stops_along, titles, units_table
from model.placement import Placement
from model.plan import BuiltUnit
from model.room.room import Door
from model.shapes import Point2, Vec

if TYPE_CHECKING:
    from model.build import Build, RoomWall

SQUARE = 1e-6
BAND = 3.0
"""mm on paper. How thick walls are drawn."""
NOTES = ("Heavy lines are faces of walls.", "Dashed: what stands under a top.")


def plan_sheet(build: "Build", count: int) -> Sheet:
    unit = build.plan.lengths
    lines = view(build.plan.walk(), "top")
    frames = {w.name: w.frame.inverse() for w in build.walls}
    standing = [u for u in build.plan.units if u.parts]
    table = units_table(standing, {u.name: frames[build.stands_at[u.name]] for u in standing}, unit)
    corners = [w.frame.apply((x, 0.0, 0.0)) for w in build.walls for x in (0.0, w.wall.width)]
    corners += [w.frame.apply((x, y, 0.0)) for w in build.walls for d in w.wall.doors for x, y in _swing(d)]
    xs, ys = [c[0] for c in corners], [c[1] for c in corners]
    room = (min(lines.box[0], *xs), min(lines.box[1], *ys), max(lines.box[2], *xs), max(lines.box[3], *ys))
    under = _under(build, standing)

    def views(scale: float) -> list[Item]:
        around = _with_walls(build.walls, room, BAND * scale)
        on = Placed((-around[0] / scale, -around[1] / scale), scale, around)
        items = [*drawn(lines, on), *(Path("HIDDEN", (on.at(a), on.at(b))) for a, b in under)]
        for wall, ends in zip(build.walls, _mitres(build.walls), strict=True):
            items += _wall(wall, on, ends)
        taken: dict[Side, float] = {}
        spans: set[tuple[int, float, float]] = set()
        for wall in build.walls:
            items += _along_wall(build, wall, on, taken, spans)
        items += _codes(build, standing, on, items)
        x0, _, x1, y1 = rect_of(items)
        return [*items, Text("TEXT", ((x0 + x1) / 2, y1 + 5.0), "plan", LETTERS, "centre")]

    made = Arrangement("room-plan", "Plan", unit, titles(build, "plan", "Room drawing", "PLAN", (1, count)))
    real = (room[2] - room[0], room[3] - room[1])
    return composed(made, views, lambda _: [table], NOTES, real, COARSE[unit], least=1)


def _with_walls(walls: Sequence["RoomWall"], room: Rect, thick: float) -> Rect:
    """The room with the walls round it."""
    points = [w.frame.apply((x, thick, 0.0)) for w in walls for x in (0.0, w.wall.width)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(room[0], *xs), min(room[1], *ys), max(room[2], *xs), max(room[3], *ys))


def _codes(build: "Build", standing: Sequence[BuiltUnit], on: Placed, items: Sequence[Item]) -> list[Item]:
    """The code of each unit in it, in a dashed circle under a top; what is least across is served first."""
    space = Space()
    space.take(items)
    boxes = {u.name: bounds(u.parts, Placement()) for u in standing}
    paper = {u.name: (*on.at(boxes[u.name][0][:2]), *on.at(boxes[u.name][1][:2])) for u in standing}
    own = {u.name: _own(build, u, on, paper[u.name]) for u in standing}
    found: list[Item] = []
    for u in sorted(standing, key=lambda u: (_area(paper[u.name]), u.code)):
        above = [o for o in standing if boxes[o.name][0][2] > boxes[u.name][1][2] - 1.0 and o is not u]
        before = [paper[o.name] for o in above if o.kind != "top"]
        hidden = any(o.kind == "top" and overlap(paper[o.name], paper[u.name], 0.1) for o in above)
        found += coded(u.code, own[u.name], space, before, "HIDDEN" if hidden else "MARKS")
    return found


def _own(build: "Build", unit: BuiltUnit, on: Placed, around: Rect) -> Rect:
    """The rectangle on paper that lies in a unit: the one round it, but for a unit that stands askew on the sheet."""
    frame = next(w.frame for w in build.walls if w.name == build.stands_at[unit.name])
    (cos, sin, _) = frame.turn((1.0, 0.0, 0.0))
    if min(abs(cos), abs(sin)) < SQUARE:
        return around
    low, high = bounds(unit.parts, frame.inverse())
    middle = frame.apply(((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, 0.0))
    half = min(high[0] - low[0], high[1] - low[1]) / 2 / (abs(cos) + abs(sin))
    return (*on.at((middle[0] - half, middle[1] - half)), *on.at((middle[0] + half, middle[1] + half)))


def _area(r: Rect) -> float:
    return round((r[2] - r[0]) * (r[3] - r[1]), 3)


def _under(build: "Build", standing: Sequence[BuiltUnit]) -> list[tuple[Point2, Point2]]:
    """Outlines of units that stand on the floor, where something lies over them."""
    frames = {w.name: w.frame for w in build.walls}
    edges: list[tuple[Vec, Vec]] = []
    for u in standing:
        if u.kind in OVER_FLOOR or u.kind == "corner":
            continue
        frame = frames[build.stands_at[u.name]]
        low, high = bounds(made_of(u), frame.inverse())
        z = high[2]
        ring = [(low[0], low[1], z), (high[0], low[1], z), (high[0], high[1], z), (low[0], high[1], z)]
        points = [frame.apply(p) for p in ring]
        edges += list(zip(points, (*points[1:], points[0]), strict=True))
    _, hidden = behind(edges, build.plan.walk(), "top", Placement())
    return [(p.start, p.end) for p in hidden if isinstance(p, Line)]


def _mitres(walls: Sequence["RoomWall"]) -> list[tuple[float, float]]:
    """How far the outer side of each wall runs past its ends, in thicknesses of the wall."""
    found = [[0.0, 0.0] for _ in walls]
    for i, wall in enumerate(walls):
        other = walls[(i + 1) % len(walls)]
        end, start = wall.frame.apply((wall.wall.width, 0.0, 0.0)), other.frame.apply((0.0, 0.0, 0.0))
        if other is wall or math.dist(end, start) > 1.0:
            continue
        (ax, ay, _), (bx, by, _) = wall.frame.turn((1.0, 0.0, 0.0)), other.frame.turn((1.0, 0.0, 0.0))
        turn = math.atan2(bx * ay - by * ax, ax * bx + ay * by)
        past = math.tan(max(min(turn, 2.6), -2.6) / 2)
        found[i][1], found[(i + 1) % len(walls)][0] = past, past
    return [(a, b) for a, b in found]


def _wall(wall: "RoomWall", on: Placed, past: tuple[float, float]) -> list[Item]:
    """A wall hatched behind its face, its windows as double lines, its doors with their swing, outlets, studs."""

    def at(x: float, y: float) -> Point2:
        p = wall.frame.apply((x, y, 0.0))
        return on.at((p[0], p[1]))

    into, width = BAND * on.scale, wall.wall.width
    items: list[Item] = []
    openings = sorted((o.x, o.x + o.width) for o in (*wall.wall.windows, *wall.wall.doors))
    start = 0.0
    for a, b in [*openings, (width, width)]:
        if a > start:
            outer = (start - past[0] * into * (start == 0.0), a + past[1] * into * (a == width))
            ring = (at(start, 0.0), at(a, 0.0), at(outer[1], into), at(outer[0], into))
            items += [Hatch("HATCH", (ring,), 45.0, 1.1), Path("NOTES", (ring[3], ring[2]))]
            items.append(Path("CUT", (at(start, 0.0), at(a, 0.0))))
            items += [Path("CUT", (at(x, 0.0), at(x, into))) for x in (start, a) if 0.0 < x < width]
        start = max(start, b)
    for window in wall.wall.windows:
        a, b = window.x, window.x + window.width
        items += [Path("ROOM", (at(a, y), at(b, y))) for y in (0.0, into / 2, into)]
    for door in wall.wall.doors:
        swing = _swing(door)
        items += [Path("ROOM", (at(*swing[0]), at(*swing[-1]))), Path("NOTES", tuple(at(*p) for p in swing[1:]))]
    for outlet in wall.wall.outlets:
        half = into / 2
        items.append(Path("ROOM", (at(outlet.x - half, 0.0), at(outlet.x, -into * 0.6), at(outlet.x + half, 0.0))))
    for thing in wall.wall.obstacles:
        a, b, out = thing.x, thing.x + thing.width, -thing.projection
        items.append(Path("ROOM", (at(a, 0.0), at(a, out), at(b, out), at(b, 0.0))))
    if wall.wall.studs:
        there = [x for x in wall.wall.studs.centres(width) if not any(a < x < b for a, b in openings)]
        items += [Path("CENTRE", (at(x, -into / 2), at(x, into * 1.5))) for x in there]
    return items


def _swing(door: Door) -> list[Point2]:
    """The hinge of a door and the arc of its leaf's edge from shut to open, in the frame of its wall."""
    hinge, free = (door.x, door.x + door.width) if door.hinged == "left" else (door.x + door.width, door.x)
    side = -1.0 if door.swings == "in" else 1.0
    steps = [math.radians(door.opens) * k / 16 for k in range(17)]
    way = free - hinge
    return [(hinge, 0.0), *((hinge + way * math.cos(t), side * door.width * math.sin(t)) for t in steps)]


def _along_wall(
    build: "Build", wall: "RoomWall", on: Placed, taken: dict[Side, float], spans: set[tuple[int, float, float]]
) -> list[Item]:
    """Chains along a wall that lies square on the sheet: the units, then the whole; others have theirs in elevation."""
    direction, into = wall.frame.turn((1.0, 0.0, 0.0)), wall.frame.turn((0.0, 1.0, 0.0))
    if min(abs(direction[0]), abs(direction[1])) > SQUARE:
        return []
    side: Side = ("above" if into[1] > 0 else "below") if abs(into[1]) > 0.5 else ("right" if into[0] > 0 else "left")
    along = 0 if abs(direction[0]) > 0.5 else 1
    start = wall.frame.apply((0.0, 0.0, 0.0))[along]
    way = direction[along]
    axis = on.axis(side)
    away = taken.get(side, FIRST_ROW)
    items: list[Item] = []
    for name, stops in (
        (f"units {wall.name}", stops_along(build, wall)),
        (f"wall {wall.name}", [0.0, wall.wall.width]),
    ):
        there = sorted(round(start + way * s, 3) for s in stops)
        if len(there) == 2 and (along, there[0], there[1]) in spans:
            continue  # the wall across is as long, and told
        spans |= {(along, there[0], there[1])} if len(there) == 2 else set()
        found, away = row(axis, there, away, build.plan.lengths, name)
        items += found
    taken[side] = away + 3.0
    return items
