"""Plans of everything that is cut to length alone: boards, mouldings, light profiles, strips and edge bands."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from model.cutting import filler
from model.cutting.laid import CutBoard
from model.cutting.packing import Bed, lengths
from model.cutting.pieces import Bar, Stick
from model.cutting.sheets import SOLVER_TROUBLE
from model.tolerances import rounded

RACK = 1e-3
"""Price per mm of an offcut, against that of what is bought: so little that it is used wherever it saves anything."""


@dataclass(frozen=True, slots=True)
class Rest:
    """A length on the rack, by its name."""

    name: str
    length: float
    copies: int = 1


def cut_lengths(
    material: str, sticks: Sequence[Stick], bars: Sequence[Bar], rack: Sequence[Rest], kerf: float,
    seconds: float | None = None,
) -> tuple[tuple[CutBoard, ...], tuple[str, ...]]:  # fmt: skip
    """The cheapest lengths that hold the pieces, and the marks of those that are longer than any.

    What is sold by the metre comes as one length with `kerf` more for each piece.
    """
    if bars[0].length == float("inf"):
        return (_by_the_metre(material, sticks, bars[0], kerf),), ()
    longest = max([b.length for b in bars])
    held = [s for s in sticks if s.length <= longest]
    left_over = tuple(s.mark for s in sticks if s.length > longest)
    if not held:
        return (), left_over
    sizes = sorted({s.length for s in held}, reverse=True)
    pieces = [(size, sum(s.copies for s in held if s.length == size)) for size in sizes]
    filled = _filled(pieces, bars, rack, kerf, seconds)
    marks = {size: [s.mark for s in held if s.length == size for _ in range(s.copies)] for size in sizes}
    order = sorted(filled, key=lambda f: (f[0] < len(bars), -_whole(f[0], bars, rack), sorted(f[1])))
    boards: list[CutBoard] = []
    for number, (bar, places) in enumerate(order, 1):
        cut = [sizes[i] for i in sorted(places)]
        boards.append(_board(material, number, bar, bars, rack, [(marks[s].pop(0), s) for s in cut], kerf))
    return tuple(boards), left_over


Filled = list[tuple[int, tuple[int, ...]]]
"""Which bar (those that are bought first, then the rack), and the places of the pieces on it."""


def _filled(
    pieces: Sequence[tuple[float, int]], bars: Sequence[Bar], rack: Sequence[Rest], kerf: float, seconds: float | None
) -> Filled:
    count = sum(n for _, n in pieces)
    priced = all(b.price for b in bars)
    beds = [Bed(b.length, 0.0, b.price if priced and b.price else b.length, count) for b in bars]
    cheapest = min(bed.cost / bed.along for bed in beds)
    beds += [Bed(r.length, 0.0, cheapest * RACK * r.length, r.copies) for r in rack]
    try:
        found = lengths(pieces, beds, kerf, seconds)
    except SOLVER_TROUBLE:
        found = None
    if found is not None:
        return list(found.beds)
    longest = max(range(len(bars)), key=lambda i: bars[i].length)
    plain = filler.bars(pieces, bars[longest].length, kerf) or []
    return [(longest, places) for places in plain]


def _whole(bar: int, bars: Sequence[Bar], rack: Sequence[Rest]) -> float:
    return bars[bar].length if bar < len(bars) else rack[bar - len(bars)].length


def _board(
    material: str, number: int, bar: int, bars: Sequence[Bar], rack: Sequence[Rest],
    cut: Iterable[tuple[str, float]], kerf: float,
) -> CutBoard:  # fmt: skip
    at, laid = 0.0, list[tuple[str, float, float]]()
    for mark, size in cut:
        laid.append((mark, rounded(at), size))
        at += size + kerf
    whole = _whole(bar, bars, rack)
    left = max(rounded(whole - at), 0.0)
    if bar < len(bars):
        return CutBoard(material, number, whole, bars[bar].price, kerf, tuple(laid), left)
    return CutBoard(material, number, whole, None, kerf, tuple(laid), left, rack[bar - len(bars)].name)


def _by_the_metre(material: str, sticks: Sequence[Stick], bar: Bar, more: float) -> CutBoard:
    each = [(s.mark, s.length) for s in sorted(sticks, key=lambda s: -s.length) for _ in range(s.copies)]
    starts = accumulate((size + more for _, size in each), initial=0.0)
    laid = tuple((mark, rounded(at), size) for (mark, size), at in zip(each, starts, strict=False))
    total = rounded(sum(size + more for _, size in each))
    price = None if bar.price is None else bar.price * total / 1000
    return CutBoard(material, 1, total, price, more, laid, 0.0)
