"""Dimensioned drawings of the room, of each unit and of each part: DXF, and the same as SVG and PDF."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from exporters.drawings.display import Sheet
    from model.build import Build


def sheets(build: "Build") -> "Iterator[Sheet]":
    """Every sheet of a project: the room, the units, the parts."""
    from exporters.drawings.sets import all_sheets

    return all_sheets(build)


def write(build: "Build", out: Path) -> list[Path]:
    """Write `drawings/<name>.dxf`, `.svg` and `.pdf` below `out`."""
    from exporters.drawings.dxf import dxf
    from exporters.drawings.svg import pdf, svg

    folder = out / "drawings"
    folder.mkdir(parents=True, exist_ok=True)
    paths: list[Path] = []
    for sheet in sheets(build):
        picture = svg(sheet)
        for suffix, content in (("dxf", dxf(sheet)), ("svg", picture), ("pdf", pdf([(sheet, picture)], sheet.title))):
            path = folder / f"{sheet.name}.{suffix}"
            path.write_bytes(content)
            paths.append(path)
    return paths
