"""Small plans for the interference tests, and three parts modelled a second time by hand in the CAD kernel."""

import math
from dataclasses import replace

import cadquery as cq
from hypothesis import strategies as st

from model.checks.interference import interference
from model.cuts import Bore, Cutout, Groove, Notch
from model.part import Motion, Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.shapes import Cylinder

FRONT = (0.0, -1.0, 0.0)
RIGHT = (1.0, 0.0, 0.0)


def panel(length, width, thickness, *cuts) -> Part:
    return Part(kind="sheet", material="panel", length=length, width=width, thickness=thickness, cuts=cuts)


def block(low, high) -> tuple[Part, Placement]:
    size = [b - a for a, b in zip(low, high, strict=True)]
    return panel(*size), Placement(low)


def item(size, *body) -> Part:
    return Part(kind="hardware", material="item", length=size[0], width=size[1], thickness=size[2], body=body)


def bar(radius, length) -> Part:
    """A round bar along its own z, its axis through (radius, radius)."""
    return item((2 * radius, 2 * radius, length), Cylinder((radius, radius, 0), (0, 0, 1), radius, length))


def plan(parts, joints=(), motions=()) -> Plan:
    """`parts` maps a name to (part, placement)."""
    placed = tuple(PlacedPart(name, part, at, "part") for name, (part, at) in parts.items())
    return Plan("test", (BuiltUnit("unit", "T1", "test", placed, tuple(joints), tuple(motions)),))


def found(code, parts, **more):
    return [f for f in interference(plan(parts, **more)) if f.code == code]


def detail(finding, name):
    return dict(finding.details)[name]


def slide(*parts, travel=500.0, direction=FRONT) -> Motion:
    return Motion("drawer", "slide", parts, direction, travel)


HOLED = panel(200, 120, 30, Bore(face="A", u=60, v=60, diameter=50), Cutout(u0=110, u1=180, v0=30, v1=90))
GROOVED = panel(
    180, 100, 25, Groove(face="B", u0=40, u1=90, v0=0, v1=100, depth=15), Notch(u0=140, u1=180, v0=0, v1=40)
)
PLAIN = panel(150, 90, 40)


def kernel_solids() -> dict[Part, cq.Shape]:
    """The three parts, modelled a second time by hand in the CAD kernel."""
    holed = cq.Solid.makeBox(200, 120, 30).cut(
        cq.Solid.makeCylinder(25, 50, cq.Vector(60, 60, -5)), cq.Solid.makeBox(70, 60, 50, cq.Vector(110, 30, -5))
    )
    grooved = cq.Solid.makeBox(180, 100, 25).cut(
        cq.Solid.makeBox(50, 120, 20, cq.Vector(40, -10, -5)), cq.Solid.makeBox(50, 50, 50, cq.Vector(140, -10, -5))
    )
    return {HOLED: holed, GROOVED: grooved, PLAIN: cq.Solid.makeBox(150, 90, 40)}


SOLIDS = kernel_solids()


def kernel_place(shape: cq.Shape, at: Placement) -> cq.Shape:
    x, z = (cq.Vector(*(row[k] for row in at.rotation)) for k in (0, 2))
    return shape.moved(cq.Location(cq.Plane(at.origin, x, z)))


angles = st.sampled_from([0.0, math.pi / 2, math.pi, 0.2, 0.7, 1.9])
offsets = st.tuples(*[st.integers(-160, 160)] * 3).map(lambda o: tuple(float(c) for c in o))
placements = st.builds(
    lambda x, z, o: Placement(o).compose(Placement.turned("x", x)).compose(Placement.turned("z", z)),
    angles,
    angles,
    offsets,
)
pairs_of_parts = st.tuples(st.sampled_from([HOLED, GROOVED, PLAIN]), st.sampled_from([HOLED, GROOVED, PLAIN]))


def base_unit() -> BuiltUnit:
    """A drawer base of 26 parts and four drawers, sound but for a rail in the way of the lowest."""
    holes = tuple(Bore(face="A", u=u, v=v, diameter=5, depth=12) for u in range(50, 700, 64) for v in (40, 460))
    parts = {
        "left": (panel(720, 500, 18, *holes), Placement.axes((0, 500, 0), "+z", "+x")),
        "right": block((582, 0, 0), (600, 500, 720)),
        "bottom": block((18, 0, 0), (582, 500, 18)),
        "top": block((18, 0, 702), (582, 500, 720)),
        "back": block((0, 500, 0), (600, 506, 720)),
        "rail": block((18, 0, 160), (582, 22, 190)),
    }
    motions = []
    for k in range(4):
        z = 18 + 171 * k
        parts[f"left slide {k}"] = block((18, 10, z + 40), (31, 460, z + 85))
        parts[f"right slide {k}"] = block((569, 10, z + 40), (582, 460, z + 85))
        parts[f"box {k}"] = block((31, 22, z + 20), (569, 460, z + 150))
        parts[f"front {k}"] = block((0, -18, z), (600, 0, z + 168))
        parts[f"pull {k}"] = (bar(6, 300), Placement.axes((150, -18, z + 80), "+z", "+x"))
        motions.append(slide(f"box {k}", f"front {k}", f"pull {k}", travel=450.0))
    return plan(parts, motions=motions).units[0]


def room(units: int) -> Plan:
    """Equal drawer bases side by side along a wall."""
    base = base_unit()
    named = [replace(base, name=f"base {n}").placed(Placement((600.0 * n, 0, 0))) for n in range(units)]
    return Plan("room", tuple(named))
