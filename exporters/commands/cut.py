"""`wallwork cut`: cutting plans for a saw, searched as long as is wanted."""

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from model.build import Build, build
from model.cutting.laid import CuttingPlan
from model.errors import ProjectError
from model.lengths import show_length, show_number

PLAIN_WIDTH = 160
WHOLE, LEFT_OVER = 0, 1


def cut_command(
    project: Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the files.")] = Path("out"),
    effort: Annotated[
        str, typer.Option("--effort", help="quick, default or thorough: the same effort gives the same plan.")
    ] = "default",
    seconds: Annotated[
        float | None,
        typer.Option("--seconds", min=0, help="End the search after so long; the plan may then differ each time."),
    ] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but faults.")] = False,
) -> None:
    """Plan how sheets and lengths are cut: pictures, cuts in order with fence settings, what is left."""
    from exporters.outputs import write_all
    from model.cutting.plans import cutting_plan  # here, so that the solver is loaded only when something is cut
    from model.cutting.sheets import EFFORTS

    if effort not in EFFORTS:
        raise ProjectError(f"--effort: no {effort!r}, there is {', '.join(EFFORTS)}")
    built = build(project)
    hard = replace(EFFORTS[effort], seconds=seconds)
    with Console(stderr=True).status("cutting") if not quiet and sys.stderr.isatty() else _Nothing() as line:
        plan = cutting_plan(
            built.plan, built.stock, offcuts=built.inputs.offcuts, effort=hard, progress=lambda text: line.update(text)
        )
    vars(built)["cutting"] = plan  # what the exporter would else search for again
    written = write_all(built, out, ["cutting"], lambda _: None)
    if not quiet:
        console = Console(highlight=False, width=None if sys.stdout.isatty() else PLAIN_WIDTH)
        console.print(_table(built, plan))
        console.print(Text(f"{len(written)} files in {out}/cutting/"))
    for mark in plan.left_over:
        print(f"{mark} is larger than anything it could be cut from: see wallwork check", file=sys.stderr)
    raise typer.Exit(LEFT_OVER if plan.left_over else WHOLE)


class _Nothing:
    """A status line that says nothing."""

    def __enter__(self) -> "_Nothing":
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def update(self, text: str) -> None:
        """Nothing is shown where nobody looks."""


def _table(built: Build, plan: CuttingPlan) -> Table:
    """What is cut up, size by size."""
    unit, currency = built.plan.lengths, built.stock.currency or ""
    table = Table(title=f"To cut up (lengths in {unit})", title_justify="left")
    for name in ("material", "size", "pieces", "used", "price"):
        table.add_column(name, justify="left" if name in ("material", "size") else "right")
    for (material, sheet), count in Counter((s.material, s.sheet) for s in plan.sheets).items():
        used = [s.used for s in plan.sheets if s.sheet == sheet]
        size = f"{show_number(sheet.length, unit)} x {show_number(sheet.width, unit)}"
        size += f" ({sheet.offcut})" if sheet.offcut else ""
        price = "" if sheet.price is None else f"{count * sheet.price:.2f} {currency}".strip()
        table.add_row(Text(material), Text(size), str(count), f"{sum(used) / len(used):.0%}", price)
    bars = Counter((b.material, b.length, b.price, b.rack) for b in plan.boards)
    for (material, length, each, rack), count in bars.items():
        same = [b for b in plan.boards if (b.material, b.length, b.rack) == (material, length, rack)]
        share = sum(size for b in same for _, _, size in b.pieces) / sum(b.length for b in same)
        price = "" if each is None else f"{count * each:.2f} {currency}".strip()
        size = show_length(length, unit) + (f" ({rack})" if rack else "")
        table.add_row(Text(material), Text(size), str(count), f"{share:.0%}", price)
    return table
