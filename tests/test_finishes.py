"""What is painted: areas worked out by hand, and cell by cell in rooms full of random boxes."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from projects import base, write_project

from model.build import Build, build
from model.costs import painted_in
from model.cuts import Bore, Cutout, Groove, Notch
from model.errors import ConfigError
from model.finishes import FACES, Finishing, amounts, painted
from model.part import Motion, Part, PlacedPart, hardware, lying
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.shapes import Box
from model.stock.finishes import layers
from model.stock.tables import Stock

ALL = Finishing(fronts="paint", frames="paint", cases="paint", drawers="paint", tops="paint")
TINS = [{"volume": 1}]
FAR = Box((0.0, 5000.0, 5000.0), (10.0, 5010.0, 5010.0))
"""Something at the rear of every unit here, so that the rest of it does not stand at the wall."""


def sheet(name: str, box: Box, along: str = "x", face: str = "+z", role: str = "shelf", *cuts: Any) -> PlacedPart:
    size, at = lying(box, along, face)
    part = Part(kind="sheet", material="ply", length=size[0], width=size[1], thickness=size[2], cuts=cuts)
    return PlacedPart(name, part, at, role)


def box(x: float, y: float, z: float, dx: float, dy: float, dz: float) -> Box:
    """A box well above the floor."""
    return Box((x, y, 1000.0 + z), (x + dx, y + dy, 1000.0 + z + dz))


def areas(
    *parts: PlacedPart, motions: tuple[Motion, ...] = (), finishing: Finishing = ALL
) -> dict[str, dict[str, Any]]:
    """The bare area of each face of each part, mm^2."""
    unit = BuiltUnit("u", "B1", "base", (*parts, sheet("far", FAR)), motions=motions)
    found = painted(Plan("test", (unit,)), finishing)
    return {p.placed.path: {f: pytest.approx(a * 1e6, abs=1.0) for f, a in p.faces} for p in found}


def test_a_board_in_the_air_is_painted_all_round() -> None:
    assert areas(sheet("shelf", box(0, 0, 0, 800, 300, 18)))["shelf"] == {
        "A": 800 * 300, "B": 800 * 300, "x0": 300 * 18, "x1": 300 * 18, "y0": 800 * 18, "y1": 800 * 18,
    }  # fmt: skip


def test_what_lies_against_another_part_is_not() -> None:
    found = areas(sheet("shelf", box(0, 0, 0, 800, 300, 18)), sheet("side", box(800, 0, -400, 18, 300, 900), "z", "-x"))
    assert "x1" not in found["shelf"]
    assert found["side"]["A"] == 900 * 300 - 300 * 18
    assert found["side"]["B"] == 900 * 300


def test_a_gap_that_can_be_seen_hides_nothing() -> None:
    found = areas(
        sheet("shelf", box(0, 0, 0, 800, 300, 18)), sheet("side", box(800.5, 0, -400, 18, 300, 900), "z", "-x")
    )
    assert found["shelf"]["x1"] == 300 * 18
    assert found["side"]["A"] == 900 * 300


def test_a_panel_in_a_groove_hides_its_edge_and_fills_the_mouth() -> None:
    """A shelf 9 mm in a groove as deep: its end and 9 mm of both its faces are inside."""
    groove = Groove(face="A", u0=400, v0=0, u1=418, v1=300, depth=9)
    side = sheet("side", box(800, 0, -400, 18, 300, 900), "z", "-x", "side", groove)
    shelf = sheet("shelf", box(0, 0, 0, 809, 300, 18))
    found = areas(shelf, side)
    assert "x1" not in found["shelf"]
    assert found["shelf"]["A"] == found["shelf"]["B"] == 800 * 300
    assert found["side"]["A"] == 900 * 300 - 18 * 300
    assert found["side"]["B"] == 900 * 300


def test_openings_and_notches_are_not_painted_and_bores_are_passed_over() -> None:
    cuts = (
        Notch(u0=0, v0=0, u1=50, v1=40),
        Cutout(u0=300, v0=100, u1=400, v1=200),
        Bore(face="A", u=600, v=100, diameter=35),
    )
    found = areas(sheet("shelf", box(0, 0, 0, 800, 300, 18), "x", "+z", "shelf", *cuts))["shelf"]
    assert found["A"] == 800 * 300 - 50 * 40 - 100 * 100
    assert found["y0"] == (800 - 50) * 18


def test_something_that_shows_through_a_notch_of_its_neighbour_is_painted() -> None:
    """A toe board behind a notch of the side: its end is bare where the side is cut away."""
    whole = areas(
        sheet("board", box(0, 50, 0, 800, 18, 100), "x", "-y"), sheet("side", box(800, 0, 0, 18, 300, 900), "z", "-x")
    )
    assert "x1" not in whole["board"]
    notch = Notch(u0=0, v0=0, u1=40, v1=300)
    cut = areas(
        sheet("board", box(0, 50, 0, 800, 18, 100), "x", "-y"),
        sheet("side", box(800, 0, 0, 18, 300, 900), "z", "-x", "side", notch),
    )
    assert cut["board"]["x1"] == 18 * 40


def test_a_door_is_painted_all_round_though_it_is_shut() -> None:
    door = sheet("door", box(0, -18, 0, 400, 18, 700), "z", "-y", "door")
    stile = sheet("stile", box(0, 0, 0, 40, 20, 700), "z", "-y", "stile")
    swing = Motion("door", "swing", ("door",), (0.0, 0.0, 1.0), 1.7)
    found = areas(door, stile, motions=(swing,))
    assert found["door"]["B"] == 400 * 700
    assert found["stile"]["A"] == 40 * 700
    fixed = areas(door, stile)
    assert fixed["door"]["B"] == 360 * 700


def test_hardware_covers_nothing_and_is_not_painted() -> None:
    pull = PlacedPart("pull", hardware("pull", (128, 30, 30), 0.1), Placement((100, 100, 1018)), "pull")
    found = areas(sheet("shelf", box(0, 0, 0, 800, 300, 18)), pull)
    assert set(found) == {"shelf", "far"}
    assert found["shelf"]["A"] == 800 * 300


def test_the_wall_and_the_floor_hide_what_lies_at_them() -> None:
    unit = BuiltUnit(
        "u",
        "B1",
        "base",
        (
            sheet("back", Box((0.0, 580.0, 100.0), (600.0, 586.0, 800.0)), "z", "-y", "back"),
            sheet("side", Box((600.0, 0.0, 0.0), (618.0, 600.0, 800.0)), "z", "+x", "side"),
        ),
    )
    found = {p.placed.path: dict(p.faces) for p in painted(Plan("test", (unit,)), ALL)}
    assert "B" not in found["back"]  # it looks to the wall, though it stands off it
    assert "A" in found["back"]
    assert {"x0", "y0", "y1"} - set(found["side"]) == {"x0", "y0"}  # the foot and the rear edge
    turned = {u: Placement.turned("z", 3.141592653589793) for u in ("u",)}
    other = {p.placed.path: dict(p.faces) for p in painted(Plan("test", (unit,)), ALL, turned)}
    assert "A" not in other["back"]  # with the wall on the other side


def test_each_group_gets_its_own_finish_and_bands_go_with_their_panel() -> None:
    parts = (
        sheet("door 1", box(0, -18, 0, 400, 18, 700), "z", "-y", "door"),
        PlacedPart(
            "door 1 band, left",
            Part(kind="band", material="band", length=700, width=18, thickness=1),
            Placement((-500, 0, 1000)),
            "edge band",
        ),
        sheet("stile", box(0, 50, 0, 40, 20, 700), "z", "-y", "stile"),
        sheet("drawer 1/left side", box(100, 200, 0, 12, 400, 100), "y", "+x", "drawer side"),
        sheet("shelf", box(0, 900, 0, 800, 300, 18)),
    )
    chosen = Finishing(fronts="white", frames="grey", cases="oil")
    unit = BuiltUnit("u", "B1", "base", parts)
    found = {p.placed.path: p.finish for p in painted(Plan("test", (unit,)), chosen)}
    assert found == {"door 1": "white", "door 1 band, left": "white", "stile": "grey", "shelf": "oil"}
    top = BuiltUnit("t", "T1", "top", (sheet("top piece", box(0, 0, 0, 800, 600, 18), "x", "+z", "top"),))
    assert painted(Plan("test", (top,)), chosen) == ()
    assert len(painted(Plan("test", (top,)), Finishing(tops="oil"))) == 1


small = st.integers(0, 6)
boxes = st.lists(
    st.tuples(small, small, small, st.integers(1, 4), st.integers(1, 4), st.integers(1, 4)), min_size=2, max_size=5
)


@settings(deadline=None)
@given(corners=boxes)
def test_bare_areas_cell_by_cell(corners: list[tuple[int, ...]]) -> None:
    """Boxes of whole centimetres that may run into each other: each square centimetre of a face is looked at alone."""
    solid = [(c[:3], tuple(a + d for a, d in zip(c[:3], c[3:], strict=True))) for c in corners]
    parts = [
        sheet(f"p{i}", Box(*(tuple(10.0 * v + (1000 if k == 2 else 0) for k, v in enumerate(c)) for c in s)))  # pyright: ignore[reportArgumentType]
        for i, s in enumerate(solid)
    ]
    found = areas(*parts)

    def inside(cell: list[int], s: tuple[tuple[int, ...], tuple[int, ...]]) -> bool:
        return all(lo <= c < hi for c, lo, hi in zip(cell, *s, strict=True))

    for i, (lo, hi) in enumerate(solid):
        for face, (axis, way) in FACES.items():
            u, v = (k for k in range(3) if k != axis)
            bare = 0
            for a in range(lo[u], hi[u]):
                for b in range(lo[v], hi[v]):
                    over = [0, 0, 0]
                    over[u], over[v], over[axis] = a, b, hi[axis] if way > 0 else lo[axis] - 1
                    bare += not any(inside(over, s) for k, s in enumerate(solid) if k != i)
            got = found.get(f"p{i}", {}).get(face, 0)
            assert got == bare * 100, (i, face)


STOCK = Stock.model_validate(
    {
        "finishes": {
            "primer": {"coverage": 8, "coats": 1, "tins": TINS},
            "white": {"coverage": 10, "under": "primer", "tins": TINS},
            "oil": {"coverage": 14, "coats": 3, "tins": TINS},
        }
    }
)


def test_litres_are_area_times_coats_over_coverage() -> None:
    shelf = sheet("shelf", box(0, 0, 0, 1000, 1000, 20))
    door = sheet("door", box(0, 2000, 0, 500, 20, 1000), "z", "-y", "door")
    plan = Plan("test", (BuiltUnit("u", "B1", "base", (shelf, door, sheet("far", FAR, role="drawer side"))),))
    used = {a.finish.name: a for a in amounts(painted(plan, Finishing(fronts="white", cases="oil")), STOCK.finishes)}
    assert list(used) == ["primer", "oil", "white"]  # what goes under comes first
    assert used["oil"].litres == pytest.approx((2 * 1 + 4 * 0.02) * 3 / 14)
    front = 2 * 0.5 + 2 * 0.02 * (0.5 + 1)
    assert used["white"].litres == pytest.approx(front * 2 / 10)
    assert used["primer"].litres == pytest.approx(front * 1 / 8)
    assert [f.name for f in layers(STOCK.finishes, "white")] == ["primer", "white"]


def test_nothing_is_painted_unless_the_project_says_so(trains: Build) -> None:
    assert painted(trains.plan, Finishing()) == ()


def test_a_demo_is_painted_once_and_never_more_than_all_round(trains: Build) -> None:
    found = painted_in(trains)
    assert found == painted_in(trains)
    assert {p.finish for p in found} == {"white satin", "clear varnish"}
    assert len({p.placed.path for p in found}) == len(found)
    for p in found:
        x, y, z = (c / 1000 for c in p.placed.part.size)
        most = {"A": x * y, "B": x * y, "x0": y * z, "x1": y * z, "y0": x * z, "y1": x * z}
        assert all(0 < area <= most[face] + 1e-6 for face, area in p.faces), p.placed.path
    fronts = [p for p in found if p.placed.role in ("front", "door")]
    assert len(fronts) == sum(p.role in ("front", "door") for p in trains.plan.walk())
    for p in fronts:  # whichever way it lies, the face that is seen is bare all over
        x, y, _ = p.placed.part.size
        assert max(area for _, area in p.faces) == pytest.approx(x * y / 1e6, abs=1e-6)


def test_a_finish_that_is_not_in_stock(tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800)}, finish={"fronts": "white satan"})
    with pytest.raises(
        ConfigError, match=r"finish.fronts: no 'white satan' among the finishes in stock, did you mean 'wh"
    ):
        build(path)


@pytest.mark.parametrize(
    ("under", "message"),
    [("primer 2", "no finish is called 'primer 2'"), ("white", "it goes over itself in the end")],
)
def test_an_undercoat_is_another_finish(under: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Stock.model_validate({"finishes": {"white": {"coverage": 10, "under": under, "tins": TINS}}})


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"coverage": 0, "tins": TINS}, "out of range"),
        ({"coverage": "10 m2", "tins": TINS}, "write 10, 10 m2/l or 400 ft2/gal"),
        ({"coverage": 10, "tins": []}, "tins"),
        ({"coverage": 10, "tins": [{"volume": "1 cup"}]}, "write 2.5, 750 ml or 1 gal"),
        ({"coverage": 10, "coats": 0, "tins": TINS}, "coats"),
    ],
)
def test_a_finish_that_cannot_be(said: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Stock.model_validate({"finishes": {"white": said}})


@pytest.mark.parametrize("date", ["2026", "2026-13", "26-11", "2026-11-32", "november", "2026/11"])
def test_a_date_of_prices_that_is_none(date: str) -> None:
    with pytest.raises(ValueError, match="date"):
        Stock.model_validate({"prices": {"date": date}})
    assert Stock.model_validate({"prices": {"date": "2026-11-25"}}).prices.date == "2026-11-25"
