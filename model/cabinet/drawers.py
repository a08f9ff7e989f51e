"""Drawer boxes on side-mounted slides, their fronts and pulls, and the strips that build slides out past a frame."""

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.cabinet.bands import around
from model.cabinet.carcass import Shell, Span
from model.cabinet.fittings import pull_part, slide_members
from model.cabinet.frame import Opening
from model.cabinet.fronts import Heights, Row
from model.config.types import Mass, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.stock.tables import Pull, Sheet, Slide
from model.tolerances import rounded

PULL_CLEAR = 3.0
"""mm. A pull bore goes through the sub-front only where it keeps this far from its edge."""

PULL_END = 10.0
"""mm. A pull ends at least this far from the edge of its front."""


class BoxOptions(Strict):
    """How a drawer box is made and how much air it has."""

    bottom: Literal["applied", "grooved"] = "grooved"
    """Under the sides, or let into grooves in all four."""
    groove_depth: PositiveLength = 6.0
    """Depth of those grooves."""
    groove_up: PositiveLength = 10.0
    """Lower edge of the sides to the groove."""
    below: NonNegativeLength = 8.0
    """Air under the box in its opening."""
    above: NonNegativeLength = 14.0
    """Air over the box in its opening."""
    behind: NonNegativeLength = 3.0
    """Least room behind the slide (3 mm: common practice)."""


class Holds(Strict):
    """What is kept in a drawer, as the box it fills; it must clear what the drawer passes under."""

    height: PositiveLength
    """From the bottom of the drawer up; it may stand up past the sides."""
    width: PositiveLength | None = None
    """Side to side; the whole inside when left out."""
    depth: PositiveLength | None = None
    """Front to back; the whole inside when left out. It lies at the front."""


class DrawerSpec(Strict):
    """What is said of any drawer."""

    load: Mass = 20.0
    """What one drawer is to carry, itself included; the slides must be rated for it."""
    slide_length: PositiveLength | None = None
    """The longest slide that fits, unless given."""
    pulls: int | None = Field(default=None, ge=0, le=3)
    """Pulls on a front; one up to 800 mm of width, else two."""
    box: BoxOptions = BoxOptions()
    """The box."""
    holds: Holds | None = None
    """What is kept in it; checked against everything it passes on its way."""


class DrawerOptions(DrawerSpec):
    """Drawers one over another."""

    rows: int = Field(default=3, ge=1, le=40)
    """How many, where their heights are not given one by one."""
    heights: Heights = "equal"
    """Heights of the fronts: `equal`, `graduated` (deeper toward the floor), or a list from the top down."""
    graduation: float = Field(default=1.35, ge=1, le=3)
    """Each graduated front is this many times as high as the one above."""
    mullions: bool = False
    """A frame member between each two drawers; without, there is only a gap between the fronts."""
    build_out: NonNegativeLength | None = None
    """Thickness of the strip behind each slide; as far as the frame stands in over the inside, unless given."""


@dataclass(frozen=True)
class Bay:
    """Where one drawer goes: the clear x between what carries its slides, its front's x, and what carries them."""

    clear: Span
    front: Span
    hosts: tuple[Panel, Panel]


@dataclass(frozen=True)
class DrawerPlan:
    """The sizes of one drawer, worked out before anything is made (mm in the unit)."""

    box: Box
    front: Box
    slide_y: Span
    slide_z: float
    slide_length: float


def choose_slide(slide: Slide, options: DrawerSpec, depth: float) -> float:
    """The slide length for `depth` mm behind the front plane. Raises Unbuildable where none fits or is rated for it."""
    if options.load > slide.load:
        raise Unbuildable(
            f"{slide.name} carries {slide.load:g} kg, not {options.load:g} kg: take another", "drawers", "load"
        )
    room = depth - options.box.behind
    if options.slide_length is not None:
        if options.slide_length not in slide.lengths:
            raise Unbuildable(
                f"{slide.name} is not sold {mm(options.slide_length)} long: "
                f"it is sold {', '.join(map(mm, slide.lengths))}",
                "drawers",
                "slide_length",
            )
        if options.slide_length + slide.setback > room:
            raise Unbuildable(
                f"a {mm(options.slide_length)} slide needs {mm(options.slide_length + slide.setback)} of depth, "
                f"there is {mm(room)}",
                "drawers",
                "slide_length",
            )
        return options.slide_length
    longest = slide.longest(room)
    if longest is None:
        raise Unbuildable(
            f"no {slide.name} is short enough for {mm(room)} of depth: make the unit deeper", "drawers", "slide_length"
        )
    return longest


def plan_drawer(
    options: DrawerSpec, slide: Slide, bay: Bay, row: Row, front: Sheet, front_y: float, length: float, roof: float
) -> DrawerPlan:
    """Sizes of the drawer in a bay and a row. `front_y` is the back of its front, `roof` what its top must stay under.

    The box is as wide as the clear space less the side space of both slides.
    """
    x = (bay.clear[0] + slide.thickness, bay.clear[1] - slide.thickness)
    low = row.zone[0] + options.box.below
    high = min(row.zone[1] - options.box.above, roof - options.box.behind)
    if high - low < slide.height or x[1] - x[0] < 4 * front.thickness:
        raise Unbuildable(
            f"a drawer box of {mm(x[1] - x[0])} x {mm(rounded(high - low))} is too small for a "
            f"{mm(slide.height)} high slide: fewer or higher drawers, or a wider unit",
            "drawers",
            "rows",
        )
    return DrawerPlan(
        Box((x[0], front_y, low), (x[1], front_y + length, high)),
        Box((bay.front[0], front_y - front.thickness, row.front[0]), (bay.front[1], front_y, row.front[1])),
        (front_y + slide.setback, front_y + slide.setback + length),
        rounded((low + high) / 2),
        length,
    )


def build_outs(
    draft: Draft, site: Site, name: str, shell: Shell, clear: Span, plan: DrawerPlan, slide: Slide
) -> tuple[Panel, Panel]:
    """The strips that bring both slides of a drawer out from its walls to `clear`; the wall itself where it is there.

    A strip of carcass sheet as high as the slide where the sheet has that thickness; else one ripped from frame board
    to that thickness and set on its edge behind the screw line of the slide.
    """
    sheet = site.sheet("carcass")
    y = (shell.front, min(plan.slide_y[1], shell.rear))
    hosts: list[Panel] = []
    for label, side in (("left", shell.left), ("right", shell.right)):
        x = (shell.inside[0], clear[0]) if label == "left" else (clear[1], shell.inside[1])
        thickness = rounded(x[1] - x[0])
        if thickness <= 0:
            hosts.append(side)
            continue
        path = f"{name} build-out, {label}"
        if thickness == sheet.thickness:
            z = _about(plan.slide_z, slide.height)
            strip = draft.sheet(path, Box((x[0], y[0], z[0]), (x[1], y[1], z[1])), sheet, "y", side.face, "build-out")
        else:
            board = site.board("frame")
            if thickness > board.width:
                raise Unbuildable(
                    f"a build-out of {mm(thickness)} is wider than the {mm(board.width)} {board.name}",
                    "drawers",
                    "build_out",
                )
            z = _about(plan.slide_z, board.thickness)
            strip = draft.board(path, Box((x[0], y[0], z[0]), (x[1], y[1], z[1])), board, "y", "+z", "build-out")
        draft.join("screwed", strip, side)
        hosts.append(strip)
    return hosts[0], hosts[1]


def _about(middle: float, height: float) -> Span:
    return (middle - height / 2, middle + height / 2)


def make_drawer(
    draft: Draft,
    site: Site,
    name: str,
    options: DrawerSpec,
    bay: Bay,
    plan: DrawerPlan,
    slide: Slide,
    band: EdgeBand | None = None,
) -> None:
    """Box, front (banded where there is a band), pulls and slides of one drawer, and its motion."""
    front = draft.sheet(f"{name}/front", plan.front, site.sheet("front"), "x", "+y", "front")
    sub_front = _box(draft, site, name, options.box, plan.box)
    if options.holds is not None:
        _hold(draft, name, options.holds)
    draft.join("screwed", front, sub_front)
    count = options.pulls if options.pulls is not None else (1 if plan.front.size[0] <= 800 else 2)
    _pulls(draft, site.pull(), name, count, front, sub_front)
    around(draft, band, front)
    place_slides(draft, slide, name, bay, plan)
    draft.slide(name, draft.under(name), (0.0, -1.0, 0.0), slide.travel_of(plan.slide_length))


def _box(draft: Draft, site: Site, name: str, options: BoxOptions, box: Box) -> Panel:
    """The four sides and the bottom; gives the sub-front, to which the front is fixed."""
    sheet, thin = site.sheet("box"), site.sheet("bottom")
    t, tb = sheet.thickness, thin.thickness
    (x0, y0, z0), (x1, y1, z1) = box.lo, box.hi
    low = z0 + tb if options.bottom == "applied" else z0
    left = draft.sheet(f"{name}/left side", Box((x0, y0, low), (x0 + t, y1, z1)), sheet, "y", "+x", "drawer side")
    right = draft.sheet(f"{name}/right side", Box((x1 - t, y0, low), (x1, y1, z1)), sheet, "y", "-x", "drawer side")
    across = Box((x0 + t, y0, low), (x1 - t, y0 + t, z1))
    sub_front = draft.sheet(f"{name}/sub-front", across, sheet, "x", "+y", "drawer front or back")
    back = draft.sheet(f"{name}/box back", across.replace(y=(y1 - t, y1)), sheet, "x", "-y", "drawer front or back")
    walls = (left, right, sub_front, back)
    for end in (sub_front, back):
        for side in (left, right):
            draft.join("screwed", end, side)
    along = "y" if y1 - y0 >= x1 - x0 else "x"
    if options.bottom == "applied":
        bottom = draft.sheet(f"{name}/bottom", Box((x0, y0, z0), (x1, y1, low)), thin, along, "+z", "drawer bottom")
    else:
        d, up = options.groove_depth, z0 + options.groove_up
        if d >= t or up + tb >= z1:
            raise Unbuildable(
                "the groove for the drawer bottom leaves nothing of the side", "drawers", "box", "groove_depth"
            )
        inner = Box((x0 + t - d, y0 + t - d, up), (x1 - t + d, y1 - t + d, up + tb))
        bottom = draft.sheet(f"{name}/bottom", inner, thin, along, "+z", "drawer bottom")
        for wall in walls:
            # between the sides the groove runs right out at the ends; in the sides it stops where the bottom does
            wall.take(inner)
    for wall in walls:
        draft.join("grooved" if options.bottom == "grooved" else "screwed", bottom, wall)
    return sub_front


def _hold(draft: Draft, name: str, holds: Holds) -> None:
    """What is kept in a drawer: on its bottom, in the middle of its width, at its front."""
    bottom = draft.panels[f"{name}/bottom"]
    x = draft.panels[f"{name}/left side"].box.hi[0], draft.panels[f"{name}/right side"].box.lo[0]
    y = draft.panels[f"{name}/sub-front"].box.hi[1], draft.panels[f"{name}/box back"].box.lo[1]
    size: list[float] = []
    for said, key, (low, high) in ((holds.width, "width", x), (holds.depth, "depth", y)):
        inside = rounded(high - low)
        if said is not None and said > inside:
            raise Unbuildable(f"the drawer is {mm(inside)} inside, not {mm(said)}", "drawers", "holds", key)
        size.append(inside if said is None else said)
    left, low = (x[0] + x[1] - size[0]) / 2, bottom.box.hi[2]
    draft.load(f"{name}/load", Box((left, y[0], low), (left + size[0], y[0] + size[1], low + holds.height)), bottom)


def _pulls(draft: Draft, pull: Pull, name: str, count: int, front: Panel, behind: Panel | None) -> None:
    x0, x1 = front.box.span("x")
    z = front.box.center[2]
    for i in range(count):
        x = x0 + (x1 - x0) * (2 * i + 1) / (2 * count)
        place_pull(draft, pull, f"{name}/pull" if count == 1 else f"{name}/pull {i + 1}", front, behind, (x, z), False)


def place_pull(
    draft: Draft, pull: Pull, path: str, front: Panel, behind: Panel | None, at: tuple[float, float], upright: bool
) -> None:
    """A pull on a front about the point `at` (x, z), its holes bored through the front and what is fixed behind it."""
    x, z = at
    y0, y1 = front.box.span("y")
    room = front.box.size[2 if upright else 0]
    if pull.length + 2 * PULL_END > room:
        raise Unbuildable(
            f"a {mm(pull.length)} {pull.name} is too long for a front of {mm(rounded(room))}: take a shorter one",
            "materials",
            "pull",
        )
    half = pull.spacing / 2
    for offset in dict.fromkeys((-half, half)):
        px, pz = (x, z + offset) if upright else (x + offset, z)
        front.bore((px, y0, pz), "+y", pull.bore_diameter, purpose="pull")
        keep = pull.bore_diameter / 2 + PULL_CLEAR
        if behind is not None and all(
            lo + keep <= value <= hi - keep
            for value, (lo, hi) in zip((px, pz), (behind.box.span("x"), behind.box.span("z")), strict=True)
        ):
            behind.bore((px, y1, pz), "+y", pull.bore_diameter, purpose="pull")
    part = pull_part(pull)
    lie = Placement.axes((0.0, 0.0, 0.0), "+z" if upright else "+x", "-y")
    draft.place(path, part, _centred(part.size, lie, (x, y0, z)), "pull")
    draft.join("screwed", path, front)


def _centred(size: tuple[float, float, float], at: Placement, middle: tuple[float, float, float]) -> Placement:
    """The placement moved so that the middle of the part's z = 0 face comes to a point."""
    now = at.apply((size[0] / 2, size[1] / 2, 0.0))
    return Placement(
        (
            at.origin[0] + middle[0] - now[0],
            at.origin[1] + middle[1] - now[1],
            at.origin[2] + middle[2] - now[2],
        ),
        at.rotation,
    )


def place_slides(draft: Draft, slide: Slide, name: str, bay: Bay, plan: DrawerPlan) -> None:
    """Both members of both slides: the cabinet member on its host, the drawer member on the box."""
    cabinet, drawer = slide_members(slide, plan.slide_length)
    y = plan.slide_y[0]
    for label, x, inward, host in (
        ("left", bay.clear[0], "+x", bay.hosts[0]),
        ("right", bay.clear[1], "-x", bay.hosts[1]),
    ):
        sign = 1.0 if inward == "+x" else -1.0
        fixed, moving = f"{name} slide, {label}, cabinet member", f"{name}/slide, {label}, drawer member"
        for path, part, start in ((fixed, cabinet, x), (moving, drawer, x + sign * cabinet.thickness)):
            at = Placement.axes((0.0, 0.0, 0.0), "+y", inward)
            low = at.box(Box((0.0, 0.0, 0.0), part.size)).lo
            left = start if sign > 0 else start - part.thickness
            origin = (left - low[0], y - low[1], plan.slide_z - part.width / 2 - low[2])
            draft.place(path, part, Placement(origin, at.rotation), "slide")
        draft.join("screwed", fixed, host)
        draft.join("runs", fixed, moving)
        draft.join("screwed", moving, f"{name}/{label} side")


def bay_of(opening: Opening, clear: Span, lap: float, hosts: tuple[Panel, Panel]) -> Bay:
    return Bay(clear, opening.front_x(lap), hosts)
