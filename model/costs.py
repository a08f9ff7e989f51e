"""What a plan costs: the buying list added up group by group, tax on top, and two of them side by side."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from model.buying import GROUPS, Group, Line, as_price, buying_list, money
from model.cutting.laid import CuttingPlan
from model.finishes import Amount, Painted, amounts, painted
from model.plan import Plan
from model.stock.tables import Stock

if TYPE_CHECKING:
    from model.build import Build

NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class Bill:
    """The buying list and what it comes to. `tax` is the share that comes on top; `date` of the prices.

    `left_over` are the marks that fit nothing in stock: they are not in the lines.
    """

    lines: tuple[Line, ...]
    currency: str
    tax: Decimal
    date: str
    invented: bool
    left_over: tuple[str, ...] = ()

    def of(self, group: Group) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.group == group)

    def sum_of(self, group: Group) -> Decimal:
        return _sum(self.of(group))

    @property
    def net(self) -> Decimal:
        return _sum(self.lines)

    @property
    def tax_due(self) -> Decimal:
        return money(self.net * self.tax)

    @property
    def total(self) -> Decimal:
        return self.net + self.tax_due

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """Lines the stock gives no price for: they are left out of every sum."""
        return tuple(line for line in self.lines if line.price is None)

    @property
    def about(self) -> str:
        """What the prices are, in words."""
        parts = [f"Prices in {self.currency}" if self.currency else "Prices"]
        parts += [f"of {self.date}"] if self.date else ["without a date"]
        return " ".join(parts) + (", invented" if self.invented else "")


def _sum(lines: Iterable[Line]) -> Decimal:
    return sum((line.cost for line in lines if line.cost is not None), NOTHING)


def bill(plan: Plan, stock: Stock, cutting: CuttingPlan, finishes: Iterable[Amount] = ()) -> Bill:
    """What a plan costs, cut as the cutting plan says. Raises ValueError for what is not in stock."""
    return Bill(
        buying_list(plan, stock, cutting, finishes),
        stock.currency or "",
        as_price(stock.prices.tax) or NOTHING,
        stock.prices.date or "",
        stock.prices.invented,
        cutting.left_over,
    )


def painted_in(build: "Build") -> tuple[Painted, ...]:
    """What is painted in a built project."""
    frames = {wall.name: wall.frame for wall in build.walls}
    walls = {unit: frames[wall] for unit, wall in build.stands_at.items()}
    return painted(build.plan, build.inputs.project.value.finish, walls)


def bill_of(build: "Build", cutting: CuttingPlan | None = None) -> Bill:
    """What a built project costs, cut as the cutting plan says; as its own, where none is given."""
    used = amounts(painted_in(build), build.stock.finishes)
    return bill(build.plan, build.stock, cutting or build.cutting, used)


@dataclass(frozen=True, slots=True)
class Compared:
    """One row of two bills side by side."""

    what: str
    first: Decimal
    second: Decimal

    @property
    def difference(self) -> Decimal:
        return self.second - self.first


def compare(first: Bill, second: Bill) -> tuple[Compared, ...]:
    """Group by group, then the sum, the tax and the total. Raises ValueError for bills in two currencies."""
    if first.currency != second.currency:
        raise ValueError(
            f"prices in {first.currency or 'no currency'} and in {second.currency or 'no currency'} cannot be compared"
        )
    rows = [Compared(group, first.sum_of(group), second.sum_of(group)) for group in GROUPS]
    rows += [Compared("sum", first.net, second.net), Compared("tax", first.tax_due, second.tax_due)]
    return (*rows, Compared("total", first.total, second.total))
