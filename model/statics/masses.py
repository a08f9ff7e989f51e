"""Masses and centres of gravity, from true solids and the densities or masses of stock."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np

from model.bill import weight
from model.meshes import arrays, mesh
from model.part import Part, PlacedPart
from model.shapes import Vec
from model.stock.tables import Stock

GRAVITY = 9.80665
"""m/s2, standard."""


@dataclass(frozen=True, slots=True)
class Lump:
    """A mass (kg) as if all of it were at one point (mm)."""

    mass: float
    centre: Vec

    def moved(self, by: Vec) -> "Lump":
        x, y, z = (c + d for c, d in zip(self.centre, by, strict=True))
        return Lump(self.mass, (x, y, z))


@cache
def centroid(part: Part) -> Vec:
    """The centre of the volume of a part in its own frame, mm: exact for its mesh, by signed tetrahedra.

    Bought hardware is taken to be as dense all through.
    """
    points, faces = arrays(mesh(part))
    middle = np.array(part.size) / 2  # tetrahedra from near the part: no loss where it is thin
    a, b, c = (points[faces[:, i]] - middle for i in range(3))
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    if not six.sum():
        return (part.length / 2, part.width / 2, part.thickness / 2)
    x, y, z = ((six[:, None] * (a + b + c)).sum(0) / (4 * six.sum()) + middle).tolist()
    return (x, y, z)


def lump_of(placed: PlacedPart, stock: Stock) -> Lump:
    """A placed part as a lump."""
    return Lump(weight(placed.part, stock), placed.placement.apply(centroid(placed.part)))


def together(lumps: Iterable[Lump]) -> Lump:
    """Many lumps as one: the sum of the masses at their centre of gravity. Nothing weighs 0 at the origin."""
    some = [lump for lump in lumps if lump.mass > 0]
    total = sum(lump.mass for lump in some)
    if not some:
        return Lump(0.0, (0.0, 0.0, 0.0))
    x, y, z = (sum(lump.mass * lump.centre[i] for lump in some) / total for i in range(3))
    return Lump(total, (x, y, z))


def newtons(kg: float) -> float:
    """The weight (N) of a mass (kg)."""
    return kg * GRAVITY
