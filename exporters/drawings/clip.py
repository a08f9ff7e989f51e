"""A view cut off at a circle, as details are."""

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

import manifold3d as m3
import numpy as np

from exporters.drawings.tidy import Arc, Line, Piece
from exporters.drawings.views import Face, Lines
from model.shapes import Point2

STEP = 3.0
"""Degrees. An arc that is cut off at the circle is drawn in pieces this long."""


def clipped(lines: Lines, middle: Point2, radius: float) -> Lines:
    """What of a view lies in a circle."""

    def cut(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
        return tuple(c for p in pieces for c in inside(p, middle, radius))

    x, y = middle
    faces = [f for f in (_faceinside(f, middle, radius) for f in lines.faces) if f.loops]
    box = (x - radius, y - radius, x + radius, y + radius)
    return Lines(cut(lines.visible), cut(lines.hidden), cut(lines.cut), tuple(faces), box)


def inside(piece: Piece, middle: Point2, radius: float) -> list[Piece]:
    """The part of a line or an arc that lies in a circle."""
    if isinstance(piece, Arc):
        away = math.dist(piece.middle, middle)
        if away + piece.radius <= radius:
            return [piece]
        if away - piece.radius >= radius:
            return []
        count = max(1, math.ceil((piece.end - piece.start) / STEP))
        angles = [math.radians(piece.start + (piece.end - piece.start) * k / count) for k in range(count + 1)]
        (x, y), r = piece.middle, piece.radius
        points = [(x + r * math.cos(t), y + r * math.sin(t)) for t in angles]
        return [c for a, b in pairwise(points) for c in inside(Line(a, b), middle, radius)]
    (ax, ay), (bx, by) = piece.start, piece.end
    dx, dy, fx, fy = bx - ax, by - ay, ax - middle[0], ay - middle[1]
    a, b, c = dx * dx + dy * dy, 2 * (fx * dx + fy * dy), fx * fx + fy * fy - radius * radius
    root = b * b - 4 * a * c
    if a == 0 or root <= 0:
        return []
    low, high = (-b - math.sqrt(root)) / (2 * a), (-b + math.sqrt(root)) / (2 * a)
    low, high = max(low, 0.0), min(high, 1.0)
    if high - low < 1e-9:
        return []
    return [Line((ax + dx * low, ay + dy * low), (ax + dx * high, ay + dy * high))]


def _faceinside(face: Face, middle: Point2, radius: float) -> Face:
    count = 96
    ring = [
        (middle[0] + radius * math.cos(2 * math.pi * k / count), middle[1] + radius * math.sin(2 * math.pi * k / count))
        for k in range(count)
    ]
    whole = m3.CrossSection([np.array(loop) for loop in face.loops], m3.FillRule.EvenOdd)
    left = whole ^ m3.CrossSection([np.array(ring)], m3.FillRule.NonZero)
    loops = sorted(tuple((float(x), float(y)) for x, y in loop) for loop in left.to_polygons())
    return replace(face, loops=tuple(loops))
