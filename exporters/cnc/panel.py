"""What is cut into one panel, face by face, as figures: true lines of the part, its lower left corner at the origin.

Seen from face A x runs to the right along the length (the grain), y upward across the width. For the work on face B the
panel is turned over about its length: what was at the lower edge is then at the upper one. Wood that is left on an edge
for scribing belongs to the panel; the corner of the wood as it is cut lies at the origin.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from exporters.cnc import layers
from exporters.cnc.contours import area, traced
from exporters.cnc.figures import (
    QUARTER_TURN,
    Corners,
    Figure,
    Vertex,
    arcs,
    circle,
    loop,
    rectangle,
    shifted,
    turned_over,
)
from exporters.cnc.layers import Step
from exporters.cnc.relief import relieved
from model.bill import plain_mm
from model.cnc import Cnc
from model.cuts import Bevel, Bore, Cutout, Groove, Notch, PocketBore, Rabbet, Scribe
from model.cutting.pieces import blank_size
from model.errors import ProjectError
from model.faces import FLAT
from model.part import Part
from model.shapes import Point2
from model.tolerances import rounded

Side = Literal["A", "B"]
Rectangular = Groove | Rabbet | Notch | Cutout
_ENDS = {"x0": "the left end", "x1": "the right end", "y0": "the lower edge", "y1": "the upper edge"}
"""Seen from face A."""
COUNTERSINKS = "countersinks alone: sink them by hand where a second setup is not worth it"


@dataclass(frozen=True, slots=True)
class Work:
    """Everything that is drawn of one face of a panel, sorted, and what must be said in words.

    `size` is that of the wood as it is cut, mm. `told` are lines on what no layer can do.
    """

    side: Side
    size: tuple[float, float]
    figures: tuple[Figure, ...]
    told: tuple[str, ...]


def sides(part: Part) -> tuple[Side, ...]:
    """The faces a router works on: A, which the outline is cut from, and B where something is cut into it."""
    below = [c for c in part.cuts if isinstance(c, Bore | Groove | Rabbet) and c.face == "B"]
    routed = any(not _goes_through(c, part) or (isinstance(c, Bore) and c.countersink) for c in below)
    return ("A", "B") if routed else ("A",)


def work(part: Part, side: Side, cnc: Cnc) -> Work:
    """The work on one face. Raises ProjectError where the panel has no single outline."""
    (low, _), size = _blank(part), blank_size(part)
    contours, told = _contours(part, cnc)
    drawn = set(_cut_into(part, side, cnc))
    if side == "A":
        drawn |= contours | _edge_work(part) | {rectangle(layers.TRIM, strip) for strip in _trims(part)}
        told = (*told, *_told_of_edges(part))
    else:
        drawn |= {Figure(layers.PANEL, 0.0, f.kind, f.vertices) for f in contours}
        told = (COUNTERSINKS,) if all(f.layer.step is Step.COUNTERSINK for f in drawn if f.layer.cut) else ()
    placed = (shifted(f, -low[0], -low[1]) for f in drawn)
    seen = placed if side == "A" else (turned_over(f, size[1]) for f in placed)
    return Work(side, size, tuple(sorted(seen)), told)


def _goes_through(cut: Bore | Groove | Rabbet, part: Part) -> bool:
    return cut.depth_in(part.size) >= part.thickness


def _blank(part: Part) -> Corners:
    """The wood as it is cut: the part and what is left on it for scribing."""
    extra = {c.edge: c.extra for c in part.cuts if isinstance(c, Scribe)}
    low, high = (-extra.get("x0", 0.0), -extra.get("y0", 0.0)), (extra.get("x1", 0.0), extra.get("y1", 0.0))
    return low, (part.length + high[0], part.width + high[1])


# Bores and channels


def _cut_into(part: Part, side: Side, cnc: Cnc) -> Iterator[Figure]:
    for cut in part.cuts:
        if isinstance(cut, Bore) and cut.face in FLAT:
            yield from _bore(cut, part, side)
        elif isinstance(cut, Groove | Rabbet) and cut.face == side and not _goes_through(cut, part):
            yield _channel(cut, part, cnc)


def _bore(cut: Bore, part: Part, side: Side) -> Iterator[Figure]:
    """A hole right through is bored from face A, wherever it is told from; its countersink is on its own face."""
    through = _goes_through(cut, part)
    if (cut.face == side) if not through else (side == "A"):
        layer = layers.bore(cut.diameter, None if through else cut.depth_in(part.size))
        yield circle(layer, (cut.u, cut.v), cut.diameter)
    if cut.countersink and cut.face == side:
        yield circle(layers.countersink(cut.countersink, cut.countersink_degrees), (cut.u, cut.v), cut.countersink)


def _channel(cut: Groove | Rabbet, part: Part, cnc: Cnc) -> Figure:
    corners = _corners(cut, part)
    narrow = min(corners[1][i] - corners[0][i] for i in (0, 1))
    # a rabbet is open at its edge: the tool may be wider than it
    tool = cnc.tool if isinstance(cut, Rabbet) else min(cnc.tool, rounded(narrow))
    return rectangle(layers.channel(type(cut).__name__.lower(), tool, cut.depth), corners)


def _corners(cut: Rectangular, part: Part) -> Corners:
    """Lower left and upper right corner of the figure, clipped to the part."""
    return (max(cut.u0, 0.0), max(cut.v0, 0.0)), (min(cut.u1, part.length), min(cut.v1, part.width))


# Outline and openings


def _through(part: Part) -> list[Rectangular]:
    """The cuts of rectangular figure that leave nothing beneath them."""
    return [c for c in part.cuts if isinstance(c, Rectangular) and c.depth_in(part.size) >= part.thickness]


def _contours(part: Part, cnc: Cnc) -> tuple[set[Figure], tuple[str, ...]]:
    """The outline less all square cuts that go right through, the openings inside it, and what relief left as it is."""
    if part.body:
        raise ProjectError(f"a sheet part of {part.material} has a shaped body: a panel drawing needs a flat blank")
    gone = [_corners(c, part) for c in _through(part) if not (isinstance(c, Cutout) and c.radius)]
    loops = [_with_scribes(found, part) for found in traced(part.length, part.width, gone)]
    if sum(area(found) > 0 for found in loops) != 1:
        raise ProjectError(f"the cuts of a {part.length} x {part.width} panel of {part.material} part it in pieces")
    drawn: set[Figure] = set(_rounded_openings(part, cnc))
    left = 0
    for found in loops:
        layer = layers.outline(cnc.tool) if area(found) > 0 else layers.opening(_fitting(found, cnc))
        if cnc.relief == "none":
            drawn.add(loop(layer, found))
            continue
        relief = relieved(found, cnc.tool, tuple(other for other in loops if other is not found))
        left += relief.left
        drawn.add(arcs(layer, relief.vertices))
    told = (f"{left} inside corners have no room for a relief: square them by hand",) if left else ()
    return drawn, told


def _fitting(opening: tuple[Point2, ...], cnc: Cnc) -> float:
    """The tool for an opening: the project's, or the widest that enters."""
    spans = [max(p[i] for p in opening) - min(p[i] for p in opening) for i in (0, 1)]
    return min(cnc.tool, rounded(min(spans)))


def _with_scribes(found: tuple[Point2, ...], part: Part) -> tuple[Point2, ...]:
    """A contour of the part, its edges that are to be scribed moved out."""
    size, (low, high) = (part.length, part.width), _blank(part)
    moved = [tuple(low[i] if p[i] <= 0 else high[i] if p[i] >= size[i] else p[i] for i in (0, 1)) for p in found]
    return tuple((u, v) for u, v in moved)


def _rounded_openings(part: Part, cnc: Cnc) -> Iterator[Figure]:
    """Each must keep clear of the edges and of every other cut that goes through: arcs are not merged."""
    size: Corners = ((0.0, 0.0), (part.length, part.width))
    cuts = [(c, _corners(c, part)) for c in _through(part)]
    for cut, own in cuts:
        if not (isinstance(cut, Cutout) and cut.radius):
            continue
        others = (corners for other, corners in cuts if other is not cut)
        if not _inside(own, size) or any(_touch(own, other) for other in others):
            raise ProjectError(f"a rounded opening in {part.material} runs into an edge or another cut: {cut}")
        yield arcs(layers.opening(min(cnc.tool, rounded(2 * cut.radius))), _rounded(own, cut.radius))


def _inside(inner: Corners, outer: Corners) -> bool:
    return all(outer[0][i] < inner[0][i] and inner[1][i] < outer[1][i] for i in (0, 1))


def _touch(a: Corners, b: Corners) -> bool:
    return all(a[0][i] <= b[1][i] and b[0][i] <= a[1][i] for i in (0, 1))


def _rounded(corners: Corners, r: float) -> tuple[Vertex, ...]:
    """Clockwise, so that material lies to the left of every contour; where arcs meet there is one point, not two."""
    (x0, y0), (x1, y1) = corners
    sides_of = (
        ((x0, y0 + r), (x0, y1 - r)),
        ((x0 + r, y1), (x1 - r, y1)),
        ((x1, y1 - r), (x1, y0 + r)),
        ((x1 - r, y0), (x0 + r, y0)),
    )
    vertices: list[Vertex] = []
    for start, end in sides_of:
        ends = [(rounded(x), rounded(y)) for x, y in (start, end)]
        if ends[0] != ends[1]:
            vertices.append((*ends[0], 0.0))
        vertices.append((*ends[1], -QUARTER_TURN))
    return tuple(vertices)


# What a router does not do


def _trims(part: Part) -> Iterator[Corners]:
    """The strips that are trimmed off on site."""
    low, high = _blank(part)
    for cut in part.cuts:
        if isinstance(cut, Scribe):
            i, far = "xy".index(cut.edge[0]), cut.edge[1] == "1"
            ends = [list(low), list(high)]
            ends[0 if far else 1][i] = part.size[i] if far else 0.0
            yield (ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])


def _edge_work(part: Part) -> set[Figure]:
    """Bores into edges, tilted bores and bevels, each as the rectangle it covers in plan."""
    found: set[Figure] = set()
    for cut in part.cuts:
        if isinstance(cut, Bore) and cut.face not in FLAT:
            found.add(_in_plan(cut.face, _reach(cut, part), cut.u, cut.diameter))
        elif isinstance(cut, PocketBore):
            middle = (cut.v, cut.u)["xy".index(cut.toward[0])]
            found.add(_in_plan(cut.toward, cut.opening(part.size), middle, cut.diameter))
        elif isinstance(cut, Bevel):
            i = "xy".index(cut.edge[0])
            reach = (0.0, cut.run) if cut.edge[1] == "0" else (part.size[i] - cut.run, part.size[i])
            found.add(_in_plan(cut.edge, reach, part.size[1 - i] / 2, part.size[1 - i]))
    return found


def _reach(cut: Bore, part: Part) -> tuple[float, float]:
    whole = part.size["xy".index(cut.face[0])]
    depth = min(cut.depth_in(part.size), whole)
    return (0.0, depth) if cut.face[1] == "0" else (whole - depth, whole)


def _in_plan(edge: str, reach: tuple[float, float], middle: float, across: float) -> Figure:
    (a, b), (c, d) = reach, (middle - across / 2, middle + across / 2)
    return rectangle(layers.EDGE, ((a, c), (b, d)) if edge[0] == "x" else ((c, a), (d, b)))


def _told_of_edges(part: Part) -> tuple[str, ...]:
    """The same in words, like work counted together."""
    counted = Counter(words for cut in part.cuts for words in _words(cut, part))
    return tuple(f"not from above: {n} x {words}" for words, n in sorted(counted.items()))


def _words(cut: object, part: Part) -> Iterator[str]:
    mm = plain_mm
    if isinstance(cut, Bore) and cut.face not in FLAT:
        whole = part.size["xy".index(cut.face[0])]
        depth = cut.depth_in(part.size)
        deep = "right through" if depth >= whole else f"depth {mm(depth)}"
        sunk = f", countersunk {mm(cut.countersink)}" if cut.countersink else ""
        yield f"bore {mm(cut.diameter)} {deep}{sunk} into {_ENDS[cut.face]}, its middle {mm(cut.v)} above face B"
    elif isinstance(cut, PocketBore):
        yield (
            f"pocket bore {mm(cut.diameter)}, then {mm(cut.pilot_diameter)}, at {mm(round(cut.degrees, 1))} degrees"
            f" from face {cut.face} toward {_ENDS[cut.toward]}, shoulder {mm(cut.shoulder)} before it: bored in a jig"
        )
    elif isinstance(cut, Bevel):
        degrees = mm(round(cut.degrees(part.size), 1))
        yield f"bevel of {degrees} degrees on {_ENDS[cut.edge]}, face {cut.face} narrower by {mm(cut.run)}: on a saw"
    elif isinstance(cut, Scribe):
        yield f"{mm(cut.extra)} left on {_ENDS[cut.edge]}, to trim to the wall on site"
