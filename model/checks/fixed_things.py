"""Parts against what is fixed in the room: radiators, pipes, beams, baseboards and walls, at rest and in motion.

The codes: `in-the-way` (a part fills the place of something fixed), `past-wall` (of another wall than its own),
`no-air` (a part lies within the air something needs), `hits-room` (what slides or turns runs into the room),
`window-blocked` (a window that opens into the room meets a part).
"""

import math
from collections.abc import Iterator

import numpy as np

from model.build import Build
from model.checks import check
from model.collision.bodies import Bodies, apart, crossing
from model.collision.motion import Hit, Slides
from model.collision.pairs import Pairs
from model.collision.swings import Swings
from model.findings import Code, Finding
from model.lengths import show_length
from model.measures import show_run
from model.part import PlacedPart
from model.placement import Placement
from model.room.fixtures import Fixture, body, fixtures
from model.room.leaves import leaves
from model.tolerances import CONTACT, rounded

CODES = (
    Code(
        "in-the-way",
        "A part fills the place of something fixed to the wall: a radiator, a pipe, a beam, a baseboard.",
        causes=(
            "a unit placed over it",
            "a depth that does not leave it room",
        ),
        moved_by=(
            "project: walls.width",
            "project: margins",
            "project: baseboard",
            "unit: depth",
        ),
    ),
    Code(
        "past-wall",
        "A part stands in a wall or past its end.",
        causes=(
            "widths that add up to more than the wall",
            "a unit deeper than the wall beside it allows",
            "a top that overhangs past the end",
        ),
        moved_by=(
            "project: margins",
            "project: tops.overhang",
            "project: walls.width",
            "project: uppers.x",
        ),
    ),
    Code(
        "no-air",
        "A part lies within the air that something fixed needs (a radiator gives off less heat behind a closed back).",
        causes=("a unit before a radiator",),
        moved_by=(
            "project: walls.width",
            "project: margins",
            "room: walls.radiators.clear",
        ),
    ),
    Code(
        "hits-room",
        "What slides or turns runs into a wall, the ceiling or something fixed.",
        causes=(
            "a door hinged beside a wall, with its pull",
            "a bed longer than the ceiling is high above its pivot",
            "a door turned into a sloping ceiling",
        ),
        moved_by=(
            "unit: doors.opens",
            "unit: doors.hinged",
            "project: margins",
            "unit: lie_height",
            "unit: height",
        ),
    ),
    Code(
        "window-blocked",
        "The sash of a window that opens into the room meets a part.",
        causes=(
            "an upper or a tall unit beside the window",
            "something that stands on the sill's height before it",
        ),
        moved_by=(
            "project: uppers.x",
            "project: uppers.bottom",
            "project: uppers.height",
            "project: walls.width",
        ),
    ),
)


@check
def fixed_things(build: Build) -> Iterator[Finding]:
    """Findings `in-the-way`, `past-wall`, `no-air`, `hits-room` and `window-blocked`."""
    room = fixtures(build)
    yield from _at_rest(build, room)
    yield from _without_air(build)
    yield from _in_motion(build, room)
    yield from _sashes(build)


def _shared(parts: list[PlacedPart], others: list[PlacedPart]) -> Iterator[tuple[PlacedPart, PlacedPart, float, float]]:
    """Pairs of a part and another body that share a volume, how deep (mm) and how much (mm^3)."""
    bodies = Bodies.of([*parts, *others])
    pairs = Pairs(bodies)
    them = {p.path for p in others}
    fixed = np.array([p.path in them for p in bodies.placed])
    low, high = bodies.bounds()
    rows, cols = np.flatnonzero(fixed), np.flatnonzero(~fixed)
    i, j = crossing(low[rows], high[rows], low[cols], high[cols])
    first, second = np.minimum(rows[i], cols[j]), np.maximum(rows[i], cols[j])
    near = ~apart(bodies, first, second)
    first, second = first[near], second[near]
    order = np.lexsort((second, first))
    first, second = first[order], second[order]
    for a, b, (key, pose) in zip(first.tolist(), second.tolist(), pairs.poses(first, second), strict=True):
        found = pairs.overlap(key, pose)
        if found is not None:
            part, other = (b, a) if fixed[a] else (a, b)
            yield bodies.placed[part], bodies.placed[other], found.depth, found.volume


def _at_rest(build: Build, room: dict[str, Fixture]) -> Iterator[Finding]:
    parts = list(build.plan.walk())
    fixed = [f.placed for f in room.values() if f.kind != "ceiling"]
    for part, other, depth, _ in _shared(parts, fixed):
        fixture = room[other.path]
        if fixture.kind == "wall" and build.stands_at[part.path.split("/", 1)[0]] == fixture.wall:
            continue  # told by the check of its own wall
        yield Finding(
            code="past-wall" if fixture.kind == "wall" else "in-the-way",
            severity="fault",
            message=f"{part.path} stands {show_length(depth, build.plan.lengths)} in {fixture.name}",
            parts=(part.path,),
            value=rounded(depth),
            limit=0.0,
            source="the room file",
            at=part.bounds().center,
        )


def _without_air(build: Build) -> Iterator[Finding]:
    """Parts that do not fill a fixture's place but lie within the air it needs."""
    air: dict[str, tuple[str, float]] = {}
    boxes: list[PlacedPart] = []
    cores: list[PlacedPart] = []
    for wall in build.walls:
        for i, thing in enumerate(wall.wall.obstacles):
            if thing.clear == 0:
                continue
            path = f"//air/{wall.name}/{i}"
            c = thing.clear
            lowest = max(thing.z - c, 0.0)
            at = wall.frame.compose(Placement((thing.x - c, -thing.projection - c, lowest)))
            height = thing.z + thing.height + c - lowest
            boxes.append(body(path, at, (thing.width + 2 * c, thing.projection + c, height)))
            inner = wall.frame.compose(Placement((thing.x, -thing.projection, thing.z)))
            cores.append(body(path, inner, (thing.width, thing.projection, thing.height)))
            air[path] = (f"the {thing.name} on {wall.name}", c)
    if not boxes:
        return
    parts = list(build.plan.walk())
    hit = {(p.path, o.path) for p, o, _, _ in _shared(parts, cores)}
    units: dict[tuple[str, str], list[str]] = {}
    for part, box, _, _ in _shared(parts, boxes):
        if (part.path, box.path) not in hit:
            units.setdefault((part.path.split("/", 1)[0], box.path), []).append(part.path)
    for (unit, path), them in units.items():
        name, clear = air[path]
        yield Finding(
            code="no-air",
            severity="warning",
            message=f"{unit} stands within the {show_length(clear, build.plan.lengths)} of air that {name} needs",
            parts=tuple(them),
            limit=clear,
            source="the room file",
            at=build.plan.by_path[them[0]].bounds().center,
        )


def _in_motion(build: Build, room: dict[str, Fixture]) -> Iterator[Finding]:
    """What slides or turns, against the room alone: parts against parts are told by the check of interference."""
    motions = build.plan.motions
    if not motions:
        return
    moving = {path for m in motions for path in m.parts}
    parts = [build.plan.by_path[path] for path in sorted(moving)]
    reached = _reached(parts, motions_reach(build), [f.placed for f in room.values()])
    if not reached:
        return
    pairs = Pairs(Bodies.of([*parts, *reached]))
    joints = tuple(j for j in build.plan.joints if j.a in moving and j.b in moving)
    seen: set[tuple[str, str]] = set()
    for hit in (*Slides(pairs, motions).hits(), *Swings(pairs, motions, joints).hits()):
        a, b = pairs.bodies.placed[hit.a], pairs.bodies.placed[hit.b]
        fixture = room.get(b.path)
        if fixture is None or (hit.motion.name, b.path) in seen:
            continue
        seen.add((hit.motion.name, b.path))
        yield _hit(build, hit, a, fixture)


def motions_reach(build: Build) -> float:
    """How far anything that moves can come from its place, mm: the longest slide, or twice the largest swung part."""
    slides = [m.travel for m in build.plan.motions if m.kind == "slide"]
    swung = [
        2 * math.dist(build.plan.by_path[p].bounds().lo, build.plan.by_path[p].bounds().hi) + _off(build, p, m.origin)
        for m in build.plan.motions
        if m.kind == "swing"
        for p in m.parts
    ]
    return max([*slides, *swung], default=0.0)


def _off(build: Build, path: str, origin: tuple[float, float, float]) -> float:
    return 2 * math.dist(build.plan.by_path[path].bounds().center, origin)


def _reached(parts: list[PlacedPart], reach: float, fixed: list[PlacedPart]) -> list[PlacedPart]:
    """The fixed bodies that anything that moves could come near."""
    boxes = [p.bounds().grown(reach + CONTACT) for p in parts]
    return [f for f in fixed if any(f.bounds().common(b) for b in boxes)]


def _hit(build: Build, hit: Hit, part: PlacedPart, fixture: Fixture) -> Finding:
    turns = hit.motion.kind == "swing"
    free = math.degrees(hit.free) if turns else hit.free
    limit = math.degrees(abs(hit.motion.travel)) if turns else hit.motion.travel
    run = show_run(hit.motion, hit.free, build.plan.lengths)
    return Finding(
        code="hits-room",
        severity="fault",
        message=f"{hit.motion.name}: {part.path} meets {fixture.name} after {run}",
        parts=(part.path,),
        value=round(free, 2),
        limit=round(limit, 2),
        unit="deg" if turns else "mm",
        source="what slides or turns must run its whole travel free",
        at=part.bounds().center,
        motion=hit.motion.name,
        posed=((hit.motion.name, math.copysign(hit.free, hit.motion.travel)),),
    )


def _sashes(build: Build) -> Iterator[Finding]:
    """Windows that open into the room, against every part at rest: the nearest part of each unit they meet."""
    sashes = [leaf for leaf in leaves(build) if leaf.kind == "window"]
    if not sashes:
        return
    parts = list(build.plan.walk())
    for sash in sashes:
        pairs = Pairs(Bodies.of([*parts, sash.placed]))
        met: dict[str, Hit] = {}
        for hit in sorted(Swings(pairs, (sash.motion,)).hits(), key=lambda h: h.free):
            met.setdefault(pairs.bodies.placed[hit.b].path.split("/", 1)[0], hit)
        for hit in met.values():
            part = pairs.bodies.placed[hit.b]
            yield Finding(
                code="window-blocked",
                severity="warning",
                message=f"{sash.name} meets {part.path} after {show_run(sash.motion, hit.free, build.plan.lengths)}",
                parts=(part.path,),
                value=round(math.degrees(hit.free), 2),
                limit=round(math.degrees(abs(sash.motion.travel)), 2),
                unit="deg",
                source="a window is kept free for air and escape (common practice; local code decides)",
                at=pairs.in_room(hit.a, hit.overlap.at),
            )
