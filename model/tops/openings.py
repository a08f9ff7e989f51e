"""Openings in a top: cutouts and cable grommets, clear of seams, edges and whatever carries the top."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from model.cuts import Cutout
from model.draft import Draft, Panel
from model.lighting.parts import grommet_part
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Unbuildable
from model.stock.pick import pick
from model.stock.tables import Stock
from model.tolerances import rounded
from model.tops.below import Below
from model.tops.options import TopCutout, TopGrommet, TopOptions

if TYPE_CHECKING:
    from model.tops.slab import Slab

Span = tuple[float, float]
Loc = tuple[str | int, ...]
Standing = Sequence[tuple[Span, float | None]]
"""The uppers on a top: from where to where along the wall, and their fronts (y) where known."""

LEFT = 40.0
"""mm. Least width of sheet left beside a cutout (common practice)."""

BESIDE_BORE = 10.0
"""mm. Least width of sheet left beside the bore of a grommet (common practice)."""


def opening_spans(make: TopOptions, stock: Stock, left: float) -> list[Span]:
    """Where along the wall no seam may lie, for the openings of a top whose left end is at `left`."""
    spans = [(left + c.x - c.width / 2 - LEFT, left + c.x + c.width / 2 + LEFT) for c in make.cutouts]
    for asked in make.grommets:
        item = stock.grommets.get(asked.item)
        if item:
            reach = item.bore_diameter / 2 + BESIDE_BORE
            spans.append((left + asked.x - reach, left + asked.x + reach))
    return spans


def cut_openings(
    cutouts: Sequence[TopCutout],
    slab: "Slab",
    uppers: Standing,
    below: Below,
    pieces: Sequence[Panel],
    layer: Sequence[Panel],
) -> None:
    """Cut the openings through the sheets and the layer under them. Raises Unbuildable where one cannot be."""
    done: list[Box] = []
    for i, cutout in enumerate(cutouts):
        loc: Loc = ("make", "cutouts", i)
        x = (slab.outline[0][0] + cutout.x - cutout.width / 2, slab.outline[0][0] + cutout.x + cutout.width / 2)
        y = (slab.outline[1][0] + cutout.front, slab.outline[1][0] + cutout.front + cutout.depth)
        hole = Box((x[0], y[0], 0.0), (x[1], y[1], slab.thickness))
        if 2 * cutout.radius > min(cutout.width, cutout.depth):
            raise Unbuildable(f"{cutout.name}: its corners are rounder than it is wide", *loc, "radius")
        _check(cutout.name, hole, LEFT, slab.outline[1][0], uppers, below, pieces, loc)
        if any(_near(hole, other, LEFT) for other in done):
            raise Unbuildable(f"{cutout.name}: less than {mm(LEFT)} from another cutout", *loc, "x")
        done.append(hole)
        for panel in (*pieces, *layer):
            if panel.role == "build-up strip":
                if _near(hole, panel.box, 0.0):
                    raise Unbuildable(
                        f"{cutout.name}: {panel.path} under the top is in its way, move it or make the strips narrower",
                        *loc,
                        "x",
                    )
            elif panel.box.common(hole) is not None:
                if not _within(hole, panel.box, LEFT):
                    raise Unbuildable(
                        f"{cutout.name}: less than {mm(LEFT)} from a seam or an edge of the {panel.role}", *loc, "x"
                    )
                panel.cuts.append(_opening(hole, panel.box, cutout.radius))


def _opening(hole: Box, panel: Box, radius: float) -> Cutout:
    """The hole in the frame of a panel that lies along x, face A up."""
    (u0, v0), (u1, v1) = ((c[0] - panel.lo[0], c[1] - panel.lo[1]) for c in (hole.lo, hole.hi))
    return Cutout(u0=u0, v0=v0, u1=u1, v1=v1, radius=radius)


def place_grommets(
    draft: Draft,
    stock: Stock,
    grommets: Sequence[TopGrommet],
    slab: "Slab",
    uppers: Standing,
    below: Below,
    splash: Sequence[Panel],
    pieces: Sequence[Panel],
    layer: Sequence[Panel],
) -> None:
    """Bore the top for its grommets and put them in. `splash` is the backsplash. Raises Unbuildable."""
    places: list[Box] = []
    for i, asked in enumerate(grommets):
        loc: Loc = ("make", "grommets", i)
        item = pick(stock.grommets, asked.item, "grommet", *loc, "item")
        name = f"grommet {i + 1}"
        x, y = slab.outline[0][0] + asked.x, slab.outline[1][1] - asked.from_wall
        r, rim = item.bore_diameter / 2, item.flange_diameter / 2
        if item.depth > slab.thickness:
            raise Unbuildable(
                f"{name}: {item.name} reaches {mm(item.depth)} down, the top is {mm(slab.thickness)} thick",
                *loc,
                "item",
            )
        deep = max((s.box.size[1] for s in splash if s.along == "x"), default=0.0)
        if asked.from_wall < rim + deep:
            raise Unbuildable(
                f"{name}: its rim meets {'the backsplash' if deep else 'the wall'}, "
                f"keep it {mm(rounded(rim + deep))} from the wall",
                *loc,
                "from_wall",
            )
        hole = Box((x - r, y - r, 0.0), (x + r, y + r, slab.thickness))
        cover = Box((x - rim, y - rim, 0.0), (x + rim, y + rim, slab.thickness))
        _check(name, hole, BESIDE_BORE, slab.outline[1][0], uppers, below, pieces, loc)
        if any(_near(cover, strip.box, 0.0) for strip in splash):
            raise Unbuildable(f"{name}: its rim meets the backsplash", *loc, "x")
        if any(_near(cover, other, 0.0) for other in places):
            raise Unbuildable(f"{name}: it meets another grommet", *loc, "x")
        places.append(cover)
        for panel in (*pieces, *layer):
            if panel.box.common(hole) is None:
                continue
            if not _within(hole, panel.box, BESIDE_BORE):
                raise Unbuildable(
                    f"{name}: less than {mm(BESIDE_BORE)} from a seam or an edge of {panel.path}", *loc, "x"
                )
            _refuse_cut_away(name, cover, panel, loc)
            panel.bore((x, y, panel.box.hi[2]), "-z", item.bore_diameter, None, "grommet")
            if panel in pieces:
                at = Placement((x - rim, y - rim, slab.thickness - item.depth))
                draft.join("plugged", draft.place(name, grommet_part(item), at, "grommet"), panel)


def _refuse_cut_away(name: str, cover: Box, panel: Panel, loc: Loc) -> None:
    low = panel.box.lo
    for cut in panel.cuts:
        if isinstance(cut, Cutout):
            hole = Box((low[0] + cut.u0, low[1] + cut.v0, low[2]), (low[0] + cut.u1, low[1] + cut.v1, panel.box.hi[2]))
            if _near(cover, hole, BESIDE_BORE):
                raise Unbuildable(f"{name}: it meets a cutout", *loc, "x")


def _check(
    name: str,
    hole: Box,
    clear: float,
    front: float,
    uppers: Standing,
    below: Below,
    pieces: Sequence[Panel],
    loc: Loc,
) -> None:
    """Refuse a hole over what carries the top, under an upper, across a seam or too near an edge."""
    (x0, y0, _), (x1, y1, _) = hole.lo, hole.hi
    for what, upright in below.uprights:
        if upright.lo[0] < x1 and x0 < upright.hi[0] and upright.lo[1] < y1 and y0 < upright.hi[1]:
            raise Unbuildable(
                f"{name}: it lies over {what}, at {mm(upright.lo[0])} to {mm(upright.hi[0])} along the wall and "
                f"{mm(rounded(upright.lo[1] - front))} to {mm(rounded(upright.hi[1] - front))} behind the front; "
                f"it reaches from {mm(x0)} to {mm(x1)} and from {mm(rounded(y0 - front))} to {mm(rounded(y1 - front))}",
                *loc,
                "x",
            )
    for (a, b), face in uppers:
        if a < x1 and x0 < b and (face is None or y1 > face):
            raise Unbuildable(f"{name}: an upper stands there, from {mm(a)} to {mm(b)} along the wall", *loc, "x")
    if not any(_within(hole, piece.box, clear) for piece in pieces):
        raise Unbuildable(f"{name}: less than {mm(clear)} from a seam or an edge of the top", *loc, "x")


def _near(a: Box, b: Box, by: float) -> bool:
    return all(a.lo[i] < b.hi[i] + by and b.lo[i] - by < a.hi[i] for i in (0, 1))


def _within(a: Box, b: Box, by: float) -> bool:
    return all(b.lo[i] + by <= a.lo[i] + 1e-6 and a.hi[i] <= b.hi[i] - by + 1e-6 for i in (0, 1))
