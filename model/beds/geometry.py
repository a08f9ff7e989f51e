"""The geometry of a fold-down bed: where it lies up and down, how far it reaches as it turns, what its springs do.

Coordinates are those of the unit, the bed standing up: y = 0 the face of its front panel, which becomes its underside;
z up. It turns by a quarter about an axis along x, its upper end coming forward and down.
"""

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from model.beds.mattresses import Mattress
from model.cabinet.carcass import Span
from model.messages import mm
from model.plan import BuiltUnit
from model.site import Unbuildable
from model.stock.tables import Sheet
from model.tolerances import rounded

GRAVITY = 9.80665
"""m/s2, standard."""
ABSOLUTE_ZERO = -273.15
"""C."""
Point = tuple[float, float]
"""(y, z) in mm."""


@dataclass(frozen=True)
class BedPlan:
    """A bed that stands up: the spans (mm in the unit) of everything it is made of.

    `rails` is the outside of its frame and `panel` the front panel in x, both over `z`; `axis` is (y, z) of its pivots.
    `sheet` is the thickness of rails and bearers. `standing` is its underside above the floor when it lies down.
    """

    mattress: Mattress
    sideways: bool
    sheet: float
    face: float
    rail: float
    bearer: float
    deck: float
    rails: Span
    panel: Span
    z: Span
    axis: Point
    standing: float

    @property
    def clear(self) -> tuple[Span, Span]:
        """Between the rails: x and z."""
        t = self.sheet
        return (self.rails[0] + t, self.rails[1] - t), (self.z[0] + t, self.z[1] - t)

    @property
    def lying(self) -> tuple[float, float]:
        """The mattress in x and z."""
        m = self.mattress
        return (m.length, m.width) if self.sideways else (m.width, m.length)

    @property
    def deck_y(self) -> Span:
        low = rounded(self.face + self.bearer)
        return low, rounded(low + self.deck)

    @property
    def rear(self) -> float:
        """The mattress's upper face, which looks to the wall when the bed stands."""
        return rounded(max(self.deck_y[1] + self.mattress.thickness, self.face + self.rail))

    def corners(self) -> Iterator[Point]:
        """The corners of its side view: panel, frame, mattress."""
        base = self.z[0] + self.sheet
        for y, z in (
            ((0.0, self.face + self.rail), self.z),
            ((self.deck_y[1], self.rear), (base, base + self.lying[1])),
        ):
            yield from ((a, b) for a in y for b in z)


@dataclass(frozen=True)
class Reach:
    """How far a bed reaches as it turns, mm in the unit: highest, rearmost and lowest point inside the cabinet."""

    up: float
    back: float
    down: float


def reach_of(corners: Iterable[Point], axis: Point) -> Reach:
    """The extremes of a side view that turns by a quarter about `axis`, upper end forward.

    A corner behind and above the axis passes straight over it, one behind and below straight behind it, one before
    and below straight under it: there its whole distance counts.
    """
    up, back, down = [axis[1]], [axis[0]], [axis[1]]
    for y, z in corners:
        dy, dz = y - axis[0], z - axis[1]
        radius = math.hypot(dy, dz)
        up.append(axis[1] + (radius if dy > 0 and dz > 0 else max(dz, dy)))
        back.append(axis[0] + (radius if dy > 0 and dz < 0 else max(dy, -dz)))
        down.append(axis[1] - (radius if dy < 0 and dz < 0 else max(-dy, -dz)))
    return Reach(rounded(max(up)), rounded(max(back)), rounded(min(down)))


@dataclass(frozen=True)
class SpringPlace:
    """Where a gas spring is held, (y, z) mm in the unit: on the cabinet, and on the bed while it stands and lies."""

    cabinet: Point
    up: Point
    down: Point

    @property
    def lengths(self) -> tuple[float, float]:
        """Between its ends, bed up and bed down."""
        return math.dist(self.cabinet, self.up), math.dist(self.cabinet, self.down)


def spring_place(axis: Point, offset: float, below: float, closed: float, stroke: float, spare: float) -> SpringPlace:
    """Where a spring goes that is out (less `spare` mm) when the bed stands and in (but `spare`) when it lies.

    It hangs upright behind the axis by `offset`, from the cabinet down to the bed's frame, at most `below` under the
    axis. Held on the cabinet higher up, it is pushed together by the frame's end, which rises as the bed comes down; on
    its way it never crosses the axis, so it lifts all the way and holds the bed shut. Raises Unbuildable where its
    stroke is too short to be of use.
    """
    out = closed + stroke - spare
    under = below
    while under >= offset:
        up = out - under
        place = SpringPlace(
            (rounded(axis[0] + offset), rounded(axis[1] + up)),
            (rounded(axis[0] + offset), rounded(axis[1] - under)),
            (rounded(axis[0] + under), rounded(axis[1] + offset)),
        )
        if up > 2 * offset and place.lengths[1] >= closed + spare:
            return place
        under -= 1.0
    raise Unbuildable(
        f"a gas spring of {mm(closed)} closed and {mm(stroke)} stroke finds no place on this bed: take another, "
        "or let the bed lie higher",
        "materials",
        "gas_spring",
    )


def spring_arm(fixed: Point, moving: Point, angle: float) -> float:
    """The lever arm (mm) of a spring about a hinge at the origin.

    `moving` is its place on the bed at angle 0 and turns with it by `angle` (radians, anticlockwise); `fixed` stays.
    a = |M x (M - B)| / |M - B|: statics.
    """
    c, s = math.cos(angle), math.sin(angle)
    m = (moving[0] * c - moving[1] * s, moving[0] * s + moving[1] * c)
    d = (m[0] - fixed[0], m[1] - fixed[1])
    return abs(m[0] * d[1] - m[1] * d[0]) / math.hypot(*d)


def balancing_force(mass: float, centre: float, angle: float, arm: float, count: int = 2) -> float:
    """The force (N) each of `count` springs must have to hold a bed: F = m g x cos(angle) / (n a), statics.

    `mass` kg, `centre` how far its centre of mass lies from the hinge, `arm` of each spring (both mm or both m);
    `angle` of the bed above the horizontal, radians.
    """
    return mass * GRAVITY * centre * math.cos(angle) / (count * arm)


def closing_force(force: float, arm: float, handle: float, count: int = 2) -> float:
    """The force (N) at a handle, `handle` from the hinge, that overcomes `count` springs: F2 = n F1 r / L, statics."""
    return count * force * arm / handle


def force_at(force: float, celsius: float, rated: float = 20.0) -> float:
    """A gas spring's force (N) at another temperature than it is rated for: as the absolute temperature, ideal gas."""
    return force * (celsius - ABSOLUTE_ZERO) / (rated - ABSOLUTE_ZERO)


def strips(span: Span, most: float) -> list[Span]:
    """A span in as few equal pieces of at most `most` mm as it takes."""
    count = max(1, math.ceil((span[1] - span[0]) / most - 1e-9))
    ends = [rounded(span[0] + (span[1] - span[0]) * i / count) for i in range(count + 1)]
    return list(itertools.pairwise(ends))


def widest_piece(sheet: Sheet, along: float, trim: float) -> float:
    """The widest piece a sheet in stock gives across its grain, `along` mm along it. Raises Unbuildable."""
    sizes = [(s.length, s.width) for s in sheet.sizes]
    sizes += [] if sheet.grain else [(w, length) for length, w in sizes]
    fitting = [w - 2 * trim for length, w in sizes if length - 2 * trim >= along]
    if not fitting:
        longest = max(length for length, _ in sizes) - 2 * trim
        raise Unbuildable(
            f"a piece {mm(rounded(along))} long is longer than any sheet of {sheet.name} gives ({mm(longest)})",
            "mattress",
        )
    return max(fitting)


def floor_taken(unit: BuiltUnit) -> tuple[Span, Span]:
    """The floor a wall bed lies over when it is down, legs included: its x and y in whatever frame the unit is in, mm.

    Raises ValueError for a unit without a motion called bed.
    """
    from model.collision.motion import swung  # here, so that numpy is loaded only when this is asked

    bed = next((m for m in unit.motions if m.name.rsplit("/", 1)[-1] == "bed"), None)
    if bed is None:
        raise ValueError(f"{unit.name} has no bed that comes down")
    turn = swung(bed, bed.travel)
    boxes = [p.moved(turn).bounds() for p in unit.parts if p.path in bed.parts]
    x, y = ((min(b.span(a)[0] for b in boxes), max(b.span(a)[1] for b in boxes)) for a in "xy")
    return x, y
