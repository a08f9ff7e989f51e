"""Base cabinets: every joinery, edge, foot, column and tray, sound whatever the options."""

import copy
import itertools
import math
from typing import Any

import pytest
from conftest import MakeUnit, plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from soundness import assert_sound, built_or_refused

from model.checks.interference import interference
from model.cuts import Bore
from model.part import Motion, Part, PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box, Cylinder
from model.site import Unbuildable

BACKS = st.none() | st.sampled_from(["applied", "rabbet", "between", "groove"]).map(lambda f: {"fixing": f})
JOINERIES = st.sampled_from(["butt", "housed", "cleated", "pocket", "dowelled"])
FRONTS = st.fixed_dictionaries({"mount": st.sampled_from(["overlay", "inset"]), "gap": st.sampled_from([2, 3, 4])})
DRAWERS = st.fixed_dictionaries(
    {
        "rows": st.integers(1, 4),
        "heights": st.sampled_from(["equal", "graduated"]),
        "mullions": st.booleans(),
        "load": st.just(15.0),
    }
)
DOORS = st.fixed_dictionaries({"leaves": st.sampled_from([1, 2]), "hinged": st.sampled_from(["left", "right"])})
SHELVES = st.fixed_dictionaries({"count": st.integers(0, 3)}, optional={"fixed": st.integers(0, 1)})
TRAYS = st.fixed_dictionaries(
    {"runners": st.sampled_from(["strips", "slides"]), "front": st.sampled_from(["flush", "lip"])},
    optional={"travel": st.sampled_from([150.0, 300.0]), "stop": st.booleans(), "clear": st.sampled_from([0.5, 2.0])},
)
KICKS = st.none() | st.sampled_from(
    [
        {"style": "notch"},
        {"style": "skirt", "height": 89, "gap": 25},
        {"style": "plinth", "height": 90},
    ]
)
CONTENTS = st.one_of(
    st.fixed_dictionaries({"drawers": DRAWERS}, optional={"tray": TRAYS}),
    st.fixed_dictionaries({"doors": DOORS}, optional={"shelves": SHELVES, "tray": TRAYS}),
    st.fixed_dictionaries({"drawers": st.just({"heights": [130.0], "load": 15.0}), "doors": DOORS}),
    st.fixed_dictionaries({"shelves": SHELVES}, optional={"tray": TRAYS}),
)
COLUMNS = st.lists(
    st.builds(
        lambda size, contents: {**size, **contents}, st.sampled_from([{}, {"width": 260.0}, {"share": 2.0}]), CONTENTS
    ),
    min_size=2,
    max_size=3,
).map(lambda columns: {"columns": columns})
STANDS = st.one_of(
    st.builds(lambda kick: {"toe_kick": kick, "feet": None}, KICKS),
    st.sampled_from(
        [
            {"toe_kick": None, "feet": {}},
            {"toe_kick": {"style": "notch", "height": 140}, "feet": {}},
            {"toe_kick": {"style": "skirt", "height": 140}, "feet": {"height": 100.0}},
            {"toe_kick": {"style": "plinth", "height": 150, "depth": 50}, "feet": {"height": 95.0}},
            {"toe_kick": {"style": "plinth", "height": 90}, "feet": {}},
        ]
    ),
)


def _agreeing(options: dict[str, Any]) -> dict[str, Any]:
    """Mullions only in a frame, lips only over openings: what is refused anyway would take up most of the examples."""
    for each in (options, *options.get("columns", ())):
        if options["frame"] is None and "drawers" in each:
            each["drawers"].pop("mullions", None)
        if options["fronts"]["mount"] == "inset" and "tray" in each:
            each["tray"]["front"] = "flush"
    return options


BASES = st.builds(
    lambda common, edges, stand, contents: _agreeing(copy.deepcopy({**common, **edges, **stand, **contents})),
    st.fixed_dictionaries(
        {
            "joinery": JOINERIES,
            "back": BACKS,
            "fronts": FRONTS,
            "depth": st.floats(380, 700).map(lambda x: round(x, 1)),
            "closing": st.sampled_from(["stretchers", "full"]),
        }
    ),
    st.sampled_from([{"frame": {}}, {"frame": None}, {"frame": None, "edge_band": True}]),
    STANDS,
    st.booleans().flatmap(lambda divided: COLUMNS if divided else CONTENTS),
)
BAND = {"mm": "birch band 22x1", "in": "maple band"}
SLOW = [HealthCheck.too_slow]
ANY_BASE = given(
    options=BASES,
    width=st.floats(400, 1400).map(lambda x: round(x, 1)),
    height=st.floats(600, 1000).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)


@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
@ANY_BASE
def test_any_base_is_sound_or_says_why_not(
    make_unit: MakeUnit, options: dict[str, Any], width: float, height: float, lengths: str
) -> None:
    assert_any_base_is_sound(make_unit, options, width, height, lengths)


@pytest.mark.slow
@settings(max_examples=400, deadline=None, suppress_health_check=SLOW)
@ANY_BASE
def test_many_bases_are_sound_or_say_why_not(
    make_unit: MakeUnit, options: dict[str, Any], width: float, height: float, lengths: str
) -> None:
    assert_any_base_is_sound(make_unit, options, width, height, lengths)


def assert_any_base_is_sound(
    make_unit: MakeUnit, options: dict[str, Any], width: float, height: float, lengths: str
) -> None:
    """No two parts share a volume at rest or in motion, every joint meets, no bore meets another or breaks out."""
    if options.get("edge_band"):
        options = {**options, "edge_band": BAND[lengths]}
    unit = built_or_refused(lambda: make_unit("base", width, height, lengths, **options))
    if unit is None:
        return
    assert_sound(unit, width, depth=options["depth"])
    for shape in {p.part for p in unit.parts if p.part.kind == "sheet"}:
        assert clashes(shape) == []


def _bar(bore: Bore, part: Part) -> Box:
    """The bounds of a bore inside its blank."""
    (cylinder,) = bore.primitives(part.size)
    inside = cylinder.bounds().common(Box((0.0, 0.0, 0.0), part.size))
    assert inside is not None
    return inside


def clashes(part: Part) -> list[str]:
    """Bores of a part that meet inside it, and blind ones that come out on another face."""
    bores = [c for c in part.cuts if isinstance(c, Bore)]
    found = []
    for bore in bores:
        (cylinder,) = bore.primitives(part.size)
        assert isinstance(cylinder, Cylinder)
        axis = next(i for i, d in enumerate(cylinder.direction) if abs(d) == 1)
        whole = cylinder.bounds()
        for i in range(3):
            out = whole.lo[i] < 0, whole.hi[i] > part.size[i]
            if (i != axis and any(out)) or (i == axis and bore.depth is not None and all(out)):
                found.append(f"breaks out: {bore}")
    for a, b in itertools.combinations(bores, 2):
        if a.face == b.face and a.depth != b.depth and (a.u, a.v) == (b.u, b.v):
            found.append(f"twice: {a} {b}")
        elif _bar(a, part).common(_bar(b, part)) is not None and math.hypot(a.u - b.u, a.v - b.v) > 0:
            found.append(f"meet: {a} {b}")
    return found


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def span(unit: BuiltUnit, path: str, axis: str) -> tuple[float, float]:
    return part(unit, path).bounds().span(axis)


def cuts(unit: BuiltUnit, path: str, purpose: str) -> list[Bore]:
    return [c for c in part(unit, path).part.cuts if isinstance(c, Bore) and c.purpose == purpose]


T = 17.8
"""The carcass sheet of the metric stock, mm."""


def test_butt_joints_are_bored_through_the_side_and_into_the_end(make_unit: MakeUnit) -> None:
    """A 4 x 60 screw through 17.8 mm bites 42.2 mm into the end; both bores lie on one line."""
    unit = make_unit("base", 600, 800, joinery="butt", closing="full", toe_kick=None)
    through, pilots = cuts(unit, "left side", "screw"), cuts(unit, "bottom", "pilot")
    assert {(b.diameter, b.depth) for b in through} == {(4.5, None)}
    assert {(b.diameter, b.depth) for b in pilots} == {(2.5, 42.2)}
    rails = cuts(unit, "wall rail", "pilot")
    assert 2 * len(through) == 2 * len(pilots) + len(rails)  # bottom, sub-top and rail meet the side, each at one end
    assert len(rails) == 4
    assert {b.face for b in pilots} == {"x0", "x1"}
    assert {b.v for b in pilots} == {T / 2}
    places = sorted(b.u for b in pilots if b.face == "x0")
    assert max(b - a for a, b in itertools.pairwise(places)) <= 150


def test_a_carcass_screw_that_is_not_named_bores_nothing(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, joinery="housed")
    assert cuts(unit, "left side", "screw") == []


def test_dowels_lie_in_both_panels_and_fill_their_bores(make_unit: MakeUnit) -> None:
    """An 8 x 30 dowel: 12 mm in a 17.8 mm side, 18 mm in the end, each bore 1 mm deeper."""
    unit = make_unit("base", 600, 800, joinery="dowelled", closing="full", toe_kick=None)
    ends, walls = cuts(unit, "bottom", "dowel"), cuts(unit, "left side", "dowel")
    assert {(b.diameter, b.depth) for b in walls} == {(8, 13)}
    assert {(b.diameter, b.depth) for b in ends} == {(8, 19)}
    dowels = [p for p in unit.parts if p.role == "dowel" and p.path.startswith("bottom")]
    assert len(dowels) == len(ends)
    left = part(unit, "bottom dowel, left 1").bounds()
    assert left.span("x") == pytest.approx((T - 12, T + 18))
    right = part(unit, "bottom dowel, right 1").bounds()
    assert right.span("x") == pytest.approx((600 - T - 18, 600 - T + 12))
    assert left.center[2] == pytest.approx(span(unit, "bottom", "z")[0] + T / 2)


@pytest.mark.parametrize("style", ["notch", "skirt", "plinth", None])
def test_a_base_on_feet_is_no_higher(make_unit: MakeUnit, style: str | None) -> None:
    kick = None if style is None else {"style": style, "height": 150}
    unit = make_unit("base", 700, 850, toe_kick=kick, feet={"height": 100})
    feet = [p for p in unit.parts if p.role == "foot"]
    assert len(feet) >= 4
    assert {p.bounds().span("z") for p in feet} == {(0, 100)}
    assert span(unit, "left side", "z") == (150 if style == "plinth" else 100, 850)
    assert unit.levelling == (10, 25)


def test_a_foot_turns_only_so_far(make_unit: MakeUnit) -> None:
    with pytest.raises(Unbuildable, match="turns from 90 mm to 125 mm, not to 130 mm"):
        make_unit("base", 700, 850, toe_kick=None, feet={"height": 130})


def test_a_carcass_stands_on_its_plinth(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 700, 850, toe_kick={"style": "plinth", "height": 90, "depth": 60})
    assert span(unit, "left side", "z")[0] == span(unit, "plinth front", "z")[1] == 90
    assert span(unit, "plinth front", "y") == pytest.approx((60, 60 + T))
    assert span(unit, "plinth cross piece 1", "x") == pytest.approx((0, T))


def test_bands_keep_the_outer_sizes(make_unit: MakeUnit) -> None:
    """1 mm of band on every edge: the blanks are 1 mm smaller on each, what is outside stays."""
    options: dict[str, Any] = {"frame": None, "doors": {"leaves": 1}, "shelves": {"count": 1}}
    bare, banded = make_unit("base", 600, 800, **options), make_unit("base", 600, 800, edge_band=BAND["mm"], **options)
    assert part(banded, "door/door").part.length == part(bare, "door/door").part.length - 2
    assert part(banded, "door/door").part.width == part(bare, "door/door").part.width - 2
    assert span(banded, "door/door band, upper", "x") == span(bare, "door/door", "x")
    assert span(banded, "door/door band, upper", "z")[1] == span(bare, "door/door", "z")[1]
    assert part(banded, "left side").part.width == part(bare, "left side").part.width - 1
    assert span(banded, "left side band, front", "y") == (0, 1)
    assert span(banded, "shelf 1 band, front", "y")[0] == span(bare, "shelf 1", "y")[0]
    hinges = [sorted(p.placement.origin for p in u.parts if p.role == "hinge") for u in (bare, banded)]
    assert hinges[0] == hinges[1]


def test_a_band_belongs_to_bare_edges(make_unit: MakeUnit) -> None:
    with pytest.raises(Unbuildable, match="a face frame covers the edges"):
        make_unit("base", 600, 800, edge_band=BAND["mm"])
    with pytest.raises(Unbuildable, match="no 'oak' among the bands in stock, there is beech band 23x2"):
        make_unit("base", 600, 800, frame=None, edge_band="oak")


def test_columns_are_as_wide_as_said_and_share_the_rest(make_unit: MakeUnit) -> None:
    """1200 - 4 x 17.8 = 1128.8 clear in three columns: 400 and 728.8 shared 1 to 2."""
    columns = [{"width": 400, "shelves": {}}, {"shelves": {}}, {"share": 2, "shelves": {}}]
    unit = make_unit("base", 1200, 800, columns=columns)
    first, second = span(unit, "partition 1", "x"), span(unit, "partition 2", "x")
    assert first == pytest.approx((T + 400, T + 400 + T))
    assert second[0] - first[1] == pytest.approx(242.9, abs=0.06)
    assert 1200 - T - second[1] == pytest.approx(485.9, abs=0.06)
    upright = span(unit, "upright 1", "x")
    assert sum(upright) == pytest.approx(sum(first))


def test_fronts_of_bare_columns_keep_their_gap(make_unit: MakeUnit) -> None:
    columns = [{"doors": {"leaves": 1}}, {"drawers": {"rows": 2}}]
    unit = make_unit("base", 1000, 800, frame=None, columns=columns)
    door, front = span(unit, "column 1 door/door", "x"), span(unit, "column 2 drawer 1/front", "x")
    assert front[0] - door[1] == pytest.approx(3)
    assert (door[0], 1000 - front[1]) == pytest.approx((1.5, 1.5))


def test_contents_belong_in_the_columns(make_unit: MakeUnit) -> None:
    with pytest.raises(Unbuildable) as problem:
        make_unit("base", 1000, 800, doors={}, columns=[{}, {}])
    assert problem.value.loc == ("doors",)
    with pytest.raises(Unbuildable, match="column 2: ") as problem:
        make_unit("base", 1000, 800, columns=[{}, {"drawers": {"load": 100.0}}])
    assert problem.value.loc[:2] == ("columns", 1)


def test_a_tray_slides_in_a_gap_of_its_thickness_and_the_clearance(make_unit: MakeUnit) -> None:
    """Common practice: the gap between paired strips is one sheet thickness plus the clearance in the config."""
    unit = make_unit("base", 600, 800, tray={"clear": 2, "travel": 320}, drawers={"rows": 3})
    low, high = span(unit, "tray strip, left lower", "z"), span(unit, "tray strip, left upper", "z")
    assert high[0] - low[1] == pytest.approx(T + 2)
    assert span(unit, "tray/tray", "z")[0] == low[1]
    assert span(unit, "tray/tray", "y")[0] == 0
    assert span(unit, "rail under tray", "z")[1] == low[1]
    (tray,) = [m for m in unit.motions if m.name == "tray"]
    assert tray.travel == 320
    assert "tray/stop" in tray.parts


def test_the_stop_takes_up_exactly_the_travel(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, tray={"travel": 320}, shelves={"count": 1})
    assert span(unit, "tray/stop", "y")[0] - span(unit, "tray stop", "y")[1] == pytest.approx(320)
    further = BuiltUnit(
        unit.name,
        unit.code,
        unit.kind,
        unit.parts,
        unit.joints,
        tuple(Motion(m.name, m.kind, m.parts, m.direction, 325.0) for m in unit.motions),
    )
    found = interference(plan_of(further))
    assert [(f.code, f.parts, f.value) for f in found] == [("blocked", ("unit/tray/stop", "unit/tray stop"), 320.0)]


def test_a_tray_keeps_a_third_on_its_strips(make_unit: MakeUnit) -> None:
    with pytest.raises(Unbuildable, match="a third stays on its strips"):
        make_unit("base", 600, 800, tray={"travel": 450}, shelves={"count": 1})


KNEEHOLES = st.fixed_dictionaries(
    {
        "framed": st.booleans(),
        "depth": st.floats(400, 700).map(lambda x: round(x, 1)),
        "packing": st.fixed_dictionaries(
            {}, optional={k: st.sampled_from([0.0, 6.1, 17.8, 22.0, 33.3]) for k in ("left", "right")}
        ),
        "drawers": st.none()
        | st.fixed_dictionaries(
            {"columns": st.integers(1, 3), "front_height": st.floats(90, 140), "load": st.just(15.0)}
        ),
    }
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    options=KNEEHOLES,
    width=st.floats(500, 1400).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)
def test_any_packed_kneehole_is_sound(make_unit: MakeUnit, options: dict[str, Any], width: float, lengths: str) -> None:
    try:
        unit = make_unit("kneehole", width, 860, lengths, **options)
    except Unbuildable as problem:
        if not problem.loc:
            raise
        return
    assert [f.message for f in interference(plan_of(unit))] == []


def test_packing_brings_the_rails_in(make_unit: MakeUnit) -> None:
    unit = make_unit("kneehole", 1000, 860, packing={"left": T, "right": 30})
    assert span(unit, "left packing", "x") == (0, T)
    assert span(unit, "left rail", "x") == pytest.approx((T, 2 * T))
    assert span(unit, "right packing, upper", "x") == pytest.approx((970, 1000))
    assert span(unit, "right rail", "x")[1] == pytest.approx(970)
    assert unit.ends == ("left packing", "right packing, upper")
    assert span(unit, "drawer 1/front", "x") == pytest.approx((3, 997))
