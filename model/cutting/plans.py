"""The cutting plans of a whole room: for a saw, and nests for a router.

`cutting_plan(plan, stock)` gives every sheet with its cuts and every length; `nests(plan, stock, gap=, margin=)` the
sheets of a router. Every physical part is on exactly one of them, or its mark is among those left over.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from model.cutting.boards import Rest, cut_lengths
from model.cutting.laid import CutBoard, CutSheet, CuttingPlan, Laid, StockSheet
from model.cutting.offcuts import Offcut
from model.cutting.packing import Bed, Free, Leaf, Rect, Tree
from model.cutting.pieces import BAND_TRIM, Blank, bars, length_parts, sheet_parts
from model.cutting.sawing import Group, Item, Node, extent, saw, spares
from model.cutting.sheets import DEFAULT, Clock, Effort, Filled, Job, Layout, Searcher, Solve, for_free, routed, sawn
from model.plan import Plan
from model.stock.tables import Stock
from model.tolerances import rounded

Progress = Callable[[str], None]
"""Called with a line that says how far the search is."""


def cutting_plan(
    plan: Plan,
    stock: Stock,
    *,
    offcuts: Sequence[Offcut] = (),
    effort: Effort = DEFAULT,
    progress: Progress | None = None,
) -> CuttingPlan:
    """The cheapest sheets and lengths found, with the cuts of a saw.

    The same plan, stock, offcuts and effort give the same answer, unless the effort's `seconds` end the search early.
    """
    clock = Clock(effort.seconds)
    sheets: list[CutSheet] = []
    boards: list[CutBoard] = []
    left: list[str] = []
    for material, blanks in sheet_parts(plan, stock).items():
        table = _Sheets.of(stock, material, blanks, offcuts, stock.sheet_trim, stock.kerf)
        left += table.oversize
        filled = table.searched(sawn, table.spare_of_saw, effort, clock, progress)
        sheets += table.sawn(filled)
    for material, sticks in length_parts(plan, stock).items():
        if progress is not None:
            progress(material)
        kerf = BAND_TRIM if material in stock.bands else 0.0 if material in stock.led_strips else stock.kerf
        rack = [Rest(str(o.name), o.length, o.count) for o in offcuts if o.material == material]
        cut, over = cut_lengths(material, sticks, bars(stock)[material], rack, kerf, clock.left)
        boards += cut
        left += over
    return CuttingPlan(tuple(sheets), tuple(boards), tuple(left))


def nests(
    plan: Plan,
    stock: Stock,
    *,
    gap: float,
    margin: float,
    offcuts: Sequence[Offcut] = (),
    effort: Effort = DEFAULT,
    progress: Progress | None = None,
) -> tuple[CutSheet, ...]:
    """The sheets of a router, parts `gap` mm apart and `margin` mm off every edge; parts that fit nowhere are left out.

    Parts may lie as a saw could cut them or freely, whichever is cheaper, then leaves the larger offcut.
    """
    clock = Clock(effort.seconds)
    found: list[CutSheet] = []
    for material, blanks in sheet_parts(plan, stock).items():
        table = _Sheets.of(stock, material, blanks, offcuts, margin, gap, offcut_trim=margin)
        ways = [
            table.searched(solve, table.spare_of_nest, hard, clock, progress)
            for solve, hard in ((sawn, effort), (routed, for_free(effort)))
        ]
        best = min(ways, key=table.job(sawn, table.spare_of_nest).score)
        found += table.nested(best)
    return tuple(found)


@dataclass(frozen=True)
class _Sheets:
    """The sheets and the blanks of one material. Blanks of one size are one rectangle with several marks."""

    material: str
    sheets: tuple[StockSheet, ...]
    copies: tuple[int, ...]
    trims: tuple[float, ...]
    gap: float
    keep: tuple[float, float]
    rects: tuple[Rect, ...]
    marks: tuple[tuple[str, ...], ...]
    oversize: tuple[str, ...]

    @classmethod
    def of(
        cls, stock: Stock, material: str, blanks: Sequence[Blank], offcuts: Sequence[Offcut], trim: float, gap: float,
        offcut_trim: float = 0.0,
    ) -> "_Sheets":  # fmt: skip
        sold = stock.sheets[material].sizes
        sheets = [StockSheet(material, s.length, s.width, s.price) for s in sold]
        copies, trims = [0] * len(sheets), [trim] * len(sheets)
        for offcut in offcuts:
            if offcut.material == material and offcut.width is not None:
                sheets.append(StockSheet(material, offcut.length, offcut.width, None, str(offcut.name)))
                copies.append(offcut.count)
                trims.append(offcut_trim)
        usable = [(i, s.length - 2 * t, s.width - 2 * t) for i, (s, t) in enumerate(zip(sheets, trims, strict=True))]
        room = [(i, a, b) for i, a, b in usable if a > 0 and b > 0]
        fits = {b: any(fits_on(b, x, y) for i, x, y in room if not copies[i]) for b in blanks}
        held = sorted((b for b in blanks if fits[b]), key=lambda b: (-b.length, -b.width, b.turns))
        sizes = {key: list(same) for key, same in groupby(held, key=lambda b: (b.length, b.width, b.turns))}
        order = {b.mark: n for n, b in enumerate(blanks)}
        marks = [
            tuple(b.mark for b in sorted(same, key=lambda b: order[b.mark]) for _ in range(b.copies))
            for same in sizes.values()
        ]
        rects = [Rect(*key[:2], copies=len(m), turns=key[2]) for key, m in zip(sizes, marks, strict=True)]
        return cls(
            material, tuple(sheets), tuple(copies), tuple(trims), gap, (stock.offcut_length, stock.offcut_width),
            tuple(rects), tuple(marks), tuple(b.mark for b in blanks if not fits[b]),
        )  # fmt: skip

    def job(self, solve: Solve, spare: Callable[[Filled], float]) -> Job:
        """For the search. Where a price is missing (or nothing), sheets cost their area."""
        bought = [s for s, n in zip(self.sheets, self.copies, strict=True) if not n]
        priced = all(s.price for s in bought)
        count = sum(r.copies for r in self.rects)
        beds = [
            Bed(
                max(s.length - 2 * trim, 0.0),
                max(s.width - 2 * trim, 0.0),
                0.0 if n else s.price if priced and s.price else s.length * s.width / 1e6,
                n or count,
            )
            for s, n, trim in zip(self.sheets, self.copies, self.trims, strict=True)
        ]
        return Job(self.rects, tuple(beds), self.gap, solve, spare)

    def searched(
        self, solve: Solve, spare: Callable[[Filled], float], effort: Effort, clock: Clock, progress: Progress | None
    ) -> tuple[Filled, ...]:
        def tell(text: str) -> None:
            if progress is not None:
                progress(f"{self.material}: {text}")

        if not self.rects:
            return ()
        tell("searching")
        found = Searcher(self.job(solve, spare), effort, clock, tell).run()
        assert found is not None, "parts that fit no sheet are left out before the search"
        return found

    def ordered(self, filled: Sequence[Filled]) -> list[Filled]:
        """Offcuts first, then the fullest sheets, so that the one with most left comes last."""

        def rank(f: Filled) -> tuple[bool, int, float]:
            used = sum(self.rects[i].along * self.rects[i].across * n for i, n in f.counts().items())
            return not self.copies[f.bed], f.bed, -rounded(used)

        return sorted(filled, key=rank)

    def sawn(self, filled: Sequence[Filled]) -> Iterator[CutSheet]:
        pool = [list(marks) for marks in self.marks]
        for number, f in enumerate(self.ordered(filled), 1):
            node = self.node(f.layout, lambda i: pool[i].pop(0))
            yield self._saw(f.bed, number, node)

    def _saw(self, bed: int, number: int, node: Node) -> CutSheet:
        return saw(self.sheets[bed], number, node, trim=self.trims[bed], kerf=self.gap, keep=self.keep)

    def node(self, layout: Layout, mark: Callable[[int], str]) -> Node:
        """The tree of a layout with its parts in it."""
        assert not isinstance(layout, tuple)
        if isinstance(layout, Leaf):
            rect = self.rects[layout.index]
            size = (rect.across, rect.along) if layout.turned else (rect.along, rect.across)
            return Item(mark(layout.index), *size, layout.turned)
        return Group(layout.way, tuple(self.node(m, mark) for m in layout.members))

    def spare_of_saw(self, filled: Filled) -> float:
        cut = self._saw(filled.bed, 1, self.node(filled.layout, str))
        return max((s.along * s.across for s in cut.offcuts), default=0.0)

    def nested(self, filled: Sequence[Filled]) -> Iterator[CutSheet]:
        pool = [list(marks) for marks in self.marks]
        for number, f in enumerate(self.ordered(filled), 1):
            trim = self.trims[f.bed]
            pieces = [
                replace(p, mark=pool[i].pop(0), x=rounded(p.x + trim), y=rounded(p.y + trim))
                for i, p in sorted(self._free(f.layout), key=lambda found: (found[1].y, found[1].x))
            ]
            sheet = self.sheets[f.bed]
            spare = tuple(spares(_beyond(pieces, sheet, trim, self.gap), sheet, trim, self.keep)[:1])
            yield CutSheet(self.material, number, sheet, trim, self.gap, tuple(pieces), (), spare)

    def spare_of_nest(self, filled: Filled) -> float:
        trim, sheet = self.trims[filled.bed], self.sheets[filled.bed]
        pieces = [replace(p, x=p.x + trim, y=p.y + trim) for _, p in self._free(filled.layout)]
        return max(
            (s.along * s.across for s in spares(_beyond(pieces, sheet, trim, self.gap), sheet, trim, self.keep)),
            default=0.0,
        )

    def _free(self, layout: Layout) -> list[tuple[int, Laid]]:
        """Where each rectangle lies, from the corner of the trimmed sheet."""
        free = layout if isinstance(layout, tuple) else tuple(self._put(layout, 0.0, 0.0))
        found: list[tuple[int, Laid]] = []
        for f in free:
            rect = self.rects[f.index]
            size = (rect.across, rect.along) if f.turned else (rect.along, rect.across)
            found.append((f.index, Laid("", f.x, f.y, *size, f.turned)))
        return found

    def _put(self, tree: Tree, x: float, y: float) -> Iterator[Free]:
        if isinstance(tree, Leaf):
            yield Free(tree.index, rounded(x), rounded(y), tree.turned)
            return
        for member in tree.members:
            yield from self._put(member, x, y)
            along, across = extent(self.node(member, str), self.gap)
            x, y = (x + along + self.gap, y) if tree.way == "cross" else (x, y + across + self.gap)


def fits_on(blank: Blank, along: float, across: float) -> bool:
    """Whether a blank lies on so much sheet, turned where it may be."""
    lies = blank.length <= along and blank.width <= across
    return lies or (blank.turns and blank.width <= along and blank.length <= across)


def _beyond(
    pieces: Sequence[Laid], sheet: StockSheet, trim: float, gap: float
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """What is free past all parts: to the right of them over the whole width, and above them over the whole length."""
    right = max((p.x + p.along for p in pieces), default=trim) + gap
    top = max((p.y + p.across for p in pieces), default=trim) + gap
    yield (right, trim), (sheet.length, sheet.width)
    yield (trim, top), (sheet.length, sheet.width)
