"""What a project and a room may say."""

from pathlib import PurePosixPath
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from model.config.types import Length, Lengths, Name, NonNegativeLength, Note, PositiveLength, Strict
from model.materials import Materials


def _path(value: str) -> str:
    if not value.endswith((".yaml", ".yml")) or not PurePosixPath(value).name:
        raise ValueError(f"{value!r} is not the name of a YAML file, such as ../units/drawer-base.yaml")
    return value


FilePath = Annotated[str, AfterValidator(_path)]
"""A YAML file, relative to the file that names it."""


class Baseboard(Strict):
    """A board along the foot of a wall."""

    height: PositiveLength
    """Above the floor."""
    thickness: PositiveLength = 15.0
    """Off the wall."""


class Outlet(Strict):
    """A power outlet or switch on a wall."""

    name: Name = "outlet"
    """What it is."""
    x: NonNegativeLength
    """Its middle, from the left end of the wall."""
    z: NonNegativeLength
    """Its middle, above the floor."""
    width: PositiveLength = 80.0
    """Of its plate."""
    height: PositiveLength = 80.0
    """Of its plate."""


class Wall(Strict):
    """A straight wall, seen from inside the room."""

    width: PositiveLength
    """Left end to right end."""
    baseboard: Baseboard | None = None
    """A board along its foot; units stand off it."""
    outlets: tuple[Outlet, ...] = ()
    """Outlets and switches."""


class Room(Strict):
    """A room file."""

    lengths: Lengths = "mm"
    """The unit of this file's bare numbers."""
    note: Note = ""
    """Where the room is; invented or measured."""
    height: PositiveLength
    """Floor to ceiling."""
    walls: dict[Name, Wall] = Field(min_length=1)
    """The walls by name."""


class Fill(Strict):
    """A width that is worked out: a share of what the wall has left, within limits."""

    fill: float = Field(default=1.0, gt=0, le=1000)
    """Its share of what is left, against the other shares."""
    min: PositiveLength | None = None
    """No narrower than this."""
    max: PositiveLength | None = None
    """No wider than this."""


class Placed(Strict):
    """A unit along a wall."""

    name: Name
    """What the unit is called; every name in a project is used once."""
    unit: FilePath
    """Its file."""
    width: PositiveLength | Fill
    """Its width, or a share of what is left."""
    change: dict[str, Any] = {}
    """What differs here from the unit's file, key by key; null for none of it."""


class Margins(Strict):
    """Room left at the ends of a wall."""

    left: NonNegativeLength = 0.0
    """At the left end."""
    right: NonNegativeLength = 0.0
    """At the right end."""


class Overhang(Strict):
    """How far a top stands out past what it covers."""

    front: Length = 25.0
    """Past the face of the frames."""
    left: Length = 0.0
    """Past the first unit."""
    right: Length = 0.0
    """Past the last unit."""


class Top(Strict):
    """One continuous top over neighbouring units and kneeholes."""

    name: Name
    """What it is called."""
    wall: Name
    """The wall its units stand along."""
    over: tuple[Name, ...] = Field(min_length=1)
    """The units under it, left to right, with none left out between them."""
    height: PositiveLength
    """Floor to its upper face."""
    overhang: Overhang = Overhang()
    """How far it stands out; its rear edge meets the wall."""
    bearing: PositiveLength = 40.0
    """A seam lies at least this far inside the carcass that carries it."""
    sheet: Name | None = None
    """Sheet to make it of; the project's material for tops when left out."""


class Above(Strict):
    """An upper standing on a top."""

    name: Name
    """What it is called."""
    unit: FilePath
    """Its file."""
    on: Name
    """The top it stands on."""
    above: Name
    """The unit whose width and place it takes."""
    height: PositiveLength | None = None
    """Top to its upper end, where the unit's file does not say."""
    change: dict[str, Any] = {}
    """What differs here from the unit's file."""


class Project(Strict):
    """A project file: a room, what stands in it, and the stock it is built from."""

    title: Name
    """What the project is called."""
    lengths: Lengths = "mm"
    """The unit of this file's bare numbers, and the one lengths are shown in."""
    note: Note = ""
    """A word to the next maker."""
    room: FilePath
    """The room file."""
    stock: FilePath
    """The stock file."""
    materials: Materials = Materials()
    """Which stock plays which role."""
    margins: dict[Name, Margins] = {}
    """Room left at the ends of walls, by wall."""
    walls: dict[Name, Annotated[tuple[Placed, ...], Field(min_length=1)]] = Field(min_length=1)
    """The units along each wall, left to right."""
    tops: tuple[Top, ...] = ()
    """Tops over them."""
    uppers: tuple[Above, ...] = ()
    """Uppers on the tops."""
