"""Placed parts as arrays, and the tests on their boxes that spare the exact ones.

The box of a body here is the blank drawn in by half of CONTACT on every face: boxes of parts that merely touch stay
apart, so the touching faces of a sound unit never reach an exact test.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from model.part import Part, PlacedPart
from model.tolerances import CONTACT

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

CHUNK = 2_000_000
"""How many pairs are held at once while their axis-aligned boxes are compared."""

AT_ONCE = 50_000
"""How many pairs are held at once while their oriented boxes are compared."""


@dataclass(frozen=True)
class Bodies:
    """Placed parts in order of path. Row i of every array is `placed[i]`; `shape[i]` numbers its distinct Part."""

    placed: tuple[PlacedPart, ...]
    shapes: tuple[Part, ...]
    shape: Ints
    turn: Floats  # (n, 3, 3) rotations
    origin: Floats  # (n, 3) mm
    centre: Floats  # (n, 3) of the blank, mm
    half: Floats  # (n, 3) half the blank in its own frame, mm
    reach: Floats  # (n, 3) half the bounds in the room, mm

    @classmethod
    def of(cls, parts: Iterable[PlacedPart]) -> "Bodies":
        placed = tuple(sorted(parts, key=lambda p: p.path))
        numbers: dict[Part, int] = {}
        shape = np.array([numbers.setdefault(p.part, len(numbers)) for p in placed], dtype=np.int64)
        turn = np.array([p.placement.rotation for p in placed], dtype=np.float64).reshape(-1, 3, 3)
        origin = np.array([p.placement.origin for p in placed], dtype=np.float64).reshape(-1, 3)
        half = np.array([p.part.size for p in placed], dtype=np.float64).reshape(-1, 3) / 2
        centre = origin + np.einsum("nij,nj->ni", turn, half)
        reach = np.einsum("nij,nj->ni", np.abs(turn), half)
        return cls(placed, tuple(numbers), shape, turn, origin, centre, half, reach)

    def __len__(self) -> int:
        return len(self.placed)

    def bounds(self, grow: float = -CONTACT / 2) -> tuple[Floats, Floats]:
        """Low and high corners in the room, each face moved outward by `grow` mm."""
        return self.centre - self.reach - grow, self.centre + self.reach + grow

    def relative(self, i: Ints, j: Ints) -> tuple[Floats, Floats]:
        """Where bodies j lie in the frames of bodies i: rotations (k, 3, 3) and origins (k, 3)."""
        back = np.swapaxes(self.turn[i], 1, 2)
        return back @ self.turn[j], np.einsum("kij,kj->ki", back, self.origin[j] - self.origin[i])


def crossing(low_a: Floats, high_a: Floats, low_b: Floats, high_b: Floats) -> tuple[Ints, Ints]:
    """Every (a, b) whose axis-aligned boxes share a volume, by sorting along the axis that leaves the fewest pairs."""
    if not len(low_a) or not len(low_b):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    axis = min(
        range(3),
        key=lambda k: _work(low_a[:, k], high_a[:, k], low_b[:, k], high_b[:, k]),
    )
    found_a: list[Ints] = []
    found_b: list[Ints] = []

    def keep(a: Ints, b: Ints) -> None:
        hit = np.all((low_a[a] < high_b[b]) & (low_b[b] < high_a[a]), axis=1)
        found_a.append(a[hit])
        found_b.append(b[hit])

    for a, b in _starting_within(low_a[:, axis], high_a[:, axis], low_b[:, axis], "left"):
        keep(a, b)
    for b, a in _starting_within(low_b[:, axis], high_b[:, axis], low_a[:, axis], "right"):
        keep(a, b)
    a, b = np.concatenate(found_a), np.concatenate(found_b)
    order = np.lexsort((b, a))
    return a[order], b[order]


def _work(low_a: Floats, high_a: Floats, low_b: Floats, high_b: Floats) -> int:
    """How many pairs overlap along one axis: all those that start before an end, less those that end before a start."""
    return int(np.searchsorted(np.sort(low_b), high_a).sum() - np.searchsorted(np.sort(high_b), low_a).sum())


def _starting_within(low: Floats, high: Floats, starts: Floats, side: str) -> Iterator[tuple[Ints, Ints]]:
    """Chunks of (i, j) where starts[j] lies between low[i] (included if `side` is left) and high[i]."""
    order = np.argsort(starts, kind="stable")
    ranked = starts[order]
    first = np.searchsorted(ranked, low, "left" if side == "left" else "right")
    counts = np.maximum(np.searchsorted(ranked, high, "left") - first, 0)
    ends = np.cumsum(counts)
    begin = 0
    while begin < len(low):
        before = ends[begin - 1] if begin else 0
        end = max(begin + 1, int(np.searchsorted(ends, before + CHUNK, "right")))
        rows = np.repeat(np.arange(begin, end), counts[begin:end])
        steps = np.arange(len(rows)) - np.repeat(ends[begin:end] - counts[begin:end] - before, counts[begin:end])
        yield rows, order[first[rows] + steps]
        begin = end


def apart(bodies: Bodies, i: Ints, j: Ints, shift: Floats | None = None, grow: float = -CONTACT / 2) -> Flags:
    """True where the oriented boxes of bodies i and j, every face moved out by `grow`, share no volume.

    With `shift` (k, 3) in mm, box i is swept from its place by that much. Separating axes: the faces of both, the
    products of their edges, and for a sweep the products of its direction with the edges (exact for convex bodies).
    """
    some = [slice(k, k + AT_ONCE) for k in range(0, len(i), AT_ONCE)]
    parts = [_apart(bodies, i[s], j[s], None if shift is None else shift[s], grow) for s in some]
    return np.concatenate(parts) if parts else np.empty(0, np.bool_)


def _apart(bodies: Bodies, i: Ints, j: Ints, shift: Floats | None, grow: float) -> Flags:
    a, b = (
        np.swapaxes(bodies.turn[i], 1, 2),
        np.swapaxes(bodies.turn[j], 1, 2),
    )  # rows: each box's own axes
    axes = [a, b, np.cross(a[:, :, None], b[:, None, :]).reshape(-1, 9, 3)]
    if shift is not None:
        axes += [np.cross(shift[:, None], a), np.cross(shift[:, None], b)]
    lines = np.concatenate(axes, axis=1)
    norms = np.linalg.norm(lines, axis=2)
    usable = norms > 1e-6
    lines = lines / np.where(usable, norms, 1.0)[:, :, None]
    reach = _reach(lines, a, bodies.half[i] + grow) + _reach(lines, b, bodies.half[j] + grow)
    between = np.einsum("knd,kd->kn", lines, bodies.centre[j] - bodies.centre[i])
    run = np.zeros_like(between) if shift is None else np.einsum("knd,kd->kn", lines, shift)
    clear = (between >= reach + np.maximum(run, 0)) | (between <= np.minimum(run, 0) - reach)
    return np.any(clear & usable, axis=1)


def _reach(lines: Floats, axes: Floats, half: Floats) -> Floats:
    """How far a box reaches from its centre along each line."""
    return np.einsum("knm,km->kn", np.abs(np.einsum("knd,kmd->knm", lines, axes)), half)
