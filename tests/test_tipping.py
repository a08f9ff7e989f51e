"""Tipping and wall fixings: closed forms by hand, the worst set of drawers against trying them all, properties."""

import itertools
import math
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from projects import base, write_project
from rooms import room_project, unit

from model.bill import weight
from model.build import Build, build
from model.checks.tipping import front_edges, stands, tipping
from model.checks.wall_fixing import hung_of, pulls, wall_fixing
from model.findings import Finding
from model.part import Part
from model.shapes import Box, Cylinder
from model.statics.masses import GRAVITY, Lump, centroid, lump_of, together
from model.statics.tipping import NM, Edge, Opening, anchor_force, edges, hull, worst_case

FRONT = Edge((0.0, 0.0), (0.0, 1.0))


def told(built: Build, name: str) -> Finding | None:
    return next((f for f in tipping(built) if f.message.startswith(f"{name},")), None)


def detail(finding: Finding | None, name: str) -> float:
    assert finding is not None
    return dict(finding.details)[name]


# masses


def test_the_middle_of_an_l_by_hand() -> None:
    """100 x 40 x 10 and on its left end 20 x 40 x 30: (40000 x 50 + 24000 x 10) / 64000 along x."""
    boxes = (Box((0, 0, 0), (100, 40, 10)), Box((0, 0, 10), (20, 40, 40)))
    part = Part(kind="hardware", material="x", length=100, width=40, thickness=40, grain="any", body=boxes)
    assert centroid(part) == pytest.approx((35.0, 20.0, (40000 * 5 + 24000 * 25) / 64000))


def test_the_middle_of_a_drilled_thing() -> None:
    """A bar and a disc that touch at a face: volumes by hand, the polygon of a circle has the circle's area."""
    disc = Cylinder((50.0, 50.0, 0.0), (0, 0, 1), 50.0, 10.0)
    bar = Box((45, 45, 10), (55, 55, 110))
    part = Part(kind="hardware", material="x", length=100, width=100, thickness=110, grain="any", body=(disc, bar))
    a, b = math.pi * 50**2 * 10, 100.0 * 100
    assert centroid(part) == pytest.approx((50, 50, (a * 5 + b * 60) / (a + b)))


def test_a_unit_weighs_what_its_parts_list_says(herbarium: Build) -> None:
    for u in herbarium.plan.units:
        lumps = [lump_of(p, herbarium.stock) for p in u.parts]
        assert together(lumps).mass == pytest.approx(sum(weight(p.part, herbarium.stock) for p in u.parts))


def test_nothing_weighs_nothing() -> None:
    assert together([]).mass == 0.0


# statics


def test_a_box_tips_at_m_a_over_h() -> None:
    """A box of m at a behind its edge tips when pulled with P at h, P h = m g a: the anchor's force the other way."""
    case = worst_case([Lump(40.0, (0, -150.0, 500.0))], [], [FRONT])
    assert case.net == pytest.approx(-40 * GRAVITY * 0.15)
    assert anchor_force(case.net, 600.0) * 0.6 == pytest.approx(40 * GRAVITY * 0.15)
    assert anchor_force(5.0, 600.0) == 0.0


def test_hull_of_a_square_with_a_point_inside() -> None:
    outline = hull([(0, 0), (10, 0), (10, 10), (0, 10), (5, 5), (5, 0)])
    assert sorted(outline) == [(0, 0), (0, 10), (10, 0), (10, 10)]
    for edge in edges(outline):
        assert edge.arm((5, 5, 0)) == pytest.approx(5.0)


def drawer(i: int, own: float, load: float, travel: float, back: float = 300.0) -> Opening:
    at = (0.0, back, 100.0 * i)
    return Opening(f"d{i}", "slide", (0, -1, 0), travel, (0, 0, 0), Lump(own, at), Lump(load, at), (0.0, -10.0, 0.0))


def door(i: int, mass: float, width: float, travel: float) -> Opening:
    at = (width / 2, -10.0, 500.0)
    return Opening(f"s{i}", "swing", (0, 0, -1), travel, (0, 0, 0), Lump(mass, at), None, (width - 100, -10.0, 900.0))


openings_drawn = st.lists(
    st.builds(drawer, st.integers(0, 5), st.floats(1, 12), st.floats(0.1, 40), st.floats(100, 600), st.floats(100, 500))
    | st.builds(door, st.integers(0, 5), st.floats(1, 20), st.floats(250, 700), st.floats(0.8, 3.0)),
    min_size=1,
    max_size=4,
)


@settings(max_examples=60, deadline=None)
@given(movers=openings_drawn, mass=st.floats(5, 80), back=st.floats(50, 400), child=st.sampled_from([0.0, 27.2]))
def test_the_worst_set_is_that_of_trying_them_all(
    movers: list[Opening], mass: float, back: float, child: float
) -> None:
    """Every set of openings, empty or full, at many places of each swing, the child on each: none is worse."""
    still = [Lump(mass, (0, back, 0))]
    case = worst_case(still, movers, [FRONT], child)
    options: list[list[float]] = []
    hung: list[list[float]] = []
    for o in movers:
        steps = (0.0, o.travel) if o.kind == "slide" else [o.travel * k / 200 for k in range(201)]
        bare, with_child = [], []
        for t in steps:
            for full in (False, True) if o.contents else (False,):
                m = o.own.mass * o.place(o.own.centre, t)[1] * NM
                m += o.contents.mass * o.place(o.contents.centre, t)[1] * NM if full and o.contents else 0.0
                bare.append(m)
                assert o.hang is not None
                with_child.append(m + child * o.place(o.hang, t)[1] * NM)
        options.append([min(bare)])
        hung.append([min(with_child)])
    best = math.inf
    for on in range(len(movers)) if child else (None,):
        rows = [hung[i] if i == on else options[i] for i in range(len(movers))]
        best = min(best, *(sum(row) for row in itertools.product(*rows)))
    assert case.net == pytest.approx(mass * back * NM + best, abs=0.05, rel=2e-4)
    assert case.net <= mass * back * NM + best + 1e-6


@settings(max_examples=60, deadline=None)
@given(movers=openings_drawn, mass=st.floats(5, 80), more=st.floats(0, 50), child=st.sampled_from([0.0, 27.2]))
def test_more_load_never_tips_less(movers: list[Opening], mass: float, more: float, child: float) -> None:
    still = [Lump(mass, (0, 200.0, 0))]
    heavier = [
        Opening(
            o.name,
            o.kind,
            o.direction,
            o.travel,
            o.origin,
            o.own,
            Lump(o.contents.mass + more, o.contents.centre),
            o.hang,
        )
        if o.contents
        else o
        for o in movers
    ]
    before, after = (worst_case(still, m, [FRONT], child) for m in (movers, heavier))
    assert after.net <= before.net + 1e-9
    heavy_base = worst_case([Lump(mass + more, (0, 200.0, 0))], movers, [FRONT], child)
    assert heavy_base.net >= before.net - 1e-9
    assert worst_case(still, movers, [FRONT], child + more).net <= before.net + 1e-9


def test_a_door_is_worst_where_it_stands_out_most() -> None:
    """A door of 500 hinged at the edge stands out most square to it, though it opens on to 120 degrees."""
    case = worst_case([], [door(0, 10.0, 500.0, math.radians(120))], [FRONT])
    assert case.net == pytest.approx(-10 * math.hypot(250, 10) * NM, rel=1e-9)


# built units


def project(folder: Path, **options: Any) -> Path:
    said = {"drawers": {"rows": 4, "load": 20}, "height": 850, **options}
    return write_project(folder, {"a": base(**said)}, room={"height": 2500, "walls": {"north": {"width": 2400}}})


def test_a_drawer_base_by_hand(tmp_path: Path) -> None:
    """Every number of the finding again, from parts: all four drawers out by their travel and full."""
    built = build(project(tmp_path))
    (u,) = built.plan.units
    found = told(built, "a")
    moving = {p: m for m in u.motions for p in m.parts}
    edge = max(p.bounds().lo[1] for p in u.parts if p.role == "toe board")  # not what stands foremost: the sides do
    front = min(p.bounds().lo[1] for p in u.parts if p.role == "side") + 75 - 20  # sides begin behind the frame
    assert front == pytest.approx(edge, abs=0.01)
    net = 0.0
    for p in u.parts:
        lump = lump_of(p, built.stock)
        y = lump.centre[1] - (moving[p.path].travel if p.path in moving else 0.0)
        net += lump.mass * (y - front)
    for m in u.motions:
        own = sum(lump_of(p, built.stock).mass for p in u.parts if p.path in m.parts)
        walls = [p.bounds() for p in u.parts if p.path in m.parts and "drawer" in p.role and "bottom" not in p.role]
        middle = (min(b.lo[1] for b in walls) + max(b.hi[1] for b in walls)) / 2
        net += (20 - own) * (middle - m.travel - front)
    assert detail(found, "net_Nm") == pytest.approx(net * NM, abs=0.06)
    assert found is not None
    assert found.severity == "warning"
    assert "drawers 1, 2, 3 and 4 open and loaded" in found.message
    product = detail(found, "holding_kg") * detail(found, "holding_arm_mm")
    product -= detail(found, "tipping_kg") * detail(found, "tipping_arm_mm")
    assert product * NM == pytest.approx(net * NM, abs=0.2)
    with_child = detail(found, "with_child_net_Nm")
    assert detail(found, "anchor_N") == pytest.approx(-with_child / detail(found, "anchor_height_mm") * 1000, abs=0.1)


def test_free_standing_that_tips_by_itself_is_a_fault(tmp_path: Path) -> None:
    path = write_project(
        tmp_path, {"a": base(height=850, drawers={"rows": 4})}, safety={"fixing": "none"}, widths={"a": 500}
    )
    found = told(build(path), "a")
    assert found is not None
    assert found.severity == "fault"


def test_what_does_not_tip_is_not_told(tmp_path: Path) -> None:
    """A deep open base has nothing that opens; a child has nothing to hang on."""
    assert told(build(project(tmp_path, drawers=None)), "a") is None


def test_feet_are_what_it_stands_on(tmp_path: Path) -> None:
    """Round feet 30 mm inside: the front edge is theirs, and a unit on feet tips no later than one on its sides."""
    built = build(project(tmp_path, feet={"height": 100}, toe_kick=None))
    (u,) = built.plan.units
    (wall,) = built.walls
    fore = min(e.at[1] for e in front_edges(list(u.parts), wall))
    assert fore == pytest.approx(min(p.bounds().lo[1] for p in u.parts if p.role == "foot"), abs=0.05)


def test_studs_behind_it_carry_it(tmp_path: Path) -> None:
    room = {"height": 2500, "walls": {"north": {"width": 2400, "studs": {"spacing": 400, "first": 100}}}}
    path = write_project(tmp_path, {"a": base(height=850, drawers={"rows": 4})}, room=room)
    found = told(build(path), "a")
    assert found is not None
    assert "studs at 100 mm and 500 mm from the left of north" in found.message
    room["walls"]["north"]["studs"] = {"positions": [2000]}
    path = write_project(tmp_path, {"a": base(height=850, drawers={"rows": 4})}, room=room)
    found = told(build(path), "a")
    assert found is not None
    assert "No stud of north lies behind it" in found.message


def test_turned_to_another_wall_it_is_the_same(tmp_path: Path) -> None:
    """One drawer base on each of three walls: the same moments to the last digit that is told."""
    walls = {name: {"width": 3000} for name in ("north", "east", "south")}
    rows = {name: [unit(f"at {name}", "drawers", 600, height=850)] for name in walls}
    margins = {name: {"left": 1000} for name in walls}
    built = build(room_project(tmp_path, {"walls": walls}, rows, margins=margins))
    found = [dict(f.details) for f in tipping(built)]
    assert len(found) == 3
    for other in found[1:]:
        assert other == pytest.approx(found[0], abs=0.11)


def test_a_wall_bed_tips_until_it_is_fixed(tmp_path: Path) -> None:
    """All of the bed level and just off its leg: nothing but the wall holds it."""
    fittings = {"frame": "pine 20x90", "gas_spring": "gas spring 250", "bed_pivot": "bed pivot 30"}
    bed = {"kind": "wall-bed", "mattress": "90x200", "mattress_thickness": 180, "materials": fittings}
    room = {"walls": {"north": {"width": 3200}}}
    built = build(room_project(tmp_path, room, {"north": [unit("bed", "bed", 1060)]}, {"bed": bed}))
    found = told(built, "bed")
    assert found is not None
    assert found.message.startswith("bed, not yet fixed, tips with bed open")
    # mattress and bedding alone, half their length out, weigh this much
    assert detail(found, "net_Nm") < -20 * GRAVITY * 0.6


def test_units_of_a_demo_stand_once_joined(trains: Build) -> None:
    """The runs of two walls, joined at the corner, hold what tips alone: a note each, no warning."""
    found = list(tipping(trains))
    assert found
    assert {f.severity for f in found} == {"note"}
    assert all("joined to its neighbours (12 units in all) it stands" in f.message for f in found)


def test_a_run_that_tips_as_a_whole_is_a_warning(herbarium: Build) -> None:
    found = list(tipping(herbarium))
    assert {f.severity for f in found} == {"warning"}
    assert all("it still tips with everything open" in f.message for f in found)


def test_a_panel_does_not_stand_by_itself(tmp_path: Path) -> None:
    said = {"end": {"kind": "panel", "depth": 600, "height": 850}}
    built = build(room_project(tmp_path, {"walls": {"n": {"width": 2000}}}, {"n": [unit("p", "end", 17.8)]}, said))
    (u,) = built.plan.units
    assert stands(built, (u,), built.walls[0]) is None


# what hangs


def hung(folder: Path, studs: dict[str, Any] | None, loads: dict[str, Any] | None = None, **hang: Any) -> Finding:
    wall: dict[str, Any] = {"width": 3000, **({"studs": studs} if studs else {})}
    upper = {
        "kind": "upper", "depth": 320, "height": 800, "hang": hang, "shelves": {"fixed": 1, "count": 1},
        "materials": {"wall_screw": "screw 6x100"},
    }  # fmt: skip
    place = {"name": "hung", "unit": "hangs.yaml", "wall": "north", "x": 900, "width": 900, "bottom": 1400}
    more = {"loads": loads} if loads else {}
    row = {"north": [unit("a", "open", height=850)]}
    path = room_project(folder, {"walls": {"north": wall}}, row, {"hangs": upper}, uppers=[place], **more)
    built = build(path)
    (found,) = wall_fixing(built)
    return found


def test_screws_of_a_hung_unit_by_hand(tmp_path: Path) -> None:
    """W over the screws, W x out = T x height over the screws; 6 x 100 through 17.8 and 12.7: 66.7 mm of thread."""
    found = hung(tmp_path, {"spacing": 406, "first": 203})
    d = dict(found.details)
    weight_n = d["load_kg"] * GRAVITY
    assert d["screws"] == 2
    assert d["shear_N"] == pytest.approx(weight_n / 2, abs=0.1)
    assert d["pulls_at_once_N"] == pytest.approx(weight_n * d["out_mm"] / d["height_mm"], abs=0.2)
    assert d["thread_mm"] == pytest.approx(100 * 2 / 3, abs=0.05)
    assert d["may_pull_N"] == pytest.approx(2850 * 0.42**2 * 6 / 25.4 * 66.667 / 25.4 * 4.4482216, abs=0.2)
    both = math.hypot(d["shear_N"], d["pull_N"])
    share = (d["shear_N"] ** 2 / d["may_shear_N"] + d["pull_N"] ** 2 / d["may_pull_N"]) / both
    assert found.value == pytest.approx(share, abs=2e-3)
    # cleat half: its narrow face 62.2 high, bored in its middle; the spacer's foot is the unit's underside
    assert found.limit == 1.0


def test_one_stud_alone_is_a_warning(tmp_path: Path) -> None:
    light = {"shelf": 5}
    one = hung(tmp_path, {"positions": [1200]}, light)
    assert one.severity == "warning"
    assert "it meets one stud alone" in one.message
    two = hung(tmp_path, {"positions": [1000, 1700]}, light)
    assert two.severity == "note"


def test_unknown_studs_are_to_be_found(tmp_path: Path) -> None:
    assert "find those of north first" in hung(tmp_path, None, {"shelf": 5}).message


def test_masonry_goes_by_its_maker(tmp_path: Path) -> None:
    found = hung(tmp_path, None, None, cleat={"into": "masonry"})
    assert (found.severity, found.value) == ("note", None)


def test_books_on_two_screws_are_too_much(tmp_path: Path) -> None:
    """Twice the shelf load: more than the screws yield at; two screws to a stud halve what each carries."""
    studs, books = {"spacing": 406, "first": 203}, {"shelf": 146}
    one, two = hung(tmp_path, studs, books), hung(tmp_path, studs, books, cleat={"screws": 2})
    assert one.severity == "fault"
    assert dict(two.details)["shear_N"] == pytest.approx(dict(one.details)["shear_N"] / 2, rel=0.01)
    assert two.value == pytest.approx((one.value or 0) / 2, rel=0.06)


def test_heavy_things_and_rows_of_books_hang_too(tmp_path: Path) -> None:
    """30 kg on its fixed shelf are 30 kg more; 30 kg/m on three boards of about 0.87 m in place of the load by area."""
    studs = {"spacing": 406, "first": 203}
    bare = dict(hung(tmp_path, studs, {"shelf": 0}).details)
    vice = {"name": "vice", "on": "hung/fixed shelf 1", "x": 300, "mass": 30}
    assert dict(hung(tmp_path, studs, {"shelf": 0, "points": [vice]}).details)["load_kg"] == pytest.approx(
        bare["load_kg"] + 30, abs=0.02
    )
    books = dict(hung(tmp_path, studs, {"shelf_run": 30}).details)["load_kg"] - bare["load_kg"]
    assert books == pytest.approx(3 * 30 * 0.87, rel=0.02)  # bottom, fixed shelf, shelf


def test_what_hangs_is_the_same_on_another_wall(tmp_path: Path) -> None:
    """The lever is measured from its own wall."""
    walls = {"north": {"width": 3000}, "east": {"width": 3000}}
    upper = {"kind": "upper", "depth": 300, "height": 700, "hang": {}}
    places = [
        {"name": f"on {w}", "unit": "hangs.yaml", "wall": w, "x": 1000, "width": 800, "bottom": 1300} for w in walls
    ]
    row = {"north": [unit("a", "open", height=850)]}
    built = build(room_project(tmp_path, {"walls": walls}, row, {"hangs": upper}, uppers=places))
    seen = []
    for u in built.plan.units[1:]:
        wall = next(w for w in built.walls if w.name == built.stands_at[u.name])
        found = hung_of(built, u, wall)
        assert found is not None
        seen.append(pulls(found))
    assert seen[0] == pytest.approx(seen[1], rel=1e-4)


def test_drawing_order_is_of_no_matter() -> None:
    movers = [drawer(i, 3.0 + i, 10.0 * i + 1, 300.0 + 50 * i) for i in range(5)]
    first = worst_case([Lump(30, (0, 200, 0))], movers, [FRONT], 27.2)
    random.Random(1).shuffle(movers)
    assert worst_case([Lump(30, (0, 200, 0))], movers, [FRONT], 27.2).net == pytest.approx(first.net)
