"""Carrying, lifting, standing up, reaching: formulas against searches, findings against sizes known by hand."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import CONFIGS
from hypothesis import given
from hypothesis import strategies as st
from projects import base, write_project

from model.build import Build, build
from model.checks.knee_space import depth_of, knee_space, knees
from model.checks.lifting import carried, index, lifting
from model.checks.open_floor import open_floor
from model.checks.reach import reach
from model.checks.standing_up import standing_up
from model.checks.way_in import longest_round, passes
from model.findings import Finding
from model.handling.niosh import Lift, box_out, limit, multipliers
from model.handling.tackle import advantage, at_anchor, pull
from model.handling.tilting import needed_height, tallest, tilted_length
from model.room.room import WayIn
from model.shapes import Box
from model.statics.masses import lump_of

MM = st.floats(1, 3000)
TALL = {"height": 2200, "depth": 600, "drawers": None, "doors": {"leaves": 1}, "shelves": {"count": 3}}


def of(findings: Any, code: str, said: str = "") -> list[Finding]:
    return [f for f in findings if f.code == code and said in f.message]


# --- formulas


@given(MM, MM, st.floats(-0.8, 2.0))
def test_the_height_it_takes_is_the_greatest_of_all_angles(tall: float, deep: float, rise: float) -> None:
    """Both upper corners at 2,000 angles: none stands higher over the ceiling's slope, one as high."""
    a = np.linspace(0, math.pi / 2, 2001)
    s, c = np.sin(a), np.cos(a)
    rear = tall * s + deep * c - rise * (tall * c - deep * s)
    front = tall * s - rise * tall * c
    needed = needed_height(tall, deep, rise)
    assert rear.max() <= needed + 1e-9 * needed
    assert rear.max() == pytest.approx(needed, rel=1e-5)
    assert front.max() <= needed + 1e-9 * needed


@given(st.floats(100, 3000), st.floats(10, 3000))
def test_level_it_takes_its_diagonal_and_back(tall: float, deep: float) -> None:
    ceiling = needed_height(tall, deep)
    assert ceiling == pytest.approx(math.hypot(tall, deep))
    assert tallest(ceiling, deep) == pytest.approx(tall, rel=1e-6)


@given(MM, MM, MM)
def test_the_shortest_tilt_is_the_least_of_all_angles(long: float, high: float, ceiling: float) -> None:
    a = np.linspace(0, math.pi / 2, 20001)
    plan = long * np.cos(a) + high * np.sin(a)
    up = long * np.sin(a) + high * np.cos(a)
    allowed = np.logical_and.accumulate(up <= ceiling)  # it is tilted from level, and passes no angle it is too high at
    found = tilted_length(long, high, ceiling)
    if not allowed.any():
        assert high > ceiling
        assert math.isinf(found)
        return
    assert plan[allowed].min() == pytest.approx(found, rel=2e-3, abs=0.5)


def test_a_long_board_goes_round_a_corner_tilted() -> None:
    """Round 900 into 860 mm nothing level is longer than 2489 mm (ladder problem); tilted up to 2400 mm 2900 passes."""
    high = WayIn(door_width=860, door_height=2000, corridor=900, turn_height=2400)
    board = (2900.0, 18.0, 60.0)
    assert longest_round(900, 860, 18) < (900 ** (2 / 3) + 860 ** (2 / 3)) ** 1.5 < 2490
    assert passes(high, board)
    assert not passes(high.model_copy(update={"turn_height": 400.0}), board)


@given(st.integers(1, 12), st.floats(0.5, 0.999), st.floats(1, 1000))
def test_tackle_with_friction_pulls_harder(parts: int, kept: float, load: float) -> None:
    """The sum is the geometric series e (1 - e^n) / (1 - e); friction helps nothing, more parts always help."""
    assert advantage(parts, kept) == pytest.approx(kept * (1 - kept**parts) / (1 - kept))
    assert advantage(parts, kept, "moving") == pytest.approx((1 - kept**parts) / (1 - kept))
    assert advantage(parts) == parts
    assert pull(load, parts, kept) > load / parts
    assert pull(load, parts + 1, kept) < pull(load, parts, kept)
    assert at_anchor(load, parts, kept) == pytest.approx(load + pull(load, parts, kept))


LIFTS = st.builds(Lift, st.floats(1, 700), st.floats(0, 1900), st.floats(0, 1900), st.floats(0, 150))


@given(LIFTS)
def test_no_lift_is_better_than_the_best(lift: Lift) -> None:
    m = multipliers(lift)
    assert 0 <= limit(lift) <= 23
    assert all(0 <= x <= 1 for x in (m.horizontal, m.vertical, m.distance, m.asymmetry, m.frequency, m.coupling))


@given(LIFTS, st.floats(0, 400))
def test_farther_out_and_more_twisted_never_allows_more(lift: Lift, more: float) -> None:
    farther = Lift(lift.out + more, lift.height, lift.travel, lift.twist)
    twisted = Lift(lift.out, lift.height, lift.travel, lift.twist + more / 4)
    assert limit(farther) <= limit(lift) + 1e-9
    assert limit(twisted) <= limit(lift) + 1e-9


# --- findings


def cupboard(tmp_path: Path, ceiling: float = 2400, slopes: Any = (), **options: Any) -> Build:
    room = {"height": ceiling, "slopes": list(slopes), "walls": {"north": {"width": 2400}}}
    return build(write_project(tmp_path, {"tall": base(**{**TALL, **options})}, room=room))


def test_a_tall_cupboard_stands_up_where_its_diagonal_fits(tmp_path: Path) -> None:
    """2200 high and 619.2 deep with its door it takes 2285.5 mm and 10 to spare; on its side, 600 wide, 2280.4."""
    diagonal = math.hypot(2200, 619.2)
    assert not list(standing_up(cupboard(tmp_path, diagonal + 10.1)))
    (found,) = standing_up(cupboard(tmp_path, diagonal + 9.8))
    assert found.value == pytest.approx(diagonal, abs=0.1)
    assert found.severity == "note"
    assert "Stand it up on its side" in found.message
    (found,) = standing_up(cupboard(tmp_path, math.hypot(2200, 600) + 9.8))
    assert found.severity == "warning"
    assert "Put it together standing" in found.message


def test_under_a_slope_it_is_stood_up_farther_out(tmp_path: Path) -> None:
    """The ceiling rises 550 over 1375 mm from the wall: where the cupboard stands it is too low to tip it up there; so
    far out as is said it is just high enough."""
    slope = {"wall": "north", "falls_to": 2150, "over": 1375}
    (found,) = standing_up(cupboard(tmp_path, 2700, [slope]))
    rise, d = 550 / 1375, dict(found.details)["depth_mm"]
    a = np.linspace(0, math.pi / 2, 9001)
    corner = 2200 * np.sin(a) + d * np.cos(a) - rise * (2200 * np.cos(a) - d * np.sin(a))
    assert found.value == pytest.approx(corner.max(), abs=0.1)
    assert found.limit == pytest.approx(2150 + rise * d - 10, abs=10)
    assert found.severity == "note"
    assert found.value
    out = (found.value + 10 - 2150) / rise
    assert f"{out:.0f}" in found.message or f"{out:.1f}" in found.message


def test_what_a_unit_weighs_is_what_its_parts_weigh(tmp_path: Path) -> None:
    built = cupboard(tmp_path)
    (unit,) = built.plan.units
    load = carried(built, unit)
    assert load
    assert load.whole.mass == pytest.approx(sum(lump_of(p, built.stock).mass for p in unit.parts))
    moving = {path for m in unit.motions for path in m.parts}
    assert moving
    door = sum(lump_of(p, built.stock).mass for p in unit.parts if p.path in moving)
    shelves = sum(lump_of(p, built.stock).mass for p in unit.parts if p.role in ("shelf", "shelf pin"))
    assert load.bare.mass == pytest.approx(load.whole.mass - door - shelves)
    x, _, _ = load.whole.centre
    assert load.box.lo[0] < x < load.box.hi[0]


def test_the_message_reproduces_its_own_sum(tmp_path: Path) -> None:
    (found,) = lifting(cupboard(tmp_path))
    sum_said = found.message.split("may lift ")[1].split(" kg")[0]
    factors, total = sum_said.split(" = ")
    assert math.prod(float(f) for f in factors.split(" x ")) == pytest.approx(float(total), abs=0.06)
    assert found.value
    assert found.limit
    assert f"index of {found.value / found.limit:.2f}" in found.message


def test_more_people_lift_more_and_tackle_is_told(tmp_path: Path) -> None:
    built = cupboard(tmp_path)
    load = carried(built, built.plan.units[0])
    assert load
    assert index(load, 1) > index(load, 2) > index(load, 3) > index(load, 4)
    project = write_project(
        tmp_path,
        {"tall": base(**TALL)},
        comfort={"carrying": {"people": 1, "tackle": 4, "sheave": 0.95}},
    )
    (found,) = lifting(build(project))
    kg = found.value or 0.0
    assert f"4 parts of tackle the hand pulls {kg / 3.5244:.1f} kg" in found.message
    assert f"the anchor carries {kg + kg / 3.5244:.1f} kg" in found.message


def test_an_upper_over_the_head_is_not_for_hands(tmp_path: Path) -> None:
    """Hands at 1800 mm are above the 1750 mm at which the equation ends."""
    lift = Lift(300, 1800, 1050)
    assert limit(lift) == 0
    assert limit(Lift(300, 1750, 1000)) > 0
    assert box_out(600, 150) == 550
    assert box_out(600, 750) == 500
    assert box_out(40, 750) == 250


def desk(tmp_path: Path, **more: Any) -> Build:
    units = {
        "left": base(depth=600),
        "seat": {"kind": "kneehole", "depth": 600, "drawers": None, **more.pop("seat", {})},
        "right": base(depth=600),
    }
    top = {"name": "desk top", "wall": "north", "over": ["left", "seat", "right"], "height": more.pop("height", 740)}
    return build(write_project(tmp_path, units, widths={"seat": more.pop("width", 800)}, tops=[top], **more))


def test_knee_space_is_measured_between_floor_and_apron(tmp_path: Path) -> None:
    """A top of 17.8 at 740, an apron of 40 under it: 682.2 high; as wide as it stands between its neighbours."""
    built = desk(tmp_path)
    seat = next(u for u in built.plan.units if u.kind == "kneehole")
    has = knees(built, seat)
    assert has.height == pytest.approx(740 - 17.8 - 40)
    assert has.width == pytest.approx(800)
    assert has.foot_depth == pytest.approx(625)
    (found,) = knee_space(built)
    assert found.severity == "note"


def test_a_drawer_takes_knee_space(tmp_path: Path) -> None:
    built = desk(tmp_path, seat={"drawers": {"front_height": 120}})
    held = knees(built, built.plan.units[1])
    assert held.height < 740 - 17.8 - 40
    (found,) = knee_space(built)
    assert found.severity == "warning"
    assert found.value == held.height


def test_a_narrow_kneehole_and_the_accessible_one(tmp_path: Path) -> None:
    (found,) = knee_space(desk(tmp_path, width=500))
    assert (found.severity, found.value, found.limit) == ("warning", 500, 600)
    (found,) = knee_space(desk(tmp_path, width=740, height=860, comfort={"accessible": True}))
    assert (found.value, found.limit) == (740, 762)


@pytest.mark.parametrize(
    ("height", "accessible", "n"),
    [(740, False, 0), (800, False, 1), (900, False, 0), (900, True, 1), (800, True, 0), (1200, False, 1)],
)
def test_tops_are_to_sit_or_to_stand_at(tmp_path: Path, height: float, accessible: bool, n: int) -> None:
    built = desk(tmp_path, height=height, comfort={"accessible": accessible})
    assert len(of(reach(built), "work-height")) == n


def test_high_shelves_are_out_of_reach(tmp_path: Path) -> None:
    """The cupboard's highest shelf of three, at about three quarters of 2200, is within 1830; of five it is not."""
    assert not of(reach(cupboard(tmp_path)), "reach")
    (found,) = of(reach(cupboard(tmp_path, shelves={"count": 6})), "reach")
    assert found.limit == 1830
    assert found.value
    assert 1830 < found.value < 2200
    project = write_project(tmp_path, {"tall": base(**TALL)}, comfort={"accessible": True})
    (found,) = of(reach(build(project)), "reach")
    assert found.limit == pytest.approx(48 * 25.4)


def test_drawers_hold_what_is_between_their_sides(tmp_path: Path) -> None:
    """Against the outer size of the box less its walls, 11.8 mm or whatever they are thick."""
    built = build(write_project(tmp_path, {"chest": base(height=800, drawers={"rows": 3})}))
    (found,) = of(reach(built), "drawer-room")
    litres = 0.0
    for i in (1, 2, 3):
        part = {p.path.rsplit("/", 1)[-1]: p.bounds() for p in built.plan.walk() if f"/drawer {i}/" in p.path}
        left, right, front, back = (part[k] for k in ("left side", "right side", "sub-front", "box back"))
        wide, deep = right.lo[0] - left.hi[0], back.lo[1] - front.hi[1]
        litres += wide * deep * (left.hi[2] - part["bottom"].hi[2]) / 1e6
    assert found.value == pytest.approx(litres, abs=0.02)


def test_floor_is_left_before_open_drawers(tmp_path: Path) -> None:
    room: dict[str, Any] = {
        "height": 2500,
        "walls": {"east": {"width": 1500}, "north": {"width": 1200}, "south": {"width": 1500}, "west": {"width": 1200}},
    }
    options = base(height=800, drawers={"rows": 3})
    (found,) = open_floor(build(write_project(tmp_path, {"chest": options}, room=room)))
    details = dict(found.details)
    assert found.value == pytest.approx(details["free_mm"] - details["opens_mm"])
    assert found.limit == 600
    room["walls"]["east"] = room["walls"]["south"] = {"width": 2400}
    assert not list(open_floor(build(write_project(tmp_path, {"chest": options}, room=room))))


def test_the_demos_are_told_once_for_each_unit(herbarium: Build) -> None:
    names = [f.message.split(" weighs")[0].split("/")[0] for f in lifting(herbarium)]
    assert len(names) == len(set(names)) == 8
    assert CONFIGS.exists()


def test_what_stands_behind_the_knees_takes_depth() -> None:
    """A box 350 mm behind the front at the feet stops them, not the knees; beside the legs it stops nothing."""
    box = Box((0, -250, 0), (800, -200, 120))
    legs = (200.0, 600.0)
    assert depth_of([box], legs, (0, 150), -600) == 350
    assert depth_of([box], legs, (150, 650), -600) == 600
    assert depth_of([Box((0, -250, 0), (150, -200, 120))], legs, (0, 150), -600) == 600
    assert depth_of([Box((0, -700, 0), (800, -650, 120))], legs, (0, 150), -600) == 600


def test_shelves_over_a_base_are_reached_less_high(herbarium: Build) -> None:
    """The book upper is 280 deep on a top 636 deep: its top shelf is reached over the rest, 1730 and not 1830 high."""
    (found,) = of(reach(herbarium), "reach")
    assert found.limit == 1730
    assert found.parts == ("book upper/shelf 3",)
    assert dict(found.details)["over_mm"] == pytest.approx(385.8, abs=0.1)


def test_what_does_not_go_in_whole_is_put_together_in_its_place() -> None:
    built = build(CONFIGS / "guest-study" / "project.yaml")
    said = {f.message.split(" weighs")[0]: "put it together in its place" in f.message for f in lifting(built)}
    assert {name for name, in_place in said.items() if in_place} == {"left cupboard", "guest bed", "right cupboard"}
    assert "desk" in said
