"""Faint lines in a picture that tie what is joined, hidden where a part stands before them."""

import math

import numpy as np

from exporters.pictures.lettering import Place, line
from exporters.pictures.offscreen import Eye, Floats
from exporters.pictures.scene import Array, Camera, Colour
from exporters.pictures.viewpoints import ahead, on_picture

FAINT: Colour = (0.42, 0.42, 0.45)
WIDE = 1.2
DASH, BLANK = 9.0, 6.0
"""Pixels."""
Ties = list[tuple[Place, Place]]
"""Strokes, from pixel to pixel."""


def visible(lines: Array, window: Eye, eye: Camera) -> Ties:
    """The dashes of lines (K x 2 x 3, mm) that the camera sees."""
    if not len(lines):
        return []
    width, height = window.size
    depth = window.distances(eye, window.reach(eye)).reshape(height, width)
    found: Ties = []
    for start, end in lines:
        (ax, ay), (bx, by) = on_picture(eye, np.array((start, end)), window.size)
        length = math.hypot(bx - ax, by - ay)
        count = math.ceil(length / (DASH + BLANK))
        for i in range(count):
            shares = np.array((i * (DASH + BLANK), min(i * (DASH + BLANK) + DASH, length))) / max(length, 1.0)
            points = start + shares[:, None] * (end - start)
            middle = points.mean(axis=0)[None]
            ((x, y),) = on_picture(eye, middle, window.size).astype(int)
            if 0 <= x < width and 0 <= y < height and depth[y, x] > ahead(eye, middle)[0] - 2:
                a, b = on_picture(eye, points, window.size).tolist()
                found.append(((a[0], a[1]), (b[0], b[1])))
    return found


def tie(picture: Floats, ties: Ties) -> None:
    """Draw them."""
    for a, b in ties:
        line(picture, a, b, FAINT, WIDE)
