"""Paint: what a gallon and a litre cover, and what two coats take."""

import pytest
from conftest import CONFIGS

from model.config.tree import read
from model.finishes import Amount, Painted, amounts
from model.part import Part, PlacedPart
from model.placement import Placement
from model.stock.finishes import Finish, Tin
from model.stock.tables import Stock

GALLON = 231 * 25.4**3 / 1e6
"""Litres: the United States gallon is 231 cubic inches (NIST Handbook 44, appendix C)."""
SQUARE_FOOT = 0.3048**2
"""m2, exact."""
PAINT = (350, 400)
"""Square feet a gallon covers in one coat: paint makers' and trade pages agree on it."""
PRIMER = (200, 300)
"""The same of a primer."""


@pytest.fixture(scope="module")
def inch() -> Stock:
    return read(CONFIGS / "stock" / "maple-inch.yaml", Stock).value


@pytest.fixture(scope="module")
def metric() -> Stock:
    return read(CONFIGS / "stock" / "birch-metric.yaml", Stock).value


def finish(coverage: object, **more: object) -> Finish:
    return Finish.model_validate({"coverage": coverage, "tins": [{"volume": 1}], **more})


@pytest.mark.parametrize(("square_feet", "square_metres"), [(350, 8.6), (400, 9.8)])
def test_coverage_in_both_units(square_feet: int, square_metres: float) -> None:
    """350 to 400 square feet a gallon is 8.6 to 9.8 m2 a litre."""
    found = finish(f"{square_feet} ft2/gal").coverage
    assert found == pytest.approx(square_feet * SQUARE_FOOT / GALLON)
    assert found == pytest.approx(square_metres, abs=0.03)


def test_stocked_paint_covers_what_paint_covers(inch: Stock) -> None:
    per_gallon = {name: f.coverage * GALLON / SQUARE_FOOT for name, f in inch.finishes.items()}
    assert PRIMER[0] <= round(per_gallon["primer"]) <= PRIMER[1]
    assert PAINT[0] <= round(per_gallon["white satin"]) <= PAINT[1]
    assert PAINT[0] <= round(per_gallon["clear varnish"]) <= PAINT[1]


def test_two_coats_unless_it_says_otherwise(inch: Stock, metric: Stock) -> None:
    """Two coats, over one of primer: common practice."""
    assert finish(10).coats == 2
    for stock in (inch, metric):
        assert all(f.coats == (1 if name == "primer" else 2) for name, f in stock.finishes.items())


def painted(square_metres: float, name: str) -> Painted:
    board = Part(kind="sheet", material="ply", length=1000, width=1000, thickness=10)
    return Painted("unit", PlacedPart("unit/board", board, Placement(), "shelf"), name, (("A", square_metres),))


def test_a_wall_of_400_square_feet_takes_two_gallons_in_two_coats() -> None:
    paint = Stock.model_validate(
        {"finishes": {"paint": {"coverage": "400 ft2/gal", "tins": [{"volume": "1 gal", "price": 58}]}}}
    ).finishes
    (amount,) = amounts((painted(400 * SQUARE_FOOT, "paint"),), paint)
    assert isinstance(amount, Amount)
    assert amount.litres == pytest.approx(2 * GALLON)


def test_gallons_and_quarts_are_those_of_the_country_that_uses_them() -> None:
    """A quart is a quarter of a gallon, a pint an eighth (NIST Handbook 44, appendix C)."""
    sizes = {text: Tin.model_validate({"volume": text}).volume for text in ("1 gal", "1 qt", "1 pt", "750 ml", "2.5 l")}
    assert sizes == pytest.approx(
        {"1 gal": GALLON, "1 qt": GALLON / 4, "1 pt": GALLON / 8, "750 ml": 0.75, "2.5 l": 2.5}
    )
