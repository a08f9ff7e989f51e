"""Two motions at once: what cannot be open together, what must open first, and how far each opens; closed forms, and
boxes looked at step by step."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import CONFIGS
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from placed import block, placements
from projects import base, write_project, wrong
from rooms import room_project, unit

from model.build import Build, build
from model.checks import run
from model.checks.both_open import both_open
from model.collision.bodies import Bodies, apart
from model.collision.sweeps import Sweeps
from model.collision.together import Mover, likeness, together
from model.findings import Finding
from model.part import Motion, PlacedPart
from model.placement import Placement
from model.tolerances import CONTACT

FRONT, LEFT, UP = (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)


def mover(name: str, low: tuple, high: tuple, direction: tuple, travel: float, hinge: tuple | None = None) -> Mover:
    part, at = block(low, high)
    placed = PlacedPart(name, part, at, "part")
    if hinge is None:
        return Mover(Motion(name, "slide", (name,), direction, travel), (placed,))
    return Mover(Motion(name, "swing", (name,), direction, math.radians(travel), hinge), (placed,))


def test_two_drawers_round_a_corner() -> None:
    """The first runs along y past x = 0 to 400, the second along x past y = -100 to -500: each comes as far as the
    other's near face, 100 mm and 50 mm."""
    first = mover("a", (0, 0, 0), (400, 450, 100), FRONT, 450)
    second = mover("b", (450, -500, 0), (900, -100, 100), LEFT, 300)
    found = together(first, second)
    assert found.verdict == "never"
    assert (found.first_alone, found.second_alone) == (None, None)
    assert found.first_after == pytest.approx(100, abs=0.1)
    assert found.second_after == pytest.approx(50, abs=0.1)


def test_drawers_that_only_just_pass() -> None:
    """The second comes to x = 400 exactly and no further: the first slides along its face."""
    first = mover("a", (0, 0, 0), (400, 450, 100), FRONT, 450)
    assert together(first, mover("b", (450, -500, 0), (900, -100, 100), LEFT, 50)).verdict == "free"
    assert together(first, mover("b", (450, -500, 0), (900, -100, 100), LEFT, 51)).verdict == "never"


def test_a_door_before_the_drawer_behind_it() -> None:
    """A door 400 wide before a drawer, hinged at its left: the drawer comes 5 mm before the shut door, and clear of
    the door turned by a right angle; the door cannot be turned while the drawer is out."""
    door = mover("door", (0, -18, 0), (400, 0, 600), UP, -90, (0, -18, 0))
    drawer = mover("drawer", (30, 5, 100), (370, 455, 200), FRONT, 400)
    found = together(door, drawer)
    assert found.verdict == "first then second"
    assert found.second_alone == pytest.approx(5, abs=0.1)
    assert found.second_after is None
    assert together(drawer, door).verdict == "second then first"


def test_a_tray_behind_a_door_that_opens_too_little() -> None:
    """A door that turns by 60 degrees only stays in the way of what is behind it: told of it alone."""
    door = mover("door", (0, -18, 0), (400, 0, 600), UP, -60, (0, -18, 0))
    drawer = mover("drawer", (30, 5, 100), (370, 455, 200), FRONT, 400)
    assert together(door, drawer).verdict == "blocked"


def test_two_doors_that_open_toward_each_other() -> None:
    """Two leaves of width w whose hinges lie g apart, turned outward by s past a right angle.

    Seen from above, hinges at 0 and g: the tip of the one that stands open lies at (g - w sin s, -w cos s). The other
    comes to it with its face, the line through its own hinge, at the bearing of that tip.
    """
    w, t, g, s = 400.0, 18.0, 60.0, math.radians(20)
    left = mover("left", (-w, -t, 0), (0, 0, 600), UP, 110, (0, -t, 0))
    right = mover("right", (g, -t, 0), (g + w, 0, 600), UP, -110, (g, -t, 0))
    found = together(left, right)
    assert found.verdict == "never"
    assert found.first_after == pytest.approx(found.second_after or 0, abs=1e-4)
    tip = g - w * math.sin(s), w * math.cos(s)
    assert math.hypot(*tip) < w
    assert found.first_after == pytest.approx(math.pi / 2 + math.atan2(*tip), abs=math.radians(0.05))


def test_equal_pairs_elsewhere_in_the_room_are_alike() -> None:
    first = mover("a", (0, 0, 0), (400, 450, 100), FRONT, 450)
    second = mover("b", (450, -500, 0), (900, -100, 100), LEFT, 300)
    by = Placement.turned("z", math.pi / 2, (1000.0, 200.0, 0.0))

    def moved(m: Mover, travel: float | None = None) -> Mover:
        motion = m.motion.moved(by, "there")
        parts = tuple(p.moved(by, "there") for p in m.parts)
        return Mover(motion if travel is None else replace(motion, travel=travel), parts)

    assert likeness(first, second) == likeness(moved(first), moved(second))
    assert likeness(first, second) != likeness(moved(first), moved(second, 299.0))
    assert likeness(first, second) != likeness(second, first)


def at_share(m: Mover, share: float) -> list[PlacedPart]:
    return list(Mover(replace(m.motion, travel=m.motion.travel * share), m.parts).opened())


def apart_at(m: Mover, others: list[PlacedPart], share: float, inward: float = CONTACT / 2) -> bool:
    """Whether the boxes of a motion, so far open and drawn in by `inward` mm, share nothing with others: separating
    axes, exact for boxes."""
    mine = at_share(m, share)
    bodies = Bodies.of([*mine, *others])
    names = {p.path for p in mine}
    i = np.array([k for k, p in enumerate(bodies.placed) if p.path in names])
    j = np.array([k for k, p in enumerate(bodies.placed) if p.path not in names])
    a, b = (x.ravel() for x in np.meshgrid(i, j))
    return bool(apart(bodies, a, b, grow=-inward).all())


def movers() -> st.SearchStrategy[Mover]:
    """A board of random size anywhere near, that slides or turns about an upright or level axis."""
    size = st.sampled_from([(300.0, 200.0, 18.0), (150.0, 90.0, 40.0), (250.0, 30.0, 30.0)])
    axis = st.sampled_from([FRONT, LEFT, UP, (0.6, 0.8, 0.0)])

    def made(size: tuple, at: Placement, kind: Any, axis: tuple, travel: float, off: tuple, name: str) -> Mover:
        part, _ = block((0, 0, 0), size)
        run = travel if kind == "slide" else math.copysign(abs(travel) / 130, travel - 150)
        origin = tuple(a + b for a, b in zip(at.origin, off, strict=True))
        return Mover(Motion(name, kind, (name,), axis, run, origin), (PlacedPart(name, part, at, "part"),))

    offs = st.tuples(*[st.floats(-150, 150).map(round)] * 3)
    kinds = st.sampled_from(["slide", "swing"])
    return st.builds(made, size, placements, kinds, axis, st.floats(30, 260), offs, st.sampled_from(["a", "b"]))


STEPS = np.linspace(0.0, 1.0, 121)


@settings(deadline=None, max_examples=150)
@given(movers(), movers())
def test_runs_agree_with_looking_step_by_step(first: Mover, second: Mover) -> None:
    """No run goes on where the boxes share something, and none ends where they do not; a free run never meets."""
    assume(first.motion.name != second.motion.name)
    assume(apart_at(first, list(second.parts), 0.0))
    result = together(first, second)
    for m, others, free in (
        (first, list(second.parts), result.first_alone),
        (second, list(first.parts), result.second_alone),
        (first, at_share(second, 1.0), result.first_after),
        (second, at_share(first, 1.0), result.second_after),
    ):
        if not apart_at(m, others, 0.0):
            continue  # the other one could not even open by itself
        share = 1.0 if free is None else free / abs(m.motion.travel)
        # boxes drawn in by 1 mm that still meet share more than the nick of 1 mm^3 that does not count
        assert all(apart_at(m, others, float(s), inward=1.0) for s in STEPS if s < share - 1e-3)
        soon = [s for s in (share + 1e-3, share + 5e-3, share + 2e-2, 1.0) if s <= 1.0]
        assert free is None or any(not apart_at(m, others, s) for s in soon)


@settings(deadline=None)
@given(movers(), st.floats(0, 1))
@example(mover("a", (0, 0, 0), (400, 18, 600), UP, 200, (0, 0, 0)), 0.45)
def test_the_bounds_of_a_sweep_hold_it(m: Mover, share: float) -> None:
    sweep = Sweeps.of(Bodies.of(m.parts), (m.motion,))
    for placed in at_share(m, share):
        low, high = (b[0] for b in Bodies.of([placed]).bounds())
        assert np.all(low >= sweep.low[0] - 1e-3)
        assert np.all(high <= sweep.high[0] + 1e-3)


def test_the_bounds_of_a_door_reach_where_its_corner_does() -> None:
    """A door 600 x 18 hinged at its rear corner: by half a turn its outer corner comes sqrt(600^2 + 18^2) out."""
    door = mover("a", (0, -18, 0), (600, 0, 700), UP, -180, (0, 0, 0))
    sweep = Sweeps.of(Bodies.of(door.parts), (door.motion,))
    assert sweep.low[0] == pytest.approx((-math.hypot(600, 18), -math.hypot(600, 18), 0), abs=0.02)
    assert sweep.high[0] == pytest.approx((600, 18, 700), abs=0.02)


def found(built: Build, code: str) -> list[Finding]:
    return [f for f in both_open(built) if f.code == code]


def drawers_beside_doors(folder: Path, opens: float) -> Build:
    row = [unit("a", "drawers", 600, height=870), unit("b", "doors", 800, height=870, doors={"opens": opens})]
    return build(room_project(folder, {"walls": {"north": {"width": 2400}}}, {"north": row}))


def test_a_door_turns_over_the_face_of_its_neighbour(tmp_path: Path) -> None:
    """Opened past a right angle its pull comes to the front of an open drawer; at a right angle it does not."""
    (never,) = found(drawers_beside_doors(tmp_path / "far", 100), "not-both-open")
    assert never.message.startswith("a and b cannot be open at the same time")
    assert never.parts[0].startswith("a/drawer 1/")
    assert never.parts[1].startswith("b/left door/")
    sizes = dict(never.details)
    assert 90 < sizes["second_free_deg"] < 100
    assert 300 < sizes["first_free_mm"] < 330
    assert dict(never.posed) == {
        "b/left door": pytest.approx(math.radians(100)),
        "a/drawer 1": pytest.approx(sizes["first_free_mm"], abs=0.06),
    }
    assert found(drawers_beside_doors(tmp_path / "square", 90), "not-both-open") == []


@pytest.mark.parametrize("demo", ["herbarium", "trains", "guest-study"])
def test_the_demos_can_all_be_open(demo: str) -> None:
    assert [f.message for f in found(build(CONFIGS / demo / "project.yaml"), "not-both-open")] == []


def with_room_door(folder: Path, **door: Any) -> Build:
    """A base with drawers at the left end of the north wall, and a door in the wall at its left, near the corner."""
    walls = {"west": {"width": 3000, "doors": [{"x": 1500, "width": 800, **door}]}, "north": {"width": 3000}}
    row = [unit("base", "drawers", 600, height=870)]
    return build(room_project(folder, {"walls": walls}, {"north": row}))


def test_the_rooms_own_door_against_drawers(tmp_path: Path) -> None:
    """The wall is 3000 long up to the corner: a leaf hinged 2300 along it reaches 2300 with its edge, and the drawers
    come 600 + 500 out of the corner; hinged at its right it turns right before them, at its left it does not."""
    right = with_room_door(tmp_path / "r", hinged="right", x=1500)
    assert {f.code for f in wrong(right)} == {"not-both-open"}
    (never,) = found(right, "not-both-open")
    assert "the door on west" in never.message
    assert found(with_room_door(tmp_path / "far", hinged="right", x=900), "not-both-open") == []


def test_a_window_that_opens_into_an_upper(tmp_path: Path) -> None:
    """A sash 600 wide hinged at its left next to a tall base: its reveal is none, so it turns freely by 90 degrees; one
    hinged at its right, on the base's side, does not where the base stands before it."""

    def at(x: float, hinged: str) -> list[Finding]:
        wall = {"width": 3000, "windows": [{"x": x, "z": 1000, "width": 600, "height": 900, "hinged": hinged}]}
        row = [unit("tall", "open", 600, height=2000)]
        path = room_project(tmp_path / f"{x}{hinged}", {"walls": {"north": wall}}, {"north": row})
        return [f for f in run(build(path)) if f.code == "window-blocked"]

    assert at(700, "left") == []
    assert at(700, "right") == []
    (met,) = at(580, "left")  # the hinge lies behind the base's side: the sash cannot move at all
    assert met.value == pytest.approx(0, abs=0.5)
    assert met.severity == "warning"
    (later,) = at(500, "right")
    assert 0 <= (later.value or 0) < 5


@pytest.mark.parametrize(("falls_to", "hits"), [(1300.0, True), (1500.0, False)])
def test_a_door_swings_into_a_sloping_ceiling(tmp_path: Path, falls_to: float, hits: bool) -> None:
    """The ceiling comes down over 900 mm toward the right end of a wall of 1400; a base 1000 wide and 1700 high ends
    400 before it. Its right leaf, 500 wide and turned by 110 degrees, reaches 500 sin 20 = 171 further: there the
    ceiling is falls_to + 229 (2500 - falls_to) / 900 high, 1605 and 1754; over the base itself it is above 1800."""
    row = [unit("tall", "doors", 1000, height=1700, doors={"leaves": 2, "opens": 110})]
    slopes = [{"wall": "north", "toward": "right", "falls_to": falls_to, "over": 900}]
    built = build(room_project(tmp_path, {"walls": {"north": {"width": 1400}}, "slopes": slopes}, {"north": row}))
    faults = [f for f in run(built) if f.severity == "fault"]
    assert {f.code for f in faults} <= {"hits-room"}
    assert any("sloping" in f.message for f in faults) == hits


def test_what_a_drawer_holds_rides_along(tmp_path: Path) -> None:
    """What stands higher than the rail over the drawer's opening meets it as the drawer is pulled; lower is free."""

    def built(holds: dict[str, float] | None) -> Build:
        drawers = {"rows": 2, "mullions": True, **({"holds": holds} if holds else {})}
        return build(write_project(tmp_path, {"press": base(height=800, drawers=drawers)}))

    sound = [f.message for f in run(built(None)) if f.severity == "fault"]
    assert sound == [f.message for f in run(built({"height": 100})) if f.severity == "fault"] == []
    faults = [f for f in run(built({"height": 330})) if f.severity == "fault"]
    assert faults
    assert all(any(path.endswith("/load") for path in f.parts) for f in faults)
    plan = built({"height": 100}).plan
    assert len(plan.loads) == 2
    assert not any(p.role == "load" for p in plan.walk())
