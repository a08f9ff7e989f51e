"""The search for the cheapest sheets that hold a list of parts: several sizes, prices and offcuts at once.

Candidates come from the solver in several ways (the whole list on one size, sheet after sheet with the best value for
money); the best of each are mended where they are emptiest. What costs least wins, then what leaves the largest
offcut. All of it is bounded by an effort, not by a clock.
"""

import itertools
import math
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from model.cutting.filler import shelves
from model.cutting.laid import Way
from model.cutting.packing import Bed, Found, Free, Leaf, Rect, Search, Tree, guillotine, nested

Layout = Tree | tuple[Free, ...]
Solve = Callable[[Sequence[Rect], Sequence[Bed], float, Search], Found[Layout] | None]
Tell = Callable[[str], None]

SOLVER_TROUBLE = (RuntimeError, MemoryError, ValueError, IndexError, OverflowError)
"""What the solver may trip over; another way is then taken, in the end the plain filler."""
LONG_LIST = 1000
"""Parts. Longer lists are filled sheet after sheet alone: searched as a whole they take long and come out no better."""
SUBSET = 40
"""Parts that are laid out anew together."""
KNAPSACK_QUEUE = 16
MONEY = 1e-6

FREE_LONG = 60
"""A longer list than this is not laid out freely at once: one of 91 pieces took 19 s."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to look. The same effort gives the same plan; `seconds` ends it early and may change the plan.

    `queue` is how wide a whole list is searched, `rounds` how often it is searched again with other values, `powers`
    how much large parts count for where sheet after sheet is filled, `mends` how often the emptiest sheets are laid out
    anew, that as wide as `mend_queue`. Lists of more than `longest` pieces are only filled sheet by sheet. Free layouts
    take long: `free_powers` and `free_mends` are theirs. Three sheets of more than `mixed` pieces are not laid out anew
    on any mix of sizes, which would take the longest.
    """

    queue: int = 64
    rounds: int = 8
    powers: tuple[float, ...] = (1.0, 1.1, 1.2, 1.35)
    mends: int = 6
    mend_queue: int = 64
    mixed: int = 20
    free_powers: tuple[float, ...] = ()
    free_mends: int = 0
    longest: int = LONG_LIST
    seconds: float | None = None


QUICK = Effort(queue=16, rounds=0, powers=(1.1,), mends=2, mend_queue=64)
DEFAULT = Effort()
THOROUGH = Effort(
    queue=512,
    rounds=32,
    powers=(1.0, 1.05, 1.1, 1.15, 1.2, 1.35),
    mends=24,
    mend_queue=1024,
    mixed=SUBSET,
    free_powers=(1.1,),
    free_mends=6,
)
EFFORTS = {"quick": QUICK, "default": DEFAULT, "thorough": THOROUGH}


def for_free(effort: Effort) -> Effort:
    """The same effort for layouts that no saw has to follow."""
    powers = effort.free_powers or (1.1,)
    return replace(
        effort, queue=min(effort.queue, 16), rounds=0, powers=powers, mends=effort.free_mends, longest=FREE_LONG
    )


class Clock:
    """How long a search may still take: for ever where no limit is set."""

    def __init__(self, seconds: float | None) -> None:
        self._end = None if seconds is None else time.monotonic() + seconds

    @property
    def left(self) -> float | None:
        return None if self._end is None else self._end - time.monotonic()

    @property
    def out(self) -> bool:
        return self.left is not None and self.left <= 0


@dataclass(frozen=True, slots=True)
class Filled:
    """A bed, by its place in the list of beds, and what lies on it."""

    bed: int
    layout: Layout

    def counts(self) -> Counter[int]:
        return Counter(leaf.index for leaf in leaves(self.layout))


def leaves(layout: Layout) -> Iterator[Leaf | Free]:
    """Every rectangle of a layout, in order."""
    if isinstance(layout, Leaf):
        yield layout
    elif isinstance(layout, tuple):
        yield from layout
    else:
        for member in layout.members:
            yield from leaves(member)


Value = Callable[[Filled], float]
"""What is left of a filled bed: the area of its largest offcut."""


@dataclass(frozen=True)
class Job:
    """Rectangles to lay on beds with a gap between them. Beds of limited number are offcuts: they are used first."""

    rects: tuple[Rect, ...]
    beds: tuple[Bed, ...]
    gap: float
    solve: Solve
    offcut: Value

    def area(self, counts: Counter[int]) -> float:
        return sum(self.rects[i].along * self.rects[i].across * n for i, n in counts.items())

    def cost(self, filled: Sequence[Filled]) -> float:
        return sum(self.beds[f.bed].cost for f in filled)

    def score(self, filled: Sequence[Filled]) -> tuple[float, int, float]:
        """Less is better: cost, sheets, the largest offcut taken off."""
        largest = max((self.offcut(f) for f in filled), default=0.0)
        return round(self.cost(filled), 6), len(filled), -round(largest, 1)

    def fits(self, i: int, bed: Bed) -> bool:
        rect = self.rects[i]
        lies = rect.along <= bed.along and rect.across <= bed.across
        return lies or (rect.turns and rect.across <= bed.along and rect.along <= bed.across)


class Searcher:
    """One job on its way: what is asked of the solver, how long there is, who is told."""

    def __init__(self, job: Job, effort: Effort, clock: Clock, tell: Tell) -> None:
        self.job, self.clock, self._tell = job, clock, tell
        self.effort = effort
        self._short = sum(r.copies for r in job.rects) <= effort.longest
        self.new = [i for i, bed in enumerate(job.beds) if bed.cost > 0]
        self.rack = sorted(
            (i for i, bed in enumerate(job.beds) if bed.cost == 0),
            key=lambda i: (job.beds[i].along * job.beds[i].across, i),
        )

    def run(self) -> tuple[Filled, ...] | None:
        """Everything laid out; None where something fits no bed that can be bought."""
        wanted = Counter({i: r.copies for i, r in enumerate(self.job.rects)})
        used = list(self._from_rack(wanted))
        for filled in used:
            wanted -= filled.counts()
        if not wanted:
            return tuple(used)
        if any(not any(self.job.fits(i, self.job.beds[b]) for b in self.new) for i in wanted):
            return None
        best = self._best_new(wanted)
        return None if best is None else (*used, *best)

    def _from_rack(self, wanted: Counter[int]) -> Iterator[Filled]:
        """Offcuts filled one by one, the smallest first."""
        left = Counter(wanted)
        for b in self.rack:
            for _ in range(self.job.beds[b].copies):
                filled = self._knapsack(left, b, 1.0)
                if filled is None:
                    break
                yield filled
                left -= filled.counts()

    def _best_new(self, wanted: Counter[int]) -> list[Filled] | None:
        best: list[Filled] | None = None
        least = self._least_cost(wanted)
        for candidate, proven in self._candidates(wanted):
            if best is None or self.job.score(candidate) < self.job.score(best):
                best = candidate
                self._tell(f"{len(best)} sheets")
            if proven or self.job.cost(best) <= least + MONEY:
                break
        if best is None:
            best = self._plainly(wanted)
        if best is None:
            return None
        if self._short and self.job.cost(best) > least + MONEY:
            best = self._crossed(wanted, best) or best
        return self._mended(best, least)

    def _candidates(self, wanted: Counter[int]) -> Iterator[tuple[list[Filled], bool]]:
        """Whole answers, and whether one cannot be beaten on cost."""
        alone = len(self.new) == 1
        whole = [b for b in self.new if self._short and all(self.job.fits(i, self.job.beds[b]) for i in wanted)]
        done: dict[int, bool] = {}
        for b in sorted(whole, key=lambda b: (self._price(b), b)):
            found = self._ask(wanted, [b], Search(queue=self.effort.queue))
            if found is not None:
                done[b] = found[1]
                yield found[0], alone and found[1]
        for b in whole if self.effort.rounds else ():
            if not done.get(b, False):
                found = self._ask(wanted, [b], Search(queue=16, rounds=self.effort.rounds))
                if found is not None:
                    done[b] = found[1]
                    yield found[0], alone and found[1]
        for power in self.effort.powers:
            found = self._greedy(wanted, power)
            if found is not None:
                yield found, False

    def _greedy(self, wanted: Counter[int], power: float, first: Way | None = "rip") -> list[Filled] | None:
        """Sheet after sheet, each the one that carries the most area for its price."""
        left, filled = Counter(wanted), list[Filled]()
        while left:
            options = [f for b in self.new if (f := self._knapsack(left, b, power, first)) is not None]
            if not options:
                return None
            best = max(options, key=lambda f: self.job.area(f.counts()) / self.job.beds[f.bed].cost)
            filled.append(best)
            left -= best.counts()
        return filled

    def _knapsack(self, left: Counter[int], b: int, power: float, first: Way | None = "rip") -> Filled | None:
        """One bed as full as it gets; large parts count for more where `power` is above 1."""
        bed, gap = self.job.beds[b], self.job.gap
        ids = [i for i in sorted(left) if self.job.fits(i, bed)]
        if not ids:
            return None
        scale = 1.0 / (bed.along * bed.across)
        rects = [
            replace(
                self.job.rects[i],
                copies=left[i],
                worth=((self.job.rects[i].along + gap) * (self.job.rects[i].across + gap) * scale) ** power * 1e6,
            )
            for i in ids
        ]
        found = self._solved(rects, [replace(bed, copies=1)], Search("Knapsack", KNAPSACK_QUEUE, first=first))
        if found is None or not found.beds:
            return None
        return Filled(b, renamed(found.beds[0][1], ids))

    def _ask(self, wanted: Counter[int], beds: Sequence[int], how: Search) -> tuple[list[Filled], bool] | None:
        """The parts on any number of the given beds."""
        ids = sorted(wanted)
        count = sum(wanted.values())
        rects = [replace(self.job.rects[i], copies=wanted[i]) for i in ids]
        found = self._solved(rects, [replace(self.job.beds[b], copies=count) for b in beds], how)
        if found is None:
            return None
        filled = [Filled(beds[b], renamed(layout, ids)) for b, layout in found.beds]
        whole = sum((f.counts() for f in filled), Counter[int]()) == wanted
        return (filled, found.proven) if whole else None

    def _solved(self, rects: Sequence[Rect], beds: Sequence[Bed], how: Search) -> Found[Layout] | None:
        if self.clock.out:
            return None
        try:
            return self.job.solve(rects, beds, self.job.gap, replace(how, seconds=self.clock.left))
        except SOLVER_TROUBLE:
            return None

    def _plainly(self, wanted: Counter[int]) -> list[Filled] | None:
        """The plain filler, on the size that comes cheapest that way; parts that need a larger size on that."""
        options: list[list[Filled]] = []
        for order in itertools.permutations(self.new) if len(self.new) <= 3 else [tuple(self.new)]:
            left, filled = Counter(wanted), list[Filled]()
            for b in order:
                bed = self.job.beds[b]
                ids = [i for i in sorted(left) if self.job.fits(i, bed)]
                trees = shelves([replace(self.job.rects[i], copies=left[i]) for i in ids], bed, self.job.gap) or []
                filled += [Filled(b, renamed(tree, ids)) for tree in trees]
                left -= Counter({i: left[i] for i in ids})
            if not left:
                options.append(filled)
        return min(options, key=self.job.score, default=None)

    def _price(self, b: int) -> float:
        bed = self.job.beds[b]
        return bed.cost / (bed.along * bed.across)

    def _least_cost(self, wanted: Counter[int]) -> float:
        """No choice of sheets with room for the area of the parts costs less."""
        area = self.job.area(wanted)
        rate = min(self._price(b) for b in self.new)
        least = area * rate
        if len(self.new) == 1:
            bed = self.job.beds[self.new[0]]
            return bed.cost * math.ceil(area / (bed.along * bed.across) - 1e-9)
        return min((c for c in self._sums(area) if c >= least - MONEY), default=least)

    def _sums(self, area: float) -> Iterator[float]:
        """What sheets cost together that have room for an area, each choice that needs all of its sheets."""
        beds = [self.job.beds[b] for b in self.new]
        most = [math.ceil(area / (bed.along * bed.across)) for bed in beds]
        if math.prod(n + 1 for n in most) > 20_000:
            return
        for counts in itertools.product(*(range(n + 1) for n in most)):
            room = sum(n * bed.along * bed.across for n, bed in zip(counts, beds, strict=True))
            if room >= area - 1e-6:
                yield sum(n * bed.cost for n, bed in zip(counts, beds, strict=True))

    def _mended(self, best: list[Filled], least: float) -> list[Filled]:
        """The emptiest one to three sheets laid out anew, for less money or a larger offcut, as long as it helps."""
        for _ in range(self.effort.mends):
            better = self._mend(best, least)
            if better is None:
                return best
            best = better
            self._tell(f"{len(best)} sheets")
        return best

    def _mend(self, best: list[Filled], least: float) -> list[Filled] | None:
        dear = self.job.cost(best) > least + MONEY
        by_waste = sorted(range(len(best)), key=lambda i: (-self._wasted(best[i]), i))
        for k in (1, 2, 3):
            chosen = by_waste[:k]
            if len(chosen) < k:
                return None
            parts = sum((best[i].counts() for i in chosen), Counter[int]())
            if k > 1 and sum(parts.values()) > SUBSET:
                return None
            kept = [f for i, f in enumerate(best) if i not in chosen]
            now = [best[i] for i in chosen]
            less = dear and self._least_cost(parts) < self.job.cost(now) - MONEY
            any_mix = less and (k < 3 or sum(parts.values()) <= self.effort.mixed)
            for answer in self._anew(parts, sorted({f.bed for f in now}), any_mix):
                if self.job.score([*kept, *answer]) < self.job.score(best):
                    return [*kept, *answer]
            crossed = self._crossed(parts, now) if less and k > 1 else None
            if crossed is not None:
                return [*kept, *crossed]
        return None

    def _anew(self, parts: Counter[int], beds: list[int], cheaper: bool) -> Iterator[list[Filled]]:
        """A few parts on any mix of sizes, and on the same sizes with the largest offcut."""
        if cheaper and len(self.new) > 1:
            usable = [b for b in self.new if any(self.job.fits(i, self.job.beds[b]) for i in parts)]
            found = self._ask(parts, usable, Search("VariableSizedBinPacking", self.effort.queue))
            if found is not None:
                yield found[0]
        for b in beds:
            found = self._ask(parts, [b], Search("BinPackingWithLeftovers", self.effort.mend_queue))
            if found is not None:
                yield found[0]

    def _crossed(self, parts: Counter[int], now: Sequence[Filled]) -> list[Filled] | None:
        """The parts with crosscuts first where that takes less money: they are the harder cuts on a whole sheet."""
        for b in sorted({f.bed for f in now}):
            found = self._ask(parts, [b], Search("BinPacking", self.effort.mend_queue, first=None))
            if found is not None and self.job.cost(found[0]) < self.job.cost(now) - MONEY:
                return found[0]
        return None

    def _wasted(self, filled: Filled) -> float:
        """What is paid for and not used."""
        bed = self.job.beds[filled.bed]
        return bed.cost * (1 - self.job.area(filled.counts()) / (bed.along * bed.across))


def renamed(layout: Layout, ids: Sequence[int]) -> Layout:
    """The layout with places in a shorter list put back to those of the whole."""
    if isinstance(layout, Leaf):
        return replace(layout, index=ids[layout.index])
    if isinstance(layout, tuple):
        return tuple(replace(free, index=ids[free.index]) for free in layout)
    members = (renamed(m, ids) for m in layout.members)
    return replace(layout, members=tuple(members))


def sawn(rects: Sequence[Rect], beds: Sequence[Bed], gap: float, how: Search) -> Found[Layout] | None:
    """For a saw."""
    return guillotine(rects, beds, gap, how)  # pyright: ignore[reportReturnType]


def routed(rects: Sequence[Rect], beds: Sequence[Bed], gap: float, how: Search) -> Found[Layout] | None:
    """For a router."""
    return nested(rects, beds, gap, how)  # pyright: ignore[reportReturnType]
