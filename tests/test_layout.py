"""Where things come to stand: walls end to end, uppers on tops and walls, shelves between uppers, corners."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from projects import wrong
from rooms import l_shape, room_project, unit

from model.build import Build, build
from model.checks import run
from model.checks.interference import interference, interference_of
from model.cuts import Notch
from model.errors import ConfigError
from model.materials import Materials
from model.placement import Placement
from model.plan import Plan
from model.project import Corner
from model.room.ceiling import ceiling_of
from model.room.room import Room
from model.shapes import Box
from model.site import Site, Unbuildable
from model.siting.layout import CornerSpot, room_walls
from model.stock.tables import Stock
from model.tolerances import rounded
from model.units.corner import build_corner


class Said:
    """Just enough of what is read to lay walls out."""

    def __init__(self, room: Room) -> None:
        self.room = self
        self.value = room


def laid(walls: dict[str, dict[str, float]], **more: object) -> Room:
    return Room.model_validate({"height": 2500.0, "walls": walls, **more})


def frames(room: Room) -> dict[str, tuple[float, float]]:
    walls = room_walls(Said(room))  # pyright: ignore[reportArgumentType]
    return {name: wall.frame.origin[:2] for name, wall in walls.items()}


def bounds(built: Build, name: str) -> Box:
    parts = [p.bounds() for u in built.plan.units if u.name == name for p in u.parts if p.part.kind != "hardware"]
    lo = [min(b.lo[i] for b in parts) for i in range(3)]
    hi = [max(b.hi[i] for b in parts) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def codes(built: Build) -> list[str]:
    return [f.code for f in wrong(built)]


def test_walls_run_on_where_the_last_ends() -> None:
    """An L-shaped room, corners worked out by hand: five inside corners and an outside one bring the last wall home."""
    room = laid(
        {
            "a": {"width": 3000.0},
            "b": {"width": 2000.0},
            "c": {"width": 1000.0, "turn": -90.0},
            "d": {"width": 500.0},
            "e": {"width": 2000.0},
            "f": {"width": 2500.0},
        }
    )
    corners = [(0, 0), (3000, 0), (3000, -2000), (2000, -2000), (2000, -2500), (0, -2500)]
    assert list(frames(room).values()) == [pytest.approx(c) for c in corners]
    walls = room_walls(Said(room))  # pyright: ignore[reportArgumentType]
    assert walls["f"].frame.apply((2500, 0, 0)) == pytest.approx((0, 0, 0))
    assert all(w.frame.apply((w.wall.width / 2, -100, 0))[2] == 0 for w in walls.values())


@given(st.lists(st.tuples(st.floats(300, 5000), st.floats(-170, 170)), min_size=2, max_size=8))
def test_a_polyline_closes_as_complex_numbers_say(walls: list[tuple[float, float]]) -> None:
    """Each wall is a complex number; its direction the product of the turns before it."""
    room = laid({f"w{i}": {"width": w, "turn": t} for i, (w, t) in enumerate(walls)})
    at, direction = 0j, 1 + 0j
    for origin, (width, turn) in zip(frames(room).values(), walls, strict=True):
        assert complex(*origin) == pytest.approx(at, abs=0.01 * len(walls))
        at += width * direction
        direction *= complex(math.cos(math.radians(turn)), -math.sin(math.radians(turn)))


def test_a_ceiling_comes_down_toward_a_wall_and_along_it() -> None:
    room = laid(
        {"a": {"width": 4000.0}, "b": {"width": 3000.0}},
        slopes=[
            {"wall": "a", "falls_to": 1500.0, "over": 1000.0},
            {"wall": "a", "toward": "right", "falls_to": 2000.0, "over": 2000.0},
            {"wall": "b", "toward": "left", "falls_to": 2400.0, "over": 500.0},
        ],
    )
    ceiling = ceiling_of(room, {n: w.frame for n, w in room_walls(Said(room)).items()})  # pyright: ignore[reportArgumentType]
    assert ceiling.over((0, 0, 0)) == 1500
    assert ceiling.over((0, -500, 0)) == pytest.approx(2000)
    assert ceiling.over((0, -1000, 0)) == ceiling.over((0, -2500, 0)) == 2500
    assert ceiling.over((4000, -2500, 0)) == 2000
    assert ceiling.over((3000, -2500, 0)) == pytest.approx(2250)
    assert ceiling.over((3900, -900, 0)) == pytest.approx(min(1500 + 900, 2000 + 25))


RUN = {"north": [unit("a", "open"), unit("seat", "seat", 1000), unit("b", "open")]}
WALL = {"walls": {"north": {"width": 2200}}}
TOP = [{"name": "top", "wall": "north", "over": ["a", "seat", "b"], "height": 900}]


def test_an_upper_hangs_where_it_is_said(tmp_path: Path) -> None:
    uppers = [{"name": "hung", "unit": "upper.yaml", "wall": "north", "x": 300, "width": 700, "bottom": 1400}]
    built = build(room_project(tmp_path, WALL, RUN, tops=TOP, uppers=uppers))
    box = bounds(built, "hung")
    assert box.span("x") == pytest.approx((300, 1000))
    assert box.span("z") == pytest.approx((1400, 2300))
    assert box.hi[1] == pytest.approx(0)
    assert codes(built) == []


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({}, "say on and above"),
        ({"on": "top"}, "above is missing"),
        ({"on": "top", "above": "a", "x": 3}, "stands on a top says on, above, leave this out"),
        ({"wall": "north", "x": 0, "width": 600}, "bottom is missing"),
        ({"wall": "west", "x": 0, "width": 600, "bottom": 1400}, "no wall 'west'"),
        ({"on": "top", "above": "c"}, "'c' is not under 'top'"),
    ],
)
def test_an_upper_placed_by_halves_is_refused(tmp_path: Path, said: dict, message: str) -> None:
    uppers = [{"name": "u", "unit": "upper.yaml", **said}]
    with pytest.raises(ConfigError, match=message):
        build(room_project(tmp_path, WALL, RUN, tops=TOP, uppers=uppers))


def test_a_corner_takes_of_both_walls_what_its_depths_and_clearance_come_to(tmp_path: Path) -> None:
    """Bases 600 deep 14 off the walls, 75 clear: both runs stop 614 + 75 from the corner; 2800 and 2600 are shared."""
    built = build(l_shape(tmp_path))
    assert bounds(built, "b").hi[0] == pytest.approx(2800 - 689)
    assert bounds(built, "c").hi[1] == pytest.approx(-689)
    assert bounds(built, "d").lo[1] == pytest.approx(-2600)
    boards = [built.plan.by_path[f"corner/{which} board"].bounds() for which in ("first", "second")]
    assert boards[0].lo[1] == pytest.approx(-614)
    assert boards[1].span("y") == pytest.approx((-689, -614))
    assert boards[1].lo[0] == pytest.approx(2800 - 614)
    north, east = bounds(built, "north top"), bounds(built, "east top")
    assert north.span("x") == pytest.approx((0, 2800))
    assert north.lo[1] == pytest.approx(-614 - 25)
    assert east.hi[1] == pytest.approx(north.lo[1])
    assert east.span("x") == pytest.approx((2800 - 614 - 25, 2800))


@pytest.mark.parametrize("make", [{"edge": {"board": "pine 20x40"}}, {"layers": 2}, {"backsplash": {}}])
def test_tops_of_an_l_are_made_up(tmp_path: Path, make: dict) -> None:
    """An edge 40 high hangs 22.2 below a sheet of 17.8; where the second top comes before it, it is sawn off there."""
    built = build(l_shape(tmp_path, make=make))
    assert [f.message for f in wrong(built) if f.severity == "fault"] == []
    edges = [p for p in built.plan.walk() if p.path.startswith("north top/edge")]
    assert len(edges) == ("edge" in make)
    for edge in edges:
        (cut,) = [c for c in edge.part.cuts if isinstance(c, Notch)]
        assert sorted((cut.u1 - cut.u0, cut.v1 - cut.v0)) == pytest.approx([22.2, 614 + 25])


@pytest.mark.parametrize("how", ["notch", "removed"])
@pytest.mark.parametrize("kind", ["filler", "blind", "open"])
def test_an_l_meets_its_baseboards(tmp_path: Path, kind: str, how: str) -> None:
    built = build(l_shape(tmp_path, kind, baseboard=how))
    assert [f.message for f in wrong(built) if f.severity == "fault"] == []
    assert bounds(built, "c").hi[0] == pytest.approx(2800)


@pytest.mark.parametrize("kind", ["filler", "blind", "open"])
def test_an_l_with_drawers_at_its_corner_is_sound(tmp_path: Path, kind: str) -> None:
    """Nothing collides at rest or as any one drawer or door opens; what cannot be open together is said."""
    built = build(l_shape(tmp_path, kind))
    found = run(built)
    assert [f.message for f in wrong(built) if f.severity == "fault"] == []
    meeting = {f.message.split(" cannot")[0] for f in found if f.code == "not-both-open"}
    # drawers of both walls meet; a door turns over the face of its neighbour, into the pulls of the open drawers there
    corner = {"b and corner", "c and corner"} if kind == "blind" else set()
    assert meeting == {"b and c", "c and d"} | corner


def test_drawers_foul_each_other_where_a_corner_leaves_no_clearance(tmp_path: Path) -> None:
    """Pulls and fronts of the second wall stand out past 38 mm of clearance: the first wall's end drawers meet them."""
    walls = {"north": {"width": 1300}, "east": {"width": 1300}}
    rows = {name: [unit(f"{name} base", "drawers", {"fill": 1}, height=800, frame=None)] for name in walls}
    blocked: dict[int, set[str]] = {}
    for clear in (75, 38):
        corner = {"name": "corner", "walls": ["north", "east"], "height": 800, "clear": clear}
        built = build(room_project(tmp_path / str(clear), {"walls": walls}, rows, corners=[corner]))
        blocked[clear] = {f.parts[0].split("/")[0] for f in interference_of(built.plan) if f.code == "blocked"}
    assert blocked == {75: set(), 38: {"north base", "east base"}}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"walls": ["east", "north"]}, "name the walls in order"),
        ({"walls": ["north", "west"]}, "no units stand along 'west'"),
        ({"clear": 35}, "leaves no room behind its boards|meet past the corner"),
    ],
)
def test_a_corner_that_cannot_be_is_refused(tmp_path: Path, change: dict, message: str) -> None:
    with pytest.raises(ConfigError, match=message):
        build(l_shape(tmp_path, corner=change))


def test_a_u_of_three_walls_is_sound(tmp_path: Path) -> None:
    walls = {"west": {"width": 2400}, "north": {"width": 3200}, "east": {"width": 2400}}
    built = build(
        room_project(
            tmp_path,
            {"walls": walls},
            {
                "west": [unit("a", "open", {"fill": 1})],
                "north": [unit("b", "drawers", {"fill": 1})],
                "east": [unit("c", "drawers", {"fill": 1})],
            },
            corners=[
                {"name": "one", "walls": ["west", "north"], "kind": "filler"},
                {"name": "two", "walls": ["north", "east"], "kind": "blind"},
            ],
            tops=[
                {"name": "t1", "wall": "west", "over": ["a", "one"], "height": 900},
                {"name": "t2", "wall": "north", "over": ["one", "b", "two"], "height": 900},
                {"name": "t3", "wall": "east", "over": ["two", "c"], "height": 900},
            ],
        )
    )
    assert [f.message for f in wrong(built) if f.severity == "fault"] == []


def test_two_runs_that_meet_without_a_corner_collide(tmp_path: Path) -> None:
    walls = {
        "north": [unit("a", "open", {"fill": 1}, height=800)],
        "east": [unit("b", "open", {"fill": 1}, height=800)],
    }
    built = build(room_project(tmp_path, {"walls": {"north": {"width": 1500}, "east": {"width": 1500}}}, walls))
    assert "overlap" in {f.code for f in interference_of(built.plan)}


def connected(folder: Path, at: float = 300, uppers: list[dict] | None = None, **change: object) -> Build:
    """Two uppers on one top, 900 and 700 high, 300 and 250 deep, 1000 apart over a kneehole; shelves between them."""
    uppers = uppers or [
        {"name": "left", "unit": "upper.yaml", "on": "top", "above": "a"},
        {"name": "right", "unit": "low upper.yaml", "on": "top", "above": "b", "change": {"depth": 250}},
    ]
    shelves = [{"name": "bridge", "unit": "bridge.yaml", "between": ["left", "right"], "at": at, "change": change}]
    units = {"bridge": {"kind": "connecting"}}
    return build(room_project(folder, WALL, RUN, units, tops=TOP, uppers=uppers, connecting=shelves))


def test_connecting_shelves_fill_the_gap_between_two_uppers(tmp_path: Path) -> None:
    built = connected(tmp_path)
    box = bounds(built, "bridge")
    assert box.span("x") == pytest.approx((600, 1600), abs=2.01)
    assert box.hi[1] <= 0.01
    assert box.lo[1] >= -250.01
    shelves = [p.bounds() for u in built.plan.units if u.name == "bridge" for p in u.parts if "shelf" in p.role]
    assert min(b.lo[2] for b in shelves) == pytest.approx(1200)
    assert box.hi[2] <= 900 + 700 + 0.01
    assert [f.message for f in wrong(built) if f.severity == "fault"] == []
    assert built.inputs.units["bridge"].kind.name == "connecting"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"at": 800}, "begin 100 mm above the lower"),
        ({"depth": 290}, "deeper than the uppers they lie between .250 mm."),
        ({"uppers": [{"name": "left", "unit": "upper.yaml", "on": "top", "above": "a"}]}, "no upper 'right'"),
    ],
)
def test_connecting_shelves_that_have_no_place(tmp_path: Path, change: dict, message: str) -> None:
    with pytest.raises(ConfigError, match=message):
        connected(tmp_path, **change)


@settings(max_examples=200, deadline=None)
@given(
    kind=st.sampled_from(["filler", "blind", "open"]),
    depths=st.tuples(st.floats(250, 700), st.floats(250, 700)),
    off=st.floats(0, 25),
    clear=st.floats(30, 250),
    overhang=st.none() | st.floats(-20, 60),
    height=st.floats(200, 1200),
    door=st.booleans(),
    opening=st.floats(150, 900),
    lengths=st.sampled_from(["mm", "in"]),
    covered=st.booleans(),
)
def test_any_corner_is_sound_or_says_why_not(
    stocks: dict[str, tuple[Stock, Materials]],
    kind: str,
    depths: tuple[float, float],
    off: float,
    clear: float,
    overhang: float | None,
    height: float,
    door: bool,
    opening: float,
    lengths: str,
    covered: bool,
) -> None:
    """No two of its parts share a volume, every joint meets, its door opens, and it keeps to the place it has."""
    stock, materials = stocks[lengths]
    corner = Corner.model_validate(
        {"name": "c", "walls": ("n", "e"), "kind": kind, "clear": clear, "door": door, "opening": opening}
    )
    room = laid({"n": {"width": 4000.0}, "e": {"width": 4000.0}})
    first, second = room_walls(Said(room)).values()  # pyright: ignore[reportArgumentType]
    site = Site("c", "CR1", 1.0, rounded(height), stock, materials)
    reach = depths[1] + clear + (opening + site.sheet("carcass").thickness if kind == "blind" else 0.0)
    taken = (rounded(4000 - reach), 4000.0), (0.0, rounded(depths[0] + clear))
    whole = (rounded(depths[0]), rounded(depths[1]))
    spot = CornerSpot(corner, first, second, taken, whole, (rounded(off), rounded(off)))
    seam = None if overhang is None or not covered else rounded(depths[0] + overhang)
    try:
        made = build_corner(site, spot, seam, covered)
    except (Unbuildable, ValueError):
        return
    plan = Plan("test", (made.placed(Placement()),))
    found = [f for f in interference(plan) if f.code != "adrift" or "cleat" not in f.message]  # a top holds its cleats
    assert [f.message for f in found] == []
    for placed in made.parts:
        box = placed.bounds()
        assert box.hi[0] <= 4000.01
        assert box.hi[1] <= 0.01
        if placed.part.kind != "hardware":  # a pull may stand out past the second wall's first unit, beside it
            assert box.lo[1] >= -taken[1][1] - 0.01
            assert box.lo[0] >= taken[0][0] - 0.01
