"""Wall beds: a bed that folds up into a cabinet against the wall, the long way up or sideways.

The bed stands shut behind its own front panel and turns down by a quarter about pivots low in the cabinet, lifted by a
gas spring on each side. The swing is a Motion; the springs hang between what turns and what stays, they are drawn as
they are while the bed is shut and their own motion is not simulated.

Cautions. A wall bed is heavy and can tip over or fall: screw the cabinet through its wall rail and floor rail into
studs or masonry before the bed is hung, and hang the bed only with its mattress's weight known. Keep children away from
the moving bed and never let them work it; keep hands clear of the gap at the pivots and of the legs. Gas springs are
under high pressure and must suit the weight: fit them last, two people, the bed held. Local codes and the makers of the
fittings go before anything said here.
"""

import math
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.beds.geometry import BedPlan, Reach, SpringPlace, reach_of, spring_place, strips, widest_piece
from model.beds.mattresses import MattressName, MattressSize, mattress_of
from model.beds.parts import Deck, make_deck, make_frame, make_legs, make_pivots, make_pulls, make_springs
from model.cabinet.carcass import Span
from model.config.types import Mass, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.beds import END
from model.tolerances import rounded
from model.units import UnitOptions, unit_kind

QUARTER = math.pi / 2
"""rad. From shut to down."""
GAP_LEAST = 25.0
"""mm. A board lower than this is not worth fixing."""


class DeckOptions(Strict):
    """What carries the mattress inside the frame."""

    of: Literal["slats", "panel"] = "slats"
    """`slats` of frame board, or a `panel` of carcass sheet in as few pieces as sheets give."""
    gap: NonNegativeLength = 60.0
    """Most air between two slats (60 to 75 mm: common practice, and what mattress makers allow)."""
    bearer: PositiveLength = 40.0
    """Height of the bearers under it."""


class WallBedOptions(UnitOptions):
    """A wall bed. Heavy and spring-loaded: screw the cabinet to studs, keep children and hands away as it moves."""

    kind: Literal["wall-bed"] = "wall-bed"
    """This kind."""
    orientation: Literal["vertical", "sideways"] = "vertical"
    """`vertical`: head at the wall, the long way up. `sideways`: along the wall, lower and less deep into the room."""
    mattress: MattressName | MattressSize = "140x200"
    """What lies on it, by name or measured: `{length: 1950, width: 880}`. Soft goods vary by 25 mm: measure yours."""
    mattress_thickness: PositiveLength = 200.0
    """Of a mattress given by name, or by a size without one."""
    mattress_mass: Mass | None = None
    """As weighed; estimated from its volume when left out. Gas springs are chosen by it: a wrong one is a danger."""
    play: NonNegativeLength = 10.0
    """Least room in the frame beyond the mattress, each way."""
    play_most: PositiveLength = 60.0
    """Most of it: a cabinet wider than that gives is refused."""
    lie_height: PositiveLength = 500.0
    """Floor to the upper face of the mattress, or of rails that stand higher, bed down (450 to 550 mm, 18 to 22 in:
    common practice)."""
    plinth: PositiveLength = 100.0
    """Floor to the lower edge of the front panel while the bed is shut."""
    depth: PositiveLength = 450.0
    """Face of the front panel to the rear of the cabinet."""
    height: PositiveLength | None = None
    """Of the cabinet; as low as the bed lets it be when left out. What is over goes to a header board."""
    rail: PositiveLength = 130.0
    """Height of the bed's frame, front panel left out. What stands over the deck keeps the mattress in."""
    deck: DeckOptions = DeckOptions()
    """What carries the mattress."""
    leg: Literal["board", "folding"] = "board"
    """`board`: a board across the front panel, a shelf while the bed is shut. `folding`: two bought legs; they must be
    unfolded before anyone sits down."""
    gap: PositiveLength = 3.0
    """Front panel to the sides of the cabinet (fingers are pinched here: keep them away)."""
    clearance: PositiveLength = 10.0
    """Least air between the bed and the cabinet as it turns."""
    wall_rail: PositiveLength = 100.0
    """Height of the rail under the top that is screwed to studs. It holds the whole cabinet: two screws to a stud."""
    back: bool = False
    """A thin back, applied behind the cabinet; the wall serves as one."""
    pull_height: PositiveLength = Field(default=1300.0)
    """Floor to the pulls, bed shut; lower where the panel ends sooner."""


@dataclass(frozen=True)
class Cabinet:
    """The levels of a cabinet around a bed, mm in the unit.

    `inside` is between the sides, `rear` the plane behind its rails, `base` the height of base board and floor rail,
    `ceiling` the least height of the underside of the top.
    """

    inside: Span
    rear: float
    base: float
    ceiling: float


def cabinet_width(options: WallBedOptions, site: Site) -> float:
    """The least width of the cabinet, mm: mattress and play, rails, pivots and sides."""
    m = mattress_of(options.mattress, options.mattress_thickness, options.mattress_mass)
    across = m.length if options.orientation == "sideways" else m.width
    return rounded(across + options.play + 4 * site.sheet("carcass").thickness + 2 * site.bed_pivot().thickness)


def plan_bed(options: WallBedOptions, site: Site) -> BedPlan:
    """The bed of a site's width. Raises Unbuildable where the width, the frame or the height does not work."""
    t, face, pivot = site.sheet("carcass").thickness, site.sheet("front").thickness, site.bed_pivot()
    mattress = mattress_of(options.mattress, options.mattress_thickness, options.mattress_mass)
    sideways = options.orientation == "sideways"
    least = cabinet_width(options, site)
    most = rounded(least + max(options.play_most - options.play, 0.0))
    if not least - 0.01 <= site.width <= most + 0.01:
        raise Unbuildable(
            f"this bed takes a cabinet {mm(least)} to {mm(most)} wide, not {mm(site.width)}: give it that width",
            "mattress",
        )
    if options.gap >= pivot.thickness:
        raise Unbuildable(
            f"a gap of {mm(options.gap)} shows the pivots: keep it under their {mm(pivot.thickness)}", "gap"
        )
    deck = t if options.deck.of == "panel" else site.board("frame").thickness
    if options.rail < options.deck.bearer + deck + GAP_LEAST:
        raise Unbuildable(
            f"rails {mm(options.rail)} high do not keep a mattress in over {mm(options.deck.bearer + deck)} of deck",
            "rail",
        )
    if options.rail < pivot.diameter:
        raise Unbuildable(f"rails {mm(options.rail)} high are lower than the {mm(pivot.diameter)} pivots", "rail")
    axis_y = rounded(face + options.rail / 2)
    stack = face + options.deck.bearer + deck + mattress.thickness
    standing = rounded(options.lie_height - max(stack, face + options.rail))
    axis = (axis_y, rounded(standing + axis_y))
    if standing < 2 * GAP_LEAST or axis[1] - options.plinth < pivot.diameter / 2 + GAP_LEAST:
        raise Unbuildable(
            f"a mattress {mm(options.lie_height)} above the floor leaves {mm(standing)} under the bed and no room for "
            "its pivots: let it lie higher, or lower the plinth",
            "lie_height",
        )
    high = rounded(options.plinth + (mattress.width if sideways else mattress.length) + options.play + 2 * t)
    return BedPlan(
        mattress,
        sideways,
        t,
        face,
        options.rail,
        options.deck.bearer,
        deck,
        (rounded(t + pivot.thickness), rounded(site.width - t - pivot.thickness)),
        (rounded(t + options.gap), rounded(site.width - t - options.gap)),
        (options.plinth, high),
        axis,
        standing,
    )


def plan_cabinet(options: WallBedOptions, site: Site, plan: BedPlan) -> tuple[Cabinet, Reach]:
    """The cabinet that leaves the bed its clearance all the way down. Raises Unbuildable."""
    t, c = plan.sheet, options.clearance
    reach = reach_of(plan.corners(), plan.axis)
    thin = site.sheet("back").thickness if options.back else 0.0
    needed = rounded(max(reach.back, plan.rear) + c + t + thin)
    if options.depth < needed:
        raise Unbuildable(
            f"the bed turns into a cabinet {mm(options.depth)} deep, it needs {mm(needed)}: make it deeper, raise the "
            "plinth or let the bed lie lower",
            "depth",
        )
    if site.depth_limit is not None and options.depth > site.depth_limit:
        raise Unbuildable(f"the cabinet is {mm(options.depth)} deep, there is room for {mm(site.depth_limit)}", "depth")
    base = rounded(math.floor((reach.down - c) / site.step + 1e-6) * site.step)
    if base < GAP_LEAST:
        raise Unbuildable(
            f"the bed comes down to {mm(reach.down)} above the floor as it turns and leaves no base board: "
            "raise the plinth or let the bed lie higher",
            "plinth",
        )
    ends = (t, rounded(site.width - t))
    return Cabinet(ends, rounded(options.depth - thin), base, rounded(reach.up + c)), reach


def _height(options: WallBedOptions, site: Site, cabinet: Cabinet, t: float) -> float:
    least = rounded(math.ceil((cabinet.ceiling + t) / site.step - 1e-6) * site.step)
    height = site.height if site.height is not None else options.height
    if height is None:
        height = least
    if height < least:
        raise Unbuildable(f"the bed needs a cabinet {mm(least)} high, not {mm(height)}", "height")
    if site.ceiling is not None and height > site.ceiling:
        raise Unbuildable(
            f"the cabinet is {mm(height)} high under a ceiling of {mm(site.ceiling)}: lay the bed sideways or take a "
            "shorter mattress",
            "orientation",
        )
    return height


def _make_cabinet(draft: Draft, options: WallBedOptions, site: Site, cabinet: Cabinet) -> tuple[Panel, Panel]:
    """Sides, top, base board, floor rail, wall rail, header and back; gives the sides."""
    sheet = site.sheet("carcass")
    t, rear, (x0, x1) = sheet.thickness, cabinet.rear, cabinet.inside
    height = _height(options, site, cabinet, t)
    trim = site.stock.sheet_trim
    if rear > widest_piece(sheet, height, trim):
        raise Unbuildable(f"sides {mm(rear)} deep are wider than any sheet of {sheet.name}", "depth")
    left = draft.sheet("left side", Box((0, 0, 0), (x0, rear, height)), sheet, "z", "+x", "side")
    right = draft.sheet("right side", Box((x1, 0, 0), (site.width, rear, height)), sheet, "z", "-x", "side")
    under = rounded(height - t)
    widest_piece(sheet, x1 - x0, trim)
    if options.wall_rail > under - cabinet.base:
        raise Unbuildable(f"a wall rail of {mm(options.wall_rail)} does not fit under the top", "wall_rail")
    boards: list[Panel] = [draft.sheet("top", Box((x0, 0, under), (x1, rear, height)), sheet, "x", "+z", "top")]
    uprights: list[tuple[str, Span, Span]] = [
        ("base board", (0.0, t), (0.0, cabinet.base)),
        ("floor rail", (rear - t, rear), (0.0, cabinet.base)),
        ("wall rail", (rear - t, rear), (under - options.wall_rail, under)),
    ]
    if under - cabinet.ceiling >= GAP_LEAST:
        uprights.append(("header", (0.0, t), (cabinet.ceiling, under)))
    for name, y, z in uprights:
        boards.append(draft.sheet(name, Box((x0, y[0], z[0]), (x1, y[1], z[1])), sheet, "x", "-y", name))
    for board in boards:
        for side in (left, right):
            draft.join("screwed", board, side)
    for board in boards[3:]:
        draft.join("screwed", board, boards[0])
    if options.back:
        _make_back(draft, site, cabinet, height, boards)
    return left, right


def _make_back(draft: Draft, site: Site, cabinet: Cabinet, height: float, boards: list[Panel]) -> None:
    """A thin back over everything, in upright pieces, screwed to top, rails and sides."""
    thin = site.sheet("back")
    pieces = strips((0.0, site.width), widest_piece(thin, height, site.stock.sheet_trim))
    for i, x in enumerate(pieces, 1):
        name = "back" if len(pieces) == 1 else f"back {i}"
        box = Box((x[0], cabinet.rear, 0), (x[1], cabinet.rear + thin.thickness, height))
        panel = draft.sheet(name, box, thin, "z", "-y", "back")
        for board in boards:
            if board.path in ("top", "floor rail", "wall rail"):
                draft.join("screwed", panel, board)
        if i == 1:
            draft.join("screwed", panel, "left side")
        if i == len(pieces):
            draft.join("screwed", panel, "right side")


def plan_springs(options: WallBedOptions, site: Site, plan: BedPlan) -> SpringPlace:
    """Where the gas springs go: in the gaps beside the bed, behind its pivots. Raises Unbuildable."""
    spring, pivot = site.gas_spring(), site.bed_pivot()
    wide = max(spring.diameter, spring.end_diameter)
    if wide + 2 > pivot.thickness:
        raise Unbuildable(
            f"a gas spring {mm(wide)} thick does not fit the {mm(pivot.thickness)} beside the bed",
            "materials",
            "gas_spring",
        )
    offset = rounded(options.rail / 2 - spring.end_diameter / 2 - 3.0)
    if offset < (pivot.diameter + wide) / 2 + 2:
        raise Unbuildable(
            f"rails {mm(options.rail)} high leave no room for a gas spring beside the {mm(pivot.diameter)} pivots: "
            "take higher ones",
            "rail",
        )
    below = rounded(plan.axis[1] - plan.z[0] - spring.end_diameter / 2 - 3.0)
    return spring_place(plan.axis, offset, below, spring.closed, spring.stroke, END)


@unit_kind("wall-bed", "W", WallBedOptions)
def build(options: WallBedOptions, site: Site) -> BuiltUnit:
    """A wall bed in its own frame, shut: its front panel's face at y = 0, leg board or legs and pulls before it."""
    plan = plan_bed(options, site)
    cabinet, _ = plan_cabinet(options, site, plan)
    springs = plan_springs(options, site, plan)
    draft = Draft()
    sides = _make_cabinet(draft, options, site, cabinet)
    if springs.cabinet[1] + GAP_LEAST > sides[0].box.hi[2]:
        raise Unbuildable("the gas springs reach higher than the cabinet: take shorter ones", "materials", "gas_spring")
    panels, rails = make_frame(draft, site, plan)
    make_deck(draft, site, plan, Deck(options.deck.gap if options.deck.of == "slats" else None), panels, rails)
    make_legs(draft, site, plan, site.bed_leg() if options.leg == "folding" else None, panels)
    make_pulls(draft, site, plan, panels, options.pull_height)
    pivot = site.bed_pivot()
    make_pivots(draft, plan, pivot, sides)
    make_springs(draft, plan, site.gas_spring(), springs, pivot.thickness, sides)
    axis = (0.0, *plan.axis)
    draft.swing("bed", draft.under("bed"), axis, (1.0, 0.0, 0.0), QUARTER)
    return draft.finish(site.name, site.code, "wall-bed", ("left side", "right side"))
