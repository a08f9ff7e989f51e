"""Parts in motion: what a slide runs into over its whole travel at once, and the search that any motion shares."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from model.collision.bodies import Bodies, Floats, Ints, apart, crossing
from model.collision.contacts import contacts
from model.collision.pairs import Key, Overlap, Pairs, Pose, clear, overlap
from model.meshes import arrays, core
from model.part import Motion, Part
from model.placement import Placement
from model.shapes import Cylinder
from model.tolerances import CONTACT

LADDER = 1.6
"""Each step of the search after a contact is this much longer than the last."""

POSITIONS = 24
"""At most this many places where faces pass each other are looked at for the largest overlap."""

EVENLY = 9
"""And this many evenly spread ones."""


@dataclass(frozen=True, slots=True)
class Hit:
    """A body that moves (`a`) and one it runs into (`b`), by row.

    `free` is the travel before they meet (mm, radians for a swing), `overlap` the largest they come to share at the
    places looked at, `position` the travel there; the centroid of the overlap is in the frame of body `a` at rest.
    """

    motion: Motion
    a: int
    b: int
    free: float
    position: float
    overlap: Overlap


@dataclass(frozen=True, slots=True)
class Blocked:
    """Free travel (mm), the largest overlap found and the travel at which it is (mm)."""

    free: float
    position: float
    overlap: Overlap


@dataclass(frozen=True, slots=True)
class Met:
    """The first meeting of all: after how far (mm, radians), the row that moves and the row it meets."""

    free: float
    a: int
    b: int


class Run(Protocol):
    """One part on its way past another. Places are mm of travel; on a swing, of its outermost point."""

    @property
    def travel(self) -> float:
        """How far it goes."""
        ...

    def overlap(self, place: float) -> Overlap | None:
        """What the two share there, its centroid in the frame of the moving part at rest."""
        ...

    def clear(self, place: float) -> bool:
        """Whether the cores of the two share nothing there."""
        ...


@dataclass(frozen=True)
class Sliding:
    """A slide of part a of the pose along the unit vector `direction` (in its own frame) by `travel` mm."""

    pose: Pose
    direction: Floats
    travel: float

    def overlap(self, place: float) -> Overlap | None:
        return overlap(self.pose, self.direction * place)

    def clear(self, place: float) -> bool:
        return clear(self.pose, self.direction * place)


@dataclass(frozen=True)
class Slides:
    """The slides of a plan against everything that does not ride along."""

    pairs: Pairs
    motions: tuple[Motion, ...]
    _results: dict[tuple[Key, bytes], Blocked | None] = field(default_factory=dict)

    @property
    def bodies(self) -> Bodies:
        return self.pairs.bodies

    def hits(self) -> Iterator[Hit]:
        """Every moving part that runs into another. Pairs that overlap at rest already are left out.

        Where the other part rides on a swing (a door), it is in the way only if it is so both shut and fully open.
        """
        rows = {p.path: i for i, p in enumerate(self.bodies.placed)}
        slides = [m for m in self.motions if m.kind == "slide" and m.travel > 0]
        swings = [m for m in self.motions if m.kind == "swing"]
        riders = [np.array(sorted(rows[p] for p in m.parts), dtype=np.int64) for m in slides]
        for number, a, b in self._candidates(slides, riders):
            order = np.lexsort((b, a))
            motion, a, b = slides[number], a[order], b[order]
            direction = np.array(motion.direction)
            for i, j, (key, pose) in zip(a.tolist(), b.tolist(), self.pairs.poses(a, b), strict=True):
                blocked = self._blocked(key, pose, self.bodies.turn[i].T @ direction, motion.travel)
                if blocked and self._open_too(swings, i, j, motion):
                    yield Hit(motion, i, j, blocked.free, blocked.position, blocked.overlap)

    def first(self) -> Met | None:
        """What any of the slides meets first; None where all run free. Quicker than `hits`, which tells all they meet
        and by how much."""
        rows = {p.path: i for i, p in enumerate(self.bodies.placed)}
        slides = [m for m in self.motions if m.kind == "slide" and m.travel > 0]
        least: Met | None = None
        riders = [np.array(sorted(rows[p] for p in m.parts), dtype=np.int64) for m in slides]
        for number, a, b in self._candidates(slides, riders):
            direction = np.array(slides[number].direction)
            for i, j, (key, pose) in zip(a.tolist(), b.tolist(), self.pairs.poses(a, b), strict=True):
                if self.pairs.overlap(key, pose):
                    continue
                before = least.free if least else math.inf
                found = free_slide(pose, self.bodies.turn[i].T @ direction, slides[number].travel, before)
                if found is not None and found < before:
                    least = Met(found, i, j)
        return least

    def _candidates(self, slides: list[Motion], riders: list[Ints]) -> Iterator[tuple[int, Ints, Ints]]:
        """For each slide: the rows that move and the rows in their way, as far as boxes tell."""
        if not slides:
            return
        bodies = self.bodies
        number = np.repeat(np.arange(len(slides)), [len(r) for r in riders])
        mover = np.concatenate(riders)
        shift = np.array([np.array(m.direction) * m.travel for m in slides])[number]
        low, high = bodies.bounds()
        swept = low[mover] + np.minimum(shift, 0), high[mover] + np.maximum(shift, 0)
        row, other = crossing(*swept, low, high)
        members = np.unique(number * len(bodies) + mover)
        free = ~np.isin(number[row] * len(bodies) + other, members)
        row, other = row[free], other[free]
        near = ~apart(bodies, mover[row], other, shift[row])
        row, other = row[near], other[near]
        starts = np.searchsorted(number[row], np.arange(len(slides) + 1))
        for n in range(len(slides)):
            some = slice(starts[n], starts[n + 1])
            if starts[n] < starts[n + 1]:
                yield n, mover[row[some]], other[some]

    def _blocked(self, key: Key, pose: Pose, direction: Floats, travel: float) -> Blocked | None:
        direction = np.round(direction, 9) + 0.0
        full = (key, direction.tobytes() + np.float64(travel).tobytes())
        if full not in self._results:
            at_rest = self.pairs.overlap(key, pose)
            self._results[full] = None if at_rest else slide(pose, direction, travel)
        return self._results[full]

    def _open_too(self, swings: list[Motion], i: int, j: int, motion: Motion) -> bool:
        """Whether body i still runs into body j when the swing that j rides on, if any, is fully open."""
        mover, other = self.bodies.placed[i], self.bodies.placed[j]
        for swing in swings:
            if other.path in swing.parts and mover.path not in swing.parts:
                opened = Bodies.of([mover, other.moved(swung(swing, swing.travel))])
                first, second = (np.array([k]) for k in ((0, 1) if mover.path < other.path else (1, 0)))
                _, pose = Pairs(opened).poses(first, second)[0]
                direction = opened.turn[first[0]].T @ np.array(motion.direction)
                if overlap(pose) is None and slide(pose, direction, motion.travel) is None:
                    return False
        return True


def swung(motion: Motion, angle: float) -> Placement:
    """The placement that turns by `angle` radians about the axis of a swing."""
    x, y, z = motion.direction
    c, s = math.cos(angle), math.sin(angle)
    turn = Placement(
        (0.0, 0.0, 0.0),
        (
            (c + x * x * (1 - c), x * y * (1 - c) - z * s, x * z * (1 - c) + y * s),
            (y * x * (1 - c) + z * s, c + y * y * (1 - c), y * z * (1 - c) - x * s),
            (z * x * (1 - c) - y * s, z * y * (1 - c) + x * s, c + z * z * (1 - c)),
        ),
    )
    px, py, pz = turn.turn(motion.origin)
    ox, oy, oz = motion.origin
    return Placement((ox - px, oy - py, oz - pz), turn.rotation)


def slide(pose: Pose, direction: Floats, travel: float) -> Blocked | None:
    """What stops part a of the pose as it slides along the unit vector `direction` (in its own frame) by `travel` mm.

    Contacts are those of the parts drawn in by half of CONTACT, so faces that glide along each other do not meet.
    Between one contact and the next the shared volume is smooth, and it is looked at on both sides of every contact
    and in between until it counts. The free travel runs to where that overlap began.
    """
    run, starts = _approach(pose, direction, travel)
    found = first_block(run, starts)
    if found is None:
        return None
    met, counts = found
    own = _levels(pose.a, direction)
    other = _levels(pose.b, pose.turn.T @ direction) + float(pose.origin @ direction)
    passing = np.unique(np.round((other[None, :] - own[:, None]).ravel(), 3))
    position, most = largest(run, met, counts, passing)
    return Blocked(max(met - CONTACT, 0.0), position, most)


def free_slide(pose: Pose, direction: Floats, travel: float, before: float) -> float | None:
    """The free travel alone (mm), where it is less than `before`."""
    run, starts = _approach(pose, direction, travel)
    if (not starts or starts[0] - CONTACT >= before) and run.clear(0.0):
        return None
    found = first_block(run, starts)
    return None if found is None else max(found[0] - CONTACT, 0.0)


def _approach(pose: Pose, direction: Floats, travel: float) -> tuple[Sliding, list[float]]:
    """The run of a slide, and every place where the two can meet on it."""
    points, faces = arrays(core(pose.b))
    still = points @ pose.turn.T + pose.origin, faces
    return Sliding(pose, direction, travel), contacts(arrays(core(pose.a)), still, direction, travel)


def first_block(run: Run, starts: list[float]) -> tuple[float, float] | None:
    """The place where an overlap begins that comes to count, and one where it counts; None where none does.

    `starts` are all the places where the two can meet, in order: between one and the next what they share is smooth.
    """
    if not run.clear(0.0):
        starts = [0.0, *starts]  # a nick too small to count at rest may grow
    for k, start in enumerate(starts):
        end = starts[k + 1] if k + 1 < len(starts) else run.travel
        counts = next((t for t in _ladder(start, end) if run.overlap(t)), None)
        if counts is not None:
            return _beginning(run, starts[: k + 1], counts), counts
    return None


def _ladder(start: float, end: float) -> Iterator[float]:
    """Places from one contact to the next: ever wider steps, so that a thin overlap is met as surely as a thick one."""
    step = CONTACT
    while step < end - start:
        yield start + step
        step *= LADDER
    yield (start + end) / 2
    yield end


def _beginning(run: Run, starts: list[float], counts: float) -> float:
    """Where the overlap that counts at `counts` began: the last contact before which the two were clear.

    An overlap that is there from the start, a nick, begins to matter where it begins to count.
    """
    for start in reversed(starts[1:]):
        if run.clear(start - CONTACT / 10):
            return start
    if run.clear(0.0):
        return starts[0]
    below, above = 0.0, counts
    while above - below > CONTACT:
        middle = (below + above) / 2
        below, above = (below, middle) if run.overlap(middle) else (middle, above)
    return above


def largest(run: Run, met: float, counts: float, passing: Floats) -> tuple[float, Overlap]:
    """The place of the largest overlap found, and that overlap.

    Looked at: evenly to the end, `passing`, where a face of one passes a face of the other (for parts made of boxes
    that slide square to their faces the volume is linear in between, so the largest is among these), and finer around
    the best.
    """
    passing = passing[(passing > met) & (passing < run.travel)]
    if len(passing) > POSITIONS:
        passing = passing[np.linspace(0, len(passing) - 1, POSITIONS).round().astype(int)]
    evenly = np.linspace(met, run.travel, EVENLY).tolist()
    places = sorted({counts, *passing.tolist(), *evenly, *_ladder(met, run.travel)})
    found = [(run.overlap(t), t) for t in places]
    best = max(range(len(found)), key=lambda k: (_volume(found[k][0]), -k))
    low, high = places[max(best - 1, 0)], places[min(best + 1, len(places) - 1)]
    finer = [(run.overlap(t), t) for t in np.linspace(low, high, EVENLY).tolist()]
    most, position = max([found[best], *finer], key=lambda f: (_volume(f[0]), -f[1]))
    assert most is not None
    return position, most


def _volume(found: Overlap | None) -> float:
    return 0.0 if found is None else round(found.volume, 3)


def _levels(part: Part, direction: Floats) -> Floats:
    """The ends, along a direction in the part's frame, of its blank or body and of its cuts (bores left out)."""
    tools: Iterable = (p for cut in part.cuts for p in cut.primitives(part.size) if not isinstance(p, Cylinder))
    blank = np.array([[0.0, 0.0, 0.0], part.size])
    boxes = [blank] + [np.array([b.lo, b.hi]) for b in (p.bounds() for p in (*part.body, *tools))]
    ends = [box @ np.diag(direction) for box in boxes]
    lows = [e.min(axis=0).sum() for e in ends]
    highs = [e.max(axis=0).sum() for e in ends]
    return np.unique(np.round([*lows, *highs], 3))
