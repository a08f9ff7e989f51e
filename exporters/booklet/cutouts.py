"""A drawing without the sheet it is on: no frame, no title block, no empty paper, so that a page holds several.

What is written on the sheet, notes and tables, is taken off it as text, to be set by the booklet.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from exporters.drawings.display import (
    Hatch,
    Item,
    Path,
    Rect,
    Round,
    Sheet,
    Solid,
    Text,
    overlap,
    rect_of,
    shifted,
    simple,
)

Flat = Path | Round | Solid | Text | Hatch
"""What is drawn once dimensions are taken apart."""

EMPTY = 8.0
"""mm. Paper with nothing on it is narrowed to this."""
PAD = 1.0
"""mm. From what is drawn to the edge of the cutout."""
HEAD = 5.0
"""mm. A heading stands so near above its table."""
LETTERS = 80
"""A note's lines are broken after so many letters."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """A table: its heading, and its rows, the headings of its columns first."""

    heading: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Cutout:
    """What is drawn on a sheet, on paper just large enough, and what was written beside it."""

    sheet: Sheet
    notes: tuple[str, ...]
    tables: tuple[Ruled, ...]


def cutout(sheet: Sheet) -> Cutout:
    """The drawing at its own scale, the notes and tables that were on its sheet."""
    items = _inside(sheet)
    groups = _touching(rect_of([i]) for i in items if isinstance(i, Path) and i.layer == "TABLES")
    tables = sorted(((x0, y0, x1, y1 + HEAD) for x0, y0, x1, y1 in groups), key=lambda b: (-b[3], b[0]))
    boxed = [(i, rect_of([i])) for i in items]
    lying = {
        n for n, (i, box) in enumerate(boxed)
        if i.layer in ("TABLES", "TEXT") and any(_meets(table, box) for table in tables)
    }  # fmt: skip
    written = [n for n, i in enumerate(items) if n not in lying and _is_note(i)]
    drawn: list[Item] = [i for n, i in enumerate(items) if n not in lying and n not in written]
    notes = _unbroken([i for n in written if isinstance(i := items[n], Text)])
    ruled = tuple(_ruled(table, [boxed[n][0] for n in sorted(lying) if _meets(table, boxed[n][1])]) for table in tables)
    for axis in (0, 1):
        drawn = _narrowed(drawn, axis)
    if not drawn:
        return Cutout(sheet, (), ())
    x0, y0, x1, y1 = rect_of(drawn)
    moved = tuple(shifted(item, PAD - x0, PAD - y0) for item in drawn)
    paper = (x1 - x0 + 2 * PAD, y1 - y0 + 2 * PAD)
    return Cutout(replace(sheet, items=moved, paper=paper), notes, ruled)


def _inside(sheet: Sheet) -> list[Flat]:
    """What is within the frame and not of the title block: the largest and the other loops of the frame's layer."""
    items = list(simple(sheet.items))
    loops = [rect_of([i]) for i in items if isinstance(i, Path) and i.layer == "FRAME" and i.closed]
    if not loops:
        return items
    frame = max(loops, key=_area)
    blocks = [loop for loop in loops if loop != frame]
    return [
        item
        for item, box in ((i, rect_of([i])) for i in items if i.layer != "FRAME")
        if _holds(frame, box) and not any(_holds(block, box) for block in blocks)
    ]


def _is_note(item: Item) -> bool:
    """Notes are lines of text that begin at the left; titles of views stand over their middle."""
    return isinstance(item, Text) and item.layer == "TEXT" and item.anchor == "left" and not item.upright


def _unbroken(lines: Sequence[Text]) -> tuple[str, ...]:
    """Notes as they were before they were broken: what would have found room on the line before begins anew."""
    found: list[str] = []
    last = ""
    for line in sorted(lines, key=lambda t: (-t.at[1], t.at[0])):
        if last and not last.endswith(" etc") and len(last) + 1 + len(line.text.split(" ")[0]) > LETTERS:
            found[-1] += f" {line.text}"
        else:
            found.append(line.text)
        last = line.text
    return tuple(found)


def _ruled(table: Rect, items: Sequence[Item]) -> Ruled:
    """The cells of a table, found between its rules."""
    rules = [rect_of([i]) for i in items if isinstance(i, Path)]
    xs = sorted({round(r[0], 2) for r in rules if r[2] - r[0] < 0.01})
    ys = sorted({round(r[1], 2) for r in rules if r[3] - r[1] < 0.01}, reverse=True)
    texts = [i for i in items if isinstance(i, Text)]

    def said(low: float, high: float, left: float, right: float) -> str:
        return " ".join(t.text for t in texts if low < t.at[1] < high and left - 0.01 < t.at[0] < right - 0.01)

    rows = tuple(tuple(said(low, high, a, b) for a, b in pairwise(xs)) for high, low in pairwise(ys))
    return Ruled(said(ys[0] if ys else table[1], table[3], table[0] - 1, table[2] + 1), rows)


def _touching(boxes: Iterable[Rect]) -> list[Rect]:
    """The box round each group of boxes that touch."""
    groups: list[Rect] = []
    for box in boxes:
        near = [g for g in groups if _meets(g, box)]
        while near:
            groups = [g for g in groups if g not in near]
            box = _round([box, *near])
            near = [g for g in groups if _meets(g, box)]
        groups.append(box)
    return groups


def _narrowed(items: Sequence[Item], axis: int) -> list[Item]:
    """The items moved together along x (0) or y (1) where a strip right across the paper is empty."""
    moved = list(items)
    for n, back in _backs([rect_of([i]) for i in items], axis):
        moved[n] = shifted(items[n], *((-back, 0.0) if axis == 0 else (0.0, -back)))
    return moved


def _backs(boxes: Sequence[Rect], axis: int) -> Iterator[tuple[int, float]]:
    """How far back each box goes, by its number."""
    back, end = 0.0, min((b[axis] for b in boxes), default=0.0)
    for low, high, n in sorted((b[axis], b[axis + 2], n) for n, b in enumerate(boxes)):
        back += max(low - end - EMPTY, 0.0)
        end = max(end, high)
        yield n, back


def _area(box: Rect) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _holds(outer: Rect, box: Rect, slack: float = 0.1) -> bool:
    return all(outer[i] - slack <= box[i] and box[i + 2] <= outer[i + 2] + slack for i in (0, 1))


def _meets(a: Rect, b: Rect) -> bool:
    """Whether two boxes touch, a line's width between them."""
    return overlap(a, b, -0.1)


def _round(boxes: Sequence[Rect]) -> Rect:
    lows, highs = ([b[i] for b in boxes] for i in (0, 1)), ([b[i] for b in boxes] for i in (2, 3))
    (x0, y0), (x1, y1) = (min(v) for v in lows), (max(v) for v in highs)
    return (x0, y0, x1, y1)
