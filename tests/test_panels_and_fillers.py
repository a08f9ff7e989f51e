"""End panels and fillers: sound whatever their options, with the sizes a maker would measure, joined to neighbours."""

from pathlib import Path
from typing import Any

import pytest
from conftest import CONFIGS, MakeUnit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import base, write_project
from soundness import assert_sound, built_or_refused

from model.build import build
from model.checks.interference import interference
from model.checks.uneven import uneven
from model.config.tree import read
from model.cuts import Notch
from model.meshes import volume
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.site import Unbuildable
from model.units import kinds

T = {"mm": 17.8, "in": 25.4 * 23 / 32}
"""mm. The carcass sheets of both stocks."""
KICK = st.none() | st.fixed_dictionaries(
    {
        "style": st.sampled_from(["notch", "skirt", "plinth"]),
        "height": st.floats(40, 150).map(round),
        "depth": st.floats(10, 120).map(round),
        "gap": st.sampled_from([0, 25]),
    }
)
PANELS = st.fixed_dictionaries(
    {
        "depth": st.floats(180, 700).map(lambda x: round(x, 1)),
        "exposed": st.sampled_from(["left", "right"]),
        "proud": st.sampled_from([0, 17.8, 20]),
        "facing": st.booleans(),
        "toe_kick": KICK,
    }
)
FILLERS = st.fixed_dictionaries(
    {
        "wall": st.sampled_from(["left", "right"]),
        "framed": st.booleans(),
        "flush": st.sampled_from(["frame", "fronts"]),
        "scribe": st.sampled_from([0, 10, 20]),
        "batten": st.sampled_from([25, 45, 70]),
        "toe_kick": KICK,
    }
)
QUICK = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def sound(make_unit: MakeUnit, kind: str, width: float, height: float, lengths: str, said: dict[str, Any]) -> None:
    """The unit is clear of itself, joined, within its width and above the floor, or says why it is not built."""
    unit = built_or_refused(lambda: make_unit(kind, width, height, lengths, **said))
    if unit is None:
        return
    assert_sound(unit, width, height)
    assert {*unit.ends, *unit.bears} <= {p.path for p in unit.parts}


@QUICK
@given(said=PANELS, height=st.floats(200, 2400).map(lambda x: round(x, 1)), lengths=st.sampled_from(["mm", "in"]))
def test_any_panel_is_sound_or_says_why_not(
    make_unit: MakeUnit, said: dict[str, Any], height: float, lengths: str
) -> None:
    sound(make_unit, "panel", T[lengths], height, lengths, said)


@QUICK
@given(
    said=FILLERS,
    width=st.floats(20, 160).map(lambda x: round(x, 1)),
    height=st.floats(250, 2400).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)
def test_any_filler_is_sound_or_says_why_not(
    make_unit: MakeUnit, said: dict[str, Any], width: float, height: float, lengths: str
) -> None:
    sound(make_unit, "filler", width, height, lengths, said)


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def span(unit: BuiltUnit, path: str, axis: str) -> tuple[float, float]:
    return part(unit, path).bounds().span(axis)


def test_an_end_panel_by_hand(make_unit: MakeUnit) -> None:
    """600 deep, 880 high, a notch of 90 x 75 sawn out at the front: 17.8 (600 x 880 - 90 x 75) mm^3."""
    unit = make_unit("panel", 17.8, 880, toe_kick={"height": 90, "depth": 75})
    panel = part(unit, "panel")
    assert panel.part.size == (880, 600, 17.8)
    notch = next(c for c in panel.part.cuts if isinstance(c, Notch))
    assert sorted((notch.u1 - notch.u0, notch.v1 - notch.v0)) == [75, 90]
    assert volume(panel.part) == pytest.approx(17.8 * (600 * 880 - 90 * 75))
    assert unit.ends == ("panel", "panel")
    assert unit.bears == ("panel",)


@pytest.mark.parametrize(("exposed", "direction"), [("left", -1.0), ("right", 1.0)])
def test_the_good_face_of_a_panel_is_the_one_seen(make_unit: MakeUnit, exposed: str, direction: float) -> None:
    placed = part(make_unit("panel", 17.8, 880, exposed=exposed), "panel")
    assert placed.placement.turn((0, 0, 1))[0] == direction


def test_a_faced_panel_stands_behind_its_strip(make_unit: MakeUnit) -> None:
    unit = make_unit("panel", 17.8, 880, facing=True, proud=20, toe_kick={"height": 90, "depth": 75})
    assert span(unit, "facing", "y") == pytest.approx((-20, 0))
    assert span(unit, "facing", "z") == pytest.approx((90, 880))
    assert part(unit, "facing").part.width == 17.8
    assert span(unit, "panel", "y") == pytest.approx((0, 600))


@pytest.mark.parametrize(
    ("kind", "width", "said", "match"),
    [
        ("panel", 40, {}, "is 17.8 mm wide, not 40 mm"),
        ("panel", 17.8, {"facing": True, "toe_kick": {"depth": 15}}, "ends inside the facing"),
        ("filler", 20, {}, "needs 22.8 mm"),
        ("filler", 130, {}, "no board as thick as pine 20x40 is 150 mm wide"),
        ("filler", 60, {"toe_kick": {"depth": 15}}, "ends inside the strip"),
        ("filler", 60, {"toe_kick": {"height": 800}}, "no room over the toe kick"),
    ],
)
def test_what_cannot_be_built_says_why(
    make_unit: MakeUnit, kind: str, width: float, said: dict[str, Any], match: str
) -> None:
    with pytest.raises(Unbuildable, match=match):
        make_unit(kind, width, 880, **said)


def test_a_filler_by_hand(make_unit: MakeUnit) -> None:
    """60 wide at the right wall: strip over the kick of 90, battens on the neighbour's side, a board 75 back."""
    unit = make_unit("filler", 60, 880, toe_kick={"height": 90, "depth": 75})
    assert span(unit, "strip", "x") == (0, 60)
    assert span(unit, "strip", "z") == (90, 880)
    assert span(unit, "strip", "y") == (0, 20)
    assert span(unit, "batten", "x") == pytest.approx((0, 17.8))
    assert span(unit, "batten", "y") == pytest.approx((20, 65))
    assert span(unit, "kick board", "y") == pytest.approx((75, 75 + 17.8))
    assert span(unit, "kick board", "z") == (0, 90)
    assert part(unit, "strip").part.material == "pine 20x90"  # 60 and 20 to scribe: the narrowest board is 90


def test_at_a_left_wall_the_batten_is_at_the_right(make_unit: MakeUnit) -> None:
    unit = make_unit("filler", 60, 880, wall="left")
    assert span(unit, "batten", "x") == pytest.approx((60 - 17.8, 60))
    assert unit.ends[1] == "batten"


def test_a_filler_beside_overlay_fronts_comes_out_by_its_thickness(make_unit: MakeUnit) -> None:
    unit = make_unit("filler", 60, 880, flush="fronts", framed=False)
    assert span(unit, "strip", "y") == pytest.approx((-17.8, 0))
    assert span(unit, "batten", "y") == pytest.approx((0, 45))


def test_the_role_says_how_much_wider_the_blank_is(make_unit: MakeUnit) -> None:
    metric = make_unit("filler", 60, 880, scribe=20)
    assert part(metric, "strip").role == "filler, blank 20 mm (25/32 in) wider"
    inch = make_unit("filler", 60, 880, "in", scribe=19.05)
    assert part(inch, "kick board").role == "filler, blank 19.1 mm (3/4 in) wider"
    assert part(make_unit("filler", 60, 880, scribe=0), "strip").role == "filler"


def test_a_skirt_runs_on_under_a_filler(make_unit: MakeUnit) -> None:
    unit = make_unit("filler", 60, 880, toe_kick={"style": "skirt", "height": 89, "gap": 25})
    assert span(unit, "skirt", "z") == (0, 89)
    assert span(unit, "skirt", "y") == span(unit, "strip", "y")
    assert span(unit, "kick board", "z") == (0, 89 + 25)
    assert span(unit, "strip", "z")[0] == 89 + 25


def test_a_run_with_a_panel_and_a_filler(tmp_path: Path) -> None:
    """A base between an end panel and a filler under one top: the kick line runs through, everything meets."""
    kick = {"height": 90, "depth": 75}
    end, fill = (
        read(CONFIGS / "units" / f"{name}.yaml", kinds()[kind].options).value
        for name, kind in (("end-panel", "panel"), ("wall-filler", "filler"))
    )
    path = write_project(
        tmp_path,
        {
            "end": end.model_dump(exclude_defaults=True, exclude_none=True) | {"kind": "panel"},
            "box": base(toe_kick=kick, shelves={"count": 1}),
            "fill": fill.model_dump(exclude_defaults=True, exclude_none=True) | {"kind": "filler"},
        },
        widths={"end": 17.8, "box": 600, "fill": {"fill": 1, "min": 30, "max": 70}},
        room={"height": 2500, "walls": {"north": {"width": 680}}},
        tops=[{"name": "bench", "wall": "north", "over": ["end", "box", "fill"], "height": 900}],
    )
    plan = build(path).plan
    assert [f.message for f in interference(plan)] == []
    joined = {frozenset((j.a, j.b)) for j in plan.joints}
    assert frozenset(("end/panel", "box/left side")) in joined
    assert frozenset(("box/right side", "fill/batten")) in joined
    assert frozenset(("bench/top", "end/panel")) in joined
    assert frozenset(("bench/top", "fill/batten")) in joined
    fronts = {plan.by_path[p].bounds().lo[1] for p in ("box/toe board", "fill/kick board")}
    assert len(fronts) == 1
    strip = plan.by_path["fill/strip"].bounds()
    assert strip.span("x") == pytest.approx((617.8, 680))
    assert strip.lo[1] == plan.by_path["box/left stile"].bounds().lo[1]


@pytest.mark.parametrize(("scribe", "enough"), [(20.0, True), (2.0, False)])
def test_spare_wood_on_a_filler_takes_what_the_wall_is_out(tmp_path: Path, scribe: float, enough: bool) -> None:
    """A wall 24 mm out of plumb over 2400 mm is out by 8 mm over 800 mm: 20 mm to spare take it, 2 mm do not."""
    room = {"height": 2400, "walls": {"north": {"width": 660, "out_of_plumb": 24}}}
    units = {"strip": {"kind": "filler", "wall": "left", "scribe": scribe}, "box": {"kind": "base"}}
    tops = [{"name": "top", "wall": "north", "over": ["strip", "box"], "height": 800}]
    margins = {"north": {"right": 10}}
    path = write_project(tmp_path, units, widths={"strip": 50, "box": 600}, room=room, margins=margins, tops=tops)
    out = [f.message for f in uneven(build(path)) if f.code == "scribe"]
    assert any("the left end" in said for said in out) != enough
