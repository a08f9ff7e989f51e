"""Assembly steps: replayed, every part once, every joint once, every move past what is there along its line."""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

import fcl
import numpy as np
import pytest
import yaml
from conftest import CONFIGS, MakeUnit, plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from soundness import built_or_refused
from test_units import ANY_UNIT

from model.assembly.insertion import Space
from model.assembly.installation import assembly
from model.assembly.items import Item, wall_parts
from model.assembly.order import BY_HAND, DOWN, HANG, LOWERED, TILT, Placing
from model.assembly.sequence import unit_work
from model.assembly.steps import Assembly, Move
from model.assembly.tally import Shop, bench_steps, step, told
from model.build import Build, build
from model.meshes import arrays, core, mesh
from model.part import PlacedPart
from model.placement import Placement
from model.plan import Plan
from model.stock.tables import Stock

DEMOS = ("herbarium", "trains", "guest-study")


@pytest.fixture(scope="module", params=DEMOS)
def demo(request: pytest.FixtureRequest) -> tuple[Build, Assembly]:
    built = build(CONFIGS / request.param / "project.yaml")
    return built, assembly(built)


def test_every_part_and_every_joint_is_there_once(demo: tuple[Build, Assembly]) -> None:
    built, work = demo
    assert Counter(p for s in work.steps for p in s.new) == Counter(p.path for p in built.plan.walk())
    made = Counter(j.kind for s in work.steps for j in s.joints for _ in range(j.count))
    assert made == Counter(j.kind for j in built.plan.joints)


def replay(work: Assembly) -> dict[int, int]:
    """Puts everything together by the moves alone: what a move passes must be all of what it is then one with."""
    group: dict[str, frozenset[str]] = {}
    for one in work.steps:
        for move in one.moves:
            for path in (*move.parts, *move.past):
                group.setdefault(path, frozenset((path,)))
            assert set(move.past) == set().union(*(group[p] for p in move.past)), move.parts
            assert set(move.parts) == set().union(*(group[p] for p in move.parts)), move.parts
            whole = frozenset((*move.parts, *move.past))
            group |= dict.fromkeys(whole, whole)
    return Counter(len(g) for g in set(group.values()))


def test_the_moves_replayed_give_the_whole_room(demo: tuple[Build, Assembly]) -> None:
    built, work = demo
    assert replay(work) == {len(list(built.plan.walk())): 1}


def test_a_joint_is_made_in_the_step_that_brings_its_parts_together(demo: tuple[Build, Assembly]) -> None:
    """The same count by another way: what hangs together after each step, by merging alone."""
    built, work = demo
    owner: dict[str, str] = {p.path: p.path for p in built.plan.walk()}
    left = list(built.plan.joints)
    for one in work.steps:
        for move in one.moves:
            merged = {owner[p] for p in (*move.parts, *move.past)}
            name = min(merged)
            owner = {p: name if o in merged else o for p, o in owner.items()}
        made = [j for j in left if owner[j.a] == owner[j.b]]
        left = [j for j in left if owner[j.a] != owner[j.b]]
        assert Counter(j.kind for j in made) == {j.kind: j.count for j in one.joints}, one.title
    assert left == []


def placed_mesh(placed: PlacedPart, shift: np.ndarray):
    m = placed.placement
    frame = np.column_stack((np.array(m.rotation), np.array(m.origin) + shift))
    return mesh(placed.part).transform(frame)


def sampled(by_path: dict[str, PlacedPart], move: Move, places: int = 6) -> float:
    """The most that the moved parts share with what is there at some places on their line, mm^3: whole meshes, each
    pair by itself, nothing of the sweep that the order was found by."""
    d, most = np.array(move.direction), 0.0
    for away in np.linspace(0.0, move.travel, places):
        shift = -d * away
        for a in move.parts:
            box = by_path[a].bounds()
            low, high = np.array(box.lo) + shift + 0.02, np.array(box.hi) + shift - 0.02
            for b in move.past:
                other = by_path[b].bounds()
                if np.any(low >= other.hi) or np.any(high <= other.lo):
                    continue
                common = placed_mesh(by_path[a], shift) ^ placed_mesh(by_path[b], np.zeros(3))
                thin = min(common.bounding_box()[k + 3] - common.bounding_box()[k] for k in range(3))
                if common.volume() > 1.0 and thin > 0.02:
                    most = max(most, common.volume())
    return most


def fcl_object(placed: PlacedPart, shift: np.ndarray) -> fcl.CollisionObject:
    """The part, every face drawn in by half of CONTACT so that touching is no contact, moved on by `shift`."""
    points, faces = arrays(core(placed.part))
    model = fcl.BVHModel()
    model.beginModel(len(points), len(faces))
    model.addSubModel(points, faces)
    model.endModel()
    at = placed.placement
    return fcl.CollisionObject(model, fcl.Transform(np.array(at.rotation), np.array(at.origin) + shift))


def legs(move: Move) -> list[tuple[np.ndarray, np.ndarray, float]]:
    """Where each straight leg of a move ends (shift from its place), its direction and how long it is looked at."""
    last = np.array(move.direction)
    found = [(np.zeros(3), last, move.travel)]
    if move.before is not None:
        found.append((-last * move.travel, np.array(move.before), 400.0))
    return found


def test_moves_are_free_where_another_library_looks_at_them(demo: tuple[Build, Assembly]) -> None:
    """python-fcl at places along every third straight line, each part against all that is there."""
    built, work = demo
    moves = [m for s in work.steps for m in s.moves if not m.needs and m.past]
    by_path = built.plan.by_path
    assert len(moves) > 100
    for move in moves[::3]:
        assert not fcl_hits(by_path, move), move.parts


def fcl_hits(by_path: dict[str, PlacedPart], move: Move) -> bool:
    for start, d, travel in legs(move):
        for away in np.linspace(0.0, travel, 5):
            shift = start - d * away
            for a in move.parts:
                box = by_path[a].bounds()
                low, high = np.array(box.lo) + shift, np.array(box.hi) + shift
                for b in move.past:
                    other = by_path[b].bounds()
                    if np.any(low >= np.array(other.hi) - 0.02) or np.any(high <= np.array(other.lo) + 0.02):
                        continue
                    first, second = fcl_object(by_path[a], shift), fcl_object(by_path[b], np.zeros(3))
                    if fcl.collide(first, second, fcl.CollisionRequest(), fcl.CollisionResult()):
                        return True
    return False


def test_a_move_another_way_is_seen_to_hit(herbarium: Build) -> None:
    """What the two tests above would say of a bottom that is lowered past its grooves, or a back brought from the
    front."""
    by_path = herbarium.plan.by_path
    work = [m for s in assembly(herbarium).of_unit("press base") for m in s.moves]
    for path, wrong in (("press base/bottom", (0.0, 0.0, -1.0)), ("press base/back", (0.0, 1.0, 0.0))):
        move = replace(next(m for m in work if m.parts == (path,)), direction=wrong, travel=400.0)
        assert fcl_hits(by_path, move)
        assert sampled(by_path, move) > 0.0


def test_a_unit_has_a_handful_of_steps_and_only_shelves_and_beds_need_a_turn(demo: tuple[Build, Assembly]) -> None:
    built, work = demo
    for unit in built.plan.units:
        assert len(work.of_unit(unit.name)) <= 15, unit.name
    asked = {move.needs for _, move in work.by_hand()}
    assert asked <= {TILT, HANG, LOWERED}


def stages(work: Assembly, unit: str) -> list[str]:
    return [s.stage for s in work.of_unit(unit)]


def test_a_drawer_base_is_made_as_people_make_one(herbarium: Build) -> None:
    work = assembly(herbarium)
    order = [
        "drawer",
        "front",
        "frame",
        "side",
        "carcass",
        "close",
        "back",
        "frame",
        "slides",
        "place",
        "drawers",
        "fronts",
    ]
    assert stages(work, "press base") == order
    boxes = work.of_unit("press base")[0]
    assert boxes.times == 6
    assert len(boxes.shown) == 7
    names = [m.parts[0].rsplit("/", 1)[1] for m in boxes.moves[:5]]
    assert names == ["left side", "sub-front", "box back", "bottom", "right side"]


def test_what_is_no_box_is_not_spoken_of_as_one(demo: tuple[Build, Assembly]) -> None:
    """Tops, shelves, panels and drawer frames have no sides and no carcass."""
    build, whole = demo
    boxes = {u.name for u in build.plan.units if any(p.role == "side" for p in u.parts)}
    others = [s for s in whole.steps if s.unit not in boxes and s.where == "bench" and s.stage in ("carcass", "close")]
    assert others
    for s in others:
        assert "carcass" not in f"{s.title} {s.text} {s.checks}"
        assert "side" not in s.text


def test_the_diagonals_to_measure_are_those_of_the_built_carcass(herbarium: Build) -> None:
    close = next(s for s in assembly(herbarium).of_unit("press base") if s.stage == "close")
    assert close.checks[0].kind == "diagonals"
    assert close.checks[0].values == (pytest.approx((620**2 + 882**2) ** 0.5, abs=0.3),)  # 620 wide, 882 high


def test_pins_come_before_the_shelf_that_lies_on_them_and_hinges_before_the_door_is_hung(herbarium: Build) -> None:
    order = [p for s in assembly(herbarium).steps for m in s.moves for p in m.parts]
    place = {p: order.index(p) for p in order}
    for joint in herbarium.plan.joints:
        if joint.kind == "rests" and "pin" in joint.b:
            assert place[joint.b] < place[joint.a]
    work = assembly(herbarium).of_unit("jar base")
    assert any("hinge" in p for s in work if s.stage == "door" for p in s.new)


@dataclass(frozen=True)
class Screws:
    item: str
    count: int
    parts: tuple[str, ...]


def test_fasteners_are_counted_where_their_last_part_comes(herbarium: Build) -> None:
    work = assembly(herbarium)
    base = ("press base/bottom", "press base/left side"), ("press base/left side",)
    counted = told(work.steps, (), [Screws("screw 4x50", 5, base[0]), Screws("wall screw", 2, base[1])])
    found = {(s.unit, s.stage): s.fasteners for s in counted if s.fasteners}
    assert {k: (v[0].item, v[0].count) for k, v in found.items()} == {
        ("press base", "carcass"): ("screw 4x50", 5),
        ("press base", "place"): ("wall screw", 2),
    }


def test_a_panel_in_a_groove_is_held_and_one_that_only_touches_is_not(herbarium: Build) -> None:
    space = Space.of(herbarium.plan.walk())
    bottom, left = space.at(["press base/bottom"]), space.at(["press base/left side"])
    assert space.blocked(bottom, left, (0.0, 0.0, 1.0), 500.0) is not None
    assert space.blocked(bottom, left, (1.0, 0.0, 0.0), 500.0) is None
    toe = space.at(["press base/toe board"])
    assert space.blocked(toe, left, (0.0, 0.0, 1.0), 50.0) is None


def test_the_same_room_gives_the_same_steps(trains: Build) -> None:
    assert assembly(trains) == assembly(trains)


def hold(plan: Plan, stock: Stock) -> Assembly:
    """The steps of a lone unit, replayed and looked at again."""
    unit = plan.units[0]
    space = Space.of(plan.walk())
    shop = Shop(space, stock)
    work = unit_work(space, unit, Placement())
    alone = [
        step(shop, unit.name, "site", "wall", [Placing(Item(p, (p,), 0, "wall"), DOWN, (), 0.0)])
        for p in wall_parts(unit)
    ]
    steps = bench_steps(shop, work) + [step(shop, unit.name, "site", b.stage, b.moves) for b in work.late] + alone
    whole = Assembly(told(steps, plan.joints, ()))
    assert Counter(p for s in whole.steps for p in s.new) == Counter(p.path for p in unit.parts)
    assert sum(replay(whole).values()) == 1 + len(alone)
    straight = [m for s in whole.steps for m in s.moves if not m.needs and m.past]
    for move in straight[::5]:
        assert sampled(plan.by_path, move, 4) == 0.0, move.parts
    return whole


UNITS = sorted(p.stem for p in (CONFIGS / "units").glob("*.yaml") if "inch" not in p.stem)


@pytest.mark.parametrize("name", UNITS)
def test_every_unit_to_start_from_goes_together(upper: MakeUnit, make_unit: MakeUnit, stocks: Any, name: str) -> None:
    said = yaml.safe_load((CONFIGS / "units" / f"{name}.yaml").read_text(encoding="utf-8"))
    if said.get("lengths") == "in" or said["kind"] not in ("base", "upper", "kneehole"):
        return
    options = {k: v for k, v in said.items() if k not in ("kind", "lengths", "note", "materials", "height")}
    height = float(said.get("height", 900))
    tall = upper if said["kind"] == "upper" else make_unit
    made = tall(1000, height, **options) if tall is upper else tall(said["kind"], 1000, height, **options)
    work = hold(plan_of(made), stocks["mm"][0])
    assert len(work.steps) <= 18
    assert all(m.needs in ("", TILT) for s in work.steps for m in s.moves)


ASKED = given(asked=ANY_UNIT, width=st.sampled_from([450.0, 700.0, 1100.0]), height=st.sampled_from([600.0, 900.0]))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@ASKED
def test_any_unit_goes_together(
    make_unit: MakeUnit, stocks: Any, asked: tuple[str, dict[str, Any]], width: float, height: float
) -> None:
    assert_goes_together(make_unit, stocks, asked, width, height)


@pytest.mark.slow
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@ASKED
def test_many_units_go_together(
    make_unit: MakeUnit, stocks: Any, asked: tuple[str, dict[str, Any]], width: float, height: float
) -> None:
    assert_goes_together(make_unit, stocks, asked, width, height)


def assert_goes_together(
    make_unit: MakeUnit, stocks: Any, asked: tuple[str, dict[str, Any]], width: float, height: float
) -> None:
    kind, options = asked
    made = built_or_refused(lambda: make_unit(kind, width, height, **options))
    if made is None:
        return
    plan = plan_of(made)
    whole = hold(plan, stocks["mm"][0])
    assert sum(j.count for s in whole.steps for j in s.joints) == len(plan.joints)
    assert all(m.needs != BY_HAND for s in whole.steps for m in s.moves)
