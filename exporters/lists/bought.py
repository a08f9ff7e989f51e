"""What is bought: hardware, fasteners, edge band, lights, finishes, and the buying list with packs and prices."""

from collections import Counter
from collections.abc import Iterable
from decimal import Decimal

from exporters.lists.table import Column, Foot, Table, Value, joined
from model.bill import Row
from model.buying import Line, group_of, item_of, pieces, with_waste
from model.costs import Bill
from model.finishes import Amount, Painted
from model.lengths import LengthUnit, show_number
from model.part import PlacedPart
from model.plan import Plan
from model.stock.lights import Driver, LedStrip, LightBar
from model.stock.screws import Fastener
from model.stock.tables import Slide, Stock

_COUNTED: dict[LengthUnit, dict[str, tuple[Decimal, str]]] = {
    "mm": {"mm": (Decimal(1000), "m"), "ml": (Decimal(1000), "litres")},
    "in": {"mm": (Decimal("304.8"), "ft"), "ml": (Decimal("3785.411784"), "gal")},
}
"""In what amounts are shown that are not counted in pieces, and how many of the smallest measure that is."""

HARDWARE = (
    Column("item", "item"),
    Column("size_mm", "size"),
    Column("quantity", "qty", "count", total=True),
    Column("counted_in", "counted in"),
    Column("parts_placed", "parts of the model", "count", total=True),
    Column("unit", "unit"),
)
FASTENERS = (
    Column("item", "item"),
    Column("size_mm", "size"),
    Column("used_as", "used as"),
    Column("unit", "unit"),
    Column("quantity", "qty", "count", total=True),
)
EDGE_BAND = (
    Column("material", "band"),
    Column("mark", "mark"),
    Column("quantity", "qty", "count", total=True),
    Column("length_mm", "length", "mm"),
    Column("name", "name"),
    Column("unit", "unit"),
    Column("total_m", "total", "m", total=True),
)
LIGHTING = (
    Column("item", "item"),
    Column("mark", "mark"),
    Column("quantity", "qty", "count", total=True),
    Column("length_mm", "length", "mm"),
    Column("unit", "unit"),
    Column("volts", "V", "amount"),
    Column("watts_each", "W each", "amount"),
    Column("lumens_each", "lm each", "amount"),
    Column("rated_watts", "rated W", "amount"),
)
FINISHES = (
    Column("finish", "finish"),
    Column("area_m2", "area", "m2"),
    Column("coats", "coats", "count"),
    Column("coverage_m2_per_litre", "m2 a litre", "amount"),
    Column("litres", "worked out", "litres"),
    Column("litres_with_waste", "with waste", "litres"),
    Column("tins", "tins"),
)
PAINTED = (
    Column("finish", "finish"),
    Column("unit", "unit"),
    Column("name", "name"),
    Column("mark", "mark"),
    *(
        Column(f"{face}_m2", f"face {face}" if face in "AB" else face, "m2")
        for face in ("A", "B", "x0", "x1", "y0", "y1")
    ),
    Column("total_m2", "total", "m2", total=True),
)
BUYING = (
    Column("group", "group"),
    Column("item", "item"),
    Column("size_mm", "size"),
    Column("needed", "needed", "amount"),
    Column("counted_in", "counted in"),
    Column("pack_holds", "a pack holds", "amount"),
    Column("packs", "packs", "count"),
    Column("price", "price", "money"),
    Column("cost", "cost", "money", formula="ROUND({packs}*{price},2)"),
)


def size_in_words(size: Iterable[float], lengths: LengthUnit) -> str:
    return " x ".join(show_number(value, lengths) for value in size)


def hardware(plan: Plan, stock: Stock, lengths: LengthUnit) -> Table:
    """Bought pieces by item; lights and fasteners have lists of their own."""
    placed = _placed(plan)
    rows: list[tuple[Value, ...]] = []
    for bought in pieces(plan, stock):
        item = item_of(stock, bought.item)
        if group_of(item) != "hardware":
            continue
        own = [
            (unit, p)
            for unit, p in placed[bought.item]
            if not bought.size or p.part.size[: len(bought.size)] == bought.size
        ]
        counted = "pairs" if isinstance(item, Slide) else "pieces"
        units = joined(unit for unit, _ in own)
        rows.append((bought.item, size_in_words(bought.size, lengths), bought.count, counted, len(own), units))
    return Table("hardware", "Hardware", HARDWARE, tuple(rows))


def _placed(plan: Plan) -> dict[str, list[tuple[str, PlacedPart]]]:
    """Placed hardware with its unit, by item."""
    found: dict[str, list[tuple[str, PlacedPart]]] = {}
    for unit in plan.units:
        for p in unit.parts:
            if p.part.kind == "hardware":
                found.setdefault(p.part.material, []).append((unit.name, p))
    return found


def fasteners(plan: Plan, stock: Stock, lengths: LengthUnit) -> Table:
    """Screws, nails, bolts and dowels: what each is used as, unit by unit; between units where two share it."""
    counts: Counter[tuple[str, str, str]] = Counter()
    for unit in plan.units:
        for fixing in unit.fixings:
            counts[fixing.item, fixing.kind, unit.name] += fixing.count
        for p in unit.parts:
            if p.part.kind == "hardware" and group_of(item_of(stock, p.part.material)) == "fasteners":
                counts[p.part.material, "dowel", unit.name] += 1
    for fixing in plan.fixings_between:
        counts[fixing.item, fixing.kind, "on site"] += fixing.count
    rows = (
        (item, _thick_and_long(stock, item, lengths), kind, unit, n) for (item, kind, unit), n in sorted(counts.items())
    )
    return Table("fasteners", "Fasteners", FASTENERS, tuple(rows))


def _thick_and_long(stock: Stock, name: str, lengths: LengthUnit) -> str:
    item = stock.item(name)
    return size_in_words((item.diameter, item.length), lengths) if isinstance(item, Fastener) else ""


def edge_band(rows: Iterable[Row]) -> Table:
    """The strips of every band, as long as the edges they cover."""
    cells = (
        (r.material, r.mark, r.quantity, r.length, joined(r.names), joined(r.units), r.length * r.quantity / 1000)
        for r in sorted(rows, key=lambda r: (r.material, -r.length, r.mark))
        if r.kind == "band"
    )
    return Table("edge-band", "Edge band", EDGE_BAND, tuple(cells))


def lighting(rows: Iterable[Row], stock: Stock) -> Table:
    """Strips, profiles, bars and drivers; what each draws, and what a driver is rated for."""
    cells: list[tuple[Value, ...]] = []
    for r in rows:
        item = item_of(stock, r.material) if r.kind == "hardware" else None
        if item is None or group_of(item) != "lights":
            continue
        volts = item.volts if isinstance(item, LedStrip | LightBar | Driver) else None
        watts, lumens = _drawn(item, r.length)
        rated = item.watts if isinstance(item, Driver) else None
        cells.append((r.material, r.mark, r.quantity, r.length, joined(r.units), volts, watts, lumens, rated))
    return Table("lighting", "Lighting", LIGHTING, tuple(cells))


def _drawn(item: object, length: float) -> tuple[float | None, float | None]:
    """What a light takes (W) and gives (lm)."""
    if isinstance(item, LedStrip):
        each = length / 1000
        return item.watts_per_metre * each, None if item.lumens_per_metre is None else item.lumens_per_metre * each
    return (item.watts, item.lumens) if isinstance(item, LightBar) else (None, None)


def finishes(used: Iterable[Amount], bill: Bill, waste: float, lengths: LengthUnit) -> Table:
    """Each finish and undercoat in the order they go on: areas, coats, what it takes and the tins to buy."""
    cells: list[tuple[Value, ...]] = []
    for amount in used:
        tins = [line for line in bill.of("finishes") if line.item == amount.finish.name]
        words = joined(f"{line.packs} x {volume(line.holds, lengths)}" for line in tins)
        more = with_waste(amount.litres * 1000, waste) / 1000
        finish = amount.finish
        cells.append((finish.name, amount.area, finish.coats, finish.coverage, amount.litres, more, words))
    return Table("finishes", "Finishes", FINISHES, tuple(cells))


def volume(ml: int, lengths: LengthUnit) -> str:
    """What a tin holds, in litres, or in gallons or quarts for a project in inches."""
    if lengths == "mm":
        return f"{ml / 1000:.3g} l"
    quarts = ml / 946.352946
    return f"{quarts / 4:.3g} gal" if quarts >= 3.9 else f"{quarts:.3g} qt"


def painted_faces(what: Iterable[Painted], plan: Plan) -> Table:
    """Every painted part and the bare area of each of its faces."""
    cells: list[tuple[Value, ...]] = []
    for each in what:
        areas = dict(each.faces)
        name = each.placed.path.partition("/")[2] or each.placed.path
        faces = [areas.get(face) for face in ("A", "B", "x0", "x1", "y0", "y1")]
        cells.append((each.finish, each.unit, name, plan.marks[each.placed.part], *faces, each.area))
    return Table("painted-faces", "Painted faces", PAINTED, tuple(cells))


def buying(bill: Bill, lengths: LengthUnit) -> Table:
    """The buying list. Where an item comes in packs of several sizes, each of its lines tells all that is needed."""
    rate = f"{bill.tax * 100:f}".rstrip("0").rstrip(".") if bill.tax else "0"
    foot = (
        Foot("sum", "cost", bill.net, "SUM({range})"),
        Foot(f"tax, {rate} %", "cost", bill.tax_due, "ROUND({0}*" + f"{bill.tax:f}" + ",2)"),
        Foot("total", "cost", bill.total, "{0}+{1}"),
    )
    return Table("buying", "Buying", BUYING, tuple(_bought(line, lengths) for line in bill.lines), foot, told(bill))


def told(bill: Bill) -> str:
    """What the prices are, and what the total does not hold."""
    words = [f"{bill.about}."]
    if bill.unpriced:
        words.append(f"Not in the total, no price: {joined(line.item for line in bill.unpriced)}.")
    if bill.left_over:
        words.append(f"Not in the list, they fit nothing in stock: {joined(bill.left_over)}.")
    return " ".join(words)


def counted(value: int, line: Line, lengths: LengthUnit) -> str:
    """An amount in words: `32`, `11 pairs`, `1.444 m`."""
    by, word = _COUNTED[lengths].get(line.measure, (Decimal(1), "" if line.measure == "piece" else line.measure + "s"))
    amount = f"{Decimal(value) / by:.3f}".rstrip("0").rstrip(".")
    return f"{amount} {word}".strip()


def _bought(line: Line, lengths: LengthUnit) -> tuple[Value, ...]:
    by, word = _COUNTED[lengths].get(line.measure, (Decimal(1), line.measure + "s"))
    needed, holds = (round(Decimal(value) / by, 3) for value in (line.needed, line.holds))
    size = size_in_words(line.size, lengths)
    return (line.group, line.item, size, needed, word, holds, line.packs, line.price, line.cost)
