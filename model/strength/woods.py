"""What wood and sheets bear: stiffness from stock where it is given, else published values of their kind.

Published values are averages of tests: Wood Handbook, FPL-GTR-190 (2010), Table 12-1, the low end of each kind.
"""

from dataclasses import dataclass

from model.stock.tables import Board, Sheet, Stock

MPA_PER_PSI = 0.006894757
"""Exact to seven digits: 1 lbf/in2."""
WORKING = (1 - 1.645 * 0.16) / 2.1
"""Working stress over average strength in bending: the value 95 of 100 pieces exceed, strength varying by 16 %, over
2.1 for lasting load and safety (ASTM D245 and Wood Handbook ch. 5, from memory)."""
BEARING = 1 / 1.67
"""Working stress over average proportional limit in compression across the grain (ASTM D245, from memory)."""
GREEN_TO_DRY = 1.12
"""Density at 12 % moisture over 1000 times the specific gravity: the mass of the water (Wood Handbook, ch. 4)."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of material: name, modulus and strength where stock gives none (MPa), how much it creeps, and sources.

    `creep` is total over instant deflection after ten years.
    """

    name: str
    modulus: float
    strength: float
    creep: float
    creep_source: str


NDS = "NDS 3.5.2 (plywood: from memory)"
EC5 = "EN 1995-1-1 Table 3.2 (from memory)"
WOOD = Kind("solid wood", 0.0, 0.0, 1.5, "NDS 3.5.2")
PLYWOOD = Kind("plywood", 6960.0, 33.7, 2.0, NDS)
PARTICLE = Kind("fibre or particle board", 2760.0, 15.2, 3.25, EC5)
HARDBOARD = Kind("hardboard", 3100.0, 31.0, 3.25, EC5)
HARD = 850.0
"""kg/m3. A board of fibre denser than this is hardboard (Wood Handbook, Table 12-1: 0.9 to 1.0; MDF to 0.9)."""


@dataclass(frozen=True, slots=True)
class Wood:
    """A material in bending, MPa. `across` is None where nobody has said how stiff it is across its grain.

    `working` is the stress it may lastingly have along its grain, `presses` the same under a support.
    """

    name: str
    kind: Kind
    density: float
    along: float
    across: float | None
    working: float
    presses: float
    thickness: float
    source: str

    def modulus(self, along: bool) -> float | None:
        return self.along if along else self.across

    def allowed(self, along: bool) -> float:
        """The working stress; across the grain as much less as it is less stiff."""
        if along or self.across is None:
            return self.working
        return self.working * min(1.0, self.across / self.along)


def gravity(density: float) -> float:
    """Specific gravity (ovendry mass, volume at 12 % moisture) of wood of a density in kg/m3."""
    return density / (1000.0 * GREEN_TO_DRY)


def strength_of(density: float) -> float:
    """The average strength of clear wood in bending, MPa: 25,700 G^1.25 psi.

    Forest Products Laboratory, in TM 5-852-4 (1983), Table 2-2, air-dry.
    """
    return 25_700 * gravity(density) ** 1.25 * MPA_PER_PSI


def modulus_of(density: float) -> float:
    """The average modulus of clear wood in bending, MPa: 2.8e6 G psi (the same table)."""
    return 2.8e6 * gravity(density) * MPA_PER_PSI


def crushing_of(density: float) -> float:
    """The average proportional limit of clear wood pressed across its grain, MPa: 4,630 G^2.25 psi (the same table)."""
    return 4_630 * gravity(density) ** 2.25 * MPA_PER_PSI


def kind_of(item: Sheet | Board) -> Kind:
    if isinstance(item, Board):
        return WOOD
    if item.grain:
        return PLYWOOD
    return HARDBOARD if item.density > HARD else PARTICLE


def wood(stock: Stock, name: str) -> Wood | None:
    """The material of that name; None where it is neither a sheet nor a board."""
    item = stock.sheets.get(name) or stock.boards.get(name)
    return None if item is None else wood_of(item)


def wood_of(item: Sheet | Board) -> Wood:
    """A sheet or a board as a material."""
    kind, stiff = kind_of(item), item.stiffness
    along = stiff.along if stiff else kind.modulus or modulus_of(item.density)
    across = stiff.across if stiff else None
    if isinstance(item, Sheet) and not item.grain:
        across = across or along
    strength = (stiff.strength if stiff else None) or kind.strength or strength_of(item.density)
    said = "stiffness from stock" if stiff else f"stiffness of {kind.name}, {_published(kind)}"
    said += ", strength from stock" if stiff and stiff.strength else f", strength of {kind.name}, {_published(kind)}"
    return Wood(
        item.name,
        kind,
        item.density,
        along,
        across,
        strength * WORKING,
        crushing_of(item.density) * BEARING,
        item.thickness,
        said,
    )


def _published(kind: Kind) -> str:
    return "TM 5-852-4 Table 2-2" if kind is WOOD else "Wood Handbook (2010) Table 12-1"


LASTING = ((10.0, 1.0), (0.5, 0.5 / 0.6), (1 / 52, 0.25 / 0.6), (0.0, 0.0))
"""From so many years on, this much of the whole creep: permanent, long, medium and short loads, of solid wood
(ENV 1995-1-1:1993 Table 4.1, from memory)."""


def creep(kind: Kind, years: float) -> float:
    """Total over instant deflection of a load that has lain for so many years."""
    share = next(s for least, s in LASTING if years >= least)
    return 1.0 + (kind.creep - 1.0) * share
