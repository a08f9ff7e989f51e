"""Whether what is built elsewhere can be carried into the room: through the narrowest door and round the tightest turn.

The code `way-in`: a unit that does not pass whole (a warning: build it in the room), or a single part that does not (a
fault). Boxes are carried upright or lying, and long ones tilted as far as the height at the turn lets them.
"""

import itertools
import math
from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.handling.tilting import tilted_length
from model.lengths import show_length
from model.plan import BuiltUnit
from model.room.room import WayIn
from model.tolerances import CONTACT, rounded

LAID_IN_PLACE = ("top", "corner", "connecting")
"""Kinds of unit that are put together in their place from single parts."""


CODES = (
    Code(
        "way-in",
        "A unit, or a single part, does not pass through the narrowest door or round the tightest turn.",
        causes=(
            "a long top in one piece",
            "a wide or deep unit put together before it is carried in",
        ),
        moved_by=(
            "project: walls.width",
            "unit: depth",
            "project: tops.over",
            "room: way_in.door_width",
        ),
    ),
)


@check
def way_in(build: Build) -> Iterator[Finding]:
    """Finding `way-in`."""
    way = build.inputs.room.value.way_in
    if way is None:
        return
    for unit in build.plan.units:
        size = _size(unit)
        whole = unit.kind not in LAID_IN_PLACE
        if whole and not passes(way, size):
            yield _finding(
                build, way, unit.name, size, "warning", "it does not pass whole: put it together in the room"
            )
        told = set()
        for placed in unit.parts:
            if placed.part not in told and not passes(way, placed.part.size):
                told.add(placed.part)
                yield _finding(build, way, placed.path, placed.part.size, "fault", "make it in shorter pieces")


def _size(unit: BuiltUnit) -> tuple[float, float, float]:
    """The sides of a unit as it is carried, pulls left off: smallest box with one side upright (mm)."""
    parts = [p for p in unit.parts if p.part.kind != "hardware"] or list(unit.parts)
    first = parts[0].placement
    turned = [first.inverse().compose(p.placement) for p in parts]
    corners = [
        at.apply((x, y, z))
        for at, p in zip(turned, parts, strict=True)
        for x in (0.0, p.part.length)
        for y in (0.0, p.part.width)
        for z in (0.0, p.part.thickness)
    ]
    found = [rounded(max(c[i] for c in corners) - min(c[i] for c in corners)) for i in range(3)]
    return found[0], found[1], found[2]


def passes(way: WayIn, size: tuple[float, float, float]) -> bool:
    """Whether a box passes the door and the turn in some position."""
    for up, long, thick in itertools.permutations(size):
        if up > way.door_height + CONTACT or thick > long:
            continue
        if thick <= way.door_width + CONTACT and _turns(way, tilted_length(long, up, way.headroom + CONTACT), thick):
            return True
    return False


def goes_in_whole(build: Build, unit: BuiltUnit) -> bool:
    """Whether a unit can be carried in put together; so it is where nothing is said of the way in."""
    way = build.inputs.room.value.way_in
    return way is None or passes(way, _size(unit))


def _turns(way: WayIn, long: float, thick: float) -> bool:
    if way.corridor is None:
        return True
    into = way.turns_into if way.turns_into is not None else way.door_width
    if thick > min(way.corridor, into) + CONTACT:
        return False
    # short enough to be pushed sideways into the next corridor without being turned
    if (long <= way.corridor and thick <= into) or (long <= into and thick <= way.corridor):
        return True
    return long <= longest_round(way.corridor, into, thick) + CONTACT


def longest_round(a: float, b: float, thick: float) -> float:
    """The longest rectangle, `thick` mm wide, that is turned round the corner of two corridors a and b mm wide (plan).

    The least over all angles of what fits across the inner corner; for no thickness (a^(2/3) + b^(2/3))^(3/2).
    """

    def across(angle: float) -> float:
        s, c = math.sin(angle), math.cos(angle)
        return (a * c + b * s - thick) / (s * c)

    low, high = 1e-3, math.pi / 2 - 1e-3
    best = min((low + (high - low) * i / 400 for i in range(401)), key=across)
    step = (high - low) / 400
    for _ in range(60):  # ternary search around the best of the samples
        left, right = best - step / 3, best + step / 3
        best = min((left, best, right), key=lambda x: across(min(max(x, low), high)))
        step *= 0.8
    return across(min(max(best, low), high))


def _finding(
    build: Build, way: WayIn, what: str, size: tuple[float, float, float], severity: str, mend: str
) -> Finding:
    lengths = build.plan.lengths
    sides = " x ".join(show_length(s, lengths) for s in size)
    door = f"{show_length(way.door_width, lengths)} x {show_length(way.door_height, lengths)}"
    return Finding(
        code="way-in",
        severity="fault" if severity == "fault" else "warning",
        message=f"{what} ({sides}) cannot be carried in through a door of {door}"
        f"{' and round the turn before it' if way.corridor else ''}: {mend}",
        parts=(what,) if severity == "fault" else (),
        value=rounded(sorted(size)[1]),
        limit=way.door_width,
        source="the room file",
    )
