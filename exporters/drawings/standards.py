"""What drawing standards say, once: line widths, lettering, sheets, scales, distances.

ISO 128-2 (lines), ISO 3098-1 (lettering), ISO 129-1 (dimensions), ISO 5455 (scales), ISO 5457 (sheets), ISO 7200
(title blocks), ISO 5456-2 (projection); ASME Y14.1 (sheets), Y14.2 and Y14.5 for projects in inches.
"""

from dataclasses import dataclass
from typing import Literal

from exporters.drawings.display import Layer
from model.lengths import LengthUnit

Projection = Literal["first", "third"]


@dataclass(frozen=True, slots=True)
class Pen:
    """How a layer is drawn: width (mm), line type, AutoCAD colour index, and what is on it."""

    width: float
    line: Literal["continuous", "dashed", "chain"]
    colour: int
    holds: str


PENS: dict[Layer, Pen] = {
    "VISIBLE": Pen(0.35, "continuous", 7, "Edges that are seen."),
    "CUT": Pen(0.5, "continuous", 7, "Outlines of what a section cuts."),
    "HIDDEN": Pen(0.18, "dashed", 8, "Edges behind what is seen."),
    "HATCH": Pen(0.13, "continuous", 8, "Faces of sections, one hatching for each material."),
    "CENTRE": Pen(0.18, "chain", 4, "Centre lines, studs, where a section is taken."),
    "DIMENSIONS": Pen(0.18, "continuous", 5, "Dimensions."),
    "TEXT": Pen(0.25, "continuous", 7, "Titles and notes."),
    "MARKS": Pen(0.18, "continuous", 6, "Marks of parts and cuts, with their leaders."),
    "TABLES": Pen(0.18, "continuous", 7, "Tables and the title block."),
    "FRAME": Pen(0.7, "continuous", 7, "The frame of the sheet."),
    "GRID": Pen(0.35, "continuous", 7, "Fields of the sheet."),
    "ROOM": Pen(0.35, "continuous", 3, "The room and what is on its walls."),
    "NOTES": Pen(0.18, "continuous", 8, "Grain, symbols."),
}
"""The widths are of ISO 128-2's series, wide to narrow 2 to 1; our own plain names for layers."""

DASHES = {"dashed": (12 * 0.18, 3 * 0.18), "chain": (24 * 0.18, 3 * 0.18, 0.5 * 0.18, 3 * 0.18)}
"""mm on paper, stroke and gap by turns: 12 and 3 line widths; 24, 3, 0.5 and 3 (ISO 128-2, lines 02 and 10)."""

LETTERS = 2.5
"""mm. Height of capitals in dimensions and tables (ISO 3098-1's series: 1.8, 2.5, 3.5, 5, 7)."""
HEADING = 3.5
FIRST_ROW = 10.0
"""mm. From the outline to the nearest dimension line (10 mm, 3/8 in: ASME Y14.5, from memory)."""
NEXT_ROW = 8.0
"""mm. From one dimension line to the next, at least (6 mm, 1/4 in: ASME Y14.5, from memory)."""
GAP = 1.0
"""mm. From the outline to an extension line."""
PAST = 1.5
"""mm. How far an extension line runs past its dimension line."""
TICK = 1.25
"""mm. Half of an oblique stroke, along each axis (ISO 129-1)."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet: its name, width and height, and margins at the left and elsewhere, mm."""

    name: str
    width: float
    height: float
    left: float
    margin: float


ISO_SHEETS = (
    Paper("A4", 210.0, 297.0, 20.0, 10.0),
    Paper("A3", 420.0, 297.0, 20.0, 10.0),
    Paper("A2", 594.0, 420.0, 20.0, 10.0),
    Paper("A1", 841.0, 594.0, 20.0, 10.0),
)
ANSI_SHEETS = (
    Paper("ANSI A", 215.9, 279.4, 15.9, 9.7),
    Paper("ANSI B", 431.8, 279.4, 15.9, 9.7),
    Paper("ANSI C", 558.8, 431.8, 15.9, 12.7),
    Paper("ANSI D", 863.6, 558.8, 25.4, 12.7),
)
"""ASME Y14.1 sizes; margins of 3/8 and 1/2 in, a little more at the left to punch."""

ISO_SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""ISO 5455."""
INCH_SCALES = (1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 48.0, 96.0)
"""Full, half, quarter, eighth; 1 in, 3/4 in, 1/2 in, 1/4 in and 1/8 in to the foot (common practice)."""


def sheets(lengths: LengthUnit) -> tuple[Paper, ...]:
    return ISO_SHEETS if lengths == "mm" else ANSI_SHEETS


def scales(lengths: LengthUnit) -> tuple[float, ...]:
    return ISO_SCALES if lengths == "mm" else INCH_SCALES


def projection(lengths: LengthUnit) -> Projection:
    """First angle where people work in millimetres, third where in inches."""
    return "first" if lengths == "mm" else "third"


def shown_scale(scale: float, lengths: LengthUnit) -> str:
    """A scale as it stands in a title block: `1:10`, `1 1/2" = 1'-0"`."""
    feet = {8.0: "1 1/2\" = 1'", 12.0: "1\" = 1'", 16.0: "3/4\" = 1'", 24.0: "1/2\" = 1'", 48.0: "1/4\" = 1'"}
    feet[96.0] = "1/8\" = 1'"
    return feet.get(scale, f"1:{scale:g}") if lengths == "in" else f"1:{scale:g}"
