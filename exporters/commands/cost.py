"""`wallwork cost`: what a plan costs, and the same in other stock or another construction side by side."""

import os
import sys
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from exporters.lists.bought import counted, size_in_words, told
from model.build import assemble, build
from model.config.rewrite import rewritten, scalar
from model.costs import Bill, bill_of, compare
from model.errors import ProjectError
from model.inputs import read_inputs
from model.lengths import LengthUnit

PLAIN_WIDTH = 160


def cost_command(
    project: Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)],
    against: Annotated[
        Path | None, typer.Option("--compare", "-c", help="Another project beside it.", show_default=False)
    ] = None,
    stock: Annotated[
        Path | None, typer.Option("--stock", "-s", help="The same project in this stock beside it.", show_default=False)
    ] = None,
) -> None:
    """What there is to buy and what it costs, with two projects or two stocks side by side."""
    if against is not None and stock is not None:
        raise ProjectError("--compare names another project and --stock another stock: give one of them")
    console = Console(highlight=False, width=None if sys.stdout.isatty() else PLAIN_WIDTH)
    built = build(project)
    first = bill_of(built)
    if against is None and stock is None:
        _print_all(console, first, built.plan.title, built.plan.lengths)
        return
    other = build(against) if against is not None else assemble(read_inputs(project, in_stock(project, stock)))
    second = bill_of(other)
    names = (built.plan.title, other.plan.title) if against is not None else ("its own stock", f"in {stock}")
    try:
        console.print(_compared(first, second, names))
    except ValueError as error:
        raise ProjectError(str(error)) from None
    for name, each in zip(names, (first, second), strict=True):
        console.print(Text(f"{name}: {told(each)}"), soft_wrap=True)


def in_stock(project: Path, stock: Path | None) -> str:
    """The text of a project file that names another stock file, by the way there from the project's folder."""
    assert stock is not None
    way = os.path.relpath(stock.absolute(), project.absolute().parent)
    return rewritten(project.read_text(encoding="utf-8-sig"), {("stock",): scalar(Path(way).as_posix())})


def _print_all(console: Console, bill: Bill, title: str, lengths: LengthUnit) -> None:
    table = Table(title=f"{title}: what to buy", title_justify="left")
    for name in ("", "item", "size", "needed", "pack", "packs", "price", "cost"):
        table.add_column(name, justify="right" if name in ("needed", "pack", "packs", "price", "cost") else "left")
    group = ""
    for line in bill.lines:
        size = f"{size_in_words(line.size, lengths)} {lengths}" if line.size else ""
        amounts = (counted(line.needed, line, lengths), counted(line.holds, line, lengths), str(line.packs))
        money = (_money(line.price), _money(line.cost))
        name = line.group if line.group != group else ""
        table.add_row(*(Text(cell) for cell in (name, line.item, size, *amounts, *money)))
        group = line.group
    table.add_section()
    _rows(table, (("sum", bill.net), ("tax", bill.tax_due), ("total", bill.total)))
    console.print(table)
    console.print(Text(told(bill)), soft_wrap=True)


def _rows(table: Table, rows: Iterable[tuple[str, Decimal]]) -> None:
    for name, value in rows:
        table.add_row(name, *[""] * (len(table.columns) - 2), _money(value), style="bold" if name == "total" else "")


def _money(value: Decimal | None) -> str:
    return "" if value is None else f"{value:,.2f}"


def _compared(first: Bill, second: Bill, names: tuple[str, str]) -> Table:
    rows = compare(first, second)
    table = Table(title=f"Cost{f' in {first.currency}' if first.currency else ''}", title_justify="left")
    table.add_column("")
    for name in (*names, "difference"):
        table.add_column(Text(name), justify="right", overflow="fold")
    for row in rows:
        if row.what == "sum":
            table.add_section()
        changed = f"{row.difference:+,.2f}" if row.difference else ""
        style = "bold" if row.what == "total" else ""
        table.add_row(row.what, _money(row.first), _money(row.second), changed, style=style)
    return table
