"""In what order things go together: taken apart in thought, last things first, then read backward.

An item may be taken away when a straight line leads out past everything that is left. Of those that may, the one whose
turn is latest goes; and what is left must still hold together, so that nothing is put where nothing holds it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from model.assembly.insertion import BEYOND, Space
from model.assembly.items import Item
from model.assembly.tilting import tilts_in
from model.placement import Placement
from model.shapes import Vec
from model.tolerances import CONTACT

Near = Mapping[str, frozenset[str]]

AXES: tuple[Vec, ...] = (
    (0.0, -1.0, 0.0),
    (0.0, 1.0, 0.0),
    (-1.0, 0.0, 0.0),
    (1.0, 0.0, 0.0),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)
"""The ways out, seen facing the wall."""

SMALL = frozenset({"slides", "lights", "feet"})
"""Stages of things small enough to be brought through an opening and then set sideways."""

BY_HAND = "work in by hand"
TILT = "tilt in"
HANG = "hang on its pivots"
LOWERED = "lower the bed first"
DOWN: Vec = (0.0, 0.0, -1.0)


@dataclass(frozen=True)
class Placing:
    """An item that goes in along `direction` past `past` (paths), after coming from `travel` mm away."""

    item: Item
    direction: Vec
    past: tuple[str, ...]
    travel: float
    before: Vec | None = None
    needs: str = ""


@dataclass(frozen=True)
class Bench:
    """What taking apart needs to know besides the items: see `put_together`."""

    space: Space
    near: Near
    frame: Placement
    ways: Mapping[str, Vec]
    carries: Near


def put_together(
    space: Space,
    items: Iterable[Item],
    near: Near,
    frame: Placement,
    ways: Mapping[str, Vec] | None = None,
    carries: Near | None = None,
) -> tuple[Placing, ...]:
    """The items in the order they go together. `near` are the parts each part is joined to, `ways` the way out of
    items (by name) whose motion says it, `carries` what rests on a part; `frame` turns AXES into the room."""
    bench = Bench(space, near, frame, ways or {}, carries or {})
    return tuple(reversed(list(_taken_apart(bench, list(items)))))


def _taken_apart(bench: Bench, left: list[Item]) -> Iterator[Placing]:
    while len(left) > 1:
        taken = _next(bench, left)
        if taken is None:
            loose = next((k for k, item in enumerate(left) if item.kind == "side"), None)
            if loose is not None:  # what was to be put together first stands in its own way: its parts go in singly
                side = left[loose]
                left[loose : loose + 1] = [replace(i, rank=side.rank + 1, stage=side.stage) for i in side.inner]
                continue
            taken = _stuck(bench, left)
        left.remove(taken.item)
        yield taken
    yield from (Placing(item, DOWN, (), 0.0) for item in left)


def _turns(bench: Bench, left: list[Item]) -> list[Item]:
    """The items, latest first; those on which others still rest left out."""
    there = {p for item in left for p in item.parts}
    turns = sorted(range(len(left)), key=lambda k: (-left[k].rank, -k))
    return [
        left[k]
        for k in turns
        if not any(bench.carries.get(p, frozenset()) & there - set(left[k].parts) for p in left[k].parts)
    ]


def _next(bench: Bench, left: list[Item]) -> Placing | None:
    """The latest item that can go along a straight line; a shelf may be tilted."""
    whole = _pieces(left, bench.near)
    for must_hold in (True, False):
        for item in _turns(bench, left):
            rest = [other for other in left if other is not item]
            if (_pieces(rest, bench.near) <= whole) != must_hold:
                continue
            found = _way(bench, item, rest)
            if found is not None:
                return found
    return None


def _way(bench: Bench, item: Item, rest: list[Item]) -> Placing | None:
    space = bench.space
    past = tuple(p for other in rest for p in other.parts)
    moving, still = space.at(item.parts), space.at(past)
    directions = [bench.ways[item.name]] if item.name in bench.ways else []
    directions += [d for d in likely(bench, item.parts, past) if d not in directions]
    for out in directions:
        travel = space.way_out(moving, still, out)
        if space.blocked(moving, still, out, travel) is None:
            return Placing(item, back(out), past, travel)
    if item.stage in ("bed", "mattress"):
        return _bed_way(bench, item, past)
    bought = space.bodies.placed[int(moving[0])].part.kind == "hardware"
    if item.stage in SMALL or (bought and len(moving) == 1):
        return through_an_opening(space, item, past, directions)
    out = bench.frame.turn(AXES[0])
    if item.stage == "shelves" and tilts_in(space, item.parts, past, bench.frame):
        return Placing(item, back(out), past, space.way_out(moving, still, out), needs=TILT)
    return None


def _bed_way(bench: Bench, item: Item, past: tuple[str, ...]) -> Placing | None:
    """A bed comes straight from the front but for its pivots, which are then engaged; its mattress, when it lies down,
    from above: out of the bed's own open side."""
    space = bench.space
    role = {p: space.bodies.placed[space.rows[p]].role for p in (*item.parts, *past)}
    out = bench.frame.turn(AXES[0])
    if item.stage == "bed":
        moving = space.at(p for p in item.parts if role[p] != "pivot")
        still = space.at(p for p in past if role[p] not in ("pivot", "gas spring"))
        travel = space.way_out(moving, still, out)
        free = space.blocked(moving, still, out, travel) is None
        return Placing(item, back(out), past, travel, needs=HANG) if free else None
    bed = item.name.rsplit("/", 1)[0] + "/"
    own = space.at(p for p in past if p.startswith(bed))
    moving = space.at(item.parts)
    travel = space.way_out(moving, own, back(out))
    free = space.blocked(moving, own, back(out), travel) is None
    return Placing(item, out, past, travel, needs=LOWERED) if free else None


def through_an_opening(
    space: Space,
    item: Item,
    past: tuple[str, ...],
    directions: list[Vec],
    clear_of: tuple[str, ...] | None = None,
) -> Placing | None:
    """Off its place by a little more than its own size, then out straight another way, until it has left `clear_of`
    (everything it passes unless given)."""
    moving, still = space.at(item.parts), space.at(past)
    leaves = still if clear_of is None else space.at(clear_of)
    for first in directions:
        d = np.array(first)
        low, high = space.span(moving, d)
        travel = round(float(high.max() - low.min()) + BEYOND, 3)
        if space.blocked(moving, still, first, travel) is not None:
            continue
        for out in directions:
            if abs(float(np.dot(out, first))) > 0.5:
                continue
            if space.blocked(moving, still, out, space.way_out(moving, leaves, out), d * travel) is None:
                return Placing(item, back(first), past, travel, back(out))
    return None


def _stuck(bench: Bench, left: list[Item]) -> Placing:
    """Where no straight line leads out of what is left, two are tried, then the latest item is said to want a hand."""
    whole = _pieces(left, bench.near)
    turns = _turns(bench, left) or left
    holds = [item for item in turns if _pieces([o for o in left if o is not item], bench.near) <= whole]
    for item in holds or turns:
        past = tuple(p for other in left if other is not item for p in other.parts)
        found = through_an_opening(bench.space, item, past, likely(bench, item.parts, past))
        if found is not None:
            return found
    item = (holds or turns)[0]
    past = tuple(p for other in left if other is not item for p in other.parts)
    return Placing(item, back(bench.frame.turn(AXES[0])), past, 0.0, needs=BY_HAND)


def back(direction: Vec) -> Vec:
    x, y, z = (0.0 - c for c in direction)
    return (x, y, z)


def likely(bench: Bench, parts: tuple[str, ...], past: tuple[str, ...]) -> list[Vec]:
    """The six ways out, the likeliest first: square to the faces it is joined by, then away from the middle."""
    space, near, frame = bench.space, bench.near, bench.frame
    axes = np.array([frame.turn(axis) for axis in AXES])
    mine, other = space.at(parts), space.at(past)
    votes = np.zeros(len(axes))
    rest = set(past)
    spans = {}
    for path in parts:
        for mate in sorted(near.get(path, frozenset()) & rest):
            pair = space.at((path, mate))
            for k, axis in enumerate(axes):
                low, high = space.span(pair, axis)
                spans[k] = float(high[1] - low[0])  # how far out along the axis until the two part
            least = min(spans.values())
            if least <= 20 * CONTACT + 8.0:  # a groove's depth at most: faces, edges and grooves, no bores
                votes += [spans[k] <= least + CONTACT for k in range(len(axes))]
    away = axes @ (space.bodies.centre[mine].mean(axis=0) - space.bodies.centre[other].mean(axis=0))
    order = sorted(range(len(axes)), key=lambda k: (-votes[k], -round(float(away[k]), 1), k))
    return [_vec(axes[k]) for k in order]


def _vec(a: np.ndarray) -> Vec:
    x, y, z = (round(float(c), 9) + 0.0 for c in a)
    return (x, y, z)


def _pieces(items: list[Item], near: Near) -> int:
    """In how many pieces items hang together by their joints."""
    owner = {p: k for k, item in enumerate(items) for p in item.parts}
    left, count = set(range(len(items))), 0
    while left:
        count += 1
        queue = [min(left)]
        while queue:
            k = queue.pop()
            if k in left:
                left.remove(k)
                queue += [owner[m] for p in items[k].parts for m in near.get(p, ()) if m in owner and owner[m] in left]
    return count
