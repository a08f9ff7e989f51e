"""Views, tables and notes on the smallest sheet, at the largest standard scale at which they all find a place."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from exporters.drawings.display import Item, Rect, Sheet, overlap, rect_of, shifted, simple
from exporters.drawings.frame import BLOCK, Table, Titles, frame, inside, paragraph, short
from exporters.drawings.standards import LETTERS, Paper, scales, sheets
from model.errors import ProjectError
from model.lengths import LengthUnit

INSET = 5.0
"""mm. Between the frame and what is drawn."""
CLEAR = 6.0
"""mm. Between views, tables and notes."""
LONG = 12
"""From so many rows on a table may stand in two halves."""
COARSE = 10.0
"""A smaller sheet is taken only while the scale stays at least 1 to this."""

Views = Callable[[float], list[Item] | None]
Tables = Callable[[float], Sequence[Table]]


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What a sheet is called, and what its title block says."""

    name: str
    title: str
    lengths: LengthUnit
    titles: Titles


def composed(
    what: Arrangement,
    views: Views | Sequence[Views],
    tables: Tables,
    notes: Sequence[str],
    real: tuple[float, float],
    coarse: float | Sequence[float] = COARSE,
    least: int = 0,
    beside: tuple[float, float] = (0.0, 0.0),
) -> Sheet:
    """The sheet. `views` draws at a scale (None: not at this one), anywhere; `tables` are those that go with it.

    Where there are several ways to draw the views, the first that finds a place at the finest scale is taken.

    `real` is the least width and height the views take, in true size (mm), `beside` what goes with them at any scale
    (mm on paper): scales at which that is too large are not tried, nor scales coarser than `coarse` (of each paper,
    the smallest first) but on the largest paper. `least` is how many of the smaller papers are left out. Raises
    ProjectError where nothing fits.
    """
    papers = sheets(what.lengths)[least:]
    ways = [views] if callable(views) else views
    most = list(coarse) if isinstance(coarse, Sequence) else [coarse]
    for i, paper in enumerate(papers):
        coarsest = most[min(i, len(most) - 1)]
        x0, y0, x1, y1 = inside(paper)
        room = (x1 - x0 - 2 * INSET - beside[0], y1 - y0 - 2 * INSET - beside[1])
        for scale in scales(what.lengths):
            if scale > coarsest and paper is not papers[-1]:
                continue
            if real[0] / scale > room[0] or real[1] / scale > room[1]:
                continue
            for way in ways:
                drawn = way(scale)
                items = None if drawn is None else _fitted(paper, drawn, tables(scale), notes)
                if items is not None:
                    whole, size = (*frame(paper, scale, what.titles), *items), (paper.width, paper.height)
                    return Sheet(what.name, short(what.title, 80), size, scale, what.lengths, whole)
    raise ProjectError(f"{what.title} does not fit on the largest sheet")


def _fitted(paper: Paper, drawn: list[Item], tables: Sequence[Table], notes: Sequence[str]) -> list[Item] | None:
    """Views, what is written and the title block side by side: the first way in which none is in another's place."""
    x0, y0, x1, y1 = inside(paper)
    area = (x0 + INSET, y0 + INSET, x1 - INSET, y1 - INSET)
    block = (x1 - BLOCK[0], y0, x1, y0 + BLOCK[1])
    boxes = np.array([rect_of([item]) for item in simple(drawn)])
    whole = rect_of(drawn)
    for columns in _columns(tables):
        for text in _places(area, block, _written(columns, notes)):
            for dx, dy in _shifts(area, text, block, whole):
                moved = boxes + np.array((dx, dy, dx, dy))
                if not any(_meets(moved, r) for r in (text, block)):
                    return [*(shifted(i, dx, dy) for i in drawn), *_texts(columns, notes, text[0], text[3])]
    return None


def _meets(boxes: NDArray[np.float64], rect: Rect) -> bool:
    """Whether any box comes nearer to a rectangle than it may."""
    if rect[2] <= rect[0]:
        return False
    x = (boxes[:, 0] < rect[2] + CLEAR) & (boxes[:, 2] > rect[0] - CLEAR)
    return bool((x & (boxes[:, 1] < rect[3] + CLEAR) & (boxes[:, 3] > rect[1] - CLEAR)).any())


def _places(area: Rect, block: Rect, size: tuple[float, float]) -> list[Rect]:
    """Where what is written may stand: left of the title block, on it, in the upper right corner."""
    w, h = size
    x1 = area[2] + INSET - CLEAR / 2
    corners = [
        (area[0], area[1]),  # left of the title block
        (block[0] - CLEAR - w, area[1]),  # close to it
        (area[0], block[3] + CLEAR),  # over it, from the left margin
        (max(x1 - max(w, BLOCK[0]), area[0]), block[3] + CLEAR),  # over it, in its column
        (x1 - w, area[3] - h),
    ]
    rects = [(x, y, x + w, y + h) for x, y in corners]
    fits = [r for r in rects if r[0] >= area[0] - 0.01 and r[3] <= area[3] + 0.01 and r[2] <= x1 + 0.01]
    return [r for r in fits if not overlap(r, block)]


def _shifts(area: Rect, text: Rect, block: Rect, of: Rect) -> list[tuple[float, float]]:
    """Ways to lay the views: in the middle of what the rest leaves, then in each corner of the sheet."""
    foot = max(block[3], text[3] if text[1] < block[3] + CLEAR + 1 else 0.0) + CLEAR
    left = min(text[0], block[0]) - CLEAR if text[0] > area[0] + 1 else area[2]
    rooms = [(area[0], foot, area[2], area[3]), (area[0], area[1], left, area[3])]
    found = [s for s in (_middle(room, of) for room in rooms) if s is not None]
    spare = (area[2] - area[0] - of[2] + of[0], area[3] - area[1] - of[3] + of[1])
    if min(spare) >= 0:
        shares = sorted(
            ((u / 8, v / 8) for u in range(9) for v in range(9)), key=lambda s: (math.hypot(s[0] - 0.5, s[1] - 0.6), s)
        )
        found += [(area[0] - of[0] + spare[0] * u, area[1] - of[1] + spare[1] * v) for u, v in shares]
    return found


def _columns(tables: Sequence[Table]) -> list[list[list[Table]]]:
    """The tables one under another, or side by side; or, where a table is long, its halves side by side."""
    ways = [[list(tables)]]
    if len(tables) > 1:
        ways.append([[t] for t in tables])
    if len(tables) == 1 and len(tables[0].rows) >= LONG:
        table = tables[0]
        half = (len(table.rows) + 1) // 2
        first, rest = replace(table, rows=table.rows[:half]), replace(table, rows=table.rows[half:])
        ways.append([[first], [replace(rest, heading=f"{table.heading}, continued")]])
    return ways


def _written(columns: Sequence[Sequence[Table]], notes: Sequence[str]) -> tuple[float, float]:
    """Width and height of notes with columns of tables under them."""
    note = (max((len(n) for n in notes), default=0) * 0.83 * LETTERS, LETTERS * 1.7 * len(notes))
    width = sum(_width(c) for c in columns) + CLEAR / 2 * (len(columns) - 1)
    return max(note[0], width), note[1] + max(sum(t.size[1] + CLEAR / 2 for t in c) for c in columns)


def _width(column: Sequence[Table]) -> float:
    return max((t.size[0] for t in column), default=0.0)


def _texts(columns: Sequence[Sequence[Table]], notes: Sequence[str], x: float, top: float) -> list[Item]:
    items = paragraph(notes, x, top)
    for column in columns:
        at = top - LETTERS * 1.7 * len(notes) - CLEAR / 2
        for table in column:
            items += table.drawn(x, at)
            at -= table.size[1] + CLEAR / 2
        x += _width(column) + CLEAR / 2
    return items


def _middle(room: Rect, of: Rect) -> tuple[float, float] | None:
    """The shift that centres a box in a room; None where it is too large."""
    if of[2] - of[0] > room[2] - room[0] or of[3] - of[1] > room[3] - room[1]:
        return None
    return (room[0] + room[2] - of[0] - of[2]) / 2, (room[1] + room[3] - of[1] - of[3]) / 2
