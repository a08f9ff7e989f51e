"""What can be drawn of one part: its sharp edges, the mouths of its round holes, and the triangles that hide things.

Round holes bored square to a face are taken apart from the rest: a hole of a few millimetres hides nothing and shows
nothing through it, so the triangles are those of the part without them, and a hole is the circle where it opens.
"""

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from model.cuts import Bore, through
from model.meshes import arrays, mesh, sides
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import Cylinder, Vec

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

CREASE = math.cos(math.radians(20.0))
"""Faces that meet at more than 20 degrees meet in an edge; the sides that stand for a circle turn by 15 at most."""

SHALLOW = math.cos(math.radians(3.0))
FLUSH = 1e-4
"""mm."""


@dataclass(frozen=True, eq=False)
class Ring:
    """A circle in space: its middle, the unit direction it is seen from, its radius (mm).

    `drawn` is the radius of the polygon's corners that stand for it in a mesh. `bored` rings are mouths of round holes
    and are in no mesh.
    """

    middle: Array
    outward: Array
    radius: float
    drawn: float
    bored: bool

    def corners(self) -> Array:
        """Points round it (N + 1 x 3), the first again at the end, on the true circle."""
        x, y, z = self.outward.tolist()
        # square to the direction and to the axis it runs along least
        i = min(range(3), key=lambda k: abs((x, y, z)[k]))
        u = np.array(((0.0, z, -y), (-z, 0.0, x), (y, -x, 0.0))[i])
        u /= math.sqrt(float(u @ u))
        v = np.array((y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0]))
        cosines, sines = _turns(sides(self.radius))
        return self.middle + self.radius * (np.outer(cosines, u) + np.outer(sines, v))


@cache
def _turns(count: int) -> tuple[Array, Array]:
    """Cosines and sines of so many equal turns, the first again at the end."""
    angles = np.linspace(0.0, 2 * math.pi, count + 1)
    return np.cos(angles), np.sin(angles)


@dataclass(frozen=True, eq=False)
class Features:
    """In one frame, mm: triangles (M x 3 x 3), edges (K x 2 x 3) with the normals of both faces (K x 2 x 3), which of
    them are sharp (K), and rings."""

    triangles: Array
    edges: Array
    normals: Array
    sharp: NDArray[np.bool_]
    rings: tuple[Ring, ...]


@cache
def features(part: Part) -> Features:
    """What can be drawn of a part, in its own frame."""
    solid = replace(part, cuts=tuple(c for c in part.cuts if not isinstance(c, Bore)))
    points, faces = arrays(mesh(solid))
    edges, normals = bent_edges(points, faces)
    turn = np.sum(normals[:, 0] * normals[:, 1], axis=1)
    sharp = turn < CREASE
    if not part.body:  # a tilted bore comes out of a face at less than that
        height = edges[:, :, 2]
        on_face = (np.abs(height) < FLUSH).all(axis=1) | (np.abs(height - part.thickness) < FLUSH).all(axis=1)
        sharp |= on_face & (turn < SHALLOW)
    return Features(points[faces], edges, normals, sharp, tuple(_rings(part)))


def bent_edges(points: Array, faces: Indices) -> tuple[Array, Array]:
    """Every edge of a closed mesh where two faces do not lie in one plane, and the normals of both."""
    corners = points[faces]
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    units = square / np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-12)
    ends = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    owner = np.repeat(np.arange(len(faces)), 3)
    order = np.lexsort((owner, ends[:, 1], ends[:, 0]))
    pairs, owners = ends[order].reshape(-1, 2, 2)[:, 0], owner[order].reshape(-1, 2)
    normals = units[owners]
    bent = np.sum(normals[:, 0] * normals[:, 1], axis=1) < 1 - 1e-9
    return points[pairs[bent]], normals[bent]


def _rings(part: Part) -> list[Ring]:
    found: list[Ring] = []
    for cut in part.cuts:
        for bar in (p for p in cut.primitives(part.size) if isinstance(p, Cylinder)):
            if isinstance(cut, Bore):
                found += _mouths(cut, bar, part)
            else:
                found += _ends(bar)
    for bar in (p for p in part.body if isinstance(p, Cylinder)):
        found += _ends(bar)
    return found


def _mouths(cut: Bore, bar: Cylinder, part: Part) -> list[Ring]:
    """Where a bore opens: on its own face, and on the opposite one where it goes through."""
    inward = np.array(bar.direction)
    start = np.array(bar.base) + inward  # a tool starts one overcut before the face
    own = Ring(start, -inward, bar.radius, bar.radius, True)
    if cut.depth is not None and cut.depth < through(cut.face, part.size):
        return [own]
    return [own, Ring(start + inward * through(cut.face, part.size), inward, bar.radius, bar.radius, True)]


def _ends(bar: Cylinder) -> list[Ring]:
    n = sides(bar.radius)
    drawn = bar.radius * math.sqrt((2 * math.pi / n) / math.sin(2 * math.pi / n))
    base, along = np.array(bar.base), np.array(bar.direction)
    return [
        Ring(base, -along, bar.radius, drawn, False),
        Ring(base + along * bar.length, along, bar.radius, drawn, False),
    ]


def placed_features(placed: PlacedPart, frame: Placement) -> Features:
    """The same where the part lies, in a frame (a placement that maps the room into it)."""
    at = frame.compose(placed.placement)
    own = features(placed.part)
    turn, origin = np.array(at.rotation), np.array(at.origin)
    rings = tuple(replace(r, middle=r.middle @ turn.T + origin, outward=r.outward @ turn.T) for r in own.rings)
    return Features(
        own.triangles @ turn.T + origin, own.edges @ turn.T + origin, own.normals @ turn.T, own.sharp, rings
    )


def axes_of(direction: str) -> tuple[Vec, Vec, Vec]:
    """Right, up and toward the eye for a view named by where the eye is.

    `x0` to `y1` are the edges of a blank as they lie beside its face A, whose own view is `top`.
    """
    return _AXES[direction]


_AXES: dict[str, tuple[Vec, Vec, Vec]] = {
    "front": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
    "rear": ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "left": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)),
    "right": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    "top": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "y0": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
    "y1": ((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
    "x0": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)),
    "x1": ((0.0, 0.0, -1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    "below": ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)),
}
