"""A drawing as a list of simple things on paper, mm from its lower left corner: what every writer of files is given.

Each sheet has one scale: a length on paper times `Sheet.scale` is the length of the real thing.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from model.lengths import LengthUnit
from model.shapes import Point2

Layer = Literal[
    "VISIBLE", "CUT", "HIDDEN", "HATCH", "CENTRE", "DIMENSIONS", "TEXT", "MARKS", "TABLES", "FRAME", "GRID", "ROOM",
    "NOTES",
]  # fmt: skip
Anchor = Literal["left", "centre", "right"]
Rect = tuple[float, float, float, float]
"""Least x, least y, most x, most y."""

ADVANCE = 0.602 / 0.729
"""Width of a letter, in heights of a capital: DejaVu Sans Mono, 1233 and 1493 of 2048 units (its own tables)."""
DESCENT = 0.33
"""How far letters reach below the line, in heights of a capital."""


@dataclass(frozen=True, slots=True)
class Path:
    """Straight lines from point to point."""

    layer: Layer
    points: tuple[Point2, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Round:
    """A circle, or the arc of it from `start` anticlockwise to `end`, degrees."""

    layer: Layer
    middle: Point2
    radius: float
    start: float = 0.0
    end: float = 360.0

    @property
    def whole(self) -> bool:
        return self.end - self.start >= 360 - 1e-6


@dataclass(frozen=True, slots=True)
class Solid:
    """A filled polygon."""

    layer: Layer
    points: tuple[Point2, ...]


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: `at` is on its middle line, at its left end, middle or right end; `height` is of a capital."""

    layer: Layer
    at: Point2
    text: str
    height: float = 2.5
    anchor: Anchor = "left"
    upright: bool = False
    """Turned to be read from the right."""

    @property
    def width(self) -> float:
        return len(self.text) * ADVANCE * self.height

    def rect(self) -> Rect:
        """The box round its letters."""
        back = {"left": 0.0, "centre": 0.5, "right": 1.0}[self.anchor] * self.width
        low, high = -self.height * (0.5 + DESCENT), self.height * 0.55
        x, y = self.at
        if self.upright:
            return (x - high, y - back, x - low, y - back + self.width)
        return (x - back, y + low, x - back + self.width, y + high)


@dataclass(frozen=True, slots=True)
class Hatch:
    """Lines at `angle` degrees, `gap` mm apart, in closed loops (even-odd)."""

    layer: Layer
    loops: tuple[tuple[Point2, ...], ...]
    angle: float
    gap: float


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length measured along x, or along y where `upright`, from `a` to `b`, its line through `base`.

    `text` is what it says, `middle` where; `items` is all that is drawn of it, the text last. Dimensions with one
    `chain` name lie on one line.
    """

    a: Point2
    b: Point2
    base: Point2
    upright: bool
    text: str
    middle: Point2
    items: "tuple[Path | Round | Solid | Text, ...]"
    chain: str = ""


Item = Path | Round | Solid | Text | Hatch | Dimension


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing ready to be written."""

    name: str
    title: str
    paper: tuple[float, float]
    """Width and height, mm."""
    scale: float
    lengths: LengthUnit
    items: tuple[Item, ...]


def simple(items: Iterable[Item]) -> Iterator[Path | Round | Solid | Text | Hatch]:
    """The items with dimensions taken apart."""
    for item in items:
        if isinstance(item, Dimension):
            yield from item.items
        else:
            yield item


def shifted(item: Item, dx: float, dy: float) -> Item:
    """The same elsewhere on the paper."""

    def at(p: Point2) -> Point2:
        return p[0] + dx, p[1] + dy

    match item:
        case Path(layer, points, closed):
            return Path(layer, tuple([at(p) for p in points]), closed)
        case Solid(layer, points):
            return Solid(layer, tuple([at(p) for p in points]))
        case Round(layer, middle, radius, start, end):
            return Round(layer, at(middle), radius, start, end)
        case Text():
            return Text(item.layer, at(item.at), item.text, item.height, item.anchor, item.upright)
        case Hatch(layer, loops, angle, gap):
            return Hatch(layer, tuple([tuple([at(p) for p in loop]) for loop in loops]), angle, gap)
        case Dimension():
            inner = tuple([shifted(i, dx, dy) for i in item.items])
            return replace(
                item,
                a=at(item.a),
                b=at(item.b),
                base=at(item.base),
                middle=at(item.middle),
                items=inner,  # type: ignore[arg-type]
            )


def rect_of(items: Iterable[Item]) -> Rect:
    """The box round everything drawn."""
    x0, y0, x1, y1 = math.inf, math.inf, -math.inf, -math.inf
    for item in simple(items):
        corners = item.points if isinstance(item, Path) else _corners(item)
        for x, y in corners:
            if x < x0:
                x0 = x
            if x > x1:
                x1 = x
            if y < y0:
                y0 = y
            if y > y1:
                y1 = y
    return (x0, y0, x1, y1)


def _corners(item: Path | Round | Solid | Text | Hatch) -> Iterable[Point2]:
    match item:
        case Path() | Solid():
            return item.points
        case Round(_, (x, y), r):
            return ((x - r, y - r), (x + r, y + r))
        case Text():
            x0, y0, x1, y1 = item.rect()
            return ((x0, y0), (x1, y1))
        case Hatch():
            return [p for loop in item.loops for p in loop]


def overlap(a: Rect, b: Rect, slack: float = 0.0) -> bool:
    """Whether two boxes share more than `slack` mm both ways."""
    return (
        min(a[2], b[2]) - max(a[0], b[0]) > slack and min(a[3], b[3]) - max(a[1], b[1]) > slack
    )  # written out: asked for every two texts of a sheet
