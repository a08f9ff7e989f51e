"""`wallwork fit`: will this plan fit my room?"""

import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from model.errors import ProjectError
from model.fit import Fit, fit, moved_to, sheet_area
from model.lengths import show_length

PLAIN_WIDTH = 160
FITS, DOES_NOT = 0, 1
_STYLE = {"fault": "red", "warning": "yellow", "note": "cyan"}


def fit_command(
    room: Annotated[Path, typer.Argument(help="The room file (YAML) to fit the plan to.", show_default=False)],
    plan: Annotated[
        Path, typer.Option("--plan", "-p", help="The project file made for another room.", show_default=False)
    ],
    out: Annotated[
        Path | None, typer.Option("--out", "-o", help="Write the fitted project to this folder.", show_default=False)
    ] = None,
) -> None:
    """Solve a plan made for another room again for this one: what changes, and what cannot hold."""
    target = None if out is None else out / "project.yaml"
    if target is not None and (target.exists() or target.is_symlink()):
        raise ProjectError(f"{target} is there already: name another folder for --out")
    found = fit(plan, room)
    _print(found, Console(highlight=False, width=None if sys.stdout.isatty() else PLAIN_WIDTH))
    if target is not None and found.new is not None:
        _write(target, moved_to(found, plan, target.parent))
        typer.echo(f"wrote {target}")
    elif target is not None:
        typer.echo("nothing is written")
    raise typer.Exit(FITS if found.holds else DOES_NOT)


def _write(target: Path, text: str) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as error:
        raise ProjectError(f"{target} cannot be written: {(error.strerror or str(error)).lower()}") from None


def _print(found: Fit, console: Console) -> None:
    for old, new in found.walls:
        if old != new:
            console.print(Text(f"the plan's wall {old} stands along {new}"))
    if found.new is not None:
        console.print(_sizes(found))
    _list(console, "Could not hold:", found.given, "yellow")
    _list(console, "Also:", found.notes, "")
    _list(console, "Does not fit:", found.refused, "red")
    newly = [(f.severity, f.message) for f in found.newly]
    for severity, message in newly:
        console.print(Text(f"new {severity}: {message}", style=_STYLE[severity]), soft_wrap=True)
    if found.new is not None:
        _amounts(found, console)
    console.print(Text(_verdict(found)))


def _sizes(found: Fit) -> Table:
    lengths = found.old.plan.lengths
    table = Table(title=found.old.plan.title, title_justify="left")
    for name in ("unit", "", "was", "is", "change"):
        table.add_column(name, justify="left" if name in ("unit", "") else "right")
    for c in found.sizes:
        by = c.new - c.old
        moved = "" if abs(by) < 0.05 else ("+" if by > 0 else "") + show_length(by, lengths)
        style = "" if not moved else "bold"
        sizes = (show_length(c.old, lengths), show_length(c.new, lengths))
        table.add_row(Text(c.unit), c.what, *sizes, moved, style=style)
    return table


def _list(console: Console, title: str, lines: tuple[str, ...], style: str) -> None:
    if lines:
        console.print(Text(title, style=style))
        for line in lines:
            console.print(Text(f"  {line}"), soft_wrap=True)


def _amounts(found: Fit, console: Console) -> None:
    assert found.new is not None
    parts = found.parts
    count = ", ".join(f"{n} {what}" for what, n in parts.items())
    console.print(f"parts: {sum(parts.values()) - parts['gone']} ({count})")
    old, new = sheet_area(found.old), sheet_area(found.new)
    for material in sorted({*old, *new}):
        was, now = old.get(material, 0.0), new.get(material, 0.0)
        console.print(Text(f"{material}: {was:.2f} m2 of parts, now {now:.2f} m2 ({now - was:+.2f})"))


def _verdict(found: Fit) -> str:
    faults = sum(f.severity == "fault" for f in found.found)
    if found.refused:
        return "The plan does not fit this room."
    if faults:
        return f"The plan can stand in this room, with {faults} {'fault' if faults == 1 else 'faults'} to mend."
    if found.given:
        return "The plan does not fit as it is written; it does with what gave above."
    return "The plan fits this room as it is written."
