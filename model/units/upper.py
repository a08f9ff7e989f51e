"""Uppers: shelf units screwed down on a top through their bottom rails, or hung on the wall on a bevelled cleat."""

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.cabinet.carcass import Back, Carcass, Joinery, Joints, Shell, Span, back_depth
from model.cabinet.columns import Column, fill_columns, partitions
from model.cabinet.contents import Contents, Place, fill
from model.cabinet.doors import DoorOptions
from model.cabinet.frame import Frame, FrameOptions, Opening, face_frame, rail_width
from model.cabinet.fronts import FrontOptions
from model.cabinet.hanging import Hang, Slot, bore_rail, cleat_run, hang, screw_places
from model.cabinet.joinery import fasteners_of
from model.cabinet.shelves import ShelfOptions
from model.config.types import PositiveLength
from model.draft import Draft, Panel
from model.lighting.lights import LightOptions, LightPlace, light_under
from model.messages import mm
from model.plan import BuiltUnit
from model.site import Site, Unbuildable
from model.stock.tables import Sheet
from model.tolerances import rounded
from model.units import UnitOptions, unit_kind

BARE_RAIL = 40.0
"""mm. Height of the bottom rails of an upper without a facing."""


class UpperOptions(UnitOptions):
    """A shelf unit on a top or on the wall."""

    kind: Literal["upper"] = "upper"
    """This kind."""
    depth: PositiveLength = 300.0
    """Face of its facing (or front edge of the sides) to the rear, or to the wall where it hangs."""
    height: PositiveLength | None = None
    """From its lower to its upper end; may be given where it is placed."""
    joinery: Joinery = "housed"
    """How the panels between the sides are held."""
    joints: Joints = Joints()
    """How deep grooves and how high cleats are."""
    back: Back | None = Back()
    """A thin back against racking; null for none. A hung upper's is set in from the wall by the cleat."""
    frame: FrameOptions | None = FrameOptions()
    """A facing of boards; null for bare edges."""
    bottom_rail: PositiveLength | None = None
    """Height of the bottom rails; the facing's rail, or 40 mm without one (none where it hangs)."""
    screw_spacing: PositiveLength = 150.0
    """Screws through a bottom rail into the top, at most this far apart."""
    hang: Hang | None = None
    """How it hangs, where it is placed on a wall; for an upper that stands on a top there is nothing to say."""
    fronts: FrontOptions = FrontOptions()
    """How doors lie over the opening."""
    shelves: ShelfOptions | None = ShelfOptions(count=2)
    """Shelves."""
    doors: DoorOptions | None = None
    """Doors."""
    columns: tuple[Column, ...] = Field(default=(), max_length=12)
    """Columns between partitions, left to right, in place of `shelves` and `doors`: each has its own."""
    light: LightOptions | None = None
    """A light under the bottom of an upper that hangs; its driver stands inside, on the bottom."""


def _how(options: UpperOptions, site: Site) -> Hang | None:
    if options.hang and not site.hung:
        raise Unbuildable("it stands on a top: leave out hang, or place it on a wall", "hang")
    return options.hang or (Hang() if site.hung else None)


@dataclass(frozen=True)
class Lie:
    """The planes of an upper, mm in the unit: `rail` the upper face of its bottom, `front` the plane behind the facing,
    `inner` the front of the back, `back` its rear, `wall` the rear of the whole."""

    height: float
    rail: float
    front: float
    inner: float
    back: float
    wall: float


def _planes(options: UpperOptions, site: Site, sheet: Sheet, thin: Sheet | None) -> Lie:
    """Raises Unbuildable for an upper that is too small."""
    height = options.height if options.height is not None else site.height
    if height is None:
        raise Unbuildable("no height: give the upper one, or say it where it is placed", "height")
    t = sheet.thickness
    front = site.board("frame").thickness if options.frame else 0.0
    inner = back_depth(options.back, thin, options.depth)
    if options.hang:
        inner = options.depth - t - (thin.thickness if thin else 0.0)
    rail = _rail_height(options, site, t)
    if site.width < 6 * t or inner - front < 6 * t or height < rail + 6 * t:
        raise Unbuildable(
            f"an upper of {mm(site.width)} x {mm(options.depth)} x {mm(height)} is too small to build", "depth"
        )
    back = inner + (thin.thickness if thin else 0.0)
    return Lie(height, rail, front, rounded(inner), rounded(back), options.depth)


def _rail_height(options: UpperOptions, site: Site, thickness: float) -> float:
    if options.frame is None:
        rail = options.bottom_rail or (thickness if options.hang else BARE_RAIL)
        if rail < thickness:
            raise Unbuildable(f"a bottom rail of {mm(rail)} is lower than the bottom is thick", "bottom_rail")
        return rail
    rail = rail_width(options.frame, site.board("frame"))
    if options.bottom_rail not in (None, rail):
        raise Unbuildable(f"the facing's bottom rail is {mm(rail)}: leave out bottom_rail or the frame", "bottom_rail")
    if rail < thickness:
        raise Unbuildable(f"a rail of {mm(rail)} is lower than the bottom behind it is thick", "frame", "rail")
    return rail


@unit_kind("upper", "U", UpperOptions, stands=("top", "wall"))
def build(options: UpperOptions, site: Site) -> BuiltUnit:
    """An upper in its own frame, standing on z = 0; where it hangs, the wall is at y = depth."""
    options = options.model_copy(update={"hang": _how(options, site)})
    sheet = site.sheet("carcass")
    thin = site.sheet("back") if options.back else None
    lie = _planes(options, site, sheet, thin)
    t = sheet.thickness
    draft = Draft()
    applied = options.back is not None and options.back.fixing == "applied"
    y = (lie.front, lie.inner if applied else lie.wall)
    fasteners = fasteners_of(site, options.joinery)
    box = Carcass.sides(draft, sheet, options.joinery, options.joints, site.width, y, lie.height, fasteners=fasteners)
    strips = options.back is not None and options.back.fixing == "between"
    rear = lie.inner - t if strips else lie.inner
    set_in = options.fronts.stands_in(site.sheet("front").thickness, lie.front) if _fronted(options) else 0.0
    to_wall = options.hang is not None and not applied
    top = box.level(
        "top", (lie.front, lie.wall if to_wall else lie.inner), lie.height, "top", (lie.front + set_in, rear)
    )
    bottom = _floor(draft, box, options, site, lie)
    under = lie.height - t - (options.joints.cleat if options.joinery == "cleated" else 0.0)
    if options.back and thin:
        low = lie.rail - t if options.hang else 0.0
        high = lie.height - t if to_wall else lie.height
        against = (top, bottom) if options.hang else (top,)
        box.back(options.back, thin, lie.back, (low, high), against, (lie.rail, under))
    if options.hang:
        _hang(draft, box, options, options.hang, site, lie)
    shell = Shell(site.width, lie.height, t, lie.front, rear, lie.rail, under, box.left, box.right, box)
    walls = _walls(draft, box, options, lie)
    _front(draft, options, site, shell, walls)
    if options.light:
        _light(draft, options, options.light, site, shell, walls)
    sides = ("left side", "right side")
    return draft.finish(site.name, site.code, "upper", sides, () if options.hang else sides)


def _floor(draft: Draft, box: Carcass, options: UpperOptions, site: Site, lie: Lie) -> Panel:
    """The bottom and the rails it lies between: on a top, their upper edges stay bare for the screws into it."""
    t = box.sheet.thickness
    start, end = lie.front, lie.inner
    rails: list[Panel] = []
    if not options.hang:
        end = lie.inner - t
        rails.append(box.upright("rear bottom rail", (end, lie.inner), (0.0, lie.rail), "bottom rail"))
    if options.frame is None and (not options.hang or lie.rail > t + LEDGE):
        start = lie.front + t
        rails.append(box.upright("front bottom rail", (lie.front, start), (0.0, lie.rail), "bottom rail"))
    bottom = box.level("bottom", (start, end), lie.rail, "bottom")
    for rail in rails:
        draft.join("screwed", bottom, rail)
        if not options.hang:
            bore_rail(rail, site.screw("rail_screw"), options.screw_spacing, site.seams)
    return bottom


LEDGE = 1.0
"""mm. A front rail of a hung upper that hides less than this under the bottom is left out."""


def _hang(draft: Draft, box: Carcass, options: UpperOptions, how: Hang, site: Site, lie: Lie) -> None:
    """The cleat and the spacer between the back and the wall."""
    t, width = box.sheet.thickness, site.width
    if site.ceiling is not None and lie.height + cleat_run(how.cleat, t) > site.ceiling:
        raise Unbuildable(
            f"it is lifted {mm(cleat_run(how.cleat, t))} to hook it on its cleat and has "
            f"{mm(rounded(max(site.ceiling - lie.height, 0.0)))} over it: hang it lower",
            "height",
        )
    panels = draft.panels
    back = (panels["back"],) if options.back else ()
    sides: tuple[Panel, ...] = box.both
    x, top, over = (t, width - t), lie.height - t, (panels["top"],)
    if options.back and options.back.fixing == "applied":
        x, top, sides, over = (0.0, width), lie.height, (), ()
    elif options.back and options.back.fixing == "rabbet":
        x = (panels["back"].box.lo[0], panels["back"].box.hi[0])
    under = () if options.back else (panels["bottom"],)
    slot = Slot(x, (lie.back, lie.wall), (lie.rail - t, top), (*back, *sides), over, under)
    hang(draft, site, how, slot)


def _front(draft: Draft, options: UpperOptions, site: Site, shell: Shell, walls: list[Panel]) -> None:
    """Facing, shelves and doors."""
    z: Span = (shell.floor, shell.height - shell.thickness)
    opening = Opening(shell.inside, z, shell.left, shell.right)
    frame: Frame | None = None
    if options.frame:
        frame = face_frame(draft, options.frame, site.board("frame"), shell, (0.0, shell.height))
        opening = frame.opening
        rail = draft.panels["bottom rail"]
        if not options.hang:
            bore_rail(rail, site.screw("rail_screw"), options.screw_spacing, site.seams)
        draft.join("screwed", rail, draft.panels["bottom"])
    lap = options.fronts.lap(None if options.frame else shell.thickness)
    place = Place(shell, opening, frame, options.fronts, lap, None)
    if options.columns:
        fill_columns(draft, site, options.columns, place, walls, options.frame)
    else:
        fill(draft, site, Contents(shelves=options.shelves, doors=options.doors), place)


def _light(
    draft: Draft, options: UpperOptions, light: LightOptions, site: Site, shell: Shell, walls: list[Panel]
) -> None:
    """A light under the bottom, its driver on it in the column at the cables' end."""
    if not options.hang:
        raise Unbuildable("an upper that stands on a top has no room for a light under it", "light")
    if light.cable.route == "rear":
        raise Unbuildable("the spacer lies behind the driver: lead its supply down", *("light", "cable", "route"))
    bottom, end = draft.panels["bottom"], shell.inside
    inner = [end[0], *(x for wall in walls for x in wall.box.span("x")), end[1]]
    column = (inner[-2], inner[-1]) if light.cable.side == "right" else (inner[0], inner[1])
    strips = [p.box.size[0] for path, p in draft.panels.items() if path.startswith("bottom cleat")]
    clear = max(strips, default=0.0)
    over = [p.box.lo[2] for p in draft.panels.values() if p.role in ("shelf", "fixed shelf", "cleat")]
    over += [p.bounds().lo[2] for p in draft.hardware.values() if p.role == "shelf pin"]
    roof = min((z for z in over if z > shell.floor), default=shell.ceiling)
    place = LightPlace(
        under=bottom,
        x=(end[0] + clear, end[1] - clear),
        y=bottom.box.span("y"),
        on=bottom,
        on_x=column,
        on_y=(shell.front, shell.rear),
        front=bottom.box.lo[1],
        headroom=rounded(roof - shell.floor),
    )
    light_under(draft, site, light, place)


def _fronted(options: UpperOptions) -> bool:
    return options.doors is not None or any(c.doors or c.drawers or c.tray for c in options.columns)


def _walls(draft: Draft, box: Carcass, options: UpperOptions, lie: Lie) -> list[Panel]:
    """The partitions between columns. Raises Unbuildable where contents are said twice."""
    if not options.columns:
        return []
    if options.doors or (options.shelves and "shelves" in options.model_fields_set):
        twice = "doors" if options.doors else "shelves"
        raise Unbuildable(f"the columns hold their own: say {twice}: null, or put them into the columns", twice)
    y = (lie.front, lie.inner)
    found = partitions(draft, box, options.columns, y, draft.panels["bottom"], [draft.panels["top"]], None)
    for wall in found:
        for path in ("front bottom rail", "rear bottom rail"):
            if path in draft.panels:  # let into the bottom, it is notched over the rails
                wall.take(draft.panels[path].box)
    return found


__all__ = ["UpperOptions", "build", "screw_places"]
