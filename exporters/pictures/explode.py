"""Parts moved apart so that each is seen: what slides or swings comes all the way out along its motion, then parts
stand off each other along the directions of their joints.

No part passes another: along the axis by which two boxes are apart, they stay in the same order and never get nearer.
All of it is worked out in the frame of the wall a unit stands at, where boxes are square.
"""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.scene import Array
from exporters.pictures.viewpoints import wall_of
from model.part import Joint, Motion
from model.placement import Placement
from model.shapes import Box, Vec

if TYPE_CHECKING:
    from model.build import Build
    from model.plan import BuiltUnit

STEP = 0.13
"""How far parts that are joined stand apart, as a share of the longest side of their unit."""
BETWEEN = 0.25
"""How far exploded units stand apart, likewise of the longest side of the largest."""
SUNK = 0.45
"""Two boxes are in order along an axis where they share less than this much of the thinner: a panel in its groove."""
Boxes = Mapping[str, Box]
Moves = dict[str, Vec]


@dataclass(frozen=True, eq=False)
class Exploded:
    """How far each part (by path) moves, mm in the room, and the lines that tie what is joined (K x 2 x 3, mm)."""

    moves: Mapping[str, Vec]
    leaders: Array


def explode(build: "Build", share: float, units: Iterable[str] = ()) -> Exploded:
    """The parts of some units, or of all, moved apart.

    `share` is how far parts that are joined stand apart, 1 for the usual; with anything over 0 what moves is out.
    """
    chosen = [u for u in build.plan.units if u.parts and (u.name in set(units) or not units)]
    if share <= 0:
        return Exploded({p.path: (0.0, 0.0, 0.0) for u in chosen for p in u.parts}, np.zeros((0, 2, 3)))
    local = {u.name: _local_boxes(build, u) for u in chosen}
    moves = {u.name: _unit_moves(build, u, local[u.name], share) for u in chosen}
    room: Moves = {}
    for unit in chosen:
        frame = wall_of(build, unit.name).frame
        room |= {path: frame.turn(move) for path, move in moves[unit.name].items()}
    apart = _units_apart(chosen, room, share)
    for unit in chosen:
        for part in unit.parts:
            room[part.path] = _sum(room[part.path], apart[unit.name])
    lines = [line for u in chosen for line in _leaders(build, u, room, apart[u.name])]
    return Exploded(room, np.array(sorted(set(lines))).reshape(-1, 2, 3))


def placements(exploded: Exploded) -> dict[str, Placement]:
    """The moves as placements."""
    return {path: Placement(move) for path, move in exploded.moves.items()}


def _local_boxes(build: "Build", unit: "BuiltUnit") -> dict[str, Box]:
    back = wall_of(build, unit.name).frame.inverse()
    return {p.path: p.moved(back).bounds() for p in unit.parts}


def _unit_moves(build: "Build", unit: "BuiltUnit", boxes: Boxes, share: float) -> Moves:
    """How far the parts of one unit move, in the frame of its wall."""
    back = wall_of(build, unit.name).frame.inverse()
    step = share * STEP * max(_hull(boxes.values()).size)
    group, out = _drawn_out(unit.motions, boxes, back, step)
    shifted = {path: _shifted(box, out[path]) for path, box in boxes.items()}
    apart = _apart(shifted, unit.joints, group, step)
    return {path: _sum(out[path], apart[path]) for path in boxes}


def _drawn_out(
    motions: Sequence[Motion], boxes: Boxes, back: Placement, step: float
) -> tuple[dict[str, str], dict[str, Vec]]:
    """What moves on its own: the name of the motion of each part (empty where none), and how far it comes out.

    A slide comes out along its direction, what swings straight forward, clear of all that stays.
    """
    group = dict.fromkeys(boxes, "")
    for motion in sorted(motions, key=lambda m: (-len(m.parts), m.name)):
        group |= {path: motion.name for path in motion.parts if path in boxes}  # what rides on another: the inner one
    out: dict[str, Vec] = dict.fromkeys(boxes, (0.0, 0.0, 0.0))
    still = [boxes[p] for p in boxes if not group[p]]
    if not still:
        return dict.fromkeys(boxes, ""), out
    before: list[Box] = []
    for motion in sorted(motions, key=lambda m: (m.kind == "swing", -len(m.parts), m.name)):
        inside = [p for p in boxes if group[p] == motion.name]
        if not inside:
            continue
        way = back.turn(motion.direction) if motion.kind == "slide" else (0.0, -1.0, 0.0)
        box = _hull([boxes[p] for p in inside])
        past = [_hull(still), *(b for b in before if motion.kind == "swing" and _facing(box, b))]
        far = _clear(box, _hull(past), way) + 2 * step
        out |= dict.fromkeys(inside, (way[0] * far, way[1] * far, way[2] * far))
        before.append(_shifted(box, out[inside[0]]))  # a leaf comes out before the trays behind it
    return group, out


def _facing(a: Box, b: Box) -> bool:
    """Whether two boxes are one before the other, as seen straight on."""
    return all(a.lo[i] < b.hi[i] - 1 and b.lo[i] < a.hi[i] - 1 for i in (0, 2))


def _clear(box: Box, still: Box, way: Vec) -> float:
    """How far a box goes along an axis until it is clear of another."""
    axis = int(np.argmax(np.abs(way)))
    return max(box.hi[axis] - still.lo[axis] if way[axis] < 0 else still.hi[axis] - box.lo[axis], 0.0)


def _apart(boxes: Boxes, joints: Sequence[Joint], group: Mapping[str, str], step: float) -> Moves:
    """How far parts move off each other: along each axis, the longest chains of joints on either side of a part decide,
    so that the middle of a unit stays."""
    paths = sorted(boxes)
    low, high = np.array([boxes[p].lo for p in paths]), np.array([boxes[p].hi for p in paths])
    at = {path: i for i, path in enumerate(paths)}
    groups = np.array([group[p] for p in paths])
    joined = {(at[j.a], at[j.b]) for j in joints if j.a in at and j.b in at and group[j.a] == group[j.b]}
    mean = np.zeros((len(paths), 3))
    for axis in range(3):
        need = _needs(low, high, axis, groups, joined, step)
        mean[:, axis] = _middle(need, low[:, axis] + high[:, axis])
    return {path: _vec(mean[i]) for path, i in at.items()}


def _needs(
    low: Array, high: Array, axis: int, groups: "np.ndarray", joined: set[tuple[int, int]], step: float
) -> Array:
    """How much farther each part (column) must move along an axis than each other (row) before it; -1 for no order."""
    size = high - low
    sunk = high[:, None] - low[None]  # how far each reaches into each, along every axis
    thin = np.minimum(size[:, None], size[None])
    ordered = sunk <= SUNK * thin
    ordered &= (low + high)[:, None] < (low + high)[None]
    need = np.where(ordered[:, :, axis], 0.0, -1.0)
    # two that move on their own are kept in order along one axis: the one they are farthest apart along
    gap = np.maximum(-sunk, -sunk.transpose(1, 0, 2))
    across = (groups[:, None] != groups[None]) & (np.argmax(gap, axis=2) != axis) & (gap.max(axis=2) > -1)
    need[across] = -1.0
    for a, b in sorted(joined):
        inside = [min(sunk[a, b, k], sunk[b, a, k]) / max(thin[a, b, k], 1e-9) for k in range(3)]
        if int(np.argmin(inside)) == axis:
            i, j = (a, b) if low[a, axis] + high[a, axis] < low[b, axis] + high[b, axis] else (b, a)
            if need[i, j] >= 0:
                need[i, j] = step
    return need


def _middle(need: Array, centres: Array) -> Array:
    """Half the longest chain before each part less half the longest behind it; every need is met by such moves."""
    order = np.argsort(centres, kind="stable")
    before, behind = np.zeros(len(centres)), np.zeros(len(centres))
    for j in order:
        some = need[:, j] >= 0
        before[j] = max((before + need[:, j])[some], default=0.0)
    for i in order[::-1]:
        some = need[i] >= 0
        behind[i] = max((behind + need[i])[some], default=0.0)
    return (before - behind) / 2


def _units_apart(units: Sequence["BuiltUnit"], moves: Mapping[str, Vec], share: float) -> dict[str, Vec]:
    """How far each exploded unit moves so that it stands off the next, none below where its lowest part was."""
    rest = {u.name: _hull([p.bounds() for p in u.parts]) for u in units}
    now = {u.name: _hull([_shifted(p.bounds(), moves[p.path]) for p in u.parts]) for u in units}
    names = sorted(rest)
    gap = share * BETWEEN * STEP * max(max(b.size) for b in rest.values()) * 4
    found = np.zeros((len(names), 3))
    for axis in range(3):
        need = np.full((len(names), len(names)), -1.0)
        for (i, a), (j, b) in itertools.permutations(enumerate(names), 2):
            sunk = [max(rest[a].lo[k], rest[b].lo[k]) - min(rest[a].hi[k], rest[b].hi[k]) for k in range(3)]
            if int(np.argmax(sunk)) == axis and rest[a].center[axis] < rest[b].center[axis]:
                need[i, j] = max(now[a].hi[axis] - now[b].lo[axis] + gap, 0.0)
        centres = np.array([rest[n].lo[axis] + rest[n].hi[axis] for n in names])
        found[:, axis] = _middle(need, centres)
    lift = min(b.lo[2] for b in rest.values()) - min(now[n].lo[2] + found[i, 2] for i, n in enumerate(names))
    return {n: _sum(_vec(found[i]), (0.0, 0.0, lift)) for i, n in enumerate(names)}


def _leaders(build: "Build", unit: "BuiltUnit", moves: Mapping[str, Vec], by: Vec) -> list[tuple[Vec, Vec]]:
    """A line from each joint's place on one part to its place on the other, where the two have moved apart; and from
    what swings to where it was, in a unit that has moved as a whole by `by`."""
    there = build.plan.by_path
    lines: list[tuple[Vec, Vec]] = []
    for joint in unit.joints:
        a, b = moves[joint.a], moves[joint.b]
        if max(abs(x - y) for x, y in zip(a, b, strict=True)) < 1.0:
            continue
        shared = there[joint.a].bounds().grown(1.0).common(there[joint.b].bounds().grown(1.0))
        if shared is not None:
            lines.append((_sum(shared.center, a), _sum(shared.center, b)))
    for motion in unit.motions:
        if motion.kind == "swing":
            largest = max((there[p] for p in motion.parts), key=lambda p: (p.bounds().volume, p.path))
            middle = largest.bounds().center
            lines.append((_sum(middle, by), _sum(middle, moves[largest.path])))
    return lines


def _hull(boxes: Iterable[Box]) -> Box:
    """The box round some boxes."""
    found = list(boxes)
    low, high = np.min([b.lo for b in found], axis=0), np.max([b.hi for b in found], axis=0)
    return Box(_vec(low), _vec(high))


def _shifted(box: Box, by: Vec) -> Box:
    return Box(_sum(box.lo, by), _sum(box.hi, by))


def _sum(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _vec(point: Array) -> Vec:
    x, y, z = point.tolist()
    return (x, y, z)
