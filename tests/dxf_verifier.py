"""An independent reader of the drawings for a router: it knows the written files alone.

Each file is read twice: with ezdxf, and as what DXF is, pairs of a group code and a value on two lines (DXF reference,
"General DXF File Structure"). Both must see the same figures.
"""

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import manifold3d as m3
import numpy as np

Point = tuple[float, float]
Box = tuple[float, float, float, float]
DIGITS = 4


@dataclass(frozen=True, slots=True, order=True)
class Shape:
    """A figure as read: corners with bulges, or a middle and a radius, or a text at a point."""

    layer: str
    kind: str
    points: tuple[tuple[float, float, float], ...]
    radius: float = 0.0
    text: str = ""
    closed: bool = True
    height: float = 0.0

    @property
    def box(self) -> Box:
        """The smallest rectangle around it, arcs included."""
        if self.kind == "circle":
            ((x, y, _),) = self.points
            return x - self.radius, y - self.radius, x + self.radius, y + self.radius
        xs, ys = zip(*flattened(self), strict=True)
        return min(xs), min(ys), max(xs), max(ys)


# Reading


def by_ezdxf(path: Path) -> tuple[Shape, ...]:
    """Every figure of the model space; the audit must find nothing and mend nothing."""
    doc = ezdxf.readfile(path)  # pyright: ignore[reportPrivateImportUsage]
    audit = doc.audit()
    assert not audit.errors, path
    assert not audit.fixes, path
    assert not [b.name for b in doc.blocks if not b.name.upper().startswith(("*MODEL_SPACE", "*PAPER_SPACE", "$"))]
    return tuple(_of_entity(e) for e in doc.modelspace())


def _of_entity(entity: Any) -> Shape:
    kind, layer = entity.dxftype(), entity.dxf.layer
    if kind == "LWPOLYLINE":
        return Shape(layer, "loop", _rounded(entity.get_points("xyb")), closed=bool(entity.closed))
    if kind == "POLYLINE":
        found = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        return Shape(layer, "loop", _rounded(found), closed=bool(entity.is_closed))
    if kind == "CIRCLE":
        middle = entity.dxf.center
        return Shape(layer, "circle", _rounded([(middle.x, middle.y, 0.0)]), round(entity.dxf.radius, DIGITS))
    assert kind == "TEXT", kind
    at = entity.get_placement()[1]
    return Shape(layer, "text", _rounded([(at.x, at.y, 0.0)]), text=entity.dxf.text, height=round(entity.dxf.height, 4))


def _rounded(points: Any) -> tuple[tuple[float, float, float], ...]:
    return tuple(
        (round(float(x), DIGITS) + 0.0, round(float(y), DIGITS) + 0.0, round(float(b), 9) + 0.0) for x, y, b in points
    )


def by_group_codes(path: Path) -> tuple[Shape, ...]:
    """The same from the pairs of lines alone."""
    lines = path.read_text(encoding="utf-8").split("\n")
    pairs = [(int(code), value.strip("\r")) for code, value in zip(lines[::2], lines[1::2], strict=False)]
    start = pairs.index((2, "ENTITIES"))
    end = pairs.index((0, "ENDSEC"), start)
    blocks: list[list[tuple[int, str]]] = []
    for code, value in pairs[start + 1 : end]:
        if code == 0:
            blocks.append([])
        blocks[-1].append((code, value))
    return tuple(_joined(blocks))


def _joined(blocks: list[list[tuple[int, str]]]) -> Iterator[Shape]:
    corners: list[tuple[float, float, float]] = []
    head: dict[int, str] = {}
    for block in blocks:
        kind, first = block[0][1], dict(reversed(block))
        if kind == "LWPOLYLINE":
            yield Shape(first[8], "loop", _rounded(_corners(block)), closed=bool(int(first.get(70, "0")) & 1))
        elif kind == "POLYLINE":
            head, corners = first, []
        elif kind == "VERTEX":
            corners.append((float(first[10]), float(first[20]), float(first.get(42, "0"))))
        elif kind == "SEQEND":
            yield Shape(head[8], "loop", _rounded(corners), closed=bool(int(head.get(70, "0")) & 1))
        elif kind == "CIRCLE":
            middle = [(float(first[10]), float(first[20]), 0.0)]
            yield Shape(first[8], "circle", _rounded(middle), round(float(first[40]), DIGITS))
        else:
            assert kind == "TEXT", kind
            at = (11, 21) if int(first.get(72, "0")) or int(first.get(73, "0")) else (10, 20)
            where = [(float(first[at[0]]), float(first[at[1]]), 0.0)]
            yield Shape(first[8], "text", _rounded(where), text=first[1], height=round(float(first[40]), 4))


def _corners(block: list[tuple[int, str]]) -> list[tuple[float, float, float]]:
    found: list[list[float]] = []
    for code, value in block:
        if code == 10:
            found.append([float(value), 0.0, 0.0])
        elif code == 20:
            found[-1][1] = float(value)
        elif code == 42:
            found[-1][2] = float(value)
    return [(x, y, b) for x, y, b in found]


def read(path: Path) -> tuple[Shape, ...]:
    """The figures of a file, after both readers agree and every rule of the format is kept."""
    shapes = by_ezdxf(path)
    assert shapes == by_group_codes(path), path
    assert all(s.closed for s in shapes), path
    twice = [s for s, n in Counter(shapes).items() if n > 1]
    assert not twice, (path, twice)
    for s in shapes:
        # a contour drawn again from another corner or the other way round is a duplicate too
        assert len(set(s.points)) == len(s.points), (path, s)
    loops = Counter((s.layer, frozenset((x, y) for x, y, _ in s.points)) for s in shapes if s.kind == "loop")
    assert max(loops.values(), default=1) == 1, path
    return shapes


def is_note(shape: Shape) -> bool:
    return shape.layer.lower().startswith("note")


def cuts(shapes: tuple[Shape, ...]) -> tuple[Shape, ...]:
    return tuple(s for s in shapes if not is_note(s))


def documented(readme: Path) -> set[str]:
    """The names of layers that a README lists."""
    lines = readme.read_text(encoding="utf-8").splitlines()
    table = lines[lines.index("Layers") + 2 :]
    return {re.split(r" {2,}", line.strip())[0] for line in table[: table.index("")]}


def indexed(shapes: tuple[Shape, ...]) -> set[str]:
    """The names of layers that a drawing lists itself."""
    found = {s.text.split(":")[0] for s in shapes if plain(s.layer) == "note layers"}
    return found - {"to note"}


def plain(layer: str) -> str:
    """The name of a layer in plain words: R12 knows neither spaces nor points."""
    return layer.lower().replace("-", " ").replace("_", ".")


# Measuring


def flattened(shape: Shape, parts: int = 48) -> list[Point]:
    """The corners of a loop with its arcs in chords: an arc of bulge b turns by 4 atan(b) (DXF reference)."""
    found: list[Point] = []
    closed = (*shape.points, shape.points[0])
    for (x0, y0, bulge), (x1, y1, _) in pairwise(closed):
        found.append((x0, y0))
        if not bulge:
            continue
        angle = 4 * math.atan(bulge)
        chord = complex(x1 - x0, y1 - y0)
        middle = complex(x0, y0) + chord / 2 + chord * 1j * (1 - bulge**2) / (4 * bulge)
        for k in range(1, parts):
            turn = complex(math.cos(angle * k / parts), math.sin(angle * k / parts))
            at = middle + (complex(x0, y0) - middle) * turn
            found.append((at.real, at.imag))
    return found


def area(shape: Shape) -> float:
    """Signed area of a loop, closed form: the shoelace formula and a segment of each arc."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in pairwise((*shape.points, shape.points[0])):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = math.hypot(x1 - x0, y1 - y0) / 2 / math.sin(angle / 2)
            total += radius**2 / 2 * (angle - math.sin(angle))
    return total


_NUMBER = r"([0-9.]+)"
_DEPTH = re.compile(rf"(?:bore|groove tool|rabbet tool) {_NUMBER} depth {_NUMBER}")


def depth_of(layer: str) -> float | None:
    """How deep a layer is cut, from its name alone; None right through."""
    name = plain(layer)
    if name.endswith(" through"):
        return None
    found = _DEPTH.fullmatch(name)
    assert found, layer
    return float(found[2])


def volume(thickness: float, side_a: tuple[Shape, ...], side_b: tuple[Shape, ...] = ()) -> float:
    """What is left of a panel once its files are cut, mm^3: every figure taken away as deep as its layer says.

    Countersinks and edge work are left out. What is on face B lies turned over about the length.
    """
    (outline,) = (s for s in side_a if plain(s.layer).startswith("outline"))
    solid = _swept(outline, 0.0, thickness)
    height = outline.box[3]
    tools = [_tool(s, thickness, "A") for s in side_a if s is not outline and _counts(s)]
    for s in side_b:
        if _counts(s):
            mirrored = tuple((x, height - y, -b) for x, y, b in s.points)
            tools.append(_tool(Shape(s.layer, s.kind, mirrored, s.radius), thickness, "B"))
    return m3.Manifold.batch_boolean([solid, *tools], m3.OpType.Subtract).volume() if tools else solid.volume()


def _counts(shape: Shape) -> bool:
    return not is_note(shape) and not plain(shape.layer).startswith("countersink")


def _tool(shape: Shape, thickness: float, side: str) -> m3.Manifold:
    depth = depth_of(shape.layer)
    if depth is None:
        return _swept(shape, -1.0, thickness + 1.0)
    return _swept(shape, thickness - depth, thickness + 1.0) if side == "A" else _swept(shape, -1.0, depth)


def _swept(shape: Shape, low: float, high: float) -> m3.Manifold:
    if shape.kind == "circle":
        n = 96
        reach = shape.radius * math.sqrt(2 * math.pi / n / math.sin(2 * math.pi / n))  # the area of the circle
        ((x, y, _),) = shape.points
        corners = [
            (x + reach * math.cos(2 * math.pi * k / n), y + reach * math.sin(2 * math.pi * k / n)) for k in range(n)
        ]
    else:
        corners = flattened(shape)
    section = m3.CrossSection([np.array(corners)], m3.FillRule.NonZero)
    if section.area() == 0 or area_of(corners) < 0:
        section = m3.CrossSection([np.array(corners[::-1])], m3.FillRule.NonZero)
    return m3.Manifold.extrude(section, high - low).translate((0.0, 0.0, low))


def area_of(corners: list[Point]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*corners, corners[0]])) / 2


# Sheets


def apart(a: Box, b: Box) -> float:
    """The distance of two rectangles, negative where they overlap."""
    gaps = [max(a[i] - b[i + 2], b[i] - a[i + 2]) for i in (0, 1)]
    return max(gaps) if min(gaps) < 0 else math.hypot(*gaps)


@dataclass(frozen=True, slots=True)
class Piece:
    """A part on a sheet: its mark, its outline, and everything that is drawn within it."""

    mark: str
    outline: Shape
    inside: tuple[Shape, ...]


def pieces(shapes: tuple[Shape, ...], marks: set[str]) -> tuple[Piece, ...]:
    """The outlines of a sheet, each with the one mark that is written in it."""
    found: list[Piece] = []
    for outline in (s for s in shapes if plain(s.layer).startswith("outline")):
        inside = tuple(s for s in shapes if s is not outline and _within(s.points[0], outline.box))
        named = [s.text for s in inside if plain(s.layer) == "note mark" and s.text in marks]
        assert len(named) == 1, (outline, named)
        found.append(Piece(named[0], outline, inside))
    return tuple(found)


def _within(point: tuple[float, float, float], box: Box) -> bool:
    return box[0] - 0.001 <= point[0] <= box[2] + 0.001 and box[1] - 0.001 <= point[1] <= box[3] + 0.001


def moved(shapes: tuple[Shape, ...], box: Box, turn: bool) -> Counter[tuple[Any, ...]]:
    """Cut figures of a rectangle, its corner put at the origin; turned back by a quarter turn where it lies turned."""
    found: Counter[tuple[Any, ...]] = Counter()
    for s in cuts(shapes):
        points = [(x - box[0], y - box[1]) for x, y, _ in s.points]
        if turn:  # undo a quarter turn to the left
            points = [(y, (box[2] - box[0]) - x) for x, y in points]
        found[s.layer, s.kind, frozenset((_near(x), _near(y)) for x, y in points), s.radius] += 1
    return found


def _near(value: float) -> float:
    """To a hundredth; values lie on a grid of a thousandth, so that none is at the edge of its bin."""
    return round(value + 0.0004, 2) + 0.0
