"""The ceiling over a room: level, and coming down toward walls where it slopes."""

from collections.abc import Iterable
from dataclasses import dataclass

from model.placement import Placement
from model.room.room import CeilingSlope, Room, Wall
from model.shapes import Vec


@dataclass(frozen=True)
class Slope:
    """A sloping ceiling plane: its height is `low` where a point's distance along `away` from `foot` is 0, and rises by
    `rise` mm for each mm of that distance."""

    foot: Vec
    away: Vec
    low: float
    rise: float

    def height(self, point: Vec) -> float:
        distance = sum((p - f) * a for p, f, a in zip(point, self.foot, self.away, strict=True))
        return self.low + self.rise * distance


@dataclass(frozen=True)
class Ceiling:
    """The lowest of a level ceiling and its slopes, everywhere (mm above the floor)."""

    level: float
    slopes: tuple[Slope, ...] = ()

    def over(self, point: Vec) -> float:
        """The height of the ceiling over a point of the room."""
        return min([self.level, *(s.height(point) for s in self.slopes)])

    def lowest(self, points: Iterable[Vec]) -> float:
        """The lowest ceiling over any of these points; for a straight-sided area its corners tell (the ceiling is the
        lowest of planes, so it is lowest over a corner)."""
        return min(self.over(p) for p in points)


def ceiling_of(room: Room, frames: dict[str, Placement]) -> Ceiling:
    """The ceiling of a room whose walls lie in these frames."""
    slopes = tuple(_slope(s, room.walls[s.wall], frames[s.wall], room.height) for s in room.slopes)
    return Ceiling(room.height, slopes)


def _slope(said: CeilingSlope, wall: Wall, frame: Placement, level: float) -> Slope:
    foot = frame.apply((wall.width if said.toward == "right" else 0.0, 0.0, 0.0))
    away = {"wall": (0.0, -1.0, 0.0), "left": (1.0, 0.0, 0.0), "right": (-1.0, 0.0, 0.0)}[said.toward]
    return Slope(foot, frame.turn(away), said.falls_to, (level - said.falls_to) / said.over)
