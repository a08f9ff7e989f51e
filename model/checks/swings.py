"""Parts that turn: what a door or a fold-down bed runs into on its way, over its whole travel at once."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from model.checks.arcs import Polar, arcs, basis_along
from model.checks.bodies import Bodies, Floats, Ints
from model.checks.motion import Blocked, Hit, first_block, largest
from model.checks.pairs import Key, Overlap, Pairs, Pose, clear, overlap
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
    a, b = arrays(core(pose.a)), arrays(core(pose.b))
    angles = arcs(a, (b[0] @ pose.turn.T + pose.origin, b[1]), origin, direction, travel)
    if not angles and clear(pose):
        return None
    reach = max(float(np.linalg.norm(np.cross(a[0] - origin, direction), axis=1).max()), 1.0)
    run = Turning(pose, origin, direction, reach, travel * reach)
    starts = [angle * reach for angle in angles]
    found = first_block(run, starts)
    if found is None:
        return None
    met, counts = found
    place, most = largest(run, met, counts, np.array([s for s in starts if s > met]))
    return Blocked(_touch(run, met / reach, travel), place / reach, most)


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
        rows = {p.path: i for i, p in enumerate(self.bodies.placed)}
        for motion in self.motions:
            if motion.kind != "swing" or motion.travel == 0:
                continue
            riders = np.array(sorted(rows[p] for p in motion.parts), dtype=np.int64)
            links = [rows[p] for p in self._links(motion)]
            stays = np.setdiff1d(np.arange(len(self.bodies)), np.append(riders, links))
            a, b = self._candidates(motion, riders, stays)
            for i, j, (key, pose) in zip(a.tolist(), b.tolist(), self.pairs.poses(a, b), strict=True):
                blocked = self._blocked(key, pose, i, motion)
                if blocked:
                    yield Hit(motion, i, j, blocked.free, blocked.position, blocked.overlap)

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
        sign = math.copysign(1.0, motion.travel)
        turn = self.bodies.turn[i]
        direction = np.round(turn.T @ np.array(motion.direction) * sign, 9) + 0.0
        origin = np.round(turn.T @ (np.array(motion.origin) - self.bodies.origin[i]), 6) + 0.0
        travel = abs(motion.travel)
        full = (key, direction.tobytes() + origin.tobytes() + np.float64(travel).tobytes())
        if full not in self._results:
            at_rest = self.pairs.overlap(key, pose)
            self._results[full] = None if at_rest else swing(pose, origin, direction, travel)
        return self._results[full]


def _boxes(bodies: Bodies, rows: Ints) -> Floats:
    """The corners (n, 8, 3) of bodies' boxes in the room, every face drawn in by half of CONTACT."""
    signs = np.array(list(itertools.product((-1.0, 1.0), repeat=3)))
    half = np.maximum(bodies.half[rows] - CONTACT / 2, 1e-6)
    return bodies.centre[rows][:, None] + np.einsum("nij,nkj->nki", bodies.turn[rows], signs * half[:, None])
