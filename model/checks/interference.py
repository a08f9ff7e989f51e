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
from model.checks.bodies import Bodies, Ints, apart, crossing
from model.checks.motion import Hit, Slides
from model.checks.pairs import Pairs, gap
from model.checks.swings import Swings
from model.findings import Finding
from model.plan import Plan
from model.tolerances import CONTACT, OVERLAP

if TYPE_CHECKING:
    from model.build import Build

CUBIC_INCH = 25.4**3
"""mm^3. The inch is 25.4 mm exactly (international yard and pound agreement of 1959)."""


@check
def found_interference(build: "Build") -> Iterable[Finding]:
    """Findings `overlap`, `blocked`, `loose` and `adrift`."""
    return interference_of(build.plan)


@lru_cache(maxsize=4)
def interference_of(plan: Plan) -> tuple[Finding, ...]:
    """The interference of a plan, worked out once for every report of it."""
    return tuple(interference(plan))


def show_small(mm: float, lengths: str) -> str:
    """A depth or a gap, which matters below the nearest 1/32 in: decimals in both units."""
    return f"{mm / 25.4:.3f} in" if lengths == "in" else f"{mm:.2f} mm"


def show_volume(mm3: float, lengths: str) -> str:
    """A volume, in cubic inches or cubic centimetres."""
    return f"{mm3 / CUBIC_INCH:.3f} in³" if lengths == "in" else f"{mm3 / 1000:.3f} cm³"


def interference(plan: Plan) -> Iterator[Finding]:
    """Every interference of a plan, by kind and then by path; the order of its parts makes no difference."""
    pairs = Pairs(Bodies.of(plan.walk()))
    yield from _overlaps(plan, pairs)
    yield from _held(plan, pairs)
    yield from _blocked(plan, pairs)


def _label(plan: Plan, pairs: Pairs, i: int) -> str:
    placed = pairs.bodies.placed[i]
    return f"{placed.path} ({plan.marks[placed.part]})"


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
    hits = itertools.chain(Slides(pairs, plan.motions).hits(), Swings(pairs, plan.motions, plan.joints).hits())
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


def show_angle(degrees: float) -> str:
    """An angle to a hundredth of a degree."""
    return f"{degrees:.2f}".rstrip("0").rstrip(".") + "\u00b0"


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
    )
