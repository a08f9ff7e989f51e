"""Fastening: every screw followed through the bores it really meets, in demos and in units of any options."""

import itertools
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from conftest import CONFIGS, MakeUnit
from driven import faults, on_axis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import base, write_project
from rooms import room_project, unit
from soundness import assert_sound, built_or_refused
from test_base import BAND, BASES
from test_units import ANY_UNIT

from model.bill import fasteners
from model.build import Build, build, with_units
from model.checks import run
from model.checks.screws import meeting_bores, reach
from model.cuts import Bore, PocketBore
from model.errors import ConfigError
from model.fastening.fasten import NotFastened, fasten
from model.fastening.fixing import Fixing
from model.fastening.hardware import slide_holes
from model.materials import Materials
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.stock.tables import Stock

Stocks = dict[str, tuple[Stock, Materials]]


def fastened(unit: BuiltUnit, stock: Stock, materials: Materials) -> Plan:
    """A plan of one unit at the origin, fastened."""
    held = fasten((unit.placed(Placement()),), (), stock, lambda _: materials)
    return Plan("test", held.units, "mm", (), held.between)


@pytest.mark.parametrize("demo", ["herbarium", "trains", "guest_study"])
def test_every_screw_of_a_demo_passes_its_bores_and_stays_inside(demo: str, request: pytest.FixtureRequest) -> None:
    built: Build = request.getfixturevalue(demo)
    assert faults(built.plan, built.stock) == []
    assert not any(meeting_bores(part) for part in built.plan.marks)
    assert {f.code for f in run(built)}.isdisjoint({"screw-through", "screw-short", "bores-meet"})


MANY = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@MANY
@given(
    asked=ANY_UNIT,
    width=st.floats(300, 1300).map(lambda x: round(x, 1)),
    height=st.floats(450, 1100).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)
def test_any_unit_is_fastened_so(
    make_unit: MakeUnit, stocks: Stocks, asked: tuple[str, dict[str, Any]], width: float, height: float, lengths: str
) -> None:
    """Each screw runs along its clearance bore and its pilot, bites, and ends at least 3 mm inside; counts add up."""
    kind, options = asked
    unit = built_or_refused(lambda: make_unit(kind, width, height, lengths, **options))
    if unit is None or unit.kind == "upper":  # the rails of an upper are screwed to the top it stands on
        return
    stock, materials = stocks[lengths]
    plan = fastened(unit, stock, materials)
    assert faults(plan, stock) == []
    assert not any(meeting_bores(part) for part in plan.marks)
    assert_sound(replace(plan.units[0], name="again"), width)


@settings(MANY, max_examples=50)
@given(
    options=BASES,
    width=st.floats(400, 1400).map(lambda x: round(x, 1)),
    height=st.floats(600, 1000).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)
def test_any_base_is_fastened_so(
    make_unit: MakeUnit, stocks: Stocks, options: dict[str, Any], width: float, height: float, lengths: str
) -> None:
    """The same of bases with columns, trays, feet and bands, in all joineries."""
    if options.get("edge_band"):
        options["edge_band"] = BAND[lengths]
    unit = built_or_refused(lambda: make_unit("base", width, height, lengths, **options))
    if unit is None:
        return
    stock, materials = stocks[lengths]
    plan = fastened(unit, stock, materials)
    assert faults(plan, stock) == []
    new = {p.part for p in plan.walk()} - {p.part for p in unit.parts}
    early = {p.path: {(a.purpose, b.purpose) for a, b in meeting_bores(p.part)} for p in unit.parts}
    for placed in plan.walk():
        if placed.part in new:
            meet = {(a.purpose, b.purpose) for a, b in meeting_bores(placed.part)}
            assert meet <= early[placed.path.removeprefix("unit/")] | {(b, a) for a, b in early[placed.path[5:]]}


@pytest.mark.parametrize("joinery", ["butt", "housed", "cleated", "pocket", "dowelled"])
@pytest.mark.parametrize("lengths", ["mm", "in"])
def test_every_joinery_in_columns_is_held(make_unit: MakeUnit, stocks: Stocks, joinery: str, lengths: str) -> None:
    """Drawers beside shelves, fixed shelves between partitions: nothing is left butted without a fastener."""
    columns = [{"drawers": {"rows": 2}}, {"shelves": {"count": 1, "fixed": 1}}, {"doors": {}, "shelves": {"fixed": 1}}]
    unit = make_unit("base", 1600, 850, lengths, joinery=joinery, columns=columns, frame=None)
    stock, materials = stocks[lengths]
    plan = fastened(unit, stock, materials)
    assert faults(plan, stock) == []
    held = {path for f in plan.fixings for path in f.parts}
    loose = [p.path for p in plan.walk() if p.role == "fixed shelf" and p.path not in held]
    assert loose == [] or joinery == "housed"


def test_equal_drawers_stay_equal_and_left_and_right_are_told_apart(herbarium: Build) -> None:
    """Six equal drawers: one mark for each kind of piece, but for the sides, which are a left and a right."""
    marks = herbarium.plan.marks
    pieces = [p for p in herbarium.plan.walk() if p.path.startswith("press base/drawer")]
    by_name: dict[str, set[str]] = {}
    for p in pieces:
        by_name.setdefault(p.name, set()).add(marks[p.part])
    assert {name: len(found) for name, found in by_name.items() if "build-out" not in name} == {
        name: 1 for name in by_name if "build-out" not in name
    }
    assert by_name["left side"] != by_name["right side"]


def test_a_slide_is_bored_on_its_own_line_on_both_sides(herbarium: Build) -> None:
    """The first hole 37 mm behind the front plane, the others whole steps of 32 mm behind it, for both members."""
    plan = herbarium.plan
    slide = herbarium.stock.slides["ball-bearing 45"]
    places = slide_holes(slide, 500.0)
    assert places[0] + slide.setback == 37.0
    assert all((x - places[0]) % 32 == 0 for x in places)
    assert places[-1] <= 500 - 25
    front = plan.by_path["press base/drawer 1/left side"].bounds().lo[1]
    for through in (
        "press base/drawer 1 slide, left, cabinet member",
        "press base/drawer 1/slide, left, drawer member",
    ):
        (fixing,) = (f for f in plan.fixings if f.through == through)
        back = sorted(round(s.at[1] - front, 3) for s in fixing.spots)
        assert back[0] == 37.0
        assert all((y - 37.0) % 32 == 0 for y in back)
        heights = {round(s.at[2], 3) for s in fixing.spots}
        assert heights == {round(plan.by_path[through].bounds().center[2], 3)}


def test_holes_of_a_slide_are_those_its_maker_gives(stocks: Stocks) -> None:
    slide = stocks["mm"][0].slides["ball-bearing 45"].model_copy(update={"holes": (30.0, 158.0, 480.0)})
    assert slide_holes(slide, 450.0) == [30.0, 158.0]


def test_a_hinge_has_its_plate_and_its_cup(make_unit: MakeUnit, stocks: Stocks) -> None:
    """Plate holes 37 mm behind the front edge of the side, 32 mm apart; cup screws beside the cup, off its middle."""
    unit = make_unit("base", 600, 800, frame=None, doors={"leaves": 1})
    plan = fastened(unit, *stocks["mm"])
    side = plan.by_path["unit/left side"]
    arms = [f for f in plan.fixings if f.into == (side.path,) and "arm" in f.through]
    assert len(arms) == 2
    for arm in arms:
        assert {round(s.at[1] - side.bounds().lo[1], 3) for s in arm.spots} == {37.0}
        low, high = sorted(s.at[2] for s in arm.spots)
        assert high - low == pytest.approx(32.0)
    door = plan.by_path["unit/door/door"].bounds()
    for cup in (f for f in plan.fixings if "cup" in f.through):
        assert {round(s.at[0] - door.lo[0], 3) for s in cup.spots} == {22.5 + 9.5}
        low, high = sorted(s.at[2] for s in cup.spots)
        assert high - low == pytest.approx(45.0)


def test_fronts_are_screwed_from_inside_and_pulls_go_through_both(herbarium: Build) -> None:
    plan = herbarium.plan
    front = plan.by_path["press base/drawer 1/front"]
    assert not [c for c in front.part.cuts if isinstance(c, Bore) and c.purpose == "screw"]
    (held,) = (f for f in plan.fixings if f.into == (front.path,) and f.kind == "screw")
    assert held.through.endswith("/sub-front")
    (bolt,) = (f for f in plan.fixings if f.kind == "bolt" and f.through == held.through)
    assert bolt.into == (front.path, "press base/drawer 1/pull")
    assert bolt.count == 2


def test_a_grommet_leads_through_what_lies_under_the_top(herbarium: Build) -> None:
    """Its bore in the top goes on through the sub-top or stretcher right under it."""
    plan = herbarium.plan
    wide = herbarium.stock.grommets["grommet 60"].bore_diameter
    spots = [
        (p.placement.apply(c.bar(p.part.size).base), p)
        for p in plan.walk()
        for c in p.part.cuts
        if isinstance(c, Bore) and c.diameter == wide
    ]
    (top,) = (at for at, p in spots if p.role == "top")
    under = [
        p
        for p in plan.walk()
        if p.role in ("sub-top", "stretcher")
        and all(a <= c <= b for a, c, b in zip(p.bounds().lo[:2], top[:2], p.bounds().hi[:2], strict=True))
    ]
    assert len([p for _, p in spots if p.role != "top"]) == len(under)
    assert under


def test_a_grommet_over_the_edge_of_a_stretcher_is_told(tmp_path: Any) -> None:
    """The front stretcher ends 100 mm behind the frame, 575 - 120 = 455 mm from the wall's end of the top."""

    def found(from_wall: float) -> list[str]:
        make = {"grommets": [{"item": "grommet 60", "x": 300, "from_wall": from_wall}]}
        top = {"name": "top", "wall": "north", "over": ["one"], "height": 850, "make": make}
        path = write_project(tmp_path, {"one": base(back=None)}, tops=[top])
        return [part for f in run(build(path)) if f.code == "cable-blocked" for part in f.parts]

    assert found(480) == ["top/top", "one/front stretcher"]
    assert found(530) == []
    assert found(300) == []


def test_walls_at_any_angle_are_fastened_alike(tmp_path: Any) -> None:
    """A second wall turned by 50 degrees: its top, its upper and its units are held as those of the first."""
    row = [unit("{} drawers", "drawers"), unit("{} doors", "doors")]
    walls = {w: [{**u, "name": u["name"].format(w)} for u in row] for w in ("a", "b")}
    tops = [{"name": f"{w} top", "wall": w, "over": [f"{w} drawers", f"{w} doors"], "height": 900} for w in walls]
    uppers = [{"name": f"{w} upper", "unit": "upper.yaml", "on": f"{w} top", "above": f"{w} doors"} for w in walls]
    room = {"walls": {"a": {"width": 3000}, "b": {"width": 3000, "turn": 50}}}
    margins = {"a": {"right": 1800}, "b": {"left": 1800}}
    path = room_project(tmp_path / "room", room, walls, tops=tops, uppers=uppers, margins=margins)
    path.write_text(path.read_text(encoding="utf-8").replace("screw 5x64", "screw 4x50"), encoding="utf-8")
    built = build(path)
    assert faults(built.plan, built.stock) == []
    counts = [Counter(), Counter()]
    for fixing in built.plan.fixings:
        counts[fixing.through.startswith("b ")][fixing.kind, fixing.item] += fixing.count
    assert counts[0] == counts[1]


def test_a_rail_screw_that_is_too_long_comes_out_below_and_is_found(herbarium: Build) -> None:
    """64 mm through a 40 mm rail into 17.8 mm: it comes out 6.2 mm where nothing lies under the top (common practice:
    say what is under it)."""
    long = [
        replace(f, length=64.0, item="screw 5x64") if f.kind == "rail screw" else f
        for f in herbarium.plan.fixings_between
    ]
    worse = replace(herbarium, plan=replace(herbarium.plan, fixings_between=tuple(long)))
    found = [f for f in run(worse) if f.code == "screw-through"]
    assert found
    assert {f.value for f in found} == {6.2}
    assert all(f.severity == "fault" and "nothing lies behind bench top" in f.message for f in found)


def test_a_longer_rail_screw_goes_on_into_the_sub_top_under_the_top(tmp_path: Any) -> None:
    shelves = {"kind": "upper", "depth": 300}
    path = write_project(
        tmp_path,
        {"one": base(back=None)},
        tops=[{"name": "top", "wall": "north", "over": ["one"], "height": 850}],
        uppers=[{"name": "up", "unit": "up.yaml", "on": "top", "above": "one", "height": 800}],
    )
    (tmp_path / "up.yaml").write_text(str(shelves).replace("'", ""), encoding="utf-8")
    plan = build(path).plan
    rails = [f for f in plan.fixings if f.kind == "rail screw"]
    assert ("top/top", "one/sub-top") in {f.into for f in rails}
    for fixing in rails:
        for i in range(fixing.count):
            assert reach(fixing, i, plan.by_path[fixing.into[-1]])[1] <= -3.0


def test_no_screw_that_fits_is_said_with_the_length_that_would(make_unit: MakeUnit, stocks: Stocks) -> None:
    stock, materials = stocks["mm"]
    few = {name: s for name, s in stock.screws.items() if s.use != "wood" or s.length > 33}
    bare = stock.model_copy(update={"screws": few})
    unit = make_unit("base", 600, 800, joinery="cleated")
    with pytest.raises(NotFastened) as told:
        fastened(unit, bare, materials.model_copy(update={"carcass_screw": None}))
    assert "no screw in stock fits" in str(told.value)
    assert "one 23.8 mm to 32.6 mm long" in str(told.value.problem)


def test_it_is_an_error_in_the_projects_files(tmp_path: Any) -> None:
    stock = (CONFIGS / "stock" / "birch-metric.yaml").read_text(encoding="utf-8")
    kept = [line for line in stock.splitlines() if not line.startswith(("  screw 3x", "  screw 4x2", "  screw 4x3"))]
    (tmp_path / "stock.yaml").write_text("\n".join(kept), encoding="utf-8")
    path = write_project(tmp_path, {"one": base(joinery="cleated", height=850)}, stock=tmp_path / "stock.yaml")
    with pytest.raises(ConfigError, match=r"no screw in stock fits through one/.* it takes one"):
        build(path)


def test_a_stock_without_screws_for_joints_leaves_them_to_the_maker(tmp_path: Any) -> None:
    stock = (CONFIGS / "stock" / "birch-metric.yaml").read_text(encoding="utf-8")
    named = ("screw 4x60", "screw 5x64", "screw 6x100", "pocket screw")
    lines = [x for x in stock.splitlines() if not x.startswith(("  screw", "  nail")) or x.startswith(named, 2)]
    text = "\n".join(lines).replace("nails:\n", "").replace("  screw 4x60: {", "  screw 4x60: {use: wall, ")
    (tmp_path / "stock.yaml").write_text(text, encoding="utf-8")
    built = build(write_project(tmp_path, {"one": base(height=850)}, stock=tmp_path / "stock.yaml"))
    items = {f.item for f in built.plan.fixings}
    named = {"screw 4x60", "pocket screw 4x32", "screw 6x100"}  # for carcasses, pockets and walls
    assert items <= named
    assert [f.severity for f in run(built) if f.code == "no-screws"] == ["note"]


def test_a_cleat_at_one_stud_is_told(trains: Build) -> None:
    found = [f for f in run(trains) if f.code == "one-stud"]
    assert found
    for finding in found:
        placed = trains.plan.by_path[finding.parts[0]]
        back = placed.placement.inverse()
        (fixing,) = (f for f in trains.plan.fixings if f.through == placed.path and f.kind == "wall screw")
        assert len({round(back.apply(s.at)[0], 3) for s in fixing.spots}) == 1


def test_bores_that_meet_are_found(herbarium: Build) -> None:
    units = list(herbarium.plan.units)
    parts = list(units[0].parts)
    i = next(i for i, p in enumerate(parts) if p.role == "side")
    crossing = (
        Bore(face="y0", u=200, v=8, diameter=4, depth=60, purpose="pilot"),
        Bore(face="A", u=201, v=50, diameter=5, depth=12, purpose="pin"),
    )
    part = parts[i].part
    clean = tuple(c for c in part.cuts if not isinstance(c, Bore | PocketBore))
    parts[i] = replace(parts[i], part=replace(part, cuts=(*clean, *crossing)))
    units[0] = replace(units[0], parts=tuple(parts))
    found = [f for f in run(with_units(herbarium, tuple(units))) if f.code == "bores-meet"]
    assert [f.parts for f in found] == [(parts[i].path,)]
    apart = replace(crossing[1], u=206)
    assert meeting_bores(replace(part, cuts=(crossing[0], apart))) == []


def test_fasteners_are_counted_from_the_joints(herbarium: Build) -> None:
    plan = herbarium.plan
    rows = {row.item: row for row in fasteners(plan)}
    want: Counter[str] = Counter()
    for fixing in plan.fixings:
        want[fixing.item] += len(fixing.spots)
    assert {item: row.count for item, row in rows.items()} == dict(want)
    assert all(sum(n for _, n in row.uses) == row.count for row in rows.values())
    pulls = sum(1 for p in plan.walk() if p.role == "pull")
    assert sum(row.count for row in rows.values() if row.item.startswith("machine screw")) == 2 * pulls


def test_a_thin_back_is_nailed_at_its_edges_and_not_bored(make_unit: MakeUnit, stocks: Stocks) -> None:
    plan = fastened(make_unit("base", 600, 800), *stocks["mm"])
    nails = [f for f in plan.fixings if f.through == "unit/back"]
    assert {f.kind for f in nails} == {"nail"}
    assert plan.by_path["unit/back"].part.cuts == ()
    for fixing in nails:
        places = sorted(s.at for s in fixing.spots)
        gaps = [max(abs(a - b) for a, b in zip(p, q, strict=True)) for p, q in itertools.pairwise(places)]
        assert max(gaps) <= 150.0


def test_frames_are_held_by_pockets_at_the_back(make_unit: MakeUnit, stocks: Stocks) -> None:
    plan = fastened(make_unit("base", 600, 800, drawers={"rows": 2}), *stocks["mm"])
    rail = plan.by_path["unit/top rail"]
    pockets = [c for c in rail.part.cuts if isinstance(c, PocketBore)]
    assert len(pockets) == 4
    for cut in pockets:
        at, _ = cut.seat(rail.part.size)
        mouth = rail.placement.apply((cut.u, cut.v, rail.part.thickness if cut.face == "A" else 0.0))
        assert mouth[1] == pytest.approx(20.0)  # the rear face of the frame
        assert rail.bounds().lo[1] < rail.placement.apply(at)[1] < 20.0


def test_the_wall_bed_is_screwed_to_the_wall_twice_a_stud(guest_study: Build) -> None:
    plan = guest_study.plan
    (fixing,) = (f for f in plan.fixings if f.through == "guest bed/wall rail" and f.kind == "wall screw")
    assert fixing.into == ()
    columns = Counter(round(s.at[0], 3) for s in fixing.spots)
    assert len(columns) >= 2
    assert set(columns.values()) == {2}
    rail = plan.by_path[fixing.through]
    assert all(len(on_axis(rail, spot)) == 1 for spot in fixing.spots)


def test_a_fixing_moves_with_its_unit() -> None:
    from model.fastening.fixing import Spot

    fixing = Fixing(item="s", kind="screw", length=50, through="a", into=("b",), spots=(Spot((1, 2, 3), (1, 0, 0)),))
    moved = fixing.moved(Placement.axes((10, 0, 0), "+y", "+z"), "unit")
    assert (moved.through, moved.into) == ("unit/a", ("unit/b",))
    assert moved.spots[0].at == (8, 1, 3)
    assert moved.spots[0].direction == (0, 1, 0)
    assert moved.spots[0].point(5) == (8, 6, 3)
