"""A small shop and a small plan for the tests of lists and costs, simple enough to add up by hand."""

from types import SimpleNamespace
from typing import Any

from model.cutting.laid import CutBoard, CutSheet, CuttingPlan, StockSheet
from model.fastening.fixing import Fixing, Spot
from model.finishes import Finishing
from model.part import Part, PlacedPart, hardware
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.stock.tables import Stock

STOCK: dict[str, Any] = {
    "currency": "EUR",
    "prices": {"date": "2026-11", "invented": True, "tax": 0.19, "waste": 0.1},
    "sheets": {
        "ply 18": {"thickness": 18, "density": 600, "sizes": [{"length": 2500, "width": 1250, "price": 61.25}]},
    },
    "boards": {"pine": {"thickness": 20, "width": 40, "lengths": [2000], "price_per_metre": 1.115, "density": 450}},
    "bands": {"band": {"thickness": 1, "width": 22, "density": 600, "price_per_metre": 0.75}},
    "slides": {"slide": {"thickness": 12.5, "height": 45, "lengths": [400, 500], "prices": [9.5, 11], "load": 30}},
    "hinges": {
        "hinge": {"cup_depth": 12, "cup_setback": 22, "arm_length": 60, "arm_width": 18, "arm_height": 14,
                  "max_door_mass": 9, "price": 2.4},
    },
    "pins": {
        "pin": {"diameter": 5, "bore_diameter": 5, "bore_depth": 9, "length": 16, "price": 0.12,
                "packs": [{"count": 20, "price": 2}, {"count": 50, "price": 4}]},
    },
    "screws": {
        "screw": {"diameter": 4, "length": 40, "clearance_diameter": 4.5, "pilot_diameter": 2.5,
                  "price_per_hundred": 4.4},
    },
    "dowels": {"dowel": {"diameter": 8, "length": 30, "packs": [{"count": 50, "price": 2}]}},
    "led_strips": {
        "strip": {"width": 10, "thickness": 2, "segment": 50, "volts": 24, "watts_per_metre": 10,
                  "lumens_per_metre": 900, "price_per_metre": 6.5, "lengths": [5000]},
    },
    "drivers": {"driver": {"length": 160, "width": 42, "height": 22, "volts": 24, "watts": 30, "price": 19}},
    "finishes": {
        "primer": {"coverage": 8, "coats": 1, "tins": [{"volume": 1, "price": 12}]},
        "paint": {"coverage": 10, "under": "primer",
                  "tins": [{"volume": 0.75, "price": 20}, {"volume": 2.5, "price": 50}]},
    },
}  # fmt: skip

SIDE = Part(kind="sheet", material="ply 18", length=700, width=500, thickness=18)
RAIL = Part(kind="board", material="pine", length=600, width=40, thickness=20)
STRIP_OF_BAND = Part(kind="band", material="band", length=700, width=18, thickness=1)
MEMBER = hardware("slide", (500, 45, 6.25), 0.2)
CUP, ARM = hardware("hinge", (35, 35, 12), 0.05), hardware("hinge", (60, 18, 14), 0.05)
PIN = hardware("pin", (16, 5, 5), 0.004)
DOWEL = hardware("dowel", (30, 8, 8), 0.001)
STRIP, DRIVER = hardware("strip", (1200, 10, 2), 0.02), hardware("driver", (160, 42, 22), 0.16)
MATTRESS = hardware("mattress", (2000, 900, 180), 15)
NAMED: tuple[tuple[str, Part, int], ...] = (
    ("side", SIDE, 2),
    ("rail", RAIL, 3),
    ("side 1 band, front", STRIP_OF_BAND, 2),
    ("slide member", MEMBER, 4),
    ("cup", CUP, 2),
    ("arm", ARM, 2),
    ("pin", PIN, 21),
    ("dowel", DOWEL, 6),
    ("strip", STRIP, 1),
    ("driver", DRIVER, 1),
    ("mattress", MATTRESS, 1),
)


def stock(**changed: Any) -> Stock:
    return Stock.model_validate({**STOCK, **changed})


def screws(n: int, item: str = "screw") -> Fixing:
    """So many screws through a side into a rail."""
    spots = tuple(Spot((float(i), 0.0, 0.0), (0.0, 0.0, 1.0)) for i in range(n))
    return Fixing(item=item, kind="screw", length=40, through="side 1", into=("rail 1",), spots=spots)


def plan(count: int = 101, name: str = "press", part_name: str = "") -> Plan:
    """One unit of everything, its parts in a row, held by `count` screws."""
    parts: list[PlacedPart] = []
    for called, part, n in NAMED:
        for i in range(1, n + 1):
            path = f"{part_name}{called} {i}" if n > 1 or part_name else called
            parts.append(PlacedPart(path, part, Placement((3000.0 * len(parts), 0, 100)), called))
    unit = BuiltUnit(name, "B1", "base", tuple(parts), fixings=(screws(count),) if count else ())
    return Plan("small", (unit.placed(Placement()),))


def cutting(plan: Plan) -> CuttingPlan:
    """Written down, not searched: two sheets, one of them an offcut; one board; the band by the metre; one reel."""
    sheet = StockSheet("ply 18", 2500, 1250, 61.25)
    rack = StockSheet("ply 18", 900, 600, None, "offcut 1")
    return CuttingPlan(
        tuple(CutSheet("ply 18", n, s, 10, 3, (), (), ()) for n, s in ((1, rack), (2, sheet))),
        (
            CutBoard("pine", 1, 2000, 2.23, 3, (), 190),
            CutBoard("strip", 1, 5000, 32.5, 0, (), 3800),
            CutBoard("band", 1, 1460, 1.095, 30, (), 0),
        ),
    )


def build(plan: Plan, stock: Stock, finishing: Finishing | None = None) -> Any:
    """What an exporter needs of a build."""
    said = SimpleNamespace(value=SimpleNamespace(finish=finishing or Finishing()))
    return SimpleNamespace(
        plan=plan, stock=stock, walls=(), stands_at={}, inputs=SimpleNamespace(project=said), cutting=cutting(plan)
    )
