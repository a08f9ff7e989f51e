"""What a wood screw bears: pulled out of a stud, across it, and both at once.

Inch formulas of their sources, given and taken in mm and N. Allowable values of the NDS hold their own safety:
a screw's withdrawal value is about a fifth of the average that pulls it out (Wood Handbook, FPL-GTR-190, eq. 8-10, over
NDS 12.2.2: 5.5).
"""

import math
from dataclasses import dataclass

INCH = 25.4
N_PER_LB = 4.4482216152605
MPA_PER_PSI = 0.006894757293168
THREAD = 2 / 3
"""A wood screw's thread as a part of its length (ASME B18.6.1, from memory)."""
YIELDS = ((0.142, 100_000), (0.177, 90_000), (0.236, 80_000), (0.273, 70_000), (0.344, 60_000), (math.inf, 45_000))
"""Bending yield strength (psi) of wood screws up to a diameter in inches (NDS 2018 Table 12L, from memory)."""


def withdrawal(gravity: float, diameter: float, thread: float) -> float:
    """Allowable withdrawal (N) of a wood screw from side grain: W = 2850 G^2 D lb per inch (NDS 12.2.2)."""
    return 2850 * gravity**2 * (diameter / INCH) * (thread / INCH) * N_PER_LB


def withdrawal_average(gravity: float, diameter: float, thread: float) -> float:
    """What pulls it out on average (N): p = 108.25 G^2 D L (Wood Handbook, FPL-GTR-190, eq. 8-10; from memory)."""
    return 108.25 * gravity**2 * diameter * thread


def bearing_strength(gravity: float, diameter: float) -> float:
    """Dowel bearing strength (MPa): 16,600 G^1.84 psi under 1/4 in, 11,200 G along the grain above (NDS 12.3.3)."""
    psi = 16_600 * gravity**1.84 if diameter < INCH / 4 else 11_200 * gravity
    return psi * MPA_PER_PSI


def yield_strength(diameter: float) -> float:
    """Bending yield strength of a wood screw (MPa)."""
    return next(psi for most, psi in YIELDS if diameter <= most * INCH) * MPA_PER_PSI


@dataclass(frozen=True, slots=True)
class Shear:
    """A screw in single shear (mm, MPa): through a side piece, over a gap, into the main piece."""

    diameter: float
    root: float
    side: float
    main: float
    gap: float
    side_bearing: float
    main_bearing: float
    bending: float

    def modes(self) -> dict[str, float]:
        """The yield load of each mode, N (AWC Technical Report 12, general dowel equations, solid members)."""
        qs, qm = self.side_bearing * self.diameter, self.main_bearing * self.diameter
        ls, lm, g = self.side, self.main, self.gap
        m = self.bending * self.root**3 / 6
        return {
            "Im": qm * lm,
            "Is": qs * ls,
            "II": _root(1 / (4 * qs) + 1 / (4 * qm), ls / 2 + g + lm / 2, -qs * ls**2 / 4 - qm * lm**2 / 4),
            "IIIm": _root(1 / (2 * qs) + 1 / (4 * qm), g + lm / 2, -m - qm * lm**2 / 4),
            "IIIs": _root(1 / (4 * qs) + 1 / (2 * qm), ls / 2 + g, -qs * ls**2 / 4 - m),
            "IV": _root(1 / (2 * qs) + 1 / (2 * qm), g, -2 * m),
        }

    def allowable(self) -> float:
        """The least of the modes over its reduction term, N (NDS Table 12.3.1B)."""
        d = self.diameter / INCH
        if d < 0.25:
            reduce = 2.2 if d <= 0.17 else 10 * d + 0.5
            return min(self.modes().values()) / reduce
        terms = {"Im": 4.0, "Is": 4.0, "II": 3.6}
        return min(load / terms.get(mode, 3.2) for mode, load in self.modes().items())


def _root(a: float, b: float, c: float) -> float:
    return (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)


def used(shear: float, pull: float, lateral: float, out: float) -> float:
    """How much of a screw is used by both at once, 1 at its limit.

    NDS 12.4.1: R under an angle may be W Z / (W cos^2 + Z sin^2) (Hankinson), so that (V^2/Z + T^2/W) / R is its share.
    """
    both = math.hypot(shear, pull)
    return (shear**2 / lateral + pull**2 / out) / both if both else 0.0


def pin_load(bearing: float, diameter: float, depth: float, arm: float) -> float:
    """What a stiff pin in a hole `depth` deep bears at `arm` before the hole's face, N; lengths mm, `bearing` MPa.

    Wood presses back evenly, one way near the face and the other way deep down: forces and moments in balance give
    P = q (sqrt((L + 2 e)^2 + L^2) - (L + 2 e)), q = bearing x diameter. Statics.
    """
    far = depth + 2 * arm
    return bearing * diameter * (math.hypot(far, depth) - far)
