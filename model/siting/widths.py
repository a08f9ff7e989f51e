"""Widths of units along a wall: fixed ones as they are, the rest shared out within every rule the wall has."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from model.messages import mm, shown
from model.siting.solver import Aim, Row, Rule, fighting, miss, nearest, rounded_off
from model.tolerances import DIGITS, rounded

Edge = Literal["left", "middle", "right"]


@dataclass(frozen=True, slots=True)
class WidthWish:
    """What a unit says of its width (mm): fixed where `share` is None, else a share of the rest within limits.

    `same_as` is another wish of the row that it is as wide as, in place of both.
    """

    name: str
    fixed: float = 0.0
    share: float | None = None
    least: float = 0.0
    most: float = float("inf")
    same_as: str | None = None


@dataclass(frozen=True, slots=True)
class InLine:
    """An edge of a unit (by its number in the row) that lies at one of `places` (mm from the row's left end).

    Of several the nearest to where the edge would lie without it that can be had is taken. `what` is what stands there.
    """

    index: int
    edge: Edge
    places: tuple[float, ...]
    what: str


@dataclass(frozen=True, slots=True)
class Mirror:
    """Widths that are the same to both sides of the middle of the row, or of the unit with a number in it."""

    about: int | None = None


class DoesNotFit(ValueError):
    """The widths cannot come to what there is.

    `by` is how many mm are too many (negative: too few), `reasons` the rules that fight, in words, and `loc` the key
    path, below the wall's, of the one rule that can mend it where there is one. Lengths in `message` and `reasons` are
    still to be shown.
    """

    def __init__(self, message: str, by: float, reasons: tuple[str, ...] = (), loc: tuple[str | int, ...] = ()) -> None:
        super().__init__(shown(message, "mm"))
        self.message = message
        self.by = by
        self.reasons = reasons
        self.loc = loc


def solve_widths(
    wishes: Sequence[WidthWish],
    room: float,
    in_line: Sequence[InLine] = (),
    mirror: Mirror | None = None,
    aims: Sequence[Aim] | None = None,
) -> list[float]:
    """A width for each wish, in order, mm.

    What the fixed widths leave of `room` is shared in proportion, each share held within its limits; what a limit
    takes or leaves is shared among the others. Where nothing can take up the rest it stays empty at the right end.
    Shared widths are whole tenths of a mm wherever the rules allow it, and the last takes what is left, so that they
    come to `room` to 0.001 mm; only widths that are all to be equal may miss it by half of that each. `aims` are what
    the widths come nearest to in place of their shares. Raises DoesNotFit when the rules cannot all hold.
    """
    if room <= 0:
        raise DoesNotFit(f"its ends leave {mm(room)} for units", -room)
    by_name = {w.name: w for w in wishes}
    aims = aims or [_aim(w, by_name) for w in wishes]
    settled = [_in_line_rule(line, wishes, line.places[0]) for line in in_line if len(line.places) == 1]
    rules = [*_rules(wishes, mirror), *settled, _total(wishes, room)]
    found = nearest(rules, aims)
    for line in in_line:
        if found is not None and len(line.places) > 1:
            rules, found = _lined_up(rules, aims, found, line, wishes)
    if found is None:
        raise _does_not_fit(rules, len(wishes), room)
    none_left = next((w.name for w, width in zip(wishes, found, strict=True) if width <= 0), None)
    if none_left is not None:
        raise DoesNotFit(f"nothing of {mm(room)} is left for {none_left}", 0.0, (none_left,))
    return [rounded(float(v)) for v in rounded_off(rules, found, 1)]


def exact(value: float) -> Fraction:
    """A length to 0.001 mm as a fraction."""
    return Fraction(round(value * 10**DIGITS), 10**DIGITS)


def _aim(wish: WidthWish, by_name: Mapping[str, WidthWish]) -> Aim:
    """Missed at the price of its share; one that is as wide as another counts as much as that other."""
    seen = {wish.name}
    while wish.same_as is not None:
        wish = by_name[wish.same_as]
        if wish.name in seen:
            raise DoesNotFit(f"{' and '.join(sorted(seen))} are as wide as each other: give one a width", 0.0)
        seen.add(wish.name)
    return Aim(weight=Fraction(repr(float(wish.share or 1.0))))


def _rules(wishes: Sequence[WidthWish], mirror: Mirror | None) -> Iterator[Rule]:
    """What the wishes and the mirror ask for; what goes without saying first."""
    numbers = {w.name: i for i, w in enumerate(wishes)}
    one = Fraction(1)
    for i in range(len(wishes)):
        yield Rule(((i, one),), Fraction(0), equal=False)
    for i, w in enumerate(wishes):
        loc = (i, "width")
        if w.same_as is not None:
            terms = ((i, one), (numbers[w.same_as], -one))
            yield Rule(terms, Fraction(0), says=f"{w.name} as wide as {w.same_as}", loc=(*loc, "same_as"))
        elif w.share is None:
            yield Rule(((i, one),), exact(w.fixed), says=f"{w.name} fixed {mm(w.fixed)}", loc=loc)
        else:
            if w.least > 0:
                says = f"{w.name} at least {mm(w.least)}"
                yield Rule(((i, one),), exact(w.least), equal=False, says=says, loc=(*loc, "min"))
            if w.most < float("inf"):
                says = f"{w.name} at most {mm(w.most)}"
                yield Rule(((i, -one),), -exact(w.most), equal=False, says=says, loc=(*loc, "max"))
    for a, b in _pairs(len(wishes), mirror):
        says = f"{wishes[a].name} and {wishes[b].name} mirrored"
        yield Rule(((a, one), (b, -one)), Fraction(0), says=says)


def _pairs(count: int, mirror: Mirror | None) -> Iterator[tuple[int, int]]:
    if mirror is None:
        return
    if mirror.about is None:
        yield from ((i, count - 1 - i) for i in range(count // 2))
    else:
        reach = min(mirror.about, count - 1 - mirror.about)
        yield from ((mirror.about - k, mirror.about + k) for k in range(1, reach + 1))


def _total(wishes: Sequence[WidthWish], room: float) -> Rule:
    """The widths come to the room there is, or to no more where none of them gives."""
    gives = any(w.share is not None for w in wishes)
    sign = Fraction(1 if gives else -1)
    return Rule(tuple((i, sign) for i in range(len(wishes))), sign * exact(room), equal=gives)


def _edge_terms(line: InLine) -> tuple[tuple[int, Fraction], ...]:
    own = {"left": Fraction(0), "middle": Fraction(1, 2), "right": Fraction(1)}[line.edge]
    before = tuple((i, Fraction(1)) for i in range(line.index))
    return (*before, (line.index, own)) if own else before


def _in_line_rule(line: InLine, wishes: Sequence[WidthWish], place: float) -> Rule:
    what = "the middle" if line.edge == "middle" else f"the {line.edge} edge"
    says = f"{what} of {wishes[line.index].name} at {mm(place)} ({line.what})"
    return Rule(_edge_terms(line), exact(place), says=says, loc=(line.index, "align"))


def _lined_up(
    rules: list[Rule], aims: Sequence[Aim], found: Row, line: InLine, wishes: Sequence[WidthWish]
) -> tuple[list[Rule], Row | None]:
    """The rules with one more alignment, at the nearest place that can be had, and their answer.

    Where none can be had the nearest place stands among the rules, so that they tell what fights it.
    """
    at = float(sum((c * found[i] for i, c in _edge_terms(line)), Fraction(0)))
    tried: list[list[Rule]] = []
    for place in sorted(line.places, key=lambda p: (abs(p - at), p)):
        tried.append([*rules[:-1], _in_line_rule(line, wishes, place), rules[-1]])
        answer = nearest(tried[-1], aims)
        if answer is not None:
            return tried[-1], answer
    return tried[0], None


def _does_not_fit(rules: Sequence[Rule], count: int, room: float) -> DoesNotFit:
    """Which rules fight and by how much, as an error to raise. The last rule is the total."""
    total, others = rules[-1], rules[:-1]
    if nearest(others, [Aim()] * count) is None:
        fight = fighting(others, count)
        said = [r for r in fight if r.says]
        by = abs(miss(fight, count, said[-1]))
        return DoesNotFit(f"these cannot all hold, by {mm(float(by))}: {_listed(said)}", float(by), *_why(said))
    fight, needed = _needed(others, total, count)
    by = rounded(needed - room)
    said = [r for r in fight if r.says]
    if by > 0:
        text = f"it takes {mm(needed)}, {mm(by)} more than the {mm(room)} there is: {_listed(said)}"
    else:
        text = f"{mm(-by)} of {mm(room)} stay empty: {_listed(said)}"
    return DoesNotFit(text, by, *_why(said))


def _needed(others: Sequence[Rule], total: Rule, count: int) -> tuple[tuple[Rule, ...], float]:
    """The room that the other rules need, nearest to what there is, and the rules that ask for it.

    A wall is moved to where one fighting set would have it, and again, until none fights: the last set decides.
    """
    aims, sign = [Aim()] * count, total.terms[0][1]
    fight: tuple[Rule, ...] = ()
    while nearest([*others, total], aims) is None:
        fight = fighting([*others, total], count)
        total_there = next(r for r in fight if r is total)
        total = Rule(total.terms, total.value + miss(fight, count, total_there), total.equal)
    return tuple(r for r in fight if r.says), float(sign * total.value)


def _listed(rules: Sequence[Rule]) -> str:
    return ", ".join(r.says for r in rules)


def _why(rules: Sequence[Rule]) -> tuple[tuple[str, ...], tuple[str | int, ...]]:
    """The reasons in words and the most telling key path: an alignment's, else what all rules lie below."""
    reasons = tuple(r.says for r in rules)
    aligned = [r.loc for r in rules if "align" in r.loc]
    if aligned:
        return reasons, aligned[-1]
    shared = rules[0].loc
    for rule in rules[1:]:
        while rule.loc[: len(shared)] != shared:
            shared = shared[:-1]
    return reasons, shared
