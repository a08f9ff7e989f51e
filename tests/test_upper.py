"""Uppers: hung on a cleat or standing on a top, with any back, and how their screws reach."""

import math
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import CONFIGS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import base, write_project
from soundness import assert_sound, built_or_refused
from uppers import HANG, OPTIONS, T, Upper, part, span

from model.build import build
from model.cabinet.hanging import Cleat, cleat_run, screw_reach, wall_places
from model.checks.interference import interference
from model.cuts import Bevel, Bore, Groove, Rabbet
from model.errors import ConfigError
from model.materials import Materials
from model.meshes import placed_mesh, volume
from model.plan import BuiltUnit
from model.site import Site, Unbuildable
from model.stock.tables import Screw, Stock
from model.units import kinds

Stocks = dict[str, tuple[Stock, Materials]]


def bores(unit: BuiltUnit, path: str, purpose: str) -> list[tuple[float, float, float]]:
    """Where a part is bored, in the unit: its middle on the face, mm."""
    placed = part(unit, path)
    cuts = [c for c in placed.part.cuts if isinstance(c, Bore) and c.purpose == purpose]
    return sorted(placed.placement.apply((c.u, c.v, 0.0)) for c in cuts)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    said=OPTIONS,
    hang=HANG,
    hung=st.booleans(),
    width=st.floats(250, 1300).map(lambda x: round(x, 1)),
    height=st.floats(350, 1200).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
    studs=st.lists(st.floats(-100, 1400).map(lambda x: round(x, 1)), max_size=4),
)
def test_any_upper_is_sound_or_says_why_not(
    upper: Upper,
    said: dict[str, Any],
    hang: dict[str, Any],
    hung: bool,
    width: float,
    height: float,
    lengths: str,
    studs: list[float],
) -> None:
    """No two parts share a volume, every joint meets, nothing hangs loose, nothing leaves the space it was given."""
    options = {**said, "hang": hang} if hung else said
    unit = built_or_refused(lambda: upper(width, height, lengths, hung, {"stud_x": tuple(studs)}, **options))
    if unit is None:
        return
    assert_sound(unit, width, height, said["depth"])
    assert all(volume(p.part) > 0 for p in unit.parts)


def test_the_halves_of_a_cleat_by_hand(upper: Upper) -> None:
    """Depth 300, back 6.1 in a rabbet: the back ends at 300 - 17.8, the cleat fills the rest. At 45 degrees the bevel
    runs the thickness, 17.8: the upper half begins 17.8 under the upper edge of the half on the wall."""
    unit = upper(800, 700, depth=300, hang={"cleat": {"height": 80}})
    assert span(unit, "back", "y") == pytest.approx((300 - T - 6.1, 300 - T))
    mate, half = part(unit, "cleat, upper half").bounds(), part(unit, "cleat, wall half").bounds()
    assert mate.span("y") == half.span("y") == pytest.approx((300 - T, 300))
    assert mate.span("z") == pytest.approx((700 - T - 80, 700 - T))
    assert half.span("z") == pytest.approx((700 - T - 160 + T, 700 - T - 80 + T))
    assert mate.span("x") == pytest.approx((T - 8, 800 - T + 8))  # into the rabbets of the sides
    assert half.span("x") == pytest.approx((T - 8 + 3, 800 - T + 8 - 3))  # 3 mm of play
    assert span(unit, "top", "y")[1] == pytest.approx(300)


@pytest.mark.parametrize("angle", [30, 45])
def test_the_halves_touch_along_the_bevel_and_share_nothing(upper: Upper, angle: float) -> None:
    unit = upper(800, 700, hang={"cleat": {"angle": angle}})
    mate, half = (placed_mesh(part(unit, f"cleat, {which} half")) for which in ("upper", "wall"))
    assert (mate ^ half).volume() < 1.0
    assert mate.min_gap(half, 1.0) < 0.01
    lifted = mate.translate((0, 0, 1.0))
    # square to the bevel, a lift of 1 mm opens it by the sine of the angle between bevel and plumb
    assert lifted.min_gap(half, 5.0) == pytest.approx(math.sin(math.radians(90 - angle)), abs=0.01)
    out = mate.translate((0, -1.0, 0))  # it cannot be drawn off the wall
    assert (out ^ half).volume() > 100


def test_a_beveled_half_weighs_its_closed_form(upper: Upper) -> None:
    unit = upper(800, 700, hang={"cleat": {"height": 80}})
    mate = part(unit, "cleat, upper half").part
    assert volume(mate) == pytest.approx((80 - T / 2) * T * (800 - 2 * T + 16), rel=1e-6)
    assert [type(c) for c in mate.cuts] == [Bevel]


@pytest.mark.parametrize(("angle", "run"), [(30, 10.277), (45, 17.8), (60, 30.831)])
def test_a_bevel_runs_the_tangent_of_its_angle(angle: float, run: float) -> None:
    """17.8 mm times tan 30, 45 and 60 degrees, by hand."""
    found = cleat_run(Cleat(angle=angle), T)
    assert found == pytest.approx(run, abs=0.001)
    size = (500.0, 80.0, T)
    assert Bevel(edge="y0", face="A", run=found).degrees(size) == pytest.approx(angle, abs=0.01)


def test_a_hung_upper_is_flush_with_the_wall_top_and_bottom(upper: Upper) -> None:
    unit = upper(800, 700, depth=300, hang={"spacer": 60})
    assert span(unit, "spacer", "y")[1] == pytest.approx(300)
    assert span(unit, "left side", "y")[1] == pytest.approx(300)
    # the bottom lies behind a facing of 40: its underside is at 22.2
    assert span(unit, "spacer", "z") == pytest.approx((40 - T, 40 - T + 60))
    assert unit.bears == ()


def test_with_an_applied_back_the_sides_end_at_it_and_the_cleat_is_as_wide_as_the_upper(upper: Upper) -> None:
    unit = upper(800, 700, depth=300, back={"fixing": "applied"})
    assert span(unit, "left side", "y")[1] == pytest.approx(300 - T - 6.1)
    assert span(unit, "cleat, upper half", "x") == pytest.approx((0, 800))
    assert span(unit, "cleat, upper half", "z")[1] == pytest.approx(700)


def test_a_hung_upper_without_a_facing_has_its_bottom_at_its_lower_end(upper: Upper) -> None:
    unit = upper(800, 700, frame=None)
    assert span(unit, "bottom", "z") == pytest.approx((0, T))
    assert "front bottom rail" not in {p.path for p in unit.parts}
    railed = upper(800, 700, frame=None, bottom_rail=50.0)
    assert span(railed, "bottom", "z") == pytest.approx((50 - T, 50))
    assert span(railed, "front bottom rail", "z") == pytest.approx((0, 50))


def test_the_wall_half_is_bored_at_the_studs_behind_it(upper: Upper) -> None:
    unit = upper(1000, 700, site={"stud_x": (-50.0, 350.0, 756.4, 995.0)})
    assert [x for x, _, _ in bores(unit, "cleat, wall half", "wall screw")] == pytest.approx([350.0, 756.4])


def test_without_known_studs_it_is_bored_evenly_at_most_406_apart(upper: Upper) -> None:
    unit = upper(1000, 700)
    at = [x for x, _, _ in bores(unit, "cleat, wall half", "wall screw")]
    # from 12.8 to 987.2, 50 in from both ends: 874.4 in three gaps
    assert at == pytest.approx([62.8, 354.267, 645.733, 937.2], abs=0.01)


def test_two_screws_a_stud_lie_in_the_height_of_the_narrow_face(upper: Upper) -> None:
    unit = upper(1000, 700, site={"stud_x": (500.0,)}, hang={"cleat": {"height": 80, "screws": 2}})
    low = span(unit, "cleat, wall half", "z")[0]
    heights = [z - low for _, _, z in bores(unit, "cleat, wall half", "wall screw")]
    assert heights == pytest.approx([(80 - T) / 3, (80 - T) * 2 / 3], abs=0.01)


def test_masonry_takes_screws_wherever_studs_are(upper: Upper) -> None:
    studs = (500.0,)
    assert wall_places((0, 500), Cleat(into="masonry"), studs) == pytest.approx([50, 450])


@pytest.mark.parametrize(
    ("said", "site", "match"),
    [
        ({}, {"stud_x": (10.0, 2000.0)}, "no stud lies behind the cleat"),
        ({"hang": {"cleat": {"height": 40}}}, {}, "keeps 22.2 mm on its narrow face"),
        ({"hang": {"cleat": {"height": 301}}}, {}, "need more height"),
        ({}, {"ceiling": 710.0}, "lifted 17.8 mm to hook it on its cleat and has 10 mm over it"),
        ({"shelves": {"fixed": [500.0, 300.0]}}, {}, "heights rise from the bottom"),
        ({"shelves": {"fixed": 9}}, {}, "each needs 50 mm"),
        ({"shelves": {"play": 9.0}}, {}, "misses its pins"),
        ({"shelves": {"set_back": 60.0}}, {}, "does not rest on them"),
        ({"frame": None, "bottom_rail": 10.0}, {}, "lower than the bottom is thick"),
    ],
)
def test_what_cannot_be_built_says_why(upper: Upper, said: dict[str, Any], site: dict[str, Any], match: str) -> None:
    with pytest.raises(Unbuildable, match=match):
        upper(800, 700, site=site, **said)


def test_a_screw_too_short_for_the_stud_is_refused(stocks: Stocks) -> None:
    stock, materials = stocks["mm"]
    kind = kinds()["upper"]
    short = materials.model_copy(update={"wall_screw": "screw 4x40"})
    with pytest.raises(Unbuildable, match=r"reaches 22\.2 mm behind the cleat"):
        kind.build(kind.options(), replace(Site("u", "U1", 800, 700, stock, short), hung=True))


def test_an_upper_on_a_top_does_not_hang(upper: Upper) -> None:
    with pytest.raises(Unbuildable, match="leave out hang"):
        upper(800, 700, hung=False, hang={})


SCREW = Screw(diameter=5, length=64, clearance_diameter=5.5, pilot_diameter=3.2)


@pytest.mark.parametrize(
    ("rail", "below", "want"), [(40, 17.8, (24, 17.8, 6.2)), (40, 30, (24, 24, -6)), (70, 18, (-6, 0, -24))]
)
def test_how_far_a_screw_reaches(rail: float, below: float, want: tuple[float, float, float]) -> None:
    """64 mm through 40: 24 below the rail, which is 6.2 past 17.8 of top; through 70 it stays 6 inside."""
    found = screw_reach(rail, SCREW, below)
    assert (found.below, found.bites, found.past) == pytest.approx(want)


def test_a_rail_higher_than_its_screw_is_long_is_refused(upper: Upper) -> None:
    with pytest.raises(Unbuildable, match="never leaves a bottom rail"):
        upper(800, 700, hung=False, frame=None, bottom_rail=70.0)


@pytest.mark.parametrize("hung", [True, False])
def test_a_back_in_a_groove(upper: Upper, hung: bool) -> None:
    """6.1 mm of back, 8 mm into each side, 10 mm from the rear edges, or a cleat's thickness where it hangs."""
    unit = upper(800, 700, hung=hung, depth=300, back={"fixing": "groove"})
    back = part(unit, "back").bounds()
    rear = 300 - (T if hung else 10)
    assert back.span("y") == pytest.approx((rear - 6.1, rear))
    assert back.span("x") == pytest.approx((T - 8, 800 - T + 8))
    cut = [c for c in part(unit, "left side").part.cuts if isinstance(c, Groove) and c.depth == 8.0]
    assert [round(c.v1 - c.v0, 3) for c in cut] == [6.1]


def test_a_rabbet_of_a_hung_upper_runs_out_to_the_wall(upper: Upper) -> None:
    unit = upper(800, 700, depth=300)
    cut = [c for c in part(unit, "left side").part.cuts if isinstance(c, Rabbet) and c.depth == 8.0]
    assert [round(c.v1 - c.v0, 3) for c in cut] == [round(6.1 + T, 3)]


def test_an_upper_in_a_room_between_two_studs_is_refused(tmp_path: Path) -> None:
    shutil.copy(CONFIGS / "units" / "wall-upper.yaml", tmp_path)
    path = write_project(
        tmp_path,
        {"box": base(height=850)},
        room={"height": 2500, "walls": {"north": {"width": 2400, "studs": {"positions": [100, 1200]}}}},
        uppers=[{"name": "up", "unit": "wall-upper.yaml", "wall": "north", "x": 300, "width": 600, "bottom": 1450}],
    )
    with pytest.raises(ConfigError, match="no stud lies behind the cleat"):
        build(path)


def test_an_upper_in_a_room_hangs_on_its_studs(tmp_path: Path) -> None:
    """The example unit over a base: bored at the studs behind it, its rear at the wall, and nothing collides."""
    shutil.copy(CONFIGS / "units" / "wall-upper.yaml", tmp_path)
    path = write_project(
        tmp_path,
        {"box": base(height=850)},
        room={"height": 2500, "walls": {"north": {"width": 2400, "studs": {"spacing": 400, "first": 100}}}},
        uppers=[{"name": "up", "unit": "wall-upper.yaml", "wall": "north", "x": 300, "width": 900, "bottom": 1450}],
    )
    plan = build(path).plan
    assert [f.message for f in interference(plan)] == []
    half = plan.by_path["up/cleat, wall half"]
    assert half.bounds().hi[1] == pytest.approx(0)
    at = sorted(half.placement.apply((c.u, c.v, 0))[0] for c in half.part.cuts if isinstance(c, Bore))
    assert at == pytest.approx([500, 900])
    assert plan.by_path["up/left side"].bounds().span("z") == pytest.approx((1450, 2250))
    assert not any(j.a.startswith("up/") != j.b.startswith("up/") for j in plan.joints)
