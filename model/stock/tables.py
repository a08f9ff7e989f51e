"""What can be bought: sheets, boards and hardware, with sizes, weights, stiffness and prices.

A stock file is YAML of the type `Stock`. Every length is mm and every mass kg once read.
"""

import difflib
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, PrivateAttr, model_validator

from model.config.types import (
    Colour,
    Density,
    FieldError,
    LengthLabel,
    Lengths,
    Mass,
    Modulus,
    Money,
    Name,
    NonNegativeLength,
    Note,
    PositiveLength,
    Ratio,
    Strength,
    Strict,
)
from model.stock.beds import MATTRESS, BedLeg, BedPivot, GasSpring
from model.stock.cabinet import Dowel, EdgeBand, Foot
from model.stock.finishes import Finish, Prices, check_undercoats
from model.stock.items import STEEL, Hardware, Item, Material, rgb
from model.stock.lights import Driver, Grommet, LedStrip, LightBar, LightProfile
from model.stock.screws import Bolt, Nail, Screw
from model.tops.mouldings import Moulding

MEMBERS_PER_PAIR = 4
"""A pair of slides is two sides of two members each: one on the carcass, one on the drawer."""


class Stiffness(Strict):
    """Modulus of elasticity in bending, and strength."""

    along: Modulus
    """Along the grain of the face, MPa."""
    across: Modulus | None = None
    """Across it, MPa; unknown when left out."""
    strength: Strength | None = None
    """Average bending strength along it (modulus of rupture), MPa; published values of its kind when left out."""


class SheetSize(Strict):
    """A size a sheet is sold in."""

    length: PositiveLength
    """Along the grain of the face, which need not be the longer way."""
    width: PositiveLength
    """Across it."""
    price: Money | None = None
    """Of one sheet; unknown when left out."""


class Sheet(Item):
    """A panel good: plywood, MDF, hardboard."""

    thickness: PositiveLength
    """As measured: what grooves and drawer boxes are worked out from."""
    nominal: LengthLabel | None = None
    """The size on the label, where it differs."""
    sizes: Annotated[tuple[SheetSize, ...], Field(min_length=1)]
    """The sheets sold."""
    density: Density
    """kg/m3."""
    grain: bool = True
    """Whether the face has a direction that parts must follow."""
    stiffness: Stiffness | None = None
    """For sag; unknown when left out."""
    colour: Colour = "#d9b98a"
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), density=self.density)


class Board(Item):
    """Dressed solid wood, sold by length."""

    thickness: PositiveLength
    """Dressed."""
    width: PositiveLength
    """Dressed."""
    nominal: Name | None = None
    """The size on the label, where it differs."""
    lengths: Annotated[tuple[PositiveLength, ...], Field(min_length=1)]
    """The lengths sold."""
    price_per_metre: Money | None = None
    """Unknown when left out."""
    density: Density
    """kg/m3."""
    stiffness: Stiffness | None = None
    """For sag; unknown when left out."""
    colour: Colour = "#e3c592"
    """For pictures and models."""

    def material(self) -> Material:
        return Material(self.name, rgb(self.colour), density=self.density)


class Slide(Item):
    """A series of side-mounted ball-bearing slides, alike but for their length."""

    thickness: PositiveLength
    """Side space one installed slide takes, cabinet and drawer member together."""
    height: PositiveLength
    """Of the cabinet member."""
    lengths: Annotated[tuple[PositiveLength, ...], Field(min_length=1)]
    """The closed lengths sold."""
    travel: Literal["full"] | Ratio = "full"
    """How far it opens: `full` as far as it is long, or a ratio of its length."""
    load: Mass
    """What one pair carries."""
    setback: NonNegativeLength = 2.0
    """Front end of the slide behind the front plane of its opening."""
    holes: tuple[PositiveLength, ...] = ()
    """Its screw holes, from its front end; on the 32 mm grid from 37 mm behind the front plane when left out (32 mm
    line boring: common practice)."""
    mass_per_metre: Mass = 0.0
    """Of a pair, for each metre of slide; 0 leaves it out of weights."""
    prices: tuple[Money, ...] = ()
    """Of a pair, one for each of `lengths` in the same order; unknown when left out."""
    colour: Colour = STEEL
    """For pictures and models."""

    @model_validator(mode="after")
    def _sound(self) -> "Slide":
        if self.prices and len(self.prices) != len(self.lengths):
            raise FieldError(
                f"{len(self.prices)} prices for {len(self.lengths)} lengths, give one price for each length", "prices"
            )
        if tuple(sorted(set(self.lengths))) != self.lengths:
            raise FieldError("the lengths of a slide series must rise, write each once from short to long", "lengths")
        if self.travel == 0:
            raise FieldError("a slide that does not open, write full or a ratio above 0", "travel")
        return self

    def longest(self, depth: float) -> float | None:
        """The longest slide that fits behind its setback in `depth` mm; None where none does."""
        return max((length for length in self.lengths if length + self.setback <= depth), default=None)

    def travel_of(self, length: float) -> float:
        """How far a slide of this length opens, mm."""
        return length if self.travel == "full" else length * self.travel

    def price_of(self, length: float) -> float | None:
        """The price of a pair of this length; None where the file gives none. Raises ValueError if it is not sold."""
        if length not in self.lengths:
            raise ValueError(f"{self.name} is not sold {length:g} mm long")
        return self.prices[self.lengths.index(length)] if self.prices else None

    def material(self) -> Material:
        """Of one of the four members of a pair."""
        return Material(self.name, rgb(self.colour), mass_per_metre=self.mass_per_metre / MEMBERS_PER_PAIR)


class Hinge(Hardware):
    """A concealed cup hinge, as the envelope of its cup and its arm."""

    cup_diameter: PositiveLength = 35.0
    """Of the bore in the door."""
    cup_depth: PositiveLength
    """Of that bore."""
    cup_setback: PositiveLength
    """Centre of the cup from the edge of the door."""
    arm_length: PositiveLength
    """Into the carcass, from its front edge."""
    arm_width: PositiveLength
    """Along the height of the door."""
    arm_height: PositiveLength
    """Off the carcass side."""
    max_door_mass: Mass
    """What two hinges carry."""
    plate_setback: PositiveLength = 37.0
    """Screws of the mounting plate from the front edge of the side (37 mm, on the 32 mm grid: common practice)."""
    plate_spacing: PositiveLength = 32.0
    """Between those two screws."""
    cup_spacing: PositiveLength = 45.0
    """Between the two screws of the cup (45 mm, 9.5 mm behind its middle: from memory; makers differ)."""
    cup_offset: NonNegativeLength = 9.5
    """Those screws from the middle of the cup, away from the edge."""


class ShelfPin(Hardware):
    """A pin that carries a shelf corner."""

    diameter: PositiveLength
    """Of the pin."""
    bore_diameter: PositiveLength
    """Of its hole."""
    bore_depth: PositiveLength
    """Of its hole."""
    length: PositiveLength
    """Of the whole pin."""

    @model_validator(mode="after")
    def _stands_out(self) -> "ShelfPin":
        if self.bore_diameter < self.diameter:
            raise FieldError("the bore is thinner than the pin, make it as wide or wider", "bore_diameter")
        if self.length <= self.bore_depth:
            raise FieldError("the pin is no longer than its bore is deep, it would carry nothing", "length")
        return self


class Pull(Hardware):
    """A handle of a drawer or a door."""

    spacing: NonNegativeLength
    """Between its two holes; 0 for a knob with one."""
    bore_diameter: PositiveLength
    """Of its holes."""
    projection: PositiveLength
    """How far it stands out from the front."""
    bar_thickness: PositiveLength
    """Of the bar, or the width of a knob."""
    length: PositiveLength
    """Of the bar, or the height of a knob."""

    @model_validator(mode="after")
    def _spans_its_holes(self) -> "Pull":
        if self.length < self.spacing:
            raise FieldError("the pull is shorter than the distance of its holes", "length")
        if self.spacing > 0 and self.bar_thickness >= self.projection:
            raise FieldError("the bar is as thick as the pull stands out: no room for fingers", "bar_thickness")
        return self


TABLES = (
    "sheets",
    "boards",
    "slides",
    "hinges",
    "pins",
    "pulls",
    "screws",
    "nails",
    "bolts",
    "mouldings",
    "led_strips",
    "light_profiles",
    "light_bars",
    "drivers",
    "grommets",
    "dowels",
    "bands",
    "feet",
    "gas_springs",
    "bed_pivots",
    "bed_legs",
    "finishes",
)


class Stock(Strict):
    """A stock file. Each table is a mapping from a name to an item; a name is used once in the whole file."""

    lengths: Lengths = "mm"
    """The unit of this file's bare numbers."""
    note: Note = ""
    """Where the values come from."""
    currency: Name | None = None
    """What prices are counted in, such as EUR."""
    prices: Prices = Prices()
    """Of when prices are, and what comes on top of them."""
    sheet_trim: NonNegativeLength = 10.0
    """Cut off each edge of a new sheet before it is used."""
    kerf: NonNegativeLength = 3.2
    """Width of a saw cut."""
    offcut_length: PositiveLength = 300.0
    """What is left is kept from this length on; of a sheet, its longer way."""
    offcut_width: PositiveLength = 100.0
    """What is left of a sheet is kept from this width on, its shorter way."""
    sheets: dict[Name, Sheet] = Field(default_factory=dict)
    """Panel goods."""
    boards: dict[Name, Board] = Field(default_factory=dict)
    """Dressed solid wood."""
    slides: dict[Name, Slide] = Field(default_factory=dict)
    """Drawer slides."""
    hinges: dict[Name, Hinge] = Field(default_factory=dict)
    """Door hinges."""
    pins: dict[Name, ShelfPin] = Field(default_factory=dict)
    """Shelf pins."""
    pulls: dict[Name, Pull] = Field(default_factory=dict)
    """Handles."""
    screws: dict[Name, Screw] = Field(default_factory=dict)
    """Wood screws."""
    nails: dict[Name, Nail] = Field(default_factory=dict)
    """Nails for thin backs and bottoms."""
    bolts: dict[Name, Bolt] = Field(default_factory=dict)
    """Machine screws of pulls; pulls come with their own where there are none."""
    mouldings: dict[Name, Moulding] = Field(default_factory=dict)
    """Shaped strips of solid wood."""
    led_strips: dict[Name, LedStrip] = Field(default_factory=dict)
    """LED strips, by the length."""
    light_profiles: dict[Name, LightProfile] = Field(default_factory=dict)
    """Channels that hold them."""
    light_bars: dict[Name, LightBar] = Field(default_factory=dict)
    """Light bars."""
    drivers: dict[Name, Driver] = Field(default_factory=dict)
    """Their power supplies."""
    grommets: dict[Name, Grommet] = Field(default_factory=dict)
    """Sleeves for cables through a top."""

    dowels: dict[Name, Dowel] = Field(default_factory=dict)
    """Dowels."""
    bands: dict[Name, EdgeBand] = Field(default_factory=dict)
    """Edge bands."""
    feet: dict[Name, Foot] = Field(default_factory=dict)
    """Levelling feet and glides."""
    gas_springs: dict[Name, GasSpring] = Field(default_factory=dict)
    """Gas springs of wall beds, under high pressure: never open, drill or heat one."""
    bed_pivots: dict[Name, BedPivot] = Field(default_factory=dict)
    """Pivots of wall beds, in pairs."""
    bed_legs: dict[Name, BedLeg] = Field(default_factory=dict)
    """Folding legs."""
    finishes: dict[Name, Finish] = Field(default_factory=dict)
    """Paints, varnishes, oils and what goes under them."""

    _by_name: dict[str, Item] = PrivateAttr(default_factory=dict)

    @model_validator(mode="after")
    def _name_items(self) -> "Stock":
        """Give every item its key as name; a name used twice, capitals or not, is an error."""
        seen: dict[str, str] = {}
        for table in TABLES:
            for name, item in getattr(self, table).items():
                if name.casefold() in seen:
                    where = seen[name.casefold()]
                    raise FieldError(
                        f"{name!r} is in {where} already, use every name once in a stock file", table, name
                    )
                seen[name.casefold()] = table
                item._name = name
                self._by_name[name] = item
        check_undercoats(self.finishes)
        return self

    def sheet(self, name: str) -> Sheet:
        """The sheet of that name. Raises ValueError naming the closest, as do the other lookups."""
        return _found(self.sheets, name, "sheet")

    def board(self, name: str) -> Board:
        return _found(self.boards, name, "board")

    def slide(self, name: str) -> Slide:
        return _found(self.slides, name, "slide")

    def hinge(self, name: str) -> Hinge:
        return _found(self.hinges, name, "hinge")

    def pin(self, name: str) -> ShelfPin:
        return _found(self.pins, name, "shelf pin")

    def pull(self, name: str) -> Pull:
        return _found(self.pulls, name, "pull")

    def screw(self, name: str) -> Screw:
        return _found(self.screws, name, "screw")

    def item(self, name: str) -> Item:
        """The item of that name in whatever table it is."""
        return _found(self._by_name, name, "item")

    def material(self, name: str) -> Material:
        """The named item as a material: name, density or mass, colour."""
        if name == MATTRESS.name and name not in self._by_name:
            return MATTRESS
        return self.item(name).material()


def _found[AnyItem: Item](table: Mapping[str, AnyItem], name: str, what: str) -> AnyItem:
    if name in table:
        return table[name]
    near = difflib.get_close_matches(name, table, n=1)
    if near:
        raise ValueError(f"no {what} is called {name!r}, did you mean {near[0]!r}?")
    raise ValueError(f"no {what} is called {name!r}, there is {', '.join(map(repr, table)) or 'none at all'}")
