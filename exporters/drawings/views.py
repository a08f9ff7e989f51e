"""Exact views of parts at right angles to a plane: what is seen, what is hidden, what is cut.

`view` projects edges, not pictures: every line lies where the model has it, to the model's own tolerance.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import manifold3d as m3
import numpy as np

from exporters.drawings.features import CREASE, Array, Features, Ring, axes_of, bent_edges, features, placed_features
from exporters.drawings.hidden import split
from exporters.drawings.tidy import Piece, tidied
from model.meshes import mesh, moved
from model.part import PlacedPart
from model.placement import Placement
from model.shapes import Point2, Vec

Direction = Literal["front", "rear", "left", "right", "top", "below", "x0", "x1", "y0", "y1"]
"""Where the eye is."""
ONTO = 1e-6


@dataclass(frozen=True, slots=True)
class Face:
    """What a section cuts through: closed loops (outer and inner, mm) of one part."""

    path: str
    material: str
    loops: tuple[tuple[Point2, ...], ...]


@dataclass(frozen=True, slots=True)
class Lines:
    """A view, mm: x to the right and y up. `cut` outlines what a section goes through, in `faces`."""

    visible: tuple[Piece, ...] = ()
    hidden: tuple[Piece, ...] = ()
    cut: tuple[Piece, ...] = ()
    faces: tuple[Face, ...] = ()
    box: tuple[float, float, float, float] = field(default=(0.0, 0.0, 0.0, 0.0))
    """Least x, least y, most x, most y of the parts seen."""


def flat(point: Vec, direction: Direction, frame: Placement = Placement()) -> Point2:  # noqa: B008 - a frozen value
    """Where a point of the room lies in a view."""
    p = frame.apply(point)
    right, up, _ = axes_of(direction)
    return sum(a * b for a, b in zip(right, p, strict=True)), sum(a * b for a, b in zip(up, p, strict=True))


def view(
    parts: Iterable[PlacedPart],
    direction: Direction,
    section: float | None = None,
    frame: Placement | None = None,
    hidden: bool = False,
) -> Lines:
    """The parts seen from a direction, in a frame (a placement that maps the room into it; none: as they are).

    With `section` everything nearer to the eye than that coordinate (mm, along the axis that points at the eye) is cut
    away first. With `hidden` what is behind is there too, else it is left out.
    """
    right, up, toward = axes_of(direction)
    basis = Placement((0.0, 0.0, 0.0), (right, up, toward)).compose(frame or Placement())
    shown, faces = _gathered(parts, basis, section)
    if not shown:
        return Lines()
    triangles = np.concatenate([f.triangles for f in shown])
    edges = np.concatenate([_edges_to_draw(f, hidden) for f in shown])
    seen, behind = split(edges, triangles)
    rings = [r for f in shown for r in f.rings if abs(r.outward[2]) > 1 - ONTO]
    outline = [line for face in faces for line in _sides(face)]
    cut, visible, dashed = tidied([np.array(outline).reshape(-1, 2, 2), seen, behind], _circles(rings))
    low, high = triangles.reshape(-1, 3).min(axis=0), triangles.reshape(-1, 3).max(axis=0)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return Lines(visible, dashed if hidden else (), cut, tuple(faces), box)


def behind(
    edges: Sequence[tuple[Vec, Vec]], parts: Iterable[PlacedPart], direction: Direction, frame: Placement
) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """Other straight edges (in that frame), such as those of a wall: what of them is seen past the parts, what not."""
    if not edges:
        return (), ()
    basis = Placement((0.0, 0.0, 0.0), axes_of(direction))
    turn = np.array(basis.rotation)
    shown, _ = _gathered(parts, basis.compose(frame), None)
    triangles = np.concatenate([f.triangles for f in shown]) if shown else np.empty((0, 3, 3))
    seen, hidden = tidied(list(split(np.array(edges) @ turn.T, triangles)), [])
    return seen, hidden


def _gathered(
    parts: Iterable[PlacedPart], basis: Placement, section: float | None
) -> tuple[list[Features], list[Face]]:
    """What is drawn of each part, in the frame of the view, and what the section goes through."""
    shown: list[Features] = []
    faces: list[Face] = []
    for placed in parts:
        if section is None:
            shown.append(placed_features(placed, basis))
            continue
        whole = placed_features(placed, basis)
        depth = whole.triangles[..., 2]
        if depth.min() >= section:
            continue
        if depth.max() <= section:
            shown.append(whole)
            continue
        left, face = _cut(placed, basis, section)
        shown.append(left)
        if face.loops:
            faces.append(face)
    return shown, faces


def _cut(placed: PlacedPart, basis: Placement, section: float) -> tuple[Features, Face]:
    """What is left of a part behind a plane, and its face there."""
    solid = moved(mesh(placed.part), basis.compose(placed.placement))
    left = solid.trim_by_plane((0.0, 0.0, -1.0), -section)
    raw = left.to_mesh64()
    points, triangles = np.array(raw.vert_properties[:, :3]), np.array(raw.tri_verts, dtype=np.int64)
    edges, normals = bent_edges(points, triangles)
    sharp = np.sum(normals[:, 0] * normals[:, 1], axis=1) < CREASE
    rings = tuple(r for r in placed_features(placed, basis).rings if not r.bored and r.middle[2] < section + ONTO)
    slice_ = solid.slice(section).simplify(1e-6)
    loops = tuple(tuple((float(x), float(y)) for x, y in loop) for loop in _ordered(slice_))
    return Features(points[triangles], edges, normals, sharp, rings), Face(placed.path, placed.part.material, loops)


def _ordered(section: m3.CrossSection) -> list[Array]:
    """The loops of a section, each from its lowest left corner, in a fixed order."""
    loops = []
    for loop in section.to_polygons():
        first = min(range(len(loop)), key=lambda i: (loop[i][1], loop[i][0]))
        loops.append(np.roll(loop, -first, axis=0))
    return sorted(loops, key=lambda loop: (loop[0][1], loop[0][0], len(loop)))


def _sides(face: Face) -> list[tuple[Point2, Point2]]:
    return [(a, b) for loop in face.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]


def _edges_to_draw(shown: Features, hidden: bool) -> Array:
    """Sharp edges, edges where a round surface turns away from the eye, and mouths of holes that face the eye."""
    away = shown.normals[:, :, 2] > ONTO
    turning = away[:, 0] != away[:, 1]
    # an edge between two faces that both look away is hidden by its own part
    sharp = shown.sharp if hidden else shown.sharp & away.any(axis=1)
    found = [shown.edges[sharp | turning]]
    for ring in shown.rings:
        if ring.bored and (ring.outward[2] > 1 - ONTO or (hidden and ring.outward[2] < ONTO - 1)):
            corners = ring.corners()
            found.append(np.stack((corners[:-1], corners[1:]), axis=1))
    return np.concatenate(found)


def _circles(rings: Sequence[Ring]) -> list[tuple[float, float, float, float]]:
    """Middle, drawn radius and true radius of each circle that lies in the plane of the view, each once."""
    found = {
        (round(float(r.middle[0]), 4), round(float(r.middle[1]), 4), round(r.drawn, 5), round(r.radius, 5))
        for r in rings
    }
    return sorted(found)


def bounds(parts: Iterable[PlacedPart], frame: Placement) -> tuple[Vec, Vec]:
    """Least and most x, y, z of the parts' true shapes in a frame."""
    low, high = [math.inf] * 3, [-math.inf] * 3
    for placed in parts:
        at = frame.compose(placed.placement)
        points = features(placed.part).triangles.reshape(-1, 3) @ np.array(at.rotation).T + np.array(at.origin)
        low = np.minimum(low, points.min(axis=0))
        high = np.maximum(high, points.max(axis=0))
    (a, b, c), (d, e, f) = (tuple(float(v) for v in side) for side in (low, high))
    return (a, b, c), (d, e, f)
