"""What a project says of safety: how units are held, what may hang on them, the studs, the bed, how damp the air is."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from model.config.types import FieldError, Mass, Name, NonNegativeLength, Strict
from model.statics.shrinkage import SpeciesName

Percent = Annotated[float, Field(ge=2, le=20)]


class Moisture(Strict):
    """How moist wood is through the year, in per cent of its dry weight."""

    dry: Percent = 6.0
    """In the driest weeks (indoors 6 to 10 % in most of the United States: Wood Handbook Table 13-2, from memory)."""
    damp: Percent = 10.0
    """In the dampest."""

    @model_validator(mode="after")
    def _rises(self) -> "Moisture":
        if self.damp < self.dry:
            raise FieldError("damp wood is no drier than dry wood: make it at least as much as dry", "damp")
        return self


class Safety(Strict):
    """What the checks of tipping, wall fixings, hardware and beds assume. Local codes go before all of it."""

    fixing: Literal["studs", "none"] = "studs"
    """Whether units on the floor are screwed to `studs` (always do), or stand free (`none`)."""
    child: Mass = 27.2
    """A child that hangs on an open drawer or door (27.2 kg, 60 lb: ASTM F2057-23)."""
    anchor_screws: int = Field(default=1, ge=1, le=4)
    """Screws into each stud that hold a unit on the floor."""
    stud_gravity: float = Field(default=0.42, ge=0.3, le=0.75)
    """Specific gravity of the studs (0.42 spruce, pine and fir, 0.50 Douglas fir: NDS Table 12.3.3A, from memory)."""
    wallboard: NonNegativeLength = 12.7
    """Wall board between a unit and its studs (12.7 mm, 1/2 in: common practice)."""
    bedding: Mass = 6.0
    """What lies on a bed that folds up, besides its mattress (common practice)."""
    sleepers: Mass = 180.0
    """All who lie on a bed that is down."""
    hand: float = Field(default=150.0, gt=0, le=500)
    """N. The most a hand should need to raise or lower a bed (common practice)."""
    moisture: Moisture = Moisture()
    """Between which bounds wood dries and dampens."""
    woods: dict[Name, SpeciesName] = {}
    """The wood of boards in stock by their names, where those do not say it."""
