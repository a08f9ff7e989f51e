"""Windows of enlarged details: a plane to cut along, a circle in that view, and the edges that are dimensioned."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from exporters.drawings.features import axes_of
from exporters.drawings.scan import distinct
from exporters.drawings.views import Direction, bounds
from model.cuts import Bore, Cut, PocketBore
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box, Point2, Vec

MARGIN = 14.0
"""mm. Round what a detail is about."""
LEAST, MOST = 30.0, 72.0
"""mm. Radius of a detail."""
OFF = 15.0
"""mm. How far a section may move to keep clear of bores."""
TOUCH = 0.6
"""mm. Parts that are joined come at least this near."""
Span = tuple[float, float]
Rect = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Stop:
    """An edge that is dimensioned: its coordinate, and from where to where it runs along the other axis."""

    at: float
    foot: float
    head: float


@dataclass(frozen=True, slots=True)
class Detail:
    """A place to draw enlarged; coordinates are those of the view, mm."""

    kind: str
    words: str
    direction: Direction
    section: float
    middle: Point2
    radius: float
    along: tuple[Stop, ...]
    """Of the chain below."""
    up: tuple[Stop, ...]
    """Of the chain at the left."""
    over: tuple[Stop, ...] = ()
    """Of a chain above."""
    also: tuple[str, ...] = ()
    """Other kinds of joints that it shows."""
    axis: tuple[Point2, Point2] | None = None
    """The centre line of a screw."""


@dataclass(frozen=True)
class Made:
    """A unit in a frame: the true bounds of its parts, and what each is joined to."""

    unit: BuiltUnit
    frame: Placement
    side: Direction
    """From where sections from front to back are seen."""
    _bored: dict[str, list[tuple[Cut, Box]]] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def parts(self) -> dict[str, PlacedPart]:
        return {p.path: p for p in self.unit.parts}

    @cached_property
    def boxes(self) -> dict[str, Box]:
        return {p.path: Box(*bounds([p], self.frame)) for p in self.unit.parts}

    def joined(self, path: str, kind: str = "screwed") -> list[str]:
        """What a part is joined to in a way."""
        pairs = [(j.a, j.b) for j in self.unit.joints if j.kind == kind and path in (j.a, j.b)]
        return [b if a == path else a for a, b in pairs if a in self.parts and b in self.parts]

    def role(self, path: str) -> str:
        return self.parts[path].role

    def is_made(self, path: str) -> bool:
        return self.parts[path].part.kind != "hardware"

    def cut_box(self, path: str, cut: Cut) -> Box | None:
        """What a cut takes out of its blank, in the frame."""
        part = self.parts[path].part
        blank = Box((0.0, 0.0, 0.0), part.size)
        inside = cut.primitives(part.size)[0].bounds().common(blank)
        return None if inside is None else self.frame.compose(self.parts[path].placement).box(inside)

    def bores(self, path: str) -> list[tuple[Cut, Box]]:
        """Every bore of a part, and the box it takes."""
        if path not in self._bored:
            bored = [(c, self.cut_box(path, c)) for c in self.parts[path].part.cuts if isinstance(c, Bore | PocketBore)]
            self._bored[path] = [(cut, box) for cut, box in bored if box is not None]
        return self._bored[path]

    def towards(self, axis: int) -> Direction:
        """The view along an axis of the frame."""
        return (self.side, "front", "top")[axis]  # type: ignore[return-value]


def flat(box: Box, direction: Direction) -> tuple[Rect, Span]:
    """Where a box lies in a view, and its least and greatest coordinate toward the eye."""
    spans = []
    for axis in axes_of(direction):
        ends = sorted(sum(a * c for a, c in zip(axis, corner, strict=True)) for corner in (box.lo, box.hi))
        spans.append((ends[0], ends[1]))
    (u0, u1), (v0, v1), depth = spans
    return (u0, v0, u1, v1), depth


def point(p: Vec, direction: Direction) -> tuple[float, float, float]:
    u, v, w = (sum(a * c for a, c in zip(axis, p, strict=True)) for axis in axes_of(direction))
    return u, v, w


def window(
    kind: str,
    words: str,
    direction: Direction,
    section: float,
    about: Iterable[Box],
    edges: Sequence[Box],
    axis: tuple[Point2, Point2] | None = None,
    stops: tuple[Sequence[float], Sequence[float]] = ((), ()),
    below: Sequence[Box] = (),
    over: Sequence[Box] = (),
    also: tuple[str, ...] = (),
) -> Detail:
    """The window round what the detail is about; the edges in it are dimensioned, and `stops` besides.

    `below` and `over` are the edges of the chains below and above, where they are not the same as those beside it.
    """
    rects = [flat(b, direction)[0] for b in about]
    whole = (min(r[0] for r in rects), min(r[1] for r in rects), max(r[2] for r in rects), max(r[3] for r in rects))
    middle = ((whole[0] + whole[2]) / 2, (whole[1] + whole[3]) / 2)
    radius = min(max(math.hypot(whole[2] - whole[0], whole[3] - whole[1]) / 2 + MARGIN, LEAST), MOST)
    beside, under, above = ([flat(b, direction)[0] for b in row] for row in (edges, below or edges, over))
    along, high = _stops(under, middle, radius, 0, stops[0]), _stops(above, middle, radius, 0, ())
    up = _stops(beside, middle, radius, 1, stops[1])
    return Detail(kind, words, direction, section, middle, round(radius, 1), along, up, high, also, axis)


def _stops(rects: Sequence[Rect], middle: Point2, radius: float, along: int, more: Sequence[float]) -> tuple[Stop, ...]:
    """The edges of rectangles that lie in the window, each once."""
    found: dict[float, tuple[float, float]] = dict.fromkeys(more, (middle[1 - along], middle[1 - along]))
    for r in rects:
        for at in (r[along], r[along + 2]):
            away = abs(at - middle[along])
            if away > radius * 0.92:
                continue
            half = math.sqrt(radius**2 - away**2) * 0.96
            low, high = max(middle[1 - along] - half, r[1 - along]), min(middle[1 - along] + half, r[3 - along])
            if low < high:
                a, b = found.get(at, (low, high))
                found[at] = (min(a, low), max(b, high))
    kept = distinct(list(found))
    near = [[ends for v, ends in found.items() if abs(v - at) < 0.3] for at in kept]
    return tuple(
        Stop(at, min(e[0] for e in ends), max(e[1] for e in ends)) for at, ends in zip(kept, near, strict=True)
    )


def contact(a: Box, b: Box) -> Box | None:
    """Where two parts meet."""
    return a.grown(TOUCH).common(b.grown(TOUCH))


def longest(box: Box) -> int:
    return max(range(3), key=lambda i: box.size[i])


def _clear(made: Made, paths: Iterable[str], axis: int, at: float) -> float:
    """A place for a section near `at` along an axis of the frame that goes through no bore."""
    spans = [(b.lo[axis], b.hi[axis]) for p in paths for _, b in made.bores(p) if b.size[axis] < 60]
    places = sorted((at + s * k for k in range(int(OFF)) for s in (1.0, -1.0)), key=lambda v: (abs(v - at), v))
    return next((v for v in places if not any(lo - 0.5 < v < hi + 0.5 for lo, hi in spans)), at)


def along_eye(direction: Direction, axis: int, at: float) -> float:
    """A coordinate of the frame as one toward the eye."""
    return axes_of(direction)[2][axis] * at


def cut_along(made: Made, paths: Sequence[str], axis: int, at: float) -> tuple[Direction, float]:
    direction = made.towards(axis)
    return direction, along_eye(direction, axis, _clear(made, paths, axis, at))
