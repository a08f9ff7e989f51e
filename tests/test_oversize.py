"""Parts larger than anything they could be cut from: found, and told where to seam them."""

import itertools
from dataclasses import replace

import pytest
from cut_plans import plan, sheets, stock

from model.build import Build
from model.checks.oversize import oversize, seams_of
from model.part import Joint, Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.stock.tables import Stock


def with_stock(build: Build, made: Plan, said: Stock) -> Build:
    return replace(build, plan=made, stock=said)


@pytest.mark.parametrize("name", ["herbarium", "trains"])
def test_the_demos_can_be_cut(name: str, request: pytest.FixtureRequest) -> None:
    assert list(oversize(request.getfixturevalue(name))) == []


@pytest.mark.parametrize(
    ("size", "material", "value", "limit", "seams"),
    [
        ((2420, 1200), "ply", None, None, ()),
        ((2420.1, 1200), "ply", 2420.1, 2420, (1210.05,)),
        ((5000, 300), "ply", 5000, 2420, (1666.667, 3333.333)),
        ((2420, 1200.1), "ply", 1200.1, 1200, (600.05,)),
        ((1100, 2000), "ply", 2000, 1200, (1000.0,)),
        ((1100, 2000), "mdf", None, None, ()),
    ],
)
def test_a_part_larger_than_a_trimmed_sheet(
    size: tuple[float, float], material: str, value: float, limit: float, seams: tuple[float, ...], herbarium: Build
) -> None:
    """Sheets of 2440 x 1220, 10 off each edge: 2420 x 1200 is the most."""
    found = list(oversize(with_stock(herbarium, plan([(*size, 1)], material), stock())))
    assert [(f.code, f.value, f.limit) for f in found] == ([] if value is None else [("oversize", value, limit)])
    for finding in found:
        assert tuple(x for name, x in finding.details if name.startswith("seam_")) == pytest.approx(seams, abs=1e-3)
        edges = [0.0, *(x for _, x in finding.details), float(finding.value or 0)]
        assert all(b - a <= (finding.limit or 0) + 1e-6 for a, b in itertools.pairwise(edges))


def test_the_larger_of_two_sizes_counts(herbarium: Build) -> None:
    said = stock(sheets=sheets("ply", [(2440, 1220, 98), (3000, 1500, 150)]))
    assert list(oversize(with_stock(herbarium, plan([(2900, 1400, 1)]), said))) == []


def test_a_board_longer_than_any(herbarium: Build) -> None:
    found = list(oversize(with_stock(herbarium, plan([(3000, 40, 1), (3600, 40, 2)], "pine", "board"), stock())))
    assert [(f.value, f.limit, f.details) for f in found] == [(3600, 3000, (("seam_1_mm", 1800.0),))]
    assert "sold up to 3000 mm: seam it at 1800 mm" in found[0].message


def test_a_seam_lies_over_what_carries_it(herbarium: Build) -> None:
    """A long shelf over a divider that is not in its middle."""
    shelf = Part(kind="sheet", material="ply", length=3000, width=400, thickness=18)
    divider = Part(kind="sheet", material="ply", length=700, width=400, thickness=18)
    placed = (
        PlacedPart("unit/shelf", shelf, Placement((0.0, 0.0, 700.0)), "shelf"),
        # upright: its length along z, its thickness along x from 1391 to 1409
        PlacedPart(
            "unit/divider",
            divider,
            Placement((1391.0, 0.0, 0.0), ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))),
            "side",
        ),
    )
    made = Plan("t", (BuiltUnit("unit", "B1", "base", placed, (Joint("screwed", "unit/shelf", "unit/divider"),)),))
    build = with_stock(herbarium, made, stock())
    assert seams_of(build, placed[0], "length", 3000, 2420) == ((1400.0,), True)
    (found,) = oversize(build)
    assert found.message.endswith("seam it at 1400 mm from its left end (x = 0), over parts that carry it")
    # no piece would be short enough over the divider: the pieces are alike instead
    assert seams_of(build, placed[0], "length", 3000, 1550) == ((1500.0,), False)
