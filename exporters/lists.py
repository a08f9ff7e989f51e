"""The cut list as `lists/parts.csv`, and as a table for the terminal.

The file follows RFC 4180: comma separated, quotes doubled, lines ended by CR LF; UTF-8 without a byte order mark; one
header line, then one line for each distinct part. Names, units and roles that share a part are joined by `; `.
Lengths are mm, the weight is that of one piece in kg.
"""

import csv
import io
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from model.bill import Row, cut_list, describe_cuts, plain_mm
from model.lengths import LengthUnit, show_number

if TYPE_CHECKING:
    from model.build import Build

COLUMNS = (
    "mark",
    "quantity",
    "name",
    "unit",
    "role",
    "material",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "grain",
    "cuts",
    "weight_kg",
)
JOINED_BY = "; "

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
_FORMULA = re.compile(r"(^|[;,|])(\s*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")
"""What a spreadsheet may take for the start of a formula: at the start of a cell, or where a program that splits at
another sign would start one (OWASP, "CSV Injection": = + - @, control characters and the full-width forms)."""


def safe_cell(text: str) -> str:
    """The text as a spreadsheet cell that stays text: an apostrophe before a formula sign, no control characters."""
    return _FORMULA.sub(r"\1\2'", _CONTROL.sub(" ", text))


def parts_csv(rows: Iterable[Row]) -> str:
    """The whole content of `parts.csv`."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(_cells(row) for row in rows)
    return out.getvalue()


def _cells(row: Row) -> tuple[str | int, ...]:
    joined = (safe_cell(JOINED_BY.join(many)) for many in (row.names, row.units, row.roles))
    return (
        safe_cell(row.mark),
        row.quantity,
        *joined,
        safe_cell(row.material),
        plain_mm(row.length),
        plain_mm(row.width),
        plain_mm(row.thickness),
        row.grain,
        safe_cell(row.cuts),
        f"{row.weight_kg:.3f}",
    )


def parts_table(rows: Iterable[Row], lengths: LengthUnit) -> Table:
    """The cut list for the terminal, lengths in mm or in fractional inches."""
    table = Table(title=f"Parts (lengths in {lengths}, weight in kg each)", title_justify="left")
    for heading in ("mark", "qty", "name", "unit", "material", "length", "width", "thick", "cuts", "weight"):
        right = heading in ("qty", "length", "width", "thick", "weight")
        table.add_column(heading, justify="right" if right else "left", no_wrap=right or heading == "mark")
    for row in rows:
        sizes = (show_number(value, lengths) for value in row.part.size)
        cuts = describe_cuts(row.part, lambda value: show_number(value, lengths))
        cells = (row.mark, str(row.quantity), ", ".join(row.names), ", ".join(row.units), row.material)
        # Text, not str: a name in square brackets must not be read as console markup
        table.add_row(*(Text(cell) for cell in (*cells, *sizes, cuts, f"{row.weight_kg:.2f}")))
    return table


def write(build: "Build", out: Path) -> list[Path]:
    """Write `lists/parts.csv` below `out`."""
    path = out / "lists" / "parts.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(parts_csv(cut_list(build.plan, build.stock)).encode("utf-8"))
    return [path]
