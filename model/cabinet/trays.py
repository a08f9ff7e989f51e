"""Pull-out trays: a work surface over the drawers, in the gap between paired strips or on slides."""

from typing import Literal

from pydantic import Field

from model.cabinet.bands import around, edge
from model.cabinet.carcass import Shell, Span
from model.cabinet.drawers import Bay, DrawerPlan, DrawerSpec, build_outs, choose_slide, place_slides
from model.cabinet.frame import Frame, Opening
from model.cabinet.fronts import FrontOptions
from model.config.types import Mass, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.tolerances import rounded

STAYS = 1 / 3
"""This share of a tray stays on its strips when it is pulled (common practice)."""
REAR = 3.0
"""mm. A tray ends this far before what is behind it."""
BLOCK = 60.0
"""mm. Width of a stop block."""


class TrayOptions(Strict):
    """A pull-out work surface."""

    runners: Literal["strips", "slides"] = "strips"
    """On two strips a side with a gap between them, or on a pair of drawer slides."""
    clear: PositiveLength = Field(default=1.5, le=10)
    """The gap between the strips is the thickness of the tray and this; so far it also keeps from what is over it."""
    side: NonNegativeLength = Field(default=1.5, le=10)
    """Air at each side of a tray on strips."""
    grip: PositiveLength = Field(default=20.0, ge=10, le=100)
    """How far a strip reaches under the tray."""
    travel: PositiveLength | None = None
    """How far it comes out; as far as a third of it stays on the strips, or as its slides do."""
    stop: bool = True
    """Blocks that hold a tray on strips at the end of its travel."""
    front: Literal["flush", "lip"] = "flush"
    """A front edge in the plane of the frame, or a lip in front of it like a low drawer front."""
    load: Mass = 15.0
    """What it is to carry, for slides."""


def make_tray(
    draft: Draft,
    site: Site,
    options: TrayOptions,
    shell: Shell,
    opening: Opening,
    frame: Frame | None,
    fronts: FrontOptions,
    lap: float,
    band: EdgeBand | None,
) -> tuple[float, float]:
    """A tray at the upper end of an opening; gives how high the opening under it reaches, and what lies in it.

    Behind a frame it lies right under the top rail, and a rail of its own lies under it. Raises Unbuildable.
    """
    if options.front == "lip" and fronts.mount == "inset":
        raise Unbuildable("a tray among inset fronts has a flush front edge, not a lip", "tray", "front")
    maker = _on_strips if options.runners == "strips" else _on_slides
    underside, foot = maker(draft, site, options, shell, opening)
    top = _level_top(site, options, underside)
    name = f"{shell.prefix}tray"
    board = draft.panels[f"{name}/tray"]
    # what shows of it in front, from the lowest edge of its opening up
    low = underside if options.runners == "strips" else foot
    gap = fronts.gap
    if frame is not None:
        rail_low = rounded(low - frame.rail)
        if rail_low <= opening.z[0]:
            raise Unbuildable("there is no room for a rail under the tray", "tray")
        frame.member(f"{shell.prefix}rail under tray", rail_low)
        if options.front == "lip":
            if frame.rail - 2 * lap < 1:
                raise Unbuildable("a lip and the front under it would meet on the rail between them", "fronts")
            _lip(draft, site, board, opening.front_x(lap), (low - lap, opening.z[1] + lap), band)
        else:
            edge(draft, band, board, "-y")
        end = (rail_low, min(rail_low, foot))
    elif options.front == "lip":
        _lip(draft, site, board, opening.front_x(lap), (foot, opening.z[1] + lap), band)
        end = (foot - gap - lap, foot)
    else:
        edge(draft, band, board, "-y")
        end = (foot - gap - max(lap, 0.0), foot)
    if top + options.clear > shell.ceiling + 1e-6:
        raise Unbuildable("the tray has no room under what closes the carcass", "tray")
    _move(draft, options, name, board, site, shell)
    return rounded(end[0]), rounded(min(end))


def _level_top(site: Site, options: TrayOptions, underside: float) -> float:
    return rounded(underside + site.sheet("carcass").thickness)


def _board(draft: Draft, site: Site, shell: Shell, x: Span, z: float) -> Panel:
    """The tray itself, its front edge in the plane of the frame, its underside at z."""
    sheet = site.sheet("carcass")
    box = Box((x[0], 0.0, z), (x[1], shell.rear - REAR, z + sheet.thickness))
    return draft.sheet(f"{shell.prefix}tray/tray", box, sheet, "x", "+z", "tray")


def _on_strips(draft: Draft, site: Site, options: TrayOptions, shell: Shell, opening: Opening) -> tuple[float, float]:
    """Two strips a side, the tray in the gap; gives the tray's underside and the underside of the lower strips."""
    sheet = site.sheet("carcass")
    t = sheet.thickness
    x = (max(opening.x[0], shell.inside[0]) + options.side, min(opening.x[1], shell.inside[1]) - options.side)
    high = min(opening.z[1], shell.ceiling - t)
    underside = rounded(high - options.clear - t)
    board = _board(draft, site, shell, x, underside)
    if x[1] - x[0] < 2 * options.grip + 1.5 * BLOCK:
        raise Unbuildable(f"a tray {mm(rounded(x[1] - x[0]))} wide is too narrow for its strips", "tray", "grip")
    for label, wall, ends in (
        ("left", shell.left, (shell.inside[0], x[0] + options.grip)),
        ("right", shell.right, (x[1] - options.grip, shell.inside[1])),
    ):
        for which, low in (("lower", underside - t), ("upper", high)):
            box = Box((ends[0], shell.front, low), (ends[1], shell.rear, low + t))
            path = f"{shell.prefix}tray strip, {label} {which}"
            strip = draft.sheet(path, box, sheet, "y", "+z", "runner")
            draft.join("screwed", strip, wall)
            if which == "lower":
                draft.join("runs", board, strip)
    return underside, rounded(underside - t)


def _on_slides(draft: Draft, site: Site, options: TrayOptions, shell: Shell, opening: Opening) -> tuple[float, float]:
    """The tray on battens between slides; gives its underside and the underside of the slides."""
    sheet, slide = site.sheet("carcass"), site.slide()
    t = sheet.thickness
    spec = DrawerSpec(load=options.load)
    try:
        length = choose_slide(slide, spec, shell.rear - REAR)
    except Unbuildable as problem:
        raise Unbuildable(problem.message, "tray") from None
    clear = (rounded(max(opening.x[0], shell.inside[0])), rounded(min(opening.x[1], shell.inside[1])))
    underside = rounded(min(opening.z[1], shell.ceiling) - options.clear - t)
    x = (clear[0] + slide.thickness, clear[1] - slide.thickness)
    if x[1] - x[0] < 6 * t:
        raise Unbuildable(f"a tray {mm(rounded(x[1] - x[0]))} wide is too narrow", "tray")
    board = _board(draft, site, shell, x, underside)
    low = rounded(underside - slide.height)
    name = f"{shell.prefix}tray"
    y = (max(slide.setback, shell.front), min(slide.setback + length, board.box.hi[1]))
    for label, at, face in (("left", (x[0], x[0] + t), "-x"), ("right", (x[1] - t, x[1]), "+x")):
        batten = draft.sheet(
            f"{name}/{label} side", Box((at[0], y[0], low), (at[1], y[1], underside)), sheet, "y", face, "batten"
        )
        draft.join("screwed", batten, board)
    plan = DrawerPlan(
        Box((x[0], 0.0, low), (x[1], length, underside)),
        board.box,
        (slide.setback, slide.setback + length),
        rounded((low + underside) / 2),
        length,
    )
    hosts = build_outs(draft, site, name, shell, clear, plan, slide)
    place_slides(draft, slide, name, Bay(clear, clear, hosts), plan)
    return underside, rounded(low)


def _lip(draft: Draft, site: Site, board: Panel, x: Span, z: Span, band: EdgeBand | None) -> None:
    """A low front on the front edge of the tray."""
    sheet = site.sheet("front")
    box = Box((x[0], -sheet.thickness, z[0]), (x[1], 0.0, z[1]))
    lip = draft.sheet(board.path.rsplit("/", 1)[0] + "/lip", box, sheet, "x", "+y", "front")
    draft.join("screwed", lip, board)
    around(draft, band, lip)


def _move(draft: Draft, options: TrayOptions, name: str, board: Panel, site: Site, shell: Shell) -> None:
    """The tray's travel, and the blocks that end it on strips."""
    depth = shell.rear - REAR
    if options.runners == "slides":
        slide = site.slide()
        full = slide.travel_of(draft.hardware[f"{name} slide, left, cabinet member"].part.length)
        travel = options.travel if options.travel is not None else full
        if travel > full:
            raise Unbuildable(f"{slide.name} opens {mm(full)}, not {mm(travel)}", "tray", "travel")
    else:
        most = rounded(depth * (1 - STAYS))
        travel = options.travel if options.travel is not None else most
        if travel > most:
            raise Unbuildable(
                f"a tray {mm(rounded(depth))} deep comes out {mm(most)} at most: a third stays on its strips",
                "tray",
                "travel",
            )
        if options.stop:
            travel = _stop(draft, options, name, board, site, shell, travel)
    draft.slide(name, draft.under(name), (0.0, -1.0, 0.0), travel)


def _stop(
    draft: Draft, options: TrayOptions, name: str, board: Panel, site: Site, shell: Shell, travel: float
) -> float:
    """A block under what closes the carcass and one on the tray that runs against it; gives the travel they leave."""
    sheet = site.sheet("carcass")
    t = sheet.thickness
    closer = draft.panels.get("sub-top") or draft.panels["front stretcher"]
    low, high = board.box.hi[2], closer.box.lo[2]
    if high - low < t:
        raise Unbuildable("there is no room for a stop block over the tray", "tray", "stop")
    last = board.box.hi[1] - t
    most = rounded(last - shell.front - t)
    if travel > most:
        if options.travel is not None:
            raise Unbuildable(f"a stop lets the tray out {mm(most)} at most, not {mm(travel)}", "tray", "travel")
        travel = most
    back = rounded(min(closer.box.hi[1], last - travel))
    start = rounded(back - t)
    middle = board.box.center[0]
    x = (middle - BLOCK / 2, middle + BLOCK / 2)
    fixed = Box((x[0], start, low + options.clear), (x[1], back, high))
    moving = Box((x[0], back + travel, low), (x[1], back + travel + t, high - options.clear))
    block = draft.sheet(f"{shell.prefix}tray stop", fixed, sheet, "x", "-y", "stop block")
    draft.join("screwed", block, closer)
    catch = draft.sheet(f"{name}/stop", moving, sheet, "x", "-y", "stop block")
    draft.join("screwed", catch, board)
    return travel
