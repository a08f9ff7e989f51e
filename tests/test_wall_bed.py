"""Wall beds: sound shut, down and on the way, with the sizes a maker would measure."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import CONFIGS, INCH, METRIC, plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import write_project
from soundness import built_or_refused

from model.beds.geometry import floor_taken, reach_of, spring_place, strips
from model.beds.mattresses import SIZES
from model.build import build as build_project
from model.checks.interference import interference, interference_of
from model.collision.motion import swung
from model.config.tree import read
from model.materials import Materials
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.beds import END, spring_part
from model.stock.tables import Stock
from model.units.wall_bed import WallBedOptions, build, cabinet_width, plan_bed, plan_springs

FITTINGS = {
    "mm": METRIC.model_copy(
        update={
            "frame": "pine 20x90",
            "gas_spring": "gas spring 250",
            "bed_pivot": "bed pivot 30",
            "bed_leg": "folding leg 30",
        }
    ),
    "in": INCH.model_copy(
        update={
            "frame": "pine 1x4",
            "gas_spring": "gas spring 10",
            "bed_pivot": "bed pivot 2",
            "bed_leg": "folding leg 1.25",
        }
    ),
}
Stocks = dict[str, tuple[Stock, Materials]]


def bed(
    stocks: Stocks, lengths: str = "mm", extra: float = 0.0, height: float | None = None, **said: Any
) -> tuple[WallBedOptions, Site]:
    """Options as they would be in YAML, and a site as wide as the bed asks for and `extra` mm more."""
    options = WallBedOptions(**said)
    site = Site("bed", "W1", 1.0, height, stocks[lengths][0], FITTINGS[lengths].filled())
    return options, replace(site, width=cabinet_width(options, site) + extra)


def made(stocks: Stocks, lengths: str = "mm", extra: float = 0.0, **said: Any) -> BuiltUnit:
    options, site = bed(stocks, lengths, extra, **said)
    return build(options, site)


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def lowered(unit: BuiltUnit, share: float = 1.0) -> dict[str, PlacedPart]:
    """What rides on the bed, the bed down and its legs unfolded."""
    found = {p.path: p for p in unit.parts}
    for motion in sorted(unit.motions, key=lambda m: len(m.parts)):
        turn = swung(motion, motion.travel * share)
        found |= {path: found[path].moved(turn) for path in motion.parts}
    (whole,) = (m for m in unit.motions if m.name == "bed")
    return {path: found[path] for path in whole.parts}


def faults(*units: BuiltUnit) -> list[str]:
    return [f.message for f in interference(plan_of(*units))]


OPTIONS = st.fixed_dictionaries(
    {
        "orientation": st.sampled_from(["vertical", "sideways"]),
        "mattress": st.sampled_from(sorted(SIZES))
        | st.fixed_dictionaries(
            {"length": st.integers(1500, 2200).map(float), "width": st.integers(600, 1900).map(float)}
        ),
        "mattress_thickness": st.integers(120, 300).map(float),
        "lie_height": st.integers(420, 620).map(float),
        "plinth": st.integers(80, 180).map(float),
        "depth": st.integers(400, 560).map(float),
        "rail": st.integers(120, 180).map(float),
        "clearance": st.sampled_from([3.0, 10.0]),
        "leg": st.sampled_from(["board", "folding"]),
        "back": st.booleans(),
        "deck": st.fixed_dictionaries(
            {"of": st.sampled_from(["slats", "panel"]), "bearer": st.sampled_from([30.0, 45.0])}
        ),
        "height": st.sampled_from([None, None, 2350.0]),
    }
)


@given(said=OPTIONS, lengths=st.sampled_from(["mm", "in"]), extra=st.sampled_from([0.0, 17.3, 50.0]))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_bed_is_sound_or_says_why_not(stocks: Stocks, said: dict[str, Any], lengths: str, extra: float) -> None:
    """No overlap shut, none on the way down, every joint meets; down, it lies level at its height on its legs."""
    options, site = bed(stocks, lengths, extra, **said)
    unit = built_or_refused(lambda: build(options, site))
    if unit is None:
        return
    assert faults(unit) == []
    for placed in unit.parts:
        box = placed.bounds()
        assert box.lo[0] >= -0.01
        assert box.hi[0] <= site.width + 0.01
        assert box.hi[1] <= options.depth + 0.01
        assert box.lo[2] >= -0.01
    down = lowered(unit)
    boxes = {path: p.bounds() for path, p in down.items()}
    assert min(b.lo[2] for b in boxes.values()) == pytest.approx(0, abs=0.01)  # the foot of its legs
    top = max(boxes[f"bed/{name}"].hi[2] for name in ("mattress", "left rail"))
    assert top == pytest.approx(options.lie_height, abs=0.01)
    flat = boxes["bed/mattress"].size
    assert flat[2] == pytest.approx(options.mattress_thickness, abs=0.01)
    _springs_are_clear(options, site, unit)


def _springs_are_clear(options: WallBedOptions, site: Site, unit: BuiltUnit) -> None:
    """The springs as they lie on the way, one end following the bed: inside their stroke, clear of everything."""
    spring, pivot = site.gas_spring(), site.bed_pivot()
    place = plan_springs(options, site, plan_bed(options, site))
    assert place.lengths[0] == pytest.approx(spring.closed + spring.stroke - END, abs=0.01)
    assert place.lengths[1] >= spring.closed + END - 0.01
    axis = plan_bed(options, site).axis
    still = [p for p in unit.parts if not p.path.startswith("bed/") and p.path.endswith(("plate", "board", "rail"))]
    for share in (0.5, 1.0):
        s, c = math.sin(share * math.pi / 2), math.cos(share * math.pi / 2)
        dy, dz = place.up[0] - axis[0], place.up[1] - axis[1]
        end = (axis[0] + dy * c - dz * s, axis[1] + dy * s + dz * c)
        run = (place.cabinet[0] - end[0], place.cabinet[1] - end[1])
        assert spring.closed <= math.hypot(*run) <= spring.closed + spring.stroke
        body = spring_part(spring, math.hypot(*run), pivot.thickness)
        # lying along z it runs from the rod's end; tip it toward the cabinet's
        at = Placement.turned("x", math.atan2(-run[0], run[1])).compose(Placement.axes((0, 0, 0), "+z", "+y"))
        start = at.apply((spring.end_diameter / 2, 0.0, body.thickness / 2))
        origin = (site.sheet("carcass").thickness, end[0] - start[1], end[1] - start[2])
        hung = PlacedPart("spring", body, Placement(origin, at.rotation), "gas spring")
        riders = [
            p.moved(swung(m, m.travel * share))
            for m in unit.motions
            if m.name == "bed"
            for p in unit.parts
            if p.path in m.parts and p.role in ("bed rail", "front panel", "pivot", "mattress", "leg board")
        ]
        around = BuiltUnit("down", "W1", "wall-bed", (*still, *riders, hung))
        assert [f.message for f in interference(plan_of(around)) if f.code == "overlap"] == []


def test_a_bed_of_140_by_200_by_hand(stocks: Stocks) -> None:
    """17.8 mm sheet, 20 slats, 30 pivots, 40 bearers, 130 rails, 200 of mattress lying 500 mm above the floor."""
    unit = made(stocks, mattress="140x200")
    # mattress, play, two rails and two sides, two pivots
    assert part(unit, "right side").bounds().hi[0] == pytest.approx(1400 + 10 + 4 * 17.8 + 2 * 30)
    assert part(unit, "bed/low rail").part.length == pytest.approx(1410)
    # panel 17.8, bearers 40, slats 20, mattress 200
    assert part(unit, "bed/mattress").bounds().span("y") == pytest.approx((77.8, 277.8))
    standing = 500 - 277.8
    assert part(unit, "bed/leg board").part.width == pytest.approx(standing)
    axis = (17.8 + 130 / 2, standing + 17.8 + 130 / 2)
    (swing,) = (m for m in unit.motions if m.name == "bed")
    assert swing.origin == pytest.approx((0, *axis))
    # the frame's upper rear corner passes over the axis: 2145.6 high, 65 behind it
    peak = axis[1] + math.hypot(65, 100 + 2 * 17.8 + 2010 - axis[1])
    # with 10 mm of air, to the next half millimetre that can be marked out
    height = part(unit, "top").bounds().hi[2]
    assert height == pytest.approx(2175.0)
    assert 0 <= height - 17.8 - (peak + 10) < 0.5
    # its lower front corner passes under it
    low = axis[1] - math.hypot(axis[0], axis[1] - 100)
    assert part(unit, "base board").bounds().hi[2] == pytest.approx(73.5)
    assert 0 <= low - 10 - 73.5 < 0.5
    # down, it reaches as far before the axis as its frame stands above it
    x, y = floor_taken(unit)
    assert y[0] == pytest.approx(axis[0] - (2145.6 - axis[1]), abs=0.01)
    assert x == pytest.approx((17.8 + 3, 1541.2 - 17.8 - 3))


def test_a_queen_in_inches_by_hand(stocks: Stocks) -> None:
    """60 x 80 in, 23/32 in sheet, 1 3/16 in pivots and 10 mm of play."""
    options, site = bed(stocks, "in", mattress="queen")
    assert site.width == pytest.approx((60 + 4 * 23 / 32 + 2 * 1.1875) * 25.4 + 10, abs=0.01)
    side = part(build(options, site), "bed/left rail").part
    assert side.length == pytest.approx((80 + 2 * 23 / 32) * 25.4 + 10, abs=0.01)
    across, _ = bed(stocks, "in", mattress="queen", orientation="sideways")
    assert cabinet_width(across, site) == pytest.approx(site.width + 20 * 25.4, abs=0.01)


@pytest.mark.parametrize("orientation", ["vertical", "sideways"])
@pytest.mark.parametrize(("off", "hit"), [(-0.5, True), (0.5, False)])
@pytest.mark.parametrize("way", ["up", "back", "down"])
def test_the_reach_is_where_the_swing_check_finds_it(
    stocks: Stocks, orientation: str, way: str, off: float, hit: bool
) -> None:
    """A bar half a millimetre inside the computed reach is hit on the way, one as far outside is not."""
    options, site = bed(stocks, mattress="120x200", orientation=orientation)
    unit = build(options, site)
    plan = plan_bed(options, site)
    reach = reach_of(plan.corners(), plan.axis)
    x, (y, z) = (300.0, 310.0), plan.axis
    probe = {
        "up": Box((x[0], y - 5, reach.up + off), (x[1], y + 5, reach.up + off + 2)),
        "back": Box((x[0], reach.back + off, z - 5), (x[1], reach.back + off + 2, z + 5)),
        "down": Box((x[0], y - 5, reach.down - off - 2), (x[1], y + 5, reach.down - off)),
    }[way]
    bar = PlacedPart(
        "probe",
        Part(kind="sheet", material="birch 18", length=probe.size[0], width=probe.size[1], thickness=probe.size[2]),
        Placement(probe.lo),
        "probe",
    )
    with_bar = replace(unit, parts=(*unit.parts, bar))
    found = [f for f in interference(plan_of(with_bar)) if f.code == "blocked"]
    assert bool(found) is hit
    assert {f.parts[1] for f in found} == ({"bed/probe"} if hit else set())


def test_a_base_board_that_is_too_high_stops_the_bed(stocks: Stocks) -> None:
    """The front panel's lower corner dips below 94 mm over the board (17.8 mm thick): it is raised to 96."""
    unit = made(stocks)
    lift = Placement((0, 0, 96.0 - part(unit, "base board").bounds().hi[2]))
    raised = [replace(p, placement=lift.compose(p.placement)) if p.path == "base board" else p for p in unit.parts]
    found = [f for f in interference(plan_of(replace(unit, parts=tuple(raised)))) if f.code == "blocked"]
    assert found
    assert all(f.parts[1] == "bed/base board" and f.unit == "deg" and f.limit == 90 for f in found)
    assert 0 < (found[0].value or 0) < 90


def test_wide_panels_are_seamed_and_both_halves_screwed_to_bearers(stocks: Stocks) -> None:
    """1499.6 mm of front panel, sheets 1500 less 10 mm a side: two equal pieces, two bearers at the seam."""
    unit = made(stocks, mattress="140x200")
    halves = [part(unit, f"bed/front panel {i}").bounds() for i in (1, 2)]
    assert halves[0].size[0] == pytest.approx(halves[1].size[0])
    seam = halves[0].hi[0]
    assert halves[1].lo[0] == seam
    bearers = [p.bounds().span("x") for p in unit.parts if p.role == "bearer"]
    assert any(b[1] == pytest.approx(seam) for b in bearers)
    assert any(b[0] == pytest.approx(seam) for b in bearers)
    joints = {(j.a, j.b) for j in unit.joints if j.kind == "screwed"}
    for half in ("bed/front panel 1", "bed/front panel 2"):
        assert sum(b == half and "bearer" in a for a, b in joints) >= 2


@pytest.mark.parametrize("sizes", [1.0, 10.0, 1200.0, 1200.5])
def test_pieces_are_equal_and_no_wider_than_a_sheet(sizes: float) -> None:
    found = strips((5.0, 5.0 + sizes), 600.0)
    assert len(found) == math.ceil(sizes / 600)
    assert found[0][0] == 5.0
    assert found[-1][1] == pytest.approx(5.0 + sizes)


def test_folding_legs_swing_by_themselves_and_carry_the_bed(stocks: Stocks) -> None:
    unit = made(stocks, leg="folding", orientation="sideways", mattress="90x200")
    assert sorted(m.name for m in unit.motions) == ["bed", "left leg", "right leg"]
    down = lowered(unit)
    for side in ("left", "right"):
        foot = down[f"bed/{side} leg"].bounds()
        assert foot.lo[2] == pytest.approx(0, abs=0.01)
        assert foot.hi[2] < down["bed/front panel 1"].bounds().lo[2] + 0.01


@pytest.mark.parametrize(
    ("said", "words", "loc"),
    [
        ({"depth": 300.0}, "it needs", ("depth",)),
        ({"lie_height": 320.0}, "let it lie higher", ("lie_height",)),
        ({"rail": 80.0}, "do not keep a mattress in", ("rail",)),
        ({"plinth": 20.0}, "raise the plinth", ("plinth",)),
        ({"height": 2000.0}, "needs a cabinet", ("height",)),
        (
            {"leg": "folding", "lie_height": 800.0, "plinth": 450.0, "depth": 700.0},
            "folding leg 30 stands",
            ("lie_height",),
        ),
        ({"mattress": {"length": 3100.0, "width": 900.0}}, "longer than any sheet", ("mattress",)),
        ({"gap": 30.0}, "shows the pivots", ("gap",)),
        ({"pull_height": 90.0}, "not on the front panel", ("pull_height",)),
        ({"wall_rail": 5000.0}, "does not fit under the top", ("wall_rail",)),
    ],
)
def test_what_cannot_be_built_says_what_to_change(stocks: Stocks, said: dict[str, Any], words: str, loc: tuple) -> None:
    with pytest.raises(Unbuildable, match=words) as problem:
        made(stocks, **said)
    assert problem.value.loc == loc


@pytest.mark.parametrize("extra", [-1.0, 51.0])
def test_the_cabinet_is_as_wide_as_its_mattress_asks(stocks: Stocks, extra: float) -> None:
    with pytest.raises(Unbuildable, match=r"takes a cabinet 1541\.2 mm to 1591\.2 mm wide"):
        made(stocks, extra=extra)


def test_a_low_ceiling_is_noticed(stocks: Stocks) -> None:
    options, site = bed(stocks)
    with pytest.raises(Unbuildable, match="lay the bed sideways"):
        build(options, replace(site, ceiling=2100.0))


def test_a_spring_without_stroke_finds_no_place() -> None:
    with pytest.raises(Unbuildable, match="finds no place"):
        spring_place((80.0, 300.0), 50.0, 200.0, 400.0, 30.0, END)


def test_a_header_closes_what_is_over(stocks: Stocks) -> None:
    unit = made(stocks, height=2400.0)
    header = part(unit, "header").bounds()
    assert header.hi[2] == pytest.approx(2400 - 17.8)
    assert part(unit, "wall rail").bounds().hi[2] == pytest.approx(2400 - 17.8)
    assert faults(unit) == []


@pytest.mark.parametrize(
    ("file", "lengths", "width"), [("wall-bed", "mm", 1560.0), ("wall-bed-sideways", "in", 2070.0)]
)
def test_the_example_files_build(stocks: Stocks, file: str, lengths: str, width: float) -> None:
    options = read(CONFIGS / "units" / f"{file}.yaml", WallBedOptions).value
    stock, materials = stocks[lengths]
    site = Site("bed", "W1", width, None, stock, options.materials.over(materials).filled())
    assert faults(build(options, site)) == []


def test_a_bed_stands_in_a_project_between_two_bases(tmp_path: Path) -> None:
    """Through the project reader: the bed and its neighbours are sound, and the mattress has its weight in the list."""
    from model.bill import weight

    path = write_project(
        tmp_path,
        {
            "left": {"kind": "base", "height": 720, "doors": {}},
            "bed": {"kind": "wall-bed", "mattress_mass": 31},
            "right": {"kind": "base", "height": 720, "drawers": {"rows": 3}},
        },
        widths={"bed": 1560, "left": 420, "right": 420},
        materials=FITTINGS["mm"].model_dump(exclude_none=True),
    )
    project = build_project(path)
    assert list(interference_of(project.plan)) == []
    mattress = project.plan.by_path["bed/bed/mattress"].part
    assert weight(mattress, project.stock) == 31
    assert project.stock.material(mattress.material).colour[0] > 0.5
    unit = next(u for u in project.plan.units if u.kind == "wall-bed")
    x, y = floor_taken(unit)
    assert x[1] - x[0] == pytest.approx(1560 - 2 * 17.8 - 6, abs=0.01)
    assert y[0] < -2000
