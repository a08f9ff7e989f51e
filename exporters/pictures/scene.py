"""A plan as a picture needs it: parts opened and moved apart, gathered by colour, the room's surfaces, the camera."""

import math
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from model.collision.motion import swung
from model.cuts import Bore
from model.errors import ProjectError
from model.meshes import arrays, mesh
from model.part import Motion, Part
from model.placement import Placement
from model.plan import Plan
from model.shapes import Vec

if TYPE_CHECKING:
    from model.build import Build, RoomWall

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Colour = tuple[float, float, float]
"""sRGB, each 0 to 1."""
Span = tuple[float, float]
View = Literal["wall", "left", "right", "front", "above"] | tuple[float, float]
"""Where a picture is taken from, by name, or degrees to the right of straight on and above the level."""
Opening = float | Mapping[str, float] | Collection[str]
"""How far what moves is opened, 0 to 1: one share for all, one for each motion by name, or names of what is open."""

AZIMUTH: dict[str, tuple[float, ...]] = {
    "wall": (24.0, -24.0, 0.0),
    "left": (-24.0,),
    "right": (24.0,),
    "front": (0.0,),
    "above": (24.0, -24.0, 0.0),
}
"""Degrees the camera may stand to the right of straight on, best first."""
PITCH = 34.0
"""Degrees the view from above looks down."""
LENS = 30.0
"""Field of view along the shorter side, degrees: long enough that boxes at the ends stay square to the eye."""
EYE = 1600.0
"""mm. Eye height of a person standing in shoes, between the means of women and men (from memory)."""
MARGIN = 1.08
"""How much wider the picture is than what it shows."""
FRAMED_TO = 1.0
"""mm. How finely the camera looks at what it frames."""
FAN = (0.1, 0.75)
"""Where everything is shown open: next to nothing, and how far the lowest stands open."""
CREASE = math.cos(math.radians(30.0))
"""Faces that meet at more than 30 degrees are shaded apart, and a line is drawn where they meet."""
FINEST = 1000.0
"""Triangles at one corner whose normals agree to one part in this many are one face."""
FLOOR: Colour = (0.80, 0.765, 0.72)
WALL: Colour = (0.93, 0.925, 0.91)
AT_REST = Placement()


@dataclass(frozen=True, eq=False)
class Batch:
    """Surfaces of one colour: corners (N x 3, mm), normals (N x 3), triangles (M x 3), edges (K x 2 x 3, mm).

    `shade` is what casts the shadow: the triangles (S x 3 x 3, mm) of the same parts without their bores.
    """

    colour: Colour
    points: Array
    normals: Array
    triangles: Indices
    edges: Array
    shade: Array


@dataclass(frozen=True, eq=False)
class Piece:
    """One part of a batch, its arrays as there."""

    points: Array
    normals: Array
    triangles: Indices
    edges: Array
    shade: Array


@dataclass(frozen=True)
class Camera:
    """Where the picture is taken from (mm), which way it looks, and the picture plane: half sizes and middle, as
    tangents of the angle from the line of sight."""

    at: Vec
    forward: Vec
    half: tuple[float, float]
    middle: tuple[float, float]


def posed(plan: Plan, opening: Opening = 0.0) -> dict[str, Placement]:
    """Where each part of an opened plan goes from where it rests, by path; what stays is left out.

    Raises ProjectError for a share outside 0 to 1 or a motion the plan does not have.
    """
    shares = _shares(plan, opening)
    moves: dict[str, Placement] = {}
    # what rides on something else opens first: the inner motion has the fewer parts
    for motion in sorted(plan.motions, key=lambda m: (len(m.parts), m.name)):
        if share := shares.get(motion.name, 0.0):
            move = _moved(motion, share)
            for path in motion.parts:
                moves[path] = move.compose(moves.get(path, AT_REST))
    return moves


def _shares(plan: Plan, opening: Opening) -> dict[str, float]:
    names = [m.name for m in plan.motions]
    if isinstance(opening, Mapping):
        shares = {name: float(share) for name, share in opening.items()}
    elif isinstance(opening, float | int):
        shares = dict.fromkeys(names, float(opening))
        if not 0 <= opening <= 1:
            raise ProjectError(f"nothing can be opened by {opening}: give a share from 0 to 1")
    else:
        shares = dict.fromkeys(opening, 1.0)
    for name, share in sorted(shares.items()):
        if name not in names:
            raise ProjectError(f"nothing that opens is called {name!r}; there is {', '.join(names) or 'nothing'}")
        if not 0 <= share <= 1:
            raise ProjectError(f"{name} cannot be opened by {share}: give a share from 0 to 1")
    return shares


def _moved(motion: Motion, share: float) -> Placement:
    if motion.kind == "swing":
        return swung(motion, motion.travel * share)
    x, y, z = (d * motion.travel * share for d in motion.direction)
    return Placement((x, y, z))


def fanned(plan: Plan) -> dict[str, float]:
    """An opening that shows every inside: in each unit the lower of what moves stands open farther.

    What turns down about a level axis (a bed, its legs) comes all the way: it is shown in use.
    """
    shares: dict[str, float] = {}
    for unit in plan.units:
        heights = {m.name: max(plan.by_path[path].bounds().hi[2] for path in m.parts) for m in unit.motions}
        levels = sorted(set(heights.values()), reverse=True)
        for name, height in heights.items():
            shares[name] = FAN[0] + (FAN[1] - FAN[0]) * (levels.index(height) + 1) / len(levels)
        shares |= {m.name: 1.0 for m in unit.motions if m.kind == "swing" and abs(m.direction[2]) < 0.5}
    return shares


def spread(plan: Plan, share: float) -> dict[str, Placement]:
    """How far each unit, by name, moves from the middle of the plan's floor so that units stand apart.

    `share` is the part by which their distances grow: 0.5 puts a unit half as far again from the middle.
    """
    if not share:
        return {}
    boxes = {u.name: [p.bounds() for p in u.parts] for u in plan.units if u.parts}
    lows = {name: np.min([b.lo for b in found], axis=0) for name, found in boxes.items()}
    highs = {name: np.max([b.hi for b in found], axis=0) for name, found in boxes.items()}
    low, high = np.min(list(lows.values()), axis=0), np.max(list(highs.values()), axis=0)
    moves: dict[str, Placement] = {}
    for name in boxes:
        away = (lows[name] + highs[name] - low - high) / 2
        away[2] = lows[name][2] - low[2]
        x, y, z = (away * share).tolist()
        moves[name] = Placement((x, y, z))
    return moves


def at_place(piece: Piece, at: Placement) -> Piece:
    """A piece turned and moved."""
    turn, origin = np.array(at.rotation), np.array(at.origin)
    points, edges, shade = (a @ turn.T + origin for a in (piece.points, piece.edges, piece.shade))
    return Piece(points, piece.normals @ turn.T, piece.triangles, edges, shade)


def joined(colour: Colour, pieces: list[Piece]) -> Batch:
    """Pieces of one colour in one."""
    starts = np.cumsum([0, *(len(p.points) for p in pieces[:-1])])
    return Batch(
        colour,
        np.concatenate([p.points for p in pieces]),
        np.concatenate([p.normals for p in pieces]),
        np.concatenate([p.triangles + start for p, start in zip(pieces, starts, strict=True)]),
        np.concatenate([p.edges for p in pieces]),
        np.concatenate([p.shade for p in pieces]),
    )


@cache
def drawn(part: Part) -> Piece:
    """A part in its own frame as it is drawn."""
    plain = replace(part, cuts=tuple(c for c in part.cuts if not isinstance(c, Bore)))
    points, triangles = arrays(mesh(plain))
    return surface(*arrays(mesh(part)), points[triangles])


def surface(points: Array, triangles: Indices, shade: Array) -> Piece:
    """A closed mesh as it is drawn; corners are doubled where faces meet sharply."""
    corners = points[triangles]
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    faces = square / np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-12)
    normals = _smoothed(triangles, faces)
    edges = points[_creases(triangles, faces)]
    each = np.arange(3 * len(triangles)).reshape(-1, 3)
    return Piece(corners.reshape(-1, 3), normals, each, edges, shade)


def _smoothed(triangles: Indices, faces: Array) -> Array:
    """A normal for each corner of each triangle: the mean of the faces round that corner that bend little from its own.

    Triangles of one flat face count once.
    """
    owner = np.repeat(np.arange(len(triangles)), 3)
    keys = np.column_stack((triangles.ravel(), np.rint(faces[owner] * FINEST)))
    groups, member = np.unique(keys, axis=0, return_inverse=True)
    corner, facing = groups[:, 0], groups[:, 1:] / FINEST
    mean = facing.copy()
    for step in range(1, int(np.unique(corner, return_counts=True)[1].max())):
        a, b = np.arange(len(corner) - step), np.arange(step, len(corner))
        near = (corner[a] == corner[b]) & (np.sum(facing[a] * facing[b], axis=1) > CREASE)
        mean[a[near]] += facing[b[near]]
        mean[b[near]] += facing[a[near]]
    return (mean / np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12))[member]


def _creases(triangles: Indices, faces: Array) -> Indices:
    """The edges, as pairs of corners, where two faces of a closed mesh meet sharply."""
    sides = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    owner = np.repeat(np.arange(len(triangles)), 3)
    ordered = np.sort(sides, axis=1)
    order = np.lexsort((ordered[:, 1], ordered[:, 0]))
    pairs, owners = ordered[order].reshape(-1, 2, 2), owner[order].reshape(-1, 2)
    sharp = np.sum(faces[owners[:, 0]] * faces[owners[:, 1]], axis=1) < CREASE
    return pairs[sharp, 0]


def camera(
    build: "Build", view: View, points: Array, aspect: float, straight: float = 0.0, lens: float = LENS
) -> Camera:
    """The camera that shows all `points` (N x 3): of the places a view allows, the first that sees the
    fronts of most units, and two walls rather than one.

    `aspect` is the width of the picture over its height; `straight` is what straight on means, in radians from the
    room's +y to the left; `lens` the field of view along the shorter side, degrees.
    """
    corners = np.unique(np.round(points / FRAMED_TO), axis=0) * FRAMED_TO
    turns, rise = (view[:1], view[1]) if isinstance(view, tuple) else (AZIMUTH[view], PITCH * (view == "above"))
    found = [framed(corners, straight + math.radians(turn), math.radians(rise), aspect, lens) for turn in turns]
    standing = Counter(build.stands_at.values())

    def seen(eye: Camera) -> tuple[int, int]:
        walls = [w for w in build.walls if in_front(eye, w)]
        return sum(standing[w.name] for w in walls), min(len(walls), 2)

    return max(found, key=seen)


def in_front(camera: Camera, wall: "RoomWall") -> bool:
    """Whether the camera is on the room's side of a wall."""
    return wall.frame.inverse().apply(camera.at)[1] < 0


def axes(camera: Camera) -> Array:
    """Right, up and forward of the camera, as rows."""
    forward = np.array(camera.forward)
    right = np.cross(forward, (0.0, 0.0, 1.0))
    right /= np.linalg.norm(right)
    return np.array((right, np.cross(right, forward), forward))


def framed(corners: Array, azimuth: float, pitch: float, aspect: float, lens: float = LENS) -> Camera:
    """The nearest camera in a direction that has all corners in its lens; a level one is shifted, not tilted.

    The angles of the direction are radians, that of the lens degrees.
    """
    tilted = abs(pitch) > 1e-9
    back = (math.sin(azimuth) * math.cos(pitch), -math.cos(azimuth) * math.cos(pitch), math.sin(pitch))
    forward = (-back[0], -back[1], -back[2])
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    half = math.tan(math.radians(lens / 2))
    wide, high = half * max(aspect, 1.0), half / min(aspect, 1.0)
    frame = axes(Camera((0.0, 0.0, 0.0), forward, (1.0, 1.0), (0.0, 0.0)))
    turned = corners @ frame.T
    near, far = 0.0, 1e6
    while far - near > 1.0:
        distance = (near + far) / 2
        found = _shifted(turned, frame, middle, back, distance, tilted)
        fits = found is not None and found.half[0] * MARGIN <= wide and found.half[1] * MARGIN <= high
        near, far = (near, distance) if fits else (distance, far)
    found = _shifted(turned, frame, middle, back, math.ceil(far), tilted)
    assert found is not None  # far enough away everything lies ahead
    return Camera(found.at, forward, (wide, high), found.middle)


def _shifted(turned: Array, frame: Array, middle: Array, back: Vec, distance: float, tilted: bool) -> Camera | None:
    """A camera at a distance with the picture plane just round the corners; None where one is not ahead of it.

    `turned` are the corners (N x 3) along the axes of the camera, which are `frame`.
    """
    x, y, z = (middle + distance * np.array(back)).tolist()
    at = (x, y, z if tilted else EYE)
    seen = turned - frame @ np.array(at)
    if seen[:, 2].min() < 1.0:
        return None
    flat = seen[:, :2] / seen[:, 2:]
    low, high = flat.min(axis=0), flat.max(axis=0)
    (u, v), (w, h) = ((low + high) / 2).tolist(), ((high - low) / 2).tolist()
    return Camera(at, (-back[0], -back[1], -back[2]), (w, h), (u, v))
