"""Where one mesh meets another as it slides: exact for polyhedra, with nothing stepped over.

Seen along the direction of travel, the distance between a leading face of the moving mesh and a face it may run into
is linear wherever the two lie over each other. So the two first meet where a corner of one lies over a face of the
other or where an edge crosses an edge: finitely many places, each worked out. The same holds wherever they meet again.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.collision.bodies import Floats, Ints

EDGE = 1e-7
"""mm. A corner this far outside a triangle still counts as over it: in doubt, contact."""

STEEP = 1e-7
"""A face whose normal is this near to square to the travel runs along it: only rounding tilts it."""

BLOCK = 1_000_000
"""How many pairs of elements are compared at once."""

Mesh = tuple[Floats, Ints]


@dataclass(frozen=True)
class _Surface:
    """Triangles seen along the travel (the third coordinate), and their corners and edges."""

    points: Floats
    faces: Ints

    @property
    def corners(self) -> Floats:
        return self.points[np.unique(self.faces)]

    @property
    def edges(self) -> tuple[Floats, Floats]:
        pairs = np.sort(self.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
        pairs = np.unique(pairs, axis=0)
        return self.points[pairs[:, 0]], self.points[pairs[:, 1]]


def contacts(moving: Mesh, still: Mesh, direction: Floats, travel: float) -> list[float]:
    """The distances at which `moving`, sliding along the unit vector `direction`, can meet `still`, in order.

    Both meshes closed and in one frame; mm, 0 to `travel` inclusive. Where they are disjoint at the start, the first
    is where they meet first, and none means they never do. Later ones are wherever corners meet faces and edges edges.
    """
    basis = _looking_along(direction)
    a, b = moving[0] @ basis.T, still[0] @ basis.T
    low = np.maximum(a.min(axis=0), b.min(axis=0))
    high = np.minimum(a.max(axis=0), b.max(axis=0))
    if np.any(low[:2] > high[:2] + EDGE):
        return []
    front = _facing(a, moving[1], 1.0, low, high, (b[:, 2].min() - travel, b[:, 2].max()))
    target = _facing(b, still[1], -1.0, low, high, (a[:, 2].min(), a[:, 2].max() + travel))
    if not len(front.faces) or not len(target.faces):
        return []
    found = [
        *_corners_over(front.corners, target, 1.0),
        *_corners_over(target.corners, front, -1.0),
        *_edges_over(front, target),
    ]
    distances = np.concatenate(found) if found else np.empty(0)
    distances = distances[(distances >= -EDGE) & (distances <= travel + EDGE)]
    return np.unique(np.round(np.clip(distances, 0.0, travel), 6)).tolist()


def _looking_along(direction: Floats) -> Floats:
    """Rows of a right-handed frame whose third axis is `direction`."""
    least = int(np.argmin(np.round(np.abs(direction), 9)))
    u = np.eye(3)[least] - direction[least] * direction
    u = u / float(np.linalg.norm(u))
    return np.array([u, np.cross(direction, u), direction], dtype=np.float64)


def _facing(
    points: Floats,
    faces: Ints,
    sign: float,
    low: Floats,
    high: Floats,
    span: tuple[float, float],
) -> _Surface:
    """The triangles that face along `sign` x travel, inside the common window and between the given heights."""
    corners = points[faces]
    edge, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    normal = np.cross(edge, other)
    least, most = corners.min(axis=1), corners.max(axis=1)
    wanted = (
        (sign * normal[:, 2] > STEEP * np.linalg.norm(normal, axis=1))
        & (least[:, 2] <= span[1] + EDGE)
        & (most[:, 2] >= span[0] - EDGE)
    )
    wanted &= np.all((least[:, :2] <= high[:2] + EDGE) & (most[:, :2] >= low[:2] - EDGE), axis=1)
    return _Surface(points, faces[wanted])


def _corners_over(corners: Floats, surface: _Surface, sign: float) -> Iterator[Floats]:
    """The distances from corners to triangles they lie over; `sign` is 1 where the corners are the ones moving."""
    a, b, c = (surface.points[surface.faces[:, k]] for k in range(3))
    area = _turn(b - a, c - a)
    sides = [np.linalg.norm((q - p)[:, :2], axis=1) for p, q in ((b, c), (c, a), (a, b))]
    step = max(1, BLOCK // len(a))
    for start in range(0, len(corners), step):
        p = corners[start : start + step, None]
        weights = [_turn(c - b, p - b) / area, _turn(a - c, p - c) / area, _turn(b - a, p - a) / area]
        # A weight times the height of its corner (area / side) is the distance inside that side.
        over = np.logical_and.reduce([w * np.abs(area) >= -EDGE * s for w, s in zip(weights, sides, strict=True)])
        height = weights[0] * a[:, 2] + weights[1] * b[:, 2] + weights[2] * c[:, 2]
        yield (sign * (height - p[..., 2]))[over]


def _turn(u: Floats, v: Floats) -> Floats:
    return u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]


def _edges_over(front: _Surface, target: _Surface) -> Iterator[Floats]:
    """The distances between edges that cross when seen along the travel."""
    p0, p1 = front.edges
    q0, q1 = target.edges
    s = q1 - q0
    step = max(1, BLOCK // len(q0))
    for start in range(0, len(p0), step):
        p = p0[start : start + step, None]
        r = p1[start : start + step, None] - p
        across = _turn(r, s)
        parallel = np.abs(across) < 1e-12
        safe = np.where(parallel, 1.0, across)
        t, u = _turn(q0 - p, s) / safe, _turn(q0 - p, r) / safe
        over = ~parallel & (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)
        yield (q0[:, 2] + u * s[:, 2] - (p[..., 2] + t * r[..., 2]))[over]
