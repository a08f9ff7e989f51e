"""The command `wallwork`. Exit codes: 0 sound, 1 faults found, 2 bad input or nowhere to write."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from exporters.commands.booklet import booklet_command
from exporters.commands.check import check_command, finish, plain_console
from exporters.commands.cost import cost_command
from exporters.commands.cut import cut_command
from exporters.commands.fit import fit_command
from exporters.commands.new import new_command
from exporters.commands.render import render_command
from exporters.commands.steps import steps_command
from exporters.registry import EXPORTERS
from model.build import Build, build
from model.errors import ProjectError

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Plywood wall units from YAML plans: models, panel drawings, lists and checks.",
)
BAD_INPUT = 2
ProjectFile = Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but faults.")]


def _chosen(only: str | None) -> list[str]:
    if only is None:
        return list(EXPORTERS)
    names = [name.strip() for name in only.split(",") if name.strip()]
    unknown = [name for name in names if name not in EXPORTERS]
    if unknown or not names:
        raise ProjectError(f"--only: no exporter {', '.join(unknown) or 'named'}; there is {', '.join(EXPORTERS)}")
    return [name for name in EXPORTERS if name in names]


@app.command("build")
def build_command(
    project: ProjectFile,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for the files.")] = Path("out"),
    only: Annotated[
        str | None, typer.Option("--only", help=f"Exporters to run, by commas: {', '.join(EXPORTERS)}.")
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Build a project and write its files."""
    from exporters.outputs import write_all

    names = _chosen(only)
    console = plain_console()
    with Progress(
        TextColumn("{task.description:<14}"),
        BarColumn(),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        disable=quiet or not sys.stderr.isatty(),
        transient=True,
    ) as bar:
        task = bar.add_task("reading", total=len(names) + 1)
        built = build(project)
        written = write_all(built, out, names, lambda name: bar.update(task, advance=1, description=name))
    if not quiet:
        _summary(console, built, out, len(written))
    finish(console, built, quiet)


@app.command()
def parts(project: ProjectFile) -> None:
    """Print the parts list."""
    from exporters.lists import parts_table
    from model.bill import cut_list

    built = build(project)
    plain_console().print(parts_table(cut_list(built.plan, built.stock), built.plan.lengths))


@app.command()
def schema(
    name: Annotated[
        str | None, typer.Argument(help="A kind of config file, or interference; the names when left out.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="Write those of config files to this folder.")] = None,
) -> None:
    """Print the JSON Schema of a kind of file, for editors that complete YAML and programs that read reports."""
    from exporters.interference import Report
    from model.config.schema import json_schema
    from model.schemas import schema_types

    configs = schema_types()
    types = {**configs, "interference": Report}
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        for each, kind in configs.items():
            (out / f"{each}.json").write_text(_json(json_schema(kind)), encoding="utf-8")
        typer.echo(f"wrote {len(configs)} schemas to {out}")
    elif name is None:
        typer.echo("\n".join(types))
    elif name in types:
        typer.echo(_json(json_schema(types[name])), nl=False)
    else:
        raise ProjectError(f"no schema {name!r}; there is {', '.join(types)}")


app.command("booklet")(booklet_command)
app.command("cost")(cost_command)
app.command("cut")(cut_command)
app.command("check")(check_command)
app.command("fit")(fit_command)
app.command("new")(new_command)
app.command("steps")(steps_command)
app.command("render")(render_command)


def _json(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def _summary(console: Console, built: Build, out: Path, files: int) -> None:
    plan = built.plan
    placed = sum(1 for _ in plan.walk())
    console.print(f"{plan.title}: {len(plan.units)} units, {placed} parts of {len(plan.marks)} kinds")
    console.print(f"{files} files in {out}/")


def main() -> None:
    """Run the command; what a user can mend is one line on standard error and exit code 2."""
    guarded(app)


def guarded(command: Callable[[], Any]) -> None:
    try:
        command()
    except ProjectError as error:
        for line in error.lines:
            print(line, file=sys.stderr)
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        print("stopped; what was there before is untouched", file=sys.stderr)
        sys.exit(130)
