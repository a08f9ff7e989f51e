"""What is drawn: figures in the order of work, and how they are moved, turned and seen from the other face."""

import re
from dataclasses import dataclass, replace
from math import pi, tan
from typing import Literal

from exporters.cnc.layers import Layer
from model.shapes import Point2
from model.tolerances import rounded

Vertex = tuple[float, float, float]
"""x, y and the bulge of the segment that starts here: tan(angle / 4), positive anticlockwise (DXF reference)."""

Corners = tuple[Point2, Point2]
"""Lower left and upper right corner of a rectangle, mm."""

QUARTER_TURN = tan(pi / 8)
"""The bulge of a quarter circle."""


@dataclass(frozen=True, slots=True, order=True)
class Figure:
    """One thing to draw, sortable into the order of work: by layer, then by `rank`.

    A loop is closed. A circle has one vertex and its radius in `size`; a text one vertex (its middle, or its lower left
    corner where it starts there), its height in `size` and its direction in `turn` (degrees).
    """

    layer: Layer
    rank: float
    kind: Literal["loop", "circle", "text", "line of text"]
    vertices: tuple[Vertex, ...]
    size: float = 0.0
    text: str = ""
    turn: int = 0


def loop(layer: Layer, points: tuple[Point2, ...]) -> Figure:
    return Figure(layer, 0.0, "loop", tuple((rounded(x), rounded(y), 0.0) for x, y in points))


def arcs(layer: Layer, vertices: tuple[Vertex, ...]) -> Figure:
    """A closed loop with bulges."""
    return Figure(layer, 0.0, "loop", tuple((rounded(x), rounded(y), bulge) for x, y, bulge in vertices))


def rectangle(layer: Layer, corners: Corners) -> Figure:
    (x0, y0), (x1, y1) = corners
    return loop(layer, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def circle(layer: Layer, middle: Point2, diameter: float) -> Figure:
    return Figure(layer, 0.0, "circle", ((rounded(middle[0]), rounded(middle[1]), 0.0),), rounded(diameter / 2))


def text(layer: Layer, middle: Point2, height: float, words: str) -> Figure:
    at = ((rounded(middle[0]), rounded(middle[1]), 0.0),)
    return Figure(layer, 0.0, "text", at, rounded(height), plain_text(words))


def line_of_text(layer: Layer, start: Point2, height: float, words: str) -> Figure:
    return replace(text(layer, start, height, words), kind="line of text")


def plain_text(words: str) -> str:
    """The text with nothing in it that DXF takes for a control code (%%, a caret, a backslash, control characters)."""
    kept = re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+", " ", words)
    return re.sub(r"%(?=%)", "% ", kept).replace("\\", "/").replace("^", "'")


def shifted(figure: Figure, x: float, y: float) -> Figure:
    """The figure moved by (x, y) mm."""
    return replace(figure, vertices=tuple((rounded(u + x), rounded(v + y), b) for u, v, b in figure.vertices))


def turned(figure: Figure, width: float) -> Figure:
    """The figure of a panel `width` mm wide after a quarter turn to the left, the corner of the panel at the origin."""
    vertices = tuple((rounded(width - v), u, b) for u, v, b in figure.vertices)
    return replace(figure, vertices=vertices, turn=(figure.turn + 90) % 360)


def turned_over(figure: Figure, width: float) -> Figure:
    """The figure of a panel `width` mm wide as it lies once the panel is turned over about its length."""
    vertices = tuple((u, rounded(width - v), b) for u, v, b in figure.vertices)
    if figure.kind == "loop":  # mirrored and run the other way round: material stays to the left, each bulge its sign
        n = len(vertices)
        vertices = tuple((*vertices[i][:2], vertices[i - 1][2]) for i in reversed(range(n)))
    return replace(figure, vertices=vertices)
