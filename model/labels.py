"""Sheets of labels for the parts: the usual grids, by the size of a label."""

from typing import Literal

from pydantic import Field, model_validator

from model.config.types import FieldError, NonNegativeLength, PositiveLength, Strict
from model.lengths import MM_PER_INCH, LengthUnit
from model.messages import mm
from model.tolerances import rounded

PAPERS: dict[str, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH)}
"""Width and height, mm: ISO 216 and ANSI/ASME Y14.1."""
SMALLEST = (45.0, 24.0)
"""mm. What a label must hold does not go on a smaller one."""
Named = Literal[
    "63.5 x 38.1 mm", "70 x 37 mm", "99.1 x 67.7 mm", "105 x 57 mm", "2 5/8 x 1 in", "4 x 2 in", "4 x 3 1/3 in"
]


class LabelGrid(Strict):
    """A sheet of labels, as it is measured."""

    paper: Literal["A4", "Letter"] = "A4"
    """The sheet."""
    width: PositiveLength
    """Of a label."""
    height: PositiveLength
    """Of a label."""
    across: int = Field(ge=1, le=20)
    """Labels side by side."""
    down: int = Field(ge=1, le=40)
    """Labels one under another."""
    gap: NonNegativeLength = 0.0
    """Between labels side by side."""
    gap_down: NonNegativeLength = 0.0
    """Between labels one under another."""
    left: NonNegativeLength | None = None
    """Left edge of the sheet to the first label; the labels lie in the middle when left out."""
    top: NonNegativeLength | None = None
    """Upper edge of the sheet to the first label; in the middle when left out."""

    @model_validator(mode="after")
    def _fits(self) -> "LabelGrid":
        if self.width < SMALLEST[0] or self.height < SMALLEST[1]:
            raise FieldError(f"a label is at least {mm(SMALLEST[0])} wide and {mm(SMALLEST[1])} high")
        for key, end, paper in zip(("across", "down"), self.ends, PAPERS[self.paper], strict=True):
            if end > paper + 1e-6:
                raise FieldError(f"the labels reach {mm(rounded(end - paper))} past the edge of the paper", key)
        return self

    @property
    def _rows(self) -> tuple[float, float]:
        return (
            self.across * self.width + (self.across - 1) * self.gap,
            self.down * self.height + (self.down - 1) * self.gap_down,
        )

    @property
    def start(self) -> tuple[float, float]:
        """Where the first label begins: from the left and the upper edge of the sheet, mm."""
        page = PAPERS[self.paper]
        left, top = ((p - r) / 2 for p, r in zip(page, self._rows, strict=True))
        return (left if self.left is None else self.left, top if self.top is None else self.top)

    @property
    def ends(self) -> tuple[float, float]:
        """Where the last label ends, mm."""
        return (self.start[0] + self._rows[0], self.start[1] + self._rows[1])


def _grid(
    paper: Literal["A4", "Letter"], unit: float, size: tuple[float, float], count: tuple[int, int], gap: float
) -> LabelGrid:
    width, height = size[0] * unit, size[1] * unit
    return LabelGrid(paper=paper, width=width, height=height, across=count[0], down=count[1], gap=gap * unit)


GRIDS: dict[str, LabelGrid] = {
    "63.5 x 38.1 mm": _grid("A4", 1, (63.5, 38.1), (3, 7), 2.5),
    "70 x 37 mm": _grid("A4", 1, (70, 37), (3, 8), 0),
    "99.1 x 67.7 mm": _grid("A4", 1, (99.1, 67.7), (2, 4), 2.5),
    "105 x 57 mm": _grid("A4", 1, (105, 57), (2, 5), 0),
    "2 5/8 x 1 in": _grid("Letter", MM_PER_INCH, (2 + 5 / 8, 1), (3, 10), 1 / 8),
    "4 x 2 in": _grid("Letter", MM_PER_INCH, (4, 2), (2, 5), 3 / 16),
    "4 x 3 1/3 in": _grid("Letter", MM_PER_INCH, (4, 10 / 3), (2, 3), 3 / 16),
}
"""Sheets that are sold everywhere, in the middle of their paper (from memory: measure yours)."""


class LabelOptions(Strict):
    """What the labels of the parts are printed on."""

    grid: Named | LabelGrid | None = None
    """The sheet: one of the usual grids by the size of its labels, or one you measured; `63.5 x 38.1 mm` on A4 when
    left out, `4 x 2 in` on Letter in a project in inches."""
    skip: int = Field(default=0, ge=0, le=800)
    """Labels at the beginning of the first sheet that are gone already."""

    def sheet(self, lengths: LengthUnit) -> LabelGrid:
        """The grid to print on."""
        if isinstance(self.grid, LabelGrid):
            return self.grid
        return GRIDS[self.grid or ("63.5 x 38.1 mm" if lengths == "mm" else "4 x 2 in")]
