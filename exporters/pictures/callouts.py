"""Words set round a picture, each with a line to the place it speaks of; lines and words keep clear of one another.

Places are pixels, x to the right and y down.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from exporters.pictures.lettering import LEADING, Place, dot, line, width_of, write_line
from exporters.pictures.offscreen import Floats
from exporters.spots import Colour

LINE: Colour = (0.25, 0.25, 0.28)
EDGE = 10
"""Pixels from the border of the picture to a word, and from a word to its line."""
SMALLEST = 9
"""Pixels. Letters do not get smaller than this, however many there are."""


@dataclass(frozen=True, slots=True)
class Callout:
    """A word at its place: upper left corner and size; `start` is where its line begins, `at` where it ends."""

    text: str
    low: Place
    high: Place
    start: Place
    at: Place


def placed(words: Sequence[tuple[str, Place]], size: tuple[int, int], letter: int) -> tuple[list[Callout], int]:
    """Each word in a column at the left or the right border, whichever is nearer, and the size of letters that fits.

    Columns are filled evenly; within one, words stand in the order of their places, so that lines do not cross.
    """
    while True:
        step = math.ceil(letter * LEADING) + 4
        room = max((size[1] - 2 * EDGE) // step, 1)
        if len(words) <= 2 * room or letter <= SMALLEST:
            break
        letter -= 1
    most = max(room, -(-len(words) // 2))
    ordered = sorted(words, key=lambda w: (w[1][0], w[1][1], w[0]))
    split = sum(1 for _, at in ordered if at[0] < size[0] / 2)
    split = min(max(split, len(ordered) - most), most)
    found = [*_column(ordered[:split], size, letter, step, True), *_column(ordered[split:], size, letter, step, False)]
    return found, letter


def _column(
    words: Sequence[tuple[str, Place]], size: tuple[int, int], letter: int, step: int, left: bool
) -> list[Callout]:
    """The words of one border, as near to the height of their places as they get without touching."""
    ordered = sorted(words, key=lambda w: (w[1][1], w[1][0], w[0]))
    heights = _spaced([at[1] for _, at in ordered], step, EDGE + step / 2, size[1] - EDGE - step / 2)
    widest = max((width_of(text, letter) for text, _ in words), default=0)
    inner = EDGE + widest if left else size[0] - EDGE - widest  # words end there, and lines begin
    begin = inner + EDGE / 2 * (1 if left else -1)
    found: list[Callout] = []
    for height, (text, at) in _uncrossed(list(zip(heights, ordered, strict=True)), begin):
        width = width_of(text, letter)
        x = inner - width if left else inner
        low, high = (x, height - step / 2 + 2), (x + width, height + step / 2 - 2)
        found.append(Callout(text, low, high, (begin, height), at))
    return found


def _spaced(wanted: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Places as near as can be to those wanted (which grow), at least a step apart, between low and high."""
    groups: list[list[float]] = []  # of each: how many, and the sum of what each would have the first stand at
    for y in wanted:
        groups.append([1, y])
        while len(groups) > 1 and _first(groups[-2], step, low, high) + groups[-2][0] * step > _first(
            groups[-1], step, low, high
        ):
            count, total = groups.pop()
            groups[-1][1] += total - count * groups[-1][0] * step
            groups[-1][0] += count
    return [_first(g, step, low, high) + i * step for g in groups for i in range(int(g[0]))]


def _first(group: Sequence[float], step: float, low: float, high: float) -> float:
    count, total = group
    return max(min(total / count, high - (count - 1) * step), low)


def _uncrossed(slots: list[tuple[float, tuple[str, Place]]], x: float) -> list[tuple[float, tuple[str, Place]]]:
    """The same heights, words changed about until no two lines cross: each change makes both together shorter."""
    for _ in range(len(slots) ** 3):
        for i in range(len(slots)):
            for j in range(i + 1, len(slots)):
                (a, first), (b, second) = slots[i], slots[j]
                if crossing((x, a), first[1], (x, b), second[1]):
                    slots[i], slots[j] = (a, second), (b, first)
                    break
            else:
                continue
            break
        else:
            break
    return slots


def crossing(a: Place, b: Place, c: Place, d: Place) -> bool:
    """Whether the stretches a-b and c-d cross."""

    def side(p: Place, q: Place, r: Place) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def write_callouts(picture: Floats, callouts: Sequence[Callout], letter: int) -> None:
    """Draw them."""
    for callout in callouts:
        line(picture, callout.start, callout.at, LINE, 1.3)
        dot(picture, callout.at, 3.0, LINE)
    for callout in callouts:
        write_line(picture, callout.low, callout.text, letter)


def arrow(picture: Floats, start: Place, end: Place, colour: Colour, wide: float = 4.0) -> None:
    """An arrow with a white rim, its head at `end`."""
    length = math.hypot(end[0] - start[0], end[1] - start[1])
    if length < 6:
        return
    dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    head = min(4.5 * wide, length * 0.7)
    for shade, more in (((1.0, 1.0, 1.0), 3.0), (colour, 0.0)):
        line(picture, start, (end[0] - dx * head * 0.6, end[1] - dy * head * 0.6), shade, wide + more)
        steps = max(int(head * 2), 2)
        for i in range(steps):  # a solid head: strokes across, growing from the point
            back = head * (i + 0.5) / steps
            across = back * 0.45 + more / 2
            x, y = end[0] - dx * back, end[1] - dy * back
            line(picture, (x - dy * across, y + dx * across), (x + dy * across, y - dx * across), shade, 1.0 + more / 2)
