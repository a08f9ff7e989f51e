"""The floor a wall bed takes when it is down, and what is left of it before its foot and beside it.

The code `bed-floor`: a note with the measures; a warning where nobody could pass the foot or get in at a side.
"""

import math
from collections.abc import Iterator

from model.build import Build, RoomWall
from model.checks import check
from model.checks.floor_space import HEAD, clipped, extent, footprint, free_ahead
from model.collision.together import Mover
from model.findings import Code, Finding
from model.lengths import show_length
from model.part import Motion
from model.plan import BuiltUnit
from model.tolerances import rounded

PASS = 600.0
"""mm. Room to pass the foot of a bed, or to get in and out at one of its sides (common practice)."""

CODES = (
    Code(
        "bed-floor",
        "The floor a wall bed takes when it is down, and what is left before its foot and at its sides.",
        causes=("a bed nearly as long as the room is deep", "a bed between deep units, with no room to get in"),
        moved_by=("unit: mattress", "unit: orientation", "unit: lie_height", "project: walls"),
    ),
)


@check
def bed_floor(build: Build) -> Iterator[Finding]:
    """Finding `bed-floor`."""
    walls = {wall.name: wall for wall in build.walls}
    for unit in build.plan.units:
        for motion in unit.motions:
            if motion.kind == "swing" and abs(motion.direction[2]) < 0.5 and _down(unit, motion):
                yield _floor(build, walls[build.stands_at[unit.name]], unit, motion)


def _down(unit: BuiltUnit, motion: Motion) -> bool:
    """Whether it is a bed that comes down: a mattress rides on it."""
    roles = {p.path: p.role for p in unit.parts}
    return any(roles.get(path) == "mattress" for path in motion.parts)


def _floor(build: Build, wall: RoomWall, unit: BuiltUnit, motion: Motion) -> Finding:
    by_path = {p.path: p for p in unit.parts}
    down = Mover(motion, tuple(by_path[p] for p in motion.parts)).opened()
    outlines = [footprint(p, wall.frame) for p in down]
    (left, front), (right, _) = extent(outlines)
    face = min(y for p in unit.parts if p.path not in motion.parts for _, y in footprint(p, wall.frame))
    ahead, met = free_ahead(build, wall, unit, outlines)
    half = (front, (front + face) / 2)  # people get in beside the half before the cabinets at its sides
    beside = [_beside(build, wall, unit, half, side, x) for side, x in ((-1, left), (1, right))]
    shown = [_shown(build, c) for c in (ahead, *beside)]
    tight = ahead < PASS or max(beside) < PASS
    return Finding(
        code="bed-floor",
        severity="warning" if tight else "note",
        message=f"{unit.name}, down, takes {show_length(rounded(right - left), build.plan.lengths)} x "
        f"{show_length(rounded(face - front), build.plan.lengths)} of floor; {shown[0]} is left before its foot"
        f"{f' to {met}' if met else ''}, {shown[1]} at its left and {shown[2]} at its right",
        parts=(),
        value=rounded(min(ahead, max(beside))) if math.isfinite(min(ahead, max(beside))) else None,
        limit=PASS,
        source="room to pass the foot of a bed and to get in at a side (common practice)",
        at=wall.frame.apply(((left + right) / 2, (front + face) / 2, 0.0)),
        details=(("area_m2", round((right - left) * (face - front) / 1e6, 3)),),
        motion=motion.name,
    )


def _shown(build: Build, free: float) -> str:
    return "no end of room" if math.isinf(free) else show_length(rounded(free), build.plan.lengths)


def _beside(build: Build, wall: RoomWall, unit: BuiltUnit, y: tuple[float, float], side: int, x: float) -> float:
    """The free floor (mm) at a side of the bed, over a stretch of its length: to a unit or a wall."""
    own = {p.path for p in unit.parts}
    free = math.inf
    others = [footprint(p, wall.frame) for p in build.plan.walk() if p.path not in own and p.bounds().lo[2] < HEAD]
    for across in build.walls:
        ends = [wall.frame.inverse().apply(across.frame.apply((u, 0.0, 0.0))) for u in (0.0, across.wall.width)]
        others.append([(p[0], p[1]) for p in ends])
    for outline in others:
        strip = clipped(clipped(outline, (0.0, y[0] + 1.0), (0.0, 1.0)), (0.0, y[1] - 1.0), (0.0, -1.0))
        free = min([free, *(side * (px - x) for px, _ in strip if side * (px - x) > 0)])
    return free
