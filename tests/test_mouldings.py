"""Moulding sections against the curves they stand for."""

import math

import pytest
from top_runs import Stocks, box, make_top

from model.meshes import volume
from model.solids import solid
from model.tops.mouldings import CHORD, Moulding
from model.tops.slab import TopRun


@pytest.mark.parametrize("profile", ["half round", "quarter round", "cove"])
def test_a_section_keeps_to_its_curve(profile: str) -> None:
    """Its area against the closed form of the ellipse (pi a b), and its corners on the curve."""
    moulding = Moulding(height=30.0, projection=12.0, profile=profile, lengths=(2000.0,), density=450.0)  # pyright: ignore
    outline = moulding.outline()
    around = zip(outline, (*outline[1:], outline[0]), strict=True)
    area = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in around)) / 2
    exact = {"half round": math.pi * 12 * 15 / 2, "quarter round": math.pi * 12 * 30 / 4}
    exact["cove"] = 12 * 30 - exact["quarter round"]
    assert area == pytest.approx(exact[profile], abs=CHORD * 45)
    us, vs = zip(*outline, strict=True)
    assert (min(us), max(us), min(vs), max(vs)) == (0, 12, 0, 30)


def test_a_section_may_be_drawn(stocks: Stocks) -> None:
    stock, materials = stocks["mm"]
    corners = ((0.0, 0.0), (6.0, 0.0), (20.0, 15.0), (20.0, 30.0), (0.0, 30.0))
    ogee = Moulding(height=30.0, projection=20.0, section=corners, lengths=(2400.0,), density=450.0)
    ogee._name = "drawn"
    mine = stock.model_copy(update={"mouldings": {"drawn": ogee}})
    run = TopRun((0, 2000), ((0, 2000),), (), 40, (), -600)
    top = make_top({"mm": (mine, materials)}, run, edge={"moulding": "drawn", "moulding_at": "under"})
    assert box(top, "moulding").size == (2000, 20, 30)


def test_a_top_is_solid_to_the_cad_kernel_too(stocks: Stocks) -> None:
    """Mitred mouldings and rounded cutouts: volumes of the two kernels agree."""

    run = TopRun((0, 2000), ((40, 1960),), (), 40, (), -600)
    edge = {"board": "pine 20x40", "moulding": "half round 36", "ends": ("left", "right")}
    cutout = {"x": 1150.0, "front": 120.0, "width": 400.0, "depth": 300.0}
    top = make_top(
        stocks, run, front=40, edge=edge, cutouts=[cutout], scribe={}, grommets=[{"item": "grommet 60", "x": 700.0}]
    )
    for placed in top.parts:
        assert solid(placed.part).Volume() == pytest.approx(volume(placed.part), rel=2e-4), placed.path
