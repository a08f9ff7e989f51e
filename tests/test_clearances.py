"""Clearances: what is measured is what was built, each kind against its range, on every wall of a room.

Ranges are common practice unless a source is named; the places of faces are worked out by hand from the plan.
"""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import CONFIGS
from hypothesis import given
from hypothesis import strategies as st
from projects import base, write_project
from rooms import l_shape, room_project, unit

from model.build import Build, build, with_units
from model.checks.clearances import KINDS, clearances, measure
from model.errors import ConfigError
from model.findings import Finding
from model.gaps.facing import Measured
from model.gaps.ranges import Clearances, Range
from model.placement import Placement
from model.shapes import Box, Vec

EXACT = 1e-6


@pytest.fixture(scope="module")
def study() -> Build:
    return build(CONFIGS / "guest-study" / "project.yaml")


@pytest.fixture(scope="module")
def corner(tmp_path_factory: pytest.TempPathFactory) -> Build:
    return build(l_shape(tmp_path_factory.mktemp("corner")))


def moved(built: Build, by: Vec, *paths: str) -> Build:
    """The build with some parts moved, in the frame of their unit's wall."""
    assert all(path in built.plan.by_path for path in paths)
    frames = {wall.name: wall.frame for wall in built.walls}

    def shift(name: str) -> Placement:
        frame = frames[built.stands_at[name]]
        return frame.compose(Placement(by)).compose(frame.inverse())

    units = tuple(
        replace(u, parts=tuple(p.moved(shift(u.name)) if p.path in paths else p for p in u.parts))
        for u in built.plan.units
    )
    return with_units(built, units)


def key_of(finding: Finding) -> str:
    return finding.source.removeprefix("clearances.").removesuffix(" of the project")


def told(built: Build) -> dict[tuple[str, str], list[Finding]]:
    """What is found, by the clearance and the code."""
    found: dict[tuple[str, str], list[Finding]] = {}
    for finding in clearances(built):
        found.setdefault((key_of(finding), finding.code), []).append(finding)
    return found


def all_of(built: Build) -> dict[str, list[Measured]]:
    found: dict[str, list[Measured]] = {}
    for one in measure(built, built.inputs.project.value.clearances):
        found.setdefault(one.key, []).append(one)
    return found


def test_the_demos_are_within_every_range(herbarium: Build, trains: Build, study: Build, corner: Build) -> None:
    for built in (herbarium, trains, study, corner):
        assert [f.message for f in clearances(built)] == []


def test_everything_there_is_to_measure_is_measured(herbarium: Build, trains: Build, study: Build) -> None:
    for built in (herbarium, trains, study):
        found = all_of(built)
        members = [p for p in built.plan.walk() if p.role == "slide"]
        shelves = {j.a for j in built.plan.joints if j.kind == "rests" and j.b.split("/")[-1].count(" pin,")}
        assert len(found["slide_to_carcass"]) == len(found["slide_to_drawer"]) == len(members) / 2
        assert len(found["slide_play"]) == len(members) / 2
        assert len(found["shelf_to_side"]) == 2 * len(shelves)


def test_measures_are_what_the_stock_and_the_unit_files_ask_for(herbarium: Build, trains: Build) -> None:
    """Common slides take 12.7 mm, 1/2 in, a side; fronts lie 3 mm or 1/8 in apart; shelves have 1 mm at each end."""
    for built, between in ((herbarium, 3.0), (trains, 25.4 / 8)):
        found = all_of(built)
        assert {round(m.gap, 3) for m in found["drawer_to_frame"]} == {12.7}
        assert {round(m.gap, 6) for m in found["shelf_to_side"]} == {1.0}
        assert {round(m.gap, 3) for m in found["front_to_front"] if m.loose} == {round(between, 3)}
        assert all(abs(m.gap) < EXACT for m in found["slide_play"])


LEFT = "press base/drawer 1/left side"
CASES = [
    # a stile 12.7 mm beside the boxes, a rail 8 mm under the lowest
    ((10.0, 0, 0), "press base/left stile", {("drawer_to_frame", "too-tight"): 2.7}),
    ((-7.4, 0, 0), "press base/left stile", {("drawer_to_frame", "too-loose"): 20.1}),
    # before the fronts, where no box is until its drawer is pulled
    ((10.0, -45.0, 0), "press base/left stile", {("drawer_to_frame", "too-tight"): 2.7}),
    ((0, 0, 5.1), "paper base/bottom rail", {("drawer_to_rail", "too-tight"): None}),
    # slides lie flush on both
    ((0.2, 0, 0), "press base/drawer 1 slide, left, cabinet member", {("slide_to_carcass", "too-loose"): 0.2}),
    ((-0.2, 0, 0), "press base/drawer 1 slide, left, cabinet member", {("slide_to_carcass", "too-tight"): -0.2}),
    ((0.2, 0, 0), "press base/drawer 1/slide, right, drawer member", {("slide_to_drawer", "too-loose"): 0.2}),
    ((0.9, 0, 0), LEFT, {("slide_to_drawer", "too-loose"): 0.9, ("slide_play", "too-loose"): 0.9}),
    ((-0.5, 0, 0), LEFT, {("slide_to_drawer", "too-tight"): -0.5, ("slide_play", "too-tight"): -0.5}),
    # the tray has 1.5 mm at each end and between its strips
    ((1.1, 0, 0), "paper base/tray/tray", {("tray_to_side", "too-tight"): 0.4}),
    ((-2.6, 0, 0), "paper base/tray/tray", {("tray_to_side", "too-tight"): -1.1, ("tray_to_side", "too-loose"): 4.1}),
    ((0, 0, 1.6), "paper base/tray strip, left upper", {("tray_to_runner", "too-loose"): 3.1}),
    ((0, 0, -1.1), "paper base/tray strip, right upper", {("tray_to_runner", "too-tight"): 0.4}),
    ((0.7, 0, 0), "jar base/shelf 1", {("shelf_to_side", "too-tight"): 0.3}),
    ((2.1, 0, 0), "jar base/shelf 1", {("shelf_to_side", "too-tight"): -1.1, ("shelf_to_side", "too-loose"): 3.1}),
    # the upper fronts lie 10.8 mm under the top
    ((0, 0, 9.9), "jar base/left door/door", {("front_to_top", "too-tight"): 0.9}),
    ((0, 0, -64.3), "jar base/left door/door", {("front_to_top", "too-loose"): 75.1}),
    ((1.6, 0, 0), "jar base/left door/door", {("front_to_front", "too-tight"): 1.4}),
    ((-2.1, 0, 0), "jar base/left door/door", {("front_to_front", "too-loose"): 5.1}),
    ((0, -39.0, 0), "press base/back", {("drawer_to_back", "too-tight"): 2.9}),
    ((0, 78.2, 0), "press base/back", {("drawer_to_back", "too-loose"): 120.1}),
]


@pytest.mark.parametrize(("by", "path", "expected"), CASES, ids=[f"{c[1]} {c[0]}" for c in CASES])
def test_a_part_out_of_its_place(herbarium: Build, by: Vec, path: str, expected: dict) -> None:
    found = told(moved(herbarium, by, path))
    assert set(found) == set(expected)
    said = herbarium.inputs.project.value.clearances
    for (key, code), value in expected.items():
        allowed: Range = getattr(said, key)
        for finding in found[key, code]:
            assert path in finding.parts
            assert finding.limit == (allowed.min if code == "too-tight" else allowed.max)
            assert f"clearances.{key}" in finding.message
            if value is not None:
                assert finding.value == pytest.approx(value, abs=0.06)  # boxes share out tenths of a millimetre
            assert finding.value is not None
            assert finding.limit is not None
            off = abs(finding.value - finding.limit)
            assert dict(finding.details)["off_mm"] == pytest.approx(off, abs=EXACT)
            binds = finding.value <= KINDS[key].binds
            assert finding.severity == ("fault" if binds and code == "too-tight" else "warning")


def test_an_inset_front_keeps_its_gap_all_round(tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800, fronts={"mount": "inset"}, drawers={"rows": 2})})
    built = build(path)
    assert sorted(round(m.gap, 3) for m in all_of(built)["front_to_frame"]) == [3.0] * 6
    front = "press/drawer 1/front"
    assert set(told(moved(built, (1.4, 0, 0), front))) == set()
    aside = told(moved(built, (1.6, 0, 0), front))
    assert {k: [f.value for f in v] for k, v in aside.items()} == {("front_to_frame", "too-tight"): [1.4]}
    lower = told(moved(built, (0, 0, -1.6), "press/drawer 2/front"))
    assert set(lower) == {("front_to_frame", "too-tight")}
    raised = told(moved(built, (0, 0, 2.1), "press/drawer 2/front"))
    assert set(raised) == {("front_to_frame", "too-loose"), ("front_to_front", "too-tight")}


def test_a_rail_is_passed_by_the_drawer_next_to_it(tmp_path: Path) -> None:
    """Three drawers over each other in one opening: the lowest passes the lower rail, the uppermost the upper."""
    built = build(write_project(tmp_path, {"press": base(height=800, drawers={"rows": 3})}))
    found = all_of(built)["drawer_to_rail"]
    passed = {(m.a.path.split("/")[1], m.b.name) for m in found if m.b}
    assert (len(found), passed) == (2, {("drawer 1", "top rail"), ("drawer 3", "bottom rail")})


def test_a_tray_that_is_lifted_has_the_same_play(herbarium: Build) -> None:
    lifted = moved(herbarium, (0, 0, 1.2), "paper base/tray/tray")
    assert told(lifted) == {}
    assert [m.gap for m in all_of(lifted)["tray_to_runner"]] == pytest.approx([1.5, 1.5], abs=EXACT)


def test_an_open_door_is_not_held_against_the_fronts_it_is_in_line_with(tmp_path: Path) -> None:
    """Two doors hinged 3 mm from each other: open, the corner that one turns about is no nearer to the other."""
    units = {n: base(height=800, frame=None, doors={"leaves": 1, "hinged": n}) for n in ("right", "left")}
    built = build(write_project(tmp_path, units))
    assert told(built) == {}
    assert [round(m.gap, 3) for m in all_of(built)["front_to_front"]] == [3.0]


def test_bands_are_part_of_the_front_they_are_on(tmp_path: Path) -> None:
    options = base(height=800, frame=None, edge_band="birch band 22x1", drawers={"rows": 2})
    built = build(write_project(tmp_path, {"press": options}))
    assert [round(m.gap, 3) for m in all_of(built)["front_to_front"]] == [3.0]


def lowest_fronts(built: Build) -> dict[str, tuple[str, str]]:
    """By wall: the front of a unit's lowest drawer and the one over it."""
    found: dict[str, tuple[str, str]] = {}
    for u in built.plan.units:
        fronts = sorted((p for p in u.parts if p.role == "front"), key=lambda p: p.bounds().lo[2])
        if len(fronts) > 2:
            found[built.stands_at[u.name]] = (fronts[0].path, fronts[1].path)
    return found


@pytest.mark.parametrize("room", ["corner", "study", "herbarium"])
def test_a_tenth_of_a_millimetre_either_side_of_the_range_on_every_wall(
    room: str, request: pytest.FixtureRequest
) -> None:
    built: Build = request.getfixturevalue(room)
    pairs = lowest_fronts(built)
    assert len(pairs) == {"corner": 2, "study": 1, "herbarium": 1}[room]
    for lower, upper in pairs.values():
        for gap, codes in ((1.4, ["too-tight"]), (1.5, []), (1.6, []), (4.9, []), (5.0, []), (5.1, ["too-loose"])):
            found = list(clearances(moved(built, (0, 0, 3.0 - gap), lower)))
            assert [f.code for f in found] == codes
            for f in found:
                assert set(f.parts) == {lower, upper}
                assert f.value == pytest.approx(gap, abs=EXACT)
                assert f.severity == "warning"


def test_where_it_is_lies_between_the_two_in_the_room(corner: Build) -> None:
    for lower, upper in lowest_fronts(corner).values():
        built = moved(corner, (0, 0, -3.0), lower)
        (finding,) = clearances(built)
        a, b = (built.plan.by_path[path].bounds() for path in (lower, upper))
        assert finding.at is not None
        middle = ((a.lo[0] + a.hi[0]) / 2, (a.lo[1] + a.hi[1]) / 2, (a.hi[2] + b.lo[2]) / 2)
        assert finding.at == pytest.approx(middle, abs=0.051)


def turned(built: Build, angle: float) -> Build:
    """The room and everything in it, turned about its corner."""
    by = Placement.turned("z", angle)
    units = tuple(
        replace(
            u,
            parts=tuple(p.moved(by) for p in u.parts),
            motions=tuple(replace(m, direction=by.turn(m.direction), origin=by.apply(m.origin)) for m in u.motions),
        )
        for u in built.plan.units
    )
    walls = tuple(replace(wall, frame=by.compose(wall.frame)) for wall in built.walls)
    return with_units(replace(built, walls=walls), units)


@pytest.mark.parametrize("degrees", [37.0, 90.0, 200.0])
def test_a_wall_askew_measures_as_a_straight_one(herbarium: Build, study: Build, degrees: float) -> None:
    """But for the places of parts, which are rounded to 0.001 mm in the room."""
    for built in (herbarium, study):
        askew = turned(built, math.radians(degrees))
        assert told(askew) == {}
        straight, found = all_of(built), all_of(askew)
        assert set(found) == set(straight)
        for key, measures in straight.items():
            gaps = sorted(m.gap for m in measures)
            assert sorted(m.gap for m in found[key]) == pytest.approx(gaps, abs=2e-3), key


@given(st.integers(-800, 1200).map(lambda n: n / 100))
def test_a_shifted_front_is_found_exactly_beyond_its_range(herbarium: Build, down: float) -> None:
    """The lowest front of a base, 3 mm under the next, moved down (or up) by so many mm."""
    lower, upper = lowest_fronts(herbarium)["north"]
    gap = 3.0 + down
    found = list(clearances(moved(herbarium, (0, 0, -down), lower)))
    if 1.5 - EXACT <= gap <= 5.0 + EXACT:
        assert found == []
        return
    (finding,) = found
    assert finding.code == ("too-tight" if gap < 1.5 else "too-loose")
    assert set(finding.parts) == {lower, upper}
    assert finding.value == pytest.approx(gap, abs=EXACT)
    assert finding.severity == ("fault" if gap <= 0.01 else "warning")


def test_over_a_member_of_the_frame_a_gap_is_as_wide_as_the_member(tmp_path: Path) -> None:
    """A 40 mm rail lapped by 12 mm from both sides shows 16 mm of itself; tighter than the least is still told."""
    options = base(height=800, drawers={"rows": 2, "mullions": True}, frame={"rail": 40})
    built = build(write_project(tmp_path, {"press": options}))
    (one,) = all_of(built)["front_to_front"]
    assert one.gap == pytest.approx(40 - 2 * 12, abs=EXACT)
    assert told(built) == {}
    assert set(told(moved(built, (0, 0, 14.6), "press/drawer 2/front"))) == {("front_to_front", "too-tight")}


def beside_a_wall(folder: Path, margin: float, **more: object) -> Build:
    """A door hinged at the left, 100 degrees open, `margin` mm from the wall at its left."""
    room = {"walls": {"west": {"width": 3000}, "north": {"width": 2400}}}
    door = {"door": {"kind": "base", "height": 800, "doors": {"leaves": 1, "hinged": "left", "opens": 100}}}
    walls = {"north": [unit("cupboard", "door", 500)]}
    return build(room_project(folder, room, walls, door, margins={"north": {"left": margin}}, **more))


def along(built: Build, path: str) -> Box:
    """The bounds of a part in the frame of the wall `north`."""
    frame = next(wall.frame for wall in built.walls if wall.name == "north")
    return built.plan.by_path[path].moved(frame.inverse()).bounds()


def reach(built: Build) -> float:
    """How far a door and its pull reach to the left of the hinges at 100 degrees.

    A point u along the leaf from its axis and p before its face is u sin 10 + p cos 10 past the axis.
    """
    door, pull = (along(built, f"cupboard/door/{part}") for part in ("door", "pull"))
    tip, lean = math.radians(10), (pull.hi[0] - door.lo[0], door.lo[1] - pull.lo[1])
    past = max(door.size[0] * math.sin(tip), lean[0] * math.sin(tip) + lean[1] * math.cos(tip))
    return past - door.lo[0]


def test_a_door_fully_open_beside_a_wall(tmp_path: Path) -> None:
    first = beside_a_wall(tmp_path / "first", 300)
    assert told(first) == {}
    needs = 300 + reach(first)  # with this margin it would just touch
    for n, (left, codes) in enumerate([(5.1, []), (4.9, ["warning"]), (0.5, ["warning"]), (-0.1, ["fault"])]):
        built = beside_a_wall(tmp_path / str(n), round(needs + left, 3))
        found = list(clearances(built))
        assert [f.severity for f in found] == codes
        for f in found:
            assert f.value == pytest.approx(left, abs=2e-3)  # places are rounded to 0.001 mm
            assert f.code == "too-tight"
            assert f.parts == ("cupboard/door/pull",)
            assert "the wall west" in f.message
            assert f.at is not None
            north = next(wall.frame for wall in built.walls if wall.name == "north")
            assert north.inverse().apply(f.at)[0] == pytest.approx(left / 2, abs=0.06)


def test_a_door_that_stays_too_far_from_a_wall(tmp_path: Path) -> None:
    asked = {"clearances": {"door_to_wall": {"min": 0, "max": 20}}}
    needs = 300 + reach(beside_a_wall(tmp_path / "first", 300))
    far = beside_a_wall(tmp_path / "far", round(needs + 30, 3), **asked)
    (finding,) = clearances(far)
    assert (finding.code, finding.limit) == ("too-loose", 20)
    assert finding.value == pytest.approx(30, abs=2e-3)
    assert list(clearances(beside_a_wall(tmp_path / "not near", 600, **asked))) == []


def test_a_door_fully_open_beside_what_stands_out(tmp_path: Path) -> None:
    """A tall panel of the same wall that stands out before the fronts, in place of the wall of the room."""
    first = beside_a_wall(tmp_path, 400)
    north = next(wall.frame for wall in first.walls if wall.name == "north")
    face = along(first, "cupboard/left side").hi[0]
    aside = -reach(first) - 4.0 - face  # so that its right face is 4 mm from the pull
    out = north.compose(Placement((aside, -500.0, 0.0))).compose(north.inverse())
    side = first.plan.by_path["cupboard/left side"]
    panel = replace(side, path="neighbour/panel", placement=out.compose(side.placement))
    other = replace(first.plan.units[0], name="neighbour", parts=(panel,), joints=(), motions=(), ends=("", ""))
    built = with_units(replace(first, stands_at={**first.stands_at, "neighbour": "north"}), (*first.plan.units, other))
    (finding,) = clearances(built)
    assert (finding.code, finding.severity, key_of(finding)) == ("too-tight", "warning", "door_to_wall")
    assert finding.parts == ("cupboard/door/pull", "neighbour/panel")
    assert finding.value == pytest.approx(4.0, abs=EXACT + 1e-3)


def test_ranges_are_the_projects(tmp_path: Path) -> None:
    said = {"front_to_front": {"min": "3.5 mm", "max": None}, "slide_play": {"min": 0, "max": 0}}
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 2})}, clearances=said)
    (finding,) = clearances(build(path))
    assert (finding.code, finding.value, finding.limit) == ("too-tight", 3.0, 3.5)
    assert "clearances.front_to_front asks for 3.50 mm or more" in finding.message


def test_an_inch_project_is_told_in_inches(trains: Build) -> None:
    (finding,) = clearances(moved(trains, (0, 0, -3.0), "tool base/drawer 3/front"))
    assert finding.value == pytest.approx(25.4 / 8 + 3.0, abs=2e-3)
    assert "0.243 in apart" in finding.message


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({"min": 5, "max": 3}, "less than its min"),
        ({"min": 1}, "max"),
        ({"max": 3}, "min"),
        ({"min": "x", "max": 3}, "x"),
    ],
)
def test_a_range_that_is_none(tmp_path: Path, said: dict, word: str) -> None:
    path = write_project(tmp_path, {"press": base(height=800)}, clearances={"front_to_front": said})
    with pytest.raises(ConfigError, match=word) as caught:
        build(path)
    assert "front_to_front" in str(caught.value) or str(caught.value).count(":") >= 3


def test_every_clearance_has_a_range_and_a_sentence() -> None:
    assert set(Clearances.model_fields) == set(KINDS)
