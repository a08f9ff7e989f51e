"""The place each moving part takes up on its way, as bounds in the room, and which motions can come near each other."""

from dataclasses import dataclass

import numpy as np

from model.collision.arcs import TURN
from model.collision.bodies import Bodies, Floats, Ints, crossing
from model.part import Motion


@dataclass(frozen=True)
class Sweeps:
    """The riders of every motion, one row each: which motion, which body, and the bounds of all it sweeps (mm)."""

    number: Ints
    row: Ints
    low: Floats
    high: Floats

    @classmethod
    def of(cls, bodies: Bodies, motions: tuple[Motion, ...]) -> "Sweeps":
        rows = {p.path: i for i, p in enumerate(bodies.placed)}
        number = np.repeat(np.arange(len(motions)), [len(m.parts) for m in motions])
        row = np.array([rows[path] for m in motions for path in m.parts], dtype=np.int64)
        low, high = (b[row] for b in bodies.bounds())
        for k, motion in enumerate(motions):
            mine = number == k if motion.kind == "swing" else slice(*np.searchsorted(number, (k, k + 1)))
            if motion.kind == "swing":
                low[mine], high[mine] = _swung_bounds(bodies, row[mine], motion)
                continue
            shift = np.array(motion.direction) * motion.travel
            low[mine] += np.minimum(shift, 0.0)
            high[mine] += np.maximum(shift, 0.0)
        return cls(number, row, low, high)

    def near(self) -> list[tuple[int, int]]:
        """The pairs of motions, a before b, whose bounds share a volume somewhere; parts they have in common do not
        count."""
        i, j = crossing(self.low, self.high, self.low, self.high)
        first, second = self.number[i], self.number[j]
        some = (first < second) & (self.row[i] != self.row[j])
        return sorted(set(zip(first[some].tolist(), second[some].tolist(), strict=True)))


def _swung_bounds(bodies: Bodies, rows: Ints, motion: Motion) -> tuple[Floats, Floats]:
    """Low and high corners of the bounds of all that boxes sweep as they turn.

    A corner at the radius r from the axis moves along each axis of the room as a cos t + b sin t: it is outermost at
    an end, or where t = atan2(b, a), or half a turn from there.
    """
    axis, origin = np.array(motion.direction, dtype=np.float64), np.array(motion.origin, dtype=np.float64)
    signs = np.array([(x, y, z) for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
    half = bodies.half[rows][:, None] * signs
    corners = bodies.centre[rows][:, None] + np.einsum("nij,nkj->nki", bodies.turn[rows], half) - origin
    along = (corners @ axis)[..., None] * axis
    a = corners - along
    b = np.cross(axis, a)
    fixed = along + origin
    ends = [a * np.cos(t) + b * np.sin(t) for t in (0.0, motion.travel)]
    top = np.mod(np.arctan2(b, a), TURN)
    bottom = np.mod(top + np.pi, TURN)
    if motion.travel < 0:
        top, bottom = np.mod(-top, TURN), np.mod(-bottom, TURN)
    reach = np.hypot(a, b)
    most = np.where(top <= abs(motion.travel), reach, np.maximum(*ends))
    least = np.where(bottom <= abs(motion.travel), -reach, np.minimum(*ends))
    return (least + fixed).min(axis=1), (most + fixed).max(axis=1)
