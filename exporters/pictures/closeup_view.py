"""What a close-up shows: the pair, what the two share, what stands about, and the place to look from."""

import itertools
import math
from contextlib import closing
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.offscreen import Eye, Floats
from exporters.pictures.scene import Array, Batch, Camera, Colour, Piece, at_place, drawn, joined, surface
from exporters.pictures.viewpoints import on_picture
from exporters.spots import FIRST, SECOND, SHARED, Spot
from model.findings import Finding
from model.meshes import arrays, mesh, moved
from model.part import PlacedPart
from model.shapes import Vec

if TYPE_CHECKING:
    from model.build import Build

ABOUT: Colour = (0.88, 0.88, 0.87)
"""Of what stands about."""
LENS = math.tan(math.radians(9.0))
"""Half the view upward, as a tangent: a long lens, so that edges stay square to the eye."""
CLOSEST, WIDEST = 45.0, 900.0
"""mm. The least and the most of half the height of a view."""
TURNS = (-32.0, 32.0, -58.0, 58.0)
RISES = (24.0, 42.0, 8.0, -24.0)
"""Degrees the camera may stand to the right of straight on, and above the level, best first."""
TRIED = (160, 107)
"""Pixels of the views that a place is chosen by."""
PEELED = 12
"""At most so many times what stands before the pair is taken off, the nearest first."""
GAP_COUNTS = 4.0
"""A gap must be seen from its side, more than anything else."""
KNOWN_BY = 0.2
"""A part is known for what it is where half the height of the view is this much of its length."""
SEEN_ENOUGH = 0.04
"""A part that fills this share of the view is seen well."""


@dataclass(frozen=True, eq=False)
class Shown:
    """What is drawn: batches of the first part, of the others, of what the two share and of the first at rest; and what
    stands about, piece by piece.

    `target` is the middle of the view and `half` half its height, mm; `gap` the two ends of a gap (2 x 3, mm).
    """

    first: list[Batch]
    others: list[Batch]
    shared: list[Batch]
    rest: list[Batch]
    about: list[Piece]
    target: Vec
    half: float
    gap: Array | None = None


def shown(build: "Build", finding: Finding, spot: Spot) -> Shown:
    """All of a finding that is drawn."""
    parts = spot.parts
    common = _common(parts)
    gap = nearest(parts[0], parts[1]) if finding.code == "loose" else None
    middle, half = _framed(parts, finding, common, gap)
    there = build.plan.by_path
    return Shown(
        first=_batches(FIRST, [_piece(p) for p in parts[:1]]),
        others=_batches(SECOND, [_piece(p) for p in parts[1:]]),
        shared=_batches(SHARED, [common] if common else []),
        rest=_batches(FIRST, [_piece(there[parts[0].path])] if parts and parts[0].path in spot.moved else []),
        about=_about(build, spot, middle, half),
        target=middle,
        half=half,
        gap=gap,
    )


def _batches(colour: Colour, pieces: list[Piece]) -> list[Batch]:
    return [joined(colour, pieces)] if pieces else []


def _piece(placed: PlacedPart) -> Piece:
    return at_place(drawn(placed.part), placed.placement)


def _common(parts: tuple[PlacedPart, ...]) -> Piece | None:
    """What the first two parts share."""
    if len(parts) < 2:
        return None
    first, second = (moved(mesh(p.part), p.placement) for p in parts[:2])
    common = first ^ second
    # a film where faces touch is none
    if common.is_empty() or common.volume() < 1.0:
        return None
    points, triangles = arrays(common)
    return surface(points, triangles, points[triangles])


def _framed(
    parts: tuple[PlacedPart, ...], finding: Finding, common: Piece | None, gap: Array | None
) -> tuple[Vec, float]:
    """The middle of the view and half its height, mm: the trouble fills it well, and its parts are known."""
    if gap is not None:
        middle, reach = gap.mean(axis=0), 8 * float(np.linalg.norm(gap[1] - gap[0]))
    elif common is not None:
        low, high = common.points.min(axis=0), common.points.max(axis=0)
        middle, reach = (low + high) / 2, 0.85 * float(np.linalg.norm(high - low))
    elif finding.code == "not-both-open" and finding.at is not None:
        middle, reach = np.array(finding.at), WIDEST / 2
    elif parts:
        boxes = [p.bounds() for p in parts]
        low, high = np.min([b.lo for b in boxes], axis=0), np.max([b.hi for b in boxes], axis=0)
        middle, reach = (low + high) / 2, 0.75 * float(np.linalg.norm(high - low))
        if reach > WIDEST and finding.at is not None:
            middle = np.array(finding.at)
    else:
        middle, reach = np.array(finding.at), WIDEST
    if gap is None:
        reach = max(reach, KNOWN_BY * min((max(p.part.size) for p in parts), default=0.0))
    x, y, z = np.round(middle, 3).tolist()
    return (x, y, z), min(max(reach, CLOSEST), WIDEST)


def _about(build: "Build", spot: Spot, middle: Vec, half: float) -> list[Piece]:
    """What stands about, as far as the view reaches, what came along moved with the part that moves."""
    pair = {p.path for p in spot.parts}
    found: list[Piece] = []
    for placed in build.plan.walk():
        if placed.path in pair:
            continue
        there = placed.moved(spot.moved[placed.path]) if placed.path in spot.moved else placed
        box = there.bounds()
        off = [max(lo - m, m - hi, 0.0) for lo, m, hi in zip(box.lo, middle, box.hi, strict=True)]
        if math.hypot(*off) < 4 * half:
            found.append(_piece(there))
    return found


def nearest(a: PlacedPart, b: PlacedPart) -> Array:
    """A point of each part where the two come nearest (2 x 3, mm), their bores left out.

    Of meshes that do not touch these are a corner and a place on a triangle, or places on two edges. Of ways as short
    as each other (two parallel faces have many) it is the foremost.
    """
    first, second = _piece(a).shade, _piece(b).shade
    ways = np.concatenate(
        [
            _corner_to_face(first.reshape(-1, 3), second),
            _corner_to_face(second.reshape(-1, 3), first)[:, ::-1],
            _side_to_side(_sides(first), _sides(second)),
        ]
    )
    length = np.round(np.linalg.norm(ways[:, 0] - ways[:, 1], axis=1), 2)
    return ways[np.lexsort((*ways[:, 0].T.round(3)[[2, 0, 1]], length))[0]]


def _sides(triangles: Array) -> Array:
    """The sides of triangles (S x 2 x 3), each once."""
    sides = triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2, 3).round(6)
    ordered = np.array([sorted(side) for side in sides.tolist()])
    return np.unique(ordered, axis=0)


def _corner_to_face(corners: Array, triangles: Array) -> Array:
    """Each corner and its foot on each triangle it stands over (K x 2 x 3)."""
    corners = np.unique(corners.round(6), axis=0)
    origin, u, v = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    square = np.cross(u, v)
    size = np.maximum((square * square).sum(axis=1), 1e-12)
    away = corners[:, None] - origin
    s = (np.cross(away, v) * square).sum(axis=2) / size
    t = (np.cross(u, away) * square).sum(axis=2) / size
    i, j = np.nonzero((s >= 0) & (t >= 0) & (s + t <= 1))
    foot = origin[j] + s[i, j, None] * u[j] + t[i, j, None] * v[j]
    return np.stack((corners[i], foot), axis=1)


def _side_to_side(first: Array, second: Array) -> Array:
    """The nearest points of each two segments (K x 2 x 3)."""
    p, q = np.repeat(first, len(second), axis=0), np.tile(second, (len(first), 1, 1))
    d, e, r = p[:, 1] - p[:, 0], q[:, 1] - q[:, 0], p[:, 0] - q[:, 0]
    a, b, c = (d * d).sum(axis=1), (d * e).sum(axis=1), (e * e).sum(axis=1)
    f, g = (d * r).sum(axis=1), (e * r).sum(axis=1)
    across = a * c - b * b
    s = np.clip(np.where(across > 1e-9, (b * g - c * f) / np.maximum(across, 1e-9), 0.0), 0, 1)
    t = np.clip((b * s + g) / np.maximum(c, 1e-12), 0, 1)
    s = np.clip((b * t - f) / np.maximum(a, 1e-12), 0, 1)
    return np.stack((p[:, 0] + s[:, None] * d, q[:, 0] + t[:, None] * e), axis=1)


# Where to look from


def best_camera(scene: Shown, aspect: float, straight: float) -> Camera:
    """Of the places a camera may stand, the first from which the trouble and both parts are seen best.

    `straight` is the way straight into the wall, as an angle from the room's +y to the left (radians).
    """
    cameras = [
        looking(scene.target, scene.half, straight + math.radians(turn), math.radians(rise), aspect)
        for rise, turn in itertools.product(RISES, TURNS)
    ]
    layers = [scene.first, scene.others, scene.shared, _batches(ABOUT, scene.about)]
    eyes = [Eye(batches, (), TRIED) if batches else None for batches in layers]
    views = []
    for camera in cameras:
        seen, well = _worth(*(_distances(eye, camera, reach(scene)) for eye in eyes))
        if scene.gap is not None:
            a, b = on_picture(camera, scene.gap, TRIED)
            seen = math.hypot(*(a - b))
        views.append((seen, well))
    for eye in eyes:
        if eye:
            eye.close()
    most = max(*(view[0] for view in views), 1.0)
    weight = 1.0 if scene.gap is None else GAP_COUNTS
    # small differences do not count: the first place is the one people know the room from
    return cameras[max(range(len(views)), key=lambda i: (round(weight * views[i][0] / most + views[i][1], 1), -i))]


def _worth(first: Floats, others: Floats, shared: Floats, about: Floats) -> tuple[float, float]:
    """How much of what is shared is seen (pixels), and how well both parts are, from 0 to 1.3."""
    clear = about > np.minimum(np.minimum(first, others), shared) - 1
    open_to_view = [float(((d <= o) & clear & np.isfinite(d)).mean()) for d, o in ((first, others), (others, first))]
    there = [bool(np.isfinite(d).any()) for d in (first, others)]
    least = min((share for share, is_there in zip(open_to_view, there, strict=True) if is_there), default=0.0)
    seen = np.isfinite(shared)
    free = float(clear[seen].mean()) if seen.any() else 1.0
    return float(seen.sum()), min(least / SEEN_ENOUGH, 1.0) + 0.3 * free


def _distances(eye: Eye | None, camera: Camera, ahead: tuple[float, float]) -> Floats:
    """How far ahead each pixel is (mm), endless where there is nothing."""
    return np.full(TRIED[0] * TRIED[1], np.inf, np.float32) if eye is None else eye.distances(camera, ahead)


def ahead_of(camera: Camera, points: Floats) -> Floats:
    """How far ahead of the camera points are (3 x N), mm."""
    forward = np.array(camera.forward, np.float32)
    return forward @ points - np.float32(np.dot(camera.forward, camera.at))


def reach(scene: Shown) -> tuple[float, float]:
    """From where to where things are drawn, mm ahead."""
    distance = scene.half / LENS
    return distance * 0.2, distance + 6000.0


def split(scene: Shown, camera: Camera) -> tuple[list[Batch], list[Batch]]:
    """What stands about in two: what stands before the parts of the finding, whole pieces of it, and the rest.

    Pieces are told apart by their colours: what is seen before the parts is taken off until nothing is.
    """
    pair = [*scene.first, *scene.others]
    before: set[int] = set()
    if not pair or not scene.about:
        return [], _batches(ABOUT, scene.about)
    with closing(Eye(pair, (), TRIED)) as window:
        depth = _distances(window, camera, reach(scene))
    for _ in range(PEELED):
        left = [i for i in range(len(scene.about)) if i not in before]
        if not left:
            break
        named = [joined((1.0, i // 256 / 255, i % 256 / 255), [scene.about[i]]) for i in left]
        with closing(Eye(named, (), TRIED)) as window:
            seen = window.see(camera, reach=reach(scene))
        hides = ahead_of(camera, seen.points) < depth[seen.index] - 1
        hides &= np.isfinite(depth[seen.index]) & (seen.colours[:, 0] > 0.9)  # edges are darker
        codes = np.unique(np.rint(seen.colours[hides, 1:] * 255), axis=0).astype(int)
        found = {int(high * 256 + low) for high, low in codes}
        if not found:
            break
        before |= found
    parts = [[p for i, p in enumerate(scene.about) if (i in before) is which] for which in (True, False)]
    return _batches(ABOUT, parts[0]), _batches(ABOUT, parts[1])


def looking(target: Vec, half: float, turn: float, rise: float, aspect: float) -> Camera:
    """A camera that has a place in the middle of its view, `half` mm to the upper edge of it."""
    back = (math.sin(turn) * math.cos(rise), -math.cos(turn) * math.cos(rise), math.sin(rise))
    distance = half / LENS
    x, y, z = (t + distance * b for t, b in zip(target, back, strict=True))
    return Camera((x, y, z), (-back[0], -back[1], -back[2]), (LENS * aspect, LENS), (0.0, 0.0))
