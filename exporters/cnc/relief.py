"""Inside corners cut past the corner, so that what a round tool leaves standing is not in the way of a square piece.

A tool of radius r that should touch a corner must stand with its middle at r from it. Three places are tried for the
circle of relief, which runs through the corner: on the bisector, where it takes least from the sides; on either side of
the corner where the other is too short. On the bisector the circle meets both sides at r times the root of two from the
corner, its chord there is its diameter, so that the contour gets half a circle; on a side it gets half a circle too.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from exporters.cnc.contours import turn
from exporters.cnc.figures import Vertex
from model.shapes import Point2

EASE = 0.05
"""mm. The relief is that much larger in radius than the tool, so that the tool's way round it is no mere point."""
HALF_CIRCLE = -1.0
"""The bulge of half a circle run clockwise: material lies to the left, the relief bulges into it."""


@dataclass(frozen=True, slots=True)
class Relieved:
    """A contour with its inside corners relieved, and how many are left as round as the tool makes them."""

    vertices: tuple[Vertex, ...]
    left: int


@dataclass(frozen=True, slots=True)
class _Corner:
    """A corner, the unit vectors to it and away from it, and how much of either side a relief there may take."""

    at: Point2
    into: Point2
    away: Point2
    before: float
    after: float

    def places(self, radius: float) -> list[tuple[float, float]]:
        """How far from the corner the half circle begins and ends, for each place it has room for."""
        across = math.sqrt(2) * radius
        wanted = [(across, across), (2 * radius, 0.0), (0.0, 2 * radius)]
        if self.before < self.after:  # the longer side is cut into
            wanted = [wanted[0], wanted[2], wanted[1]]
        return [(a, b) for a, b in wanted if a <= self.before and b <= self.after]

    def ends(self, place: tuple[float, float]) -> tuple[Point2, Point2]:
        a, b = place
        start = (self.at[0] - self.into[0] * a, self.at[1] - self.into[1] * a)
        return start, (self.at[0] + self.away[0] * b, self.at[1] + self.away[1] * b)


def relieved(loop: tuple[Point2, ...], tool: float, others: tuple[tuple[Point2, ...], ...] = ()) -> Relieved:
    """The loop (material on its left, square corners) relieved for a tool of that diameter, mm.

    A relief that would run into another side, of this loop or of the `others` of the panel, is left out.
    """
    radius = tool / 2 + EASE
    n = len(loop)
    inside = [turn(loop[i - 1], loop[i], loop[(i + 1) % n]) < 0 for i in range(n)]
    vertices: list[Vertex] = []
    left = 0
    for i, at in enumerate(loop):
        if not inside[i]:
            vertices.append((*at, 0.0))
            continue
        corner = _corner(loop, i, inside)
        sides = [s for k, s in enumerate(_sides(loop)) if k not in (i, (i - 1) % n)]
        sides += [s for other in others for s in _sides(other)]
        place = next((p for p in corner.places(radius) if _free(corner.ends(p), radius, sides)), None)
        if place is None:
            left += 1
            vertices.append((*at, 0.0))
            continue
        start, end = corner.ends(place)
        vertices += [(*start, HALF_CIRCLE), (*end, 0.0)]
    return Relieved(tuple(vertices), left)


def _corner(loop: tuple[Point2, ...], i: int, inside: list[bool]) -> _Corner:
    before, at, after = loop[i - 1], loop[i], loop[(i + 1) % len(loop)]
    lengths = math.dist(before, at), math.dist(at, after)
    into = ((at[0] - before[0]) / lengths[0], (at[1] - before[1]) / lengths[0])
    away = ((after[0] - at[0]) / lengths[1], (after[1] - at[1]) / lengths[1])
    # a side between two inside corners is shared by their reliefs, and some of it stays
    shares = (0.5 if inside[i - 1] else 1.0, 0.5 if inside[(i + 1) % len(loop)] else 1.0)
    return _Corner(at, into, away, lengths[0] * shares[0] - EASE, lengths[1] * shares[1] - EASE)


def _sides(loop: tuple[Point2, ...]) -> list[tuple[Point2, Point2]]:
    return list(pairwise((*loop, loop[0])))


def _free(ends: tuple[Point2, Point2], radius: float, sides: list[tuple[Point2, Point2]]) -> bool:
    """Whether the circle over the chord keeps clear of all sides but its own two."""
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    return all(_distance(middle, *side) > radius - EASE / 2 for side in sides)


def _distance(p: Point2, a: Point2, b: Point2) -> float:
    length = math.dist(a, b)
    along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length**2
    along = min(max(along, 0.0), 1.0)
    return math.dist(p, (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])))
