"""Lights and what leads their cables: strips, profiles, bars, drivers, grommets, as a stock file lists them.

Low voltage only. What is on mains (a driver's supply, an outlet) is work for a licensed electrician and the local code.
"""

from typing import Annotated

from pydantic import Field, model_validator

from model.config.types import Colour, FieldError, Mass, Money, PositiveLength
from model.stock.items import MM_PER_METRE, Hardware, Item, Material, rgb

ALUMINIUM: Colour = "#c9cdd0"
LED: Colour = "#f6efd9"
BLACK: Colour = "#33363a"

Volts = Annotated[float, Field(gt=0, le=60)]
"""Extra-low voltage."""
Watts = Annotated[float, Field(gt=0, le=1000)]
Lumens = Annotated[float, Field(gt=0, le=100_000)]


class _ByLength(Item):
    """What is cut from a coil or a length."""

    mass_per_metre: Mass = 0.0
    """For each metre; 0 leaves it out of weights."""
    price_per_metre: Money | None = None
    """Unknown when left out."""

    def mass_of(self, length: float) -> float:
        """kg of `length` mm."""
        return self.mass_per_metre * length / MM_PER_METRE


class LedStrip(_ByLength):
    """A flexible LED strip, cut to length between its segments."""

    width: PositiveLength
    """Across."""
    thickness: PositiveLength
    """With its LEDs."""
    segment: PositiveLength
    """It is cut every so far."""
    lengths: tuple[PositiveLength, ...] = ()
    """The lengths of the reels sold; by the metre when left out."""
    volts: Volts
    """What it runs on, direct current."""
    watts_per_metre: Watts
    """What it takes."""
    lumens_per_metre: Lumens | None = None
    """What it gives; unknown when left out."""
    colour: Colour = LED
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), mass_per_metre=self.mass_per_metre)


class LightProfile(_ByLength):
    """An aluminium channel with a cover, which holds a strip and takes its heat."""

    width: PositiveLength
    """Outside."""
    height: PositiveLength
    """Outside, cover included."""
    wall: PositiveLength = 1.2
    """Thickness of its base, its walls and its cover."""
    lengths: Annotated[tuple[PositiveLength, ...], Field(min_length=1)]
    """The lengths sold."""
    colour: Colour = ALUMINIUM
    """For pictures and models."""

    @model_validator(mode="after")
    def _hollow(self) -> "LightProfile":
        if 2 * self.wall >= min(self.width, self.height):
            raise FieldError("the walls leave no room inside, make them thinner", "wall")
        return self

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), mass_per_metre=self.mass_per_metre)


class LightBar(Hardware):
    """A light bar, bought ready made."""

    length: PositiveLength
    """End to end."""
    width: PositiveLength
    """Front to back."""
    height: PositiveLength
    """Below what it is fixed to."""
    volts: Volts
    """What it runs on, direct current."""
    watts: Watts
    """What it takes."""
    lumens: Lumens | None = None
    """What it gives; unknown when left out."""
    colour: Colour = ALUMINIUM
    """For pictures and models."""


class Driver(Hardware):
    """A power supply for lights. Its mains side is work for a licensed electrician."""

    length: PositiveLength
    """The longest side of its case."""
    width: PositiveLength
    """Of its case."""
    height: PositiveLength
    """Of its case."""
    volts: Volts
    """What it gives, direct current."""
    watts: Watts
    """What it is rated for."""
    colour: Colour = BLACK
    """For pictures and models."""


class Grommet(Hardware):
    """A sleeve for cables in a bore through a top."""

    bore_diameter: PositiveLength
    """Of its hole."""
    flange_diameter: PositiveLength
    """Of the rim that lies on the top."""
    flange_height: PositiveLength = 2.0
    """Of that rim."""
    depth: PositiveLength
    """Of the sleeve, from the underside of the rim."""
    colour: Colour = BLACK
    """For pictures and models."""

    @model_validator(mode="after")
    def _covers_its_bore(self) -> "Grommet":
        if self.flange_diameter <= self.bore_diameter:
            raise FieldError("the rim is no wider than the bore: it would fall through", "flange_diameter")
        return self
