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
    "lists": Exporter("exporters.lists", "lists/parts.csv, the cut list"),
    "findings": Exporter("exporters.findings", "findings.json, everything the checks found"),
    "interference": Exporter("exporters.interference", "interference.json, what collides and what hangs loose"),
    "collisions": Exporter("exporters.interference_step", "interference.step, what collides and what it shares"),
    "closeups": Exporter("exporters.closeups", "interference/*.png, a close-up of each collision"),
}
