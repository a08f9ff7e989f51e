"""One DXF for each distinct sheet part, `panels/<mark>.dxf`: what a router or a drilling table needs to know.

The file is DXF R2010, model space 1:1 in millimetres ($INSUNITS 4). The panel lies with its lower left corner at the
origin, seen from face A: x to the right along its length (the grain), y upward across its width. Cuts in face B are
drawn where they lie when one looks *through* the panel from face A; turn the panel about either axis and mirror the
drawing before cutting them. Nothing is drawn twice; figures are in the order of work, the outline last.

Layers say what is done, from which face and how deep (mm):

- `OUTLINE-CUT-THROUGH`: the finished contour, notches included, one closed polyline, anticlockwise;
- `OPENING-CUT-THROUGH`: openings inside it, closed polylines, clockwise, rounded corners as bulges;
- `GROOVE-A-DEEP-6.0`, `RABBET-B-DEEP-6.0`: the finished rectangle of a channel, clipped to the blank;
- `BORE-THROUGH-DIA-5.0`, `BORE-A-DIA-5.0-DEEP-10.0`: circles of the true diameter;
- `EDGE-BORE-X0-DIA-8.0-DEEP-30.0-Z-9.0`: a bore into an edge, drawn as its outline in plan, its middle 9 mm above
  face B; it cannot be made from above, so this layer is not for a router. X0 is the left end, X1 the right one,
  Y0 the lower long edge, Y1 the upper one;
- `EDGE-BEVEL-Y0-A-NARROWER-18.0-DEG-45.0`: an edge ripped at that angle from square, the line being where the narrower
  face ends; the outline stays that of the long face. Rip it on a saw: this layer is not for a router;
- `POCKET-B-TO-X1-DIA-9.5-THEN-4.5-DEG-15.0-SHOULDER-16.0`: a bore tilted from the face toward an end, the outline of
  its wide part in plan; the shoulder is measured along its axis, back from that end. Bored in a jig, not by a router;
- `NOTE-SCRIBE`: where an edge ends once it is trimmed to the wall; the outline stands out past it by what is left for
  that, so that the lower left corner of the finished part stays at the origin;
- `NOTE-MARK`, `NOTE-GRAIN`, `NOTE-FACE-B`: for the eye only, never cut.

Dates and identifiers in the file are fixed ones (2000-01-01), so that the same panel always gives the same bytes.
"""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import pi, tan
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from exporters.contours import Corners, area, traced
from model.bill import plain_mm
from model.cuts import FLAT, Bevel, Bore, Cutout, Groove, Notch, PocketBore, Rabbet, Scribe
from model.errors import ProjectError
from model.part import Part
from model.shapes import Point2
from model.tolerances import rounded

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

    from model.build import Build

Vertex = tuple[float, float, float]
"""x, y and the bulge of the segment that starts here: tan(angle / 4), positive anticlockwise (DXF reference)."""

QUARTER_TURN = tan(pi / 8)
"""The bulge of a quarter circle."""

OUTLINE = "OUTLINE-CUT-THROUGH"
OPENING = "OPENING-CUT-THROUGH"
MARK, GRAIN, FACE_B, SCRIBE = "NOTE-MARK", "NOTE-GRAIN", "NOTE-FACE-B", "NOTE-SCRIBE"
MILLIMETRES = 4
"""$INSUNITS (DXF reference)."""
_SAFE_MARK = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


@dataclass(frozen=True, slots=True, order=True)
class Figure:
    """One thing to draw, sortable into the order of work.

    A loop (closed) or a line (open) has vertices; a circle one vertex and its radius in `size`; a text one vertex (its
    middle) and its height in `size`.
    """

    step: int
    layer: str
    kind: Literal["loop", "line", "circle", "text"]
    vertices: tuple[Vertex, ...]
    size: float = 0.0
    text: str = ""


_NOTE, _EDGE, _BORE, _CHANNEL, _OPENING, _OUTLINE = range(6)
_COLOURS = {_NOTE: 8, _EDGE: 6, _BORE: 4, _CHANNEL: 3, _OPENING: 1, _OUTLINE: 1}
"""AutoCAD colour index by step: grey, magenta, cyan, green, red."""


def figures(part: Part, mark: str) -> tuple[Figure, ...]:
    """Everything drawn for a panel, sorted. Raises ProjectError where the panel has no single outline."""
    drawn = {*_contours(part), *_rounded_openings(part)}
    for cut in part.cuts:
        if isinstance(cut, Bore):
            drawn.add(_bore(cut, part))
        elif isinstance(cut, Groove | Rabbet) and cut.depth < part.thickness:
            drawn.add(_channel(cut, part))
        elif isinstance(cut, Bevel):
            drawn.add(_bevel(cut, part))
        elif isinstance(cut, Scribe):
            drawn.add(_trim_line(cut, part))
        elif isinstance(cut, PocketBore):
            drawn.add(_pocket(cut, part))
    return tuple(sorted(drawn | set(_notes(part, mark))))


def _mm(value: float) -> str:
    """A number for a layer name: at least one decimal, so that 5.0 is not read as a count."""
    shown = plain_mm(value)
    return shown if "." in shown else f"{shown}.0"


def _loop(step: int, layer: str, points: tuple[Point2, ...]) -> Figure:
    return Figure(step, layer, "loop", tuple((rounded(x), rounded(y), 0.0) for x, y in points))


def _rectangle(step: int, layer: str, corners: Corners) -> Figure:
    (x0, y0), (x1, y1) = corners
    return _loop(step, layer, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def _corners(cut: Groove | Rabbet | Notch | Cutout, part: Part) -> Corners:
    """Lower left and upper right corner of the figure, clipped to the blank."""
    return (max(cut.u0, 0.0), max(cut.v0, 0.0)), (min(cut.u1, part.length), min(cut.v1, part.width))


def _through(part: Part) -> list[Groove | Rabbet | Notch | Cutout]:
    """The cuts of rectangular figure that leave nothing beneath them."""
    return [
        c
        for c in part.cuts
        if not isinstance(c, Bore | Bevel | PocketBore | Scribe) and c.depth_in(part.size) >= part.thickness
    ]


def _bevel(cut: Bevel, part: Part) -> Figure:
    """The arris of the narrower face, over the whole edge: the outline is that of the long face."""
    degrees = _mm(round(cut.degrees(part.size), 1))
    layer = f"EDGE-BEVEL-{cut.edge.upper()}-{cut.face}-NARROWER-{_mm(cut.run)}-DEG-{degrees}"
    i = "xy".index(cut.edge[0])
    at = rounded(cut.run if cut.edge[1] == "0" else part.size[i] - cut.run)
    ends = ((at, 0.0, 0.0), (at, part.width, 0.0)) if i == 0 else ((0.0, at, 0.0), (part.length, at, 0.0))
    return Figure(_EDGE, layer, "line", ends)


def _trim_line(cut: Scribe, part: Part) -> Figure:
    """The edge as it is once trimmed."""
    i = "xy".index(cut.edge[0])
    at = 0.0 if cut.edge[1] == "0" else part.size[i]
    ends = ((at, 0.0, 0.0), (at, part.width, 0.0)) if i == 0 else ((0.0, at, 0.0), (part.length, at, 0.0))
    return Figure(_NOTE, SCRIBE, "line", ends)


def _blank(part: Part) -> Corners:
    """The sheet as it is sawn: the part and what is left on it for scribing."""
    extra = {c.edge: c.extra for c in part.cuts if isinstance(c, Scribe)}
    low, high = (-extra.get("x0", 0.0), -extra.get("y0", 0.0)), (extra.get("x1", 0.0), extra.get("y1", 0.0))
    return low, (part.length + high[0], part.width + high[1])


def _with_scribes(loop: tuple[Point2, ...], part: Part) -> tuple[Point2, ...]:
    """The outline of the part, its edges that are to be scribed moved out."""
    size, (low, high) = (part.length, part.width), _blank(part)
    moved = [tuple(low[i] if p[i] <= 0 else high[i] if p[i] >= size[i] else p[i] for i in (0, 1)) for p in loop]
    return tuple((u, v) for u, v in moved)


def _pocket(cut: PocketBore, part: Part) -> Figure:
    """The wide part of a tilted bore, its outline in plan from where it opens to its shoulder."""
    along = "xy".index(cut.toward[0])
    reach, middle = cut.opening(part.size), (cut.v, cut.u)[along]
    across = (middle - cut.diameter / 2, middle + cut.diameter / 2)
    layer = (
        f"POCKET-{cut.face}-TO-{cut.toward.upper()}-DIA-{_mm(cut.diameter)}-THEN-{_mm(cut.pilot_diameter)}"
        f"-DEG-{_mm(cut.degrees)}-SHOULDER-{_mm(cut.shoulder)}"
    )
    (x0, x1), (y0, y1) = (reach, across) if along == 0 else (across, reach)
    return _rectangle(_EDGE, layer, ((x0, y0), (x1, y1)))


def _channel(cut: Groove | Rabbet, part: Part) -> Figure:
    layer = f"{type(cut).__name__.upper()}-{cut.face}-DEEP-{_mm(cut.depth)}"
    return _rectangle(_CHANNEL, layer, _corners(cut, part))


def _bore(cut: Bore, part: Part) -> Figure:
    depth = cut.depth_in(part.size)
    if cut.face not in FLAT:
        return _edge_bore(cut, part, depth)
    how = f"{cut.face}-DIA-{_mm(cut.diameter)}-DEEP-{_mm(depth)}"
    if depth >= part.thickness:
        how = f"THROUGH-DIA-{_mm(cut.diameter)}"
    return Figure(_BORE, f"BORE-{how}", "circle", ((cut.u, cut.v, 0.0),), rounded(cut.diameter / 2))


def _edge_bore(cut: Bore, part: Part, depth: float) -> Figure:
    along = "xy".index(cut.face[0])
    whole = part.size[along]
    reach = (0.0, min(depth, whole)) if cut.face[1] == "0" else (max(whole - depth, 0.0), whole)
    across = (cut.u - cut.diameter / 2, cut.u + cut.diameter / 2)
    how = f"DEEP-{_mm(depth)}" if depth < whole else "THROUGH"
    layer = f"EDGE-BORE-{cut.face.upper()}-DIA-{_mm(cut.diameter)}-{how}-Z-{_mm(cut.v)}"
    (x0, x1), (y0, y1) = (reach, across) if along == 0 else (across, reach)
    return _rectangle(_EDGE, layer, ((x0, y0), (x1, y1)))


def _rounded_openings(part: Part) -> Iterator[Figure]:
    """Each must keep clear of the edges and of every other cut that goes through: arcs are not merged."""
    size: Corners = ((0.0, 0.0), (part.length, part.width))
    cuts = [(c, _corners(c, part)) for c in _through(part)]
    for cut, own in cuts:
        if not (isinstance(cut, Cutout) and cut.radius):
            continue
        others = (corners for other, corners in cuts if other is not cut)
        if not _inside(own, size) or any(_touch(own, other) for other in others):
            raise ProjectError(f"a rounded opening in {part.material} runs into an edge or another cut: {cut}")
        yield _rounded(own, cut.radius)


def _inside(inner: Corners, outer: Corners) -> bool:
    return all(outer[0][i] < inner[0][i] and inner[1][i] < outer[1][i] for i in (0, 1))


def _touch(a: Corners, b: Corners) -> bool:
    return all(a[0][i] <= b[1][i] and b[0][i] <= a[1][i] for i in (0, 1))


def _rounded(corners: Corners, r: float) -> Figure:
    """Clockwise, so that material lies to the left of every contour; where arcs meet there is one point, not two."""
    (x0, y0), (x1, y1) = corners
    q = -QUARTER_TURN
    sides = (
        ((x0, y0 + r), (x0, y1 - r)),
        ((x0 + r, y1), (x1 - r, y1)),
        ((x1, y1 - r), (x1, y0 + r)),
        ((x1 - r, y0), (x0 + r, y0)),
    )
    vertices: list[Vertex] = []
    for start, end in sides:
        ends = [(rounded(x), rounded(y)) for x, y in (start, end)]
        if ends[0] != ends[1]:
            vertices.append((*ends[0], 0.0))
        vertices.append((*ends[1], q))
    return Figure(_OPENING, OPENING, "loop", tuple(vertices))


def _contours(part: Part) -> list[Figure]:
    """The outline less all square cuts that go right through, and the openings they leave inside."""
    if part.body:
        raise ProjectError(f"a sheet part of {part.material} has a shaped body: a panel drawing needs a flat blank")
    gone = [_corners(c, part) for c in _through(part) if not (isinstance(c, Cutout) and c.radius)]
    loops = traced(part.length, part.width, gone)
    outer = [loop for loop in loops if area(loop) > 0]
    if len(outer) != 1:
        raise ProjectError(f"the cuts of a {part.length} x {part.width} panel of {part.material} part it in pieces")
    openings = [_loop(_OPENING, OPENING, loop) for loop in loops if area(loop) < 0]
    return [_loop(_OUTLINE, OUTLINE, _with_scribes(outer[0], part)), *openings]


def plain_text(text: str) -> str:
    """The text with nothing in it that DXF takes for a control code (%%, a caret, a backslash, control characters)."""
    kept = re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+", " ", text)
    return re.sub(r"%(?=%)", "% ", kept).replace("\\", "/").replace("^", "'")


def _notes(part: Part, mark: str) -> Iterator[Figure]:
    """Mark, size and material in the middle of the panel, an arrow along the grain, a word where face B is cut too."""
    lines = [(MARK, mark, 1.0), (MARK, f"{' x '.join(plain_mm(v) for v in part.size)}  {part.material}", 0.5)]
    faces = {c.face for c in part.cuts if isinstance(c, Bore | Groove | Rabbet | PocketBore) and c.face in FLAT}
    if "B" in faces:
        lines.append((FACE_B, "cut from face B too: layers with -B- are seen through from face A", 0.5))
    widest = max(len(text) * share for _, text, share in lines)
    height = rounded(max(2.0, min(30.0, part.width / 8, part.length * 0.8 / widest)))
    y = part.width / 2 + height
    for layer, text, share in lines:
        at = (rounded(part.length / 2), rounded(y), 0.0)
        yield Figure(_NOTE, layer, "text", (at,), rounded(height * share), plain_text(text))
        y -= height * (0.4 + share)
    if part.grain == "length":
        yield from _arrow(part, part.width / 2 + 2 * height, height)


def _arrow(part: Part, y: float, height: float) -> Iterator[Figure]:
    middle, half, barb = part.length / 2, min(100.0, part.length * 0.3), height * 0.4
    for sign in (-1, 1):
        tip, back = middle + sign * half, middle + sign * (half - 2 * barb)
        head = tuple((rounded(x), rounded(v), 0.0) for x, v in ((back, y - barb), (tip, y), (back, y + barb)))
        yield Figure(_NOTE, GRAIN, "line", head)
    ends = ((rounded(middle - half), rounded(y), 0.0), (rounded(middle + half), rounded(y), 0.0))
    yield Figure(_NOTE, GRAIN, "line", ends)


def _description(layer: str) -> str:
    """What a layer holds, in words; kept in the file beside the layer."""
    if layer == OUTLINE:
        return "Finished contour, seen from face A. Cut right through, last."
    if layer == OPENING:
        return "Opening inside the contour. Cut right through."
    if layer.startswith("NOTE-"):
        told = {MARK: "Mark and size.", GRAIN: "Direction of the grain.", SCRIBE: "An edge once trimmed to the wall."}
        return f"{told.get(layer, 'Note.')} Not cut."
    if layer.startswith("EDGE-BORE-"):
        return "Bore into an edge, its outline in plan; Z is the height of its middle above face B. Not for a router."
    if layer.startswith("EDGE-BEVEL-"):
        return "An edge ripped at an angle from square: the line is where the narrower face ends. Not for a router."
    if layer.startswith("POCKET-"):
        return "A tilted bore for a pocket screw, its wide part in plan. Bored in a jig: not for a router."
    if "-B-" in layer:
        return "Cut from face B, drawn as seen through from face A: turn the panel over and mirror before cutting."
    return "Cut from face A." if "-A-" in layer else "Bore right through."


def panel(part: Part, mark: str) -> "Drawing":
    """The drawing of one panel. Raises ProjectError where the panel has no single outline."""
    import ezdxf

    with _fixed_dates():
        doc = ezdxf.new("R2010", units=MILLIMETRES)  # pyright: ignore[reportPrivateImportUsage]
    low, high = _blank(part)
    extents = (*low, 0.0), (*high, 0.0)
    doc.header["$MEASUREMENT"] = 1
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = extents
    space = doc.modelspace()
    drawn = figures(part, mark)
    for step, layer in sorted({(f.step, f.layer) for f in drawn}):
        entry = doc.layers.add(layer, color=_COLOURS[step])
        entry.description = _description(layer)
    for figure in drawn:
        _draw(space, figure)
    space.reset_extents(*extents)
    doc.set_modelspace_vport(height=part.width * 1.2, center=(part.length / 2, part.width / 2))
    return doc


def _draw(space: "Modelspace", figure: Figure) -> None:
    from ezdxf.enums import TextEntityAlignment

    on = {"layer": figure.layer}
    x, y, _ = figure.vertices[0]
    if figure.kind == "circle":
        space.add_circle((x, y), figure.size, dxfattribs=on)
    elif figure.kind == "text":
        text = space.add_text(figure.text, height=figure.size, dxfattribs=on)
        text.set_placement((x, y), align=TextEntityAlignment.MIDDLE_CENTER)
    else:
        space.add_lwpolyline(figure.vertices, format="xyb", close=figure.kind == "loop", dxfattribs=on)


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Dates and identifiers of ezdxf held fixed meanwhile."""
    import ezdxf

    options = ezdxf.options  # pyright: ignore[reportPrivateImportUsage]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def dxf_bytes(doc: "Drawing") -> bytes:
    """The file of a drawing: the same bytes on every day and every system."""
    text = io.StringIO()
    classes = doc.classes
    classes.add_required_classes(doc.dxfversion)  # ezdxf adds them in the order of a set: sort them first
    classes.classes = dict(sorted(classes.classes.items()))
    with _fixed_dates():
        doc.write(text)
    return text.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def write(build: "Build", out: Path) -> list[Path]:
    """Write `panels/<mark>.dxf` below `out` for every distinct sheet part."""
    folder = out / "panels"
    folder.mkdir(parents=True, exist_ok=True)
    paths: list[Path] = []
    for part, mark in build.plan.marks.items():
        if part.kind != "sheet":
            continue
        if not _SAFE_MARK.fullmatch(mark):
            raise ProjectError(f"{plain_text(mark)!r} cannot name a panel file: use letters, digits, - and _")
        path = folder / f"{mark}.dxf"
        path.write_bytes(dxf_bytes(panel(part, mark)))
        paths.append(path)
    return paths
