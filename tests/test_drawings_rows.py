"""Rows of dimensions: rounding that adds up, texts that keep apart, sheets of unusual parts."""

import math
from dataclasses import replace

import pytest
from drawing_verifier import Drawing, boxes, overlaps
from hypothesis import given
from hypothesis import strategies as st
from projects import base, write_project

from exporters.drawings import write
from exporters.drawings.cuts import groups, table_rows
from exporters.drawings.display import Path, Rect, Text, overlap
from exporters.drawings.dxf import dxf
from exporters.drawings.frame import issued, short, wrapped
from exporters.drawings.on_paper import Space, drawn, placed
from exporters.drawings.parts import PartDrawing, part_sheet
from exporters.drawings.rows import AIR, Axis, chain, running, spread, texts
from exporters.drawings.scan import over_front
from exporters.drawings.sets import part_sheets
from exporters.drawings.views import view
from exporters.registry import EXPORTERS
from model.bill import Row
from model.build import build
from model.cuts import Bore, PocketBore
from model.lengths import parse_length
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import Box

LENGTHS = st.lists(st.floats(0.5, 900.0).map(lambda v: round(v, 3)), min_size=1, max_size=12)


@given(LENGTHS, st.sampled_from(("mm", "in")))
def test_what_is_written_adds_up_and_none_is_off_by_more_than_a_mark(lengths: list[float], unit: str) -> None:
    written = texts(lengths, unit)  # type: ignore[arg-type]
    step = 0.1 if unit == "mm" else 25.4 / 32
    read = [parse_length(t, unit) for t in written]  # type: ignore[arg-type]
    assert abs(sum(read) - sum(lengths)) <= step / 2 + 0.002 * len(lengths)
    for value, exact in zip(read, lengths, strict=True):
        assert abs(value - exact) <= step + 0.001


def test_what_is_exact_stays_so() -> None:
    assert texts([17.8, 300.0, 17.8], "mm") == ["17.8", "300", "17.8"]
    assert texts([19.05, 609.6], "in") == ["3/4", "24"]
    # three thirds of 100: one of them gives way
    assert sorted(texts([100 / 3] * 3, "mm")) == ["33.3", "33.3", "33.4"]


@given(st.lists(st.tuples(st.floats(0, 200), st.floats(1, 12)), min_size=1, max_size=15))
def test_spread_texts_keep_apart_and_in_order(wanted: list[tuple[float, float]]) -> None:
    wanted = sorted(wanted)
    widths = [w for _, w in wanted]
    middles = spread([m for m, _ in wanted], widths, 0.0, 200.0)
    for i in range(len(middles) - 1):
        assert middles[i + 1] - middles[i] >= (widths[i] + widths[i + 1]) / 2 + AIR - 1e-6
    if sum(widths) + AIR * len(widths) <= 200:
        assert middles[0] - widths[0] / 2 >= -1e-6
        assert middles[-1] + widths[-1] / 2 <= 200 + 1e-6


@pytest.mark.parametrize("side", ["below", "above", "left", "right"])
def test_texts_of_a_crowded_chain_meet_neither_each_other_nor_the_view(side: str) -> None:
    axis = Axis(side, 0.0, 0.0, 10.0)  # type: ignore[arg-type]
    stops = [0.0, 17.8, 30.0, 330.0, 333.0, 633.0, 650.0]
    found, reach = chain(axis, stops, 10.0, "mm", "test")
    rects: list[Rect] = [d.items[-1].rect() for d in found]  # type: ignore[union-attr]
    for i, a in enumerate(rects):
        assert not any(overlap(a, b) for b in rects[i + 1 :])
        away = {"below": -a[1], "above": a[3], "left": -a[0], "right": a[2]}[side]
        assert 0 < away <= reach + 0.5
    assert [d.text for d in found] == ["17.8", "12.2", "300", "3", "300", "17"]


def test_running_dimensions_start_at_one_corner() -> None:
    axis = Axis("below", 50.0, 20.0, 5.0)
    found, _ = running(axis, [10.0, 12.0, 400.0], 10.0, "mm", 500.0)
    assert {d.a for d in found} == {(50.0, 20.0)}
    assert [(d.b[0] - d.a[0]) * 5 for d in found] == pytest.approx([10, 12, 400])
    assert [d.text for d in found] == ["10", "12", "400"]


def test_holes_are_told_in_as_few_even_rows_as_there_are() -> None:
    def bores(xs: list[float]) -> Part:
        cuts = tuple(Bore(face="A", u=x, v=20.0, diameter=5.0, depth=9.0) for x in xs)
        return Part(kind="sheet", material="ply", length=2000.0, width=100.0, thickness=18.0, cuts=cuts)

    def rows(xs: list[float]) -> list[tuple[str, str]]:
        part = bores(xs)
        return [(r[1], r[6]) for r in table_rows(groups(part, str), part, str)]

    assert rows([50.0 + 32 * i for i in range(9)]) == [("9", "50.0 .. 306.0")]
    # a row of pairs: 37 mm apart, every 148 mm
    pairs = [30.0 + 148 * i for i in range(6)], [67.0 + 148 * i for i in range(6)]
    assert rows([*pairs[0], *pairs[1]]) == [("6", "30.0 .. 770.0"), ("6", "67.0 .. 807.0")]
    # three that are even by chance only, with others among them, are told one by one
    assert rows([100.0, 190.0, 300.0, 425.0, 500.0]) == [
        ("1", x) for x in ("100.0", "190.0", "300.0", "425.0", "500.0")
    ]


CASES = {
    "pocket": base(height=760, joinery="pocket", drawers={"rows": 2}),
    "dowelled": base(height=760, joinery="dowelled", shelves={"count": 1}),
    "frameless": {
        "kind": "base", "height": 760, "joinery": "dowelled", "frame": None, "edge_band": "birch band 22x1",
        "feet": {"height": 105}, "toe_kick": {"style": "notch", "height": 140, "depth": 60}, "doors": {"leaves": 2},
    },
}  # fmt: skip


@pytest.mark.parametrize("name", list(CASES))
def test_parts_of_every_joinery_have_a_clear_sheet(name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    built = build(write_project(tmp_path_factory.mktemp("room"), {"a": CASES[name]}))
    sheets = list(part_sheets(built))
    bored = 0
    for sheet in sheets:
        drawing = Drawing(dxf(sheet))
        assert overlaps(boxes(drawing)) == []
        rows = drawing.table("Cuts: X, Y from the lower left corner, Z from face B")
        bored += sum(r["cut"].endswith("bore") for r in rows)
    assert bored
    if name == "frameless":
        said = [t.text(1) for s in sheets for t in Drawing(dxf(s)).texts()]
        assert any(t.startswith("Edge ") and "birch band 22x1, 1 mm thick" in t for t in said)


def test_odd_names_do_no_harm(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Names that look like control codes or markup stay text, and files stay in their folder.

    What a project says is checked before; a plan made in another way is not.
    """
    built = build(write_project(tmp_path_factory.mktemp("room"), {"a & b #": base(height=760)}))
    odd = '<b> & "#%%c\\P{x} ^J ../../up\x07'
    unit = replace(built.plan.units[0], name=odd)
    plan = replace(built.plan, title=odd, units=(unit,))
    out = tmp_path_factory.mktemp("out")
    paths = write(replace(built, plan=plan, stands_at={odd: "north"}), out)
    assert {p.suffix for p in paths} == {".dxf", ".svg", ".pdf"}
    assert all(p.parent == out / "drawings" and p.is_file() for p in paths)
    said = [t.text(1) for p in paths if p.suffix == ".dxf" for t in Drawing(p.read_bytes()).texts()]
    assert any("<b>" in t for t in said)
    assert not any("%%" in t or "\\" in t or "^" in t for t in said)


def test_a_chain_over_a_front_stops_where_what_is_foremost_changes() -> None:
    """A drawer front that overlays two rails of a frame, over a toe kick that stands back by 60 mm."""
    rail, front, low = (0, 0, 700), (10, -18, 130), (0, 0, 100)
    boxes = [
        Box(rail, (600, 20, 740)), Box(low, (600, 20, 140)), Box(front, (590, 0, 680)), Box((0, 60, 0), (600, 78, 100)),
        Box((18, 500, 0), (580, 506, 740)),
    ]  # fmt: skip
    stops = over_front(boxes, 2, (0.0, 740.0))
    # floor, recess of the kick, rail below, front, gap between front and rail, rail above
    assert stops(300.0) == [0.0, 100.0, 130.0, 680.0, 700.0, 740.0]
    assert over_front(boxes, 0, (0.0, 600.0))(400.0) == [0.0, 10.0, 590.0, 600.0]


def test_long_texts_are_cut_and_wrapped() -> None:
    assert short("left side of the press base", 12) == "left side .."
    assert wrapped("a bb ccc dddd", 6, 5) == ["a bb", "ccc", "dddd"]
    assert wrapped("one two three four five six", 8, 2)[-1].endswith("etc")


def test_a_date_comes_from_the_environment_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert issued() == ""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert issued() == "1970-01-02"


def test_drawings_are_among_the_exporters() -> None:
    assert EXPORTERS["drawings"].load() is write


RAIL = Part(
    kind="board", material="pine", length=500.0, width=40.0, thickness=20.0,
    cuts=(
        PocketBore(face="B", toward="x0", u=40.0, v=20.0, diameter=9.5, pilot_diameter=4.5, shoulder=16.0),
        Bore(face="A", u=250.0, v=20.0, diameter=4.5, countersink=8.0, countersink_degrees=82.0),
    ),
)  # fmt: skip


def test_the_mouth_of_a_pocket_is_closed_and_dashed_along_all_of_it() -> None:
    """An ellipse, from behind one line; it comes out of the face at 15 degrees, d / sin 15 long (closed form)."""
    lines = view([PlacedPart("p", RAIL, Placement(), "")], "top", hidden=True)
    runs = [i for i in drawn(lines, placed(lines, 1.0)) if isinstance(i, Path) and i.layer == "HIDDEN"]
    far = 40.0 + 9.5 / 2 / math.sin(math.radians(15))
    mouth = max(runs, key=lambda r: max(x for x, _ in r.points))
    assert max(x for x, _ in mouth.points) == pytest.approx(far, abs=0.3)
    ys = [y for _, y in mouth.points]
    assert max(ys) - min(ys) == pytest.approx(9.5, abs=0.1)
    assert len(mouth.points) > 15
    assert sum(len(r.points) == 2 for r in runs) < 12  # the straight ones


def test_sheets_say_how_screws_are_sunk_and_are_large_enough_for_letters() -> None:
    rows = table_rows(groups(RAIL, str), RAIL, str)
    assert [r[4] for r in rows if r[2] == "screw bore"] == ["dia 4.5, sunk 8.0 (82 deg)"]
    part = replace(RAIL, length=900.0, width=130.0)  # at 1 to 10 it finds room on the smallest paper
    row = Row(
        mark="B1-01", quantity=1, names=("rail",), units=("a",), roles=("rail",), part=part, cuts="", weight_kg=0.2
    )
    sheet = part_sheet(PartDrawing(part, row, (), "p", "mm", (1, 1)))
    assert max(900.0 / sheet.scale / 100, 130.0 / sheet.scale / 20) >= 1


def test_a_letter_stands_nearer_to_its_own_hole_than_to_another() -> None:
    space, at, other = Space(), (50.0, 50.0), (54.0, 54.0)
    (words, *lead) = space.tag("A", at, 1.0, others=[(other, 1.0)])
    assert isinstance(words, Text)
    assert lead or math.dist(words.at, at) < math.dist(words.at, other)
    (plain, *_) = Space().tag("A", at, 1.0)
    assert isinstance(plain, Text)
    assert math.dist(plain.at, at) >= math.dist(plain.at, other)  # where it would be without
