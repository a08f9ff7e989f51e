"""Straight beams solved exactly: stretches of constant stiffness on any supports, under uniform and point loads.

The stiffness method with cubic beam elements (Euler and Bernoulli: no shear deflection). Between two nodes the cubic of
the element and the quartic of its uniform load are the exact deflection, so the largest deflection and moment are
found as roots of polynomials, not by sampling. N, mm and MPa; loads and deflections count downward, moments that sag
and reactions that push up are positive.
"""

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.polynomial import polynomial as poly
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SAME = 1e-6
"""mm. Places on a beam nearer than this are one."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of constant bending stiffness EI, N mm2."""

    lo: float
    hi: float
    ei: float


@dataclass(frozen=True, slots=True)
class Support:
    """Where the beam cannot go up or down; `clamped`: nor turn."""

    at: float
    clamped: bool = False


@dataclass(frozen=True, slots=True)
class Spread:
    """A uniform load, N/mm."""

    lo: float
    hi: float
    force: float


@dataclass(frozen=True, slots=True)
class Push:
    """A point load, N."""

    at: float
    force: float


@dataclass(frozen=True, slots=True)
class Beam:
    """A beam from the start of its first stretch to the end of its last; the stretches follow each other."""

    stretches: tuple[Stretch, ...]
    supports: tuple[Support, ...]
    spreads: tuple[Spread, ...] = ()
    pushes: tuple[Push, ...] = ()

    @property
    def ends(self) -> tuple[float, float]:
        return self.stretches[0].lo, self.stretches[-1].hi

    def nodes(self) -> list[float]:
        """Every place where something begins, ends or acts, rising."""
        places = [x for s in self.stretches for x in (s.lo, s.hi)]
        places += [s.at for s in self.supports] + [p.at for p in self.pushes]
        places += [x for s in self.spreads for x in (s.lo, s.hi)]
        low, high = self.ends
        found: list[float] = []
        for x in sorted(places):
            if not low - SAME <= x <= high + SAME:
                raise ValueError(f"something at {x:g} mm is not on a beam from {low:g} to {high:g} mm")
            if not found or x - found[-1] > SAME:
                found.append(x)
        return found


@dataclass(frozen=True)
class Bent:
    """A solved beam. `shapes` holds the deflection of each element: five coefficients, rising, of the distance from its
    left node; `reactions` what each support pushes up with, `turning` the moment a clamp holds."""

    nodes: Floats
    ei: Floats
    shapes: Floats
    reactions: tuple[float, ...]
    turning: tuple[float, ...]

    def plus(self, other: "Bent", factor: float = 1.0) -> "Bent":
        """The deflections of both added up; moments of the sum have no meaning where the stiffness differs."""
        return Bent(self.nodes, self.ei, self.shapes + factor * other.shapes, self.reactions, self.turning)

    def deflection(self, x: float) -> float:
        i = int(np.clip(np.searchsorted(self.nodes, x, side="right") - 1, 0, len(self.ei) - 1))
        return float(poly.polyval(x - self.nodes[i], self.shapes[i]))

    def sag(self, lo: float = -np.inf, hi: float = np.inf) -> tuple[float, float]:
        """The largest downward deflection from `lo` to `hi` (both nodes, or all of it), and where: (mm, mm)."""
        best = (-np.inf, 0.0)
        for i, (a, b) in enumerate(itertools.pairwise(self.nodes)):
            if a < lo - SAME or b > hi + SAME:
                continue
            for s in (0.0, b - a, *_roots(poly.polyder(self.shapes[i]), b - a)):
                best = max(best, (float(poly.polyval(s, self.shapes[i])), -float(a + s)))
        return best[0], -best[1]

    @cached_property
    def bends(self) -> tuple[tuple[float, float, float], ...]:
        """Where the moment can be largest: (x, moment in N mm, EI there), at the ends of elements and at no shear."""
        found: list[tuple[float, float, float]] = []
        for i, (a, b) in enumerate(itertools.pairwise(self.nodes)):
            moment = -self.ei[i] * poly.polyder(self.shapes[i], 2)
            for s in (0.0, b - a, *_roots(poly.polyder(moment), b - a)):
                found.append((float(a + s), float(poly.polyval(s, moment)), float(self.ei[i])))
        return tuple(found)

    @property
    def moment(self) -> float:
        """The largest moment, sagging or hogging, N mm."""
        return max((m for _, m, _ in self.bends), key=abs)


def _roots(coefficients: Floats, length: float) -> list[float]:
    """Real roots inside an element; worked out on a length of 1, so that the coefficients are of one size."""
    scaled = coefficients * length ** np.arange(len(coefficients))
    top = float(np.max(np.abs(scaled), initial=0.0))
    if top == 0.0:
        return []
    scaled = np.trim_zeros(np.where(np.abs(scaled) < 1e-14 * top, 0.0, scaled), "b")
    found = poly.polyroots(scaled)
    return [float(r.real) * length for r in found if abs(r.imag) < 1e-7 and 0.0 < r.real < 1.0]


def _element(length: float, ei: float) -> Floats:
    """The stiffness of an element for deflection and slope at both ends."""
    a, b = 12 * ei / length**3, 6 * ei / length**2
    c, d = 4 * ei / length, 2 * ei / length
    return np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])


def bend(beam: Beam) -> Bent:
    """Solve a beam. Raises ValueError where its supports let it fall or turn."""
    if not any(s.clamped for s in beam.supports) and len({round(s.at, 6) for s in beam.supports}) < 2:
        raise ValueError("a beam needs two supports, or one clamp")
    nodes = beam.nodes()
    low, high = beam.ends
    unit, stiff = high - low, max(s.ei for s in beam.stretches)  # solved on a length and a stiffness of 1
    middles = [(a + b) / 2 for a, b in itertools.pairwise(nodes)]
    ei = np.array([next(s.ei for s in beam.stretches if s.lo <= m <= s.hi) for m in middles])
    w = np.array([sum(s.force for s in beam.spreads if s.lo < m < s.hi) for m in middles]) * unit**3 / stiff
    size = np.diff(nodes) / unit
    total = np.zeros((2 * len(nodes), 2 * len(nodes)))
    force = np.zeros(2 * len(nodes))
    for i, length in enumerate(size):
        at = slice(2 * i, 2 * i + 4)
        total[at, at] += _element(length, ei[i] / stiff)
        force[at] += w[i] * length * np.array([1 / 2, length / 12, 1 / 2, -length / 12])
    for push in beam.pushes:
        force[2 * _index(nodes, push.at)] += push.force * unit**2 / stiff
    held = [(_index(nodes, s.at), s.clamped) for s in beam.supports]
    still = {2 * i for i, _ in held} | {2 * i + 1 for i, clamped in held if clamped}
    free = [i for i in range(len(force)) if i not in still]
    moved = np.zeros(len(force))
    moved[free] = np.linalg.solve(total[np.ix_(free, free)], force[free])
    left = force - total @ moved
    shapes = [
        _shape(moved[2 * i : 2 * i + 4] * (unit, 1.0, unit, 1.0), length * unit, w[i] * stiff / unit**3, ei[i])
        for i, length in enumerate(size)
    ]
    return Bent(
        np.array(nodes),
        ei,
        np.array(shapes),
        tuple(float(left[2 * i] * stiff / unit**2) for i, _ in held),
        tuple(float(left[2 * i + 1] * stiff / unit) if clamped else 0.0 for i, clamped in held),
    )


def _index(nodes: list[float], x: float) -> int:
    return min(range(len(nodes)), key=lambda i: abs(nodes[i] - x))


def _shape(ends: Floats, length: float, w: float, ei: float) -> Floats:
    """Hermite's cubic through deflection and slope at both ends, and w s2 (l - s)2 / 24 EI of the load between them."""
    v0, t0, v1, t1 = (float(e) for e in ends)
    q = w / (24 * ei)
    return np.array([
        v0,
        t0,
        (3 * (v1 - v0) / length - 2 * t0 - t1) / length + q * length**2,
        (2 * (v0 - v1) / length + t0 + t1) / length**2 - 2 * q * length,
        q,
    ])  # fmt: skip
