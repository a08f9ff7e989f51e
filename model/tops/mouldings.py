"""Mouldings: strips of solid wood with a shaped section, sold by length."""

import math
from typing import Annotated, Literal

from pydantic import Field, model_validator

from model.config.types import (
    Colour,
    Density,
    FieldError,
    Length,
    Money,
    PositiveLength,
)
from model.cuts import Cut
from model.part import Part
from model.shapes import Point2, Prism
from model.stock.items import Item, Material, rgb
from model.tolerances import rounded

CHORD = 0.05
"""mm. How far a straight side of a section may leave the curve it stands for: half of what a shop can see."""

Profile = Literal["half round", "quarter round", "cove", "chamfer", "square"]


class Moulding(Item):
    """A moulding, its section as it stands on its back: out to the right, up the back."""

    height: PositiveLength
    """Of its back."""
    projection: PositiveLength
    """Out from its back."""
    profile: Profile = "square"
    """`half round` (half an ellipse on the back), `quarter round` (rounded below), `cove` (hollow below), `chamfer`
    (sawn off below) or `square`."""
    section: tuple[tuple[Length, Length], ...] = Field(default=(), max_length=200)
    """Corners of a section of another shape, each how far out from the back and how far up; replaces `profile`."""
    lengths: Annotated[tuple[PositiveLength, ...], Field(min_length=1)]
    """The lengths sold."""
    price_per_metre: Money | None = None
    """Unknown when left out."""
    density: Density
    """kg/m3."""
    colour: Colour = "#e3c592"
    """For pictures and models."""

    @model_validator(mode="after")
    def _fits_its_size(self) -> "Moulding":
        if not self.section:
            return self
        if len(self.section) < 3:
            raise FieldError("a section has three corners or more", "section")
        reach = (rounded(max(u for u, _ in self.section)), rounded(max(v for _, v in self.section)))
        if min(min(corner) for corner in self.section) != 0 or reach != (self.projection, self.height):
            raise FieldError("a section reaches from 0 to its projection and from 0 to its height", "section")
        if abs(_area(self.section)) < 1:
            raise FieldError("a section with no area: write its corners in order, round it", "section")
        return self

    def outline(self) -> tuple[Point2, ...]:
        """The section as a polygon (out, up), mm: curves as chords that leave them by at most CHORD."""
        p, h = self.projection, self.height
        if self.section:
            return tuple((rounded(u), rounded(v)) for u, v in self.section)
        match self.profile:
            case "half round":
                return _arc((0.0, h / 2), p, h / 2, -math.pi / 2, math.pi / 2)
            case "quarter round":
                return ((0.0, h), *_arc((0.0, h), p, h, -math.pi / 2, 0.0))
            case "cove":
                return ((0.0, h), *_arc((p, 0.0), p, h, math.pi, math.pi / 2))
            case "chamfer":
                return ((0.0, 0.0), (p, h), (0.0, h))
            case "square":
                return ((0.0, 0.0), (p, 0.0), (p, h), (0.0, h))

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), density=self.density)


def _arc(centre: Point2, a: float, b: float, start: float, end: float) -> tuple[Point2, ...]:
    """Points of an ellipse with half axes a and b, from one angle to another, close enough for CHORD.

    A chord over the angle d leaves an ellipse by at most max(a, b) (1 - cos(d / 2)), as its circle does.
    """
    step = 2 * math.acos(max(-1.0, 1 - CHORD / max(a, b)))
    n = max(4, math.ceil(abs(end - start) / step))
    angles = [start + (end - start) * i / n for i in range(n + 1)]
    return tuple((rounded(centre[0] + a * math.cos(t)), rounded(centre[1] + b * math.sin(t))) for t in angles)


def _area(points: tuple[Point2, ...]) -> float:
    around = zip(points, (*points[1:], points[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in around) / 2


def moulding_part(moulding: Moulding, length: float, cuts: tuple[Cut, ...] = ()) -> Part:
    """A piece of moulding: length along x, up its back along y, out from its back along z."""
    outline = tuple((v, u) for u, v in moulding.outline())
    return Part(
        kind="board",
        material=moulding.name,
        length=length,
        width=moulding.height,
        thickness=moulding.projection,
        cuts=cuts,
        body=(Prism("x", outline, 0.0, length),),
    )
