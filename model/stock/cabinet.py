"""What joins, edges and carries cabinets: dowels, edge bands and feet, as a stock file lists them."""

from pydantic import model_validator

from model.config.types import Colour, Density, FieldError, Mass, Money, PositiveLength
from model.stock.items import Hardware, Item, Material, rgb

BEECH: Colour = "#d8b48a"
BLACK: Colour = "#33363a"


class Dowel(Hardware):
    """A wooden dowel. Its bores are as wide as it is: the flutes leave room for glue."""

    diameter: PositiveLength
    """Of the dowel and of its bores (8 mm in 16 to 19 mm panels: common practice)."""
    length: PositiveLength
    """End to end."""
    colour: Colour = BEECH
    """For pictures and models."""


class EdgeBand(Item):
    """A strip that covers the edge of a panel, sold by length."""

    thickness: PositiveLength
    """What it adds to a panel; the blank is cut smaller by as much."""
    width: PositiveLength
    """As sold; trimmed to the panel when it is on."""
    lengths: tuple[PositiveLength, ...] = ()
    """The lengths of the rolls or strips sold; by the metre when left out."""
    price_per_metre: Money | None = None
    """Unknown when left out."""
    density: Density
    """kg/m3."""
    colour: Colour = "#d9b98a"
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), density=self.density)


class Foot(Hardware):
    """A levelling foot or a glide: a round post under a carcass or a plinth."""

    diameter: PositiveLength
    """Of the post and its plate."""
    least: PositiveLength
    """Turned all the way in: floor to what stands on it."""
    most: PositiveLength
    """Turned as far out as it may be."""
    load: Mass = 0.0
    """What one carries; 0 where it is not known."""
    colour: Colour = BLACK
    """For pictures and models."""

    @model_validator(mode="after")
    def _turns(self) -> "Foot":
        if self.least > self.most:
            raise FieldError("the foot is higher turned in than turned out", "least")
        return self
