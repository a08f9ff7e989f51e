"""The booklet read back by another reader: its bookmarks, links, fonts and words, and that nothing is left out."""

import csv
import io
import itertools
import math
import pickle
import re
from collections import Counter
from pathlib import Path
from typing import Any, cast

import pypdf
import pypdfium2
import pytest
from PIL import Image
from projects import base, write_project

from exporters import booklet as made
from exporters import lists
from exporters.booklet import aside, others
from exporters.booklet.checking import check_sheet, squares
from exporters.booklet.document import gathered
from exporters.booklet.show import Shown
from exporters.booklet.steps import chapters
from exporters.booklet.tables import buying, by_severity, findings
from exporters.booklet.typesetting import Gathered, pdf
from exporters.cli import main
from exporters.pictures.offscreen import NO_GRAPHICS
from exporters.registry import EXPORTERS
from model.build import Build, build
from model.errors import ExportError
from model.findings import Finding

A4, LETTER = (595.28, 841.89), (612.0, 792.0)
"""Points (ISO 216; ANSI/ASME Y14.1)."""
HOSTILE = "#image('x') *b* $x$ <part-B1-01> @r \\ `w` [u] // no"
NAMED = "#emph[u] _b_ $x$ @r `w` no"
MARK = re.compile(r"[A-Z]+[0-9]*-[0-9]{2,}")
TOUCH = 1.0
"""Points. Boxes of text that share less than this either way do not overlap."""


OTHER_PROCESS = aside._elsewhere


def pixel() -> bytes:
    """A small PNG, about as wide for its height as a picture of a step."""
    out = io.BytesIO()
    Image.new("RGB", (12, 5)).save(out, "png")
    return out.getvalue()


@pytest.fixture(scope="module", autouse=True)
def quick() -> Any:
    """A few pixels for each picture, some of the drawings, one process: what they show is tested with them."""
    names = ("cover_picture", "step_pictures", "unit_pages", "part_pages")
    kept = {name: getattr(others, name) for name in names}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(aside, "_elsewhere", lambda _: None)
        patch.setattr(others, "cover_picture", lambda _: pixel())
        patch.setattr(others, "step_pictures", lambda _, steps: {s.number: pixel() for s in steps})
        patch.setattr(others, "unit_pages", lambda build: itertools.islice(kept["unit_pages"](build), 2))
        patch.setattr(others, "part_pages", lambda build: itertools.islice(kept["part_pages"](build), 8))
        yield


@pytest.fixture(scope="module")
def metric(herbarium: Build) -> Gathered:
    return gathered(herbarium)


@pytest.fixture(scope="module")
def printed(metric: Gathered) -> bytes:
    return pdf(metric)


@pytest.fixture(scope="module")
def reader(printed: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(printed))


def flat(text: str) -> str:
    """Text without white space: lines are broken anywhere."""
    return "".join(text.split())


def words(reader: pypdf.PdfReader, *chapters: str) -> str:
    """The text of some chapters, or of all pages, without white space."""
    starts = [(x.title, reader.get_destination_page_number(x)) for x in reader.outline if not isinstance(x, list)]
    ends = [start for _, start in starts[1:]] + [len(reader.pages)]
    chosen = [n for (title, start), end in zip(starts, ends, strict=True) for n in range(start or 0, end or 0)
              if title in chapters] if chapters else range(len(reader.pages))  # fmt: skip
    return flat("".join(reader.pages[n].extract_text() for n in chosen))


def titles(outline: Any) -> list[Any]:
    return [x for item in outline for x in (titles(item) if isinstance(item, list) else [item])]


def steps(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [step for key in ("bench", "site") for chapter in data[key] for step in chapter["steps"]]


@pytest.mark.parametrize("room", ["herbarium", "trains"])
def test_every_part_is_new_in_one_step(room: str, metric: Gathered, request: pytest.FixtureRequest) -> None:
    whole: Build = request.getfixturevalue(room)
    shown = Shown(whole.plan.lengths)
    every = [s for chapter in chapters(whole, others.steps_of(whole), shown) for s in chapter["steps"]]
    if room == "herbarium":
        assert sorted(s["number"] for s in steps(metric.data)) == [s["number"] for s in every]
    assert Counter(path for s in every for path in s["paths"]) == Counter(p.path for p in whole.plan.walk())
    told = Counter()
    for s in every:
        told.update({p["mark"]: int(p["count"]) for p in s["parts"]})
    assert told == Counter(whole.plan.marks[p.part] for p in whole.plan.walk())
    assert [s["number"] for s in every] == list(range(1, len(every) + 1))


def test_pictures_show_what_moves_and_call_it_by_its_name(herbarium: Build) -> None:
    every = others.steps_of(herbarium)
    codes = {u.name: u.code for u in herbarium.plan.units}
    for step in every:
        new, there, ways, away = others.shown_in(step)
        assert set(ways) <= set(new)
        assert step.times > 1 or {path for move in step.moves for path in move.parts} <= set(new)
        assert all(math.hypot(*way) == pytest.approx(1) for way in ways.values())
        assert away >= 0
        assert set(there) <= set(herbarium.plan.by_path)
        called = set(others.names(herbarium, step).values())
        if step.stage == "place":
            assert called <= {codes[step.unit]}
        if step.stage == "drawers":
            assert called
            assert all(name.startswith("drawer ") for name in called)


def test_the_parts_of_the_units_are_the_whole_model(herbarium: Build, metric: Gathered) -> None:
    counts: Counter[str] = Counter()
    for unit in metric.data["parts"]:
        counts.update({row["mark"]: int(row["count"]) for row in unit["rows"]})
    assert counts == Counter(herbarium.plan.marks[p.part] for p in herbarium.plan.walk())


def test_what_the_steps_say_is_on_the_pages(metric: Gathered, reader: pypdf.PdfReader) -> None:
    text = words(reader, "Assembly at the bench", "Installation")
    for step in steps(metric.data):
        for said in (step["title"], step["text"], *step["fasteners"], *step["checks"], *step["cautions"]):
            assert flat(said) in text, said


def test_bookmarks_lead_to_pages_and_links_to_places(metric: Gathered, reader: pypdf.PdfReader) -> None:
    marked = titles(reader.outline)
    named = [x.title for x in reader.outline if not isinstance(x, list)]
    assert named == [
        "Contents", "How to read it", "Safety", "Room", "What the checks found", "Buying list", "Cutting plans",
        "Parts of each unit", "Units", "Part drawings", "Assembly at the bench", "Installation", "Wiring and lights",
        "Finishing", "Check sheet",
    ]  # fmt: skip
    pages = [reader.get_destination_page_number(x) for x in marked]
    assert all(page is not None for page in pages)
    assert [p for p in pages if p is not None] == sorted(p for p in pages if p is not None)
    for s in steps(metric.data):
        assert any(x.title.startswith(f"{s['number']}. ") and s["title"] in x.title for x in marked)


def test_every_mark_leads_to_its_line(metric: Gathered, printed: bytes, reader: pypdf.PdfReader) -> None:
    """Read by two readers: what stands in the box of a link, and what stands where it leads."""
    pages = pypdfium2.PdfDocument(printed)
    numbers = {page.indirect_reference.idnum: n for n, page in enumerate(reader.pages) if page.indirect_reference}
    led: Counter[str] = Counter()
    for n, page in enumerate(reader.pages):
        for note in cast(Any, page.get("/Annots")) or ():
            link: Any = note.get_object()
            to = link["/Dest"]
            left, bottom, right, top = (float(v) for v in link["/Rect"])
            said = pages[n].get_textpage().get_text_bounded(left, bottom, right, top).strip()
            if MARK.fullmatch(said):
                there = pages[numbers[to[0].idnum]].get_textpage()
                left, top = float(to[2]), float(to[3])
                assert said in there.get_text_bounded(left - 4, top - 16, left + 90, top + 2), said
                led[said] += 1
    told: Counter[str] = Counter()
    for step in steps(metric.data):
        told.update(part["mark"] for part in step["parts"])
    assert len(told) > 100
    assert all(led[mark] >= count for mark, count in told.items())


def test_every_font_is_inside(reader: pypdf.PdfReader) -> None:
    """ISO 32000-1, 9.9: an embedded font program stands in its descriptor."""
    seen = 0
    for page in reader.pages:
        for font in (cast(Any, page["/Resources"]).get("/Font") or {}).values():
            for below in font.get_object()["/DescendantFonts"]:
                held = below.get_object()["/FontDescriptor"].get_object()
                assert {"/FontFile2", "/FontFile3"} & set(held)
                seen += 1
    assert seen > 0


def test_a_sensible_number_of_pages_of_one_paper(reader: pypdf.PdfReader) -> None:
    assert reader.metadata is not None
    assert reader.metadata.title == "Herbarium wall"
    assert 30 < len(reader.pages) < 70
    for page in reader.pages:
        size = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert size == pytest.approx(sorted(A4), abs=0.5)


def boxes(page: Any) -> list[tuple[tuple[float, float, float, float], str]]:
    """The boxes of text of a page of pypdfium2 (left, bottom, right, top, points) with what stands there."""
    text = page.get_textpage()
    found = [(text.get_rect(i), "") for i in range(text.count_rects())]
    return [(box, text.get_text_bounded(*box).strip()) for box, _ in found]


def faults_of(printed: bytes, reader: pypdf.PdfReader) -> list[tuple[int, str, str]]:
    """Text that is partly off its page, or over other text; numbers of cuts may touch on the pictures of sheets."""
    bounds = [(x.title, reader.get_destination_page_number(x)) for x in reader.outline if not isinstance(x, list)]
    cutting = next((a, b) for (title, a), (_, b) in itertools.pairwise(bounds) if title == "Cutting plans")
    found: list[tuple[int, str, str]] = []
    for n, page in enumerate(pypdfium2.PdfDocument(printed)):
        width, height = page.get_size()
        held = [(box, said) for box, said in boxes(page) if said]
        off = [said for box, said in held if min(box) < 0 or box[2] > width or box[3] > height]
        found += [(n + 1, said, "off the page") for said in off]
        if not (cutting[0] or 0) <= n < (cutting[1] or 0):
            found += [
                (n + 1, said, other)
                for (a, said), (b, other) in itertools.combinations(held, 2)
                if all(min(a[i + 2], b[i + 2]) - max(a[i], b[i]) > TOUCH for i in (0, 1))
            ]
    return found


def test_no_text_is_off_its_page_or_over_other_text(printed: bytes, reader: pypdf.PdfReader) -> None:
    assert faults_of(printed, reader) == []


def test_every_page_says_what_it_belongs_to_and_its_number(reader: pypdf.PdfReader) -> None:
    for number, page in enumerate(reader.pages[1:], 2):
        text = page.extract_text()
        assert "Herbarium wall" in text, number
        assert f"{number}/{len(reader.pages)}" in flat(text), number


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small")
    room = {"height": 2500, "note": HOSTILE, "walls": {"north": {"width": 2400}}}
    units = {NAMED: base(height=720, drawers={"rows": 2})}
    return write_project(folder, units, room=room, title=NAMED)


def test_names_stay_text_and_paper_is_chosen(small: Path) -> None:
    whole = build(small)
    reader = pypdf.PdfReader(io.BytesIO(made.booklet(whole, "letter")))
    assert reader.metadata is not None
    assert reader.metadata.title == NAMED
    assert flat(HOSTILE) in words(reader)
    assert flat(NAMED) in words(reader)
    first = reader.pages[0].mediabox
    assert (float(first.width), float(first.height)) == pytest.approx(LETTER, abs=0.5)


def test_the_same_plan_gives_the_same_bytes(small: Path, metric: Gathered) -> None:
    assert made.booklet(build(small)) == made.booklet(build(small))
    assert pdf(metric) == pdf(metric)


def test_the_command_writes_it_whole_or_not(small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def run(*args: str) -> int:
        monkeypatch.setattr("sys.argv", ["wallwork", "booklet", str(small), *args])
        with pytest.raises(SystemExit) as ended:
            main()
        return int(ended.value.code or 0)

    out = tmp_path / "deep" / "book.pdf"
    assert run("--out", str(out), "--paper", "A4") == 0
    assert out.read_bytes().startswith(b"%PDF-")
    assert [p.name for p in out.parent.iterdir()] == ["book.pdf"]
    assert run("--out", str(out), "--paper", "foolscap") == 2
    assert EXPORTERS["booklet"].load() is made.write


def test_the_other_process_gives_the_same(small: Path) -> None:
    whole = build(small)
    every = others.steps_of(whole)
    found = OTHER_PROCESS(pickle.dumps((whole, every[:2])))
    assert found is not None
    assert found.cover.startswith(b"\x89PNG")
    assert sorted(found.steps) == [1, 2]
    assert found.room == tuple(others.room_pages(whole))
    assert OTHER_PROCESS(b"no build") is None


def test_a_machine_that_cannot_draw_makes_a_booklet_without_pictures(
    small: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def none(_: Build) -> bytes:
        raise ExportError(NO_GRAPHICS)

    monkeypatch.setattr(others, "cover_picture", none)
    found = made.booklet(build(small))
    assert "pictures left out" in capsys.readouterr().err
    assert not any(page.images for page in pypdf.PdfReader(io.BytesIO(found)).pages)


def test_diagonals_are_those_of_the_built_boxes(herbarium: Build) -> None:
    """Pythagoras, on sizes taken from the parts themselves: a carcass is as wide as its two sides and the toe board
    between them, a drawer box as its two sides and the back between them."""
    unit = herbarium.plan.units[0]
    frame = next(w.frame for w in herbarium.walls if w.name == herbarium.stands_at[unit.name]).inverse()
    found = {name: (a, b) for name, a, b in squares(unit, frame)}
    first = {p.role: p for p in reversed(unit.parts)}
    tall, thick, deep = first["side"].part.length, first["side"].part.thickness, first["drawer side"].part.length
    toe = first["toe board"].part.length
    drawer = next(p for p in unit.parts if p.path.endswith("drawer 1/box back")).part.length
    thin = first["drawer side"].part.thickness
    rows = {row["what"]: row for row in check_sheet(herbarium, Shown("mm"))["boxes"] if row["unit"] == unit.name}
    assert len(rows) == len(found) == 8
    assert float(rows["carcass, from behind"]["diagonal"]) == pytest.approx(math.hypot(tall, toe + 2 * thick), abs=0.06)
    for n in range(1, 7):
        row = rows[f"drawer {n}, box from above"]
        assert float(row["diagonal"]) == pytest.approx(math.hypot(deep, drawer + 2 * thin), abs=0.06)


@pytest.mark.parametrize("room", ["herbarium", "trains"])
def test_what_is_bought_is_what_the_lists_say(room: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    whole: Build = request.getfixturevalue(room)
    lists.write(whole, tmp_path)
    rows = list(csv.DictReader((tmp_path / "lists" / "buying.csv").read_text(encoding="utf-8-sig").splitlines()))
    told = buying(whole, Shown(whole.plan.lengths))
    costs = [row["cost"] for group in told["groups"] for row in group["rows"]]
    assert costs == [row["cost"] for row in rows[: len(costs)]]
    assert [value for _, value in told["sums"]] == [row["cost"] for row in rows[len(costs) :]]
    assert sum(float(c) for c in costs if c) == pytest.approx(float(told["sums"][0][1]), abs=0.005)


def test_findings_tell_measure_limit_and_source(trains: Build) -> None:
    one = Finding(
        code="gap", severity="fault", message="m", parts=(next(trains.plan.walk()).path, "none"), value=25.4,
        limit=2.54, source="a book",
    )  # fmt: skip
    (row,) = findings(trains, [one])
    assert (row["measured"], row["limit"], row["source"]) == ("1 in", "0.100 in", "a book")
    assert row["marks"] == [trains.plan.marks[next(trains.plan.walk()).part]]


def test_what_is_grave_comes_first_and_notes_by_what_they_are_about(trains: Build) -> None:
    def one(severity: Any, code: str, source: str) -> Finding:
        return Finding(code=code, severity=severity, message=f"{severity} {code} {source}", source=source)

    found = [one("fault", "overlap", ""), one("warning", "too-tight", "x"), one("note", "reach", "a")]
    found += [one("note", "lifting", "b"), one("note", "lifting", "b"), one("note", "reach", "c")]
    told = by_severity(findings(trains, found))
    assert (told["said"], told["faults"]) == ("1 fault, 1 warning, 4 notes", 1)
    assert [(r["severity"], r["code"]) for r in told["grave"]] == [("fault", "overlap"), ("warning", "too tight")]
    assert [(g["code"], g["source"], len(g["rows"])) for g in told["notes"]] == [("reach", "", 2), ("lifting", "b", 2)]
    assert [r["source"] for g in told["notes"] for r in g["rows"]] == ["a", "c", "", ""]


def test_the_cover_says_that_there_are_faults(metric: Gathered) -> None:
    def front(faults: int) -> str:
        told = metric.data | {"findings": metric.data["findings"] | {"faults": faults}}
        return flat(
            pypdf.PdfReader(io.BytesIO(pdf(Gathered(told, metric.saw, metric.pictures)))).pages[0].extract_text()
        )

    assert flat("The checks found 2 faults.") in front(2)
    assert flat("The checks found a fault.") in front(1)
    assert "Thechecksfound" not in front(0)


def test_amounts_in_both_units() -> None:
    """A pound is 0.45359237 kg, a foot 0.3048 m, a gallon 3.785411784 l, all exactly."""
    assert (Shown("mm").mass(23), Shown("in").mass(23)) == ("23 kg", "51 lb")
    assert Shown("in").area(0.3048**2) == "1.0 sq ft"
    assert Shown("in").litres(3.785411784) == "1.00 gal"
