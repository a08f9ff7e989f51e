"""Fittings of a fold-down bed in stock, and as parts: simple envelopes of their true outer sizes.

Gas springs are under high pressure: never open, drill, heat or cut one, and let two people fit them with the bed held.
"""

from typing import Literal

from pydantic import Field, model_validator

from model.config.types import FieldError, Mass, PositiveLength
from model.part import Part, hardware
from model.shapes import Box, Cylinder, Vec
from model.stock.items import Hardware, Material, rgb

MATTRESS = Material("mattress", rgb("#e9e4da"), mass=0.0)
"""What a mattress is made of: it is bought to its size, not from the stock file; each part carries its own mass."""
END = 6.0
"""mm. A spring neither runs out to its stop when the bed is up nor on to it when down: half of this is kept each way,
and more is left for tolerances of the maker's own."""
ALONG_Y: Vec = (0.0, 1.0, 0.0)
ALONG_X: Vec = (1.0, 0.0, 0.0)


class GasSpring(Hardware):
    """A gas spring that pushes. Under high pressure: never open, drill or heat one."""

    closed: PositiveLength
    """Between the middles of its end fittings, rod in."""
    stroke: PositiveLength
    """How far the rod comes out."""
    diameter: PositiveLength
    """Of the body."""
    rod_diameter: PositiveLength = 10.0
    """Of the rod."""
    force: float = Field(gt=0, le=10_000)
    """N, rod out, at 20 C."""
    progression: float = Field(default=1.3, ge=1, le=2)
    """Force with the rod in over force with the rod out (1.2 to 1.4: common practice)."""
    end: Literal["ball", "eye"] = "ball"
    """What it is held by at each end: a ball stud or an eye on a pin."""
    end_diameter: PositiveLength = 13.0
    """Of the stud or pin."""

    @model_validator(mode="after")
    def _closes(self) -> "GasSpring":
        if self.stroke + 2 * self.end_diameter >= self.closed:
            raise FieldError(
                "the rod does not go into the body: the stroke is too long for the closed length", "stroke"
            )
        if self.rod_diameter >= self.diameter:
            raise FieldError("the rod is as thick as the body", "rod_diameter")
        return self


class BedPivot(Hardware):
    """A pair of round plates that turn on each other, one on the cabinet and one on the bed; one on each side."""

    thickness: PositiveLength
    """Side space it takes, both plates together."""
    diameter: PositiveLength
    """Of the plates."""
    load: Mass
    """What a pair of pivots carries."""


class BedLeg(Hardware):
    """A folding leg of square tube between two cheeks of a bracket."""

    section: PositiveLength
    """Of the tube, each way."""
    least: PositiveLength
    """Lowest standing height it is set to."""
    most: PositiveLength
    """Highest."""
    cheek: PositiveLength = 3.0
    """Thickness of a cheek."""
    load: Mass
    """What one leg carries."""


def spring_part(spring: GasSpring, length: float, space: float) -> Part:
    """A gas spring `length` mm between its ends, along x, in a gap `space` mm wide (y).

    Its rod end is at x = end_diameter / 2, held by a stud that reaches y = `space`; the body's end by one from y = 0.
    """
    r, high = spring.end_diameter / 2, max(spring.diameter, spring.end_diameter)
    axis = (space / 2, high / 2)
    barrel = spring.closed - spring.end_diameter
    start = r + length - barrel
    return hardware(
        spring.name,
        (length + 2 * r, space, high),
        spring.mass,
        Cylinder((start, *axis), ALONG_X, spring.diameter / 2, barrel),
        Cylinder((r, *axis), ALONG_X, spring.rod_diameter / 2, start - r),
        Cylinder((r, axis[0], axis[1]), ALONG_Y, r, space / 2),
        Cylinder((r + length, 0.0, axis[1]), ALONG_Y, r, space / 2),
    )


def pivot_plate(pivot: BedPivot) -> Part:
    """One of the two plates of a pivot, standing on z = 0."""
    r, half = pivot.diameter / 2, pivot.thickness / 2
    disc = Cylinder((r, r, 0.0), (0.0, 0.0, 1.0), r, half)
    return hardware(pivot.name, (pivot.diameter, pivot.diameter, half), pivot.mass / 2, disc)


def leg_parts(leg: BedLeg, standing: float) -> tuple[Part, Part]:
    """A leg and its bracket. The tube lies along x from z = 0, turned about the middle of its end at x = its length.

    `standing` is how far its foot is from the face the bracket is screwed to when it stands, mm. The bracket is two
    cheeks, the tube's width apart in y.
    """
    s, c = leg.section, leg.cheek
    tube = hardware(leg.name, (standing - s / 2, s, s), leg.mass * 0.7)
    size = (2 * s, s + 2 * c, s)
    cheeks = (Box((0.0, 0.0, 0.0), (2 * s, c, s)), Box((0.0, s + c, 0.0), (2 * s, s + 2 * c, s)))
    return tube, hardware(leg.name, size, leg.mass * 0.3, *cheeks)
