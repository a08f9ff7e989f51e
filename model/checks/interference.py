"""Interference: parts that share a volume at rest or on the way, joints that do not meet, parts that hang in the air.

The codes: `overlap` (two parts share more than OVERLAP at rest), `blocked` (a part that slides or turns runs into
another), `loose` (two joined parts lie further apart than CONTACT), `adrift` (a part touches nothing, nor stands on
the floor).
"""

import itertools
import math
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from model.checks import check
from model.collision.bodies import Bodies, Ints, apart, crossing
from model.collision.motion import Hit, Slides
from model.collision.pairs import Pairs, gap
from model.collision.swings import Swings
from model.findings import Code, Finding
from model.measures import show_angle, show_small, show_volume
from model.plan import Plan
from model.tolerances import CONTACT, OVERLAP

if TYPE_CHECKING:
    from model.build import Build

CODES = (
    Code(
        "overlap",
        "Two parts fill one place when everything is shut: they cannot both be there.",
        causes=(
            "a drawer box or a slide wider than what the frame leaves clear, with no build-out behind it",
            "a unit file changed so that two of its members meet, such as a rail and a tray",
            "units of two walls, or a top and an upper, that were placed into each other",
        ),
        moved_by=(
            "unit: drawers.build_out",
            "unit: frame.stile",
            "unit: fronts.gap",
            "unit: fronts.overlay",
            "unit: depth",
            "unit: height",
            "project: walls.width",
            "project: uppers.x",
            "project: uppers.bottom",
        ),
    ),
    Code(
        "blocked",
        "Something that slides or turns runs into another part on its way.",
        causes=(
            "a member of the frame, a shelf or a stop in the way of a drawer box",
            "a door hinged so near a wall, a pull or a neighbour that it cannot turn",
            "a front that is higher or wider than its opening",
            "a load that stands higher than what the drawer passes under",
        ),
        moved_by=(
            "unit: drawers.build_out",
            "unit: drawers.box.above",
            "unit: drawers.box.below",
            "unit: drawers.holds.height",
            "unit: doors.opens",
            "unit: doors.hinged",
            "unit: fronts.gap",
            "unit: tray.travel",
        ),
    ),
    Code(
        "loose",
        "Two parts that are fastened to each other do not touch: screws would pull them out of place or find nothing.",
        causes=(
            "a part moved or made smaller by a later change",
            "two units that are joined but stand apart",
        ),
        moved_by=(
            "project: walls.width",
            "project: tops.bearing",
            "project: tops.overhang",
            "project: uppers.above",
        ),
    ),
    Code(
        "adrift",
        "A part touches nothing and does not stand on the floor: nothing holds it.",
        causes=(
            "a shelf that is shorter than its pins need",
            "a part left over when what it was fixed to was taken away",
        ),
        moved_by=(
            "unit: shelves.count",
            "unit: columns",
            "unit: joinery",
        ),
    ),
)


@check
def found_interference(build: "Build") -> Iterable[Finding]:
    """Findings `overlap`, `blocked`, `loose` and `adrift`."""
    return interference_of(build.plan)


@lru_cache(maxsize=4)
def interference_of(plan: Plan) -> tuple[Finding, ...]:
    """The interference of a plan, worked out once for every report of it."""
    return tuple(interference(plan))


def interference(plan: Plan) -> Iterator[Finding]:
    """Every interference of a plan, by kind and then by path; the order of its parts makes no difference."""
    pairs = Pairs(Bodies.of([*plan.walk(), *(load.placed for load in plan.loads)]))
    yield from _overlaps(plan, pairs)
    yield from _held(plan, pairs)
    yield from _blocked(plan, pairs)


def _label(plan: Plan, pairs: Pairs, i: int) -> str:
    placed = pairs.bodies.placed[i]
    mark = plan.marks.get(placed.part)
    return placed.path if mark is None else f"{placed.path} ({mark})"


def _near(bodies: Bodies, grow: float) -> tuple[Ints, Ints]:
    """Pairs i < j whose oriented boxes, each grown by `grow` mm, share a volume."""
    low, high = bodies.bounds(grow)
    i, j = crossing(low, high, low, high)
    i, j = i[i < j], j[i < j]
    near = ~apart(bodies, i, j, grow=grow)
    return i[near], j[near]


def _overlaps(plan: Plan, pairs: Pairs) -> Iterator[Finding]:
    i, j = _near(pairs.bodies, -CONTACT / 2)
    for a, b, (key, pose) in zip(i.tolist(), j.tolist(), pairs.poses(i, j), strict=True):
        found = pairs.overlap(key, pose)
        if found is None:
            continue
        yield Finding(
            code="overlap",
            severity="fault",
            message=f"{_label(plan, pairs, a)} and {_label(plan, pairs, b)} share "
            f"{show_volume(found.volume, plan.lengths)}, {show_small(found.depth, plan.lengths)} deep",
            parts=(pairs.bodies.placed[a].path, pairs.bodies.placed[b].path),
            value=round(found.volume, 3),
            limit=OVERLAP,
            unit="mm^3",
            source="two parts cannot fill one place; the limit is rounding",
            at=pairs.in_room(a, found.at),
            details=(
                ("depth_mm", round(found.depth, 3)),
                ("volume_mm3", round(found.volume, 3)),
            ),
        )


def _held(plan: Plan, pairs: Pairs) -> Iterator[Finding]:
    """Joints that do not meet, then parts that touch nothing."""
    bodies = pairs.bodies
    rows = {p.path: i for i, p in enumerate(bodies.placed)}
    held = bodies.bounds(0.0)[0][:, 2] <= CONTACT  # on the floor
    held[[rows[load.placed.path] for load in plan.loads]] = True
    joints = sorted({(j.kind, *sorted((j.a, j.b))) for j in plan.joints})
    a = np.array([rows[j[1]] for j in joints], dtype=np.int64)
    b = np.array([rows[j[2]] for j in joints], dtype=np.int64)
    far = apart(bodies, a, b, grow=CONTACT / 2 + 1e-6)
    for (kind, *_), i, j, off, (key, pose) in zip(
        joints, a.tolist(), b.tolist(), far.tolist(), pairs.poses(a, b), strict=True
    ):
        if not off and pairs.touching(key, pose):
            held[[i, j]] = True
            continue
        away = gap(
            pose,
            float(np.linalg.norm(bodies.centre[j] - bodies.centre[i]) + np.linalg.norm(bodies.half[[i, j]])) * 2,
        )
        x, y, z = (round(float(c), 1) + 0.0 for c in (bodies.centre[i] + bodies.centre[j]) / 2)
        yield Finding(
            code="loose",
            severity="fault",
            message=f"{_label(plan, pairs, i)} and {_label(plan, pairs, j)} are joined ({kind}) "
            f"but lie {show_small(away, plan.lengths)} apart",
            parts=(bodies.placed[i].path, bodies.placed[j].path),
            value=round(away, 3),
            limit=CONTACT,
            source="what is fastened together must touch; the limit is rounding",
            at=(x, y, z),
        )
    yield from _adrift(plan, pairs, held)


def _adrift(plan: Plan, pairs: Pairs, held: np.ndarray) -> Iterator[Finding]:
    bodies = pairs.bodies
    i, j = _near(bodies, CONTACT / 2 + 1e-6)
    unsure = ~(held[i] & held[j])
    i, j = i[unsure], j[unsure]
    for a, b, (key, pose) in zip(i.tolist(), j.tolist(), pairs.poses(i, j), strict=True):
        if not (held[a] and held[b]) and pairs.touching(key, pose):
            held[[a, b]] = True
    for a in np.flatnonzero(~held).tolist():
        x, y, z = (round(float(c), 1) + 0.0 for c in bodies.centre[a])
        yield Finding(
            code="adrift",
            severity="fault",
            message=f"{_label(plan, pairs, a)} touches no other part and does not stand on the floor",
            parts=(bodies.placed[a].path,),
            limit=CONTACT,
            source="a part must be held by something; the limit is rounding",
            at=(x, y, z),
        )


def _blocked(plan: Plan, pairs: Pairs) -> Iterator[Finding]:
    placed = pairs.bodies.placed
    hits = itertools.chain(Slides(pairs, plan.laden).hits(), Swings(pairs, plan.laden, plan.joints).hits())
    for hit in sorted(
        hits,
        key=lambda h: (
            h.motion.name,
            round(h.free, 1),
            placed[h.a].path,
            placed[h.b].path,
        ),
    ):
        yield _blocked_finding(plan, pairs, hit)


def _blocked_finding(plan: Plan, pairs: Pairs, hit: Hit) -> Finding:
    motion, found = hit.motion, hit.overlap
    swings = motion.kind == "swing"
    if swings:
        free, limit, unit = round(math.degrees(hit.free), 2), round(math.degrees(abs(motion.travel)), 6), "deg"
        position = round(math.degrees(hit.position), 3)
        run = f"{show_angle(free)} of {show_angle(limit)}"
    else:
        free, limit, unit, position = round(hit.free, 1), motion.travel, "mm", round(hit.position, 3)
        run = f"{show_small(free, plan.lengths)} of {show_small(limit, plan.lengths)}"
    return Finding(
        code="blocked",
        severity="fault",
        message=f"{motion.name}: {_label(plan, pairs, hit.a)} meets {_label(plan, pairs, hit.b)} after {run}; "
        f"they come to share {show_volume(found.volume, plan.lengths)}",
        parts=(pairs.bodies.placed[hit.a].path, pairs.bodies.placed[hit.b].path),
        value=free,
        limit=limit,
        unit=unit,
        source=f"what {'turns' if swings else 'slides'} must run its whole travel free",
        at=pairs.in_room(hit.a, found.at),
        details=(
            ("depth_mm", round(found.depth, 3)),
            (f"free_travel_{unit}", free),
            (f"position_{unit}", position),
            ("volume_mm3", round(found.volume, 3)),
        ),
        motion=motion.name,
        posed=((motion.name, math.copysign(hit.position, motion.travel)),),
    )
