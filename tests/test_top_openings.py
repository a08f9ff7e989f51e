"""Cutouts and grommets in tops."""

import math
from pathlib import Path
from typing import Any

import pytest
from top_runs import Stocks, box, make_top, part, project

from model.checks.interference import interference_of
from model.cuts import Bore
from model.errors import ConfigError
from model.meshes import volume
from model.shapes import Box
from model.site import Unbuildable
from model.tops.slab import Below, TopRun

CUTOUT = {"x": 1150.0, "front": 120.0, "width": 400.0, "depth": 300.0}


@pytest.mark.parametrize("layers", [1, 2])
def test_a_cutout_goes_through_every_layer(stocks: Stocks, layers: int) -> None:
    """Its volume: 400 x 300 less four corners of (1 - pi / 4) r^2."""

    run = TopRun((0, 2000), ((0, 2000),), (), 40, (), -600)
    whole = make_top(stocks, run, layers=layers)
    cut = make_top(stocks, run, layers=layers, cutouts=[{**CUTOUT, "radius": 20.0}])
    area = 400 * 300 - (4 - math.pi) * 20**2
    for a, b in zip(whole.parts, cut.parts, strict=True):
        assert volume(a.part) - volume(b.part) == pytest.approx(area * 17.8, rel=1e-5)


SIDE = Box((1382.2, -600, -800), (1400, 0, 0))


@pytest.mark.parametrize(
    ("options", "key", "message"),
    [
        ({"cutouts": [{**CUTOUT, "x": 1300.0}]}, "cutouts", "over the right side of a base, at 1382.2 mm to 1400 mm"),
        ({"cutouts": [{**CUTOUT, "front": 30.0}]}, "cutouts", "less than 40 mm from a seam or an edge"),
        ({"cutouts": [{**CUTOUT, "radius": 151.0}]}, "cutouts", "rounder than it is wide"),
        ({"cutouts": [CUTOUT, {**CUTOUT, "x": 800.0}]}, "cutouts", "from another cutout"),
        ({"cutouts": [{**CUTOUT, "front": 20.0 + 30}], "build_up": 60.0}, "cutouts", "front strip"),
        ({"cutouts": [{**CUTOUT, "x": 400.0, "front": 250.0}]}, "cutouts", "an upper stands there"),
        (
            {"grommets": [{"item": "grommet 60", "x": 1390.0}]},
            "grommets",
            "over the right side of a base, at 1382.2 mm to 1400 mm",
        ),
        ({"grommets": [{"item": "grommet 61", "x": 1200.0}]}, "grommets", "did you mean 'grommet 60'"),
        ({"grommets": [{"item": "grommet 60", "x": 1200.0, "from_wall": 34.0}]}, "grommets", "meets the wall"),
        (
            {"grommets": [{"item": "grommet 60", "x": 1200.0, "from_wall": 50.0}], "backsplash": {}},
            "grommets",
            "meets the backsplash, keep it 52.8 mm",
        ),
        ({"grommets": [{"item": "grommet 25", "x": 1200.0}] * 2}, "grommets", "meets another grommet"),
        ({"grommets": [{"item": "grommet 60", "x": 300.0}]}, "grommets", "an upper stands there"),
    ],
)
def test_an_opening_in_the_wrong_place_says_why(
    stocks: Stocks, options: dict[str, Any], key: str, message: str
) -> None:
    run = TopRun((0, 2000), ((0, 1400), (1400, 2000)), ((0, 600),), 40, (), -600, (-300,))
    with pytest.raises(Unbuildable, match=message) as caught:
        make_top(stocks, run, below=Below((("the right side of a base", SIDE),)), **options)
    assert caught.value.loc[:2] == ("make", key)


def test_a_cutout_may_lie_before_an_upper(stocks: Stocks) -> None:
    run = TopRun((0, 2000), ((0, 2000),), ((0, 600),), 40, (), -600, (-150,))
    make_top(stocks, run, cutouts=[{**CUTOUT, "x": 400.0}])


def test_a_grommet_sits_in_its_bore(stocks: Stocks) -> None:
    """60 mm bores through both layers; the sleeve 17 mm down from the upper face, the rim 2 mm over it."""
    run = TopRun((0, 2000), ((0, 2000),), (), 40, (), -600)
    top = make_top(stocks, run, layers=2, grommets=[{"item": "grommet 60", "x": 1200.0, "from_wall": 70.0}])
    grommet = box(top, "grommet 1")
    assert grommet.span("x") == (1200 - 35, 1200 + 35)
    assert grommet.span("y") == (-70 - 35, -70 + 35)
    assert grommet.span("z") == pytest.approx((35.6 - 17, 35.6 + 2))
    for path in ("top", "second layer"):
        (bore,) = part(top, path).part.cuts
        assert isinstance(bore, Bore)
        assert (bore.diameter, bore.depth, bore.purpose) == (60, None, "grommet")


def test_a_cutout_over_a_real_side_or_rail_is_refused_and_beside_it_is_not(tmp_path: Path) -> None:
    """The right side of the drawers lies at 782.2 to 800; the frame at 45 to 65 behind the front of the top."""
    hole = {"name": "vice plate", "front": 150, "width": 200, "depth": 250}
    with pytest.raises(ConfigError, match="it lies over the right side of drawers, at 782"):
        project(tmp_path, {"cutouts": [{**hole, "x": 800}]})
    with pytest.raises(ConfigError, match=r"over the top rail of drawers, .* and 45 mm to 65 mm behind"):
        project(tmp_path, {"cutouts": [{**hole, "x": 600, "front": 60}]})
    assert interference_of(project(tmp_path, {"cutouts": [{**hole, "x": 600, "front": 65}]}).plan) == ()


def test_a_seam_moves_away_from_a_cutout(tmp_path: Path) -> None:
    """With nothing in the way the seam lies in the middle of the base, at 400. A hole there, 300 to 500, and 40 mm of
    sheet beside it leave 540 to 760 (40 mm of bearing): it lies midway."""
    hole = {"front": 150, "width": 200, "depth": 250, "x": 400}
    for make, seam in (({}, 400), ({"cutouts": [hole]}, 650)):
        units = {u.name: u for u in project(tmp_path, make).plan.units}
        assert part(units["bench"], "bench/top piece 1").bounds().hi[0] == pytest.approx(seam)
