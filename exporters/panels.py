"""One DXF for each distinct sheet part, `panels/<mark>.dxf`: what a router or a drilling table needs to know.

A part that is machined from both faces gets two files, one for each setup: `<mark>-a.dxf` with face A up, which also
frees the panel, and `<mark>-b.dxf` with the panel turned over about its length, face B up. `panels/README.txt` says
what is on which layer. How the drawings are made is in `exporters/cnc/`.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from exporters.cnc.drawing import drawing, dxf_bytes, fixed_dates
from exporters.cnc.figures import Figure, plain_text
from exporters.cnc.labels import index, labels
from exporters.cnc.layers import INDEX, Layer
from exporters.cnc.panel import Side, Work, sides, work
from exporters.cnc.readme import common, layer_table, written
from exporters.filenames import mark_stem
from model.cnc import Cnc
from model.part import Part
from model.plan import Plan

if TYPE_CHECKING:
    from ezdxf.document import Drawing

    from model.build import Build

__all__ = ["dxf_bytes", "figures", "file_stem", "fixed_dates", "names_of", "panel", "plain_text", "write"]


def file_stem(part: Part, mark: str, side: Side = "A") -> str:
    """The name of a drawing without suffix: the mark, and the face where both are machined.

    Raises ProjectError for a mark that cannot name a file.
    """
    stem = mark_stem(mark, "a panel file")
    return stem if len(sides(part)) == 1 else f"{stem}-{side.lower()}"


def names_of(plan: Plan) -> dict[Part, str]:
    """What a part is called, by its place; the names of equal parts are joined."""
    found: dict[Part, dict[str, None]] = {}
    for placed in plan.walk():
        found.setdefault(placed.part, {})[placed.name] = None
    return {part: ", ".join(names) for part, names in found.items()}


def _faces(part: Part, mark: str, side: Side) -> str:
    if len(sides(part)) == 1:
        return "face A up"
    other = file_stem(part, mark, "B" if side == "A" else "A")
    if side == "A":
        return f"face A up, first of two: turn over about its length for {other}"
    return f"face B up, turned over about its length after {other}"


def _shortened(name: str, longest: int = 60) -> str:
    return name if len(name) <= longest else f"{name[: longest - 3]}..."


def figures(part: Part, mark: str, name: str = "", side: Side = "A", cnc: Cnc | None = None) -> tuple[Figure, ...]:
    """Everything drawn for one face of a panel, the list of layers left out, sorted.

    Raises ProjectError where the panel has no single outline.
    """
    return _figures(part, work(part, side, cnc or Cnc()), mark, name)


def _figures(part: Part, done: Work, mark: str, name: str) -> tuple[Figure, ...]:
    told = labels(part, done.size, mark, _shortened(name), _faces(part, mark, done.side))
    return tuple(sorted({*done.figures, *told}))


def panel(part: Part, mark: str, name: str = "", side: Side = "A", cnc: Cnc | None = None) -> "Drawing":
    """The drawing of one face of a panel. Raises ProjectError where the panel has no single outline."""
    done = work(part, side, cnc or Cnc())
    return _document(_figures(part, done, mark, name), done, cnc or Cnc())


def _document(drawn: tuple[Figure, ...], done: Work, cnc: Cnc) -> "Drawing":
    listed, height = index((f.layer for f in drawn), done.told, done.size, cnc.version)
    return drawing(sorted((*drawn, *listed)), (done.size[0], height), cnc.version)


def write(build: "Build", out: Path) -> list[Path]:
    """Write `panels/<mark>.dxf` below `out` for every distinct sheet part, and `panels/README.txt`."""
    folder = out / "panels"
    folder.mkdir(parents=True, exist_ok=True)
    cnc, names = build.inputs.project.value.cnc, names_of(build.plan)
    paths: list[Path] = []
    lines: list[str] = []
    used = {INDEX}
    for part, mark in build.plan.marks.items():
        if part.kind != "sheet":
            continue
        for side in sides(part):
            done = work(part, side, cnc)
            drawn = _figures(part, done, mark, names[part])
            paths.append(folder / f"{file_stem(part, mark, side)}.dxf")
            paths[-1].write_bytes(dxf_bytes(_document(drawn, done, cnc)))
            used |= {f.layer for f in drawn}
            lines += _told(part, mark, names[part], done)
    if paths:
        paths.append(folder / "README.txt")
        paths[-1].write_text(readme(lines, used, cnc), encoding="utf-8", newline="\n")
    return paths


def _told(part: Part, mark: str, name: str, done: Work) -> list[str]:
    """The lines of the text file on one drawing."""
    head = f"  {file_stem(part, mark, done.side)}.dxf  {plain_text(name)}: {_faces(part, mark, done.side)}"
    return [head, *(f"      {line}" for line in done.told)]


def readme(lines: list[str], used: set[Layer], cnc: Cnc) -> str:
    """The text of `panels/README.txt`: its lines on each file, after what all have in common."""
    faces = [
        "Face A lies up, with the length (the grain) to the right. A part that is machined from both faces has two"
        " files: `-a` is cut first and frees the panel; then it is turned over about its length (what was the lower"
        " edge is then the upper one) and `-b` is cut, drawn as it then lies.",
    ]
    return written("Panels, one by one", common(cnc), faces, layer_table(used, cnc), ["Files", "", *lines])
