"""Parts that are larger than anything they could be cut from, and where a seam would make them fit.

The code is `oversize`. A seam is put in the middle of a part that carries this one where that works, else so that the
pieces are alike.
"""

import itertools
import math
from collections.abc import Iterator, Sequence

from model.build import Build
from model.checks import check
from model.cutting.pieces import bars, blank_size
from model.findings import Code, Finding
from model.lengths import show_length
from model.part import Part, PlacedPart
from model.tolerances import rounded

APART = 1.0
"""mm. Two parts that carry within this are one place for a seam."""
LEAST = 100.0
"""mm. No narrower piece is left by a seam over what carries it (common practice)."""


CODES = (
    Code(
        "oversize",
        "A part is larger than any sheet, or longer than any board, that is sold.",
        causes=(
            "a long top in one piece, or a tall panel",
            "a stock file that leaves out a size that can be bought",
        ),
        moved_by=(
            "unit: height",
            "unit: depth",
            "project: tops.over",
            "project: walls.width",
        ),
    ),
)


@check
def oversize(build: Build) -> Iterator[Finding]:
    """Findings `oversize`: one for each distinct part, where it first stands."""
    seen: set[Part] = set()
    lengths = bars(build.stock)
    for placed in build.plan.walk():
        part = placed.part
        if part in seen:
            continue
        seen.add(part)
        if part.kind != "hardware" and part.material in build.stock.sheets:
            yield from _sheet(build, placed)
        elif part.material in lengths:
            longest = max(bar.length for bar in lengths[part.material])
            if blank_size(part)[0] > longest:
                yield _finding(build, placed, "length", blank_size(part)[0], longest, f"{part.material} is sold up to")


def _sheet(build: Build, placed: PlacedPart) -> Iterator[Finding]:
    """A part that lies on no sheet, as it is or (without grain to follow) turned."""
    part, trim = placed.part, build.stock.sheet_trim
    give = f"a sheet of {part.material} gives, trimmed,"
    sheet = build.stock.sheets[part.material]
    usable = [(s.length - 2 * trim, s.width - 2 * trim) for s in sheet.sizes]
    size = blank_size(part)
    turns = part.grain == "any" or not sheet.grain
    if any(_lies(size, room) or (turns and _lies(size[::-1], room)) for room in usable):
        return
    if turns:
        usable += [(b, a) for a, b in usable]
    wide_enough = [room[0] for room in usable if size[1] <= room[1]]
    if wide_enough:
        limit = max(wide_enough)
        yield _finding(build, placed, "length", size[0], limit, give)
        return
    long_enough = [room[1] for room in usable if size[0] <= room[0]]
    limit = max(long_enough or [room[1] for room in usable])
    yield _finding(build, placed, "width", size[1], limit, give)


def _lies(size: Sequence[float], room: Sequence[float]) -> bool:
    return size[0] <= room[0] and size[1] <= room[1]


def _finding(build: Build, placed: PlacedPart, way: str, size: float, limit: float, what: str) -> Finding:
    def show(mm: float) -> str:
        return show_length(mm, build.plan.lengths)

    seams, borne = seams_of(build, placed, way, size, limit)
    places = " and ".join(show(x) for x in seams)
    end = "its left end (x = 0)" if way == "length" else "its lower long edge (y = 0)"
    over = ", over parts that carry it" if borne else ""
    short = f"seam it at {places} from {end}{over}" if seams else "no number of pieces helps: choose another sheet"
    return Finding(
        code="oversize",
        severity="fault",
        message=f"{placed.path} is {show(size)} {'long' if way == 'length' else 'wide'}, {what} {show(limit)}: {short}",
        parts=(placed.path,),
        value=rounded(size),
        limit=rounded(limit),
        source="sizes and trim in the stock file",
        at=placed.bounds().center,
        details=tuple((f"seam_{i}_mm", x) for i, x in enumerate(seams, 1)),
    )


def seams_of(build: Build, placed: PlacedPart, way: str, size: float, limit: float) -> tuple[tuple[float, ...], bool]:
    """Where to seam a part along or across so that no piece is over the limit, and whether every seam is carried."""
    if limit <= 0:
        return (), False
    carried = _carried(build, placed, 0 if way == "length" else 1)
    count = math.ceil(size / limit - 1e-9)
    alike = [rounded(size * i / count) for i in range(1, count)]
    if carried:
        near = [min(carried, key=lambda x: (abs(x - ideal), x)) for ideal in alike]
        pieces = [b - a for a, b in itertools.pairwise([0.0, *near, size])]
        if all(LEAST <= piece <= limit for piece in pieces):
            return tuple(near), True
    return tuple(alike), False


def _carried(build: Build, placed: PlacedPart, axis: int) -> list[float]:
    """The middles of the parts joined to this one across its length or width, from its own origin (mm)."""
    back = placed.placement.inverse()
    found: list[float] = []
    for joint in build.plan.joints:
        if placed.path not in (joint.a, joint.b):
            continue
        other = build.plan.by_path[joint.b if joint.a == placed.path else joint.a]
        box = back.box(other.bounds())
        narrow = box.hi[axis] - box.lo[axis] < placed.part.size[axis] / 4
        middle = rounded((box.lo[axis] + box.hi[axis]) / 2)
        if narrow and 0 < middle < placed.part.size[axis] and all(abs(middle - x) > APART for x in found):
            found.append(middle)
    return sorted(found)
