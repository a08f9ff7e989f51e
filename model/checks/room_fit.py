"""Whether the units fit the room at rest: the ceiling, their own wall and its ends, outlets, switches and windows.

The codes: `too-high`, `past-wall`, `outlet-covered`, `outlet-opened`, `switch-covered`, `window-covered`.
"""

from collections.abc import Iterator

import numpy as np

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.part import PlacedPart
from model.room.openings import opens, plate
from model.room.room import Outlet
from model.shapes import Box, Vec
from model.tolerances import CONTACT, rounded

HAND = 60.0
"""mm. A plug and the hand that pulls it need this much in front of an outlet."""

VIEW = 700.0
"""mm. What stands before a window nearer than this takes its light (deeper than any base: common practice)."""

Parts = list[tuple[PlacedPart, Box]]


CODES = (
    Code(
        "too-high",
        "A part reaches above the ceiling over it.",
        causes=("an upper or a tall unit under a slope",),
        moved_by=(
            "unit: height",
            "project: uppers.bottom",
            "project: uppers.height",
            "project: tops.height",
        ),
    ),
    Code(
        "outlet-covered",
        "A unit stands before an outlet, and no opening in its back leaves it within reach.",
        causes=("a shelf, a drawer or a side behind which no opening can be cut",),
        moved_by=(
            "project: walls.width",
            "project: margins",
            "unit: back",
        ),
    ),
    Code(
        "outlet-opened",
        "An outlet is reached through an opening cut in a back.",
        causes=("a unit with a back before an outlet",),
        moved_by=(
            "project: walls.width",
            "project: margins",
        ),
    ),
    Code(
        "switch-covered",
        "A unit stands before a switch, which must stay within reach.",
        causes=("a tall unit or an upper over a switch",),
        moved_by=(
            "project: walls.width",
            "project: uppers.x",
        ),
    ),
    Code(
        "window-covered",
        "A unit stands before a window and takes light and air.",
        causes=(
            "an upper or a tall unit before it",
            "a top higher than the sill",
        ),
        moved_by=(
            "project: uppers.x",
            "project: uppers.bottom",
            "project: uppers.height",
            "project: tops.height",
            "project: walls.align",
        ),
    ),
)


@check
def room_fit(build: Build) -> Iterator[Finding]:
    """Findings `too-high`, `past-wall`, `outlet-covered`, `outlet-opened`, `switch-covered` and `window-covered`."""
    yield from _too_high(build)
    for wall in build.walls:
        back = wall.frame.inverse()
        parts = [
            (p, p.moved(back).bounds())
            for p in build.plan.walk()
            if wall.name == build.stands_at[p.path.split("/", 1)[0]]
        ]
        yield from _past_wall(build, wall, parts)
        yield from _outlets(build, wall, parts)
        yield from _windows(build, wall, parts)


def _shown(build: Build, mm: float) -> str:
    return show_length(mm, build.plan.lengths)


def corners(placed: PlacedPart) -> list[Vec]:
    """The eight corners of a placed blank, in the room."""
    size = placed.part.size
    return [placed.placement.apply((x, y, z)) for x in (0, size[0]) for y in (0, size[1]) for z in (0, size[2])]


def points(placed: PlacedPart) -> list[Vec]:
    """The corners of a placed part as it is cut, in the room."""
    from model.meshes import arrays, mesh  # slow to import, and seldom needed

    turn = np.array(placed.placement.rotation)
    found = arrays(mesh(placed.part))[0] @ turn.T + np.array(placed.placement.origin)
    return [(float(x), float(y), float(z)) for x, y, z in found]


def _too_high(build: Build) -> Iterator[Finding]:
    """Every corner of a part lies under the ceiling above it; what is cut away does not count."""
    for placed in build.plan.walk():
        if not any(p[2] > build.overhead.over(p) + CONTACT for p in corners(placed)):
            continue
        worst = max(points(placed), key=lambda p: (rounded(p[2] - build.overhead.over(p)), p))
        ceiling = build.overhead.over(worst)
        if worst[2] <= ceiling + CONTACT:
            continue
        yield Finding(
            code="too-high",
            severity="fault",
            message=f"{placed.path} reaches {_shown(build, worst[2])}, the ceiling is at {_shown(build, ceiling)}",
            parts=(placed.path,),
            value=rounded(worst[2]),
            limit=rounded(ceiling),
            source="the room file",
            at=worst,
        )


def _past_wall(build: Build, wall: RoomWall, parts: Parts) -> Iterator[Finding]:
    """Parts in their own wall, or past an end of it: at an inside corner the neighbour, where none goes on the end."""
    i = build.walls.index(wall)
    before = build.walls[i - 1] if i else None
    after = build.walls[i + 1] if i + 1 < len(build.walls) else None
    for placed, box in parts:
        beyond = box.hi[1]
        # past an outside corner a part may stand out into the room
        if before is None:
            beyond = max(beyond, -box.lo[0])
        elif before.wall.turn > 0:
            beyond = max(beyond, _inside(before, placed))
        if after is None:
            beyond = max(beyond, box.hi[0] - wall.wall.width)
        elif wall.wall.turn > 0:
            beyond = max(beyond, _inside(after, placed))
        if beyond > CONTACT:
            yield Finding(
                code="past-wall",
                severity="fault",
                message=f"{placed.path} stands {_shown(build, beyond)} in or past the wall {wall.name}",
                parts=(placed.path,),
                value=rounded(beyond),
                limit=0.0,
                source="the room file",
                at=placed.bounds().center,
            )


def _inside(wall: RoomWall, placed: PlacedPart) -> float:
    """How far a part reaches into the plane of a wall, mm."""
    back = wall.frame.inverse()
    return max(back.apply(p)[1] for p in corners(placed))


def _outlets(build: Build, wall: RoomWall, parts: Parts) -> Iterator[Finding]:
    """An outlet is covered where a part lies before its plate within a hand of the wall, and has no opening there."""
    for outlet in wall.wall.outlets:
        before = plate(outlet, out=HAND, into=0.0)
        covering = [placed for placed, box in parts if before.common(box)]
        behind = plate(outlet, into=0.0)
        opened = [p for p in covering if opens(p.moved(wall.frame.inverse()), _through(behind, p, wall))]
        covering = [p for p in covering if p not in opened]
        if covering:
            yield _covered(build, wall, outlet, covering, before)
        elif opened:
            yield Finding(
                code="outlet-opened",
                severity="note",
                message=f"{outlet.name} at {_shown(build, outlet.x)} along {wall.name} is reached through an opening "
                f"in {', '.join(p.path for p in opened)}",
                parts=tuple(p.path for p in opened),
                source="the room file; have a licensed electrician judge an outlet inside a cabinet",
                at=wall.frame.apply(before.center),
            )


def _through(behind: Box, placed: PlacedPart, wall: RoomWall) -> Box:
    """The plate's box as deep as the part it is seen through."""
    return behind.replace(y=placed.moved(wall.frame.inverse()).bounds().span("y"))


def _covered(build: Build, wall: RoomWall, outlet: Outlet, covering: list[PlacedPart], before: Box) -> Finding:
    names = sorted({p.path.split("/", 1)[0] for p in covering})
    mend = "move the unit, cut an opening in its back, or have a licensed electrician move the outlet"
    if outlet.kind == "switch":
        mend = "move the unit, or have a licensed electrician move the switch"
    return Finding(
        code=f"{outlet.kind}-covered",
        severity="warning",
        message=f"{outlet.name} at {_shown(build, outlet.x)} along {wall.name} is behind {', '.join(names)}: {mend}",
        parts=tuple(p.path for p in covering),
        limit=HAND,
        source="room for a plug in front of an outlet (common practice)",
        at=wall.frame.apply(before.center),
    )


def _windows(build: Build, wall: RoomWall, parts: Parts) -> Iterator[Finding]:
    """Units before a window: by how much of its height at most they stand above its sill or hang below its head."""
    for window in wall.wall.windows:
        pane = Box((window.x, -VIEW, window.z), (window.x + window.width, 0.0, window.z + window.height))
        units: dict[str, list[tuple[PlacedPart, Box]]] = {}
        for placed, box in parts:
            shared = pane.common(box)
            if shared and min(shared.size[0], shared.size[2]) > CONTACT:
                units.setdefault(placed.path.split("/", 1)[0], []).append((placed, shared))
        for name, found in units.items():
            low, high = min(b.lo[2] for _, b in found), max(b.hi[2] for _, b in found)
            left, right = min(b.lo[0] for _, b in found), max(b.hi[0] for _, b in found)
            yield Finding(
                code="window-covered",
                severity="warning",
                message=f"{name} stands before {window.name} on {wall.name}: {_shown(build, right - left)} of its "
                f"{_shown(build, window.width)} of width and {_shown(build, high - low)} of its "
                f"{_shown(build, window.height)} of height",
                parts=tuple(p.path for p, _ in found),
                value=rounded(high - low),
                limit=0.0,
                source="a window is kept clear for light, air and escape (common practice; local code decides)",
                at=wall.frame.apply(Box((left, -1.0, low), (right, 0.0, high)).center),
                details=(("width_mm", rounded(right - left)),),
            )
