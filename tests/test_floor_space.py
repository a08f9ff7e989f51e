"""The floor in front of units and the way into the room, against closed forms and sampling."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rooms import room_project, unit
from test_room import LOW, found, room

from model.build import build
from model.checks.floor_space import distance, hull, leaf_sector
from model.checks.way_in import longest_round
from model.room.room import Door

DOOR = {"name": "door", "x": 1400, "width": 800}


TEN_SHORT = math.radians(10)


@pytest.mark.parametrize(
    ("hinged", "opens", "near"), [("left", 90, None), ("left", 170, 300 / math.cos(TEN_SHORT)), ("right", 20, 400)]
)
def test_a_leaf_swings_into_a_unit(tmp_path: Path, hinged: str, opens: float, near: float | None) -> None:
    """A door on the next wall, its left edge 300 past the faces of the bases, 600 from the corner.

    Hinged at the left it meets them only past a right angle, its leaf 10 degrees short of pointing straight at them.
    Hinged at the right, 400 past their faces with a leaf of 800, it meets them as soon as it opens.
    """
    x = 900 if hinged == "left" else 200
    door = {**DOOR, "x": x, "opens": opens, "hinged": hinged}
    built = room(tmp_path, {}, [unit("a", "open", 2400, **LOW)], walls={"east": {"width": 2400, "doors": [door]}})
    hits = found(built, "door-leaf")
    assert [h.value for h in hits] == ([pytest.approx(near, abs=1)] if near else [])


def test_a_leaf_that_swings_out_is_no_one_s_business(tmp_path: Path) -> None:
    for swings, n in (("in", 1), ("out", 0)):
        door = {**DOOR, "x": 650, "swings": swings, "hinged": "left", "opens": 180}
        built = room(tmp_path / swings, {"doors": [door]})
        assert len(found(built, "door-leaf")) == n


def test_a_unit_before_a_door(tmp_path: Path) -> None:
    (seen,) = found(room(tmp_path, {"doors": [{**DOOR, "x": 500, "swings": "out"}]}), "doorway")
    assert seen.value == 0


@given(st.floats(1, 180), st.sampled_from(["left", "right"]), st.floats(0.01, 0.99))
def test_a_leaf_stays_in_its_sector(opens: float, hinged: str, part: float) -> None:
    """The tip of the leaf at any angle lies inside both sides; just beyond its angle it does not."""
    door = Door.model_validate({"x": 100.0, "width": 800.0, "hinged": hinged, "opens": opens})
    hinge, first, second = leaf_sector(door)
    for angle, inside in ((opens * part, True), (opens + 2, False)):
        way = 1 if hinged == "left" else -1
        tip = (math.cos(math.radians(angle)) * 800 * way, -math.sin(math.radians(angle)) * 800)
        assert (hinge[0], hinge[1]) == (100 if hinged == "left" else 900, 0)
        sides = [tip[0] * n[0] + tip[1] * n[1] for n in (first, second)]
        assert (min(sides) > 0) == inside


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=3, max_size=12), st.integers(60, 90))
def test_distances_to_a_hull_are_those_to_its_points_and_edges(points: list[tuple[int, int]], x: int) -> None:
    """Against a fine sampling of all segments between the points."""
    outline = hull([(float(u), float(v)) for u, v in points])
    if len(outline) < 3:
        return
    a = np.array(points, dtype=float)
    t = np.linspace(0, 1, 201)[:, None, None, None]
    between = (a[None, :, None] * (1 - t) + a[None, None, :] * t).reshape(-1, 2)
    nearest = np.linalg.norm(between - np.array((x, 7.0)), axis=1).min()
    assert distance((float(x), 7.0), outline) == pytest.approx(nearest, abs=0.05)


def test_two_runs_across_a_narrow_room(tmp_path: Path) -> None:
    """2000 between walls, 600 deep on both sides: 800 clear, less than 36 in."""
    walls = {"north": {"width": 1200}, "east": {"width": 2000}, "south": {"width": 1200}}
    rows = {"north": [unit("a", "open", 1200, **LOW)], "south": [unit("b", "open", 1200, **LOW)]}
    built = build(room_project(tmp_path, {"walls": walls}, rows))
    seen = found(built, "clear-floor")
    assert {f.message.split()[0] for f in seen} == {"a", "b"}
    assert [f.value for f in seen] == pytest.approx([800, 800])


@given(st.floats(500, 1500), st.floats(500, 1500))
def test_a_ladder_round_a_corner(a: float, b: float) -> None:
    """The longest ladder carried level round a corner is (a^(2/3) + b^(2/3))^(3/2) (the ladder problem of calculus)."""
    assert longest_round(a, b, 0.0) == pytest.approx((a ** (2 / 3) + b ** (2 / 3)) ** 1.5, rel=1e-6)


@given(st.floats(600, 1500), st.floats(600, 1500), st.floats(10, 500))
def test_a_panel_round_a_corner_touches_the_inner_corner(a: float, b: float, thick: float) -> None:
    """At every angle the longest that passes leaves the inner corner free; 1 mm more is stopped at some angle."""
    longest = longest_round(a, b, thick)
    angles = np.linspace(0.01, math.pi / 2 - 0.01, 4000)
    # both ends of its outer side slide along the outer walls; the inner corner's distance from that side
    for length, free in ((longest - 0.5, True), (longest + 1.0, False)):
        x, y = length * np.cos(angles), length * np.sin(angles)
        away = (b * y + a * x - x * y) / length
        assert bool((away >= thick).all()) == free


@pytest.mark.parametrize(
    ("way", "codes"),
    [
        ({"door_width": 760}, []),
        ({"door_width": 560}, ["warning"]),
        ({"door_width": 760, "corridor": 700, "turns_into": 500}, ["warning"]),
        ({"door_width": 500, "door_height": 400}, ["warning", "fault"]),
    ],
)
def test_the_way_in(tmp_path: Path, way: dict[str, Any], codes: list[str]) -> None:
    """A base of 600 x 600 x 870 passes a door of 760, one of 560 not at all; its sides do not pass 500 x 400."""
    seen = found(room(tmp_path, {}, way_in=way), "way-in")
    assert sorted({f.severity for f in seen}, reverse=True) == codes
