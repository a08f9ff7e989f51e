"""A whole sheet for the router: every part laid on it, face A up, its work moved to where it lies."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from exporters.cnc import layers
from exporters.cnc.contours import area
from exporters.cnc.figures import Figure, rectangle, shifted, turned
from exporters.cnc.labels import labels
from exporters.cnc.layers import Step
from exporters.cnc.panel import Work, sides, work
from exporters.cnc.tabs import tabs
from model.cnc import Cnc
from model.cutting.laid import CutSheet, Laid
from model.part import Part
from model.tolerances import CONTACT, rounded


@dataclass(frozen=True, slots=True)
class Named:
    """A part with its mark and what it is called."""

    part: Part
    mark: str
    name: str


@dataclass(frozen=True, slots=True)
class SheetWork:
    """Everything that is drawn on a sheet, in the order of work, and what must be said in words."""

    figures: tuple[Figure, ...]
    told: tuple[str, ...]
    second: tuple[str, ...]
    """Marks of the parts whose face B is cut afterwards, one by one."""


def sheet_work(sheet: CutSheet, parts: Mapping[str, Named], cnc: Cnc) -> SheetWork:
    """The drawing of a sheet; `parts` by mark. Raises ValueError where a piece is not as large as its wood."""
    used = sheet.trim
    whole = (sheet.sheet.length, sheet.sheet.width)
    drawn = {
        rectangle(layers.SHEET, ((0.0, 0.0), whole)),
        rectangle(layers.MARGIN, ((used, used), (whole[0] - used, whole[1] - used))),
    }
    done = {mark: work(parts[mark].part, "A", cnc) for mark in sorted({piece.mark for piece in sheet.pieces})}
    for piece in sheet.pieces:
        drawn |= set(_laid(piece, parts[piece.mark], done[piece.mark], cnc))
    second = tuple(mark for mark in done if len(sides(parts[mark].part)) > 1)
    told = [f"{mark}: {line}" for mark, each in done.items() for line in each.told]
    for mark in second:
        words = "; ".join(("a second setup", *work(parts[mark].part, "B", cnc).told))
        told.append(f"{mark}: then face B, panels/{mark}-b.dxf: {words}")
    return SheetWork(tuple(sorted(drawn)), tuple(sorted(told)), second)


def _laid(piece: Laid, named: Named, done: Work, cnc: Cnc) -> Iterator[Figure]:
    lying = done.size[::-1] if piece.turned else done.size
    if max(abs(lying[0] - piece.along), abs(lying[1] - piece.across)) > CONTACT:
        raise ValueError(f"{piece.mark} is laid as {piece.along} x {piece.across}, its wood is {lying[0]} x {lying[1]}")
    second = f"face A up; then face B: {piece.mark}-b" if len(sides(named.part)) > 1 else ""
    figures = [*done.figures, *labels(named.part, done.size, named.mark, named.name, second)]
    for figure in done.figures:
        figures += tabs(figure, done.size, named.part.thickness, cnc)
    for figure in figures:
        ranked = replace(figure, rank=_rank(figure))
        yield shifted(turned(ranked, done.size[1]) if piece.turned else ranked, piece.x, piece.y)


def _rank(figure: Figure) -> float:
    """Outlines are cut in the order of their area, the smallest while the sheet around it is still whole."""
    if figure.layer.step is not Step.OUTLINE:
        return 0.0
    return rounded(abs(area(tuple((x, y) for x, y, _ in figure.vertices))))
