"""Main sizes set into a picture: lines along the edges of what is shown, each with its length in the project's unit.

Sizes are of what is made: bought hardware, such as pulls that stand out, is left out.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.callouts import crossing
from exporters.pictures.lettering import LEADING, Place, box, line, width_of, write_line
from exporters.pictures.offscreen import Floats
from exporters.pictures.scene import Camera, Colour
from exporters.pictures.viewpoints import on_picture, wall_of
from model.lengths import LengthUnit, show_length
from model.part import PlacedPart
from model.shapes import Box, Vec

if TYPE_CHECKING:
    from model.build import Build, RoomWall

INK: Colour = (0.10, 0.12, 0.20)
PAPER: Colour = (0.99, 0.99, 0.985)
COVERS = 0.92
"""How much of what lies behind a word is covered."""
FLAT = 0.4
"""How high the floor before a thing looks, at least, as a share of how deep it is."""
LETTER, SMALLEST = 0.019, 11
"""Size of the letters as a share of the height of the picture, and the least in pixels."""
TICK = 5.0
PAD = 5
LEAST = 1.0
"""mm. Shorter than this is no size."""
SHALLOW = math.radians(8.0)
"""Straight on, depth cannot be seen."""
PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
HUNG = ("top", "upper", "connecting")
"""Kinds of units that do not stand on the floor."""
FRONTS = ("front", "door", "front panel")


@dataclass(frozen=True, slots=True)
class Size:
    """A length of the model, mm: measured from place to place, drawn at `line` (mm, room) beside that."""

    name: str
    length: float
    measured: tuple[Vec, Vec]
    line: tuple[Vec, Vec]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A size on the picture, pixels: its line, what ties that to the thing, and its words in a box."""

    size: Size
    text: str
    line: tuple[Place, Place]
    ties: tuple[tuple[Place, Place], ...]
    low: Place
    high: Place
    letter: int


def letter_of(size: tuple[int, int]) -> int:
    """The size of the letters on a picture of so many pixels."""
    return max(round(LETTER * size[1]), SMALLEST)


def main_sizes(
    build: "Build", parts: Sequence[PlacedPart], eye: Camera, unit: str | None, size: tuple[int, int]
) -> list[Size]:
    """Width, height and depth of what is shown, wall by wall, and the chains they are made of.

    `size` is that of the picture in pixels: lines stand off as far as words need.
    """
    made = [p for p in parts if p.part.kind in ("sheet", "board")] or list(parts)
    names = list(dict.fromkeys(p.path.split("/")[0] for p in made))
    walls = list({wall_of(build, n).name: wall_of(build, n) for n in names}.values())
    if unit is not None:
        return list(_Shown(build, made, walls[0], eye, True, size).sizes())
    walls.sort(key=lambda w: -sum(wall_of(build, p.path) is w for p in made))
    found: list[Size] = []
    heights: set[float] = set()
    for wall in walls:
        here = [p for p in made if wall_of(build, p.path) is wall]
        others = [p for p in made if wall_of(build, p.path) is not wall]
        shown = _Shown(build, here, wall, eye, len(walls) == 1, size, others)
        levels = {b for _, b in shown.levels()}
        found += [s for s in shown.sizes() if "height" not in s.name or not levels <= heights]  # none is given twice
        heights |= levels
    return found


class _Shown:
    """What is shown before one wall, in the frame of that wall."""

    def __init__(
        self,
        build: "Build",
        parts: Sequence[PlacedPart],
        wall: "RoomWall",
        eye: Camera,
        whole: bool,
        size: tuple[int, int],
        others: Sequence[PlacedPart] = (),
    ) -> None:
        self.frame = wall.frame
        back = wall.frame.inverse()
        self.kinds = {u.name: u.kind for u in build.plan.units}
        self.boxes = {p.path: p.moved(back).bounds() for p in parts}
        self.roles = {p.path: p.role for p in parts}
        self.units = {
            name: hull(self.boxes[p] for p in paths)
            for name, paths in itertools.groupby(self.boxes, key=lambda p: p.split("/")[0])
        }
        standing = [b for n, b in self.units.items() if self.kinds[n] not in HUNG]
        self.all = hull(self.boxes.values())
        self.wide = self.all if whole or not standing else hull(standing)
        self.standing = standing or list(self.units.values())
        self.alone = len(self.units) == 1
        x, y, _ = back.turn(eye.forward)
        self.turn = math.atan2(-x, y)  # how far to the right of straight on the camera stands
        away = math.dist(eye.at, wall.frame.apply(self.all.center))
        pixel = away * 2 * eye.half[1] / size[1]  # mm
        words = max(width_of(show_length(v, build.plan.lengths), letter_of(size)) for v in self.all.size) + 4 * PAD
        self.line = 2.2 * letter_of(size) * pixel
        self.column = words * pixel
        self.beside = hull(p.moved(back).bounds() for p in others) if others else None

    def sizes(self) -> Iterator[Size]:
        yield from self.widths()
        yield from self.heights()
        if abs(self.turn) > SHALLOW:
            yield from self.depths()

    def widths(self) -> Iterator[Size]:
        """On the floor in front; where other walls stand about, on the wall above, where none gets in another's way."""
        y, z, out = self.wide.lo[1], self.all.lo[2], (0.0, -self.line / FLAT, 0.0)
        if self.beside:
            y, z, out = 0.0, self.all.hi[2], (0.0, 0.0, self.line)
        x = self.wide.span("x")
        marks = [x[0], *(v for b in self.standing for v in b.span("x")), x[1]]
        chain = () if self.alone else spans(marks)
        for a, b in chain if len(chain) > 1 else ():
            yield self._size("width", (a, y, z), (b, y, z), out)
        rows = 2 if len(chain) > 1 else 1
        yield self._size("overall width", (x[0], y, z), (x[1], y, z), (0.0, out[1] * rows, out[2] * rows))

    def heights(self) -> Iterator[Size]:
        """At the end away from the camera, in the plane of the fronts; where other units stand there, at the other."""
        left = self._free_end(self.turn >= 0)
        x, y = self.all.lo[0] if left else self.all.hi[0], self.all.lo[1]
        out = -self.column if left else self.column
        y = 0.0 if self.beside else y
        low, high = self.all.span("z")
        chain = self._fronts() if self.alone else self.levels()
        for a, b in chain if len(chain) > 1 else ():
            yield self._size("height", (x, y, a), (x, y, b), (0.65 * out, 0.0, 0.0))
        rows = 1.75 if len(chain) > 1 else 0.65
        yield self._size("overall height", (x, y, low), (x, y, high), (out * rows, 0.0, 0.0))

    def depths(self) -> Iterator[Size]:
        right, out = not self._free_end(self.turn < 0), (0.35 if self.beside else 0.8) * self.column
        x, z = self.all.hi[0] if right else self.all.lo[0], self.all.lo[2]
        y = self.all.span("y")
        yield self._size("overall depth", (x, y[0], z), (x, y[1], z), (out if right else -out, 0.0, 0.0))

    def _free_end(self, left: bool) -> bool:
        """Whether lines stand at the left end: where they would by themselves, or no other units stand in the way."""
        if not self.beside:
            return left
        nearest = (self.beside.lo[0] + self.beside.hi[0]) / 2 < self.all.center[0]
        return not nearest

    def levels(self) -> list[tuple[float, float]]:
        """From the floor to the upper face of the tops, and on to the highest part."""
        low, high = self.all.span("z")
        tops = [b for p, b in self.boxes.items() if self.kinds[p.split("/")[0]] == "top" and self.roles[p] == "top"]
        return spans([low, *([max(b.hi[2] for b in tops)] if tops else []), high])

    def _fronts(self) -> list[tuple[float, float]]:
        """From where to where each height of front reaches, without the joints between."""
        return sorted({b.span("z") for p, b in self.boxes.items() if self.roles[p] in FRONTS})

    def _size(self, name: str, a: Vec, b: Vec, off: Vec) -> Size:
        length = max(abs(q - p) for p, q in zip(a, b, strict=True))
        ends = [self.frame.apply(p) for p in (a, b, _sum(a, off), _sum(b, off))]
        return Size(name, length, (ends[0], ends[1]), (ends[2], ends[3]))


def spans(marks: Iterable[float]) -> list[tuple[float, float]]:
    """A chain from mark to mark, each once; marks that all but coincide are one."""
    ordered: list[float] = []
    for mark in sorted(marks):
        if not ordered or mark - ordered[-1] >= LEAST:
            ordered.append(mark)
    return list(itertools.pairwise(ordered))


def laid_out(sizes: Sequence[Size], eye: Camera, size: tuple[int, int], lengths: LengthUnit) -> list[Drawn]:
    """Sizes on a picture of so many pixels: words never lie on one another, and on other lines only where they must."""
    letter = letter_of(size)
    flat = [[(x, y) for x, y in on_picture(eye, np.array((*s.line, *s.measured)), size).tolist()] for s in sizes]
    order = sorted(range(len(sizes)), key=lambda i: (math.dist(flat[i][0], flat[i][1]), i), reverse=True)
    found: dict[int, Drawn] = {}
    for i in order:
        a, b, c, d = flat[i]
        text = show_length(sizes[i].length, lengths)
        wide, high = width_of(text, letter) + 2 * PAD, math.ceil(letter * LEADING) + 2
        others = [(p[0], p[1]) for j, p in enumerate(flat) if j != i]
        low, tie = _free((a, b), (wide, high), [(f.low, f.high) for f in found.values()], others, size)
        ties = [(c, a), (d, b)] + ([tie] if tie else [])
        found[i] = Drawn(sizes[i], text, (a, b), tuple(ties), low, (low[0] + wide, low[1] + high), letter)
    return [found[i] for i in range(len(sizes))]


def _free(
    along: tuple[Place, Place],
    words: tuple[float, float],
    taken: Sequence[tuple[Place, Place]],
    lines: Sequence[tuple[Place, Place]],
    size: tuple[int, int],
) -> tuple[Place, tuple[Place, Place] | None]:
    """The upper left corner of a box for words on or beside a line: the first that is free and crosses fewest others;
    with a line to it where it stands off."""
    (ax, ay), (bx, by) = along
    length = max(math.dist(*along), 1e-6)
    across = ((by - ay) / length, (ax - bx) / length)
    room = abs(bx - ax) / length * words[0] + abs(by - ay) / length * words[1] + 4
    rows = (0, 1, -1, 2, -2, 3, -3, 4, -4, 6, -6, 8, -8, 10, -10)
    first = 1 if room > length else 0  # words longer than their line stand beside it
    best: tuple[int, Place, tuple[Place, Place] | None] | None = None
    for row in rows[first:]:
        reach = row * (abs(across[0]) * words[0] + abs(across[1]) * words[1] + 6) * 0.75
        for share in PLACES:
            on = (ax + share * (bx - ax), ay + share * (by - ay))
            x, y = on[0] + across[0] * reach, on[1] + across[1] * reach
            low = (round(x - words[0] / 2), round(y - words[1] / 2))
            high = (low[0] + words[0], low[1] + words[1])
            if low[0] < 2 or low[1] < 2 or high[0] > size[0] - 2 or high[1] > size[1] - 2:
                continue
            if any(overlap(low, high, *box) for box in taken):
                continue
            crossed = sum(_meets(low, high, *other) for other in lines)
            if best is None or crossed < best[0]:
                best = crossed, low, ((x, y), on) if row else None
        if best is not None and best[0] == 0:
            break
    if best is None:
        return (round((ax + bx - words[0]) / 2), round((ay + by - words[1]) / 2)), None
    return best[1], best[2]


def overlap(a: Place, b: Place, c: Place, d: Place, gap: float = 2.0) -> bool:
    """Whether the box from a to b comes nearer than a gap to the box from c to d."""
    return a[0] < d[0] + gap and c[0] < b[0] + gap and a[1] < d[1] + gap and c[1] < b[1] + gap


def _meets(low: Place, high: Place, a: Place, b: Place) -> bool:
    """Whether a stretch runs through a box."""
    if any(low[0] <= p[0] <= high[0] and low[1] <= p[1] <= high[1] for p in (a, b)):
        return True
    corners = [low, (high[0], low[1]), high, (low[0], high[1])]
    return any(crossing(a, b, corners[i], corners[(i + 1) % 4]) for i in range(4))


def write_sizes(picture: Floats, drawn: Sequence[Drawn]) -> None:
    """Draw them: lines first, words over them."""
    for each in drawn:
        for a, b in each.ties:
            line(picture, a, _past(a, b), INK, 0.8)
        line(picture, *each.line, INK, 1.6)
        for x, y in each.line:
            line(picture, (x - TICK, y + TICK), (x + TICK, y - TICK), INK, 2.0)
    for each in drawn:
        box(picture, each.low, each.high, PAPER, PAPER, COVERS)
        write_line(picture, (each.low[0] + PAD, each.low[1] + 1), each.text, each.letter, INK)


def _past(a: Place, b: Place) -> Place:
    """A little past b, seen from a."""
    length = math.dist(a, b)
    return b if length < 1 else (b[0] + (b[0] - a[0]) / length * 5, b[1] + (b[1] - a[1]) / length * 5)


def hull(boxes: Iterable[Box]) -> Box:
    """The box round some boxes."""
    found = list(boxes)
    low, high = np.min([b.lo for b in found], axis=0).tolist(), np.max([b.hi for b in found], axis=0).tolist()
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _sum(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])
