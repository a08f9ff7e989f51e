"""The plainest of all nests, for tests of what is drawn on a sheet."""

from model.build import Build
from model.cnc import Cnc
from model.cutting.laid import CutSheet, Laid, StockSheet
from model.cutting.pieces import sheet_parts


def in_rows(build: Build, cnc: Cnc) -> list[CutSheet]:
    """Every sheet part of a plan in rows on the largest sheet, the widest first: the plainest of all nests."""
    found: list[CutSheet] = []
    for material, blanks in sheet_parts(build.plan, build.stock).items():
        size = max(build.stock.sheets[material].sizes, key=lambda s: s.length * s.width)
        sheet = StockSheet(material, size.length, size.width, None)
        todo = sorted((b for b in blanks for _ in range(b.copies)), key=lambda b: (-b.width, -b.length, b.mark))
        rows: list[Laid] = []
        x = y = cnc.margin
        high = 0.0
        for blank in todo:
            if x + blank.length > sheet.length - cnc.margin:
                x, y, high = cnc.margin, y + high + cnc.spacing, 0.0
            if y + blank.width > sheet.width - cnc.margin:
                found.append(_sheet(found, sheet, cnc, rows))
                rows, x, y, high = [], cnc.margin, cnc.margin, 0.0
            rows.append(Laid(blank.mark, x, y, blank.length, blank.width, False))
            x, high = x + blank.length + cnc.spacing, max(high, blank.width)
        found.append(_sheet(found, sheet, cnc, rows))
    return found


def _sheet(found: list[CutSheet], sheet: StockSheet, cnc: Cnc, rows: list[Laid]) -> CutSheet:
    number = 1 + sum(s.material == sheet.material for s in found)
    return CutSheet(sheet.material, number, sheet, cnc.margin, cnc.spacing, tuple(rows), (), ())
