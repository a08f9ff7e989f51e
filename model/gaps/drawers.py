"""Clearances inside a unit: drawers in their frames, slides on what carries them, trays on strips, shelves on pins."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from model.gaps.facing import Boxed, Facing, Measured, UnitView, facing, measured, nearest
from model.shapes import Vec
from model.stock.tables import Stock

UPRIGHTS = ("stile", "mullion")
WALLS = ("side", "partition", "end panel")
BOX = ("drawer side", "drawer front or back", "drawer bottom", "slide")
CARRIES = ("build-out", "hanger")
"""What a slide is screwed to where that is no wall of the carcass."""
OTHERS = ("rail", "back", "tray", "runner", "shelf", "shelf pin", "batten")
ROLES = frozenset((*UPRIGHTS, *WALLS, *BOX, *CARRIES, *OTHERS))
RUNS_ON = ("drawer side", "batten")
"""What carries the drawer member of a slide."""


def inner_gaps(view: UnitView, stock: Stock) -> Iterator[Measured]:
    """Every clearance inside a unit."""
    inward = view.frame.inverse()
    for motion in view.unit.motions:
        if motion.kind != "slide":
            continue
        riders = [view.by_path[path] for path in motion.parts if path in view.by_path]
        sweep = _times(inward.turn(motion.direction), motion.travel)
        yield from _drawer(view, riders, sweep)
        yield from _tray(view, riders, sweep)
    yield from _slides(view, stock)
    yield from _shelves(view)


def _times(v: Vec, by: float) -> Vec:
    return (v[0] * by, v[1] * by, v[2] * by)


def _drawer(view: UnitView, riders: list[Boxed], sweep: Vec) -> Iterator[Measured]:
    """A drawer box past what it passes, at each side and above and below, and behind it when it is shut."""
    sides = sorted((b for b in riders if b.role == "drawer side"), key=lambda b: b.lo[0])
    if not sides:
        return
    uprights, rails = view.roles(*UPRIGHTS), view.roles("rail")
    for side, sign in ((sides[0], -1), (sides[-1], 1)):
        if found := nearest(side, uprights, 0, sign, sweep):
            yield measured("drawer_to_frame", view, side, found)
    others = [b for b in view.roles("drawer side") if b not in sides]
    for sign in (-1, 1):
        passes = [(s, nearest(s, rails, 2, sign, sweep), nearest(s, others, 2, sign)) for s in sides]
        clear = [(s, rail) for s, rail, before in passes if rail and (before is None or before.gap >= rail.gap)]
        yield from _least(view, "drawer_to_rail", clear)
    backs = view.roles("back")
    behind = [(b, nearest(b, backs, 1, 1)) for b in riders if b.role in BOX]
    yield from _least(view, "drawer_to_back", behind)


def _least(view: UnitView, key: str, found: Sequence[tuple[Boxed, Facing | None]]) -> Iterator[Measured]:
    """The least of some gaps, as one."""
    there = [(a, f) for a, f in found if f is not None]
    if there:
        a, f = min(there, key=lambda pair: pair[1].gap)
        yield measured(key, view, a, f)


def _tray(view: UnitView, riders: list[Boxed], sweep: Vec) -> Iterator[Measured]:
    """A tray on strips: its play at each end, and up and down at each side."""
    if any(b.role == "slide" for b in riders):
        return  # slides hold it: they are measured as a drawer's
    beside, runners = view.roles(*UPRIGHTS, *WALLS), view.roles("runner")
    for tray in (b for b in riders if b.role == "tray"):
        for sign in (-1, 1):
            if found := nearest(tray, beside, 0, sign, sweep):
                yield measured("tray_to_side", view, tray, found)
        for strip in runners:
            over = facing(tray, strip, 2, 1, sweep)
            under = None if over is None else nearest(tray, _beside(strip, runners), 2, -1, sweep)
            if over is not None and under is not None:
                yield measured("tray_to_runner", view, tray, replace(over, gap=over.gap + under.gap))


def _beside(strip: Boxed, runners: list[Boxed]) -> list[Boxed]:
    """The strips that lie over or under a strip."""
    return [r for r in runners if r.lo[0] < strip.hi[0] and strip.lo[0] < r.hi[0]]


@dataclass(frozen=True, slots=True)
class _Fixed:
    """A member of a slide and what it is screwed to."""

    member: Boxed
    host: Boxed
    sign: int


def _slides(view: UnitView, stock: Stock) -> Iterator[Measured]:
    """Every member flush with what it is screwed to, and room for the slide between the two."""
    fixed: dict[str, _Fixed] = {}
    runs: list[tuple[str, str]] = []
    for joint in view.unit.joints:
        a, b = view.by_path.get(joint.a), view.by_path.get(joint.b)
        if a is None or b is None:
            continue
        if joint.kind == "runs" and a.role == b.role == "slide":
            runs.append((a.path, b.path))
        elif joint.kind == "screwed" and (a.role == "slide") != (b.role == "slide"):
            member, host = (a, b) if a.role == "slide" else (b, a)
            sign = 1 if host.lo[0] + host.hi[0] > member.lo[0] + member.hi[0] else -1
            fixed[member.path] = _Fixed(member, host, sign)
    for one in fixed.values():
        key = "slide_to_drawer" if one.host.role in RUNS_ON else "slide_to_carcass"
        if found := facing(one.member, one.host, 0, one.sign):
            yield measured(key, view, one.member, found)
    for outer, inner in runs:
        if outer in fixed and inner in fixed:
            yield from _play(view, stock, fixed[outer], fixed[inner])


def _play(view: UnitView, stock: Stock, outer: _Fixed, inner: _Fixed) -> Iterator[Measured]:
    """What the space between the two hosts of a slide is more than the slide takes."""
    wall, carried = outer.host, inner.host
    low, high = (wall, carried) if outer.sign < 0 else (carried, wall)
    space = high.lo[0] - low.hi[0]
    sold = stock.slides.get(outer.member.placed.part.material)
    takes = sold.thickness if sold else sum(f.member.hi[0] - f.member.lo[0] for f in (outer, inner))
    at = [(p + q) / 2 for p, q in zip(outer.member.lo, outer.member.hi, strict=True)]
    at[0] = (high.lo[0] + low.hi[0]) / 2
    found = Facing(space - takes, carried, (at[0], at[1], at[2]))
    yield measured("slide_play", view, wall, found)


def _shelves(view: UnitView) -> Iterator[Measured]:
    """Shelves on pins: the play at each end."""
    shelves: dict[str, Boxed] = {}
    for joint in view.unit.joints:
        if joint.kind == "rests":
            a, b = view.by_path.get(joint.a), view.by_path.get(joint.b)
            if a is not None and b is not None and {a.role, b.role} == {"shelf", "shelf pin"}:
                shelf = a if a.role == "shelf" else b
                shelves[shelf.path] = shelf
    walls = view.roles(*WALLS)
    for shelf in shelves.values():
        for sign in (-1, 1):
            if found := nearest(shelf, walls, 0, sign):
                yield measured("shelf_to_side", view, shelf, found)
