"""The exporters by name: one line each, imported only when used."""

import importlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from model.build import Build

Write = Callable[[Build, Path], list[Path]]


@dataclass(frozen=True, slots=True)
class Exporter:
    """An exporter: the module that holds its `write(build, out)` and what it makes, for people."""

    module: str
    makes: str

    def load(self) -> Write:
        write: Write = importlib.import_module(self.module).write
        return write


EXPORTERS: dict[str, Exporter] = {
    "step": Exporter("exporters.step", "model.step and units/*.step, for any STEP viewer"),
    "stl": Exporter("exporters.stl", "model.stl, every part a closed shell"),
    "panels": Exporter("exporters.panels", "panels/*.dxf, one for each distinct sheet part, 1:1"),
    "sheets": Exporter("exporters.sheets", "sheets/*, every sheet part nested for a router: DXF, pictures"),
    "cutting": Exporter("exporters.cutting", "cutting/*, plans for a saw: pictures, cuts in order, offcuts"),
    "lists": Exporter("exporters.lists", "lists/*.csv and lists.xlsx: parts, what to buy and what it costs"),
    "labels": Exporter("exporters.labels", "labels.pdf, a label for every panel and board, on sheets of labels"),
    "poles": Exporter("exporters.story_pole", "story-poles/*.pdf and *.dxf, the heights of each unit at 1:1"),
    "templates": Exporter("exporters.drilling", "templates.pdf, rows of holes for pulls, pins and slides at 1:1"),
    "drawings": Exporter("exporters.drawings", "drawings/*, dimensioned: room, units, parts; DXF, SVG, PDF"),
    "booklet": Exporter("exporters.booklet", "booklet.pdf, everything a builder takes to the shop"),
    "findings": Exporter("exporters.findings", "findings.json, everything the checks found"),
    "interference": Exporter("exporters.interference", "interference.json, what collides and what hangs loose"),
    "collisions": Exporter("exporters.interference_step", "interference.step, what collides and what it shares"),
    "closeups": Exporter("exporters.closeups", "interference/*.png, a close-up of each collision"),
}
