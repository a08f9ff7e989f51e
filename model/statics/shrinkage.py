"""How wood grows and shrinks across its grain with the moisture of the air.

Wood Handbook, FPL-GTR-190 (2010): eq. 13-2, dD = D C (M2 - M1), good for 6 to 14 % moisture, and Table 13-5.
"""

from types import MappingProxyType
from typing import Literal

SpeciesName = Literal[
    "red oak", "white oak", "sugar maple", "yellow birch", "paper birch", "cherry", "walnut", "white ash", "red alder",
    "beech", "yellow-poplar", "ponderosa pine", "eastern white pine",
]  # fmt: skip

_TABLE: dict[SpeciesName, tuple[float, float]] = {
    "red oak": (0.00158, 0.00369),
    "white oak": (0.00180, 0.00365),
    "sugar maple": (0.00165, 0.00353),
    "yellow birch": (0.00256, 0.00338),
    "paper birch": (0.00219, 0.00304),
    "cherry": (0.00126, 0.00248),
    "walnut": (0.00190, 0.00274),
    "white ash": (0.00169, 0.00274),
    "red alder": (0.00151, 0.00256),
    "beech": (0.00190, 0.00431),
    "yellow-poplar": (0.00158, 0.00289),  # this and the pines: from memory
    "ponderosa pine": (0.00133, 0.00216),
    "eastern white pine": (0.00071, 0.00212),
}
SPECIES = MappingProxyType(_TABLE)
"""Dimensional change coefficients, radial and tangential, per 1 % of moisture."""

WORDS: tuple[tuple[str, SpeciesName], ...] = (
    ("white pine", "eastern white pine"),
    ("pine", "ponderosa pine"),
    ("white oak", "white oak"),
    ("oak", "red oak"),
    ("maple", "sugar maple"),
    ("paper birch", "paper birch"),
    ("birch", "yellow birch"),
    ("cherry", "cherry"),
    ("walnut", "walnut"),
    ("ash", "white ash"),
    ("alder", "red alder"),
    ("beech", "beech"),
    ("poplar", "yellow-poplar"),
)
"""Which species a word in the name of a board stands for."""
UNKNOWN: SpeciesName = "beech"
"""A board whose wood nobody has named moves as the most lively of them."""


def species_of(board: str, said: dict[str, SpeciesName]) -> SpeciesName:
    """The wood of a board in stock: what is said of it, else what its name says, else the one that moves most."""
    if board in said:
        return said[board]
    words = board.casefold().replace("-", " ").split()
    text = f" {' '.join(words)} "
    for word, species in WORDS:
        if f" {word} " in text:
            return species
    return UNKNOWN


def movement(width: float, coefficient: float, dry: float, damp: float) -> float:
    """How much wider (mm) a board `width` mm wide at `dry` % moisture is at `damp` %."""
    return width * coefficient * (damp - dry)
