"""What is said of boards that sag: how far, why, and what would do."""

import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import CONFIGS
from hypothesis import given, settings
from hypothesis import strategies as st
from loaded import CABINET, STOCK, Said, about, board, bookcase, shelf_case, worked
from projects import base, write_project

from model.build import Build, build
from model.checks.sag import sag
from model.errors import ConfigError
from model.strength.boards import GRAVITY, Case, Weight, assess
from model.strength.cases import Board
from model.strength.limits import LIMITS
from model.strength.remedies import remedies, scaled


def demo(folder: Path, name: str, old: str, new: str) -> Build:
    """A demo with one text in its project file put in place of another; an empty one stands for its end."""
    shutil.copytree(CONFIGS, folder, dirs_exist_ok=True)
    path = folder / name / "project.yaml"
    said = path.read_text(encoding="utf-8")
    assert old in said
    path.write_text(said.replace(old, new) if old else said + new, encoding="utf-8")
    return build(path)


@pytest.mark.parametrize("name", ["herbarium", "trains", "guest-study"])
def test_no_demo_sags(name: str) -> None:
    """Only what stock does not tell is told of."""
    assert {f.code for f in sag(build(CONFIGS / name / "project.yaml"))} <= {"sag-unknown"}


def test_a_shelf_on_pins_by_hand(tmp_path: Path) -> None:
    """5 w L4 / 384 EI between the middles of what bears, w the load and the shelf's own weight (Wood Handbook)."""
    built = bookcase(tmp_path, 1200)
    found, shelf = board(built, "case/shelf 1"), built.plan.by_path["case/shelf 1"].part
    assert found.carried
    assert found.carried.axis == "x"
    assert [len(b.paths) for b in found.carried.bearings] == [2, 2]
    assert all("pin" in path for b in found.carried.bearings for path in b.paths)
    # a pin stands out 7 mm, the shelf begins 1 mm from the side: 6 mm of it bear
    span = shelf.length - 6.0
    w = (73.0 * shelf.width * 1e-6 + 680e-9 * shelf.width * 17.8) * GRAVITY
    ei = 10_048 * shelf.width * 17.8**3 / 12
    by_hand = 5 * w * span**4 / (384 * ei)
    result = worked(found)
    assert result.instant == pytest.approx(by_hand, rel=1e-4)  # 3 mm stand out past the pins
    assert result.final == pytest.approx(2 * by_hand, rel=1e-4)
    finding = about(bookcase(tmp_path, 1200, loads={"shelf": 200}), "case/shelf 1")
    assert finding is not None
    said = dict(finding.details)
    again = 5 * said["w_n_per_mm"] * said["span_mm"] ** 4 / (384 * said["e_mpa"] * said["i_mm4"])
    assert finding.value == pytest.approx(again, rel=2e-3)
    assert finding.severity == "warning"
    assert finding.limit == pytest.approx(said["span_mm"] / 192, abs=0.002)


def test_a_top_that_stands_out(tmp_path: Path) -> None:
    """At its end it is a cantilever: its limit is that of twice its length."""
    units = {"a": base()}
    tops = [{"name": "bench", "wall": "north", "over": ["a"], "height": 900, "overhang": {"right": 500}}]
    built = build(write_project(tmp_path, units, tops=tops, loads={"top": 400, "person": 0}))
    result = worked(board(built, "bench/top"))
    assert result.out
    length = result.hi - result.lo
    assert result.limit == pytest.approx(2 * length / 192)
    assert result.at in (pytest.approx(result.lo, abs=1e-6), pytest.approx(result.hi))  # whichever way it lies
    finding = about(built, "bench/top")
    assert finding is not None
    assert "the end that stands out" in finding.message


def test_a_person_breaks_what_a_shelf_load_does_not(tmp_path: Path) -> None:
    """A long end of top: a fault, with the caution that the code decides."""
    units = {"a": base()}
    tops = [{"name": "bench", "wall": "north", "over": ["a"], "height": 900, "overhang": {"right": 900}}]
    built = build(write_project(tmp_path, units, tops=tops, loads={"top": 5, "person": 300}))
    finding = about(built, "bench/top")
    assert finding is not None
    assert finding.severity == "fault"
    assert "working stress" in finding.message
    assert "licensed" in finding.source


def test_heavy_things_at_their_places(tmp_path: Path) -> None:
    """P a2 b2 / 3 EI L under a point load, over and above the rest (Roark, from memory); spread it sags less."""
    none, vice = ({"shelf": 10, "points": p} for p in ((), [
        {"name": "vice", "on": "case/shelf 1", "x": 300, "mass": "20 kg"}
    ]))  # fmt: skip
    found = board(bookcase(tmp_path, 1200, loads=vice), "case/shelf 1")
    assert found.case
    assert found.case.weights == (Weight(300.0, 20 * GRAVITY),)
    alone = replace(found.case, live=0.0, layers=(replace(found.case.layers[0], wood=_weightless(found)),))
    length = alone.bearings[1].at - alone.bearings[0].at
    a = 300.0 - alone.bearings[0].at
    ei = 10_048 * found.part.part.width * 17.8**3 / 12
    b = length - a
    at_most = 20 * GRAVITY * a * (length**2 - a**2) ** 1.5 / (9 * 3**0.5 * ei * length)
    assert assess(alone, CABINET, 0).instant == pytest.approx(at_most, rel=1e-6)
    assert b > a
    bare = worked(board(bookcase(tmp_path, 1200, loads=none), "case/shelf 1")).instant
    wide = replace(found.case, weights=(Weight(300.0, 20 * GRAVITY, 200.0),))
    assert bare < assess(wide, CABINET, 0).instant < assess(found.case, CABINET, 0).instant


def _weightless(found: Board) -> Any:
    assert found.case
    return replace(found.case.layers[0].wood, density=1e-9)


@pytest.mark.parametrize(
    ("point", "says"),
    [
        ({"on": "case"}, "name one of its boards: case/"),
        ({"on": "nowhere/shelf 1"}, "which is nowhere"),
        ({"on": "case/left side"}, "name one of its boards"),
        ({"x": 3000}, "past the end"),
        ({"mass": "heavy"}, "a mass"),
    ],
)
def test_heavy_things_that_stand_nowhere(tmp_path: Path, point: Said, says: str) -> None:
    said = {"name": "vice", "on": "case/shelf 1", "x": 300, "mass": 20, **point}
    with pytest.raises(ConfigError, match=r"project\.yaml:\d+:\d+: ") as problem:
        bookcase(tmp_path, loads={"points": [said]})
    assert says in problem.value.lines[0]


@pytest.mark.parametrize(
    ("text", "kg"),
    [("73 kg/m2", 73), (50, 50), ("15 lb/ft2", 73.236), ("15 psf", 73.236), ("1 kPa", 101.97), ("20 lb/ft²", 97.649)],
)
def test_loads_as_people_write_them(tmp_path: Path, text: object, kg: float) -> None:
    """1 lb = 0.45359237 kg, 1 ft = 304.8 mm."""
    built = bookcase(tmp_path, loads={"shelf": text, "shelf_run": None})
    found = board(built, "case/shelf 1")
    assert found.case
    assert found.case.live == pytest.approx(kg * found.part.part.width * 1e-6 * GRAVITY, rel=1e-4)


def test_books_by_the_length(tmp_path: Path) -> None:
    found = board(bookcase(tmp_path, loads={"shelf_run": "25 lb/ft"}), "case/shelf 1")
    assert found.case
    assert found.case.live == pytest.approx(25 * 0.45359237 / 304.8 * GRAVITY)


def test_a_thin_bottom_under_much_weight(tmp_path: Path) -> None:
    unit = base(height=900, depth=600, drawers={"rows": 2, "load": 45})
    built = build(write_project(tmp_path, {"a": unit}, widths={"a": 900}))
    finding = about(built, "a/drawer 1/bottom")
    assert finding is not None
    assert "birch 12" in finding.message
    thicker = build(write_project(tmp_path, {"a": {**unit, "materials": {"bottom": "birch 12"}}}, widths={"a": 900}))
    assert about(thicker, "a/drawer 1/bottom") is None


def test_what_stock_does_not_tell_is_told_once(trains: Build) -> None:
    found = [f for f in sag(trains) if f.code == "sag-unknown"]
    assert len(found) == 1
    assert "across" in found[0].message
    assert found[0].severity == "note"
    assert len(found[0].parts) == sum(p.role == "drawer bottom" for p in trains.plan.walk())


def test_pins_press_into_a_heavy_shelf(tmp_path: Path) -> None:
    finding = about(bookcase(tmp_path, 600, loads={"shelf": 2000}), "case/shelf 1", "bearing")
    assert finding is not None
    assert finding.value is not None
    said = dict(finding.details)
    assert finding.value == pytest.approx(said["reaction_n"] / (2 * 5 * 6), rel=1e-3)


def told(message: str, pattern: str) -> str:
    found = re.search(pattern, message)
    assert found, message
    return found[1]


def test_the_span_that_would_do_does(tmp_path: Path) -> None:
    loads = {"shelf": 150, "limit": "fine"}
    finding = about(bookcase(tmp_path, 1100, loads=loads), "case/shelf 1")
    assert finding is not None
    span = float(told(finding.message, r"a span of (\d+) mm"))
    outside = 1100 - dict(finding.details)["span_mm"]
    assert about(bookcase(tmp_path, span + outside, loads=loads), "case/shelf 1") is None
    assert about(bookcase(tmp_path, span + outside + 6, loads=loads), "case/shelf 1") is not None


def test_the_edge_that_would_do_does(tmp_path: Path) -> None:
    """A connecting shelf without a facing sags; with the board that is told as its facing it does not."""

    at = "    at: 480\n"
    finding = about(
        demo(tmp_path / "bare", "herbarium", at, f"{at}    change: {{facing: null}}\n"), "lamp shelves/shelf 1"
    )
    assert finding is not None
    edge = told(finding.message, r"a front edge of (pine \S+)")
    mended = demo(tmp_path / "edged", "herbarium", at, f"{at}    change: {{facing: {{board: {edge}, at: front}}}}\n")
    assert about(mended, "lamp shelves/shelf 1") is None


def test_a_project_in_inches_is_told_in_inches(tmp_path: Path) -> None:
    built = demo(tmp_path, "trains", "", "\nloads: {shelf: 80 lb/ft2, limit: fine}\n")
    finding = about(built, "engine shed/shelf 1")
    assert finding is not None
    w, e, i = (float(told(finding.message, p)) for p in (r"w (\S+) lb/in", r"E (\S+) psi", r"I (\S+) in⁴"))
    span = dict(finding.details)["span_mm"] / 25.4
    instant = 5 * w * span**4 / (384 * e * i)
    assert all(f.message.isprintable() and " mm" not in f.message and " kg" not in f.message for f in sag(built))
    assert dict(finding.details)["instant_mm"] / 25.4 == pytest.approx(instant, rel=5e-3)


@pytest.mark.parametrize("name", LIMITS)
def test_every_limit_can_be_chosen(tmp_path: Path, name: str) -> None:
    found = board(bookcase(tmp_path, loads={"limit": name}), "case/shelf 1")
    assert found.limit is LIMITS[name]  # pyright: ignore[reportArgumentType]
    result = worked(found)
    assert result.value == {"live": result.live, "instant": result.instant, "final": result.final}[found.limit.measured]
    assert result.live < result.instant < result.final


cases = st.builds(
    shelf_case,
    st.floats(300, 2000),
    st.floats(150, 700),
    st.floats(0.02, 2),
    places=st.sampled_from([(0.0, 1.0), (0.0, 0.5, 1.0), (0.1, 0.9), (0.0, 0.4, 0.7)]),
    lasting=st.sampled_from([0.3, 1.0]),
)


@settings(max_examples=40, deadline=None)
@given(cases, st.floats(1, 3), st.sampled_from(sorted(LIMITS)))
def test_more_never_sags_less(case: Case, factor: float, name: str) -> None:
    """More load, a wider span, more years."""
    limit = LIMITS[name]  # pyright: ignore[reportArgumentType]
    now = assess(case, limit, 5)
    more = assess(replace(case, live=case.live * factor), limit, 5)
    wider = assess(scaled(case, factor), limit, 5)
    longer = assess(case, limit, 50)
    assert min(more.share, wider.share, longer.share) >= now.share - 1e-9
    assert min(more.stress, wider.stress) >= now.stress - 1e-9


@settings(max_examples=40, deadline=None)
@given(cases, st.floats(0, 1), st.floats(0, 400))
def test_a_mirrored_board_sags_alike(case: Case, where: float, force: float) -> None:
    case = replace(case, weights=(Weight(where * case.length, force, 50.0),), person=600.0)
    turned = replace(
        case,
        bearings=tuple(replace(b, at=case.length - b.at) for b in reversed(case.bearings)),
        weights=tuple(replace(w, at=case.length - w.at) for w in case.weights),
    )
    there, back = assess(case, CABINET, 10), assess(turned, CABINET, 10)
    for key in ("share", "final", "stress", "moment", "reaction"):
        assert getattr(back, key) == pytest.approx(getattr(there, key), rel=1e-6)


def test_a_loose_board_lifts_off(tmp_path: Path) -> None:
    """Loaded at one end past its support, a board that only rests leaves the far one, where a screwed one is held."""
    case = shelf_case(1000, places=(0.0, 0.5, 0.7), weights=(Weight(1000.0, 200.0),))
    loose = replace(case, bearings=tuple(replace(b, loose=True) for b in case.bearings))
    assert assess(loose, CABINET, 0).instant > assess(case, CABINET, 0).instant


def test_what_would_do_has_been_tried() -> None:
    """Each is worked out anew: the doubled board by hand is eight times as stiff."""
    case = shelf_case(1400, live=0.4)
    before = assess(case, CABINET, 10)
    found = {r.kind: r for r in remedies(case, CABINET, 10, STOCK)}
    assert set(found) >= {"doubled", "edging", "span"}
    assert all(r.sag <= CABINET.of(r.size if r.kind == "span" else 1400) + 1e-9 for r in found.values())
    own = before.w - case.live
    assert found["doubled"].sag == pytest.approx(before.instant / 8 * (case.live + 2 * own) / before.w)


def test_what_nothing_in_stock_mends() -> None:
    case = shelf_case(1400, live=500.0)
    assert remedies(case, CABINET, 10, STOCK) == ()
