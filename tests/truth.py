"""A slow reference for interference: the CAD kernel's booleans and distances, and nothing of the checks.

A motion is followed by the kernel's distance: while two solids are `d` mm apart, the one that moves can go on until
its fastest point has gone `d` mm, and nothing, however thin, is stepped over. Nearer than NEAR it goes by STEP.
Random parts have every kind of cut; hardware is made of boxes and bars.
"""

# The bindings of the kernel come without type stubs.
# pyright: reportAttributeAccessIssue=false

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import cadquery as cq
from hypothesis import strategies as st
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from model.cuts import Bevel, Bore, Cut, Cutout, Groove, Notch, PocketBore, Rabbet
from model.part import Part
from model.placement import Placement
from model.shapes import Box, Cylinder, Primitive, Vec
from model.solids import solid, transform

NEAR = 0.05
"""mm. From here on a motion goes by STEP."""

STEP = 0.05
"""mm of the fastest point."""

LOOKS = 150
"""At most so many places are looked at on one way: more are needed only where two solids pass with hardly a gap."""

COUNTS = 1.0
"""mm^3. Less in common is rounding: the limit README.md states."""


OPEN = "cable"
"""What random bores are for: those of screws stay filled in the checks, for nothing but a screw goes into them."""


class Unsure(Exception):
    """The reference does not know: two pass so near each other that it would look for too long, or the kernel errs."""


def at(part: Part, place: Placement) -> cq.Shape:
    """The solid at its place."""
    return solid(part).moved(cq.Location(transform(place)))


def common(a: cq.Shape, b: cq.Shape) -> cq.Shape | None:
    """What two solids share, by a boolean; None where they share nothing.

    The kernel's distance does not decide this: of two sheets of 0.5 mm that cross, their faces 0.003 mm off, it says
    0.003 mm.
    """
    if distance(a, b) > NEAR:
        return None
    found = a.intersect(b)
    shared = found.Volume()
    if abs(a.Volume() - a.cut(b).Volume() - shared) > 1e-4 * a.Volume():
        raise Unsure  # the kernel's own booleans do not agree
    return found if shared > 1e-9 else None


def volume(a: cq.Shape, b: cq.Shape) -> float:
    found = common(a, b)
    return 0.0 if found is None else found.Volume()


def round_area(shape: cq.Shape) -> float:
    """The area of its faces that are not flat, mm^2."""
    return sum(face.Area() for face in shape.Faces() if face.geomType() != "PLANE")


def distance(a: cq.Shape, b: cq.Shape) -> float:
    """The shortest distance between two solids, mm; 0 where they touch or one lies in the other."""
    found = BRepExtrema_DistShapeShape(a.wrapped, b.wrapped)
    assert found.IsDone()
    return 0.0 if found.InnerSolution() else found.Value()


@dataclass(frozen=True)
class Way:
    """One solid on its way past another: `moved` gives it at a place, mm of its fastest point up to `travel`."""

    moved: Callable[[float], cq.Shape]
    still: cq.Shape
    travel: float

    def away(self, place: float) -> float:
        return distance(self.moved(place), self.still)

    def shared(self, place: float) -> float:
        return volume(self.moved(place), self.still)

    def first_contact(self) -> float | None:
        """Where the common volume begins that comes to count; None where none does. Raises Unsure."""
        place, clear = 0.0, 0.0
        for _ in range(LOOKS):
            away = self.away(place)
            shared = 0.0 if away > NEAR else self.shared(place)
            if shared > COUNTS:
                return self._between(clear, place)
            if shared == 0:
                clear = place
            if place >= self.travel:
                return None
            place = min(place + max(away if away > NEAR else 0.0, STEP), self.travel)
        raise Unsure

    def _between(self, clear: float, met: float) -> float:
        while met - clear > 0.005:
            middle = (clear + met) / 2
            clear, met = (middle, met) if self.shared(middle) == 0 else (clear, middle)
        return met


def sliding(a: Part, b: Part, place: Placement, direction: Vec, travel: float) -> Way:
    def moved(run: float) -> cq.Shape:
        return solid(a).moved(cq.Location(cq.Vector(*(c * run for c in direction))))

    return Way(moved, at(b, place), travel)


def turning(a: Part, b: Part, place: Placement, origin: Vec, direction: Vec, angle: float) -> tuple[Way, float]:
    """The way of a part that turns about an axis, and the distance (mm) of its outermost point from the axis."""
    axis = cq.Vector(*direction)
    corners = [
        cq.Vector(x, y, z) - cq.Vector(*origin) for x in (0, a.length) for y in (0, a.width) for z in (0, a.thickness)
    ]
    reach = max((corner - axis * corner.dot(axis)).Length for corner in corners)
    end = cq.Vector(*origin) + axis

    def moved(run: float) -> cq.Shape:
        return solid(a).rotate(cq.Vector(*origin), end, math.degrees(run / reach))

    return Way(moved, at(b, place), angle * reach), reach


# Random parts

Edge = Literal["x0", "x1", "y0", "y1"]
EDGES: tuple[Edge, ...] = ("x0", "x1", "y0", "y1")
FLAT: tuple[Literal["A"], Literal["B"]] = ("A", "B")


def _share(draw: st.DrawFn, low: float, high: float, length: float) -> float:
    return round(length * draw(st.integers(int(low * 100), int(high * 100))) / 100, 1)


@st.composite
def a_cut(draw: st.DrawFn, size: Vec) -> Cut:
    """One cut of any kind that fits a blank of this size."""
    length, width, thick = size
    u0, u1 = _share(draw, 0.1, 0.4, length), _share(draw, 0.5, 0.9, length)
    v0, v1 = _share(draw, 0.1, 0.4, width), _share(draw, 0.5, 0.9, width)
    depth = _share(draw, 0.2, 0.8, thick)
    face = draw(st.sampled_from(FLAT))
    kind = draw(st.sampled_from(["bore", "blind", "end", "groove", "rabbet", "notch", "cutout", "bevel", "pocket"]))
    if kind == "pocket" and thick < 15:
        kind = "blind"
    match kind:
        case "bore":
            return Bore(face="A", u=u0, v=v0, diameter=draw(st.sampled_from([5.0, 8.0, 20.0, 35.0])), purpose=OPEN)
        case "blind":
            return Bore(
                face=face, u=u1, v=v0, diameter=draw(st.sampled_from([5.0, 15.0, 35.0])), depth=depth, purpose=OPEN
            )
        case "end":
            end = draw(st.sampled_from(EDGES[:2]))
            return Bore(
                face=end,
                u=v1,
                v=round(thick / 2, 1),
                diameter=round(thick / 2, 1),
                depth=_share(draw, 0.1, 0.4, length),
                purpose=OPEN,
            )
        case "groove":
            return Groove(face=face, u0=u0, u1=u1, v0=v0, v1=v1, depth=depth)
        case "rabbet":
            return Rabbet(face=face, u0=0, u1=length, v0=0, v1=v0, depth=depth)
        case "notch":
            return Notch(u0=u1, u1=length, v0=0, v1=v0)
        case "cutout":
            radius = draw(st.sampled_from([0.0, 3.0]))
            return Cutout(u0=u0, u1=u1, v0=v0, v1=v1, radius=radius if min(u1 - u0, v1 - v0) > 7 else 0.0)
        case "bevel":
            return Bevel(
                edge=draw(st.sampled_from(["x0", "x1", "y0", "y1"])), face=face, run=round(min(thick, width / 4), 1)
            )
        case _:
            return PocketBore(
                face=face, toward="x1", u=round(length - 30, 1), v=v0, diameter=9.5, pilot_diameter=3.8, shoulder=12.0
            )


@st.composite
def boards(draw: st.DrawFn) -> Part:
    """A board with up to three cuts; some as thin as 0.5 mm."""
    thick = draw(st.sampled_from([0.5, 3.0, 6.0, 18.0, 25.0]))
    size = (float(draw(st.integers(60, 220))), float(draw(st.integers(40, 140))), thick)
    cuts = tuple(draw(st.lists(a_cut(size), max_size=3))) if thick > 1 else ()
    return Part(kind="sheet", material="board", length=size[0], width=size[1], thickness=thick, cuts=cuts)


@st.composite
def items(draw: st.DrawFn) -> Part:
    """Hardware: a plate, and a bar that stands on it or lies along it."""
    length, width, high = (float(draw(st.integers(low, 120))) for low in (60, 40, 30))
    plate = Box((0, 0, 0), (length, width, 6))
    radius = float(draw(st.integers(2, 18)))
    middle = (round(length / 2, 1), round(width / 2, 1))
    upright = Cylinder((*middle, 3), (0, 0, 1), radius, high - 3)
    lying = Cylinder((0, middle[1], high / 2), (1, 0, 0), min(radius, high / 2 - 1), length)
    body: tuple[Primitive, ...] = draw(st.sampled_from([(plate, upright), (plate, lying), (lying,)]))
    return Part(kind="hardware", material="item", length=length, width=width, thickness=high, body=body)


parts = st.one_of(boards(), boards(), items())
_angles = st.one_of(
    st.sampled_from([0.0, math.pi / 2, math.pi, -math.pi / 2]), st.integers(-300, 300).map(lambda a: a / 100)
)


@st.composite
def places(draw: st.DrawFn, spread: int) -> Placement:
    """Quarter turns and turns of any kind; no place is a tenth of a millimetre, so that parallel faces lie well apart
    or well in each other: a film as thin as the rounding of places is no overlap, and the kernel does not know that.
    """
    x, y, z = (draw(st.integers(-10 * spread, 10 * spread)) / 10 + 0.05 for _ in range(3))
    turned = Placement.turned("x", draw(_angles)).compose(Placement.turned("z", draw(_angles)))
    return Placement((x, y, z)).compose(turned).compose(Placement.turned("y", draw(_angles)))
