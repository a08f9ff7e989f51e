"""Base cabinets: a carcass on the floor under a top, with drawers, doors and shelves behind a face frame or none."""

from dataclasses import dataclass, replace
from typing import Literal

from model.carcass import Back, Carcass, Joinery, Joints, Shell, Span, side_depth
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.doors import DoorOptions, make_doors, shelf_room
from model.draft import Draft, Panel
from model.drawers import DrawerOptions, bay_of, build_outs, choose_slide, make_drawer, plan_drawer
from model.frame import Frame, FrameOptions, Opening, face_frame, rail_width
from model.fronts import FrontOptions, Row, front_heights, room_for_fronts, rows
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.shelves import ShelfOptions, make_shelves
from model.site import Site, Unbuildable
from model.units import UnitOptions, unit_kind

DOOR_LEAST = 150.0
"""mm. Doors lower than this are not worth hanging."""


class ToeKick(Strict):
    """Room for the toes under a base."""

    style: Literal["notch", "skirt"] = "notch"
    """`notch`: sawn out of the sides and closed by a board set back. `skirt`: a board flush with the frame (or with
    overlay fronts where there is none), on a board behind it that shows in the gap over the skirt."""
    height: PositiveLength = 90.0
    """Floor to the top of the notch, or height of the skirt (90 to 100 mm, 3 1/2 to 4 in: common practice)."""
    depth: PositiveLength = 75.0
    """Front of the unit to the board at the back of the notch (75 mm, 3 in: common practice)."""
    gap: NonNegativeLength = 25.0
    """Top of a skirt to the underside of the frame."""


class BaseOptions(UnitOptions):
    """A base cabinet."""

    kind: Literal["base"] = "base"
    """This kind."""
    depth: PositiveLength = 600.0
    """Face of the frame (or front edge of the sides) to the rear."""
    height: PositiveLength | None = None
    """Floor to the upper edge of the sides; set by the top over it where there is one."""
    joinery: Joinery = "housed"
    """How the panels between the sides are held: `butt`, `housed` in grooves, or `cleated` on strips."""
    joints: Joints = Joints()
    """How deep grooves and how high cleats are."""
    toe_kick: ToeKick | None = ToeKick()
    """Room for the toes; null for a box that stands flat on the floor."""
    closing: Literal["stretchers", "full"] = "stretchers"
    """What closes the box above: two stretchers, or a full sub-top (always where a seam or an upper lands)."""
    stretcher: PositiveLength = 100.0
    """Width of a top stretcher."""
    back: Back | None = Back()
    """A thin back; null for none."""
    frame: FrameOptions | None = FrameOptions()
    """A face frame; null for a frameless box."""
    fronts: FrontOptions = FrontOptions()
    """How fronts lie over the opening."""
    drawers: DrawerOptions | None = None
    """Drawers; over the doors where there are both."""
    doors: DoorOptions | None = None
    """Doors."""
    shelves: ShelfOptions | None = None
    """Adjustable shelves behind doors or in the open."""


@dataclass(frozen=True)
class Heights:
    """The levels of a base, mm above the floor: underside of the frame, upper face of the bottom, and of the sides."""

    frame: float
    floor: float
    top: float


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
    kick = options.toe_kick
    low = 0.0 if kick is None else kick.height + (kick.gap if kick.style == "skirt" else 0.0)
    floor = low + (rail_width(options.frame, site.board("frame")) if options.frame else t)
    if top - floor < 4 * t:
        raise Unbuildable(f"{mm(top)} of height leave no room over the toe kick", "height")
    return Heights(low, floor, top)


def _carcass(draft: Draft, options: BaseOptions, site: Site) -> tuple[Shell, Heights]:
    sheet = site.sheet("carcass")
    thin = site.sheet("back") if options.back else None
    t = sheet.thickness
    level = heights_of(options, site)
    front = site.board("frame").thickness if options.frame else 0.0
    ends = side_depth(options.back, thin, options.depth)
    inner = options.depth - thin.thickness if thin else options.depth
    if site.width < 6 * t or inner - front < 6 * t:
        raise Unbuildable(f"a base {mm(site.width)} wide and {mm(options.depth)} deep is too small to build", "depth")
    box = Carcass.sides(draft, sheet, options.joinery, options.joints, site.width, (front, ends), level.top)
    bottom_front = _toe_kick(draft, box, options, site, level, front)
    set_in = options.fronts.stands_in(site.sheet("front").thickness, front) if options.drawers or options.doors else 0.0
    bottom = box.level("bottom", (bottom_front[0], inner), level.floor, "bottom", (bottom_front[1], inner))
    strips = options.back is not None and options.back.fixing == "between"
    rear = inner - t if strips else inner
    closers = _closing(box, options, site, level.top, (front, inner), (front + set_in, rear))
    under = level.top - t - (options.joints.cleat if options.joinery == "cleated" else 0.0)
    if options.back and thin:
        back_bottom = level.floor - t
        box.back(
            options.back, thin, options.depth, (back_bottom, level.top), (bottom, closers[-1]), (level.floor, under)
        )
    shell = Shell(site.width, level.top, t, front, rear, level.floor, under, box.left, box.right)
    return shell, level


def _toe_kick(
    draft: Draft, box: Carcass, options: BaseOptions, site: Site, level: Heights, front: float
) -> tuple[float, float]:
    """Make the toe kick; gives where the bottom begins in y and where cleats under it may begin."""
    kick, t = options.toe_kick, site.sheet("carcass").thickness
    if kick is None:
        return front, front
    if kick.style == "notch":
        if kick.depth <= front:
            raise Unbuildable(f"a toe kick {mm(kick.depth)} deep ends inside the face frame", "toe_kick", "depth")
        box.take_from_sides((front, kick.depth), (0.0, kick.height))
        box.upright("toe board", (kick.depth, kick.depth + t), (0.0, level.floor - t), "toe board")
        return front, kick.depth + t
    behind = box.upright("kick board", (front, front + t), (0.0, level.floor), "kick board")
    board = site.board_for_width(site.board("frame"), kick.height) if options.frame else None
    sheet = site.sheet("front")
    thickness = board.thickness if board else sheet.thickness
    span = Box((0, front - thickness, 0), (site.width, front, kick.height))
    if board:
        skirt = draft.board("skirt", span, board, "x", "-y", "skirt")
    else:
        skirt = draft.sheet("skirt", span, sheet, "x", "-y", "skirt")
    draft.join("screwed", skirt, behind)
    return front + t, front + t


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


def _bare_opening(shell: Shell, level: Heights) -> Opening:
    t = shell.thickness
    return Opening(shell.inside, (level.floor, level.top - t), shell.left, shell.right)


def _drawer_rows(
    options: BaseOptions, drawers: DrawerOptions, z: Span, lap: float, member: float, step: float
) -> list[Row]:
    """The rows of drawers in an opening over z: all of it, or its upper part where doors lie below."""
    gap, between = options.fronts.gap, member if drawers.mullions else 0.0
    given = drawers.heights if isinstance(drawers.heights, tuple) else ()
    if not options.doors:
        count = len(given) or drawers.rows
        total = room_for_fronts(z, count, lap, gap, between)
        heights = front_heights(total, count, drawers.heights, drawers.graduation, step)
        return rows(z, heights, lap, gap, between)
    if not given:
        raise Unbuildable("drawers over doors need the heights of their fronts, as a list", "drawers", "heights")
    room_for_fronts(z, len(given), lap, gap, between)
    low = z[1] + lap - sum(given) - (len(given) - 1) * (between - 2 * lap if between else gap)
    lowest = low + lap if options.frame else low - gap / 2
    if lowest - z[0] < DOOR_LEAST:
        raise Unbuildable(f"the drawers leave {mm(lowest - z[0])} for the doors under them", "drawers", "heights")
    return rows((lowest, z[1]), given, lap, gap, between)


def _make_drawers(
    draft: Draft,
    options: BaseOptions,
    drawers: DrawerOptions,
    site: Site,
    shell: Shell,
    opening: Opening,
    frame: Frame | None,
) -> Row:
    """The drawers of a unit, from the top down; gives the lowest row."""
    slide, front = site.slide(), site.sheet("front")
    lap = options.fronts.lap(None if frame else shell.thickness)
    if drawers.mullions and frame is None:
        raise Unbuildable(
            "mullions belong to a face frame: give the unit a frame or leave them out", "drawers", "mullions"
        )
    found = _drawer_rows(options, drawers, opening.z, lap, frame.rail if frame else 0.0, site.step)
    front_y = front.thickness if options.fronts.mount == "inset" else 0.0
    length = choose_slide(slide, drawers, shell.rear - front_y)
    thickness = drawers.build_out if drawers.build_out is not None else opening.x[0] - shell.inside[0]
    clear = (shell.inside[0] + thickness, shell.inside[1] - thickness)
    hosts = (shell.left, shell.right)
    for i, row in enumerate(found, 1):
        name = f"drawer {i}"
        plan = plan_drawer(
            drawers, slide, bay_of(opening, clear, lap, hosts), row, front, front_y, length, shell.ceiling
        )
        carriers = build_outs(draft, site, name, shell, thickness, plan, slide) if thickness > 0 else hosts
        make_drawer(draft, site, name, drawers, bay_of(opening, clear, lap, carriers), plan, slide)
        if drawers.mullions and frame and i < len(found):
            frame.member(f"mullion {i}", row.zone[0] - frame.rail)
    return found[-1]


def _under_drawers(options: BaseOptions, opening: Opening, frame: Frame | None, lowest: Row, lap: float) -> Opening:
    """The opening left for doors under the lowest drawer."""
    if frame:
        frame.member("rail under drawers", lowest.zone[0] - frame.rail)
        return opening.within((opening.z[0], lowest.zone[0] - frame.rail))
    return opening.within((opening.z[0], lowest.front[0] - options.fronts.gap - lap))


@unit_kind("base", "B", BaseOptions, carries=True)
def build(options: BaseOptions, site: Site) -> BuiltUnit:
    """A base cabinet in its own frame, the face of its frame at y = 0."""
    draft = Draft()
    shell, level = _carcass(draft, options, site)
    frame: Frame | None = None
    opening = _bare_opening(shell, level)
    if options.frame:
        frame = face_frame(draft, options.frame, site.board("frame"), shell, (level.frame, level.top))
        opening = frame.opening
    lap = options.fronts.lap(None if frame else shell.thickness)
    contents = shell
    if options.drawers:
        lowest = _make_drawers(draft, options, options.drawers, site, shell, opening, frame)
        if options.doors:
            opening = _under_drawers(options, opening, frame, lowest, lap)
            contents = replace(shell, ceiling=min(shell.ceiling, opening.z[1]))
        elif options.shelves:
            raise Unbuildable("drawers fill the unit: shelves go behind doors or in the open", "shelves")
    shelves: list[Span] = []
    if options.shelves:
        shelves = make_shelves(
            draft, site, contents, options.shelves, shelf_room(options.fronts, options.doors, site, frame)
        )
    if options.doors:
        make_doors(draft, site, options.doors, opening, lap, options.fronts.gap, tuple(shelves))
    return draft.finish(site.name, site.code, "base", ("left side", "right side"), _bears(draft))


def _bears(draft: Draft) -> tuple[str, ...]:
    """What a top lies on: the sides, the stretchers or the sub-top."""
    names = ("left side", "right side", "sub-top", "front stretcher", "rear stretcher")
    return tuple(path for path in draft.order if path in names)
