"""Bores made face by face: a plate with many holes in a fraction of the time a boolean operation takes.

A bore that is clear of every other cut changes a solid in a known way: its mouth in one face (in two where it goes
through), its wall, and its bottom where it has one.
"""

# The bindings of the kernel come without type stubs.
# pyright: reportAttributeAccessIssue=false

from collections.abc import Sequence

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeSolid,
    BRepBuilderAPI_MakeWire,
)
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.BRepTools import BRepTools_ReShape
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_ShapeEnum, TopAbs_State
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Wire

from model.cuts import Bore
from model.faces import Face
from model.part import Part
from model.shapes import Vec
from model.tolerances import CONTACT, OVERCUT

OPPOSITE: dict[Face, Face] = {"A": "B", "B": "A", "x0": "x1", "x1": "x0", "y0": "y1", "y1": "y0"}


def clear_bores(part: Part) -> tuple[Bore, ...]:
    """The bores that open whole on the faces they should and meet no other cut."""
    bores = [c for c in part.cuts if isinstance(c, Bore)]
    if not bores:
        return ()
    size = np.array(part.size)
    boxes = [p.bounds() for c in part.cuts for p in c.primitives(part.size)]
    lo, hi = np.array([b.lo for b in boxes]), np.array([b.hi for b in boxes])
    found: list[Bore] = []
    for bore in bores:
        bounds = bore.bar(part.size).bounds()
        a, b = np.array(bounds.lo), np.array(bounds.hi)
        meets = int(((lo < b + CONTACT) & (hi > a - CONTACT)).all(axis=1).sum())
        opens = int((a < CONTACT).sum() + (b > size - CONTACT).sum())
        if meets == 1 and opens == (2 if bore.depth is None else 1):
            found.append(bore)
    return tuple(found)


def drilled(plate: TopoDS_Shape, bores: Sequence[Bore], size: Vec) -> TopoDS_Shape:
    """The solid with bores that are clear of everything cut in it so far."""
    mouths: dict[Face, list[tuple[Vec, TopoDS_Wire]]] = {}
    walls: list[TopoDS_Shape] = []
    for bore in bores:
        _drill(bore, size, mouths, walls)
    swaps = BRepTools_ReShape()
    for shape in inside(plate, TopAbs_ShapeEnum.TopAbs_FACE):
        face = TopoDS.Face_s(shape)
        side = _side_of(face, size)
        wires = _on(face, mouths.get(side, [])) if side else []
        if wires:
            opened = BRepBuilderAPI_MakeFace(face)
            for wire in wires:
                opened.Add(wire)
            swaps.Replace(shape, opened.Face())
    return _closed(swaps.Apply(plate), walls)


def _closed(plate: TopoDS_Shape, walls: Sequence[TopoDS_Shape]) -> TopoDS_Shape:
    """One solid of a shell with mouths and the walls behind them."""
    shell = inside(plate, TopAbs_ShapeEnum.TopAbs_SHELL)[0]
    whole, builder = TopoDS.Shell_s(shell.EmptyCopied()), BRep_Builder()
    for face in (*inside(shell, TopAbs_ShapeEnum.TopAbs_FACE), *walls):
        builder.Add(whole, face)
    whole.Closed(True)
    solid = BRepBuilderAPI_MakeSolid(whole).Shape()
    for side in inside(
        solid, TopAbs_ShapeEnum.TopAbs_FACE
    ):  # drawn in its faces too, it is proved in a third of the time
        for edge in inside(side, TopAbs_ShapeEnum.TopAbs_EDGE):
            BRepLib.BuildPCurveForEdgeOnPlane_s(TopoDS.Edge_s(edge), TopoDS.Face_s(side))
    return solid


def _drill(bore: Bore, size: Vec, mouths: dict[Face, list[tuple[Vec, TopoDS_Wire]]], walls: list[TopoDS_Shape]) -> None:
    """The mouths of a bore by the face they are in, its wall and its bottom, each turned to have the wood behind it."""
    bar = bore.bar(size)
    d, deep = bar.direction, bore.depth_in(size)
    start = _beyond(bar.base, d, OVERCUT)
    end = _beyond(start, d, deep)
    edge = BRepBuilderAPI_MakeEdge(gp_Circ(gp_Ax2(gp_Pnt(*start), gp_Dir(*d)), bar.radius)).Edge()
    sweep = BRepPrimAPI_MakePrism(edge, gp_Vec(*(c * deep for c in d)))
    rim = TopoDS.Wire_s(BRepBuilderAPI_MakeWire(TopoDS.Edge_s(sweep.LastShape())).Wire().Reversed())
    mouths.setdefault(bore.face, []).append((start, BRepBuilderAPI_MakeWire(edge).Wire()))
    walls.append(sweep.Shape())
    if bore.depth is None:
        mouths.setdefault(OPPOSITE[bore.face], []).append((end, rim))
    else:
        walls.append(BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(*end), gp_Dir(*(-c for c in d))), rim).Face())


def _beyond(point: Vec, direction: Vec, by: float) -> Vec:
    x, y, z = (p + d * by for p, d in zip(point, direction, strict=True))
    return (x, y, z)


def _on(face: TopoDS_Face, mouths: Sequence[tuple[Vec, TopoDS_Wire]]) -> list[TopoDS_Wire]:
    """The mouths that lie in a face, of those in its plane."""
    return [
        wire
        for middle, wire in mouths
        if BRepClass_FaceClassifier(face, gp_Pnt(*middle), CONTACT).State() == TopAbs_State.TopAbs_IN
    ]


def _side_of(face: TopoDS_Face, size: Vec) -> Face | None:
    """Which face of a blank a plane face of its solid lies in; None for any other."""
    surface = BRepAdaptor_Surface(face)
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
        return None
    plane = surface.Plane()
    at, normal = plane.Location().Coord(), plane.Axis().Direction().Coord()
    axis = max(range(3), key=lambda i: abs(normal[i]))
    if abs(normal[axis]) < 1 - 1e-9:
        return None
    sides: tuple[tuple[Face, Face], ...] = (("x0", "x1"), ("y0", "y1"), ("B", "A"))
    for side, level in zip(sides[axis], (0.0, size[axis]), strict=True):
        if abs(at[axis] - level) < CONTACT / 10:
            return side
    return None


def inside(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> list[TopoDS_Shape]:
    """The solids, shells, faces or edges of a shape."""
    found: list[TopoDS_Shape] = []
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found
