"""What is driven or turned in by the hundred: wood screws, nails and bolts, as a stock file lists them."""

from typing import Literal

from pydantic import Field, model_validator

from model.config.types import Colour, FieldError, Mass, Money, PositiveLength
from model.stock.items import STEEL, Item, Material, Pack, rgb

HEAD = 2.0
"""A flat head is this many times as wide as its screw, where the stock does not say (ASME B18.6.1: number 8 has a head
of at most 0.332 in on 0.164 in; from memory)."""


class Fastener(Item):
    """What every screw, nail and bolt in stock has."""

    diameter: PositiveLength
    """Nominal, over the thread."""
    length: PositiveLength
    """From the face of the wood to the tip."""
    mass: Mass = 0.0
    """Of one; 0 leaves it out of weights."""
    price_per_hundred: Money | None = None
    """Unknown when left out."""
    packs: tuple[Pack, ...] = ()
    """The packs sold; hundreds at `price_per_hundred` when left out."""
    colour: Colour = STEEL
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), mass=self.mass)


class Screw(Fastener):
    """A wood screw."""

    clearance_diameter: PositiveLength
    """Of the hole it passes freely."""
    pilot_diameter: PositiveLength
    """Of the hole its thread bites in."""
    use: Literal["wood", "fitting", "pocket", "wall"] = "wood"
    """`wood`: panel to panel, its flat head sunk flush. `fitting`: its round head holds slides, hinges and plates.
    `pocket`: for pocket bores. `wall`: into studs or plugs."""
    head_diameter: PositiveLength | None = None
    """Of its head, and of the countersink of a flat one; twice the screw's when left out."""
    head_angle: float = Field(default=90.0, ge=60, le=120)
    """Of a flat head, in degrees (90 for metric screws, 82 for inch: ISO 7050 and ASME B18.6.1, from memory)."""

    @model_validator(mode="after")
    def _bites(self) -> "Screw":
        if self.pilot_diameter >= self.diameter:
            raise FieldError("the pilot hole is as wide as the screw: the thread would not bite", "pilot_diameter")
        if self.clearance_diameter < self.diameter:
            raise FieldError("the clearance hole is thinner than the screw", "clearance_diameter")
        if self.head_diameter is not None and self.head_diameter <= self.clearance_diameter:
            raise FieldError("the head would go through its clearance hole", "head_diameter")
        return self

    @property
    def head(self) -> float:
        """The diameter of its head, mm."""
        return self.head_diameter if self.head_diameter is not None else HEAD * self.diameter

    @property
    def sink(self) -> tuple[float, float]:
        """Diameter (mm) and angle (degrees) of the countersink its flat head wants."""
        return self.head, self.head_angle


class Nail(Fastener):
    """A nail or brad for thin backs and bottoms. It is driven without a bore."""


class Bolt(Fastener):
    """A machine screw that goes right through, such as those of a pull."""

    clearance_diameter: PositiveLength
    """Of the hole it passes freely."""
