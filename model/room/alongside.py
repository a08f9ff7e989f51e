"""What stands along a wall, as boxes in the frame of that wall: x along it, the wall's face at y = 0, z up (mm)."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from model.shapes import Box

if TYPE_CHECKING:
    from model.build import Build, RoomWall
    from model.part import PlacedPart

Boxed = tuple["PlacedPart", Box]


def boxes_along(wall: "RoomWall", parts: Iterable["PlacedPart"]) -> list[Boxed]:
    """Placed parts with their bounds as seen from a wall."""
    back = wall.frame.inverse()
    return [(p, back.compose(p.placement).box(Box((0.0, 0.0, 0.0), p.part.size))) for p in parts]


def around(boxes: Iterable[Box]) -> Box:
    """The least box that holds others. Raises ValueError for none."""
    some = list(boxes)
    lo = [min(b.lo[i] for b in some) for i in range(3)]
    hi = [max(b.hi[i] for b in some) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def wall_of(build: "Build", unit: str) -> "RoomWall":
    """The wall a unit stands at."""
    return next(w for w in build.walls if w.name == build.stands_at[unit])


def meet(a: tuple[float, float], b: tuple[float, float], by: float = 0.5) -> bool:
    """Whether two spans share more than `by` mm."""
    return min(a[1], b[1]) - max(a[0], b[0]) > by
