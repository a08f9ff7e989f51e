"""Meshes against closed forms and a different reader of meshes (trimesh)."""

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from model.cuts import Bore, Cutout, Groove, Notch
from model.meshes import SAG, arrays, core, mesh, placed_mesh, sides, triangles, volume
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import Box, Cylinder, Prism
from model.tolerances import CONTACT


def panel(*cuts, size=(600.0, 400.0, 18.0)) -> Part:
    return Part(kind="sheet", material="panel", length=size[0], width=size[1], thickness=size[2], cuts=cuts)


def item(*body, size=(100.0, 100.0, 100.0)) -> Part:
    return Part(kind="hardware", material="item", length=size[0], width=size[1], thickness=size[2], body=body)


def as_trimesh(points, faces) -> trimesh.Trimesh:
    return trimesh.Trimesh(points, faces, process=False)


DRILLED = panel(
    Bore(face="A", u=50, v=50, diameter=35, depth=12.5),
    Bore(face="B", u=50, v=150, diameter=5, depth=10),
    Bore(face="A", u=50, v=250, diameter=8),
    Bore(face="x1", u=300, v=9, diameter=8, depth=30),
    Groove(face="A", u0=0, u1=600, v0=340, v1=346, depth=6),
    Notch(u0=500, u1=600, v0=0, v1=75),
    Cutout(u0=200, u1=280, v0=100, v1=160, radius=20),
)
DRILLED_VOLUME = (
    600 * 400 * 18
    - math.pi * (17.5**2 * 12.5 + 2.5**2 * 10 + 4**2 * 18 + 4**2 * 30)
    - 600 * 6 * 6
    - 100 * 75 * 18
    - (80 * 60 - (4 - math.pi) * 20**2) * 18
)


def test_volume_of_a_cut_panel_is_the_closed_form():
    # Equal areas make round cuts exact; only the rounded opening, a union of strips and bars, is off by slivers.
    assert volume(DRILLED) == pytest.approx(DRILLED_VOLUME, abs=1.0)


def test_round_cuts_alone_are_exact():
    part = panel(Bore(face="A", u=50, v=50, diameter=35, depth=12.5), Bore(face="y0", u=300, v=9, diameter=7, depth=40))
    assert volume(part) == pytest.approx(600 * 400 * 18 - math.pi * (17.5**2 * 12.5 + 3.5**2 * 40), rel=1e-12)


@given(
    direction=st.tuples(*[st.floats(-1, 1).map(lambda c: round(c, 2))] * 3).filter(lambda d: math.hypot(*d) > 0.1),
    radius=st.floats(0.5, 20),
)
@settings(max_examples=40, deadline=None)
def test_a_round_bar_has_its_volume_in_every_direction(direction, radius):
    bar = Cylinder((50, 50, 50), direction, radius, 20)
    assert volume(item(bar)) == pytest.approx(math.pi * bar.radius**2 * 20, rel=1e-9)


@pytest.mark.parametrize("axis", ["x", "y", "z"])
@pytest.mark.parametrize("reverse", [False, True])
def test_a_prism_lies_along_its_axis_whichever_way_its_outline_runs(axis, reverse):
    outline = ((10.0, 20.0), (60.0, 20.0), (60.0, 40.0), (20.0, 30.0))
    prism = Prism(axis, outline[::-1] if reverse else outline, 5, 55)
    part = item(prism)
    shoelace = 0.5 * sum(
        x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True)
    )
    assert volume(part) == pytest.approx(shoelace * 50, rel=1e-12)
    bounds = prism.bounds()
    assert mesh(part).bounding_box() == pytest.approx((*bounds.lo, *bounds.hi))


def test_a_chord_stays_near_its_circle():
    for radius in (0.5, 1.5, 2.5, 4, 17.5, 50, 300):
        n = sides(radius)
        corner = radius * math.sqrt((2 * math.pi / n) / math.sin(2 * math.pi / n))
        assert n % 4 == 0
        assert corner - radius <= SAG
        assert radius - corner * math.cos(math.pi / n) < CONTACT


def test_a_bar_fills_a_bore_on_the_same_axis_from_either_side():
    plate = panel(Bore(face="A", u=100, v=100, diameter=10))
    for base, direction in (((50.0, 50.0, 0.0), (0.0, 0.0, 1.0)), ((50.0, 50.0, 18.0), (0.0, 0.0, -1.0))):
        bar = mesh(item(Cylinder(base, direction, 5, 18))).translate((50, 50, 0))
        assert (mesh(plate) ^ bar).volume() < 1e-6
        assert (mesh(plate) + bar).volume() == pytest.approx(600 * 400 * 18, rel=1e-12)


def test_trimesh_reads_the_same_closed_body():
    placed = PlacedPart("a", DRILLED, Placement.turned("y", 0.7, (10, 20, 30)), "side")
    points, faces = triangles(placed)
    read = as_trimesh(points, faces)
    assert points.dtype == np.float64
    assert points.shape[1] == faces.shape[1] == 3
    assert read.is_watertight
    assert read.is_winding_consistent
    assert read.volume == pytest.approx(DRILLED_VOLUME, abs=1.0)
    assert read.bounds.ravel() == pytest.approx(placed_mesh(placed).bounding_box())
    turn = trimesh.transformations.rotation_matrix(0.7, (0, 1, 0))
    corners = trimesh.transform_points(trimesh.bounds.corners([(0, 0, 0), DRILLED.size]), turn) + np.array((10, 20, 30))
    assert read.bounds[0] == pytest.approx(corners.min(axis=0), abs=1e-6)
    assert read.bounds[1] == pytest.approx(corners.max(axis=0), abs=1e-6)


def test_a_union_of_boxes_that_share_faces_is_one_body():
    part = item(Box((0, 0, 0), (100, 50, 10)), Box((0, 50, 0), (100, 100, 10)), Box((0, 0, 10), (10, 100, 100)))
    assert volume(part) == pytest.approx(100 * 100 * 10 + 10 * 100 * 90, rel=1e-12)
    assert len(mesh(part).decompose()) == 1


def test_a_core_is_drawn_in_at_every_face():
    part = panel(Groove(face="A", u0=100, u1=200, v0=100, v1=150, depth=6), Bore(face="B", u=400, v=200, diameter=8))
    c = CONTACT
    expected = (
        (600 - c) * (400 - c) * (18 - c)
        - (100 + c) * (50 + c) * 6  # floor and mouth both move down
        - math.pi * (4 + c / 2) ** 2 * (18 - c)
    )
    assert core(part).volume() == pytest.approx(expected, rel=1e-9)
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))
    prism = item(Prism("y", outline, 0, 100))
    assert core(prism).volume() == pytest.approx((100 - c) ** 3, rel=1e-9)
    bar = item(Cylinder((50, 50, 0), (0, 0, 1), 20, 100))
    assert core(bar).volume() == pytest.approx(math.pi * (20 - c / 2) ** 2 * (100 - c), rel=1e-9)


def test_double_precision_survives_far_from_the_origin():
    far = PlacedPart("a", panel(size=(10.0, 10.0, 10.0)), Placement((123456.789, 0, 0)), "side")
    points, _ = arrays(placed_mesh(far))
    assert points[:, 0].min() == 123456.789


def test_equal_parts_share_one_mesh():
    assert mesh(panel()) is mesh(panel())


def test_meshes_load_no_cad_kernel():
    code = "import sys, model.meshes, model.checks.interference; sys.exit('OCP' in sys.modules or 'vtk' in sys.modules)"
    root = Path(__file__).parents[1]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0
