"""Nested sheets for a router: `sheets/<material>-<nn>.dxf`, a picture of each for the person at the machine, a README.

Every part lies face A up. Where a part is cut on face B too, that is a second setup: it is turned over once it is free
and its `panels/<mark>-b.dxf` is cut. How the drawings are made is in `exporters/cnc/`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from exporters.cnc import layers
from exporters.cnc.drawing import drawing, dxf_bytes
from exporters.cnc.figures import plain_text
from exporters.cnc.labels import index
from exporters.cnc.pages import pages
from exporters.cnc.picture import picture
from exporters.cnc.readme import common, layer_table, written
from exporters.cnc.sheet import Named, SheetWork, sheet_work
from exporters.filenames import file_stems
from exporters.panels import names_of
from model.bill import plain_mm
from model.cnc import Cnc
from model.cutting.laid import CutSheet
from model.lengths import LengthUnit
from model.plan import Plan

if TYPE_CHECKING:
    from ezdxf.document import Drawing

    from model.build import Build


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sheet, the stem of its files, and what is drawn on it."""

    stem: str
    sheet: CutSheet
    work: SheetWork


def named_parts(plan: Plan) -> dict[str, Named]:
    """What is cut for a plan, by mark."""
    names = names_of(plan)
    return {mark: Named(part, mark, names[part]) for part, mark in plan.marks.items() if part.kind != "hardware"}


def too_large(plan: Plan, sheets: Iterable[CutSheet]) -> tuple[str, ...]:
    """Marks of the sheet parts that lie on no sheet, in order."""
    laid = Counter(piece.mark for sheet in sheets for piece in sheet.pieces)
    wanted = Counter(plan.marks[placed.part] for placed in plan.walk() if placed.part.kind == "sheet")
    return tuple(mark for mark in plan.marks.values() if wanted[mark] > laid[mark])


def drawn_sheets(sheets: Iterable[CutSheet], parts: Mapping[str, Named], cnc: Cnc) -> tuple[Drawn, ...]:
    """The drawings of all sheets, their files called after the material and the number of the sheet."""
    laid = tuple(sheets)
    stems = file_stems(sheet.material for sheet in laid)
    return tuple(Drawn(f"{stems[s.material]}-{s.number:02d}", s, sheet_work(s, parts, cnc)) for s in laid)


def document(drawn: Drawn, cnc: Cnc) -> "Drawing":
    """The DXF document of a sheet, the list of layers above it."""
    size = drawn.sheet.sheet.length, drawn.sheet.sheet.width
    listed, height = index((f.layer for f in drawn.work.figures), drawn.work.told, size, cnc.version)
    return drawing(sorted((*drawn.work.figures, *listed)), (size[0], height), cnc.version)


def write_sheets(
    sheets: Iterable[CutSheet],
    parts: Mapping[str, Named],
    cnc: Cnc,
    out: Path,
    lengths: LengthUnit = "mm",
    missing: tuple[str, ...] = (),
) -> list[Path]:
    """Write the drawing and the picture of every sheet below `out`, all pictures as a PDF, and `sheets/README.txt`.

    `missing` are the marks that fit on no sheet.
    """
    drawn = drawn_sheets(sheets, parts, cnc)
    if not drawn:
        return []
    folder = out / "sheets"
    folder.mkdir(parents=True, exist_ok=True)
    counts = Counter(d.sheet.material for d in drawn)
    paths: list[Path] = []
    pictures: list[str] = []
    for each in drawn:
        paths += [folder / f"{each.stem}.dxf", folder / f"{each.stem}.svg"]
        paths[-2].write_bytes(dxf_bytes(document(each, cnc)))
        pictures.append(picture(each.sheet, each.work, parts, cnc, counts[each.sheet.material], lengths))
        paths[-1].write_text(pictures[-1], encoding="utf-8", newline="\n")
    paths.append(folder / "all-sheets.pdf")
    paths[-1].write_bytes(pages(pictures, "Sheets for the router", lengths))
    paths.append(folder / "README.txt")
    paths[-1].write_text(readme(drawn, cnc, missing), encoding="utf-8", newline="\n")
    return paths


def readme(drawn: tuple[Drawn, ...], cnc: Cnc, missing: tuple[str, ...] = ()) -> str:
    """The text of `sheets/README.txt`."""
    mm = plain_mm
    room = [
        f"Sheets are at least {mm(drawn[0].sheet.gap)} mm between parts and {mm(drawn[0].sheet.trim)} mm along every"
        f" edge; the tool is {mm(cnc.tool)} mm. Parts with a grain lie with it along the sheet.",
        "Every part lies face A up. A part that is cut on face B too is turned over about its length once it is free,"
        " and its own file `panels/<mark>-b.dxf` is cut: a second setup, listed below at its sheet.",
    ]
    hold = [
        f"Parts with a side below {mm(cnc.tabs.shorter_than)} mm are held by tabs: at each rectangle on a layer"
        f" `{layers.tab(cnc.tabs.width, cnc.tabs.height).name(cnc.version)}` the tool rises, so that a bridge"
        f" {mm(cnc.tabs.width)} mm long and {mm(cnc.tabs.height)} mm high stays (half the sheet where it is thinner)."
        " Saw it out and trim it flush.",
        "Outlines stand in the file from the smallest part to the largest: cut them in that order, while the sheet is"
        " still whole around the small ones. Waste inside openings is not held: clear it out, or catch it.",
    ]
    used = {layers.INDEX, *(f.layer for d in drawn for f in d.work.figures)}
    files = ["Files", "", "  all-sheets.pdf  a picture of every sheet; each is beside its drawing too (.svg)"]
    for each in drawn:
        files += _told(each)
    if missing:
        files += ["", f"No sheet in stock is large enough for {', '.join(missing)}."]
    return written("Sheets for the router", common(cnc), room, hold, layer_table(used, cnc), files)


def _told(drawn: Drawn) -> list[str]:
    sheet = drawn.sheet
    size = f"{plain_mm(sheet.sheet.length)} x {plain_mm(sheet.sheet.width)} mm"
    source = f"offcut {plain_text(sheet.sheet.offcut)}" if sheet.sheet.offcut else "a new sheet"
    counts = Counter(p.mark for p in sheet.pieces)
    marks = ", ".join(mark if n == 1 else f"{n} x {mark}" for mark, n in sorted(counts.items()))
    lines = [
        f"  {drawn.stem}.dxf  {plain_text(sheet.material)}, {size}, {source}: {len(sheet.pieces)} parts",
        f"      {marks}",
    ]
    return lines + [f"      {line}" for line in drawn.work.told]


def write(build: "Build", out: Path) -> list[Path]:
    """Nest every sheet part of the plan and write the sheets below `out`."""
    from model.cutting.plans import nests  # here, so that the search is loaded only when something is nested
    from model.cutting.sheets import EFFORTS

    cnc, plan, offcuts = build.inputs.project.value.cnc, build.plan, build.inputs.offcuts
    effort = EFFORTS[cnc.search]
    laid = nests(plan, build.stock, gap=cnc.spacing, margin=cnc.margin, offcuts=offcuts, effort=effort)
    return write_sheets(laid, named_parts(plan), cnc, out, plan.lengths, too_large(plan, laid))
