"""Enlarged details of a unit's joints: true sections cut off at a thin circle, with the sizes a machine is set to."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import manifold3d as m3
import numpy as np

from exporters.drawings.arrange import Arrangement, composed
from exporters.drawings.clip import clipped, inside
from exporters.drawings.display import Hatch, Item, Path, Rect, Round, Sheet, Text, rect_of, shifted
from exporters.drawings.frame import Titles, short
from exporters.drawings.on_paper import Placed, Space, dot, drawn, grown
from exporters.drawings.rows import Axis, Side, chain, chain_fits
from exporters.drawings.standards import FIRST_ROW, GAP, HEADING, LETTERS, NEXT_ROW, PAST, shown_scale
from exporters.drawings.tidy import Arc, Line, Piece
from exporters.drawings.views import Face, Lines, view
from exporters.drawings.windows import Detail, Made, Stop, flat
from model.lengths import LengthUnit
from model.meshes import is_driven
from model.part import Part
from model.shapes import Box, Point2

BETWEEN = 8.0
"""mm. From one detail with its dimensions to the next."""
BEHIND = 40.0
"""mm. How far behind the section parts are still shown."""
COARSE = {"mm": 2.0, "in": 2.0}
Segment = tuple[Point2, Point2]
LETTERS_OF = "BCDEFGHJKLMNPQRSTUVWXYZ"
"""A is the section of the whole; no I and no O."""


def lettered(details: Sequence[Detail]) -> list[tuple[str, Detail]]:
    """Each detail with its letter."""
    return list(zip(LETTERS_OF, details, strict=False))


class _Drawer:
    """What all the details of a sheet have in common."""

    def __init__(self, made: Made, marks: dict[Part, str], materials: Sequence[str], unit: LengthUnit) -> None:
        self.made, self.marks, self.materials = made, marks, materials
        self.unit: LengthUnit = unit
        self.lines: dict[str, Lines] = {}

    def seen(self, letter: str, detail: Detail) -> Lines:
        """The view in the window, cut off at its circle."""
        if letter not in self.lines:
            near = [p for path, p in self.made.parts.items() if _near(self.made.boxes[path], detail)]
            lines = view(near, detail.direction, detail.section, self.made.frame)
            seen = clipped(lines, detail.middle, detail.radius)
            holes = [r for p in near for r in self._screw_holes(p.path, detail)]
            kept = tuple(p for p in seen.visible if not any(_runs_in(p, r) for r in holes))
            self.lines[letter] = replace(seen, visible=kept)
        return self.lines[letter]

    def _screw_holes(self, path: str, detail: Detail) -> Iterator[Rect]:
        """Where the section goes through holes that are filled by a screw: the sides that stand for a round wall there
        are no edges."""
        for cut, box in self.made.bores(path):
            if is_driven(cut):
                rect, (far, near) = flat(box, detail.direction)
                if far < detail.section < near:
                    yield rect


def _runs_in(piece: Piece, rect: Rect) -> bool:
    """Whether a line lies within a box, not along its border."""
    if isinstance(piece, Arc):
        return False
    (ax, ay), (bx, by) = piece.start, piece.end
    x, y = (ax + bx) / 2, (ay + by) / 2
    return rect[0] + 0.05 < x < rect[2] - 0.05 and rect[1] + 0.05 < y < rect[3] - 0.05


def _near(box: Box, detail: Detail) -> bool:
    (u0, v0, u1, v1), (far, near) = flat(box, detail.direction)
    (x, y), r = detail.middle, detail.radius
    meets = u0 < x + r and u1 > x - r and v0 < y + r and v1 > y - r
    return meets and far < detail.section and near > detail.section - BEHIND


def _drawn(drawer: _Drawer, letter: str, detail: Detail, scale: float) -> list[Item]:
    """One detail on paper, its middle at (0, 0): lines, marks, dimensions below and at the left, a heading above."""
    lines = drawer.seen(letter, detail)
    x, y = detail.middle
    on = Placed((-x / scale, -y / scale), scale, lines.box)
    r = detail.radius / scale
    items = [*drawn(lines, on, drawer.materials), Round("NOTES", (0.0, 0.0), r)]
    if detail.axis:
        items += [Path("CENTRE", (on.at(p.start), on.at(p.end))) for p in _centre(detail) if isinstance(p, Line)]
    space = Space()
    space.take(items)
    sides: tuple[tuple[Side, tuple[Stop, ...]], ...] = (
        ("below", detail.along), ("above", detail.over), ("left", detail.up),
    )  # fmt: skip
    for side, stops in sides:
        items += _dimensions(on.axis(side), stops, on, drawer.unit, f"{letter} {side}", not detail.over)
    top = rect_of(items)[3]
    heading = f"{letter} ({shown_scale(scale, drawer.unit)})"
    items.append(Text("TEXT", (0.0, top + 9.5), heading, HEADING, "centre"))
    items.append(Text("TEXT", (0.0, top + 4.0), short(detail.words, 40), LETTERS, "centre"))
    space.take(items)
    return _marked(items, drawer, lines, on, space, r)


def _centre(detail: Detail) -> list[Piece]:
    """The centre line of a screw, a little longer than it, in the circle."""
    assert detail.axis
    (ax, ay), (bx, by) = detail.axis
    long = math.dist(*detail.axis) or 1.0
    dx, dy = (bx - ax) / long * 5.0, (by - ay) / long * 5.0
    return inside(Line((ax - dx, ay - dy), (bx + dx, by + dy)), detail.middle, detail.radius)


def _dimensions(axis: Axis, stops: Sequence[Stop], on: Placed, unit: LengthUnit, name: str, whole: bool) -> list[Item]:
    """A chain over the edges, their extension lines drawn up to them; and beyond it the whole, where there is room."""
    if len(stops) < 2:
        return []
    items: list[Item] = []
    for stop in stops:
        end = stop.head if axis.out > 0 else stop.foot
        far = on.at((end, stop.at) if axis.upright else (stop.at, end))[0 if axis.upright else 1]
        away = (axis.edge - far) * axis.out - GAP
        if away > 0:
            at = axis.along(stop.at)
            items.append(Path("DIMENSIONS", (axis.point(at, -away), axis.point(at, GAP))))
    ends = [s.at for s in stops]
    rows = [ends]
    if whole and len(ends) > 2 and chain_fits(axis.side, ends, axis.scale, unit):
        rows.append([ends[0], ends[-1]])
    away = FIRST_ROW * 0.8
    for i, row in enumerate(rows):
        dims, reach = chain(axis, row, away, unit, f"{name} {i}")
        items += dims
        away = max(reach + LETTERS * 1.2 + PAST, away + NEXT_ROW)
    return items


def _marked(items: list[Item], drawer: _Drawer, lines: Lines, on: Placed, space: Space, radius: float) -> list[Item]:
    """The marks of what is cut: on the face, its hatching kept off, or beside it with a leader."""
    told: dict[str, Face] = {}
    for face, hatch in zip(lines.faces, [i for i in items if isinstance(i, Hatch)], strict=True):
        mark = drawer.marks[drawer.made.parts[face.path].part]
        if mark in told or _area(face) < 9.0 * on.scale**2:
            continue
        words = _on_face(mark, face, on, space)
        if words is None:
            continue
        told[mark] = face
        hole = grown(words.rect(), 0.4)
        items[items.index(hatch)] = replace(hatch, loops=(*hatch.loops, tuple(_corners(hole))))
        space.take([words])
        items.append(words)
    leaders: list[Segment] = []
    for face in lines.faces:
        mark = drawer.marks[drawer.made.parts[face.path].part]
        if mark not in told and _area(face) >= 9.0 * on.scale**2:
            told[mark] = face
            items += _beside(mark, face, on, space, radius, leaders)
    return items


def _area(face: Face) -> float:
    return sum(_loop_area(loop) for loop in face.loops)


def _loop_area(loop: Sequence[Point2]) -> float:
    """Positive for an outer loop, negative for a hole."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)) / 2


def _on_face(mark: str, face: Face, on: Placed, space: Space) -> Text | None:
    """The mark where it lies on its own face alone, nearest the middle of it; level, else upright."""
    outer = max(face.loops, key=_loop_area)
    xs, ys = [p[0] for p in outer], [p[1] for p in outer]
    whole = m3.CrossSection([np.array(loop) for loop in face.loops], m3.FillRule.EvenOdd)
    shares = sorted(((u / 8, v / 8) for u in range(9) for v in range(9)), key=lambda s: (math.dist(s, (0.5, 0.5)), s))
    places = [on.at((min(xs) + (max(xs) - min(xs)) * u, min(ys) + (max(ys) - min(ys)) * v)) for u, v in shares]
    for upright in (False, True):
        found = [Text("MARKS", at, mark, LETTERS, "centre", upright) for at in places]
        rects = [grown(words.rect(), 0.7) for words in found]
        for words, rect, met in zip(found, rects, space.crossed(rects), strict=True):
            if met:
                continue
            real = [((x - on.origin[0]) * on.scale, (y - on.origin[1]) * on.scale) for x, y in _corners(rect)]
            box = m3.CrossSection([np.array(real)], m3.FillRule.NonZero)
            if (box - whole).area() < 1e-6:
                return words
    return None


def _corners(r: Rect) -> list[Point2]:
    return [(r[0], r[1]), (r[2], r[1]), (r[2], r[3]), (r[0], r[3])]


def _beside(mark: str, face: Face, on: Placed, space: Space, radius: float, leaders: list[Segment]) -> list[Item]:
    """The mark outside the circle, right of it or over it, with a leader from its face that crosses no other."""
    about = on.at(_in_face(face))
    width = Text("MARKS", about, mark).width
    best: tuple[float, Text, Point2] | None = None
    found = []
    for degrees in range(-70, 136, 5):
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        place = ((radius + 2.0 + width / 2) * cos, (radius + 3.0) * sin)
        found.append(Text("MARKS", place, mark, LETTERS, "centre"))
    rects = [grown(words.rect(), 0.6) for words in found]
    for words, rect, lines in zip(found, rects, space.crossed(rects), strict=True):
        foot = (min(max(about[0], rect[0]), rect[2]), min(max(about[1], rect[1]), rect[3]))
        score = lines * 30 + math.dist(about, foot)
        if best is None or score < best[0]:
            met = sum(_meets(about, foot, r) for r in space.rects) + sum(_cross((about, foot), s) for s in leaders)
            if best is None or score + met * 200 < best[0]:
                best = (score + met * 200, words, foot)
    assert best is not None
    leaders.append((about, best[2]))
    items: list[Item] = [best[1], Path("MARKS", (about, best[2])), dot(about)]
    space.take(items)
    return items


def _in_face(face: Face) -> Point2:
    """A point inside a face, nearest the middle of its bounds."""
    outer = max(face.loops, key=_loop_area)
    xs, ys = [p[0] for p in outer], [p[1] for p in outer]
    shares = sorted(
        ((u / 8, v / 8) for u in range(1, 8) for v in range(1, 8)), key=lambda s: (math.dist(s, (0.5, 0.5)), s)
    )
    for u, v in shares:
        at = (min(xs) + (max(xs) - min(xs)) * u, min(ys) + (max(ys) - min(ys)) * v)
        if sum(_right_of(at, a, b) for loop in face.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)) % 2:
            return at
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _right_of(p: Point2, a: Point2, b: Point2) -> bool:
    """Whether a level ray to the right of a point meets a line."""
    return (a[1] <= p[1]) != (b[1] <= p[1]) and p[0] < a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1])


def _cross(a: Segment, b: Segment) -> bool:
    """Whether two straight lines cross."""

    def side(p: Point2, s: Segment) -> float:
        return (s[1][0] - s[0][0]) * (p[1] - s[0][1]) - (s[1][1] - s[0][1]) * (p[0] - s[0][0])

    return side(a[0], b) * side(a[1], b) < 0 and side(b[0], a) * side(b[1], a) < 0


def _meets(a: Point2, b: Point2, rect: Rect) -> bool:
    """Whether a straight line runs through a box."""
    first, last = 0.0, 1.0
    for i in (0, 1):
        step = b[i] - a[i]
        if abs(step) < 1e-9:
            if not rect[i] < a[i] < rect[i + 2]:
                return False
            continue
        ends = sorted(((rect[i] - a[i]) / step, (rect[i + 2] - a[i]) / step))
        first, last = max(first, ends[0]), min(last, ends[1])
    return first < last


def detail_sheet(
    name: str, made: Made, details: Sequence[Detail], marks: dict[Part, str], materials: Sequence[str], title: Titles
) -> Sheet:
    """The details of a unit on one sheet, in rows."""
    drawer = _Drawer(made, marks, materials, title.lengths)
    named = lettered(details)

    @cache
    def blocks(scale: float) -> list[list[Item]]:
        return [_drawn(drawer, letter, detail, scale) for letter, detail in named]

    def grid(scale: float, columns: int) -> list[Item]:
        return _in_rows(blocks(scale), columns)

    ways = [lambda scale, n=n: grid(scale, n) for n in _columns(len(named))]
    least = 2 * max(d.radius for d in details)
    what = Arrangement(name, f"{made.unit.code} details", title.lengths, title)
    return composed(what, ways, lambda _: [], [], (least, least), COARSE[title.lengths])


def _columns(count: int) -> list[int]:
    """Ways to lay details: nearly square first, then wider, then one under another."""
    square = math.ceil(math.sqrt(count))
    return list(dict.fromkeys([square, *(n for n in range(1, count + 1))]))


def _in_rows(blocks: Sequence[list[Item]], columns: int) -> list[Item]:
    """Blocks side by side, rows one under another, middles in line."""
    rects = [rect_of(b) for b in blocks]
    rows = [list(range(i, min(i + columns, len(blocks)))) for i in range(0, len(blocks), columns)]
    left = [max(-rects[i][0] for i in range(c, len(blocks), columns)) for c in range(min(columns, len(blocks)))]
    right = [max(rects[i][2] for i in range(c, len(blocks), columns)) for c in range(min(columns, len(blocks)))]
    items: list[Item] = []
    top = 0.0
    for row in rows:
        up = max(rects[i][3] for i in row)
        down = max(-rects[i][1] for i in row)
        x = 0.0
        for c, i in enumerate(row):
            x += left[c]
            items += [shifted(item, x, top - up) for item in blocks[i]]
            x += right[c] + BETWEEN
        top -= up + down + BETWEEN
    return items
