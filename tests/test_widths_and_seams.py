"""Widths shared along a wall and seams of long tops, against other ways to work them out."""

import itertools

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import minimize

from model.seams import seam_places
from model.widths import DoesNotFit, WidthWish, solve_widths


def test_shares_of_what_fixed_widths_leave() -> None:
    wishes = [WidthWish("a", fixed=620), WidthWish("b", share=2), WidthWish("c", share=1)]
    assert solve_widths(wishes, 3620) == [620, 2000, 1000]


def test_a_limit_gives_the_rest_to_the_others() -> None:
    wishes = [WidthWish("a", share=1, most=500), WidthWish("b", share=1), WidthWish("c", share=1)]
    assert solve_widths(wishes, 3000) == [500, 1250, 1250]


@pytest.mark.parametrize(("widths", "room", "by"), [((900, 800), 1650, 50), ((900.5,), 900, 0.5)])
def test_too_much_says_by_how_much(widths: tuple[float, ...], room: float, by: float) -> None:
    with pytest.raises(DoesNotFit, match=f"{by:g} mm more than") as caught:
        solve_widths([WidthWish(str(w), fixed=w) for w in widths], room)
    assert caught.value.by == by


def test_too_little_says_what_stays_empty() -> None:
    with pytest.raises(DoesNotFit, match="400 mm of 1000 mm stay empty"):
        solve_widths([WidthWish("a", share=1, most=600)], 1000)


@given(
    st.lists(st.tuples(st.floats(0.5, 4), st.floats(0, 500), st.floats(10, 900)), min_size=1, max_size=5),
    st.floats(0.02, 0.98),
)
def test_shared_widths_are_the_nearest_to_their_shares(
    open_ones: list[tuple[float, float, float]], part: float
) -> None:
    """Among all widths within limits that fill the wall, those nearest (weighted least squares) to being in proportion.

    Checked against scipy.optimize.minimize (SLSQP).
    """
    shares = np.array([s for s, _, _ in open_ones])
    least = np.array([lo for _, lo, _ in open_ones])
    most = least + np.array([extra for _, _, extra in open_ones])
    room = round(float(least.sum() + part * (most - least).sum()), 1)
    wishes = [
        WidthWish(str(i), share=s, least=lo, most=hi)
        for i, (s, lo, hi) in enumerate(zip(shares, least, most, strict=True))
    ]
    found = np.array(solve_widths(wishes, room))
    assert found.sum() == pytest.approx(room, abs=0.01)
    assert (found >= least - 0.2).all()
    assert (found <= most + 0.2).all()
    best = minimize(
        lambda w: float(((w / shares - room / shares.sum()) ** 2 * shares).sum()) / 1e3,
        np.clip(found, least, most),
        bounds=list(zip(least, most, strict=True)),
        constraints=[{"type": "eq", "fun": lambda w: w.sum() - room}],
        method="SLSQP",
        options={"maxiter": 200, "ftol": 1e-12},
    )
    assume(best.success)
    assert found == pytest.approx(best.x, abs=2.0)


def test_one_piece_needs_no_seam() -> None:
    assert seam_places((0, 2400), 2400, [(0, 600)], [], 40) == []


def test_a_seam_lies_in_a_carcass_and_under_an_upper_where_one_stands() -> None:
    carcasses = [(0, 600), (1700, 2300), (2300, 3200)]
    assert seam_places((0, 3200), 2420, carcasses, [], 40) == [2000]
    assert seam_places((0, 3200), 2420, carcasses, [(2300, 3200)], 40) == [2420]


def test_a_stretch_without_a_carcass_is_named() -> None:
    with pytest.raises(ValueError, match="from 0 mm to 2640 mm there is no carcass"):
        seam_places((0, 3200), 2420, [(2600, 3200)], [], 40)


@given(
    st.lists(st.tuples(st.integers(100, 900), st.booleans()), min_size=1, max_size=6),
    st.integers(800, 2600),
)
def test_seams_are_as_few_as_brute_force_finds(row: list[tuple[int, bool]], longest: int) -> None:
    """Every set of seams on a 20 mm grid of what is allowed has as many pieces or more."""
    edges = [0, *itertools.accumulate(w for w, _ in row)]
    carcasses = [(a, b) for (a, b), (_, carcass) in zip(itertools.pairwise(edges), row, strict=True) if carcass]
    end = edges[-1]
    grid = sorted({x for a, b in carcasses if b - a >= 80 for x in [*range(a + 40, b - 39, 20), b - 40]})
    try:
        seams = seam_places((0, end), longest, carcasses, [], 40)
    except ValueError:
        seams = None
    fewest = _fewest(grid, end, longest)
    if seams is None:
        assert fewest is None
        return
    pieces = [b - a for a, b in itertools.pairwise([0, *seams, end])]
    assert max(pieces) <= longest
    assert all(any(a + 40 <= s <= b - 40 for a, b in carcasses) for s in seams)
    assert fewest is None or len(pieces) <= fewest


def _fewest(grid: list[int], end: int, longest: int) -> int | None:
    best = {0: 0}
    for x in [*grid, end]:
        ways = [n + 1 for start, n in best.items() if 0 < x - start <= longest]
        if ways:
            best[x] = min(ways)
    return best.get(end)
