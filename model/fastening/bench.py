"""Finished parts back on the bench: seen two at a time where they touch, bored, and never bored twice in one place."""

import math
from dataclasses import dataclass, field, replace

from model.cuts import Bore, Cut, PocketBore
from model.faces import INWARD, Face, Size, axes_of
from model.part import Part, PlacedPart, canonical
from model.placement import Placement
from model.shapes import Cylinder, Vec
from model.tolerances import CONTACT, rounded

Extent = tuple[float, float, float, float, float, float]
"""An axis-aligned box: least x, y, z, greatest x, y, z; mm."""

APART = 1.5
"""mm. Wood left between a bore and whatever else is cut there."""

_FACES: dict[tuple[int, int, int], Face] = {
    (round(d[0]), round(d[1]), round(d[2])): face  # pyright: ignore[reportAssignmentType]
    for face, d in INWARD.items()
}


SLICES = 6
"""A tilted bore is boxed in so many slices, so that its boxes follow it."""


def extents(cut: Cut, size: Size) -> list[Extent]:
    """Boxes that together hold what a cut takes away."""
    if isinstance(cut, Bore):
        return [_round(cut, size)]
    found: list[Extent] = []
    for primitive in cut.primitives(size):
        if isinstance(primitive, Cylinder) and max(abs(d) for d in primitive.direction) < 0.999:
            found.extend(_slices(primitive))
        else:
            box = primitive.bounds()
            found.append((*box.lo, *box.hi))
    return found


def _round(bore: Bore, size: Size) -> Extent:
    iu, iv, iw = axes_of(bore.face)
    r, deep = bore.diameter / 2, bore.depth_in(size)
    lo, hi = [0.0] * 3, [0.0] * 3
    lo[iu], hi[iu], lo[iv], hi[iv] = bore.u - r, bore.u + r, bore.v - r, bore.v + r
    into = INWARD[bore.face][iw] > 0
    lo[iw], hi[iw] = (0.0, deep) if into else (size[iw] - deep, size[iw])
    return (lo[0], lo[1], lo[2], hi[0], hi[1], hi[2])


def _slices(bar: Cylinder) -> list[Extent]:
    step = bar.length / SLICES
    out = [bar.radius * math.sqrt(max(0.0, 1 - d * d)) for d in bar.direction]
    found: list[Extent] = []
    for i in range(SLICES):
        ends = [(b + d * step * i, b + d * step * (i + 1)) for b, d in zip(bar.base, bar.direction, strict=True)]
        lo = [min(e) - r for e, r in zip(ends, out, strict=True)]
        hi = [max(e) + r for e, r in zip(ends, out, strict=True)]
        found.append((lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]))
    return found


@dataclass(eq=False, slots=True)
class Blank:
    """A part being fastened: its cuts so far, and the boxes round them (in its own frame)."""

    placed: PlacedPart
    unit: str
    cuts: list[Cut] = field(default_factory=list)
    _voids: list[Extent] | None = None
    early: tuple[Bore, ...] = ()

    def __post_init__(self) -> None:
        found = (c for c in self.placed.part.cuts if isinstance(c, Bore) and c.purpose == "screw")
        self.early = tuple(c for c in found if c.depth is None)

    @property
    def path(self) -> str:
        return self.placed.path

    @property
    def role(self) -> str:
        return self.placed.role

    @property
    def is_hardware(self) -> bool:
        return self.placed.part.kind == "hardware"

    @property
    def voids(self) -> list[Extent]:
        if self._voids is None:
            self._voids = []
            for cut in self.placed.part.cuts:
                self._note(cut)
        return self._voids

    def _note(self, cut: Cut) -> None:
        self.voids.extend(extents(cut, self.placed.part.size))

    def add(self, cut: Cut) -> None:
        self.voids  # noqa: B018  (reads what is cut already)
        self.cuts.append(cut)
        self._note(cut)

    def block(self, extent: Extent) -> None:
        """Keep other bores out of a box that is not cut itself: the tip of a screw that needs no pilot."""
        self.voids.append(extent)

    def is_clear(self, extent: Extent) -> bool:
        x0, y0, z0, x1, y1, z1 = extent
        e = CONTACT
        return not any(
            a0 < x1 - e and x0 < a1 - e and b0 < y1 - e and y0 < b1 - e and c0 < z1 - e and z0 < c1 - e
            for a0, b0, c0, a1, b1, c1 in self.voids
        )

    def finished(self, made: dict[tuple[Part, tuple[Cut, ...]], tuple[Part, Placement]]) -> PlacedPart:
        """The part with its new cuts. `made` keeps what was made of equal parts with equal cuts."""
        if not self.cuts:
            return self.placed
        key = (self.placed.part, tuple(self.cuts))
        if key not in made:
            made[key] = canonical(replace(self.placed.part, cuts=(*self.placed.part.cuts, *self.cuts)))
        part, turn = made[key]
        return replace(self.placed, part=part, placement=self.placed.placement.compose(turn))


@dataclass(eq=False, slots=True)
class View:
    """A blank seen in a frame in which it lies square: its placement there, the way back, and the box it fills."""

    blank: Blank
    at: Placement
    back: Placement
    lo: list[float]
    hi: list[float]
    thick: int
    """The axis of the frame its thickness lies along."""

    def is_face(self, axis: int) -> bool:
        return axis == self.thick

    def local(self, point: Vec) -> Vec:
        return self.back.apply(point)

    def _extent(self, start: Vec, direction: Vec, length: float, radius: float) -> Extent:
        a = self.back.apply(start)
        d = self.back.turn(direction)
        lo, hi = [0.0] * 3, [0.0] * 3
        for i in range(3):
            end = a[i] + d[i] * length
            out = radius * (1 - abs(d[i]))
            lo[i], hi[i] = min(a[i], end) - out, max(a[i], end) + out
        return (lo[0], lo[1], lo[2], hi[0], hi[1], hi[2])

    def is_clear(self, start: Vec, direction: Vec, length: float, radius: float) -> bool:
        """Whether nothing is cut where a square bore of that radius would run, APART all round it."""
        return self.blank.is_clear(self._extent(start, direction, length, radius + APART))

    def block(self, start: Vec, direction: Vec, length: float, radius: float) -> None:
        self.blank.block(self._extent(start, direction, length, radius))

    def face(self, direction: Vec) -> Face:
        """The face a tool that moves along `direction` enters."""
        x, y, z = self.back.turn(direction)
        return _FACES[(round(x), round(y), round(z))]

    def bore(
        self,
        at: Vec,
        direction: Vec,
        diameter: float,
        depth: float | None,
        purpose: str,
        sink: tuple[float, float] | None = None,
    ) -> None:
        """Drill from a point on a face along a direction; `sink` are diameter and angle of a countersink."""
        x, y, z = self.back.apply(at)
        face = self.face(direction)
        u, v = (x, y) if face in ("A", "B") else (y, z) if face in ("x0", "x1") else (x, z)
        diameter_at_face, angle = sink or (None, 90.0)
        self.blank.add(
            Bore(
                face=face,
                u=u,
                v=v,
                diameter=diameter,
                depth=depth,
                purpose=purpose,
                countersink=diameter_at_face,
                countersink_degrees=angle,
            )
        )

    def pocket(self, bore: PocketBore) -> None:
        self.blank.add(bore)


@dataclass(eq=False, slots=True)
class Contact:
    """Where two parts touch, in the frame of the first: square to `axis`, in `plane`.

    `sign` is the direction from the first to the second, `spans` the two other axes with what both cover there,
    `walls` how deep each is behind the plane; mm.
    """

    a: View
    b: View
    axis: int
    sign: float
    plane: float
    spans: tuple[tuple[int, float, float], tuple[int, float, float]]
    walls: tuple[float, float]

    @property
    def normal(self) -> Vec:
        n = [0.0, 0.0, 0.0]
        n[self.axis] = self.sign
        return (n[0], n[1], n[2])


def _square(placement: Placement) -> bool:
    return all(abs(c) < 1e-6 or abs(abs(c) - 1) < 1e-6 for row in placement.rotation for c in row)


def own_view(blank: Blank) -> View:
    """A blank in its own frame."""
    return View(blank, Placement(), Placement(), [0.0, 0.0, 0.0], list(blank.placed.part.size), 2)


def view_from(blank: Blank, frame: Placement) -> View | None:
    """A blank in the frame of a placement; None where it does not lie square there."""
    at = frame.inverse().compose(blank.placed.placement)
    if not _square(at):
        return None
    low, high = at.origin, at.apply(blank.placed.part.size)
    lo = [rounded(min(p, q)) for p, q in zip(low, high, strict=True)]
    hi = [rounded(max(p, q)) for p, q in zip(low, high, strict=True)]
    thick = max(range(3), key=lambda i: abs(at.rotation[i][2]))
    return View(blank, at, at.inverse(), lo, hi, thick)


def contact(a: Blank, b: Blank) -> Contact | None:
    """Where two parts touch; None where they do not, or not squarely."""
    first = own_view(a)
    second = view_from(b, a.placed.placement)
    if second is None:
        return None
    spans = [(max(first.lo[i], second.lo[i]), min(first.hi[i], second.hi[i])) for i in range(3)]
    if any(high < low - CONTACT for low, high in spans):
        return None
    if all(high > low + CONTACT for low, high in spans):
        return _let_in(first, second, spans)
    axis = min(range(3), key=lambda i: spans[i][1] - spans[i][0])
    sign = 1.0 if second.lo[axis] + second.hi[axis] > first.lo[axis] + first.hi[axis] else -1.0
    plane = first.hi[axis] if sign > 0 else first.lo[axis]
    walls = (first.hi[axis] - first.lo[axis], second.hi[axis] - second.lo[axis])
    return _contact(first, second, axis, sign, plane, spans, walls)


def _contact(
    a: View,
    b: View,
    axis: int,
    sign: float,
    plane: float,
    spans: list[tuple[float, float]],
    walls: tuple[float, float],
) -> Contact | None:
    j, k = (i for i in range(3) if i != axis)
    if spans[j][1] - spans[j][0] < 2 * CONTACT or spans[k][1] - spans[k][0] < 2 * CONTACT:
        return None
    return Contact(a, b, axis, sign, plane, ((j, *spans[j]), (k, *spans[k])), walls)


def _let_in(a: View, b: View, spans: list[tuple[float, float]]) -> Contact | None:
    """One lies in a rabbet of the other: they touch where its face meets the wall of the rabbet."""
    for guest, host, guest_first in ((b, a, False), (a, b, True)):
        axis = guest.thick
        before = guest.lo[axis] - host.lo[axis] > CONTACT
        behind = host.hi[axis] - guest.hi[axis] > CONTACT
        whole = spans[axis][1] - spans[axis][0] > guest.hi[axis] - guest.lo[axis] - CONTACT
        if before == behind or not whole:
            continue
        plane = guest.lo[axis] if before else guest.hi[axis]
        host_wall = plane - host.lo[axis] if before else host.hi[axis] - plane
        guest_wall = guest.hi[axis] - guest.lo[axis]
        toward_guest = 1.0 if before else -1.0
        sign = -toward_guest if guest_first else toward_guest
        walls = (guest_wall, host_wall) if guest_first else (host_wall, guest_wall)
        return _contact(a, b, axis, sign, plane, spans, walls)
    return None
