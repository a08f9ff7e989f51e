"""Sheets as they are read back by another reader: sizes, cuts, chains, texts, standards, bytes."""

import io
import math
import re
import zlib
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from xml.etree import ElementTree

import drawing_verifier as verifier
import ezdxf
import pytest
from drawing_verifier import Drawing, length
from drawn import DEMOS, Demo, demo_drawings

from exporters.drawings.display import Text as Words
from exporters.drawings.display import simple
from exporters.drawings.dxf import dxf
from exporters.drawings.frame import BLOCK
from exporters.drawings.sets import unit_sheets
from exporters.drawings.svg import pdf, svg
from model.cuts import FLAT, Bevel, Bore, Cut, PocketBore, Scribe
from model.part import Part
from model.tolerances import CONTACT

ROUNDED = {"mm": 0.051, "in": 25.4 / 64 + 0.001}
"""mm. Half of the finest mark that is written."""
MM = {"mm": 1.0, "in": 25.4}


@pytest.fixture(params=DEMOS)
def demo(request: pytest.FixtureRequest) -> Demo:
    return demo_drawings(request.param)


def test_every_part_every_unit_and_every_wall_has_its_sheet(demo: Demo) -> None:
    plan = demo.built.plan
    parts = {f"part-{m}" for p, m in plan.marks.items() if p.kind in ("sheet", "board")}
    assert {n for n in demo.sheets if n.startswith("part-")} == parts
    assert sum(n.startswith("unit-") for n in demo.sheets) == sum(bool(u.parts) for u in plan.units)
    assert "room-plan" in demo.sheets
    assert sum(n.startswith("wall-") for n in demo.sheets) >= len(set(demo.built.stands_at.values()))


# part sheets


def test_the_three_sizes_of_every_part_are_dimensioned_once(demo: Demo) -> None:
    for name, (part, drawing) in demo.parts.items():
        unit = drawing.unit
        lying = [d for d in drawing.dimensions() if not d.upright]
        standing = [d for d in drawing.dimensions() if d.upright]
        assert max(d.length for d in lying) * MM[unit] == pytest.approx(part.length, abs=1e-3), name
        assert max(d.length for d in standing) * MM[unit] == pytest.approx(part.width, abs=1e-3), name
        datum = max(lying, key=lambda d: d.length).foot[0]
        (thickness,) = [d for d in lying if abs(d.foot[0] - datum) > 1e-6]
        assert thickness.length * MM[unit] == pytest.approx(part.thickness, abs=1e-3), name


def test_no_length_is_dimensioned_twice(demo: Demo) -> None:
    for name, (_, drawing) in demo.parts.items():
        told = Counter(
            (d.upright, round(d.foot[0], 3), round(d.foot[1], 3), round(d.b, 3)) for d in drawing.dimensions()
        )
        assert max(told.values()) == 1, name


def test_every_dimension_says_what_it_measures(demo: Demo) -> None:
    for name, drawing in demo.drawings.items():
        step = 0.1 if drawing.unit == "mm" else 25.4 / 32
        for d in drawing.dimensions():
            # a chain may give way by one mark so that it adds up
            assert length(d.says, drawing.unit) == pytest.approx(d.length * MM[drawing.unit], abs=step), (name, d)


Place = tuple[float, float]


def _places(drawing: Drawing) -> tuple[Place, list[float], list[float]]:
    """The datum corner of face A in the drawing, and how far from it dimensions lead along x and y, mm."""
    dims, mm = drawing.dimensions(), MM[drawing.unit]
    lying = [d for d in dims if not d.upright]
    standing = [d for d in dims if d.upright]
    x0, y0 = max(lying, key=lambda d: d.length).a, max(standing, key=lambda d: d.length).a
    xs = [0.0, *((d.b - x0) * mm for d in lying if abs(d.a - x0) < 1e-6)]
    ys = [0.0, *((d.b - y0) * mm for d in standing if abs(d.a - y0) < 1e-6)]
    return (x0, y0), xs, ys


def _near(value: float, values: list[float]) -> bool:
    return any(abs(value - v) < 2e-3 for v in values)


def _corners(cut: Cut, part: Part) -> tuple[list[float], list[float]]:
    """Where a cut that is dimensioned must be known, along x and y."""
    if isinstance(cut, Bore | PocketBore):
        return [cut.u], [cut.v]
    assert not isinstance(cut, Bevel | Scribe)
    return (
        [min(max(v, 0.0), part.length) for v in (cut.u0, cut.u1)],
        [min(max(v, 0.0), part.width) for v in (cut.v0, cut.v1)],
    )


HEADING = "Cuts: X, Y from the lower left corner, Z from face B"


def test_every_cut_can_be_told_from_its_sheet(demo: Demo) -> None:
    """Place and depth of each cut, from dimensions where the table says drawn, else from the table; and no other."""
    for name, (part, drawing) in demo.parts.items():
        rows = drawing.table(HEADING)
        assert bool(rows) == bool(part.cuts), name
        assert sum(int(r["no."]) for r in rows) == len(part.cuts), name
        unit, left = drawing.unit, list(part.cuts)
        _, xs, ys = _places(drawing)
        for head in _filled(rows):
            for place in _told(head, unit):
                found = [c for c in left if _same(c, part, head, place, unit, xs, ys)]
                assert found, (name, head, place)
                left.remove(found[0])
        assert not left, name


def _filled(rows: list[dict[str, str]]) -> Iterator[dict[str, str]]:
    """The rows with what stands above put for ditto marks."""
    head: dict[str, str] = {}
    for row in rows:
        head = {k: head[k] if v == '"' else v for k, v in row.items()}
        yield head


def _told(row: dict[str, str], unit: verifier.Unit) -> list[tuple[float, float] | None]:
    """The places a row of the table tells, in the coordinates of the face; None for each one that is dimensioned."""
    count, face = int(row["no."]), row["on"].split()[0]
    pair = {"A": "XY", "B": "XY", "x": "YZ", "y": "XZ"}[face[0]]
    said = [row.get(k, "") for k in pair]
    if not all(said) or "drawn" in said:
        return [None] * count
    us, vs = (verifier.span(s, count, unit) for s in said)
    return list(zip(us, vs, strict=True))


def _same(
    cut: Cut,
    part: Part,
    row: dict[str, str],
    place: Place | None,
    unit: verifier.Unit,
    xs: list[float],
    ys: list[float],
) -> bool:
    """Whether a cut is what a row tells, at a place or where dimensions lead."""
    near = ROUNDED[unit]
    what, depth = row["cut"], row["depth"]
    kind = {"notch": "Notch", "cutout": "Cutout", "rabbet": "Rabbet", "groove": "Groove", "bevel": "Bevel"}
    if isinstance(cut, Bore):
        if what != f"{cut.purpose} bore" or row["on"] != cut.face:
            return False
        if abs(verifier.first_number(row["size"], unit) - cut.diameter) > near:
            return False
    elif kind.get(what, what) not in (type(cut).__name__, "pocket bore", "leave to scribe"):
        return False
    if isinstance(cut, Bevel | Scribe):
        return row["on"] == cut.edge
    behind = part.size["xyz".index(cut.face[0])] if isinstance(cut, Bore) and cut.face not in FLAT else part.thickness
    deep = cut.depth_in(part.size)
    if isinstance(cut, PocketBore):
        deep = cut.shoulder
    if (depth == "through") != (deep >= behind - CONTACT):
        return False
    if depth != "through" and abs(length(depth.split(" off ")[0], unit) - deep) > near:
        return False
    if place is not None:
        assert isinstance(cut, Bore | PocketBore)
        # a row of holes is told by its ends, each rounded
        return abs(cut.u - place[0]) <= near and abs(cut.v - place[1]) <= near
    us, vs = _corners(cut, part)
    return all(_near(u, xs) for u in us) and all(_near(v, ys) for v in vs)


def test_every_hole_is_drawn_where_it_is(demo: Demo) -> None:
    """Circles on face A in true size at their true place."""
    for name, (part, drawing) in demo.parts.items():
        mm = MM[drawing.unit]
        (x0, y0), _, _ = _places(drawing)
        rings = {
            kind: [
                ((e.number(10) - x0) * mm, (e.number(20) - y0) * mm, e.number(40) * mm)
                for e in drawing.of(kind)
                if e.layer in ("VISIBLE", "HIDDEN")
            ]
            for kind in ("CIRCLE", "ARC")
        }
        for cut in part.cuts:
            if isinstance(cut, Bore) and cut.face in FLAT and cut.diameter < min(part.width, part.length) / 4:
                r = cut.diameter / 2
                # of a hole on the outline only what is in the wood
                whole = r <= cut.u <= part.length - r and r <= cut.v <= part.width - r
                there = rings["CIRCLE" if whole else "ARC"]
                assert any(max(abs(x - cut.u), abs(y - cut.v), abs(d - r)) < 0.02 for x, y, d in there), (name, cut)


# chains


def test_every_chain_adds_up_as_written_and_as_measured(demo: Demo) -> None:
    """On every sheet: what stands on one line adds up to the whole, and that whole is dimensioned or a part's own."""
    count = 0
    for name, drawing in demo.drawings.items():
        if name.startswith("part-"):
            continue
        unit, mm = drawing.unit, MM[drawing.unit]
        for chain in verifier.chains(drawing.dimensions()):
            whole = (chain[-1].b - chain[0].a) * mm
            assert sum(d.length for d in chain) * mm == pytest.approx(whole, abs=1e-3), name
            said = sum(length(d.says, unit) for d in chain)
            assert abs(said - whole) <= ROUNDED[unit] + 1e-3, (name, [d.says for d in chain])
            count += len(chain) > 1
    assert count >= 10


def test_units_are_dimensioned_over_all_once_each_way(demo: Demo) -> None:
    frames = {w.name: w.frame.inverse() for w in demo.built.walls}
    units = [n for n in demo.drawings if n.startswith("unit-")]
    for name, unit in zip(units, [u for u in demo.built.plan.units if u.parts], strict=True):
        drawing = demo.drawings[name]
        mm = MM[drawing.unit]
        frame = frames[demo.built.stands_at[unit.name]]
        made = [p.moved(frame).bounds() for p in unit.parts if p.part.kind != "hardware"]
        size = [max(b.hi[i] for b in made) - min(b.lo[i] for b in made) for i in range(3)]
        single = [c[0] for c in verifier.chains(drawing.dimensions()) if len(c) == 1]
        lying = [d.length * mm for d in single if not d.upright]
        standing = [d.length * mm for d in single if d.upright]
        assert sum(abs(v - size[0]) < 0.02 for v in lying) == 1, name
        assert any(abs(v - size[2]) < 0.02 for v in standing), name
        assert any(abs(v - size[1]) < 0.02 for v in standing), name


def test_walls_are_dimensioned_along_their_whole_width(demo: Demo) -> None:
    for wall in demo.built.walls:
        for name, drawing in demo.drawings.items():
            if name != f"wall-{wall.name.replace(' ', '-')}":
                continue
            lying = [c for c in verifier.chains(drawing.dimensions()) if not c[0].upright]
            wholes = [(c[-1].b - c[0].a) * MM[drawing.unit] for c in lying]
            assert wholes
            assert all(abs(w - wall.wall.width) < 1e-3 for w in wholes), name
            assert sum(len(c) == 1 for c in lying) == 1


# layout


def test_no_text_lies_on_another_and_none_leaves_the_paper(demo: Demo) -> None:
    back = {"left": 0.0, "centre": 0.5, "right": 1.0}
    for name, sheet in demo.sheets.items():
        words = [i for i in simple(sheet.items) if isinstance(i, Words)]
        boxes = [verifier.letters(w.text, w.at, w.height, back[w.anchor], w.upright) for w in words]
        assert verifier.overlaps(boxes) == [], name
        for said, (x0, y0, x1, y1) in boxes:
            assert 0 <= x0 < x1 <= sheet.paper[0], (name, said)
            assert 0 <= y0 < y1 <= sheet.paper[1], (name, said)


def test_texts_of_files_are_as_large_as_those_of_the_sheet(demo: Demo) -> None:
    for name, drawing in demo.drawings.items():
        sheet = demo.sheets[name]
        assert verifier.overlaps(verifier.boxes(drawing)) == [], name
        factor = sheet.scale / MM[sheet.lengths]
        heights = Counter(round(t.number(40) / factor, 2) for t in drawing.texts())
        assert heights == Counter(round(i.height, 2) for i in simple(sheet.items) if isinstance(i, Words))


def test_no_dimension_line_crosses_an_outline(demo: Demo) -> None:
    for name, drawing in demo.drawings.items():
        assert verifier.crossings(drawing) == [], name


def test_nothing_is_drawn_over_the_title_block(demo: Demo) -> None:
    for name, sheet in demo.sheets.items():
        x0, y1 = sheet.paper[0] - 15 - BLOCK[0], BLOCK[1] + 5
        for item in simple(sheet.items):
            if isinstance(item, Words) and item.layer in ("DIMENSIONS", "MARKS", "NOTES"):
                x, y, *_ = item.rect()
                assert not (x > x0 and y < y1), (name, item.text)


# files


def test_files_pass_the_audit_and_hold_what_standards_ask(demo: Demo) -> None:
    for name in list(demo.files)[::7]:
        document = ezdxf.read(io.StringIO(demo.files[name].decode()))  # pyright: ignore[reportPrivateImportUsage]
        audit = document.audit()
        assert not audit.errors, name
        assert not audit.fixes, name
        sheet = demo.sheets[name]
        # groups of lines twice as wide as the narrow ones, all of ISO 128-2's series
        widths = {layer.dxf.name: layer.dxf.lineweight for layer in document.layers}
        assert widths["VISIBLE"] == 35
        assert widths["HIDDEN"] == widths["DIMENSIONS"] == 18
        assert {widths[k] for k in widths if k not in ("0", "Defpoints")} <= {13, 18, 25, 35, 50, 70}
        assert document.layers.get("HIDDEN").dxf.linetype == "HIDDEN2"
        style = document.dimstyles.get("SHEET")
        assert style.dxf.dimtxt * style.dxf.dimscale == pytest.approx(2.5 * sheet.scale / MM[sheet.lengths])
        # 0.1 mm, or 1/32 in as a fraction (DXF reference: DIMLUNIT 2 and 5)
        assert style.dxf.dimlunit == (2 if sheet.lengths == "mm" else 5)
        layout = document.layout("Layout1")
        assert (layout.dxf.paper_width, layout.dxf.paper_height) == pytest.approx(sheet.paper)
        view = next(v for v in layout.query("VIEWPORT") if v.dxf.id != 1)
        assert view.dxf.height / view.dxf.view_height == pytest.approx(MM[sheet.lengths] / sheet.scale)


ISO_A = {(210, 297), (420, 297), (594, 420), (841, 594)}
ANSI = {(215.9, 279.4), (431.8, 279.4), (558.8, 431.8), (863.6, 558.8)}
"""ISO 216 and ASME Y14.1 (from memory), mm."""
SCALES = {"mm": {1, 2, 5, 10, 20, 50, 100}, "in": {1, 2, 4, 8, 12, 16, 24, 48, 96}}
"""ISO 5455; full size to 1/8 in to the foot (common practice)."""


def test_sheets_and_scales_are_standard_ones(demo: Demo) -> None:
    for name, sheet in demo.sheets.items():
        assert sheet.paper in (ISO_A if sheet.lengths == "mm" else ANSI), name
        assert sheet.scale in SCALES[sheet.lengths], name


def test_the_same_sheet_gives_the_same_bytes(demo: Demo) -> None:
    again = next(unit_sheets(demo.built))
    name = again.name
    assert again == demo.sheets[name]
    assert dxf(again) == demo.files[name]
    picture = svg(again)
    assert picture == svg(demo.sheets[name])
    assert pdf([(again, picture)], again.title) == pdf([(again, picture)], again.title)


def test_the_letters_of_a_pdf_are_in_it(demo: Demo) -> None:
    sheet = demo.sheets["room-plan"]
    content = pdf([(sheet, svg(sheet))], sheet.title)
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", content, re.DOTALL)
    inside = content + b"".join(_unpacked(s) for s in streams)
    assert b"/FontFile" in inside  # an embedded font program (ISO 32000-1, 9.9)
    assert len(content) < 200_000
    # one page of the paper's size, in points of 1/72 in
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)", inside)
    assert box
    assert [float(v) for v in box.groups()] == pytest.approx([v * 72 / 25.4 for v in sheet.paper], abs=0.1)


def _unpacked(stream: bytes) -> bytes:
    try:
        return zlib.decompress(stream)
    except zlib.error:
        return b""


def test_pictures_are_well_formed_and_of_the_paper_s_size(demo: Demo) -> None:
    for sheet in list(demo.sheets.values())[::9]:
        root = ElementTree.fromstring(svg(sheet))
        assert [root.get(k) for k in ("width", "height")] == [f"{v:g}mm" for v in sheet.paper]
        said = [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
        written = [i.text for i in simple(sheet.items) if isinstance(i, Words)]
        assert Counter(said) == Counter(written)


def test_marks_of_every_part_stand_in_the_table_of_their_unit(demo: Demo) -> None:
    units = [n for n in demo.drawings if n.startswith("unit-")]
    for name, unit in zip(units, [u for u in demo.built.plan.units if u.parts], strict=True):
        rows = demo.drawings[name].table("Parts")
        told = {r["mark"]: int(r["no."]) for r in rows}
        assert told == Counter(demo.built.plan.marks[p.part] for p in unit.parts), name


def test_evenly_told_rows_are_even(demo: Demo) -> None:
    """What the table gives as a row by its ends is, in the part, so many like holes at one distance from each other."""
    count = 0
    for name, (part, drawing) in demo.parts.items():
        for row in _filled(drawing.table(HEADING)):
            places = _told(row, drawing.unit)
            if None in places or int(row["no."]) < 2:
                continue
            line = [
                next(
                    (c.u, c.v)
                    for c in part.cuts
                    if isinstance(c, Bore | PocketBore) and _same(c, part, row, place, drawing.unit, [], [])
                )
                for place in places
            ]
            assert len(set(line)) == len(places) >= 3, (name, row)
            steps = [math.dist(p, q) for p, q in pairwise(line)]
            assert max(steps) - min(steps) <= 2 * CONTACT, (name, row)
            count += 1
    assert count > 10
