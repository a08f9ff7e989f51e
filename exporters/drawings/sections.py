"""Sections of the room from front to back, through each different stack of units along a wall.

Heights are from the floor, depths from the wall.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from exporters.drawings.arrange import Arrangement, composed
from exporters.drawings.codes import coded
from exporters.drawings.display import Hatch, Item, Path, Rect, Sheet, Text, rect_of, shifted
from exporters.drawings.on_paper import Placed, Space, drawn
from exporters.drawings.planes import cut_at
from exporters.drawings.rows import Axis, Side
from exporters.drawings.scan import distinct
from exporters.drawings.standards import FIRST_ROW, HEADING, projection
from exporters.drawings.units import row
from exporters.drawings.views import Direction, Lines, bounds, view
from exporters.drawings.walls import made_of, titles, units_at
from model.lengths import LengthUnit
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box

if TYPE_CHECKING:
    from model.build import Build, RoomWall

NARROW = 80.0
"""mm. A stretch of wall narrower than this has no section of its own: an end panel, a filler."""
ALIKE = 10.0
"""mm. Stacks whose heights and depths differ by less are alike."""
AT_ONCE = 5
"""Sections on one sheet, at most."""
BETWEEN = 10.0
"""mm. From one section with its dimensions to the next."""
WALL = 3.0
"""mm on paper. How thick a wall is drawn."""
BEFORE = 6.0
"""mm on paper. How far floor and ceiling are drawn before the deepest unit: not as far as the heights."""
COARSE = {"mm": 20.0, "in": 24.0}
LETTERS_OF = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""No I and no O."""


@dataclass(frozen=True, slots=True)
class Stack:
    """What stands one on another: cut at `at` along its wall (mm), under a letter of its own in the room."""

    letter: str
    at: float
    units: tuple[str, ...]


def stacks_of(build: "Build") -> dict[str, list[Stack]]:
    """The stacks along each wall from left to right, each kind once, lettered through the room."""
    found: dict[str, list[Stack]] = {}
    letters = iter(f"{a}{b}" for b in ("", *"23456789") for a in LETTERS_OF)
    for wall in build.walls:
        for at, units in _stretches(build, wall):
            found.setdefault(wall.name, []).append(Stack(next(letters), at, units))
    return found


def _stretches(build: "Build", wall: "RoomWall") -> list[tuple[float, tuple[str, ...]]]:
    """Where to cut each stack that is unlike those left of it, and the names of its units."""
    frame = wall.frame.inverse()
    units = [u for u in units_at(build, wall) if u.kind not in ("corner", "panel", "filler")]
    boxes = {u.name: Box(*bounds(made_of(u), frame)) for u in units}
    ends = distinct([v for b in boxes.values() for v in (b.lo[0], b.hi[0])])
    seen: set[tuple[object, ...]] = set()
    found: list[tuple[float, tuple[str, ...]]] = []
    for a, b in pairwise(ends):
        here = [u for u in units if boxes[u.name].lo[0] < (a + b) / 2 < boxes[u.name].hi[0]]
        if b - a < NARROW or not any(u.kind != "top" for u in here):
            continue
        key = tuple(_profile(u, boxes[u.name]) for u in sorted(here, key=lambda u: boxes[u.name].lo[2]))
        if key not in seen:
            seen.add(key)
            parts = [(Box(*bounds([p], frame)), p) for u in here for p in u.parts]
            found.append((cut_at(parts, (a, b), frame), tuple(u.name for u in here)))
    return found


def _profile(unit: BuiltUnit, box: Box) -> tuple[object, ...]:
    return (unit.kind, *(round(v / ALIKE) for v in (box.lo[1], box.hi[1], box.lo[2], box.hi[2])))


def grouped(stacks: Sequence[Stack]) -> list[list[Stack]]:
    """The stacks by sheets, as evenly as may be."""
    count = -(-len(stacks) // AT_ONCE)
    size = -(-len(stacks) // count) if count else 1
    return [list(stacks[i : i + size]) for i in range(0, len(stacks), size)]


@dataclass(frozen=True)
class _Cut:
    """A stack as it is drawn: its view, and where its units lie in it."""

    stack: Stack
    lines: Lines
    codes: tuple[tuple[str, Rect], ...]
    heights: tuple[float, ...]
    counter: float | None
    below: tuple[float, ...]
    above: tuple[float, ...]
    ceiling: Callable[[float], float]
    """Its height over the floor by how far off the wall."""
    openings: tuple[tuple[float, float], ...]
    """In the wall: from, to."""


def section_sheet(build: "Build", wall: "RoomWall", stacks: Sequence[Stack], name: str, of: tuple[int, int]) -> Sheet:
    """Some of a wall's sections side by side."""
    unit = build.plan.lengths
    materials = tuple(sorted({p.part.material for p in build.plan.walk()}))
    cuts = [_cut(build, wall, s) for s in stacks]
    reach = max(abs(v) for c in cuts for v in c.below)

    def views(scale: float) -> list[Item]:
        items: list[Item] = []
        x = 0.0
        for cut in cuts:
            block = _drawn(cut, scale, materials, build)
            x0, _, x1, _ = rect_of(block)
            items += [shifted(i, x - x0, 0.0) for i in block]
            x += x1 - x0 + BETWEEN
        return items

    letters = ", ".join(f"{s.letter}-{s.letter}" for s in stacks)
    title = titles(build, wall.name, "Sections", f"{stacks[0].letter}-{stacks[-1].letter}", of)
    made = Arrangement(name, f"Sections {letters} at {wall.name}", unit, title)
    tall = max(c.ceiling(0.0) for c in cuts)
    return composed(made, views, lambda _: [], [], (reach * len(cuts), tall), COARSE[unit], least=1)


def _cut(build: "Build", wall: "RoomWall", stack: Stack) -> _Cut:
    frame = wall.frame.inverse()
    units = [u for u in build.plan.units if u.name in stack.units]
    first = projection(build.plan.lengths) == "first"
    side: Direction = "left" if first else "right"
    sign = 1.0 if first else -1.0  # the room lies right of the wall, or left
    lines = view([p for u in units for p in u.parts], side, -stack.at if first else stack.at, frame)
    boxes = {u.name: Box(*bounds(_slab(u), frame)) for u in units}
    standing = [b for u, b in ((u, boxes[u.name]) for u in units) if u.kind not in ("upper", "connecting")]
    hung = [boxes[u.name] for u in units if u.kind in ("upper", "connecting")]
    tops = [boxes[u.name].hi[2] for u in units if u.kind == "top"]

    def ceiling(off: float) -> float:
        return build.overhead.over(wall.frame.apply((stack.at, -off, 0.0)))

    heights = distinct(
        [0.0, ceiling(0.0), *(v for b in boxes.values() for v in (b.lo[2], b.hi[2]) if v < ceiling(0.0))]
    )
    holes = [(o.z, o.z + o.height) for o in wall.wall.windows if o.x < stack.at < o.x + o.width]
    holes += [(0.0, d.height) for d in wall.wall.doors if d.x < stack.at < d.x + d.width]

    def rect(unit: BuiltUnit) -> Rect:
        (_, y0, z0), (_, y1, z1) = bounds(unit.parts, frame)
        a, b = sorted((-sign * y0, -sign * y1))
        return (a, z0, b, z1)

    return _Cut(
        stack, lines, tuple((u.code, rect(u)) for u in units), tuple(heights), max(tops, default=None),
        tuple(distinct([0.0, *(sign * -b.lo[1] for b in standing)])),
        tuple(distinct([0.0, *(sign * -b.lo[1] for b in hung)])), ceiling, tuple(holes),
    )  # fmt: skip


def _slab(unit: BuiltUnit) -> list[PlacedPart]:
    """What of a unit counts as its height: of a top its slab alone."""
    made = made_of(unit)
    return [p for p in made if p.role == "top"] or made if unit.kind == "top" else made


def _drawn(cut: _Cut, scale: float, materials: Sequence[str], build: "Build") -> list[Item]:
    """A section on paper, the floor at y = 0 and the wall's face at x = 0."""
    unit = build.plan.lengths
    first = projection(unit) == "first"
    sign = 1.0 if first else -1.0
    width = max(abs(v) for v in (*cut.below, *cut.above))
    tall = max(cut.ceiling(0.0), cut.ceiling(width + BEFORE * scale))
    box = (0.0, 0.0, width, tall) if first else (-width, 0.0, 0.0, tall)
    on = Placed((0.0, 0.0), scale, box)
    items = [*drawn(cut.lines, on, materials), *_room(cut, on, sign)]
    side, far = ("right", "left") if first else ("left", "right")
    items += _rows(on.axis(side), [("heights", cut.heights), ("height", (0.0, cut.heights[-1]))], FIRST_ROW, cut, unit)
    if cut.counter is not None:
        items += _rows(on.axis(far), [("counter", (0.0, cut.counter))], FIRST_ROW + WALL, cut, unit)
    depths: tuple[tuple[Side, tuple[float, ...]], ...] = (("below", cut.below), ("above", cut.above))
    for where, stops in depths:
        items += _rows(on.axis(where), [(f"depths {where}", stops)], FIRST_ROW, cut, unit)
    space = Space()
    space.take(items)
    faces = [rect_of([i]) for i in items if isinstance(i, Hatch)]
    for code, (a, z0, b, z1) in cut.codes:
        items += coded(code, (*on.at((a, z0)), *on.at((b, z1))), space, faces)
    x0, _, x1, y1 = rect_of(items)
    letter = cut.stack.letter
    return [*items, Text("TEXT", ((x0 + x1) / 2, y1 + 5.0), f"{letter}-{letter}", HEADING, "centre")]


def _rows(
    axis: Axis, rows: Sequence[tuple[str, Sequence[float]]], away: float, cut: _Cut, unit: LengthUnit
) -> list[Item]:
    """Chains one beyond another at a side of a section; that of the heights first, then the whole."""
    items: list[Item] = []
    for name, stops in rows:
        found, away = row(axis, stops, away, unit, f"{name} {cut.stack.letter}")
        items += found
    return items


def _room(cut: _Cut, on: Placed, sign: float) -> list[Item]:
    """Wall, floor and ceiling: the wall hatched, but for openings."""
    x0 = -sign * WALL
    items: list[Item] = []
    start = 0.0
    top = on.at((0.0, cut.ceiling(0.0)))[1]
    for a, b in [*((on.at((0, z0))[1], on.at((0, z1))[1]) for z0, z1 in sorted(cut.openings)), (top, top)]:
        if a > start:
            ring = ((0.0, start), (0.0, a), (x0, a), (x0, start))
            items += [Hatch("HATCH", (ring,), 45.0, 1.1), Path("NOTES", (ring[3], ring[2])), Path("CUT", ring[:2])]
        if b > a:
            items += [Path("ROOM", ((x, a), (x, b))) for x in (0.0, x0 / 2, x0)]
        start = max(start, b)
    reach = max(abs(v) for v in (on.box[0], on.box[2])) + BEFORE * on.scale
    points = [on.at((sign * reach * k / 8, cut.ceiling(reach * k / 8))) for k in range(9)]
    if cut.ceiling(0.0) == cut.ceiling(reach / 2) == cut.ceiling(reach):
        points = [points[0], points[-1]]
    items.append(Path("CUT", ((x0, 0.0), (points[-1][0], 0.0))))
    items.append(Path("CUT", ((x0, points[0][1]), *points)))
    return items
