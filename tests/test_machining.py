"""What a part is machined on: faces, edges, countersinks and bands."""

from dataclasses import replace
from typing import Any

import pytest
from conftest import MakeUnit

from model.bill import describe_cuts
from model.cuts import Bore, Groove
from model.machining import banded_by_part, banded_edges, both_faces, edges_bored, faces_machined
from model.part import Part
from model.placement import Placement
from model.plan import Plan

PLAIN = Part(kind="sheet", material="m", length=400, width=200, thickness=18)


@pytest.mark.parametrize(
    ("cuts", "faces"),
    [
        ((), ("A",)),
        ((Bore(face="B", u=50, v=50, diameter=5),), ("A",)),
        ((Bore(face="B", u=50, v=50, diameter=5, countersink=10),), ("A", "B")),
        ((Bore(face="B", u=50, v=50, diameter=5, depth=9),), ("A", "B")),
        (
            (Groove(face="A", u0=0, v0=50, u1=400, v1=56, depth=6), Bore(face="x1", u=50, v=9, diameter=5, depth=20)),
            ("A", "x1"),
        ),
    ],
)
def test_which_faces_a_tool_enters(cuts: tuple[Any, ...], faces: tuple[str, ...]) -> None:
    part = replace(PLAIN, cuts=cuts)
    assert faces_machined(part) == faces
    assert both_faces(part) == ("B" in faces)
    assert edges_bored(part) == tuple(f for f in faces if f not in "AB")


def test_a_countersink_keeps_its_side_and_is_told() -> None:
    sunk = Bore(face="B", u=50, v=50, diameter=4.5, countersink=8, countersink_degrees=82)
    assert sunk.face == "B"
    assert sunk.turned("x", PLAIN.size).face == "A"
    assert sunk.turned("x", PLAIN.size).countersink == 8
    assert describe_cuts(replace(PLAIN, cuts=(sunk,))) == "1 screw bore 4.5 through, countersunk 8 on B"


def test_bands_are_told_by_edge(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, frame=None, edge_band="birch band 22x1", doors={"leaves": 1})
    plan = Plan("test", (unit.placed(Placement()),))
    bands = banded_edges(plan)
    assert [edge for edge, _, _ in bands["unit/door/door"]] == ["x0", "x1", "y0", "y1"]
    assert {(item, thick) for _, item, thick in bands["unit/door/door"]} == {("birch band 22x1", 1.0)}
    ((edge, _, _),) = bands["unit/left side"]
    side = plan.by_path["unit/left side"]
    strip = next(p for p in plan.walk() if p.path.startswith("unit/left side band"))
    x, y, _ = side.placement.inverse().apply(strip.bounds().center)
    assert {"x0": x < 0, "x1": x > side.part.length, "y0": y < 0, "y1": y > side.part.width}[edge]
    assert banded_by_part(plan)[side.part] == bands["unit/left side"]
