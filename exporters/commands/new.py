"""`wallwork new`: a first project from a few answers."""

import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from model.build import build
from model.checks import run
from model.config.types import check_name
from model.errors import ProjectError
from model.lengths import LengthUnit, parse_length, show_length
from model.starter import HABITS, KINDS, Answers, Kind, starter_files, unit_names

NOT_ASKED = None


def new_command(
    folder: Annotated[Path, typer.Argument(help="The folder to write the project to.", show_default=False)],
    lengths: Annotated[str | None, typer.Option("--lengths", help="mm or in.", show_default=False)] = NOT_ASKED,
    width: Annotated[
        str | None, typer.Option("--width", help="Of the wall, end to end: 3620 mm, 11 ft 2 in.", show_default=False)
    ] = NOT_ASKED,
    height: Annotated[str | None, typer.Option("--height", help="Floor to ceiling.", show_default=False)] = NOT_ASKED,
    units: Annotated[
        str | None,
        typer.Option("--units", help=f"Left to right, by commas: {', '.join(KINDS)}.", show_default=False),
    ] = NOT_ASKED,
    top: Annotated[
        str | None, typer.Option("--top", help="Floor to the upper face of the top.", show_default=False)
    ] = NOT_ASKED,
    uppers: Annotated[
        str | None,
        typer.Option("--uppers", help="Units with shelves over them, by commas, or none.", show_default=False),
    ] = NOT_ASKED,
    title: Annotated[
        str | None, typer.Option("--title", help="What the project is called.", show_default=False)
    ] = NOT_ASKED,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Take the usual answer to what is not given.")] = False,
) -> None:
    """Ask what matters and write a first project: it builds at once."""
    given = {"lengths": lengths, "width": width, "height": height, "units": units, "top": top, "uppers": uppers}
    missing = [f"--{name}" for name, value in given.items() if value is None]
    if missing and not yes and not sys.stdin.isatty():
        raise ProjectError(f"no terminal to ask at: give {', '.join(missing)}, or --yes for the usual answers")
    answers = _answers(folder, given, title, yes)
    files = starter_files(answers)
    there = next((folder / name for name in files if os.path.lexists(folder / name)), None)
    if there is not None:
        raise ProjectError(f"{there} is there already: name another folder, nothing is written")
    _write(folder, files)
    typer.echo(f"wrote {folder / 'project.yaml'} and what it names; next: wallwork build {folder / 'project.yaml'}")


def _answers(folder: Path, given: dict[str, str | None], title: str | None, yes: bool) -> Answers:
    def ask[T](name: str, question: str, usual: str, read: Callable[[str], T]) -> T:
        return _asked(f"--{name}", question, given[name], usual, read, yes)

    lengths = ask("lengths", "Count in mm or in (inches)?", "mm", _unit)
    habits = HABITS[lengths]

    def length(name: str, question: str, usual: float) -> float:
        return ask(name, question, show_length(usual, lengths), lambda text: _length(text, lengths))

    width = length("width", "How long is the wall, end to end?", habits.room[0])
    height = length("height", "How high is the room, floor to ceiling?", habits.room[1])
    kinds = "\n".join(f"  {kind}: {what}" for kind, what in KINDS.items())
    units = ask("units", f"What stands along it, left to right, by commas?\n{kinds}\n", "drawers,seat,doors", _kinds)
    names = unit_names(units)
    top = length("top", "How high is the top?", habits.top_height(units))
    usual = ",".join(name for name, kind in zip(names, units, strict=True) if kind != "seat") or "none"
    uppers = ask("uppers", f"Shelves over which ({', '.join(names)}, none)?", usual, lambda t: _chosen(t, names))
    called = title if title is not None else _title(folder)
    try:
        check_name(called)
    except ValueError as error:
        raise ProjectError(f"--title: {error}") from None
    return Answers(called, lengths, width, height, units, top, uppers)


def _asked[T](flag: str, question: str, given: str | None, usual: str, read: Callable[[str], T], yes: bool) -> T:
    """The answer given by flag, or the usual one, or what the terminal says, asked again until it can be read."""
    if given is None and not yes:

        def heard(text: str) -> T:
            try:
                return read(text)
            except ValueError as error:
                raise typer.BadParameter(str(error)) from None

        return typer.prompt(question, default=usual, value_proc=heard)
    try:
        return read(usual if given is None else given)
    except ValueError as error:
        raise ProjectError(f"{flag}: {error}") from None


def _unit(text: str) -> LengthUnit:
    found: dict[str, LengthUnit] = {"mm": "mm", "metric": "mm", "in": "in", "inch": "in", "inches": "in"}
    if text.strip().lower() not in found:
        raise ValueError(f"{text!r} is neither mm nor in")
    return found[text.strip().lower()]


def _length(text: str, lengths: LengthUnit) -> float:
    value = parse_length(text, lengths)
    if not 100 <= value <= 100_000:
        raise ValueError(f"{show_length(value, lengths)} is no size of a room or a top")
    return value


def _listed(text: str) -> list[str]:
    return [word.strip().lower() for word in text.split(",") if word.strip()]


def _kinds(text: str) -> tuple[Kind, ...]:
    known: dict[str, Kind] = {kind: kind for kind in KINDS}
    words = _listed(text)
    strange = next((w for w in words if w not in known), None)
    if strange is not None or not words:
        what = f"no {strange!r}" if strange else "nothing named"
        raise ValueError(f"{what}: there is {', '.join(known)}")
    if len(words) > 40:
        raise ValueError(f"{len(words)} units along one wall: 40 at most")
    return tuple(known[w] for w in words)


def _chosen(text: str, names: list[str]) -> tuple[str, ...]:
    words = [] if text.strip().lower() == "none" else _listed(text)
    strange = next((w for w in words if w not in names), None)
    if strange is not None:
        raise ValueError(f"no unit {strange!r}: there is {', '.join(names)}, or none")
    return tuple(name for name in names if name in words)


def _title(folder: Path) -> str:
    """The name of the folder as a title, where it makes one."""
    said = folder.resolve().name.replace("-", " ").replace("_", " ").strip().capitalize()
    try:
        return check_name(said)
    except ValueError:
        return "My wall"


def _write(folder: Path, files: dict[str, str]) -> None:
    """Write the files aside, build what they say, and only then move them to their place, the project last."""
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".wallwork-", dir=folder.parent))
        try:
            for name, text in files.items():
                (aside / name).parent.mkdir(parents=True, exist_ok=True)
                (aside / name).write_text(text, encoding="utf-8", newline="\n")
            _sound(aside, folder)
            for name in files:
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                os.replace(aside / name, folder / name)
        finally:
            shutil.rmtree(aside, ignore_errors=True)
    except OSError as error:
        raise ProjectError(f"{folder} cannot be written: {(error.strerror or str(error)).lower()}") from None


def _sound(aside: Path, folder: Path) -> None:
    try:
        built = build(aside / "project.yaml")
    except ProjectError as error:
        lines = (line.replace(str(aside), str(folder)) for line in error.lines)
        raise ProjectError(*(f"these answers cannot be built: {line}" for line in lines)) from None
    fault = next((f for f in run(built) if f.severity == "fault"), None)
    if fault is not None:
        raise ProjectError(f"these answers make no sound wall: {fault.message}")
