"""What a plane leaves of the parts, its cut faces closed, coloured and hatched by what the parts are made of."""

import math
from dataclasses import dataclass, replace
from typing import Literal

import manifold3d as m3
import numpy as np

from exporters.pictures.scene import Array, Colour, Indices, Piece, surface
from model.cuts import Bore
from model.errors import ProjectError
from model.lengths import LengthUnit, parse_length, show_length
from model.meshes import arrays, mesh, moved
from model.part import Kind, PlacedPart
from model.placement import Placement
from model.shapes import Box, Vec

Side = Literal["left", "right", "front", "top"]
SIDES: dict[str, Vec] = {
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "front": (0.0, -1.0, 0.0),
    "top": (0.0, 0.0, 1.0),
}
"""The way to the side that is taken off, in the frame of the wall."""
FACES: dict[Kind, Colour] = {
    "sheet": (0.93, 0.60, 0.42),
    "board": (0.96, 0.76, 0.45),
    "band": (0.75, 0.35, 0.25),
    "hardware": (0.42, 0.50, 0.60),
}
"""Cut faces: warm for wood, cool for what is bought, unlike any face that is not cut."""
HATCH: dict[Kind, tuple[float, float]] = {"sheet": (45.0, 16.0), "board": (135.0, 11.0)}
"""Degrees and mm between the lines, by what is cut: parts side by side are told apart as in a drawing (ISO 128-3)."""
FLAT = 1e-4
"""mm. A corner this near the plane lies in it."""
LIFTED = 0.4
"""mm. Hatching is drawn this far off its face."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A side to be taken off, as far as `depth` mm in from its end; half way where it is left out."""

    side: Side
    depth: float | None = None


@dataclass(frozen=True, slots=True)
class Plane:
    """What is taken off lies beyond: points p with normal . p > offset (mm, in the room)."""

    normal: Vec
    offset: float


def read_cut(text: str, lengths: LengthUnit) -> Cut:
    """`left`, `front:300`, `top:12 1/2 in`. Raises ProjectError."""
    side, _, rest = text.partition(":")
    side = side.strip()
    if side not in SIDES:
        raise ProjectError(f"--cut: {side!r} is no side: write left, right, front or top, as in left or left:300 mm")
    if not rest.strip():
        return Cut(side)  # type: ignore[arg-type]
    try:
        return Cut(side, parse_length(rest, lengths))  # type: ignore[arg-type]
    except ValueError as error:
        raise ProjectError(f"--cut: {error}") from None


def plane_of(cut: Cut, frame: Placement, bounds: Box, lengths: LengthUnit) -> Plane:
    """The plane of a cut through what fills `bounds` in the frame of a wall. Raises ProjectError where it misses."""
    normal = SIDES[cut.side]
    axis = next(i for i in range(3) if normal[i])
    low, high = bounds.lo[axis], bounds.hi[axis]
    depth = (high - low) / 2 if cut.depth is None else cut.depth
    if not 0 < depth < high - low:
        raise ProjectError(
            f"--cut: {show_length(depth, lengths)} from the {cut.side} misses what is shown: "
            f"give more than 0 and less than {show_length(high - low, lengths)}"
        )
    place = low + depth if normal[axis] < 0 else high - depth
    turned = frame.turn(normal)
    at = frame.apply((place * (axis == 0), place * (axis == 1), place * (axis == 2)))
    return Plane(turned, sum(a * b for a, b in zip(turned, at, strict=True)))


def halves(shape: m3.Manifold, plane: Plane) -> tuple[m3.Manifold, m3.Manifold]:
    """What is left of a body, and what is taken off; both closed."""
    off, left = shape.split_by_plane(plane.normal, plane.offset)
    return left, off


def what_is_left(placed: PlacedPart, at: Placement, plane: Plane) -> tuple[Piece | None, Piece | None]:
    """A part at a placement as the plane leaves it: its own faces, and its cut faces with their hatching."""
    left = halves(moved(mesh(placed.part), at), plane)[0]
    if left.is_empty() or left.volume() < 1.0:
        return None, None
    points, triangles = arrays(left)
    in_plane = (np.abs(points @ np.array(plane.normal) - plane.offset) < FLAT)[triangles].all(axis=1)
    plain = replace(placed.part, cuts=tuple(c for c in placed.part.cuts if not isinstance(c, Bore)))
    corners, faces = arrays(halves(moved(mesh(plain), at), plane)[0])
    whole = surface(points, triangles, corners[faces])
    if not in_plane.any():
        return whole, None
    own = replace(whole, triangles=whole.triangles[~in_plane])
    lines = _hatching(points, triangles[in_plane], plane, placed.part.kind)
    face = Piece(whole.points, whole.normals, whole.triangles[in_plane], lines, np.zeros((0, 3, 3)))
    return own, face


def _hatching(points: Array, triangles: Indices, plane: Plane, kind: Kind) -> Array:
    """Lines over flat triangles (K x 2 x 3)."""
    if kind not in HATCH:
        return np.zeros((0, 2, 3))
    degrees, step = HATCH[kind]
    right, up = _axes(plane.normal)
    across = math.cos(math.radians(degrees)) * up - math.sin(math.radians(degrees)) * right
    found: list[Array] = []
    for corners in points[triangles]:
        place = corners @ across
        for k in range(math.ceil(place.min() / step), math.floor(place.max() / step) + 1):
            ends = [
                corners[i] + (k * step - place[i]) / (place[j] - place[i]) * (corners[j] - corners[i])
                for i, j in ((0, 1), (1, 2), (2, 0))
                if (place[i] - k * step) * (place[j] - k * step) < 0
            ]
            if len(ends) == 2:
                found.append(np.array(ends))
    return np.array(found).reshape(-1, 2, 3) + LIFTED * np.array(plane.normal)


def _axes(normal: Vec) -> tuple[Array, Array]:
    """Two directions in a plane: level where it can be, and square to that."""
    least = np.array((0.0, 0.0, 1.0) if abs(normal[2]) < 0.9 else (0.0, 1.0, 0.0))
    right = np.cross(least, normal)
    right /= np.linalg.norm(right)
    return right, np.cross(np.array(normal), right)
