"""Screws and their holes against published figures and the habits of the trade."""

import math

import pytest
from conftest import MakeUnit

from model.cabinet.hanging import screw_reach
from model.cuts import Bore
from model.fastening.choice import TIP, fitting_screw, pull_bolt, wood_screw
from model.fastening.fasten import fasten
from model.fastening.hardware import slide_holes
from model.materials import Materials
from model.placement import Placement
from model.stock.screws import HEAD, Screw
from model.stock.tables import Stock

INCH = 25.4
Stocks = dict[str, tuple[Stock, Materials]]


def numbered(stock: Stock) -> list[tuple[int, Screw]]:
    return [(int(name.split()[1]), s) for name, s in stock.screws.items() if name.startswith("number ")]


def test_screws_have_the_shank_of_their_number(stocks: Stocks) -> None:
    """ASME B18.6.1: D = 0.060 + 0.013 n inches (from memory)."""
    found = numbered(stocks["in"][0])
    assert {n for n, _ in found} == {4, 7, 8, 10}
    for n, screw in found:
        assert screw.diameter / INCH == pytest.approx(0.060 + 0.013 * n, abs=0.0005)


def test_flat_heads_are_about_twice_as_wide_as_their_screws(stocks: Stocks) -> None:
    """ASME B18.6.1, flat heads of 82 degrees: at most 0.225 in for number 4, 0.332 in for 8, 0.385 in for 10 (from
    memory); ISO 7050, 90 degrees (from memory)."""
    widest = {4: 0.225, 8: 0.332, 10: 0.385}
    for n, screw in numbered(stocks["in"][0]):
        if n in widest and screw.use in ("wood", "wall"):
            assert screw.head / INCH == pytest.approx(widest[n], abs=0.001)
            assert screw.head_angle == 82
    for screw in stocks["mm"][0].screws.values():
        assert screw.head_angle == 90
        assert screw.head == pytest.approx(HEAD * screw.diameter)


def test_pilot_holes_suit_the_root_of_the_thread(stocks: Stocks) -> None:
    """About 70 % of the root diameter in softwoods and 90 % in hardwoods (Wood Handbook, FPL-GTR-190, ch. 8, from
    memory); the root of a wood screw is about two thirds of its shank (NDS, appendix L: 0.113 in of 0.164 in for number
    8, from memory). Plywood takes the wider."""
    assert pytest.approx(2 / 3, abs=0.03) == 0.113 / 0.164
    for stock, _ in stocks.values():
        for screw in stock.screws.values():
            assert 0.70 <= screw.pilot_diameter / (screw.diameter * 0.113 / 0.164) <= 1.03


def test_clearance_holes_pass_the_shank_and_hold_the_head(stocks: Stocks) -> None:
    """A shank hole as wide as the shank (Wood Handbook, FPL-GTR-190, ch. 8), at most half a millimetre wider (common
    practice)."""
    for stock, _ in stocks.values():
        for screw in stock.screws.values():
            assert screw.diameter <= screw.clearance_diameter <= screw.diameter + 0.51
            assert screw.head >= 1.5 * screw.clearance_diameter


def test_two_inch_screws_hold_three_quarter_panels_on_edges(stocks: Stocks) -> None:
    """2 in through a 3/4 in panel into a 3/4 in edge, countersunk (common practice)."""
    screw = wood_screw(stocks["in"][0], None, 0.75 * INCH, 300.0, 0.75 * INCH, True)
    assert screw is not None
    assert screw.length == pytest.approx(2 * INCH)
    assert screw.length - 0.75 * INCH > 1.2 * INCH
    metric = wood_screw(stocks["mm"][0], None, 18.0, 300.0, 18.0, True)
    assert metric is not None
    assert 45 <= metric.length <= 55


def test_a_two_and_a_half_inch_screw_comes_out_below_a_three_quarter_top(stocks: Stocks) -> None:
    """Through a rail of 1 1/2 in on edge it goes 1 in further (common practice: say what is under it); 2 in stays
    inside."""
    screws, rail, top = stocks["in"][0].screws, 1.5 * INCH, 23 / 32 * INCH
    assert screw_reach(rail, screws["number 8 x 2.5"], top).past == pytest.approx(INCH - top, abs=0.001)
    assert screw_reach(rail, screws["number 8 x 2"], top).past < -TIP


@pytest.mark.parametrize("lengths", ["mm", "in"])
@pytest.mark.parametrize("through", [6.1, 11.9, 15.0, 17.8, 18.3, 20.0, 22.2, 30.0, 38.1])
@pytest.mark.parametrize("into", [11.9, 15.0, 17.8, 18.3, 30.0, 400.0])
def test_the_longest_screw_that_stays_inside(stocks: Stocks, lengths: str, through: float, into: float) -> None:
    """At least 3 mm of wood before the tip, and where there is a choice no more than 2.85 times what it passes."""
    stock = stocks[lengths][0]
    screw = wood_screw(stock, None, through, into, 1000.0, False)
    if screw is None:
        return
    assert screw.length <= through + into - 3.0 + 1e-6
    longer = [s for s in stock.screws.values() if s.use == "wood" and s.length > screw.length]
    for other in longer:
        assert other.length > through + into - 3.0 + 1e-6 or other.length > 2.85 * through
    if screw.length > 2.85 * through:
        shorter = [s.length for s in stock.screws.values() if s.use == "wood" and through + 6 <= s.length]
        assert min(shorter) > 2.85 * through


def test_fitting_screws_stay_inside_thin_sides(stocks: Stocks) -> None:
    """9.5 mm (3/8 in) in a 12 mm (1/2 in) drawer side, under a millimetre of steel (common practice)."""
    for lengths, thick, most in (("mm", 11.9, 9.5), ("in", 15 / 32 * INCH, 3 / 8 * INCH)):
        screw = fitting_screw(stocks[lengths][0], thick)
        assert screw is not None
        assert screw.length == pytest.approx(most)


def test_pull_screws_reach_into_the_pull(stocks: Stocks) -> None:
    """A 3/4 in front takes 1 in 8-32 (25 mm M4) screws, with a 3/4 in sub-front 1 3/4 in (45 mm): common practice."""
    for lengths, panel, single, double in (("in", 23 / 32 * INCH, 1 * INCH, 1.75 * INCH), ("mm", 17.8, 25, 45)):
        stock = stocks[lengths][0]
        lone, pair = pull_bolt(stock, panel), pull_bolt(stock, 2 * panel)
        assert lone is not None
        assert pair is not None
        assert (lone.length, pair.length) == (pytest.approx(single), pytest.approx(double))


@pytest.mark.parametrize("length", [250.0, 300.0, 400.0, 500.0, 700.0])
def test_slides_are_screwed_on_the_32_mm_line(stocks: Stocks, length: float) -> None:
    """5 mm holes at 32 mm pitch, the first 37 mm from the front edge (32 mm line boring; several trade articles)."""
    slide = stocks["mm"][0].slides["ball-bearing 45"]
    holes = [x + slide.setback for x in slide_holes(slide, length)]
    assert holes[0] == 37
    assert all(math.isclose((x - 37) % 32, 0, abs_tol=1e-9) for x in holes)
    assert len(holes) == len(set(holes)) >= 2
    assert max(holes) - slide.setback < length


def test_bores_of_a_butt_joint_have_the_sizes_of_the_stock(make_unit: MakeUnit, stocks: Stocks) -> None:
    stock, materials = stocks["in"]
    unit = make_unit("base", 600, 800, "in", joinery="butt", frame=None, toe_kick=None).placed(Placement())
    named = materials.model_copy(update={"carcass_screw": "number 8 x 2"})
    (held,) = fasten((unit,), (), stock, lambda _: named).units
    side = next(p for p in held.parts if p.path == "unit/left side")
    screw = stock.screws["number 8 x 2"]
    clear = [c for c in side.part.cuts if isinstance(c, Bore) and c.purpose == "screw"]
    assert clear
    assert {c.diameter for c in clear} == {screw.clearance_diameter}
    assert {(c.countersink, c.countersink_degrees) for c in clear} == {(round(screw.head, 3), 82)}
