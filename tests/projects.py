"""Writing small projects for tests: a wall, its units and the demo stocks, as YAML in a folder."""

from pathlib import Path
from typing import Any

import yaml
from conftest import CONFIGS, METRIC

from model.build import Build
from model.checks import run
from model.findings import Finding

ROOM = {"height": 2500, "walls": {"north": {"width": 2400}}}


def base(**options: Any) -> dict[str, Any]:
    return {"kind": "base", **options}


def write_project(
    folder: Path,
    units: dict[str, dict[str, Any]],
    *,
    widths: dict[str, Any] | None = None,
    room: dict[str, Any] | None = None,
    stock: Path = CONFIGS / "stock" / "birch-metric.yaml",
    **more: Any,
) -> Path:
    """A project with `units` (name to options) along one wall, each 600 mm wide unless `widths` says otherwise."""
    (folder / "room.yaml").write_text(yaml.safe_dump(room or ROOM), encoding="utf-8")
    row = []
    for i, (name, options) in enumerate(units.items()):
        (folder / f"unit-{i}.yaml").write_text(yaml.safe_dump(options), encoding="utf-8")
        row.append({"name": name, "unit": f"unit-{i}.yaml", "width": (widths or {}).get(name, 600)})
    project = {
        "title": "Test wall",
        "room": "room.yaml",
        "stock": str(stock),
        "materials": METRIC.model_dump(exclude_none=True),
        "walls": {"north": row},
        **more,
    }
    path = folder / "project.yaml"
    path.write_text(yaml.safe_dump(project, sort_keys=False), encoding="utf-8")
    return path


WEIGHT_AND_USE = {
    *("tips", "wall-fixing", "lifting", "standing-up"),
    *("knee-space", "work-height", "reach", "drawer-room", "open-floor", "illumination", "wiring"),
}
"""Codes of weight, handling, use and light, some of which tell of every unit."""


def wrong(built: Build) -> tuple[Finding, ...]:
    """What the checks of geometry find."""
    return tuple(f for f in run(built) if f.code not in WEIGHT_AND_USE)
