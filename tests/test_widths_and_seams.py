"""Widths shared along a wall and seams of long tops, against other ways to work them out."""

import itertools
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from projects import base, write_project
from scipy.optimize import minimize

from model.build import build
from model.errors import ConfigError
from model.siting.layout import lay_out
from model.siting.widths import DoesNotFit, WidthWish, solve_widths
from model.tops.seams import even_pieces, seam_places, without


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


WINDOW = {"name": "garden", "x": 900, "z": 1000, "width": 800, "height": 900}
WALL = {"width": 2400, "windows": [WINDOW], "studs": {"spacing": 400, "first": 200}}


def row(folder: Path, wall: dict[str, Any] = WALL, mirror: str | None = None, **units: Any) -> Path:
    """A project of plain bases; each is a width, or a width and what it is in line with."""
    said = {name: u if isinstance(u, tuple) else (u, None) for name, u in units.items()}
    path = write_project(
        folder,
        {name: base(height=800) for name in said},
        widths={name: width for name, (width, _) in said.items()},
        room={"height": 2500, "walls": {"north": wall}},
        mirror={"north": mirror} if mirror else {},
    )
    text = path.read_text(encoding="utf-8")
    for name, (_, align) in said.items():
        if align:
            edge, to, *at = align.split(" ")
            more = f", at: {at[0]}" if at else ""
            text = text.replace(f"- name: {name}\n", f"- name: {name}\n    align: {{edge: {edge}, to: {to}{more}}}\n")
    path.write_text(text, encoding="utf-8")
    return path


def edges(path: Path) -> list[float]:
    spots = list(lay_out(build(path).inputs).spots.values())
    return [spots[0].x[0], *(s.x[1] for s in spots)]


FILL = {"fill": 1}


@pytest.mark.parametrize(
    ("units", "mirror", "expected"),
    [
        ({"a": 700, "b": FILL, "c": {"same_as": "a"}}, None, [0, 700, 1700, 2400]),
        ({"a": FILL, "b": (FILL, "left garden"), "c": FILL}, None, [0, 900, 1650, 2400]),
        ({"a": FILL, "b": (FILL, "right garden"), "c": FILL}, None, [0, 850, 1700, 2400]),
        ({"a": FILL, "b": (600, "middle garden"), "c": FILL}, None, [0, 1000, 1600, 2400]),
        ({"a": FILL, "b": (FILL, "left garden right")}, None, [0, 1700, 2400]),
        # a third of the way is 800 mm; the studs stand at 200, 600, 1000 ...: as near, the left one
        ({"a": FILL, "b": ({"fill": 2}, "left stud")}, None, [0, 600, 2400]),
        ({"a": FILL, "b": {"fill": 2}, "c": 700}, "middle", [0, 700, 1700, 2400]),
        ({"a": 700, "b": 500, "c": FILL, "d": FILL}, "b", [0, 700, 1200, 1900, 2400]),
    ],
)
def test_equal_aligned_and_mirrored_in_a_project(
    tmp_path: Path, units: dict[str, Any], mirror: str | None, expected: list[float]
) -> None:
    assert edges(row(tmp_path, mirror=mirror, **units)) == expected


@pytest.mark.parametrize(
    ("units", "mirror", "key", "says"),
    [
        ({"a": 700, "b": {"same_as": "c"}}, None, "same_as: c", "no other unit 'c' along this wall: there is a"),
        ({"a": FILL, "b": (FILL, "left gable")}, None, "to: gable", "no window 'gable' in this wall: there is garden"),
        ({"a": FILL, "b": FILL}, "c", "mirror", "no unit 'c' along the wall north: say middle, or one of a, b"),
        (
            {"a": 600, "b": ({"fill": 1, "max": 900}, "left garden")},
            None,
            "align: {edge: left, to: garden}",
            "these cannot all hold, by 300 mm: a fixed 600 mm, the left edge of b at 900 mm (the left edge of garden)",
        ),
        (
            {"a": {"fill": 1, "min": 900, "max": 800}, "b": FILL},
            None,
            "width",
            "these cannot all hold, by 100 mm: a at least 900 mm, a at most 800 mm",
        ),
        (
            {"a": 1500, "b": {"fill": 1, "min": 1000}, "c": FILL},
            None,
            "- name: a",
            "it takes 2500 mm, 100 mm more than the 2400 mm there is: a fixed 1500 mm, b at least 1000 mm",
        ),
    ],
)
def test_a_wall_that_cannot_be_is_one_line_at_its_key(
    tmp_path: Path, units: dict[str, Any], mirror: str | None, key: str, says: str
) -> None:
    path = row(tmp_path, mirror=mirror, **units)
    with pytest.raises(ConfigError) as caught:
        build(path)
    (line,) = caught.value.lines
    place, _, message = line.partition(": ")
    assert message.endswith(says)
    lines = path.read_text(encoding="utf-8").splitlines()
    number = next(i for i, text in enumerate(lines, 1) if key in text)
    # a mapping or list below its key is at the key's line or at its own first one
    assert int(place.rsplit(":", 2)[1]) - number in ((0, 1) if key in ("width", "mirror") else (-1, 0))


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


def test_stretches_without_what_is_gone() -> None:
    assert without([(0, 100)], [(20, 30), (50, 60)]) == [(0, 20), (30, 50), (60, 100)]
    assert without([(0, 100), (200, 300)], [(90, 210)]) == [(0, 90), (210, 300)]
    assert without([(0, 100)], [(-10, 110)]) == []
    assert without([(40, 40)], [(0, 39)]) == [(40, 40)]


@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(1, 30)), max_size=5),
    st.lists(st.tuples(st.integers(0, 60), st.integers(1, 30)), max_size=4),
)
def test_stretches_without_others_by_counting(kept: list[tuple[int, int]], gone: list[tuple[int, int]]) -> None:
    """Every middle of a unit step is left exactly where one kept stretch more covers it than before none was gone."""
    spans = [(a, a + n) for a, n in kept]
    holes = [(a, a + n) for a, n in gone]
    left = without(spans, holes)
    for x in (i + 0.5 for i in range(100)):
        before = sum(a < x < b for a, b in spans)
        after = sum(a < x < b for a, b in left)
        assert after == (0 if any(a < x < b for a, b in holes) else before)


def test_seams_keep_away_from_what_they_must_avoid() -> None:
    assert seam_places((0, 3200), 2420, [(1700, 2300)], [], 40, [(1900, 2100)]) in ([1820], [2180])
    with pytest.raises(ValueError, match="no carcass for a seam"):
        seam_places((0, 3200), 2420, [(1700, 2300)], [], 40, [(1700, 2300)])


def test_strips_are_pieced_evenly_away_from_seams() -> None:
    assert even_pieces((0, 3000), 3000) == []
    assert even_pieces((0, 3200), 3000) == [1600]
    # the middle is a seam: three pieces, whose joints lie 533 mm from it
    assert even_pieces((0, 3200), 3000, [1600], 100) == pytest.approx([1066.667, 2133.333])
    # with seams everywhere the fewest pieces are taken
    assert even_pieces((0, 3200), 3000, range(0, 3200, 50), 100) == [1600]
