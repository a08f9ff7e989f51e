"""Close-up pictures of what collides, hangs loose or leaves too little room: `interference/<number>-<code>.png`.

The first part of a finding is blue, what it meets orange, what the two share red and hatched, seen through what lies
before it. What stands about is pale, and cut away before the spot. A drawer or a door is where it runs deepest into the
other; dashed blue is where it rests. A small picture of the whole plan shows where in the room it is. Any other
finding that has parts or a place can be drawn in the same way.
"""

import sys
from contextlib import ExitStack, closing, nullcontext
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from exporters.pictures.arranged import parts_by_colour
from exporters.pictures.closeup_view import Shown, ahead_of, best_camera, reach, shown, split
from exporters.pictures.closeup_words import Sight, caption, labelled, set_in
from exporters.pictures.lettering import ring
from exporters.pictures.offscreen import NO_GRAPHICS, Eye, Floats, Seen, quiet_driver
from exporters.pictures.room_scene import surfaces
from exporters.pictures.scene import Batch, Camera, axes, camera
from exporters.pictures.viewpoints import on_picture
from exporters.spots import FIRST, SHARED, Colour, Spot, numbered, spot_of
from model.checks.interference import interference_of
from model.errors import ExportError
from model.findings import Finding

if TYPE_CHECKING:
    from model.build import Build

OF_PLACE = frozenset(
    {
        "too-tight", "too-loose", "not-both-open", "hits-room", "in-the-way", "past-wall", "too-high", "window-blocked",
        "door-leaf", "doorway",
    }
)  # fmt: skip
"""Codes of what lies, stands or comes where it should not: a picture shows it."""
MOST = 40
"""Pictures of one build: more of the same says no more."""
VIEW = (1200, 760)
"""Pixels of the picture above its caption."""
INSET = (320, 214)
LAYERS = ((-0.33, 0.0), (0.0, -0.33), (0.33, 0.33))
"""By how many pixels each layer of a picture is moved: their mean has smooth edges."""
BACKGROUND: Colour = (0.985, 0.985, 0.98)
LIGHT = (0.35, 0.25, 0.9)
"""Where the light comes from: right, up and back of the camera, as shares."""
DARKEST = 0.72
"""A face away from the light has this much of its colour."""
GHOST = 0.09
"""How much of what stands before the spot is seen: its faces; its edges five times that."""
THROUGH = 0.12
"""How much of the hidden part of a pair shows through the other."""
RED = 0.88
"""How much what two parts share covers what lies before it."""
HATCH = 9
"""Pixels from one line of the hatching to the next."""
INSET_RING = 15.0
FAR_AND_NEAR = (100.0, 60_000.0)
"""mm. What the small picture shows."""
DASH = 8
"""Pixels of a dash of what rests elsewhere."""


def write(build: "Build", out: Path) -> list[Path]:
    """Write the pictures below `out`, up to MOST; none, with a line that says so, where the machine cannot draw."""
    findings = pictured(build)
    if not findings:
        return []
    folder = out / "interference"
    book = Closeups(build)
    written: list[Path] = []
    try:
        for number, finding in list(numbered(findings))[:MOST]:
            path = folder / f"{number}-{finding.code}.png"
            book.draw(finding, path, number)
            written.append(path)
    except ExportError as error:
        if str(error) != NO_GRAPHICS:
            raise
        print(f"close-ups left out: {error}", file=sys.stderr)
        return []
    if len(findings) > MOST:
        print(f"close-ups of the first {MOST} of {len(findings)} findings", file=sys.stderr)
    return written


def pictured(build: "Build") -> tuple[Finding, ...]:
    """What is drawn: all that interferes, numbered as in its report, then every other trouble of place."""
    from model.checks import run

    first = interference_of(build.plan)
    told = set(first)
    rest = (f for f in run(build) if f.code in OF_PLACE and any(p in build.plan.by_path for p in f.parts))
    return (*first, *(f for f in rest if f not in told))


def closeup(build: "Build", finding: Finding, path: Path) -> Path:
    """Draw a finding that has parts or a place as a PNG.

    Raises ExportError where it has neither, where the machine cannot draw or the file cannot be written.
    """
    Closeups(build).draw(finding, path)
    return path


@dataclass(frozen=True, eq=False)
class Closeups:
    """The close-ups of a build; what they share is made once."""

    build: "Build"

    def draw(self, finding: Finding, path: Path, number: str = "") -> None:
        """As `closeup`; `number` is that of the finding in its report."""
        from exporters.outputs import write_whole
        from exporters.pictures.render import png

        with quiet_driver():
            picture = self.picture(finding, number)
        write_whole(path, png(np.round(np.clip(picture, 0, 1) * 255).astype(np.uint8)), "the picture")

    def picture(self, finding: Finding, number: str = "") -> Floats:
        """The picture with its caption, height x width x 3."""
        spot = spot_of(self.build.plan, finding)
        if not spot.parts and finding.at is None:
            raise ExportError(f"{finding.code}: no picture, the finding has no part and no place")
        scene = shown(self.build, finding, spot)
        eye = best_camera(scene, VIEW[0] / VIEW[1], self._straight(spot))
        view, layers = _layers(scene, eye)
        depths = {name: layer.depth.reshape(VIEW[1], VIEW[0]) for name, layer in layers.items()}
        labelled(view, self.build.plan, finding, spot, Sight(scene, eye, depths))
        set_in(view, self._inset(scene))
        return np.concatenate([view, caption(self.build, finding, scene.target, number, VIEW[0])])

    def _straight(self, spot: Spot) -> float:
        """The way straight into the wall that the first part stands at, as an angle from +y to the left."""
        unit = spot.parts[0].path.split("/")[0] if spot.parts else ""
        wall = next((w for w in self.build.walls if w.name == self.build.stands_at.get(unit)), None)
        if wall is None:
            return 0.0
        x, y, _ = wall.frame.turn((0.0, 1.0, 0.0))
        return float(np.arctan2(-x, y))

    @cached_property
    def _whole(self) -> "Whole":
        batches = [_pale(b) for b in parts_by_colour(self.build)]
        points = np.concatenate([b.points for b in batches])
        eye = camera(self.build, "wall", points, INSET[0] / INSET[1])
        room = [_pale(b) for b in surfaces(self.build, points.min(axis=0), points.max(axis=0), True, eye)]
        with closing(Eye(batches, room, INSET)) as window:
            return Whole(eye, [_Layer.of(window.see(eye, shift), eye, INSET) for shift in LAYERS])

    def _inset(self, scene: Shown) -> Floats:
        """The whole plan, small, with the parts in their colours and a ring about the spot."""
        whole = self._whole
        pair = [*scene.first, *scene.others]
        total = np.zeros((INSET[1], INSET[0], 3), np.float32)
        nothing = _Layer.empty(INSET)
        with closing(Eye(pair, (), INSET)) if pair else nullcontext() as window:
            for shift, behind in zip(LAYERS, whole.layers, strict=True):
                layer = nothing
                if window:
                    layer = _Layer.of(window.see(whole.camera, shift, FAR_AND_NEAR), whole.camera, INSET)
                total += np.where(layer.there[:, None], layer.colours, behind.colours).reshape(total.shape)
        total /= len(LAYERS)
        (place,) = on_picture(whole.camera, np.array([scene.target]), INSET)
        ring(total, tuple(place.tolist()), INSET_RING, SHARED)
        return total


@dataclass(frozen=True, eq=False)
class Whole:
    """The whole plan as the small picture shows it: its camera, and the layers without any pair."""

    camera: Camera
    layers: "list[_Layer]"


@dataclass(frozen=True, eq=False)
class _Layer:
    """What a window shows, pixel by pixel from the upper left: colours with their shading (N x 3), how far ahead (mm,
    endless where there is nothing) and where edges are."""

    colours: Floats
    depth: Floats
    edges: NDArray[np.bool_]

    @property
    def there(self) -> NDArray[np.bool_]:
        return np.isfinite(self.depth)

    @classmethod
    def empty(cls, size: tuple[int, int]) -> "_Layer":
        count = size[0] * size[1]
        background = np.tile(np.array(BACKGROUND, np.float32), (count, 1))
        return cls(background, np.full(count, np.inf, np.float32), np.zeros(count, np.bool_))

    @classmethod
    def of(cls, seen: Seen, eye: Camera, size: tuple[int, int]) -> "_Layer":
        layer = cls.empty(size)
        toward = axes(eye).T @ np.array((LIGHT[0], LIGHT[1], -LIGHT[2]))
        toward /= np.linalg.norm(toward)
        lit = np.abs(toward.astype(np.float32) @ seen.normals)
        layer.colours[seen.index] = seen.colours * (DARKEST + (1 - DARKEST) * lit)[:, None]
        layer.depth[seen.index] = ahead_of(eye, seen.points)
        if len(seen.index):
            # every layer but that of the whole plan is of one colour, and its edges are darker
            channel = seen.colours[:, int(seen.colours[0].argmax())]
            layer.edges[seen.index] = channel < 0.75 * channel.max()
        return layer


def _pale(batch: Batch) -> Batch:
    """A batch in a colour that steps back."""
    r, g, b = (0.45 * c + 0.55 for c in batch.colour)
    return replace(batch, colour=(r, g, b))


def _layers(scene: Shown, eye: Camera) -> tuple[Floats, dict[str, _Layer]]:
    """The picture without words, and what its last layer is made of."""
    groups = {n: getattr(scene, n) for n in ("first", "others", "shared", "rest")}
    groups["before"], groups["about"] = split(scene, eye)
    layers = {n: _Layer.empty(VIEW) for n in groups}
    total = np.zeros((VIEW[0] * VIEW[1], 3), np.float32)
    with ExitStack() as windows:
        open_windows = {n: windows.enter_context(closing(Eye(g, (), VIEW))) for n, g in groups.items() if g}
        for shift in LAYERS:
            for name, window in open_windows.items():
                layers[name] = _Layer.of(window.see(eye, shift, reach(scene)), eye, VIEW)
            total += _laid(**layers)
    total /= len(LAYERS)
    return total.reshape(VIEW[1], VIEW[0], 3), layers


def _laid(first: _Layer, others: _Layer, shared: _Layer, rest: _Layer, before: _Layer, about: _Layer) -> Floats:
    """One layer of the picture: the parts and what stands about, what stands before them as a ghost, and through all of
    it what they share."""
    picture = about.colours.copy()
    pair = first.there | others.there
    nearer = (first.depth <= others.depth)[:, None]
    front = np.where(nearer, first.colours, others.colours)
    behind = np.where(nearer, others.colours, first.colours)
    both = first.there & others.there
    front[both] += THROUGH * (behind[both] - front[both])
    pair &= np.minimum(first.depth, others.depth) < about.depth + 1
    picture[pair] = front[pair]
    ghost = np.where(before.edges, 5 * GHOST, GHOST)[before.there, None].astype(np.float32)
    picture[before.there] += ghost * (before.colours[before.there] - picture[before.there])
    across = np.arange(VIEW[0])[None] + np.arange(VIEW[1])[:, None]
    hatched = (across % HATCH < 2).ravel()
    red = np.where((hatched | shared.edges)[:, None], shared.colours * np.float32(0.55), shared.colours)
    there = shared.there
    picture[there] += np.float32(RED) * (red[there] - picture[there])
    lines = rest.edges.reshape(VIEW[1], VIEW[0])
    lines = lines | np.roll(lines, 1, 0) | np.roll(lines, 1, 1)
    dashed = (lines & (across // DASH % 2 == 0)).ravel()
    picture[dashed] = np.array(FIRST, np.float32) * np.float32(0.8)
    return picture
