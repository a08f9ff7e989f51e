"""Which of many straight edges can be seen past many triangles, exactly: each edge is cut where it goes behind one.

Everything is in the frame of a view: x to the right, y up, z toward the eye, mm.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

BEHIND = 0.02
"""mm. An edge this much behind a surface is hidden; one nearer lies on it."""
OUTSIDE = 1e-6
"""mm. How far out of a triangle still counts as in it, so that nothing shows through between two of them."""
SHORTEST = 0.02
"""mm. A piece of an edge shorter than this is rounding."""
_AT_ONCE = 256


def split(edges: Array, triangles: Array) -> tuple[Array, Array]:
    """The pieces of the edges that are seen and those that are hidden (N x 2 x 2 each, in the plane of the view).

    `edges` (E x 2 x 3) in any order, `triangles` (M x 3 x 3) with their corners anticlockwise seen from outside.
    """
    which, a, b = joined(*_behind(edges, triangles), 1e-9)
    # after its intervals each edge has an empty one at its end, so that what is left over is a gap before it
    ends = np.concatenate((which, np.arange(len(edges))))
    order = np.argsort(ends, kind="stable")
    ends, a, b = ends[order], np.append(a, np.ones(len(edges)))[order], np.append(b, np.ones(len(edges)))[order]
    at = np.where(np.append(True, ends[1:] != ends[:-1]), 0.0, np.append(0.0, b[:-1])) if len(ends) else a
    length = np.linalg.norm(edges[:, 1, :2] - edges[:, 0, :2], axis=1)[ends]
    long = length >= SHORTEST
    seen, hidden = long & ((a - at) * length > SHORTEST), long & ((b - a) * length > SHORTEST)
    return _pieces(edges[ends[seen]], at[seen], a[seen]), _pieces(edges[ends[hidden]], a[hidden], b[hidden])


def _pieces(edges: Array, a: Array, b: Array) -> Array:
    """From share a to share b of each edge, flat."""
    start, along = edges[:, 0, :2], edges[:, 1, :2] - edges[:, 0, :2]
    return np.stack((start + along * a[:, None], start + along * b[:, None]), axis=1)


def joined(group: Indices, first: Array, last: Array, gap: float | Array) -> tuple[Indices, Array, Array]:
    """Intervals of each group in order, those that meet, or nearly (`gap`, one or one for each), made one."""
    if not len(group):
        return group, first, last
    order = np.lexsort((last, first, group))
    group, first, last = group[order], first[order], last[order]
    gaps = np.broadcast_to(gap, group.shape)[order]
    # the farthest end so far in each group, found by rank: ranks of a later group are all higher
    by_end = np.lexsort((last, group))
    rank = np.empty_like(by_end)
    rank[by_end] = np.arange(len(by_end))
    reach = last[by_end][np.maximum.accumulate(rank)]
    opens = np.append(True, (group[1:] != group[:-1]) | (first[1:] > reach[:-1] + gaps[1:]))
    closes = np.append(opens[1:], True)
    return group[opens], first[opens], reach[closes]


def _behind(edges: Array, triangles: Array) -> tuple[Indices, Array, Array]:
    """Which edge lies behind a triangle, from which share of it (0 its first end, 1 its second) to which."""
    facing = _facing(triangles)
    low, high = facing.min(axis=1, initial=np.inf), facing.max(axis=1, initial=-np.inf)
    found: list[tuple[Indices, Array, Array]] = []
    for start in range(0, len(edges), _AT_ONCE):
        some = edges[start : start + _AT_ONCE]
        # edges of one part follow each other, so that most triangles are far from all of them
        least, most = some.min(axis=(0, 1)), some.max(axis=(0, 1))
        about = (low[:, :2] < most[:2] + OUTSIDE).all(axis=1) & (high[:, :2] > least[:2] - OUTSIDE).all(axis=1)
        about = np.flatnonzero(about & (high[:, 2] - BEHIND > least[2]))
        which, behind = np.nonzero(_near(some, low[about], high[about]))
        first, last = _clipped(some, facing[about], which, behind)
        kept = first < last
        found.append((which[kept] + start, first[kept], last[kept]))
    if not found:
        return np.empty(0, np.int64), np.empty(0), np.empty(0)
    which, first, last = (np.concatenate(column) for column in zip(*found, strict=True))
    return which, first, last


def _facing(triangles: Array) -> Array:
    """The triangles that look toward the eye: of a closed body they hide all that it hides."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return triangles[area > 1e-6]


def _near(edges: Array, low: Array, high: Array) -> NDArray[np.bool_]:
    """Which edge (rows) lies within the bounds of which triangle (columns), or behind them."""
    least, most = edges.min(axis=1), edges.max(axis=1)
    inside = least[:, None, 2] < high[None, :, 2] - BEHIND
    for i in (0, 1):
        inside &= (least[:, None, i] < high[None, :, i] + OUTSIDE) & (most[:, None, i] > low[None, :, i] - OUTSIDE)
    return inside


def _clipped(edges: Array, triangles: Array, which: Indices, behind: Indices) -> tuple[Array, Array]:
    """The part of each edge `which` behind its triangle `behind`: four half spaces, each linear along the edge.

    Where it begins and where it ends; it ends before it begins where there is none.
    """
    first, last = np.zeros(len(which)), np.ones(len(which))
    some = edges[which]
    for v0, v1 in (*_sides(some, triangles, behind), _depths(some, triangles, behind)):
        slope = np.where(np.abs(v1 - v0) < 1e-15, 1e-15, v1 - v0)
        crossing = -v0 / slope
        out0, out1 = v0 < 0, v1 < 0
        first = np.where(out0 & ~out1, np.maximum(first, crossing), first)
        last = np.where(~out0 & out1, np.minimum(last, crossing), last)
        last[out0 & out1] = -1.0
    return first, last


def _sides(edges: Array, triangles: Array, behind: Indices) -> list[tuple[Array, Array]]:
    """How far both ends of each edge are inside each side of its triangle, mm."""
    found = []
    for k in range(3):
        a, b = triangles[:, k, :2], triangles[:, (k + 1) % 3, :2]
        along = ((b - a) / np.maximum(np.linalg.norm(b - a, axis=1, keepdims=True), 1e-12))[behind]
        (x, y), (u, v) = a[behind].T, along.T
        ends = ((edges[:, i, 0] - x, edges[:, i, 1] - y) for i in (0, 1))
        first, last = (u * dy - v * dx + OUTSIDE for dx, dy in ends)
        found.append((first, last))
    return found


def _depths(edges: Array, triangles: Array, behind: Indices) -> tuple[Array, Array]:
    """How far both ends of each edge are behind the plane of its triangle, less what still lies on it, mm."""
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    (nx, ny, nz), (x, y, z) = normal[behind].T, triangles[:, 0][behind].T
    ends = ((edges[:, i, 0] - x, edges[:, i, 1] - y, edges[:, i, 2]) for i in (0, 1))
    first, last = (z - (nx * dx + ny * dy) / nz - up - BEHIND for dx, dy, up in ends)
    return first, last
