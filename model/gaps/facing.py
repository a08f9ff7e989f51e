"""Parts as boxes in the frame of their wall, where what faces what is a matter of comparing numbers.

In that frame x runs along the wall, y into it, z up, and the boards of a unit lie square to the axes however the wall
stands in the room: the distance of two faces is the difference of two coordinates, exact to rounding.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from model.build import Build
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Vec
from model.tolerances import CONTACT

SQUARE = 1e-6
"""A part whose axes are further than this from those of its wall has no faces that could be compared."""

BAND = "edge band"
"""The role of a strip on the edge of a panel."""

STILL: Vec = (0.0, 0.0, 0.0)
_ACROSS = ((1, 2), (0, 2), (0, 1))


@dataclass(frozen=True, slots=True)
class Boxed:
    """A placed part and the corners of its blank in the frame of its wall (mm)."""

    placed: PlacedPart
    lo: Vec
    hi: Vec

    @property
    def path(self) -> str:
        return self.placed.path

    @property
    def role(self) -> str:
        return self.placed.role


@dataclass(frozen=True, slots=True)
class Facing:
    """Two faces that look at each other along an axis: their distance (negative where they have passed each other), and
    the middle of what lies between them, in the frame of the wall."""

    gap: float
    other: Boxed
    at: Vec


@dataclass(frozen=True)
class UnitView:
    """A unit in the frame of its wall: the parts that lie square in it, by role and by path."""

    unit: BuiltUnit
    wall: str
    frame: Placement
    by_role: dict[str, list[Boxed]] = field(default_factory=dict)
    by_path: dict[str, Boxed] = field(default_factory=dict)

    def roles(self, *names: str) -> list[Boxed]:
        return [boxed for name in names for boxed in self.by_role.get(name, ())]


def views(build: Build, roles: frozenset[str]) -> list[UnitView]:
    """Every unit of a plan in the frame of its wall, with those of its parts that play one of the roles."""
    frames = {wall.name: wall.frame for wall in build.walls}
    found: list[UnitView] = []
    for unit in build.plan.units:
        wall = build.stands_at[unit.name]
        found.append(UnitView(unit, wall, frames[wall]))
    for name, frame in frames.items():
        mine = [
            (view, p)
            for view in found
            if view.wall == name
            for p in view.unit.parts
            if (p.role in roles or p.role == BAND)
        ]
        for (view, _), boxed in zip(mine, _boxes([p for _, p in mine], frame), strict=True):
            if boxed is not None:
                view.by_path[boxed.path] = boxed
    for view in found:
        _band(view)
        for boxed in view.by_path.values():
            view.by_role.setdefault(boxed.role, []).append(boxed)
    return found


def _band(view: UnitView) -> None:
    """Let every panel reach to the outside of the bands on its edges: they are what others meet."""
    for joint in view.unit.joints:
        strip, panel = view.by_path.get(joint.a), view.by_path.get(joint.b)
        if strip is not None and panel is not None and strip.role == BAND:
            lo = [min(p, q) for p, q in zip(strip.lo, panel.lo, strict=True)]
            hi = [max(p, q) for p, q in zip(strip.hi, panel.hi, strict=True)]
            view.by_path[panel.path] = Boxed(panel.placed, (lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _boxes(parts: Sequence[PlacedPart], frame: Placement) -> list[Boxed | None]:
    """Each part's box in a frame; None where it does not lie square in it."""
    if not parts:
        return []
    back = np.array(frame.rotation).T
    turns = back @ np.array([p.placement.rotation for p in parts])
    starts = (np.array([p.placement.origin for p in parts]) - np.array(frame.origin)) @ back.T
    ends = starts + np.einsum("nij,nj->ni", turns, np.array([p.part.size for p in parts]))
    square = np.all(np.minimum(np.abs(turns), np.abs(1 - np.abs(turns))) < SQUARE, axis=(1, 2)).tolist()
    low, high = np.minimum(starts, ends).tolist(), np.maximum(starts, ends).tolist()
    return [
        Boxed(p, (lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2])) if flat else None
        for p, lo, hi, flat in zip(parts, low, high, square, strict=True)
    ]


def facing(a: Boxed, b: Boxed, axis: int, sign: int, sweep: Vec = STILL) -> Facing | None:
    """How far b lies from a along an axis (0, 1, 2), toward `sign`; None where it does not face a on that side.

    `sweep` is how far a travels (mm): b faces it where it does so anywhere on the way.
    """
    return nearest(a, (b,), axis, sign, sweep)


def nearest(a: Boxed, others: Iterable[Boxed], axis: int, sign: int, sweep: Vec = STILL) -> Facing | None:
    """The nearest of the others that face a on one side."""
    k, m = _ACROSS[axis]
    low_k, high_k = a.lo[k] + min(sweep[k], 0.0), a.hi[k] + max(sweep[k], 0.0)
    low_m, high_m = a.lo[m] + min(sweep[m], 0.0), a.hi[m] + max(sweep[m], 0.0)
    middle = a.lo[axis] + a.hi[axis]
    face = a.hi[axis] if sign > 0 else a.lo[axis]
    best: Boxed | None = None
    least = math.inf
    for other in others:
        lo, hi = other.lo, other.hi
        if (
            lo[k] < high_k - CONTACT
            and hi[k] > low_k + CONTACT
            and lo[m] < high_m - CONTACT
            and hi[m] > low_m + CONTACT
            and sign * (lo[axis] + hi[axis] - middle) > 0
        ):
            gap = lo[axis] - face if sign > 0 else face - hi[axis]
            if gap < least:
                best, least = other, gap
    if best is None:
        return None
    at = [0.0, 0.0, 0.0]
    at[axis] = face + sign * least / 2
    at[k] = (max(low_k, best.lo[k]) + min(high_k, best.hi[k])) / 2
    at[m] = (max(low_m, best.lo[m]) + min(high_m, best.hi[m])) / 2
    return Facing(least, best, (at[0], at[1], at[2]))


@dataclass(frozen=True, slots=True)
class Measured:
    """One clearance as built: which one it is, between which two, how much (mm), and where in a frame of the room.

    `b` is None for a wall of the room, which `wall` then names. `loose` says whether it can be too loose at all.
    """

    key: str
    a: PlacedPart
    b: PlacedPart | None
    gap: float
    at: Vec
    frame: Placement
    wall: str = ""
    loose: bool = True


def measured(key: str, view: UnitView, a: Boxed, found: Facing, loose: bool = True) -> Measured:
    return Measured(key, a.placed, found.other.placed, found.gap, found.at, view.frame, loose=loose)
