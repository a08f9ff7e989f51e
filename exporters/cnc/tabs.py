"""Where the tool rises on its way round a small part, so that bridges hold it in the sheet."""

import math
from collections.abc import Iterator
from itertools import pairwise

from exporters.cnc import layers
from exporters.cnc.figures import Figure, rectangle
from exporters.cnc.layers import Step
from model.cnc import Cnc
from model.tolerances import CONTACT, rounded

Side = tuple[tuple[float, float], tuple[float, float]]


def tabs(outline: Figure, size: tuple[float, float], thickness: float, cnc: Cnc) -> Iterator[Figure]:
    """The marks on the outline of a panel of that size, none where it is large: at least one on each long side.

    Each is a rectangle from the line outward as far as the tool reaches, as long as the bridge. A bridge is no higher
    than half the sheet.
    """
    if outline.layer.step is not Step.OUTLINE or min(size) >= cnc.tabs.shorter_than:
        return
    long, other = (0, 1) if size[0] >= size[1] else (1, 0)
    found = _longest(outline, size, other)
    if len(found) < 2:  # a notch took a whole side: hold it at the other two
        found = _longest(outline, size, long) or found
    height = rounded(min(cnc.tabs.height, thickness / 2))
    for start, end in found:
        yield from _along(start, end, height, cnc)


def _longest(outline: Figure, size: tuple[float, float], axis: int) -> list[Side]:
    """The longest straight piece of either side that lies at 0 and at the whole size along the axis."""
    points = [(x, y) for x, y, _ in outline.vertices]
    straight = [
        s for s, (_, _, bulge) in zip(pairwise((*points, points[0])), outline.vertices, strict=True) if not bulge
    ]
    found: list[Side] = []
    for at in (0.0, size[axis]):
        on = [s for s in straight if all(abs(p[axis] - at) <= CONTACT for p in s)]
        if on:
            found.append(max(on, key=lambda s: math.dist(*s)))
    return found


def _along(start: tuple[float, float], end: tuple[float, float], height: float, cnc: Cnc) -> Iterator[Figure]:
    """Marks along one side of a loop that runs anticlockwise: outward is to the right."""
    length = math.dist(start, end)
    width = min(cnc.tabs.width, length)
    count = math.ceil(length / cnc.tabs.apart)
    u = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    for k in range(count):
        at = length * (k + 0.5) / count
        corners = [
            (start[0] + u[0] * along + u[1] * out, start[1] + u[1] * along - u[0] * out)
            for along, out in ((at - width / 2, 0.0), (at + width / 2, cnc.tool))
        ]
        xs, ys = zip(*corners, strict=True)
        yield rectangle(layers.tab(cnc.tabs.width, height), ((min(xs), min(ys)), (max(xs), max(ys))))
