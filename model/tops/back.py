"""The backsplash of a top: low strips along the wall between the uppers, and along end walls."""

import itertools
from collections.abc import Sequence

from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.pick import pick
from model.stock.tables import Board, Sheet
from model.tolerances import rounded
from model.tops.edges import JOINT_CLEAR, lies_against
from model.tops.options import Backsplash
from model.tops.seams import even_pieces, without

Span = tuple[float, float]

SHORTEST = 60.0
"""mm. A piece of backsplash shorter than this is left out."""


def build_backsplash(
    draft: Draft,
    site: Site,
    sheet: Sheet,
    options: Backsplash,
    outline: tuple[Span, Span],
    high: float,
    seams: Sequence[float],
    uppers: Sequence[tuple[Span, float | None]],
    pieces: Sequence[Panel],
) -> list[Panel]:
    """The strips on a top whose upper face is at `high`; `uppers` are their spans and their fronts (y)."""
    board = pick(site.stock.boards, options.board, "board", "make", "backsplash", "board")
    if board and options.height > board.width:
        raise Unbuildable(
            f"a backsplash {mm(options.height)} high is wider than the {mm(board.width)} board {board.name}",
            "make",
            "backsplash",
            "height",
        )
    t = (board or sheet).thickness
    trim = site.stock.sheet_trim
    longest = max(board.lengths) if board else max(s.length for s in sheet.sizes) - 2 * trim
    z = (high, rounded(high + options.height))
    (x0, x1), (y0, wall) = outline
    strips: list[Panel] = []
    for a, b in without([(x0, x1)], [span for span, _ in uppers]):
        if b - a < SHORTEST:
            continue
        places = [a, *even_pieces((a, b), longest, seams, JOINT_CLEAR), b]
        for c, d in itertools.pairwise(places):
            box = Box((c, wall - t, z[0]), (d, wall, z[1]))
            strips.append(_strip(draft, f"backsplash {len(strips) + 1}", box, board, sheet, "x", "-y"))
    for end in dict.fromkeys(options.ends):
        x, face = ((x0, x0 + t), "+x") if end == "left" else ((x1 - t, x1), "-x")
        rear = _rear(end, x, wall, wall - t, uppers, strips)
        if rear - y0 < SHORTEST:
            continue
        box = Box((x[0], y0, z[0]), (x[1], rear, z[1]))
        strips.append(_strip(draft, f"backsplash, {end} end", box, board, sheet, "y", face))
    for strip in strips:
        for piece in pieces:
            if lies_against(strip.box, piece.box):
                draft.join("glued", strip, piece)
    return strips


def _rear(
    end: str, x: Span, wall: float, meets: float, uppers: Sequence[tuple[Span, float | None]], strips: Sequence[Panel]
) -> float:
    """Where an end strip stops: at the upper that stands there, at the strip along the wall, or at the wall."""
    for (a, b), front in uppers:
        if a < x[1] and x[0] < b:
            if front is None:
                raise Unbuildable(f"an upper stands at the {end} end", "make", "backsplash", "ends")
            return front
    along = any(s.box.lo[0] < x[1] and x[0] < s.box.hi[0] for s in strips)
    return meets if along else wall


def _strip(draft: Draft, path: str, box: Box, board: Board | None, sheet: Sheet, along: str, face: str) -> Panel:
    if board:
        return draft.board(path, box, board, along, face, "backsplash")
    return draft.sheet(path, box, sheet, along, face, "backsplash")
