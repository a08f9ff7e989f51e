"""What an uneven room asks for: shims or turned feet under the units, and wood to scribe at the ends of a wall.

The codes: `shims` (a floor that is not level), `scribe` (an end whose margin is smaller than the walls are out).
"""

from collections.abc import Iterator

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.siting.layout import ends
from model.tolerances import CONTACT, rounded

SQUARE_OVER = 600.0
"""mm. What an `out_of_square` is measured over, out from the corner."""

FEET = ("foot", "glide", "leg")
"""Roles of what can be turned to take up a floor."""


CODES = (
    Code(
        "shims",
        "The floor is not level: the unit needs shims, or its feet turned out.",
        causes=("the floor as measured in the room file",),
        moved_by=(
            "unit: feet",
            "room: walls.floor",
        ),
    ),
    Code(
        "scribe",
        "The margin at an end of a wall is smaller than the walls may be out there.",
        causes=("walls out of plumb or square",),
        moved_by=(
            "project: margins",
            "unit: scribe",
        ),
    ),
)


@check
def uneven(build: Build) -> Iterator[Finding]:
    """Findings `shims` and `scribe`."""
    for wall in build.walls:
        back = wall.frame.inverse()
        boxes = {
            u.name: _bounds(u, back)
            for u in build.plan.units
            if build.stands_at[u.name] == wall.name and u.kind != "corner"
        }
        if boxes:
            yield from _shims(build, wall, boxes)
            yield from _scribes(build, wall, boxes)


def _bounds(unit: BuiltUnit, back: Placement) -> Box:
    found = [p.moved(back).bounds() for p in unit.parts]
    lo, hi = (
        [pick(b[i] for b in side) for i in range(3)]
        for pick, side in ((min, [f.lo for f in found]), (max, [f.hi for f in found]))
    )
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _shims(build: Build, wall: RoomWall, boxes: dict[str, Box]) -> Iterator[Finding]:
    """Units are levelled from the floor's highest place along the wall: everywhere else they are lifted."""
    if not wall.wall.floor:
        return
    lengths = build.plan.lengths
    for unit in build.plan.units:
        box = boxes.get(unit.name)
        if box is None or box.lo[2] > CONTACT:
            continue
        left, right = (rounded(wall.wall.floor_at(x)) for x in box.span("x"))
        between = [p.x for p in wall.wall.floor if box.lo[0] < p.x < box.hi[0]]
        most = max([left, right, *(rounded(wall.wall.floor_at(x)) for x in between)])
        if most <= CONTACT:
            continue
        feet = tuple(p.path for p in unit.parts if p.role in FEET)
        how = "turn its feet out by" if feet else "shim it by"
        yield Finding(
            code="shims",
            severity="note",
            message=f"{unit.name}: {how} {show_length(left, lengths)} at its left and {show_length(right, lengths)} at "
            f"its right end, {show_length(most, lengths)} at most: its floor is lower than elsewhere along {wall.name}",
            parts=feet,
            value=most,
            limit=0.0,
            source="units are levelled from the highest place of the floor (common practice)",
            at=wall.frame.apply(((box.lo[0] + box.hi[0]) / 2, box.lo[1], 0.0)),
            details=(("left_mm", left), ("right_mm", right)),
        )


def _scribes(build: Build, wall: RoomWall, boxes: dict[str, Box]) -> Iterator[Finding]:
    """At an end of a wall that a unit stands near, the margin takes what the walls are out of plumb and square."""
    i = build.walls.index(wall)
    corner_ends = {
        (w, end) for c in build.inputs.project.value.corners for w, end in zip(c.walls, ("right", "left"), strict=True)
    }
    margins = ends(build.inputs, wall.name)
    width = wall.wall.width
    for end, margin in zip(("left", "right"), margins, strict=True):
        if (wall.name, end) in corner_ends:
            continue
        near = [
            (n, b) for n, b in boxes.items() if (b.lo[0] if end == "left" else width - b.hi[0]) <= margin + SQUARE_OVER
        ]
        if not near:
            continue
        neighbour = build.walls[i - 1] if end == "left" and i else None
        if end == "right" and i + 1 < len(build.walls):
            neighbour = build.walls[i + 1]
        lean = (neighbour or wall).wall.out_of_plumb
        high, deep = max(b.hi[2] for _, b in near), max(-b.lo[1] for _, b in near)
        error = rounded(lean * min(high / build.ceiling, 1.0) + wall.wall.out_of_square * deep / SQUARE_OVER)
        allowed = margin + max((_allowance(build, n) for n, _ in near), default=0.0)
        if error > allowed + CONTACT:
            yield _scribe(build, wall, end, margin, error, [n for n, _ in near])


def _allowance(build: Build, name: str) -> float:
    """What a filler may be trimmed by to meet the wall: the wood its blank has to spare, mm."""
    unit = build.inputs.units.get(name)
    return unit.options.scribe if unit is not None and unit.kind.name == "filler" else 0.0


def _scribe(build: Build, wall: RoomWall, end: str, margin: float, error: float, names: list[str]) -> Finding:
    lengths = build.plan.lengths
    x = 0.0 if end == "left" else wall.wall.width
    return Finding(
        code="scribe",
        severity="warning",
        message=f"the {end} end of {wall.name} may be out by {show_length(error, lengths)} over what stands there "
        f"({', '.join(names)}), its margin is {show_length(margin, lengths)}: leave more, closed with a filler scribed "
        "to the wall",
        value=error,
        limit=margin,
        source="the room file: out of plumb over the height, out of square over the depth of what stands there",
        at=wall.frame.apply((x, 0.0, 0.0)),
    )
