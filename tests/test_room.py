"""Units against their room: each fault put into a sound room is found, with what a tape would measure."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import MakeUnit, plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import wrong
from pydantic import ValidationError
from rooms import BASEBOARD, l_shape, room_project, unit
from test_units import BASES

from model.build import Build, build, with_units
from model.checks import run
from model.checks.interference import interference
from model.cuts import Bore, Cutout, Notch
from model.errors import ConfigError
from model.findings import Finding
from model.part import Part, PlacedPart, _half_turn
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.room.fixtures import body
from model.room.openings import Obstructed, fitted
from model.room.room import FloorPoint, Room, Studs, Wall
from model.shapes import Box
from model.site import Unbuildable

LOW = {"height": 870}


def room(folder: Path, wall: dict[str, Any], row: list[dict[str, Any]] | None = None, **more: Any) -> Build:
    """One base 600 mm wide and deep at the left end of a wall of 2400, or the row given."""
    walls = {"north": {"width": 2400, **wall}, **more.pop("walls", {})}
    said = {"walls": walls, **{k: more.pop(k) for k in ("slopes", "way_in") if k in more}}
    row = row or [unit("base", "open", **LOW)]
    return build(room_project(folder, said, {"north": row}, **more))


def found(built: Build, code: str) -> list[Finding]:
    return [f for f in run(built) if f.code == code]


def test_a_sound_room_has_nothing_to_say(tmp_path: Path) -> None:
    assert wrong(room(tmp_path, {})) == ()


@pytest.mark.parametrize("falls_to", [900.0, 1200.0])
def test_a_tall_unit_under_a_slope(tmp_path: Path, falls_to: float) -> None:
    """The ceiling comes down to `falls_to` at the wall: a base of 870 is clear, one of 1300 is not."""
    slopes = [{"wall": "north", "falls_to": falls_to, "over": 1300}]
    row = [unit("base", "open", **LOW), unit("u", "open", height=1300)]
    built = room(tmp_path, {}, row, slopes=slopes)
    high = found(built, "too-high")
    # its rear corners, at the wall
    worst = max((f.value or 0) - (f.limit or 0) for f in high)
    assert worst == pytest.approx(1300 - falls_to)
    assert {f.parts[0].split("/")[0] for f in high} == {"u"}
    # what rises by (2500 - falls_to) / 1300 reaches 1300 this far from the wall: what ends before is clear
    reach = (1300 - falls_to) / (2500 - falls_to) * 1300
    clear = [p for p in built.plan.walk() if p.path.startswith("u/") and p.bounds().hi[1] < -reach - 1]
    assert clear or falls_to == 900
    assert not {p.path for p in clear} & {f.parts[0] for f in high}


def test_a_side_sawn_to_the_slope_is_not_too_high(tmp_path: Path) -> None:
    """What is cut away does not count: the blank reaches into the slope, the part does not."""
    built = room(tmp_path, {}, slopes=[{"wall": "north", "falls_to": 800, "over": 1000}])
    side = built.plan.by_path["base/left side"]
    assert any(f.parts[0] == side.path for f in found(built, "too-high"))
    size = side.part.size
    sawn = Notch(u0=size[0] - 120, v0=0, u1=size[0], v1=120)
    ways = (sawn, sawn.turned("z", size), sawn.turned("x", size), sawn.turned("y", size))
    (cut,) = [c for c in ways if _upper_rear(side, ((c.u0 + c.u1) / 2, (c.v0 + c.v1) / 2, 0))]
    part = replace(side, part=replace(side.part, cuts=(*side.part.cuts, cut)))
    units = [replace(u, parts=tuple(part if p == side else p for p in u.parts)) for u in built.plan.units]
    assert not any(f.parts[0] == side.path for f in found(with_units(built, tuple(units)), "too-high"))


def _upper_rear(side: PlacedPart, point: tuple[float, float, float]) -> bool:
    _, y, z = side.placement.apply(point)
    return y > -100 and z > 700


def test_a_part_past_the_end_of_its_wall(tmp_path: Path) -> None:
    uppers = [{"name": "u", "unit": "upper.yaml", "wall": "north", "x": 2000, "width": 500, "bottom": 1400}]
    past = found(room(tmp_path, {}, uppers=uppers), "past-wall")
    assert past
    assert max(f.value or 0 for f in past) == pytest.approx(100)


def test_a_part_in_a_wall_that_is_not_its_own(tmp_path: Path) -> None:
    """A wall that turns by 135 degrees comes back over the run: its plane runs 45 degrees through the last base."""
    built = room(tmp_path, {"turn": 135}, [unit("a", "open", {"fill": 1}, **LOW)], walls={"east": {"width": 3000}})
    past = found(built, "past-wall")
    # the front corner 600 from the wall lies 600 / sqrt(2) behind the plane through the corner
    assert max(f.value or 0 for f in past) == pytest.approx(600 / math.sqrt(2), abs=0.01)


def test_an_outlet_behind_a_back_gets_an_opening(tmp_path: Path) -> None:
    """A plate of 80 x 80 with 5 mm of air all round: the back is open over 90 x 90 at its place, and says so."""
    built = room(tmp_path, {"outlets": [{"x": 300, "z": 450}]})
    note = found(built, "outlet-opened")
    assert [f.severity for f in note] == ["note"]
    assert not found(built, "outlet-covered")
    back = built.plan.by_path["base/back"]
    (cut,) = [c for c in back.part.cuts if isinstance(c, Cutout)]
    assert sorted((cut.u1 - cut.u0, cut.v1 - cut.v0)) == [90, 90]
    middle = back.placement.apply(((cut.u0 + cut.u1) / 2, (cut.v0 + cut.v1) / 2, 0.0))
    assert (middle[0], middle[2]) == pytest.approx((300, 450))


@pytest.mark.parametrize(
    ("outlet", "code"),
    [
        ({"x": 605, "z": 450}, "outlet-covered"),  # half behind the side: no opening can clear it
        ({"x": 300, "z": 450, "kind": "switch"}, "switch-covered"),
        ({"x": 900, "z": 450}, None),
    ],
)
def test_an_outlet_that_stays_covered(tmp_path: Path, outlet: dict[str, Any], code: str | None) -> None:
    built = room(tmp_path, {"outlets": [outlet]})
    codes = {f.code for f in wrong(built)}
    assert codes == ({code} if code else set())


def test_a_unit_before_a_window(tmp_path: Path) -> None:
    """A sill at 700 and a base 870 high from 0 to 600, a window from 500 on: 100 wide, 170 high of it is covered."""
    (seen,) = found(room(tmp_path, {"windows": [{"x": 500, "z": 700, "width": 900, "height": 1200}]}), "window-covered")
    assert seen.value == pytest.approx(170)
    assert dict(seen.details)["width_mm"] == pytest.approx(100)


@pytest.mark.parametrize("kind", ["radiators", "pipes", "beams"])
def test_what_stands_out_of_a_wall_is_in_the_way(tmp_path: Path, kind: str) -> None:
    thing = {"name": "thing", "x": 550, "z": 100, "width": 200, "height": 300, "projection": 120}
    hits = found(room(tmp_path, {kind: [thing]}), "in-the-way")
    assert {"base/right side", "base/back"} <= {f.parts[0] for f in hits}
    assert found(room(tmp_path, {kind: [{**thing, "x": 600}]}), "in-the-way") == []


def test_a_radiator_needs_air(tmp_path: Path) -> None:
    thing = {"name": "radiator", "x": 640, "z": 100, "width": 600, "height": 600, "projection": 100, "clear": 50}
    (seen,) = found(room(tmp_path, {"radiators": [thing]}), "no-air")
    assert seen.limit == 50
    assert found(room(tmp_path, {"radiators": [{**thing, "x": 660}]}), "no-air") == []


def test_a_drawer_that_opens_into_a_radiator_round_the_corner(tmp_path: Path) -> None:
    """A radiator on the next wall, 950 from the corner: what is pulled meets it after 950 less what it stands out."""
    radiator = {"name": "radiator", "x": 950, "z": 100, "width": 600, "height": 600, "projection": 150}
    walls = {"east": {"width": 2400, "radiators": [radiator]}}
    row = [unit("gap", "open", 1750, **LOW), unit("base", "drawers", 600, **LOW)]
    built = room(tmp_path, {}, row, walls=walls, margins={"north": {"left": 0, "right": 50}})
    hits = found(built, "hits-room")
    assert hits
    for hit in hits:
        assert hit.value == pytest.approx(950 + built.plan.by_path[hit.parts[0]].bounds().lo[1], abs=0.05)


def test_floor_heights_between_the_places_measured() -> None:
    wall = Wall(
        width=3000.0, floor=(FloorPoint(x=0.0, z=-4.0), FloorPoint(x=1000.0, z=2.0), FloorPoint(x=3000.0, z=-8.0))
    )
    xs = [0, 250, 1000, 2500, 3000]
    assert [wall.floor_at(x) for x in xs] == pytest.approx(2.0 - np.interp(xs, [0, 1000, 3000], [-4, 2, -8]))


def test_shims_lift_units_from_the_highest_place_of_the_floor(tmp_path: Path) -> None:
    """6 mm of fall over 1200: nothing at the left end, 3 mm at 600."""
    (shim,) = found(room(tmp_path, {"floor": [{"x": 0, "z": 0}, {"x": 1200, "z": -6}]}), "shims")
    assert dict(shim.details) == {"left_mm": 0, "right_mm": 3}
    assert shim.severity == "note"


@pytest.mark.parametrize(("margin", "finds"), [(4.0, True), (12.0, False)])
def test_a_margin_smaller_than_the_wall_is_out(tmp_path: Path, margin: float, finds: bool) -> None:
    """10 mm over 2500 of height is 3.48 at 870; 4 mm over 600 out from the corner is 3 on 450 of depth."""
    wall = {"out_of_plumb": 10, "out_of_square": 4}
    row = [unit("base", "open", **LOW, depth=450)]
    seen = found(room(tmp_path, wall, row, margins={"north": {"left": margin}}), "scribe")
    assert len(seen) == finds
    if seen:
        assert seen[0].value == pytest.approx(10 * 870 / 2500 + 3, abs=0.01)
        assert seen[0].limit == margin


@pytest.mark.parametrize("how", ["stand_off", "notch", "removed"])
def test_a_baseboard_is_stood_off_notched_or_removed(tmp_path: Path, how: str) -> None:
    """14 mm of baseboard 80 high: rear edges 14 off the wall, or at it, with 17 x 83 sawn out (3 mm of air) or not."""
    built = room(tmp_path, {"baseboard": BASEBOARD}, baseboard=how)
    assert wrong(built) == ()
    side = built.plan.by_path["base/left side"]
    rear = max(p.bounds().hi[1] for p in built.plan.walk())
    assert rear == pytest.approx(-14 if how == "stand_off" else 0)
    notches = [(round(abs(c.u1 - c.u0)), round(abs(c.v1 - c.v0))) for c in side.part.cuts if isinstance(c, Notch)]
    assert ((83, 17) in notches) == (how == "notch")


def test_a_back_that_reaches_the_floor_is_lifted_over_the_baseboard(tmp_path: Path) -> None:
    row = [unit("base", "open", **LOW, toe_kick={"style": "notch", "height": 100}, frame=None)]
    built = room(tmp_path, {"baseboard": {"height": 90, "thickness": 14}}, row, baseboard="notch")
    assert [f.message for f in wrong(built)] == []
    back = built.plan.by_path["base/back"].bounds()
    assert back.lo[2] >= 93


@pytest.mark.parametrize("turn", ["", "x", "y", "z"])
def test_a_panel_to_the_floor_is_shortened_from_below(turn: str) -> None:
    """Whichever way its blank lies, 83 of its height go at the foot, and what is drilled above stays in place."""
    size = (800.0, 500.0, 6.0)
    cuts = (
        Bore(face="A", u=700, v=60, diameter=10, depth=3),
        Bore(face="A", u=300, v=400, diameter=8),
        Notch(u0=0, v0=0, u1=20, v1=30),
    )
    bench = Part(kind="sheet", material="x", length=size[0], width=size[1], thickness=size[2], cuts=cuts)
    upright = Placement.axes((500.0, -6.0, 0.0), "+z", "-y")
    upright = replace(upright, origin=(upright.origin[0] - upright.box(Box((0, 0, 0), size)).lo[0], 0.0, 0.0))
    half = _half_turn(turn, size)
    there = PlacedPart(
        "back",
        replace(bench, cuts=tuple(c.turned(turn, size) for c in cuts) if turn else cuts),
        upright.compose(half),
        "back",
    )
    wall = Wall.model_validate({"width": 3000.0, "baseboard": BASEBOARD})
    (cut,) = fitted(BuiltUnit("u", "U1", "x", (there,)), Placement(), wall, True).parts
    assert cut.bounds().span("z") == pytest.approx((83, 800))
    assert cut.bounds().span("x") == there.bounds().span("x")
    spots = {tuple(cut.placement.apply((c.u, c.v, 0.0))) for c in cut.part.cuts if isinstance(c, Bore)}
    wanted = {tuple(upright.apply((u, v, 0.0))) for u, v in ((700, 60), (300, 400))}
    assert {(round(x), round(z)) for x, _, z in spots} == {(round(x), round(z)) for x, _, z in wanted}
    assert not any(isinstance(c, Notch) for c in cut.part.cuts)


def test_a_bottom_lower_than_the_baseboard_cannot_be_notched(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="raise the toe kick"):
        room(tmp_path, {"baseboard": {"height": 200, "thickness": 14}}, baseboard="notch")


def test_a_baseboard_round_the_corner_is_in_the_way(tmp_path: Path) -> None:
    """A run up to the corner with the next wall's baseboard still on: 14 mm of it."""
    built = room(
        tmp_path, {}, [unit("a", "open", 2400, **LOW)], walls={"east": {"width": 2000, "baseboard": BASEBOARD}}
    )
    hits = found(built, "in-the-way")
    assert max(f.value or 0 for f in hits) == pytest.approx(14)


def test_what_cannot_be_open_together_round_a_corner(tmp_path: Path) -> None:
    seen = found(build(l_shape(tmp_path)), "not-both-open")
    assert {f.severity for f in seen} == {"warning"}
    assert "b and c" in {f.message.split(" cannot")[0] for f in seen}


@pytest.mark.parametrize(
    ("wall", "message"),
    [
        ({"windows": [{"x": 2000.0, "z": 900.0, "width": 500.0, "height": 900.0}]}, "past the end of the wall"),
        ({"studs": {"spacing": 400.0, "positions": [1.0]}}, "and not both"),
        ({"studs": {}}, "and not both"),
        ({"floor": [{"x": 5.0, "z": 1.0}, {"x": 5.0, "z": 2.0}]}, "from left to right"),
        ({"turn": 180.0}, "less than 180"),
    ],
)
def test_a_room_that_cannot_be(wall: dict[str, Any], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        Room.model_validate({"height": 2500.0, "walls": {"north": {"width": 2400.0, **wall}}})


def test_studs_by_spacing_are_those_by_position() -> None:
    """Studs 16 in on centre (406.4 mm: common practice)."""
    by_spacing = Studs(spacing=406.4, first=100.0).centres(1400.0)
    assert by_spacing == pytest.approx((100, 506.4, 912.8, 1319.2))
    assert Studs(positions=(100.0, 506.4, 1500.0)).centres(1400.0) == (100, 506.4)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    asked=BASES,
    width=st.floats(400, 1000).map(lambda x: round(x, 1)),
    board=st.tuples(st.floats(30, 160), st.floats(6, 25)),
    outlet=st.tuples(st.floats(0, 1000), st.floats(0, 900)),
)
def test_a_base_fitted_to_its_wall_stays_sound(
    make_unit: MakeUnit,
    asked: dict[str, Any],
    width: float,
    board: tuple[float, float],
    outlet: tuple[float, float],
) -> None:
    """Notched and opened, it still has every joint, and nothing of it is left where the baseboard is."""
    try:
        made = make_unit("base", width, 870, **asked)
    except Unbuildable:
        return
    depth = asked["depth"]
    wall = Wall.model_validate(
        {
            "width": 3000.0,
            "baseboard": {"height": round(board[0], 1), "thickness": round(board[1], 1)},
            "outlets": [{"x": outlet[0], "z": outlet[1]}],
        }
    )
    at = Placement((0.0, -depth, 0.0))
    try:
        unit_there = fitted(made, at, wall, True)
    except Obstructed:
        return
    assert [f.message for f in interference(plan_of(unit_there))] == []
    foot = body(
        "//board", Placement((-10.0, -round(board[1], 1), 0.0)), (3000.0, round(board[1], 1), round(board[0], 1))
    )
    assert [f.message for f in interference(Plan("test", (*plan_of(unit_there.placed(at)).units, _alone(foot))))] == []


def _alone(placed: PlacedPart) -> BuiltUnit:
    return BuiltUnit("//board", "X2", "room", (placed,))
