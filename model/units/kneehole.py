"""Kneeholes: a place to sit between two neighbours, with an apron and shallow drawers hung under the top."""

from typing import Literal

from pydantic import Field

from model.carcass import Span
from model.config.types import PositiveLength
from model.draft import Draft, Panel
from model.drawers import Bay, DrawerSpec, choose_slide, make_drawer, plan_drawer
from model.fronts import FrontOptions, Row
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.units import UnitOptions, unit_kind


class PencilDrawers(DrawerSpec):
    """Shallow drawers side by side under a kneehole's apron."""

    columns: int = Field(default=1, ge=1, le=12)
    """How many drawers side by side."""
    front_height: PositiveLength = 90.0
    """Height of their fronts."""


class KneeholeOptions(UnitOptions):
    """A kneehole between two units, which carry it."""

    kind: Literal["kneehole"] = "kneehole"
    """This kind."""
    depth: PositiveLength = 600.0
    """Face of the apron to the rear; as deep as its neighbours, so that fronts are flush."""
    height: PositiveLength | None = None
    """Floor to the underside of the top; set by the top over it."""
    apron: PositiveLength | None = None
    """Height of the apron board under the top; the width of the frame board unless given."""
    framed: bool = True
    """An apron of frame board, in line with the neighbours' frames; else of carcass sheet between the rails."""
    stretcher: PositiveLength = 100.0
    """Width of the stretchers that tie the rails under the top."""
    fronts: FrontOptions = FrontOptions()
    """How the drawer fronts lie."""
    drawers: PencilDrawers | None = PencilDrawers()
    """The drawers; null for an apron alone."""


def _apron(draft: Draft, options: KneeholeOptions, site: Site, top: float) -> tuple[Panel, float]:
    """The apron across the front, and the plane behind it."""
    if options.framed:
        board = site.board("frame")
        height = options.apron or board.width
        if height > board.width:
            raise Unbuildable(
                f"an apron of {mm(height)} is wider than the {mm(board.width)} board {board.name}: "
                "lower it, or set framed: false for one of sheet",
                "apron",
            )
        box = Box((0, 0, top - height), (site.width, board.thickness, top))
        return draft.board("apron", box, board, "x", "-y", "apron"), board.thickness
    sheet = site.sheet("carcass")
    box = Box((0, 0, top - (options.apron or 40.0)), (site.width, sheet.thickness, top))
    return draft.sheet("apron", box, sheet, "x", "-y", "apron"), sheet.thickness


@unit_kind("kneehole", "K", KneeholeOptions)
def build(options: KneeholeOptions, site: Site) -> BuiltUnit:
    """A kneehole in its own frame: rails on both neighbours, stretchers, hangers between drawers, apron, drawers."""
    top = site.height if site.height is not None else options.height
    if top is None:
        raise Unbuildable("no height: a kneehole lies under a top", "height")
    draft = Draft()
    sheet = site.sheet("carcass")
    t = sheet.thickness
    apron, front = _apron(draft, options, site, top)
    apron_low = apron.box.lo[2]
    lap = options.fronts.lap(None)
    if options.fronts.mount == "inset":
        raise Unbuildable("drawers of a kneehole have overlay fronts", "fronts", "mount")
    low = apron_low if options.drawers is None else apron_low - (options.drawers.front_height - lap)
    low = min(low, top - 3 * t)
    rails: list[Panel] = []
    for label, x, face in (("left", (0.0, t), "+x"), ("right", (site.width - t, site.width), "-x")):
        box = Box((x[0], front, low), (x[1], options.depth, top))
        rail = draft.sheet(f"{label} rail", box, sheet, "y", face, "rail")
        draft.join("screwed", apron, rail)
        rails.append(rail)
    _ties(draft, options, site, (front, options.depth), (low, top), rails, apron)
    if options.drawers:
        _drawers(draft, options, options.drawers, site, rails, (low, apron_low), top, lap, front)
    bears = ("left rail", "right rail", "front stretcher", "rear stretcher", "apron")
    return draft.finish(site.name, site.code, "kneehole", ("left rail", "right rail"), bears)


def _ties(
    draft: Draft, options: KneeholeOptions, site: Site, y: Span, z: Span, rails: list[Panel], apron: Panel
) -> None:
    """Two stretchers under the top and a back rail, which keep the rails apart and the drawers' hangers square."""
    sheet = site.sheet("carcass")
    t, w = sheet.thickness, options.stretcher
    x = (t, site.width - t)
    for path, ys in (("front stretcher", (y[0], y[0] + w)), ("rear stretcher", (y[1] - w, y[1]))):
        box = Box((x[0], ys[0], z[1] - t), (x[1], ys[1], z[1]))
        stretcher = draft.sheet(path, box, sheet, "x", "-z", "stretcher")
        for rail in rails:
            draft.join("screwed", stretcher, rail)
        if path == "front stretcher":
            draft.join("screwed", apron, stretcher)
    box = Box((x[0], y[1] - t, z[0]), (x[1], y[1], z[1] - t))
    back = draft.sheet("back rail", box, sheet, "x", "-y", "rail")
    for rail in rails:
        draft.join("screwed", back, rail)
    draft.join("screwed", back, "rear stretcher")


def _drawers(
    draft: Draft,
    options: KneeholeOptions,
    drawers: PencilDrawers,
    site: Site,
    rails: list[Panel],
    zone: Span,
    top: float,
    lap: float,
    front_y: float,
) -> None:
    """Drawers side by side between the rails and hangers, each on its own pair of slides."""
    sheet, slide = site.sheet("carcass"), site.slide()
    t, gap, n = sheet.thickness, options.fronts.gap, drawers.columns
    clear = (site.width - 2 * t - (n - 1) * t) / n
    width = (site.width - (n + 1) * gap) / n
    length = choose_slide(slide, drawers, options.depth - t)
    row = Row((zone[0], zone[1] + lap), zone)
    walls = [rails[0]]
    for i in range(1, n):
        x = t + i * (clear + t) - t
        box = Box((x, front_y, zone[0]), (x + t, options.depth - t, top - t))
        hanger = draft.sheet(f"hanger {i}", box, sheet, "y", "+x", "hanger")
        for tie in ("front stretcher", "rear stretcher", "back rail", "apron"):
            draft.join("screwed", hanger, tie)
        walls.append(hanger)
    walls.append(rails[1])
    for i in range(n):
        hosts = (walls[i], walls[i + 1])
        x = gap + i * (width + gap)
        bay = Bay((hosts[0].box.hi[0], hosts[1].box.lo[0]), (x, x + width), hosts)
        name = f"drawer {i + 1}"
        plan = plan_drawer(drawers, slide, bay, row, site.sheet("front"), 0.0, length, top - t)
        make_drawer(draft, site, name, drawers, bay, plan, slide)
