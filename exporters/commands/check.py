"""`wallwork check`: every check, nothing written; and what a finding means."""

import difflib
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.padding import Padding
from rich.progress import Progress, TextColumn, TimeElapsedColumn
from rich.text import Text

from model.build import Build, build
from model.errors import ProjectError
from model.findings import Code, Finding

if TYPE_CHECKING:
    from model.remedies import Advice

PLAIN_WIDTH = 160
"""Columns of a table that goes to a file or a pipe."""
SOUND, FAULTS = 0, 1


def plain_console() -> Console:
    return Console(highlight=False, width=None if sys.stdout.isatty() else PLAIN_WIDTH)


def check_command(
    project: Annotated[Path | None, typer.Argument(help="The project file (YAML).", show_default=False)] = None,
    explain: Annotated[
        str | None,
        typer.Option("--explain", help="Say what a code means, what causes it and what moves it.", show_default=False),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the findings as JSON.")] = False,
    mend: Annotated[
        bool, typer.Option("--remedies/--no-remedies", help="Look for the smallest change that clears each finding.")
    ] = True,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but faults, and no remedies.")] = False,
) -> None:
    """Run every check and write nothing."""
    if explain is not None:
        _explain(explain, plain_console())
        return
    if project is None:
        raise ProjectError("check what? name a project file, or a code with --explain")
    built = build(project)
    if as_json:
        _print_json(built, mend)
    else:
        finish(plain_console(), built, quiet, mend)


def finish(console: Console, built: Build, quiet: bool, mend: bool = False) -> None:
    """Print what the checks found, with `mend` what would clear it, and leave with the exit code it earns."""
    from exporters.report import tables
    from model.checks import run

    findings = run(built)
    if findings and not (quiet and not _faults(findings)):
        for table in tables(findings, built.plan.lengths):
            console.print(table)
    if mend and not quiet:
        _print_remedies(console, built, _looked_for(built, findings))
    if not quiet:
        console.print(_verdict(findings))
    raise typer.Exit(FAULTS if _faults(findings) else SOUND)


def _looked_for(built: Build, findings: tuple[Finding, ...]) -> "dict[Finding, Advice]":
    from model.remedies import remedies

    with Progress(
        TextColumn("looking for what clears {task.description}"),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        disable=not sys.stderr.isatty(),
        transient=True,
    ) as bar:
        task = bar.add_task("", total=None)
        return remedies(built, findings, lambda what: bar.update(task, description=what))


def _print_remedies(console: Console, built: Build, advice: "dict[Finding, Advice]") -> None:
    """One line for each group of findings that share a remedy, what collides first."""
    from exporters.interference import CODES
    from model.remedies import shown
    from model.remedies.bench import units_of

    groups: dict[str, list[Finding]] = {}
    for finding, told in sorted(advice.items(), key=lambda a: a[0].code not in CODES):
        groups.setdefault(shown(told, built.plan.lengths), []).append(finding)
    if groups:
        console.print(Text("What would clear it (the smallest change of one value, built and checked)", style="bold"))
    for line, findings in groups.items():
        codes = ", ".join(sorted({f.code for f in findings}))
        units = ", ".join(units_of(p for f in findings for p in f.parts))
        console.print(Text(f"  {codes}{f' of {units}' if units else ''}: {line}"), soft_wrap=True)


def _print_json(built: Build, mend: bool) -> None:
    from exporters.findings import report
    from model.checks import run

    findings = run(built)
    content = report(built.plan, findings, _looked_for(built, findings) if mend else {})
    typer.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))
    raise typer.Exit(FAULTS if _faults(findings) else SOUND)


def _faults(findings: tuple[Finding, ...]) -> int:
    return sum(f.severity == "fault" for f in findings)


def _verdict(findings: tuple[Finding, ...]) -> str:
    faults = _faults(findings)
    rest = len(findings) - faults
    if faults:
        return f"{faults} faults, {rest} warnings and notes"
    sound = "Checked at rest, with every drawer pulled and every door swung: nothing collides, nothing hangs loose."
    return f"{sound} {rest} warnings and notes." if rest else sound


def _explain(name: str, console: Console) -> None:
    from model.checks import codes

    known = codes()
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"there is {', '.join(sorted(known))}"
        raise ProjectError(f"--explain: no finding is called {name!r}, {hint}")
    for line in _lines(known[name]):
        console.print(line)


def _lines(code: Code) -> list[Text | Padding]:
    lines: list[Text | Padding] = [Text(code.name, style="bold"), Padding(Text(code.means), (0, 2))]
    for heading, entries in (("What usually causes it", code.causes), ("Config values that move it", code.moved_by)):
        lines.append(Text(heading))
        lines += [Padding(Text(f"- {entry}"), (0, 2)) for entry in entries]
    return lines
