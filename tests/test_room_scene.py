"""The room in pictures: which walls are drawn, where what is on them lies, how they follow the ceiling."""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from exporters.pictures.room_scene import CASING, CEILING, LEAF, PANE, TRIM, surfaces
from exporters.pictures.scene import FLOOR, WALL, Batch, Camera
from model.build import Build, RoomWall
from model.placement import Placement
from model.room.ceiling import Ceiling
from model.room.room import Wall


def eye_over(x: float, y: float, z: float = 1600.0) -> Camera:
    return Camera((x, y, z), (0.0, 1.0, 0.0), (1.0, 1.0), (0.0, 0.0))


def room(walls: tuple[RoomWall, ...], eye: Camera) -> list[Batch]:
    plan: Any = SimpleNamespace(walls=walls, ceiling=2400.0, overhead=Ceiling(2400.0))
    return surfaces(plan, np.zeros(3), np.array([2000.0, 0.0, 900.0]), eye=eye)


def four_walls(**on: Any) -> tuple[RoomWall, ...]:
    """Invented: a closed room of 3000 x 4000 mm; the first wall, along x at y = 0, has what is said."""
    walls, at = [], Placement()
    for i, width in enumerate((3000.0, 4000.0, 3000.0, 4000.0)):
        walls.append(RoomWall(f"w{i}", Wall.model_validate({"width": width, **(on if i == 0 else {})}), at))
        at = at.compose(Placement.turned("z", -math.pi / 2, (width, 0.0, 0.0)))
    assert at.origin == pytest.approx((0.0, 0.0, 0.0))
    return tuple(walls)


def test_walls_the_camera_sees_from_behind_are_left_out_with_all_that_is_on_them() -> None:
    walls = four_walls(outlets=[{"x": 900, "z": 300}], windows=[{"x": 1500, "z": 900, "width": 800, "height": 900}])
    inside = room(walls, eye_over(1500.0, -2000.0))
    assert sum(b.colour == WALL for b in inside) == 4
    assert sum(b.colour == PANE for b in inside) == 1
    behind = room(walls, eye_over(1500.0, 500.0))
    assert sum(b.colour == WALL for b in behind) == 3
    assert {b.colour for b in behind} == {FLOOR, WALL}


def test_walls_run_on_only_where_no_wall_that_is_shown_meets_them() -> None:
    walls = four_walls()
    inside, outside = ([b for b in room(walls, eye_over(1500.0, y)) if b.colour == WALL] for y in (-2000.0, -4500.0))
    assert [np.ptp(b.points[:, :2], axis=0).max() for b in inside] == [3000, 4000, 3000, 4000]
    # the third wall is behind the camera's back now: both its neighbours run on past where it would be
    back, right, left = outside
    assert np.ptp(back.points[:, 0]) == 3000
    assert max(right.points[:, 1].min(), left.points[:, 1].min()) < -8000


def test_what_stands_on_a_wall_is_where_the_room_says() -> None:
    walls = four_walls(
        baseboard={"height": 100, "thickness": 12},
        doors=[{"x": 400, "width": 800, "height": 2000}],
        windows=[{"x": 1500, "z": 900, "width": 800, "height": 900}],
        beams=[{"x": 2500, "z": 2100, "width": 300, "height": 300, "projection": 200}],
    )
    drawn_room = room(walls, eye_over(1500.0, -2000.0))
    (pane,), (leaf,) = ([b.points for b in drawn_room if b.colour == c] for c in (PANE, LEAF))
    assert pane.min(axis=0)[[0, 2]].tolist() + pane.max(axis=0)[[0, 2]].tolist() == [1500, 900, 2300, 1800]
    assert [leaf[:, 0].min(), leaf[:, 0].max(), leaf[:, 2].max()] == [400, 1200, 2000]
    trims = [b for b in drawn_room if b.colour == TRIM]
    boards = [b.points for b in trims if b.points[:, 2].max() == 100]
    assert [(b[:, 0].min(), b[:, 0].max()) for b in boards] == [(0, 400 - CASING), (1200 + CASING, 3000)]
    (beam,) = (b for b in trims if b.points[:, 1].min() == -200)
    under = beam.normals[:, 2] < -0.99  # a beam overhead is seen from below
    assert beam.points[under][:, 2].tolist() == [2100] * 4


def test_walls_and_ceiling_follow_a_slope(trains: Build) -> None:
    """The room's file: 8 ft high, down to 5 ft 6 in at the window wall over 4 ft; the long wall is 12 ft 4 1/2 in."""
    inch = 25.4
    low, high = np.zeros(3), np.array([3700.0, 0.0, 900.0])
    batches = surfaces(trains, low, high, eye=eye_over(1000.0, -2000.0))
    long_wall, window_wall = (b.points for b in batches if b.colour == WALL)
    tops = sorted({(round(x / inch, 3), round(z / inch, 3)) for x, _, z in long_wall[long_wall[:, 2] > 1.0]})
    # it runs on past its left end, bends where the slope begins and ends in the corner
    assert tops[0][0] < -100
    assert [tops[0][1], *tops[1:]] == [96, (100.5, 96), (148.5, 66)]
    assert window_wall[:, 2].max() == pytest.approx(66 * inch)
    (sloping,) = (b for b in batches if b.colour == CEILING)
    assert sloping.normals[:, 2].max() < 0  # seen from below
    ends = {(round(x / inch, 3), round(z / inch, 3)) for x, _, z in sloping.points}
    assert ends == {(148.5, 66.0), (100.5, 96.0)}
    above = surfaces(trains, low, high, eye=eye_over(1000.0, -2000.0, 5000.0))
    assert not any(b.colour == CEILING for b in above)
