"""The check sheet: what the tape must show of the built parts, with boxes to tick.

Diagonals are those of the outsides of two sides that stand square to each other's rear edge; gaps are measured on the
model as the clearance checks do, and told as a range for each unit.
"""

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from exporters.booklet import words
from exporters.booklet.show import WITHIN, Shown, clean
from model.checks.clearances import measure
from model.measures import show_small
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box

if TYPE_CHECKING:
    from model.build import Build

SQUARE = 0.5
"""mm. Two sides that differ by more than this in height or depth have no diagonals that could be compared."""
GAPS = {
    "front_to_front": "front to front",
    "front_to_top": "front to top",
    "front_to_frame": "front in its frame",
    "drawer_to_frame": "drawer box to frame, each side",
    "drawer_to_rail": "drawer box to rail",
    "tray_to_side": "tray to side",
    "shelf_to_side": "shelf to side",
}


def check_sheet(build: "Build", shown: Shown) -> dict[str, Any]:
    """Every box with its sizes and the diagonal to measure, every kind of gap, every height."""
    frames = {w.name: w.frame.inverse() for w in build.walls}
    boxes: list[dict[str, Any]] = []
    for unit in build.plan.units:
        frame = frames[build.stands_at[unit.name]]
        boxes += [_row(unit, name, a, b, shown) for name, a, b in squares(unit, frame)]
    return {
        "rules": words.CHECKING,
        "tolerance": WITHIN[shown.unit],
        "boxes": boxes,
        "gaps": list(_gaps(build)),
        "levels": [
            (unit.code, clean(unit.name), shown.number(max(frames[build.stands_at[unit.name]].box(p.bounds()).hi[2]
                                                            for p in unit.parts)))
            for unit in build.plan.units
            if unit.parts
        ],
    }  # fmt: skip


def squares(unit: BuiltUnit, frame: Placement) -> Iterator[tuple[str, float, float]]:
    """What can be measured corner to corner: the carcass from behind, its face frame, each drawer box from above.

    Gives a name and the two outside sizes (mm); their diagonal is what the tape shows.
    """
    at = {p.path: frame.box(p.bounds()) for p in unit.parts}
    ends = [at[p.path] for p in unit.parts if p.path in unit.ends and p.role == "side"]
    if len(ends) == 2 and _alike(ends[0], ends[1], "z"):
        yield "carcass, from behind", _across(ends, "x"), _along(ends, "z")
    stiles = [at[p.path] for p in unit.parts if p.role == "stile"]
    if len(stiles) >= 2 and len(ends) == 2:
        outer = [min(stiles, key=lambda b: b.lo[0]), max(stiles, key=lambda b: b.hi[0])]
        if outer[0] is not outer[1] and _alike(outer[0], outer[1], "z"):
            yield "face frame", _across(outer, "x"), _along(outer, "z")
    for motion in unit.motions:
        sides = [at[path] for path in motion.parts if _role(unit.parts, path) == "drawer side"]
        if len(sides) == 2 and _alike(sides[0], sides[1], "y"):
            name = motion.name.partition("/")[2] or motion.name
            yield f"{name}, box from above", _across(sides, "x"), _along(sides, "y")


def _role(parts: Iterable[PlacedPart], path: str) -> str:
    return next((p.role for p in parts if p.path == path), "")


def _alike(a: Box, b: Box, axis: Any) -> bool:
    (low, high), (other_low, other_high) = a.span(axis), b.span(axis)
    return abs(low - other_low) <= SQUARE and abs(high - other_high) <= SQUARE


def _across(boxes: list[Box], axis: Any) -> float:
    return max(b.span(axis)[1] for b in boxes) - min(b.span(axis)[0] for b in boxes)


def _along(boxes: list[Box], axis: Any) -> float:
    return boxes[0].span(axis)[1] - boxes[0].span(axis)[0]


def _row(unit: BuiltUnit, name: str, a: float, b: float, shown: Shown) -> dict[str, Any]:
    return {
        "code": unit.code,
        "unit": clean(unit.name),
        "what": clean(name),
        "size": shown.size(a, b),
        "diagonal": shown.number(math.hypot(a, b)),
    }


def _gaps(build: "Build") -> Iterator[tuple[str, str, str, str]]:
    found: dict[tuple[str, str], list[float]] = {}
    for one in measure(build, build.inputs.project.value.clearances):
        if one.key in GAPS:
            found.setdefault((one.a.path.partition("/")[0], one.key), []).append(one.gap)
    codes = {u.name: u.code for u in build.plan.units}
    turn = {key: (list(codes).index(key[0]), list(GAPS).index(key[1])) for key in found}
    for unit, key in sorted(found, key=turn.__getitem__):
        gaps = found[unit, key]
        low, high = show_small(min(gaps), build.plan.lengths), show_small(max(gaps), build.plan.lengths)
        yield codes[unit], clean(unit), GAPS[key], low if low == high else f"{low} to {high}"
