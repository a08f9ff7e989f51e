"""What a wall asks for that does not go into the length it has: what gives, in which order, and by how much.

First the shares move within their limits. Then alignments are given up, then the least widths of shares, then fixed
widths; limits and fixed widths in proportion to their size, no further than `GIVE` of it and never below the width at
which the unit can still be built.
"""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from model.messages import mm
from model.siting.solver import Aim
from model.siting.wall_rules import WallRules
from model.siting.widths import DoesNotFit, WidthWish, exact, solve_widths
from model.tolerances import rounded

GIVE = 0.75
"""A unit narrower than three quarters of what its maker asked for is another unit: it is for its maker to plan."""
MOST_DROPPED = 2
Floor = Callable[[int], float]
"""The least width (mm) at which the unit of a number in the row can be built."""


@dataclass(frozen=True)
class Given:
    """One thing that gave: a unit (by its number), the key below its place that changes, old and new mm.

    `key` is ("align",), ("width",), ("width", "min"), or () for a wall that stays empty at its right end. `new` is None
    for an alignment that is given up.
    """

    kind: Literal["align", "limit", "fixed", "floor", "empty"]
    index: int
    key: tuple[str, ...]
    old: float | None
    new: float | None
    text: str


@dataclass(frozen=True)
class Refusal:
    """A wall that nothing makes fit: how many mm are still too many, and the ways out."""

    by: float
    text: str
    droppable: tuple[tuple[str, ...], ...] = ()


def concede(rules: WallRules, floor: Floor, step: float) -> tuple[Given, ...] | Refusal:
    """What has to give for the wall to work out, nothing where it does; new sizes on a grid of `step` mm."""
    found = _conceded(rules, floor, step)
    if not isinstance(found, Refusal):
        return found
    return replace(found, droppable=_droppable(rules, floor, step))


def _conceded(rules: WallRules, floor: Floor, step: float) -> tuple[Given, ...] | Refusal:
    given: list[Given] = []
    while True:
        try:
            return (*given, *_floors(rules, rules.widths(), floor))
        except DoesNotFit as problem:
            if problem.loc[1:] == ("align",):
                index = problem.loc[0]
                assert isinstance(index, int)
                name = rules.wishes[index].name
                text = f"{name} no longer stands in line: {problem.message}"
                given.append(Given("align", index, ("align",), None, None, text))
                rules = replace(rules, in_line=tuple(line for line in rules.in_line if line.index != index))
            elif problem.by < 0:
                text = f"{mm(-problem.by)} stay empty at the right end: {', '.join(problem.reasons)}"
                given.append(Given("empty", 0, (), None, -problem.by, text))
                rules = replace(rules, room=rounded(rules.room + problem.by))
            else:
                return _narrowed(rules, problem, given, floor, step)


def _floors(rules: WallRules, widths: Sequence[float], floor: Floor) -> tuple[Given, ...]:
    """Least widths to write down, where a share has come out narrower than its unit can be built."""
    low = [
        i
        for i, (w, width) in enumerate(zip(rules.wishes, widths, strict=True))
        if w.share is not None and width < floor(i)
    ]
    if not low:
        return ()
    found = tuple(
        Given(
            "floor", i, ("width", "min"), rules.wishes[i].least or None, floor(i),
            f"{rules.wishes[i].name} at least {mm(floor(i))}: it cannot be built narrower",
        )
        for i in low
    )  # fmt: skip
    wishes = [replace(w, least=floor(i)) if i in low else w for i, w in enumerate(rules.wishes)]
    more = replace(rules, wishes=tuple(wishes))
    return found + _floors(more, more.widths(), floor)


def _least(wish: WidthWish, floor: float) -> float:
    """How narrow a unit may become: a share without a least width as narrow as it can be built."""
    if wish.share is not None:
        return max(floor, wish.least * GIVE)
    return min(wish.fixed, max(floor, wish.fixed * GIVE))


def _narrowed(
    rules: WallRules, problem: DoesNotFit, given: list[Given], floor: Floor, step: float
) -> tuple[Given, ...] | Refusal:
    """Least widths give, and if that is not enough fixed widths give too."""
    wishes = rules.wishes
    least = [0.0 if w.same_as is not None else _least(w, floor(i)) for i, w in enumerate(wishes)]
    asked = [max(w.least, low) if w.share is not None else w.fixed for w, low in zip(wishes, least, strict=True)]
    aims = [Aim(exact(a), exact(a) or Fraction(1)) for a in asked]

    def wish(i: int, fixed_gives: bool) -> WidthWish:
        w = wishes[i]
        if w.same_as is not None:
            return w
        if w.share is None:
            return WidthWish(w.name, share=1.0, least=least[i], most=asked[i]) if fixed_gives else w
        high = least[i] if fixed_gives else asked[i]
        return WidthWish(w.name, share=1.0, least=least[i], most=high)

    short: DoesNotFit | None = None
    for fixed_gives in (False, True):
        tried = [wish(i, fixed_gives) for i in range(len(wishes))]
        try:
            widths = solve_widths(tried, rules.room, mirror=rules.mirror, aims=aims)
        except DoesNotFit as still:
            short = still
        else:
            changes = (_change(i, w, asked[i], widths[i], step) for i, w in enumerate(wishes) if w.same_as is None)
            return (*given, *(c for c in changes if c is not None))
    assert short is not None
    text = (
        f"{problem.message}; with every width that can give a quarter narrower, or as narrow as it can be built, still "
        f"{mm(short.by)} too many"
    )
    return Refusal(short.by, text)


def _change(index: int, wish: WidthWish, asked: float, width: float, step: float) -> Given | None:
    # downward, so that what rounding leaves is there to be shared
    new = min(asked, rounded(int(width / step + 1e-6) * step))
    if wish.share is None:
        text = f"{wish.name} fixed {mm(wish.fixed)}, now {mm(new)}"
        return Given("fixed", index, ("width",), wish.fixed, new, text) if new < wish.fixed else None
    if new < wish.least:
        text = f"{wish.name} at least {mm(wish.least)}, now {mm(new)}"
        return Given("limit", index, ("width", "min"), wish.least, new, text)
    if wish.least < asked:
        text = f"{wish.name} at least {mm(asked)}: it cannot be built narrower"
        return Given("floor", index, ("width", "min"), wish.least or None, asked, text)
    return None


def _droppable(rules: WallRules, floor: Floor, step: float) -> tuple[tuple[str, ...], ...]:
    """The fewest units without which the wall works out, each way to choose them."""
    everyone = range(len(rules.wishes))
    for count in range(1, min(MOST_DROPPED, len(rules.wishes) - 1) + 1):
        ways = [
            tuple(rules.wishes[i].name for i in dropped)
            for dropped in itertools.combinations(everyone, count)
            if _works_without(rules, dropped, floor, step)
        ]
        if ways:
            return tuple(ways)
    return ()


def _works_without(rules: WallRules, dropped: tuple[int, ...], floor: Floor, step: float) -> bool:
    kept = [i for i in range(len(rules.wishes)) if i not in dropped]
    names = {rules.wishes[i].name for i in kept}
    if any(rules.wishes[i].same_as not in (None, *names) for i in kept):
        return False
    fewer = WallRules(tuple(rules.wishes[i] for i in kept), rules.room)
    return not isinstance(_conceded(fewer, lambda i: floor(kept[i]), step), Refusal)
