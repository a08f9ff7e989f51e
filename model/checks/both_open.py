"""What cannot be open at the same time, and what must be opened first: every motion against every other near it.

Drawers round a corner, a door and the drawer behind it, the bed and a drawer before it, the leaf of the room's own
door. The codes: `not-both-open` (once for each pair of units, with how far each opens), `opening-order`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from model.build import Build
from model.checks import check
from model.collision.bodies import Bodies
from model.collision.sweeps import Sweeps
from model.collision.together import Mover, Together, likeness, together
from model.findings import Code, Finding
from model.lengths import LengthUnit
from model.measures import show_run
from model.part import Motion, PlacedPart
from model.plan import Plan
from model.room.leaves import Leaf, leaves
from model.shapes import Vec

NEAR = 1.0
"""mm. What meets lies nearer than this."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two motions that do not get on, and how."""

    first: Motion
    second: Motion
    result: Together


CODES = (
    Code(
        "not-both-open",
        "Two things run free by themselves, but not both at once: each stops at the other, whichever opens first.",
        causes=(
            "drawers of two walls at an inside corner with too little between them",
            "a door that turns past a right angle, over the face of its neighbour, into the pull of an open drawer",
            "the room's door, or a bed, that comes down where drawers open",
        ),
        moved_by=(
            "project: corners.clear",
            "unit: doors.opens",
            "unit: doors.hinged",
            "project: materials.pull",
            "project: walls",
        ),
    ),
    Code(
        "opening-order",
        "One of two things has to be open before the other can be.",
        causes=(
            "drawers or trays behind a door",
            "a door that would turn into an open drawer",
        ),
        moved_by=(
            "unit: doors.opens",
            "unit: doors.hinged",
            "project: materials.pull",
        ),
    ),
)


@check
def both_open(build: Build) -> Iterator[Finding]:
    """Findings `not-both-open` and `opening-order`."""
    pairs = pairs_of(build)
    yield from _never(build, [p for p in pairs if p.result.verdict == "never"])
    yield from _in_order(build.plan, [_ordered(p) for p in pairs if p.result.verdict not in ("never", "blocked")])


def pairs_of(build: Build) -> tuple[Pair, ...]:
    """Every pair of motions of a build, the room's doors and windows among them, that are not free of each other."""
    plan = build.plan
    parts = [*plan.walk(), *(load.placed for load in plan.loads)]
    return tuple(_pairs(plan.laden, parts, leaves(build)))


def _pairs(said: tuple[Motion, ...], parts: list[PlacedPart], room: tuple[Leaf, ...]) -> Iterator[Pair]:
    motions = (*(m for m in said if m.travel), *(leaf.motion for leaf in room))
    if not motions:
        return
    bodies = Bodies.of([*parts, *(leaf.placed for leaf in room)])
    by_path = {p.path: p for p in bodies.placed}
    movers = [Mover(m, tuple(by_path[path] for path in m.parts)) for m in motions]
    told: dict[tuple[object, ...], Together] = {}
    for i, j in Sweeps.of(bodies, motions).near():
        first, second = movers[i], movers[j]
        if not set(first.motion.parts).isdisjoint(second.motion.parts):
            continue  # one rides on the other
        key = likeness(first, second)
        if key not in told:
            told[key] = together(first, second)
        if told[key].verdict != "free":
            yield Pair(first.motion, second.motion, told[key])


def _ordered(pair: Pair) -> Pair:
    """The pair with the motion that comes first in first place."""
    if pair.result.verdict == "first then second":
        return pair
    r = pair.result
    return Pair(pair.second, pair.first, Together(r.second_alone, r.first_alone, r.second_after, r.first_after))


def _unit(motion: Motion) -> str:
    return motion.name.split("/", 1)[0]


def _never(build: Build, pairs: list[Pair]) -> Iterator[Finding]:
    """One finding for each pair of units: the two motions that let each other open least, and how many more."""
    plan = build.plan
    placed = {**plan.by_path, **{leaf.placed.path: leaf.placed for leaf in leaves(build)}}
    units: dict[tuple[str, str], list[Pair]] = {}
    for pair in pairs:
        units.setdefault((_unit(pair.first), _unit(pair.second)), []).append(pair)
    for (one, other), some in units.items():
        worst = min(some, key=_least_share)
        a, b, result = worst.first, worst.second, worst.result
        runs = show_run(a, result.first_after, plan.lengths), show_run(b, result.second_after, plan.lengths)
        more = f" (and {len(some) - 1} more pairs)" if len(some) > 1 else ""
        who = f"{one} and {other}" if one != other else f"Two of {one}"
        yield Finding(
            code="not-both-open",
            severity="warning",
            message=f"{who} cannot be open at the same time: {a.name} opens {runs[0]} with {b.name} open, "
            f"and that {runs[1]} with it open{more}",
            parts=tuple(dict.fromkeys([*_meeting(worst), *_fronts(some)])),
            value=float(len(some)),
            limit=0.0,
            unit="pairs",
            source="each is in the way of the other, whichever opens first",
            at=_place(worst, placed),
            posed=((b.name, b.travel), (a.name, math.copysign(result.first_after or 0.0, a.travel))),
            details=(*_measured("first", a, result.first_after), *_measured("second", b, result.second_after)),
        )


def _meeting(pair: Pair) -> tuple[str, str]:
    """The two parts that meet in a pair."""
    i, j = pair.result.meets or (0, 0)
    return pair.first.parts[i], pair.second.parts[j]


def _fronts(pairs: list[Pair]) -> list[str]:
    """One part of each motion."""
    return [motion.parts[0] for pair in pairs for motion in (pair.first, pair.second)]


def _place(pair: Pair, placed: dict[str, PlacedPart]) -> Vec:
    """About where the two meet: the middle of what their bounds share, the second open and the first as far as it
    gets."""
    free = pair.result.first_after or 0.0
    as_far = replace(pair.first, travel=math.copysign(free, pair.first.travel))
    movers = [Mover(m, (placed[path],)) for m, path in zip((as_far, pair.second), _meeting(pair), strict=True)]
    a, b = (m.opened()[0].bounds() for m in movers)
    shared = a.grown(NEAR).common(b.grown(NEAR)) or a
    x, y, z = (round(c, 1) for c in shared.center)
    return (x, y, z)


def _least_share(pair: Pair) -> tuple[float, str, str]:
    shares = (
        (1.0 if free is None else free / abs(motion.travel))
        for motion, free in ((pair.first, pair.result.first_after), (pair.second, pair.result.second_after))
    )
    return (round(min(shares), 6), pair.first.name, pair.second.name)


def _measured(which: str, motion: Motion, free: float | None) -> tuple[tuple[str, float], ...]:
    if free is None:
        return ()
    if motion.kind == "swing":
        return ((f"{which}_free_deg", round(math.degrees(free), 2)),)
    return ((f"{which}_free_mm", round(free, 1)),)


def _in_order(plan: Plan, pairs: list[Pair]) -> Iterator[Finding]:
    """One note for each set of motions that must open before the same others: the drawers before a neighbour's door."""
    then: dict[str, list[Pair]] = {}
    for pair in pairs:
        then.setdefault(pair.first.name, []).append(pair)
    together: dict[tuple[str, ...], list[list[Pair]]] = {}
    for some in then.values():
        together.setdefault((_unit(some[0].first), *(p.second.name for p in some)), []).append(some)
    for (_, *seconds), groups in together.items():
        firsts = [some[0].first for some in groups]
        verb = "opens" if len(firsts) == 1 else "open"
        yield Finding(
            code="opening-order",
            severity="note",
            message=f"{', '.join(m.name for m in firsts)} {verb} before {', '.join(seconds)}: "
            f"{_why(groups[0][0], plan.lengths)}",
            parts=(*(m.parts[0] for m in firsts), *(p.second.parts[0] for p in groups[0])),
            source="one is in the way of the other until it is open",
        )


def _why(pair: Pair, lengths: LengthUnit) -> str:
    a, b, result = pair.first, pair.second, pair.result
    if result.second_alone is not None:
        return f"{b.name} opens {show_run(b, result.second_alone, lengths)} while {a.name} is shut"
    return f"{a.name} opens {show_run(a, result.first_after, lengths)} while {b.name} is open"
