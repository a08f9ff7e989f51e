"""The one answer to a set of rules about lengths, worked out exactly, and the rules that fight where there is none.

A wall asks for the widths nearest to their shares that keep every rule: a least-squares problem of a few unknowns. A
general constraint solver of the simplex family answers another question: it makes the sum of the misses small, which
many answers do equally well, and picks one by the order the rules came in. With two alignments on one wall, so that
two pairs of equal shares have 1000 mm and 2000 mm, it gives 500 + 500 and 500 + 1500, or 0 + 1000 and 1000 + 1000. The
weighted least squares here have one answer whatever the order, it is the proportional one wherever no limit binds, and
in fractions there is no tolerance to choose: what fits by 0.001 mm fits.

Equalities are eliminated first. What is left is solved by the dual active-set method: from the answer without limits,
press on the limit that is broken most until it holds, letting go of those that no longer need it. For a strictly convex
objective it is finite and ends with the answer, or with limits that cannot all hold (Goldfarb and Idnani, A numerically
stable dual method for solving strictly convex quadratic programs, Mathematical Programming 27, 1983).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Row = list[Fraction]
Matrix = list[Row]
ZERO, ONE = Fraction(0), Fraction(1)


@dataclass(frozen=True, slots=True)
class Rule:
    """Something that must hold of the unknowns: the sum of coefficient times unknown equals `value`, or is at least it.

    `terms` are (unknown, coefficient). `says` is the rule in the words of the person who asked for it, empty for what
    goes without saying; `loc` is the key path that asked.
    """

    terms: tuple[tuple[int, Fraction], ...]
    value: Fraction
    equal: bool = True
    says: str = ""
    loc: tuple[str | int, ...] = ()


@dataclass(frozen=True, slots=True)
class Aim:
    """What an unknown would be if nothing kept it: `value`, missed at a price of the squared miss over `weight`."""

    value: Fraction = ZERO
    weight: Fraction = ONE


@dataclass(frozen=True)
class _Reduced:
    """Unknowns that keep every equality: `start` plus a sum of `ways`, one for each unknown in `free`."""

    start: Row
    ways: Matrix = field(default_factory=list)
    free: tuple[int, ...] = ()


def nearest(rules: Sequence[Rule], aims: Sequence[Aim]) -> Row | None:
    """The one set of unknowns that keeps every rule and is nearest to the aims; None where the rules allow none."""
    return _answer(rules, aims)[0]


def _answer(rules: Sequence[Rule], aims: Sequence[Aim]) -> tuple[Row | None, list[Rule]]:
    """The nearest unknowns, or None and some rules among which those are that cannot all hold."""
    kept = _eliminate(rules, len(aims))
    equal = [rule for rule in rules if rule.equal]
    if kept is None:
        return None, equal
    limits = [(rule, *_limit(rule, kept)) for rule in rules if not rule.equal]
    broken = next((rule for rule, row, bound in limits if not any(row) and bound > 0), None)
    if broken is not None:
        return None, [*equal, broken]
    limits = [(rule, row, bound) for rule, row, bound in limits if any(row)]
    hesse = [[sum((a * b / aim.weight for a, b, aim in zip(u, v, aims, strict=True)), ZERO) for v in kept.ways]
             for u in kept.ways]  # fmt: skip
    pull = [sum((a * (aim.value - s) / aim.weight for a, s, aim in zip(u, kept.start, aims, strict=True)), ZERO)
            for u in kept.ways]  # fmt: skip
    inverse = _inverse(hesse)
    at_ease = [_dot(row, pull) for row in inverse]
    pushes = [[_dot(line, row) for line in inverse] for _, row, _ in limits]
    short = [_dot(row, at_ease) - bound for _, row, bound in limits]
    forces, proof = _complementary([[_dot(row, push) for push in pushes] for _, row, _ in limits], short)
    if forces is None:
        return None, [*equal, *(limits[i][0] for i in proof)]
    moved = [at + sum((f * push[i] for f, push in zip(forces, pushes, strict=True)), ZERO)
             for i, at in enumerate(at_ease)]  # fmt: skip
    return _unreduced(kept, moved), []


def rounded_off(rules: Sequence[Rule], values: Row, digits: int) -> Row:
    """The values to so many digits wherever the rules leave that open, the rest following; else the values themselves.

    What lies on a limit stays there.
    """
    bound = [Rule(r.terms, r.value) for r in rules if r.equal or _sum(r, values) == r.value]
    kept = _eliminate(bound, len(values))
    assert kept is not None
    grid = Fraction(10) ** digits
    wanted = [Fraction(round(values[i] * grid)) / grid - kept.start[i] for i in kept.free]
    found = _unreduced(kept, wanted)
    return found if all(holds(rule, found) for rule in rules) else values


def holds(rule: Rule, values: Sequence[Fraction]) -> bool:
    """Whether the values keep a rule."""
    total = _sum(rule, values)
    return total == rule.value if rule.equal else total >= rule.value


def fighting(rules: Sequence[Rule], count: int) -> tuple[Rule, ...]:
    """A smallest set of rules that cannot all hold: without any one of them the others can.

    Found by leaving out one rule after the other for good wherever the rest still fights, beginning with the rules the
    solver proves the fight with. `rules` must be such that they cannot all hold.
    """
    aims = [Aim()] * count
    left = _answer(rules, aims)[1]
    needed: list[Rule] = []
    while left:
        tried = left[0]
        found, proof = _answer([*needed, *left[1:]], aims)
        if found is None:
            left = [rule for rule in left[1:] if any(rule is r for r in proof)]
        else:
            needed.append(tried)
            left = left[1:]
    return tuple(rule for rule in rules if any(rule is r for r in needed))


def miss(fight: Sequence[Rule], count: int, measure: Rule) -> Fraction:
    """How far the value of `measure`, one rule of a smallest fighting set, must move for the set to hold.

    Above 0 it must grow. The multipliers that make the set contradict itself are one line, so that the answer is one.
    """
    columns = [[dict(rule.terms).get(i, ZERO) for rule in fight] for i in range(count)]
    kept = _eliminate([Rule(tuple(enumerate(c)), ZERO) for c in columns], len(fight))
    assert kept is not None
    assert len(kept.ways) == 1
    line = kept.ways[0]
    at = next(i for i, rule in enumerate(fight) if rule is measure)
    return -sum((y * rule.value for y, rule in zip(line, fight, strict=True)), ZERO) / line[at]


def _sum(rule: Rule, values: Sequence[Fraction]) -> Fraction:
    return sum((c * values[i] for i, c in rule.terms), ZERO)


def _dot(a: Sequence[Fraction], b: Sequence[Fraction]) -> Fraction:
    return sum((x * y for x, y in zip(a, b, strict=True) if x and y), ZERO)


def _eliminate(rules: Sequence[Rule], count: int) -> _Reduced | None:
    """Every set of `count` unknowns that keeps the equalities, None where there is none.

    Later unknowns follow from earlier ones: what rounding leaves ends up at the end of a wall.
    """
    rows: Matrix = []
    for rule in rules:
        if rule.equal:
            row = [ZERO] * count + [rule.value]
            for i, c in rule.terms:
                row[i] += c
            rows.append(row)
    pivots: dict[int, Row] = {}
    for column in reversed(range(count)):
        found = next((row for row in rows if row[column]), None)
        if found is None:
            continue
        rows = [row for row in rows if row is not found]
        scale = found[column]
        found = [v / scale for v in found]
        rows = [_less(row, found, row[column]) for row in rows]
        pivots = {c: _less(row, found, row[column]) for c, row in pivots.items()}
        pivots[column] = found
    if any(row[count] for row in rows):
        return None
    free = tuple(i for i in range(count) if i not in pivots)
    start = [pivots[i][count] if i in pivots else ZERO for i in range(count)]
    ways = [[-pivots[i][f] if i in pivots else (ONE if i == f else ZERO) for i in range(count)] for f in free]
    return _Reduced(start, ways, free)


def _less(row: Row, other: Row, times: Fraction) -> Row:
    return [a - times * b for a, b in zip(row, other, strict=True)] if times else row


def _unreduced(kept: _Reduced, along: Row) -> Row:
    return [
        s + sum((t * way[i] for t, way in zip(along, kept.ways, strict=True)), ZERO) for i, s in enumerate(kept.start)
    ]


def _limit(rule: Rule, kept: _Reduced) -> tuple[Row, Fraction]:
    """An inequality in terms of the ways that are left: coefficients and the least their sum may be."""
    return [_sum(rule, way) for way in kept.ways], rule.value - _sum(rule, kept.start)


def _inverse(matrix: Matrix) -> Matrix:
    size = len(matrix)
    rows = [[*row, *(ONE if i == j else ZERO for j in range(size))] for i, row in enumerate(matrix)]
    for i in range(size):
        # positive definite: what is left of the diagonal is above 0
        rows[i] = [v / rows[i][i] for v in rows[i]]
        rows = [row if j == i else _less(row, rows[i], row[i]) for j, row in enumerate(rows)]
    return [row[size:] for row in rows]


def _complementary(matrix: Matrix, start: Row) -> tuple[Row | None, list[int]]:
    """The z >= 0 with w = matrix z + start >= 0 and no w and z above 0 together.

    Where there is none, the rows whose w cannot all be 0 or more: a sum of them, none taken away, comes to less than 0.
    """
    size = len(start)
    rows, values = [row[:] for row in matrix], start[:]
    pressing = [False] * size  # where z stands in the row and w in the column
    while True:
        worst = min(((w, i) for i, w in enumerate(values) if not pressing[i]), default=(ZERO, 0))
        if worst[0] >= 0:
            return [v if on else ZERO for v, on in zip(values, pressing, strict=True)], []
        i = worst[1]
        force = ZERO
        while not pressing[i]:
            # press on limit i until it holds, or until one that is pressed on lets go
            steps = [(-values[j] / rows[j][i], j) for j in range(size) if pressing[j] and rows[j][i] < 0]
            if rows[i][i] > 0:
                steps.append((-values[i] / rows[i][i], i))
            if not steps:
                return None, sorted({i, *(j for j in range(size) if rows[i][j])})
            step, j = min(steps)
            values = [v + row[i] * step for v, row in zip(values, rows, strict=True)]
            force += step
            _pivot(rows, j)
            pressing[j] = not pressing[j]
            values[j] = force if j == i else ZERO


def _pivot(rows: Matrix, i: int) -> None:
    """Exchange what row i stands for with what column i stands for."""
    by = rows[i][i]
    new = [-v / by if v else ZERO for v in rows[i]]
    new[i] = 1 / by
    for k, row in enumerate(rows):
        if k != i and row[i]:
            times = row[i]
            changed = [a + times * b if b else a for a, b in zip(row, new, strict=True)]
            changed[i] = times * new[i]
            rows[k] = changed
    rows[i] = new
