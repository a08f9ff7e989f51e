"""Drawings taken off their sheets for the booklet; and whole booklets with all of their drawings and pictures."""

import io
from pathlib import Path

import pypdf
import pytest
from conftest import CONFIGS
from test_booklet import A4, LETTER, faults_of

from exporters import booklet
from exporters.booklet import others
from exporters.booklet.cutouts import EMPTY, PAD, cutout
from exporters.drawings.display import Dimension, Sheet, Text, rect_of, simple
from exporters.drawings.display import Path as Line
from exporters.drawings.sets import part_sheets, unit_sheets
from model.build import Build, build

MOST_BYTES = 10_000_000


def texts(sheet: Sheet, *layers: str) -> list[str]:
    return sorted(i.text for i in simple(sheet.items) if isinstance(i, Text) and i.layer in layers)


@pytest.fixture(scope="module")
def sheet(trains: Build) -> Sheet:
    """The sheet of a part with rows of holes in its table."""
    return max((s for _, s in zip(range(4), part_sheets(trains), strict=False)), key=lambda s: len(s.items))


def test_a_cutout_keeps_every_figure_and_letter_of_the_drawing(sheet: Sheet) -> None:
    cut = cutout(sheet)
    assert texts(cut.sheet, "DIMENSIONS", "MARKS", "NOTES") == texts(sheet, "DIMENSIONS", "MARKS", "NOTES")
    assert len(texts(cut.sheet, "DIMENSIONS")) >= sum(isinstance(i, Dimension) for i in sheet.items) > 3
    lines = [i for i in cut.sheet.items if isinstance(i, Line) and i.layer == "VISIBLE"]
    assert len(lines) == sum(isinstance(i, Line) and i.layer == "VISIBLE" for i in simple(sheet.items))
    assert cut.sheet.scale == sheet.scale


def test_a_cutout_is_just_large_enough_and_has_no_frame(sheet: Sheet) -> None:
    cut = cutout(sheet)
    assert rect_of(cut.sheet.items) == pytest.approx((PAD, PAD, cut.sheet.paper[0] - PAD, cut.sheet.paper[1] - PAD))
    assert cut.sheet.paper[0] <= sheet.paper[0] - 30
    assert not [i for i in simple(cut.sheet.items) if i.layer in ("FRAME", "TABLES")]


def test_notes_and_tables_of_a_sheet_become_text(sheet: Sheet, trains: Build) -> None:
    cut = cutout(sheet)
    mark = sheet.name.removeprefix("part-")
    part = next(p.part for p in trains.plan.walk() if trains.plan.marks[p.part] == mark)
    assert part.material in cut.notes[0]
    (table,) = cut.tables
    assert table.heading.startswith("Cuts")
    assert {"cut", "X", "Y"} <= set(table.rows[0])
    assert all(len(row) == len(table.rows[0]) and row[0] for row in table.rows)
    written = texts(sheet, "TABLES", "TEXT")
    assert all(cell in written for row in table.rows for cell in row if cell)
    assert {"Title", "Scale"} & {cell for row in table.rows for cell in row} == set()


def test_long_notes_are_put_together_again(trains: Build) -> None:
    longest = max((n for _, s in zip(range(20), part_sheets(trains), strict=False) for n in cutout(s).notes), key=len)
    assert len(longest) > 80
    assert longest.endswith(("etc", "."))


def test_drawings_of_units_leave_out_the_parts_that_are_listed_elsewhere(trains: Build) -> None:
    page = next(others.unit_pages(trains))
    first = next(unit_sheets(trains))
    assert any(t.heading.startswith("Parts") for t in cutout(first).tables)
    assert not any(t.heading.startswith("Parts") for t in page.tables)
    assert page.paper[0] < first.paper[0]
    assert b"<svg" in page.svg


def test_a_sheet_without_a_frame_stays_whole() -> None:
    line = Line("VISIBLE", ((0.0, 0.0), (30.0, 0.0)))
    far = Line("VISIBLE", ((0.0, 100.0), (30.0, 100.0)))
    cut = cutout(Sheet("s", "s", (210.0, 297.0), 1.0, "mm", (line, far)))
    assert cut.sheet.paper == pytest.approx((30 + 2 * PAD, EMPTY + 2 * PAD))
    assert (cut.notes, cut.tables) == ((), ())


@pytest.mark.slow
@pytest.mark.parametrize(("room", "paper"), [("herbarium", "a4"), ("trains", "letter"), ("guest-study", "letter")])
def test_a_whole_booklet_of_a_demo(room: str, paper: str) -> None:
    made = booklet.booklet(build(Path(CONFIGS / room / "project.yaml")), "a4" if paper == "a4" else "letter")
    reader = pypdf.PdfReader(io.BytesIO(made))
    assert len(made) < MOST_BYTES
    assert 50 < len(reader.pages) < 170
    for page in reader.pages:
        size = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert size == pytest.approx(sorted(A4 if paper == "a4" else LETTER), abs=0.5)
    assert faults_of(made, reader) == []
    assert len(reader.pages[0].images) == 1
