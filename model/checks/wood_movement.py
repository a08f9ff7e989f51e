"""Whether solid boards have room to grow across their grain from the driest to the dampest weeks of the year.

A board is as wide as it was cut in the dry and grows into the gaps beside it; or it is screwed across its grain to
what does not move, and splits or bows. The code: `wood-movement`.
"""

from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.lengths import MM_PER_INCH, LengthUnit, show_length
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.statics.shrinkage import SPECIES, SpeciesName, movement, species_of
from model.tolerances import CONTACT, rounded

GAP = 10.0
"""mm. Wider gaps take whatever a board does."""
SHARE = 5.0
"""mm. Parts face each other across a gap where they overlap by so much."""
HELD = 1.5
"""mm. More than this between dry and damp wants slotted holes where a board is screwed to sheet (common practice)."""
SOURCE = "Wood Handbook (FPL-GTR-190) eq. 13-2 and Table 13-5, flat-sawn"

CODES = (
    Code(
        "wood-movement",
        "A solid board grows across its grain, from dry to damp weeks, by more than the gap beside it or its screws "
        "allow.",
        causes=(
            "a wide apron, skirt or rail of solid wood in a narrow gap",
            "a wide board screwed fast across its grain to sheet, which does not move",
        ),
        moved_by=(
            "project: safety.moisture",
            "project: safety.woods",
            "project: materials.frame",
            "unit: fronts.gap",
        ),
    ),
)


@check
def wood_movement(build: Build) -> Iterator[Finding]:
    """Finding `wood-movement`, once for each unit, with the worst of its boards."""
    for unit in build.plan.units:
        found = [f for p in unit.parts if p.part.kind == "board" for f in _of(build, unit, p)]
        if found:
            yield max(found, key=lambda f: ((f.value or 0) - (f.limit or 0), f.parts))


def grows(build: Build, placed: PlacedPart) -> tuple[float, SpeciesName]:
    """How much a board grows across its grain (mm), and what it is taken for."""
    safety = build.inputs.project.value.safety
    species = species_of(placed.part.material, safety.woods)
    moisture = safety.moisture
    return movement(placed.part.width, SPECIES[species][1], moisture.dry, moisture.damp), species


def gap_beside(unit: BuiltUnit, placed: PlacedPart) -> tuple[float, PlacedPart | None]:
    """The least gap beside a board, across its grain, and the part across it; parts that touch it are not across."""
    back = placed.placement.inverse()
    own = Box((0.0, 0.0, 0.0), placed.part.size)
    least: tuple[float, PlacedPart | None] = (GAP, None)
    for other in unit.parts:
        if other is placed or other.part.kind == "hardware":
            continue
        box = _seen(back, other)
        if any(min(own.hi[i], box.hi[i]) - max(own.lo[i], box.lo[i]) < SHARE for i in (0, 2)):
            continue
        gap = max(box.lo[1] - own.hi[1], own.lo[1] - box.hi[1])
        if CONTACT < gap < least[0]:
            least = (rounded(gap), other)
    return least


def _seen(back: Placement, other: PlacedPart) -> Box:
    return back.compose(other.placement).box(Box((0.0, 0.0, 0.0), other.part.size))


def _of(build: Build, unit: BuiltUnit, placed: PlacedPart) -> Iterator[Finding]:
    """What is to be said of one board."""
    more, species = grows(build, placed)
    lengths = build.plan.lengths
    moisture = build.inputs.project.value.safety.moisture
    size = (
        f"{placed.name} of {unit.name}, {show_length(placed.part.width, lengths)} of {placed.part.material} (taken for "
        f"{species}), grows {_fine(more, lengths)} across its grain from {moisture.dry:g} to {moisture.damp:g} % "
        "moisture"
    )
    coefficient = ("coefficient", SPECIES[species][1])
    gap, across = gap_beside(unit, placed)
    if across is not None and more > gap:
        yield Finding(
            code="wood-movement",
            severity="warning",
            message=f"{size}, the gap to {across.name} is {_fine(gap, lengths)}: leave more",
            parts=(placed.path, across.path),
            value=round(more, 3),
            limit=gap,
            source=SOURCE,
            details=(coefficient,),
        )
    held = _held(unit, placed)
    if held is not None and more > HELD:
        yield Finding(
            code="wood-movement",
            severity="note",
            message=f"{size} and is screwed to {held.name}, which does not move: one row of screws fast, slotted holes "
            "for the rest, no glue",
            parts=(placed.path, held.path),
            value=round(more, 3),
            limit=HELD,
            source=f"{SOURCE}; the limit is common practice",
            details=(coefficient,),
        )


def _fine(value: float, lengths: LengthUnit) -> str:
    """A small length, finer than a tape shows it: `0.86 mm`, `0.034 in`."""
    return f"{value:.2f} mm" if lengths == "mm" else f"{value / MM_PER_INCH:.3f} in"


def _held(unit: BuiltUnit, placed: PlacedPart) -> PlacedPart | None:
    """A sheet that a board is joined to over most of its width, so that it is held across its grain."""
    by_path = {p.path: p for p in unit.parts}
    back = placed.placement.inverse()
    for joint in unit.joints:
        if placed.path in (joint.a, joint.b):
            other = by_path[joint.b if joint.a == placed.path else joint.a]
            box = _seen(back, other)
            meets = min(placed.part.width, box.hi[1]) - max(0.0, box.lo[1])
            if other.part.kind == "sheet" and meets > placed.part.width / 2:
                return other
    return None
