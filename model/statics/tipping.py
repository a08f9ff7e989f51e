"""Whether something that stands on the floor tips over an edge of what it stands on: moments, taken in the worst case.

Moments are N m; arms are mm, measured level and square to the edge, positive behind it (where weight holds) and
negative before it (where weight tips). Whatever opens is given the state that is worst for the edge: shut or open,
empty or loaded. The states of different drawers do not depend on each other, so the worst set of them is that of each
one's worst, without trying the sets.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from model.shapes import Vec
from model.statics.masses import GRAVITY, Lump

Point2 = tuple[float, float]
NM = GRAVITY / 1000.0
"""N m of one kg at an arm of one mm."""


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of what something stands on: a point of it and the unit vector that points inward (level, mm)."""

    at: Point2
    inward: Point2

    def arm(self, point: Vec) -> float:
        """How far a point lies behind the edge (before it: negative), mm."""
        return (point[0] - self.at[0]) * self.inward[0] + (point[1] - self.at[1]) * self.inward[1]


def hull(points: Iterable[Point2]) -> list[Point2]:
    """The convex hull, anticlockwise, by the monotone chain."""
    found = sorted(set(points))
    if len(found) < 3:
        return found
    both: list[Point2] = []
    for row in (found, found[::-1]):
        half: list[Point2] = []
        for p in row:
            while len(half) > 1 and _turn(half[-2], half[-1], p) <= 0:
                half.pop()
            half.append(p)
        both.extend(half[:-1])
    return both


def _turn(a: Point2, b: Point2, c: Point2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def edges(outline: Sequence[Point2]) -> list[Edge]:
    """The edges of a hull."""
    found: list[Edge] = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        length = math.dist(a, b)
        if length > 0:
            found.append(Edge(a, ((a[1] - b[1]) / length, (b[0] - a[0]) / length)))
    return found


@dataclass(frozen=True, slots=True)
class Opening:
    """Something that opens: itself, what it carries, and where a child would hang on it (mm, shut).

    It slides along `direction` or turns about the axis through `origin` along it, by up to `travel` (mm or radians).
    """

    name: str
    kind: str
    direction: Vec
    travel: float
    origin: Vec
    own: Lump
    contents: Lump | None = None
    hang: Vec | None = None

    def place(self, point: Vec, opened: float) -> Vec:
        """Where a point of it is when it is open by so much."""
        d, o = self.direction, self.origin
        if self.kind == "slide":
            return (point[0] + d[0] * opened, point[1] + d[1] * opened, point[2] + d[2] * opened)
        r = (point[0] - o[0], point[1] - o[1], point[2] - o[2])
        along = sum(a * b for a, b in zip(d, r, strict=True))
        crossed = (d[1] * r[2] - d[2] * r[1], d[2] * r[0] - d[0] * r[2], d[0] * r[1] - d[1] * r[0])
        c, s = math.cos(opened), math.sin(opened)
        x, y, z = (
            o[i] + d[i] * along + (r[i] - d[i] * along) * c + crossed[i] * s  # Rodrigues' formula
            for i in range(3)
        )
        return (x, y, z)


@dataclass(frozen=True, slots=True)
class State:
    """How an opening stands in a case: open by `opened`, with its contents or empty, with a child on it or not."""

    opening: Opening
    opened: float
    loaded: bool
    child: float

    def lumps(self) -> list[Lump]:
        """What it puts where."""
        opening, found = self.opening, [self.opening.own]
        if self.loaded and opening.contents:
            found.append(opening.contents)
        if self.child and opening.hang:
            found.append(Lump(self.child, opening.hang))
        return [Lump(lump.mass, opening.place(lump.centre, self.opened)) for lump in found]

    def moment(self, edge: Edge) -> float:
        return sum(lump.mass * edge.arm(lump.centre) for lump in self.lumps()) * NM


def _stops(opening: Opening, edge: Edge, loaded: bool, child: float) -> list[float]:
    """Where the moment of an opening may be least: shut, open, and where a swing stands out the farthest."""
    found = [0.0, opening.travel]
    if opening.kind != "slide":
        at = [State(opening, t, loaded, child).moment(edge) for t in (0.0, math.pi / 2, math.pi)]
        mean = (at[0] + at[2]) / 2  # the moment is mean + b cos + c sin
        least = math.atan2(mean - at[1], mean - at[0])
        found += [t for t in (least, least + 2 * math.pi) if 0 < t < opening.travel]
    return found


def worst_state(opening: Opening, edge: Edge, child: float = 0.0) -> State:
    """The state with the least moment; with a child (kg) hung on it where one is given."""
    states = [
        State(opening, t, loaded, child)
        for loaded in ((False, True) if opening.contents else (False,))
        for t in _stops(opening, edge, loaded, child)
    ]
    return min(states, key=lambda s: (round(s.moment(edge), 9), s.opened, s.loaded))


@dataclass(frozen=True, slots=True)
class Case:
    """The worst case about an edge: what stays, how each opening stands, and the moments that hold and that tip."""

    edge: Edge
    fixed: tuple[Lump, ...]
    states: tuple[State, ...]

    @property
    def sides(self) -> tuple[list[Lump], list[Lump]]:
        """What holds, and what tips; a child is told on its own."""
        every = [*self.fixed, *(lump for s in self.states for lump in State(s.opening, s.opened, s.loaded, 0).lumps())]
        holds = [lump for lump in every if self.edge.arm(lump.centre) >= 0]
        return holds, [lump for lump in every if self.edge.arm(lump.centre) < 0]

    @property
    def child(self) -> Lump | None:
        return next((s.lumps()[-1] for s in self.states if s.child), None)

    @property
    def net(self) -> float:
        """N m, negative where it tips."""
        still = sum(lump.mass * self.edge.arm(lump.centre) for lump in self.fixed) * NM
        return still + sum(s.moment(self.edge) for s in self.states)

    @property
    def factor(self) -> float:
        """Holding over tipping moment; infinite where nothing tips."""
        every = [*self.fixed, *(lump for s in self.states for lump in s.lumps())]
        moments = [lump.mass * self.edge.arm(lump.centre) for lump in every]
        tips = -sum(m for m in moments if m < 0)
        return sum(m for m in moments if m > 0) / tips if tips > 0 else math.inf


def worst_case(fixed: Iterable[Lump], openings: Iterable[Opening], over: Iterable[Edge], child: float = 0.0) -> Case:
    """The case with the least moment: over each edge each opening at its worst, and a child where it is worst."""
    still, movers = tuple(fixed), list(openings)
    cases: list[Case] = []
    for edge in over:
        states = [worst_state(o, edge) for o in movers]
        if child:
            hung = [
                (worst_state(o, edge, child).moment(edge) - s.moment(edge), i)
                for i, (o, s) in enumerate(zip(movers, states, strict=True))
                if o.hang is not None
            ]
            if hung:
                i = min(hung)[1]
                states[i] = worst_state(movers[i], edge, child)
        cases.append(Case(edge, still, tuple(states)))
    return min(cases, key=lambda c: (round(c.net, 9), c.edge.at))


def anchor_force(net: float, height: float) -> float:
    """The level pull (N) at a height (mm) over the edge that makes up for a moment (N m, negative where it tips)."""
    return max(-net, 0.0) * 1000.0 / height
