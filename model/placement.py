"""Rigid placements: where a part lies in its unit, and a unit in the room."""

import math
from dataclasses import dataclass

from model.shapes import Box, Vec
from model.tolerances import rounded

Matrix = tuple[Vec, Vec, Vec]
IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
DIRECTIONS: dict[str, Vec] = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}


def cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _times(m: Matrix, v: Vec) -> Vec:
    x, y, z = (row[0] * v[0] + row[1] * v[1] + row[2] * v[2] for row in m)
    return (x, y, z)


def _columns(a: Vec, b: Vec, c: Vec) -> Matrix:
    return ((a[0], b[0], c[0]), (a[1], b[1], c[1]), (a[2], b[2], c[2]))


@dataclass(frozen=True, slots=True)
class Placement:
    """Turn by `rotation` (rows of a proper rotation matrix), then move by `origin` (mm)."""

    origin: Vec = (0.0, 0.0, 0.0)
    rotation: Matrix = IDENTITY

    def __post_init__(self) -> None:
        x, y, z = (rounded(c) for c in self.origin)
        object.__setattr__(self, "origin", (x, y, z))
        rows = tuple([tuple([round(c, 12) + 0.0 for c in row]) for row in self.rotation])
        object.__setattr__(self, "rotation", rows)

    @classmethod
    def axes(cls, origin: Vec, x: str, z: str) -> "Placement":
        """The placement whose own x and z axes point along the named directions, such as `+y` and `-x`."""
        ex, ez = DIRECTIONS[x], DIRECTIONS[z]
        return cls(origin, _columns(ex, cross(ez, ex), ez))

    @classmethod
    def turned(cls, axis: str, angle: float, origin: Vec = (0.0, 0.0, 0.0)) -> "Placement":
        """A turn about `x`, `y` or `z` by `angle` radians (right-hand rule), then a move to `origin`."""
        c, s = math.cos(angle), math.sin(angle)
        rows: dict[str, Matrix] = {
            "x": ((1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c)),
            "y": ((c, 0.0, s), (0.0, 1.0, 0.0), (-s, 0.0, c)),
            "z": ((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)),
        }
        return cls(origin, rows[axis])

    def turn(self, v: Vec) -> Vec:
        """A direction, turned but not moved."""
        return _times(self.rotation, v)

    def apply(self, p: Vec) -> Vec:
        """A point of the placed thing, in the frame it is placed in."""
        x, y, z = _times(self.rotation, p)
        return (x + self.origin[0], y + self.origin[1], z + self.origin[2])

    def inverse(self) -> "Placement":
        m = self.rotation
        back: Matrix = _columns(*m)
        x, y, z = _times(back, self.origin)
        return Placement((-x, -y, -z), back)

    def compose(self, inner: "Placement") -> "Placement":
        """The placement that applies `inner` first and this one after it."""
        a, b, c = (self.turn((inner.rotation[0][i], inner.rotation[1][i], inner.rotation[2][i])) for i in range(3))
        return Placement(self.apply(inner.origin), _columns(a, b, c))

    def box(self, box: Box) -> Box:
        """The axis-aligned bounds of a placed box: exact for quarter turns, an enclosing box otherwise."""
        lo, hi = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        for i, row in enumerate(self.rotation):
            low = high = self.origin[i]
            # each term is least at one end of the box and greatest at the other
            for c, a, b in zip(row, box.lo, box.hi, strict=True):
                if c > 0:
                    low, high = low + c * a, high + c * b
                elif c < 0:
                    low, high = low + c * b, high + c * a
            lo[i], hi[i] = low, high
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))
