"""Where a chain of dimensions has its stops: what a straight line meets on its way over a view."""

from collections.abc import Callable, Sequence
from itertools import pairwise

from exporters.drawings.rows import Axis, chain_fits
from exporters.drawings.views import Face
from model.lengths import LengthUnit
from model.shapes import Box
from model.tolerances import CONTACT

Scan = Callable[[float], list[float]]
DEEP = 45.0
"""mm. What lies farther behind the foremost front than this is seen through an opening."""


def distinct(values: Sequence[float]) -> list[float]:
    """The values in order, each once."""
    found: list[float] = []
    for v in sorted(values):
        if not found or v - found[-1] > CONTACT * 5:
            found.append(v)
    return found


def over_front(boxes: Sequence[Box], along: int, whole: tuple[float, float]) -> Scan:
    """Stops along x (0) or z (2) where the foremost of the boxes changes, seen from the front (-y)."""
    across = 2 - along
    face = min(b.lo[1] for b in boxes)

    def stops(at: float) -> list[float]:
        met = [b for b in boxes if b.lo[across] < at < b.hi[across]]
        ends = distinct([whole[0], whole[1], *(v for b in met for v in (b.lo[along], b.hi[along]))])
        kept = [ends[0]]
        before: object = None
        for a, b in pairwise(ends):
            front = _foremost(met, along, (a + b) / 2, face)
            if front is not before and a > ends[0]:
                kept.append(a)
            before = front
        return [*kept, ends[-1]]

    return stops


def _foremost(boxes: Sequence[Box], along: int, at: float, face: float) -> Box | None:
    there = [b for b in boxes if b.lo[along] < at < b.hi[along] and b.lo[1] < face + DEEP]
    return min(there, key=lambda b: b.lo[1], default=None)


def through_faces(faces: Sequence[Face], along: int, whole: tuple[float, float]) -> Scan:
    """Stops along x (0) or y (1) of a section where a line goes in and out of what is cut."""

    def stops(at: float) -> list[float]:
        met = [v for f in faces for loop in f.loops for v in _crossed(loop, along, at)]
        return distinct([*whole, *met])

    return stops


def _crossed(loop: Sequence[tuple[float, float]], along: int, at: float) -> list[float]:
    found = []
    for a, b in zip(loop, (*loop[1:], loop[0]), strict=True):
        p, q = a[1 - along], b[1 - along]
        if (p <= at) != (q <= at):
            found.append(a[along] + (b[along] - a[along]) * (at - p) / (q - p))
    return found


def between(values: Sequence[float]) -> list[float]:
    """The middles between neighbours: where a scan meets everything there is to meet."""
    return [(a + b) / 2 for a, b in pairwise(distinct(values)) if b - a > 1.0]


def best(scan: Scan, places: Sequence[float], axis: Axis, unit: LengthUnit, other: Sequence[float] = ()) -> list[float]:
    """The stops of the place that tells most and whose texts fit on paper; empty where none tells anything new.

    `other` is a chain that is there already.
    """
    found: dict[tuple[float, ...], None] = {}
    for at in places:
        found.setdefault(tuple(scan(at)))
    ranked = sorted(found, key=lambda s: (-len(s), -min(b - a for a, b in pairwise(s)), s))
    for stops in ranked:
        if len(stops) > 2 and not set(stops) <= set(other) and chain_fits(axis.side, stops, axis.scale, unit):
            return list(stops)
    return []
