"""Whether the units fit the room: the ceiling, the ends of the walls, outlets that would be covered."""

from collections.abc import Iterator

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Finding
from model.lengths import show_length
from model.part import PlacedPart
from model.shapes import Box
from model.tolerances import CONTACT, rounded


@check
def room_fit(build: Build) -> Iterator[Finding]:
    """Findings `too-high`, `past-wall` and `outlet-covered`."""
    for wall in build.walls:
        back = wall.frame.inverse()
        parts = [
            (p, p.moved(back).bounds())
            for p in build.plan.walk()
            if wall.name == build.stands_at[p.path.split("/", 1)[0]]
        ]
        yield from _too_high(build, parts)
        yield from _past_wall(build, wall, parts)
        yield from _outlets(build, wall, parts)


def _shown(build: Build, mm: float) -> str:
    return show_length(mm, build.plan.lengths)


def _too_high(build: Build, parts: list[tuple[PlacedPart, Box]]) -> Iterator[Finding]:
    for placed, box in parts:
        if box.hi[2] > build.ceiling + CONTACT:
            yield Finding(
                code="too-high",
                severity="fault",
                message=f"{placed.path} reaches {_shown(build, box.hi[2])}, "
                f"the ceiling is at {_shown(build, build.ceiling)}",
                parts=(placed.path,),
                value=rounded(box.hi[2]),
                limit=build.ceiling,
                source="the room file",
                at=placed.bounds().center,
            )


def _past_wall(build: Build, wall: RoomWall, parts: list[tuple[PlacedPart, Box]]) -> Iterator[Finding]:
    for placed, box in parts:
        beyond = max(-box.lo[0], box.hi[0] - wall.wall.width, box.hi[1])
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


def _outlets(build: Build, wall: RoomWall, parts: list[tuple[PlacedPart, Box]]) -> Iterator[Finding]:
    """An outlet is covered where a part lies before its plate within a hand of the wall."""
    for outlet in wall.wall.outlets:
        half_x, half_z = outlet.width / 2, outlet.height / 2
        plate = Box((outlet.x - half_x, -HAND, outlet.z - half_z), (outlet.x + half_x, 0.0, outlet.z + half_z))
        covering = [placed for placed, box in parts if plate.common(box)]
        if covering:
            names = sorted({p.path.split("/", 1)[0] for p in covering})
            yield Finding(
                code="outlet-covered",
                severity="warning",
                message=f"{outlet.name} at {_shown(build, outlet.x)} along {wall.name} is behind {', '.join(names)}: "
                "move the unit, cut an opening in its back, or have a licensed electrician move the outlet",
                parts=tuple(p.path for p in covering),
                limit=HAND,
                source="room for a plug in front of an outlet (common practice)",
                at=wall.frame.apply(plate.center),
            )


HAND = 60.0
"""mm. A plug and the hand that pulls it need this much in front of an outlet."""
