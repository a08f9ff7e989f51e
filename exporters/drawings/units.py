"""The sheet of a unit: front, side, top and a section, with chains of dimensions that add up, and every part's mark."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from exporters.drawings.arrange import Arrangement, composed
from exporters.drawings.details import lettered
from exporters.drawings.display import Item, Round, Sheet, Text, rect_of, shifted
from exporters.drawings.frame import Table, Titles, short
from exporters.drawings.on_paper import Placed, Space, drawn, placed
from exporters.drawings.planes import cut_at, cutting_plane
from exporters.drawings.rows import Axis, chain
from exporters.drawings.scan import best, between, distinct, over_front, through_faces
from exporters.drawings.standards import FIRST_ROW, HEADING, LETTERS, NEXT_ROW, projection
from exporters.drawings.views import Lines, bounds, view
from exporters.drawings.windows import Detail
from model.lengths import LengthUnit, show_number
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box, Point2

BETWEEN = 14.0
"""mm. From one view with its dimensions to the next."""
COARSE = {"mm": (10.0, 20.0), "in": (12.0, 24.0)}
"""The coarsest scale of a unit, and of one that is larger than LARGE, before a larger paper is taken."""
GAP_SEEN = 5.0
"""mm. Heights are not read off through a gap between fronts, which is narrower."""
LARGE = 1500.0
"""mm."""
ABOVE = 12.0
"""mm. From a view to its heading: the ends of a cutting line lie between."""


@dataclass(frozen=True, slots=True)
class UnitDrawing:
    """What a unit's sheet needs to know; `frame` maps the room into the unit's wall (x along it, y into it, z up)."""

    unit: BuiltUnit
    frame: Placement
    marks: dict[Part, str]
    materials: tuple[str, ...]
    project: str
    lengths: LengthUnit
    number: tuple[int, int]
    name: str
    details: tuple[Detail, ...] = ()
    """What is drawn enlarged on a sheet of its own."""


def unit_sheet(drawing: UnitDrawing) -> Sheet:
    """The sheet."""
    unit, lengths = drawing.unit, drawing.lengths
    seen = _Seen.of(drawing)
    title = Titles(drawing.project, unit.name, f"{unit.kind}", "Unit drawing", unit.code, *drawing.number, lengths)
    made = Arrangement(drawing.name, f"{unit.code} {unit.name}", lengths, title)
    table = _table(drawing)
    wide, deep, high = seen.whole.size
    return composed(
        made,
        lambda scale: _views(seen, scale, drawing),
        lambda _: [table],
        [],
        (wide + 2 * deep, high + deep),
        COARSE[lengths][max(wide, high) > LARGE],
        least=1,
    )


@dataclass(frozen=True)
class _Seen:
    """The views of a unit, drawn once for all scales."""

    front: Lines
    side: Lines
    top: Lines
    section: Lines
    at: float
    boxes: tuple[tuple[Box, PlacedPart], ...]
    """True bounds of every part in the wall's frame."""
    whole: Box
    """Bounds of everything but hardware."""

    @classmethod
    def of(cls, drawing: UnitDrawing) -> "_Seen":
        parts, frame = drawing.unit.parts, drawing.frame
        boxes = tuple((Box(*bounds([p], frame)), p) for p in parts)
        made = [b for b, p in boxes if p.part.kind != "hardware"] or [b for b, _ in boxes]
        whole = _around(made)
        at = cut_at(boxes, (whole.lo[0], whole.hi[0]), frame)
        first = projection(drawing.lengths) == "first"
        return cls(
            view(parts, "front", frame=frame),
            view(parts, "left" if first else "right", frame=frame),
            view(parts, "top", frame=frame),
            view(parts, "left" if first else "right", section=-at if first else at, frame=frame),
            at,
            boxes,
            whole,
        )


def _around(boxes: Sequence[Box]) -> Box:
    """The box round boxes."""
    low = [min(b.lo[i] for b in boxes) for i in range(3)]
    high = [max(b.hi[i] for b in boxes) for i in range(3)]
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _views(seen: _Seen, scale: float, drawing: UnitDrawing) -> list[Item]:
    """All views with their dimensions: the side and the section right of the front, the top below or above it."""
    first = projection(drawing.lengths) == "first"
    items, on = _front(seen, scale, drawing)
    around = rect_of(items)
    side = [
        *drawn(seen.side, placed(seen.side, scale)),
        *_heading(seen.side, scale, "from the left" if first else "from the right"),
    ]
    items += _right_of(side, around, on, seen.side, scale)
    section = _section(seen, scale, drawing)
    items += _right_of(section, rect_of(items), on, seen.section, scale)
    top = _top(seen, scale, drawing)
    low, high = rect_of(top)[1], rect_of(top)[3]
    dy = around[1] - BETWEEN / 2 - high if first else around[3] + BETWEEN / 2 - low
    items += [shifted(i, 0.0, dy) for i in top]
    return items


def _right_of(
    block: list[Item], around: tuple[float, float, float, float], on: Placed, lines: Lines, scale: float
) -> list[Item]:
    """A view at the same height as the front, right of what is there."""
    dx = around[2] + BETWEEN - rect_of(block)[0]
    dy = on.at((0.0, 0.0))[1] - placed(lines, scale).at((0.0, 0.0))[1]
    return [shifted(i, dx, dy) for i in block]


def _heading(lines: Lines, scale: float, words: str) -> list[Item]:
    x0, _, x1, y1 = placed(lines, scale).rect
    return [Text("TEXT", ((x0 + x1) / 2, y1 + ABOVE), words, LETTERS, "centre")]


def row(axis: Axis, stops: Sequence[float], away: float, unit: LengthUnit, name: str) -> tuple[list[Item], float]:
    """A chain beside a view; and where the next row may lie."""
    if len(stops) < 2:
        return [], away
    dims, reach = chain(axis, stops, away, unit, name)
    return list(dims), max(reach + 4.5, away + NEXT_ROW)


def _front(seen: _Seen, scale: float, drawing: UnitDrawing) -> tuple[list[Item], Placed]:
    """The front with heights at the left (and right, where another column differs), widths below, marks."""
    unit, whole = drawing.lengths, seen.whole
    on = placed(seen.front, scale)
    items = drawn(seen.front, on)
    solid = _banded(seen, drawing.unit) or [b for b, _ in seen.boxes]
    heights = over_front(solid, 2, (whole.lo[2], whole.hi[2]))
    ends = distinct([v for b in solid for v in (b.lo[0], b.hi[0])])
    xs = [(a + b) / 2 for a, b in pairwise(ends) if b - a > GAP_SEEN]
    middle = (whole.lo[0] + whole.hi[0]) / 2
    left = best(heights, [x for x in xs if x < middle + 1], on.axis("left"), unit)
    left = left or best(heights, xs, on.axis("left"), unit)
    right = best(heights, [x for x in reversed(xs) if x > middle], on.axis("right"), unit, left)
    widths = over_front(solid, 0, (whole.lo[0], whole.hi[0]))
    across = best(widths, between([v for b in solid for v in (b.lo[2], b.hi[2])]), on.axis("below"), unit)
    away = FIRST_ROW
    for name, stops in (("heights", left), ("height", [whole.lo[2], whole.hi[2]])):
        found, away = row(on.axis("left"), stops, away, unit, name)
        items += found
    found, _ = row(on.axis("right"), right, FIRST_ROW, unit, "heights right")
    items += found
    away = FIRST_ROW + 3.0  # past the end of the cutting line
    for name, stops in (("widths", across), ("width", [whole.lo[0], whole.hi[0]])):
        found, away = row(on.axis("below"), stops, away, unit, name)
        items += found
    items += cutting_plane(seen.at, "A", on, projection(unit) == "first", [*across, whole.lo[0], whole.hi[0]])
    space = Space()
    space.take(items)
    items += _places(drawing, ("front",), on, space)
    items += _marks_in_front(seen, on, space, drawing)
    return [*items, *_heading(seen.front, scale, "front")], on


def _banded(seen: _Seen, unit: BuiltUnit) -> list[Box]:
    """The boxes of what is made, panels with the bands that are glued to them: a band alone is not dimensioned."""
    boxes = {p.path: b for b, p in seen.boxes if p.part.kind != "hardware"}
    kinds = {p.path: p.part.kind for p in unit.parts}
    for joint in unit.joints:
        for band, panel in ((joint.a, joint.b), (joint.b, joint.a)):
            if joint.kind == "glued" and kinds.get(band) == "band" and panel in boxes and band in boxes:
                boxes[panel] = _around([boxes[panel], boxes.pop(band)])
    return list(boxes.values())


def _places(drawing: UnitDrawing, directions: Sequence[str], on: Placed, space: Space) -> list[Item]:
    """A thin circle and a letter at the place of each detail that is seen from there."""
    items: list[Item] = []
    for letter, detail in lettered(drawing.details):
        if detail.direction in directions:
            ring = Round("MARKS", on.at(detail.middle), detail.radius / on.scale)
            space.take([ring])
            items += [ring, *space.tag(letter, ring.middle, ring.radius, HEADING)]
    return items


def _marks_in_front(seen: _Seen, on: Placed, space: Space, drawing: UnitDrawing) -> list[Item]:
    """The mark of each part that is seen from the front, once: on it, or beside it with a leader."""
    items: list[Item] = []
    told: set[str] = set()
    solid = [(b, p) for b, p in seen.boxes if p.part.kind != "hardware"]
    for box, placed_part in sorted(solid, key=lambda bp: (-bp[0].size[0] * bp[0].size[2], bp[1].path)):
        mark = drawing.marks[placed_part.part]
        if mark in told:
            continue
        at = _seen_point(box, seen.boxes)
        if at is not None:
            told.add(mark)
            items += space.tag(mark, on.at(at), lead=True)
    return items


def _seen_point(box: Box, boxes: Sequence[tuple[Box, PlacedPart]]) -> Point2 | None:
    """A point of a box, near its middle, with nothing in front of it; None where it is all hidden."""
    steps = (0.5, 0.62, 0.38, 0.75, 0.25, 0.88, 0.12)
    for v in steps:
        for u in steps:
            x = box.lo[0] + box.size[0] * u
            z = box.lo[2] + box.size[2] * v
            if not any(b.lo[0] < x < b.hi[0] and b.lo[2] < z < b.hi[2] and b.lo[1] < box.lo[1] - 0.1 for b, _ in boxes):
                return x, z
    return None


def _section(seen: _Seen, scale: float, drawing: UnitDrawing) -> list[Item]:
    """What the plane A-A cuts: heights at the left, depths below, marks of what is cut."""
    unit, whole, lines = drawing.lengths, seen.whole, seen.section
    on = placed(lines, scale)
    items = drawn(lines, on, drawing.materials)
    kinds = {p.path: p.part for p in drawing.unit.parts}
    cut = [f for f in lines.faces if kinds[f.path].kind != "hardware"]
    points = [p for f in cut for loop in f.loops for p in loop]
    tall = (whole.lo[2], whole.hi[2])
    first = projection(unit) == "first"
    deep = (-whole.hi[1], -whole.lo[1]) if first else (whole.lo[1], whole.hi[1])
    if points:
        up = best(through_faces(cut, 1, tall), between([p[0] for p in points]), on.axis("left"), unit)
        back = best(through_faces(cut, 0, deep), between([p[1] for p in points]), on.axis("below"), unit)
        found, _ = row(on.axis("left"), up, FIRST_ROW, unit, "section heights")
        items += found
        found, _ = row(on.axis("below"), back, FIRST_ROW, unit, "section depths")
        items += found
    space = Space()
    space.take(items)
    items += _places(drawing, ("left", "right"), on, space)
    told: set[str] = set()
    for face in sorted(cut, key=lambda f: f.path):
        mark = drawing.marks[kinds[face.path]]
        if mark not in told:
            told.add(mark)
            items += space.tag(mark, on.at(_within(face.loops[0])), lead=True)
    return [*items, *_heading(lines, scale, "A-A")]


def _within(loop: Sequence[Point2]) -> Point2:
    """The middle of a loop's bounds: within it, as faces of panels are rectangles nearly always."""
    xs, ys = [p[0] for p in loop], [p[1] for p in loop]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _top(seen: _Seen, scale: float, drawing: UnitDrawing) -> list[Item]:
    """The top with its depth at the left."""
    on = placed(seen.top, scale)
    items = drawn(seen.top, on)
    found, _ = row(on.axis("left"), [seen.whole.lo[1], seen.whole.hi[1]], FIRST_ROW, drawing.lengths, "depth")
    space = Space()
    space.take([*items, *found])
    places = _places(drawing, ("top",), on, space)
    return [*items, *found, *places, *_heading(seen.top, scale, "top")]


def _table(drawing: UnitDrawing) -> Table:
    """Every part once: its mark, how many, what it is and its size."""
    rows: dict[str, list[str]] = {}
    for p in drawing.unit.parts:
        mark = drawing.marks[p.part]
        if mark not in rows:
            sizes = [show_number(v, drawing.lengths) for v in p.part.size]
            rows[mark] = [mark, "0", short(p.name, 18), *sizes, short(p.part.material, 19)]
        rows[mark][1] = str(int(rows[mark][1]) + 1)
    columns = ("mark", "no.", "part", "length", "width", "thick", "material")
    return Table("Parts", columns, tuple(tuple(rows[m]) for m in sorted(rows, key=lambda m: m[:2] == "H-")))
