"""What cannot be open at the same time: slides of one wall against those of another, by the volumes they sweep.

A drawer by itself may run free and still meet a drawer round the corner that is open too. The volume a box sweeps along
a line is convex, so two of them meet or not by separating axes: exact for boards and panels. Swings are left out.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.build import Build
from model.checks import check
from model.checks.bodies import Floats
from model.findings import Finding
from model.part import Motion, PlacedPart
from model.shapes import Box, Vec
from model.tolerances import CONTACT


@dataclass(frozen=True)
class Sweep:
    """A box swept along a line: its corners at both ends, the directions of its edges and of the sweep."""

    corners: Floats  # (16, 3)
    edges: Floats  # (4, 3)

    @classmethod
    def of(cls, placed: PlacedPart, shift: Floats) -> "Sweep":
        turn = np.array(placed.placement.rotation)
        size = placed.part.size
        drawn_in = CONTACT / 2
        ends = [(drawn_in, length - drawn_in) for length in size]
        own = np.array([(x, y, z) for x in ends[0] for y in ends[1] for z in ends[2]])
        at_rest = own @ turn.T + np.array(placed.placement.origin)
        return cls(np.concatenate((at_rest, at_rest + shift)), np.concatenate((turn.T, shift[None])))

    def meets(self, other: "Sweep") -> bool:
        """Whether the two share a volume: no axis of their faces or edges keeps them apart."""
        pairs = [(a, b) for edges in (self.edges, other.edges) for i, a in enumerate(edges) for b in edges[:i]]
        pairs += [(a, b) for a in self.edges for b in other.edges]
        axes = np.array([np.cross(a, b) for a, b in pairs])
        norms = np.linalg.norm(axes, axis=1)
        axes = axes[norms > 1e-6] / norms[norms > 1e-6][:, None]
        mine, theirs = self.corners @ axes.T, other.corners @ axes.T
        apart = (mine.max(axis=0) <= theirs.min(axis=0)) | (theirs.max(axis=0) <= mine.min(axis=0))
        return not bool(apart.any())


@check
def both_open(build: Build) -> Iterator[Finding]:
    """Finding `not-both-open`, once for each pair of units."""
    slides = [m for m in build.plan.motions if m.kind == "slide" and m.travel > 0]
    wall_of = {m.name: build.stands_at[m.name.split("/", 1)[0]] for m in slides}
    if len(set(wall_of.values())) < 2:
        return
    bounds = {m.name: _swept(build, m) for m in slides}
    told: dict[tuple[str, str], list[tuple[Motion, Motion]]] = {}
    for i, a in enumerate(slides):
        for b in slides[:i]:
            if wall_of[a.name] == wall_of[b.name] or not bounds[a.name].common(bounds[b.name]):
                continue
            if _meet(build, a, b):
                units = (b.name.split("/", 1)[0], a.name.split("/", 1)[0])
                told.setdefault(units, []).append((b, a))
    for (first, second), pairs in told.items():
        names = [f"{a.name} and {b.name}" for a, b in pairs]
        more = f" (and {len(names) - 1} more pairs)" if len(names) > 1 else ""
        shared = bounds[pairs[0][0].name].common(bounds[pairs[0][1].name])
        yield Finding(
            code="not-both-open",
            severity="warning",
            message=f"{first} and {second} cannot be open at the same time: {names[0]} meet{more}",
            parts=tuple(dict.fromkeys(m.parts[0] for pair in pairs for m in pair)),
            value=float(len(pairs)),
            limit=0.0,
            unit="pairs",
            source="the volumes they sweep share a place",
            at=shared.center if shared else None,
        )


def _shift(motion: Motion) -> Floats:
    return np.array(motion.direction) * motion.travel


def _swept(build: Build, motion: Motion) -> Box:
    """The bounds of all a motion sweeps."""
    x, y, z = _shift(motion).tolist()
    lows: list[Vec] = []
    highs: list[Vec] = []
    for path in motion.parts:
        box = build.plan.by_path[path].bounds()
        lows.append(tuple(c + min(s, 0.0) for c, s in zip(box.lo, (x, y, z), strict=True)))
        highs.append(tuple(c + max(s, 0.0) for c, s in zip(box.hi, (x, y, z), strict=True)))
    low = [min(c) for c in zip(*lows, strict=True)]
    high = [max(c) for c in zip(*highs, strict=True)]
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _meet(build: Build, a: Motion, b: Motion) -> bool:
    first = [Sweep.of(build.plan.by_path[p], _shift(a)) for p in a.parts]
    second = [Sweep.of(build.plan.by_path[p], _shift(b)) for p in b.parts]
    return any(s.meets(t) for s in first for t in second)
