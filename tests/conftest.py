"""What the tests share: the demo projects, the stocks, and a way to build a unit without files."""

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from model.build import Build, build
from model.config.tree import read
from model.materials import Materials
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.site import Site
from model.stock.tables import Stock
from model.units import kinds

pytest.register_assert_rewrite("soundness")

# In continuous integration the same examples every time; at a desk new ones each run, which is how faults are found.
settings.register_profile("fixed", derandomize=True, deadline=None)
if os.environ.get("CI"):
    settings.load_profile("fixed")

CONFIGS = Path(__file__).parent.parent / "configs"
METRIC = Materials(
    carcass="birch 18",
    back="birch 6",
    frame="pine 20x40",
    slide="ball-bearing 45",
    hinge="cup 35",
    pin="pin 5",
    pull="bar 128",
    rail_screw="screw 5x64",
    carcass_screw="screw 4x60",
    pocket_screw="pocket screw 4x32",
    dowel="dowel 8x30",
    foot="foot 100",
    wall_screw="screw 6x100",
)
INCH = Materials(
    carcass="maple three-quarter",
    back="maple quarter",
    frame="pine 1x2",
    slide="half-inch 100",
    hinge="cup 35",
    pin="pin quarter",
    pull="bar 5",
    rail_screw="number 8 x 2.5",
    carcass_screw="number 8 x 2.5",
    pocket_screw="number 7 x 1.25",
    dowel="dowel three-eighths",
    foot="foot 4",
    wall_screw="number 10 x 4",
)
MakeUnit = Callable[..., BuiltUnit]


@pytest.fixture(scope="session")
def stocks() -> dict[str, tuple[Stock, Materials]]:
    """Both stocks with the names that play each role, by the unit of their lengths."""
    found = {}
    for lengths, file, materials in (("mm", "birch-metric", METRIC), ("in", "maple-inch", INCH)):
        stock = read(CONFIGS / "stock" / f"{file}.yaml", Stock).value
        found[lengths] = (stock, materials.filled())
    return found


@pytest.fixture(scope="session")
def make_unit(stocks: dict[str, tuple[Stock, Materials]]) -> MakeUnit:
    """A unit of a kind from options as they would be in YAML (lengths in mm), for a width and height in mm."""

    def make(
        kind: str, width: float, height: float, lengths: str = "mm", lands: bool = False, **options: Any
    ) -> BuiltUnit:
        stock, materials = stocks[lengths]
        site = Site("unit", "X1", width, height, stock, materials, 0.5, lands)
        found = kinds()[kind]
        return found.build(found.options(**{"kind": kind, **options}), site)

    return make


@pytest.fixture(scope="session")
def upper(stocks: dict[str, tuple[Stock, Materials]]) -> MakeUnit:
    """An upper from options as they would be in YAML, hung or on a top; `site` is what the room says."""

    def make(
        width: float,
        height: float,
        lengths: str = "mm",
        hung: bool = True,
        site: dict[str, Any] | None = None,
        **said: Any,
    ) -> BuiltUnit:
        where = replace(Site("unit", "U1", width, height, *stocks[lengths]), hung=hung, **(site or {}))
        kind = kinds()["upper"]
        return kind.build(kind.options(**{"kind": "upper", **said}), where)

    return make


def plan_of(*units: BuiltUnit) -> Plan:
    """The units side by side at the origin of a room."""
    return Plan("test", tuple(u.placed(Placement()) for u in units))


@pytest.fixture(scope="session")
def herbarium() -> Build:
    return build(CONFIGS / "herbarium" / "project.yaml")


@pytest.fixture(scope="session")
def trains() -> Build:
    return build(CONFIGS / "trains" / "project.yaml")


@pytest.fixture(scope="session")
def guest_study() -> Build:
    return build(CONFIGS / "guest-study" / "project.yaml")
