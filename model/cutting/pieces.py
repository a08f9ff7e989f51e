"""What a plan asks of each material: blanks to cut from sheets, pieces to cut from lengths."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from model.cuts import Scribe
from model.part import Part
from model.plan import Plan
from model.stock.tables import Stock
from model.tolerances import rounded

BAND_TRIM = 30.0
"""mm. An edge band is glued on longer than its edge by this much in all and trimmed flush (common practice)."""


@dataclass(frozen=True, slots=True)
class Blank:
    """So many equal blanks of one mark (mm): `turns` where the length need not follow the grain of the sheet."""

    mark: str
    length: float
    width: float
    copies: int
    turns: bool


@dataclass(frozen=True, slots=True)
class Stick:
    """So many equal pieces of one mark, cut to length alone."""

    mark: str
    length: float
    copies: int


@dataclass(frozen=True, slots=True)
class Bar:
    """A length that can be bought: its price where it is known. An infinite one is sold by the metre."""

    length: float
    price: float | None


def blank_size(part: Part) -> tuple[float, float]:
    """Length and width as they are sawn: with what is left on the edges for scribing."""
    extra = {cut.edge: cut.extra for cut in part.cuts if isinstance(cut, Scribe)}
    length = part.length + extra.get("x0", 0.0) + extra.get("x1", 0.0)
    return rounded(length), rounded(part.width + extra.get("y0", 0.0) + extra.get("y1", 0.0))


def sheet_parts(plan: Plan, stock: Stock) -> dict[str, tuple[Blank, ...]]:
    """The blanks of each sheet material, in the order of the stock file."""
    found: dict[str, list[Blank]] = {}
    for part, copies in _counted(plan):
        if part.kind != "hardware" and part.material in stock.sheets:
            turns = part.grain == "any" or not stock.sheets[part.material].grain
            found.setdefault(part.material, []).append(Blank(plan.marks[part], *blank_size(part), copies, turns))
    return {name: tuple(found[name]) for name in stock.sheets if name in found}


def length_parts(plan: Plan, stock: Stock) -> dict[str, tuple[Stick, ...]]:
    """The pieces of everything that is cut to length alone, table by table in the order of the stock file."""
    found: dict[str, list[Stick]] = {}
    tables = bars(stock)
    for part, copies in _counted(plan):
        if part.material in tables:
            found.setdefault(part.material, []).append(Stick(plan.marks[part], blank_size(part)[0], copies))
    return {name: tuple(found[name]) for name in tables if name in found}


def bars(stock: Stock) -> dict[str, tuple[Bar, ...]]:
    """The lengths each material is sold in, or an endless one."""
    found: dict[str, tuple[Bar, ...]] = {}
    for table in (stock.boards, stock.mouldings, stock.light_profiles, stock.led_strips, stock.bands):
        for name, item in table.items():
            each = item.price_per_metre
            sold = sorted(set(item.lengths)) or [float("inf")]
            found[name] = tuple(Bar(x, each if each is None or x == float("inf") else each * x / 1000) for x in sold)
    return found


def _counted(plan: Plan) -> Iterator[tuple[Part, int]]:
    """Every distinct part and how often it is there, in the order of the marks."""
    counts = Counter(placed.part for placed in plan.walk())
    for part in plan.marks:
        yield part, counts[part]
