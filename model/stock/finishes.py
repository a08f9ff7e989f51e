"""Paints, varnishes and oils in stock, what a litre of them covers and the tins they come in; and what prices mean."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import AfterValidator, Field

from model.config.types import Colour, Coverage, FieldError, Money, Name, Ratio, Strict, Volume
from model.stock.items import Item, Material, rgb

WHITE: Colour = "#f4f3ef"
WET = 1200.0
"""kg/m3. What a tin weighs by: paints lie between 900 (oils) and 1400 (white), from memory."""


def _date(value: str) -> str:
    parts = value.split("-")
    whole = len(parts) in (2, 3) and [len(p) for p in parts] == [4, 2, 2][: len(parts)]
    if not (whole and value.isascii() and value.replace("-", "").isdigit()):
        raise ValueError(f"{value!r} is no date, write a year and a month such as 2026-11, or a day such as 2026-11-25")
    if not (1 <= int(parts[1]) <= 12 and 1 <= int(parts[-1] if len(parts) == 3 else 1) <= 31):
        raise ValueError(f"{value!r} is no date of the calendar, write one such as 2026-11 or 2026-11-25")
    return str(value)


class Prices(Strict):
    """What the prices of a stock file are."""

    date: Annotated[str, AfterValidator(_date)] | None = None
    """When they were found: a year and a month, or a day (`2026-11`, in quotes where it is a day)."""
    invented: bool = False
    """Whether they are made up, as in an example."""
    tax: Ratio = 0.0
    """Comes on top, such as 0.2; 0 where prices hold it already."""
    waste: Ratio = 0.1
    """Bought over what is worked out of what is used by measure: finishes, and bands and strips sold by the metre
    (a tenth: common practice). Sheets, boards and lengths come from their cutting plans."""


class Tin(Strict):
    """A size a finish is sold in."""

    volume: Volume
    """Of its contents."""
    price: Money | None = None
    """Of one tin; unknown when left out."""


class Finish(Item):
    """Something that is painted, rolled, wiped or sprayed on, in so many coats."""

    coverage: Coverage
    """What a litre covers in one coat, as its tin says."""
    coats: int = Field(default=2, ge=1, le=10)
    """How many (two: common practice)."""
    under: Name | None = None
    """Another finish that goes on first, such as a primer, in its own number of coats."""
    tins: Annotated[tuple[Tin, ...], Field(min_length=1)]
    """The sizes sold."""
    colour: Colour = WHITE
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), density=WET)


def layers(finishes: Mapping[str, Finish], name: str) -> tuple[Finish, ...]:
    """The finish of that name and all that goes under it, the first to go on first."""
    found: list[Finish] = []
    at: str | None = name
    while at is not None:
        found.append(finishes[at])
        at = finishes[at].under
    return tuple(reversed(found))


def check_undercoats(finishes: Mapping[str, Finish]) -> None:
    """Raises FieldError for a finish that goes over one that is not there, or in the end over itself."""
    for name, finish in finishes.items():
        seen, under = {name}, finish.under
        while under is not None:
            if under not in finishes:
                raise FieldError(f"no finish is called {under!r}, name one of this file", "finishes", name, "under")
            if under in seen:
                raise FieldError("it goes over itself in the end, leave this out", "finishes", name, "under")
            seen.add(under)
            under = finishes[under].under
