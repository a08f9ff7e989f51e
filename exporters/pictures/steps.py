"""Pictures of the steps of an assembly: what is there already steps back, what is new stands before its place."""

import math
from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.callouts import arrow, placed, write_callouts
from exporters.pictures.lettering import Place, width_of
from exporters.pictures.offscreen import Eye, Floats, quiet_driver
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
"""Pixels drawn for each pixel of the picture, each way."""
PAPER: Colour = (1.0, 1.0, 1.0)
ARROW: Colour = (0.80, 0.22, 0.10)
PALE = 0.72
"""How far the colours of what is there already are moved toward white."""
TURNS_AND_RISES = ((30, 22), (-30, 22), (30, 48), (-30, 48), (150, 24), (-150, 24), (30, -22), (-30, -22))
"""Degrees the camera may stand to the right of straight on and above the level, best first."""
LENS = 18.0
"""Degrees. A long lens, so that edges stay square to the eye."""
TRIED = (240, 160)
"""Pixels of the views that a place is chosen by."""
SEEN_ENOUGH = 0.85
"""The first place is taken that shows this much of what the best one shows."""
MOST_ARROWS = 6
LETTER = 0.028
"""Size of the letters, as a share of the height of the picture."""
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
) -> bytes:
    """A picture of one step of an assembly as PNG.

    Args:
        new: paths of the parts that go in, drawn in their colours, marked, `away` mm before their places.
        there: paths of the parts that are in already, drawn pale.
        directions: for each new part that goes in along a straight line, the unit vector (room) it moves along; it is
            drawn back along that line, with an arrow that shows where it goes. One that is left out stays in place.
        studio: the one to draw in where many pictures are drawn, quicker than a new one for each.

    Raises ProjectError for a path the plan does not have or nothing to draw, ExportError where the machine cannot draw.
    """
    if studio is not None:
        return studio.picture(new, there, directions, away)
    with Studio(build, size) as own:
        return own.picture(new, there, directions, away)


class Studio:
    """One window to draw the steps of a build in; to be used as a context."""

    def __init__(self, build: "Build", size: tuple[int, int] = SIZE) -> None:
        self.build, self.size = build, size
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
        self, new: Collection[str], there: Collection[str], directions: Mapping[str, Vec], away: float
    ) -> bytes:
        """As `step_picture`."""
        step = Step(self.build, self._parts(new), self._parts(set(there) - set(new)), directions, away)
        eye = self._camera(step)
        shown, depth = self._drawn(step, eye)
        self._pointed(shown, step, eye)
        self._marked(shown, step, eye, depth)
        return png(np.round(np.clip(shown, 0, 1) * 255).astype(np.uint8))

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
        found: list[Camera] = []
        for turn, rise in TURNS_AND_RISES:
            eye = framed(corners, straight + math.radians(turn), math.radians(rise), inner / height, LENS)
            found.append(replace(eye, half=(eye.half[0] * width / inner, eye.half[1])))
        if not step.new or not step.there:
            return found[0]
        worth = [self._worth(step, eye) for eye in found]
        return next(e for e, w in zip(found, worth, strict=True) if w >= SEEN_ENOUGH * max(worth))

    def _worth(self, step: "Step", eye: Camera) -> float:
        """How much of what is new is seen: the share of its parts, and of its area."""
        if self._small is None:
            self._small = Eye(step.coded, (), TRIED)
        if self._coded is not step:
            self._small.show(step.coded)
            self._coded = step
        codes = self._small.flat(eye, reach(eye, step.corners))[2]
        codes = codes[codes[:, 0] > 250].astype(np.int64)  # edges are darker
        _, counts = np.unique(codes[:, 1] * 256 + codes[:, 2], return_counts=True)
        return float((counts > 3).sum() / len(step.new) + min(len(codes) / (0.1 * TRIED[0] * TRIED[1]), 1.0) * 0.5)

    def _drawn(self, step: "Step", eye: Camera) -> tuple[Floats, Floats]:
        """The parts (height x width x 3), and how far ahead each fine pixel is (mm)."""
        width, height = self.size[0] * FINER, self.size[1] * FINER
        if self._eye is None:
            self._eye = Eye(step.pale or step.strong, (), (width, height))
        self._eye.show(step.pale, (), step.strong)
        depth, normals, colours = self._eye.flat(eye, reach(eye, step.corners))
        toward = axes(eye).T @ np.array((-LIGHT[0], LIGHT[1], -LIGHT[2]))
        toward /= np.linalg.norm(toward)
        facing = np.abs(normals @ (toward / 127.5).astype(np.float32) - np.float32(toward.sum()))
        light = ((DARKEST + (1 - DARKEST) * np.minimum(facing, 1)) / 255).astype(np.float32)
        shown: Floats = np.multiply(colours, light[:, None], dtype=np.float32)
        shown[~np.isfinite(depth)] = PAPER
        fine = shown.reshape(self.size[1], FINER, self.size[0], FINER, 3)
        return np.ascontiguousarray(fine.mean(axis=(1, 3), dtype=np.float32)), depth.reshape(height, width)

    def _pointed(self, shown: Floats, step: "Step", eye: Camera) -> None:
        """An arrow for each group of new parts that go in together."""
        for start, end in step.ways[:MOST_ARROWS]:
            a, b = on_picture(eye, np.array((start, end)), self.size).tolist()
            arrow(shown, (a[0], a[1]), (b[0], b[1]), ARROW, wide=max(self.size[1] / 150, 3.0))

    def _marked(self, shown: Floats, step: "Step", eye: Camera, depth: Floats) -> None:
        """The mark of each kind of new part, with a line to the one of them that is seen best."""
        words = [(text, self._spot(parts, eye, depth)) for text, parts in step.kinds]
        callouts, letter = placed(words, self.size, self._letter())
        write_callouts(shown, callouts, letter)

    def _spot(self, parts: list[Piece], eye: Camera, depth: Floats) -> Place:
        """A place in the middle of what is seen of the part that is seen best."""
        best: tuple[int, Place] = (-1, (0.0, 0.0))
        for piece in parts:
            points = _spread(piece)
            where = on_picture(eye, points, self.size)
            cells = np.clip((where * FINER).astype(int), 0, (self.size[0] * FINER - 1, self.size[1] * FINER - 1))
            seen = depth[cells[:, 1], cells[:, 0]] > ahead(eye, points) - 4
            some = where[seen] if seen.any() else where
            nearest = some[np.argmin(np.abs(some - np.median(some, axis=0)).sum(axis=1))]
            if int(seen.sum()) > best[0]:
                best = int(seen.sum()), (float(nearest[0]), float(nearest[1]))
        return best[1]


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
    ) -> None:
        self.build, self.new, self.there, self.away = build, new, there, away
        self.directions = {p.path: directions[p.path] for p in new if p.path in directions and away > 0}

    def _before(self, part: PlacedPart) -> PlacedPart:
        """A new part where it is drawn."""
        if part.path not in self.directions:
            return part
        x, y, z = (-self.away * d for d in self.directions[part.path])
        return part.moved(Placement((x, y, z)))

    @cached_property
    def pieces(self) -> dict[str, Piece]:
        return {p.path: _piece(self._before(p)) for p in self.new}

    @cached_property
    def strong(self) -> list[Batch]:
        colour = {p.path: self.build.stock.material(p.part.material).colour for p in self.new}
        return [joined(c, [self.pieces[p] for p in colour if colour[p] == c]) for c in sorted(set(colour.values()))]

    @cached_property
    def pale(self) -> list[Batch]:
        gathered: dict[Colour, list[Piece]] = {}
        for part in self.there:
            r, g, b = (c + PALE * (1 - c) for c in self.build.stock.material(part.part.material).colour)
            gathered.setdefault((r, g, b), []).append(_piece(part))
        return [joined(colour, pieces) for colour, pieces in sorted(gathered.items())]

    @cached_property
    def coded(self) -> list[Batch]:
        """Each new part in a colour of its own, the rest in black."""
        found = [joined((1.0, i // 256 / 255, i % 256 / 255), [self.pieces[p.path]]) for i, p in enumerate(self.new)]
        return [*found, joined((0.0, 0.0, 0.0), [_piece(p) for p in self.there])] if self.there else found

    @cached_property
    def corners(self) -> Array:
        """The corners of the boxes of all that is drawn, and of the new parts in place."""
        boxes = [p.bounds() for p in (*self.there, *self.new, *(self._before(p) for p in self.new))]
        return np.array([(x, y, z) for b in boxes for x in b.span("x") for y in b.span("y") for z in b.span("z")])

    @cached_property
    def kinds(self) -> list[tuple[str, list[Piece]]]:
        """The mark of each kind of new part with how many there are, and those."""
        found: dict[str, list[Piece]] = {}
        for part in self.new:
            found.setdefault(self.build.plan.marks[part.part], []).append(self.pieces[part.path])
        times = "\N{MULTIPLICATION SIGN}"
        return [(f"{len(p)} {times} {mark}" if len(p) > 1 else mark, p) for mark, p in sorted(found.items())]

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
