"""Story poles measured: the lines in the PDF and the DXF, read back, against the parts of the unit."""

import io
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf.generic import ContentStream

from exporters import strips
from exporters.story_pole import dxf, pdf, strip, write
from exporters.strips import FOOT, SIDE, TOP, WIDTH
from model.build import Build
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.story_pole import Mark, Pole, poles, spread

POINT = 25.4 / 72
"""mm in a point: the unit of a PDF (ISO 32000-1, 8.3.2.3)."""
Matrix = tuple[float, float, float, float, float, float]


@pytest.fixture(scope="module")
def press(herbarium: Build) -> Pole:
    return next(p for p in poles(herbarium.plan) if p.unit == "press base")


def heights(pole: Pole, pattern: str) -> list[float]:
    return [m.height for m in pole.marks if re.search(pattern, m.what)]


def test_a_unit_with_floor_units_hung_units_and_kneeholes(herbarium: Build) -> None:
    found = {p.unit: p for p in poles(herbarium.plan)}
    assert set(found) == {u.name for u in herbarium.plan.units if u.kind != "top"}
    assert found["press base"].over_floor == 0
    assert found["book upper"].over_floor == 900
    assert (found["book upper"].length, found["press base"].length) == (1180, 882.2)


def test_marks_are_where_the_parts_are(herbarium: Build, press: Pole) -> None:
    by_path = herbarium.plan.by_path
    for row in range(1, 7):
        front = by_path[f"press base/drawer {row}/front"].bounds()
        assert heights(press, rf"drawer {row} front, lower edge") == [pytest.approx(front.lo[2], abs=1e-6)]
        assert heights(press, rf"drawer {row} front, upper edge") == [pytest.approx(front.hi[2], abs=1e-6)]
        for side in ("left", "right"):
            slide = by_path[f"press base/drawer {row} slide, {side}, cabinet member"].bounds()
            assert heights(press, rf"drawer {row} slide, middle") == [pytest.approx(slide.center[2], abs=1e-3)]
    bottom = by_path["press base/bottom"].bounds()
    assert heights(press, "bottom, underside") == [bottom.lo[2]]
    assert heights(press, "bottom, upper face") == [bottom.hi[2]]
    assert not heights(press, r"\bside\b|stile|\bback\b|box")  # what stands upright, and the insides of drawers


def test_shelves_and_their_pins(herbarium: Build) -> None:
    (jars,) = (p for p in poles(herbarium.plan) if p.unit == "jar upper")
    shelf = herbarium.plan.by_path["jar upper/shelf 1"].bounds()
    (pin,) = heights(jars, "shelf 1 pin, middle")
    assert heights(jars, "shelf 1, underside") == [pytest.approx(shelf.lo[2] - 900)]
    assert pin == pytest.approx(shelf.lo[2] - 900 - 2.5)  # a pin 5 mm thick under it


def test_setting_blocks_reach_from_the_bottom_to_each_slide(herbarium: Build, press: Pole) -> None:
    by_path = herbarium.plan.by_path
    bottom = by_path["press base/bottom"].bounds().hi[2]
    slides = [by_path[f"press base/drawer {n} slide, left, cabinet member"].bounds().lo[2] for n in range(1, 7)]
    assert [b.length for b in press.blocks[:6]] == [pytest.approx(z - bottom, abs=1e-3) for z in slides]  # top first
    assert [b.what for b in press.blocks[:2]] == ["bottom to drawer 1 slide", "bottom to drawer 2 slide"]
    fronts = [by_path[f"press base/drawer {n}/front"].bounds() for n in range(1, 7)]
    (gap,) = {round(upper.lo[2] - lower.hi[2], 3) for upper, lower in pairwise(fronts)}
    assert [(b.length, b.what) for b in press.blocks[6:]] == [(gap, "between fronts, one over another (5 x)")]
    text = " ".join(pypdf.PdfReader(io.BytesIO(pdf(press, "mm"))).pages[-1].extract_text().split())
    assert all(f"{b.length:.1f}".removesuffix(".0") in text for b in press.blocks)


def test_fronts_beside_each_other_make_no_gap_on_any_wall() -> None:
    front = Part(kind="sheet", material="ply", length=300, width=200, thickness=18)
    upright = Placement.axes((0, 0, 0), "+x", "-y")
    low, over, beside = (
        PlacedPart(f"drawer {n}/front", front, Placement((x, 0, z)).compose(upright), "front")
        for n, x, z in ((1, 0, 100), (2, 0, 304), (3, 310, 420))
    )
    for turn in (0.0, 1.5707963267948966):
        unit = BuiltUnit("u", "B1", "base", (low, over, beside)).placed(Placement.turned("z", turn))
        (pole,) = poles(Plan("test", (unit,)))
        assert [b.length for b in pole.blocks] == [pytest.approx(4.0, abs=0.01)]


def times(m: Matrix, n: Matrix) -> Matrix:
    return (
        m[0] * n[0] + m[1] * n[2], m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2], m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4], m[4] * n[1] + m[5] * n[3] + n[5],
    )  # fmt: skip


def lines(page: pypdf.PageObject, reader: pypdf.PdfReader) -> Iterator[tuple[float, float, float, float]]:
    """Straight lines of a page, mm from its upper left corner: m, l and cm of ISO 32000-1, 8.5.2 and 8.3.4."""
    now: Matrix = (1, 0, 0, 1, 0, 0)
    stack: list[Matrix] = []
    start = (0.0, 0.0)
    high = float(page.mediabox.height)

    def at(x: Any, y: Any) -> tuple[float, float]:
        u, v = float(x), float(y)
        return (u * now[0] + v * now[2] + now[4]) * POINT, (high - (u * now[1] + v * now[3] + now[5])) * POINT

    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        match operator:
            case b"q":
                stack.append(now)
            case b"Q":
                now = stack.pop()
            case b"cm":
                now = times(tuple(float(o) for o in operands), now)  # pyright: ignore[reportArgumentType]
            case b"m":
                start = at(*operands)
            case b"l" | b"c":  # a curve by its ends
                end = at(*operands[-2:])
                yield (*start, *end)
                start = end


def drawn(data: bytes) -> list[list[tuple[float, float, float, float]]]:
    reader = pypdf.PdfReader(io.BytesIO(data))
    return [list(lines(page, reader)) for page in reader.pages]


@pytest.mark.parametrize(("lengths", "tile", "page", "scale"), [("mm", 250, 297, 100), ("in", 9 * 25.4, 279.4, 101.6)])
def test_the_pdf_is_true_to_scale(press: Pole, lengths: Any, tile: float, page: float, scale: float) -> None:
    """Every mark is a line at its height on its strip; the line to check the printer by is as long as it says."""
    found = drawn(pdf(press, lengths))
    per_page = 3
    assert len(found) == -(-press.length // (tile * per_page))
    for mark in press.marks:
        n = min(int(mark.height // tile), int(press.length // tile))
        x = SIDE + WIDTH * (n % per_page)
        y = TOP + tile - (mark.height - n * tile)
        level = [a for a in found[n // per_page] if abs(a[1] - a[3]) < 1e-6 and abs(min(a[0], a[2]) - x) < 0.01]
        assert any(abs(a[1] - y) < 0.01 for a in level), mark
    for every in found:
        foot = [a for a in every if a[1] > page - FOOT and abs(a[1] - a[3]) < 1e-6]
        assert [pytest.approx(scale, abs=0.01)] == [abs(a[2] - a[0]) for a in foot]


def pieces(pole: Pole) -> list[dict[str, Any]]:
    data = strips.page_data("title", "told", [strip(pole)], "mm")
    return [piece for page in data["pages"] for piece in page]


def test_strips_follow_each_other_without_a_gap(press: Pole) -> None:
    found = pieces(press)
    assert sum(s["bottom"] - s["top"] for s in found) == pytest.approx(press.length)
    assert sum(len(s["marks"]) for s in found) == len(press.marks)
    assert [s["above"] for s in found] == ["to strip 2", "to strip 3", "to strip 4", "upper end"]


def test_words_do_not_lie_over_each_other(press: Pole) -> None:
    for piece in pieces(press):
        words = [m["word"] for m in piece["marks"]]
        assert all(a - b >= 2.79 for a, b in pairwise(words))
        assert all(piece["top"] < w < piece["bottom"] for w in words)


@given(wanted=st.lists(st.floats(0, 100), max_size=20).map(sorted))
def test_words_are_spread_in_order_and_in_bounds(wanted: list[float]) -> None:
    found = spread(wanted, 0.0, 100.0, 4.0)
    assert len(found) == len(wanted)
    assert all(b - a >= 4.0 - 1e-9 for a, b in pairwise(found))
    assert all(0 - 1e-9 <= f <= 100 for f in found)
    if all(b - a >= 4 for a, b in pairwise(wanted)):
        assert found == pytest.approx(wanted)


def test_the_dxf_is_the_same_pole(press: Pole) -> None:
    doc = ezdxf.read(io.StringIO(dxf(press, "mm").decode()))  # pyright: ignore[reportPrivateImportUsage]
    assert not doc.audit().has_errors
    assert doc.units == 4  # millimetres
    space = doc.modelspace()
    outline: Any = space.query("LWPOLYLINE").first
    assert {(round(x, 3), round(y, 3)) for x, y, *_ in outline.get_points()} == {
        (0, 0), (40, 0), (40, press.length), (0, press.length),
    }  # fmt: skip
    for column in ("case", "fronts", "fittings"):
        ys = sorted(line.dxf.start.y for line in space.query(f'LINE[layer=="{column}"]'))
        assert ys == pytest.approx([m.height for m in press.marks if m.column == column])
    assert len(space.query("TEXT")) == len(press.marks)


def test_inches(trains: Build) -> None:
    pole = next(p for p in poles(trains.plan) if p.unit == "tool base")
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf(pole, "in"))).pages)
    assert "This line is 4 in long: print at 100 %." in text
    assert " mm" not in text


@pytest.mark.parametrize("name", ['#panic("x")', "*b* $x$ _", "%%d ^J \\P", "nul\x00\x1b"])
def test_names_are_neither_markup_nor_codes(name: str, tmp_path: Path) -> None:
    shelf = Part(kind="sheet", material="ply", length=800, width=300, thickness=18)
    placed = PlacedPart(name, shelf, Placement((0, 0, 500)), "shelf")
    foot = PlacedPart("foot", shelf, Placement(), "bottom")
    plan = Plan("hostile", (BuiltUnit(name, "B1", "base", (foot, placed)).placed(Placement()),))
    built: Any = SimpleNamespace(plan=plan)
    paths = write(built, tmp_path)
    assert [p.parent for p in paths] == [tmp_path / "story-poles"] * 2
    text = "".join(page.extract_text() for page in pypdf.PdfReader(paths[0]).pages)
    plain = re.sub(r"[\x00-\x1f]+", " ", name)
    assert re.sub(r"\s", "", plain) in re.sub(r"\s", "", text)
    doc = ezdxf.readfile(paths[1])  # pyright: ignore[reportPrivateImportUsage]
    words = [t.dxf.text for t in doc.modelspace().query("TEXT")]
    assert len(words) == 4
    assert not any(re.search(r"%%|\^|\\|[\x00-\x1f]", w) for w in words)
    before = [p.read_bytes() for p in paths]
    assert [p.read_bytes() for p in write(built, tmp_path)] == before
    assert b"CreationDate" not in before[0]


def test_both_ends_of_a_short_pole_are_marked() -> None:
    marks = (Mark(0.0, "case", "underside"), Mark(18.0, "case", "upper face"))
    (page,) = drawn(pdf(Pole("board", "X1", 18.0, 0.0, marks), "mm"))
    ys = {round(a[1], 2) for a in page if abs(a[1] - a[3]) < 1e-6 and abs(a[0] - SIDE) < 0.01 and a[1] < 280}
    assert {TOP + 250, TOP + 250 - 18} <= ys
