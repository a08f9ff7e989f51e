"""Interference of random parts against the CAD kernel (truth.py) and a collision library (FCL), on the same examples.

A mesh stands for a circle by a polygon of the circle's area: its surface is nowhere further than SAG (0.02 mm, at
corners) from the true one and CONTACT (0.01 mm) in the mean. So a common volume is off by at most CONTACT times
the round area of what is shared, besides 0.1 % for rounding.
"""

import math

import fcl
import numpy as np
import pytest
import truth
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from placed import detail, panel, plan

from model.build import Build
from model.checks.interference import interference
from model.collision.bodies import Bodies, apart, crossing
from model.collision.pairs import Pairs, gap
from model.cuts import Bore
from model.errors import GeometryError
from model.meshes import SAG, arrays, mesh, triangles
from model.meshes import volume as mesh_volume
from model.part import Joint, Motion, Part, PlacedPart
from model.placement import Placement
from model.solids import solid
from model.tolerances import CONTACT, OVERLAP

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def findings_of(a: Part, b: Part, at: Placement, *motions: Motion, joints=()):
    found = list(interference(plan({"a": (a, Placement()), "b": (b, at)}, motions=motions, joints=joints)))
    return {f.code: f for f in found if f.code != "adrift"}


def sound(*parts: Part) -> None:
    """Skip parts the kernel itself refuses to build."""
    try:
        for part in parts:
            solid(part)
    except GeometryError:
        assume(False)


@pytest.mark.slow
@given(a=truth.parts, b=truth.parts, at=truth.places(120))
@settings(max_examples=200, deadline=None, suppress_health_check=QUIET)
def test_the_same_pairs_and_volumes_as_the_kernel(a, b, at):
    sound(a, b)
    try:
        common = truth.common(truth.at(a, Placement()), truth.at(b, at))
    except truth.Unsure:
        assume(False)
        return
    found = findings_of(a, b, at).get("overlap")
    if common is None:
        assert found is None
    elif found is None:  # the limit, and what is drawn in
        assert common.Volume() <= OVERLAP + CONTACT * common.Area()
    else:
        assert detail(found, "volume_mm3") == pytest.approx(
            common.Volume(), rel=1e-3, abs=0.01 + CONTACT * truth.round_area(common)
        )


def agree(way: truth.Way, free: float | None, tolerance: float) -> None:
    """First contacts within `tolerance` mm; further apart only where the two graze: there they are, all the way from
    the one place to the other, nearer than what the meshes may be off (SAG each, and CONTACT), or share too little."""
    try:
        met = way.first_contact()
    except truth.Unsure:
        assume(False)
        return
    if met is not None and free is not None and abs(met - free) <= tolerance:
        return
    if met is None and free is None:
        return
    ends = sorted((way.travel if met is None else met, way.travel if free is None else free))
    for place in np.linspace(ends[0], ends[1], 7).tolist():
        away = way.away(place)
        try:
            shared = truth.common(way.moved(place), way.still)
        except truth.Unsure:
            continue
        assert away <= 2 * SAG + CONTACT, (met, free, place)
        assert shared is None or shared.Volume() <= OVERLAP + (CONTACT + SAG) * shared.Area(), (met, free, place)


@pytest.mark.slow
@given(
    a=truth.parts,
    b=truth.parts,
    at=truth.places(90),
    around=st.integers(0, 71).map(lambda k: k * math.pi / 36),
    up=st.sampled_from([-1.2, -0.5, 0.0, 0.5, 1.2]),
)
@settings(max_examples=60, deadline=None, suppress_health_check=QUIET)
def test_slides_meet_where_the_kernel_says(a, b, at, around, up):
    sound(a, b)
    direction = (math.cos(around) * math.cos(up), math.sin(around) * math.cos(up), math.sin(up))
    x, y, z = (o + 250 * d for o, d in zip(at.origin, direction, strict=True))
    at = Placement((x, y, z), at.rotation)
    found = findings_of(a, b, at, Motion("drawer", "slide", ("a",), direction, 400.0))
    assume("overlap" not in found)
    blocked = found.get("blocked")
    agree(truth.sliding(a, b, at, direction, 400.0), blocked and detail(blocked, "free_travel_mm"), 0.2)


@pytest.mark.slow
@given(
    a=truth.parts,
    b=truth.parts,
    at=truth.places(150),
    axis=st.sampled_from([(0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8), (0.0, -0.8, 0.6)]),
    hinge=st.tuples(*[st.sampled_from([-100.0, 0.0, 60.0])] * 3),
    angle=st.sampled_from([0.7, math.pi / 2, 3.0]),
)
@settings(max_examples=60, deadline=None, suppress_health_check=QUIET)
def test_swings_meet_where_the_kernel_says(a, b, at, axis, hinge, angle):
    """Within 0.05 degree, or 0.2 mm at the outermost point."""
    sound(a, b)
    found = findings_of(a, b, at, Motion("door", "swing", ("a",), axis, angle, hinge))
    assume("overlap" not in found)
    way, reach = truth.turning(a, b, at, hinge, axis, angle)
    blocked = found.get("blocked")
    free = None if blocked is None else math.radians(detail(blocked, "free_travel_deg")) * reach
    agree(way, free, max(0.2, math.radians(0.05) * reach))


def test_the_reference_steps_over_nothing():
    """A sheet of 0.5 mm in the middle of a slide of 400 mm, and nothing beside it: by hand, contact after 200 mm."""
    sheet = Placement.axes((200.0, -50.0, -50.0), "+y", "+x")
    way = truth.sliding(panel(30, 40, 18), panel(150, 150, 0.5), sheet, (1.0, 0.0, 0.0), 400.0)
    assert way.first_contact() == pytest.approx(170.0, abs=0.01)


# A collision library on the same meshes


def fcl_object(part: Part, at: Placement) -> fcl.CollisionObject:
    points, faces = triangles(PlacedPart("p", part, at, "part"))
    model = fcl.BVHModel()
    model.beginModel(len(points), len(faces))
    model.addSubModel(points, faces)
    model.endModel()
    return fcl.CollisionObject(model)


@given(a=truth.parts, b=truth.parts, at=truth.places(150))
@settings(max_examples=150, deadline=None, suppress_health_check=QUIET)
def test_a_collision_library_agrees_on_random_parts(a, b, at):
    first, second = fcl_object(a, Placement()), fcl_object(b, at)
    away = fcl.distance(first, second, fcl.DistanceRequest(), fcl.DistanceResult())
    collides = bool(fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult()))
    found = findings_of(a, b, at, joints=[Joint("screwed", "a", "b")])
    if "overlap" in found:
        assert "loose" not in found
        corner = arrays(mesh(b))[0] @ np.array(at.rotation).T + np.array(at.origin)
        inside = bool(np.all((corner > 0) & (corner < np.array(a.size))))
        assert collides or inside or b.size > a.size  # surfaces cross unless one lies whole in the other
    elif away > 2 * CONTACT:
        assert not collides
        assert found["loose"].value == pytest.approx(away, abs=2e-3)


@pytest.mark.parametrize("name", ["herbarium", "trains"])
def test_a_collision_library_agrees_on_every_near_pair_of_the_demos(name, request):
    """All pairs whose boxes come within 2 mm of each other: the same distances, and surfaces that cross only where
    parts touch. Equal pairs in equal places are looked at once."""
    project: Build = request.getfixturevalue(name)
    pairs = Pairs(Bodies.of(project.plan.walk()))
    low, high = pairs.bodies.bounds(1.0)
    i, j = crossing(low, high, low, high)
    i, j = i[i < j], j[i < j]
    near = ~apart(pairs.bodies, i, j, grow=1.0)
    looked = dict(pairs.poses(i[near], j[near]))
    assert len(looked) > 200
    for pose in looked.values():
        x, y, z = pose.origin.tolist()
        r = pose.turn.tolist()
        place = Placement((x, y, z), (tuple(r[0]), tuple(r[1]), tuple(r[2])))
        first, second = fcl_object(pose.a, Placement()), fcl_object(pose.b, place)
        away = fcl.distance(first, second, fcl.DistanceRequest(), fcl.DistanceResult())
        ours = gap(pose, 5.0)
        assert ours == pytest.approx(min(max(away, 0.0), 5.0), abs=2e-3)
        if ours > 2 * CONTACT:
            assert not fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult())


@pytest.mark.parametrize("radius", [2.5, 10.0, 17.5])
def test_two_bores_that_cross_take_steinmetz_solid_away_once(radius):
    """Common volume of two equal cylinders that cross: 16 r^3 / 3 (Archimedes, The Method). Its surface is 16 r^2, so
    a mesh within CONTACT of it is off by 16 r^2 times that at most."""
    size = 60.0
    bores = (Bore(face="A", u=30, v=30, diameter=2 * radius), Bore(face="x0", u=30, v=30, diameter=2 * radius))
    once = 2 * math.pi * radius**2 * size - 16 * radius**3 / 3
    block = panel(size, size, size, *bores)
    assert mesh_volume(block) == pytest.approx(size**3 - once, abs=16 * radius**2 * CONTACT)
    assert solid(block).Volume() == pytest.approx(size**3 - once, rel=1e-6)
