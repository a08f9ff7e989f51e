"""What a project says of those who build and use it: who carries, how high they reach, what light their work needs."""

from typing import Annotated

from pydantic import Field

from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.lighting.tasks import TaskName

Share = Annotated[float, Field(gt=0, le=1)]


class Carrying(Strict):
    """Who carries and hoists."""

    people: int = Field(default=2, ge=1, le=4)
    """How many there are to carry and to lift."""
    tackle: int = Field(default=0, ge=0, le=12)
    """Parts of rope that carry the load in the block and tackle at hand; 0 for none."""
    sheave: Share = 0.95
    """What a rope keeps of its pull over one sheave of it (plain bearings 0.9, good ones 0.95 or more: common
    practice)."""


class LightNeeds(Strict):
    """What work light is held to."""

    task: TaskName = "write"
    """What is done there (EN 12464-1): `store` 100 lx, `general` 300, `write` and `fine` 500, `draw` and `very fine`
    750, `precision` and `colour` 1000, `inspect` 1500."""
    lux: float | None = Field(default=None, gt=0, le=20_000)
    """Lux on the work, in place of the task's."""
    maintenance: Share = 0.8
    """What dust and age leave of the light (0.8: common practice)."""
    cover: Share = 0.8
    """What the cover of a profile lets through (opal 0.7 to 0.85, clear 0.9: common practice)."""
    lead: PositiveLength | None = None
    """Length of the cable from a driver to its light; as drawn, with 300 mm to spare, unless given."""
    drop: Annotated[float, Field(gt=0, le=20)] = 3.0
    """Per cent of the voltage that may be lost on the way to the end of a strip (3 %: NFPA 70, 210.19(A), note)."""


class Comfort(Strict):
    """Who builds and uses what is built: what the checks of handling, use and light go by."""

    accessible: bool = False
    """Whether it is held to the 2010 ADA Standards for Accessible Design, for people who use a wheelchair."""
    reach: PositiveLength = 1830.0
    """How high a shelf may be for those who stand before it (1830 mm, 72 in: common practice)."""
    reach_over: PositiveLength = 1730.0
    """The same over a base or a top (1730 mm, 68 in: common practice)."""
    standing_room: NonNegativeLength = 600.0
    """Floor to stand on before a drawer or a door that is open (600 mm, 24 in: common practice)."""
    carrying: Carrying = Carrying()
    """The people who carry and hoist, and their tackle."""
    light: LightNeeds = LightNeeds()
    """The task the work lights are for."""
