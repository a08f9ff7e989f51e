"""The clearance of doors that stand fully open: what is left to the walls of the room and to what stands out beside."""

import math
from collections.abc import Iterator

import numpy as np

from model.build import Build
from model.collision.bodies import Floats, crossing
from model.collision.motion import swung
from model.collision.pairs import Pose, gap
from model.gaps.facing import Measured
from model.gaps.ranges import Range
from model.meshes import arrays, mesh
from model.part import Motion, PlacedPart
from model.placement import Placement
from model.shapes import Vec
from model.tolerances import CONTACT

NEAR = 100.0
"""mm. A door that stands further than this from a wall or a neighbour is not near it."""
PROUD = 1.0
"""mm. A part that stands out past the hinge side of a door by less lies in the plane of the fronts."""


def door_gaps(build: Build, allowed: Range) -> Iterator[Measured]:
    """Each door at full swing to each wall, and to each thing that stands out beside it, as far as they are near."""
    doors = [
        (unit.name, motion, opened)
        for unit in build.plan.units
        for motion in unit.motions
        if motion.kind == "swing" and (opened := _opened(build, motion))
    ]
    if not doors:
        return
    search = NEAR if allowed.max is not None else allowed.min + 1.0
    for name, motion, opened in doors:
        yield from _to_walls(build, build.stands_at[name], motion.origin, opened, search)
    yield from _to_others(build, doors, search)


def _opened(build: Build, motion: Motion) -> list[PlacedPart]:
    """What rides on a door, where it is when the door is open; nothing for another swing."""
    if abs(motion.direction[2]) < 1 - 1e-9:
        return []
    riders = [build.plan.by_path[path] for path in motion.parts]
    if not any(p.role == "door" for p in riders):
        return []
    at = swung(motion, motion.travel)
    return [p.moved(at) for p in riders]


def _to_walls(build: Build, own: str, hinge: Vec, opened: list[PlacedPart], search: float) -> Iterator[Measured]:
    """The nearest point of an open door to each wall that its hinges are before, but the one its unit stands at."""
    reach = max(math.dist(p.placement.origin, hinge) + math.hypot(*p.part.size) for p in opened)
    for wall in build.walls:
        before = -wall.frame.inverse().apply(hinge)[1]
        if wall.name == own or before <= 0 or before > reach + search:
            continue
        best: Measured | None = None
        for part in opened:
            points = _points(part, wall.frame)
            points = points[(points[:, 0] > -CONTACT) & (points[:, 0] < wall.wall.width + CONTACT)]
            if not len(points):
                continue
            x, y, z = points[np.argmax(points[:, 1])].tolist()
            if -y < (search if best is None else best.gap):
                best = Measured("door_to_wall", part, None, -y, (x, y / 2, z), wall.frame, wall.name)
        if best is not None:
            yield best


def _points(part: PlacedPart, frame: Placement) -> Floats:
    """The corners of a part as it is cut, in a frame."""
    at = frame.inverse().compose(part.placement)
    return arrays(mesh(part.part))[0] @ np.array(at.rotation).T + np.array(at.origin)


def _to_others(build: Build, doors: list[tuple[str, Motion, list[PlacedPart]]], search: float) -> Iterator[Measured]:
    """The nearest of the parts that stand out beside each open door."""
    frames = {wall.name: wall.frame for wall in build.walls}
    still = list(build.plan.walk())
    moved = [(number, part) for number, (_, _, opened) in enumerate(doors) for part in opened]
    low, high = _bounds([part for _, part in moved])
    near = np.array([search, search, -CONTACT])
    best: dict[tuple[int, str], Measured] = {}
    for i, j in zip(*(rows.tolist() for rows in crossing(low - near, high + near, *_bounds(still))), strict=True):
        (number, part), other = moved[i], still[j]
        name, motion, _ = doors[number]
        out = frames[build.stands_at[name]].turn((0.0, -1.0, 0.0))
        if other.path in motion.parts or _stands_out(other, motion.origin, out) < PROUD:
            continue
        found = _between(part, other, search)
        key = (number, other.path.split("/", 1)[0])
        if found < search and (key not in best or found < best[key].gap):
            best[key] = Measured("door_to_wall", part, other, found, _middle(part, other), Placement())
    yield from (best[key] for key in sorted(best))


def _bounds(parts: list[PlacedPart]) -> tuple[Floats, Floats]:
    turns = np.array([p.placement.rotation for p in parts])
    half = np.array([p.part.size for p in parts]) / 2
    centre = np.array([p.placement.origin for p in parts]) + np.einsum("nij,nj->ni", turns, half)
    reach = np.einsum("nij,nj->ni", np.abs(turns), half)
    return centre - reach, centre + reach


def _stands_out(part: PlacedPart, origin: Vec, out: Vec) -> float:
    """How far a part stands out into the room past the axis of a door."""
    corners = [
        part.placement.apply((x, y, z))
        for x in (0.0, part.part.length)
        for y in (0.0, part.part.width)
        for z in (0.0, part.part.thickness)
    ]
    return max(sum((c[k] - origin[k]) * out[k] for k in range(3)) for c in corners)


def _between(a: PlacedPart, b: PlacedPart, search: float) -> float:
    """The shortest distance of two placed parts; `search` where it is more."""
    at = a.placement.inverse().compose(b.placement)
    return gap(Pose(a.part, b.part, np.array(at.rotation), np.array(at.origin)), search)


def _middle(a: PlacedPart, b: PlacedPart) -> Vec:
    """The middle of what the bounds of two parts share, or of what lies between them."""
    p, q = a.bounds(), b.bounds()
    x, y, z = ((max(p.lo[k], q.lo[k]) + min(p.hi[k], q.hi[k])) / 2 for k in range(3))
    return (x, y, z)
