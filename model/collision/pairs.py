"""Exact tests between two parts: what they share, how far apart they are. Equal pairs are worked out once."""

from dataclasses import dataclass, field

import numpy as np

from model.collision.bodies import Bodies, Floats, Ints
from model.meshes import arrays, core, mesh
from model.part import Part
from model.shapes import Vec
from model.tolerances import CONTACT, OVERLAP

Key = tuple[int, int, bytes]


@dataclass(frozen=True, slots=True)
class Overlap:
    """The common solid of two parts.

    `volume` is in mm^3. `depth` is its smallest extent (mm) along the axes of either part: how far the parts run into
    each other. `at` is its centroid, in the frame of the first part.
    """

    volume: float
    depth: float
    at: Vec


@dataclass(frozen=True)
class Pose:
    """Two parts and where the second lies in the frame of the first."""

    a: Part
    b: Part
    turn: Floats  # (3, 3)
    origin: Floats  # (3,) mm

    def frame(self, shift: Floats | None = None) -> Floats:
        """The 3 x 4 matrix that brings b into the frame of a, where a has moved on by `shift` mm."""
        return np.column_stack((self.turn, self.origin if shift is None else self.origin - shift))

    @property
    def boxes(self) -> tuple[Floats, Floats] | None:
        """Low and high corners of b in the frame of a where both are plain blanks at quarter turns, else None."""
        plain = not (self.a.cuts or self.a.body or self.b.cuts or self.b.body)
        if not plain or np.any(np.minimum(np.abs(self.turn), 1 - np.abs(self.turn)) > 1e-9):
            return None
        end = self.turn @ np.array(self.b.size)
        return self.origin + np.minimum(end, 0), self.origin + np.maximum(end, 0)


def overlap(pose: Pose, shift: Floats | None = None) -> Overlap | None:
    """What the two share, or None where they only touch; `shift` (mm, in the frame of a) moves a on first.

    They overlap when the parts, every face drawn in by half of CONTACT, still share more than OVERLAP: a film where
    two large faces meet, as thin as the rounding of their places, is no overlap however large its volume.
    """
    boxes = pose.boxes
    if boxes is not None:
        return _common_box(pose, boxes[0], boxes[1], np.zeros(3) if shift is None else shift)
    frame = pose.frame(shift)
    if (core(pose.a) ^ core(pose.b).transform(frame)).volume() <= OVERLAP:
        return None
    common = mesh(pose.a) ^ mesh(pose.b).transform(frame)
    points, faces = arrays(common)
    own = np.ptp(points, axis=0)
    other = np.ptp(points @ pose.turn, axis=0)
    x, y, z = _centroid(points, faces) + (0 if shift is None else shift)
    return Overlap(
        common.volume(),
        float(min(own.min(), other.min())),
        (float(x), float(y), float(z)),
    )


def clear(pose: Pose, shift: Floats | None = None) -> bool:
    """Whether the two, every face drawn in by half of CONTACT, share nothing at all; `shift` moves a on first."""
    return (core(pose.a) ^ core(pose.b).transform(pose.frame(shift))).is_empty()


def _common_box(pose: Pose, low: Floats, high: Floats, shift: Floats) -> Overlap | None:
    lo = np.maximum(low, shift)
    hi = np.minimum(high, np.array(pose.a.size) + shift)
    inner = hi - lo - CONTACT
    if inner.min() <= 0 or inner.prod() <= OVERLAP:
        return None
    x, y, z = ((lo + hi) / 2).tolist()
    return Overlap(float((hi - lo).prod()), float((hi - lo).min()), (x, y, z))


def _centroid(points: Floats, faces: Ints) -> Floats:
    a, b, c = (points[faces[:, k]] - points[0] for k in range(3))
    weights = np.einsum("ij,ij->i", a, np.cross(b, c))
    return points[0] + (weights @ (a + b + c)) / (4 * weights.sum())


def gap(pose: Pose, search: float) -> float:
    """The shortest distance between the two, mm; 0 where they touch or overlap; `search` where it is more than that."""
    boxes = pose.boxes
    if boxes is not None:
        clear = np.maximum(np.maximum(boxes[0] - np.array(pose.a.size), -boxes[1]), 0.0)
        return min(float(np.linalg.norm(clear)), search)
    return mesh(pose.a).min_gap(mesh(pose.b).transform(pose.frame()), search)


def touching(pose: Pose) -> bool:
    """Whether the two are within CONTACT of each other."""
    if pose.boxes is None:
        # Cores of faces that touch are CONTACT apart, and disjoint meshes are measured much faster than touching ones.
        near = 2 * CONTACT + 1e-6
        if core(pose.a).min_gap(core(pose.b).transform(pose.frame()), 2 * near) <= near:
            return True
    return gap(pose, 2 * CONTACT) <= CONTACT + 1e-6


@dataclass(frozen=True)
class Pairs:
    """The pairs of a plan's bodies. Results for equal parts in equal relative places are kept for the run."""

    bodies: Bodies
    _overlaps: dict[Key, Overlap | None] = field(default_factory=dict)
    _touching: dict[Key, bool] = field(default_factory=dict)

    def poses(self, i: Ints, j: Ints) -> list[tuple[Key, Pose]]:
        """Each pair's pose, and a key that equal poses share (places to 1e-6 mm)."""
        turns, origins = self.bodies.relative(i, j)
        turns, origins = np.round(turns, 9) + 0.0, np.round(origins, 6) + 0.0
        first, second = self.bodies.shape[i].tolist(), self.bodies.shape[j].tolist()
        shapes = self.bodies.shapes
        return [
            (
                (a, b, turn.tobytes() + origin.tobytes()),
                Pose(shapes[a], shapes[b], turn, origin),
            )
            for a, b, turn, origin in zip(first, second, turns, origins, strict=True)
        ]

    def overlap(self, key: Key, pose: Pose) -> Overlap | None:
        if key not in self._overlaps:
            self._overlaps[key] = overlap(pose)
        return self._overlaps[key]

    def touching(self, key: Key, pose: Pose) -> bool:
        if key not in self._touching:
            self._touching[key] = touching(pose)
        return self._touching[key]

    def in_room(self, i: int, at: Vec) -> Vec:
        """A point in the frame of body i, in the room, mm to 0.1."""
        x, y, z = (round(c, 1) + 0.0 for c in self.bodies.placed[i].placement.apply(at))
        return (x, y, z)
