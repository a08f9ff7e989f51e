"""`wallwork booklet`: one document a builder takes to the shop."""

import os
from contextlib import suppress
from pathlib import Path
from typing import Annotated

import typer

from model.build import build
from model.errors import ExportError, ProjectError

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
    save(out, booklet(build(project), chosen))
    typer.echo(f"wrote {out}")


def save(path: Path, content: bytes) -> None:
    """Written aside and moved into place, so that a file is whole or as it was. Raises ExportError."""
    aside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        aside.write_bytes(content)
        os.replace(aside, path)
    except OSError as error:
        with suppress(OSError):
            aside.unlink()
        raise ExportError(f"{path}: cannot write the booklet ({error.strerror})") from None
