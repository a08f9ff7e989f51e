"""A story pole for each unit: every height that is marked out, from its lower end, taken from its parts."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from model.finishes import group_of
from model.part import PlacedPart
from model.plan import BuiltUnit, Plan
from model.shapes import Box
from model.tolerances import rounded

Column = Literal["case", "fronts", "fittings"]
COLUMNS: tuple[Column, ...] = ("case", "fronts", "fittings")
WITHOUT = ("top", "filler", "panel")
"""Kinds of unit that need none."""
_MIDDLES = {"slide": "slide", "shelf pin": "pins", "hinge": "hinge", "pull": "pull"}
"""Roles of fittings whose middle is marked."""
_SIDES = re.compile(r",? ?\b(left|right)\b,? ?")
_CORNERS = re.compile(r",? ?\b(left|right|front|rear)\b,? ?")
_MEMBERS = re.compile(r",? (cabinet member|arm)$")


@dataclass(frozen=True, slots=True)
class Mark:
    """One line on a pole: its height over the lower end (mm), the column it is in, and what is there."""

    height: float
    column: Column
    what: str


@dataclass(frozen=True, slots=True)
class Block:
    """A spacer cut to a length (mm) that holds something in place while it is screwed on."""

    length: float
    what: str


@dataclass(frozen=True, slots=True)
class Pole:
    """A pole as long as its unit is high (mm), its lower end `over_floor` (mm), its marks from there up.

    `blocks` are setting blocks: what stands on the bottom under each slide, the longest first, as one block is cut down
    from slide to slide; then the gaps between fronts.
    """

    unit: str
    code: str
    length: float
    over_floor: float
    marks: tuple[Mark, ...]
    blocks: tuple[Block, ...] = ()


def poles(plan: Plan) -> tuple[Pole, ...]:
    """A pole for each unit that has shelves, fronts, rails or slides."""
    found = (_pole(unit) for unit in plan.units if unit.kind not in WITHOUT)
    return tuple(pole for pole in found if pole.marks)


def _pole(unit: BuiltUnit) -> Pole:
    low = min(p.bounds().lo[2] for p in unit.parts)
    high = max(p.bounds().hi[2] for p in unit.parts)
    moving = {path for motion in unit.motions for path in motion.parts}
    roles = {p.path: p.role for p in unit.parts}
    marks: dict[tuple[float, Column], dict[str, None]] = {}
    for p in unit.parts:
        front = p.part.kind != "hardware" and group_of(p, unit.kind, roles) == "fronts"
        for height, column, what in _heights(p, p.path in moving, front):
            name = p.path.removeprefix(f"{unit.name}/").replace("/", " ")
            told = f"{_short(name, column)}, {what}" if what else _short(name, column)
            marks.setdefault((rounded(height - low), column), {})[told] = None
    ordered = sorted(marks, key=lambda key: (key[0], COLUMNS.index(key[1])))
    told = tuple(Mark(h, c, "; ".join(marks[h, c])) for h, c in ordered)
    return Pole(unit.name, unit.code, rounded(high - low), rounded(low), told, tuple(_blocks(unit, moving, roles)))


def _blocks(unit: BuiltUnit, moving: set[str], roles: dict[str, str]) -> Iterator[Block]:
    """The setting blocks of a unit."""
    bottom = next((p.bounds().hi[2] for p in unit.parts if p.role == "bottom"), None)
    under: dict[float, dict[str, None]] = {}
    for p in unit.parts:
        if bottom is not None and p.role == "slide" and p.path not in moving and p.bounds().lo[2] > bottom:
            name = _short(p.path.removeprefix(f"{unit.name}/").replace("/", " "), "fittings")
            under.setdefault(rounded(p.bounds().lo[2] - bottom), {})[name] = None
    for length in sorted(under, reverse=True):
        yield Block(length, f"bottom to {'; '.join(under[length])}")
    gaps: dict[float, int] = {}
    fronts = [p.bounds() for p in unit.parts if p.part.kind != "hardware" and group_of(p, unit.kind, roles) == "fronts"]
    for low in fronts:
        over = (f for f in fronts if f.lo[2] > low.hi[2] and _one_over_another(f, low))
        nearest = min((f.lo[2] for f in over), default=None)
        if nearest is not None and nearest - low.hi[2] > 0.5:
            gap = rounded(nearest - low.hi[2])
            gaps[gap] = gaps.get(gap, 0) + 1
    for gap in sorted(gaps):
        yield Block(gap, f"between fronts, one over another ({gaps[gap]} x)")


def _one_over_another(a: Box, b: Box) -> bool:
    """Whether two fronts share some of the wall they stand before, whichever way that runs."""
    return all(a.lo[i] < b.hi[i] and b.lo[i] < a.hi[i] for i in range(2))


def _heights(p: PlacedPart, moves: bool, front: bool) -> Iterator[tuple[float, Column, str]]:
    """What is marked of a part: heights in the room."""
    low, high = p.bounds().span("z")
    if p.part.kind == "hardware":
        held = p.role in _MIDDLES and (not moves or p.role == "pull")
        if held:
            yield (low + high) / 2, "fittings", "middle"
    elif p.part.kind == "band":
        return
    elif front:
        yield low, "fronts", "lower edge"
        yield high, "fronts", "upper edge"
    elif not moves:
        words = _words(p)
        if words:
            yield low, "case", words[0]
            yield high, "case", words[1]


def _words(p: PlacedPart) -> tuple[str, str] | None:
    """What the lower and the upper side of a part are called; None for what stands upright."""
    if abs(p.placement.turn((0.0, 0.0, 1.0))[2]) > 0.999:
        return "underside", "upper face"
    level = abs(p.placement.turn((1.0, 0.0, 0.0))[2]) < 0.001
    return ("lower edge", "upper edge") if level and p.role != "back" else None


def _short(name: str, column: Column) -> str:
    """The name without which side it is on: both sides are marked at once."""
    shorter = (_SIDES if column == "fronts" else _CORNERS).sub(" ", _MEMBERS.sub("", name))
    return " ".join(shorter.split()).strip(" ,") or name


def spread(heights: Iterable[float], low: float, high: float, apart: float) -> list[float]:
    """Where words for rising heights stand: as near as may be, `apart` from each other, between `low` and `high`.

    They run over where there is no room for all.
    """
    found: list[float] = []
    for height in heights:
        found.append(max(height, found[-1] + apart if found else low))
    limit = high
    for i in range(len(found) - 1, -1, -1):
        found[i] = min(found[i], limit)
        limit = found[i] - apart
    return found
