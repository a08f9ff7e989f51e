"""A list as a table of plain values: written as CSV here, and as a sheet of the workbook elsewhere.

Values are SI (mm, m, m2, litres, kg) whatever the project's unit is. The CSV files follow RFC 4180: comma separated,
quotes doubled, lines ended by CR LF; UTF-8 without a byte order mark; one header line.
"""

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from model.bill import plain_mm

Kind = Literal["text", "count", "amount", "mm", "m", "m2", "litres", "kg", "money"]
Value = str | int | float | Decimal | None
JOINED_BY = "; "

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]+")
_FORMULA = re.compile(r"(^|[;,|])(\s*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")
"""What a spreadsheet may take for the start of a formula: at the start of a cell, or where a program that splits at
another sign would start one (OWASP, "CSV Injection": = + - @, control characters and the full-width forms)."""
DECIMALS: dict[Kind, int] = {"m": 3, "m2": 4, "litres": 3, "kg": 3}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its key in the CSV file, its heading in the workbook, what it holds.

    `formula` is how the workbook works it out from the keys of other columns, `total` whether it adds it up below.
    """

    key: str
    heading: str
    kind: Kind = "text"
    formula: str = ""
    total: bool = False


@dataclass(frozen=True, slots=True)
class Foot:
    """A row under the table: a word, a value in one column, and its formula.

    In a formula `{range}` is the column over all rows and `{0}`, `{1}` ... the cells of the foot rows above.
    """

    label: str
    column: str
    value: Decimal
    formula: str


@dataclass(frozen=True, slots=True)
class Table:
    """One list. `name` is that of its file, `about` a line above it in the workbook."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    foot: tuple[Foot, ...] = ()
    about: str = ""

    def index(self, key: str) -> int:
        return next(i for i, column in enumerate(self.columns) if column.key == key)


def clean(text: str) -> str:
    """The text without control characters and what no file may hold."""
    return _CONTROL.sub(" ", text)


def safe_cell(text: str) -> str:
    """The text as a spreadsheet cell that stays text: an apostrophe before a formula sign, no control characters."""
    return _FORMULA.sub(r"\1\2'", clean(text))


def starts_formula(text: str) -> bool:
    """Whether a spreadsheet might take the text for a formula."""
    return _FORMULA.match(text) is not None


def joined(many: Iterable[str]) -> str:
    """Each once, in order of appearance."""
    return JOINED_BY.join(dict.fromkeys(many))


def csv_text(table: Table) -> str:
    """The whole content of a CSV file; foot rows last, their label in the first column."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(column.key for column in table.columns)
    for row in table.rows:
        writer.writerow(_written(value, column.kind) for value, column in zip(row, table.columns, strict=True))
    for foot in table.foot:
        cells = [""] * len(table.columns)
        cells[0], cells[table.index(foot.column)] = safe_cell(foot.label), f"{foot.value:.2f}"
        writer.writerow(cells)
    return out.getvalue()


def _written(value: Value, kind: Kind) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return safe_cell(value)
    if kind == "mm":
        return plain_mm(float(value))
    if kind == "money":
        return (
            f"{value:f}" if isinstance(value, Decimal) and value != value.quantize(Decimal("0.01")) else f"{value:.2f}"
        )
    if kind == "amount":
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return f"{value:.{DECIMALS.get(kind, 0)}f}"
