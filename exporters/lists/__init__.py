"""The lists below `lists/`: parts, what is bought, what is painted, and the buying list; one CSV file each.

Each is a `Table` (`table.py`); `exporters.workbook` writes the same tables as the sheets of one workbook.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from exporters.lists import bought
from exporters.lists.parts import COLUMNS, by_material, by_unit, parts, parts_csv, parts_table
from exporters.lists.table import JOINED_BY, Table, csv_text, safe_cell
from model.bill import cut_list
from model.costs import bill, painted_in
from model.cutting.laid import CuttingPlan
from model.finishes import amounts
from model.lengths import LengthUnit

if TYPE_CHECKING:
    from model.build import Build

__all__ = ["COLUMNS", "JOINED_BY", "parts_csv", "parts_table", "safe_cell", "tables", "write"]


def tables(build: "Build", lengths: LengthUnit, cutting: CuttingPlan | None = None) -> tuple[Table, ...]:
    """Every list of a build, sizes in words in the given unit; cut as `cutting` says, else as the build's own plan."""
    plan, stock = build.plan, build.stock
    rows = cut_list(plan, stock)
    painted = painted_in(build)
    used = amounts(painted, stock.finishes)
    costs = bill(plan, stock, cutting or build.cutting, used)
    return (
        parts(rows),
        by_unit(plan, {row.part: row for row in rows}),
        by_material(plan, rows),
        bought.hardware(plan, stock, lengths),
        bought.fasteners(plan, stock, lengths),
        bought.edge_band(rows),
        bought.lighting(rows, stock),
        bought.finishes(used, costs, stock.prices.waste, lengths),
        bought.painted_faces(painted, plan),
        bought.buying(costs, lengths),
    )


def write(build: "Build", out: Path) -> list[Path]:
    """Write `lists/*.csv` and `lists/lists.xlsx` below `out`."""
    from exporters.workbook import workbook

    folder = out / "lists"
    folder.mkdir(parents=True, exist_ok=True)
    paths: list[Path] = []
    for table in tables(build, "mm"):
        paths.append(folder / f"{table.name}.csv")
        paths[-1].write_bytes(csv_text(table).encode("utf-8"))
    paths.append(folder / "lists.xlsx")
    paths[-1].write_bytes(workbook(tables(build, build.plan.lengths), build.plan.title, build.plan.lengths))
    return paths
