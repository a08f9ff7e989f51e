"""Base cabinets: a carcass on the floor under a top, with drawers, doors and shelves behind a face frame or none."""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from model.cabinet.bands import band_of, lay
from model.cabinet.carcass import Back, Carcass, Joints, Shell, Span, WallRail, back_depth, side_depth
from model.cabinet.columns import Column, fill_columns, partitions
from model.cabinet.contents import Contents, Place, fill
from model.cabinet.doors import DoorOptions
from model.cabinet.drawers import DrawerOptions
from model.cabinet.frame import Frame, FrameOptions, Opening, face_frame, rail_width
from model.cabinet.fronts import FrontOptions
from model.cabinet.joinery import Joinery, fasteners_of
from model.cabinet.shelves import ShelfOptions
from model.cabinet.toe_kicks import Feet, Stand, ToeKick, make_feet, make_toe_kick, stand_of
from model.cabinet.trays import TrayOptions
from model.config.types import Name, PositiveLength
from model.draft import Draft, Panel
from model.messages import mm
from model.plan import BuiltUnit
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.units import UnitOptions, unit_kind


class BaseOptions(UnitOptions):
    """A base cabinet."""

    kind: Literal["base"] = "base"
    """This kind."""
    depth: PositiveLength = 600.0
    """Face of the frame (or front edge of the sides) to the rear."""
    height: PositiveLength | None = None
    """Floor to the upper edge of the sides; set by the top over it where there is one."""
    joinery: Joinery = "housed"
    """How the panels between the sides are held: `butt`, `housed` in grooves, `cleated` on strips, by `pocket` screws
    or `dowelled`."""
    joints: Joints = Joints()
    """How deep grooves and how high cleats are."""
    toe_kick: ToeKick | None = ToeKick()
    """Room for the toes; null for a box that stands flat on the floor or on feet."""
    feet: Feet | None = None
    """Levelling feet or glides; null for wood on the floor."""
    closing: Literal["stretchers", "full"] = "stretchers"
    """What closes the box above: two stretchers, or a full sub-top (always where a seam or an upper lands)."""
    stretcher: PositiveLength = 100.0
    """Width of a top stretcher."""
    back: Back | None = Back()
    """A thin back; null for none."""
    wall_rail: WallRail | None = WallRail()
    """A board on edge at the rear, right under what closes the box, screwed to studs against tipping; null for none."""
    frame: FrameOptions | None = FrameOptions()
    """A face frame; null for a frameless box."""
    edge_band: Name | None = None
    """Band in stock on all front edges that show and round the fronts; of a frameless box only."""
    fronts: FrontOptions = FrontOptions()
    """How fronts lie over the opening."""
    tray: TrayOptions | None = None
    """A pull-out work surface over everything else."""
    drawers: DrawerOptions | None = None
    """Drawers; over the doors where there are both."""
    doors: DoorOptions | None = None
    """Doors."""
    shelves: ShelfOptions | None = None
    """Shelves behind doors or in the open."""
    columns: Annotated[tuple[Column, ...], Field(max_length=12)] = ()
    """The carcass divided by partitions, left to right, each column with contents of its own in place of the four keys
    above."""

    def contents(self) -> tuple[Contents, ...]:
        """What is in each opening."""
        own = Contents(tray=self.tray, drawers=self.drawers, doors=self.doors, shelves=self.shelves)
        return self.columns or (own,)


@dataclass(frozen=True)
class Heights:
    """The levels of a base, mm above the floor: what it stands on, upper face of the bottom, and of the sides."""

    stand: Stand
    floor: float
    top: float


@dataclass(frozen=True)
class Made:
    """A carcass ready to be filled."""

    shell: Shell
    level: Heights
    bottom: Panel
    closers: list[Panel]
    inner: float
    band: EdgeBand | None


def heights_of(options: BaseOptions, site: Site) -> Heights:
    """The bottom lies flush with the upper edge of the frame's bottom rail, or on the toe kick where there is no frame.

    Under a skirt the board behind it reaches from the floor to that same edge: skirt, gap and rail together.
    """
    top = site.height if site.height is not None else options.height
    if top is None:
        raise Unbuildable("no height: place it under a top that has one, or give the unit its own", "height")
    if options.height is not None and abs(options.height - top) > 0.05:
        raise Unbuildable(
            f"the height {mm(options.height)} does not meet the top over it, which needs {mm(top)}", "height"
        )
    t = site.sheet("carcass").thickness
    stand = stand_of(options.toe_kick, options.feet, site)
    floor = stand.frame + (rail_width(options.frame, site.board("frame")) if options.frame else t)
    if top - floor < 4 * t:
        raise Unbuildable(f"{mm(top)} of height leave no room over the toe kick", "height")
    return Heights(stand, floor, top)


def _carcass(draft: Draft, options: BaseOptions, site: Site) -> Made:
    sheet, thin = site.sheet("carcass"), site.sheet("back") if options.back else None
    t, level, band = sheet.thickness, heights_of(options, site), band_of(site, options.edge_band)
    # bare edges with a band begin behind it: the outer sizes stay
    front = site.board("frame").thickness if options.frame else band.thickness if band else 0.0
    ends, inner = side_depth(options.back, thin, options.depth), back_depth(options.back, thin, options.depth)
    if site.width < 6 * t or inner - front < 6 * t:
        raise Unbuildable(f"a base {mm(site.width)} wide and {mm(options.depth)} deep is too small to build", "depth")
    box = Carcass.sides(
        draft,
        sheet,
        options.joinery,
        options.joints,
        site.width,
        (front, ends),
        level.top,
        level.stand.sides,
        fasteners_of(site, options.joinery),
    )
    framed = options.frame is not None
    begins = make_toe_kick(draft, box, options.toe_kick, site, level.stand, level.floor, front, framed)
    contents = options.contents()
    stands_in = options.fronts.stands_in(site.sheet("front").thickness, front if framed else 0.0)
    set_in = stands_in if any(c.drawers or c.doors for c in contents) else 0.0
    bottom = box.level("bottom", (begins[0], inner), level.floor, "bottom", (begins[1], inner))
    strips = options.back is not None and options.back.fixing == "between"
    rear = inner - t if strips or options.wall_rail else inner
    closers = _closing(box, options, site, level.top, (front, inner), (front + set_in, rear))
    under = level.top - t - (options.joints.cleat if options.joinery == "cleated" else 0.0)
    against, stripped = [bottom, closers[-1]], under
    if options.wall_rail:
        rail = box.wall_rail(options.wall_rail, (rear, inner), closers[-1])
        against, stripped = [*against, rail], rail.box.lo[2]
    if options.back and thin:
        box.back(
            options.back,
            thin,
            inner + thin.thickness,
            (level.floor - t, level.top),
            tuple(against),
            (level.floor, stripped),
        )
    if options.feet:
        make_feet(draft, box, options.toe_kick, site, level.stand)
    if band:
        _band_edges(draft, band, box, options, bottom, closers, level)
    shell = Shell(
        site.width, level.top, t, front if framed else 0.0, rear, level.floor, under, box.left, box.right, box
    )
    return Made(shell, level, bottom, closers, inner, band)


def _band_edges(
    draft: Draft,
    band: EdgeBand,
    box: Carcass,
    options: BaseOptions,
    bottom: Panel,
    closers: list[Panel],
    level: Heights,
) -> None:
    """Bands on the front edges of the sides, the bottom and what closes the box; behind a skirt nothing shows."""
    kick = options.toe_kick
    low = kick.height if kick is not None and kick.style == "notch" else level.stand.sides
    for side in box.both:
        lay(draft, band, side, "-y", z=(low, level.top))
    front = box.left.box.lo[1]
    for panel in (bottom, closers[0]):
        if panel.box.lo[1] == front:
            lay(draft, band, panel, "-y", x=box.inside)


def _closing(box: Carcass, options: BaseOptions, site: Site, top: float, y: Span, cleat: Span) -> list[Panel]:
    """What closes the carcass above, over y: a full sub-top, or a stretcher at the front and one at the rear.

    `cleat` is where strips under it may lie.
    """
    w = options.stretcher
    if options.closing == "full" or site.lands or y[1] - y[0] < 2.5 * w:
        return [box.level("sub-top", y, top, "sub-top", cleat)]
    return [
        box.level("front stretcher", (y[0], y[0] + w), top, "stretcher", (cleat[0], y[0] + w)),
        box.level("rear stretcher", (y[1] - w, y[1]), top, "stretcher", (y[1] - w, cleat[1])),
    ]


@unit_kind("base", "B", BaseOptions, carries=True)
def build(options: BaseOptions, site: Site) -> BuiltUnit:
    """A base cabinet in its own frame, the face of its frame at y = 0."""
    _check(options)
    draft = Draft()
    made = _carcass(draft, options, site)
    shell, level = made.shell, made.level
    t = shell.thickness
    walls: list[Panel] = []
    if options.columns:
        box = shell.box
        assert box is not None
        y = (box.left.box.lo[1], made.inner)
        walls = partitions(draft, box, options.columns, y, made.bottom, made.closers, made.band)
        for wall in walls if options.wall_rail else ():
            wall.take(draft.panels["wall rail"].box)
    frame: Frame | None = None
    opening = Opening(shell.inside, (level.floor, level.top - t), shell.left, shell.right)
    if options.frame:
        frame = face_frame(draft, options.frame, site.board("frame"), shell, (level.stand.frame, level.top))
        opening = frame.opening
    lap = options.fronts.lap(None if frame else t)
    place = Place(shell, opening, frame, options.fronts, lap, made.band)
    if options.columns:
        fill_columns(draft, site, options.columns, place, walls, options.frame)
    else:
        fill(draft, site, options.contents()[0], place)
    levelling = level.stand.levelling if options.feet else None
    return draft.finish(site.name, site.code, "base", ("left side", "right side"), _bears(draft), levelling)


def _check(options: BaseOptions) -> None:
    """Raise Unbuildable for options that speak against each other."""
    if options.columns:
        for key in ("tray", "drawers", "doors", "shelves"):
            if getattr(options, key) is not None:
                raise Unbuildable(f"the unit is divided in columns: {key} belong in one of them", key)
    if options.edge_band is not None and options.frame is not None:
        raise Unbuildable("a face frame covers the edges: set frame: null, or leave the band out", "edge_band")


def _bears(draft: Draft) -> tuple[str, ...]:
    """What a top lies on: the sides, the stretchers or the sub-top."""
    names = ("left side", "right side", "sub-top", "front stretcher", "rear stretcher")
    return tuple(path for path in draft.order if path in names)
