"""Primitive volumes: what a cut takes away from a blank and what bought hardware is made of.

Millimetres, right-handed. The solid (`solids.py`) and the mesh (`meshes.py`) are both built from these, so the
two can never disagree about a part.
"""

import math
from dataclasses import dataclass

from model.tolerances import rounded

Vec = tuple[float, float, float]
Point2 = tuple[float, float]
AXES = "xyz"


def vec(x: float, y: float, z: float) -> Vec:
    """A point or direction, each coordinate rounded to 0.001 mm."""
    return (rounded(x), rounded(y), rounded(z))


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-aligned box from corner `lo` to corner `hi`, mm."""

    lo: Vec
    hi: Vec

    def __post_init__(self) -> None:
        object.__setattr__(self, "lo", vec(*self.lo))
        object.__setattr__(self, "hi", vec(*self.hi))
        if any(a >= b for a, b in zip(self.lo, self.hi, strict=True)):
            raise ValueError(f"an empty box: {self.lo} to {self.hi}")

    @property
    def size(self) -> Vec:
        return vec(*(b - a for a, b in zip(self.lo, self.hi, strict=True)))

    @property
    def center(self) -> Vec:
        return vec(*((a + b) / 2 for a, b in zip(self.lo, self.hi, strict=True)))

    @property
    def volume(self) -> float:
        return math.prod(self.size)

    def bounds(self) -> "Box":
        return self

    def span(self, axis: str) -> tuple[float, float]:
        """The extent along `x`, `y` or `z`."""
        i = AXES.index(axis)
        return self.lo[i], self.hi[i]

    def replace(self, **spans: tuple[float, float]) -> "Box":
        """The same box with other extents along the named axes: `box.replace(z=(0, 18))`."""
        lo, hi = list(self.lo), list(self.hi)
        for axis, (a, b) in spans.items():
            lo[AXES.index(axis)], hi[AXES.index(axis)] = a, b
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))

    def grown(self, by: float) -> "Box":
        """The box moved outward by `by` mm on all six faces."""
        return Box(
            (self.lo[0] - by, self.lo[1] - by, self.lo[2] - by), (self.hi[0] + by, self.hi[1] + by, self.hi[2] + by)
        )

    def common(self, other: "Box") -> "Box | None":
        """The box both share, or None where they share no volume."""
        lo = [max(a, b) for a, b in zip(self.lo, other.lo, strict=True)]
        hi = [min(a, b) for a, b in zip(self.hi, other.hi, strict=True)]
        if any(a >= b for a, b in zip(lo, hi, strict=True)):
            return None
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A round bar: from `base` along the unit vector `direction`, mm."""

    base: Vec
    direction: Vec
    radius: float
    length: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "base", vec(*self.base))
        norm = math.hypot(*self.direction)
        if norm == 0 or self.radius <= 0 or self.length <= 0:
            raise ValueError("a cylinder needs a direction, a radius and a length")
        object.__setattr__(self, "direction", tuple(c / norm + 0.0 for c in self.direction))
        object.__setattr__(self, "length", rounded(self.length))

    def bounds(self) -> Box:
        lo, hi = [], []
        for start, d in zip(self.base, self.direction, strict=True):
            reach = self.radius * math.sqrt(max(0.0, 1 - d * d))
            end = start + d * self.length
            lo.append(min(start, end) - reach)
            hi.append(max(start, end) + reach)
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


@dataclass(frozen=True, slots=True)
class Prism:
    """A polygon swept along an axis: the outline in the other two axes (in the order x, y, z), `lo` to `hi` mm.

    The outline is one simple loop, anticlockwise or clockwise, not closed by a repeated point.
    """

    axis: str
    outline: tuple[Point2, ...]
    lo: float
    hi: float

    def __post_init__(self) -> None:
        if self.axis not in AXES or len(self.outline) < 3 or self.lo >= self.hi:
            raise ValueError("a prism needs an axis, three corners and a length")
        object.__setattr__(self, "outline", tuple((rounded(u), rounded(v)) for u, v in self.outline))
        object.__setattr__(self, "lo", rounded(self.lo))
        object.__setattr__(self, "hi", rounded(self.hi))

    def bounds(self) -> Box:
        us, vs = [p[0] for p in self.outline], [p[1] for p in self.outline]
        lo, hi = [min(us), min(vs)], [max(us), max(vs)]
        i = AXES.index(self.axis)
        lo.insert(i, self.lo)
        hi.insert(i, self.hi)
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


Primitive = Box | Cylinder | Prism
