"""Whether tall units can be stood up under the ceiling: tipped up from lying they need the height of their diagonal.

The code: `standing-up`, once for each unit that cannot be stood up where it will stand.
"""

import math
from collections.abc import Iterator

from model.build import Build, RoomWall
from model.checks import check
from model.checks.way_in import LAID_IN_PLACE
from model.findings import Code, Finding
from model.handling.tilting import needed_height, tallest
from model.lengths import show_length
from model.plan import BuiltUnit
from model.room.alongside import wall_of
from model.room.ceiling import Slope
from model.shapes import Box
from model.tolerances import CONTACT, rounded
from model.use.places import unit_box

FREE = 10.0
"""mm. Left under the ceiling while a unit goes up (common practice)."""
SOURCE = "the diagonal of the box, turned over its lower edge (geometry)"

CODES = (
    Code(
        "standing-up",
        "A unit that is put together lying cannot be stood up under the ceiling: its diagonal is too long.",
        causes=(
            "a tall cupboard almost as high as the room",
            "a ceiling that comes down where it will stand",
        ),
        moved_by=(
            "unit: height",
            "unit: depth",
            "room: height",
            "room: slopes.falls_to",
        ),
    ),
)


@check
def standing_up(build: Build) -> Iterator[Finding]:
    """Finding `standing-up`."""
    for unit in build.plan.units:
        if unit.kind in LAID_IN_PLACE:
            continue
        wall, box = wall_of(build, unit.name), unit_box(build, unit)
        if box.lo[2] > CONTACT:
            continue  # what hangs or stands on a top is lifted there upright
        found = _judged(build, unit, wall, box)
        if found is not None:
            yield found


def needed_and_free(build: Build, wall: RoomWall, box: Box) -> tuple[float, float, Slope | None]:
    """What the worst ceiling over a box must have over its lower front edge while it is tipped up there, what it has
    (mm), and the slope, where it is one."""
    _, d, h = box.size
    cases: list[tuple[float, float, Slope | None]] = [(needed_height(h, d), build.overhead.level, None)]
    back = wall.frame.inverse()
    for slope in build.overhead.slopes:
        outward = -back.turn(slope.away)[1] * slope.rise
        over = min(slope.height(wall.frame.apply((x, box.lo[1], 0.0))) for x in box.span("x"))
        cases.append((needed_height(h, d, outward), over, slope))
    return min(cases, key=lambda c: c[1] - c[0])


def _judged(build: Build, unit: BuiltUnit, wall: RoomWall, box: Box) -> Finding | None:
    needed, over, slope = needed_and_free(build, wall, box)
    if needed + FREE <= over + CONTACT:
        return None
    lengths = build.plan.lengths
    w, d, h = box.size
    level = build.overhead.level
    diagonal = math.hypot(h, min(w, d))
    size = f"{show_length(h, lengths)} high and {show_length(d, lengths)} deep"
    ceiling = "the slope of the ceiling" if slope else "the ceiling"
    said = (
        f"{unit.name}, {size}, cannot be tipped up where it stands: over its lower front edge it takes "
        f"{show_length(needed, lengths)}, {ceiling} there is at {show_length(over, lengths)}"
    )
    if diagonal + FREE <= level + CONTACT:
        how = "on its side, " if w < d else ""
        where = _out_to(slope, wall, box, needed + FREE, level)
        place = f", {show_length(where, lengths)} or more from {wall.name}" if where else ""
        said += (
            f". Stand it up {how}where the ceiling is {show_length(diagonal + FREE, lengths)} high or more{place}, and "
            "walk it to its place upright"
        )
    else:
        said += (
            f". Put it together standing in its place, or make it {show_length(tallest(level - FREE, d), lengths)} "
            "high or less, on feet or a toe kick of its own"
        )
    return Finding(
        code="standing-up",
        severity="note" if diagonal + FREE <= level + CONTACT else "warning",
        message=said,
        value=rounded(needed),
        limit=rounded(over - FREE),
        source=SOURCE,
        at=wall.frame.apply(box.center),
        details=(
            ("height_mm", h),
            ("depth_mm", d),
            ("diagonal_mm", rounded(math.hypot(h, d))),
            ("free_mm", FREE),
        ),
    )


def _out_to(slope: Slope | None, wall: RoomWall, box: Box, needed: float, level: float) -> float | None:
    """How far from the wall its lower front edge must be to be tipped up, mm; None where no slope toward it is in the
    way, or only the level ceiling is high enough."""
    if slope is None:
        return None
    outward = -wall.frame.inverse().turn(slope.away)[1] * slope.rise
    if outward <= 0:
        return None
    over = min(slope.height(wall.frame.apply((x, 0.0, 0.0))) for x in box.span("x"))
    return rounded(max((min(needed, level) - over) / outward, 0.0))
