"""The edge of a top: a dressed board on it, a moulding on that or under it, returned around exposed ends."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from model.cuts import Bevel, Cut, Scribe
from model.draft import Draft, Panel
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Unbuildable
from model.stock.pick import pick
from model.stock.tables import Board, Stock
from model.tolerances import rounded
from model.tops.mouldings import Moulding, moulding_part
from model.tops.options import EdgeOptions, EndScribes
from model.tops.seams import even_pieces

Span = tuple[float, float]
JOINT_CLEAR = 100.0
"""mm. Joints of an edge keep this far from the seams of the sheets where they can (common practice)."""


@dataclass(frozen=True)
class Edging:
    """What is applied to the edge of a top. `out` is how far it stands out from the sheets, mm."""

    board: Board | None
    height: float
    moulding: Moulding | None
    under: bool
    ends: tuple[str, ...]

    @property
    def out(self) -> float:
        on_face = self.moulding.projection if self.moulding and not self.under else 0.0
        return rounded(on_face + (self.board.thickness if self.board else 0.0))

    def drop(self, thickness: float) -> float:
        """How far the edge of a top this thick hangs below its underside, mm; negative where it does not reach it."""
        low = self.height if self.board else thickness
        if self.moulding:
            low = low + self.moulding.height if self.under else max(low if self.board else 0.0, self.moulding.height)
        return rounded(low - thickness)

    def hanging(self, thickness: float) -> float:
        """How far what hangs below the underside reaches back from the front of the edge, mm."""
        reach = self.out if self.board is None or self.height > thickness else 0.0
        if self.moulding and self.under:
            reach = max(reach, self.moulding.projection)
        return reach or self.out


def choose_edging(options: EdgeOptions, stock: Stock, thickness: float) -> Edging:
    """The edge asked for, from stock, for a top of this thickness. Raises Unbuildable."""
    board = pick(stock.boards, options.board, "board", "make", "edge", "board")
    moulding = pick(stock.mouldings, options.moulding, "moulding", "make", "edge", "moulding")
    if board is None and moulding is None:
        raise Unbuildable("an edge is a board, a moulding or both: name one", "make", "edge")
    height = options.height or (board.width if board else thickness)
    if board and height > board.width:
        raise Unbuildable(
            f"an edge {mm(height)} high is wider than the {mm(board.width)} board {board.name}",
            "make",
            "edge",
            "height",
        )
    under = options.moulding_at == "under"
    if moulding and not under and board and moulding.height > height:
        raise Unbuildable(
            f"the moulding {moulding.name} is {mm(moulding.height)} high, the board it lies on {mm(height)}",
            "make",
            "edge",
            "moulding",
        )
    if moulding and under and board and height < thickness and moulding.projection > board.thickness:
        raise Unbuildable(
            f"the moulding {moulding.name} lies under a board that does not reach the underside of the top, "
            f"and is thicker ({mm(moulding.projection)}) than it ({mm(board.thickness)})",
            "make",
            "edge",
            "moulding",
        )
    return Edging(board, height, moulding, under, tuple(dict.fromkeys(options.ends)))


@dataclass(frozen=True)
class _Strip:
    """One straight piece of an edge: along which side of the top, the box it fills, which of its ends are mitred.

    `low` and `high` are the ends toward smaller and larger x, or y.
    """

    path: str
    side: str
    box: Box
    mitred_low: bool
    mitred_high: bool
    scribe: Span = (0.0, 0.0)


def _around(
    name: str,
    outer: tuple[Span, Span],
    wide: float,
    z: Span,
    ends: Sequence[str],
    joints: Sequence[float],
    scribe: EndScribes,
) -> list[_Strip]:
    """The strips of one kind around the outline whose outer faces it follows: the front, then returned ends."""
    (x0, x1), (y0, y1) = outer
    places = [x0, *joints, x1]
    strips: list[_Strip] = []
    for i, (a, b) in enumerate(itertools.pairwise(places)):
        first, last = i == 0, i == len(places) - 2
        path = name if len(places) == 2 else f"{name} piece {i + 1}"
        box = Box((a, y0, z[0]), (b, y0 + wide, z[1]))
        left = (scribe.left if first else 0.0, scribe.right if last else 0.0)
        strips.append(_Strip(path, "front", box, first and "left" in ends, last and "right" in ends, left))
    for end, x in (("left", (x0, x0 + wide)), ("right", (x1 - wide, x1))):
        if end in ends:
            box = Box((x[0], y0, z[0]), (x[1], y1, z[1]))
            strips.append(_Strip(f"{name}, {end} return", end, box, True, False))
    return strips


def apply_edge(
    draft: Draft,
    edging: Edging,
    outline: tuple[Span, Span],
    high: float,
    seams: Sequence[float],
    pieces: Sequence[Panel],
    scribe: EndScribes,
) -> None:
    """Put the edge around the finished outline (x, y); `high` is the upper face of the top."""
    touching = [(p.path, p.box) for p in pieces]
    board, moulding = edging.board, edging.moulding
    boards: list[_Strip] = []
    if board:
        on_face = moulding.projection if moulding and not edging.under else 0.0
        inner = _inset(outline, on_face, edging.ends)
        joints = _joints(inner[0], scribe, max(board.lengths), seams)
        boards = _around("edge", inner, board.thickness, (high - edging.height, high), edging.ends, joints, scribe)
        for strip in boards:
            _board(draft, board, strip)
            _fasten(draft, strip, touching)
        _corners(draft, boards)
    if moulding:
        top = high - (edging.height if board else high) if edging.under else high
        joints = _joints(outline[0], scribe, max(moulding.lengths), seams)
        z = (top - moulding.height, top)
        strips = _around("moulding", outline, moulding.projection, z, edging.ends, joints, scribe)
        for strip in strips:
            _moulding(draft, moulding, strip)
            _fasten(draft, strip, [(b.path, b.box) for b in boards if b.side == strip.side] or touching)
        _corners(draft, strips)


def _inset(outer: tuple[Span, Span], by: float, ends: Sequence[str]) -> tuple[Span, Span]:
    (x0, x1), (y0, y1) = outer
    x = (x0 + (by if "left" in ends else 0.0), x1 - (by if "right" in ends else 0.0))
    return (rounded(x[0]), rounded(x[1])), (rounded(y0 + by), y1)


def _joints(span: Span, scribe: EndScribes, longest: float, seams: Sequence[float]) -> list[float]:
    return even_pieces((span[0] - scribe.left, span[1] + scribe.right), longest, seams, JOINT_CLEAR)


def _cuts(strip: _Strip, run: float, low: str, high: str) -> list[Cut]:
    """Mitres at 45 degrees (the inner face B is the shorter) and scribes; `low` and `high` name the blank's ends."""
    cuts: list[Cut] = []
    for end, mitred, extra in (
        (low, strip.mitred_low, strip.scribe[0]),
        (high, strip.mitred_high, strip.scribe[1]),
    ):
        if mitred:
            cuts.append(Bevel(edge=end, face="B", run=run))  # pyright: ignore[reportArgumentType]
        if extra:
            cuts.append(Scribe(edge=end, extra=extra))  # pyright: ignore[reportArgumentType]
    return cuts


_OUTWARD = {"front": "-y", "left": "-x", "right": "+x"}


def _board(draft: Draft, board: Board, strip: _Strip) -> None:
    along = "x" if strip.side == "front" else "y"
    panel = draft.board(strip.path, strip.box, board, along, _OUTWARD[strip.side], "edge")
    panel.cuts.extend(_cuts(strip, board.thickness, "x0", "x1"))


def _moulding(draft: Draft, moulding: Moulding, strip: _Strip) -> None:
    """A moulding stands with its back to the top: its length runs to the right as seen from outside."""
    (x0, y0, z0), (x1, y1, _) = strip.box.lo, strip.box.hi
    if strip.side == "left":
        at = Placement.axes((x1, y1, z0), "-y", "-x")
    elif strip.side == "right":
        at = Placement.axes((x0, y0, z0), "+y", "+x")
    else:
        at = Placement.axes((x0, y1, z0), "+x", "-y")
    low, high = ("x1", "x0") if strip.side == "left" else ("x0", "x1")
    length = y1 - y0 if strip.side != "front" else x1 - x0
    part = moulding_part(moulding, length, tuple(_cuts(strip, moulding.projection, low, high)))
    draft.place(strip.path, part, at, "moulding")


def _fasten(draft: Draft, strip: _Strip, hosts: Sequence[tuple[str, Box]]) -> None:
    for host, box in hosts:
        if lies_against(strip.box, box):
            draft.join("glued", strip.path, host)


def _corners(draft: Draft, strips: Sequence[_Strip]) -> None:
    """Neighbours meet along the front and in mitred corners."""
    for a, b in itertools.combinations(strips, 2):
        if lies_against(a.box, b.box):
            draft.join("glued", a.path, b.path)


def lies_against(a: Box, b: Box) -> bool:
    """Whether two boxes meet over more than a few millimetres, or share a volume as mitred pieces do."""
    low = [max(p, q) for p, q in zip(a.lo, b.lo, strict=True)]
    high = [min(p, q) for p, q in zip(a.hi, b.hi, strict=True)]
    sizes = sorted(rounded(q - p) for p, q in zip(low, high, strict=True))
    return sizes[0] >= 0 and sizes[1] > 3
