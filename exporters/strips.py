"""Strips at 1:1 on pages of A4 or Letter, side by side, to glue end to end: for story poles and drilling templates.

Strips stand upright, their lower end at the foot of the page; what is on them comes as marks (lines), holes and words.
"""

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from exporters.lists.table import clean
from model.labels import PAPERS
from model.lengths import MM_PER_INCH, LengthUnit, show_length, show_number
from model.story_pole import spread

TEMPLATE = Path(__file__).with_name("strips.typ")
WIDTH = 62.0
"""mm. Of a strip with its words."""
TOP, FOOT, SIDE = 16.0, 14.0, 10.0
"""mm. Left free on a page for the title, the scale and what printers do not reach."""
HEAD = 18.0
"""mm. Left free over a strip that has words of its own above it."""
APART = 2.8
"""mm. Between two lines of words."""

NOTE = 2.5
"""mm. From one note to the next."""


@dataclass(frozen=True, slots=True)
class Line:
    """Something at a height on a strip: a line so far across it, or a hole so far from its edge (mm), and its words.

    `style` is `case`, `fronts`, `fittings` or `hole`.
    """

    height: float
    reach: float
    style: str
    words: str
    diameter: float = 0.0


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip of any length; it is cut into as many as its pages need. `axis` is a line along it, mm from its edge.

    `head` are words above it, `notes` lines of words at its upper end, which its length must have room for.
    """

    length: float
    lines: tuple[Line, ...]
    head: tuple[str, ...] = ()
    ends: tuple[str, str] = ("lower end", "upper end")
    axis: float | None = None
    notes: tuple[str, ...] = ()


def tile_length(lengths: LengthUnit, head: bool) -> float:
    """How much of a strip goes on a page: whole steps of 50 mm or 1 in."""
    step = 50.0 if lengths == "mm" else MM_PER_INCH
    free = _page(lengths)[1] - TOP - FOOT - (HEAD if head else 0.0)
    return math.floor(free / step) * step


def pdf(title: str, told: str, strips: Sequence[Strip], lengths: LengthUnit) -> bytes:
    """The pages, set by typst with its own fonts."""
    import typst

    made: Any = typst.compile(
        TEMPLATE.read_bytes(),
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(page_data(title, told, strips, lengths), ensure_ascii=True)},
        timestamp=0,
    )
    return bytes(made)


def page_data(title: str, told: str, strips: Sequence[Strip], lengths: LengthUnit) -> dict[str, Any]:
    """Everything the template is given: sizes in mm, places from the upper left corner of the page."""
    page, scale = _page(lengths), 100.0 if lengths == "mm" else 4 * MM_PER_INCH
    side_by_side = int((page[0] - 2 * SIDE) // WIDTH)
    pieces = [piece for strip in strips for piece in _pieces(strip, lengths)]
    for n, piece in enumerate(pieces):
        piece["x"] = SIDE + WIDTH * (n % side_by_side)
    return {
        "title": clean(title),
        "told": clean(told),
        "page": page,
        "width": WIDTH,
        "note": NOTE,
        "scale": {"length": scale, "told": f"This line is {show_length(scale, lengths)} long: print at 100 %."},
        "pages": [pieces[i : i + side_by_side] for i in range(0, len(pieces), side_by_side)],
    }


def _page(lengths: LengthUnit) -> tuple[float, float]:
    return PAPERS["A4" if lengths == "mm" else "Letter"]


def _pieces(strip: Strip, lengths: LengthUnit) -> Iterator[dict[str, Any]]:
    """A strip cut into lengths that go on a page."""
    tile = tile_length(lengths, bool(strip.head))
    count = max(math.ceil(strip.length / tile - 1e-9), 1)
    bottom = TOP + (HEAD if strip.head else 0.0) + tile
    for n in range(count):
        low, high = n * tile, min((n + 1) * tile, strip.length)
        last = n == count - 1
        here = [m for m in strip.lines if low <= m.height < high or (last and m.height >= low)]
        words = spread((m.height for m in here), low + 4.2, high - 4.2, APART)
        below = strip.ends[0] if n == 0 else f"from strip {n}"
        yield {
            "top": bottom - (high - low),
            "bottom": bottom,
            "head": [clean(line) for line in strip.head],
            "axis": strip.axis,
            "notes": [clean(line) for line in strip.notes] if last else [],
            "above": strip.ends[1] if last else f"to strip {n + 2}",
            "below": f"{below}, strip {n + 1} of {count}" if count > 1 else below,
            "ticks": [{"y": bottom - (at - low), "long": long} for at, long in _ticks(low, high, lengths)],
            "marks": [
                {
                    "y": bottom - (m.height - low),
                    "word": bottom - (word - low),
                    "long": m.reach,
                    "style": m.style,
                    "radius": m.diameter / 2,
                    "at": show_number(m.height, lengths),
                    "what": clean(m.words),
                }
                for m, word in zip(here, words, strict=True)
            ],
        }


def _ticks(low: float, high: float, lengths: LengthUnit) -> Iterator[tuple[float, float]]:
    """A rule along the strip: each centimetre, or each half inch."""
    step = 10.0 if lengths == "mm" else MM_PER_INCH / 2
    for i in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1):
        yield i * step, 4.0 if i % (5 if lengths == "mm" else 2) == 0 else 2.0
