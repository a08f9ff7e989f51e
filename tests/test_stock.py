"""Stock files against published sizes, and what a stock table answers."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from model.config.tree import parse_tree, read, validate
from model.errors import ConfigError
from model.stock.tables import MEMBERS_PER_PAIR, TABLES, Sheet, Slide, Stock, rgb

FOLDER = Path(__file__).parent.parent / "configs" / "stock"
FILES = sorted(f for f in FOLDER.glob("*.yaml") if f.stem != "offcuts")
INCH = 25.4
"""mm, exact."""

DRESSED = {
    "1x2": (3 / 4, 1 + 1 / 2),
    "1x3": (3 / 4, 2 + 1 / 2),
    "1x4": (3 / 4, 3 + 1 / 2),
    "1x6": (3 / 4, 5 + 1 / 2),
    "2x2": (1 + 1 / 2, 1 + 1 / 2),
    "2x4": (1 + 1 / 2, 3 + 1 / 2),
}
"""Inches, dressed dry: American Softwood Lumber Standard, PS 20, as lumber pages reproduce it."""

PS1_INCHES = {"1/4 in": (0.219, 0.281), "1/2 in": (0.438, 0.500), "3/4 in": (0.688, 0.750)}
"""Thickness range, inches, of the PS 1 performance categories 1/4, 15/32 and 23/32, which racks label 1/4, 1/2 and
3/4: Voluntary Product Standard PS 1-19, table of performance categories and tolerances."""


def en315_limits(nominal: float) -> tuple[float, float]:
    """EN 315, sanded plywood: nominal thickness t mm, plus 0.2 + 0.03 t, minus 0.4 + 0.03 t."""
    return nominal - (0.4 + 0.03 * nominal), nominal + (0.2 + 0.03 * nominal)


@pytest.fixture(scope="module")
def metric() -> Stock:
    return read(FOLDER / "birch-metric.yaml", Stock).value


@pytest.fixture(scope="module")
def inch() -> Stock:
    return read(FOLDER / "maple-inch.yaml", Stock).value


def test_the_limits_are_those_of_the_standard() -> None:
    """18 mm sanded is +0.7 / -0.9 to one decimal in makers' tables after EN 315: 17.06 to 18.74 mm."""
    assert en315_limits(18) == (pytest.approx(17.06), pytest.approx(18.74))


def test_birch_sheets_are_inside_en_315(metric: Stock) -> None:
    found = {name: s for name, s in metric.sheets.items() if name.startswith("birch")}
    assert len(found) >= 3
    for sheet in found.values():
        assert sheet.nominal is not None
        low, high = en315_limits(float(sheet.nominal.removesuffix(" mm")))
        assert low <= sheet.thickness <= high, sheet.name


def test_birch_stiffness_of_both_ways_adds_up(metric: Stock) -> None:
    """Mean E along plus across is 17,500 MPa for every birch thickness: Handbook of Finnish Plywood (from memory)."""
    for name, sheet in metric.sheets.items():
        if name.startswith("birch"):
            assert sheet.stiffness is not None
            assert sheet.stiffness.across is not None
            assert sheet.stiffness.along + sheet.stiffness.across == 17_500


def test_a_birch_sheet_weighs_what_a_sheet_weighs(metric: Stock) -> None:
    """18 mm at 680 kg/m3 (mean of the Handbook of Finnish Plywood, from memory) is 12.24 kg/m2 of nominal thickness."""
    material = metric.material("birch 18")
    assert material.mass_of(1525, 1525 * 1525 * 18) == pytest.approx(28.47, abs=0.01)
    assert material.mass_of(2440, 2440 * 1220 * 18) == pytest.approx(36.44, abs=0.01)


def test_maple_sheets_are_inside_ps_1(inch: Stock) -> None:
    assert {s.nominal for s in inch.sheets.values()} == set(PS1_INCHES)
    for sheet in inch.sheets.values():
        low, high = PS1_INCHES[str(sheet.nominal)]
        assert low <= sheet.thickness / INCH <= high, sheet.name


def test_inch_sheets_are_4_ft_wide(inch: Stock) -> None:
    """48 x 96 and 48 x 120 in: common practice."""
    for sheet in inch.sheets.values():
        for size in sheet.sizes:
            assert size.width == pytest.approx(48 * INCH)
            assert round(size.length / INCH, 3) in (96, 120)


def test_boards_are_dressed_to_ps_20(inch: Stock) -> None:
    assert {b.nominal for b in inch.boards.values()} >= {"1x2", "1x3", "1x4", "1x6"}
    for board in inch.boards.values():
        thickness, width = DRESSED[str(board.nominal)]
        assert board.thickness == pytest.approx(thickness * INCH, abs=0.001), board.name
        assert board.width == pytest.approx(width * INCH, abs=0.001), board.name


def test_slides_have_the_side_space_and_lengths_of_the_trade(metric: Stock, inch: Stock) -> None:
    """Half an inch (12.7 mm) a side, even inches from 10 to 28: trade pages; metric by 50 mm: common practice."""
    assert metric.slide("ball-bearing 45").thickness == 12.7
    assert metric.slide("ball-bearing 45").lengths == tuple(range(250, 701, 50))
    assert inch.slide("half-inch 100").thickness == 12.7
    assert inch.slide("half-inch 100").lengths == tuple(pytest.approx(n * INCH) for n in range(10, 29, 2))
    assert inch.slide("half-inch 100").load == pytest.approx(45.359, abs=0.001)


def test_shelf_pins_are_5_mm_and_a_quarter_inch(metric: Stock, inch: Stock) -> None:
    """5 mm of the 32 mm system: several trade articles; 1/4 in: common practice."""
    assert metric.pin("pin 5").bore_diameter == 5
    assert inch.pin("pin quarter").bore_diameter == pytest.approx(INCH / 4)


def test_hinges_take_a_35_mm_cup_inside_their_door(metric: Stock, inch: Stock) -> None:
    """Common practice. The cup must leave wood in front of it and behind it."""
    for stock in (metric, inch):
        hinge = stock.hinge("cup 35")
        assert hinge.cup_diameter == 35
        assert hinge.cup_setback > hinge.cup_diameter / 2
        assert hinge.cup_depth < min(s.thickness for s in stock.sheets.values() if s.thickness > 15)


def test_numbered_screws_have_their_shank(inch: Stock) -> None:
    """D = 0.060 + 0.013 n inches: ASME B18.6.1 (from memory)."""
    for name, screw in inch.screws.items():
        number = int(name.split()[1])
        assert screw.diameter == pytest.approx((0.060 + 0.013 * number) * INCH, abs=0.001)
        assert screw.length == pytest.approx(float(name.split()[-1]) * INCH, abs=0.001)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_every_stock_file_is_whole(file: Path) -> None:
    stock = read(file, Stock).value
    for table in TABLES:
        items = getattr(stock, table)
        assert items, f"{file.name} has no {table}"
        for name, item in items.items():
            assert item.name == name
            material = stock.material(name)
            assert material.name == name
            assert material.mass_of(500, 1e6) > 0
            assert all(0 <= c <= 1 for c in material.colour)
    text = file.read_text(encoding="utf-8")
    assert text.startswith("# yaml-language-server: $schema=../schema/stock.json\n")
    assert "invented (2026-11)" in text
    assert stock.currency
    for slide in stock.slides.values():
        assert all(slide.price_of(length) for length in slide.lengths)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_a_plain_yaml_reader_sees_the_same_names(file: Path) -> None:
    """A second reader (PyYAML's own safe loader) finds the same items, so no key means something else to it."""
    raw: dict[str, Any] = yaml.safe_load(file.read_text(encoding="utf-8"))
    stock = read(file, Stock).value
    assert {t: list(raw[t]) for t in TABLES} == {t: list(getattr(stock, t)) for t in TABLES}


def test_lookups_name_the_closest(metric: Stock) -> None:
    assert metric.sheet("birch 18").thickness == 17.8
    with pytest.raises(ValueError, match=r"no sheet is called 'birch18', did you mean 'birch 18'\?"):
        metric.sheet("birch18")
    with pytest.raises(ValueError, match="no hinge is called 'zzz', there is 'cup 35'"):
        metric.hinge("zzz")
    with pytest.raises(ValueError, match=r"no item is called 'bar 129', did you mean 'bar 128'\?"):
        metric.material("bar 129")
    with pytest.raises(ValueError, match="there is none at all"):
        Stock().pull("bar")
    for table, look in {
        "boards": metric.board,
        "slides": metric.slide,
        "pins": metric.pin,
        "screws": metric.screw,
    }.items():
        name = next(iter(getattr(metric, table)))
        assert look(name) is getattr(metric, table)[name]


def test_a_slide_says_what_fits_and_how_far_it_opens(metric: Stock) -> None:
    slide = metric.slide("ball-bearing 45")
    assert slide.longest(552) == 550
    assert slide.longest(551.9) == 500, "the setback of 2 mm counts"
    assert slide.longest(251.9) is None
    assert slide.travel_of(500) == 500
    assert metric.slide("ball-bearing 35").travel_of(400) == 300
    assert slide.price_of(450) == 11.9
    with pytest.raises(ValueError, match="ball-bearing 45 is not sold 455 mm long"):
        slide.price_of(455)


def test_four_members_weigh_as_much_as_their_pair(metric: Stock) -> None:
    """2.5 kg a metre of pair: two sides of two members, 450 mm long, weigh 1.125 kg."""
    material = metric.material("ball-bearing 45")
    assert MEMBERS_PER_PAIR * material.mass_of(450, 1.0) == pytest.approx(1.125)
    assert metric.material("bar 128").mass_of(156, 1e6) == 0.11, "a bought piece weighs what it weighs"


def test_colours_become_parts_of_one() -> None:
    assert rgb("#ff0033") == (1.0, 0.0, pytest.approx(0.2))


def test_defaults_are_those_of_a_full_kerf_saw() -> None:
    """A kerf of 1/8 in (3.2 mm): common practice."""
    assert (Stock().sheet_trim, Stock().kerf) == (10.0, 3.2)
    slide = Slide(thickness=12.7, height=45, lengths=(450,), load=45)
    assert (slide.setback, slide.travel, slide.price_of(450)) == (2.0, "full", None)
    assert Sheet(thickness=18, sizes=({"length": 2440, "width": 1220},), density=680).grain  # pyright: ignore[reportArgumentType]


SLIDE = "thickness: 12.7, height: 45, load: 45"
SHEET = "{thickness: 18, density: 680, sizes: [{length: 2440, width: 1220}]}"
BOARD = "{thickness: 20, width: 40, density: 450, lengths: [2400]}"
PULL = "bore_diameter: 5, projection: 30"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"slides: {{a: {{{SLIDE}, lengths: [1, 2], prices: [1]}}}}", "slides.a.prices: 1 prices for 2 lengths, give"),
        (f"slides: {{a: {{{SLIDE}, lengths: [2, 1]}}}}", "slides.a.lengths: the lengths of a slide series must rise"),
        (f"slides: {{a: {{{SLIDE}, lengths: [2, 2]}}}}", "slides.a.lengths: the lengths of a slide series must rise"),
        (f"slides: {{a: {{{SLIDE}, lengths: [2], travel: 0}}}}", "slides.a.travel: a slide that does not open, write"),
        (f"sheets:\n  a: {SHEET}\nboards:\n  A: {BOARD}", "boards.A: 'A' is in sheets already, use every name once"),
        (f"sheets:\n  a: {SHEET}\n  A: {SHEET}", "sheets.A: 'A' is in sheets already, use every name once"),
        (
            "sheets: {a: {thickness: 18, density: 680, sizes: []}}",
            "sheets.a.sizes has no entries, it must have 1 or more",
        ),
        ("sheets: {a/b: " + SHEET + "}", "sheets.a/b: the name 'a/b' contains /"),
        (
            "sheets: {a: {colour: red, " + SHEET[1:] + "}",
            "sheets.a.colour: 'red' is not a colour, write six hex digits",
        ),
        ("pins: {a: {diameter: 5, bore_diameter: 5, bore_depth: 9, length: 9}}", "pins.a.length: the pin is no longer"),
        (
            f"pulls: {{a: {{{PULL}, spacing: 128, bar_thickness: 9, length: 99}}}}",
            "pulls.a.length: the pull is shorter",
        ),
        (
            f"pulls: {{a: {{{PULL}, spacing: 128, bar_thickness: 30, length: 150}}}}",
            "pulls.a.bar_thickness: the bar is as",
        ),
        (
            "screws: {a: {diameter: 4, length: 40, clearance_diameter: 4.5, pilot_diameter: 4}}",
            "screws.a.pilot_diameter: the pilot hole is as wide as the screw",
        ),
        (
            "screws: {a: {diameter: 4, length: 40, clearance_diameter: 3.9, pilot_diameter: 2}}",
            "screws.a.clearance_diameter: the clearance hole is thinner than the screw",
        ),
    ],
)
def test_stock_that_cannot_be(text: str, line: str) -> None:
    with pytest.raises(ConfigError) as error:
        validate(parse_tree(text, "f"), Stock)
    (said,) = error.value.lines
    assert line in said
