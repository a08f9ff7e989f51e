"""Panels and nested sheets for a router, read back by a verifier that knows the written files alone."""

import csv
import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from dxf_verifier import (
    Piece,
    Shape,
    apart,
    area,
    by_group_codes,
    cuts,
    documented,
    indexed,
    is_note,
    moved,
    pieces,
    plain,
    read,
    volume,
)
from nest_rows import in_rows
from projects import base, write_project
from pypdf import PdfReader

from exporters import panels
from exporters.cnc.panel import sides
from exporters.cnc.sheet import Named
from exporters.lists import parts_csv
from exporters.sheets import named_parts, too_large, write_sheets
from model.bill import cut_list
from model.build import Build, build
from model.cnc import Cnc, Tabs
from model.cuts import Bevel, Bore, Cut, Cutout, Groove, Notch, PocketBore, Rabbet, Scribe
from model.cutting.laid import CutSheet, Laid, Spare, StockSheet
from model.cutting.pieces import blank_size
from model.meshes import volume as true_volume
from model.part import Part


@dataclass(frozen=True)
class Shop:
    """What lies in the folder of a demo: panels, sheets and the cut list, and the project they are of."""

    build: Build
    folder: Path
    rows: dict[str, dict[str, str]]
    sheets: dict[str, tuple[Shape, ...]]
    panels: dict[str, tuple[Shape, ...]]

    def pieces(self) -> list[tuple[str, Piece]]:
        return [(name, piece) for name, shapes in self.sheets.items() for piece in pieces(shapes, set(self.rows))]


def shop(build: Build, folder: Path, cnc: Cnc) -> Shop:
    project = build.inputs.project
    told = replace(build.inputs, project=replace(project, value=project.value.model_copy(update={"cnc": cnc})))
    changed = replace(build, inputs=told)
    panels.write(changed, folder)
    write_sheets(in_rows(changed, cnc), named_parts(changed.plan), cnc, folder, changed.plan.lengths)
    listed = csv.DictReader(io.StringIO(parts_csv(cut_list(changed.plan, changed.stock))))
    rows = {r["mark"]: r for r in listed if r["material"] in changed.stock.sheets}
    drawn = {what: {p.stem: read(p) for p in sorted((folder / what).glob("*.dxf"))} for what in ("sheets", "panels")}
    return Shop(changed, folder, rows, drawn["sheets"], drawn["panels"])


@pytest.fixture(scope="module")
def demo(herbarium: Build, tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return shop(herbarium, tmp_path_factory.mktemp("herbarium"), Cnc())


# Whole rooms


def test_every_mark_is_cut_as_often_as_the_list_says(demo: Shop) -> None:
    found = Counter(piece.mark for _, piece in demo.pieces())
    assert found == {mark: int(row["quantity"]) for mark, row in demo.rows.items()}


def test_parts_keep_off_one_another_and_off_the_edges(demo: Shop) -> None:
    for name, shapes in demo.sheets.items():
        (sheet,) = (s.box for s in shapes if s.layer == "note sheet")
        assert sheet[:2] == (0, 0)
        boxes = [piece.outline.box for piece in pieces(shapes, set(demo.rows))]
        for i, box in enumerate(boxes):
            assert min(box[0], box[1], sheet[2] - box[2], sheet[3] - box[3]) >= 10 - 1e-3, name
            assert all(apart(box, other) >= 8 - 1e-3 for other in boxes[:i]), name


def test_what_is_cut_on_a_sheet_is_what_is_cut_on_the_panel(demo: Shop) -> None:
    for _, piece in demo.pieces():
        alone = demo.panels.get(piece.mark) or demo.panels[f"{piece.mark}-a"]
        (outline,) = (s for s in alone if s.layer.startswith("outline"))
        assert outline.box[:2] == (0, 0)
        here = moved((piece.outline, *piece.inside), piece.outline.box, turn=False)
        assert here == moved(alone, outline.box, turn=False), piece.mark


def test_grain_lies_along_the_sheet(demo: Shop) -> None:
    for _, piece in demo.pieces():
        arrows = [s.box for s in piece.inside if s.layer == "note grain"]
        assert len(arrows) == (demo.rows[piece.mark]["grain"] == "length")
        assert all(x1 - x0 > y1 - y0 for x0, y0, x1, y1 in arrows)


def test_layers_are_listed_in_the_file_and_in_the_readme(demo: Shop) -> None:
    for what, drawn in (("sheets", demo.sheets), ("panels", demo.panels)):
        readme = documented(demo.folder / what / "README.txt")
        used = {s.layer for shapes in drawn.values() for s in shapes}
        assert used == readme
        assert all({s.layer for s in shapes} == indexed(shapes) for shapes in drawn.values())


def test_what_the_layers_take_away_leaves_the_volume_of_the_part(demo: Shop) -> None:
    measured = [
        (
            volume(part.thickness, demo.panels.get(mark) or demo.panels[f"{mark}-a"], demo.panels.get(f"{mark}-b", ())),
            part,
        )
        for part, mark in demo.build.plan.marks.items()
        if flat(part)
    ]
    assert len(measured) > 40
    assert [left for left, _ in measured] == pytest.approx([true_volume(part) for _, part in measured], rel=1e-3)


def test_so_it_does_in_inches(trains: Build, tmp_path: Path) -> None:
    """Read from the pairs of group codes alone."""
    panels.write(trains, tmp_path)
    drawn = {p.stem: by_group_codes(p) for p in (tmp_path / "panels").glob("*.dxf")}
    found = [(part, mark) for part, mark in trains.plan.marks.items() if flat(part)]
    assert len(found) > 40
    left = [volume(p.thickness, drawn.get(m) or drawn[f"{m}-a"], drawn.get(f"{m}-b", ())) for p, m in found]
    assert left == pytest.approx([true_volume(p) for p, _ in found], rel=1e-3)


def flat(part: Part) -> bool:
    """Whether all work on a sheet part is done from its faces, so that its layers tell all of it."""
    from_edges = any(isinstance(c, Bore) and c.face not in ("A", "B") for c in part.cuts)
    return (
        part.kind == "sheet"
        and not from_edges
        and not any(isinstance(c, Bevel | PocketBore | Scribe) for c in part.cuts)
    )


def test_small_parts_are_held_and_cut_first(demo: Shop) -> None:
    for name, shapes in demo.sheets.items():
        tabs = [s for s in shapes if s.layer.startswith("note tab")]
        found = pieces(shapes, set(demo.rows))
        areas = [round(area(piece.outline), 2) for piece in found]  # in the order of the file
        assert areas == sorted(areas), name
        for piece in found:
            x0, y0, x1, y1 = piece.outline.box
            held = [t.box for t in tabs if apart(t.box, piece.outline.box) <= 1e-3]
            if min(x1 - x0, y1 - y0) >= 150:
                assert not held, piece.mark
            else:
                where = {
                    side for b in held for side in ("below" if b[3] <= y0 else "above" if b[1] >= y1 else "beside",)
                }
                assert {"below", "above"} <= where or len(held) >= 2, piece.mark
        for tab in tabs:
            assert sum(apart(tab.box, piece.outline.box) <= 1e-3 for piece in found) == 1, name
            assert all(apart(tab.box, piece.outline.box) > -1e-3 for piece in found), name


def test_r12_carries_the_same_geometry(demo: Shop, tmp_path: Path) -> None:
    cnc = Cnc(version="R12")
    write_sheets(in_rows(demo.build, cnc), named_parts(demo.build.plan), cnc, tmp_path)
    used: set[str] = set()
    for name, shapes in demo.sheets.items():
        path = tmp_path / "sheets" / f"{name}.dxf"
        same = read(path)
        wanted = Counter(replace(s, layer=plain(s.layer)) for s in shapes if s.layer != "note layers")
        assert wanted == Counter(replace(s, layer=plain(s.layer)) for s in same if s.layer != "NOTE-LAYERS"), name
        # DXF reference, R12 symbol names: capitals, digits, hyphen, underscore, dollar; no more than 31
        assert all(set(s.layer) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") for s in same)
        assert max(len(s.layer) for s in same) <= 31
        text = path.read_text()
        assert "AC1009" in text  # $ACADVER of R12
        assert "LWPOLYLINE" not in text
        used |= {s.layer for s in same}
    assert used == documented(tmp_path / "sheets" / "README.txt")


def test_pictures_are_whole_and_name_every_part(demo: Shop) -> None:
    for name, shapes in demo.sheets.items():
        root = ET.fromstring((demo.folder / "sheets" / f"{name}.svg").read_text(encoding="utf-8"))
        assert (root.get("width"), root.get("height")) == ("297mm", "210mm")  # A4 across, ISO 216
        words = Counter(e.text for e in root.iter("{http://www.w3.org/2000/svg}text"))
        for mark, count in Counter(p.mark for p in pieces(shapes, set(demo.rows))).items():
            assert words[mark] == count
            assert words[f"{count} x {mark}"] == 1
        cut = sum(s.kind == "loop" and not is_note(s) for s in shapes)
        filled = {"#d5eef5", "#cfe8cf", "#ffffff", "#f3e6cf"}
        paths = [e for e in root.iter("{http://www.w3.org/2000/svg}path") if e.get("fill") in filled]
        assert len(paths) == cut
        assert len(list(root.iter("{http://www.w3.org/2000/svg}circle"))) == sum(s.kind == "circle" for s in shapes)


# Single parts


SHEET = StockSheet("birch 18", 1200.0, 900.0, None)


def part_of(*cut: Cut, size: tuple[float, float, float] = (400.0, 200.0, 18.0), **more: Any) -> Part:
    return Part(kind="sheet", material="birch 18", length=size[0], width=size[1], thickness=size[2], cuts=cut, **more)


def laid(out: Path, part: Part, cnc: Cnc | None = None, turned: bool = False, name: str = "side") -> list[Path]:
    along, across = blank_size(part)[::-1] if turned else blank_size(part)
    how = cnc or Cnc()
    places = [Laid("B1-01", 10.0, y, along, across, turned) for y in (10.0, 10.0 + across + how.spacing)]
    sheet = CutSheet("birch 18", 1, SHEET, how.margin, how.spacing, tuple(places), (), (Spare(700, 10, 400, 700),))
    return write_sheets([sheet], {"B1-01": Named(part, "B1-01", name)}, how, out)


BOTH = part_of(
    Notch(u0=0, v0=0, u1=50, v1=30),
    Cutout(u0=200, v0=80, u1=260, v1=120, radius=12),
    Groove(face="A", u0=0, v0=150, u1=300, v1=156, depth=6),
    Rabbet(face="B", u0=0, v0=190, u1=400, v1=200, depth=8),
    Bore(face="A", u=100, v=60, diameter=5, depth=12),
    Bore(face="B", u=300, v=60, diameter=35, depth=12.5),
    Bore(face="A", u=120, v=100, diameter=4.5, countersink=9),
)


def test_a_part_machined_on_both_faces_is_a_second_setup(tmp_path: Path) -> None:
    drawing, *_, readme = laid(tmp_path, BOTH)
    shapes = read(drawing)
    texts = [s.text for s in shapes if s.kind == "text"]
    assert texts.count("face A up; then face B: B1-01-b") == 2
    assert "to note: B1-01: then face B, panels/B1-01-b.dxf: a second setup" in texts
    assert "      B1-01: then face B, panels/B1-01-b.dxf: a second setup\n" in readme.read_text()
    assert {s.layer for s in cuts(shapes)} == {
        "bore 5 depth 12", "bore 4.5 through", "countersink 9 angle 90", "groove tool 6 depth 6",
        "opening tool 6 through", "outline tool 6 through",
    }  # fmt: skip
    assert sides(BOTH) == ("A", "B")


def test_countersinks_alone_on_face_b_may_be_sunk_by_hand(tmp_path: Path) -> None:
    below = Bore(face="B", u=300, v=60, diameter=4.5, countersink=9)
    for part, said in ((part_of(below), True), (part_of(below, Bore(face="B", u=9, v=9, diameter=5, depth=6)), False)):
        readme = laid(tmp_path / str(said), part)[-1].read_text()
        assert ("countersinks alone: sink them by hand" in readme) == said


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_both_faces_together_leave_the_volume_of_the_part(version: Any, tmp_path: Path) -> None:
    files = {}
    for side in ("A", "B"):
        files[side] = tmp_path / f"{side}.dxf"
        files[side].write_bytes(panels.dxf_bytes(panels.panel(BOTH, "B1-01", "side", side, Cnc(version=version))))
    left = volume(18.0, read(files["A"]), read(files["B"]))
    assert left == pytest.approx(true_volume(BOTH), rel=1e-4)
    assert left < volume(18.0, read(files["A"])) - 400 * 10 * 8  # face B counts: its rabbet alone is so much


@pytest.mark.parametrize("turned", [False, True])
def test_a_turned_part_is_turned_not_mirrored(turned: bool, tmp_path: Path) -> None:
    part = replace(BOTH, grain="any")
    shapes = read(laid(tmp_path, part, turned=turned)[0])
    path = tmp_path / "alone.dxf"
    path.write_bytes(panels.dxf_bytes(panels.panel(part, "B1-01")))
    for piece in pieces(shapes, {"B1-01"}):
        assert moved((piece.outline, *piece.inside), piece.outline.box, turned) == moved(
            read(path), (0, 0, 400, 200), False
        )
        assert area(piece.outline) > 0  # anticlockwise still: a mirrored one would run clockwise


def test_wood_left_for_scribing_is_laid_with_its_part(tmp_path: Path) -> None:
    shapes = read(laid(tmp_path, part_of(Scribe(edge="x0", extra=15)))[0])
    for piece in pieces(shapes, {"B1-01"}):
        assert piece.outline.box[0] == 10
        assert piece.outline.box[2] == 10 + 415
        (strip,) = (s.box for s in piece.inside if s.layer == "note trim")
        assert strip == (10, piece.outline.box[1], 25, piece.outline.box[3])


def test_a_piece_that_is_not_as_large_as_its_wood_is_refused(tmp_path: Path) -> None:
    sheet = CutSheet("birch 18", 1, SHEET, 10, 8, (Laid("B1-01", 10, 10, 400, 190, False),), (), ())
    with pytest.raises(ValueError, match="laid as 400 x 190"):
        write_sheets([sheet], {"B1-01": Named(part_of(), "B1-01", "side")}, Cnc(), tmp_path)


def test_relief_is_in_the_files_and_counted_where_it_has_no_room(tmp_path: Path) -> None:
    part = part_of(Notch(u0=0, v0=0, u1=50, v1=30), Cutout(u0=200, v0=80, u1=260, v1=120))
    plain_outline, relieved_outline = (
        next(s for s in read(laid(tmp_path / how, part, Cnc(relief=how))[0]) if s.layer.startswith("outline"))
        for how in ("none", "corner")
    )
    assert not any(b for _, _, b in plain_outline.points)
    assert sum(b != 0 for _, _, b in relieved_outline.points) == 1
    readme = (tmp_path / "corner" / "sheets" / "README.txt").read_text()
    assert "corner over-cuts" in readme
    narrow = part_of(Cutout(u0=200, v0=80, u1=260, v1=86))
    (first, *_) = laid(tmp_path / "narrow", narrow, Cnc(relief="corner"))
    assert not any("inside corners" in s.text for s in read(first))  # into the long sides
    tiny = part_of(Cutout(u0=200, v0=80, u1=204, v1=84))
    (second, *_) = laid(tmp_path / "tiny", tiny, Cnc(relief="corner"))
    assert any("4 inside corners have no room for a relief" in s.text for s in read(second))


def test_tabs_are_no_higher_than_half_the_sheet_and_closer_than_asked(tmp_path: Path) -> None:
    cnc = Cnc(tabs=Tabs(apart=100.0, width=5.0))
    strip = part_of(size=(650.0, 60.0, 4.0))
    shapes = read(laid(tmp_path, strip, cnc)[0])
    tabs = [s.box for s in shapes if s.layer == "note tab 5 height 2"]
    assert len(tabs) == 2 * 2 * 7  # two strips, two long sides, 650 mm in steps of no more than 100
    for x0, y0, x1, y1 in tabs:
        assert (x1 - x0, y1 - y0) == (5, 6)  # as long as the bridge, as wide as the tool
    upright = read(laid(tmp_path / "upright", part_of(size=(60.0, 370.0, 4.0)), cnc)[0])
    boxes = [s.box for s in upright if s.layer == "note tab 5 height 2"]
    assert {(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes} == {(6, 5)}
    for piece in pieces(upright, {"B1-01"}):
        beside = [b for b in boxes if apart(b, piece.outline.box) <= 1e-3]
        assert Counter(b[2] <= piece.outline.box[0] for b in beside) == {True: 4, False: 4}
    none = read(laid(tmp_path / "none", strip, Cnc(tabs=Tabs(shorter_than=0.0)))[0])
    assert not any(s.layer.startswith("note tab") for s in none)


def test_names_are_text_and_never_a_path_or_markup(tmp_path: Path) -> None:
    bad = replace(part_of(), material="../../<b>&%%d\\U+0041^J")
    sheet = CutSheet(
        bad.material, 1, replace(SHEET, offcut="<i>"), 10, 8, (Laid("B1-01", 10, 10, 400, 200, False),), (), ()
    )
    paths = write_sheets([sheet], {"B1-01": Named(bad, "B1-01", '"><script>')}, Cnc(), tmp_path)
    assert [p.relative_to(tmp_path).as_posix() for p in paths] == [
        "sheets/b-d-u-0041-j-01.dxf", "sheets/b-d-u-0041-j-01.svg", "sheets/all-sheets.pdf", "sheets/README.txt",
    ]  # fmt: skip
    root = ET.fromstring(paths[1].read_text(encoding="utf-8"))
    assert not {e.tag.split("}")[1] for e in root.iter()} & {"script", "b", "i"}
    assert not any("%%" in s.text or "\\" in s.text for s in read(paths[0]))


def test_a_picture_tells_what_is_left_and_the_second_setup(tmp_path: Path) -> None:
    root = ET.fromstring(laid(tmp_path, BOTH)[1].read_text(encoding="utf-8"))
    words = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"offcut 400 x 700", "side, then face B", "5. opening tool 6 through: 2", "birch 18, sheet 1 of 1"} <= words


def test_every_sheet_is_a_page_of_the_pdf(demo: Shop) -> None:
    """Read back with pypdf; A4 across is 841.9 x 595.3 points (ISO 216)."""
    pdf = PdfReader(demo.folder / "sheets" / "all-sheets.pdf")
    assert len(pdf.pages) == len(demo.sheets)
    assert all([round(float(x), 1) for x in page.mediabox[2:]] == [841.9, 595.3] for page in pdf.pages)
    words = pdf.pages[-1].extract_text()
    assert all(piece.mark in words for piece in pieces(list(demo.sheets.values())[-1], set(demo.rows)))


def test_same_bytes_from_another_process(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from test_sheets import BOTH, laid;"
        "[sys.stdout.buffer.write(p.read_bytes()) for p in laid(Path(sys.argv[1]), BOTH)]"
    )
    root = Path(__file__).parent
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland", "PYTHONPATH": f"{root.parent}:{root}"}
    other = subprocess.run([sys.executable, "-c", code, str(tmp_path / "b")], check=True, env=env, capture_output=True)
    assert other.stdout == b"".join(p.read_bytes() for p in laid(tmp_path / "a", BOTH))


# From a project


def test_a_part_larger_than_any_sheet_is_named(tmp_path: Path) -> None:
    made = build(write_project(tmp_path, {"press": base(height=800)}))
    laid_out = in_rows(made, Cnc())
    (lost,) = {piece.mark for piece in laid_out[0].pieces[:1]}
    fewer = [replace(laid_out[0], pieces=tuple(p for p in laid_out[0].pieces if p.mark != lost)), *laid_out[1:]]
    assert too_large(made.plan, laid_out) == ()
    assert too_large(made.plan, fewer) == (lost,)
    paths = write_sheets(fewer, named_parts(made.plan), Cnc(), tmp_path, missing=too_large(made.plan, fewer))
    assert f"No sheet in stock is large enough for {lost}." in paths[-1].read_text()
