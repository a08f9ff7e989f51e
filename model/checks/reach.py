"""How high one works, what shelves one reaches, how much drawers hold.

The codes: `work-height` (a top that is neither to sit nor to stand at), `reach` (the highest shelf of a unit, where it
is out of reach), `drawer-room` (what the drawers of a unit hold inside).
"""

from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.lengths import LengthUnit, show_length
from model.measures import CUBIC_INCH
from model.plan import BuiltUnit
from model.room.alongside import Boxed, around, boxes_along, meet, wall_of
from model.shapes import Box
from model.tolerances import CONTACT, rounded
from model.use.places import all_boxes, before, unit_box

SIT = (711.2, 762.0)
"""mm. Tops to sit at: 28 to 30 in (common practice); EN 527-1 has 740 mm for one that is not adjusted."""
STAND = (863.6, 1054.1)
"""mm. Tops to stand at: 34 to 41.5 in (36 in for kitchens, up to the elbow for light work: common practice)."""
ACCESSIBLE_TOP = (711.2, 863.6)
"""mm. 28 to 34 in (2010 ADA Standards 902.3)."""
OVER = 100.0
"""mm. What stands out before a shelf by this much must be reached over."""
ADA_HIGH, ADA_NEAR, ADA_FAR_HIGH, ADA_FAR = 1219.2, 508.0, 1117.6, 635.0
"""mm. Forward reach: 48 in, over what is up to 20 in deep too; 44 in over up to 25 in (308.2.1, 308.2.2)."""
SHELVES = ("shelf", "fixed shelf")
CUBIC_FOOT = 1728 * CUBIC_INCH
LITRE = 1e6

CODES = (
    Code(
        "work-height",
        "A top is neither at a height to sit at nor at one to stand at.",
        causes=("a top between 30 and 34 in", "a top higher than a wheelchair goes under"),
        moved_by=("project: tops.height", "project: comfort.accessible"),
    ),
    Code(
        "reach",
        "The highest shelf of a unit is out of reach: it takes a step, or is for what is seldom used.",
        causes=("a tall upper on a top", "shelves that reach up to the ceiling"),
        moved_by=(
            "project: comfort.reach",
            "project: comfort.reach_over",
            "project: comfort.accessible",
            "project: uppers.height",
            "unit: shelves.count",
        ),
    ),
    Code(
        "drawer-room",
        "How much the drawers of a unit hold, inside their boxes up to the upper edge of their sides.",
        causes=("every unit with drawers",),
        moved_by=("unit: drawers.heights", "unit: depth", "unit: drawers.slide_length"),
    ),
)


@check
def reach(build: Build) -> Iterator[Finding]:
    """Findings `work-height`, `reach` and `drawer-room`."""
    for unit in build.plan.units:
        if unit.kind == "top":
            yield from _work_height(build, unit)
        else:
            yield from _shelves(build, unit)
            yield from _drawers(build, unit)


def _work_height(build: Build, top: BuiltUnit) -> Iterator[Finding]:
    lengths, wall = build.plan.lengths, wall_of(build, top.name)
    box = around(b for p, b in boxes_along(wall, top.parts) if p.role == "top")
    height = box.hi[2]
    seats = [
        u.name
        for u in build.plan.units
        if u.kind == "kneehole"
        and build.stands_at[u.name] == wall.name
        and meet(unit_box(build, u).span("x"), box.span("x"))
    ]
    if build.inputs.project.value.comfort.accessible:
        spans, source = (ACCESSIBLE_TOP,), "2010 ADA Standards 902.3: 28 to 34 in"
        words = "should be {0} to {1} high"
    elif seats:
        spans, source = (SIT, STAND), "tops to sit at 28 to 30 in (EN 527-1: 740 mm), to stand at from 34 in"
        words = "is too low to stand at and too high for a chair at " + " and ".join(seats)
    else:
        spans, source = ((0.0, SIT[1]), STAND), "tops to stand at 34 to 41.5 in (common practice)"
        words = "is too low to stand at and too high to sit at"
    if any(low - CONTACT <= height <= high + CONTACT for low, high in spans):
        return
    limit = min((end for span in spans for end in span if end), key=lambda end: abs(end - height))
    if not build.inputs.project.value.comfort.accessible:
        if height > STAND[1]:
            words = "is higher than most elbows"
        elif height < SIT[0]:
            words = f"is low for a chair at {' and '.join(seats)}"
    shown = [show_length(end, lengths) for end in spans[0]]
    yield Finding(
        code="work-height",
        severity="warning" if build.inputs.project.value.comfort.accessible else "note",
        message=f"{top.name}, at {show_length(height, lengths)}, {words.format(*shown)}",
        value=rounded(height),
        limit=limit,
        source=source,
        at=wall.frame.apply(box.center),
    )


def _shelves(build: Build, unit: BuiltUnit) -> Iterator[Finding]:
    """The highest shelf of a unit, where it is out of reach."""
    wall = wall_of(build, unit.name)
    shelves = sorted(
        ((p, b) for p, b in boxes_along(wall, unit.parts) if p.role in SHELVES),
        key=lambda pb: (-pb[1].hi[2], pb[0].path),
    )
    boxes = all_boxes(build, wall) if shelves else []
    out = [(p, b, *_reach(build, boxes, b)) for p, b in shelves]
    beyond = [(p, b, over, limit) for p, b, over, limit in out if b.hi[2] > limit + CONTACT]
    if not beyond:
        return
    lengths, comfort = build.plan.lengths, build.inputs.project.value.comfort
    part, box, over, limit = beyond[0]
    past = f" over {show_length(over, lengths)} of what stands before it" if over > OVER else ""
    some = f"{len(beyond)} of {len(shelves)} shelves of {unit.name} are" if len(beyond) > 1 else f"{part.path} is"
    far = comfort.accessible and over > ADA_FAR
    what = (
        f"it is {show_length(over, lengths)} back, {show_length(ADA_FAR, lengths)} is the most"
        if far
        else (f"the highest at {show_length(box.hi[2], lengths)}{past}, {show_length(limit, lengths)} is within reach")
    )
    yield Finding(
        code="reach",
        severity="warning" if comfort.accessible else "note",
        message=f"{some} out of reach: {what}{'' if comfort.accessible else ', higher takes a step'}",
        parts=tuple(p.path for p, *_ in beyond),
        value=rounded(over if far else box.hi[2]),
        limit=ADA_FAR if far else limit,
        source="2010 ADA Standards 308.2 (forward reach)"
        if comfort.accessible
        else "how high one reaches: the project (72 in, over a base 68 in: common practice)",
        at=part.bounds().center,
        details=(("over_mm", rounded(over)), ("beyond", float(len(beyond)))),
    )


def _reach(build: Build, boxes: list[Box], shelf: Box) -> tuple[float, float]:
    """What a shelf is reached over (mm), and how high one reaches there."""
    comfort = build.inputs.project.value.comfort
    over = before(boxes, shelf)
    if comfort.accessible:
        return over, ADA_HIGH if over <= ADA_NEAR else ADA_FAR_HIGH if over <= ADA_FAR else 0.0
    return over, comfort.reach_over if over > OVER else comfort.reach


def inside(parts: list[Boxed]) -> Box | None:
    """The room in a drawer's box, in the frame of its wall: between its sides, over its bottom and below the upper edge
    of its sides; None where there is no box."""
    sides = [b for p, b in parts if p.role == "drawer side"]
    ends = [b for p, b in parts if p.role == "drawer front or back"]
    bottom = [b for p, b in parts if p.role == "drawer bottom"]
    if len(sides) != 2 or len(ends) != 2 or not bottom:
        return None
    spans: list[tuple[float, float]] = []
    for axis in (0, 1):
        pairs = min((sides, ends), key=lambda pair: min(b.size[axis] for b in pair))
        first, second = sorted(pairs, key=lambda b: b.lo[axis])
        spans.append((first.hi[axis], second.lo[axis]))
    z = (bottom[0].hi[2], min(b.hi[2] for b in sides))
    if any(high <= low for low, high in (*spans, z)):
        return None
    return Box((spans[0][0], spans[1][0], z[0]), (spans[0][1], spans[1][1], z[1]))


def _drawers(build: Build, unit: BuiltUnit) -> Iterator[Finding]:
    by_path = {p.path: (p, b) for p, b in boxes_along(wall_of(build, unit.name), unit.parts)}
    rooms: dict[str, Box] = {}
    for motion in unit.motions:
        if motion.kind == "slide":
            box = inside([by_path[path] for path in motion.parts if path in by_path])
            if box is not None:
                rooms[motion.name.split("/", 1)[1]] = box
    if not rooms:
        return
    total = sum(b.volume for b in rooms.values())
    sizes: dict[tuple[float, float, float], list[str]] = {}
    for name, box in rooms.items():
        sizes.setdefault(box.size, []).append(name)
    lengths = build.plan.lengths
    each = ", ".join(
        f"{len(names)} of {' x '.join(show_length(c, lengths) for c in size)}" for size, names in sizes.items()
    )
    yield Finding(
        code="drawer-room",
        severity="note",
        message=f"the drawers of {unit.name} hold {_volume(total, lengths)} inside: {each}",
        value=round(total / LITRE, 2),
        unit="litre",
        source="between the sides, from the bottom to the upper edge of the sides",
        details=tuple((f"{name}_litre", round(b.volume / LITRE, 2)) for name, b in rooms.items()),
    )


def _volume(mm3: float, lengths: LengthUnit) -> str:
    return f"{mm3 / CUBIC_FOOT:.2f} ft³" if lengths == "in" else f"{mm3 / LITRE:.1f} litres"
