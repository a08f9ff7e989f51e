"""Slides against closed forms and a CAD kernel's booleans."""

import math

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.checks.interference import interference
from model.collision.motion import swung
from model.cuts import Bore, Cutout
from model.part import Motion, PlacedPart
from model.placement import Placement
from model.shapes import Box
from tests.placed import (
    FRONT,
    RIGHT,
    SOLIDS,
    bar,
    block,
    detail,
    found,
    item,
    kernel_place,
    pairs_of_parts,
    panel,
    placements,
    plan,
    slide,
)


@pytest.mark.parametrize("sheet", [0.1, 0.5, 3.0])
@pytest.mark.parametrize("free", [0.0, 0.3, 123.4, 499.3])
def test_a_thin_sheet_on_the_way_is_never_stepped_over(sheet, free):
    parts = {
        "box": block((0, 0, 0), (300, 400, 100)),
        "sheet": block((-50, -free - sheet, -50), (350, -free, 150)),
    }
    (f,) = found("blocked", parts, motions=[slide("box")])
    assert f.parts == ("box", "sheet")
    assert f.value == pytest.approx(free, abs=0.05)
    assert detail(f, "free_travel_mm") == f.value
    run = min(sheet, 500 - free)
    assert detail(f, "volume_mm3") == pytest.approx(300 * 100 * run, rel=0.03)
    assert f.limit == 500


def test_two_thin_sheets_that_pass_through_each_other_are_found():
    """Both 0.5 mm: they share a volume for 1 mm of 500 only."""
    parts = {
        "box": block((0, 0, 0), (300, 0.5, 100)),
        "sheet": block((-50, -250.5, -50), (350, -250, 150)),
    }
    (f,) = found("blocked", parts, motions=[slide("box")])
    assert f.value == pytest.approx(250, abs=0.05)
    assert detail(f, "volume_mm3") == pytest.approx(300 * 100 * 0.5, rel=0.01)
    assert detail(f, "position_mm") == pytest.approx(250.5, abs=0.05)


def test_a_part_just_past_the_travel_is_free():
    parts = {"box": block((0, 0, 0), (300, 400, 100)), "wall": block((-50, -520, -50), (350, -500, 150))}
    assert not found("blocked", parts, motions=[slide("box")])
    parts["wall"] = block((-50, -519, -50), (350, -499, 150))
    (f,) = found("blocked", parts, motions=[slide("box")])
    assert f.value == pytest.approx(499, abs=0.05)
    assert detail(f, "volume_mm3") == pytest.approx(300 * 100 * 1.0)


@pytest.mark.parametrize("angle", [0.0, 0.4])
def test_sliding_contact_is_clean(angle):
    """A drawer between two slides, each member face to face with the next, on a wall at any angle."""
    channel = item(
        (450, 45, 13), Box((0, 0, 0), (450, 45, 2)), Box((0, 0, 2), (450, 4, 13)), Box((0, 41, 2), (450, 45, 13))
    )
    wall = Placement.turned("z", angle, (100.001, 50.007, 0))

    def at(part_at):
        part, place = part_at
        return part, wall.compose(place)

    parts = {
        "side": at(block((-18, 0, 0), (0, 500, 200))),
        "cabinet member": (channel, wall.compose(Placement.axes((0, 0, 80), "+y", "+x"))),
        "drawer member": at(block((2, 0, 84), (13, 450, 121))),
        "drawer": at(block((13, 0, 30), (287, 450, 170))),
        "rail below": at(block((0, 0, 0), (300, 22, 30))),
        "rail above": at(block((0, 0, 170), (300, 22, 200))),
        "front": at(block((-18, -18, 10), (318, 0, 190))),
    }
    out = wall.turn(FRONT)
    moving = slide("drawer", "drawer member", "front", direction=out, travel=450.0)
    assert list(interference(plan(parts, motions=[moving]))) == []


def test_a_drawer_that_does_not_clear_the_frame():
    """The frame stands 3 mm in front of the box: blocked after 40 mm, by the stile alone."""
    stile = panel(200, 40, 22, Bore(face="A", u=10, v=5, diameter=3))
    parts = {
        "drawer": block((13, 62, 30), (287, 450, 170)),
        "stile": (stile, Placement.axes((16, 22, 0), "+z", "-y")),
        "other": block((400, 22, 0), (440, 44, 200)),
    }
    lying = PlacedPart("s", *parts["stile"], "stile").bounds()
    assert lying == Box((-24, 0, 0), (16, 22, 200)), lying
    (f,) = found("blocked", parts, motions=[slide("drawer")])
    assert f.parts == ("drawer", "stile")
    assert f.value == pytest.approx(40, abs=0.05)
    assert detail(f, "volume_mm3") == pytest.approx(3 * 22 * 140, rel=1e-6)
    assert detail(f, "depth_mm") == pytest.approx(3, abs=1e-3)


def test_a_knob_meets_a_sloped_edge_where_geometry_says():
    """A box sliding along x against a plate turned by 30 degrees: contact where its corner reaches the plate's face."""
    plate = panel(400, 400, 120)
    turned = Placement.turned("z", math.radians(30), (300, -100, 0))
    parts = {"box": block((0, 0, 50), (100, 60, 90)), "plate": (plate, turned)}
    # The plate's face x' = 0 runs from (300, -100) along (-sin 30, cos 30); its near end at y = 60 lies at this x.
    face_x = 300 - 160 * math.tan(math.radians(30))
    (f,) = found("blocked", parts, motions=[slide("box", direction=RIGHT, travel=300.0)])
    assert f.value == pytest.approx(face_x - 100, abs=0.1)


@pytest.mark.parametrize("moves", ["wedge", "wall"])
def test_a_corner_meets_the_middle_of_a_face(moves):
    """A square of 100 turned by 45 degrees points its corner, 50 sqrt 2 from its middle, at a wall far larger."""
    wedge = Placement.turned("z", math.pi / 4).compose(Placement((-50, -50, -50)))
    parts = {"wedge": (panel(100, 100, 100), wedge), "wall": block((200, -500, -500), (220, 700, 500))}
    direction = RIGHT if moves == "wedge" else (-1.0, 0.0, 0.0)
    (f,) = found("blocked", parts, motions=[slide(moves, direction=direction, travel=300.0)])
    assert f.value == pytest.approx(200 - 50 * math.sqrt(2), abs=0.1)


def test_a_bar_meets_a_bar_across():
    parts = {
        "a": (bar(10, 100), Placement((-10, -10, -50))),
        "b": (bar(5, 100), Placement.axes((190, -50, -5), "+x", "+y")),
    }
    assert not found("blocked", parts, motions=[slide("a", direction=RIGHT, travel=179.0)])
    (f,) = found("blocked", parts, motions=[slide("a", direction=RIGHT, travel=250.0)])
    assert f.value == pytest.approx(190 - 10, abs=0.1)


def test_a_peg_slides_in_its_slot_and_stops_at_its_end():
    slot = panel(400, 100, 18, Cutout(u0=100, u1=300, v0=40, v1=60))
    parts = {"slot": (slot, Placement()), "peg": block((100, 40, -10), (120, 60, 30))}
    assert not found("blocked", parts, motions=[slide("peg", direction=RIGHT, travel=180.0)])
    (f,) = found("blocked", parts, motions=[slide("peg", direction=RIGHT, travel=185.0)])
    assert f.value == pytest.approx(180, abs=0.05)
    assert detail(f, "volume_mm3") == pytest.approx(5 * 20 * 18, rel=1e-6)


@given(
    parts=pairs_of_parts,
    turned=placements,
    around=st.integers(0, 71).map(lambda k: k * math.pi / 36),
    up=st.sampled_from([-1.2, -0.5, 0.0, 0.5, 1.2]),
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_cad_kernel_agrees_on_the_free_travel(parts, turned, around, up):
    """Just short of the free travel the kernel finds the parts apart; just past it they share a volume."""
    (a, b), travel = parts, 500.0
    direction = (math.cos(around) * math.cos(up), math.sin(around) * math.cos(up), math.sin(up))
    aside = [c / 4 for c in turned.origin]
    x, y, z = (300 * d + o for d, o in zip(direction, aside, strict=True))
    at = Placement((x, y, z), turned.rotation)
    motion = slide("a", direction=direction, travel=travel)
    still = kernel_place(SOLIDS[b], at)

    def shared(run):
        return SOLIDS[a].moved(cq.Location(cq.Vector(*(c * run for c in direction)))).intersect(still).Volume()

    findings = list(interference(plan({"a": (a, Placement()), "b": (b, at)}, motions=[motion])))
    if any(f.code == "overlap" for f in findings):
        assert shared(0) > 0.9
        return
    blocked = [f for f in findings if f.code == "blocked"]
    if not blocked:
        assert max(shared(run) for run in np.linspace(0, travel, 26)) < 1.5
        return
    free, position = detail(blocked[0], "free_travel_mm"), detail(blocked[0], "position_mm")
    assert all(shared(run) < 1e-6 for run in np.linspace(0, max(free - 0.1, 0), 5))
    assert shared(min(free + 0.5, travel)) > 0
    assert shared(position) == pytest.approx(detail(blocked[0], "volume_mm3"), rel=0.02, abs=0.5)


def test_parts_that_ride_together_do_not_meet():
    parts = {"box": block((0, 0, 0), (300, 400, 100)), "front": block((0, -30, 0), (300, -18, 100))}
    assert not found("blocked", parts, motions=[slide("box", "front")])


def test_an_overlap_at_rest_is_said_once():
    parts = {"box": block((0, 0, 0), (300, 400, 100)), "rail": block((0, -10, 90), (300, 10, 120))}
    findings = list(interference(plan(parts, motions=[slide("box")])))
    assert [f.code for f in findings] == ["overlap"]


def test_a_nick_at_rest_that_grows_on_the_way_is_found():
    """0.1 x 0.5 x 10 mm at rest is below the limit; the slide drives it in."""
    rail = block((299.5, -300, 0), (330, 0.1, 10))
    parts = {"box": block((0, 0, 0), (300, 400, 100)), "rail": rail}
    assert not found("overlap", parts)
    (f,) = found("blocked", parts, motions=[slide("box")])
    assert f.value == pytest.approx(0.1, abs=0.15)  # from 0.5 mm^3 to 1 mm^3 in 0.1 mm
    assert detail(f, "volume_mm3") == pytest.approx(0.5 * 300.1 * 10, rel=1e-3)


def test_a_tray_behind_a_door_needs_it_open_only():
    """Shut, the door is in the way of the tray; swung open by 90 degrees it is not. Opened by 10 it still is."""
    parts = {
        "tray": block((20, 0, 100), (380, 400, 120)),
        "door": block((0, -20, 0), (400, 0, 300)),
    }
    door = Motion("door", "swing", ("door",), (0.0, 0.0, -1.0), math.pi / 2, (0.0, -20.0, 0.0))
    assert not found("blocked", parts, motions=[slide("tray", travel=300.0), door])
    barely = Motion("door", "swing", ("door",), (0.0, 0.0, -1.0), math.radians(10), (0.0, -20.0, 0.0))
    assert found("blocked", parts, motions=[slide("tray", travel=300.0), barely])
    assert found("blocked", parts, motions=[slide("tray", travel=300.0)])


def test_a_swing_turns_about_its_axis():
    door = Motion("door", "swing", (), (0.0, 0.0, 1.0), math.pi / 2, (100.0, 20.0, 0.0))
    assert swung(door, math.pi / 2).apply((150.0, 20.0, 7.0)) == pytest.approx((100, 70, 7))
    assert swung(door, math.pi / 2).apply((100.0, 20.0, 7.0)) == pytest.approx((100, 20, 7))
