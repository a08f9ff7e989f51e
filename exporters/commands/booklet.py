"""`wallwork booklet`: one document a builder takes to the shop."""

from pathlib import Path
from typing import Annotated

import typer

from exporters.outputs import write_whole
from model.build import build
from model.errors import ProjectError

PAPERS = ("a4", "letter")


def booklet_command(
    project: Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", help="The booklet (PDF).")] = Path("booklet.pdf"),
    paper: Annotated[
        str | None,
        typer.Option("--paper", help="a4 or letter; A4, or Letter for a project in inches, when left out."),
    ] = None,
) -> None:
    """Make the booklet: drawings, lists, cutting plans, assembly in steps, installation, a sheet of checks."""
    from exporters.booklet import booklet

    if paper is not None and paper.lower() not in PAPERS:
        raise ProjectError(f"--paper: no {paper!r}, there is {' and '.join(PAPERS)}")
    chosen = None if paper is None else "a4" if paper.lower() == "a4" else "letter"
    write_whole(out, booklet(build(project), chosen), "the booklet")
    typer.echo(f"wrote {out}")
