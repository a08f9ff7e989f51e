"""How a booklet shows amounts: in the units of the project, as a person in a shop reads them."""

from dataclasses import dataclass

from exporters.lists.table import clean
from model.config.types import KG_PER_POUND, LITRES_PER_GALLON, M2_PER_FT2
from model.lengths import LengthUnit, show_length, show_number

WITHIN = {"mm": "1 mm", "in": "1/32 in"}
"""How much two diagonals of a box may differ (common practice)."""
MOST_NAMES = 3
TIMES = " \N{MULTIPLICATION SIGN} "


@dataclass(frozen=True)
class Shown:
    """Lengths, areas, weights and volumes in one unit."""

    unit: LengthUnit

    def number(self, mm: float) -> str:
        return show_number(mm, self.unit)

    def length(self, mm: float) -> str:
        return show_length(mm, self.unit)

    def size(self, *mm: float) -> str:
        """`600 x 400 x 18`, without the unit."""
        return TIMES.join(show_number(value, self.unit) for value in mm)

    def area(self, m2: float) -> str:
        return f"{m2:.2f} m²" if self.unit == "mm" else f"{m2 / M2_PER_FT2:.1f} sq ft"

    def mass(self, kg: float) -> str:
        return f"{kg:.0f} kg" if self.unit == "mm" else f"{kg / KG_PER_POUND:.0f} lb"

    def litres(self, litres: float) -> str:
        return f"{litres:.2f} l" if self.unit == "mm" else f"{litres / LITRES_PER_GALLON:.2f} gal"


def few(names: list[str]) -> str:
    """The first of many names."""
    return ", ".join(names[:MOST_NAMES]) + (" …" if len(names) > MOST_NAMES else "")


__all__ = ["TIMES", "WITHIN", "Shown", "clean", "few"]
