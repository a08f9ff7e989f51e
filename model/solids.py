"""Parts as boundary-representation solids: the one door to the CAD kernel, with `wells.py` beside it.

Everything is made by direct kernel calls from known coordinates. Openings are inner loops of one extruded outline and
bores are made face by face, where they are clear of every other cut; whatever is left is taken away in a single
boolean operation with all its tools. No result is handed out unproved: see `_prove`.
"""

# The bindings of the kernel come without type stubs.
# pyright: reportAttributeAccessIssue=false

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import cadquery as cq
import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_BooleanOperation, BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Transform,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Shape, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from model.cuts import Bore, Cut, Cutout, PocketBore, Scribe
from model.errors import GeometryError
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import AXES, Box, Cylinder, Point2, Primitive, Prism, Vec
from model.tolerances import CONTACT
from model.wells import clear_bores, drilled, inside


@cache
def solid(part: Part) -> cq.Shape:
    """The part in its own frame: one valid solid without a location, or for hardware made of loose pieces a compound.

    Built once for equal parts. Raises GeometryError where the kernel's answer cannot be the part described: the
    message names the part and what was measured.
    """
    wells: tuple[Bore, ...] = ()
    if part.body:
        blank, tools, figures = _fused(part), [t for c in part.cuts for t in _tools(c, part)], ()
    else:
        openings, wells = _clear_openings(part), clear_bores(part)
        figures = (*openings, *wells)
        blank = _swept(_rectangle(part.size), [_loop(f) for f in openings], (0.0, 0.0, part.thickness))
        done = set(figures)
        tools = [t for c in part.cuts if c not in done for t in _tools(c, part)]
    shape = _boolean(BRepAlgoAPI_Cut(), [blank], [t.shape for t in tools], part) if tools else blank
    if wells:
        shape = drilled(shape, wells, part.size)
    pieces = [cq.Solid(TopoDS.Solid_s(s)) for s in inside(shape, TopAbs_ShapeEnum.TopAbs_SOLID)]
    result = pieces[0] if len(pieces) == 1 else cq.Compound.makeCompound(pieces)
    _prove(part, result, [*tools, *(_tool(f, part) for f in figures)])
    return result


def located(placed: PlacedPart) -> cq.Shape:
    """The solid of a placed part at its place; it shares the geometry of `solid(placed.part)`."""
    return solid(placed.part).moved(cq.Location(transform(placed.placement)))


def shared(a: PlacedPart, b: PlacedPart) -> cq.Shape | None:
    """What two placed parts have in common, in the room: a solid, or a compound of several; None if nothing."""
    # geometry of their own, so that a part that lies whole in the other is not handed out as itself
    first, second = (BRepBuilderAPI_Transform(solid(p.part).wrapped, transform(p.placement), True) for p in (a, b))
    common = _boolean(BRepAlgoAPI_Common(), [first.Shape()], [second.Shape()], a.part)
    solids = [cq.Solid(TopoDS.Solid_s(s)) for s in inside(common, TopAbs_ShapeEnum.TopAbs_SOLID)]
    if not solids:
        return None
    return solids[0] if len(solids) == 1 else cq.Compound.makeCompound(solids)


def transform(placement: Placement) -> gp_Trsf:
    """A placement as the kernel's rigid transform."""
    move = gp_Trsf()
    rows = zip(placement.rotation, placement.origin, strict=True)
    move.SetValues(*(value for row, shift in rows for value in (*row, shift)))
    return move


# Shapes from coordinates


@dataclass(frozen=True, slots=True)
class _Tool:
    """A volume to take away: its shape, its bounds, and between which volumes (mm^3) its share of the blank lies."""

    shape: TopoDS_Shape
    bounds: Box
    least: float
    most: float


def _tools(cut: Cut, part: Part) -> list[_Tool]:
    """The volumes one cut takes away: a stepped bore is two, a scribe none, any other cut one."""
    if not isinstance(cut, PocketBore | Scribe):
        return [_tool(cut, part)]
    blank = Box((0.0, 0.0, 0.0), part.size)
    return [_Tool(_primitive(p), p.bounds(), *_share(p, blank)) for p in cut.primitives(part.size)]


def _tool(cut: Cut, part: Part) -> _Tool:
    if isinstance(cut, Cutout) and cut.radius > 0:
        low, high = cut.primitives(part.size)[0].bounds().span("z")
        bounds = Box((cut.u0, cut.v0, low), (cut.u1, cut.v1, high))
        outline = cq.Shape(_loop(cut)).moved(cq.Location(transform(Placement((0.0, 0.0, low)))))
        least, most = _share(bounds, Box((0.0, 0.0, 0.0), part.size))
        corners = (4 - math.pi) * cut.radius**2 * part.thickness
        return _Tool(_swept(outline.wrapped, [], (0.0, 0.0, high - low)), bounds, least - corners, most)
    (primitive,) = cut.primitives(part.size)
    least, most = _share(primitive, Box((0.0, 0.0, 0.0), part.size))
    return _Tool(_primitive(primitive), primitive.bounds(), least, most)


def _primitive(volume: Primitive) -> TopoDS_Shape:
    match volume:
        case Box(lo, hi):
            return BRepPrimAPI_MakeBox(gp_Pnt(*lo), gp_Pnt(*hi)).Shape()
        case Cylinder(base, direction, radius, length):
            return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(*base), gp_Dir(*direction)), radius, length).Shape()
        case Prism(axis, outline, lo, hi):
            points = [_lift(p, axis, lo) for p in outline]
            return _swept(_polygon(points), [], _lift((0.0, 0.0), axis, hi - lo))


def _lift(point: Point2, axis: str, height: float) -> Vec:
    """A point of a prism's outline in space: `height` along `axis`, the two others in the order x, y, z."""
    i = AXES.index(axis)
    x, y, z = (*point[:i], height, *point[i:])
    return (x, y, z)


def _area(outline: Sequence[Point2]) -> float:
    """The area of a simple loop, mm^2."""
    following = (*outline[1:], outline[0])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, following, strict=True))) / 2


def _rectangle(size: Vec) -> TopoDS_Wire:
    return _polygon([(0.0, 0.0, 0.0), (size[0], 0.0, 0.0), (size[0], size[1], 0.0), (0.0, size[1], 0.0)])


def _polygon(points: Sequence[Vec]) -> TopoDS_Wire:
    polygon = BRepBuilderAPI_MakePolygon()
    for p in points:
        polygon.Add(gp_Pnt(*p))
    polygon.Close()
    return polygon.Wire()


def _loop(cut: Cutout) -> TopoDS_Wire:
    """The anticlockwise outline, at z = 0, of an opening through faces A and B."""
    u0, v0, u1, v1, r = cut.u0, cut.v0, cut.u1, cut.v1, cut.radius
    if r == 0:
        return _polygon([(u0, v0, 0.0), (u1, v0, 0.0), (u1, v1, 0.0), (u0, v1, 0.0)])
    wire = BRepBuilderAPI_MakeWire()
    middles = ((u1 - r, v0 + r), (u1 - r, v1 - r), (u0 + r, v1 - r), (u0 + r, v0 + r))
    starts = ((u1 - r, v0), (u1, v1 - r), (u0 + r, v1), (u0, v0 + r))
    ends = ((u1, v0 + r), (u1 - r, v1), (u0, v1 - r), (u0 + r, v0))
    for middle, start, end, after in zip(middles, starts, ends, (*starts[1:], starts[0]), strict=True):
        a, b, c = (gp_Pnt(*p, 0.0) for p in (start, end, after))
        wire.Add(BRepBuilderAPI_MakeEdge(_circle(*middle, r), a, b).Edge())
        if not b.IsEqual(c, CONTACT / 100):  # the straight between two corners; none at the end of a slot
            wire.Add(BRepBuilderAPI_MakeEdge(b, c).Edge())
    return wire.Wire()


def _circle(u: float, v: float, radius: float) -> gp_Circ:
    return gp_Circ(gp_Ax2(gp_Pnt(u, v, 0.0), gp_Dir(0.0, 0.0, 1.0)), radius)


def _swept(outline: TopoDS_Wire, holes: Sequence[TopoDS_Wire], along: Vec) -> TopoDS_Shape:
    """What a flat loop sweeps, its holes left free. All loops lie in one plane and turn the same way."""
    face = BRepBuilderAPI_MakeFace(outline, True)
    for hole in holes:
        face.Add(TopoDS.Wire_s(hole.Reversed()))
    shape = BRepPrimAPI_MakePrism(face.Face(), gp_Vec(*along)).Shape()
    if holes:  # with its edges also drawn in its faces, a plate of many holes is proved in a third of the time
        for side in inside(shape, TopAbs_ShapeEnum.TopAbs_FACE):
            for edge in inside(side, TopAbs_ShapeEnum.TopAbs_EDGE):
                BRepLib.BuildPCurveForEdgeOnPlane_s(TopoDS.Edge_s(edge), TopoDS.Face_s(side))
    return shape


# Booleans


def _clear_openings(part: Part) -> tuple[Cutout, ...]:
    """The openings that stay inside the outline and clear of every other cut."""
    found: list[Cutout] = []
    boxes = [(c, p.bounds()) for c in part.cuts for p in c.primitives(part.size)]
    for cut in part.cuts:
        if not isinstance(cut, Cutout):
            continue
        grown = Box((cut.u0, cut.v0, 0.0), (cut.u1, cut.v1, part.thickness)).grown(CONTACT)
        inside = min(cut.u0, cut.v0, part.length - cut.u1, part.width - cut.v1) >= CONTACT
        if inside and not any(other is not cut and box.common(grown) is not None for other, box in boxes):
            found.append(cut)
    return tuple(found)


def _fused(part: Part) -> TopoDS_Shape:
    """The body of a part: its primitives in one."""
    first, *rest = [_primitive(p) for p in part.body]
    return _boolean(BRepAlgoAPI_Fuse(), [first], rest, part) if rest else first


def _boolean(
    operation: BRepAlgoAPI_BooleanOperation,
    arguments: Sequence[TopoDS_Shape],
    tools: Sequence[TopoDS_Shape],
    part: Part,
) -> TopoDS_Shape:
    """All tools against all arguments at once."""
    operation.SetArguments(_list(arguments))
    operation.SetTools(_list(tools))
    operation.SetRunParallel(False)
    operation.SetToFillHistory(False)
    operation.Build()
    if not operation.IsDone():
        raise GeometryError(f"{_named(part)}: the CAD kernel could not make it")
    return operation.Shape()


def _list(shapes: Sequence[TopoDS_Shape]) -> TopTools_ListOfShape:
    found = TopTools_ListOfShape()
    for shape in shapes:
        found.Append(shape)
    return found


# Proof


def _prove(part: Part, shape: cq.Shape, tools: Sequence[_Tool]) -> None:
    """Raise GeometryError unless the shape is valid, whole, of a possible volume and as large as its blank."""
    pieces = len(inside(shape.wrapped, TopAbs_ShapeEnum.TopAbs_SOLID))
    if pieces == 0:
        raise GeometryError(f"{_named(part)}: nothing is left of it after its cuts")
    if pieces > 1 and part.kind != "hardware":
        raise GeometryError(f"{_named(part)}: it falls into {pieces} pieces; must be one")
    if not BRepCheck_Analyzer(shape.wrapped).IsValid():
        raise GeometryError(f"{_named(part)}: the CAD kernel made an invalid solid of it")
    _prove_volume(part, shape, tools)
    _prove_extent(part, shape, tools)


def _prove_volume(part: Part, shape: cq.Shape, tools: Sequence[_Tool]) -> None:
    """A boolean that loses a tool or turns inside out is caught here: the volume is bounded from both sides."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape.wrapped, properties)
    volume, blank = properties.Mass(), Box((0.0, 0.0, 0.0), part.size)
    least, most = blank.volume, blank.volume
    if part.body:
        shares = [_share(p, blank) for p in part.body]
        least, most = _union([p.bounds() for p in part.body], shares, blank)
    if tools:
        taken_least, taken_most = _union([t.bounds for t in tools], [(t.least, t.most) for t in tools], blank)
        least, most = least - taken_most, most - (0.0 if part.body else taken_least)
    slack = 0.01 + 1e-9 * blank.volume
    if not max(least - slack, 0.0) < volume < most + slack:
        raise GeometryError(
            f"{_named(part)}: its solid measures {volume:.3f} mm^3; must be {least:.3f} to {most:.3f} mm^3"
        )


def _share(volume: Primitive, blank: Box) -> tuple[float, float]:
    """Between which volumes (mm^3) the part of a primitive inside the blank lies: equal where it is known exactly."""
    bounds = volume.bounds()
    inside = bounds.common(blank)
    if inside is None:
        return 0.0, 0.0
    whole, exact = inside.volume, isinstance(volume, Box)
    if isinstance(volume, Prism):
        whole, exact = _area(volume.outline) * (volume.hi - volume.lo), inside == bounds
    elif isinstance(volume, Cylinder):
        along = [i for i, d in enumerate(volume.direction) if abs(d) == 1]
        height = inside.size[along[0]] if along else volume.length
        whole = math.pi * volume.radius**2 * height
        exact = all(inside.span(a) == bounds.span(a) for i, a in enumerate(AXES) if i not in along)
    return (whole, whole) if exact else (0.0, min(whole, inside.volume))


def _union(bounds: Sequence[Box], shares: Sequence[tuple[float, float]], blank: Box) -> tuple[float, float]:
    """Between which volumes (mm^3) the union of shares lies: no more than their sum, and (Bonferroni's inequality) no
    less than their sum without what any two have in common, itself no more than their bounds have in common."""
    lo = np.maximum([b.lo for b in bounds], blank.lo)
    hi = np.minimum([b.hi for b in bounds], blank.hi)
    common = np.clip(np.minimum(hi[:, None], hi[None]) - np.maximum(lo[:, None], lo[None]), 0.0, None).prod(axis=2)
    shared = float(np.triu(common, 1).sum())
    least, most = sum(s[0] for s in shares), sum(s[1] for s in shares)
    return max(least - shared, *(s[0] for s in shares)), min(most, blank.volume)


def _prove_extent(part: Part, shape: cq.Shape, tools: Sequence[_Tool]) -> None:
    """The solid fills its blank (or body) to every side that is not cut away whole."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape.wrapped, box, False, False)
    measured = box.Get()
    lo, hi = (0.0, 0.0, 0.0), part.size
    if part.body:
        bounds = [p.bounds() for p in part.body]
        lo, hi = (
            tuple(min(b.lo[i] for b in bounds) for i in range(3)),
            tuple(max(b.hi[i] for b in bounds) for i in range(3)),
        )
    for i, axis in enumerate(AXES):
        for end, want, got in ((0, lo[i], measured[i]), (1, hi[i], measured[3 + i])):
            shorter = (got - want) * (1 if end == 0 else -1)
            if shorter < -CONTACT or (shorter > CONTACT and _stays(part, tools, i, end)):
                raise GeometryError(f"{_named(part)}: its solid reaches {axis} = {got:.4f} mm; must be {want:.4f} mm")


def _stays(part: Part, tools: Sequence[_Tool], axis: int, end: int) -> bool:
    """True where the cuts together are too small to take a whole side away, so that the side must still be there."""
    if part.body and tools:
        return False
    blank, taken = Box((0.0, 0.0, 0.0), part.size), 0.0
    for tool in tools:
        inside = tool.bounds.common(blank)
        if inside and (inside.lo[axis] <= 0 if end == 0 else inside.hi[axis] >= part.size[axis]):
            taken += inside.volume / inside.size[axis]
    return taken < blank.volume / part.size[axis] * (1 - 1e-9)


def _named(part: Part) -> str:
    return f"part {part.length:g} x {part.width:g} x {part.thickness:g} mm of {part.material}"
