"""The sheet round a drawing: frame, title block (ISO 7200), the symbol of the projection, tables."""

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from exporters.cnc.figures import plain_text
from exporters.drawings.display import ADVANCE, Item, Path, Rect, Round, Text
from exporters.drawings.standards import HEADING, LETTERS, Paper, projection, shown_scale
from model.lengths import LengthUnit

BLOCK = (180.0, 36.0)
"""mm. Width and height of the title block: as wide as an A4 frame (ISO 7200)."""
SMALL = 1.8
FIELD, BORDER, LEAST = 50.0, 5.0, 15.0
"""mm. Length of a field of the sheet, width of the border its names stand in; no field is shorter than the last."""
GRID_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""No I and no O: they look like figures."""
ROW = 2.4
"""From one line of a table to the next, in heights of its letters."""


@dataclass(frozen=True, slots=True)
class Titles:
    """What a title block says."""

    owner: str
    """The project: whose drawing it is."""
    title: str
    subtitle: str
    kind: str
    number: str
    """Identifies the drawing: a mark, a unit's letter and number, a wall."""
    sheet: int
    sheets: int
    lengths: LengthUnit


def short(text: str, most: int) -> str:
    """The text, cut to so many letters, with nothing in it that a drawing takes for a code."""
    clean = " ".join(plain_text(text).split())
    return clean if len(clean) <= most else clean[: most - 2] + ".."


def inside(paper: Paper) -> Rect:
    """The frame."""
    return (paper.left, paper.margin, paper.width - paper.margin, paper.height - paper.margin)


def frame(paper: Paper, scale: float, titles: Titles) -> list[Item]:
    """Frame, centring marks and grid of the sheet, and its title block."""
    x0, y0, x1, y1 = inside(paper)
    items: list[Item] = [Path("FRAME", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), True)]
    cx, cy = paper.width / 2, paper.height / 2
    for a, b in (((cx, y0), (cx, 0)), ((cx, y1), (cx, paper.height)), ((x0, cy), (0, cy))):
        items.append(Path("FRAME", (a, b)))
    items.append(Path("FRAME", ((x1, cy), (paper.width, cy))))
    items += _grid(paper)
    return [*items, *_title_block(paper, scale, titles)]


def _grid(paper: Paper) -> list[Item]:
    """Fields of 50 mm counted from the middle, figures along the sheet, letters down it (ISO 5457)."""
    x0, y0, x1, y1 = inside(paper)
    items: list[Item] = []
    for along, (low, high), middle in ((0, (x0, x1), paper.width / 2), (1, (y0, y1), paper.height / 2)):
        cuts = [middle + FIELD * k for k in range(-12, 13) if low + LEAST < middle + FIELD * k < high - LEAST]
        ends = [low, *cuts, high]
        fields = list(pairwise(ends))
        for i, (a, b) in enumerate(fields):
            name = str(i + 1) if along == 0 else GRID_LETTERS[len(fields) - 1 - i]
            for edge in ((y0 - BORDER / 2, y1 + BORDER / 2), (x0 - BORDER / 2, x1 + BORDER / 2))[along]:
                at = ((a + b) / 2, edge) if along == 0 else (edge, (a + b) / 2)
                items.append(Text("GRID", at, name, HEADING, "centre"))
            if i and abs(a - middle) > 1:
                for edge, out in (((y0, -BORDER), (y1, BORDER)), ((x0, -BORDER), (x1, BORDER)))[along]:
                    ends_ = ((a, edge), (a, edge + out)) if along == 0 else ((edge, a), (edge + out, a))
                    items.append(Path("GRID", ends_))
    return items


def _title_block(paper: Paper, scale: float, t: Titles) -> list[Item]:
    _, y0, x1, _ = inside(paper)
    w, h = BLOCK
    x, y = x1 - w, y0
    items: list[Item] = [Path("FRAME", ((x, y), (x1, y), (x1, y + h), (x, y + h)), True)]
    rules = (
        ((0, 24), (180, 24)),
        ((0, 12), (180, 12)),
        ((60, 0), (60, 36)),
        ((132, 0), (132, 36)),
        ((159, 0), (159, 24)),
    )
    items += [Path("TABLES", ((x + a[0], y + a[1]), (x + b[0], y + b[1]))) for a, b in rules]
    fields = (
        (0, 24, "Legal owner, project", short(t.owner, 25), LETTERS),
        (60, 24, "Title", short(t.title, 25), 3.5 if len(t.title) <= 22 else LETTERS),
        (132, 24, "Identification number", short(t.number, 16), 3.5),
        (0, 12, "Created by", "wallwork", LETTERS),
        (60, 12, "Supplementary title", short(t.subtitle, 25), LETTERS),
        (132, 12, "Scale", shown_scale(scale, t.lengths), LETTERS),
        (159, 12, "Lengths", t.lengths, LETTERS),
        (0, 0, "Approved by", "", LETTERS),
        (60, 0, "Document type", short(t.kind, 30), LETTERS),
        (132, 0, "Date of issue", issued(), LETTERS),
        (159, 0, "Sheet", f"{t.sheet}/{t.sheets}", LETTERS),
    )
    for fx, fy, label, value, height in fields:
        items.append(Text("TABLES", (x + fx + 1.5, y + fy + 9.6), label, SMALL))
        if value:
            items.append(Text("TEXT", (x + fx + 1.5, y + fy + 4.2), value, height))
    return [*items, *_symbol(x + 121, y + 5.5, projection(t.lengths) == "first")]


def _symbol(x: float, y: float, first: bool) -> list[Item]:
    """A truncated cone, seen from the side and from its end, as the projection has it (ISO 5456-2)."""
    cone, rings = (x - 5.5, x + 5.5) if first else (x + 5.5, x - 5.5)
    big, small, half = 3.2, 1.6, 3.5
    # the small end looks left either way: seen from the left both circles show
    points = ((cone - half, y - small), (cone + half, y - big), (cone + half, y + big), (cone - half, y + small))
    axis = [Path("CENTRE", ((cone - half - 1, y), (cone + half + 1, y)))]
    cross = [Path("CENTRE", ((rings - 4, y), (rings + 4, y))), Path("CENTRE", ((rings, y - 4), (rings, y + 4)))]
    return [
        Path("NOTES", points, True),
        Round("NOTES", (rings, y), big),
        Round("NOTES", (rings, y), small),
        *axis,
        *cross,
    ]


def issued() -> str:
    """The day SOURCE_DATE_EPOCH names; nothing without it, so that the same input gives the same sheet."""
    stamp = os.environ.get("SOURCE_DATE_EPOCH", "")
    return time.strftime("%Y-%m-%d", time.gmtime(int(stamp))) if stamp.isdigit() else ""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under a heading; `columns` are headings, numbers stand at the right of their column."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    letters: float = SMALL
    """mm. Height of its letters."""

    @property
    def row(self) -> float:
        return ROW * self.letters

    @property
    def widths(self) -> list[float]:
        letters = [max(len(c) for c in column) for column in zip(self.columns, *self.rows, strict=True)]
        return [n * ADVANCE * self.letters + 2.0 for n in letters]

    @property
    def size(self) -> tuple[float, float]:
        if not self.rows:
            return (0.0, 0.0)
        least = len(self.heading) * ADVANCE * LETTERS + 2
        return max(sum(self.widths), least), self.row * (len(self.rows) + 2)

    def drawn(self, x: float, top: float) -> list[Item]:
        """The table with its upper left corner there."""
        if not self.rows:
            return []
        width, row = sum(self.widths), self.row
        items: list[Item] = [Text("TEXT", (x + 0.5, top - row / 2), self.heading, LETTERS)]
        count = len(self.rows) + 1
        y0 = top - row
        for i in range(count + 1):
            items.append(Path("TABLES", ((x, y0 - row * i), (x + width, y0 - row * i))))
        at = x
        for edge in (0.0, *self.widths):
            at += edge
            items.append(Path("TABLES", ((at, y0), (at, y0 - row * count))))
        for i, cells in enumerate((self.columns, *self.rows)):
            at = x
            for cell, w in zip(cells, self.widths, strict=True):
                if cell:
                    place = (at + 1.0, y0 - row * (i + 0.5))
                    items.append(Text("TABLES" if i else "TEXT", place, cell, self.letters))
                at += w
        return items


def paragraph(lines: Sequence[str], x: float, top: float, height: float = LETTERS) -> list[Item]:
    """Lines of text, the first with its upper edge at `top`."""
    pitch = height * 1.7
    return [
        Text("TEXT", (x, top - pitch * (i + 0.5)), plain_text(line), height) for i, line in enumerate(lines) if line
    ]


def wrapped(text: str, letters: int, most: int) -> list[str]:
    """A text in lines of so many letters; where there would be more than `most` lines the last says so."""
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word[:letters])
    return (
        lines if len(lines) <= most else [*lines[: most - 1], short(" ".join(lines[most - 1 :]), letters - 4) + " etc"]
    )
