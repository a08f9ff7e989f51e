"""Widths under every kind of rule, against scipy's solvers on the same constraints."""

import itertools
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from model.siting.solver import Aim, Rule, fighting, holds, nearest
from model.siting.widths import DoesNotFit, InLine, Mirror, WidthWish, solve_widths


@dataclass
class Asked:
    """A row of wishes with alignments and a mirror, as drawn."""

    wishes: list[WidthWish]
    room: float
    in_line: list[InLine]
    mirror: Mirror | None


@st.composite
def asked(draw: st.DrawFn) -> Asked:
    """Fixed, shared, limited and equal widths, up to two edges in line, mirrored or not: many of them impossible."""
    count = draw(st.integers(1, 6))
    names = [f"u{i}" for i in range(count)]
    wishes: list[WidthWish] = []
    for i, name in enumerate(names):
        kind = draw(st.sampled_from(["fixed", "share", "share", "limited", "same"]))
        if kind == "fixed":
            wishes.append(WidthWish(name, fixed=float(draw(st.integers(300, 900)))))
        elif kind == "same" and i:
            wishes.append(WidthWish(name, same_as=draw(st.sampled_from(names[:i]))))
        else:
            share = draw(st.sampled_from([0.5, 1.0, 2.0, 3.0]))
            least = float(draw(st.integers(0, 500))) if kind == "limited" else 0.0
            most = least + draw(st.integers(1, 900)) if kind == "limited" else math.inf
            wishes.append(WidthWish(name, share=share, least=least, most=most))
    room = draw(st.integers(1500, 5000)) + draw(st.sampled_from([0.0, 0.5, 0.4]))
    edges = st.tuples(st.integers(0, count - 1), st.sampled_from(["left", "middle", "right"]), st.integers(0, 5000))
    lines = [InLine(i, edge, (float(x),), "a window") for i, edge, x in draw(st.lists(edges, max_size=2))]  # pyright: ignore[reportArgumentType]
    about = draw(st.sampled_from([None, None, Mirror(), Mirror(draw(st.integers(0, count - 1)))]))
    return Asked(wishes, room, lines, about)


@dataclass
class Linear:
    """The same as matrices: equal @ w = to, lo <= w <= hi, the widths coming to `room` (or at most to it)."""

    equal: np.ndarray
    to: np.ndarray
    bounds: list[tuple[float, float | None]]
    fills: bool


def linear(said: Asked) -> Linear:
    """Written from the meaning of the wishes, by itself."""
    n = len(said.wishes)
    rows: list[np.ndarray] = []
    to: list[float] = []
    bounds: list[tuple[float, float | None]] = []
    number = {w.name: i for i, w in enumerate(said.wishes)}
    unit = np.eye(n)
    for i, w in enumerate(said.wishes):
        bounds.append((0.0, None))
        if w.same_as is not None:
            rows.append(unit[i] - unit[number[w.same_as]])
            to.append(0.0)
        elif w.share is None:
            bounds[i] = (w.fixed, w.fixed)
        else:
            bounds[i] = (w.least, None if math.isinf(w.most) else w.most)
    for line in said.in_line:
        row = np.zeros(n)
        row[: line.index] = 1.0
        row[line.index] = {"left": 0.0, "middle": 0.5, "right": 1.0}[line.edge]
        rows.append(row)
        to.append(line.places[0])
    if said.mirror is not None:
        middle = (n - 1) / 2 if said.mirror.about is None else float(said.mirror.about)
        for i in range(n):
            j = round(2 * middle) - i
            if i < j < n:
                rows.append(unit[i] - unit[j])
                to.append(0.0)
    return Linear(np.array(rows).reshape(-1, n), np.array(to), bounds, any(w.share is not None for w in said.wishes))


def total_between(lines: Linear) -> tuple[float, float] | None:
    """The least and the greatest total of the widths by linprog, None where the rules fight whatever the wall."""
    n = len(lines.bounds)
    ends = []
    for sign in (1.0, -1.0):
        answer = linprog(
            sign * np.ones(n), A_eq=lines.equal if len(lines.to) else None,
            b_eq=lines.to if len(lines.to) else None, bounds=lines.bounds,
        )  # fmt: skip
        if answer.status == 2:
            return None
        ends.append(math.inf if answer.status == 3 else sign * answer.fun)
    return ends[0], ends[1]


def solved(said: Asked) -> list[float]:
    return solve_widths(said.wishes, said.room, said.in_line, said.mirror)


def solved_or_why(said: Asked) -> list[float] | DoesNotFit:
    try:
        return solved(said)
    except DoesNotFit as problem:
        return problem


@settings(max_examples=400, deadline=None)
@given(asked())
def test_what_fits_and_by_how_much_it_does_not_is_what_linear_programming_finds(said: Asked) -> None:
    lines = linear(said)
    between = total_between(lines)
    widths = solved_or_why(said)
    if isinstance(widths, DoesNotFit):
        if "is left for" in widths.message:
            return
        if between is None:
            assert "cannot all hold" in str(widths)
        elif between[0] > said.room:
            assert widths.by == pytest.approx(between[0] - said.room, abs=0.01)
        else:
            assert widths.by == pytest.approx(between[1] - said.room, abs=0.01)
            assert lines.fills
        return
    assert between is not None
    assert between[0] <= said.room + 0.01
    assert between[1] >= said.room - 0.01 or not lines.fills
    for width, (low, high) in zip(widths, lines.bounds, strict=True):
        assert low - 1e-6 <= width <= (math.inf if high is None else high) + 1e-6
    assert lines.equal @ np.array(widths) == pytest.approx(lines.to, abs=0.002)
    if lines.fills:
        assert sum(widths) == pytest.approx(said.room, abs=0.0005 * len(widths) + 1e-9)


@settings(max_examples=200, deadline=None)
@given(asked())
def test_shared_widths_are_the_nearest_to_their_shares(said: Asked) -> None:
    """The least weighted sum of squares under the same constraints, by scipy.optimize.minimize (SLSQP)."""
    lines = linear(said)
    assume(lines.fills)
    try:
        widths = np.array(solved(said))
    except DoesNotFit:
        assume(False)
        return
    number = {w.name: w for w in said.wishes}

    def share(w: WidthWish) -> float:
        return share(number[w.same_as]) if w.same_as is not None else w.share or 1.0

    shares = np.array([share(w) for w in said.wishes])
    rows = np.vstack([lines.equal, np.ones(len(widths))])
    to = np.append(lines.to, said.room)
    best = minimize(
        lambda w: float((w**2 / shares).sum()) / 1e6,
        widths,
        jac=lambda w: 2 * w / shares / 1e6,
        bounds=lines.bounds,
        constraints=[{"type": "eq", "fun": lambda w: (rows @ w - to) / 1e3, "jac": lambda w: rows / 1e3}],
        method="SLSQP",
        options={"maxiter": 300, "ftol": 1e-14},
    )
    # where rules repeat each other SLSQP gives up; what it has found must then still be no better
    assume(best.success or np.abs(rows @ best.x - to).max() < 0.01)
    cost = float((widths**2 / shares).sum())
    assert cost <= float((best.x**2 / shares).sum()) * (1 + 1e-4) + 1.0
    if best.success:
        assert widths == pytest.approx(best.x, abs=2.0)


@given(
    st.lists(st.tuples(st.booleans(), st.integers(1, 40)), min_size=1, max_size=7),
    st.integers(200, 4000),
)
def test_shares_are_exact_where_no_limit_binds(row: list[tuple[bool, int]], left: int) -> None:
    fixed = sum(100 * n for shared, n in row if not shared)
    shares = sum(n for shared, n in row if shared)
    assume(shares)
    room = fixed + left * shares / 10
    wishes = [
        WidthWish(str(i), share=float(n)) if shared else WidthWish(str(i), fixed=100.0 * n)
        for i, (shared, n) in enumerate(row)
    ]
    expected = [n * left / 10 if shared else 100.0 * n for shared, n in row]
    assert solve_widths(wishes, room) == pytest.approx(expected, abs=1e-9)


def test_each_stretch_between_alignments_is_shared_alike() -> None:
    """Two equal shares up to a window at 1000 mm, two after it up to 3000 mm."""
    wishes = [WidthWish(n, share=1.0) for n in "abcd"]
    assert solve_widths(wishes, 3000, [InLine(2, "left", (1000.0,), "w")]) == [500, 500, 1000, 1000]


def test_the_nearest_stud_that_can_be_had_is_taken() -> None:
    studs = tuple(100.0 + 400 * i for i in range(8))
    wishes = [WidthWish("a", fixed=600), WidthWish("b", share=1), WidthWish("c", share=1)]
    # without a stud the edge between b and c lies at 1550 mm; 1700 is nearer than 1300
    assert solve_widths(wishes, 2500, [InLine(2, "left", studs, "a stud")]) == [600, 1100, 800]
    held = [wishes[0], WidthWish("b", share=1, most=900), wishes[2]]
    assert solve_widths(held, 2500, [InLine(2, "left", studs, "a stud")]) == [600, 700, 1200]


def test_equal_and_mirrored_widths_are_equal_to_the_last_digit() -> None:
    wishes = [WidthWish("a", share=1), WidthWish("b", share=1), WidthWish("c", share=3)]
    a, b, c = solve_widths(wishes, 2000.1, mirror=Mirror())
    assert a == c
    assert a + b + c == pytest.approx(2000.1, abs=0.0005)
    # the mirrored pair costs w^2 (1 + 1/3): a = 1.5 b, 4 b = 2000.1 mm, then whole tenths
    assert b == pytest.approx(500.0, abs=0.2)
    thirds = solve_widths([WidthWish("a", share=1), *(WidthWish(n, same_as="a") for n in "bc")], 1000)
    assert thirds == [333.333] * 3


def test_mirrored_about_a_unit() -> None:
    wishes = [WidthWish("a", fixed=600), WidthWish("desk", share=2), WidthWish("b", share=1), WidthWish("c", share=1)]
    assert solve_widths(wishes, 3000, mirror=Mirror(1)) == [600, 1200, 600, 600]


@settings(max_examples=150, deadline=None)
@given(asked(), st.randoms(use_true_random=False))
def test_one_answer_whatever_the_order_of_the_rules(said: Asked, dice: random.Random) -> None:
    lines = linear(said)
    rules = [
        Rule(tuple((i, Fraction(float(c))) for i, c in enumerate(row) if c), Fraction(float(v)))
        for row, v in zip(lines.equal, lines.to, strict=True)
    ]
    for i, (low, high) in enumerate(lines.bounds):
        rules.append(Rule(((i, Fraction(1)),), Fraction(low), equal=False))
        if high is not None:
            rules.append(Rule(((i, Fraction(-1)),), -Fraction(high), equal=False))
    rules.append(Rule(tuple((i, Fraction(1)) for i in range(len(lines.bounds))), Fraction(said.room)))
    aims = [Aim(weight=Fraction(w.share or 1.0)) for w in said.wishes]
    first = nearest(rules, aims)
    shuffled = rules[:]
    dice.shuffle(shuffled)
    assert nearest(shuffled, aims) == first
    if first is None:
        fight = fighting(shuffled, len(aims))
        assert nearest(fight, aims) is None
        assert all(nearest([r for r in fight if r is not gone], aims) is not None for gone in fight)
    else:
        assert all(holds(rule, first) for rule in rules)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(*[st.integers(-2, 2)] * 3, st.integers(-5, 5)), max_size=6))
def test_any_limits_at_all_against_every_choice_of_those_that_bind(rows: list[tuple[int, int, int, int]]) -> None:
    """Three unknowns nearest to (1, -2, 3): the best of what each set of limits, taken as equalities, gives."""
    rules = [
        Rule(tuple((i, Fraction(c)) for i, c in enumerate(row[:3]) if c), Fraction(row[3]), equal=False) for row in rows
    ]
    aims = [Aim(Fraction(v), Fraction(w)) for v, w in ((1, 1), (-2, 2), (3, 5))]

    def cost(values: list[Fraction]) -> Fraction:
        return sum(((v - a.value) ** 2 / a.weight for v, a in zip(values, aims, strict=True)), Fraction(0))

    found = nearest(rules, aims)
    choices = itertools.chain.from_iterable(itertools.combinations(rules, n) for n in range(4))
    bound = (nearest([Rule(r.terms, r.value) for r in some], aims) for some in choices)
    kept = [v for v in bound if v is not None and all(holds(rule, v) for rule in rules)]
    assert (found is None) == (not kept)
    if found is not None:
        assert all(holds(rule, found) for rule in rules)
        assert cost(found) == min(cost(v) for v in kept)


def refused(wishes: Sequence[WidthWish], room: float, **more: object) -> DoesNotFit:
    with pytest.raises(DoesNotFit) as caught:
        solve_widths(wishes, room, **more)  # pyright: ignore[reportArgumentType]
    return caught.value


def test_a_conflict_names_what_fights_and_nothing_else() -> None:
    wishes = [
        WidthWish("press base", fixed=620), WidthWish("drawing place", share=2, least=900),
        WidthWish("paper base", share=1, least=500, most=760), WidthWish("jar base", fixed=820),
    ]  # fmt: skip
    problem = refused(wishes, 2500)
    assert str(problem) == (
        "it takes 2840 mm, 340 mm more than the 2500 mm there is: press base fixed 620 mm, "
        "drawing place at least 900 mm, paper base at least 500 mm, jar base fixed 820 mm"
    )
    free = [wishes[0], WidthWish("drawing place", share=2), WidthWish("paper base", share=1), wishes[3]]
    mirrored = refused(free, 3600, mirror=Mirror())
    assert str(mirrored) == (
        "these cannot all hold, by 200 mm: press base fixed 620 mm, jar base fixed 820 mm, "
        "press base and jar base mirrored"
    )
    window = refused(wishes, 3600, in_line=[InLine(2, "left", (1500.0,), "the left edge of garden window")])
    assert str(window) == (
        "these cannot all hold, by 20 mm: press base fixed 620 mm, drawing place at least 900 mm, "
        "the left edge of paper base at 1500 mm (the left edge of garden window)"
    )
    assert window.loc == (2, "align")
    # before the window there is room enough, after it too little
    after = refused(wishes, 3600, in_line=[InLine(3, "left", (2900.0,), "the left edge of garden window")])
    assert "it takes 3720 mm, 120 mm more than the 3600 mm there is: jar base fixed 820 mm" in str(after)
    assert "press base" not in str(after)


def test_limits_that_cross_are_one_key() -> None:
    problem = refused([WidthWish("a", share=1, least=900, most=700), WidthWish("b", share=1)], 3000)
    assert (problem.by, problem.loc) == (200, (0, "width"))


def test_two_units_as_wide_as_each_other_have_no_width() -> None:
    problem = refused([WidthWish("a", same_as="b"), WidthWish("b", same_as="a")], 1000)
    assert "a and b are as wide as each other" in str(problem)


def test_a_share_of_nothing_is_refused() -> None:
    assert "is left for b" in str(refused([WidthWish("a", fixed=1000), WidthWish("b", share=1)], 1000))
