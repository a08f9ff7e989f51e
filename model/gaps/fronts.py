"""Clearances of what is seen: fronts and doors among each other, under tops and in their frames."""

from collections.abc import Iterator, Sequence

import numpy as np

from model.collision.bodies import Floats, crossing
from model.gaps.facing import Boxed, Facing, Measured, UnitView, facing, measured, nearest
from model.tolerances import CONTACT

FRONTS = ("front", "door", "front panel")
TOPS = ("top", "edge", "build-up strip", "moulding")
FRAME = ("stile", "rail", "mullion")
AROUND = (*FRAME, "side", "partition", "bottom", "stretcher", "sub-top", "fixed shelf")
ROLES = frozenset((*FRONTS, *TOPS, *AROUND, "tray"))

NEIGHBOURS = 25.0
"""mm. Fronts that are further apart are no neighbours: more than the edge of a board lies between them."""
OVER = 150.0
"""mm. A top further over a front than this has something else between them."""
BEHIND = 50.0
"""mm. What lies this far behind the plane of a front can still fill the place over it (the edge of a tray)."""

Front = tuple[UnitView, Boxed, str]
"""A front, the unit it belongs to and the motion it rides on."""


def outer_gaps(views: Sequence[UnitView]) -> Iterator[Measured]:
    """Every clearance of the fronts along one wall."""
    fronts = [front for view in views for front in _fronts(view)]
    if not fronts:
        return
    fronts.sort(key=lambda front: front[1].path)
    yield from _among(fronts)
    yield from _under_tops(fronts, [b for view in views for b in view.roles(*TOPS)])
    for view, front, motion in fronts:
        yield from _in_frame(view, front, motion)


def _fronts(view: UnitView) -> Iterator[Front]:
    """Everything that moves and shows; what is fixed belongs to the frame."""
    for motion in view.unit.motions:
        for path in motion.parts:
            boxed = view.by_path.get(path)
            if boxed is not None and boxed.role in FRONTS:
                yield view, boxed, motion.name


def _corners(boxes: Sequence[Boxed]) -> tuple[Floats, Floats]:
    low = np.array([b.lo for b in boxes], dtype=np.float64).reshape(-1, 3)
    return low, np.array([b.hi for b in boxes], dtype=np.float64).reshape(-1, 3)


def _among(fronts: Sequence[Front]) -> Iterator[Measured]:
    """Neighbouring fronts of different motions, side by side or one over the other."""
    low, high = _corners([front for _, front, _ in fronts])
    near = np.array([NEIGHBOURS / 2, -CONTACT / 2, NEIGHBOURS / 2])
    first, second = crossing(low - near, high + near, low - near, high + near)
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        (view, a, moved), (other, b, with_it) = fronts[i], fronts[j]
        if i >= j or moved == with_it:
            continue
        found = _apart(a, b)
        if found is not None:
            frame = view.roles(*FRAME) + (other.roles(*FRAME) if other is not view else [])
            yield measured("front_to_front", view, a, found, loose=not any(_shows(found, m) for m in frame))


def _apart(a: Boxed, b: Boxed) -> Facing | None:
    """The gap between two fronts along the one axis on which they face each other; None where they stand aslant."""
    ways = [facing(a, b, axis, sign) for axis in (0, 2) for sign in (-1, 1)]
    return max((way for way in ways if way is not None), key=lambda way: way.gap, default=None)


def _shows(found: Facing, member: Boxed) -> bool:
    """Whether a member of the frame is what is seen in a gap."""
    return all(member.lo[k] - CONTACT <= found.at[k] <= member.hi[k] + CONTACT for k in (0, 2))


def _under_tops(fronts: Sequence[Front], tops: Sequence[Boxed]) -> Iterator[Measured]:
    """Each front with nothing between it and the top over it."""
    low, high = _corners([front for _, front, _ in fronts])
    up = np.array([0.0, 0.0, OVER])
    over: dict[int, list[Boxed]] = {}
    for i, j in zip(*(rows.tolist() for rows in crossing(low, high + up, *_corners(tops))), strict=True):
        over.setdefault(i, []).append(tops[j])
    for i, mine in sorted(over.items()):
        view, front, _ = fronts[i]
        found = nearest(front, mine, 2, 1)
        between = nearest(front, view.roles(*FRONTS, "tray"), 2, 1, (0.0, BEHIND, 0.0))
        if found is not None and (between is None or between.gap >= found.gap):
            yield measured("front_to_top", view, front, found)


def _in_frame(view: UnitView, front: Boxed, motion: str) -> Iterator[Measured]:
    """An inset front to what is round it; where that is another front the two are neighbours."""
    around = [b for b in view.roles(*AROUND) if b.lo[1] < front.hi[1] - CONTACT and b.hi[1] > front.lo[1] + CONTACT]
    if not around:
        return
    riders = next(set(m.parts) for m in view.unit.motions if m.name == motion)
    others = [b for b in view.roles(*FRONTS) if b is not front]
    for axis in (0, 2):
        for sign in (-1, 1):
            found = nearest(front, (b for b in around if b.path not in riders), axis, sign)
            before = nearest(front, others, axis, sign)
            if found is not None and (before is None or before.gap >= found.gap):
                yield measured("front_to_frame", view, front, found)
