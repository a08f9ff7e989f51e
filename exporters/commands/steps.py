"""`wallwork steps`: how it is put together, step by step, at the bench and in the room."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.padding import Padding
from rich.text import Text

from exporters.commands.check import plain_console
from model.build import build
from model.errors import ProjectError
from model.lengths import LengthUnit, show_length

if TYPE_CHECKING:
    from model.assembly.steps import Check, Step
    from model.plan import Plan

INDENT = 4


def steps_command(
    project: Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)],
    unit: Annotated[str | None, typer.Option("--unit", "-u", help="Of one unit alone.", show_default=False)] = None,
) -> None:
    """Print the steps of putting it together."""
    from model.assembly.installation import assembly

    built = build(project)
    names = [u.name for u in built.plan.units]
    if unit is not None and unit not in names:
        raise ProjectError(f"--unit: there is no {unit!r}, there is {', '.join(names)}")
    work = assembly(built)
    console = plain_console()
    for step in work.steps if unit is None else work.of_unit(unit):
        console.print(Text(_heading(step), style="bold"))
        for line in lines(step, built.plan):
            console.print(Padding(Text(line), (0, 0, 0, INDENT)))


def _heading(step: "Step") -> str:
    times = f", {step.times} times" if step.times > 1 else ""
    return f"{step.number}. {step.title}{times}"


def lines(step: "Step", plan: "Plan") -> Iterator[str]:
    """What a step says, a line each; lengths in the unit of the plan."""
    yield step.text
    fresh = [path for path in step.shown if path in step.new]
    marks = [f"{plan.marks[plan.by_path[path].part]} {path.rsplit('/', 1)[-1]}" for path in fresh]
    if marks:
        yield f"Parts: {', '.join(marks)}"
    if step.fasteners:
        yield f"Fasteners: {', '.join(f'{f.count} x {f.item}' for f in step.fasteners)}"
    for jig in step.jigs:
        yield f"Jig: {jig.name} {_sizes(jig.sizes, plan.lengths)}".rstrip()
    for check in step.checks:
        yield f"Check: {_check(check, plan.lengths)}"
    if step.people > 1:
        yield f"People: {step.people}, {step.mass:.0f} kg at once"
    yield from (f"Caution: {caution}" for caution in step.cautions)


def _check(check: "Check", lengths: LengthUnit) -> str:
    what = f"{check.kind} of {check.of}" if check.of else check.kind
    return f"{what}: {_sizes(check.values, lengths)}" if check.values else what


def _sizes(sizes: tuple[float, ...], lengths: LengthUnit) -> str:
    return ", ".join(show_length(size, lengths) for size in sizes)
