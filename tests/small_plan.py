"""A small plan for the tests of the model files: two units, shared parts, slanting places, odd names."""

import math
from dataclasses import dataclass
from types import SimpleNamespace

from model.cuts import Bore, Cut, Cutout, Groove, Notch
from model.part import Kind, Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.shapes import Box, Cylinder

COLOURS = {
    "birch 18": (0.87, 0.72, 0.53),
    "paint 4": (0.5, 0.25, 0.123456),
    "slide 450": (1.0, 0.0, 1 / 3),
}


@dataclass(frozen=True)
class Material:
    name: str
    colour: tuple[float, float, float]


class Stock:
    """Stands in for the stock: materials by name."""

    def material(self, name: str) -> Material:
        return Material(name, COLOURS[name])


def blank(material: str, size, *cuts: Cut, kind: Kind = "sheet", body=()) -> Part:
    return Part(kind=kind, material=material, length=size[0], width=size[1], thickness=size[2], cuts=cuts, body=body)


SIDE = blank(
    "birch 18",
    (700, 400, 18),
    Notch(u0=0, v0=0, u1=75, v1=100),
    Groove(face="A", u0=0, v0=380, u1=700, v1=386, depth=6),
    *(Bore(face="A", u=100 + 32 * i, v=37, diameter=5, depth=12) for i in range(6)),
)
BOTTOM = blank("birch 18", (560, 380, 18))
FRONT = blank("birch 18", (560, 140, 18), Cutout(u0=220, v0=90, u1=340, v1=120, radius=12))
BACK = blank("paint 4", (560, 110, 4), Bore(face="A", u=280, v=55, diameter=20))
SLIDE = blank(
    "slide 450",
    (450, 45, 12.7),
    kind="hardware",
    body=(Box((0, 0, 0), (450, 45, 6)), Box((0, 5, 6), (450, 40, 12.7))),
)
PINS = blank(
    "slide 450",
    (100, 20, 20),
    kind="hardware",
    body=(Cylinder((0, 10, 10), (1, 0, 0), 2.5, 16), Cylinder((60, 10, 10), (1, 0, 0), 2.5, 16)),
)
# Volumes in mm^3, by hand.
VOLUMES = {
    SIDE: 700 * 400 * 18 - 75 * 100 * 18 - 700 * 6 * 6 - 6 * math.pi * 2.5**2 * 12,
    BOTTOM: 560 * 380 * 18,
    FRONT: (560 * 140 - 120 * 30 + (4 - math.pi) * 144) * 18,
    BACK: (560 * 110 - math.pi * 100) * 4,
    SLIDE: 450 * (45 * 6 + 35 * 6.7),
    PINS: 2 * math.pi * 2.5**2 * 16,
}
UPRIGHT = Placement.axes((0, 0, 0), "+z", "+x")


def drawer(name: str, z: float, tilt: float = 0.0) -> tuple[PlacedPart, ...]:
    at = Placement.turned("x", tilt, (30, 40, z))
    placed = (
        (f"{name}/front", FRONT, Placement.axes((0, -60, 20), "+x", "-y")),
        (f"{name}/back", BACK, Placement.axes((0, 340, 20), "+x", "-y")),
        (f"{name}/slides/left", SLIDE, Placement.axes((-22, -40, 30), "+y", "+x")),
        (f"{name}/slides/right", SLIDE, Placement.axes((590, -40, 30), "+y", "-x")),
    )
    return tuple(PlacedPart(path, part, at.compose(place), path.rsplit("/", 1)[-1]) for path, part, place in placed)


def unit(name: str, code: str, drawers: int, tilt: float = 0.0) -> BuiltUnit:
    parts = (
        PlacedPart("left side", SIDE, UPRIGHT, "side"),
        PlacedPart("right side", SIDE, Placement((620, 0, 0)).compose(UPRIGHT), "side"),
        PlacedPart("bottom", BOTTOM, Placement((30, 10, 110)), "bottom"),
        *(p for i in range(drawers) for p in drawer(f"drawer {i + 1}", 160 + 180 * i, tilt)),
    )
    return BuiltUnit(name, code, "base", parts)


PLAN = Plan(
    "N\u00e4h's wall \\ north",
    (
        unit("press base", "B1", 2).placed(Placement((100, 0, 0))),
        unit("Press-Base", "B2", 1, tilt=0.05).placed(Placement.turned("z", math.radians(37), (1500, 200, 12.5))),
        BuiltUnit("pins \u6728", "P1", "loose", (PlacedPart("pin", PINS, Placement((0, -300, 0)), "pin"),)).placed(
            Placement.turned("y", 1.0, (0, 0, 900))
        ),
    ),
)
BUILD = SimpleNamespace(plan=PLAN, stock=Stock())
