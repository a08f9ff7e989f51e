"""Tops: one continuous surface over units and kneeholes, in as many pieces as the sheets ask for."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from model.draft import Draft
from model.messages import mm
from model.plan import BuiltUnit
from model.seams import NoSeam, seam_places
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock import Sheet, Stock

Span = tuple[float, float]


@dataclass(frozen=True)
class TopRun:
    """What a top covers, mm along its wall: its own span, the carcasses that can carry a seam, the uppers on it."""

    span: Span
    carcasses: tuple[Span, ...]
    uppers: tuple[Span, ...]
    bearing: float


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


def plan_seams(run: TopRun, sheet: Sheet, stock: Stock, depth: float) -> list[float]:
    """Where the pieces of a top meet, x along the wall. Raises Unbuildable."""
    longest = longest_piece(sheet, depth, stock.sheet_trim)
    try:
        return seam_places(run.span, longest, run.carcasses, run.uppers, run.bearing)
    except NoSeam as error:
        raise Unbuildable(f"the top cannot be pieced from {sheet.name}: {error.message}", "over") from None


def build_top(site: Site, run: TopRun, seams: Sequence[float], y: Span) -> BuiltUnit:
    """The pieces of a top in the wall's frame, its underside at z = 0."""
    sheet = site.sheet("top")
    draft = Draft()
    ends = [run.span[0], *seams, run.span[1]]
    names = ["top"] if not seams else [f"top piece {i + 1}" for i in range(len(seams) + 1)]
    for name, a, b in zip(names, ends, ends[1:], strict=False):
        draft.sheet(name, Box((a, y[0], 0), (b, y[1], sheet.thickness)), sheet, "x", "+z", "top")
    for a, b in itertools.pairwise(names):
        draft.join("seam", a, b)
    return draft.finish(site.name, site.code, "top", (names[0], names[-1]), ())
