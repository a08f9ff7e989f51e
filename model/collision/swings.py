"""Parts that turn: what a door or a fold-down bed runs into on its way, over its whole travel at once."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from model.collision.arcs import Polar, arcs, basis_along
from model.collision.bodies import Bodies, Floats, Ints
from model.collision.motion import Blocked, Hit, Met, first_block, largest
from model.collision.pairs import Key, Overlap, Pairs, Pose, clear, overlap
from model.meshes import arrays, core, mesh
from model.part import Joint, Motion
from model.tolerances import CONTACT

LINK = "pinned"
"""The joint of a part that hangs between what turns and what stays (a gas spring): it moves in a way of its own."""


@dataclass(frozen=True)
class Turning:
    """A swing of part a of the pose about the axis through `origin` along the unit vector `direction` (in its frame).

    Places are mm of arc of a point `reach` mm from the axis, the outermost of the part; `travel` is in mm of it too.
    """

    pose: Pose
    origin: Floats
    direction: Floats
    reach: float
    travel: float

    def overlap(self, place: float) -> Overlap | None:
        turn = self._turn(place)
        found = overlap(self._turned(turn))
        if found is None:
            return None
        x, y, z = (turn @ (np.array(found.at) - self.origin) + self.origin).tolist()
        return replace(found, at=(x, y, z))

    def clear(self, place: float) -> bool:
        return clear(self._turned(self._turn(place)))

    def _turn(self, place: float) -> Floats:
        """The rotation at a place: Rodrigues' formula."""
        angle = place / self.reach
        x, y, z = self.direction.tolist()
        k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
        return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * (k @ k)

    def _turned(self, turn: Floats) -> Pose:
        pose = self.pose
        return Pose(pose.a, pose.b, turn.T @ pose.turn, turn.T @ (pose.origin - self.origin) + self.origin)


def swing(pose: Pose, origin: Floats, direction: Floats, travel: float) -> Blocked | None:
    """What stops part a of the pose as it turns about an axis (in its own frame) by `travel` radians.

    Faces that glide along each other, or rest on each other and part, do not meet. `free` and `position` in radians.
    """
    run, starts = _approach(pose, origin, direction, travel)
    found = first_block(run, starts)
    if found is None:
        return None
    met, counts = found
    place, most = largest(run, met, counts, np.array([s for s in starts if s > met]))
    return Blocked(_touch(run, met / run.reach, travel), place / run.reach, most)


def free_swing(pose: Pose, origin: Floats, direction: Floats, travel: float, before: float) -> float | None:
    """The free angle alone (radians), where it is less than `before`."""
    run, starts = _approach(pose, origin, direction, travel)
    if (not starts or starts[0] / run.reach - CONTACT >= before) and run.clear(0.0):
        return None
    found = first_block(run, starts)
    return None if found is None else _touch(run, found[0] / run.reach, travel)


def _approach(pose: Pose, origin: Floats, direction: Floats, travel: float) -> tuple[Turning, list[float]]:
    """The run of a swing, and every place on it (mm of arc) where the two can meet."""
    a, b = arrays(core(pose.a)), arrays(core(pose.b))
    angles = arcs(a, (b[0] @ pose.turn.T + pose.origin, b[1]), origin, direction, travel)
    reach = max(float(np.linalg.norm(np.cross(a[0] - origin, direction), axis=1).max()), 1.0)
    return Turning(pose, origin, direction, reach, travel * reach), [angle * reach for angle in angles]


def _touch(run: Turning, met: float, travel: float) -> float:
    """The angle at which the parts themselves meet, where their cores do at `met`: the last contact up to there."""
    pose = run.pose
    points, faces = arrays(mesh(pose.b))
    still = points @ pose.turn.T + pose.origin, faces
    angles = arcs(arrays(mesh(pose.a)), still, run.origin, run.direction, travel)
    before = [a for a in angles if a <= met + 1e-9]
    return before[-1] if before else max(met - CONTACT / run.reach, 0.0)


@dataclass(frozen=True)
class Swings:
    """The swings of a plan against everything at rest that does not ride along.

    A part joined by LINK both to what turns and to what stays is left out of that swing: it follows both its ends.
    """

    pairs: Pairs
    motions: tuple[Motion, ...]
    joints: tuple[Joint, ...] = ()
    _results: dict[tuple[Key, bytes], Blocked | None] = field(default_factory=dict)

    @property
    def bodies(self) -> Bodies:
        return self.pairs.bodies

    def hits(self) -> Iterator[Hit]:
        """Every part that turns into another. Pairs that overlap at rest already are left out."""
        for motion, a, b in self._ways():
            for i, j, (key, pose) in zip(a.tolist(), b.tolist(), self.pairs.poses(a, b), strict=True):
                blocked = self._blocked(key, pose, i, motion)
                if blocked:
                    yield Hit(motion, i, j, blocked.free, blocked.position, blocked.overlap)

    def first(self) -> Met | None:
        """What any of the swings meets first; None where all turn free. Quicker than `hits`, which tells all they meet
        and by how much."""
        least: Met | None = None
        for motion, a, b in self._ways():
            for i, j, (key, pose) in zip(a.tolist(), b.tolist(), self.pairs.poses(a, b), strict=True):
                if self.pairs.overlap(key, pose):
                    continue
                before = least.free if least else math.inf
                found = free_swing(pose, *self._axis(i, motion), abs(motion.travel), before)
                if found is not None and found < before:
                    least = Met(found, i, j)
        return least

    def _ways(self) -> Iterator[tuple[Motion, Ints, Ints]]:
        """For each swing: the rows that turn and the rows in their way, as far as boxes tell."""
        rows = {p.path: i for i, p in enumerate(self.bodies.placed)}
        for motion in self.motions:
            if motion.kind != "swing" or motion.travel == 0:
                continue
            riders = np.array(sorted(rows[p] for p in motion.parts), dtype=np.int64)
            links = [rows[p] for p in self._links(motion)]
            stays = np.setdiff1d(np.arange(len(self.bodies)), np.append(riders, links))
            yield motion, *self._candidates(motion, riders, stays)

    def _links(self, motion: Motion) -> list[str]:
        """The parts that hang between what turns and what stays."""
        riders = set(motion.parts)
        ends: dict[str, set[bool]] = {}
        for joint in self.joints:
            if joint.kind == LINK:
                for part, other in ((joint.a, joint.b), (joint.b, joint.a)):
                    ends.setdefault(part, set()).add(other in riders)
        return sorted(part for part, sides in ends.items() if len(sides) == 2 and part not in riders)

    def _candidates(self, motion: Motion, riders: Ints, stays: Ints) -> tuple[Ints, Ints]:
        """Pairs (moving, still) whose boxes can meet on the way, seen from the axis."""
        bodies, origin = self.bodies, np.array(motion.origin)
        if not len(riders) or not len(stays):
            return np.empty(0, np.int64), np.empty(0, np.int64)
        size = np.linalg.norm(bodies.half, axis=1)
        away = np.linalg.norm(bodies.centre - origin, axis=1)
        stays = stays[away[stays] - size[stays] <= float((away[riders] + size[riders]).max())]
        basis = basis_along(np.array(motion.direction, dtype=np.float64))
        moving, still = (Polar.of((_boxes(bodies, rows) - origin) @ basis.T) for rows in (riders, stays))
        travel = abs(motion.travel)
        i, j = np.nonzero(moving.may_meet(still, travel) if motion.travel > 0 else still.may_meet(moving, travel).T)
        return riders[i], stays[j]

    def _blocked(self, key: Key, pose: Pose, i: int, motion: Motion) -> Blocked | None:
        origin, direction = self._axis(i, motion)
        travel = abs(motion.travel)
        full = (key, direction.tobytes() + origin.tobytes() + np.float64(travel).tobytes())
        if full not in self._results:
            at_rest = self.pairs.overlap(key, pose)
            self._results[full] = None if at_rest else swing(pose, origin, direction, travel)
        return self._results[full]

    def _axis(self, i: int, motion: Motion) -> tuple[Floats, Floats]:
        """A point on the axis and its direction (turning by the right-hand rule), in the frame of body i."""
        turn = self.bodies.turn[i]
        direction = np.round(turn.T @ np.array(motion.direction) * math.copysign(1.0, motion.travel), 9) + 0.0
        return np.round(turn.T @ (np.array(motion.origin) - self.bodies.origin[i]), 6) + 0.0, direction


def _boxes(bodies: Bodies, rows: Ints) -> Floats:
    """The corners (n, 8, 3) of bodies' boxes in the room, every face drawn in by half of CONTACT."""
    signs = np.array(list(itertools.product((-1.0, 1.0), repeat=3)))
    half = np.maximum(bodies.half[rows] - CONTACT / 2, 1e-6)
    return bodies.centre[rows][:, None] + np.einsum("nij,nkj->nki", bodies.turn[rows], signs * half[:, None])
