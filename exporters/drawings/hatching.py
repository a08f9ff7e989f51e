"""Lines of a hatching, cut to the loops they fill."""

import math

from exporters.drawings.display import Hatch
from model.shapes import Point2


def strokes(hatch: Hatch) -> list[tuple[Point2, Point2]]:
    """The lines from loop to loop. They lie on one grid over the whole sheet, so that pieces of one part match."""
    angle = math.radians(hatch.angle)
    u, n = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    loops = [[(p[0] * u[0] + p[1] * u[1], p[0] * n[0] + p[1] * n[1]) for p in loop] for loop in hatch.loops]
    levels = [v for loop in loops for _, v in loop]
    if not levels:
        return []
    found: list[tuple[Point2, Point2]] = []
    for k in range(math.ceil(min(levels) / hatch.gap - 0.5), math.floor(max(levels) / hatch.gap - 0.5) + 1):
        v = (k + 0.5) * hatch.gap
        hits = sorted(
            a[0] + (b[0] - a[0]) * (v - a[1]) / (b[1] - a[1])
            for loop in loops
            for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)
            if (a[1] <= v) != (b[1] <= v)
        )
        for s, e in zip(hits[::2], hits[1::2], strict=True):
            if e - s > 0.02:
                found.append(((u[0] * s + n[0] * v, u[1] * s + n[1] * v), (u[0] * e + n[0] * v, u[1] * e + n[1] * v)))
    return found
