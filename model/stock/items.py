"""What every item in stock is, whatever table it is in: a name, a note, a colour and a weight."""

from abc import abstractmethod
from dataclasses import dataclass

from pydantic import Field, PrivateAttr

from model.config.types import Colour, Mass, Money, Note, Strict

STEEL: Colour = "#a8abad"
"""Zinc-plated steel, for hardware that names no colour."""
MM_PER_METRE = 1000.0
MM3_PER_M3 = 1e9


@dataclass(frozen=True, slots=True)
class Material:
    """What a part is made of, whatever table it came from.

    `density` in kg/m3 for sheets and boards. Bought pieces have a `mass` in kg each instead, slides a
    `mass_per_metre` of one member. `colour` is sRGB, each 0 to 1.
    """

    name: str
    colour: tuple[float, float, float]
    density: float | None = None
    mass: float | None = None
    mass_per_metre: float | None = None

    def mass_of(self, length: float, volume: float) -> float:
        """The mass in kg of a part of this material: `length` in mm, `volume` in mm^3."""
        if self.density is not None:
            return self.density * volume / MM3_PER_M3
        if self.mass_per_metre is not None:
            return self.mass_per_metre * length / MM_PER_METRE
        return self.mass or 0.0


class Pack(Strict):
    """So many pieces sold together."""

    count: int = Field(ge=1, le=100_000)
    """How many pieces."""
    price: Money | None = None
    """Of the pack; unknown when left out."""


class Item(Strict):
    """What every item in stock has: a name (its key in the file) and a note."""

    note: Note = ""
    """A word on the item."""
    _name: str = PrivateAttr(default="")

    @property
    def name(self) -> str:
        """Its key in the stock file; empty for an item made without one."""
        return self._name

    @abstractmethod
    def material(self) -> Material:
        """The item as a material."""


class Hardware(Item):
    """A piece bought ready made."""

    mass: Mass = 0.0
    """Of one piece; 0 leaves it out of weights."""
    price: Money | None = None
    """Of one piece; unknown when left out."""
    packs: tuple[Pack, ...] = ()
    """The packs sold; single pieces at `price` when left out."""
    colour: Colour = STEEL
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), mass=self.mass)


def rgb(colour: str) -> tuple[float, float, float]:
    """`#d9b98a` as red, green and blue, each 0 to 1 (sRGB)."""
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue
