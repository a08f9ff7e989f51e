"""Sheets of the room: its plan, and each wall with the units before it, what is on it and the ceiling over it."""

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from exporters.drawings.arrange import Arrangement, composed
from exporters.drawings.codes import coded, named
from exporters.drawings.display import Item, Path, Rect, Sheet, Text, rect_of
from exporters.drawings.frame import Table, short
from exporters.drawings.on_paper import Placed, Space, drawn
from exporters.drawings.planes import cutting_plane
from exporters.drawings.plans import plan_sheet
from exporters.drawings.rows import Axis
from exporters.drawings.scan import distinct, over_front
from exporters.drawings.sections import Stack, grouped, section_sheet, stacks_of
from exporters.drawings.standards import FIRST_ROW, LETTERS, projection
from exporters.drawings.tidy import Line, Piece
from exporters.drawings.units import row
from exporters.drawings.views import behind, bounds, view
from exporters.drawings.walls import (
    COARSE,
    Thing,
    made_of,
    on_wall,
    stops_along,
    things_on,
    titles,
    units_at,
    units_table,
)
from exporters.pictures.room_scene import bends
from model.lengths import LengthUnit, show_number
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box, Vec

if TYPE_CHECKING:
    from model.build import Build, RoomWall

SQUARE = 1e-6
Edge = tuple[Vec, Vec]


def room_sheets(build: "Build", names: dict[str, str]) -> list[Sheet]:
    """The plan, the elevation of every wall, and sections of what stands at it; `names` are file names of walls."""
    walls = [w for w in build.walls if units_at(build, w) or things_on(w)]
    stacks = stacks_of(build)
    groups = [(w, some) for w in walls for some in grouped(stacks.get(w.name, []))]
    count = 1 + len(walls) + len(groups)
    sheets = [plan_sheet(build, count)]
    for i, wall in enumerate(walls):
        own = stacks.get(wall.name, [])
        sheets.append(_elevation(build, wall, f"wall-{names[wall.name]}", (i + 2, count), own))
    for i, (wall, some) in enumerate(groups):
        letters = "-".join(dict.fromkeys((some[0].letter, some[-1].letter)))
        name = f"section-{names[wall.name]}-{letters}"
        sheets.append(section_sheet(build, wall, some, name, (2 + len(walls) + i, count)))
    return sheets


def _elevation(build: "Build", wall: "RoomWall", name: str, of: tuple[int, int], stacks: Sequence[Stack]) -> Sheet:
    unit, frame = build.plan.lengths, wall.frame.inverse()
    units = units_at(build, wall)
    parts = [p for u in units for p in u.parts]
    lines = view(parts, "front", frame=frame)
    edges, quiet = _room_edges(build, wall)
    seen, hidden = behind(edges, parts, "front", frame)
    studs, _ = behind(quiet, parts, "front", frame)
    box = (
        min(lines.box[0], 0.0),
        0.0,
        max(lines.box[2], wall.wall.width),
        max([build.overhead.over(wall.frame.apply((x, 0.0, 0.0))) for x in (0.0, wall.wall.width)] + [lines.box[3]]),
    )
    tables = [units_table(units, {u.name: frame for u in units}, unit)] if units else []
    things = things_on(wall)
    if things:
        tables.append(_on_wall_table(things, unit))
    notes = _studs_note(wall, unit)

    def views(scale: float) -> list[Item]:
        on = Placed((-box[0] / scale, 0.0), scale, box)
        items = drawn(lines, on)
        items += [_room_line("ROOM", p, on) for p in seen] + [_room_line("HIDDEN", p, on) for p in hidden]
        items += [_room_line("CENTRE", p, on) for p in studs]
        items += _chains(build, wall, units, on, box)
        for stack in stacks:
            below, above = [0.0, *stops_along(build, wall), wall.wall.width], _stops_over(units, frame, wall)
            items += cutting_plane(stack.at, stack.letter, on, projection(unit) == "first", below, above)
        space = Space()
        space.take(items)
        for name, x, z, width, height in things:
            own = (*on.at((x, z)), *on.at((x + width, z + height)))
            items += named(short(name, 24), own, space)
        items += _codes(units, frame, on, space)
        x0, _, x1, y1 = rect_of(items)
        return [*items, Text("TEXT", ((x0 + x1) / 2, y1 + 5.0), short(wall.name, 40), LETTERS, "centre")]

    made = Arrangement(
        name, f"Wall {wall.name}", unit, titles(build, wall.name, "Wall elevation", short(wall.name, 16), of)
    )
    return composed(made, views, lambda _: tables, notes, (box[2] - box[0], box[3]), COARSE[unit], least=1)


def _codes(units: Sequence[BuiltUnit], frame: Placement, on: Placed, space: Space) -> list[Item]:
    """The code of each unit in what is seen of it, what is least across first."""
    boxes = {u.name: Box(*bounds(u.parts, frame)) for u in units}
    paper = {
        name: (*on.at((b.lo[0], b.lo[2])), *on.at((b.hi[0], b.hi[2]))) for name, b in boxes.items()
    }  # fmt: skip
    found: list[Item] = []
    for u in sorted(units, key=lambda u: (boxes[u.name].size[0] * boxes[u.name].size[2], u.code)):
        before = [paper[o.name] for o in units if boxes[o.name].lo[1] < boxes[u.name].lo[1] - 1.0]
        found += coded(u.code, paper[u.name], space, before)
    return found


def _room_line(layer: str, piece: Piece, on: Placed) -> Path:
    assert isinstance(piece, Line)  # a room has straight edges
    return Path(layer, (on.at(piece.start), on.at(piece.end)))  # type: ignore[arg-type]


def _chains(build: "Build", wall: "RoomWall", units: Sequence[BuiltUnit], on: Placed, box: Rect) -> list[Item]:
    """Units along the floor and the whole below, what hangs or stands on tops above, heights at both ends."""
    lengths, frame = build.plan.lengths, wall.frame.inverse()
    items: list[Item] = []
    away = FIRST_ROW + 3.0  # past the ends of cutting lines
    below = stops_along(build, wall)
    for name, stops in (("units", below), ("wall", [0.0, wall.wall.width])):
        found, away = row(on.axis("below"), stops, away, lengths, name)
        items += found
    stops = _stops_over(units, frame, wall)
    found, _ = row(on.axis("above"), [] if set(stops) <= set(below) else stops, FIRST_ROW + 3.0, lengths, "uppers")
    items += found
    boxes = [Box(*bounds(made_of(u), frame)) for u in units]
    heights: list[list[float]] = []
    for side in ("left", "right"):
        items += _heights(on.axis(side), build, wall, list(zip(units, boxes, strict=True)), heights)
    return items


def _stops_over(units: Sequence[BuiltUnit], frame: Placement, wall: "RoomWall") -> list[float]:
    """Where what hangs or stands on tops begins and ends along a wall, and the wall's ends; nothing without any."""
    high = [bounds(made_of(u), frame) for u in units if u.kind in ("upper", "connecting")]
    ends = [on_wall(v, wall) for low, top in high for v in (low[0], top[0])]
    return distinct([0.0, wall.wall.width, *ends]) if ends else []


def _heights(
    axis: Axis, build: "Build", wall: "RoomWall", units: Sequence[tuple[BuiltUnit, Box]], told: list[list[float]]
) -> list[Item]:
    """From the floor over each unit at one end of the wall to the ceiling there, and the whole; each told once."""
    left = axis.side == "left"
    ceiling = build.overhead.over(wall.frame.apply((0.0 if left else wall.wall.width, 0.0, 0.0)))
    standing = [b for u, b in units if u.kind != "top"]
    chains = [[0.0, ceiling]]
    if standing:
        last = min(standing, key=lambda b: b.lo[0]) if left else max(standing, key=lambda b: b.hi[0])
        flat = [Box((b.lo[0], 0.0, b.lo[2]), (b.hi[0], 1.0, b.hi[2])) for _, b in units]
        stops = over_front(flat, 2, (0.0, ceiling))((last.lo[0] + last.hi[0]) / 2)
        chains.insert(0, [s for s in stops if s <= ceiling + SQUARE])
    items: list[Item] = []
    away = FIRST_ROW
    for name, stops in zip(("heights", "ceiling")[-len(chains) :], chains, strict=True):
        if stops not in told:
            told.append(stops)
            found, away = row(axis, stops, away, build.plan.lengths, f"{name} {axis.side}")
            items += found
    return items


def _on_wall_table(things: Sequence[Thing], unit: LengthUnit) -> Table:
    rows = tuple((short(n, 24), *(show_number(v, unit) for v in (x, x + w, z, z + h))) for n, x, z, w, h in things)
    return Table("On the wall, from its left end and the floor", ("what", "from", "to", "bottom", "top"), rows)


def _studs_note(wall: "RoomWall", unit: LengthUnit) -> list[str]:
    studs = wall.wall.studs
    if studs is None:
        return []
    if studs.spacing is not None:
        first, step = show_number(studs.first, unit), show_number(studs.spacing, unit)
        return [f"Studs: middle of the first {first} {unit} from the left end, then every {step} {unit}."]
    told = ", ".join(show_number(x, unit) for x in studs.centres(wall.wall.width))
    return [short(f"Studs, middles from the left end: {told} {unit}.", 84)]


def _room_edges(build: "Build", wall: "RoomWall") -> tuple[list[Edge], list[Edge]]:
    """Edges of a wall and what is on it, in its frame; and those of its studs."""
    w = wall.wall
    edges: list[Edge] = [((0.0, 0.0, 0.0), (w.width, 0.0, 0.0))]
    over = [
        (x, build.overhead.over(wall.frame.apply((x, 0.0, 0.0)))) for x in bends(wall, (0.0, w.width), build.overhead)
    ]
    edges += [((a, 0.0, h), (b, 0.0, k)) for (a, h), (b, k) in itertools.pairwise(over)]
    edges += [((x, 0.0, 0.0), (x, 0.0, h)) for x, h in (over[0], over[-1])]
    for _, x, z, width, height in things_on(wall):
        corners = [(x, 0.0, z), (x + width, 0.0, z), (x + width, 0.0, z + height), (x, 0.0, z + height)]
        edges += list(itertools.pairwise([*corners, corners[0]]))
    if w.baseboard:
        start = 0.0
        for a, b in [*sorted((d.x, d.x + d.width) for d in w.doors), (w.width, w.width)]:
            if a > start:
                edges.append(((start, 0.0, w.baseboard.height), (a, 0.0, w.baseboard.height)))
            start = max(start, b)
    tops = build.overhead
    studs = []
    for x in w.studs.centres(w.width) if w.studs else ():
        holes = [(o.z, o.z + o.height) for o in w.windows if o.x < x < o.x + o.width]
        holes += [(0.0, d.height) for d in w.doors if d.x < x < d.x + d.width]
        at, top = 0.0, tops.over(wall.frame.apply((x, 0.0, 0.0)))
        for low, high in [*sorted(holes), (top, top)]:
            if low > at:
                studs.append(((x, 0.0, at), (x, 0.0, low)))
            at = max(at, high)
    return edges, studs
