"""How much floor is left to stand on before a unit when all that slides out of it is open.

One stands before an open drawer, and beside an open door: whether doors come free is told by the checks of motion. The
code: `open-floor`, once for each unit whose drawers or trays leave too little.
"""

from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.checks.floor_space import extent, footprint, free_ahead
from model.findings import Code, Finding
from model.lengths import show_length
from model.plan import BuiltUnit
from model.room.alongside import boxes_along, wall_of
from model.tolerances import CONTACT, rounded

HIGH = 2000.0
"""mm. What opens wholly above this is walked under."""
ADA_DEEP = 1219.2
"""mm. Clear floor of a wheelchair that faces it: 48 in (2010 ADA Standards 305.3)."""

CODES = (
    Code(
        "open-floor",
        "There is too little floor to stand on before a unit when its drawers or trays are open.",
        causes=("deep drawers across from a wall or another unit",),
        moved_by=(
            "project: comfort.standing_room",
            "project: comfort.accessible",
            "unit: drawers.slide_length",
            "unit: depth",
        ),
    ),
)


@check
def open_floor(build: Build) -> Iterator[Finding]:
    """Finding `open-floor`."""
    for unit in build.plan.units:
        if any(m.kind == "slide" for m in unit.motions):
            yield from _before(build, unit)


def opens_out(build: Build, unit: BuiltUnit) -> tuple[float, str]:
    """How far what slides out reaches past the foremost part of a unit (mm), and which motion that is."""
    wall = wall_of(build, unit.name)
    into = wall.frame.inverse()
    by_path = {p.path: p for p in unit.parts}
    front = min(b.lo[1] for _, b in boxes_along(wall, unit.parts))
    most, which = 0.0, ""
    for motion in (m for m in unit.motions if m.kind == "slide"):
        parts = [by_path[path] for path in motion.parts if path in by_path]
        seen = boxes_along(wall, parts)
        if not seen or min(b.lo[2] for _, b in seen) >= HIGH:
            continue
        out = front - (min(b.lo[1] for _, b in seen) + into.turn(motion.direction)[1] * motion.travel)
        if out > most + CONTACT:
            most, which = out, motion.name
    return rounded(most), which


def _before(build: Build, unit: BuiltUnit) -> Iterator[Finding]:
    wall, lengths, comfort = wall_of(build, unit.name), build.plan.lengths, build.inputs.project.value.comfort
    outlines = [footprint(p, wall.frame) for p in unit.parts]
    free, met = free_ahead(build, wall, unit, outlines)
    out, which = opens_out(build, unit)
    least = ADA_DEEP if comfort.accessible else comfort.standing_room
    left = free - out
    if not which or left >= least - CONTACT:
        return
    (x0, front), (x1, _) = extent(outlines)
    yield Finding(
        code="open-floor",
        severity="warning",
        message=f"before {unit.name} {show_length(max(left, 0.0), lengths)} of floor is left with {which} open: "
        f"{show_length(free, lengths)} to {met} less {show_length(out, lengths)}",
        value=rounded(max(left, 0.0)),
        limit=least,
        source="2010 ADA Standards 305.3: 48 in"
        if comfort.accessible
        else "room to stand: the project (common practice)",
        at=wall.frame.apply(((x0 + x1) / 2, front - max(free, 0.0) / 2, 0.0)),
        details=(("free_mm", rounded(free)), ("opens_mm", out)),
        motion=which,
    )
