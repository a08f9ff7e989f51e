"""Lines, circles, arcs and texts of a DXF file, written out: a sheet has hundreds, and they have no other use.

The tags and their order are those of the DXF reference for R2010 (AC1024); a handle of the document's own for each.
"""

from typing import TYPE_CHECKING

from exporters.cnc.figures import plain_text
from exporters.drawings.display import Anchor, Layer
from exporters.drawings.standards import DASHES, PENS
from model.shapes import Point2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ezdxf.lldxf.tagwriter import AbstractTagWriter

_ANCHORS: dict[Anchor, str] = {"left": "", "centre": " 72\n1\n", "right": " 72\n2\n"}


class Written:
    """An entity as it stands in a file. A document keeps it among its own entities and writes it in its place."""

    __slots__ = ("tags",)
    is_alive = True

    def __init__(self, tags: str) -> None:
        self.tags = tags

    def export_dxf(self, writer: "AbstractTagWriter") -> None:
        writer.write_str(self.tags)


def _head(kind: str, handle: str, owner: str, layer: Layer) -> str:
    return f"  0\n{kind}\n  5\n{handle}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n100\n"


def _point(code: int, p: Point2) -> str:
    return f" {code}\n{p[0]}\n {code + 10}\n{p[1]}\n {code + 20}\n0.0\n"


def line(handle: str, owner: str, layer: Layer, a: Point2, b: Point2) -> Written:
    """A straight line."""
    return Written(f"{_head('LINE', handle, owner, layer)}AcDbLine\n{_point(10, a)}{_point(11, b)}")


def polyline(handle: str, owner: str, layer: Layer, points: "Sequence[Point2]", closed: bool) -> Written:
    """Straight lines from point to point; a dashed one has its dashes along all of it (128: DXF reference, code 70)."""
    flags = int(closed) | (128 if PENS[layer].line in DASHES else 0)
    corners = "".join(f" 10\n{x}\n 20\n{y}\n" for x, y in points)
    return Written(
        f"{_head('LWPOLYLINE', handle, owner, layer)}AcDbPolyline\n 90\n{len(points)}\n 70\n{flags}\n{corners}"
    )


def circle(handle: str, owner: str, layer: Layer, middle: Point2, radius: float) -> Written:
    """A whole circle."""
    return Written(f"{_head('CIRCLE', handle, owner, layer)}AcDbCircle\n{_point(10, middle)} 40\n{radius}\n")


def arc(handle: str, owner: str, layer: Layer, middle: Point2, radius: float, angles: Point2) -> Written:
    """An arc anticlockwise from one angle to another, degrees."""
    head = f"{_head('ARC', handle, owner, layer)}AcDbCircle\n{_point(10, middle)} 40\n{radius}\n"
    return Written(f"{head}100\nAcDbArc\n 50\n{angles[0]}\n 51\n{angles[1]}\n")


def text(
    handle: str,
    owner: str,
    layer: Layer,
    at: Point2,
    said: str,
    height: float,
    anchor: Anchor,
    upright: bool,
    style: str,
) -> Written:
    """One line of text with its middle line at a point: its left end, its middle or its right end there."""
    turn = " 50\n90.0\n" if upright else ""
    body = f"{_point(10, at)} 40\n{height}\n  1\n{plain_text(said)}\n{turn}  7\n{style}\n{_ANCHORS[anchor]}"
    head = _head("TEXT", handle, owner, layer)
    return Written(f"{head}AcDbText\n{body}{_point(11, at)}100\nAcDbText\n 73\n2\n")
