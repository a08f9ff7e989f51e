"""Whether parts can be moved to their place along a straight line past what is already there."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from model.collision.bodies import Bodies, Flags, Floats, Ints, apart
from model.collision.motion import free_slide
from model.collision.pairs import Pairs, Pose, overlap
from model.meshes import core
from model.part import PlacedPart
from model.shapes import Vec
from model.tolerances import OVERLAP

BEYOND = 1.0
"""mm. Parts count as out once they have left by this much."""

PROBES = (1.5, 6.0)
"""mm. Where an overlap is looked for before the whole way is: a part in a groove or a bore is soon found to be held."""


@dataclass(frozen=True)
class Space:
    """All parts of a plan, and what is known of which can pass which. Touching is no collision."""

    bodies: Bodies
    _known: dict[tuple[object, bytes], bool] = field(default_factory=dict)

    @classmethod
    def of(cls, parts: Iterable[PlacedPart]) -> "Space":
        return cls(Bodies.of(parts))

    @cached_property
    def rows(self) -> dict[str, int]:
        return {p.path: i for i, p in enumerate(self.bodies.placed)}

    @cached_property
    def pairs(self) -> Pairs:
        return Pairs(self.bodies)

    @cached_property
    def _bounds(self) -> tuple[Floats, Floats]:
        return self.bodies.bounds()

    def at(self, paths: Iterable[str]) -> Ints:
        return np.array([self.rows[p] for p in paths], dtype=np.int64)

    def span(self, rows: Ints, direction: Floats) -> tuple[Floats, Floats]:
        """Where each body begins and ends along a direction, mm."""
        middle = self.bodies.centre[rows] @ direction
        half = (np.abs(np.einsum("nij,i->nj", self.bodies.turn[rows], direction)) * self.bodies.half[rows]).sum(axis=1)
        return middle - half, middle + half

    def way_out(self, moving: Ints, out_of: Ints, direction: Vec) -> float:
        """How far bodies go along a direction before they have left others behind (mm)."""
        if not len(out_of):
            return 0.0
        d = np.array(direction)
        return max(float(self.span(out_of, d)[1].max() - self.span(moving, d)[0].min()), 0.0) + BEYOND

    def blocked(
        self, moving: Ints, still: Ints, direction: Vec, travel: float, offset: Floats | None = None
    ) -> tuple[int, int] | None:
        """The first pair that meets as `moving` goes out along the unit vector `direction` by `travel` mm, or None.

        With `offset` (mm) it starts that far from its place. Going in is the same line backward, so what is free one
        way is free the other.
        """
        if not len(moving) or not len(still) or travel <= 0:
            return None
        d = np.array(direction, dtype=np.float64)
        low, high = self._bounds
        shift = d * travel
        if offset is not None:
            low, high = low.copy(), high.copy()
            low[moving] += offset
            high[moving] += offset
        reach_low, reach_high = low[moving] + np.minimum(shift, 0), high[moving] + np.maximum(shift, 0)
        meet = (reach_low[:, None] < high[still][None]) & (low[still][None] < reach_high[:, None])
        i, j = np.nonzero(meet.all(axis=2))
        if not len(i):
            return None
        a, b = moving[i], still[j]
        if offset is None:
            near = ~apart(self.bodies, a, b, np.broadcast_to(shift, (len(a), 3)))
            a, b = a[near], b[near]
        order = np.argsort(~(self._plain[a] & self._plain[b]), kind="stable")
        for first, second in zip(a[order].tolist(), b[order].tolist(), strict=True):
            if self._meets(first, second, d, travel, offset):
                return first, second
        return None

    @cached_property
    def _plain(self) -> Flags:
        """Which parts are plain blanks: the quickest to test."""
        return np.array([not (p.part.cuts or p.part.body) for p in self.bodies.placed], dtype=np.bool_)

    def _meets(self, a: int, b: int, direction: Floats, travel: float, offset: Floats | None) -> bool:
        one, other = np.array([a]), np.array([b])
        along = 0.0 if offset is None else float(offset @ direction)
        starts, ends = (end + along for end in self.span(one, direction))
        there = self.span(other, direction)
        travel = round(min(travel, float(there[1][0] - starts[0]) + BEYOND), 3)
        key, pose = self.pairs.poses(one, other)[0]
        own = np.round(self.bodies.turn[a].T @ direction, 9) + 0.0
        full = (key, own.tobytes() + np.float64(travel).tobytes() + (b"" if offset is None else offset.tobytes()))
        if offset is not None:
            pose = replace(pose, origin=pose.origin - self.bodies.turn[a].T @ offset)
        if full not in self._known:
            middle = float(there[0][0] + there[1][0] - starts[0] - ends[0]) / 2
            places = [place for place in (*PROBES, middle) if 0 < place < travel]
            at_once = any(_shares(pose, own * place) for place in places)
            self._known[full] = at_once or free_slide(pose, own, travel, np.inf) is not None
        return self._known[full]


def _shares(pose: Pose, shift: Floats) -> bool:
    """Whether the two overlap where the first has moved on by `shift`: the same test as `overlap`, and no more."""
    if pose.boxes is not None:
        return overlap(pose, shift) is not None
    return (core(pose.a) ^ core(pose.b).transform(pose.frame(shift))).volume() > OVERLAP
