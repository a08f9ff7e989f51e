"""Swings against closed forms and a CAD kernel's booleans: doors, flaps and beds on their way."""

import io
import json
import math

import cadquery as cq
import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from rich.console import Console

from exporters.interference import report, table
from model.build import Build, with_units
from model.checks.interference import interference, interference_of
from model.collision.arcs import arcs
from model.cuts import Bore
from model.measures import show_angle
from model.meshes import arrays, mesh
from model.part import Joint, Motion, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from tests.placed import (
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
)

W, T = 600.0, 18.0
"""A door: its width and thickness. It is hung at the corner of its face and opens toward -y."""
DOOR = block((0, 0, 0), (W, T, 700))
REACH = math.hypot(W, T)


def opens(*parts: str, degrees: float = 90.0, origin=(0.0, 0.0, 0.0), axis=(0.0, 0.0, -1.0)) -> Motion:
    return Motion("door", "swing", parts or ("door",), axis, math.radians(degrees), origin)


def post(radius: float, bearing: float, thick: float = 3.0):
    """A round post whose nearest point is `radius` from the hinge, `bearing` radians round from the shut face."""
    x, y = ((radius + thick) * math.cos(bearing), -(radius + thick) * math.sin(bearing))
    return bar(thick, 1000), Placement((x - thick, y - thick, -50))


@pytest.mark.parametrize("bearing", [0.2, 0.7, 1.3])
@pytest.mark.parametrize(("inside", "hit"), [(0.5, True), (0.05, True), (-0.05, False), (-0.5, False)])
def test_a_door_sweeps_a_quarter_disc_to_its_far_corner(bearing, inside, hit):
    """The far corner is sqrt(w^2 + t^2) from the hinge: a post nearer than that is hit, one beyond is not."""
    faults = found("blocked", {"door": DOOR, "post": post(REACH - inside, bearing)}, motions=[opens()])
    assert bool(faults) is hit


@pytest.mark.parametrize("across", [0.05, 0.5, 20.0])
@pytest.mark.parametrize("away", [6.0, 150.0, 400.0, 570.0])
def test_the_angle_of_first_contact(across, away):
    """The door's face meets the post's near corner (x, -y) at atan(y / x): thin posts are not stepped over."""
    y = away * math.sin(0.6)
    x = away * math.cos(0.6)
    parts = {"door": DOOR, "post": block((x, -y - across, 0), (x + across, -y, 700))}
    (f,) = found("blocked", parts, motions=[opens()])
    # of the post's corners the upper right one, (x + across, -y), is met first
    assert f.value == pytest.approx(math.degrees(math.atan2(y, x + across)), abs=0.05)
    assert detail(f, "free_travel_deg") == f.value
    assert (f.unit, f.limit) == ("deg", 90)
    assert f.parts == ("door", "post")


def test_the_far_edge_meets_a_wall_where_the_cosine_says():
    """A wall square to the shut door, its face at x = c > w: the far back corner (w, t) comes nearest at full reach.

    The corner lies at angle a = atan(t / w) behind the face and moves on the circle of radius R; it meets a block whose
    face is y = -d when R sin(turn - a) = d.
    """
    d = 200.0
    parts = {"door": DOOR, "block": block((590, -d - 5, 0), (700, -d, 700))}
    assert not found("blocked", parts, motions=[opens()])  # at that turn the corner is at x = 566: it passes
    d = 60.0
    parts = {"door": DOOR, "block": block((500, -d - 5, 0), (700, -d, 700))}
    (f,) = found("blocked", parts, motions=[opens()])
    # The leading face, y = -x tan(turn), ends at x = W cos(turn): its end (W cos, -W sin) reaches -d first.
    assert f.value == pytest.approx(math.degrees(math.asin(d / W)), abs=0.05)


def test_a_part_past_the_end_of_the_travel_is_free():
    parts = {"door": DOOR, "stop": block((-200, -500, 0), (-0.02, -400, 700))}
    assert not found("blocked", parts, motions=[opens(degrees=90)])
    (f,) = found("blocked", parts, motions=[opens(degrees=95)])
    # face (0.02, 400) from the hinge on the far side: 90 degrees and atan(0.02 / 500)
    assert f.value == pytest.approx(90 + math.degrees(math.atan(0.02 / 500)), abs=0.05)


@pytest.mark.parametrize("angle", [0.0, 0.4, 2.0])
def test_resting_and_hinge_contact_is_clean(angle):
    """Shut on a side, between two panels without a gap, on a plate that turns with it: on a wall at any angle."""
    wall = Placement.turned("z", angle, (100.001, 50.007, 0))

    def at(part_at):
        part, place = part_at
        return part, wall.compose(place)

    plate = (bar(25, 10), Placement((-25, -25, 700)))
    parts = {
        "door": at(DOOR),
        "plate on door": at(plate),
        "side": at(block((0, T, 0), (18, 500, 700))),
        "top": at(block((-100, -100, 710), (700, 500, 728))),
        "floor": at(block((-100, -700, -18), (700, 500, 0))),
    }
    turn = opens("door", "plate on door", origin=wall.apply((0, 0, 0)))
    assert not list(interference(plan(parts, motions=[turn])))


def test_a_door_hung_at_its_back_corner_runs_into_the_side():
    """Hung at (0, t) its face corner, t from the axis, swings out past x = 0 into whatever is beside it."""
    parts = {"door": DOOR, "neighbour": block((-600, 0, 0), (-1, T, 700))}
    assert not found("blocked", parts, motions=[opens()])
    (f,) = found("blocked", parts, motions=[opens(origin=(0.0, T, 0.0))])
    # corner (0, -t) from the axis: its x is -t sin(turn), 1 mm away
    assert f.value == pytest.approx(math.degrees(math.asin(1 / T)), abs=0.05)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_travel_may_run_either_way(sign):
    """The same door about the opposite axis by a negative angle."""
    parts = {"door": DOOR, "post": post(300, 0.7)}
    motion = Motion("door", "swing", ("door",), (0.0, 0.0, -sign), sign * math.pi / 2, (0.0, 0.0, 0.0))
    (f,) = found("blocked", parts, motions=[motion])
    x, y, r = 303 * math.cos(0.7), 303 * math.sin(0.7), 3.0
    # a line from the hinge tangent to the post
    assert f.value == pytest.approx(math.degrees(math.atan2(y, x) - math.asin(r / 303)), abs=0.05)


def test_a_nick_that_grows_is_found_and_one_that_does_not_is_left():
    """0.5 mm^3 at rest in front of the face near the far edge: the door drives it in. Behind it the door leaves it."""
    front = block((590, -300, 0), (591, 0.05, 10))
    assert not found("overlap", {"door": DOOR, "peg": front})
    assert found("blocked", {"door": DOOR, "peg": front}, motions=[opens()])
    behind = block((590, T - 0.05, 0), (591, 300, 10))
    assert not found("blocked", {"door": DOOR, "peg": behind}, motions=[opens()])


def test_what_rides_along_and_what_hangs_between_do_not_block():
    """A spring pinned to the door and to the side follows both; screwed to the side alone it is in the way."""
    spring = block((200, -20, 100), (210, 0, 600))
    side = block((0, T, 0), (18, 500, 700))
    parts = {"door": DOOR, "side": side, "spring": spring}
    pins = [Joint("pinned", "spring", "door"), Joint("pinned", "side", "spring")]
    assert [f.parts for f in found("blocked", parts, motions=[opens()])] == [("door", "spring")]
    assert not found("blocked", parts, joints=pins, motions=[opens()])
    assert found("blocked", parts, joints=pins[:1], motions=[opens()])
    assert not found("blocked", parts, motions=[opens("door", "spring")])


def test_a_swing_that_overlaps_at_rest_is_said_once():
    parts = {"door": DOOR, "rail": block((100, -10, 90), (300, 10, 120))}
    assert [f.code for f in interference(plan(parts, motions=[opens()]))] == ["overlap"]


def test_a_bar_that_turns_in_its_bore_stays_free():
    plate = (panel(200, 100, 18, Bore(face="A", u=100, v=50, diameter=10)), Placement())
    pin = (bar(5, 40), Placement((95, 45, -10)))
    turn = opens("pin", degrees=180, origin=(100.0, 50.0, 0.0))
    assert not found("blocked", {"plate": plate, "pin": pin}, motions=[turn])
    off = opens("pin", degrees=180, origin=(101.0, 50.0, 0.0))
    assert found("blocked", {"plate": plate, "pin": pin}, motions=[off])


@given(
    parts=pairs_of_parts,
    at=placements,
    axis=st.sampled_from([(0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8), (0.0, -0.8, 0.6)]),
    hinge=st.tuples(*[st.sampled_from([-100.0, 0.0, 60.0])] * 3),
    degrees=st.sampled_from([40.0, 90.0, 170.0]),
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_cad_kernel_agrees_on_the_free_angle(parts, at, axis, hinge, degrees):
    """Up to the free angle the kernel finds the parts apart; at the position reported it measures the same volume."""
    a, b = parts
    still = kernel_place(SOLIDS[b], at)
    end = tuple(h + d for h, d in zip(hinge, axis, strict=True))

    def shared(angle):
        return SOLIDS[a].rotate(cq.Vector(*hinge), cq.Vector(*end), angle).intersect(still).Volume()

    motion = opens("a", degrees=degrees, origin=hinge, axis=axis)
    findings = list(interference(plan({"a": (a, Placement()), "b": (b, at)}, motions=[motion])))
    if any(f.code == "overlap" for f in findings):
        return
    blocked = [f for f in findings if f.code == "blocked"]
    if not blocked:
        assert max(shared(t) for t in np.linspace(0, degrees, 19)) < 2.0
        return
    free, position = detail(blocked[0], "free_travel_deg"), detail(blocked[0], "position_deg")
    assert all(shared(t) < 1.0 for t in np.linspace(0, max(free - 0.05, 0), 5))
    assert shared(position) == pytest.approx(detail(blocked[0], "volume_mm3"), rel=0.02, abs=0.5)


@given(
    radius=st.floats(50, 590),
    bearing=st.floats(0.05, 1.5),
    thick=st.floats(0.2, 20.0),
    height=st.sampled_from([10.0, 1000.0]),
)
@example(radius=590.0, bearing=1.5, thick=0.2, height=1000.0)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_no_post_is_ever_stepped_over(radius, bearing, thick, height):
    """Round posts, thick or thin, high or low: the door's face is tangent to them at a known angle."""
    r = thick / 2
    assume(math.pi * r * r * height > 2.0)  # less is no fault
    x, y = radius * math.cos(bearing), -radius * math.sin(bearing)
    parts = {"door": DOOR, "post": (bar(r, height), Placement((x - r, y - r, 100)))}
    tangent = bearing - math.asin(min(r / radius, 1.0))
    if tangent <= 0.001:
        return
    (f,) = found("blocked", parts, motions=[opens()])
    assert f.value == pytest.approx(math.degrees(tangent), abs=0.05)


def test_a_corner_comes_to_a_plane_where_the_circle_says():
    """A cube 100 from the axis and a wall at y = 40: its far corner is hypot(110, 10) from the axis."""
    points, faces = arrays(mesh(panel(10, 10, 10)))
    wall = Placement.axes((-200, 50, -200), "+x", "-y")
    other, triangles = arrays(mesh(panel(400, 400, 10)))
    still = other @ np.array(wall.rotation).T + np.array(wall.origin), triangles
    moving = points + np.array([100.0, 0.0, 0.0]), faces
    angles = arcs(moving, still, np.zeros(3), np.array([0.0, 0.0, 1.0]), math.pi)
    assert angles[0] == pytest.approx(math.asin(40 / math.hypot(110, 10)) - math.atan2(10, 110), abs=1e-6)


def test_the_report_is_in_degrees():
    parts = {"door": DOOR, "post": block((300, -300, 0), (310, -290, 700))}
    whole = plan(parts, motions=[opens()])
    content = json.loads(report(whole, interference(whole)).model_dump_json())
    (row,) = [f for f in content["findings"] if f["code"] == "blocked"]
    free = math.degrees(math.atan2(290, 310))
    assert row["unit"] == "deg"
    assert row["free_travel_deg"] == pytest.approx(free, abs=0.05)
    assert row["limit"] == 90
    assert row["free_travel_mm"] is None
    assert row["position_mm"] is None
    assert row["position_deg"] > row["free_travel_deg"]
    console = Console(width=140, record=True, file=io.StringIO())
    console.print(table(interference_of(whole), "in"))
    text = console.export_text()
    assert show_angle(row["free_travel_deg"]) in text
    assert "of 90\u00b0" in text


def test_the_whole_room_is_looked_at_quickly():
    """Twenty doors among a thousand parts: boxes are told apart by their distance from the axis and their bearing."""
    parts = {"hinge side": block((-18, 0, 0), (-0.5, 500, 700))}
    motions = []
    for k in range(20):
        x = 700.0 * k
        parts[f"door {k}"] = (DOOR[0], Placement((x, 0, 0)))
        motions.append(Motion(f"door {k}", "swing", (f"door {k}",), (0.0, 0.0, -1.0), math.pi / 2, (x, 0.0, 0.0)))
        for j in range(50):
            parts[f"shelf {k} {j}"] = block((x + 20, 30, 14 * j), (x + 580, 400, 14 * j + 10))
    assert not found("blocked", parts, motions=motions)
    parts["cat"] = (item((10, 10, 10)), Placement((700 * 7 + 200, -300, 200)))
    assert [f.parts for f in found("blocked", parts, motions=motions)] == [("door 7", "cat")]


def test_the_doors_of_the_demos_swing_free(herbarium: Build, trains: Build) -> None:
    for project in (herbarium, trains):
        doors = [m for m in project.plan.motions if m.kind == "swing"]
        assert doors
        assert not [f for f in interference_of(project.plan) if f.code == "blocked" and f.unit == "deg"]


def test_a_post_before_a_door_of_the_demo_stops_it(herbarium: Build) -> None:
    """20 mm thick, halfway up the door, its near face half the door's width from the hinge and square to it."""
    door = next(m for m in herbarium.plan.motions if m.kind == "swing" and "left door" in m.name)
    leaf = herbarium.plan.by_path[f"{door.name}/door"].bounds()
    half = leaf.size[0] / 2
    x, y, z = door.origin
    at = Placement((x + 10.0, y - half - 20, z + 100))
    stop = PlacedPart("stop", panel(20, 20, 200), at, "stop")
    unit = BuiltUnit("post", "X9", "test", (stop,)).placed(Placement())
    whole = with_units(herbarium, (*herbarium.plan.units, unit)).plan
    hits = [f for f in interference(whole) if f.code == "blocked"]
    leaves = [f for f in hits if f.parts == (f"{door.name}/door", "post/stop")]
    assert leaves[0].value == pytest.approx(math.degrees(math.atan2(half, 30)), abs=0.05)
    assert {f.parts[1] for f in hits} == {"post/stop"}
