"""What is cut into a blank: each cut a 2-D figure on one face, with a depth.

A blank lies flat: x along its length (the grain), y across, z through it; face A is the upper one (z = thickness),
face B the lower (z = 0). Edges are named by where they lie: `x0`, `x1` the two ends, `y0`, `y1` the two long edges.
On every face the coordinates (u, v) are the blank's own: (x, y) on A and B, (y, z) on an end, (x, z) on a long edge.
So nothing is ever mirrored, whichever side it is seen from.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal, Self

from model.faces import FLAT, INWARD, TURNED_FACE, CutBase, Face, Size, axes_of, flip, through
from model.shapes import Box, Cylinder, Point2, Primitive, Prism, Vec
from model.tolerances import OVERCUT, SLIVER, rounded

__all__ = [
    "FLAT", "Bevel", "Bore", "Cut", "Cutout", "Face", "Groove", "Notch", "PocketBore", "Rabbet", "Scribe", "Size",
    "cut_from_box", "through",
]  # fmt: skip

_ONE_SIDE: dict[Face, Face] = {"B": "A", "x1": "x0", "y1": "y0"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore(CutBase):
    """A round hole at (u, v) on a face, square to it; `depth` None goes through.

    `purpose` is a word for the person who drills it: screw, pin, pull, hinge cup ...
    """

    face: Face
    u: float
    v: float
    diameter: float
    depth: float | None = None
    purpose: str = "screw"
    countersink: float | None = None
    """Diameter at the face of the cone that takes a flat head; None for none. The cone is not taken from the volume."""
    countersink_degrees: float = 90.0

    def __post_init__(self) -> None:  # written out: panels have more bores than anything else
        put = object.__setattr__
        put(self, "u", rounded(self.u))
        put(self, "v", rounded(self.v))
        put(self, "diameter", rounded(self.diameter))
        if self.depth is not None:
            put(self, "depth", rounded(self.depth))
        if self.countersink is not None:
            put(self, "countersink", rounded(self.countersink))
        elif self.depth is None:  # the same hole from either side: name the side once
            put(self, "face", _ONE_SIDE.get(self.face, self.face))

    def depth_in(self, size: Size) -> float:
        return through(self.face, size) if self.depth is None else self.depth

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        return (self.bar(size),)

    def bar(self, size: Size) -> Cylinder:
        """What it takes away; it begins OVERCUT before its face and runs inward."""
        iu, iv, iw = axes_of(self.face)
        inward = INWARD[self.face]
        start = [0.0, 0.0, 0.0]
        start[iu], start[iv] = self.u, self.v
        start[iw] = -OVERCUT if inward[iw] > 0 else size[iw] + OVERCUT
        run_out = 2 * OVERCUT if self.depth is None else OVERCUT
        base = (start[0], start[1], start[2])
        return Cylinder(base, inward, self.diameter / 2, self.depth_in(size) + run_out)

    def meets(self, size: Size) -> bool:
        iu, iv, _ = axes_of(self.face)
        r = self.diameter / 2
        return -r < self.u < size[iu] + r and -r < self.v < size[iv] + r

    def turned(self, axis: str, size: Size) -> "Bore":
        iu, iv, _ = axes_of(self.face)
        return Bore(
            face=TURNED_FACE[axis][self.face],
            u=flip(self.u, iu, axis, size),
            v=flip(self.v, iv, axis, size),
            diameter=self.diameter,
            depth=self.depth,
            purpose=self.purpose,
            countersink=self.countersink,
            countersink_degrees=self.countersink_degrees,
        )


class _Rectangle(CutBase):
    """A cut whose figure is the rectangle (u0, v0) to (u1, v1) in the plane of faces A and B."""

    __slots__ = ()
    u0: float
    v0: float
    u1: float
    v1: float

    def turned(self, axis: str, size: Size) -> Self:
        us = sorted(flip(u, 0, axis, size) for u in (self.u0, self.u1))
        vs = sorted(flip(v, 1, axis, size) for v in (self.v0, self.v1))
        return replace(self, u0=us[0], u1=us[1], v0=vs[0], v1=vs[1])  # pyright: ignore[reportArgumentType]

    def _box(self, size: Size, bottom: float, top: float) -> Box:
        """The rectangle as a box from `bottom` to `top`, run out past every edge of the blank it reaches."""
        lo = [self.u0 - OVERCUT if self.u0 <= 0 else self.u0, self.v0 - OVERCUT if self.v0 <= 0 else self.v0]
        hi = [
            self.u1 + OVERCUT if self.u1 >= size[0] else self.u1,
            self.v1 + OVERCUT if self.v1 >= size[1] else self.v1,
        ]
        return Box((lo[0], lo[1], bottom), (hi[0], hi[1], top))


class _Channel(_Rectangle):
    """A rectangle cut part of the way from face A or B."""

    __slots__ = ()
    face: Face
    depth: float

    def depth_in(self, size: Size) -> float:
        return self.depth

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        if self.face == "A":
            return (self._box(size, size[2] - self.depth, size[2] + OVERCUT),)
        return (self._box(size, -OVERCUT, self.depth),)

    def turned(self, axis: str, size: Size) -> Self:
        moved = super().turned(axis, size)
        return replace(moved, face=TURNED_FACE[axis][self.face])  # pyright: ignore[reportArgumentType]


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove(_Channel):
    """A blind rectangular channel in face A or B: a dado, a groove or a stopped pocket."""

    face: Face
    u0: float
    v0: float
    u1: float
    v1: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rabbet(_Channel):
    """A blind channel along an edge, open on the face and on that edge."""

    face: Face
    u0: float
    v0: float
    u1: float
    v1: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch(_Rectangle):
    """A rectangular piece sawn out of an edge or a corner, right through: a toe kick in a side."""

    u0: float
    v0: float
    u1: float
    v1: float

    def depth_in(self, size: Size) -> float:
        return size[2]

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        return (self._box(size, -OVERCUT, size[2] + OVERCUT),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutout(_Rectangle):
    """A rectangular opening inside the outline, right through, its corners rounded by `radius` (0: square)."""

    u0: float
    v0: float
    u1: float
    v1: float
    radius: float = 0.0

    def depth_in(self, size: Size) -> float:
        return size[2]

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        lo, hi = -OVERCUT, size[2] + OVERCUT
        if self.radius == 0:
            return (Box((self.u0, self.v0, lo), (self.u1, self.v1, hi)),)
        r = self.radius
        inner = ((self.u0 + r, self.u1 - r), (self.v0 + r, self.v1 - r))
        if inner[0][0] > inner[0][1] or inner[1][0] > inner[1][1]:
            raise ValueError(f"a corner radius of {r} is too large for an opening of {self}")
        corners: tuple[Point2, ...] = tuple((u, v) for u in inner[0] for v in inner[1])
        bars = tuple(Cylinder((u, v, lo), (0.0, 0.0, 1.0), r, hi - lo) for u, v in dict.fromkeys(corners))
        cross_bars: list[Primitive] = []
        if inner[0][0] < inner[0][1]:
            cross_bars.append(Box((inner[0][0], self.v0, lo), (inner[0][1], self.v1, hi)))
        if inner[1][0] < inner[1][1]:
            cross_bars.append(Box((self.u0, inner[1][0], lo), (self.u1, inner[1][1], hi)))
        return (*cross_bars, *bars)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bevel(CutBase):
    """An edge ripped at an angle, over its whole length: `face` (A or B) becomes the narrower one, by `run` mm.

    The other face keeps the blank's full width, so that the blank's outline stays that of the long face. A saw tilted
    by an angle from square leaves a run of the thickness times its tangent: at 45 degrees the thickness itself.
    """

    edge: Literal["x0", "x1", "y0", "y1"]
    face: Literal["A", "B"]
    run: float

    def depth_in(self, size: Size) -> float:
        return size[2]

    def degrees(self, size: Size) -> float:
        """The tilt of the saw from square, in a blank of this size."""
        return math.degrees(math.atan2(self.run, size[2]))

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        # the slope runs on by a whole thickness to both sides, so that rounding cannot tilt it
        across, t = size["xy".index(self.edge[0])], size[2]
        ends = ((across + self.run, -t), (across - 2 * self.run, 2 * t))
        beyond = across + self.run + OVERCUT
        outline = (*ends, (beyond, 2 * t), (beyond, -t))
        if self.edge[1] == "0":
            outline = tuple((across - u, v) for u, v in outline)
        if self.face == "B":
            outline = tuple((u, t - v) for u, v in outline)
        along = "y" if self.edge[0] == "x" else "x"
        return (Prism(along, outline, -OVERCUT, size["xy".index(along)] + OVERCUT),)

    def turned(self, axis: str, size: Size) -> "Bevel":
        turned = TURNED_FACE[axis]
        return replace(self, edge=turned[self.edge], face=turned[self.face])  # pyright: ignore[reportArgumentType]


@dataclass(frozen=True, slots=True, kw_only=True)
class PocketBore(CutBase):
    """A stepped bore from face A or B, tilted toward an end or edge: the pocket of a pocket screw.

    The axis meets the face at (u, v) and runs into the panel toward the edge `toward`, `degrees` from the face. The
    wide part holds the head and ends in a flat `shoulder` mm (along the axis) before the edge; the narrow part goes
    on through the edge.
    """

    face: Face
    toward: Literal["x0", "x1", "y0", "y1"]
    u: float
    v: float
    diameter: float
    pilot_diameter: float
    shoulder: float
    degrees: float = 15.0

    def _run(self, size: Size) -> float:
        """From the face to the edge along the axis, mm."""
        i = "xy".index(self.toward[0])
        across = (self.u, self.v)[i]
        return (across if self.toward[1] == "0" else size[i] - across) / math.cos(math.radians(self.degrees))

    def depth_in(self, size: Size) -> float:
        """How deep the wide part goes below the face."""
        tilt = math.radians(self.degrees)
        return (self._run(size) - self.shoulder) * math.sin(tilt) + self.diameter / 2 * math.cos(tilt)

    def seat(self, size: Size) -> tuple[Vec, Vec]:
        """Where the head of its screw sits, and the direction the screw is driven along."""
        tilt = math.radians(self.degrees)
        i = "xy".index(self.toward[0])
        d = [0.0, 0.0, -math.sin(tilt) if self.face == "A" else math.sin(tilt)]
        d[i] = math.cos(tilt) if self.toward[1] == "1" else -math.cos(tilt)
        direction = (d[0], d[1], d[2])
        start = (self.u, self.v, size[2] if self.face == "A" else 0.0)
        return _along(start, direction, self._run(size) - self.shoulder), direction

    def opening(self, size: Size) -> tuple[float, float]:
        """From where to where the wide part lies along the axis `toward` names, mm from the blank's origin."""
        tilt = math.radians(self.degrees)
        i = "xy".index(self.toward[0])
        sign = 1.0 if self.toward[1] == "1" else -1.0
        at = (self.u, self.v)[i]
        reach = (self._run(size) - self.shoulder) * math.cos(tilt)
        a, b = sorted((at - sign * self.diameter / 2 / math.sin(tilt), at + sign * reach))
        return (a, b)

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        tilt = math.radians(self.degrees)
        down, ahead = math.sin(tilt), math.cos(tilt)
        i = "xy".index(self.toward[0])
        direction = [0.0, 0.0, -down if self.face == "A" else down]
        direction[i] = ahead if self.toward[1] == "1" else -ahead
        d = (direction[0], direction[1], direction[2])
        start = (self.u, self.v, size[2] if self.face == "A" else 0.0)
        run, r, p = self._run(size), self.diameter / 2, self.pilot_diameter / 2
        back = (r * ahead + OVERCUT) / down  # so far out that the whole mouth is above the face
        past = (p * down + OVERCUT) / ahead
        return (
            Cylinder(_along(start, d, -back), d, r, back + run - self.shoulder),
            Cylinder(_along(start, d, run - self.shoulder - OVERCUT), d, p, self.shoulder + OVERCUT + past),
        )

    def turned(self, axis: str, size: Size) -> "PocketBore":
        turned = TURNED_FACE[axis]
        return replace(
            self,
            face=turned[self.face],
            toward=turned[self.toward],  # pyright: ignore[reportArgumentType]
            u=flip(self.u, 0, axis, size),
            v=flip(self.v, 1, axis, size),
        )


def _along(start: Vec, direction: Vec, distance: float) -> Vec:
    x, y, z = (s + d * distance for s, d in zip(start, direction, strict=True))
    return (x, y, z)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scribe(CutBase):
    """Wood left on an edge, to be trimmed on site to an uneven wall: the blank is sawn `extra` mm larger there.

    The part is as it is once trimmed, so nothing is taken away from it here.
    """

    edge: Literal["x0", "x1", "y0", "y1"]
    extra: float

    def depth_in(self, size: Size) -> float:
        return size[2]

    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        return ()

    def turned(self, axis: str, size: Size) -> "Scribe":
        return replace(self, edge=TURNED_FACE[axis][self.edge])  # pyright: ignore[reportArgumentType]


Cut = Bore | Groove | Rabbet | Notch | Cutout | Bevel | PocketBore | Scribe


def _snapped(corner: Vec, size: Size) -> Vec:
    """The corner, moved onto a face of the blank where rounding alone keeps it off: no slivers are left standing."""
    x, y, z = (
        0.0 if c < SLIVER else length if c > length - SLIVER else c for c, length in zip(corner, size, strict=True)
    )
    return (x, y, z)


def cut_from_box(box: Box, size: Size) -> Cut | None:
    """The cut that takes `box` out of a blank, by the shape it leaves; None where the box misses the blank.

    Right through: a Notch where it reaches an edge, else a Cutout. Part of the way from face A or B: a Rabbet where
    its long side lies on an edge, else a Groove. Raises ValueError for a box that opens on neither face or that
    would cut the blank in two.
    """
    inside = box.common(Box((0.0, 0.0, 0.0), size))
    if inside is None:
        return None
    (u0, v0, z0), (u1, v1, z1) = (_snapped(corner, size) for corner in (inside.lo, inside.hi))
    on_u, on_v = u0 <= 0 or u1 >= size[0], v0 <= 0 or v1 >= size[1]
    if u0 <= 0 and u1 >= size[0] and v0 <= 0 and v1 >= size[1]:
        raise ValueError("a cut over the whole face: choose a thinner or smaller blank")
    if z0 <= 0 and z1 >= size[2]:
        if (u0 <= 0 and u1 >= size[0]) or (v0 <= 0 and v1 >= size[1]):
            raise ValueError("a cut right across: it would part the blank in two or only shorten it")
        kind = Notch if on_u or on_v else Cutout
        return kind(u0=u0, v0=v0, u1=u1, v1=v1)
    if z0 > 0 and z1 < size[2]:
        raise ValueError("a cut inside the thickness opens on neither face")
    face: Face = "A" if z1 >= size[2] else "B"
    depth = size[2] - z0 if face == "A" else z1
    along_edge = on_v if u1 - u0 >= v1 - v0 else on_u
    kind = Rabbet if along_edge else Groove
    return kind(face=face, u0=u0, v0=v0, u1=u1, v1=v1, depth=depth)
