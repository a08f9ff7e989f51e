"""Pictures of a plan in its room, drawn off screen.

Each point that the camera sees is lit from many directions, as far as no part stands between: by the room itself,
bright in front and overhead, dimmer from walls and floor, and by a soft key light from one side. So there are soft
shadows and darker corners on any graphics driver. Nothing is random: on one machine the same plan gives the same bytes.

The picture is laid together from layers, each moved by a part of a pixel. The light of the room changes slowly over a
face, so it is worked out at half size, smoothed and enlarged face by face; points on a face too thin to be met at half
size are lit one by one.
"""

from collections.abc import Collection, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from exporters.outputs import write_whole
from exporters.pictures.arranged import PLAIN, Arranged, Wish, arranged
from exporters.pictures.dims import Drawn, Size, laid_out, main_sizes, write_sizes
from exporters.pictures.light import from_room, key_light, linear, lit
from exporters.pictures.offscreen import Bytes, Eye, Floats, Lamp, Seen, quiet_driver
from exporters.pictures.overlays import Ties, tie, visible
from exporters.pictures.room_scene import surfaces
from exporters.pictures.scene import LENS, Array, Batch, Camera, Colour, Opening, View, camera
from exporters.pictures.viewpoints import CLOSE_LENS, seen_from
from model.errors import ProjectError

if TYPE_CHECKING:
    from model.build import Build

SIZE = (1800, 1200)
SMALLEST, LARGEST, MOST_PIXELS = 16, 8000, 12_000_000
BACKGROUND: Colour = (0.975, 0.975, 0.97)
BOUNCE = 0.6
"""How much of the light that parts keep from a point they give it back themselves, coloured."""
EXPOSURE = 0.92
SHOULDER = 0.7
"""Linear brightness above which light is eased toward white."""
FADED = 0.55
"""A bare floor has faded away this far from the parts, as a share of their extent."""
SMOOTH_STEPS = (1, 2, 4)
"""Pixels of the half-size picture."""
BLOCK = 1 << 18
"""Points worked on together."""
OFF_FACE = 6.0
"""mm. A point this far off the plane of another is on another face."""


@dataclass(frozen=True)
class Quality:
    """How fine a picture is: its layers, directions of light from the room, and of the key light in each layer; size in
    pixels of the maps of how far light gets."""

    layers: int = 6
    around: int = 224
    key: int = 4
    room_map: int = 1024
    key_map: int = 2048


FINE = Quality()


def render(
    build: "Build",
    out_png: Path,
    view: View = "wall",
    size: tuple[int, int] = SIZE,
    opening: Opening = 0.0,
    apart: float = 0.0,
    hidden: Collection[str] = (),
    quality: Quality = FINE,
    wish: Wish = PLAIN,
) -> Path:
    """Draw a picture of the plan as a PNG of `size` pixels, width and height.

    Args:
        view: `wall` from the better side, `left`, `right`, `front`, or from `above`; or two angles.
        opening: how far drawers and doors stand open, 0 to 1; or shares by name of the motion; or the names open.
        apart: moves units apart, on the bare floor, by this share of their distance from the middle.
        hidden: roles of parts that are left out, such as front, to look inside.
        wish: one unit alone, parts moved apart, a side cut off, sizes, no background.

    Raises ProjectError for a unit or an opening the plan does not have, ExportError where the machine cannot draw or
    the file cannot be written.
    """
    write_whole(out_png, png(picture(build, view, size, opening, apart, hidden, quality, wish)), "the picture")
    return out_png


def picture(
    build: "Build",
    view: View = "wall",
    size: tuple[int, int] = SIZE,
    opening: Opening = 0.0,
    apart: float = 0.0,
    hidden: Collection[str] = (),
    quality: Quality = FINE,
    wish: Wish = PLAIN,
) -> Bytes:
    """The picture as sRGB bytes, height x width x 3, or 4 where its background is left out; otherwise as `render`."""
    if min(size) < SMALLEST or max(size) > LARGEST or size[0] * size[1] > MOST_PIXELS:
        raise ProjectError(
            f"a picture of {size[0]} x {size[1]} pixels: give {SMALLEST} to {LARGEST} each way and no more than "
            f"{MOST_PIXELS // 1_000_000} million in all"
        )
    scene = arranged(build, opening, apart, hidden, wish)
    eye, dims = _viewed(build, scene, view, size, wish)
    room: list[Batch] = []
    if not wish.transparent:
        points = scene.points
        room = surfaces(build, points.min(axis=0), points.max(axis=0), scene.walls, eye)
    with quiet_driver(), closing(Eye(scene.batches, room, size)) as window:
        layers = Layers(window, eye, quality.layers)
        with closing(Eye(scene.batches, room, layers.half)) as small:
            seen = small.see(eye)
        glow, thin = _glow(scene.batches, layers, seen, quality)
        shown, covered = _laid_together(scene, layers, glow, thin, quality)
        ties = visible(scene.leaders, window, eye)
        if not wish.transparent:
            return shown if not (len(ties) or dims) else _drawn_over(shown, None, ties, dims)
        return _drawn_over(shown, covered, ties, dims)


def _viewed(
    build: "Build", scene: Arranged, view: View, size: tuple[int, int], wish: Wish
) -> "tuple[Camera, list[Drawn]]":
    """The camera, and the sizes as they are drawn."""
    alone = not scene.walls or bool(wish.cut)
    if alone:
        right = wish.unit is not None or camera(build, "wall", scene.points, 1.0).forward[0] <= 0
        view = seen_from(view, wish, right)
    place = (size[0] / size[1], scene.straight, LENS if scene.walls else CLOSE_LENS)
    eye = camera(build, view, scene.points, *place)
    if not wish.dims:
        return eye, []
    sizes: list[Size] = []
    for _ in range(2):  # lines need room, and with more room about them they are drawn smaller
        sizes = main_sizes(build, scene.parts, eye, wish.unit, size)
        ends = np.array([p for s in sizes for p in s.line]).reshape(-1, 3)
        eye = camera(build, view, np.concatenate([scene.points, ends]), *place)
    return eye, laid_out(sizes, eye, size, build.plan.lengths)


def _drawn_over(shown: Bytes, covered: Floats | None, ties: Ties, dims: "list[Drawn]") -> Bytes:
    """The picture with lines and sizes over it. Where it has no background, what is drawn is found by drawing it over
    black and over white: the less the two differ, the more it covers."""
    results: list[Floats] = []
    for ground in (0.0, 1.0)[: 1 if covered is None else 2]:
        over = (shown / 255).astype(np.float32)
        if covered is not None:
            over *= covered
            over += np.float32(ground) * (1 - covered)
        tie(over, ties)
        write_sizes(over, dims)
        results.append(over)
    if covered is None:
        return np.round(results[0] * 255).astype(np.uint8)
    alpha = 1 - (results[1] - results[0]).mean(axis=2, keepdims=True)
    colour = results[0] / np.maximum(alpha, 1e-6)
    return np.round(np.clip(np.concatenate([colour, alpha], axis=2), 0, 1) * 255).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class Layers:
    """The views of one camera that a picture is laid together from."""

    window: Eye
    camera: Camera
    count: int

    @property
    def half(self) -> tuple[int, int]:
        """Half the size, rounded up."""
        return -(-self.window.size[0] // 2), -(-self.window.size[1] // 2)

    def __iter__(self) -> Iterator[tuple[Seen, tuple[float, float]]]:
        """What each layer sees, and by how many pixels it is moved to the right and up."""
        for i in range(self.count):
            shift = ((i + 0.5) / self.count - 0.5, (i * 0.618034 + 0.25) % 1.0 - 0.5)
            yield self.window.see(self.camera, shift), shift


def _glow(batches: list[Batch], layers: Layers, seen: Seen, quality: Quality) -> "tuple[Glow, list[Floats]]":
    """The light of the room at half size, and for each layer that of the points it says nothing of."""
    dark = Glow.of(seen, np.zeros_like(seen.points), layers.half)
    points, normals = [seen.points], [seen.normals]
    for view, shift in layers:
        missed = dark.at(view, layers.window.size, shift)[1]
        points.append(view.points[:, missed])
        normals.append(view.normals[:, missed])
    with closing(Lamp(batches, quality.room_map)) as lamp:
        light = lit(np.concatenate(points, axis=1), np.concatenate(normals, axis=1), from_room(quality.around), lamp)
    first, *rest = np.split(light, np.cumsum([p.shape[1] for p in points[:-1]]), axis=1)
    return Glow.of(seen, first, layers.half).smoothed(), rest


def _laid_together(
    scene: Arranged, layers: Layers, glow: "Glow", thin: list[Floats], quality: Quality
) -> tuple[Bytes, Floats]:
    """The mean of all layers, as sRGB bytes; and how much of each pixel is covered (height x width x 1).

    Where a pixel is partly covered, its colour is that of the parts with the background between.
    """
    width, height = layers.window.size
    total = np.zeros((width * height, 3), np.float32)
    covered = np.zeros(width * height, np.float32)
    plain = linear(np.array(BACKGROUND, np.float32)) / np.float32(EXPOSURE)
    key = key_light(layers.camera, layers.count * quality.key)
    with closing(Lamp(scene.batches, quality.key_map)) as lamp:
        for i, (seen, shift) in enumerate(layers):
            light, missed = glow.at(seen, (width, height), shift)
            light[:, missed] = thin[i]
            colours = linear(seen.colours.T)
            light /= 1 - BOUNCE * colours * (1 - np.minimum(light, 1.0))
            light += lit(seen.points, seen.normals, key[i :: layers.count], lamp) * np.float32(layers.count)
            light *= colours
            if not scene.walls:
                faded = _far_floor(seen, scene.points)
                light += faded * (plain[:, None] - light)
            total += plain
            total[seen.index] += light.T - plain
            covered[seen.index] += 1
    total /= layers.count
    covered /= layers.count
    return _developed(total).reshape(height, width, 3), covered.reshape(height, width, 1)


def _far_floor(seen: Seen, points: Array) -> Floats:
    """How much a bare floor has faded into the background, 0 to 1, by how far it is from the parts."""
    low, high = points.min(axis=0).astype(np.float32), points.max(axis=0).astype(np.float32)
    off = [np.maximum(np.maximum(low[i] - seen.points[i], seen.points[i] - high[i]), 0) for i in (0, 1)]
    share = np.clip(np.hypot(*off) / np.float32(FADED * np.linalg.norm(high - low)), 0, 1)
    return share * share * (3 - 2 * share) * (seen.points[2] < low[2] + 0.5) * (seen.normals[2] > 0.9)


@dataclass(frozen=True, eq=False)
class Glow:
    """The light of the room on what is seen, as pictures (3 x height x width): places, normals and light.

    Where there is nothing, places are far off.
    """

    points: Floats
    normals: Floats
    light: Floats

    @classmethod
    def of(cls, seen: Seen, light: Floats, size: tuple[int, int]) -> "Glow":
        def spread(values: Floats, empty: float) -> Floats:
            whole = np.full((3, size[0] * size[1]), empty, np.float32)
            whole[:, seen.index] = values
            return whole.reshape(3, size[1], size[0])

        return cls(spread(seen.points, 1e6), spread(seen.normals, 0.0), spread(light, 0.0))

    def smoothed(self) -> "Glow":
        """Each pixel the mean of those about it that lie on the same face, with growing steps between."""
        light = self.light
        for step in SMOOTH_STEPS:
            light = self._blurred(self._blurred(light, (0, step)), (step, 0))
        return Glow(self.points, self.normals, light)

    def _blurred(self, light: Floats, step: tuple[int, int]) -> Floats:
        """Along one direction: five pixels, a step apart."""
        total, weights = light * np.float32(0.375), np.full(light.shape[1:], 0.375, np.float32)
        for k, share in ((-2, 0.0625), (-1, 0.25), (1, 0.25), (2, 0.0625)):
            here, there = _overlap(light.shape[1:], (step[0] * k, step[1] * k))
            same = _same_face(self.points[here], self.normals[here], self.points[there], self.normals[there])
            total[here] += np.float32(share) * same * light[there]
            weights[here[1:]] += np.float32(share) * same
        return total / weights

    def at(self, seen: Seen, size: tuple[int, int], shift: tuple[float, float]) -> tuple[Floats, NDArray[np.bool_]]:
        """The light at each point seen in a picture of full size (3 x N): of the four pixels about it, those on its
        face; and where there is none."""
        light, missed = np.empty_like(seen.points), np.empty(len(seen.index), np.bool_)
        for start in range(0, len(missed), BLOCK):
            some = slice(start, start + BLOCK)
            row, column = np.divmod(seen.index[some], size[0])
            x = (column + (0.5 + shift[0])) * (self.light.shape[2] / size[0]) - 0.5
            y = (row + (0.5 - shift[1])) * (self.light.shape[1] / size[1]) - 0.5
            light[:, some], missed[some] = self._about(x, y, seen.points[:, some], seen.normals[:, some])
        return light, missed

    def _about(self, x: Array, y: Array, places: Floats, facing: Floats) -> tuple[Floats, NDArray[np.bool_]]:
        """As `at`, for points at x, y in pixels of this picture."""
        height, width = self.light.shape[1:]
        left, top = np.floor(x).astype(np.intp), np.floor(y).astype(np.intp)
        fx, fy = (x - left).astype(np.float32), (y - top).astype(np.float32)
        points, normals, light = (a.reshape(3, -1) for a in (self.points, self.normals, self.light))
        total, weights = np.zeros_like(places), np.zeros(len(x), np.float32)
        for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1)):
            there = np.clip(top + dy, 0, height - 1) * width + np.clip(left + dx, 0, width - 1)
            same = _same_face(places, facing, points[:, there], normals[:, there])
            same *= (fx if dx else 1 - fx) * (fy if dy else 1 - fy) + np.float32(0.02)
            total += same * light[:, there]
            weights += same
        missed = weights < 1e-3
        total /= np.where(missed, np.float32(1), weights)
        return total, missed


def _overlap(shape: tuple[int, ...], by: tuple[int, int]) -> "tuple[tuple[slice, ...], tuple[slice, ...]]":
    """The pixels that have a neighbour so far down and to the right, and those neighbours, in all three rows."""
    every = slice(None)
    here = tuple(slice(max(0, -d), n - max(0, d)) for n, d in zip(shape, by, strict=True))
    there = tuple(slice(max(0, d), n + min(0, d)) for n, d in zip(shape, by, strict=True))
    return (every, *here), (every, *there)


def _same_face(points: Floats, normals: Floats, others: Floats, other_normals: Floats) -> Floats:
    """1 where two points lie on one flat or gently bent face, falling to 0."""
    off = np.abs(((others - points) * normals).sum(axis=0))
    turned = np.maximum((normals * other_normals).sum(axis=0), 0)
    for _ in range(3):  # to the eighth power
        turned *= turned
    return np.maximum(1 - off / np.float32(OFF_FACE), 0) * turned


def _developed(light: Floats) -> Bytes:
    """Linear light to sRGB bytes (IEC 61966-2-1), what is bright eased toward white."""
    room = 1 - SHOULDER
    shown = np.empty(light.shape, np.uint8)
    for start in range(0, len(light), BLOCK):
        some = light[start : start + BLOCK] * np.float32(EXPOSURE)
        over = np.maximum(some - SHOULDER, 0.0)
        eased = np.minimum(some, SHOULDER) + room * (1 - np.exp(-over / room))
        coded = np.where(eased <= 0.0031308, eased * 12.92, 1.055 * np.maximum(eased, 1e-9) ** (1 / 2.4) - 0.055)
        shown[start : start + BLOCK] = np.round(np.clip(coded, 0.0, 1.0) * 255)
    return shown


def png(pixels: Bytes) -> bytes:
    """A picture (height x width x 3, or 4 with how far it covers) as a PNG."""
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkIOImage import vtkPNGWriter

    height, width, deep = pixels.shape
    image = vtkImageData()
    image.SetDimensions(width, height, 1)
    image.GetPointData().SetScalars(numpy_to_vtk(np.ascontiguousarray(pixels[::-1]).reshape(-1, deep), deep=True))
    writer = vtkPNGWriter()
    writer.SetInputData(image)
    writer.WriteToMemoryOn()
    writer.Write()
    return np.frombuffer(writer.GetResult(), np.uint8).tobytes()
