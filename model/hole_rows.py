"""Rows of holes that are drilled again and again: for pulls, shelf pins and slides, each told once."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from model.cuts import Bore
from model.fastening.hardware import slide_holes
from model.part import Part
from model.plan import Plan
from model.stock.tables import Slide, Stock
from model.tolerances import rounded

PURPOSES = ("pull", "pin")
"""What is drilled from a template into the faces of panels."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row goes: the mark of the part, the end and the edge it is measured from, and how far its first hole and
    its line are from those (mm). For a slide only the mark."""

    mark: str
    end: str = ""
    edge: str = ""
    first: float = 0.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class HoleRow:
    """Equal holes in a line.

    `along` are their distances from an end, `offset` that of the line from an edge, mm. `depth` is None where they go
    through. Holes of pulls are measured from the first, those of a slide from its front end, and lie on a line that is
    marked before: their `offset` is None.
    """

    what: str
    diameter: float
    depth: float | None
    offset: float | None
    along: tuple[float, ...]
    where: tuple[Place, ...] = field(compare=False, default=())


def hole_rows(plan: Plan, stock: Stock) -> tuple[HoleRow, ...]:
    """Every row there is, in order of appearance."""
    found: dict[HoleRow, list[Place]] = {}
    for part, mark in plan.marks.items():
        for row, place in _rows_of(part, mark, stock):
            found.setdefault(row, []).append(place)
    return tuple(replace(row, where=tuple(dict.fromkeys(where))) for row, where in found.items())


def _rows_of(part: Part, mark: str, stock: Stock) -> Iterator[tuple[HoleRow, Place]]:
    slide = stock.slides.get(part.material) if part.kind == "hardware" else None
    if slide is not None and part.width == rounded(slide.height):  # the cabinet member
        yield _slide_row(slide, part.length), Place(mark)
    for purpose in PURPOSES:
        bores = [c for c in part.cuts if isinstance(c, Bore) and c.purpose == purpose and c.face in ("A", "B")]
        for kind in dict.fromkeys((b.face, b.diameter, b.depth) for b in bores):
            same = [b for b in bores if (b.face, b.diameter, b.depth) == kind]
            yield from _lines(purpose, same, part, mark)


def _slide_row(slide: Slide, length: float) -> HoleRow:
    name = f"slide {slide.name}, {length:g} mm"
    return HoleRow(name, 0.0, None, None, tuple(sorted(rounded(x) for x in slide_holes(slide, length))))


def _lines(purpose: str, bores: list[Bore], part: Part, mark: str) -> Iterator[tuple[HoleRow, Place]]:
    """Holes of one kind in lines along the part, or across it where they all lie so."""
    upright = len({b.u for b in bores}) == 1 and len(bores) > 1
    ways = [(b.v, b.u) for b in bores] if upright else [(b.u, b.v) for b in bores]
    long, wide = (part.width, part.length) if upright else (part.length, part.width)
    ends, edges = (("y0", "y1"), ("x0", "x1")) if upright else (("x0", "x1"), ("y0", "y1"))
    for line in sorted({v for _, v in ways}):
        along = sorted(u for u, v in ways if v == line)
        other = sorted(rounded(long - u) for u in along)
        end, found = (ends[0], along) if along <= other else (ends[1], other)
        edge, offset = (edges[0], line) if line <= wide - line else (edges[1], rounded(wide - line))
        place = Place(mark, end, edge, found[0], offset)
        if purpose == "pull":
            from_first = tuple(rounded(u - found[0]) for u in found)
            yield HoleRow(purpose, bores[0].diameter, bores[0].depth, None, from_first), place
        else:
            yield HoleRow(purpose, bores[0].diameter, bores[0].depth, offset, tuple(found)), place
