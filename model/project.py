"""What a project may say: which units stand where, what lies over them and what they are made of."""

from pathlib import PurePosixPath
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from model.cnc import Cnc
from model.comfort import Comfort
from model.config.types import FieldError, Length, Lengths, Name, NonNegativeLength, Note, PositiveLength, Strict
from model.finishes import Finishing
from model.gaps.ranges import Clearances
from model.labels import LabelOptions
from model.loads import Loads
from model.materials import Materials
from model.safety import Safety
from model.tops.options import TopOptions


def _path(value: str) -> str:
    if not value.endswith((".yaml", ".yml")) or not PurePosixPath(value).name:
        raise ValueError(f"{value!r} is not the name of a YAML file, such as ../units/drawer-base.yaml")
    return value


FilePath = Annotated[str, AfterValidator(_path)]
"""A YAML file, relative to the file that names it."""


class Fill(Strict):
    """A width that is worked out: a share of what the wall has left, within limits."""

    fill: float = Field(default=1.0, gt=0, le=1000)
    """Its share of what is left, against the other shares."""
    min: PositiveLength | None = None
    """No narrower than this."""
    max: PositiveLength | None = None
    """No wider than this."""


class SameAs(Strict):
    """A width equal to another's."""

    same_as: Name
    """The unit of the same wall that it is as wide as."""


Edge = Literal["left", "middle", "right"]


class Align(Strict):
    """An edge or the middle of a unit that stands in line with something on its wall."""

    edge: Edge = "left"
    """What of the unit stands in line."""
    to: Name
    """The window it stands in line with; `stud` for the middle of the stud that is nearest."""
    at: Edge | None = None
    """What of the window; the same edge as of the unit when left out."""


class Placed(Strict):
    """A unit along a wall."""

    name: Name
    """What the unit is called; every name in a project is used once."""
    unit: FilePath
    """Its file."""
    width: PositiveLength | Fill | SameAs
    """Its width, a share of what is left, or as wide as another."""
    align: Align | None = None
    """Where it stands in line with a window or a stud."""
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
    make: TopOptions = TopOptions()
    """Layers, edge, backsplash, scribes, cutouts and grommets."""


class Upper(Strict):
    """An upper: standing on a top (`on`, `above`) or hung on a wall (`wall`, `x`, `width`, `bottom`)."""

    name: Name
    """What it is called."""
    unit: FilePath
    """Its file."""
    on: Name | None = None
    """The top it stands on."""
    above: Name | None = None
    """The unit whose width and place it takes."""
    wall: Name | None = None
    """The wall it hangs on."""
    x: NonNegativeLength | None = None
    """Its left end, from the left end of that wall."""
    width: PositiveLength | None = None
    """Its width, hung on a wall."""
    bottom: PositiveLength | None = None
    """Its lower end above the floor, hung on a wall."""
    height: PositiveLength | None = None
    """Its lower to its upper end, where the unit's file does not say."""
    change: dict[str, Any] = {}
    """What differs here from the unit's file."""

    @model_validator(mode="after")
    def _stands_or_hangs(self) -> "Upper":
        stands = {k: getattr(self, k) for k in ("on", "above")}
        hangs = {k: getattr(self, k) for k in ("wall", "x", "width", "bottom")}
        given = [k for k, v in {**stands, **hangs}.items() if v is not None]
        if not given:
            raise FieldError("say on and above (it stands on a top), or wall, x, width and bottom (it hangs on a wall)")
        mine, other = (stands, hangs) if self.on is not None or self.wall is None else (hangs, stands)
        how = "stands on a top" if mine is stands else "hangs on a wall"
        strange = [k for k in other if k in given]
        if strange:
            raise FieldError(f"an upper that {how} says {', '.join(mine)}, leave this out", strange[0])
        missing = [k for k in mine if k not in given]
        if missing:
            raise FieldError(f"an upper that {how} says {', '.join(mine)}: {' and '.join(missing)} is missing")
        return self

    @property
    def hung(self) -> bool:
        return self.wall is not None


class Connecting(Strict):
    """Connecting shelves in the gap between two uppers of one top."""

    name: Name
    """What they are called."""
    unit: FilePath
    """Their file."""
    between: tuple[Name, Name]
    """The upper at their left and the one at their right."""
    at: NonNegativeLength
    """The top they bridge to the underside of the lowest shelf."""
    change: dict[str, Any] = {}
    """What differs here from the unit's file."""


class Corner(Strict):
    """The inside corner of two walls that both have units."""

    name: Name
    """What it is called; a top that reaches into the corner names it at that end of its `over`."""
    walls: tuple[Name, Name]
    """The wall that ends in the corner, and the next, which begins there."""
    kind: Literal["filler", "blind", "open"] = "filler"
    """`filler`: two boards close it. `blind`: a cabinet of the first wall reaches into it behind the second's.
    `open`: only the top covers it, on cleats and a leg."""
    clear: PositiveLength = Field(default=75.0, ge=30)
    """From the face of one wall's frames to the other wall's first unit, so that drawers pass pulls (75 mm, 3 in:
    common practice; a pull and its front need less than this)."""
    opening: PositiveLength = Field(default=400.0, ge=150)
    """Clear opening of a blind corner's cabinet."""
    door: bool = True
    """Whether a blind corner's cabinet has a door."""
    height: PositiveLength | None = None
    """Floor to its upper edge, where no top lies over it."""
    materials: Materials = Materials()
    """Stock it takes in place of the project's."""


AtBaseboard = Literal["stand_off", "notch", "removed"]
"""What is done where units meet a baseboard."""


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
    offcuts: FilePath | None = None
    """A file of offcuts that are used before sheets and lengths are bought."""
    materials: Materials = Materials()
    """Which stock plays which role."""
    finish: Finishing = Finishing()
    """What is painted, varnished or oiled, and with what."""
    margins: dict[Name, Margins] = {}
    """Room left at the ends of walls, by wall: gaps, or fillers scribed to the wall."""
    walls: dict[Name, Annotated[tuple[Placed, ...], Field(min_length=1)]] = Field(min_length=1)
    """The units along each wall, left to right."""
    mirror: dict[Name, Name] = {}
    """Walls whose widths are the same to both sides of their `middle`, or of a unit that is named."""
    tops: tuple[Top, ...] = ()
    """Tops over them."""
    uppers: tuple[Upper, ...] = ()
    """Uppers on the tops and on the walls."""
    connecting: tuple[Connecting, ...] = ()
    """Connecting shelves between uppers."""
    corners: tuple[Corner, ...] = ()
    """Corners where the units of two walls meet."""
    baseboard: AtBaseboard = "stand_off"
    """At a baseboard units `stand_off` it by its thickness, are sawn out to clear it (`notch`), or it is `removed`
    behind them."""
    baseboards: dict[Name, AtBaseboard] = {}
    """Walls where that differs."""
    loads: Loads = Loads()
    """What lies on shelves and tops, heavy things, how far boards may sag."""
    safety: Safety = Safety()
    """How units are held, what may hang on them, how damp the air is: what the checks of safety assume."""
    comfort: Comfort = Comfort()
    """Who builds and uses it, how high they reach, what light their work needs."""
    labels: LabelOptions = LabelOptions()
    """The sheets that labels of the parts are printed on."""
    cnc: Cnc = Cnc()
    """How a router cuts the panels."""
    clearances: Clearances = Clearances()
    """Gaps that are measured on the plan as it is built, and the range each must lie in."""
