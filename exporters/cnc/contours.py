"""Contours of a rectangle less rectangles: the outline that is left, and the openings in it."""

from itertools import pairwise

from exporters.cnc.figures import Corners
from model.shapes import Point2


def area(loop: tuple[Point2, ...]) -> float:
    """Signed: positive where the loop runs anticlockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*loop, loop[0]))) / 2


_Edges = dict[Point2, list[Point2]]


def traced(length: float, width: float, gone: list[Corners]) -> list[tuple[Point2, ...]]:
    """The contours of a rectangle less rectangles: material on the left, from the lowest left corner."""
    xs = sorted({0.0, length, *(corner[0] for box in gone for corner in box)})
    ys = sorted({0.0, width, *(corner[1] for box in gone for corner in box)})
    left: set[tuple[int, int]] = set()
    for i, (xa, xb) in enumerate(pairwise(xs)):
        for j, (ya, yb) in enumerate(pairwise(ys)):
            if not any(x0 <= xa and xb <= x1 and y0 <= ya and yb <= y1 for (x0, y0), (x1, y1) in gone):
                left.add((i, j))
    edges: _Edges = {}
    for i, j in sorted(left):
        corners = ((xs[i], ys[j]), (xs[i + 1], ys[j]), (xs[i + 1], ys[j + 1]), (xs[i], ys[j + 1]))
        beside = ((i, j - 1), (i + 1, j), (i, j + 1), (i - 1, j))
        for k in range(4):
            if beside[k] not in left:
                edges.setdefault(corners[k], []).append(corners[(k + 1) % 4])
    loops: list[tuple[Point2, ...]] = []
    while edges:
        loops.append(_follow(edges))
    return loops


def _follow(edges: _Edges) -> tuple[Point2, ...]:
    """One closed loop, taken out of the edges."""
    start = min(edges, key=lambda p: (p[1], p[0]))
    path, before, here = [start], start, edges[start].pop()
    while here != start:
        path.append(here)
        ways = edges[here]
        # where two pieces meet in a point, turn left: each keeps its own contour
        most = max(range(len(ways)), key=lambda k: turn(before, here, ways[k]))
        before, here = here, ways.pop(most)
    for point in path:
        if not edges.get(point, True):
            del edges[point]
    around = (path[-1], *path, path[0])
    return tuple(b for a, b, c in zip(around, around[1:], around[2:], strict=False) if turn(a, b, c) != 0)


def turn(a: Point2, b: Point2, c: Point2) -> float:
    """Positive where the way from a over b to c turns left."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
