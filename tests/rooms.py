"""Writing small rooms of several walls for tests: projects with a run along each wall, as YAML in a folder."""

from pathlib import Path
from typing import Any

import yaml
from conftest import CONFIGS, METRIC

UNITS: dict[str, dict[str, Any]] = {
    "drawers": {"kind": "base", "drawers": {"rows": 3}},
    "doors": {"kind": "base", "doors": {"leaves": 2}, "shelves": {"count": 1}},
    "open": {"kind": "base"},
    "seat": {"kind": "kneehole"},
    "upper": {"kind": "upper", "height": 900},
    "low upper": {"kind": "upper", "height": 700},
}


def unit(name: str, kind: str, width: Any = 600, **change: Any) -> dict[str, Any]:
    return {"name": name, "unit": f"{kind}.yaml", "width": width, **({"change": change} if change else {})}


def room_project(
    folder: Path,
    room: dict[str, Any],
    walls: dict[str, list[dict[str, Any]]],
    units: dict[str, dict[str, Any]] | None = None,
    **more: Any,
) -> Path:
    """A project in a room of several walls; `units` are further unit files by name."""
    folder.mkdir(exist_ok=True)
    (folder / "room.yaml").write_text(yaml.safe_dump({"height": 2500, **room}, sort_keys=False), encoding="utf-8")
    for name, options in {**UNITS, **(units or {})}.items():
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(options), encoding="utf-8")
    project = {
        "title": "Test room",
        "room": "room.yaml",
        "stock": str(CONFIGS / "stock" / "birch-metric.yaml"),
        "materials": {**METRIC.model_dump(exclude_none=True), "wall_screw": "screw 5x64"},
        "walls": walls,
        **more,
    }
    path = folder / "project.yaml"
    path.write_text(yaml.safe_dump(project, sort_keys=False), encoding="utf-8")
    return path


BASEBOARD = {"height": 80, "thickness": 14}


def l_shape(
    folder: Path,
    kind: str = "filler",
    corner: dict[str, Any] | None = None,
    make: dict[str, Any] | None = None,
    **more: Any,
) -> Path:
    """Two walls that meet in an inside corner, drawers at both sides of it, and tops over both, each made by `make`."""
    return room_project(
        folder,
        {"walls": {"north": {"width": 2800, "baseboard": BASEBOARD}, "east": {"width": 2600, "baseboard": BASEBOARD}}},
        {
            "north": [unit("a", "drawers"), unit("seat", "seat", {"fill": 1}), unit("b", "drawers", 500)],
            "east": [unit("c", "drawers"), unit("d", "doors", {"fill": 1})],
        },
        corners=[{"name": "corner", "walls": ["north", "east"], "kind": kind, **(corner or {})}],
        tops=[
            {
                "name": "north top",
                "wall": "north",
                "over": ["a", "seat", "b", "corner"],
                "height": 900,
                "make": make or {},
            },
            {"name": "east top", "wall": "east", "over": ["corner", "c", "d"], "height": 900, "make": make or {}},
        ],
        **more,
    )
