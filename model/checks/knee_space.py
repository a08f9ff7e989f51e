"""Whether legs go under a top where one sits: height, width and depth of the space of each kneehole.

The code: `knee-space`, once for each kneehole: what falls shortest of its limit or, as a note, its sizes.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.lengths import LengthUnit, show_length
from model.plan import BuiltUnit
from model.room.alongside import meet, wall_of
from model.shapes import Box
from model.tolerances import CONTACT, rounded
from model.use.places import all_boxes, front_over, tops_over, unit_box

CHAIR = 762.0
"""mm. The highest top to sit at on a chair: 30 in (common practice)."""
STOOL = 270.0
"""mm. From a seat to the top over it (250 to 300 mm, 10 to 12 in: common practice)."""
FOOT = 150.0
"""mm. Feet are below this, knees over it."""
MIDDLE = 400.0
"""mm. Legs stand this wide: what is over them takes from the height, what is beside them from the width."""


@dataclass(frozen=True, slots=True)
class Knees:
    """Room for legs, mm: the height under what hangs lowest, the width, how deep it is at the knees and the feet."""

    height: float
    width: float
    knee_depth: float
    foot_depth: float


@dataclass(frozen=True, slots=True)
class Limits:
    """The least of each, and where that is said."""

    least: Knees
    source: str


ORDINARY = Limits(
    Knees(620.0, 600.0, 450.0, 600.0),
    "IS 13896: 620 mm high, 600 wide, 450 deep; DIN 15996: 600 deep at the floor (EN 527-1 asks for 650 high)",
)
ACCESSIBLE = Limits(
    Knees(685.8, 762.0, 279.4, 431.8),
    "2010 ADA Standards 306.3: 27 in high, 30 wide, 11 deep at 9 in; 306.2.3: 17 deep at the toes",
)
WORDS = {
    "height": "high",
    "width": "wide",
    "knee_depth": "deep at the knees",
    "foot_depth": "deep at the feet",
}

CODES = (
    Code(
        "knee-space",
        "How much room there is for the legs of one who sits at a kneehole.",
        causes=(
            "drawers hung under a top that is low for them",
            "a kneehole narrower than a chair",
        ),
        moved_by=(
            "project: tops.height",
            "unit: drawers.front_height",
            "unit: apron",
            "project: walls.width",
            "project: comfort.accessible",
        ),
    ),
)


@check
def knee_space(build: Build) -> Iterator[Finding]:
    """Finding `knee-space`."""
    for unit in build.plan.units:
        if unit.kind == "kneehole":
            yield _finding(build, unit)


def knees(build: Build, unit: BuiltUnit, needed: float = ORDINARY.least.height) -> Knees:
    """The room for legs in a kneehole, from the front of the top over it to the wall; its width up to a height that is
    needed (mm)."""
    boxes, x = all_boxes(build, wall_of(build, unit.name)), unit_box(build, unit).span("x")
    front = front_over(build, unit)
    middle = (x[0] + x[1]) / 2
    legs = (max(middle - MIDDLE / 2, x[0]), min(middle + MIDDLE / 2, x[1]))
    near = (front, front + ORDINARY.least.knee_depth)
    inside = [b for b in boxes if meet(b.span("x"), x) and meet(b.span("y"), near)]
    height = min((b.lo[2] for b in inside if meet(b.span("x"), legs) and b.lo[2] > FOOT + CONTACT), default=0.0)
    beside = [b for b in inside if b.lo[2] < min(height, needed) - CONTACT and not meet(b.span("x"), legs)]
    left = max((b.hi[0] for b in beside if b.hi[0] <= middle), default=x[0])
    right = min((b.lo[0] for b in beside if b.lo[0] >= middle), default=x[1])
    return Knees(
        rounded(height),
        rounded(min(right, x[1]) - max(left, x[0])),
        depth_of(boxes, legs, (FOOT, height), front),
        depth_of(boxes, legs, (0.0, FOOT), front),
    )


def depth_of(boxes: list[Box], x: tuple[float, float], z: tuple[float, float], front: float) -> float:
    """From the front back to the first thing in the way, or to the wall."""
    met = [b.lo[1] for b in boxes if meet(b.span("x"), x) and meet(b.span("z"), z) and b.hi[1] > front]
    return rounded(max(min([*met, 0.0]) - front, 0.0))


def limits(build: Build, top: float | None) -> Limits:
    """What legs need. On a stool they need no less room over the seat than on a chair: by as much as the top is higher
    than one for a chair, the height under it must be more."""
    if build.inputs.project.value.comfort.accessible:
        return ACCESSIBLE
    extra = max((top or CHAIR) - CHAIR, 0.0)
    return Limits(replace(ORDINARY.least, height=ORDINARY.least.height + extra), ORDINARY.source)


def _finding(build: Build, unit: BuiltUnit) -> Finding:
    lengths = build.plan.lengths
    top = max((b.hi[2] for b in tops_over(build, unit)), default=None)
    rule = limits(build, top)
    has = knees(build, unit, rule.least.height)
    shares = {key: getattr(has, key) / getattr(rule.least, key) for key in WORDS}
    worst = min(WORDS, key=lambda key: shares[key])
    value, least = getattr(has, worst), getattr(rule.least, worst)
    short = value < least - CONTACT
    said = (
        f"{unit.name} has knee space {_show(has.height, lengths)} high, {_show(has.width, lengths)} wide, "
        f"{_show(has.knee_depth, lengths)} deep at the knees and {_show(has.foot_depth, lengths)} at the feet"
    )
    if short:
        said += f": it should be {_show(least, lengths)} {WORDS[worst]} or more"
        if worst == "height" and top:
            less = _show(rounded(least - value), lengths)
            said += f" under a top at {_show(top, lengths)}: take {less} off the height of what hangs there"
    if top and top > CHAIR + CONTACT and not build.inputs.project.value.comfort.accessible:
        said += f"; sit on a stool about {_show(rounded(top - STOOL), lengths)} high, with a rest for the feet"
    return Finding(
        code="knee-space",
        severity="warning" if short else "note",
        message=said,
        parts=(),
        value=value,
        limit=least,
        source=rule.source,
        at=wall_of(build, unit.name).frame.apply(unit_box(build, unit).center),
        details=tuple((f"{key}_mm", getattr(has, key)) for key in WORDS),
    )


def _show(value: float, lengths: LengthUnit) -> str:
    return show_length(value, lengths)
