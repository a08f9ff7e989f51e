"""Fillers: a strip that closes the gap between the last unit and a wall, scribed to the wall on site."""

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.cabinet.carcass import Span
from model.cabinet.toe_kicks import ToeKick, stand_of
from model.config.types import NonNegativeLength, PositiveLength
from model.draft import Draft, Panel
from model.lengths import show_length
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.tables import Board, Sheet
from model.units import UnitOptions, unit_kind

CLEAR = 5.0
"""mm. A batten stays this far from the wall, which may lean in (common practice)."""
LEAST = 100.0
"""mm. A strip over a toe kick is at least this high."""


class FillerOptions(UnitOptions):
    """A strip on a batten, between the last unit and a wall."""

    kind: Literal["filler"] = "filler"
    """This kind."""
    wall: Literal["left", "right"] = "right"
    """At which side of it the wall is; the unit it is fixed to stands at the other."""
    depth: PositiveLength = 600.0
    """As deep as its neighbour, so that its face lies in the plane of the frames; only battens are behind it."""
    height: PositiveLength | None = None
    """Floor to its upper edge; set by the top over it where there is one."""
    framed: bool = True
    """Of frame board; else of the front sheet."""
    flush: Literal["frame", "fronts"] = "frame"
    """Its face in the plane of the frames, or as far before it as it is thick, beside overlay fronts."""
    scribe: NonNegativeLength = 20.0
    """Cut this much wider and trimmed to the wall on site; it is drawn at its width in place (20 mm, 3/4 in: common
    practice)."""
    batten: PositiveLength = Field(default=45.0, ge=20)
    """Width of the battens it is screwed to."""
    toe_kick: ToeKick | None = ToeKick()
    """Its neighbour's, which runs on under it; null for a strip down to the floor."""


@dataclass(frozen=True)
class Making:
    """A filler in the making: its draft, x across, where the battens lie in x, and the material of its face."""

    draft: Draft
    site: Site
    options: FillerOptions
    x: Span
    held: Span
    stuff: Board | Sheet
    role: str

    @property
    def carcass(self) -> Sheet:
        return self.site.sheet("carcass")

    @property
    def face(self) -> float:
        """The plane of its face, y."""
        return 0.0 if self.options.flush == "frame" else -self.stuff.thickness

    @property
    def behind(self) -> float:
        """The plane behind the strip."""
        return self.face + self.stuff.thickness

    def strip(self, path: str, z: Span) -> Panel:
        box = Box((self.x[0], self.face, z[0]), (self.x[1], self.behind, z[1]))
        if isinstance(self.stuff, Board):
            return self.draft.board(path, box, self.stuff, "z", "-y", self.role)
        return self.draft.sheet(path, box, self.stuff, "z", "-y", self.role)

    def batten(self, path: str, y: float, z: Span, carries: Panel) -> Panel:
        """A strip of carcass sheet on the neighbour's side, behind what it carries."""
        box = Box((self.held[0], y, z[0]), (self.held[1], y + self.options.batten, z[1]))
        face = "+x" if self.options.wall == "right" else "-x"
        batten = self.draft.sheet(path, box, self.carcass, "z", face, "batten")
        self.draft.join("screwed", batten, carries)
        return batten

    def kick_board(self, y: float, high: float) -> Panel:
        box = Box((self.x[0], y, 0.0), (self.x[1], y + self.carcass.thickness, high))
        along = "x" if self.x[1] - self.x[0] > high else "z"
        board = self.draft.sheet("kick board", box, self.carcass, along, "-y", self.role)
        self.batten("kick batten", y + self.carcass.thickness, (0.0, high), board)
        return board


def allowance(scribe: float) -> str:
    """The role of a part that is cut wider than it is drawn: it says by how much, in both units."""
    if scribe == 0:
        return "filler"
    return f"filler, blank {show_length(scribe, 'mm')} ({show_length(scribe, 'in')}) wider"


def _stuff(options: FillerOptions, site: Site) -> Board | Sheet:
    """What the strip is made of. Raises Unbuildable where no board is wide enough, its scribe included."""
    if not options.framed:
        return site.sheet("front")
    like = site.board("frame")
    wanted = site.width + options.scribe
    board = site.board_for_width(like, wanted)
    if board is None:
        raise Unbuildable(
            f"no board as thick as {like.name} is {mm(wanted)} wide, which a filler {mm(site.width)} wide and "
            f"{mm(options.scribe)} to scribe takes: set framed: false for one of sheet",
            "framed",
        )
    return board


@unit_kind("filler", "F", FillerOptions)
def build(options: FillerOptions, site: Site) -> BuiltUnit:
    """A filler in its own frame, the neighbour's frame at y = 0."""
    top = site.height if site.height is not None else options.height
    if top is None:
        raise Unbuildable("no height: place it under a top that has one, or give the filler its own", "height")
    if options.height is not None and abs(options.height - top) > 0.05:
        raise Unbuildable(
            f"the height {mm(options.height)} does not meet the top over it, which needs {mm(top)}", "height"
        )
    t, width, kick = site.sheet("carcass").thickness, site.width, options.toe_kick
    if width < t + CLEAR:
        raise Unbuildable(
            f"a filler {mm(width)} wide has no room for a batten {mm(t)} thick clear of the wall: it needs "
            f"{mm(t + CLEAR)}, or leave a margin",
            "wall",
        )
    low = stand_of(kick, None, site).frame
    if top - low < LEAST:
        raise Unbuildable(f"{mm(top)} of height leave no room over the toe kick", "height")
    held = (0.0, t) if options.wall == "right" else (width - t, width)
    making = Making(Draft(), site, options, (0.0, width), held, _stuff(options, site), allowance(options.scribe))
    strip = making.strip("strip", (low, top))
    making.batten("batten", making.behind, (low, top), strip)
    if kick:
        _kick(making, kick, low)
    ends = ("batten", "strip") if options.wall == "right" else ("strip", "batten")
    return making.draft.finish(site.name, site.code, "filler", ends, ("batten",))


def _kick(making: Making, kick: ToeKick, low: float) -> None:
    """The kick line under the strip: a board set back, or a skirt on a board that shows in the gap over it."""
    if kick.style == "skirt":
        board = making.kick_board(making.behind, low)
        making.draft.join("screwed", making.strip("skirt", (0.0, kick.height)), board)
        making.draft.join("rests", "batten", board)
        return
    if kick.depth < making.behind:
        raise Unbuildable(f"a toe kick {mm(kick.depth)} deep ends inside the strip", "toe_kick", "depth")
    making.kick_board(kick.depth, kick.height)
