"""What carries a board, read from the built plan: what touches it from below or holds its ends, and what bends with it.

Everything is looked at in the board's own frame: x along its grain, y across, z up as it lies in use (a bed that comes
down lies as it does then).
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

from model.collision.motion import swung
from model.part import PlacedPart
from model.plan import BuiltUnit, Plan
from model.shapes import Box, Vec
from model.tolerances import CONTACT

Axis = Literal["x", "y"]
TALL = 200.0
"""mm. What stands at least this high carries without bending: a side, a partition, a leg, an end panel."""
NARROW = 100.0
"""mm. What touches a board over more than this of its length is no single support but bends with it."""
SPREAD = 0.3
"""A support reaches over at least this share of a board's width: two rows of pins do, one pin does not."""
NEAR = 60.0
"""mm. Supports nearer than this are one, in their middle: two sides back to back."""
FIRM = frozenset({"shelf pin", "wall cleat", "bearer", "bed rail", "leg"})
"""Roles that carry by what they are fixed to: the wall, a side, the frame of a bed."""
GLUE = frozenset({"glued"})
BEYOND = frozenset({"shelf pin", "slide", "light", "driver", "grommet", "pull", "hinge", "load", "mattress"})
"""Roles that do not bend with a board."""
DOWN: Vec = (0.0, 0.0, -1.0)


@dataclass(frozen=True, slots=True)
class Touching:
    """A neighbour of a board: its box in the board's frame, what joins the two (empty: nothing), and whether it is
    below the board, beside it or above."""

    part: PlacedPart
    box: Box
    joint: str
    side: Literal["below", "beside", "above"]
    along: bool
    """Whether its grain runs as the board's does."""

    def over(self, axis: Axis) -> tuple[float, float]:
        return self.box.span(axis)


@dataclass(frozen=True, slots=True)
class Bearing:
    """A support across a board: its middle along the span, the touching area (mm2), the paths of what bears.

    `loose`: the board only rests there.
    """

    at: float
    area: float
    paths: tuple[str, ...]
    loose: bool


@dataclass(frozen=True, slots=True)
class Carried:
    """A board and what carries it: along which of its axes it spans, the supports in order, and what bends with it."""

    board: PlacedPart
    axis: Axis
    bearings: tuple[Bearing, ...]
    with_it: tuple[Touching, ...]

    @property
    def spans(self) -> list[tuple[float, float]]:
        return [(a.at, b.at) for a, b in itertools.pairwise(self.bearings)]


@dataclass
class Surroundings:
    """A plan, looked at from any of its boards."""

    plan: Plan
    front: dict[str, Vec] = field(default_factory=dict)
    """For each unit, which way its front looks in the room."""
    _firm: dict[tuple[str, int], bool] = field(default_factory=dict)
    _near: dict[str, list[Touching]] = field(default_factory=dict)

    @cached_property
    def bounds(self) -> dict[str, Box]:
        return {p.path: p.bounds() for p in self.plan.walk()}

    @cached_property
    def moving(self) -> frozenset[str]:
        return frozenset(path for motion in self.plan.motions for path in motion.parts)

    @cached_property
    def unit_of(self) -> dict[str, BuiltUnit]:
        return {p.path: u for u in self.plan.units for p in u.parts}

    @cached_property
    def joined(self) -> dict[str, dict[str, str]]:
        """For each part, its partners and how it is joined to them."""
        found: dict[str, dict[str, str]] = {}
        for joint in self.plan.joints:
            found.setdefault(joint.a, {})[joint.b] = joint.kind
            found.setdefault(joint.b, {})[joint.a] = joint.kind
        return found

    @cached_property
    def down(self) -> dict[str, Vec]:
        """Which way is down for each part of a bed, as the bed stands drawn."""
        found: dict[str, Vec] = {}
        for motion in self.plan.motions:
            if motion.kind == "swing" and motion.name.rsplit("/", 1)[-1] == "bed":
                way = swung(motion, motion.travel).inverse().turn(DOWN)
                found |= dict.fromkeys(motion.parts, way)
        return found

    def up(self, board: PlacedPart) -> int:
        """1 where the board's own z looks up in use, -1 where it looks down, 0 where the board does not lie level."""
        z = board.placement.inverse().turn(self.down.get(board.path, DOWN))[2]
        return 0 if abs(z) < 0.99 else (-1 if z > 0 else 1)

    def near(self, board: PlacedPart) -> list[Touching]:
        """Everything that touches a board, of its own unit or joined to it."""
        if board.path not in self._near:
            self._near[board.path] = list(self._look(board))
        return self._near[board.path]

    def _look(self, board: PlacedPart) -> Iterator[Touching]:
        own, joints = self.bounds[board.path].grown(CONTACT), self.joined.get(board.path, {})
        paths = dict.fromkeys([*(p.path for p in self.unit_of[board.path].parts), *joints])
        back, up = board.placement.inverse(), self.up(board)
        thick = board.part.thickness
        for path in paths:
            if path == board.path or path not in self.bounds or own.common(self.bounds[path]) is None:
                continue
            other = self.plan.by_path[path]
            placed = back.compose(other.placement)
            box = placed.box(Box((0.0, 0.0, 0.0), other.part.size))
            if up < 0:
                low, high = box.span("z")
                box = box.replace(z=(thick - high, thick - low))
            low, high = box.span("z")
            side = "below" if high <= CONTACT * 2 else "above" if low >= thick - CONTACT * 2 else "beside"
            along = abs(placed.turn((1.0, 0.0, 0.0))[0]) > 0.7
            yield Touching(other, box, joints.get(path, ""), side, along)

    def firm(self, part: PlacedPart, depth: int = 2) -> bool:
        """Whether a part carries without bending: it is tall, or fixed along its length or at both ends to what is."""
        key = (part.path, depth)
        if key not in self._firm:
            self._firm[key] = False  # while it is looked at: two that lean on each other carry nothing
            self._firm[key] = self._carries(part, depth)
        return self._firm[key]

    def _carries(self, part: PlacedPart, depth: int) -> bool:
        if part.role in FIRM or (part.role == "slide" and part.path in self.moving):
            return True  # the moving half of a slide carries what it is screwed to, the other is carried
        if part.part.kind not in ("sheet", "board"):
            return False
        if self.bounds[part.path].size[2] >= TALL and part.path not in self.down:
            return True
        if depth == 0:
            return False
        length = part.part.length
        ends: set[int] = set()
        for t in self.near(part):
            if not t.joint or not self.firm(t.part, depth - 1):
                continue
            low, high = max(t.box.lo[0], 0.0), min(t.box.hi[0], length)
            if high - low >= length / 2:
                return True
            ends |= {i for i, place in enumerate((0.0, length)) if low - NEAR <= place <= high + NEAR}
        return ends == {0, 1}


def carried(around: Surroundings, board: PlacedPart) -> Carried | None:
    """What carries a board; None where nothing is found to carry it both ways, or it does not lie level.

    Of the two ways it may span, the longer span is taken: what holds its other edges is not counted on.
    """
    if around.up(board) == 0:
        return None
    near = [t for t in around.near(board) if t.side != "above" and t.joint != "seam"]
    layers = [t for t in near if t.joint in GLUE and t.side == "below" and _covers(t, board)]
    for layer in layers:  # what bears the second layer bears the first
        near += _seen_from(around, board, layer)
    ways = [w for w in (_spanning(around, board, near, axis) for axis in ("x", "y")) if w]
    if not ways:
        return None
    return max(ways, key=lambda w: max(b - a for a, b in w.spans))


def _covers(touching: Touching, board: PlacedPart) -> bool:
    (x0, x1), (y0, y1) = touching.over("x"), touching.over("y")
    shared = (min(x1, board.part.length) - max(x0, 0)) * (min(y1, board.part.width) - max(y0, 0))
    return y1 - y0 > NARROW and shared > 0.25 * board.part.length * board.part.width


def _seen_from(around: Surroundings, board: PlacedPart, layer: Touching) -> Iterator[Touching]:
    """What lies under a second layer, in the frame of the first."""
    back = board.placement.inverse()
    for t in around.near(layer.part):
        if t.side == "below" and t.part.path != board.path:
            placed = back.compose(t.part.placement)
            box = placed.box(Box((0.0, 0.0, 0.0), t.part.part.size))
            if around.up(board) < 0:
                low, high = box.span("z")
                box = box.replace(z=(board.part.thickness - high, board.part.thickness - low))
            yield replace(t, box=box)


def _spanning(around: Surroundings, board: PlacedPart, near: list[Touching], axis: Axis) -> Carried | None:
    """The board spanning along one of its axes; None with fewer than two supports across it."""
    across: Axis = "y" if axis == "x" else "x"
    long, wide = (board.part.length, board.part.width) if axis == "x" else (board.part.width, board.part.length)
    found: list[tuple[float, float, tuple[float, float], Touching]] = []
    for t in near:
        a, b = _clipped(t.over(axis), long), _clipped(t.over(across), wide)
        if a[1] - a[0] > NARROW or (t.side == "beside" and not t.joint) or not around.firm(t.part):
            continue
        found.append((*a, b, t))
    bearings: list[Bearing] = []
    for group in _clusters(found):
        if max(b[1] for *_, b, _ in group) - min(b[0] for *_, b, _ in group) < SPREAD * wide:
            continue
        area = sum((hi - lo) * (b[1] - b[0]) for lo, hi, b, _ in group)
        middle = (min(lo for lo, *_ in group) + max(hi for _, hi, *_ in group)) / 2
        loose = all(t.joint in ("rests", "runs", "") for *_, t in group)
        bearings.append(Bearing(middle, area, tuple(sorted({t.part.path for *_, t in group})), loose))
    if len(bearings) < 2:
        return None
    bears = {path for b in bearings for path in b.paths}
    with_it = [t for t in near if t.part.path not in bears and _bends_with(around, board, t, axis, across, long)]
    return Carried(board, axis, tuple(bearings), tuple(with_it))


def _clipped(span: tuple[float, float], length: float) -> tuple[float, float]:
    low, high = max(span[0], 0.0), min(span[1], length)
    middle = (low + high) / 2
    return (low, high) if high > low else (middle, middle)


def _clusters(
    found: list[tuple[float, float, tuple[float, float], Touching]],
) -> Iterator[list[tuple[float, float, tuple[float, float], Touching]]]:
    """Supports that are near each other along the span, together."""
    group: list[tuple[float, float, tuple[float, float], Touching]] = []
    for one in sorted(found, key=lambda f: (f[0], f[1], f[3].part.path)):
        if group and one[0] - max(hi for _, hi, *_ in group) > NEAR:
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def _bends_with(around: Surroundings, board: PlacedPart, t: Touching, axis: Axis, across: Axis, long: float) -> bool:
    """Whether a neighbour runs along the span and adds its stiffness: fixed to the board, in front or over its width.

    What stiffens only the rear leaves the front to sag by itself, and what stands firm is a wall and no beam.
    """
    a, b = _clipped(t.over(axis), long), t.over(across)
    if t.part.role in BEYOND or t.part.part.kind == "hardware" or not t.joint:
        return False
    if a[1] - a[0] <= NARROW or around.bounds[t.part.path].size[2] >= TALL:
        return False
    wide = board.part.width if axis == "x" else board.part.length
    if b[1] - b[0] >= 0.75 * wide:
        return True
    unit = around.unit_of[board.path].name
    way = board.placement.inverse().turn(around.front.get(unit, (0.0, -1.0, 0.0)))[1 if across == "y" else 0]
    middle = (b[0] + b[1]) / 2
    if abs(way) < 0.7:
        return True
    return middle < wide / 2 if way < 0 else middle > wide / 2
