"""Where a camera stands, and where things are on its picture."""

import math
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.scene import Array, Camera, axes

if TYPE_CHECKING:
    from exporters.pictures.arranged import Wish
    from exporters.pictures.scene import View
    from model.build import Build, RoomWall

FROM_SIDE: dict[str, tuple[float, float]] = {
    "left": (-34.0, 14.0),
    "right": (34.0, 14.0),
    "front": (24.0, 12.0),
    "top": (24.0, 40.0),
}
"""Degrees to the right of straight on and above the level from which a cut face is seen, by the side taken off."""
ALONE: dict[str, tuple[float, float]] = {
    "left": (-30.0, 18.0),
    "right": (30.0, 18.0),
    "above": (30.0, 40.0),
}
"""Likewise for one unit."""
MOVED_APART = (34.0, 26.0)
"""Likewise for parts moved apart, from the right."""
CLOSE_LENS = 19.0
"""Degrees. What is alone is seen through a longer lens."""


def wall_of(build: "Build", name: str) -> "RoomWall":
    """The wall that a unit, by its name or the path of a part of it, stands at; else the first."""
    stands = build.stands_at.get(name.split("/")[0])
    return next((w for w in build.walls if w.name == stands), build.walls[0])


def straight_on(build: "Build", name: str) -> float:
    """The way straight into the wall that a unit stands at, as an angle from the room's +y to the left (radians)."""
    x, y, _ = wall_of(build, name).frame.turn((0.0, 1.0, 0.0))
    return math.atan2(-x, y)


def on_picture(camera: Camera, points: Array, size: tuple[int, int]) -> Array:
    """Where points (N x 3, mm) are on a picture of that size: x to the right and y down (N x 2)."""
    seen = (np.asarray(points) - np.array(camera.at)) @ axes(camera).T
    flat = (seen[:, :2] / seen[:, 2:] - np.array(camera.middle)) / np.array(camera.half)
    return (flat * (1, -1) + 1) / 2 * np.array(size)


def ahead(camera: Camera, points: Array) -> Array:
    """How far ahead of the camera points (N x 3) are, mm."""
    return (points - np.array(camera.at)) @ np.array(camera.forward)


def seen_from(view: "View", wish: "Wish", right: bool = True) -> "View":
    """Where something smaller than a plan in its room is looked at from; from the right where either side would do, or
    from the left."""
    if isinstance(view, tuple):
        return view
    side = 1.0 if right else -1.0
    if wish.cut is not None and view == "wall":
        turn, rise = FROM_SIDE[wish.cut.side]
        return (turn if wish.cut.side in ("left", "right") else side * turn), rise
    if wish.explode and view in ("wall", "left", "right"):
        turn, rise = MOVED_APART
        return {"wall": side, "left": -1.0, "right": 1.0}[view] * turn, rise
    if view == "wall":
        turn, rise = ALONE["right"]
        return side * turn, rise
    return ALONE.get(view, view)
