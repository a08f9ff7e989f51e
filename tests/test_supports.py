"""What carries each board of a built plan, read from the parts and how they are joined, and what bends with it."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from conftest import CONFIGS, MakeUnit, plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from loaded import CABINET, Said, board, bookcase, worked
from projects import base, write_project
from soundness import built_or_refused
from test_units import BASES, UPPERS

from model.build import Build, build
from model.strength.boards import GRAVITY, assess
from model.strength.cases import all_boards
from model.strength.supports import Surroundings

TOP: Said = {"name": "bench", "wall": "north", "over": ["a", "b"], "height": 900}
SINK: Said = {"cutouts": [{"name": "sink", "x": 900, "width": 400, "depth": 300, "front": 120}]}


@pytest.mark.parametrize(
    ("joinery", "inset"), [("housed", -6.0), ("butt", 0.0), ("cleated", 17.8), ("dowelled", 0.0), ("pocket", 0.0)]
)
def test_fixed_shelves_bear_where_they_are_joined(tmp_path: Path, joinery: str, inset: float) -> None:
    """In grooves of 6 mm, against the sides, or on cleats as thick as the sides: half of that is the middle."""
    built = bookcase(tmp_path, 1000, {"count": 0, "fixed": 1}, {"joinery": joinery, "back": None})
    result = worked(board(built, "case/fixed shelf 1"))
    assert result.hi - result.lo == pytest.approx(1000 - 2 * 17.8 - inset, abs=0.02)


def test_a_board_that_spans_across_its_grain(guest_study: Build) -> None:
    """The shelf of the narrow base spans from front to rear pins further than from side to side: 7452 MPa."""
    found = board(guest_study, "printer base/shelf 1")
    assert found.carried
    assert found.case
    assert found.carried.axis == "y"
    assert found.case.layers[0].modulus == 7452
    assert worked(found).ei == pytest.approx(7452 * found.part.part.length * 17.8**3 / 12)


def test_slats_on_bearers_as_the_bed_lies(guest_study: Build) -> None:
    """Two spans on three bearers, worst with one of them loaded: 0.0092 w L4 / EI (steel handbooks, from memory)."""
    found = board(guest_study, "guest bed/bed/slat 5")
    assert found.case
    assert found.carried
    assert [b.paths[0].rsplit("/", 1)[1][:8] for b in found.carried.bearings] == ["bearer 1", "bearer 2", "bearer 4"]
    result = worked(found)
    slats = [p.bounds() for p in guest_study.plan.walk() if p.role == "slat"]
    run = max(b.hi[2] for b in slats) - min(b.lo[2] for b in slats)
    assert found.case.live == pytest.approx(146e-6 * GRAVITY * run / len(slats))
    span, ei = result.hi - result.lo, 8900 * 90 * 20**3 / 12
    own = result.w - found.case.live
    assert result.instant == pytest.approx((0.0092 * found.case.live + 0.0054 * own) * span**4 / ei, rel=0.01)


def test_an_edged_shelf_is_one_section(herbarium: Build) -> None:
    """Shelf 280 x 17.8 and facing 20 x 40 glued to it, level with its upper face: the transformed section by hand."""
    found = board(herbarium, "lamp shelves/shelf 1")
    assert found.carried
    assert [t.part.name for t in found.carried.with_it] == ["facing 1"]
    e, a, y = (10_048, 8900), (280 * 17.8, 20 * 40), (8.9, 17.8 - 20)
    own = (280 * 17.8**3 / 12, 20 * 40**3 / 12)
    middle = sum(p * q * r for p, q, r in zip(e, a, y, strict=True)) / sum(p * q for p, q in zip(e, a, strict=True))
    ei = sum(p * (i + q * (r - middle) ** 2) for p, q, r, i in zip(e, a, y, own, strict=True))
    assert worked(found).ei == pytest.approx(ei, rel=1e-6)


def test_a_top_over_a_kneehole(herbarium: Build) -> None:
    """It bears on the sides of the bases and the rails on them, and is held up between by apron and front stretcher
    as far as they are screwed: the stiffnesses add."""
    found = board(herbarium, "bench top/top piece 1")
    assert found.carried
    assert found.case
    names = [{p.split("/")[0] for p in b.paths} for b in found.carried.bearings]
    order = 1 if names[0] == {"press base"} else -1  # the piece may lie either way round
    assert names[::order] == [{"press base"}, {"drawing place", "press base"}, {"drawing place", "paper base"}]
    assert found.case.bridged[::order] == (False, True)  # the seam over the next base
    result = worked(found)
    parts = 10_048 * (624 + 100) * 17.8**3 / 12 + 8900 * 20 * 40**3 / 12
    assert result.ei == pytest.approx(parts, rel=1e-6)


@pytest.mark.parametrize(
    ("path", "firm"),
    [
        ("press base/left side", True),
        ("drawing place/left rail", True),  # along a side
        ("drawing place/hanger 1", False),  # on stretchers, which bend with the top
        ("paper base/tray strip, left lower", True),
        ("lamp shelves/ledge 2, right", True),
        ("book upper/shelf 1 pin, left front", True),
        ("drawing place/drawer 1/slide, left, drawer member", True),
        ("drawing place/drawer 1 slide, left, cabinet member", False),
    ],
)
def test_what_carries_without_bending(herbarium: Build, path: str, firm: bool) -> None:
    assert Surroundings(herbarium.plan).firm(herbarium.plan.by_path[path]) is firm


def test_a_second_layer_and_a_cutout(tmp_path: Path) -> None:
    """Two layers glued are eight times as stiff; a cutout takes its width away."""
    units = {"a": base(), "b": base()}
    room = {"height": 2500, "walls": {"north": {"width": 2000}}}

    def ei(make: Said) -> float:
        path = write_project(tmp_path, units, room=room, tops=[{**TOP, "make": make}])
        pieces = board(build(path), "bench/top").case
        assert pieces
        first = [layer for layer in pieces.layers if layer.bond == 0]
        return sum(layer.width for layer in first) * sum({layer.low: layer.height for layer in first}.values()) ** 3

    one = ei({})
    assert ei({"layers": 2}) == pytest.approx(8 * 2 * one)  # widths are added up: two layers
    case = board(build(write_project(tmp_path, units, room=room, tops=[{**TOP, "make": SINK}])), "bench/top").case
    assert case
    hole = next(layer for layer in case.layers if layer.width < 0)
    assert (hole.hi - hole.lo, hole.width) == (400, -300)
    assert assess(case, CABINET, 0).ei < assess(replace(case, layers=(case.layers[0],)), CABINET, 0).ei


def test_drawer_bottoms_carry_what_the_drawer_may_hold(herbarium: Build) -> None:
    """25 kg with the drawer itself; the clear size of the box is the plate's."""
    found, parts = board(herbarium, "paper base/drawer 1/bottom"), herbarium.plan.by_path
    assert found.plate
    bounds = {
        n: parts[f"paper base/drawer 1/{n}"].bounds() for n in ("left side", "right side", "sub-front", "box back")
    }
    wide = bounds["right side"].lo[0] - bounds["left side"].hi[0]
    deep = bounds["box back"].lo[1] - bounds["sub-front"].hi[1]
    assert sorted((found.plate.length, found.plate.width)) == pytest.approx(sorted((wide, deep)))
    kilograms = found.pressure * found.part.part.length * found.part.part.width / GRAVITY
    assert 15 < kilograms < 25


@cache
def some_build() -> Build:
    """What stock and loads there are."""
    return build(CONFIGS / "herbarium" / "project.yaml")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind_options=st.one_of(
        BASES.map(lambda options: ("base", options)), UPPERS.map(lambda options: ("upper", options))
    ),
    width=st.floats(300, 1400).map(lambda x: round(x, 1)),
    height=st.floats(600, 2200).map(lambda x: round(x, 1)),
)
def test_everything_that_carries_is_carried(
    make_unit: MakeUnit, kind_options: tuple[str, Said], width: float, height: float
) -> None:
    """Whatever a unit is made like, two supports are found for each of its boards, no further apart than its sides."""
    kind, options = kind_options
    unit = built_or_refused(lambda: make_unit(kind, width, height, **options))
    if unit is None:
        return
    for found in all_boards(replace(some_build(), plan=plan_of(unit), stands_at={})):
        assert not found.unknown, (found.part.path, found.unknown)
        if found.case:
            result = worked(found)
            deep = max(b.hi[1] for b in (p.bounds() for p in unit.parts))
            assert result.hi - result.lo <= max(width, deep)
            assert not result.out


def test_a_tray_on_slides_bears_on_its_battens(tmp_path: Path) -> None:
    """They hang on the moving halves of its slides."""
    tray = {"runners": "slides", "load": 30}
    built = build(write_project(tmp_path, {"a": base(height=900, depth=600, drawers=None, tray=tray)}))
    found = board(built, "a/tray/tray")
    assert found.carried
    assert {b.paths for b in found.carried.bearings} == {("a/tray/left side",), ("a/tray/right side",)}
    assert found.case
    assert found.case.live * found.case.length == pytest.approx(30 * GRAVITY)
