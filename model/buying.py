"""What has to be bought for a plan: sheets and lengths from its cutting plan, pieces, fasteners, finishes, in packs.

Amounts are whole numbers of the smallest thing counted (pieces, millimetres, millilitres) until they are shown, and
prices are decimal: nothing here is rounded but money, to the cent, and that once for each line.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from model.cutting.laid import CuttingPlan
from model.finishes import Amount
from model.plan import Plan
from model.stock.beds import MATTRESS, BedLeg, BedPivot
from model.stock.cabinet import Dowel, EdgeBand
from model.stock.finishes import Finish
from model.stock.items import Hardware, Item, Pack
from model.stock.lights import Driver, LedStrip, LightBar, LightProfile
from model.stock.screws import Fastener
from model.stock.tables import MEMBERS_PER_PAIR, Hinge, Slide, Stock

Group = Literal["sheets", "boards", "hardware", "fasteners", "edge band", "finishes", "lights"]
GROUPS: tuple[Group, ...] = ("sheets", "boards", "hardware", "fasteners", "edge band", "finishes", "lights")
Measure = Literal["piece", "pair", "mm", "ml"]
CENT = Decimal("0.01")
MM_PER_METRE = 1000
ML_PER_LITRE = 1000
BY_THE_METRE = (EdgeBand, LedStrip)
"""What may be sold by the metre, cut off a roll."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the buying list: so many packs of so much at a price each.

    `needed` and `holds` (what is in a pack) count in `measure`; for finishes and what is sold by the metre, waste is in
    `needed`. `size` is what it measures where the name does not say: length and width of a sheet, length of a board or
    a slide (mm). `price` is None where the stock gives none.
    """

    group: Group
    item: str
    size: tuple[float, ...]
    needed: int
    measure: Measure
    holds: int
    packs: int
    price: Decimal | None

    @property
    def cost(self) -> Decimal | None:
        return None if self.price is None else money(self.packs * self.price)


def money(value: Decimal) -> Decimal:
    """To the cent, half a cent up."""
    return value.quantize(CENT, ROUND_HALF_UP)


def as_price(value: float | None) -> Decimal | None:
    """A price of a stock file as it is written there."""
    return None if value is None else Decimal(repr(float(value)))


def cheapest(needed: int, packs: Sequence[tuple[int, Decimal | None]]) -> tuple[int, ...]:
    """How many of each pack (what it holds, its price) hold `needed` at the least price.

    Of equally dear mixes that with the least left over is taken, then the one with the fewest packs, then the one with
    most of the pack that is named first. Packs without a price are passed over if any has one; where none has, the mix
    with the least left over is taken.
    """
    some = [i for i, (_, price) in enumerate(packs) if price is not None] or list(range(len(packs)))
    step = math.gcd(*(packs[i][0] for i in some))
    target = -(-needed // step)
    offers = [(packs[i][0] // step, packs[i][1] or Decimal(0)) for i in some]
    best: list[_Mix] = [_Mix(Decimal(0), 0, 0, (0,) * len(some))]
    for amount in range(1, target + 1):
        ways = (best[max(amount - size, 0)].plus(k, size, price) for k, (size, price) in enumerate(offers))
        best.append(min(ways, key=_Mix.rank))
    counts = [0] * len(packs)
    for i, n in zip(some, best[target].counts, strict=True):
        counts[i] = n
    return tuple(counts)


@dataclass(frozen=True, slots=True)
class _Mix:
    """Packs that were taken: their price, what they hold in all, how many there are."""

    price: Decimal
    holds: int
    packs: int
    counts: tuple[int, ...]

    def plus(self, k: int, size: int, price: Decimal) -> "_Mix":
        counts = (*self.counts[:k], self.counts[k] + 1, *self.counts[k + 1 :])
        return _Mix(self.price + price, self.holds + size, self.packs + 1, counts)

    def rank(self) -> tuple[Decimal, int, int, tuple[int, ...]]:
        return self.price, self.holds, self.packs, tuple(-n for n in self.counts)


def with_waste(amount: float, waste: float) -> int:
    """An amount and what is wasted of it, up to the next whole number."""
    return math.ceil(round(amount * (1 + waste), 6))


def buying_list(plan: Plan, stock: Stock, cutting: CuttingPlan, finishes: Iterable[Amount] = ()) -> tuple[Line, ...]:
    """Everything to buy, group by group.

    Raises ValueError where something that is placed or driven is not in stock.
    """
    lines = [*_sheets(cutting), *_lengths(cutting, stock), *_pieces(plan, stock)]
    lines += [line for amount in finishes for line in _tins(amount, stock.prices.waste)]
    return tuple(sorted(lines, key=lambda line: GROUPS.index(line.group)))  # stable: the rest as it was found


def _sheets(cutting: CuttingPlan) -> list[Line]:
    bought = Counter(
        (s.material, (s.sheet.length, s.sheet.width), as_price(s.sheet.price))
        for s in cutting.sheets
        if not s.sheet.offcut
    )
    return [Line("sheets", item, size, n, "piece", 1, n, price) for (item, size, price), n in bought.items()]


def _lengths(cutting: CuttingPlan, stock: Stock) -> list[Line]:
    whole: Counter[tuple[str, float, Decimal | None]] = Counter()
    lines: list[Line] = []
    for board in cutting.boards:
        item = stock.item(board.material)
        if isinstance(item, BY_THE_METRE) and not item.lengths:
            needed = with_waste(board.length, stock.prices.waste)
            metres = -(-needed // MM_PER_METRE)
            lines.append(
                Line(group_of(item), item.name, (), needed, "mm", MM_PER_METRE, metres, as_price(item.price_per_metre))
            )
        elif not board.rack:
            price = as_price(board.price)
            whole[board.material, board.length, None if price is None else money(price)] += 1
    for (material, length, price), n in whole.items():
        lines.append(Line(group_of(stock.item(material)), material, (length,), n, "piece", 1, n, price))
    return lines


@dataclass(frozen=True, slots=True)
class Bought:
    """So many pieces of an item that are placed or driven in.

    `size` (mm) is the length of a slide, the three sizes of a mattress, and empty for the rest.
    """

    item: str
    size: tuple[float, ...]
    count: int


def pieces(plan: Plan, stock: Stock) -> tuple[Bought, ...]:
    """What is bought ready made: pieces that are placed, in the order of the plan, then fasteners that are driven in.

    A hinge is placed as two parts and a pair of slides as four: they count once.
    """
    parts: Counter[tuple[str, tuple[float, ...]]] = Counter()
    for placed in plan.walk():
        if placed.part.kind == "hardware":
            item = item_of(stock, placed.part.material)
            if not isinstance(item, LightProfile | LedStrip):  # these are cut to length
                size = placed.part.size if item is None else placed.part.size[:1] if isinstance(item, Slide) else ()
                parts[placed.part.material, size] += 1
    counts = {key: -(-n // parts_of(item_of(stock, key[0]))) for key, n in parts.items()}
    for fixing in plan.fixings:
        item_of(stock, fixing.item)
        counts[fixing.item, ()] = counts.get((fixing.item, ()), 0) + fixing.count
    return tuple(Bought(item, size, n) for (item, size), n in counts.items() if n)


def parts_of(item: Item | None) -> int:
    """How many parts of the model one bought piece (or pair) of an item is."""
    if isinstance(item, Slide):
        return MEMBERS_PER_PAIR
    return 2 if isinstance(item, Hinge | BedPivot | BedLeg) else 1


def item_of(stock: Stock, name: str) -> Item | None:
    """The item of that name; None for a mattress, which is bought to its size. Raises ValueError."""
    try:
        return stock.item(name)
    except ValueError:
        if name == MATTRESS.name:
            return None
        raise


def _pieces(plan: Plan, stock: Stock) -> list[Line]:
    lines: list[Line] = []
    for bought in pieces(plan, stock):
        item = item_of(stock, bought.item)
        measure: Measure = "pair" if isinstance(item, Slide) else "piece"
        offers = _packs(item, bought.size)
        for (holds, price), n in zip(offers, cheapest(bought.count, offers), strict=True):
            if n:
                lines.append(Line(group_of(item), bought.item, bought.size, bought.count, measure, holds, n, price))
    return lines


def _packs(item: Item | None, size: tuple[float, ...]) -> list[tuple[int, Decimal | None]]:
    """The packs an item is sold in: what each holds and costs."""
    if isinstance(item, Slide):
        return [(1, as_price(item.price_of(size[0])))]
    if isinstance(item, Fastener):
        return _offers(item.packs, 100, item.price_per_hundred)
    if isinstance(item, Hardware):
        return _offers(item.packs, 1, item.price)
    return [(1, None)]


def _offers(packs: Sequence[Pack], count: int, price: float | None) -> list[tuple[int, Decimal | None]]:
    return [(p.count, as_price(p.price)) for p in packs] or [(count, as_price(price))]


def _tins(amount: Amount, waste: float) -> list[Line]:
    needed = with_waste(amount.litres * ML_PER_LITRE, waste)
    finish: Finish = amount.finish
    offers = [(max(int(t.volume * ML_PER_LITRE + 1e-6), 1), as_price(t.price)) for t in finish.tins]
    return [
        Line("finishes", finish.name, (), needed, "ml", holds, n, price)
        for (holds, price), n in zip(offers, cheapest(needed, offers), strict=True)
        if n
    ]


def group_of(item: Item | None) -> Group:
    """The group of the buying list an item is in."""
    match item:
        case Fastener() | Dowel():
            return "fasteners"
        case EdgeBand():
            return "edge band"
        case LedStrip() | LightProfile() | LightBar() | Driver():
            return "lights"
        case Finish():
            return "finishes"
        case Hardware() | Slide() | None:
            return "hardware"
        case _:
            return "boards"
