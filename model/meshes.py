"""Triangle meshes of parts, built from the same primitives as the solids but without the CAD kernel.

Coordinates are double precision, mm. A cylinder becomes a prism whose base has the *area of the circle*, so volumes
agree with the closed forms; its corners lie in fixed directions, so a bar and a bore on one axis get one polygon.
"""

import math
from functools import cache

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from model.cuts import Bore, Cut
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import AXES, Box, Cylinder, Primitive, Prism, Vec
from model.tolerances import CONTACT

SAG = 0.02
"""mm. How far a chord may leave its circle: its middle is then within CONTACT of the true surface."""

FEWEST_SIDES = 24


SCREW_WIDE = 7.0
"""mm. No part goes into a screw's bore up to this wide."""
DRIVEN = frozenset({"screw", "pilot", "wall screw", "wall clearance"})
"""Purposes of bores that a screw fills."""
DRIVEN_SIDES = 12
"""Sides of their circles, of the same area: enough for a hole that only a screw goes into."""


def is_driven(cut: Cut) -> bool:
    """Whether a cut is a bore that a screw fills."""
    return isinstance(cut, Bore) and cut.purpose in DRIVEN and cut.diameter <= SCREW_WIDE


def sides(radius: float) -> int:
    """How many sides stand for a circle: a multiple of four, so that quarter turns map the polygon onto itself."""
    if radius <= SAG:
        return FEWEST_SIDES
    needed = math.pi / math.acos(1 - SAG / radius)
    return max(FEWEST_SIDES, 4 * math.ceil(needed / 4))


def _square_to(direction: Vec) -> Vec:
    """A unit vector square to a unit direction, the same for a direction and its opposite up to sign."""
    least = min(range(3), key=lambda i: (round(abs(direction[i]), 9), i))
    axis = [0.0, 0.0, 0.0]
    axis[least] = 1.0
    square = np.array(axis) - direction[least] * np.array(direction)
    x, y, z = (square / np.linalg.norm(square)).tolist()
    return (x, y, z)


def _box(box: Box) -> m3.Manifold:
    return m3.Manifold.cube(box.size).translate(box.lo)


def _cylinder(bar: Cylinder, n: int | None = None) -> m3.Manifold:
    n = n or sides(bar.radius)
    corner = bar.radius * math.sqrt((2 * math.pi / n) / math.sin(2 * math.pi / n))
    d = np.array(bar.direction)
    u = np.array(_square_to(bar.direction))
    frame = np.column_stack((u, np.cross(d, u), d, np.array(bar.base)))
    return m3.Manifold.cylinder(bar.length, corner, circular_segments=n).transform(frame)


def _prism(prism: Prism, grow: float) -> m3.Manifold:
    section = m3.CrossSection([np.array(prism.outline)], m3.FillRule.EvenOdd)
    if grow:
        section = section.offset(grow, m3.JoinType.Miter)
    lo, hi = prism.lo - grow, prism.hi + grow
    axis = AXES.index(prism.axis)
    frame = np.zeros((3, 4))
    frame[[i for i in range(3) if i != axis], [0, 1]] = 1.0
    frame[axis, 2], frame[axis, 3] = 1.0, lo
    return m3.Manifold.extrude(section, hi - lo).transform(frame)


def _primitive(shape: Primitive, grow: float) -> m3.Manifold:
    """The primitive with every face moved outward by `grow` mm (inward where negative); empty where nothing is left."""
    match shape:
        case Box():
            if min(shape.size) + 2 * grow <= 0:
                return m3.Manifold()
            return _box(shape.grown(grow) if grow else shape)
        case Cylinder(base, direction, radius, length):
            if min(radius + grow, length + 2 * grow) <= 0:
                return m3.Manifold()
            x, y, z = (b - d * grow for b, d in zip(base, direction, strict=True))
            return _cylinder(Cylinder((x, y, z), direction, radius + grow, length + 2 * grow) if grow else shape)
        case Prism():
            if shape.hi - shape.lo + 2 * grow <= 0:
                return m3.Manifold()
            return _prism(shape, grow)


def _less(volumes: tuple[Primitive, ...], size: Vec, cuts: tuple[Cut, ...], inward: float) -> m3.Manifold:
    """Blank or body less the cuts, every face drawn in by `inward` mm."""
    whole = m3.Manifold.batch_boolean([_primitive(v, -inward) for v in volumes], m3.OpType.Add)
    driven = [c for c in cuts if is_driven(c)]
    tools = [_primitive(p, inward) for cut in cuts if not is_driven(cut) for p in cut.primitives(size)]
    tools += [_cylinder(c.bar(size), DRIVEN_SIDES) for c in driven if isinstance(c, Bore)]
    return m3.Manifold.batch_boolean([whole, *tools], m3.OpType.Subtract) if tools else whole


@cache
def mesh(part: Part) -> m3.Manifold:
    """The part in its own frame, mm."""
    return _less(part.body or (Box((0.0, 0.0, 0.0), part.size),), part.size, part.cuts, 0.0)


@cache
def core(part: Part) -> m3.Manifold:
    """The part with every face drawn in by half of CONTACT: the cores of parts that merely touch stay apart.

    The bores of screws are left filled: nothing but a screw goes into one, and they are most of the work.
    """
    cuts = tuple(c for c in part.cuts if not is_driven(c))
    return _core(part.body or (Box((0.0, 0.0, 0.0), part.size),), part.size, cuts)


@cache
def _core(volumes: tuple[Primitive, ...], size: Vec, cuts: tuple[Cut, ...]) -> m3.Manifold:
    return _less(volumes, size, cuts, CONTACT / 2)


@cache
def volume(part: Part) -> float:
    """The volume of the part, mm^3."""
    return mesh(part).volume()


def moved(shape: m3.Manifold, by: Placement) -> m3.Manifold:
    """The mesh at a placement."""
    return shape.transform(np.column_stack((np.array(by.rotation), np.array(by.origin))))


def placed_mesh(placed: PlacedPart) -> m3.Manifold:
    """The part at its place, mm."""
    return moved(mesh(placed.part), placed.placement)


@cache
def _arrays(part: Part) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    return arrays(mesh(part))


def arrays(shape: m3.Manifold) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Vertices (N x 3, mm) and triangles (M x 3 indices, anticlockwise seen from outside) of a mesh."""
    raw = shape.to_mesh64()
    return np.array(raw.vert_properties[:, :3], dtype=np.float64), np.array(raw.tri_verts, dtype=np.int64)


def triangles(placed: PlacedPart) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Vertices (N x 3, mm, in the room) and triangles (M x 3 indices) of a placed part."""
    points, faces = _arrays(placed.part)
    turn, origin = (
        np.array(placed.placement.rotation),
        np.array(placed.placement.origin),
    )
    return points @ turn.T + origin, faces
