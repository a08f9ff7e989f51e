"""What a project may say about the router: its tool, how sheets are laid out for it, and the files it reads."""

from typing import Literal

from pydantic import Field, model_validator

from model.config.types import FieldError, NonNegativeLength, PositiveLength, Strict

Version = Literal["R2010", "R12"]


class Tabs(Strict):
    """Bridges that hold small parts in the sheet until they are broken or sawn out."""

    shorter_than: NonNegativeLength = 150.0
    """Parts whose shorter side is below this get tabs; 0 for none. Common practice: what a hand spans is too small for
    the vacuum alone."""
    width: PositiveLength = 8.0
    """Along the edge."""
    height: PositiveLength = 3.0
    """What the tool leaves above the underside of the sheet."""
    apart: PositiveLength = Field(default=400.0, ge=50)
    """No further from one another than this along an edge."""


class Cnc(Strict):
    """How panels are cut on a router."""

    tool: PositiveLength = 6.0
    """Diameter of the tool that cuts outlines, openings and grooves."""
    gap: PositiveLength | None = None
    """Between parts on a sheet, no less than the tool; the tool and 2 mm when left out."""
    margin: NonNegativeLength = 10.0
    """Left unused along every edge of a sheet, no less than the tool."""
    version: Version = "R2010"
    """The DXF files: `R2010`, or `R12` for programs that read nothing newer."""
    relief: Literal["none", "corner"] = "none"
    """Inside corners that go right through: left as round as the tool makes them, or cut past the corner (`corner`), so
    that a square piece fits."""
    tabs: Tabs = Tabs()
    """What holds small parts."""
    search: Literal["quick", "default", "thorough"] = "quick"
    """How hard to look for a nest that takes fewer or cheaper sheets: seconds, a minute, many minutes."""

    @model_validator(mode="after")
    def _room_for_the_tool(self) -> "Cnc":
        if self.gap is not None and self.gap < self.tool:
            raise FieldError("the gap between parts is narrower than the tool: make it as wide or wider", "gap")
        if self.margin < self.tool:
            raise FieldError("the margin is narrower than the tool: it would cut past the edge of the sheet", "margin")
        return self

    @property
    def spacing(self) -> float:
        """What is left between parts on a sheet, mm."""
        return self.gap if self.gap is not None else self.tool + 2.0
