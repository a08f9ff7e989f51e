"""Columns: a carcass divided by partitions, each column with contents of its own."""

import itertools
from dataclasses import replace

from pydantic import Field

from model.cabinet.bands import lay
from model.cabinet.carcass import Carcass, Span
from model.cabinet.contents import Contents, Place, fill
from model.cabinet.frame import Frame, FrameOptions, Opening
from model.config.types import PositiveLength
from model.draft import Draft, Panel
from model.messages import mm
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.tolerances import rounded

LEAST = 100.0
"""mm. A narrower column holds nothing."""


class Column(Contents):
    """One column of a base, between partitions."""

    width: PositiveLength | None = None
    """Clear width between its walls; a share of what the others leave when left out."""
    share: float = Field(default=1.0, gt=0, le=100)
    """Its share of that, against the other shares."""


def widths(columns: tuple[Column, ...], room: float) -> list[float]:
    """The clear width of each column, mm: what is said, and the rest shared out to 0.1 mm. Raises Unbuildable."""
    left = room - sum(c.width or 0.0 for c in columns)
    total = sum(c.share for c in columns if c.width is None)
    if (total == 0 and abs(left) > 0.05) or left < 0:
        way = "too narrow by" if left > 0 else "too wide by"
        raise Unbuildable(
            f"the columns are {way} {mm(rounded(abs(left)))}: there is {mm(rounded(room))} between the sides, "
            "partitions not counted; leave one width out",
            "columns",
        )
    found = [c.width if c.width is not None else round(left * c.share / total, 1) for c in columns]
    last = next((i for i in reversed(range(len(columns))) if columns[i].width is None), len(columns) - 1)
    found[last] = rounded(found[last] + room - sum(found))
    narrow = min(range(len(found)), key=lambda i: found[i])
    if found[narrow] < LEAST:
        raise Unbuildable(f"a column {mm(found[narrow])} wide is too narrow: {mm(LEAST)} at least", "columns", narrow)
    return found


def partitions(
    draft: Draft,
    box: Carcass,
    columns: tuple[Column, ...],
    y: Span,
    under: Panel,
    over: list[Panel],
    band: EdgeBand | None,
) -> list[Panel]:
    """The partitions between columns, over y, joined as the carcass is; banded in front where there is a band."""
    t = box.sheet.thickness
    x = box.inside[0]
    found: list[Panel] = []
    kick = draft.panels.get("kick board")
    back = draft.panels.get("back")
    room = box.inside[1] - box.inside[0] - (len(columns) - 1) * t
    for i, width in enumerate(widths(columns, room)[:-1], 1):
        x = rounded(x + width)
        panel = box.partition(f"partition {i}", x, y, under, over, kick.box if kick else None)
        if back is not None and back.box.lo[1] == panel.box.hi[1]:
            draft.join("screwed", back, panel)
        if band is not None:
            lay(draft, band, panel, "-y", z=(under.box.hi[2], over[0].box.lo[2]))
        found.append(panel)
        x = rounded(x + t)
    return found


def fill_columns(
    draft: Draft, site: Site, columns: tuple[Column, ...], place: Place, walls: list[Panel], frame: FrameOptions | None
) -> None:
    """Fill each column, from the left; a face frame gets an upright in front of each partition."""
    shell = place.shell
    openings = _openings(place, walls, frame)
    inner = [shell.left, *walls, shell.right]
    for i, (column, opening) in enumerate(zip(columns, openings, strict=True)):
        left, right = inner[i], inner[i + 1]
        own = shell.column((left.box.hi[0], right.box.lo[0]), left, right, f"column {i + 1} ")
        bay = replace(place, shell=own, opening=opening, frame=place.frame.between(opening) if place.frame else None)
        try:
            fill(draft, site, column, bay)
        except Unbuildable as problem:
            if problem.loc and problem.loc[0] in Contents.model_fields:
                raise Unbuildable(f"column {i + 1}: {problem.message}", "columns", i, *problem.loc) from None
            raise


def _openings(place: Place, walls: list[Panel], frame: FrameOptions | None) -> list[Opening]:
    whole = place.opening
    if place.frame and frame:
        return _framed(place, place.frame, walls, frame)
    thickness, gap = place.shell.thickness, place.fronts.gap
    own, shared = place.lap, min(place.lap, rounded((thickness - gap) / 2))
    inner = [place.shell.left, *walls, place.shell.right]
    found = []
    for i, (left, right) in enumerate(itertools.pairwise(inner)):
        laps = (own if i == 0 else shared, own if i == len(walls) else shared)
        found.append(Opening((left.box.hi[0], right.box.lo[0]), whole.z, left, right, laps))
    return found


def _framed(place: Place, frame: Frame, walls: list[Panel], options: FrameOptions) -> list[Opening]:
    whole, width = place.opening, options.mullion or frame.board.width
    if width > frame.board.width:
        raise Unbuildable(
            f"a mullion of {mm(width)} is wider than the {mm(frame.board.width)} board", "frame", "mullion"
        )
    if place.lap > 0 and width - 2 * place.lap < 1:
        raise Unbuildable(
            f"fronts that lap {mm(place.lap)} meet on a {mm(width)} mullion: lap less or take a wider one", "fronts"
        )
    members = [whole.left]
    for i, wall in enumerate(walls, 1):
        middle = wall.box.center[0]
        members.append(frame.mullion(f"upright {i}", (middle - width / 2, middle + width / 2), wall))
    members.append(whole.right)
    found = []
    for left, right in itertools.pairwise(members):
        x = (left.box.hi[0], right.box.lo[0])
        if x[1] - x[0] < LEAST / 2:
            raise Unbuildable(f"the frame leaves {mm(rounded(x[1] - x[0]))} of a column open", "columns")
        found.append(Opening(x, whole.z, left, right))
    return found
