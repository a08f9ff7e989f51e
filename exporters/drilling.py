"""Drilling templates at 1:1, `templates.pdf`: rows of holes for pulls, shelf pins and slides, each told once.

A template is a strip. Its lower end lies flush with the end of the part that it names, its long edge along the edge of
the part; where the holes are too far in from the edge, or belong to a slide, they lie on a line that is marked first.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from exporters import strips
from exporters.strips import NOTE, Line, Strip
from model.hole_rows import HoleRow, Place, hole_rows
from model.lengths import LengthUnit, show_length

if TYPE_CHECKING:
    from model.build import Build

FROM_EDGE = 44.0
"""mm. Holes no farther in are drawn from the edge of the part itself."""
AXIS = 14.0
"""mm. Where the line of the others lies on its strip."""
BELOW, BEYOND = 12.0, 10.0
"""mm. Of strip before the first hole, where that is not measured from an end, and past the last one."""
TOLD = (
    "Lower end of a strip to the end of the part, its full long line to the edge. Holes on a dash-dotted line: "
    "mark that line on the part first. Ends (x0, x1) and edges (y0, y1) as on the labels: face A up, x0 left, y0 below."
)


def write(build: "Build", out: Path) -> list[Path]:
    """Write `templates.pdf` below `out`; nothing where nothing is drilled from a template."""
    plan = build.plan
    rows = hole_rows(plan, build.stock)
    if not rows:
        return []
    path = out / "templates.pdf"
    path.write_bytes(pdf(rows, plan.lengths))
    return [path]


def pdf(rows: tuple[HoleRow, ...], lengths: LengthUnit) -> bytes:
    """The pages of all templates."""
    return strips.pdf("Drilling templates", TOLD, [strip(row, lengths) for row in rows], lengths)


def strip(row: HoleRow, lengths: LengthUnit) -> Strip:
    """One template."""
    on_edge = row.offset is not None and row.offset <= FROM_EDGE
    x = row.offset if on_edge and row.offset is not None else AXIS
    start = BELOW if row.what == "pull" else 0.0
    size = f"hole {show_length(row.diameter, lengths)}" if row.diameter else "screw"
    lines = tuple(Line(start + at, x, "hole", _hole(row, n, size), row.diameter) for n, at in enumerate(row.along, 1))
    notes = tuple(_place(row, place, lengths) for place in row.where)
    length = _with_notes(start + row.along[-1] + BEYOND, len(notes), strips.tile_length(lengths, head=True))
    ends = {"pull": "cut off here"}.get(row.what, "end of the part" if row.offset is not None else "front end of slide")
    return Strip(length, lines, _head(row, lengths), (ends, "cut off here"), None if on_edge else AXIS, notes)


def _with_notes(length: float, notes: int, tile: float) -> float:
    """The length of a strip that has room for its notes on its last piece: on another where they do not go there."""
    room = NOTE * (notes + 2)
    begun = length % tile
    return length + room if begun + room <= tile else length - begun + tile + room


def _hole(row: HoleRow, number: int, size: str) -> str:
    return size if row.what != "pull" else f"{size}, {number} of {len(row.along)}"


def _place(row: HoleRow, place: Place, lengths: LengthUnit) -> str:
    """Where a template is laid on a part, in words."""
    if not place.end:
        return place.mark
    if row.what != "pull":
        return f"{place.mark}: from {place.end}, {place.edge}"
    line, first = show_length(place.offset, lengths), show_length(place.first, lengths)
    return f"{place.mark}: line {line} from {place.edge}, first hole {first} from {place.end}"


def _head(row: HoleRow, lengths: LengthUnit) -> tuple[str, ...]:
    """What stands over a template."""
    if not row.diameter:
        return (row.what, "On the middle of the slide, as the story pole has it.")
    deep = "through" if row.depth is None else f"{show_length(row.depth, lengths)} deep"
    holes = f"{len(row.along)} holes {show_length(row.diameter, lengths)} {deep}"
    if row.offset is None:
        return (row.what, holes, "On the line that is marked on each part.")
    return (row.what, holes, f"{show_length(row.offset, lengths)} from the edge")
