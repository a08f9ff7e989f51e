"""What there is to buy: counted against what is placed, packed against every other way, added up by hand."""

import csv
import io
import itertools
import re
import sys
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest
import shop
from conftest import CONFIGS
from hypothesis import given, settings
from hypothesis import strategies as st
from projects import base, write_project

from exporters import cli
from exporters.lists import tables, write
from exporters.lists.table import Table, csv_text
from model.bill import cut_list
from model.build import Build
from model.buying import Line, cheapest, group_of, item_of, money, pieces
from model.costs import Bill, bill, bill_of, compare
from model.cutting.laid import CuttingPlan
from model.finishes import Amount, Finishing
from model.fit import sheet_area
from model.stock.lights import LedStrip, LightProfile
from model.stock.tables import Hinge, Slide

D = Decimal


def small(count: int = 101) -> Bill:
    stock, plan = shop.stock(), shop.plan(count)
    paint = Amount(stock.finishes["paint"], 10.0, 2.0)
    return bill(plan, stock, shop.cutting(plan), (paint,))


def line(of: Bill, item: str) -> Line:
    (found,) = (x for x in of.lines if x.item == item)
    return found


def test_a_small_plan_added_up_by_hand() -> None:
    found = small()
    assert [(x.group, x.item, x.needed, x.packs, x.cost) for x in found.lines] == [
        ("sheets", "ply 18", 1, 1, D("61.25")),  # the other is an offcut on the rack
        ("boards", "pine", 1, 1, D("2.23")),
        ("hardware", "slide", 1, 1, D("11.00")),  # four members are one pair, 500 mm long
        ("hardware", "hinge", 2, 2, D("4.80")),  # a cup and an arm are one
        ("hardware", "pin", 21, 2, D("4.00")),  # two packs of 20 cost as much as one of 50, with less left over
        ("hardware", "mattress", 1, 1, None),
        ("fasteners", "dowel", 6, 1, D("2.00")),
        ("fasteners", "screw", 101, 2, D("8.80")),
        ("edge band", "band", 1606, 2, D("1.50")),  # 1460 mm and a tenth; whole metres
        ("finishes", "paint", 2200, 1, D("50.00")),  # 2 litres and a tenth; three small tins cost 60
        ("lights", "strip", 1, 1, D("32.50")),
        ("lights", "driver", 1, 1, D("19.00")),
    ]
    net = D("61.25") + D("2.23") + D("11") + D("4.8") + 4 + 2 + D("8.8") + D("1.5") + 50 + D("32.5") + 19
    assert found.net == net == D("197.08")
    assert found.tax_due == D("37.45")  # 19 % of 197.08 is 37.4452
    assert found.total == D("234.53")
    assert [x.item for x in found.unpriced] == ["mattress"]
    assert found.about == "Prices in EUR of 2026-11, invented"


@pytest.mark.parametrize(("screws", "packs"), [(1, 1), (99, 1), (100, 1), (101, 2), (200, 2), (201, 3)])
def test_a_pack_is_broken_by_one_screw_more(screws: int, packs: int) -> None:
    assert line(small(screws), "screw").packs == packs


def test_no_screws_no_packs() -> None:
    assert all(x.item != "screw" for x in small(0).lines)


def brute(needed: int, packs: list[tuple[int, Decimal]]) -> Decimal:
    most = [-(-needed // size) for size, _ in packs]
    ways = itertools.product(*(range(n + 1) for n in most))
    return min(
        sum((n * p for n, (_, p) in zip(way, packs, strict=True)), D(0))
        for way in ways
        if sum(n * size for n, (size, _) in zip(way, packs, strict=True)) >= needed
    )


offers = st.lists(
    st.tuples(st.integers(4, 40), st.integers(1, 3000).map(lambda cents: D(cents) / 100)), min_size=1, max_size=3
)


@settings(deadline=None)
@given(needed=st.integers(1, 45), packs=offers)
def test_the_mix_of_packs_is_the_cheapest_of_all(needed: int, packs: list[tuple[int, Decimal]]) -> None:
    counts = cheapest(needed, packs)
    assert sum(n * size for n, (size, _) in zip(counts, packs, strict=True)) >= needed
    assert sum((n * price for n, (_, price) in zip(counts, packs, strict=True)), D(0)) == brute(needed, packs)


def test_of_equally_dear_mixes_the_one_with_least_left_over_then_fewest_packs() -> None:
    assert cheapest(21, [(50, D(4)), (20, D(2))]) == (0, 2)
    assert cheapest(40, [(20, D(2)), (40, D(4))]) == (0, 1)
    assert cheapest(0, [(20, D(2))]) == (0,)


def test_packs_without_a_price_are_passed_over_unless_none_has_one() -> None:
    assert cheapest(30, [(50, None), (20, D(9))]) == (0, 2)
    assert cheapest(30, [(50, None), (20, None)]) == (0, 2)  # 40 leaves less over than 50


def test_money_is_rounded_half_a_cent_up_and_once_a_line() -> None:
    assert money(D("0.125")) == D("0.13")
    assert money(D("2.675")) == D("2.68")  # as binary numbers this would be 2.67
    third = Line("hardware", "x", (), 3, "piece", 1, 3, D("0.335"))
    assert third.cost == D("1.01")  # 1.005, not three times 0.34


def test_prices_are_read_as_they_are_written() -> None:
    found = bill(shop.plan(), shop.stock(), shop.cutting(shop.plan()))
    assert line(found, "hinge").price == D("2.4")
    assert line(found, "slide").price == D("11.0")


def test_what_is_driven_or_placed_and_not_in_stock_is_told() -> None:
    plan = shop.plan(0)
    with pytest.raises(ValueError, match="no item is called 'pin'"):
        bill(plan, shop.stock(pins={}), shop.cutting(plan))


def test_parts_left_over_are_told() -> None:
    plan = shop.plan()
    built = shop.build(plan, shop.stock())
    built.cutting = CuttingPlan((), (), ("B1-01",))
    (buying,) = (t for t in tables(built, "mm") if t.name == "buying")
    assert "they fit nothing in stock: B1-01" in buying.about


def column(table: Table, key: str) -> list:
    i = table.index(key)
    return [row[i] for row in table.rows]


def by_name(of: tuple[Table, ...]) -> dict[str, Table]:
    return {table.name: table for table in of}


@pytest.fixture(scope="module", params=["herbarium", "trains"])
def demo(request: pytest.FixtureRequest) -> Build:
    built: Build = request.getfixturevalue(request.param)
    return built


@pytest.fixture(scope="module")
def lists(demo: Build) -> dict[str, Table]:
    """Without the search for a cutting plan: what is counted here does not come from it."""
    return by_name(tables(demo, "mm", CuttingPlan((), ())))


@pytest.mark.parametrize("name", ["parts", "parts-by-unit", "parts-by-material"])
def test_every_part_is_in_each_list_of_parts_exactly_once(demo: Build, lists: dict[str, Table], name: str) -> None:
    placed = Counter(demo.plan.marks[p.part] for p in demo.plan.walk())
    listed: Counter[str] = Counter()
    for mark, quantity in zip(column(lists[name], "mark"), column(lists[name], "quantity"), strict=True):
        listed[mark] += quantity
    assert listed == placed
    assert sum(listed.values()) == len(list(demo.plan.walk()))


def test_each_unit_lists_its_own(demo: Build, lists: dict[str, Table]) -> None:
    by_unit: Counter[str] = Counter()
    for unit, quantity in zip(
        column(lists["parts-by-unit"], "unit"), column(lists["parts-by-unit"], "quantity"), strict=True
    ):
        by_unit[unit] += quantity
    assert by_unit == {unit.name: len(unit.parts) for unit in demo.plan.units}


def test_area_and_weight_are_those_of_the_plan(demo: Build, lists: dict[str, Table]) -> None:
    table = lists["parts-by-material"]
    area: dict[str, float] = {}
    for material, of_it in zip(column(table, "material"), column(table, "area_m2"), strict=True):
        if of_it is not None:
            area[material] = area.get(material, 0.0) + of_it
    assert area == pytest.approx(sheet_area(demo))
    whole = sum(r.weight_kg * r.quantity for r in cut_list(demo.plan, demo.stock))
    assert sum(column(table, "weight_kg")) == pytest.approx(whole)


def test_what_is_bought_is_what_is_placed_and_driven_in(demo: Build) -> None:
    """Counted a second way: members and halves by their roles in the stock, screws spot by spot."""
    found = bill(demo.plan, demo.stock, CuttingPlan((), ()))
    halves: Counter[str] = Counter()
    for p in demo.plan.walk():
        item = item_of(demo.stock, p.part.material) if p.part.kind == "hardware" else None
        if item is not None and not isinstance(item, LedStrip | LightProfile):
            halves[p.part.material] += 12 // (4 if isinstance(item, Slide) else 2 if isinstance(item, Hinge) else 1)
    needed = {name: n // 12 for name, n in halves.items()}
    for fixing in demo.plan.fixings:
        needed[fixing.item] = needed.get(fixing.item, 0) + len(fixing.spots)
    bought: dict[str, int] = {}
    for x in found.lines:
        bought[x.item] = x.needed
        assert sum(y.packs * y.holds for y in found.lines if (y.item, y.size) == (x.item, x.size)) >= x.needed
    assert bought == {k: v for k, v in needed.items() if v}


def test_the_lists_of_hardware_fasteners_and_lights_share_all_that_is_bought(
    demo: Build, lists: dict[str, Table]
) -> None:
    counted: Counter[str] = Counter()
    for name in ("hardware", "fasteners"):
        for item, n in zip(column(lists[name], "item"), column(lists[name], "quantity"), strict=True):
            counted[item] += n
    wanted: Counter[str] = Counter()
    for each in pieces(demo.plan, demo.stock):
        if group_of(item_of(demo.stock, each.item)) != "lights":
            wanted[each.item] += each.count
    assert counted == wanted
    lit = sum(column(lists["lighting"], "quantity"))
    assert lit == sum(
        group_of(item_of(demo.stock, p.part.material)) == "lights"
        for p in demo.plan.walk()
        if p.part.kind == "hardware"
    )


def test_edge_bands_are_listed_as_long_as_their_edges() -> None:
    table = by_name(tables(shop.build(shop.plan(), shop.stock()), "mm"))["edge-band"]
    assert table.rows == (("band", "B1-03", 2, 700.0, "side 1 band, front 1; side 1 band, front 2", "press", 1.4),)


def test_lights_say_what_they_draw() -> None:
    table = by_name(tables(shop.build(shop.plan(), shop.stock()), "mm"))["lighting"]
    assert [(row[0], *row[5:]) for row in table.rows] == [
        ("strip", 24, 12.0, 1080.0, None),  # 1.2 m at 10 W and 900 lm a metre
        ("driver", 24, None, None, 30),
    ]


HOSTILE = (
    "=cmd|' /C calc'!A0",
    "+1",
    "-1+2",
    "@SUM(A1)",
    "a\tb\r\n=1",
    "\uff1d1",
    "x\u2028=1",
    "nul\x00\x1b\ufffe\ud800",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_no_list_holds_a_formula_or_a_control_character(name: str) -> None:
    """OWASP, "CSV Injection": = + - @, tab, carriage return, line feed and full-width forms start formulas."""
    stock = shop.stock()
    plan = shop.plan(name=name, part_name=name)
    built = shop.build(plan, stock, Finishing(cases="paint", frames="paint"))
    for table in tables(built, "mm"):
        text = csv_text(table)
        text.encode("utf-8")
        for row in csv.reader(io.StringIO(text, newline="")):
            for cell in row:
                assert not re.search(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ufffe\ud800]", cell), table.name
                for split_at in (",", ";", "|"):
                    for part in cell.split(split_at):
                        assert not re.match(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]", part), (table.name, cell)


def test_files_follow_rfc_4180(tmp_path: Path) -> None:
    """RFC 4180, section 2: lines end with CR LF, every line has as many fields as the header, quotes are doubled."""
    built = shop.build(shop.plan(name='a "b", c'), shop.stock(), Finishing(frames="paint"))
    paths = write(built, tmp_path)
    assert len([p for p in paths if p.suffix == ".csv"]) == 10
    for path in paths:
        if path.suffix == ".csv":
            text = path.read_bytes().decode("utf-8")
            assert text.count("\r") == text.count("\n") == text.count("\r\n")
            rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
            assert {len(row) for row in rows} == {len(rows[0])}, path.name
    assert '"a ""b"", c"' in (tmp_path / "lists" / "parts-by-unit.csv").read_text(encoding="utf-8")


def test_the_buying_list_ends_with_the_sums() -> None:
    built = shop.build(shop.plan(), shop.stock())
    rows = list(csv.reader(io.StringIO(csv_text(by_name(tables(built, "mm"))["buying"]), newline="")))
    costs = [D(row[-1]) for row in rows[1:-3] if row[-1]]
    assert [(row[0], D(row[-1])) for row in rows[-3:]] == [
        ("sum", sum(costs)),
        ("tax, 19 %", money(sum(costs, D(0)) * D("0.19"))),
        ("total", sum(costs, D(0)) + money(sum(costs, D(0)) * D("0.19"))),
    ]
    found = bill_of(built)
    assert (found.net, found.total) == (D(rows[-3][-1]), D(rows[-1][-1]))


def test_two_stocks_side_by_side() -> None:
    plan = shop.plan()
    first = bill(plan, shop.stock(), shop.cutting(plan))
    dearer = {"hinge": {**shop.STOCK["hinges"]["hinge"], "price": 3.4}}
    second = bill(plan, shop.stock(hinges=dearer), shop.cutting(plan))
    rows = {row.what: row for row in compare(first, second)}
    assert list(rows) == [
        "sheets", "boards", "hardware", "fasteners", "edge band", "finishes", "lights", "sum", "tax", "total",
    ]  # fmt: skip
    assert rows["hardware"].difference == D("2.00")
    assert rows["total"].difference == D("2.38")  # with 19 % tax
    assert all(not rows[w].difference for w in ("sheets", "boards", "fasteners", "edge band", "finishes", "lights"))
    with pytest.raises(ValueError, match="EUR and in USD"):
        compare(first, bill(plan, shop.stock(currency="USD"), shop.cutting(plan)))


def command(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: object
) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["wallwork", *map(str, words)])
    with pytest.raises(SystemExit) as left:
        cli.main()
    said = capsys.readouterr()
    return (left.value.code if isinstance(left.value.code, int) else 0), said.out, said.err


def figures(out: str, row: str) -> list[Decimal]:
    (found,) = (x for x in out.splitlines() if re.match(rf"[│\s]*{row}\b", x))
    return [D(n.replace(",", "")) for n in re.findall(r"[-+]?[0-9,]+\.[0-9]{2}", found)]


def test_the_command_prints_and_compares(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 1})})
    code, out, err = command(capsys, monkeypatch, "cost", path)
    assert (code, err) == (0, "")
    (total,) = figures(out, "total")
    assert "Prices in EUR of 2026-11, invented." in out
    cheap = tmp_path / "cheap.yaml"
    metric = (CONFIGS / "stock" / "birch-metric.yaml").read_text(encoding="utf-8")
    cheap.write_text(
        metric.replace(
            "bar_thickness: 12, length: 156, mass: 110 g, price: 4.8",
            "bar_thickness: 12, length: 156, mass: 110 g, price: 3.8",
        ),
        encoding="utf-8",
    )
    code, out, err = command(capsys, monkeypatch, "cost", path, "--stock", cheap)
    assert (code, err) == (0, "")
    assert figures(out, "total") == [total, total - 1, D("-1.00")]
    assert figures(out, "hardware")[2] == D("-1.00")
    code, _, err = command(capsys, monkeypatch, "cost", path, "--stock", CONFIGS / "stock" / "maple-inch.yaml")
    assert code == 2
    assert "no 'birch 18' among the sheets in stock" in err
    code, _, err = command(capsys, monkeypatch, "cost", path, "--stock", cheap, "--compare", path)
    assert (code, err) == (2, "--compare names another project and --stock another stock: give one of them\n")
