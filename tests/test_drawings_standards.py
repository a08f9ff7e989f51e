"""Sheets against what the standards of technical drawing publish: sheets, lines, letters, title block, projection."""

import io
import math
from collections import Counter

import ezdxf
import pytest
from drawn import DEMOS, Demo, demo_drawings

from exporters.drawings.display import Dimension, Layer, Path, Round, Sheet, Text, simple
from exporters.drawings.dxf import dxf
from exporters.drawings.frame import BLOCK, Titles, frame
from exporters.drawings.standards import ANSI_SHEETS, DASHES, ISO_SHEETS, PENS, Paper, projection, shown_scale

WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
"""mm. The series of line widths, each 1.4 times the last (ISO 128-2:2020, 4.2; from memory)."""
HEIGHTS = {1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0}
"""mm. The series of lettering heights (ISO 3098-1:2015, 5; from memory)."""
ISO_SIZES = {"A4": (210, 297), "A3": (420, 297), "A2": (594, 420), "A1": (841, 594)}
"""mm. ISO 216, lying but for A4 (ISO 5457:1999, 3.1)."""
FIELDS = {"A4": (4, 6), "A3": (8, 6), "A2": (12, 8), "A1": (16, 12)}
"""Fields along the width and the height of a sheet (BS EN ISO 5457:1999+A1:2010, table 2, as cadsetterout.com tells it:
long side 16, 12, 8 and 6, short side 12, 8, 6 and 4 for A1 to A4)."""
ANSI_INCHES = {"ANSI A": (8.5, 11), "ANSI B": (17, 11), "ANSI C": (22, 17), "ANSI D": (34, 22)}
"""in. ASME Y14.1 (from memory)."""
LONGEST = {
    "Identification number": 16, "Date of issue": 10, "Title": 25, "Supplementary title": 25, "Approved by": 20,
    "Created by": 20, "Document type": 30,
}  # fmt: skip
"""Letters in a field of a title block (ISO 7200:2004, tables 1 to 3, as ProfiCAD's manual lists them)."""
MANDATORY = {
    "Legal owner, project", "Identification number", "Date of issue", "Sheet", "Title", "Approved by", "Created by",
    "Document type",
}  # fmt: skip
NARROW: tuple[Layer, ...] = ("HIDDEN", "CENTRE", "DIMENSIONS", "MARKS", "NOTES")


@pytest.fixture(params=["herbarium", "trains"])
def demo(request: pytest.FixtureRequest) -> Demo:
    return demo_drawings(request.param)


def texts(sheet: Sheet) -> list[Text]:
    return [i for i in simple(sheet.items) if isinstance(i, Text)]


# ISO 5457 and ASME Y14.1: sheets


def test_sheets_are_of_iso_216_with_the_margins_of_iso_5457() -> None:
    """20 mm to the left, to file it, and 10 mm else (ISO 5457:1999, 4.2)."""
    assert {p.name: (p.width, p.height) for p in ISO_SHEETS} == ISO_SIZES
    assert {(p.left, p.margin) for p in ISO_SHEETS} == {(20.0, 10.0)}


def test_us_sheets_are_of_asme_y14_1() -> None:
    for paper in ANSI_SHEETS:
        assert (paper.width / 25.4, paper.height / 25.4) == pytest.approx(ANSI_INCHES[paper.name], abs=1e-9), paper


@pytest.mark.parametrize("paper", ISO_SHEETS, ids=lambda p: p.name)
def test_the_frame_has_the_marks_and_fields_of_iso_5457(paper: Paper) -> None:
    """Wide lines of 0.7 mm; centring marks on both axes; fields of 50 mm from the middle, named without I and O."""
    drawn = frame(paper, 10.0, Titles("o", "t", "s", "k", "n", 1, 1, "mm"))
    assert PENS["FRAME"].width == 0.7
    marks = [i.points for i in drawn if isinstance(i, Path) and i.layer == "FRAME" and len(i.points) == 2]
    middle = (paper.width / 2, paper.height / 2)
    assert len(marks) == 4
    assert all(a[k] == b[k] == middle[k] for a, b in marks for k in (0, 1) if a[k] == b[k])
    names = [i for i in drawn if isinstance(i, Text) and i.layer == "GRID"]
    assert {i.height for i in names} == {3.5}
    assert PENS["GRID"].width == 0.35
    said = Counter(i.text for i in names)
    assert set(said.values()) == {2}  # on both sides
    assert not {"I", "O"} & set(said)
    figures, letters = [t for t in said if t.isdigit()], [t for t in said if not t.isdigit()]
    assert (len(figures), len(letters)) == FIELDS[paper.name]
    # figures from the left, letters from the top
    left = [i for i in names if i.at[0] < paper.left]
    assert [i.text for i in sorted(left, key=lambda i: -i.at[1])] == sorted(letters)
    lines = [i.points for i in drawn if isinstance(i, Path) and i.layer == "GRID"]
    for k in (0, 1):
        across = [ends for ends in lines if ends[0][k] == ends[1][k]]
        assert across
        assert all(math.dist(*ends) == pytest.approx(5.0) for ends in across)
        assert all(abs(ends[0][k] - middle[k]) % 50 == pytest.approx(0.0, abs=1e-6) for ends in across)


# ISO 128-2, ISO 3098-1, ISO 129-1: lines, letters, dimensions


def test_lines_are_of_iso_128_2_and_wide_ones_twice_as_wide_as_narrow() -> None:
    assert {p.width for p in PENS.values()} <= set(WIDTHS)
    assert {PENS[k].width for k in NARROW} == {0.18}
    # each step of the series is 1.4: two of them make 2 to 1
    assert PENS["VISIBLE"].width == WIDTHS[WIDTHS.index(0.18) + 2]
    assert PENS["CUT"].width > PENS["VISIBLE"].width
    # line 02 has strokes of 12 and gaps of 3 widths; line 10 strokes of 24, gaps of 3, dots of a half at most
    assert [v / 0.18 for v in DASHES["dashed"]] == pytest.approx([12, 3])
    assert [v / 0.18 for v in DASHES["chain"]] == pytest.approx([24, 3, 0.5, 3])
    assert PENS["HIDDEN"].line == "dashed"
    assert PENS["CENTRE"].line == "chain"


def test_letters_are_of_the_heights_of_iso_3098(demo: Demo) -> None:
    for name, sheet in demo.sheets.items():
        for text in texts(sheet):
            assert text.height in HEIGHTS, (name, text)
            assert text.height >= 2.5 or text.layer in ("TABLES", "TEXT", "NOTES"), (name, text)


def test_dimensions_are_drawn_as_iso_129_1_has_them(demo: Demo) -> None:
    """Oblique strokes at 45 degrees at both ends; a text over its line, read from below or from the right."""
    count = 0
    for name, sheet in demo.sheets.items():
        for d in (i for i in sheet.items if isinstance(i, Dimension)):
            ticks = [
                p.points for p in d.items
                if isinstance(p, Path) and len(p.points) == 2 and math.dist(*p.points) < 4.0
                and abs(abs(p.points[0][0] - p.points[1][0]) - abs(p.points[0][1] - p.points[1][1])) < 1e-6
            ]  # fmt: skip
            starts = [p for p in d.items if isinstance(p, Round)]  # where running dimensions begin
            assert ticks or starts, (name, d.text)
            words = d.items[-1]
            assert isinstance(words, Text)
            assert words.text == d.text
            if d.chain != "running" and words.upright == d.upright:
                # on the side from which it is not read: above a line, left of an upright one
                off = (d.base[0] - words.at[0]) if d.upright else (words.at[1] - d.base[1])
                leads = [p for p in d.items if isinstance(p, Path)][-1]
                assert off > 0 or math.dist(leads.points[-1], words.at) < 3.0, (name, d.text)
            count += 1
    assert count > 200


# ISO 7200: title block


def test_the_title_block_is_of_iso_7200(demo: Demo) -> None:
    """180 mm wide, in the lower right corner, with the mandatory fields, none longer than it may be."""
    assert BLOCK[0] == 180.0
    for name, sheet in demo.sheets.items():
        edge = sheet.paper[0] - (10.0 if sheet.lengths == "mm" else 9.7 if sheet.paper[0] < 500 else 12.7)
        labels = {t.text: t for t in texts(sheet) if t.layer == "TABLES" and t.height == 1.8}
        assert set(labels) >= MANDATORY | {"Scale"}, name
        if name.startswith("part-"):
            assert name.removeprefix("part-") in {t.text for t in texts(sheet)}
        for label in MANDATORY:
            assert edge - 180 <= labels[label].at[0] < edge, (name, label)
        for label, most in LONGEST.items():
            at = labels[label].at
            said = [t.text for t in texts(sheet) if t.layer == "TEXT" and t.at == (at[0], pytest.approx(at[1] - 5.4))]
            assert all(len(s) <= most for s in said), (name, label, said)


# ISO 5456-2: projection


def _middle(items: list[Text], word: str) -> tuple[float, float]:
    (at,) = [t.at for t in items if t.text == word and t.layer == "NOTES"]
    return at


def test_edges_lie_where_first_and_third_angle_projection_have_them(demo: Demo) -> None:
    """First angle: what is seen from the right lies at the left and from below above; third angle: the other way."""
    first = projection(demo.built.plan.lengths) == "first"
    assert first == (demo.built.plan.lengths == "mm")
    for name in (n for n in demo.sheets if n.startswith("part-")):
        sheet = demo.sheets[name]
        words = texts(sheet)
        whole = [d for d in sheet.items if isinstance(d, Dimension) and d.chain == "overall"]
        lying = next(d for d in whole if not d.upright)
        x1, y0 = _middle(words, "x1"), _middle(words, "y0")
        assert (x1[0] < lying.a[0]) == first, name
        assert (x1[0] > lying.b[0]) != first, name
        assert (y0[1] > lying.a[1]) == first, name


def test_the_symbol_is_that_of_the_projection() -> None:
    """The end of the cone with both circles in sight lies, in first angle, at the far side of the cone's small end."""
    for unit, first in (("mm", True), ("in", False)):
        drawn = frame(ISO_SHEETS[0], 10.0, Titles("o", "t", "s", "k", "n", 1, 1, unit))  # type: ignore[arg-type]
        (cone,) = [i.points for i in drawn if isinstance(i, Path) and i.layer == "NOTES"]
        rings = [i for i in drawn if isinstance(i, Round)]
        assert len(rings) == 2
        xs = sorted({p[0] for p in cone})
        heights = [max(p[1] for p in cone if p[0] == x) - min(p[1] for p in cone if p[0] == x) for x in xs]
        assert sorted(heights) == pytest.approx(sorted(2 * r.radius for r in rings))
        small = xs[heights.index(min(heights))]
        away = rings[0].middle[0] - sum(xs) / 2
        assert (away * (small - sum(xs) / 2) < 0) == first


# ISO 5455: scales


def test_scales_are_written_as_iso_5455_and_carpenters_write_them() -> None:
    assert [shown_scale(s, "mm") for s in (1, 2, 5, 10, 20, 50)] == ["1:1", "1:2", "1:5", "1:10", "1:20", "1:50"]
    for scale in (8.0, 12.0, 16.0, 24.0, 48.0, 96.0):
        inches, feet = shown_scale(scale, "in").removesuffix("'").split('" = ')
        told = sum(float(a) / float(b or 1) for a, _, b in (w.partition("/") for w in inches.split()))
        assert float(feet) * 12 / told == pytest.approx(scale)


# files


def test_layers_of_files_have_these_widths_and_each_dimension_its_own_block(demo: Demo) -> None:
    for name in list(demo.files)[::9]:
        document = ezdxf.read(io.StringIO(demo.files[name].decode()))  # pyright: ignore[reportPrivateImportUsage]
        for layer, pen in PENS.items():
            assert document.layers.get(layer).dxf.lineweight == round(pen.width * 100)
        dimensions = document.modelspace().query("DIMENSION")
        blocks = [d.dxf.geometry for d in dimensions]
        assert len(set(blocks)) == len(blocks) > 1, name
        for d in dimensions:
            held = Counter(e.dxftype() for e in document.blocks.get(d.dxf.geometry))
            assert held["TEXT"] == 1, name
            assert held["LINE"] >= 2, name
        # and nothing of them lies about outside
        loose = [e for e in document.modelspace() if e.dxf.layer == "DIMENSIONS" and e.dxftype() == "TEXT"]
        assert not loose, (name, loose)


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_every_file_passes_the_audit(name: str) -> None:
    for sheet in demo_drawings(name).sheets.values():
        audit = ezdxf.read(io.StringIO(dxf(sheet).decode())).audit()  # pyright: ignore[reportPrivateImportUsage]
        assert not audit.errors, sheet.name
        assert not audit.fixes, sheet.name
