"""Where one mesh meets another as it turns about an axis: exact for polyhedra, with nothing stepped over.

Every point of the moving mesh keeps its distance from the axis and its height along it. So the two meet where a corner
of one comes to a face of the other (a circle through a plane) or an edge to an edge (equal heights, equal distances: a
quadratic): finitely many angles, each in closed form, whatever lies between them.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.collision.bodies import Flags, Floats, Ints

EDGE = 1e-7
"""mm. A corner this far outside a triangle still counts as on it: in doubt, contact."""

ALONG = 1e-7
"""A face whose normal is this near to square to the motion of all its corners runs along itself as it turns."""

BLOCK = 400_000
"""How many pairs of elements are compared at once."""

TURN = 2 * math.pi
Mesh = tuple[Floats, Ints]


@dataclass(frozen=True)
class Polar:
    """Elements (corners, edges, triangles, boxes) about the axis: distance from it, height along it, bearing around it.

    `middle` and `half` are the middle and half the width of the angle an element covers, pi where the axis meets it.
    """

    near: Floats
    far: Floats
    low: Floats
    high: Floats
    middle: Floats
    half: Floats

    @classmethod
    def of(cls, corners: Floats) -> "Polar":
        """The convex hulls of `corners` (n, k, 3), k of each element, the axis being the third coordinate."""
        flat = corners[..., :2]
        first = np.arctan2(flat[:, 0, 1], flat[:, 0, 0])
        around = wrapped(np.arctan2(flat[..., 1], flat[..., 0]) - first[:, None])
        least, most = around.min(axis=1), around.max(axis=1)
        aside = most - least < math.pi  # else the axis runs through the element
        near = np.where(aside, _least_distance(flat), 0.0)
        return cls(
            near,
            np.linalg.norm(flat, axis=2).max(axis=1),
            corners[..., 2].min(axis=1),
            corners[..., 2].max(axis=1),
            first + (least + most) / 2,
            np.where(near > EDGE, (most - least) / 2, math.pi),
        )

    def __getitem__(self, some: Ints | slice) -> "Polar":
        return Polar(*(getattr(self, n)[some] for n in ("near", "far", "low", "high", "middle", "half")))

    def __len__(self) -> int:
        return len(self.near)

    def may_meet(self, other: "Polar", travel: float) -> Flags:
        """(n, m): whether element n, turning by up to `travel`, can come to element m of `other`."""
        reach = self.half[:, None] + other.half + EDGE
        ahead = np.mod(other.middle - self.middle[:, None] + reach, TURN)
        return (
            (ahead <= travel + 2 * reach)
            & (self.near[:, None] <= other.far + EDGE)
            & (other.near <= self.far[:, None] + EDGE)
            & (self.low[:, None] <= other.high + EDGE)
            & (other.low <= self.high[:, None] + EDGE)
        )


def wrapped(angle: Floats) -> Floats:
    """Angles between -pi and pi."""
    return np.mod(angle + math.pi, TURN) - math.pi


def _least_distance(flat: Floats) -> Floats:
    """How near the lines between the corners (n, k, 2) of each element come to the origin."""
    least = np.linalg.norm(flat[:, 0], axis=1)
    for i, j in itertools.combinations(range(flat.shape[1]), 2):
        a, along = flat[:, i], flat[:, j] - flat[:, i]
        length = np.einsum("nd,nd->n", along, along)
        t = np.clip(-np.einsum("nd,nd->n", a, along) / np.where(length > 0, length, 1.0), 0.0, 1.0)
        least = np.minimum(least, np.linalg.norm(a + t[:, None] * along, axis=1))
    return least


def basis_along(direction: Floats) -> Floats:
    """Rows of a right-handed frame whose third axis is the unit vector `direction`."""
    least = int(np.argmin(np.round(np.abs(direction), 9)))
    u = np.eye(3)[least] - direction[least] * direction
    u = u / float(np.linalg.norm(u))
    return np.array([u, np.cross(direction, u), direction], dtype=np.float64)


def arcs(moving: Mesh, still: Mesh, origin: Floats, direction: Floats, travel: float) -> list[float]:
    """The angles at which `moving` can meet `still`, in order, as it turns about the axis through `origin`.

    `direction` is a unit vector (right-hand rule); both meshes closed, in one frame, mm; 0 to `travel` radians, both
    included. Where they are disjoint at the start, the first is where they meet first, and none means they never do.
    """
    basis = basis_along(direction)
    a, b = (moving[0] - origin) @ basis.T, (still[0] - origin) @ basis.T
    front, target = a[_facing(a, moving[1], 1.0)], b[_facing(b, still[1], -1.0)]
    if len(front) and len(target):
        front, target = _in_reach(front, target, travel)
    if not len(front) or not len(target):
        return []
    found = [
        *_corners_on(_corners(front), target, travel, 1.0),
        *_corners_on(_corners(target), front, travel, -1.0),
        *_edges_on(_edges(front), _edges(target), travel),
    ]
    angles = np.concatenate(found) if found else np.empty(0)
    angles = np.mod(angles + EDGE, TURN) - EDGE
    return np.unique(np.round(np.clip(angles[angles <= travel + EDGE], 0.0, travel), 9)).tolist()


def _facing(points: Floats, faces: Ints, sign: float) -> Ints:
    """The triangles that have a corner where they lead (`sign` 1) or are run into (-1) as the motion goes."""
    corners = points[faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    moves = normal[:, 1, None] * corners[..., 0] - normal[:, 0, None] * corners[..., 1]
    size = np.linalg.norm(normal, axis=1) * np.maximum(np.abs(corners[..., :2]).max(axis=(1, 2)), 1.0)
    return faces[(sign * moves).max(axis=1) > ALONG * size]


def _in_reach(front: Floats, target: Floats, travel: float) -> tuple[Floats, Floats]:
    """Only the triangles that can meet a triangle of the other set."""
    a, b = Polar.of(front), Polar.of(target)
    step = max(1, BLOCK // len(b))
    met = [a[slice(k, k + step)].may_meet(b, travel) for k in range(0, len(a), step)]
    return front[np.concatenate([m.any(axis=1) for m in met])], target[np.any([m.any(axis=0) for m in met], axis=0)]


def _corners(triangles: Floats) -> Floats:
    return np.unique(np.round(triangles.reshape(-1, 3), 9), axis=0)


def _edges(triangles: Floats) -> Floats:
    """The distinct edges, (n, 2, 3)."""
    pairs = np.round(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2, 3), 9)
    swap = [tuple(p) > tuple(q) for p, q in pairs.tolist()]
    pairs[swap] = pairs[swap][:, ::-1]
    return np.unique(pairs.reshape(-1, 6), axis=0).reshape(-1, 2, 3)


def _pairs(a: Polar, b: Polar, travel: float, forward: bool) -> Iterator[tuple[Ints, Ints]]:
    step = max(1, BLOCK // max(len(b), 1))
    for start in range(0, len(a), step):
        some = a[slice(start, start + step)]
        meets = some.may_meet(b, travel) if forward else b.may_meet(some, travel).T
        i, j = np.nonzero(meets)
        if len(i):
            yield i + start, j


def _corners_on(corners: Floats, faces: Floats, travel: float, sign: float) -> Iterator[Floats]:
    """The angles at which corners come to triangles; `sign` is 1 where the corners are what turns."""
    for i, j in _pairs(Polar.of(corners[:, None]), Polar.of(faces), travel, sign > 0):
        p = corners[i]
        a, b, c = (faces[j, k] for k in range(3))
        normal = np.cross(b - a, c - a)
        slope = np.hypot(normal[:, 0], normal[:, 1])
        radius = np.hypot(p[:, 0], p[:, 1])
        swing = slope * radius
        level = np.einsum("nd,nd->n", normal, a) - normal[:, 2] * p[:, 2]
        usable = (swing > 0) & (np.abs(level) <= swing * (1 + 1e-12))
        turn = np.arccos(np.clip(level / np.where(swing > 0, swing, 1.0), -1.0, 1.0))
        toward, at = np.arctan2(normal[:, 1], normal[:, 0]), np.arctan2(p[:, 1], p[:, 0])
        for angle in (toward + turn, toward - turn):
            met = np.column_stack((radius * np.cos(angle), radius * np.sin(angle), p[:, 2]))
            on = usable & _inside(met, a, b, c, normal)
            yield (sign * (angle - at))[on]


def _inside(p: Floats, a: Floats, b: Floats, c: Floats, normal: Floats) -> Flags:
    """Whether points in the planes of triangles lie inside them, EDGE included."""
    scale = np.linalg.norm(normal, axis=1)
    inside = np.ones(len(p), dtype=np.bool_)
    for u, v in ((a, b), (b, c), (c, a)):
        side = np.einsum("nd,nd->n", np.cross(v - u, p - u), normal) / scale
        inside &= side >= -EDGE * np.linalg.norm(v - u, axis=1)
    return inside


def _edges_on(front: Floats, target: Floats, travel: float) -> Iterator[Floats]:
    """The angles at which edges come to edges."""
    for i, j in _pairs(Polar.of(front), Polar.of(target), travel, True):
        p, q = front[i], target[j]
        steeper = np.abs(q[:, 1, 2] - q[:, 0, 2]) >= np.abs(p[:, 1, 2] - p[:, 0, 2])
        yield _crossings(p[steeper], q[steeper])
        yield -_crossings(q[~steeper], p[~steeper])


def _crossings(p: Floats, q: Floats) -> Floats:
    """How far edges p (n, 2, 3) must turn to meet edges q, which rise at least as much along the axis."""
    p0, dp, q0, dq = p[:, 0], p[:, 1] - p[:, 0], q[:, 0], q[:, 1] - q[:, 0]
    rises = np.abs(dq[:, 2]) > 1e-9
    rise = np.where(rises, dq[:, 2], 1.0)
    start, rate = (p0[:, 2] - q0[:, 2]) / rise, dp[:, 2] / rise  # along q, for a share t along p
    base, run = q0[:, :2] + start[:, None] * dq[:, :2], rate[:, None] * dq[:, :2]
    square = np.einsum("nd,nd->n", dp[:, :2], dp[:, :2]) - np.einsum("nd,nd->n", run, run)
    cross = np.einsum("nd,nd->n", p0[:, :2], dp[:, :2]) - np.einsum("nd,nd->n", base, run)
    rest = np.einsum("nd,nd->n", p0[:, :2], p0[:, :2]) - np.einsum("nd,nd->n", base, base)
    inner = cross * cross - square * rest
    near = np.abs(inner) <= 1e-12 * (cross * cross + np.abs(square * rest))
    root = np.sqrt(np.where(near, 0.0, np.maximum(inner, 0.0)))
    real = rises & ((inner >= 0) | near)
    stable = -(cross + np.where(cross >= 0, root, -root))
    found = []
    for top, bottom in ((stable, square), (rest, stable)):
        usable = real & (np.abs(bottom) > 1e-12)
        t = top / np.where(usable, bottom, 1.0)
        u = start + rate * t
        usable &= (t >= -EDGE) & (t <= 1 + EDGE) & (u >= -EDGE) & (u <= 1 + EDGE)
        at, to = p0[:, :2] + t[:, None] * dp[:, :2], base + t[:, None] * run
        angle = np.arctan2(to[:, 1], to[:, 0]) - np.arctan2(at[:, 1], at[:, 0])
        found.append(angle[usable])
    return np.concatenate(found)
