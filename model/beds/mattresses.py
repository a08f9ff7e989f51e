"""Mattresses by the names they are sold under.

US sizes as trade pages give them after the Better Sleep Council; they disagree by up to 1 in, so where two sizes are
sold under one name the larger is here and both fit. EU and UK sizes are metric by name. A mattress may be 1/2 to 1 in
(12 to 25 mm) off either way: measure yours.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from model.config.types import PositiveLength, Strict

INCH = 25.4
"""mm, exactly."""
DENSITY = 60.0
"""kg/m3, foam and springs alike, for the weight of a mattress that gives none (30 to 90 is usual: common practice)."""

MattressName = Literal[
    "twin", "twin xl", "full", "queen", "king", "california king",
    "90x190", "90x200", "120x200", "135x190", "140x200", "150x200", "160x200", "180x200",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mattress:
    """A mattress lying flat, mm: `length` head to foot, `width` side to side, and its weight in kg."""

    length: float
    width: float
    thickness: float
    mass: float


class MattressSize(Strict):
    """A mattress of another size, as measured."""

    length: PositiveLength
    """Head to foot."""
    width: PositiveLength
    """Side to side."""
    thickness: PositiveLength | None = None
    """Left out, what `mattress_thickness` says."""


SIZES: MappingProxyType[str, tuple[float, float]] = MappingProxyType(
    {
        "twin": (39 * INCH, 75 * INCH),  # also sold 38 in wide
        "twin xl": (39 * INCH, 80 * INCH),  # also sold 38 in wide
        "full": (54 * INCH, 75 * INCH),  # also sold 53 in wide
        "queen": (60 * INCH, 80 * INCH),
        "king": (76 * INCH, 80 * INCH),
        "california king": (72 * INCH, 84 * INCH),
        "90x190": (900.0, 1900.0),  # UK single
        "90x200": (900.0, 2000.0),
        "120x200": (1200.0, 2000.0),
        "135x190": (1350.0, 1900.0),  # UK double
        "140x200": (1400.0, 2000.0),
        "150x200": (1500.0, 2000.0),  # UK king
        "160x200": (1600.0, 2000.0),
        "180x200": (1800.0, 2000.0),
    }
)
"""Width and length, mm."""


def mattress_of(said: str | MattressSize, thickness: float, mass: float | None) -> Mattress:
    """The mattress a name or a size stands for; `thickness` (mm) where it gives none, `mass` (kg) estimated if None."""
    if isinstance(said, MattressSize):
        length, width, thickness = said.length, said.width, said.thickness or thickness
    else:
        width, length = SIZES[said]
    weight = mass if mass is not None else DENSITY * length * width * thickness / 1e9
    return Mattress(length, width, thickness, round(weight, 1))
