"""What a cutting plan is made of: where each part lies on its sheet, the cuts that free it, and what is left.

On a sheet x runs along its length (the way of the grain), y across it, both in mm from the lower left corner of the
sheet as it is bought, before it is trimmed.
"""

from dataclasses import dataclass
from typing import Literal

Way = Literal["rip", "cross"]
Edge = Literal["lower", "upper", "left", "right"]


@dataclass(frozen=True, slots=True)
class Laid:
    """One physical part on a sheet: its lower left corner and its sizes along and across the sheet (mm).

    `turned` says that the length of the part runs across the sheet.
    """

    mark: str
    x: float
    y: float
    along: float
    across: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Spare:
    """A rectangle of a sheet that no part takes, large enough to keep."""

    x: float
    y: float
    along: float
    across: float


@dataclass(frozen=True, slots=True)
class SawCut:
    """One straight cut right through the piece on the saw.

    A rip runs along the sheet, a crosscut across it. The piece lies with its edge `against` the fence (or a stop), and
    `fence` is what stays between fence and blade (mm). On the sheet the sawn edge of that lies at `at` (y of a rip, x
    of a crosscut), the saw cut itself beyond it; it runs from `from_` to `to` along its line.
    `piece` is the name of the piece on the saw: `sheet`, a strip `S1`, a piece `S1b` of it. What is cut off between
    fence and blade is called `gives`; the rest keeps the name of the piece. A cut that only takes waste off gives the
    piece itself. `marks` are the parts that are finished by this cut.
    """

    number: int
    stage: int
    orientation: Way
    fence: float
    at: float
    from_: float
    to: float
    piece: str
    against: Edge
    gives: str
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StockSheet:
    """A sheet to cut: a size sold, or an offcut on the rack by its name. `price` is None where it is not known."""

    material: str
    length: float
    width: float
    price: float | None
    offcut: str = ""


@dataclass(frozen=True, slots=True)
class CutSheet:
    """One sheet and all that is cut from it. `number` counts the sheets of a material from 1.

    `trim` is what is left unused along each edge, `gap` the width of the saw cut or of the tool with its clearance.
    A sheet for a router has no cuts.
    """

    material: str
    number: int
    sheet: StockSheet
    trim: float
    gap: float
    pieces: tuple[Laid, ...]
    cuts: tuple[SawCut, ...]
    offcuts: tuple[Spare, ...]

    @property
    def used(self) -> float:
        """The share of the sheet that becomes parts."""
        return sum(p.along * p.across for p in self.pieces) / (self.sheet.length * self.sheet.width)


@dataclass(frozen=True, slots=True)
class CutBoard:
    """One bought length (mm) and what is cut from it: mark, start and length of each piece.

    `offcut` is what is left at its end. `rack` is the name of the offcut it is, where it is not bought.
    """

    material: str
    number: int
    length: float
    price: float | None
    gap: float
    pieces: tuple[tuple[str, float, float], ...]
    offcut: float
    rack: str = ""


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Everything that is cut, material by material. `left_over` are the marks that fit nothing in stock."""

    sheets: tuple[CutSheet, ...]
    boards: tuple[CutBoard, ...]
    left_over: tuple[str, ...] = ()
