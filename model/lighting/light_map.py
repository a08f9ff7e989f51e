"""How light from a straight, evenly bright strip falls on a level surface under it: point by point, direct light alone.

The strip is Lambertian: of its F' lumens per metre each length dx sends F'/pi dx candela straight down and less by the
cosine to the sides. At a point h below, s beside and x along it adds F'/pi h^2 / (x^2 + r^2)^2 dx lux, r^2 = h^2 + s^2.
"""

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

from model.shapes import Point2, Vec

MM = 1000.0


@dataclass(frozen=True, slots=True)
class Strip:
    """A lit line that looks straight down: its ends in the room (mm, both at the same height), lumens per metre."""

    start: Vec
    end: Vec
    lumens_per_metre: float

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def lumens(self) -> float:
        return self.lumens_per_metre * self.length / MM


def illuminance(strip: Strip, point: Vec) -> float:
    """What a strip adds at a point of a level surface, lux; nothing above or level with itself.

    The integral in closed form: F'/pi h^2 [x / (2 r^2 (x^2 + r^2)) + atan(x/r) / (2 r^3)] between the strip's ends.
    """
    h = (strip.start[2] - point[2]) / MM
    length = strip.length / MM
    if h <= 0 or length <= 0:
        return 0.0
    dx, dy = ((b - a) / MM / length for a, b in zip(strip.start[:2], strip.end[:2], strict=True))
    px, py = ((p - a) / MM for p, a in zip(point[:2], strip.start[:2], strict=True))
    along, beside = px * dx + py * dy, px * dy - py * dx
    r2 = h * h + beside * beside
    r = math.sqrt(r2)

    def primitive(x: float) -> float:
        return x / (2 * r2 * (x * x + r2)) + math.atan(x / r) / (2 * r * r2)

    return strip.lumens_per_metre / math.pi * h * h * (primitive(length - along) - primitive(-along))


@dataclass(frozen=True, slots=True)
class LightMap:
    """Lux at the middles of the cells of a surface: `lux[row][column]`, rows along v, columns along u."""

    lux: tuple[tuple[float, ...], ...]

    @property
    def values(self) -> tuple[float, ...]:
        return tuple(itertools.chain.from_iterable(self.lux))

    @property
    def mean(self) -> float:
        return sum(self.values) / len(self.values)

    @property
    def least(self) -> float:
        return min(self.values)

    @property
    def most(self) -> float:
        return max(self.values)

    @property
    def uniformity(self) -> float:
        """The least over the mean (EN 12665); 0 where it is dark."""
        return self.least / self.mean if self.mean > 0 else 0.0


def cell(length: float) -> float:
    """The widest cell (mm) of a map of a field whose longer side is `length` mm.

    p = 0.2 x 5^(log10 d), d and p in metres (EN 12464-1:2011, 4.4).
    """
    return 0.2 * 5 ** math.log10(length / MM) * MM


def light_map(strips: Iterable[Strip], corner: Vec, u: Point2, v: Point2, size: Point2) -> LightMap:
    """The map of a rectangle: from `corner`, size[0] mm along the level unit vector u and size[1] along v."""
    lit = tuple(strips)
    widest = cell(max(size))
    counts = [max(3, math.ceil(length / widest - 1e-9)) for length in size]

    def at(i: int, j: int) -> Vec:
        a, b = (i + 0.5) * size[0] / counts[0], (j + 0.5) * size[1] / counts[1]
        return (corner[0] + a * u[0] + b * v[0], corner[1] + a * u[1] + b * v[1], corner[2])

    return LightMap(
        tuple(tuple(sum(illuminance(s, at(i, j)) for s in lit) for i in range(counts[0])) for j in range(counts[1]))
    )
