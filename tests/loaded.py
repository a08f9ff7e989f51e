"""Boards under load for tests: a shelf as a case, a bookcase as a project, what is found about a board."""

from pathlib import Path
from typing import Any

from conftest import CONFIGS
from projects import base, write_project

from model.build import Build, build
from model.checks.sag import sag
from model.config.tree import read
from model.findings import Finding
from model.stock.tables import Stock
from model.strength.boards import Bearing, Case, Layer, Sag, assess
from model.strength.cases import Board, all_boards
from model.strength.limits import LIMITS
from model.strength.woods import wood

Said = dict[str, Any]
STOCK = read(CONFIGS / "stock" / "birch-metric.yaml", Stock).value
CABINET = LIMITS["cabinet"]


def shelf_case(length: float = 900.0, depth: float = 300.0, live: float = 0.3, **more: Any) -> Case:
    birch = wood(STOCK, "birch 18")
    assert birch
    layer = Layer(birch, True, 0, length, depth, 0, birch.thickness)
    places = more.pop("places", (0.0, 1.0))
    return Case(length, (layer,), tuple(Bearing(length * p) for p in places), live, **more)


def bookcase(
    folder: Path, width: float = 1200, shelves: Said | None = None, unit: Said | None = None, **more: Any
) -> Build:
    options = base(height=900, depth=400, shelves=shelves or {"count": 1}, **(unit or {}))
    room = {"height": 2500, "walls": {"north": {"width": 2400}}}
    return build(write_project(folder, {"case": options}, widths={"case": width}, room=room, **more))


def board(built: Build, path: str) -> Board:
    return next(b for b in all_boards(built) if b.part.path == path)


def worked(found: Board, years: float = 10) -> Sag:
    assert found.case
    return assess(found.case, found.limit, years)


def about(built: Build, path: str, code: str = "sag") -> Finding | None:
    return next((f for f in sag(built) if f.code == code and path in f.parts), None)
