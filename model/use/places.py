"""What lies over a unit and before it, in the frame of its wall: tops, their fronts, what is in the way of a reach."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from model.room.alongside import around, boxes_along, meet, wall_of
from model.shapes import Box
from model.tolerances import CONTACT

if TYPE_CHECKING:
    from model.build import Build, RoomWall
    from model.plan import BuiltUnit

TOP = ("top", "edge")
"""Roles of what people meet of a top: its pieces and the strip along its edge."""


def unit_box(build: "Build", unit: "BuiltUnit") -> Box:
    """The box round the wooden parts of a unit; round all of it where it has none."""
    parts = [p for p in unit.parts if p.part.kind != "hardware"] or list(unit.parts)
    return around(b for _, b in boxes_along(wall_of(build, unit.name), parts))


def all_boxes(build: "Build", wall: "RoomWall") -> list[Box]:
    """Every part that stands at a wall."""
    parts = (p for p in build.plan.walk() if build.stands_at[p.path.split("/", 1)[0]] == wall.name)
    return [b for _, b in boxes_along(wall, parts)]


def tops_over(build: "Build", unit: "BuiltUnit") -> list[Box]:
    """The pieces of tops that lie over a unit, edges included."""
    wall, own = wall_of(build, unit.name), unit_box(build, unit)
    parts = [
        p
        for other in build.plan.units
        if other.kind == "top" and build.stands_at[other.name] == wall.name
        for p in other.parts
        if p.role in TOP
    ]
    return [
        b
        for _, b in boxes_along(wall, parts)
        if meet(b.span("x"), own.span("x")) and meet(b.span("y"), own.span("y")) and b.hi[2] > own.hi[2] - CONTACT
    ]


def front_over(build: "Build", unit: "BuiltUnit") -> float:
    """The y of the front of the top over a unit; its own front where there is none."""
    return min((b.lo[1] for b in tops_over(build, unit)), default=unit_box(build, unit).lo[1])


def before(boxes: Iterable[Box], box: Box) -> float:
    """How far what stands lower reaches out before a box, mm: what one reaches over. 0 where nothing does."""
    low = [
        b for b in boxes if meet(b.span("x"), box.span("x")) and b.hi[2] <= box.lo[2] + CONTACT and b.lo[1] < box.lo[1]
    ]
    return max((box.lo[1] - b.lo[1] for b in low), default=0.0)
