"""Solids against closed forms written here, and against the meshes, which another library makes."""

import math
import time
from dataclasses import replace

import cadquery as cq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model import solids
from model.cuts import Bore, Cut, Cutout, Groove, Notch, Rabbet
from model.errors import GeometryError, ProjectError
from model.meshes import volume as mesh_volume
from model.part import Kind, Part, PlacedPart
from model.placement import Placement
from model.shapes import Box, Cylinder, Prism
from model.solids import located, solid

L, W, T = 600.0, 400.0, 18.0
PI = math.pi


def panel(*cuts: Cut, size=(L, W, T)) -> Part:
    return Part(kind="sheet", material="panel", length=size[0], width=size[1], thickness=size[2], cuts=cuts)


def item(*body, size=(100.0, 100.0, 100.0), kind: Kind = "hardware", cuts=()) -> Part:
    return Part(kind=kind, material="item", length=size[0], width=size[1], thickness=size[2], body=body, cuts=cuts)


def corners(shape: cq.Shape) -> tuple[float, ...]:
    box = shape.BoundingBox(tolerance=1e-3)
    return (box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax)


# Each row: the cut, the volume it takes (mm^3) and the middle of what it takes, by elementary geometry.
ROUNDED = 200 * 100 * T - (4 - PI) * 12**2 * T
ONE_CUT = {
    "blind bore A": (Bore(face="A", u=50, v=70, diameter=8, depth=10), PI * 16 * 10, (50, 70, T - 5)),
    "blind bore B": (Bore(face="B", u=50, v=70, diameter=8, depth=10), PI * 16 * 10, (50, 70, 5)),
    "blind bore x0": (Bore(face="x0", u=120, v=7, diameter=8, depth=30), PI * 16 * 30, (15, 120, 7)),
    "blind bore x1": (Bore(face="x1", u=120, v=7, diameter=8, depth=30), PI * 16 * 30, (L - 15, 120, 7)),
    "blind bore y0": (Bore(face="y0", u=120, v=7, diameter=8, depth=30), PI * 16 * 30, (120, 15, 7)),
    "blind bore y1": (Bore(face="y1", u=120, v=7, diameter=8, depth=30), PI * 16 * 30, (120, W - 15, 7)),
    "bore through A": (Bore(face="A", u=50, v=70, diameter=35), PI * 17.5**2 * T, (50, 70, T / 2)),
    "bore through x0": (Bore(face="x0", u=120, v=7, diameter=8), PI * 16 * L, (L / 2, 120, 7)),
    "bore through y0": (Bore(face="y0", u=120, v=7, diameter=8), PI * 16 * W, (120, W / 2, 7)),
    "bore as deep as the panel": (Bore(face="A", u=50, v=70, diameter=8, depth=T), PI * 16 * T, (50, 70, T / 2)),
    "half a bore on an edge": (
        Bore(face="A", u=0, v=70, diameter=30, depth=10),
        PI * 15**2 * 10 / 2,
        (4 * 15 / (3 * PI), 70, T - 5),
    ),
    "bore tangent to an edge": (Bore(face="A", u=4, v=70, diameter=8), PI * 16 * T, (4, 70, T / 2)),
    "groove A": (Groove(face="A", u0=0, v0=40, u1=L, v1=46, depth=6), L * 6 * 6, (L / 2, 43, T - 3)),
    "groove B": (Groove(face="B", u0=0, v0=40, u1=L, v1=46, depth=6), L * 6 * 6, (L / 2, 43, 3)),
    "stopped groove A": (Groove(face="A", u0=30, v0=40, u1=90, v1=46, depth=6), 60 * 36, (60, 43, T - 3)),
    "dado B": (Groove(face="B", u0=100, v0=0, u1=118, v1=W, depth=5), 18 * W * 5, (109, W / 2, 2.5)),
    "rabbet A on x0": (Rabbet(face="A", u0=0, v0=0, u1=12, v1=W, depth=6), 12 * W * 6, (6, W / 2, T - 3)),
    "rabbet A on x1": (Rabbet(face="A", u0=L - 12, v0=0, u1=L, v1=W, depth=6), 12 * W * 6, (L - 6, W / 2, T - 3)),
    "rabbet B on y0": (Rabbet(face="B", u0=0, v0=0, u1=L, v1=12, depth=6), L * 12 * 6, (L / 2, 6, 3)),
    "rabbet B on y1": (Rabbet(face="B", u0=0, v0=W - 12, u1=L, v1=W, depth=6), L * 12 * 6, (L / 2, W - 6, 3)),
    "notch in a corner": (Notch(u0=0, v0=0, u1=75, v1=100), 75 * 100 * T, (37.5, 50, T / 2)),
    "notch in an edge": (Notch(u0=200, v0=W - 30, u1=300, v1=W), 100 * 30 * T, (250, W - 15, T / 2)),
    "cutout": (Cutout(u0=100, v0=100, u1=300, v1=200), 200 * 100 * T, (200, 150, T / 2)),
    "rounded cutout": (Cutout(u0=100, v0=100, u1=300, v1=200, radius=12), ROUNDED, (200, 150, T / 2)),
    "slot": (Cutout(u0=100, v0=100, u1=300, v1=120, radius=10), (180 * 20 + PI * 100) * T, (200, 110, T / 2)),
    "round cutout": (Cutout(u0=100, v0=100, u1=160, v1=160, radius=30), PI * 900 * T, (130, 130, T / 2)),
}


@pytest.mark.parametrize("name", ONE_CUT)
def test_one_cut_takes_its_volume_from_its_place(name: str):
    cut, taken, middle = ONE_CUT[name]
    shape = solid(panel(cut))
    whole = L * W * T
    centre = [(whole * c - taken * m) / (whole - taken) for c, m in zip((L / 2, W / 2, T / 2), middle, strict=True)]
    assert isinstance(shape, cq.Solid)
    assert shape.isValid()
    assert shape.Volume() == pytest.approx(whole - taken, abs=0.001)
    assert shape.Center().toTuple() == pytest.approx(centre, abs=1e-6)
    assert corners(shape) == pytest.approx((0, 0, 0, L, W, T), abs=1e-4)


# Cuts that meet in a line, in a plane or in a curve: where boolean operations are known to go wrong.
GROOVE = Groove(face="A", u0=0, v0=100, u1=L, v1=106, depth=6)
WINDOW = Cutout(u0=100, v0=100, u1=300, v1=200, radius=12)
MEETING = {
    "bores tangent": (
        (Bore(face="A", u=100, v=100, diameter=10, depth=9), Bore(face="A", u=110, v=100, diameter=10, depth=9)),
        2 * PI * 25 * 9,
    ),
    "bores through, tangent": (
        (Bore(face="A", u=100, v=100, diameter=10), Bore(face="A", u=110, v=100, diameter=10)),
        2 * PI * 25 * T,
    ),
    "bores meet bottom to bottom": (
        (Bore(face="A", u=100, v=100, diameter=10, depth=9), Bore(face="B", u=100, v=100, diameter=10, depth=9)),
        PI * 25 * T,
    ),
    "counterbore": (
        (Bore(face="A", u=100, v=100, diameter=10, depth=9), Bore(face="A", u=100, v=100, diameter=5)),
        PI * 25 * 9 + PI * 6.25 * 9,
    ),
    "bore as wide as its groove": ((GROOVE, Bore(face="A", u=300, v=103, diameter=6)), L * 36 + PI * 9 * 12),
    "bore as deep as its groove": (
        (GROOVE, Bore(face="A", u=300, v=106, diameter=6, depth=6)),
        L * 36 + PI * 9 * 6 / 2,
    ),
    "grooves cross": ((GROOVE, Groove(face="A", u0=200, v0=0, u1=206, v1=W, depth=6)), L * 36 + W * 36 - 6**3),
    "grooves side by side": ((GROOVE, Groove(face="A", u0=0, v0=106, u1=L, v1=112, depth=4)), L * 36 + L * 24),
    "tongue": (
        (
            Rabbet(face="A", u0=0, v0=0, u1=20, v1=W, depth=6),
            Rabbet(face="B", u0=0, v0=0, u1=20, v1=W, depth=6),
        ),
        2 * 20 * W * 6,
    ),
    "groove across a rounded cutout": (
        (WINDOW, Groove(face="A", u0=0, v0=150, u1=L, v1=156, depth=6)),
        ROUNDED + (L - 200) * 36,
    ),
    "groove up to a notch": (
        (Notch(u0=0, v0=0, u1=75, v1=100), Groove(face="A", u0=75, v0=50, u1=L, v1=60, depth=6)),
        75 * 100 * T + (L - 75) * 60,
    ),
}


@pytest.mark.parametrize("name", MEETING)
def test_cuts_that_meet_are_counted_once(name: str):
    cuts, taken = MEETING[name]
    shape = solid(panel(*cuts))
    assert shape.isValid()
    assert shape.Volume() == pytest.approx(L * W * T - taken, abs=0.001)


def test_a_cut_along_a_whole_end_shortens_the_solid():
    """Two rabbets with nothing left between them: the one case where the solid is smaller than its blank."""
    shape = solid(
        panel(Rabbet(face="A", u0=0, v0=0, u1=20, v1=W, depth=12), Rabbet(face="B", u0=0, v0=0, u1=20, v1=W, depth=12))
    )
    assert corners(shape) == pytest.approx((20, 0, 0, L, W, T), abs=1e-4)
    assert shape.Volume() == pytest.approx((L - 20) * W * T)


BODIES = {
    "angle": (
        item(Prism("x", ((0, 0), (40, 0), (40, 10), (10, 10), (10, 40), (0, 40)), 0, 600), size=(600, 40, 40)),
        600 * (40 * 10 + 30 * 10),
    ),
    "clockwise about y": (
        item(Prism("y", ((0, 0), (0, 40), (10, 40), (10, 10), (40, 10), (40, 0)), 0, 600), size=(40, 600, 40)),
        600 * (40 * 10 + 30 * 10),
    ),
    "triangle about z": (item(Prism("z", ((0, 0), (60, 0), (0, 30)), 10, 50)), 60 * 30 / 2 * 40),
    "members that touch": (
        item(Box((0, 0, 0), (500, 6, 45)), Box((0, 6, 5), (500, 12.7, 40)), size=(500, 12.7, 45)),
        500 * (6 * 45 + 6.7 * 35),
    ),
    "cup and neck": (
        item(Cylinder((0, 20, 20), (1, 0, 0), 17.5, 13), Cylinder((0, 20, 20), (1, 0, 0), 5, 100)),
        PI * (17.5**2 * 13 + 25 * 87),
    ),
    "leaning bar": (item(Cylinder((30, 30, 30), (1, 1, 1), 10, 50)), PI * 100 * 50),
    "drilled": (
        item(Box((0, 0, 0), (100, 40, 10)), size=(100, 40, 10), cuts=(Bore(face="A", u=50, v=20, diameter=8),)),
        100 * 40 * 10 - PI * 16 * 10,
    ),
}


@pytest.mark.parametrize("name", BODIES)
def test_a_body_is_one_solid_of_its_primitives(name: str):
    part, expected = BODIES[name]
    shape = solid(part)
    assert isinstance(shape, cq.Solid)
    assert shape.isValid()
    assert shape.Volume() == pytest.approx(expected, rel=1e-9)


def test_loose_pieces_are_allowed_for_hardware_alone():
    pins = (Cylinder((0, 50, 50), (1, 0, 0), 5, 30), Cylinder((60, 50, 50), (1, 0, 0), 5, 40))
    shape = solid(item(*pins))
    assert isinstance(shape, cq.Compound)
    assert len(shape.Solids()) == 2
    assert shape.Volume() == pytest.approx(PI * 25 * 70)
    with pytest.raises(GeometryError, match=r"part 100 x 100 x 100 mm of item: it falls into 2 pieces"):
        solid(item(*pins, kind="board"))


@st.composite
def drilled_panels(draw) -> Part:
    """Panels of every kind of cut, anywhere, on whole and half millimetres so that walls often coincide."""
    length, width, thick = 300.0, 200.0, 18.0

    def at(size: float) -> float:
        return draw(st.integers(2, int(2 * size) - 2)) / 2

    def span(size: float, most: float) -> tuple[float, float]:
        low = draw(st.integers(0, int(2 * size) - 20)) / 2
        return low, min(size, low + draw(st.integers(10, int(2 * most))) / 2)

    cuts: list[Cut] = []
    for kind in draw(
        st.lists(st.sampled_from(("bore", "edge", "through", "groove", "cutout")), min_size=1, max_size=8)
    ):
        depth = draw(st.sampled_from((4.0, 6.0, 9.0, 12.0)))
        face = draw(st.sampled_from(("A", "B")))
        diameter = draw(st.sampled_from((5.0, 8.0, 20.0)))
        if kind == "bore":
            cuts.append(Bore(face=face, u=at(length), v=at(width), diameter=diameter, depth=depth))
        elif kind == "through":
            cuts.append(Bore(face=face, u=at(length), v=at(width), diameter=diameter))
        elif kind == "edge":
            end = draw(st.sampled_from(("x0", "x1", "y0", "y1")))
            run = width if end in ("x0", "x1") else length
            cuts.append(Bore(face=end, u=at(run), v=at(thick), diameter=5, depth=4 * depth))
        elif kind == "groove":
            (u0, u1), (v0, v1) = span(length, length), span(width, 12)
            cuts.append(Groove(face=face, u0=u0, v0=v0, u1=u1, v1=v1, depth=depth))
        else:
            (u0, u1), (v0, v1) = span(length, 80), span(width, 80)
            radius = draw(st.sampled_from((0.0, min(u1 - u0, v1 - v0) / 2, 2.0)))
            cuts.append(Cutout(u0=u0, v0=v0, u1=u1, v1=v1, radius=radius))
    return panel(*cuts, size=(length, width, thick))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(drilled_panels())
def test_solid_and_mesh_agree(part: Part):
    """Two kernels, one description; the smallest bore takes 79 mm^3. A part cut in two is no part."""
    try:
        shape = solid(part)
    except GeometryError as error:
        assert "falls into" in str(error)  # noqa: PT017
        return
    assert shape.isValid()
    assert shape.Volume() == pytest.approx(mesh_volume(part), abs=5.0)


@pytest.mark.parametrize(
    ("cuts", "message"),
    [
        ((Notch(u0=100, v0=0, u1=120, v1=W),), "it falls into 2 pieces"),
        ((Notch(u0=0, v0=0, u1=L, v1=W),), "nothing is left of it"),
    ],
)
def test_a_part_that_cannot_be_is_refused_by_name(cuts, message: str):
    with pytest.raises(GeometryError, match=f"part 600 x 400 x 18 mm of panel: {message}") as refused:
        solid(panel(*cuts))
    assert isinstance(refused.value, ProjectError)


HOLES = tuple(Bore(face="A", u=40 + 32 * (i % 15), v=40 + 20 * (i // 15), diameter=5, depth=12) for i in range(200))


def test_two_hundred_bores_are_one_quick_cut():
    """One cut a bore takes about a hundred times longer than all of them in one operation."""
    part = panel(*HOLES)
    start = time.perf_counter()
    shape = solid(part)
    assert time.perf_counter() - start < 3.0
    assert shape.Volume() == pytest.approx(L * W * T - 200 * PI * 2.5**2 * 12, abs=0.01)


def test_two_hundred_holes_through():
    part = panel(*(replace(hole, depth=None) for hole in HOLES))
    assert solid(part).Volume() == pytest.approx(L * W * T - 200 * PI * 2.5**2 * T, abs=0.01)


def test_a_boolean_that_loses_a_tool_is_noticed(monkeypatch: pytest.MonkeyPatch):
    honest = solids._boolean
    monkeypatch.setattr(solids, "_boolean", lambda op, args, tools, part: honest(op, args, tools[:-1], part))
    with pytest.raises(GeometryError, match="its solid measures"):
        solid(panel(GROOVE, replace(GROOVE, u0=20, u1=200, v0=20, v1=60), size=(L + 1, W, T)))


@pytest.mark.parametrize("cuts", [HOLES[:60], (GROOVE, replace(HOLES[0], diameter=3, depth=2, u=20, v=20))])
def test_a_bore_that_is_lost_is_noticed(monkeypatch: pytest.MonkeyPatch, cuts: tuple[Cut, ...]):
    honest = solids.drilled
    monkeypatch.setattr(solids, "drilled", lambda plate, bores, size: honest(plate, bores[:-1], size))
    with pytest.raises(GeometryError, match="its solid measures"):
        solid(panel(*cuts, size=(L + 2, W, T)))


def test_a_solid_shorter_than_its_blank_is_noticed(monkeypatch: pytest.MonkeyPatch):
    short = cq.Solid.makeBox(L, W - 0.1, T + 0.1 * T / (W - 0.1)).wrapped  # of the right volume
    monkeypatch.setattr(solids, "_swept", lambda *_: short)
    with pytest.raises(GeometryError, match="its solid reaches"):
        solid(panel())


def test_equal_parts_are_built_once_and_lie_at_the_origin():
    a, b = panel(GROOVE, *HOLES[:3]), panel(*HOLES[2::-1], GROOVE)
    assert solid(a) is solid(b)
    for part in (a, panel(), panel(WINDOW), BODIES["cup and neck"][0]):
        assert solid(part).wrapped.Location().IsIdentity()


@pytest.mark.parametrize(
    "at",
    [
        Placement((10, 20, 30)),
        Placement.axes((10, 20, 30), "+y", "-x"),
        Placement.turned("z", 0.3, (1000, -250.5, 40)),
        Placement.turned("x", 1.1, (5, 6, 7)).compose(Placement.turned("y", -0.4)),
    ],
)
def test_located_puts_every_corner_where_the_placement_does(at: Placement):
    part = panel(Notch(u0=0, v0=0, u1=75, v1=100))
    shape = located(PlacedPart("side", part, at, "side"))
    outline = [(75, 0), (L, 0), (L, W), (0, W), (0, 100), (75, 100)]
    expected = [at.apply((u, v, z)) for u, v in outline for z in (0.0, T)]
    found = [v.toTuple() for v in shape.Vertices()]
    assert len(found) == len(expected)
    for corner in expected:
        assert min(math.dist(corner, other) for other in found) < 1e-6
    assert shape.wrapped.IsPartner(solid(part).wrapped)
    assert shape.Volume() == pytest.approx((L * W - 7500) * T)
