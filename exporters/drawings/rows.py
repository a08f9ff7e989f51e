"""Rows of dimensions beside a view: chains that add up, running dimensions from a datum, overall dimensions.

A row lies along one side of a view. Where a text is longer than what it measures it moves out past the line, and texts
that moved are spread so that none meets another.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from exporters.drawings.display import ADVANCE, Dimension, Path, Round, Text
from exporters.drawings.standards import GAP, LETTERS, PAST, TICK
from model.lengths import MM_PER_INCH, LengthUnit, show_number
from model.shapes import Point2

Side = Literal["below", "above", "left", "right"]
_OUTSIDE: tuple[Side, Side] = ("left", "above")
"""Where a text that is read from below or from the right stands outside its line."""
AIR = 0.9
"""mm. Least distance between texts."""
STEM = 3.0
"""mm. Over which an extension line bends to its text."""
THICK = LETTERS * 1.4
"""mm. What a text takes across its line."""
STUB = 1.3
"""mm. How much farther from its line a text that moved stands, so that a short stroke can lead to it."""
LEVEL = LETTERS * 0.5 + 1.1
"""mm. From a dimension line to the middle of its text."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One side of a view on paper: `zero` is where coordinate 0 lies along it, `edge` where the outline ends."""

    side: Side
    zero: float
    edge: float
    scale: float

    @property
    def upright(self) -> bool:
        """Lengths are measured along y."""
        return self.side in ("left", "right")

    @property
    def out(self) -> float:
        """Away from the view, as a sign."""
        return -1.0 if self.side in ("below", "left") else 1.0

    def along(self, real: float) -> float:
        """Where a coordinate of the real thing (mm) lies along the side."""
        return self.zero + real / self.scale

    def point(self, along: float, away: float) -> Point2:
        """A point on paper, `away` mm out from the outline."""
        across = self.edge + self.out * away
        return (across, along) if self.upright else (along, across)


def texts(lengths: Sequence[float], unit: LengthUnit) -> list[str]:
    """Lengths as they are written, rounded so that what is written adds up to the whole as it is written.

    Each is rounded to the finest mark; where the sum is then off, those that were rounded farthest go the other way.
    """
    step = Fraction(1, 10) if unit == "mm" else Fraction(MM_PER_INCH) / 32
    exact = [Fraction(v) / step for v in lengths]
    counts = [round(v) for v in exact]
    off = round(sum(exact)) - sum(counts)
    sign = 1 if off > 0 else -1
    order = sorted(range(len(exact)), key=lambda i: (sign * (counts[i] - exact[i]), i))
    for i in order[: abs(off)]:
        counts[i] += sign
    return [show_number(float(n * step), unit) for n in counts]


def spread(wanted: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Middles near the wanted ones (in order) where boxes of these widths keep apart, between the ends if they fit."""
    if not wanted:
        return []
    room = sum(widths) + AIR * (len(widths) - 1)
    if room > high - low:
        middle = (low + high) / 2
        low, high = middle - room / 2, middle + room / 2
    blocks: list[list[float]] = []  # first index, count, length, sum of wanted starts
    for i, (at, width) in enumerate(zip(wanted, widths, strict=True)):
        blocks.append([float(i), 1.0, width, at - width / 2])
        while len(blocks) > 1:
            before, last = blocks[-2], blocks[-1]
            if _start(before, low, high) + before[2] + AIR <= _start(last, low, high) + 1e-9:
                break
            shift = before[2] + AIR
            before[3] += last[3] - last[1] * shift
            before[1] += last[1]
            before[2] += AIR + last[2]
            blocks.pop()
    found: list[float] = []
    for block in blocks:
        at = _start(block, low, high)
        for width in widths[int(block[0]) : int(block[0] + block[1])]:
            found.append(at + width / 2)
            at += width + AIR
    return found


def _start(block: list[float], low: float, high: float) -> float:
    return min(max(block[3] / block[1], low), high - block[2])


def chain(
    axis: Axis, stops: Sequence[float], away: float, unit: LengthUnit, name: str
) -> tuple[list[Dimension], float]:
    """Dimensions from stop to stop (coordinates, mm) on one line `away` mm from the outline; how far out they reach."""
    ends = [axis.along(s) for s in stops]
    written = texts([b - a for a, b in pairwise(stops)], unit)
    middles = [(a + b) / 2 for a, b in pairwise(ends)]
    if _crowded(axis.side, ends, written):
        laid, reach = _across(axis, ends, middles, written, away)
    else:
        laid, reach = _along(axis, ends, middles, written, away)
    found = []
    for i, ((a, b), (lead, text)) in enumerate(zip(pairwise(ends), laid, strict=True)):
        own = (a, b) if i == 0 else (b,)
        items = [*_extensions(axis, own, away), _line(axis, a, b, away), *(_tick(axis, e, away) for e in own), *lead]
        found.append(
            Dimension(
                axis.point(a, 0.0), axis.point(b, 0.0), axis.point(b, away), axis.upright, written[i], text.at,
                (*items, text), name,
            )
        )  # fmt: skip
    return found, reach


_Laid = tuple[list[tuple[list[Path], Text]], float]


def _narrow(ends: Sequence[float], written: Sequence[str]) -> dict[int, float]:
    """The texts that are longer than what they measure: which, and how long."""
    widths = [len(t) * ADVANCE * LETTERS for t in written]
    return {
        i: w for i, (w, (a, b)) in enumerate(zip(widths, pairwise(ends), strict=True)) if w + 2 * TICK + 0.8 > b - a
    }


def _crowded(side: Side, ends: Sequence[float], written: Sequence[str]) -> bool:
    """Whether texts along the line would meet each other, or extension lines.

    At the left and above the text of a dimension stands outside its line: one that moves would go in among them.
    """
    narrow = _narrow(ends, written)
    if side in _OUTSIDE:
        return bool(narrow)
    return len(narrow) > 1 and sum(narrow.values()) + AIR * len(narrow) > ends[-1] - ends[0] - 1.0


def chain_fits(side: Side, stops: Sequence[float], scale: float, unit: LengthUnit) -> bool:
    """Whether the texts of a chain find room in one way or the other."""
    written = texts([b - a for a, b in pairwise(stops)], unit)
    ends = [s / scale for s in stops]
    return not _crowded(side, ends, written) or len(written) * (THICK + AIR) <= ends[-1] - ends[0]


def _along(axis: Axis, ends: Sequence[float], middles: list[float], written: list[str], away: float) -> _Laid:
    """Texts along the line: on it where they fit, else on its other side, spread."""
    narrow = _narrow(ends, written)
    wanted = [middles[i] for i in narrow]
    at = dict(zip(narrow, spread(wanted, list(narrow.values()), ends[0] + 0.5, ends[-1] - 0.5), strict=True))
    over = 1.0 if axis.side in _OUTSIDE else -1.0  # where the text stands: out from its line, or in from it
    laid: list[tuple[list[Path], Text]] = []
    for i, (middle, words) in enumerate(zip(middles, written, strict=True)):
        lead: list[Path] = []
        place = axis.point(middle, away + over * LEVEL)
        if i in at:
            place = axis.point(at[i], away - over * (LEVEL + STUB))
            foot, head = axis.point(middle, away), axis.point(at[i], away - over * (STUB + 0.4))
            lead = [Path("DIMENSIONS", (foot, head))]
        laid.append((lead, Text("DIMENSIONS", place, words, LETTERS, "centre", axis.upright)))
    half = LETTERS * 0.55
    return laid, away + (LEVEL + half if over > 0 else LEVEL + STUB + half + 0.6 if at else PAST)


def _across(axis: Axis, ends: Sequence[float], middles: list[float], written: list[str], away: float) -> _Laid:
    """Texts square to the line, all outside it, spread."""
    places = spread(middles, [THICK] * len(middles), ends[0] + 0.5, ends[-1] - 0.5)
    head = away + PAST + STEM
    laid: list[tuple[list[Path], Text]] = []
    for middle, place, words in zip(middles, places, written, strict=True):
        lead = Path("DIMENSIONS", (axis.point(middle, away), axis.point(place, head)))
        at = axis.point(place, head + 0.7 + len(words) * ADVANCE * LETTERS / 2)
        laid.append(([lead], Text("DIMENSIONS", at, words, LETTERS, "centre", not axis.upright)))
    return laid, head + 0.7 + max(len(t) for t in written) * ADVANCE * LETTERS


def running_fits(axis: Axis, stops: Sequence[float], whole: float) -> bool:
    """Whether the texts of running dimensions find room between the ends of what they measure."""
    room = axis.along(whole) - axis.along(0.0) - 3.0
    return len(stops) * (THICK + AIR) <= room


def running(
    axis: Axis, stops: Sequence[float], away: float, unit: LengthUnit, whole: float
) -> tuple[list[Dimension], float]:
    """Running dimensions of stops (mm) from coordinate 0, all on one line, texts at the ends of their extensions."""
    if not stops:
        return [], 0.0
    ends = [axis.along(s) for s in stops]
    zero = axis.along(0.0)
    middles = spread(ends, [THICK] * len(ends), zero + 1.5, axis.along(whole) - 1.5)
    written = [show_number(s, unit) for s in stops]
    head = away + PAST + STEM
    found = []
    for i, (end, middle, text) in enumerate(zip(ends, middles, written, strict=True)):
        before = ends[i - 1] if i else zero
        items: list[Path | Round] = [_line(axis, before, end, away), _tick(axis, end, away)]
        if i == 0:
            items += [Round("DIMENSIONS", axis.point(zero, away), 1.0), *_extensions(axis, (zero,), away)]
        foot = (axis.point(end, GAP), axis.point(end, away + 0.8), axis.point(middle, head))
        items.append(Path("DIMENSIONS", foot))
        width = len(text) * ADVANCE * LETTERS
        place = axis.point(middle, head + 0.7 + width / 2)
        words = Text("DIMENSIONS", place, text, LETTERS, "centre", not axis.upright)
        found.append(
            Dimension(
                axis.point(zero, 0.0), axis.point(end, 0.0), axis.point(end, away), axis.upright, text, place,
                (*items, words), "running",
            )
        )  # fmt: skip
    return found, head + 0.7 + max(len(t) for t in written) * ADVANCE * LETTERS


def _extensions(axis: Axis, ends: Sequence[float], away: float) -> list[Path | Round]:
    return [Path("DIMENSIONS", (axis.point(e, GAP), axis.point(e, away + PAST))) for e in ends]


def _line(axis: Axis, a: float, b: float, away: float) -> Path:
    return Path("DIMENSIONS", (axis.point(a, away), axis.point(b, away)))


def _tick(axis: Axis, at: float, away: float) -> Path:
    """An oblique stroke, rising to the right as the text is read."""
    x, y = axis.point(at, away)
    flip = -1.0 if axis.upright else 1.0
    return Path("DIMENSIONS", ((x - TICK * flip, y - TICK), (x + TICK * flip, y + TICK)))
