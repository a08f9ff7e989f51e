"""Codes of units in circles, as item references are drawn (ISO 6433): in their own unit, else beside it."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from exporters.drawings.display import ADVANCE, Item, Layer, Path, Rect, Round, Text, overlap
from exporters.drawings.on_paper import Space, dot
from exporters.drawings.standards import LETTERS
from model.shapes import Point2

CLEAR = 0.6
"""mm. From the circle to anything else."""
NARROW = 0.4
"""mm. How much less of that will do where there is no more room."""
GRID = 24
"""Places tried along each side of a unit."""
ANGLES = 12
FAR = (1.5, 3.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0, 40.0, 52.0)
"""mm. How far beside its unit a code may stand."""


def circle_of(code: str) -> float:
    """The radius of the circle round a code, mm."""
    return math.hypot(max(len(code), 2) * ADVANCE * LETTERS / 2, LETTERS / 2) + 0.8


def coded(code: str, own: Rect, space: Space, before: Sequence[Rect] = (), layer: Layer = "MARKS") -> list[Item]:
    """A code in its unit's rectangle where nothing is drawn, nearest the middle; else beside it with a leader.

    `before` are rectangles that stand before the unit. What is drawn is taken from the space at once.
    """
    radius = circle_of(code)
    at = _free(own, space, (radius, radius), before) or _free(own, space, (radius - NARROW, radius - NARROW), before)
    if at is not None:
        items: list[Item] = [Round(layer, at, radius), Text("MARKS", at, code, LETTERS, "centre")]
        space.take(items)
        return items
    return _beside(code, own, space, radius, before, layer)


def named(words: str, own: Rect, space: Space) -> list[Item]:
    """What something on a wall is called: in it where nothing is drawn, nearest its middle; else beside it."""
    text = Text("MARKS", (0.0, 0.0), words, LETTERS, "centre")
    at = _free(own, space, (text.width / 2, LETTERS * 0.8), ())
    if at is None:
        return space.tag(words, ((own[0] + own[2]) / 2, (own[1] + own[3]) / 2), lead=True)
    items: list[Item] = [replace(text, at=at)]
    space.take(items)
    return items


def _free(own: Rect, space: Space, half: Point2, before: Sequence[Rect]) -> Point2 | None:
    """The place nearest the middle where something of that half size meets nothing and stays in the rectangle."""
    reach = (half[0] + CLEAR, half[1] + CLEAR)
    room = (own[0] + reach[0], own[1] + reach[1], own[2] - reach[0], own[3] - reach[1])
    if room[0] > room[2] or room[1] > room[3]:
        return None
    middle = ((own[0] + own[2]) / 2, (own[1] + own[3]) / 2)
    steps = [[a + (b - a) * k / GRID for k in range(GRID + 1)] for a, b in ((room[0], room[2]), (room[1], room[3]))]
    places = sorted(((x, y) for x in steps[0] for y in steps[1]), key=lambda p: (round(math.dist(p, middle), 6), p))
    for x, y in places:
        box = (x - reach[0], y - reach[1], x + reach[0], y + reach[1])
        if not any(overlap(box, r) for r in before) and not space.crossings(box):
            return x, y
    return None


def _beside(code: str, own: Rect, space: Space, radius: float, before: Sequence[Rect], layer: Layer) -> list[Item]:
    """Outside, where it is least in the way, with a straight leader from a dot in the unit."""
    best: tuple[float, Point2, Point2, Point2] | None = None
    middle, across = ((own[0] + own[2]) / 2, (own[1] + own[3]) / 2), max(own[2] - own[0], own[3] - own[1])
    near = space.near(middle, across / 2 + FAR[-1] + 2 * radius)
    feet = _feet(own, before)
    for far in FAR:
        if best and best[0] <= far:
            break
        for (x, y), k in product(feet, range(ANGLES)):
            angle = 2 * math.pi * k / ANGLES
            cos, sin = math.cos(angle), math.sin(angle)
            at, head = (x + cos * (radius + far), y + sin * (radius + far)), (x + cos * far, y + sin * far)
            score = far + (0.0 if k * 4 % ANGLES == 0 else 1.0)
            if best is None or score < best[0]:
                score += _trouble(at, (x, y), head, near, radius, before)
                score += 12.0 * overlap((at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius), own)
                if best is None or score < best[0]:
                    best = (score, at, (x, y), head)
    assert best is not None  # there is a place in any case
    _, at, foot, head = best
    items: list[Item] = [
        Round(layer, at, radius), Text("MARKS", at, code, LETTERS, "centre"), Path("MARKS", (foot, head)), dot(foot),
    ]  # fmt: skip
    space.take(items)
    return items


def _trouble(at: Point2, foot: Point2, head: Point2, space: Space, radius: float, before: Sequence[Rect]) -> float:
    """How much is in the way of a circle and its leader."""
    reach = radius + CLEAR
    box = (at[0] - reach, at[1] - reach, at[0] + reach, at[1] + reach)
    score = space.crossings(box) * 30.0 + sum(60.0 for r in before if overlap(box, r))
    low, high = (min(foot[0], head[0]), min(foot[1], head[1])), (max(foot[0], head[0]), max(foot[1], head[1]))
    lines = space.crossings((low[0] - 0.01, low[1] - 0.01, high[0] + 0.01, high[1] + 0.01)) % 1000
    words = space.crossings((low[0] - 0.3, low[1] - 0.3, high[0] + 0.3, high[1] + 0.3)) // 1000
    return score + words * 400.0 + lines * 1.5


def _feet(own: Rect, before: Sequence[Rect]) -> list[Point2]:
    """Points of the unit that nothing stands before, nearest its middle first."""
    shares = sorted(
        ((u / 8, v / 8) for u in range(1, 8) for v in range(1, 8)), key=lambda s: (math.dist(s, (0.5, 0.5)), s)
    )
    points = [(own[0] + (own[2] - own[0]) * u, own[1] + (own[3] - own[1]) * v) for u, v in shares]
    seen = [p for p in points if not any(r[0] < p[0] < r[2] and r[1] < p[1] < r[3] for r in before)]
    return (seen or points)[:5]
