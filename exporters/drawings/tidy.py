"""Loose pieces of lines made into a drawing: circles recognised, collinear pieces joined, nothing drawn twice."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from exporters.drawings.hidden import SHORTEST, joined
from model.shapes import Point2

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Interval = tuple[float, float]
Circle = tuple[float, float, float, float]
"""x and y of the middle, radius of the corners that stand for it, true radius."""
CURVED = math.cos(math.radians(40.0))
"""Sides of a curve turn by less than 40 degrees from one to the next."""
NEAR = 2e-3
"""mm. Corners this near a circle are on it; the rounding of a model's lengths is a thousandth."""


@dataclass(frozen=True, slots=True, order=True)
class Line:
    """A straight piece."""

    start: Point2
    end: Point2


@dataclass(frozen=True, slots=True, order=True)
class Arc:
    """A piece of a circle, anticlockwise from `start` to `end` (degrees); a whole circle from 0 to 360."""

    middle: Point2
    radius: float
    start: float
    end: float

    @property
    def whole(self) -> bool:
        return self.end - self.start >= 360 - 1e-6


Piece = Line | Arc
_Key = tuple[float, ...]


def tidied(kinds: list[Array], circles: list[Circle]) -> list[tuple[Piece, ...]]:
    """Each kind of pieces (N x 2 x 2) as lines and arcs; what an earlier kind draws, a later one does not."""
    taken: dict[_Key, list[Interval]] = {}
    frames: dict[_Key, tuple[Array, Array]] = {}
    found: list[tuple[Piece, ...]] = []
    for pieces in kinds:
        which = _circle_of(pieces, circles)
        fresh = _on_circles(pieces[which >= 0], which[which >= 0], circles)
        fresh |= _on_lines(pieces[which < 0], frames)
        drawn: list[Piece] = []
        for key in sorted(fresh):
            least = _least(key)
            left = _less(fresh[key], taken.get(key, []), least)
            taken[key] = _union([*fresh[key], *taken.get(key, [])], least)
            drawn += _arcs(key, left) if len(key) == 4 else _lines(frames[key], left)
        found.append(tuple(sorted(drawn, key=lambda p: (type(p).__name__, p))))
    return found


def _least(key: _Key) -> float:
    """What is shorter is rounding: mm along a line, degrees along a circle."""
    return math.degrees(SHORTEST / key[3]) if len(key) == 4 else SHORTEST


def _grouped(keys: list[_Key], group: Indices, first: Array, last: Array) -> dict[_Key, list[Interval]]:
    """The intervals of each key in order, those that meet made one."""
    gaps = np.array([_least(key) for key in keys])
    found: dict[_Key, list[Interval]] = {}
    for i, a, b in zip(*(v.tolist() for v in joined(group, first, last, gaps[group])), strict=True):
        found.setdefault(keys[i], []).append((a, b))
    return found


def _on_circles(pieces: Array, which: Indices, circles: list[Circle]) -> dict[_Key, list[Interval]]:
    """Pieces that stand for circles, as a key of each circle and from which angle to which."""
    if not len(pieces):
        return {}
    keys = list(dict.fromkeys((x, y, 0.0, radius) for x, y, _, radius in circles))
    index = {key: i for i, key in enumerate(keys)}
    group = np.array([index[x, y, 0.0, radius] for x, y, _, radius in circles])[which]
    out = pieces - np.array([c[:2] for c in circles])[which][:, None]
    angles = np.degrees(np.arctan2(out[..., 1], out[..., 0])) % 360
    back = (angles[:, 1] - angles[:, 0]) % 360 > 180
    a = np.where(back, angles[:, 1], angles[:, 0])
    b = a + (np.where(back, angles[:, 0], angles[:, 1]) - a) % 360
    over = b > 360
    group, a = np.append(group, group[over]), np.append(a, np.zeros(int(over.sum())))
    return _grouped(keys, group, a, np.append(np.minimum(b, 360.0), b[over] - 360))


def _circle_of(pieces: Array, circles: list[Circle]) -> Indices:
    """The index of the circle each piece is a side of; -1 for those that are none's.

    A whole side has both ends on the corners' circle; one cut short lies between that circle and its own middle.
    """
    found = np.full(len(pieces), -1)
    if not circles or not len(pieces):
        return found
    middles, drawn = np.array([c[:2] for c in circles]), np.array([c[2] for c in circles])
    piece, circle = _pairs_near(pieces.mean(axis=1), middles, drawn + NEAR)
    ends, drawn = pieces[piece], drawn[circle]
    along, away = ends[:, 1] - ends[:, 0], ends - middles[circle][:, None]
    out = away.mean(axis=1)
    length, reach = np.hypot(along[:, 0], along[:, 1]), np.hypot(out[:, 0], out[:, 1])
    # across the radius to its own middle, and no longer than a side can be
    lean = np.abs((out * along).sum(axis=1)) / np.maximum(reach * length, 1e-12)
    on = (lean < math.sin(math.pi / 20)) & (length <= 2 * reach * math.tan(math.pi / 20))
    for far in (reach, np.hypot(away[:, 0, 0], away[:, 0, 1]), np.hypot(away[:, 1, 0], away[:, 1, 1])):
        on &= (far >= _inner(drawn) - NEAR) & (far <= drawn + NEAR)
    # of several circles the first
    piece, circle = piece[on], circle[on]
    order = np.lexsort((-circle, piece))
    found[piece[order]] = circle[order]
    return found


def _pairs_near(points: Array, middles: Array, reach: Array) -> tuple[Indices, Indices]:
    """Pairs of a point and a middle that are no farther apart than its reach along each axis."""
    order = np.argsort(points[:, 0], kind="stable")
    xs = points[order, 0]
    first = np.searchsorted(xs, middles[:, 0] - reach, "left")
    count = np.searchsorted(xs, middles[:, 0] + reach, "right") - first
    of = np.repeat(np.arange(len(middles)), count)
    within = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    at = order[first[of] + within]
    near = np.abs(points[at, 1] - middles[of, 1]) <= reach[of]
    return at[near], of[near]


def _inner(drawn: Array) -> Array:
    """The least distance of a side from the middle: a circle has at least 24 of them."""
    return drawn * math.cos(math.pi / 24)


def _on_lines(pieces: Array, frames: dict[_Key, tuple[Array, Array]]) -> dict[_Key, list[Interval]]:
    """The infinite lines that pieces lie on, each as a key, and from where to where along it.

    `frames` keeps the direction and the foot of each line as the first of its pieces has them.
    """
    if not len(pieces):
        return {}
    along = pieces[:, 1] - pieces[:, 0]
    angle = np.arctan2(along[:, 1], along[:, 0]) % math.pi
    coarse = np.round(np.where(angle > math.pi - 1e-5, 0.0, angle), 4)
    u = np.stack((np.cos(coarse), np.sin(coarse)), axis=1)
    u = np.where((np.abs(u) < 1e-4).any(axis=1)[:, None], np.round(u), u)
    n = np.stack((-u[:, 1], u[:, 0]), axis=1)
    off = (pieces.mean(axis=1) * n).sum(axis=1)
    # shifted, so that coordinates of whole hundredths do not sit where rounding turns over
    names = list(zip(coarse.tolist(), np.round(off + 0.00123, 2).tolist(), strict=True))
    keys: dict[_Key, int] = {}
    group = np.array([keys.setdefault(key, len(keys)) for key in names])
    for key, i in zip(keys, np.unique(group, return_index=True)[1].tolist(), strict=True):
        frames.setdefault(key, (u[i], n[i] * off[i]))
    ends = np.sort((pieces * u[:, None]).sum(axis=2), axis=1)
    return _grouped(list(keys), group, ends[:, 0], ends[:, 1])


def _union(intervals: list[Interval], gap: float) -> list[Interval]:
    joined: list[Interval] = []
    for a, b in sorted(intervals):
        if joined and a <= joined[-1][1] + gap:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((a, b))
    return joined


def _less(intervals: list[Interval], taken: list[Interval], least: float) -> list[Interval]:
    """What of the intervals is not taken, pieces of rounding left out."""
    left: list[Interval] = []
    for a, b in intervals:
        at = a
        for c, d in taken:
            if d <= at or c >= b:
                continue
            left.append((at, c))
            at = max(at, d)
        left.append((at, b))
    return [(a, b) for a, b in left if b - a > least]


def _lines(frame: tuple[Array, Array], intervals: list[Interval]) -> list[Piece]:
    u, off = frame
    return [Line(_point(u * a + off), _point(u * b + off)) for a, b in intervals]


def _arcs(key: _Key, intervals: list[Interval]) -> list[Piece]:
    """Arcs that meet at 0 degrees are one."""
    x, y, _, radius = key
    ends = list(intervals)
    if len(ends) > 1 and ends[0][0] < 1e-6 and ends[-1][1] > 360 - 1e-6:
        ends = [*ends[1:-1], (ends[-1][0], ends[0][1] + 360)]
    return [Arc((x, y), radius, round(a, 4), round(b, 4)) for a, b in ends]


def _point(p: Array) -> Point2:
    return round(float(p[0]), 4) + 0.0, round(float(p[1]), 4) + 0.0


def chained(pieces: Iterable[Line]) -> list[tuple[Point2, ...]]:
    """Lines as runs of points: those that meet end to end and turn little, as the sides of a curve do, make one run.

    So a dashed curve has its dashes along it, and not a new one at each of its short sides.
    """
    lines = list(pieces)
    meets: dict[Point2, list[int]] = {}
    for i, line in enumerate(lines):
        for end in (line.start, line.end):
            meets.setdefault(_near(end), []).append(i)
    left = dict.fromkeys(range(len(lines)))
    runs: list[tuple[Point2, ...]] = []
    while left:
        i = next(iter(left))
        del left[i]
        run = [lines[i].start, lines[i].end]
        for _ in (0, 1):  # on from its end, then back from its start
            while (found := _next(run, meets, lines, left)) is not None:
                run.append(found)
            run.reverse()
        runs.append(tuple(run))
    return runs


def _next(run: list[Point2], meets: dict[Point2, list[int]], lines: list[Line], left: dict[int, None]) -> Point2 | None:
    """The far end of the line that goes on where a run ends, taken at once; None where it ends or bends."""
    here = _near(run[-1])
    for i in meets[here] if len(meets[here]) == 2 else ():
        line = lines[i]
        far = line.end if _near(line.start) == here else line.start
        a, b = (run[-1][0] - run[-2][0], run[-1][1] - run[-2][1]), (far[0] - run[-1][0], far[1] - run[-1][1])
        along = (a[0] * b[0] + a[1] * b[1]) / max(math.hypot(*a) * math.hypot(*b), 1e-12)
        if i in left and along > CURVED:
            del left[i]
            return far
    return None


def _near(p: Point2) -> Point2:
    """Ends this near to each other are one; shifted, as whole hundredths are common."""
    return round(p[0] + 0.00123, 2), round(p[1] + 0.00123, 2)
