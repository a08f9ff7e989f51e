"""Cross-sections of more than one board: glued together as one (the transformed section), or side by side."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Strip:
    """A rectangle of a section: modulus (MPa), width, lower edge and height (mm).

    What has the same `bond` is glued to one piece; what has not only bends alike.
    """

    modulus: float
    width: float
    low: float
    height: float
    bond: int = 0

    @property
    def stretch(self) -> float:
        """EA, N."""
        return self.modulus * self.width * self.height

    @property
    def middle(self) -> float:
        return self.low + self.height / 2


@dataclass(frozen=True, slots=True)
class Section:
    """A section that bends as one: its stiffness EI (N mm2), and for each strip how far its worst fibre lies from the
    line that keeps its length (mm)."""

    ei: float
    strips: tuple[Strip, ...]
    arms: tuple[float, ...]

    def stress(self, index: int, moment: float, ei: float | None = None) -> float:
        """The bending stress (MPa) in a strip under a moment (N mm): M E c / EI."""
        return abs(moment) * self.strips[index].modulus * self.arms[index] / (ei or self.ei)


def section(strips: Iterable[Strip]) -> Section:
    """The transformed section: EI is the sum of E (I + A (y - ybar)2) over what is glued, ybar the mean of E A y.

    Parallel axes, as in any text on the strength of materials. What is only screwed slips: there the stiffnesses add.
    Raises ValueError for nothing at all.
    """
    them = tuple(strips)
    if not them:
        raise ValueError("a section of nothing")
    middle: dict[int, float] = {}
    for bond in {s.bond for s in them}:
        mine = [s for s in them if s.bond == bond]
        middle[bond] = sum(s.stretch * s.middle for s in mine) / sum(s.stretch for s in mine)
    ei = sum(s.stretch * (s.height**2 / 12 + (s.middle - middle[s.bond]) ** 2) for s in them)
    arms = tuple(max(abs(s.low - middle[s.bond]), abs(s.low + s.height - middle[s.bond])) for s in them)
    return Section(ei, them, arms)
