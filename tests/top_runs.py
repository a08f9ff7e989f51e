"""Making a top over a run without files, and through a small project."""

from pathlib import Path
from typing import Any

from projects import base, write_project

from model.build import Build, build
from model.materials import Materials
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site
from model.stock.tables import Stock
from model.tops.slab import Below, TopOptions, TopRun, build_top, plan_top

Stocks = dict[str, tuple[Stock, Materials]]
RUN = TopRun(
    (0, 3200), ((0, 620), (1720, 2420), (2420, 3200)), (), 40, ((0, 620), (620, 1720), (1720, 2420), (2420, 3200)), -600
)


def make_top(
    stocks: Stocks,
    run: TopRun = RUN,
    lengths: str = "mm",
    below: Below | None = None,
    front: float = 25,
    **options: Any,
) -> BuiltUnit:
    """A top over a run, its finished front `front` mm before the frames."""
    stock, materials = stocks[lengths]
    site = Site("top", "T1", 1.0, None, stock, materials)
    make = TopOptions(**options)
    slab = plan_top(site, run, ((run.front or -600.0) - front, 0.0), make)
    return build_top(site, run, slab, make, below or Below())


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def box(unit: BuiltUnit, path: str) -> Box:
    return part(unit, path).bounds()


def project(folder: Path, make: dict[str, Any], **more: Any) -> Build:
    """Drawers, a kneehole and a base under one top of 3300 mm, finished at 900 mm."""
    units = {
        "drawers": base(drawers={"rows": 3}),
        "seat": {"kind": "kneehole"},
        "doors": base(doors={"leaves": 2}),
    }
    top = {
        "name": "bench", "wall": "north", "over": list(units), "height": 900, "make": make,
        "overhang": {"front": 45},
    }  # fmt: skip
    return build(
        write_project(
            folder,
            units,
            widths={"drawers": 800, "seat": 1700, "doors": 800},
            room={"height": 2500, "walls": {"north": {"width": 3300}}},
            tops=[{**top, **more}],
        )
    )
