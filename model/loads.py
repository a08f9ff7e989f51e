"""What a project says of loads: how much lies on shelves and tops, heavy things by name, how far boards may sag."""

from typing import Annotated

from pydantic import AfterValidator, Field

from model.config.types import AreaLoad, LineLoad, Mass, Name, NonNegativeLength, Strict
from model.strength.limits import LimitName


def _where(value: str) -> str:
    if not value.strip() or len(value) > 300 or not value.isprintable():
        raise ValueError("the name of a top, or the path of a board such as book upper/shelf 2")
    return value


class PointLoad(Strict):
    """A heavy thing that stands on a board: a vice, a sewing machine, an aquarium."""

    name: Name
    """What it is."""
    on: Annotated[str, AfterValidator(_where)]
    """The top it stands on, by name, or the board by its path: `book upper/shelf 2`, as in the parts list."""
    x: NonNegativeLength
    """Its middle, from the left end of that top or board."""
    mass: Mass
    """How heavy it is with all that is in it."""
    width: NonNegativeLength = 0.0
    """Over how much of the length of the board it stands; 0 for one point."""


class Loads(Strict):
    """How much boards carry and how far they may sag."""

    shelf: AreaLoad = 73.0
    """On shelves (73 kg/m2, 15 lb/ft2: the test load of ANSI/KCMA A161.1; rows of books weigh about twice that)."""
    shelf_run: LineLoad | None = None
    """On each length of shelf, in place of `shelf`: 30 to 37 kg/m (20 to 25 lb/ft) for books (common practice)."""
    top: AreaLoad = 100.0
    """On tops, all over (common practice)."""
    person: Mass = 100.0
    """Who may sit or lean on a top, at its weakest place: for strength, not for sag (about EN 527-2, from memory)."""
    bed: AreaLoad = 146.0
    """On the deck of a bed, mattress and sleepers (30 lb/ft2: ASCE 7 for sleeping rooms, from memory)."""
    points: tuple[PointLoad, ...] = Field(default=(), max_length=100)
    """Heavy things at their places, over and above all that."""
    years: float = Field(default=10.0, ge=0, le=100)
    """How long the load lies: boards creep."""
    limit: LimitName = "cabinet"
    """How far shelves may sag. `cabinet`: 1/192 of the span, never over 6.35 mm (ANSI/KCMA A161.1). `library`: 1/192.
    `fine`: 1/600 after creep. `floor`: 1/360 from the load alone. `total`: 1/240 after creep."""
    top_limit: LimitName = "cabinet"
    """How far tops may sag, by the same names."""
