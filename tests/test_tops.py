"""Tops: layers, edges, backsplash, scribes and openings, sound whatever is asked, with the sizes a maker measures."""

import itertools
from pathlib import Path
from typing import Any

import pytest
from conftest import plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from top_runs import RUN, Stocks, box, make_top, part, project

from exporters.cnc.layers import TRIM
from exporters.panels import figures
from model.bill import describe_cuts
from model.checks.interference import interference, interference_of
from model.errors import ConfigError
from model.meshes import volume
from model.site import Unbuildable
from model.tops.slab import Below, TopRun

BOARDS = {"mm": ["pine 20x40", "pine 20x60", "pine 20x90"], "in": ["pine 1x2", "pine 1x3", "pine 1x4"]}
MOULDINGS = {
    "mm": ["half round 18", "half round 36", "cove 18", "quarter round 14"],
    "in": ["half round three-quarter", "half round double", "cove three-quarter", "quarter round half"],
}
GROMMETS = {"mm": ["grommet 60", "grommet 25"], "in": ["grommet large", "grommet small"]}
ENDS = st.sampled_from([(), (), ("left",), ("right",), ("left", "right")])


@st.composite
def asked(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    lengths = draw(st.sampled_from(["mm", "in"]))
    layers = draw(st.sampled_from([{"layers": 1}, {"layers": 2}, {"build_up": 60.0}, {"build_up": 90.0}]))
    returned = draw(ENDS)
    others = st.sampled_from([(), tuple(e for e in ("left", "right") if e not in returned)])
    board, moulding = st.sampled_from(BOARDS[lengths]), st.sampled_from(MOULDINGS[lengths])
    parts = st.fixed_dictionaries({"board": board}) | st.fixed_dictionaries({"moulding": moulding})
    parts |= st.fixed_dictionaries({"board": board, "moulding": moulding})
    edge = st.builds(
        lambda parts, more: {**parts, **more, "ends": returned},
        parts,
        st.fixed_dictionaries(
            {"height": st.none() | st.sampled_from([20.0, 38.0]), "moulding_at": st.sampled_from(["face", "under"])}
        ),
    )
    splash = st.fixed_dictionaries(
        {
            "height": st.sampled_from([60.0, 88.0]),
            "board": st.none() | st.just(BOARDS[lengths][2]),
            "ends": others,
        }
    )
    scribe = st.fixed_dictionaries(
        {e: st.sampled_from([0.0] if e in returned else [0.0, 12.0]) for e in ("left", "right")}
    )
    grommet = st.fixed_dictionaries(
        {"item": st.sampled_from(GROMMETS[lengths]), "x": st.floats(50, 3000), "from_wall": st.floats(30, 300)}
    )
    cutout = st.fixed_dictionaries(
        {
            "x": st.floats(100, 3000),
            "front": st.floats(40, 200),
            "width": st.floats(60, 500),
            "depth": st.floats(60, 350),
            "radius": st.sampled_from([0.0, 10.0]),
        }
    )
    more = {
        "edge": draw(st.none() | edge),
        "backsplash": draw(st.none() | splash),
        "scribe": draw(scribe),
        "grommets": draw(st.lists(grommet, max_size=2)),
        "cutouts": draw(st.lists(cutout, max_size=1)),
    }
    return lengths, {**layers, **more}


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    asked=asked(),
    widths=st.lists(st.tuples(st.integers(300, 1300), st.booleans()), min_size=1, max_size=5),
    upper=st.booleans(),
    front=st.sampled_from([0.0, 25.0, 60.0]),
    over=st.sampled_from([0.0, 30.0]),
)
def test_any_top_is_sound_or_says_why_not(
    stocks: Stocks,
    asked: tuple[str, dict[str, Any]],
    widths: list[tuple[int, bool]],
    upper: bool,
    front: float,
    over: float,
) -> None:
    """No two parts share a volume, every joint meets, the upper face is one plane, seams lie over carcasses."""
    lengths, options = asked
    edges = [0, *itertools.accumulate(w for w, _ in widths)]
    units = tuple(itertools.pairwise(edges))
    carcasses = tuple(u for u, (_, carcass) in zip(units, widths, strict=True) if carcass)
    uppers = (units[-1],) if upper else ()
    run = TopRun((-over, edges[-1] + over), carcasses, uppers, 40, units, -600.0, (-300.0,) * len(uppers))
    try:
        top = make_top(stocks, run, lengths, front=front, **options)
    except Unbuildable as problem:
        if not problem.message or problem.loc[0] not in ("make", "over", "overhang"):
            raise
        return
    assert [f.message for f in interference(plan_of(top))] == []
    sheets = [p for p in top.parts if p.role in ("top", "second layer")]
    upper_face = max(p.bounds().hi[2] for p in sheets)
    for placed in top.parts:
        bounds = placed.bounds()
        assert run.span[0] - 0.01 <= bounds.lo[0]
        assert bounds.hi[0] <= run.span[1] + 0.01
        assert bounds.lo[1] >= -600 - front - 0.01
        assert bounds.hi[1] <= 0.01
        if placed.role not in ("backsplash", "grommet"):
            assert bounds.hi[2] <= upper_face + 0.01
    ends = {p.bounds().hi[0] for p in sheets} - {max(p.bounds().hi[0] for p in sheets)}
    assert all(any(a + 40 <= x <= b - 40 for a, b in carcasses) for x in ends)


def test_a_plain_top_is_its_sheet(stocks: Stocks) -> None:
    top = make_top(stocks, TopRun((0, 2000), ((0, 2000),), (), 40, (), -600))
    assert [p.part.size for p in top.parts] == [(2000, 625, 17.8)]
    assert box(top, "top").lo == (0, -625, 0)


def test_a_second_layer_has_its_seams_elsewhere_over_carcasses(stocks: Stocks) -> None:
    """3200 mm from sheets that give 2980: one seam in each layer, at least 150 mm apart, both inside a carcass."""
    top = make_top(stocks, layers=2)
    upper = [p.bounds() for p in top.parts if p.role == "top"]
    lower = [p.bounds() for p in top.parts if p.role == "second layer"]
    assert [b.span("z") for b in upper] == [pytest.approx((17.8, 35.6))] * 2
    assert [b.span("z") for b in lower] == [pytest.approx((0, 17.8))] * 2
    seams = upper[0].hi[0], lower[0].hi[0]
    assert abs(seams[0] - seams[1]) >= 150
    for x in seams:
        assert any(a + 40 <= x <= b - 40 for a, b in RUN.carcasses)
    glued = {(j.a, j.b) for j in top.joints if j.kind == "glued"}
    assert ("second layer piece 1", "top piece 1") in glued
    assert len(glued) == 3


def test_two_layers_need_room_to_stagger_their_seams(stocks: Stocks) -> None:
    """One carcass 300 mm wide has 220 mm for seams: two of them cannot lie 250 mm apart."""
    run = TopRun((0, 3200), ((1500, 1800),), (), 40, (), -600)
    with pytest.raises(Unbuildable, match="its seams 250 mm from those of the upper") as caught:
        make_top(stocks, run, layers=2, stagger=250.0)
    assert caught.value.loc == ("make", "stagger")


def test_strips_lie_under_edges_seams_and_every_side(stocks: Stocks) -> None:
    top = make_top(stocks, build_up=60.0)
    assert box(top, "front strip 1").span("y") == (-625, -565)
    assert box(top, "rear strip 1").span("y") == (-60, 0)
    across = [p.bounds().span("x") for p in top.parts if p.path.startswith("cross strip")]
    seam = box(top, "top piece 1").hi[0]
    for x in (0, 620, 1720, 2420, 3200, seam):
        assert any(a <= x <= b for a, b in across)
    # 17.8 mm sides on both sides of a joint of two units lie whole on their strip
    a, b = next(s for s in across if s[0] <= 2420 <= s[1])
    assert a <= 2420 - 17.8
    assert b >= 2420 + 17.8
    assert {p.bounds().span("z") for p in top.parts if p.role == "build-up strip"} == {(0, 17.8)}


def test_an_edge_board_is_flush_above_and_the_overhang_is_measured_to_it(stocks: Stocks) -> None:
    """25 mm of overhang, 20 mm of them board: the sheet ends 5 mm before the frames; 60 mm of board from 17.8 down."""
    top = make_top(stocks, TopRun((0, 2000), ((0, 2000),), (), 40, (), -600), edge={"board": "pine 20x60"})
    assert box(top, "top").span("y") == (-605, 0)
    assert box(top, "edge").span("y") == (-625, -605)
    assert box(top, "edge").span("z") == pytest.approx((17.8 - 60, 17.8))


def test_a_returned_edge_is_mitred(stocks: Stocks) -> None:
    """A mitre halves the square of the corner between the two boards: 20 x 20 x 40, once for each."""
    run = TopRun((0, 2000), ((25, 1975),), (), 40, (), -600)
    top = make_top(stocks, run, edge={"board": "pine 20x40", "ends": ("left", "right")})
    assert box(top, "top").span("x") == (20, 1980)
    assert box(top, "edge").span("x") == (0, 2000)
    assert box(top, "edge, left return").span("y") == (-625, 0)
    half = 20 * 20 / 2 * 40
    assert volume(part(top, "edge").part) == pytest.approx(2000 * 20 * 40 - 2 * half, rel=1e-6)
    assert volume(part(top, "edge, left return").part) == pytest.approx(625 * 20 * 40 - half, rel=1e-6)
    corners = {frozenset((j.a, j.b)) for j in top.joints}
    assert {frozenset(("edge", f"edge, {end} return")) for end in ("left", "right")} <= corners
    # left and right are mirror images of a board whose section is its own mirror image
    assert part(top, "edge, left return").part == part(top, "edge, right return").part


@pytest.mark.parametrize(
    ("at", "z", "out"), [("face", (0.0, 17.8), 29.0), ("under", (17.8 - 40 - 17.8, 17.8 - 40), 20.0)]
)
def test_a_moulding_lies_on_the_face_of_the_edge_or_under_it(
    stocks: Stocks, at: str, z: tuple[float, float], out: float
) -> None:
    run = TopRun((0, 2000), ((40, 1960),), (), 40, (), -600)
    edge = {"board": "pine 20x40", "moulding": "half round 18", "moulding_at": at, "ends": ("left",)}
    top = make_top(stocks, run, front=29 if at == "face" else 25, edge=edge)
    moulding = box(top, "moulding")
    assert moulding.span("z") == pytest.approx(z)
    assert moulding.lo[1] == box(top, "top").lo[1] - out
    assert box(top, "moulding, left return").lo[0] == 0
    assert box(top, "top").lo[0] == out


def test_a_long_edge_is_pieced_away_from_the_seams(stocks: Stocks) -> None:
    """3200 mm from boards of 3000: two equal pieces unless that meets a seam of the sheets."""
    top = make_top(stocks, edge={"board": "pine 20x40"})
    seam = box(top, "top piece 1").hi[0]
    joints = sorted(p.bounds().hi[0] for p in top.parts if p.role == "edge")[:-1]
    assert all(abs(j - seam) >= 100 for j in joints)
    assert max(p.part.length for p in top.parts if p.role == "edge") <= 3000


@pytest.mark.parametrize(
    ("edge", "front", "key", "message"),
    [
        ({}, 25.0, "edge", "a board, a moulding or both"),
        ({"board": "pine 20x41"}, 25.0, "edge", "did you mean 'pine 20x"),
        ({"board": "pine 20x40", "height": 41.0}, 25.0, "edge", "wider than the 40 mm board"),
        ({"board": "pine 20x40"}, 19.0, "front", "needs at least as much overhang"),
        ({"board": "pine 20x40", "ends": ("left",)}, 25.0, "left", "needs at least as much overhang"),
    ],
)
def test_an_edge_that_cannot_be_says_why(
    stocks: Stocks, edge: dict[str, Any], front: float, key: str, message: str
) -> None:
    with pytest.raises(Unbuildable, match=message) as caught:
        make_top(stocks, front=front, edge=edge)
    assert key in caught.value.loc


def test_a_low_edge_needs_no_overhang(stocks: Stocks) -> None:
    top = make_top(stocks, front=0, edge={"board": "pine 20x40", "height": 17.8})
    assert box(top, "edge piece 1").span("z") == pytest.approx((0, 17.8))


def test_an_edge_clears_what_moves_under_it(stocks: Stocks) -> None:
    """40 mm of board hang 22.2 mm under an 17.8 mm top: fronts may begin 23.2 mm below it, not 23."""
    make_top(stocks, below=Below((), 23.2), edge={"board": "pine 20x40"})
    with pytest.raises(Unbuildable, match="what moves under it begins 23 mm below"):
        make_top(stocks, below=Below((), 23.0), edge={"board": "pine 20x40"})


def test_a_backsplash_stops_at_the_uppers(stocks: Stocks) -> None:
    run = TopRun((0, 2000), ((0, 2000),), ((0, 600), (1400, 2000)), 40, (), -600, (-300, -320))
    top = make_top(stocks, run, backsplash={"height": 90.0, "ends": ("right",)})
    strip = box(top, "backsplash 1")
    assert strip.span("x") == (600, 1400)
    assert strip.span("y") == pytest.approx((-17.8, 0))
    assert strip.span("z") == pytest.approx((17.8, 107.8))
    end = box(top, "backsplash, right end")
    assert end.span("x") == pytest.approx((2000 - 17.8, 2000))
    assert end.span("y") == (-625, -320)


def test_a_scribe_is_left_on_the_blank_and_not_on_the_part(stocks: Stocks) -> None:
    """3200 mm with 15 at both ends: the top keeps its size, its end pieces are sawn 15 mm longer, and say so."""
    top = make_top(stocks, scribe={"left": 15.0, "right": 15.0}, edge={"board": "pine 20x40"})
    first, last = part(top, "top piece 1"), part(top, "top piece 2")
    assert first.bounds().lo[0] == 0
    assert last.bounds().hi[0] == 3200
    for placed in (first, last, part(top, "edge piece 1")):
        assert describe_cuts(placed.part) in (
            "1 scribe of 15 left in end x0, to trim to the wall",
            "1 scribe of 15 left in end x1, to trim to the wall",
        )


def test_a_scribe_counts_against_the_sheet(stocks: Stocks) -> None:
    """The longest sheet gives 2980: a top of 2970 is one piece, with 15 mm to scribe it needs a seam."""
    run = TopRun((0, 2970), ((0, 2970),), (), 40, (), -600)
    assert len(make_top(stocks, run).parts) == 1
    assert len(make_top(stocks, run, scribe={"left": 15.0}).parts) == 2


def test_a_panel_drawing_has_the_scribe_outside_the_finished_edge(stocks: Stocks) -> None:
    run = TopRun((0, 2000), ((0, 2000),), (), 40, (), -600)
    drawn = figures(part(make_top(stocks, run, scribe={"right": 15.0}), "top").part, "T1-01")
    outline = next(f for f in drawn if f.layer.words.startswith("outline"))
    strip = next(f for f in drawn if f.layer == TRIM)
    assert sorted({x for x, _, _ in outline.vertices}) == [0, 2015]  # the wood lies at the origin
    assert sorted({x for x, _, _ in strip.vertices}) in ([0, 15], [2000, 2015])


# Through a project


MAKES: list[dict[str, Any]] = [
    {},
    {"layers": 2},
    {"build_up": 80, "edge": {"board": "pine 20x40"}},
    {
        "layers": 2,
        "edge": {"board": "pine 20x60", "height": 50, "moulding": "half round 36"},
        "backsplash": {"height": 100},
        "scribe": {"left": 10, "right": 10},
        "grommets": [{"item": "grommet 60", "x": 1600}],
    },
]


@pytest.mark.parametrize("make", MAKES)
def test_the_finished_face_is_at_the_height_whatever_is_under_it(tmp_path: Path, make: dict[str, Any]) -> None:
    """The carcasses give way: their upper edge is the height less all layers, and every side bears the top."""
    built = project(tmp_path, make)
    assert [f.message for f in interference_of(built.plan)] == []
    thick = 17.8 * (2 if make.get("layers") == 2 or "build_up" in make else 1)
    units = {u.name: u for u in built.plan.units}
    tops = [p for p in units["bench"].parts if p.role == "top"]
    assert {p.bounds().hi[2] for p in tops} == {900}
    for name in ("drawers", "doors"):
        for side in ("left side", "right side"):
            path = f"{name}/{side}"
            assert built.plan.by_path[path].bounds().hi[2] == pytest.approx(900 - thick)
            assert any(path in (j.a, j.b) and "bench/" in j.a + j.b for j in built.plan.joints_between)


def test_every_seam_of_every_layer_lands_on_a_full_sub_top(tmp_path: Path) -> None:
    """Seams 700 mm apart do not both fit over one base 800 mm wide: each of the two gets its sub-top."""
    built = project(tmp_path, {"layers": 2, "stagger": 700})
    units = {u.name: u for u in built.plan.units}
    seams = {
        round(p.bounds().hi[0], 3)
        for p in units["bench"].parts
        if p.role in ("top", "second layer") and p.bounds().hi[0] < 3299
    }
    assert len(seams) == 2
    for x in seams:
        under = [
            p.path for u in units.values() for p in u.parts
            if p.name == "sub-top" and p.bounds().lo[0] < x < p.bounds().hi[0]
        ]  # fmt: skip
        assert under, x


def test_an_edge_that_a_drawer_would_run_into_is_refused(tmp_path: Path) -> None:
    """A 40 mm rail lapped 12 mm leaves 28 mm under the top: 60 mm of board on 17.8 mm of sheet hang 42.2 mm."""
    with pytest.raises(
        ConfigError, match=r"project.yaml:\d+:\d+: bench: the edge hangs 42.2 mm below the top, and what"
    ):
        project(tmp_path, {"edge": {"board": "pine 20x60"}})
