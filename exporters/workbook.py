"""The lists as one workbook (Office Open XML, ISO/IEC 29500), `lists/lists.xlsx`.

Sums and costs are formulas, written together with their values, so that programs that do not calculate show them too.
Lengths are in the project's unit, inches to the nearest 1/32. The same lists give the same bytes: no clock is written.
"""

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from copy import copy
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from exporters.lists.table import Column, Foot, Kind, Table, Value, clean, starts_formula
from model.config.types import KG_PER_POUND, LITRES_PER_GALLON, M2_PER_FT2
from model.lengths import MM_PER_INCH, SHOWN_FRACTION, LengthUnit

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

HEAD_ROW = 3
"""The title, a line about the list, then the headings."""
NARROWEST, WIDEST = 7.0, 46.0
"""Widths of columns, in characters."""
A4, LETTER = 9, 1
"""Paper sizes as the format numbers them."""
FORMATS: dict[Kind, str] = {
    "count": "0",
    "mm": "0.0",
    "m": "0.00",
    "m2": "0.000",
    "litres": "0.00",
    "kg": "0.00",
    "money": "#,##0.00",
}
INCH_FORMATS: dict[Kind, str] = {**FORMATS, "mm": "# ??/??"}
UNITS: dict[Kind, str] = {"mm": "mm", "m": "m", "m2": "m2", "litres": "l", "kg": "kg"}
INCH_UNITS: dict[Kind, str] = {"mm": "in", "m": "ft", "m2": "ft2", "litres": "gal", "kg": "lb"}
_INCH_SIZES: dict[Kind, float] = {
    "m": 12 * MM_PER_INCH / 1000,
    "m2": M2_PER_FT2,
    "litres": LITRES_PER_GALLON,
    "kg": KG_PER_POUND,
}
EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip archive can hold."""
_FORMULA_CELL = re.compile(r'(<c r="([A-Z]+[0-9]+)"[^>]*><f>[^<]*</f>)<v\s*/?>(?:</v>)?')
_DATES = re.compile(r"<dcterms:(created|modified)[^>]*>[^<]*</dcterms:\1>")


def workbook(tables: Iterable[Table], title: str, lengths: LengthUnit) -> bytes:
    """The content of the workbook: a sheet for each list, in their order."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "wallwork"
    book.properties.title = clean(title)
    values: list[dict[str, Value]] = []
    for table in tables:
        values.append(_Sheet(book.create_sheet(table.title), table, lengths).fill(title))
    raw = io.BytesIO()
    book.save(raw)
    return _fixed(raw.getvalue(), values)


def converted(value: Value, kind: Kind, lengths: LengthUnit) -> Value:
    """A value in the unit it is shown in."""
    if value is None or isinstance(value, str) or lengths == "mm":
        return value
    if kind == "mm":
        return round(float(value) / MM_PER_INCH * SHOWN_FRACTION) / SHOWN_FRACTION
    return float(value) / _INCH_SIZES[kind] if kind in _INCH_SIZES else value


class _Sheet:
    """One list being written to its sheet."""

    def __init__(self, sheet: "Worksheet", table: Table, lengths: LengthUnit) -> None:
        self.sheet: Any = sheet
        self.table = table
        self.lengths: LengthUnit = lengths
        self.formats = FORMATS if lengths == "mm" else INCH_FORMATS
        self.values: dict[str, Value] = {}
        self.styles: dict[tuple[str, bool], Any] = {}

    def fill(self, title: str) -> dict[str, Value]:
        """Write everything; gives the value of each formula by its cell."""
        from openpyxl.styles import Font

        self._text(1, 1, f"{self.table.title}: {title}", font=Font(bold=True, size=13))
        if self.table.about:
            self._text(2, 1, self.table.about, font=Font(italic=True))
        for i, column in enumerate(self.table.columns, 1):
            self._heading(i, column)
        for n, row in enumerate(self.table.rows, HEAD_ROW + 1):
            for i, (value, column) in enumerate(zip(row, self.table.columns, strict=True), 1):
                self._cell(n, i, value, column)
        self._foot()
        self._look()
        return self.values

    def _text(self, row: int, column: int, text: str, **style: Any) -> None:
        cell: Any = self.sheet.cell(row, column)
        cell.value = clean(text)
        cell.data_type = "s"  # whatever it begins with, it is text
        if row > HEAD_ROW:
            self._styled(cell, "General", wrap=len(text) > WIDEST)
        for name, value in style.items():
            setattr(cell, name, value)
        if starts_formula(text):
            cell._style.quotePrefix = 1

    def _heading(self, i: int, column: Column) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        units = UNITS if self.lengths == "mm" else INCH_UNITS
        text = f"{column.heading} ({units[column.kind]})" if column.kind in units else column.heading
        self._text(HEAD_ROW, i, text, font=Font(bold=True), fill=PatternFill("solid", fgColor="FFE8E2D6"))
        cell: Any = self.sheet.cell(HEAD_ROW, i)
        cell.border = Border(bottom=Side("thin"))
        cell.alignment = Alignment(horizontal="left" if column.kind == "text" else "right", wrap_text=True)

    def _cell(self, n: int, i: int, value: Value, column: Column) -> None:
        if value is None:
            return
        if isinstance(value, str):
            if value:
                self._text(n, i, value)
            return
        shown = converted(value, column.kind, self.lengths)
        if column.formula:
            letters = {c.key: f"{_letter(k)}{n}" for k, c in enumerate(self.table.columns, 1)}
            self._formula(n, i, column.formula.format_map(letters), shown, column.kind)
        else:
            self._number(n, i, shown, column.kind)

    def _number(self, n: int, i: int, value: Any, kind: Kind) -> None:
        cell: Any = self.sheet.cell(n, i)
        cell.value = value
        self._styled(cell, self.formats.get(kind, "General"))

    def _styled(self, cell: Any, number_format: str, wrap: bool = False) -> None:
        """Give a cell its format; made once for all cells of a kind, which is many times quicker."""
        from openpyxl.styles import Alignment

        if (number_format, wrap) not in self.styles:
            cell.number_format = number_format
            cell.alignment = Alignment(vertical="top", wrap_text=wrap)
            self.styles[number_format, wrap] = cell._style
        cell._style = copy(self.styles[number_format, wrap])

    def _formula(self, n: int, i: int, formula: str, value: Value, kind: Kind) -> None:
        self._number(n, i, f"={formula}", kind)
        self.values[f"{_letter(i)}{n}"] = value

    def _foot(self) -> None:
        """Sums of the columns that have one, then the rows under the table."""
        from openpyxl.styles import Border, Font, Side

        first, last = HEAD_ROW + 1, HEAD_ROW + len(self.table.rows)
        if last < first:
            return
        n = last + 1
        if any(column.total for column in self.table.columns):
            self._text(n, 1, "total", font=Font(bold=True))
            for i, column in enumerate(self.table.columns, 1):
                if column.total:
                    kind, total = column.kind, self._sum(i - 1, column.kind)
                    self._formula(n, i, f"SUM({_letter(i)}{first}:{_letter(i)}{last})", total, kind)
        cells: list[str] = []
        for foot in self.table.foot:
            i = self.table.index(foot.column) + 1
            cells.append(f"{_letter(i)}{n}")
            self._foot_row(n, i, foot, f"{_letter(i)}{first}:{_letter(i)}{last}", cells)
            n += 1
        for i in range(1, len(self.table.columns) + 1):
            cell: Any = self.sheet.cell(last + 1, i)
            cell.border = Border(top=Side("thin"))

    def _foot_row(self, n: int, i: int, foot: Foot, over: str, cells: Sequence[str]) -> None:
        from openpyxl.styles import Font

        self._text(n, 1, foot.label, font=Font(bold=True))
        self._formula(n, i, foot.formula.format(*cells, range=over), foot.value, "money")
        cell: Any = self.sheet.cell(n, i)
        cell.font = Font(bold=True)

    def _sum(self, i: int, kind: Kind) -> Value:
        found = [row[i] for row in self.table.rows]
        numbers = [converted(v, kind, self.lengths) for v in found]
        plain = [v for v in numbers if v is not None and not isinstance(v, str)]
        return sum(plain) if all(isinstance(v, int) for v in plain) else sum(float(v) for v in plain)

    def _look(self) -> None:
        """Widths, frozen headings, filters, and how it is printed."""
        sheet, table = self.sheet, self.table
        for i, column in enumerate(table.columns):
            longest = max((len(self._shown(row[i], column.kind)) for row in table.rows), default=0)
            heading = max(len(word) for word in f"{column.heading} (mm)".split(" "))
            sheet.column_dimensions[_letter(i + 1)].width = min(max(longest + 2.0, heading + 2.0, NARROWEST), WIDEST)
        sheet.freeze_panes = f"A{HEAD_ROW + 1}"
        if table.rows:
            sheet.auto_filter.ref = f"A{HEAD_ROW}:{_letter(len(table.columns))}{HEAD_ROW + len(table.rows)}"
        sheet.print_title_rows = f"{HEAD_ROW}:{HEAD_ROW}"
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.paperSize = A4 if self.lengths == "mm" else LETTER
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        margins = sheet.page_margins
        margins.left = margins.right = 0.4
        margins.top = margins.bottom = 0.6
        sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "&P / &N"

    def _shown(self, value: Value, kind: Kind) -> str:
        if value is None or isinstance(value, str):
            return clean(value or "")
        return f"{float(converted(value, kind, self.lengths) or 0):.2f}" if kind != "count" else str(value)


def _letter(i: int) -> str:
    from openpyxl.utils import get_column_letter

    return get_column_letter(i)


def _fixed(raw: bytes, values: Sequence[dict[str, Value]]) -> bytes:
    """The archive without any time in it, the value of every formula beside it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            sheet = re.fullmatch(r"xl/worksheets/sheet(\d+)\.xml", name)
            if sheet:
                data = _with_values(data.decode("utf-8"), values[int(sheet[1]) - 1]).encode("utf-8")
            elif name == "docProps/core.xml":
                data = _DATES.sub("", data.decode("utf-8")).encode("utf-8")
            entry = zipfile.ZipInfo(name, EPOCH)
            entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
            new.writestr(entry, data, compresslevel=6)
    return out.getvalue()


def _with_values(xml: str, values: dict[str, Value]) -> str:
    def told(found: re.Match[str]) -> str:
        value = values[found[2]]
        text = f"{value:f}" if isinstance(value, Decimal) else repr(value)
        return f"{found[1]}<v>{text}</v>"

    return _FORMULA_CELL.sub(told, xml)
