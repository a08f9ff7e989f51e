"""Which boards of a plan carry what, and on which of them the heavy things stand that a project names."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from model.inputs import Inputs
from model.loads import PointLoad
from model.messages import mm
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box

Sort = Literal["shelf", "top", "tray", "drawer bottom", "deck"]

_SORTS: dict[str, Sort] = {
    "shelf": "shelf",
    "fixed shelf": "shelf",
    "tray": "tray",
    "drawer bottom": "drawer bottom",
    "slat": "deck",
    "deck": "deck",
}


def sort_of(unit: BuiltUnit, part: PlacedPart) -> Sort | None:
    """What a board is for whoever loads it; None for one that carries nothing that is known.

    The bottom of a unit with drawers is empty: they hang on its sides.
    """
    if part.part.kind not in ("sheet", "board"):
        return None
    if part.role == "top":
        return "top" if unit.kind == "top" else None
    if part.role == "bottom":
        return None if any(p.role == "drawer bottom" for p in unit.parts) else "shelf"
    return _SORTS.get(part.role)


@dataclass(frozen=True, slots=True)
class Standing:
    """A heavy thing and the board it stands on, with its middle along the wall (mm in the wall's frame)."""

    load: PointLoad
    on: PlacedPart
    x: float


def standing(inputs: Inputs, units: Sequence[BuiltUnit], frames: dict[str, Placement]) -> tuple[Standing, ...]:
    """Every heavy thing on its board; `frames` are those of the walls, by the name of the unit that stands there.

    Raises ConfigError for a thing on nothing, or past the end of what it stands on.
    """
    return tuple(_standing(inputs, units, frames, i, load) for i, load in enumerate(inputs.project.value.loads.points))


def _standing(
    inputs: Inputs, units: Sequence[BuiltUnit], frames: dict[str, Placement], index: int, load: PointLoad
) -> Standing:
    loc = ("loads", "points", index)
    unit = next((u for u in units if load.on == u.name or load.on.startswith(f"{u.name}/")), None)
    if unit is None:
        raise inputs.error(f"{load.name} stands on {load.on!r}, which is nowhere: name a top or a board", *loc, "on")
    boards = [p for p in unit.parts if sort_of(unit, p) and (unit.kind == "top" or sort_of(unit, p) != "top")]
    mine = boards if load.on == unit.name and unit.kind == "top" else [p for p in boards if p.path == load.on]
    if not mine:
        there = ", ".join(p.path for p in boards[:6]) or "nothing that carries"
        raise inputs.error(f"{load.name} stands on {load.on!r}, name one of its boards: {there}", *loc, "on")
    back = frames.get(unit.name, Placement()).inverse()
    boxes = [(p, back.compose(p.placement).box(Box((0.0, 0.0, 0.0), p.part.size))) for p in mine]
    left, right = min(b.lo[0] for _, b in boxes), max(b.hi[0] for _, b in boxes)
    if load.x > right - left:
        raise inputs.error(f"{load.name} stands past the end of {load.on}, which is {mm(right - left)} long", *loc, "x")
    x = left + load.x
    on = next(p for p, b in boxes if b.lo[0] - 0.01 <= x <= b.hi[0] + 0.01)
    return Standing(load, on, x)


def boards(units: Sequence[BuiltUnit]) -> Iterator[tuple[BuiltUnit, PlacedPart, Sort]]:
    """Every board that carries something, with its unit."""
    for unit in units:
        for part in unit.parts:
            sort = sort_of(unit, part)
            if sort:
                yield unit, part, sort
