"""Clearances: the air between parts that must pass, close or fit, measured on the plan as it is built.

Nothing here asks an option how wide a gap was meant to be: each is the distance of two faces. Each is held against its
range in the project's `clearances`. The codes: `too-tight`, `too-loose`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.gaps.doors import door_gaps
from model.gaps.drawers import ROLES as INNER
from model.gaps.drawers import inner_gaps
from model.gaps.facing import Measured, UnitView, views
from model.gaps.fronts import ROLES as OUTER
from model.gaps.fronts import outer_gaps
from model.gaps.ranges import Clearances, Range
from model.measures import show_small
from model.part import PlacedPart
from model.tolerances import CONTACT

SAME = 2e-3
"""mm. What a range may be missed by through rounding: along a wall that stands askew in the room the places of two
parts are each up to 0.7 thousandths off."""

TOUCHING = CONTACT
"""mm. What must move freely and is no further away than this rubs."""
INTO = -CONTACT
"""mm. What may touch, but lies further than this into the other, cannot be put together."""
NEVER = -math.inf

CODES = (
    Code(
        "too-tight",
        "A gap is smaller than its range allows: what should pass, close or fit may rub or bind.",
        causes=(
            "gaps between fronts, or the side space of slides, set smaller than what a shop can hold",
            "a part moved or grown by a later change",
            "a door hinged close to a wall of the room that opens far",
        ),
        moved_by=(
            "unit: fronts.gap",
            "unit: fronts.overlay",
            "unit: drawers.build_out",
            "unit: drawers.box.below",
            "unit: drawers.box.above",
            "unit: drawers.slide_length",
            "unit: doors.opens",
            "unit: doors.hinged",
            "unit: tray.clear",
            "unit: tray.side",
            "unit: shelves.play",
            "project: margins",
            "project: clearances",
        ),
    ),
    Code(
        "too-loose",
        "A gap is wider than its range allows: it shows, rattles, or wastes room.",
        causes=(
            "gaps or laps of fronts set wider than they should look",
            "a build-out thicker than the frame stands in",
            "a slide much shorter than its carcass is deep",
        ),
        moved_by=(
            "unit: fronts.gap",
            "unit: fronts.overlay",
            "unit: drawers.build_out",
            "unit: drawers.slide_length",
            "unit: tray.clear",
            "unit: tray.side",
            "unit: shelves.play",
            "project: clearances",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Kind:
    """How a clearance is told, and the measure (mm) up to which something would surely bind."""

    says: str = "{a} and {b} are {gap} apart"
    binds: float = TOUCHING


KINDS: dict[str, Kind] = {
    "drawer_to_frame": Kind("{a} passes {b} by {gap}"),
    "drawer_to_rail": Kind("{a} passes {b} by {gap}"),
    "slide_to_carcass": Kind(binds=NEVER),
    "slide_to_drawer": Kind(binds=NEVER),
    "slide_play": Kind("between {a} and {b} the slide has {gap} of play", INTO),
    "front_to_front": Kind(),
    "front_to_top": Kind(),
    "front_to_frame": Kind(),
    "door_to_wall": Kind("fully open, {a} is {gap} from {b}"),
    "tray_to_side": Kind(),
    "tray_to_runner": Kind("{a} has {gap} of play under {b}", INTO),
    "drawer_to_back": Kind("shut, {a} is {gap} from {b}", INTO),
    "shelf_to_side": Kind(binds=INTO),
}


@check
def clearances(build: Build) -> Iterator[Finding]:
    """Findings `too-tight` and `too-loose`."""
    said = build.inputs.project.value.clearances
    for one in measure(build, said):
        allowed: Range = getattr(said, one.key)
        if one.gap < allowed.min - SAME:
            yield _finding(build, one, allowed, allowed.min)
        elif one.loose and allowed.max is not None and one.gap > allowed.max + SAME:
            yield _finding(build, one, allowed, allowed.max)


def measure(build: Build, said: Clearances) -> Iterator[Measured]:
    """Every clearance of a plan; doors to walls only as far as they are near."""
    found = views(build, INNER | OUTER)
    by_wall: dict[str, list[UnitView]] = {}
    for view in found:
        by_wall.setdefault(view.wall, []).append(view)
        yield from inner_gaps(view, build.stock)
    for along in by_wall.values():
        yield from outer_gaps(along)
    yield from door_gaps(build, said.door_to_wall)


def _finding(build: Build, one: Measured, allowed: Range, limit: float) -> Finding:
    kind, lengths = KINDS[one.key], build.plan.lengths
    tight = limit == allowed.min and one.gap < allowed.min
    names = {"a": _label(build, one.a), "b": f"the wall {one.wall}" if one.b is None else _label(build, one.b)}
    if allowed.max is None:
        right = f"{show_small(allowed.min, lengths)} or more"
    else:
        right = f"{show_small(allowed.min, lengths)} to {show_small(allowed.max, lengths)}"
    x, y, z = (round(c, 1) + 0.0 for c in one.frame.apply(one.at))
    most = () if allowed.max is None else (("max_mm", allowed.max),)
    return Finding(
        code="too-tight" if tight else "too-loose",
        severity="fault" if tight and one.gap <= kind.binds else "warning",
        message=f"{kind.says.format(gap=show_small(one.gap, lengths), **names)}: clearances.{one.key} asks for {right}",
        parts=(one.a.path,) if one.b is None else (one.a.path, one.b.path),
        value=round(one.gap, 6) + 0.0,
        limit=limit,
        source=f"clearances.{one.key} of the project",
        at=(x, y, z),
        details=(("min_mm", allowed.min), *most, ("off_mm", round(abs(one.gap - limit), 6))),
    )


def _label(build: Build, placed: PlacedPart) -> str:
    """A part's path and its shop mark."""
    mark = build.plan.marks.get(placed.part)
    return placed.path if mark is None else f"{placed.path} ({mark})"
