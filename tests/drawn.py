"""Every sheet of a demo project, drawn once for all tests that read them."""

from dataclasses import dataclass
from functools import cache

from conftest import CONFIGS
from drawing_verifier import Drawing

from exporters.drawings.display import Sheet
from exporters.drawings.dxf import dxf
from exporters.drawings.sets import all_sheets
from model.build import Build, build
from model.part import Part

DEMOS = ("herbarium", "trains", "guest-study")


@dataclass
class Demo:
    built: Build
    sheets: dict[str, Sheet]
    files: dict[str, bytes]
    drawings: dict[str, Drawing]

    @property
    def parts(self) -> dict[str, tuple[Part, Drawing]]:
        marks = {mark: part for part, mark in self.built.plan.marks.items()}
        return {n: (marks[n.removeprefix("part-")], d) for n, d in self.drawings.items() if n.startswith("part-")}


@cache
def demo_drawings(name: str) -> Demo:
    """The sheets of a demo; as files and read back from them all but those of plain panels, of which a few stand for
    the rest."""
    built = build(CONFIGS / name / "project.yaml")
    sheets = {s.name: s for s in all_sheets(built)}
    plain = [f"part-{m}" for p, m in built.plan.marks.items() if not p.cuts and f"part-{m}" in sheets]
    written = set(sheets) - set(plain) | set(plain[::8])
    files = {name: dxf(s) for name, s in sheets.items() if name in written}
    return Demo(built, sheets, files, {name: Drawing(content) for name, content in files.items()})
