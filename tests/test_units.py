"""Units of every kind: sound whatever their options, and with the sizes a maker would measure."""

import itertools
from typing import Any

import pytest
from conftest import MakeUnit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from soundness import assert_sound, built_or_refused

from model.cabinet.fittings import pull_part
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.site import Unbuildable

BACKS = st.none() | st.sampled_from(["applied", "rabbet", "between"]).map(lambda f: {"fixing": f})
JOINERIES = st.sampled_from(["butt", "housed", "cleated"])
FRONTS = st.fixed_dictionaries({"mount": st.sampled_from(["overlay", "inset"]), "gap": st.sampled_from([2, 3, 4])})
DRAWERS = st.fixed_dictionaries(
    {
        "rows": st.integers(1, 6),
        "heights": st.sampled_from(["equal", "graduated"]),
        "mullions": st.booleans(),
        "box": st.fixed_dictionaries({"bottom": st.sampled_from(["applied", "grooved"])}),
    }
)
DOORS = st.fixed_dictionaries({"leaves": st.sampled_from([1, 2]), "hinged": st.sampled_from(["left", "right"])})
SHELVES = st.fixed_dictionaries({"count": st.integers(0, 4)})
KICKS = st.none() | st.sampled_from([{"style": "notch"}, {"style": "skirt", "height": 89, "gap": 25}])
FRAMES = st.sampled_from([None, {}])
CONTENTS = st.one_of(
    st.fixed_dictionaries({"drawers": DRAWERS}),
    st.fixed_dictionaries({"doors": DOORS, "shelves": st.none() | SHELVES}),
    st.fixed_dictionaries({"drawers": st.just({"heights": [130.0]}), "doors": DOORS}),
    st.fixed_dictionaries({"shelves": SHELVES}),
)
BASES = st.builds(
    lambda common, contents: {**common, **contents},
    st.fixed_dictionaries(
        {
            "joinery": JOINERIES,
            "back": BACKS,
            "frame": FRAMES,
            "fronts": FRONTS,
            "toe_kick": KICKS,
            "depth": st.floats(350, 700).map(lambda x: round(x, 1)),
            "closing": st.sampled_from(["stretchers", "full"]),
        }
    ),
    CONTENTS,
)
UPPERS = st.fixed_dictionaries(
    {
        "joinery": JOINERIES,
        "back": BACKS,
        "frame": FRAMES,
        "fronts": FRONTS,
        "depth": st.floats(200, 420).map(lambda x: round(x, 1)),
        "shelves": st.none() | SHELVES,
        "doors": st.none() | DOORS,
    }
)
KNEEHOLES = st.fixed_dictionaries(
    {
        "framed": st.booleans(),
        "depth": st.floats(400, 700).map(lambda x: round(x, 1)),
        "drawers": st.none()
        | st.fixed_dictionaries({"columns": st.integers(1, 3), "front_height": st.floats(90, 140)}),
    }
)
ANY_UNIT = st.one_of(
    st.tuples(st.just("base"), BASES), st.tuples(st.just("upper"), UPPERS), st.tuples(st.just("kneehole"), KNEEHOLES)
)
ROOMY = settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@ROOMY
@given(
    asked=ANY_UNIT,
    width=st.floats(300, 1300).map(lambda x: round(x, 1)),
    height=st.floats(450, 1100).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
    lands=st.booleans(),
)
def test_any_unit_is_sound_or_says_why_not(
    make_unit: MakeUnit, asked: tuple[str, dict[str, Any]], width: float, height: float, lengths: str, lands: bool
) -> None:
    """No two parts share a volume at rest or with a drawer pulled, every joint meets, nothing hangs loose."""
    kind, options = asked
    unit = built_or_refused(lambda: make_unit(kind, width, height, lengths, lands, **options))
    if unit is not None:
        assert_sound(unit, width)


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def span(unit: BuiltUnit, path: str, axis: str) -> tuple[float, float]:
    return part(unit, path).bounds().span(axis)


def test_a_housed_bottom_is_longer_by_both_grooves_and_the_grooves_are_cut(make_unit: MakeUnit) -> None:
    housed = make_unit("base", 600, 800, joinery="housed", joints={"groove_depth": 6})
    butt = make_unit("base", 600, 800, joinery="butt")
    assert part(housed, "bottom").part.length == pytest.approx(part(butt, "bottom").part.length + 12)
    grooves = [c for c in part(housed, "left side").part.cuts if type(c).__name__ == "Groove"]
    assert [g.depth_in((1, 1, 17.8)) for g in grooves] == [6.0]
    assert not any(type(c).__name__ == "Groove" for c in part(butt, "left side").part.cuts)


def test_cleats_lie_one_panel_thickness_under_the_edge(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, joinery="cleated", closing="full")
    assert span(unit, "sub-top cleat, left", "z")[1] == pytest.approx(800 - 17.8)
    assert span(unit, "sub-top", "z") == pytest.approx((800 - 17.8, 800))


def test_a_back_between_the_sides_has_strips_one_thickness_in(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, back={"fixing": "between"})
    back, strip = span(unit, "back", "y"), span(unit, "back cleat, left", "y")
    assert strip[1] == pytest.approx(back[0])
    assert back[1] == pytest.approx(600)


def test_build_outs_bring_the_slides_flush_with_the_frame(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, drawers={"rows": 3})
    stile = span(unit, "left stile", "x")[1]
    assert span(unit, "drawer 1 build-out, left", "x") == pytest.approx((17.8, stile))
    assert span(unit, "drawer 1 slide, left, cabinet member", "x")[0] == pytest.approx(stile)


def test_a_seam_or_an_upper_lands_on_a_full_sub_top(make_unit: MakeUnit) -> None:
    names = {p.path for p in make_unit("base", 600, 800, lands=True).parts}
    assert "sub-top" in names
    assert "front stretcher" not in names


def test_equal_drawers_are_alike(make_unit: MakeUnit) -> None:
    for mullions in (True, False):
        unit = make_unit("base", 620, 882.2, drawers={"rows": 6, "mullions": mullions})
        for name in ("front", "left side", "box back", "bottom"):
            assert len({part(unit, f"drawer {i}/{name}").part for i in range(1, 7)}) == 1


def test_graduated_fronts_grow_downward_and_fill_the_opening(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, drawers={"rows": 3, "heights": "graduated"})
    spans = [span(unit, f"drawer {i}/front", "z") for i in (1, 2, 3)]
    heights = [b - a for a, b in spans]
    assert heights == sorted(heights)
    assert heights[0] < heights[2]
    gaps = [above[0] - below[1] for above, below in itertools.pairwise(spans)]
    assert gaps == pytest.approx([3, 3], abs=0.01)
    opening = (span(unit, "bottom rail", "z")[1], span(unit, "top rail", "z")[0])
    assert spans[0][1] == pytest.approx(opening[1] + 12)
    assert spans[2][0] == pytest.approx(opening[0] - 12)


def test_given_heights_must_fill_the_opening(make_unit: MakeUnit) -> None:
    with pytest.raises(Unbuildable, match="short: together they must come to"):
        make_unit("base", 600, 800, drawers={"heights": [100.0, 100.0]})


@pytest.mark.parametrize(("load", "fits"), [(45.0, True), (46.0, False)])
def test_a_slide_is_rated_for_its_load(make_unit: MakeUnit, load: float, fits: bool) -> None:
    if fits:
        make_unit("base", 600, 800, drawers={"load": load})
        return
    with pytest.raises(Unbuildable, match="carries 45 kg, not 46 kg"):
        make_unit("base", 600, 800, drawers={"load": load})


def test_the_longest_slide_that_fits_is_taken(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, depth=480, back=None, drawers={"rows": 2})
    assert part(unit, "drawer 1 slide, left, cabinet member").part.length == 450
    assert span(unit, "drawer 1/left side", "y") == (0, 450)


def test_inset_fronts_leave_the_gap_all_round(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, fronts={"mount": "inset", "gap": 2}, drawers={"rows": 1})
    front = part(unit, "drawer 1/front").bounds()
    assert front.span("x") == pytest.approx((40 + 2, 600 - 40 - 2))
    assert front.span("z")[1] == pytest.approx(800 - 40 - 2)
    assert front.span("y")[0] == pytest.approx(0)


def test_hinge_cups_are_bored_in_the_door_and_never_through(make_unit: MakeUnit) -> None:
    unit = make_unit("base", 600, 800, doors={"leaves": 2}, shelves={"count": 1})
    for name in ("left door", "right door"):
        door = part(unit, f"{name}/door").part
        cups = [c for c in door.cuts if getattr(c, "purpose", "") == "hinge cup"]
        assert len(cups) == 2
        assert all(c.depth_in(door.size) < door.thickness for c in cups)


def test_shelves_lie_on_pins_in_bores_on_a_32_mm_grid(make_unit: MakeUnit) -> None:
    unit = make_unit("upper", 700, 1100, shelves={"count": 3})
    side = part(unit, "left side").part
    pins = [c for c in side.cuts if getattr(c, "purpose", "") == "pin"]
    along = sorted({c.u for c in pins})  # pyright: ignore[reportAttributeAccessIssue]
    across = sorted({c.v for c in pins})  # pyright: ignore[reportAttributeAccessIssue]
    assert {round(b - a, 3) for a, b in itertools.pairwise(along)} == {32.0}
    assert len(across) == 2
    assert round((across[1] - across[0]) / 32, 6).is_integer()
    shelf, pin = part(unit, "shelf 2").bounds(), part(unit, "shelf 2 pin, left front").bounds()
    assert shelf.lo[2] == pytest.approx(pin.hi[2])


def test_kneehole_drawers_are_flush_and_hang_between_rails(make_unit: MakeUnit) -> None:
    unit = make_unit("kneehole", 1200, 880, drawers={"columns": 2})
    fronts = [part(unit, f"drawer {i}/front").bounds() for i in (1, 2)]
    assert fronts[0].span("y") == fronts[1].span("y") == pytest.approx((-17.8, 0))
    assert fronts[1].lo[0] - fronts[0].hi[0] == pytest.approx(3, abs=0.01)
    assert span(unit, "left rail", "x")[0] == 0
    assert span(unit, "right rail", "x")[1] == 1200


def test_a_knob_is_a_head_on_a_neck(stocks) -> None:
    knob = pull_part(stocks["mm"][0].pull("knob 30"))
    assert knob.size == (30, 30, 28)
    assert len(knob.body) == 2
