"""What holds the end of one panel against the face of another: screws, pocket screws or dowels, with their bores.

The end of a panel looks `toward` a host. Bores run along the joint, on the middle of the panel's thickness.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from model.cabinet.fittings import dowel_part
from model.cuts import PocketBore
from model.draft import Draft, Panel
from model.messages import mm
from model.part import lying
from model.placement import DIRECTIONS, Placement
from model.shapes import AXES, Box, Vec
from model.site import Site, Unbuildable
from model.stock.cabinet import Dowel
from model.stock.tables import Screw
from model.tolerances import rounded

Joinery = Literal["butt", "housed", "cleated", "pocket", "dowelled"]
Span = tuple[float, float]

ROW = 37.0
"""mm. First dowel or screw from the edge of what it holds (32 mm system: common practice)."""
PITCH = 32.0
"""mm. Dowels lie on this grid (32 mm system: common practice)."""
DOWEL_EVERY = 4
"""Dowels at most this many pitches apart (128 mm: common practice)."""
SCREW_EVERY = 150.0
"""mm. Carcass and pocket screws at most this far apart (common practice)."""
GLUE = 1.0
"""mm. A dowel's bore is this much deeper than the dowel goes in (common practice: 1 to 2 mm at each end)."""
KEEP = 4.0
"""mm. A blind bore leaves at least this much of the panel under it; a screw's tip as much."""
HOLD_LEAST = 15.0
"""mm. A screw that bites less than this in an end holds little (common practice)."""
POCKET_DIAMETER = 9.5
"""mm. The wide part of a pocket bore: a 3/8 in step drill (common practice)."""
POCKET_DEGREES = 15.0
"""From the face of the panel (common practice)."""
POCKET_LEAST = 5.0
"""mm. A pocket shorter than this has no shoulder for the head."""


@dataclass(frozen=True)
class Fasteners:
    """What a joinery takes from stock: only what it needs is there."""

    screw: Screw | None = None
    pocket: Screw | None = None
    dowel: Dowel | None = None


NONE = Fasteners()


def fasteners_of(site: Site, joinery: Joinery) -> Fasteners:
    """The fasteners named for a joinery. Carcass screws may be left unnamed: then a butt joint has no bores."""
    if joinery == "pocket":
        return Fasteners(pocket=site.screw("pocket_screw"))
    if joinery == "dowelled":
        return Fasteners(dowel=site.dowel())
    if joinery == "butt" and site.materials.carcass_screw is not None:
        return Fasteners(screw=site.screw("carcass_screw"))
    return Fasteners()


def evenly(span: Span, every: float = SCREW_EVERY, end: float = ROW) -> list[float]:
    """Places along a span, evenly spaced and at most `every` apart, the outer ones `end` from its ends (mm).

    On a short span they come nearer to the ends; on one under 40 mm there is one, in the middle.
    """
    length = span[1] - span[0]
    if length < 40:
        return [(span[0] + span[1]) / 2]
    end = min(end, length / 4)
    gaps = max(1, math.ceil((length - 2 * end) / every - 1e-9))
    return [rounded(span[0] + end + i * (length - 2 * end) / gaps) for i in range(gaps + 1)]


def on_grid(span: Span, start: float, edge: float) -> list[float]:
    """Places on the 32 mm grid through `start`, at least `edge` inside a span, thinned to every fourth; mm.

    Where the grid misses a short span its middle is taken.
    """
    low, high = span[0] + edge, span[1] - edge
    first = math.ceil((low - start) / PITCH - 1e-9)
    last = math.floor((high - start) / PITCH + 1e-9)
    if last < first:
        return [rounded((span[0] + span[1]) / 2)]
    gaps = max(1, math.ceil((last - first) / DOWEL_EVERY))
    steps = sorted({first + round(i * (last - first) / gaps) for i in range(gaps + 1)})
    return [rounded(start + PITCH * step) for step in steps]


@dataclass(frozen=True)
class _End:
    """The end of a panel: where it looks, the axis along the joint, its span, and a point on it for each place."""

    toward: str
    along: str
    span: Span
    point: Callable[[float], Vec]

    @property
    def inward(self) -> str:
        return ("-" if self.toward[0] == "+" else "+") + self.toward[1]


def _end(panel: Panel, toward: str) -> _End:
    axis, thick = toward[1], panel.face[1]
    along = next(a for a in AXES if a not in (axis, thick))
    low, high = panel.box.span(axis)
    middle = panel.box.center[AXES.index(thick)]

    def point(place: float) -> Vec:
        at = {axis: high if toward[0] == "+" else low, thick: middle, along: place}
        return (at["x"], at["y"], at["z"])

    return _End(toward, along, panel.box.span(along), point)


def fasten(draft: Draft, joinery: Joinery, fasteners: Fasteners, panel: Panel, toward: str, host: Panel) -> None:
    """Join the end of a panel that looks `toward` to the host it lies against, and bore what the joinery asks for.

    Where the panel is narrower than the host is long, only what lies against the host is bored.
    """
    end = _end(panel, toward)
    low, high = host.box.span(end.along)
    span = (max(end.span[0], low), min(end.span[1], high))
    if fasteners.pocket is not None:
        _pockets(draft, fasteners.pocket, panel, end, span, host)
    elif fasteners.dowel is not None:
        _dowels(draft, fasteners.dowel, panel, end, span, host)
    else:
        if fasteners.screw is not None:
            _screws(fasteners.screw, panel, end, span, host)
        draft.join("housed" if joinery == "housed" else "screwed", panel, host)


def _thick(panel: Panel) -> float:
    return panel.box.size[AXES.index(panel.face[1])]


def _screws(screw: Screw, panel: Panel, end: _End, span: Span, host: Panel) -> None:
    """Clearance bores through the host and pilot bores in the end of the panel."""
    through, t = host.box.size[AXES.index(end.toward[1])], _thick(panel)
    hold = screw.length - through
    if hold < HOLD_LEAST or t < screw.diameter + 2 * KEEP:
        raise Unbuildable(
            f"a {mm(screw.length)} {screw.name} through {mm(through)} bites {mm(rounded(max(hold, 0.0)))} into an end "
            f"{mm(t)} thick: it needs {mm(HOLD_LEAST)} in an end {mm(screw.diameter + 2 * KEEP)} thick",
            "materials",
            "carcass_screw",
        )
    far = host.box.span(end.toward[1])[1 if end.toward[0] == "+" else 0]
    depth = min(hold, panel.box.size[AXES.index(end.toward[1])] / 2 - KEEP)
    for place in evenly(span):
        at = end.point(place)
        outside = list(at)
        outside[AXES.index(end.toward[1])] = far
        start = (outside[0], outside[1], outside[2])
        host.bore(start, end.inward, screw.clearance_diameter, purpose="screw", sink=screw.sink)
        panel.bore(at, end.inward, screw.pilot_diameter, depth, "pilot")


def _dowels(draft: Draft, dowel: Dowel, panel: Panel, end: _End, span: Span, host: Panel) -> None:
    """Blind bores in the host's face and the panel's end, a dowel in each pair."""
    i = AXES.index(end.toward[1])
    t, wall = _thick(panel), host.box.size[i]
    seat = math.floor(min(dowel.length * 0.4, wall - KEEP - GLUE) * 2) / 2
    if t < dowel.diameter + KEEP or seat < dowel.diameter / 2:
        raise Unbuildable(
            f"a {mm(dowel.diameter)} {dowel.name} is too thick for the end of a {mm(t)} panel on one of {mm(wall)}",
            "materials",
            "dowel",
        )
    rest = min(dowel.length - seat, panel.box.size[i] / 2 - KEEP)
    if rest < dowel.length - seat:
        raise Unbuildable(f"a {mm(dowel.length)} {dowel.name} is too long for the panels here", "materials", "dowel")
    part, r = dowel_part(dowel), dowel.diameter / 2
    sign = 1.0 if end.toward[0] == "+" else -1.0
    for place in on_grid(span, host.box.span(end.along)[0] + ROW, 2 * dowel.diameter):
        at = end.point(place)
        host.bore(at, end.toward, dowel.diameter, seat + GLUE, "dowel")
        panel.bore(at, end.inward, dowel.diameter, dowel.length - seat + GLUE, "dowel")
        turned = Placement.axes((0.0, 0.0, 0.0), f"+{end.toward[1]}", "+x" if end.toward[1] != "x" else "+z")
        low = turned.box(Box((0.0, 0.0, 0.0), part.size)).lo
        start = [c - r for c in at]
        start[i] = at[i] + (seat - dowel.length if sign > 0 else -seat)
        origin = (start[0] - low[0], start[1] - low[1], start[2] - low[2])
        side = {"-x": "left", "+x": "right", "-z": "lower", "+z": "upper"}.get(end.toward, end.toward)
        path = draft.numbered(f"{panel.path} dowel, {side}")
        draft.place(path, part, Placement(origin, turned.rotation), "dowel")
        draft.join("plugged", path, panel)
        draft.join("plugged", path, host)
    draft.join("dowelled", panel, host)


def pocket_bore(
    screw: Screw, thickness: float, wall: float, size: tuple[float, float], edge: str, v: float
) -> PocketBore:
    """The bore of a pocket screw in face B of a panel `size` long and wide, toward an edge of it, `v` along that edge.

    Its axis leaves the end in the middle of the thickness; the screw stops short of the far face of the `wall` it is
    driven into. Raises Unbuildable where the screw suits neither panel.
    """
    tilt = math.radians(POCKET_DEGREES)
    back = rounded(thickness / 2 / math.tan(tilt))
    bite = min(screw.length / 2, (wall - KEEP) / math.cos(tilt))
    shoulder = rounded(screw.length - bite)
    i = "xy".index(edge[0])
    across = back if edge[1] == "0" else rounded(size[i] - back)
    u, w = (across, v) if i == 0 else (v, across)
    diameter = max(POCKET_DIAMETER, 2 * screw.diameter)
    bore = PocketBore(
        face="B",
        toward=edge,  # pyright: ignore[reportArgumentType]
        u=u,
        v=w,
        diameter=diameter,
        pilot_diameter=screw.clearance_diameter,
        shoulder=shoulder,
        degrees=POCKET_DEGREES,
    )
    deep = bore.depth_in((size[0], size[1], thickness))
    if back / math.cos(tilt) - shoulder < POCKET_LEAST or deep > thickness - KEEP / 2:
        raise Unbuildable(
            f"a {mm(screw.length)} {screw.name} has no pocket in {mm(thickness)} toward {mm(wall)}: take another",
            "materials",
            "pocket_screw",
        )
    return bore


def _pockets(draft: Draft, screw: Screw, panel: Panel, end: _End, span: Span, host: Panel) -> None:
    """Pocket bores in face B of the panel; a panel too low for one is glued."""
    size, placed = lying(panel.box, panel.along, panel.face)
    back = placed.inverse()
    turned = back.turn(DIRECTIONS[end.toward])
    i = 0 if abs(turned[0]) > 0.5 else 1
    edge = f"{'xy'[i]}{1 if turned[i] > 0 else 0}"
    wall = host.box.size[AXES.index(end.toward[1])]
    if span[1] - span[0] < POCKET_DIAMETER + KEEP:
        draft.join("glued", panel, host)
        return
    for place in evenly(span):
        at = back.apply(end.point(place))
        panel.cuts.append(pocket_bore(screw, size[2], wall, (size[0], size[1]), edge, rounded(at[1 - i])))
    draft.join("pocket screwed", panel, host)
