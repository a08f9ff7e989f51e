"""Panel drawings, read back with ezdxf's own reader and auditor; sizes and areas by closed form."""

import io
import math
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.lldxf.validator import is_valid_layer_name

from exporters.cnc.panel import Side, sides
from exporters.panels import dxf_bytes, figures, panel, plain_text, write
from model.cnc import Cnc
from model.cuts import Bore, Cut, Cutout, Groove, Notch, Rabbet
from model.errors import ProjectError
from model.part import Part, PlacedPart, canonical
from model.placement import Placement
from model.plan import BuiltUnit, Plan

LENGTH, WIDTH, THICKNESS = 720.0, 560.0, 18.0
CUTS: tuple[Cut, ...] = (
    Notch(u0=0, v0=0, u1=100, v1=75),
    Notch(u0=600, v0=540, u1=640, v1=560),
    Cutout(u0=200, v0=200, u1=300, v1=260, radius=10),
    Cutout(u0=400, v0=200, u1=440, v1=260),
    Groove(face="A", u0=0, v0=300, u1=720, v1=306, depth=6),
    Rabbet(face="B", u0=0, v0=550, u1=600, v1=560, depth=7.5),
    *(Bore(face="A", u=50 + 32 * k, v=400, diameter=5, depth=10, purpose="pin") for k in range(14)),
    Bore(face="B", u=82, v=100, diameter=5, depth=10),
    Bore(face="A", u=120, v=450, diameter=4.5),
    Bore(face="x0", u=400, v=9, diameter=8, depth=30, purpose="dowel"),
    Bore(face="y1", u=300, v=6, diameter=8, depth=25, purpose="dowel"),
)


def sheet(*cuts: Cut, **changes: Any) -> Part:
    blank = {"material": "birch 18", "length": LENGTH, "width": WIDTH, "thickness": THICKNESS}
    return Part(kind="sheet", cuts=cuts, **{**blank, **changes})


def reread(part: Part, mark: str = "B1-01", side: Side = "A", **cnc: Any) -> Drawing:
    """Through bytes and back, as another program reads it; the audit must find nothing and mend nothing."""
    made = panel(part, mark, "left side", side, Cnc(**cnc))
    doc = ezdxf.read(io.StringIO(dxf_bytes(made).decode("utf-8")))  # pyright: ignore[reportPrivateImportUsage]
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    return doc


def on(doc: Drawing, layer: str) -> list[Any]:
    return list(doc.modelspace().query(f'*[layer=="{layer}"]'))


def area(polyline: Any) -> float:
    """Signed area of a closed polyline: the shoelace formula, and for each arc the segment beyond its chord.

    An arc of bulge b turns by 4 atan(b) (DXF reference, LWPOLYLINE); a segment is r^2 / 2 (angle - sin angle).
    """
    corners = list(polyline.get_points("xyb"))
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = math.hypot(x1 - x0, y1 - y0) / 2 / math.sin(angle / 2)
            total += radius**2 / 2 * (angle - math.sin(angle))
    return total


def box(entity: Any) -> tuple[float, float, float, float]:
    xs, ys = zip(*((v[0], v[1]) for v in entity.get_points("xy")), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def test_units_and_version() -> None:
    doc = reread(sheet(*CUTS))
    assert doc.dxfversion == "AC1024"  # DXF reference, $ACADVER: AC1024 is R2010
    assert doc.header["$INSUNITS"] == 4  # DXF reference: 4 is millimetres
    assert doc.header["$MEASUREMENT"] == 1  # DXF reference: 1 is metric
    assert tuple(doc.header["$EXTMIN"])[:2] == (0, 0)
    assert doc.header["$EXTMAX"][0] == LENGTH
    assert doc.header["$EXTMAX"][1] > WIDTH  # the list of layers lies above the panel


def test_outline_fills_the_blank_and_shows_the_notches() -> None:
    (outline,) = on(reread(sheet(*CUTS)), "outline tool 6 through")
    assert outline.closed
    assert box(outline) == (0, 0, LENGTH, WIDTH)
    assert len(outline) == 10  # 4 corners, +2 for the corner notch less the corner itself, +4 for the edge notch
    assert area(outline) == pytest.approx(LENGTH * WIDTH - 100 * 75 - 40 * 20)


def test_area_less_openings_is_the_closed_form() -> None:
    doc = reread(sheet(*CUTS))
    contours = on(doc, "outline tool 6 through") + on(doc, "opening tool 6 through")
    rounded_opening = 100 * 60 - (4 - math.pi) * 10**2
    by_hand = LENGTH * WIDTH - 100 * 75 - 40 * 20 - rounded_opening - 40 * 60
    assert len(contours) == 3
    assert sum(area(c) for c in contours) == pytest.approx(by_hand, abs=1e-6)  # openings run clockwise, so count less


@pytest.mark.parametrize(
    ("opening", "corners", "expected"),
    [
        (Cutout(u0=100, v0=100, u1=160, v1=160, radius=30), 4, math.pi * 30**2),  # a disc
        (Cutout(u0=100, v0=100, u1=300, v1=140, radius=20), 6, 160 * 40 + math.pi * 20**2),  # a slot
        (Cutout(u0=100, v0=100, u1=200, v1=160, radius=10), 8, 100 * 60 - (4 - math.pi) * 100),
    ],
)
def test_rounded_openings(opening: Cutout, corners: int, expected: float) -> None:
    (loop,) = on(reread(sheet(opening)), "opening tool 6 through")
    assert len(loop) == corners
    assert -area(loop) == pytest.approx(expected, rel=1e-9)


def test_every_bore_is_one_circle_on_a_layer_that_tells_it() -> None:
    circles = reread(sheet(*CUTS)).modelspace().query("CIRCLE")
    assert Counter(c.dxf.layer for c in circles) == {
        "bore 5 depth 10": 14,
        "bore 4.5 through": 1,
    }
    drawn = sorted((c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in circles)
    assert drawn == sorted((c.u, c.v, c.diameter / 2) for c in CUTS if isinstance(c, Bore) and c.face == "A")
    (below,) = reread(sheet(*CUTS), side="B").modelspace().query("CIRCLE")
    assert below.dxf.layer == "bore 5 depth 10"
    assert (below.dxf.center.x, below.dxf.center.y) == (82, WIDTH - 100)  # turned over about its length


def test_channels_are_rectangles_within_the_blank() -> None:
    part = sheet(*CUTS, Groove(face="A", u0=-5, v0=480, u1=725, v1=486, depth=5.55))
    doc, below = reread(part), reread(part, side="B")
    assert [box(e) for e in on(doc, "groove tool 6 depth 6")] == [(0, 300, 720, 306)]
    assert [box(e) for e in on(doc, "groove tool 6 depth 5.55")] == [(0, 480, 720, 486)]
    assert [box(e) for e in on(below, "rabbet tool 6 depth 7.5")] == [(0, 0, 600, 10)]  # from the upper edge of face A
    loops: list[Any] = [*doc.modelspace().query("LWPOLYLINE"), *below.modelspace().query("LWPOLYLINE")]
    assert all(loop.closed for loop in loops)


def test_a_groove_names_the_widest_tool_that_enters_it() -> None:
    narrow = Groove(face="A", u0=0, v0=100, u1=720, v1=104.5, depth=6)
    rabbet = Rabbet(face="A", u0=0, v0=0, u1=720, v1=4, depth=6)
    doc = reread(sheet(narrow, rabbet), tool=8.0)
    assert on(doc, "groove tool 4.5 depth 6")
    assert on(doc, "rabbet tool 8 depth 6")  # open at its edge
    assert on(doc, "outline tool 8 through")


def test_face_b_is_the_mirror_of_face_a_and_is_not_cut_out_again() -> None:
    """Turned over about its length a panel keeps its left and right; upper and lower edge change places."""
    a, b = reread(sheet(*CUTS)), reread(sheet(*CUTS), side="B")
    (outline,) = on(a, "outline tool 6 through")
    assert not on(b, "outline tool 6 through") + on(b, "opening tool 6 through")
    edges = on(b, "note panel")
    assert len(edges) == 3
    mirrored = {(x, WIDTH - y) for x, y in outline.get_points("xy")}
    assert mirrored in [set(e.get_points("xy")) for e in edges]
    assert sorted(map(area, edges)) == pytest.approx(
        sorted(area(e) for e in [outline, *on(a, "opening tool 6 through")])
    )


def test_a_countersink_is_a_circle_on_its_own_face() -> None:
    sunk = Bore(face="A", u=50, v=50, diameter=4.5, countersink=9)
    below = Bore(face="B", u=90, v=50, diameter=4.5, countersink=10, countersink_degrees=82)
    one, a, b = reread(sheet(sunk)), reread(sheet(sunk, below)), reread(sheet(sunk, below), side="B")
    (circle,) = on(one, "countersink 9 angle 90")
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == (50, 50, 4.5)
    assert {c.dxf.radius for c in on(one, "bore 4.5 through")} == {2.25}
    assert len(on(a, "bore 4.5 through")) == 2
    assert not on(a, "countersink 10 angle 82")
    (other,) = on(b, "countersink 10 angle 82")
    assert (other.dxf.center.x, other.dxf.center.y) == (90, WIDTH - 50)
    assert sides(sheet(sunk)) == ("A",)


@pytest.mark.parametrize(
    ("face", "u", "end", "where"),
    [
        ("x0", 400, "the left end", (0, 396, 30, 404)),
        ("x1", 400, "the right end", (690, 396, 720, 404)),
        ("y0", 200, "the lower edge", (196, 0, 204, 30)),
        ("y1", 200, "the upper edge", (196, 530, 204, 560)),
    ],
)
def test_edge_bores_are_outlines_in_plan(face: Any, u: float, end: str, where: tuple[float, ...]) -> None:
    doc = reread(sheet(Bore(face=face, u=u, v=9, diameter=8, depth=30)))
    assert [box(e) for e in on(doc, "note edge work")] == [where]
    assert not doc.modelspace().query("CIRCLE")
    told = [e.dxf.text for e in on(doc, "note layers") if e.dxf.text.startswith("to note")]
    assert told == [f"to note: not from above: 1 x bore 8 depth 30 into {end}, its middle 9 above face B"]


def test_layers_are_valid_described_and_all_in_use() -> None:
    doc = reread(sheet(*CUTS))
    used = {e.dxf.layer for e in doc.modelspace()}
    layers = {layer.dxf.name for layer in doc.layers} - {"0", "Defpoints"}
    assert used == layers
    assert all(is_valid_layer_name(name) and doc.layers.get(name).description for name in layers)
    assert {n for n in layers if not doc.layers.get(n).dxf.plot} == {n for n in layers if n.startswith("note")}
    listed = {e.dxf.text.split(":")[0] for e in on(doc, "note layers")}
    assert layers < listed | {"to note"}


def test_nothing_twice_no_blocks_no_splines_outline_last() -> None:
    space = reread(sheet(*CUTS)).modelspace()
    assert {e.dxftype() for e in space} == {"LWPOLYLINE", "CIRCLE", "TEXT"}
    drawn = figures(sheet(*CUTS), "B1-01")
    assert len(set(drawn)) == len(drawn) == len(space) - len(on(reread(sheet(*CUTS)), "note layers")) - 1  # the name
    assert list(drawn) == sorted(drawn)
    assert space[-1].dxf.layer == "outline tool 6 through"


def test_notes_are_not_cut_and_say_what_matters() -> None:
    both = reread(sheet(*CUTS), "B7-12")
    texts = {e.dxf.text: e.dxf.layer for e in both.modelspace().query("TEXT")}
    assert texts["B7-12"] == texts["left side"] == texts["720 x 560 x 18  birch 18"] == "note mark"
    assert texts["face A up, first of two: turn over about its length for B7-12-b"] == "note faces"
    below = {e.dxf.text for e in reread(sheet(*CUTS), "B7-12", "B").modelspace().query("TEXT")}
    assert "face B up, turned over about its length after B7-12-a" in below
    (arrow,) = on(both, "note grain")
    x0, y0, x1, y1 = box(arrow)
    assert x1 - x0 > y1 - y0  # along the length
    one = reread(sheet(Bore(face="A", u=50, v=50, diameter=5, depth=10), grain="any"))
    assert not on(one, "note grain")
    assert [e.dxf.text for e in on(one, "note faces")] == ["face A up"]


@pytest.mark.parametrize("text", ["%%d", "100%%%", "a^Jb", "\\U+0041", "\\P", "a\nb\x00", "\u2028"])
def test_no_text_is_a_control_code(text: str) -> None:
    """DXF reference: %% starts a symbol, a caret a control character, a backslash a code."""
    safe = plain_text(text)
    assert "%%" not in safe
    assert not set(safe) & set("^\\\n\x00\u2028")
    doc = reread(sheet(material=f"sheet {text}"))
    assert any(e.dxf.text.endswith(safe) for e in doc.modelspace().query("TEXT"))


def test_turned_part_gives_the_same_file() -> None:
    """A part and the same part turned by half a turn are one panel, cut from one drawing."""
    part, turned = sheet(*CUTS), sheet(*(c.turned("z", (LENGTH, WIDTH, THICKNESS)) for c in CUTS))
    one, two = canonical(part)[0], canonical(turned)[0]
    assert dxf_bytes(panel(one, "B1-01")) == dxf_bytes(panel(two, "B1-01"))


def test_overlapping_notches_and_openings_are_one_contour() -> None:
    part = sheet(
        Notch(u0=0, v0=0, u1=100, v1=50),
        Notch(u0=0, v0=0, u1=50, v1=100),
        Cutout(u0=300, v0=300, u1=400, v1=340),
        Cutout(u0=340, v0=300, u1=400, v1=400),
    )
    doc = reread(part)
    (outline,) = on(doc, "outline tool 6 through")
    (opening,) = on(doc, "opening tool 6 through")
    assert area(outline) == pytest.approx(LENGTH * WIDTH - 100 * 50 - 50 * 50)
    assert -area(opening) == pytest.approx(100 * 40 + 60 * 60)


@pytest.mark.parametrize(
    "cuts",
    [
        (Cutout(u0=300, v0=0, u1=310, v1=560),),  # right across
        (Cutout(u0=0, v0=100, u1=60, v1=160, radius=5),),  # rounded, over an edge
        (Cutout(u0=100, v0=100, u1=160, v1=160, radius=5), Cutout(u0=150, v0=100, u1=190, v1=160)),
    ],
)
def test_what_has_no_single_outline_is_refused(cuts: tuple[Cut, ...]) -> None:
    with pytest.raises(ProjectError, match="birch 18"):
        panel(sheet(*cuts), "B1-01")


def build(*parts: Part, code: str = "B1", cnc: Cnc | None = None) -> Any:
    placed = tuple(PlacedPart(f"part {i}", p, Placement(), "panel") for i, p in enumerate(parts))
    inputs = SimpleNamespace(project=SimpleNamespace(value=SimpleNamespace(cnc=cnc or Cnc())))
    return SimpleNamespace(plan=Plan("invented", (BuiltUnit("base", code, "base", placed),)), inputs=inputs)


def test_one_file_for_each_distinct_sheet_part(tmp_path: Path) -> None:
    board = Part(kind="board", material="pine", length=600, width=45, thickness=20)
    paths = write(build(sheet(*CUTS), board, sheet(*CUTS), sheet()), tmp_path)
    names = [p.relative_to(tmp_path).as_posix() for p in paths]
    assert names == ["panels/B1-01-a.dxf", "panels/B1-01-b.dxf", "panels/B1-03.dxf", "panels/README.txt"]
    assert all(p.stat().st_size > 1000 for p in paths)
    readme = paths[-1].read_text(encoding="utf-8")
    assert "B1-01-b.dxf  part 0, part 2: face B up, turned over about its length after B1-01-a" in readme
    assert "2 x bore 8 " not in readme
    assert "not from above: 1 x bore 8 depth 30 into the left end" in readme


def test_a_mark_never_leaves_the_folder(tmp_path: Path) -> None:
    with pytest.raises(ProjectError, match="cannot name"):
        write(build(sheet(), code="../up"), tmp_path)
    assert not list(tmp_path.glob("**/*.dxf"))


def test_same_bytes_from_another_process_on_another_day(tmp_path: Path) -> None:
    code = (
        "import sys; from tests.test_panels import CUTS, sheet; from exporters.panels import dxf_bytes, panel;"
        "sys.stdout.buffer.write(dxf_bytes(panel(sheet(*CUTS), 'B1-01')))"
    )
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland"}
    root = Path(__file__).parent.parent
    other = subprocess.run([sys.executable, "-c", code], check=True, cwd=root, env=env, capture_output=True)
    assert other.stdout == dxf_bytes(panel(sheet(*CUTS), "B1-01"))
    assert not ezdxf.options.write_fixed_meta_data_for_testing  # pyright: ignore[reportPrivateImportUsage]


def test_a_drawing_loads_no_cad_kernel() -> None:
    code = "import sys, exporters.panels; sys.exit(any(m in sys.modules for m in ('OCP', 'cadquery', 'ezdxf')))"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=Path(__file__).parent.parent).returncode == 0
