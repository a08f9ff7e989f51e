"""Drilling templates measured: circles and centre marks in the PDF, read back, against the bores of the parts."""

import io
from pathlib import Path
from typing import Any

import pypdf
import pytest
from test_story_pole import lines

from exporters.drilling import AXIS, BELOW, pdf, strip, write
from exporters.strips import FOOT, HEAD, NOTE, SIDE, TOP, WIDTH, tile_length
from model.build import Build
from model.cuts import Bore
from model.hole_rows import HoleRow, Place, hole_rows


@pytest.fixture(scope="module", params=["herbarium", "trains"])
def demo(request: pytest.FixtureRequest) -> Build:
    built: Build = request.getfixturevalue(request.param)
    return built


def from_corner(place: Place, along: float, offset: float, size: tuple[float, float, float]) -> tuple[float, float]:
    """A point that is measured from an end and an edge, in the part's own x and y."""
    found: dict[str, float] = {}
    for face, value in ((place.end, along), (place.edge, offset)):
        found[face[0]] = value if face[1] == "0" else size["xy".index(face[0])] - value
    return found["x"], found["y"]


def test_every_hole_is_on_one_template_and_no_other(demo: Build) -> None:
    """Worked back from the words of each template to the bores of the parts."""
    size = {mark: part.size for part, mark in demo.plan.marks.items()}
    told: list[tuple[str, str, float, float]] = []
    for row in hole_rows(demo.plan, demo.stock):
        for place in row.where if row.diameter else ():
            for at in row.along:
                along = place.first + at if row.offset is None else at
                x, y = from_corner(place, along, place.offset, size[place.mark])
                told.append((place.mark, row.what, round(x, 2), round(y, 2)))
    bored = [
        (mark, cut.purpose, round(cut.u, 2), round(cut.v, 2))
        for part, mark in demo.plan.marks.items()
        for cut in part.cuts
        if isinstance(cut, Bore) and cut.purpose in ("pull", "pin") and cut.face in ("A", "B")
    ]
    assert sorted(told) == sorted(bored)
    assert len(bored) > 20


def test_slides_are_screwed_where_their_screws_are(herbarium: Build) -> None:
    """The screws of a fixed slide lie so far from its front end: each fixing's spot, measured in the room."""
    (row,) = (r for r in hole_rows(herbarium.plan, herbarium.stock) if not r.diameter)
    path = "press base/drawer 1 slide, left, cabinet member"
    front = herbarium.plan.by_path[path].bounds().lo[1]
    spots = [s.at for f in herbarium.plan.fixings if f.through == path for s in f.spots]
    assert sorted(y - front for _, y, _ in spots) == pytest.approx(row.along, abs=0.01)


@pytest.mark.parametrize("lengths", ["mm", "in"])
def test_holes_are_drawn_where_they_are(lengths: Any) -> None:
    """The arms of each centre mark cross at the hole; at 1:1, on the edge of the part or on the line."""
    pins = HoleRow("pin", 5.0, 9.0, 37.0, (64.0, 96.0, 300.0), (Place("B1-01", "x0", "y0", 64.0, 37.0),))
    pull = HoleRow("pull", 5.0, None, None, (0.0, 128.0), (Place("B1-09", "x0", "y1", 200.0, 54.6),))
    reader = pypdf.PdfReader(io.BytesIO(pdf((pins, pull), lengths)))
    tile = tile_length(lengths, head=True)
    bottom = TOP + HEAD + tile
    drawn = [list(lines(page, reader)) for page in reader.pages]
    high = float(reader.pages[0].mediabox.height) * 25.4 / 72
    assert bottom < high - FOOT + 0.01

    def crossed(page: int, x: float, y: float) -> bool:
        level = [a for a in drawn[page] if abs(a[1] - a[3]) < 1e-4 and abs(a[1] - y) < 0.01]
        upright = [a for a in drawn[page] if abs(a[0] - a[2]) < 1e-4 and abs(a[0] - x) < 0.01]
        middle = [a for a in level if abs((a[0] + a[2]) / 2 - x) < 0.01]
        ends = [(u, v) for a in drawn[page] for u, v in (a[:2], a[2:])]
        round_it = all(
            any(abs(u - p) < 0.02 and abs(v - q) < 0.02 for u, v in ends) for p, q in ((x + 2.5, y), (x, y - 2.5))
        )
        return round_it and bool(middle) and any(abs((a[1] + a[3]) / 2 - y) < 0.01 for a in upright)

    pieces = int(-(-strip(pins, lengths).length // tile))
    assert pieces == 2
    for at in pins.along:
        n = int(at // tile)
        assert crossed(0, SIDE + WIDTH * n + 37.0, bottom - (at - n * tile)), at
    for at in pull.along:
        assert crossed(0, SIDE + WIDTH * pieces + AXIS, bottom - BELOW - at), at
    text = reader.pages[0].extract_text()
    assert ("37 mm from the edge" if lengths == "mm" else "1 15/32 in from the edge") in text
    assert ("line 54.6 mm from y1, first hole 200 mm from x0" in text) == (lengths == "mm")


def test_the_same_bytes_each_time(herbarium: Build, tmp_path: Path) -> None:
    (path,) = write(herbarium, tmp_path)
    first = path.read_bytes()
    write(herbarium, tmp_path)
    assert path.read_bytes() == first
    assert b"CreationDate" not in first


def test_notes_have_room_on_their_own_piece() -> None:
    """However long a template is: the last piece is as long as its notes are high, and holds no hole among them."""
    for reach in (10.0, 100.0, 180.0, 195.0, 199.0, 390.0, 1044.0):
        for count in (1, 14, 40):
            where = tuple(Place(f"B1-{n:02d}", "x0", "y0", 20.0, 37.0) for n in range(count))
            made = strip(HoleRow("pin", 5.0, 9.0, 37.0, (20.0, 20.0 + reach), where), "mm")
            tile = tile_length("mm", head=True)
            last = made.length % tile or tile
            assert last >= NOTE * count + 3.5
            assert made.length - NOTE * (count + 2) >= 20 + reach + 9.9
