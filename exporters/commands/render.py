"""`wallwork render`: a picture of a plan or of a part of it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from model.build import build
from model.errors import ProjectError

if TYPE_CHECKING:
    from exporters.pictures.scene import Opening, View
    from model.build import Build

VIEWS = {"wall": "wall", "front": "front", "corner-left": "left", "corner-right": "right", "above": "above"}
WIDTH, HEIGHT = 1800, 1100


def render_command(
    project: Annotated[Path, typer.Argument(help="The project file (YAML).", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", help="The picture (PNG).")] = Path("wall.png"),
    unit: Annotated[str | None, typer.Option("--unit", help="One unit or top alone, by its name.")] = None,
    open_by: Annotated[
        str, typer.Option("--open", help="How far drawers and doors stand open, 0 to 1; `fan` shows every inside.")
    ] = "0",
    explode: Annotated[
        float, typer.Option("--explode", help="Parts moved apart along their joints and motions; 1 is the usual.")
    ] = 0.0,
    cut: Annotated[
        str | None,
        typer.Option("--cut", help="A side taken off: left, right, front or top; `left:300 mm` says how far in."),
    ] = None,
    dims: Annotated[bool, typer.Option("--dims", help="The main sizes, in the project's unit.")] = False,
    view: Annotated[
        str, typer.Option("--view", help=f"{', '.join(VIEWS)}; or TURN,RISE in degrees, as in 30,20.")
    ] = "wall",
    transparent: Annotated[bool, typer.Option("--transparent", help="No floor, walls or background.")] = False,
    width: Annotated[int, typer.Option(min=200, max=8000, help="Pixels.")] = WIDTH,
    height: Annotated[int, typer.Option(min=200, max=8000, help="Pixels.")] = HEIGHT,
) -> None:
    """Draw a picture of the wall, or of one unit."""
    from exporters.pictures.arranged import Wish
    from exporters.pictures.cutaway import read_cut
    from exporters.pictures.render import render

    built = build(project)
    taken_off = None if cut is None else read_cut(cut, built.plan.lengths)
    wish = Wish(unit, explode, taken_off, dims, transparent)
    render(built, out, _view(view), (width, height), _opening(built, open_by), wish=wish)
    typer.echo(f"wrote {out}")


def _opening(built: "Build", text: str) -> "Opening":
    from exporters.pictures.scene import fanned

    if text == "fan":
        return fanned(built.plan)
    try:
        return float(text)
    except ValueError:
        raise ProjectError(f"--open: {text!r} is no share, write a number from 0 to 1 or fan") from None


def _view(text: str) -> "View":
    if text in VIEWS:
        return VIEWS[text]  # type: ignore[return-value]
    try:
        turn, rise = (float(v) for v in text.split(","))
    except ValueError:
        named = ", ".join(VIEWS)
        raise ProjectError(f"--view: {text!r} is no view: write {named} or two angles, as in 30,20") from None
    if not (-360 <= turn <= 360 and -80 <= rise <= 80):
        raise ProjectError(f"--view: {text}: turn by -360 to 360 degrees and rise by -80 to 80")
    return turn, rise
