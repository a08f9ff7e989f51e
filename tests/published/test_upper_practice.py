"""Uppers as they are commonly made, in inches: common practice, without a published source unless one is named."""

import itertools
from dataclasses import replace
from typing import Any

import pytest
from conftest import plan_of

from model.cabinet.hanging import Cleat, screw_reach, wall_places
from model.cabinet.shelves import ShelfOptions
from model.checks.interference import interference
from model.cuts import Bore
from model.materials import Materials
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.site import Site, Unbuildable
from model.stock.tables import Stock
from model.units.upper import UpperOptions, build

INCH = 25.4
STOCK: dict[str, Any] = {
    "lengths": "in",
    "sheets": {
        "panel": {"thickness": 0.75 * INCH, "sizes": [{"length": 96 * INCH, "width": 48 * INCH}], "density": 640},
        "thin": {"thickness": 0.25 * INCH, "sizes": [{"length": 96 * INCH, "width": 48 * INCH}], "density": 640},
    },
    "boards": {
        "one by two": {"thickness": 0.75 * INCH, "width": 1.5 * INCH, "lengths": [96 * INCH], "density": 450},
    },
    "pins": {"pin": {"diameter": 6.35, "bore_diameter": 6.35, "bore_depth": 9.5, "length": 17.5}},
    "screws": {
        "two and a half": {
            "diameter": 0.164 * INCH,
            "length": 2.5 * INCH,
            "clearance_diameter": 11 / 64 * INCH,
            "pilot_diameter": 7 / 64 * INCH,
        },
        "four": {
            "diameter": 0.19 * INCH,
            "length": 4 * INCH,
            "clearance_diameter": 13 / 64 * INCH,
            "pilot_diameter": 0.125 * INCH,
        },
    },
}
"""A true 3/4 in panel and the screws of the habit: number 8 and 10 shanks after ASME B18.6.1 (from memory)."""


@pytest.fixture(scope="module")
def site() -> Site:
    """A place for an upper 4 ft wide and 4 ft tall."""
    stock = Stock(**STOCK)
    names = Materials(
        carcass="panel", back="thin", frame="one by two", pin="pin", rail_screw="two and a half", wall_screw="four"
    )
    return Site("upper", "U1", 48 * INCH, 48 * INCH, stock, names.filled())


@pytest.fixture(scope="module")
def upper(site: Site) -> BuiltUnit:
    """4 ft tall, 12 in deep, on a top: bare edges, its bottom rails 1 1/2 in high, screws at most 6 in apart."""
    options = UpperOptions(
        depth=12 * INCH, frame=None, bottom_rail=1.5 * INCH, screw_spacing=6 * INCH, shelves=ShelfOptions(count=3)
    )
    return build(options, site)


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def test_a_4_ft_upper_is_fixed_with_nine_screws_along_its_bottom_rail(upper: BuiltUnit) -> None:
    """Accepted as it stands: nine 2 1/2 in screws through the front bottom rail, straight down, none near another."""
    for path in ("front bottom rail", "rear bottom rail"):
        rail = part(upper, path)
        bores = [c for c in rail.part.cuts if isinstance(c, Bore)]
        assert len(bores) == 9
        places = sorted(rail.placement.apply((b.u, 0.0, 0.0))[0] / INCH for b in bores)
        assert places[0] == pytest.approx(0.75 + 50 / INCH)
        assert places[-1] == pytest.approx(48 - 0.75 - 50 / INCH)
        assert all(b.diameter == pytest.approx(11 / 64 * INCH, abs=0.001) for b in bores)
        assert all(b.depth is None and b.face in ("y0", "y1") for b in bores)
    box = part(upper, "left side").bounds()
    assert box.size[2] / INCH == pytest.approx(48)
    assert part(upper, "left side").bounds().hi[1] / INCH == pytest.approx(12)
    assert [f.message for f in interference(plan_of(upper))] == []


def test_2_1_2_in_screws_reach_1_in_below_a_1_1_2_in_rail(site: Site) -> None:
    """That is through a 3/4 in top and 1/4 in into the sub-top under it, which is 3/4 in thick: none comes out."""
    screw = site.screw("rail_screw")
    top = screw_reach(1.5 * INCH, screw, 0.75 * INCH)
    assert top.below / INCH == pytest.approx(1.0, abs=1e-3)
    assert top.bites / INCH == pytest.approx(0.75, abs=1e-3)
    assert top.past / INCH == pytest.approx(0.25, abs=1e-3)
    both = screw_reach(1.5 * INCH, screw, 1.5 * INCH)
    assert both.past / INCH == pytest.approx(-0.5, abs=1e-3)


def test_studs_on_16_in_centres_take_the_screws_of_a_cleat(site: Site) -> None:
    """Studs 16 in on centre (IRC R602.3(5), from memory): a 4 ft cleat meets at least two wherever it hangs."""
    for first in range(16):
        studs = tuple((first + 16 * i) * INCH for i in range(-1, 5))
        unit = build(UpperOptions(depth=12 * INCH), replace(site, hung=True, stud_x=studs))
        half = part(unit, "cleat, wall half")
        at = [half.placement.apply((c.u, c.v, 0))[0] for c in half.part.cuts if isinstance(c, Bore)]
        assert len(at) >= 2
        assert all(min(abs(x - s) for s in studs) < 0.01 for x in at)


def test_where_no_stud_is_known_screws_are_no_further_apart_than_studs() -> None:
    places = wall_places((0.0, 94 * INCH), Cleat(), ())
    assert max(b - a for a, b in itertools.pairwise(places)) <= 16 * INCH


def test_an_inch_and_a_half_of_screw_behind_the_cleat_is_the_least(site: Site) -> None:
    """A 2 1/4 in screw through a 3/4 in cleat has 1 1/2 in for wall board and stud; a 2 in screw is refused."""
    tables = {**STOCK, "screws": {**STOCK["screws"]}}
    for name, length in (("two and a quarter", 2.25), ("two", 2.0)):
        tables["screws"][name] = {**STOCK["screws"]["four"], "length": length * INCH}
    stock = Stock(**tables)
    for name, taken in (("two and a quarter", True), ("two", False)):
        where = replace(site, hung=True, stock=stock, materials=site.materials.model_copy(update={"wall_screw": name}))
        if taken:
            build(UpperOptions(depth=12 * INCH), where)
            continue
        with pytest.raises(Unbuildable, match="behind the cleat, it needs 38 mm"):
            build(UpperOptions(depth=12 * INCH), where)
