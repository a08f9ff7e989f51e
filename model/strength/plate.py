"""A thin board held all round in grooves: a rectangular orthotropic plate on simply supported edges.

Navier's double series for a uniform load: S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed.
(1959), art. 85 (from memory). Poisson's ratios are left out of both stiffnesses, and the torsional stiffness is that of
the shear modulus alone, which makes a plate a little softer than it is. Stretching of its middle plane, which helps
once it has sunk by its own thickness, is not counted.
"""

import math
from dataclasses import dataclass

import numpy as np

SHEAR_RATIO = 16.0
"""Modulus of elasticity over shear modulus of wood (from memory: the usual ratio in timber design)."""
TERMS = 31
"""Odd terms each way: the middle of a square converges to six digits."""


@dataclass(frozen=True, slots=True)
class Plate:
    """A board `length` by `width` mm between its supports, `thickness` mm; moduli along and across its length, MPa.

    `shear` is its modulus in shear; where it is not known the greater of both over the usual ratio.
    """

    length: float
    width: float
    thickness: float
    along: float
    across: float
    shear: float | None = None

    @property
    def rigidity(self) -> tuple[float, float, float]:
        """E t3 / 12 both ways, and 2 H = G t3 / 3, the torsional one; N mm."""
        cube = self.thickness**3
        shear = self.shear if self.shear is not None else max(self.along, self.across) / SHEAR_RATIO
        return self.along * cube / 12, self.across * cube / 12, shear * cube / 3


@dataclass(frozen=True, slots=True)
class Dished:
    """How far the middle of a plate sinks (mm), and the stress there along and across (MPa)."""

    sag: float
    along: float
    across: float


def dish(plate: Plate, pressure: float) -> Dished:
    """A plate under a uniform pressure (MPa).

    w = 16 q / pi6 sum sin sin / (m n (D1 m4/a4 + 2H m2n2/a2b2 + D2 n4/b4)), m and n odd.
    """
    d1, d2, twist = plate.rigidity
    m, n = np.meshgrid(np.arange(1, 2 * TERMS, 2), np.arange(1, 2 * TERMS, 2))
    p, q = (m / plate.length) ** 2, (n / plate.width) ** 2
    sign = np.where((m + n) % 4 == 2, 1.0, -1.0)  # sin sin at the middle, both odd
    w = 16 * pressure / math.pi**6 * sign / (m * n * (d1 * p**2 + twist * p * q + d2 * q**2))
    half = plate.thickness / 2
    return Dished(
        float(w.sum()),
        float(abs(plate.along * half * math.pi**2 * (w * p).sum())),
        float(abs(plate.across * half * math.pi**2 * (w * q).sum())),
    )
