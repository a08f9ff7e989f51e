"""Two motions against each other: whether both can be open at once, and which of the two must open first.

Each of the two runs once with the other shut and once with the other open as far as it goes: four runs, each over its
whole travel at once. Two things can be open together if one of the two orders is free from end to end.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from model.collision.bodies import Bodies
from model.collision.motion import Slides, swung
from model.collision.pairs import Pairs
from model.collision.swings import Swings
from model.part import Motion, PlacedPart
from model.placement import Placement

Verdict = Literal["free", "first then second", "second then first", "never", "blocked"]


@dataclass(frozen=True, slots=True)
class Mover:
    """A motion and what rides on it, at rest."""

    motion: Motion
    parts: tuple[PlacedPart, ...]

    def opened(self) -> tuple[PlacedPart, ...]:
        """What rides on it at the end of its travel."""
        motion = self.motion
        if motion.kind == "swing":
            by = swung(motion, motion.travel)
        else:
            x, y, z = (c * motion.travel for c in motion.direction)
            by = Placement((x, y, z))
        return tuple(p.moved(by) for p in self.parts)


@dataclass(frozen=True, slots=True)
class Together:
    """How far each of two motions runs (mm, radians; None: all the way) with the other shut, and with it open."""

    first_alone: float | None
    second_alone: float | None
    first_after: float | None
    second_after: float | None
    meets: tuple[int, int] | None = None
    """Of a pair that can never be open together: the part of the first and the part of the second, by their number
    among what rides on each, that meet as the first is opened last."""

    @property
    def verdict(self) -> Verdict:
        """`never`: each runs free by itself, but neither once the other is open. `blocked`: one cannot even open
        by itself, whatever is done with the other: that is told of it alone."""
        second_last = self.first_alone is None and self.second_after is None
        first_last = self.second_alone is None and self.first_after is None
        if second_last and first_last:
            return "free"
        if second_last:
            return "first then second"
        if first_last:
            return "second then first"
        return "never" if self.first_alone is None and self.second_alone is None else "blocked"


def together(first: Mover, second: Mover) -> Together:
    """How two motions get on with each other."""
    runs = [
        _met(first, second.parts),
        _met(second, first.parts),
        _met(first, second.opened()),
        _met(second, first.opened()),
    ]
    free = [run[0] if run else None for run in runs]
    return Together(*free, meets=runs[2][1:] if runs[2] else None)


def _met(mover: Mover, others: tuple[PlacedPart, ...]) -> tuple[float, int, int] | None:
    """How far a motion runs before it meets any of `others`, and the numbers of the two that meet; None if it runs all
    the way. What overlaps at rest is left out."""
    pairs = Pairs(Bodies.of([*mover.parts, *others]))
    motions = (mover.motion,)
    met = Slides(pairs, motions).first() if mover.motion.kind == "slide" else Swings(pairs, motions).first()
    if met is None:
        return None
    mine, theirs = ([p.path for p in parts] for parts in (mover.parts, others))
    return met.free, mine.index(pairs.bodies.placed[met.a].path), theirs.index(pairs.bodies.placed[met.b].path)


def likeness(first: Mover, second: Mover) -> tuple[object, ...]:
    """A key that pairs of motions share where one pair is the other one moved as a whole (to 1e-6 mm)."""
    frame = first.parts[0].placement.inverse()
    key: list[object] = []
    for mover in (first, second):
        motion = mover.motion
        numbers = [*frame.turn(motion.direction), *frame.apply(motion.origin), motion.travel]
        for placed in mover.parts:
            at = frame.compose(placed.placement)
            numbers += [*at.origin, *(c for row in at.rotation for c in row)]
        key += [motion.kind, tuple(p.part for p in mover.parts), (np.round(numbers, 6) + 0.0).tobytes()]
    return tuple(key)
