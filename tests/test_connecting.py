"""Connecting shelves between two uppers: sound whatever is asked, loose where they must be, joined to both uppers."""

import itertools
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from conftest import CONFIGS, INCH, METRIC, MakeUnit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from projects import base, write_project
from soundness import built_or_refused

from model.build import Build, build
from model.checks.interference import interference, interference_of
from model.errors import ConfigError
from model.materials import Materials
from model.part import Joint, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.site import Site, Unbuildable
from model.stock.tables import Stock
from model.units import kinds

Stocks = dict[str, tuple[Stock, Materials]]
HIGH = 900.0
AT = 350.0


def shelves(stocks: Stocks, width: float = 900, lengths: str = "mm", limit: float = 300, **options: Any) -> BuiltUnit:
    """Connecting shelves between uppers 900 mm high, their lowest 350 mm up."""
    stock, materials = stocks[lengths]
    site = replace(Site("shelves", "C1", width, HIGH - AT, stock, materials), depth_limit=limit)
    kind = kinds()["connecting"]
    return kind.build(kind.options(**{"kind": "connecting", **options}), site)


def between_uppers(make_unit: MakeUnit, unit: BuiltUnit, width: float, lengths: str) -> Plan:
    """The shelves hand-placed between two uppers 300 mm deep, every ledge joined to the side it is screwed to."""
    placed: list[BuiltUnit] = []
    for name, x in (("left upper", -400.0), ("right upper", width)):
        upper = make_unit("upper", 400, HIGH, lengths, depth=300, shelves=None)
        placed.append(replace(upper, name=name).placed(Placement((x, 0.0, 0.0))))
    front = 300.0 - max(p.bounds().hi[1] for p in unit.parts)
    mine = unit.placed(Placement((0.0, front, AT)))
    joints = []
    for path in mine.bears:
        upper = placed[0] if path.endswith("left") else placed[1]
        joints.append(Joint("screwed", path, upper.ends[1 if upper is placed[0] else 0]))
    return Plan("test", (*placed, mine), "mm", tuple(joints))


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def span(unit: BuiltUnit, path: str, axis: str) -> tuple[float, float]:
    return part(unit, path).bounds().span(axis)


@st.composite
def asked(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    lengths = draw(st.sampled_from(["mm", "in"]))
    metric = lengths == "mm"
    heights = draw(
        st.integers(1, 4).map(lambda n: {"count": n})
        | st.lists(st.floats(40, 500).map(lambda x: round(x, 1)), max_size=3).map(lambda h: {"heights": sorted(h)})
    )
    boards = ["pine 20x60", "pine 20x90"] if metric else ["pine 1x3", "pine 1x4"]
    facing = st.fixed_dictionaries(
        {
            "board": st.none() | st.sampled_from(boards),
            "height": st.none() | st.sampled_from([25.0, 38.0]),
            "at": st.sampled_from(["front", "under"]),
        }
    )
    strip, profile, bar = (
        ("work strip 10", "channel 17x8", "bar 600") if metric else ("work strip", "channel", "bar 24")
    )
    cable = st.fixed_dictionaries(
        {"route": st.sampled_from(["down", "none"]), "side": st.sampled_from(["left", "right"])}
    )
    light = st.fixed_dictionaries(
        {"strip": st.just(strip), "profile": st.just(profile), "cable": cable}
    ) | st.fixed_dictionaries({"bar": st.just(bar), "cable": cable, "set_back": st.sampled_from([40.0, 80.0])})
    return lengths, {
        **heights,
        "spacing": draw(st.floats(60, 400).map(lambda x: round(x, 1))),
        "depth": draw(st.none() | st.floats(120, 300).map(lambda x: round(x, 1))),
        "clearance": draw(st.sampled_from([0.0, 1.0, 2.5])),
        "hold": draw(st.sampled_from(["ledges", "pairs"])),
        "ledge": {"height": draw(st.sampled_from([20.0, 30.0])), "board": draw(st.none() | st.just(boards[0]))},
        "facing": draw(st.none() | facing),
        "light": draw(st.none() | light),
    }


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(asked=asked(), width=st.floats(150, 2000).map(lambda x: round(x, 1)))
def test_any_connecting_shelves_are_sound_or_say_why_not(
    make_unit: MakeUnit, stocks: Stocks, asked: tuple[str, dict[str, Any]], width: float
) -> None:
    """Nothing meets, every joint does, nothing hangs loose, and all keeps between the uppers."""
    lengths, options = asked
    unit = built_or_refused(lambda: shelves(stocks, width, lengths, **options))
    if unit is None:
        return
    assert [f.message for f in interference(between_uppers(make_unit, unit, width, lengths))] == []
    for placed in unit.parts:
        box = placed.bounds()
        assert box.lo[0] >= -0.01
        assert box.hi[0] <= width + 0.01
        assert box.lo[1] >= -0.01
        assert box.hi[2] <= HIGH - AT + 0.01 or placed.role == "driver"


def test_shelves_are_shorter_than_the_gap_by_two_clearances(stocks: Stocks) -> None:
    unit = shelves(stocks, 900, clearance=1.5, count=2, spacing=320)
    assert span(unit, "shelf 1", "x") == (1.5, 898.5)
    assert span(unit, "shelf 1", "z") == pytest.approx((0, 17.8))
    assert span(unit, "shelf 2", "z") == pytest.approx((320, 337.8))
    # 300 deep less a 20 mm facing
    assert part(unit, "shelf 1").part.size == (897, 280, 17.8)
    assert part(unit, "facing 1").part.size == (897, 40, 20)


def test_ledges_are_as_long_as_the_shelf_is_deep_and_flush_with_its_underside(stocks: Stocks) -> None:
    unit = shelves(stocks, ledge={"height": 30})
    for label, x in (("left", (0, 17.8)), ("right", (900 - 17.8, 900))):
        ledge = part(unit, f"ledge 1, {label}")
        assert ledge.part.size == (280, 30, 17.8)
        assert ledge.bounds().span("x") == pytest.approx(x)
        assert ledge.bounds().span("z") == (-30, 0)


def test_ledges_can_be_ripped_from_a_board(stocks: Stocks) -> None:
    unit = shelves(stocks, ledge={"height": 25, "board": "pine 20x40"})
    assert part(unit, "ledge 1, left").part.kind == "board"
    assert part(unit, "ledge 1, left").part.size == (280, 25, 20)


def test_the_lowest_shelf_stays_loose_and_the_others_are_screwed(stocks: Stocks) -> None:
    unit = shelves(stocks, count=3, spacing=200)
    kinds_of = {(j.a, j.b): j.kind for j in unit.joints}
    assert kinds_of["shelf 1", "ledge 1, left"] == kinds_of["shelf 1", "ledge 1, right"] == "rests"
    assert kinds_of["shelf 2", "ledge 2, left"] == kinds_of["shelf 3", "ledge 3, right"] == "screwed"
    fixed = [j for j in unit.joints if "shelf 1" in (j.a, j.b) and j.kind == "screwed" and "ledge" in j.a + j.b]
    assert fixed == []


def test_a_shelf_between_pairs_comes_out_to_the_front(stocks: Stocks, make_unit: MakeUnit) -> None:
    """Slid out by its own depth it meets nothing: facing, light and driver come with it."""
    from model.part import Motion

    unit = shelves(stocks, hold="pairs", count=1, light={"strip": "work strip 10", "profile": "channel 17x8"})
    rides = tuple(p.path for p in unit.parts if p.path.startswith(("shelf", "facing", "light")))
    moving = replace(unit, motions=(Motion("shelf out", "slide", rides, (0.0, -1.0, 0.0), 300.0),))
    assert [f.message for f in interference(between_uppers(make_unit, moving, 900, "mm"))] == []


def test_facing_under_a_shelf_leaves_its_front_edge_bare(stocks: Stocks) -> None:
    unit = shelves(stocks, facing={"at": "under", "board": "pine 20x60"})
    assert span(unit, "shelf 1", "y") == (0, 300)
    assert span(unit, "facing 1", "z") == (-60, 0)
    assert span(unit, "ledge 1, left", "y") == (20, 300)


def test_the_light_hides_behind_the_facing(stocks: Stocks) -> None:
    light = {"strip": "work strip 10", "profile": "channel 17x8", "set_back": 20.0}
    unit = shelves(stocks, facing={"board": "pine 20x60"}, light=light)
    facing, profile = part(unit, "facing 1").bounds(), part(unit, "light/profile").bounds()
    assert profile.lo[1] == facing.hi[1]
    assert facing.lo[2] < profile.lo[2]
    # between the ledges with 5 mm to spare at each, less two margins of 20
    assert profile.span("x") == pytest.approx((17.8 + 5 + 20, 900 - 17.8 - 5 - 20))
    with pytest.raises(Unbuildable, match="set back 20 mm or more"):
        shelves(stocks, facing={"board": "pine 20x60"}, light={**light, "set_back": 5.0})


@pytest.mark.parametrize(
    ("options", "key", "message"),
    [
        ({"heights": [300.0, 200.0]}, "heights", "rise from the lowest"),
        ({"count": 3, "spacing": 40.0}, "spacing", "40 mm apart meet"),
        ({"count": 3, "spacing": 300.0}, "spacing", "above the lower of the two uppers"),
        ({"depth": 320.0}, "depth", "deeper than the uppers beside them"),
        ({"depth": 60.0}, "depth", "leave no shelf"),
        ({"clearance": 9.0}, "clearance", "lies on 8.8 mm of its ledge"),
        ({"facing": {"height": 15.0}}, "facing", "lower than the shelf is thick"),
        ({"facing": {"board": "pine 20x41"}}, "facing", "did you mean 'pine 20x"),
        ({"ledge": {"board": "pine 20x40", "height": 41.0}}, "ledge", "wider than the 40 mm board"),
    ],
)
def test_what_cannot_be_built_says_why(stocks: Stocks, options: dict[str, Any], key: str, message: str) -> None:
    with pytest.raises(Unbuildable, match=message) as caught:
        shelves(stocks, **options)
    assert caught.value.loc[0] == key


def wall(folder: Path, at: float = 400, file: str = "connecting.yaml", **change: Any) -> Build:
    """Three bases under one top, an upper on the outer two, connecting shelves between them."""
    (folder / "upper.yaml").write_text(yaml.safe_dump({"kind": "upper", "depth": 300}), encoding="utf-8")
    metric = file == "connecting.yaml"
    path = write_project(
        folder,
        {"a": base(), "b": base(), "c": base()},
        widths={"a": 600, "b": 900, "c": 600},
        stock=CONFIGS / "stock" / ("birch-metric.yaml" if metric else "maple-inch.yaml"),
        materials=(METRIC if metric else INCH).model_dump(exclude_none=True),
        tops=[{"name": "bench", "wall": "north", "over": ["a", "b", "c"], "height": 900}],
        uppers=[
            {"name": "left upper", "unit": "upper.yaml", "on": "bench", "above": "a", "height": 1100},
            {"name": "right upper", "unit": "upper.yaml", "on": "bench", "above": "c", "height": 900},
        ],
        connecting=[
            {
                "name": "bridge",
                "unit": str(CONFIGS / "units" / file),
                "between": ["left upper", "right upper"],
                "at": at,
                "change": change,
            }
        ],
    )
    return build(path)


@pytest.mark.parametrize("file", ["connecting.yaml", "connecting-inch.yaml"])
def test_in_a_project_every_ledge_is_screwed_to_an_upper(tmp_path: Path, file: str) -> None:
    built = wall(tmp_path, file=file)
    assert [f.message for f in interference_of(built.plan)] == []
    unit = next(u for u in built.plan.units if u.name == "bridge")
    assert unit.code == "C1"
    ledges = [p.path for p in unit.parts if p.role == "ledge"]
    joined = {j.a: j.b for j in built.plan.joints_between if j.a in ledges}
    assert sorted(joined) == sorted(ledges)
    for ledge, side in joined.items():
        assert side == ("left upper/right side" if ledge.endswith("left") else "right upper/left side")
    shelf = part(unit, "bridge/shelf 1").bounds()
    assert shelf.lo[2] == 900 + 400
    assert shelf.hi[1] == 0


def test_the_example_files_are_what_they_say(tmp_path: Path) -> None:
    unit = next(u for u in wall(tmp_path).plan.units if u.name == "bridge")
    tops = [part(unit, f"bridge/shelf {i}").bounds().lo[2] for i in (1, 2)]
    assert [b - a for a, b in itertools.pairwise(tops)] == [320]
    assert {p.role for p in unit.parts} == {"shelf", "facing", "ledge", "light", "driver"}


def test_shelves_too_near_the_top_or_too_high_say_so(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match=r"project.yaml:\d+:\d+: .*reaches 10 mm into the top: say at: 30 mm or more"):
        wall(tmp_path, at=20)
    with pytest.raises(ConfigError, match="above the lower of the two uppers"):
        wall(tmp_path, at=700)
