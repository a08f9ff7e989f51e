"""Interference at rest against closed forms, a CAD kernel's booleans and a collision library (FCL)."""

import io
import json
import math
import random
import time

import fcl
import jsonschema
import pytest
from hypothesis import given, settings
from rich.console import Console

from exporters.interference import Report, report, table, write
from model.checks.interference import interference
from model.config.schema import json_schema
from model.cuts import Bore, Groove
from model.meshes import triangles
from model.part import Joint, Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.shapes import Box
from tests.placed import (
    SOLIDS,
    bar,
    block,
    detail,
    found,
    kernel_place,
    pairs_of_parts,
    panel,
    placements,
    plan,
    room,
    slide,
)


def test_two_boxes_share_the_box_between_them():
    (f,) = found("overlap", {"a": block((0, 0, 0), (100, 50, 20)), "b": block((90, 30, 5), (200, 80, 40))})
    assert f.parts == ("a", "b")
    assert f.severity == "fault"
    assert detail(f, "volume_mm3") == pytest.approx(10 * 20 * 15)
    assert detail(f, "depth_mm") == pytest.approx(10)
    assert f.at == (95.0, 40.0, 12.5)
    assert "T1-01" in f.message
    assert "T1-02" in f.message


def test_boxes_closed_form_and_boolean_agree():
    """The same two boxes, once as plain blanks and once with a hole elsewhere that sends them to the boolean."""
    low = (90, 30, 5)
    drilled = panel(110, 50, 35, Bore(face="A", u=100, v=40, diameter=8))
    (plain,) = found("overlap", {"a": block((0, 0, 0), (100, 50, 20)), "b": block(low, (200, 80, 40))})
    (cut,) = found("overlap", {"a": block((0, 0, 0), (100, 50, 20)), "b": (drilled, Placement(low))})
    assert detail(plain, "volume_mm3") == pytest.approx(detail(cut, "volume_mm3"), rel=1e-9)
    assert detail(plain, "depth_mm") == pytest.approx(detail(cut, "depth_mm"), rel=1e-9)
    assert plain.at == cut.at


@pytest.mark.parametrize("sink", [0.0, 0.001, 0.005])
@pytest.mark.parametrize("angle", [0.0, 0.3])
def test_touching_is_no_fault_even_for_the_largest_faces(sink, angle):
    """Two whole sheets face to face, their places rounded to 0.001 mm: thousands of mm^3, and no fault."""
    wall = Placement.turned("z", angle, (1234.567, 890.123, 0))
    sheets = {
        "a": (panel(2440, 1220, 18), wall),
        "b": (panel(2440, 1220, 18), wall.compose(Placement((0, 0, 18 - sink)))),
    }
    assert not found("overlap", sheets)
    assert not found("adrift", sheets)


def test_equal_parts_at_different_places_are_told_apart():
    """Four equal boards in a row, sunk into each other by 2, 3 and not at all."""
    board = panel(100, 100, 100)
    places = {"a": 0.0, "b": 98.0, "c": 195.0, "d": 295.0}
    faults = found("overlap", {name: (board, Placement((x, 0, 0))) for name, x in places.items()})
    depths = {f.parts: detail(f, "depth_mm") for f in faults}
    assert depths == {("a", "b"): pytest.approx(2), ("b", "c"): pytest.approx(3)}


def test_a_large_film_hides_no_small_clash():
    """A film over a whole sheet and a 3 mm block that bites: the film alone is no fault, the block is found."""
    stud = Part(
        kind="hardware",
        material="stud",
        length=2440,
        width=1220,
        thickness=21,
        body=(Box((0, 0, 3), (2440, 1220, 21)), Box((100, 100, 0), (103, 103, 3))),
    )
    (f,) = found("overlap", {"a": (panel(2440, 1220, 18), Placement()), "b": (stud, Placement((0, 0, 14.999)))})
    film = 2440 * 1220 * 0.001
    assert detail(f, "volume_mm3") == pytest.approx(film + 9 * 3, abs=film * 0.01)


def test_limit_is_one_cubic_millimetre():
    parts = {"a": block((0, 0, 0), (50, 50, 50)), "b": block((49, 49, 49.1), (80, 80, 80))}
    assert not found("overlap", parts)  # 0.9 mm^3
    parts["b"] = block((49, 49, 48.8), (80, 80, 80))
    assert detail(found("overlap", parts)[0], "volume_mm3") == pytest.approx(1.2)


def test_bar_in_a_bore():
    plate = panel(200, 100, 18, Bore(face="A", u=100, v=50, diameter=10))
    at = Placement((95, 45, -10))
    assert not found("overlap", {"plate": (plate, Placement()), "bar": (bar(5, 40), at)})
    (f,) = found("overlap", {"plate": (plate, Placement()), "bar": (bar(6, 40), Placement((94, 44, -10)))})
    assert detail(f, "volume_mm3") == pytest.approx(math.pi * (6**2 - 5**2) * 18, rel=1e-6)
    assert detail(f, "depth_mm") == pytest.approx(12, rel=3e-3)
    (f,) = found("overlap", {"plate": (panel(200, 100, 18), Placement()), "bar": (bar(5, 40), at)})
    assert detail(f, "volume_mm3") == pytest.approx(math.pi * 5**2 * 18, rel=1e-6)
    assert f.at == pytest.approx((100, 50, 9), abs=0.05)


@pytest.mark.parametrize("angle", [0.05, 0.3, 1.0])
def test_a_bar_turned_in_its_bore_still_fits(angle):
    """Two polygons out of phase on one circle differ by slivers thinner than CONTACT."""
    plate = panel(200, 100, 18, Bore(face="A", u=100, v=50, diameter=10))
    round_bar = bar(5, 40)
    turned = Placement((100, 50, -10)).compose(Placement.turned("z", angle)).compose(Placement((-5, -5, 0)))
    parts = {"plate": (plate, Placement()), "bar": (round_bar, turned)}
    assert not found("overlap", parts)
    assert not found("adrift", parts | {"floor": block((0, 0, -50), (1, 1, -49))})[1:]


@pytest.mark.parametrize("radius", [5, 17.5, 40])
def test_two_equal_bars_that_cross_share_steinmetz_solid(radius):
    """Volume 16 r^3 / 3: Archimedes, The Method, proposition on the bicylinder; Steinmetz gave his name to it."""
    along_z = Placement((-radius, -radius, -100))
    along_x = Placement.axes((-100, -radius, radius), "-z", "+x")
    parts = {"a": (bar(radius, 200), along_z), "b": (bar(radius, 200), along_x)}
    (f,) = found("overlap", parts)
    assert detail(f, "volume_mm3") == pytest.approx(16 * radius**3 / 3, rel=1e-3)
    assert f.at == pytest.approx((0, 0, 0), abs=0.05)
    assert detail(f, "depth_mm") == pytest.approx(2 * radius, rel=3e-3)


def test_plate_through_a_groove():
    """A groove 6 deep, 18 wide: a shelf of 18 fits, one of 19 bites 0.5 into each wall, 8 deep 2 into the floor."""
    side = panel(700, 500, 18, Groove(face="A", u0=300, u1=318, v0=0, v1=500, depth=6))

    def shelf(thickness, depth):
        return block((300 - (thickness - 18) / 2, 0, 18 - depth), (318 + (thickness - 18) / 2, 500, 400))

    assert not found("overlap", {"side": (side, Placement()), "shelf": shelf(18, 6)})
    (f,) = found("overlap", {"side": (side, Placement()), "shelf": shelf(19, 6)})
    assert detail(f, "volume_mm3") == pytest.approx(2 * 0.5 * 6 * 500, rel=1e-9)
    (f,) = found("overlap", {"side": (side, Placement()), "shelf": shelf(18, 8)})
    assert detail(f, "volume_mm3") == pytest.approx(18 * 2 * 500, rel=1e-9)
    assert detail(f, "depth_mm") == pytest.approx(2, abs=1e-6)


@given(parts=pairs_of_parts, at=placements)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_cad_kernel_finds_the_same_pairs_and_volumes(parts, at):
    a, b = parts
    common = SOLIDS[a].intersect(kernel_place(SOLIDS[b], at)).Volume()
    faults = found("overlap", {"a": (a, Placement()), "b": (b, at)})
    if not faults:
        assert common < 2.0  # up to the limit, less what is drawn in
        return
    (f,) = faults
    assert detail(f, "volume_mm3") == pytest.approx(common, rel=1e-3, abs=0.01)


def fcl_object(part: Part, at: Placement) -> fcl.CollisionObject:
    points, faces = triangles(PlacedPart("p", part, at, "part"))
    model = fcl.BVHModel()
    model.beginModel(len(points), len(faces))
    model.addSubModel(points, faces)
    model.endModel()
    return fcl.CollisionObject(model)


@given(parts=pairs_of_parts, at=placements)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_collision_library_finds_the_same_contacts_and_distances(parts, at):
    a, b = parts
    first, second = fcl_object(a, Placement()), fcl_object(b, at)
    distance = fcl.distance(first, second, fcl.DistanceRequest(), fcl.DistanceResult())
    collides = bool(fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult()))
    findings = list(interference(plan({"a": (a, Placement()), "b": (b, at)}, joints=[Joint("screwed", "a", "b")])))
    loose = [f for f in findings if f.code == "loose"]
    if any(f.code == "overlap" for f in findings):
        assert collides  # surfaces cross (no part fits inside another here)
        assert not loose
    elif distance > 0.02:
        assert not collides
        assert loose[0].value == pytest.approx(distance, abs=2e-3)


def test_joints_that_do_not_meet():
    joints = [Joint("screwed", "a", "b")]
    near = {"a": block((0, 0, 0), (100, 50, 20)), "b": block((100.009, 0, 0), (200, 50, 20))}
    far = {"a": block((0, 0, 0), (100, 50, 20)), "b": block((103, 54, 0), (200, 90, 20))}
    assert not found("loose", near, joints=joints)
    (f,) = found("loose", far, joints=joints)
    assert f.value == pytest.approx(5)  # 3, 4, 5
    assert f.parts == ("a", "b")


@pytest.mark.parametrize("away", [0.0, 0.009, 0.012, 0.5])
def test_joints_of_cut_parts_are_measured_on_their_true_shape(away):
    """A shelf that ends inside a groove of the side, `away` short of its floor and thinner than the groove."""
    side = panel(700, 500, 18, Groove(face="A", u0=300, u1=320, v0=0, v1=500, depth=6))
    shelf = block((301, 0, 12 + away), (319, 500, 400))
    faults = found("loose", {"side": (side, Placement()), "shelf": shelf}, joints=[Joint("housed", "shelf", "side")])
    if away <= 0.01:
        assert faults == []
    else:
        assert faults[0].value == pytest.approx(away, abs=1e-3)


def test_boxes_that_overlap_while_the_parts_do_not_touch():
    """A peg in the middle of a wide hole: its box lies in the plate's box, the gap is 15 mm all round."""
    plate = panel(200, 100, 18, Bore(face="A", u=100, v=50, diameter=40))
    parts = {"plate": (plate, Placement()), "peg": (bar(5, 30), Placement((95, 45, 0)))}
    (f,) = found("loose", parts, joints=[Joint("fitted", "plate", "peg")])
    assert f.value == pytest.approx(15, abs=0.03)


def test_a_part_that_touches_nothing():
    parts = {
        "floor board": block((0, 0, 0), (100, 100, 20)),
        "on it": block((0, 0, 20), (10, 10, 40)),
        "in the air": block((0, 0, 40.5), (10, 10, 60)),
    }
    (f,) = found("adrift", parts)
    assert f.parts == ("in the air",)
    parts["in the air"] = block((0, 0, 40.009), (10, 10, 60))
    assert not found("adrift", parts)


def test_order_of_parts_makes_no_difference():
    whole = room(3)
    shuffled = [
        BuiltUnit(
            u.name, u.code, u.kind, tuple(random.Random(7).sample(u.parts, len(u.parts))), u.joints, u.motions[::-1]
        )
        for u in whole.units[::-1]
    ]
    first = [(f.code, f.parts, f.value, f.at, f.details) for f in interference(whole)]
    again = [(f.code, f.parts, f.value, f.at, f.details) for f in interference(Plan("room", tuple(shuffled)))]
    assert first == again
    assert [f[0] for f in first] == ["blocked"] * 3


def test_ten_times_the_parts_take_about_ten_times_as_long():
    """The budget is 12 x from 1,000 to 10,000 parts; here coarser, on a loaded machine, from 800 to 8,000."""

    def seconds(units):
        whole = room(units)
        start = time.process_time()
        count = len(list(interference(whole)))
        return time.process_time() - start, count

    seconds(2)
    seconds(320)
    small = min(seconds(32) for _ in range(5))
    large = min(seconds(320) for _ in range(2))
    assert (small[1], large[1]) == (32, 320)
    assert large[0] < 20 * small[0] + 0.2


def faulty() -> Plan:
    parts = {
        "a": block((0, 0, 0), (100, 50, 20)),
        "b [red]": block((90, 30, 5), (200, 80, 40)),
        "c": block((0, -200, 0), (100, -190, 50)),
        "d": block((0, 500, 500), (10, 510, 510)),
    }
    return plan(parts, joints=[Joint("screwed", "a", "d")], motions=[slide("a")])


def test_the_report_holds_every_finding():
    whole = faulty()
    content = json.loads(report(whole, interference(whole)).model_dump_json())
    assert content["version"] == 1
    assert content["motions"] == [
        {"name": "drawer", "kind": "slide", "unit": "mm", "travel": 500.0, "free": 190.0, "meets": "c"}
    ]
    assert content["counts"] == {"overlap": 1, "blocked": 1, "loose": 1, "adrift": 1}
    assert [f["code"] for f in content["findings"]] == ["overlap", "loose", "adrift", "blocked"]
    blocked = content["findings"][-1]
    assert blocked["parts"] == ["a", "c"]
    assert blocked["marks"] == ["T1-01", "T1-03"]
    assert blocked["free_travel_mm"] == 190.0
    assert blocked["volume_mm3"] == pytest.approx(100 * 10 * 20)
    assert set(blocked) == {
        "code",
        "severity",
        "message",
        "source",
        "parts",
        "marks",
        "value",
        "limit",
        "unit",
        "free_travel_mm",
        "free_travel_deg",
        "position_mm",
        "position_deg",
        "volume_mm3",
        "depth_mm",
        "at_mm",
    }


def test_a_sound_plan_gives_an_empty_report():
    sound = plan({"a": block((0, 0, 0), (100, 50, 20))})
    assert report(sound, interference(sound)).findings == ()


def test_the_file_is_as_its_schema_says(herbarium, tmp_path):
    """By a general-purpose reader of JSON Schema; every motion is told, and the pairs that are not free."""
    (path,) = write(herbarium, tmp_path)
    content = json.loads(path.read_text(encoding="utf-8"))
    schema = json_schema(Report)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(content, schema)
    assert [m["name"] for m in content["motions"]] == [m.name for m in herbarium.plan.motions]
    assert all(m["free"] == m["travel"] and m["meets"] is None for m in content["motions"])
    order = {(p["first"], p["second"]): p["verdict"] for p in content["pairs"]}
    assert set(order.values()) == {"first then second"}
    assert ("paper base/drawer 1", "jar base/left door") in order
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**content, "motions": [{"name": "x"}]}, schema)


@pytest.mark.parametrize(("lengths", "free"), [("mm", "190 mm"), ("in", "7 15/32 in")])
def test_the_table_reads_in_both_units(lengths, free):
    console = Console(width=140, record=True, file=io.StringIO())
    console.print(table(interference(faulty()), lengths))
    text = console.export_text()
    assert free in text
    assert "b [red]" in text
