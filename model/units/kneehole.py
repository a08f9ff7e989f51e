"""Kneeholes: a place to sit between two neighbours, with an apron and shallow drawers hung under the top."""

import itertools
from typing import Literal

from pydantic import Field

from model.cabinet.carcass import Span
from model.cabinet.drawers import Bay, DrawerSpec, choose_slide, make_drawer, plan_drawer
from model.cabinet.fronts import FrontOptions, Row
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
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


class Packing(Strict):
    """A second layer behind each rail, where a neighbour's frame, baseboard or door stands out past its side."""

    left: NonNegativeLength = 0.0
    """Thickness at the left neighbour: any sheet in stock that has it, else strips ripped from frame board."""
    right: NonNegativeLength = 0.0
    """Thickness at the right neighbour."""


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
    packing: Packing = Packing()
    """What brings the rails in from the neighbours."""


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
    y, z = (front, options.depth), (low, top)
    left, right = options.packing.left, options.packing.right
    if site.width - left - right < 8 * t or options.depth - front < 4 * t:
        raise Unbuildable(f"a kneehole {mm(site.width)} wide and {mm(options.depth)} deep is too small", "depth")
    rails: list[Panel] = []
    ends: list[str] = []
    for label, a, face, pack in (("left", left, "+x", left), ("right", site.width - right - t, "-x", right)):
        rail = draft.sheet(f"{label} rail", Box((a, y[0], z[0]), (a + t, y[1], z[1])), sheet, "y", face, "rail")
        draft.join("screwed", apron, rail)
        rails.append(rail)
        ends.append(_packing(draft, site, label, rail, pack) if pack else rail.path)
    _ties(draft, options, site, y, z, rails, apron)
    if options.drawers:
        _drawers(draft, options, options.drawers, site, rails, (low, apron_low), top, lap, front)
    bears = ("left rail", "right rail", "front stretcher", "rear stretcher", "apron")
    return draft.finish(site.name, site.code, "kneehole", (ends[0], ends[1]), bears)


def _packing(draft: Draft, site: Site, label: str, rail: Panel, thickness: float) -> str:
    """The layer between a rail and the neighbour; gives the path of what lies against the neighbour.

    A whole second rail where a sheet in stock has that thickness, else a strip of frame board along the upper edge of
    the rail and one along its lower edge, ripped to the thickness and set on edge.
    """
    low, high = rail.box.span("x")
    x = (low - thickness, low) if label == "left" else (high, high + thickness)
    sheets = sorted(site.stock.sheets.values(), key=lambda s: (s.name != site.sheet("carcass").name, s.name))
    sheet = next((s for s in sheets if abs(s.thickness - thickness) < 0.0005), None)
    if sheet is not None:
        layer = draft.sheet(f"{label} packing", rail.box.replace(x=x), sheet, "y", rail.face, "packing")
        draft.join("screwed", rail, layer)
        return layer.path
    board = site.board("frame")
    z = rail.box.span("z")
    if thickness > board.width or z[1] - z[0] < 2 * board.thickness:
        raise Unbuildable(
            f"no sheet in stock is {mm(thickness)} thick, and strips of {board.name} ({mm(board.thickness)} x "
            f"{mm(board.width)}) do not do for that",
            "packing",
            label,
        )
    for which, zs in (("lower", (z[0], z[0] + board.thickness)), ("upper", (z[1] - board.thickness, z[1]))):
        strip = draft.board(f"{label} packing, {which}", rail.box.replace(x=x, z=zs), board, "y", "+z", "packing")
        draft.join("screwed", rail, strip)
    return f"{label} packing, upper"


def _ties(
    draft: Draft, options: KneeholeOptions, site: Site, y: Span, z: Span, rails: list[Panel], apron: Panel
) -> None:
    """Two stretchers under the top and a back rail, which keep the rails apart and the drawers' hangers square."""
    sheet = site.sheet("carcass")
    t, w = sheet.thickness, options.stretcher
    x = (rails[0].box.hi[0], rails[1].box.lo[0])
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


def _fronts(width: float, hangers: list[Box], gap: float) -> list[Span]:
    """The x of each front: all alike where gaps then lie before hangers, else parted at the hangers' middles."""
    n = len(hangers) + 1
    pitch = (width - gap) / n
    even = [gap / 2 + i * pitch for i in range(1, n)]
    middles = [box.center[0] for box in hangers]
    reach = [(box.size[0] - gap) / 2 for box in hangers]
    fits = all(abs(a - b) <= r for a, b, r in zip(even, middles, reach, strict=True))
    cuts = [gap / 2, *(even if fits else middles), width - gap / 2]
    return [(a + gap / 2, b - gap / 2) for a, b in itertools.pairwise(cuts)]


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
    inside = (rails[0].box.hi[0], rails[1].box.lo[0])
    clear = (inside[1] - inside[0] - (n - 1) * t) / n
    length = choose_slide(slide, drawers, options.depth - t)
    row = Row((zone[0], zone[1] + lap), zone)
    walls = [rails[0]]
    for i in range(1, n):
        x = inside[0] + i * (clear + t) - t
        box = Box((x, front_y, zone[0]), (x + t, options.depth - t, top - t))
        hanger = draft.sheet(f"hanger {i}", box, sheet, "y", "+x", "hanger")
        for tie in ("front stretcher", "rear stretcher", "back rail", "apron"):
            draft.join("screwed", hanger, tie)
        walls.append(hanger)
    walls.append(rails[1])
    for i, front in enumerate(_fronts(site.width, [hanger.box for hanger in walls[1:-1]], gap)):
        hosts = (walls[i], walls[i + 1])
        bay = Bay((hosts[0].box.hi[0], hosts[1].box.lo[0]), front, hosts)
        name = f"drawer {i + 1}"
        plan = plan_drawer(drawers, slide, bay, row, site.sheet("front"), 0.0, length, top - t)
        make_drawer(draft, site, name, drawers, bay, plan, slide)
