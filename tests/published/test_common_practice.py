"""Habits of the trade as check values: common practice, without a published source unless one is named."""

import pytest
from conftest import INCH
from projects import base, write_project

from model.build import build
from model.cabinet.fronts import FrontOptions
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box
from model.tops.slab import longest_piece
from model.units.upper import screw_places

INCH_MM = 25.4
# A true 3/4 in panel, so that the sums of the habit come out to the letter.
STOCK = """
lengths: in
sheets:
  panel: {thickness: 3/4, sizes: [{length: 8 ft, width: 4 ft}], density: 640}
  thin: {thickness: 1/4, sizes: [{length: 8 ft, width: 4 ft}], density: 640}
boards:
  one by two: {thickness: 3/4, width: 1 1/2, lengths: [8 ft], density: 450}
  one by four: {thickness: 3/4, width: 3 1/2, lengths: [8 ft], density: 450}
  one by six: {thickness: 3/4, width: 5 1/2, lengths: [8 ft], density: 450}
slides:
  slide: {thickness: 1/2, height: 1 3/4, lengths: [18, 20, 22], load: 100 lb}
pulls:
  pull: {spacing: 5, bore_diameter: 3/16, projection: 1 1/4, bar_thickness: 1/2, length: 6}
"""


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory) -> BuiltUnit:
    """A 24 in base under a 30 in counter, its skirt 3 1/2 in high with a 1 in gap, one drawer lapping 1/2 in."""
    folder = tmp_path_factory.mktemp("inch")
    (folder / "stock.yaml").write_text(STOCK, encoding="utf-8")
    options = base(
        lengths="in",
        depth=23.5,
        joinery="butt",
        toe_kick={"style": "skirt", "height": "3 1/2", "gap": 1},
        fronts={"overlay": "1/2 in", "gap": "1/8 in"},
        drawers={"rows": 1},
    )
    path = write_project(
        folder,
        {"box": options},
        widths={"box": "24 in"},
        stock=folder / "stock.yaml",
        materials={"carcass": "panel", "back": "thin", "frame": "one by two", "slide": "slide", "pull": "pull"},
        tops=[{"name": "counter", "wall": "north", "over": ["box"], "height": "30 in"}],
    )
    return build(path).plan.units[0]


def box(unit: BuiltUnit, name: str) -> Box:
    found: PlacedPart = next(p for p in unit.parts if p.path == f"box/{name}")
    return found.bounds()


def inches(mm: float) -> float:
    return mm / INCH_MM


def test_a_30_in_counter_with_a_3_4_in_top_leaves_sides_of_29_1_4(unit: BuiltUnit) -> None:
    assert inches(box(unit, "left side").size[2]) == pytest.approx(29.25)


def test_a_24_in_box_of_3_4_in_panels_leaves_22_1_2_between_its_sides(unit: BuiltUnit) -> None:
    clear = box(unit, "right side").lo[0] - box(unit, "left side").hi[0]
    assert inches(clear) == pytest.approx(22.5)
    assert inches(box(unit, "front stretcher").size[0]) == pytest.approx(22.5)


def test_a_1_1_2_in_stile_on_a_3_4_in_side_overhangs_3_4_inside(unit: BuiltUnit) -> None:
    stile, side = box(unit, "left stile"), box(unit, "left side")
    assert stile.lo[0] == side.lo[0]
    assert inches(stile.hi[0] - side.hi[0]) == pytest.approx(0.75)


def test_side_mount_drawers_are_1_in_narrower_than_their_opening(unit: BuiltUnit) -> None:
    opening = box(unit, "right stile").lo[0] - box(unit, "left stile").hi[0]
    drawer = box(unit, "drawer 1/right side").hi[0] - box(unit, "drawer 1/left side").lo[0]
    assert inches(opening - drawer) == pytest.approx(1.0)


def test_an_overlay_front_1_in_wider_than_its_opening_laps_half_an_inch_a_side(unit: BuiltUnit) -> None:
    left, right, front = box(unit, "left stile"), box(unit, "right stile"), box(unit, "drawer 1/front")
    opening = right.lo[0] - left.hi[0]
    assert inches(front.size[0] - opening) == pytest.approx(1.0)
    assert inches(left.hi[0] - front.lo[0]) == pytest.approx(0.5)
    assert inches(front.hi[0] - right.lo[0]) == pytest.approx(0.5)


def test_skirt_gap_and_rail_need_a_6_in_board_behind(unit: BuiltUnit) -> None:
    """3 1/2 in of skirt, a 1 in gap and a 1 1/2 in rail: the board that shows in the gap is 6 in high."""
    skirt, rail, behind = box(unit, "skirt"), box(unit, "bottom rail"), box(unit, "kick board")
    assert inches(skirt.size[2]) == pytest.approx(3.5)
    assert inches(rail.lo[2] - skirt.hi[2]) == pytest.approx(1.0)
    assert inches(behind.size[2]) == pytest.approx(6.0)
    assert behind.hi[2] == pytest.approx(rail.hi[2])


@pytest.mark.parametrize(("feet", "pieces"), [(7.5, 1), (11, 2)])
def test_a_top_of_11_ft_from_8_ft_sheets_needs_a_seam(tmp_path, feet: float, pieces: int) -> None:
    (tmp_path / "stock.yaml").write_text(STOCK, encoding="utf-8")
    width = f"{feet / 2 * 12} in"
    path = write_project(
        tmp_path,
        {"a": base(), "b": base()},
        widths={"a": width, "b": width},
        room={"height": 2500, "walls": {"north": {"width": f"{feet} ft"}}},
        stock=tmp_path / "stock.yaml",
        materials={"carcass": "panel", "back": "thin", "frame": "one by two"},
        tops=[{"name": "counter", "wall": "north", "over": ["a", "b"], "height": "36 in"}],
    )
    top = next(u for u in build(path).plan.units if u.kind == "top")
    assert len(top.parts) == pieces


def test_an_upper_of_4_ft_takes_nine_screws_along_its_bottom_rail() -> None:
    """The rail of a 48 in upper between 3/4 in sides, screws at most 6 in apart."""
    assert len(screw_places((48 - 1.5) * INCH_MM, 6 * INCH_MM)) == 9


def test_a_lap_on_bare_edges_leaves_the_gap_between_neighbours() -> None:
    """Two frameless neighbours of 3/4 in: fronts 1/8 in apart lap each edge by 11/16 in."""
    lap = FrontOptions(gap=INCH_MM / 8).lap(0.75 * INCH_MM)
    assert inches(lap) == pytest.approx(11 / 16, abs=1e-4)


def test_a_sheet_gives_its_length_less_two_trims(stocks) -> None:
    """8 ft and 10 ft sheets, 3/8 in off each edge."""
    stock, _ = stocks["in"]
    sheet = stock.sheet(INCH.carcass or "")
    assert inches(longest_piece(sheet, 600, stock.sheet_trim)) == pytest.approx(120 - 0.75, abs=0.001)
