"""The light in a picture: where it comes from, and how much of it reaches each point past the parts that stand about.

Arrays of places and directions are 3 x N here, one row a coordinate, so that each row lies together in memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from exporters.pictures.offscreen import Floats, Lamp
from exporters.pictures.scene import FLOOR, WALL, Array, Camera, Colour

KEY: Colour = (0.54, 0.51, 0.46)
"""Linear brightness of the key light on a face square to it."""
KEY_TURN, KEY_RISE, KEY_SPREAD = math.radians(58.0), math.radians(46.0), math.radians(5.0)
"""Where it stands: off the line of sight to the far side, above the level; and half the angle it fills."""
IN_FRONT: Colour = (0.92, 0.95, 1.0)
OVERHEAD: Colour = (0.95, 0.95, 0.95)
"""Linear brightness of the room in front of the plan and of its ceiling."""
WALL_LIT, FLOOR_LIT = 0.66, 0.58
"""How much light falls on walls and floor, which are as bright as that times their colour."""
_GOLDEN = math.pi * (3 - math.sqrt(5))
AT_ONCE = 8
"""Directions whose light is added together."""


@dataclass(frozen=True, eq=False)
class Light:
    """Light from one direction (a unit vector toward it), linear red, green and blue on a face square to it."""

    toward: Array
    strength: Floats


def linear(colour: Floats) -> Floats:
    """sRGB to linear light (IEC 61966-2-1)."""
    return np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4).astype(np.float32)


def from_room(count: int) -> list[Light]:
    """Light from all about: directions spread evenly over the sphere, as bright as what lies there."""
    lights: list[Light] = []
    for i in range(count):
        z = 1 - (2 * i + 1) / count
        flat = math.sqrt(1 - z * z)
        toward = np.array((flat * math.cos(i * _GOLDEN), flat * math.sin(i * _GOLDEN), z))
        # under an even sky each direction stands for 4 pi / count of the sphere; Lambert's law divides by pi
        lights.append(Light(toward, _brightness(toward) * np.float32(4 / count)))
    return lights


def _brightness(toward: Array) -> Floats:
    """What one sees in a direction: open room in front (-y), ceiling, floor, walls, blended into one another."""
    _, y, z = (float(c) for c in toward)
    front, up, down = max(-y, 0.0) ** 2, max(z, 0.0) ** 2, max(-z, 0.0) ** 2
    shares = (1 - front - up - down, down, front, up)
    wall, floor = (linear(np.array(c, np.float32)) for c in (WALL, FLOOR))
    looks = (wall * np.float32(WALL_LIT), floor * np.float32(FLOOR_LIT), np.array(IN_FRONT), np.array(OVERHEAD))
    return np.sum([share * look for share, look in zip(shares, looks, strict=True)], axis=0).astype(np.float32)


def key_light(camera: Camera, count: int) -> list[Light]:
    """A soft light from one side: directions spread evenly over a small disc, on the side away from the camera."""
    side = -1.0 if camera.forward[0] <= 0 else 1.0
    turn = math.atan2(-camera.forward[1], -camera.forward[0]) + side * KEY_TURN
    middle = np.array((math.cos(turn) * math.cos(KEY_RISE), math.sin(turn) * math.cos(KEY_RISE), math.sin(KEY_RISE)))
    right = np.cross(middle, (0.0, 0.0, 1.0))
    right /= np.linalg.norm(right)
    up = np.cross(right, middle)
    lights: list[Light] = []
    for i in range(count):
        out = math.tan(KEY_SPREAD) * math.sqrt((i + 0.5) / count)
        toward = middle + out * (math.cos(i * _GOLDEN) * right + math.sin(i * _GOLDEN) * up)
        lights.append(Light(toward / np.linalg.norm(toward), np.array(KEY, np.float32) / np.float32(count)))
    return lights


def lit(points: Floats, normals: Floats, lights: Sequence[Light], lamp: Lamp) -> Floats:
    """The light that falls on faces at `points` (3 x N, mm) with unit `normals` (3 x N), as 3 x N, linear."""
    # start off the face by some pixels of the map, or the face would shade itself
    started: Floats = normals * np.float32(1.5 * lamp.grain)
    started += points
    started -= lamp.middle[:, None]
    total = np.zeros_like(points)
    for start in range(0, len(lights), AT_ONCE):
        some = lights[start : start + AT_ONCE]
        falling = np.empty((len(some), points.shape[1]), np.float32)
        for row, light in zip(falling, some, strict=True):
            np.maximum(light.toward.astype(np.float32) @ normals, 0.0, out=row)
            row *= lamp.reaches(light.toward, started)
        total += np.stack([light.strength for light in some], axis=1) @ falling
    return total
