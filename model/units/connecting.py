"""Connecting shelves: they bridge the gap between two uppers, on ledges screwed to the uppers' sides."""

import itertools
from typing import Literal

from pydantic import Field

from model.config.types import Name, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.lighting.lights import LightOptions, LightPlace, light_under
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.pick import pick
from model.stock.tables import Board, Sheet
from model.tolerances import rounded
from model.units import UnitOptions, unit_kind

Span = tuple[float, float]

LEAST_BEARING = 10.0
"""mm. A shelf lies at least this far on its ledges (common practice)."""

LEDGE_CLEAR = 5.0
"""mm. What is fixed under a shelf keeps this far from its ledges."""


class LedgeOptions(Strict):
    """The strips shelves lie on, as long as the shelf is deep behind its facing."""

    height: PositiveLength = Field(default=30.0, ge=15)
    """Of a strip (a lower one splits where it is screwed: common practice)."""
    board: Name | None = None
    """A dressed board to rip them of; the carcass sheet unless given."""


class FacingOptions(Strict):
    """A board along the front of each shelf: it hides ledges and light, and stiffens the shelf."""

    board: Name | None = None
    """The board; that of face frames unless given."""
    height: PositiveLength | None = None
    """Ripped to this height; as wide as it is unless given."""
    at: Literal["front", "under"] = "front"
    """On the `front` edge, flush with the upper face, or `under` the shelf, flush with its front."""


class ConnectingOptions(UnitOptions):
    """Shelves between two uppers."""

    kind: Literal["connecting"] = "connecting"
    """This kind."""
    depth: PositiveLength | None = None
    """Front of the facing to the rear; as deep as the shallower upper unless given."""
    count: int = Field(default=1, ge=1, le=12)
    """How many shelves."""
    spacing: PositiveLength = 300.0
    """Underside to underside."""
    heights: tuple[PositiveLength, ...] | None = Field(default=None, max_length=11)
    """Undersides of the shelves over the lowest, above its own, rising; in place of count and spacing."""
    clearance: NonNegativeLength = Field(default=1.0, le=10)
    """Air at each end of a shelf, and between a shelf and a strip over it."""
    hold: Literal["ledges", "pairs"] = "ledges"
    """Shelves lie on `ledges`, or between `pairs` of strips they slide into from the front, one sheet thickness and the
    clearance apart. The lowest shelf is never fixed: it comes out to get at the light."""
    ledge: LedgeOptions = LedgeOptions()
    """The strips."""
    facing: FacingOptions | None = FacingOptions()
    """A board along the front; null for bare edges."""
    light: LightOptions | None = None
    """A light under the lowest shelf, its driver on it."""


class _Facing:
    """The facing of each shelf: its board, how high it is, and where (mm)."""

    def __init__(self, options: FacingOptions | None, site: Site, sheet: Sheet) -> None:
        self.board: Board | None = None
        self.height = self.thickness = 0.0
        self.on_front = False
        if options is None:
            return
        own = pick(site.stock.boards, options.board, "board", "facing", "board")
        self.board = own or site.board("frame")
        self.height, self.thickness = options.height or self.board.width, self.board.thickness
        self.on_front = options.at == "front"
        if self.height > self.board.width:
            raise Unbuildable(
                f"a facing {mm(self.height)} high is wider than the {mm(self.board.width)} board {self.board.name}",
                "facing",
                "height",
            )
        if self.on_front and self.height < sheet.thickness:
            raise Unbuildable(
                f"the facing is lower than the shelf is thick ({mm(sheet.thickness)})", "facing", "height"
            )

    def span(self, z: Span) -> Span:
        """Its lower and upper edge on a shelf over z."""
        top = z[1] if self.on_front else z[0]
        return (top - self.height, top)


def undersides(options: ConnectingOptions) -> list[float]:
    """The underside of each shelf above that of the lowest, mm. Raises Unbuildable where they do not rise."""
    if options.heights is None:
        return [i * options.spacing for i in range(options.count)]
    found = [0.0, *options.heights]
    if any(b <= a for a, b in itertools.pairwise(found)):
        raise Unbuildable("heights of shelves rise from the lowest up", "heights")
    return found


@unit_kind("connecting", "C", ConnectingOptions, stands="between")
def build(options: ConnectingOptions, site: Site) -> BuiltUnit:
    """Connecting shelves in the gap's own frame: the underside of the lowest at z = 0, its ledges below that."""
    sheet = site.sheet("carcass")
    facing = _Facing(options.facing, site, sheet)
    depth = options.depth if options.depth is not None else site.depth_limit
    if depth is None:
        raise Unbuildable("no depth: give the shelves one, or place them between two uppers", "depth")
    if site.depth_limit is not None and rounded(depth - site.depth_limit) > 0:
        raise Unbuildable(f"deeper than the uppers beside them ({mm(site.depth_limit)})", "depth")
    if depth - facing.thickness < 4 * sheet.thickness:
        raise Unbuildable(f"{mm(depth)} of depth leave no shelf behind the facing", "depth")
    ledge = pick(site.stock.boards, options.ledge.board, "board", "ledge", "board")
    thick = (ledge or sheet).thickness
    if ledge and options.ledge.height > ledge.width:
        raise Unbuildable(
            f"a ledge {mm(options.ledge.height)} high is wider than the {mm(ledge.width)} board {ledge.name}",
            "ledge",
            "height",
        )
    if thick - options.clearance < LEAST_BEARING:
        raise Unbuildable(
            f"a shelf lies on {mm(rounded(thick - options.clearance))} of its ledge, "
            f"it needs {mm(LEAST_BEARING)}: lessen the clearance or take a thicker ledge",
            "clearance",
        )
    if site.width < 4 * thick + 2 * options.clearance:
        raise Unbuildable(f"a gap of {mm(site.width)} is too narrow for a shelf", "clearance")
    found = undersides(options)
    _check_heights(options, site, sheet, facing, found)
    draft = Draft()
    strips: list[str] = []
    shelves: list[Panel] = []
    for i, z in enumerate(found, 1):
        shelf = _shelf(draft, options, site, sheet, facing, i, z, depth)
        strips += _ledges(draft, options, site, sheet, ledge, facing, i, shelf, depth)
        shelves.append(shelf)
    if options.light:
        lowest, inner = shelves[0], thick + LEDGE_CLEAR
        room = (inner, site.width - inner)
        under = (0.0, lowest.box.hi[1])
        place = LightPlace(
            lowest,
            room,
            under,
            lowest,
            room,
            lowest.box.span("y"),
            front=facing.thickness,
            headroom=found[1] - sheet.thickness if len(found) > 1 else None,
        )
        light_under(draft, site, options.light, place)
    return draft.finish(site.name, site.code, "connecting", ("ledge 1, left", "ledge 1, right"), tuple(strips))


def _check_heights(options: ConnectingOptions, site: Site, sheet: Sheet, facing: _Facing, found: list[float]) -> None:
    """Each shelf with its strips and facing clear of the next, and all of them between the uppers."""
    t, strip = sheet.thickness, options.ledge.height
    over = t + (options.clearance + strip if options.hold == "pairs" else 0.0)
    under = max(strip, -facing.span((0.0, t))[0] if facing.board else 0.0)
    key = "spacing" if options.heights is None else "heights"
    for a, b in itertools.pairwise(found):
        if b - a < over + under:
            raise Unbuildable(
                f"shelves {mm(rounded(b - a))} apart meet: "
                f"with strips and facings they need {mm(rounded(over + under))}",
                key,
            )
    top = rounded(found[-1] + over)
    if site.height is not None and top > site.height:
        raise Unbuildable(
            f"the highest shelf ends {mm(rounded(top - site.height))} above the lower of the two uppers", key
        )


def _shelf(
    draft: Draft,
    options: ConnectingOptions,
    site: Site,
    sheet: Sheet,
    facing: _Facing,
    number: int,
    z: float,
    depth: float,
) -> Panel:
    """A shelf and its facing, both short of the uppers by the clearance."""
    x = (options.clearance, site.width - options.clearance)
    t = sheet.thickness
    start = facing.thickness if facing.on_front else 0.0
    shelf = draft.sheet(f"shelf {number}", Box((x[0], start, z), (x[1], depth, z + t)), sheet, "x", "+z", "shelf")
    if facing.board:
        low, high = facing.span((z, z + t))
        box = Box((x[0], 0.0, low), (x[1], facing.thickness, high))
        board = draft.board(f"facing {number}", box, facing.board, "x", "-y", "facing")
        draft.join("glued", board, shelf)
    return shelf


def _ledges(
    draft: Draft,
    options: ConnectingOptions,
    site: Site,
    sheet: Sheet,
    board: Board | None,
    facing: _Facing,
    number: int,
    shelf: Panel,
    depth: float,
) -> list[str]:
    """The strips of one shelf, by path: one under each end, and one over it where they come in pairs."""
    thick, high = (board or sheet).thickness, options.ledge.height
    low, top = shelf.box.span("z")
    levels = [("ledge", (low - high, low))]
    if options.hold == "pairs":
        levels.append(("upper ledge", (top + options.clearance, top + options.clearance + high)))
    paths: list[str] = []
    for name, z in levels:
        for label, x, face in (("left", (0.0, thick), "+x"), ("right", (site.width - thick, site.width), "-x")):
            box = Box((x[0], facing.thickness, z[0]), (x[1], depth, z[1]))
            path = f"{name} {number}, {label}"
            if board:
                draft.board(path, box, board, "y", face, "ledge")
            else:
                draft.sheet(path, box, sheet, "y", face, "ledge")
            if name == "ledge":
                # the lowest stays loose until the wiring under it is done, and after
                loose = number == 1 or options.hold == "pairs"
                draft.join("rests" if loose else "screwed", shelf, path)
            paths.append(path)
    return paths
