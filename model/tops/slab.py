"""Tops: one continuous surface over units and kneeholes, in as many pieces as the sheets ask for."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from model.cuts import Scribe
from model.draft import Draft, Panel
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.tables import Sheet, Stock
from model.tolerances import rounded
from model.tops.back import build_backsplash
from model.tops.below import Below
from model.tops.edges import Edging, apply_edge, choose_edging
from model.tops.layers import build_up_strips, second_layer
from model.tops.openings import cut_openings, opening_spans, place_grommets
from model.tops.options import TopOptions
from model.tops.seams import NoSeam, seam_places

Span = tuple[float, float]


@dataclass(frozen=True)
class TopRun:
    """What a top covers, mm along its wall: its own span, the carcasses that can carry a seam, the uppers on it.

    `units` are all it lies over, kneeholes too; `front` is the plane of their faces (y) and `upper_fronts` those of the
    uppers, where they are known.
    """

    span: Span
    carcasses: tuple[Span, ...]
    uppers: tuple[Span, ...]
    bearing: float
    units: tuple[Span, ...] = ()
    front: float | None = None
    upper_fronts: tuple[float, ...] = ()

    @property
    def standing(self) -> tuple[tuple[Span, float | None], ...]:
        """The uppers on it and where their fronts are, None where that is not known."""
        fronts = self.upper_fronts or (None,) * len(self.uppers)
        return tuple(zip(self.uppers, fronts, strict=True))

    @property
    def covers(self) -> Span:
        """From the first unit to the last."""
        spans = self.units or self.carcasses or (self.span,)
        return (min(a for a, _ in spans), max(b for _, b in spans))


@dataclass(frozen=True)
class Slab:
    """A top before it is built, mm in the wall's frame: the finished outline, that of its sheets, seams, thickness.

    `lower` are the seams of the second layer (or of the build-up strips along the front and the rear).
    """

    sheet: Sheet
    edging: Edging | None
    outline: tuple[Span, Span]
    span: Span
    y: Span
    seams: tuple[float, ...]
    lower: tuple[float, ...]
    thickness: float

    @property
    def all_seams(self) -> tuple[float, ...]:
        return tuple(sorted((*self.seams, *self.lower)))


def longest_piece(sheet: Sheet, depth: float, trim: float) -> float:
    """The longest piece `depth` mm wide that a sheet in stock gives, its trimmed edges off. Raises Unbuildable."""
    found = [s.length - 2 * trim for s in sheet.sizes if s.width - 2 * trim >= depth]
    if not sheet.grain:
        found += [s.width - 2 * trim for s in sheet.sizes if s.length - 2 * trim >= depth]
    if not found:
        widest = max(s.width for s in sheet.sizes) - 2 * trim
        raise Unbuildable(
            f"a top {mm(depth)} deep is wider than any sheet of {sheet.name} gives ({mm(widest)})", "overhang"
        )
    return max(found)


def plan_seams(run: TopRun, sheet: Sheet, stock: Stock, depth: float, holes: Sequence[Span] = ()) -> list[float]:
    """Where the pieces of a top meet, x along the wall, clear of its openings. Raises Unbuildable."""
    longest = longest_piece(sheet, depth, stock.sheet_trim)
    try:
        return seam_places(run.span, longest, run.carcasses, run.uppers, run.bearing, holes)
    except NoSeam as error:
        raise Unbuildable(f"the top cannot be pieced from {sheet.name}: {error.message}", "over") from None


def plan_top(site: Site, run: TopRun, y: Span, make: TopOptions) -> Slab:
    """The top over a run whose finished outline is the run's span and `y`. Raises Unbuildable."""
    sheet, stock = site.sheet("top"), site.stock
    if make.layers == 2 and make.build_up is not None:
        raise Unbuildable("a second layer leaves no room for build-up strips: choose one", "make", "build_up")
    thickness = rounded(sheet.thickness * (2 if make.layers == 2 or make.build_up else 1))
    edging = choose_edging(make.edge, stock, thickness) if make.edge else None
    out = edging.out if edging else 0.0
    ends = edging.ends if edging else ()
    span = (
        rounded(run.span[0] + (out if "left" in ends else 0.0)),
        rounded(run.span[1] - (out if "right" in ends else 0.0)),
    )
    front = rounded(y[0] + out)
    if front >= y[1] or span[0] >= span[1]:
        raise Unbuildable("the edge is wider than the top", "make", "edge")
    _check_scribes(make, ends)
    sawn = TopRun(
        (rounded(span[0] - make.scribe.left), rounded(span[1] + make.scribe.right)),
        run.carcasses,
        run.uppers,
        run.bearing,
    )
    holes = opening_spans(make, stock, run.span[0])
    seams = tuple(plan_seams(sawn, sheet, stock, y[1] - front, holes))
    lower: tuple[float, ...] = ()
    if thickness > sheet.thickness:
        wide = make.build_up or y[1] - front
        longest = longest_piece(sheet, wide, stock.sheet_trim)
        lower = tuple(_lower_seams(sawn, seams, longest, make.stagger, sheet, holes))
    return Slab(sheet, edging, (run.span, y), span, (front, y[1]), seams, lower, thickness)


def _check_scribes(make: TopOptions, returned: Sequence[str]) -> None:
    for end in returned:
        if getattr(make.scribe, end):
            raise Unbuildable(f"the edge returns around the {end} end: there is no wall to scribe to", "make", "scribe")
        if make.backsplash and end in make.backsplash.ends:
            raise Unbuildable(
                f"the edge returns around the {end} end: there is no wall for a backsplash", "make", "backsplash"
            )


def _lower_seams(
    run: TopRun, seams: Sequence[float], longest: float, stagger: float, sheet: Sheet, holes: Sequence[Span]
) -> list[float]:
    avoid = [*holes, *((s - stagger, s + stagger) for s in seams)]
    try:
        return seam_places(run.span, longest, run.carcasses, (), run.bearing, avoid)
    except NoSeam as error:
        raise Unbuildable(
            f"the lower layer cannot be pieced from {sheet.name} with its seams {mm(stagger)} from those of the upper: "
            f"{error.message}",
            "make",
            "stagger",
        ) from None


def build_top(site: Site, run: TopRun, slab: Slab, make: TopOptions, below: Below) -> BuiltUnit:
    """The parts of a top in the wall's frame, its underside at z = 0. Raises Unbuildable."""
    draft = Draft()
    t, high = slab.sheet.thickness, slab.thickness
    ends = [slab.span[0], *slab.seams, slab.span[1]]
    names = ["top"] if not slab.seams else [f"top piece {i + 1}" for i in range(len(slab.seams) + 1)]
    pieces = [
        draft.sheet(name, Box((a, slab.y[0], high - t), (b, slab.y[1], high)), slab.sheet, "x", "+z", "top")
        for name, a, b in zip(names, ends, ends[1:], strict=False)
    ]
    for a, b in itertools.pairwise(names):
        draft.join("seam", a, b)
    layer: list[Panel] = []
    if make.layers == 2:
        layer = second_layer(draft, slab.sheet, slab.span, slab.y, slab.lower, pieces)
    elif make.build_up:
        spans = run.units or run.carcasses
        layer = build_up_strips(draft, slab.sheet, make.build_up, slab.span, slab.y, slab.lower, spans, pieces)
    leave_scribes(make, [*pieces, *layer], slab.span)
    if slab.edging:
        apply_edge(draft, slab.edging, slab.outline, high, slab.seams, pieces, make.scribe)
        _check_edge(slab.edging, run, slab, below)
    strips: list[Panel] = []
    if make.backsplash:
        strips = build_backsplash(
            draft, site, slab.sheet, make.backsplash, slab.outline, high, slab.seams, run.standing, pieces
        )
        leave_scribes(make, [s for s in strips if s.along == "x"], run.span)
    cut_openings(make.cutouts, slab, run.standing, below, pieces, layer)
    place_grommets(draft, site.stock, make.grommets, slab, run.standing, below, strips, pieces, layer)
    return draft.finish(site.name, site.code, "top", (names[0], names[-1]), ())


def leave_scribes(make: TopOptions, panels: Sequence[Panel], span: Span) -> None:
    """Leave wood on the ends of lengthwise panels that reach an end of the top."""
    for panel in panels:
        if panel.along != "x":
            continue
        if make.scribe.left and abs(panel.box.lo[0] - span[0]) < 0.01:
            panel.cuts.append(Scribe(edge="x0", extra=make.scribe.left))
        if make.scribe.right and abs(panel.box.hi[0] - span[1]) < 0.01:
            panel.cuts.append(Scribe(edge="x1", extra=make.scribe.right))


def _check_edge(edging: Edging, run: TopRun, slab: Slab, below: Below) -> None:
    """An edge that hangs below the top must stand clear of the frames and of all that moves."""
    drop = edging.drop(slab.thickness)
    if drop <= 0:
        return
    (x0, x1), (y0, _) = slab.outline
    reach = edging.hanging(slab.thickness)
    rooms = {"front": run.front - y0 if run.front is not None else None}
    rooms |= {"left": run.covers[0] - x0, "right": x1 - run.covers[1]}
    for side, room in rooms.items():
        if side != "front" and side not in edging.ends:
            continue
        if room is not None and rounded(room - reach) < 0:
            raise Unbuildable(
                f"the edge hangs {mm(drop)} below the top and is {mm(reach)} thick there: "
                f"it needs at least as much overhang ({mm(room)} is given)",
                "overhang",
                side,
            )
    if below.clear is not None and drop > below.clear - FRONT_CLEAR:
        raise Unbuildable(
            f"the edge hangs {mm(drop)} below the top, and what moves under it begins {mm(below.clear)} below: "
            "lower the edge or the fronts",
            "make",
            "edge",
        )


FRONT_CLEAR = 1.0
"""mm. Least air between an edge and a drawer or door that passes under it."""

__all__ = [
    "Below",
    "Slab",
    "Span",
    "TopOptions",
    "TopRun",
    "build_top",
    "leave_scribes",
    "longest_piece",
    "plan_seams",
    "plan_top",
]
