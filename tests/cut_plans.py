"""Plans and stock of a few blanks, for tests of cutting plans."""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.stock.tables import Stock

Blank = tuple[float, float, int]
"""Length, width and how many."""


def stock(**more: Any) -> Stock:
    """Ply with grain, board without, in one size each, one pine board; `more` replaces keys."""
    return Stock.model_validate(
        {
            "sheet_trim": 10,
            "kerf": 3.2,
            "sheets": {
                "ply": {"thickness": 18, "sizes": [{"length": 2440, "width": 1220, "price": 98}], "density": 680},
                "mdf": {
                    "thickness": 18,
                    "sizes": [{"length": 2440, "width": 1220, "price": 40}],
                    "density": 740,
                    "grain": False,
                },
            },
            "boards": {
                "pine": {
                    "thickness": 20,
                    "width": 40,
                    "lengths": [1800, 2400, 3000],
                    "price_per_metre": 2,
                    "density": 450,
                }
            },
            "bands": {"band": {"thickness": 1, "width": 22, "price_per_metre": 0.9, "density": 680}},
            **more,
        }
    )


def sheets(name: str, sizes: Sequence[tuple[float, float, float]], **more: Any) -> dict[str, Any]:
    """A table of one sheet in sizes (length, width, price)."""
    sold = [{"length": a, "width": b, "price": price} for a, b, price in sizes]
    return {name: {"thickness": 18, "sizes": sold, "density": 680, **more}}


def plan(blanks: Sequence[Blank], material: str = "ply", kind: Any = "sheet", title: str = "Test") -> Plan:
    """So many parts of each size, one unit."""
    placed: list[PlacedPart] = []
    for i, (length, width, count) in enumerate(blanks):
        thickness = 18.0 if kind == "sheet" else 20.0 if kind == "board" else 1.0
        part = Part(kind=kind, material=material, length=length, width=width, thickness=thickness)
        placed += [PlacedPart(f"unit/part {i} {n}", part, Placement((0.0, 0.0, 0.0)), "part") for n in range(count)]
    return Plan(title, (BuiltUnit("unit", "B1", "base", tuple(placed)),))


def build(made: Plan, said: Stock) -> Any:
    """As much of a build as the files of a cutting plan need."""
    return SimpleNamespace(plan=made, stock=said)
