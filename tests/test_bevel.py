"""Bevels: the wedge they take, in mesh and solid alike, and how they are told and drawn."""

import io
import itertools
import math

import ezdxf
import manifold3d as m3
import numpy as np
import pytest
from ezdxf.entities.lwpolyline import LWPolyline

from exporters.panels import dxf_bytes, panel
from model.bill import describe_cuts
from model.cuts import Bevel, Bore
from model.meshes import mesh, volume
from model.part import Part, canonical
from model.solids import solid

SIZE = (400.0, 90.0, 18.0)
EDGES = ("x0", "x1", "y0", "y1")
CASES = [(edge, face, degrees) for edge in EDGES for face in "AB" for degrees in (15, 45, 60)]


def ripped(edge: str, face: str, degrees: float, *more: Bore) -> Part:
    run = SIZE[2] * math.tan(math.radians(degrees))
    cut = Bevel(edge=edge, face=face, run=run)  # pyright: ignore[reportArgumentType]
    return Part(kind="sheet", material="birch", length=SIZE[0], width=SIZE[1], thickness=SIZE[2], cuts=(cut, *more))


@pytest.mark.parametrize(("edge", "face", "degrees"), CASES)
def test_a_bevel_takes_a_wedge(edge: str, face: str, degrees: float) -> None:
    """A triangle as thick as the sheet and a tangent wide, over the length of the edge; the blank keeps its extent."""
    part = ripped(edge, face, degrees)
    along = SIZE[0] if edge[0] == "y" else SIZE[1]
    want = math.prod(SIZE) - SIZE[2] ** 2 * math.tan(math.radians(degrees)) / 2 * along
    assert volume(part) == pytest.approx(want, abs=0.02 * along)  # a run is kept to 0.001 mm
    assert solid(part).Volume() == pytest.approx(volume(part), rel=1e-9)
    box = mesh(part).bounding_box()
    assert box == pytest.approx((0, 0, 0, *SIZE), abs=1e-6)


@pytest.mark.parametrize(("edge", "face"), list(itertools.product(EDGES, "AB")))
def test_a_bevel_narrows_the_face_and_edge_it_names(edge: str, face: str) -> None:
    """4 mm in from the edge, 2 mm deep: on the named face the wood is gone, on the other it is there."""
    part = ripped(edge, face, 45)
    at = [SIZE[0] / 2, SIZE[1] / 2, 0.0]
    axis = "xy".index(edge[0])
    at[axis] = 4.0 if edge[1] == "0" else SIZE[axis] - 4.0
    for z, named in ((SIZE[2] - 2.0, "A"), (2.0, "B")):
        probe = m3.Manifold.cube((0.5, 0.5, 0.5), center=True).translate((at[0], at[1], z))
        assert (mesh(part) ^ probe).volume() == pytest.approx(0.0 if named == face else 0.125, abs=1e-9)


def test_all_four_ways_to_lay_a_bevelled_strip_are_one_part() -> None:
    found = {canonical(ripped(edge, face, 45))[0] for edge in ("y0", "y1") for face in "AB"}
    assert found == {ripped("y0", "A", 45)}


def test_a_turned_bevel_takes_the_same_wood() -> None:
    part = ripped("y1", "B", 30, Bore(face="A", u=50, v=45, diameter=6))
    shape, turn = canonical(part)
    back = mesh(shape).transform(np.column_stack((np.array(turn.rotation), np.array(turn.origin))))
    assert (back - mesh(part)).volume() < 1e-6


def test_a_bevel_is_told_by_its_angle() -> None:
    assert describe_cuts(ripped("y0", "A", 45)) == "1 bevel 45 deg on edge y0, face A narrower by 18"


@pytest.mark.parametrize(("edge", "x", "y"), [("y0", (0, 400), (0, 18)), ("x1", (382, 400), (0, 90))])
def test_a_drawing_keeps_the_long_face_and_marks_the_bevel(
    edge: str, x: tuple[float, float], y: tuple[float, float]
) -> None:
    """Read back with ezdxf: the outline is the whole blank; the slope lies between arris and edge."""
    text = io.StringIO(dxf_bytes(panel(ripped(edge, "A", 45), "U1-01")).decode())
    doc = ezdxf.read(text)  # pyright: ignore[reportPrivateImportUsage]
    assert not doc.audit().errors
    (outline,) = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "outline tool 6 through"]
    assert isinstance(outline, LWPolyline)
    assert {(p[0], p[1]) for p in outline.get_points()} == {(0, 0), (400, 0), (400, 90), (0, 90)}
    (slope,) = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "note edge work"]
    assert isinstance(slope, LWPolyline)
    corners = {(p[0], p[1]) for p in slope.get_points()}
    assert corners == {(u, v) for u in x for v in y}
    where = {"y0": "the lower edge", "x1": "the right end"}[edge]
    told = f"to note: not from above: 1 x bevel of 45 degrees on {where}, face A narrower by 18: on a saw"
    assert told in [e.dxf.text for e in doc.modelspace().query("TEXT")]
