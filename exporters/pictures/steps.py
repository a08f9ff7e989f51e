"""Pictures of the steps of an assembly: what is there already steps back, what is new stands before its place."""

import math
from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.callouts import arrow, placed, write_callouts
from exporters.pictures.lettering import Place, width_of
from exporters.pictures.offscreen import Bytes, Eye, Floats, ahead_of, quiet_driver
from exporters.pictures.render import png
from exporters.pictures.scene import Array, Batch, Camera, Colour, Piece, at_place, axes, drawn, framed, joined
from exporters.pictures.viewpoints import ahead, on_picture, straight_on
from model.errors import ProjectError
from model.part import PlacedPart
from model.placement import Placement
from model.shapes import Box, Vec

if TYPE_CHECKING:
    from model.build import Build

SIZE = (900, 600)
FINER = 2
"""Pixels drawn for each pixel of the picture, each way; `_coarser` takes two."""
MOST_WORTH = 1.5
ARROW: Colour = (0.80, 0.22, 0.10)
PALE = 0.72
"""How far the colours of what is there already are moved toward white."""
TURNS_AND_RISES = ((30, 22), (-30, 22), (30, 48), (-30, 48), (150, 24), (-150, 24), (30, -22), (-30, -22))
"""Degrees the camera may stand to the right of straight on and above the level, best first."""
LENS = 18.0
"""Degrees. A long lens, so that edges stay square to the eye."""
TRIED = (168, 112)
"""Pixels of the views that a place is chosen by."""
SEEN_ENOUGH = 0.85
"""The first place is taken that shows this much of what the best one shows."""
USUAL = 4
"""So many places are tried first, the others only where these show little."""
LARGE = 0.08
"""New parts that fill this share of a picture are large enough."""
MOST_ARROWS = 6
LETTER = 0.034
"""Size of the letters, as a share of the height of the picture."""
CLEAR = 26
"""Marks point to places this share of the height of the picture off an arrow."""
TRIM = 4
"""Rows of white left above and below a trimmed picture."""
LIGHT = (-0.35, 0.55, 1.0)
"""Where the light comes from: to the right of the camera, above it, and back toward it."""
DARKEST = 0.62


def step_picture(
    build: "Build",
    new: Collection[str],
    there: Collection[str],
    directions: Mapping[str, Vec],
    away: float,
    size: tuple[int, int] = SIZE,
    studio: "Studio | None" = None,
    names: Mapping[str, str] | None = None,
) -> bytes:
    """A picture of one step of an assembly as PNG.

    Args:
        new: paths of the parts that go in, drawn in their colours, marked, `away` mm before their places.
        there: paths of the parts that are in already, drawn pale.
        directions: for each new part that goes in along a straight line, the unit vector (room) it moves along; it is
            drawn back along that line, with an arrow that shows where it goes. One that is left out stays in place.
        studio: the one to draw in where many pictures are drawn, quicker than a new one for each.
        names: what new parts are called in place of their marks, by their paths; parts with one name are one thing.

    Raises ProjectError for a path the plan does not have or nothing to draw, ExportError where the machine cannot draw.
    """
    if studio is not None:
        return studio.picture(new, there, directions, away, names)
    with Studio(build, size) as own:
        return own.picture(new, there, directions, away, names)


class Studio:
    """One window to draw the steps of a build in; to be used as a context.

    A `trimmed` picture is only as high as what is on it.
    """

    def __init__(self, build: "Build", size: tuple[int, int] = SIZE, trimmed: bool = False) -> None:
        self.build, self.size, self.trimmed = build, size, trimmed
        self._rest: dict[str, Piece] = {}
        self._quiet = quiet_driver()
        self._eye: Eye | None = None
        self._small: Eye | None = None
        self._coded: Step | None = None

    def __enter__(self) -> "Studio":
        self._quiet.__enter__()
        return self

    def __exit__(self, *_: object) -> None:
        for eye in (self._eye, self._small):
            if eye:
                eye.close()
        self._quiet.__exit__(None, None, None)

    def picture(
        self,
        new: Collection[str],
        there: Collection[str],
        directions: Mapping[str, Vec],
        away: float,
        names: Mapping[str, str] | None = None,
    ) -> bytes:
        """As `step_picture`."""
        parts = self._parts(new), self._parts(set(there) - set(new))
        step = Step(self.build, *parts, directions, away, names or {}, self._rest)
        eye = self._camera(step)
        shown, depth = self._drawn(step, eye)
        arrows = [on_picture(eye, np.array(way), self.size) for way in step.ways[:MOST_ARROWS]]
        for start, end in (way.tolist() for way in arrows):
            arrow(shown, (start[0], start[1]), (end[0], end[1]), ARROW, wide=max(self.size[1] / 150, 3.0))
        self._marked(shown, step, eye, depth, arrows)
        pixels = np.round(np.clip(shown, 0, 1) * 255).astype(np.uint8)
        return png(_trimmed(pixels) if self.trimmed else pixels)

    def _parts(self, paths: Collection[str]) -> list[PlacedPart]:
        known = self.build.plan.by_path
        for path in sorted(paths):
            if path not in known:
                raise ProjectError(f"no part {path!r} in the plan")
        return [known[path] for path in sorted(paths)]

    def _letter(self) -> int:
        return max(round(LETTER * self.size[1]), 10)

    def _camera(self, step: "Step") -> Camera:
        """Of the places the camera may stand, the first that shows what is new well, room left for the marks."""
        corners = step.corners
        if not len(corners):
            raise ProjectError("a step without a part has no picture")
        width, height = self.size
        beside = max((width_of(text, self._letter()) for text, _ in step.kinds), default=0) + 30
        inner = max(width - 2 * beside, width // 3)
        straight = straight_on(self.build, (step.new or step.there)[0].path)

        def place(turn: float, rise: float) -> Camera:
            eye = framed(corners, straight + math.radians(turn), math.radians(rise), inner / height, LENS)
            return replace(eye, half=(eye.half[0] * width / inner, eye.half[1]))

        if not step.new or not step.there:
            return place(*TURNS_AND_RISES[0])
        found: list[tuple[float, Camera]] = []
        for number, stand in enumerate(TURNS_AND_RISES):
            if number == USUAL and max(worth for worth, _ in found) >= SEEN_ENOUGH:
                break
            eye = place(*stand)
            found.append((self._worth(step, eye), eye))
            if found[-1][0] >= SEEN_ENOUGH * MOST_WORTH:
                return eye
        most = max(worth for worth, _ in found)
        return next(eye for worth, eye in found if worth >= SEEN_ENOUGH * most)

    def _worth(self, step: "Step", eye: Camera) -> float:
        """How much of what is new is seen: the share of its parts, and of its area; at most MOST_WORTH."""
        if self._small is None:
            self._small = Eye(step.coded, (), TRIED)
        if self._coded is not step:
            self._small.show(step.coded, edges=False)
            self._coded = step
        codes = self._small.colours(eye, reach(eye, step.corners))[1]
        codes = codes[codes[:, 0] > 250].astype(np.int64)
        counts = np.bincount(codes[:, 1] * 256 + codes[:, 2])
        large = len(codes) / (LARGE * TRIED[0] * TRIED[1])
        return float((counts > 2).sum() / len(step.new) + min(large, 1.0) * 0.5)

    def _drawn(self, step: "Step", eye: Camera) -> tuple[Floats, Floats]:
        """The parts (height x width x 3), and the depth of each fine pixel as it is in the window."""
        width, height = self.size[0] * FINER, self.size[1] * FINER
        if self._eye is None:
            self._eye = Eye(step.pale or step.strong, (), (width, height))
        toward = axes(eye).T @ np.array((-LIGHT[0], LIGHT[1], -LIGHT[2]))
        toward /= np.linalg.norm(toward)
        self._eye.show(step.pale, (), step.strong, lambda normals: DARKEST + (1 - DARKEST) * np.abs(normals @ toward))
        depth, colours = self._eye.colours(eye, reach(eye, step.corners))
        colours = np.array(colours)
        colours[depth >= 1.0] = 255
        return _coarser(colours.reshape(height, width, 3)), depth.reshape(height, width)

    def _marked(self, shown: Floats, step: "Step", eye: Camera, depth: Floats, arrows: list[Array]) -> None:
        """The mark of each kind of new part, with a line to the one of them that is seen best."""
        between = reach(eye, step.corners)
        words = [(text, self._spot(parts, eye, depth, between, arrows)) for text, parts in step.kinds]
        callouts, letter = placed(words, self.size, self._letter())
        write_callouts(shown, callouts, letter)

    def _spot(
        self, parts: list[Piece], eye: Camera, depth: Floats, between: tuple[float, float], arrows: list[Array]
    ) -> Place:
        """A place in the middle of what is seen of the part that is seen best, clear of arrows where it can be."""
        best: tuple[int, Place] = (-1, (0.0, 0.0))
        for piece in parts:
            points = _spread(piece)
            where = on_picture(eye, points, self.size)
            cells = np.clip((where * FINER).astype(int), 0, (self.size[0] * FINER - 1, self.size[1] * FINER - 1))
            seen = ahead_of(depth[cells[:, 1], cells[:, 0]], between) > ahead(eye, points) - 4
            some = where[seen] if seen.any() else where
            clear = off_arrows(some, arrows) > self.size[1] / CLEAR
            middle = np.median(some, axis=0)
            free = some[clear] if clear.any() else some
            nearest = free[np.argmin(np.abs(free - middle).sum(axis=1))]
            if int(seen.sum()) > best[0]:
                best = int(seen.sum()), (float(nearest[0]), float(nearest[1]))
        return best[1]


def off_arrows(places: Array, arrows: list[Array]) -> Array:
    """How far each place (N x 2) is from the nearest arrow, pixels."""
    found = np.full(len(places), np.inf)
    for start, end in arrows:
        along = end - start
        share = np.clip((places - start) @ along / max(float(along @ along), 1e-9), 0, 1)
        found = np.minimum(found, np.linalg.norm(places - start - share[:, None] * along, axis=1))
    return found


def _coarser(fine: Bytes) -> Floats:
    """The mean of each 2 x 2 pixels, 0 to 1."""
    rows = np.add(fine[0::2], fine[1::2], dtype=np.uint16)
    return (rows[:, 0::2] + rows[:, 1::2]).astype(np.float32) / np.float32(4 * 255)


def _trimmed(pixels: Bytes) -> Bytes:
    """A picture without the white above and below what is on it."""
    rows = np.flatnonzero((pixels < 255).any(axis=(1, 2)))
    if not len(rows):
        return pixels
    return pixels[max(int(rows[0]) - TRIM, 0) : int(rows[-1]) + 1 + TRIM]


def reach(eye: Camera, points: Array) -> tuple[float, float]:
    """From where to where things are drawn, mm ahead."""
    away = ahead(eye, points)
    return max(float(away.min()) * 0.9, 1.0), float(away.max()) * 1.1


def _spread(piece: Piece) -> Array:
    """Points all over a piece (N x 3)."""
    corners = piece.points[piece.triangles]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    big = corners[np.argsort(-area, kind="stable")[:24]]
    shares = [(i / 6, j / 6) for i in range(1, 6) for j in range(1, 6 - i)]
    weights = np.array([(1 - u - v, u, v) for u, v in shares])
    return np.einsum("kw,twc->tkc", weights, big).reshape(-1, 3)


class Step:
    """What a picture of a step shows."""

    def __init__(
        self,
        build: "Build",
        new: list[PlacedPart],
        there: list[PlacedPart],
        directions: Mapping[str, Vec],
        away: float,
        names: Mapping[str, str],
        rest: dict[str, Piece],
    ) -> None:
        self.build, self.new, self.there, self.away = build, new, there, away
        self.names, self._rest = names, rest
        self.directions = {p.path: directions[p.path] for p in new if p.path in directions and away > 0}

    def _before(self, part: PlacedPart) -> PlacedPart:
        """A new part where it is drawn."""
        if part.path not in self.directions:
            return part
        x, y, z = (-self.away * d for d in self.directions[part.path])
        return part.moved(Placement((x, y, z)))

    def _at_rest(self, part: PlacedPart) -> Piece:
        """A part in its place, made once for all steps."""
        if part.path not in self._rest:
            self._rest[part.path] = _piece(part)
        return self._rest[part.path]

    @cached_property
    def pieces(self) -> dict[str, Piece]:
        return {
            p.path: _piece(self._before(p)) if p.path in self.directions else self._at_rest(p) for p in self.new
        }  # fmt: skip

    @cached_property
    def strong(self) -> list[Batch]:
        colour = {p.path: self.build.stock.material(p.part.material).colour for p in self.new}
        return [joined(c, [self.pieces[p] for p in colour if colour[p] == c]) for c in sorted(set(colour.values()))]

    @cached_property
    def pale(self) -> list[Batch]:
        gathered: dict[Colour, list[Piece]] = {}
        for part in self.there:
            r, g, b = (c + PALE * (1 - c) for c in self.build.stock.material(part.part.material).colour)
            gathered.setdefault((r, g, b), []).append(self._at_rest(part))
        return [joined(colour, pieces) for colour, pieces in sorted(gathered.items())]

    @cached_property
    def coded(self) -> list[Batch]:
        """Each new part in a colour of its own, the rest in black; without bores."""
        found = [_plain((1.0, i // 256 / 255, i % 256 / 255), [self.pieces[p.path]]) for i, p in enumerate(self.new)]
        return [*found, _plain((0.0, 0.0, 0.0), [self._at_rest(p) for p in self.there])] if self.there else found

    @cached_property
    def corners(self) -> Array:
        """The corners of the boxes of all that is drawn, and of the new parts in place."""
        boxes = [p.bounds() for p in (*self.there, *self.new, *(self._before(p) for p in self.new))]
        return np.array([(x, y, z) for b in boxes for x in b.span("x") for y in b.span("y") for z in b.span("z")])

    @cached_property
    def kinds(self) -> list[tuple[str, list[Piece]]]:
        """The mark of each kind of new part with how many there are, or its name, and those parts."""
        found: dict[str, list[Piece]] = {}
        for part in self.new:
            word = self.names.get(part.path) or self.build.plan.marks[part.part]
            found.setdefault(word, []).append(self.pieces[part.path])
        times = "\N{MULTIPLICATION SIGN}"
        named = set(self.names.values())
        return [(f"{len(p)} {times} {w}" if len(p) > 1 and w not in named else w, p) for w, p in sorted(found.items())]

    @cached_property
    def ways(self) -> list[tuple[Vec, Vec]]:
        """Where arrows begin and end, the largest first: from the leading face to its place, one for what touches and
        goes the same way."""
        groups: list[tuple[Vec, list[Box]]] = []
        for part in self.new:
            if part.path not in self.directions:
                continue
            way, box = self.directions[part.path], part.bounds()
            joined = [g for g in groups if g[0] == way and any(box.grown(1.0).common(b) for b in g[1])]
            groups = [g for g in groups if g not in joined]
            groups.append((way, [box, *(b for g in joined for b in g[1])]))
        found: list[tuple[float, Vec, Vec]] = []
        for way, boxes in groups:
            low, high = np.min([b.lo for b in boxes], axis=0), np.max([b.hi for b in boxes], axis=0)
            end = (low + high) / 2 + np.array(way) * float(np.abs(way) @ (high - low)) / 2
            found.append((-float(np.prod(high - low)), _vec(end - self.away * np.array(way)), _vec(end)))
        return [(start, end) for _, start, end in sorted(found)]


def _vec(point: Array) -> Vec:
    x, y, z = point.tolist()
    return (x, y, z)


def _piece(placed: PlacedPart) -> Piece:
    return at_place(drawn(placed.part), placed.placement)


def _plain(colour: Colour, pieces: list[Piece]) -> Batch:
    """What casts the shadow of some pieces, as surfaces without edges."""
    points = np.concatenate([p.shade for p in pieces]).reshape(-1, 3)
    triangles = np.arange(len(points)).reshape(-1, 3)
    return Batch(colour, points, np.zeros_like(points), triangles, np.zeros((0, 2, 3)), np.zeros((0, 3, 3)))
