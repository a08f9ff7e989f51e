"""A view on paper: its lines at a scale, hatched faces, and places left for marks."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from exporters.drawings.display import Hatch, Item, Layer, Path, Rect, Round, Solid, Text, overlap, simple
from exporters.drawings.features import Array
from exporters.drawings.rows import Axis, Side
from exporters.drawings.standards import LETTERS
from exporters.drawings.tidy import Arc, Line, Piece, chained
from exporters.drawings.views import Face, Lines
from model.shapes import Point2

HATCHES = ((45.0, 1.1), (135.0, 1.1), (45.0, 1.8), (135.0, 1.8), (45.0, 0.75), (135.0, 0.75), (0.0, 1.1), (90.0, 1.1))
"""Angle and gap (mm) of the hatching of each material in turn."""

APART = 0.8
"""mm. Least distance between words that stand side by side."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a view lies on paper: real coordinates (0, 0) at `origin`, at 1 to `scale`."""

    origin: Point2
    scale: float
    box: Rect
    """Of what is seen, real mm in the view."""

    def at(self, p: Point2) -> Point2:
        return self.origin[0] + p[0] / self.scale, self.origin[1] + p[1] / self.scale

    @property
    def rect(self) -> Rect:
        return (*self.at((self.box[0], self.box[1])), *self.at((self.box[2], self.box[3])))

    def axis(self, side: Side) -> Axis:
        """A side of the view, to put dimensions on."""
        x0, y0, x1, y1 = self.rect
        edge = {"below": y0, "above": y1, "left": x0, "right": x1}[side]
        return Axis(side, self.origin[1] if side in ("left", "right") else self.origin[0], edge, self.scale)


def placed(lines: Lines, scale: float, corner: Point2 = (0.0, 0.0)) -> Placed:
    """The view with the lower left corner of what it shows at a place on paper."""
    return Placed((corner[0] - lines.box[0] / scale, corner[1] - lines.box[1] / scale), scale, lines.box)


def drawn(lines: Lines, on: Placed, materials: Sequence[str] = ()) -> list[Item]:
    """The lines of a view on paper; faces hatched by the order of their material."""
    items: list[Item] = [_hatch(f, on, materials) for f in lines.faces]
    kinds: tuple[tuple[Layer, tuple[Piece, ...]], ...] = (
        ("HIDDEN", lines.hidden), ("VISIBLE", lines.visible), ("CUT", lines.cut),
    )  # fmt: skip
    for layer, pieces in kinds:
        items += [_piece(layer, p, on) for p in pieces if isinstance(p, Arc) or layer != "HIDDEN"]
    dashed = chained(p for p in lines.hidden if isinstance(p, Line))
    return [*items, *(Path("HIDDEN", tuple(on.at(p) for p in run)) for run in dashed)]


def _piece(layer: Layer, piece: Piece, on: Placed) -> Path | Round:
    if isinstance(piece, Arc):
        return Round(layer, on.at(piece.middle), piece.radius / on.scale, piece.start, piece.end)
    return Path(layer, (on.at(piece.start), on.at(piece.end)))


def _hatch(face: Face, on: Placed, materials: Sequence[str]) -> Hatch:
    index = materials.index(face.material) if face.material in materials else 0
    angle, gap = HATCHES[index % len(HATCHES)]
    return Hatch("HATCH", tuple(tuple(on.at(p) for p in loop) for loop in face.loops), angle, gap)


@dataclass
class Space:
    """What is already on the paper, to find free places for texts."""

    segments: list[tuple[Point2, Point2]] = field(default_factory=list)
    rects: list[Rect] = field(default_factory=list)
    _ends: Array | None = None

    def take(self, items: Iterable[Item]) -> None:
        for item in simple(items):
            match item:
                case Path(_, points, closed):
                    ends = (*points, points[0]) if closed else points
                    self.segments += list(pairwise(ends))
                case Round(_, (x, y), r):
                    k = max(8, int(r * 2))
                    ring = [
                        (x + r * math.cos(2 * math.pi * i / k), y + r * math.sin(2 * math.pi * i / k)) for i in range(k)
                    ]
                    self.segments += list(zip(ring, (*ring[1:], ring[0]), strict=True))
                case Text():
                    x0, y0, x1, y1 = item.rect()
                    self.rects.append((x0 - APART, y0, x1 + APART, y1))
                case Solid() | Hatch():
                    pass

    def near(self, about: Point2, reach: float) -> "Space":
        """What lies within a distance of a point, along each axis."""
        if self._ends is None or len(self._ends) != len(self.segments):
            self._ends = np.array(self.segments).reshape(-1, 2, 2)
        ends, at = self._ends, np.array(about)
        near = ((ends.max(axis=1) > at - reach) & (ends.min(axis=1) < at + reach)).all(axis=1)
        around = (about[0] - reach, about[1] - reach, about[0] + reach, about[1] + reach)
        some = ends[near]
        return Space(
            [((a, b), (c, d)) for (a, b), (c, d) in some.tolist()], [r for r in self.rects if overlap(r, around)], some
        )

    def crossings(self, rect: Rect) -> int:
        """How many lines run through a box; a thousand for each text in it."""
        return self.crossed([rect])[0]

    def crossed(self, boxes: Sequence[Rect]) -> list[int]:
        """The same for several boxes at once."""
        taken = [sum(1000 for r in self.rects if overlap(r, rect, 0.05)) for rect in boxes]
        if not self.segments:
            return taken
        if self._ends is None or len(self._ends) != len(self.segments):
            self._ends = np.array(self.segments).reshape(-1, 2, 2)
        start, along = self._ends[:, 0], self._ends[:, 1] - self._ends[:, 0]
        sides = np.array(boxes)
        low, high = sides[:, None, :2], sides[:, None, 2:]
        with np.errstate(divide="ignore", invalid="ignore"):
            a, b = (low - start) / along, (high - start) / along
        still = np.abs(along) < 1e-9
        inside = (start >= low) & (start <= high)
        first = np.where(still, np.where(inside, 0.0, 2.0), np.minimum(a, b)).max(axis=2)
        last = np.where(still, np.where(inside, 1.0, -1.0), np.maximum(a, b)).min(axis=2)
        met = np.count_nonzero(np.maximum(first, 0.0) <= np.minimum(last, 1.0), axis=1)
        return [t + m for t, m in zip(taken, met.tolist(), strict=True)]

    def tag(
        self,
        text: str,
        about: Point2,
        clear: float = 0.0,
        height: float = LETTERS,
        lead: bool = False,
        others: Sequence[tuple[Point2, float]] = (),
    ) -> list[Item]:
        """A text near a point where it is least in the way, with a leader where it had to go far; taken at once.

        With `lead` there is a leader, from a dot, unless the text stands on the very point. `others` are points (and
        how far from them what they mark reaches) that have another text: it is not nearer to them than to its own.
        """
        near = self.near(about, clear + 20.0 + len(text) * height)
        if lead:
            words = Text("MARKS", about, text, height, "centre")
            if not near.crossings(grown(words.rect(), 0.5)):
                self.take([words])
                return [words]
        best: tuple[float, Text] | None = None
        for ring in (1.0, 2.2, 4.0, 6.5, 9.5, 13.0, 18.0):
            around: list[Text] = []
            for k in range(12):
                angle = math.pi / 4 + k * math.pi / 6
                width = len(text) * height
                reach = clear + ring
                place = (
                    about[0] + math.cos(angle) * (reach + width / 2),
                    about[1] + math.sin(angle) * (reach + height / 2),
                )
                around.append(Text("MARKS", place, text, height, "centre"))
            for words, met in zip(around, near.crossed([grown(w.rect(), 0.5) for w in around]), strict=True):
                score = met * 30 + ring + 45 * _mistaken(words, about, clear, () if lead else others)
                if best is None or score < best[0]:
                    best = (score, words)
            if best and best[0] < 30:
                break
        assert best is not None  # there is a place in any case
        words = best[1]
        items: list[Item] = [words]
        if lead or _far(words, about, clear):
            items.append(Path("MARKS", (about, _near(grown(words.rect(), 0.4), about))))
        if lead:
            items.append(dot(about))
        self.take(items)
        return items

    def free(self, size: Point2, places: Iterable[Point2]) -> Point2 | None:
        """The first of the places (middles) where a box of that size meets nothing."""
        for x, y in places:
            if not self.crossings((x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)):
                return x, y
        return None


def _far(words: Text, about: Point2, clear: float) -> bool:
    """Whether a text needs a leader to what it marks."""
    return math.dist(words.at, about) > clear + words.width / 2 + 5.0


def _mistaken(words: Text, about: Point2, clear: float, others: Sequence[tuple[Point2, float]]) -> bool:
    """Whether a text without a leader stands nearer to something else than to what it marks."""
    if not others or _far(words, about, clear):
        return False
    own = math.dist(words.at, about) - clear
    return any(math.dist(words.at, p) - reach < own + 0.3 for p, reach in others)


def grown(rect: Rect, by: float) -> Rect:
    return (rect[0] - by, rect[1] - by, rect[2] + by, rect[3] + by)


def dot(at: Point2) -> Solid:
    """The end of a leader on a face."""
    ring = [(at[0] + 0.45 * math.cos(k * math.pi / 4), at[1] + 0.45 * math.sin(k * math.pi / 4)) for k in range(8)]
    return Solid("MARKS", tuple(ring))


def _near(rect: Rect, p: Point2) -> Point2:
    return min(max(p[0], rect[0]), rect[2]), min(max(p[1], rect[1]), rect[3])
