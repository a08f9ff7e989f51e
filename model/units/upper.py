"""Uppers: shelf units that stand on a top, screwed to it through their bottom rails."""

import math
from typing import Literal

from model.carcass import Back, Carcass, Joinery, Joints, Shell, Span, side_depth
from model.config.types import PositiveLength
from model.doors import DoorOptions, make_doors, shelf_room
from model.draft import Draft, Panel
from model.frame import Frame, FrameOptions, Opening, face_frame, rail_width
from model.fronts import FrontOptions
from model.messages import mm
from model.plan import BuiltUnit
from model.shelves import ShelfOptions, make_shelves
from model.site import Site, Unbuildable
from model.units import UnitOptions, unit_kind

SCREW_END = 50.0
"""mm. First and last screw of a bottom rail from its ends (common practice)."""


class UpperOptions(UnitOptions):
    """A shelf unit on a top."""

    kind: Literal["upper"] = "upper"
    """This kind."""
    depth: PositiveLength = 300.0
    """Face of its facing (or front edge of the sides) to the rear."""
    height: PositiveLength | None = None
    """From the top it stands on to its upper end; may be given where it is placed."""
    joinery: Joinery = "housed"
    """How the panels between the sides are held."""
    joints: Joints = Joints()
    """How deep grooves and how high cleats are."""
    back: Back | None = Back()
    """A thin back against racking; null for none."""
    frame: FrameOptions | None = FrameOptions()
    """A facing of boards; null for bare edges."""
    bottom_rail: PositiveLength | None = None
    """Height of the bottom rails; the facing's rail, or 40 mm without one."""
    screw_spacing: PositiveLength = 150.0
    """Screws through a bottom rail into the top, at most this far apart."""
    fronts: FrontOptions = FrontOptions()
    """How doors lie over the opening."""
    shelves: ShelfOptions | None = ShelfOptions(count=2)
    """Adjustable shelves."""
    doors: DoorOptions | None = None
    """Doors."""


def screw_places(length: float, spacing: float, end: float = SCREW_END) -> list[float]:
    """Places of evenly spaced screws along a rail, mm from its end: at the ends and at most `spacing` apart."""
    if length <= 2 * end:
        return [length / 2]
    gaps = max(1, math.ceil((length - 2 * end) / spacing - 1e-9))
    return [end + i * (length - 2 * end) / gaps for i in range(gaps + 1)]


def _rail_height(options: UpperOptions, site: Site) -> float:
    if options.frame is None:
        return options.bottom_rail or 40.0
    rail = rail_width(options.frame, site.board("frame"))
    if options.bottom_rail not in (None, rail):
        raise Unbuildable(f"the facing's bottom rail is {mm(rail)}: leave out bottom_rail or the frame", "bottom_rail")
    return rail


def _bore_rail(rail: Panel, options: UpperOptions, site: Site) -> None:
    """Bores straight down through a rail on edge, evenly spaced."""
    screw = site.screw("rail_screw")
    (x0, y0, _), (x1, y1, z1) = rail.box.lo, rail.box.hi
    for x in screw_places(x1 - x0, options.screw_spacing):
        rail.bore((x0 + x, (y0 + y1) / 2, z1), "-z", screw.clearance_diameter, purpose="screw")


@unit_kind("upper", "U", UpperOptions, above=True)
def build(options: UpperOptions, site: Site) -> BuiltUnit:
    """An upper in its own frame, standing on z = 0."""
    height = options.height if options.height is not None else site.height
    if height is None:
        raise Unbuildable("no height: give the upper one, or say it where it is placed", "height")
    draft = Draft()
    sheet = site.sheet("carcass")
    thin = site.sheet("back") if options.back else None
    t = sheet.thickness
    front = site.board("frame").thickness if options.frame else 0.0
    inner = options.depth - thin.thickness if thin else options.depth
    rail = _rail_height(options, site)
    if site.width < 6 * t or inner - front < 6 * t or height < rail + 6 * t:
        raise Unbuildable(
            f"an upper of {mm(site.width)} x {mm(options.depth)} x {mm(height)} is too small to build", "depth"
        )
    box = Carcass.sides(
        draft,
        sheet,
        options.joinery,
        options.joints,
        site.width,
        (front, side_depth(options.back, thin, options.depth)),
        height,
    )
    strips = options.back is not None and options.back.fixing == "between"
    rear = inner - t if strips else inner
    set_in = options.fronts.stands_in(site.sheet("front").thickness, front) if options.doors else 0.0
    top = box.level("top", (front, inner), height, "top", (front + set_in, rear))
    bottom = _floor(draft, box, options, site, rail, front, inner)
    under = height - t - (options.joints.cleat if options.joinery == "cleated" else 0.0)
    if options.back and thin:
        box.back(options.back, thin, options.depth, (0.0, height), (top,), (rail, under))
    shell = Shell(site.width, height, t, front, rear, rail, under, box.left, box.right)
    _front(draft, options, site, shell, bottom)
    return draft.finish(site.name, site.code, "upper", ("left side", "right side"), ("left side", "right side"))


def _floor(
    draft: Draft, box: Carcass, options: UpperOptions, site: Site, rail: float, front: float, inner: float
) -> Panel:
    """The bottom and the rails it lies between: their upper edges stay bare for the screws into the top."""
    t = box.sheet.thickness
    back_rail = box.upright("rear bottom rail", (inner - t, inner), (0.0, rail), "bottom rail")
    _bore_rail(back_rail, options, site)
    start = front
    if options.frame is None:
        front_rail = box.upright("front bottom rail", (front, front + t), (0.0, rail), "bottom rail")
        _bore_rail(front_rail, options, site)
        start = front + t
    bottom = box.level("bottom", (start, inner - t), rail, "bottom")
    draft.join("screwed", bottom, back_rail)
    return bottom


def _front(draft: Draft, options: UpperOptions, site: Site, shell: Shell, bottom: Panel) -> None:
    """Facing, shelves and doors."""
    z: Span = (shell.floor, shell.height - shell.thickness)
    opening = Opening(shell.inside, z, shell.left, shell.right)
    frame: Frame | None = None
    if options.frame:
        frame = face_frame(draft, options.frame, site.board("frame"), shell, (0.0, shell.height))
        opening = frame.opening
        rail = draft.panels["bottom rail"]
        _bore_rail(rail, options, site)
        draft.join("screwed", rail, bottom)
    lap = options.fronts.lap(None if options.frame else shell.thickness)
    avoid: list[Span] = []
    if options.shelves:
        avoid = make_shelves(
            draft, site, shell, options.shelves, shelf_room(options.fronts, options.doors, site, frame)
        )
    if options.doors:
        make_doors(draft, site, options.doors, opening, lap, options.fronts.gap, tuple(avoid))
