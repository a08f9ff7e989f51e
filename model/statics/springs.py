"""Gas springs that balance a bed as it turns: moments over all angles, the worst of them, and better springs or places.

A side view: points are (forward, up) from the pivot, mm, with the bed standing; it turns forward and down by `angle`
(radians). Moments are N m, positive where they bring the bed down. Under high pressure: never open, drill or heat a
gas spring.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from model.beds.geometry import force_at

Floats = NDArray[np.float64]
Point = tuple[float, float]
STEPS = 361
"""Angles a turn is looked at, ends included; between them a maximum is closed in on."""
STRONGEST = 20_000.0
"""N. No spring of a bed is stronger."""
THIRDS = 40
"""How often a third of a span of forces is cut off: 20,000 N come down to 0.002 N."""
COARSE = 46
"""Angles while places are searched."""


def turned(point: Point, angle: Floats) -> tuple[Floats, Floats]:
    """Where a point that turns with the bed is."""
    c, s = np.cos(angle), np.sin(angle)
    return point[0] * c + point[1] * s, point[1] * c - point[0] * s


@dataclass(frozen=True, slots=True)
class Spring:
    """A gas spring between a point that stays and one that turns (where it is with the bed up).

    `closed` and `stroke` in mm; `force` N with the rod out at 20 C, `progression` times as much with it in, evenly in
    between (makers give these two, common practice).
    """

    fixed: Point
    moving: Point
    closed: float
    stroke: float
    force: float
    progression: float

    def length(self, angle: Floats) -> Floats:
        forward, up = turned(self.moving, angle)
        return np.hypot(forward - self.fixed[0], up - self.fixed[1])

    def thrust(self, angle: Floats) -> Floats:
        """How hard it pushes, N."""
        share = (self.closed + self.stroke - self.length(angle)) / self.stroke
        return self.force * (1 + (self.progression - 1) * np.clip(share, 0.0, 1.0))

    def push(self, angle: Floats) -> tuple[Floats, Floats]:
        """The force on the bed, forward and up, N."""
        forward, up = turned(self.moving, angle)
        length = np.maximum(self.length(angle), 1e-9)  # ends that meet push nowhere
        f = self.thrust(angle)
        return f * (forward - self.fixed[0]) / length, f * (up - self.fixed[1]) / length

    def moment(self, angle: Floats) -> Floats:
        forward, up = turned(self.moving, angle)
        push = self.push(angle)
        return (up * push[0] - forward * push[1]) / 1000.0

    def fits(self, travel: float, spare: float) -> bool:
        """Whether it is never pulled out to its stop nor pushed in to it, with so much to spare (mm)."""
        lengths = self.length(np.linspace(0.0, travel, COARSE))
        low, high = self.closed + spare, self.closed + self.stroke - spare
        return bool(lengths.min() >= low - 1e-6 and lengths.max() <= high + 1e-6)


@dataclass(frozen=True, slots=True)
class Turning:
    """A bed that turns by `travel` (radians): its weight (N), where its centre of gravity is when it stands, its
    springs, and how far from the pivot a hand takes hold (mm)."""

    weight: float
    centre: Point
    springs: tuple[Spring, ...]
    travel: float
    hand: float

    def gravity(self, angle: Floats) -> Floats:
        return self.weight * turned(self.centre, angle)[0] / 1000.0

    def net(self, angle: Floats) -> Floats:
        return self.gravity(angle) + sum((s.moment(angle) for s in self.springs), np.zeros_like(angle))

    def at(self, angle: float) -> float:
        return float(self.net(np.array([angle]))[0])

    def extreme(self, sign: int) -> tuple[float, float]:
        """The angle and value of the largest (1) or least (-1) net moment over the whole turn."""
        return largest(lambda a: sign * self.net(a), self.travel, sign)

    def worst(self) -> tuple[float, float]:
        """The angle and value of the net moment that is farthest from balance."""
        return max(self.extreme(1), self.extreme(-1), key=lambda found: abs(found[1]))

    def on_pivots(self, angle: Floats) -> Floats:
        """What both pivots carry together while nobody holds the bed and no leg stands, N."""
        pushes = [s.push(angle) for s in self.springs]
        forward = sum((p[0] for p in pushes), np.zeros_like(angle))
        return np.hypot(forward, sum((p[1] for p in pushes), np.zeros_like(angle)) - self.weight)

    def warmed(self, celsius: float) -> "Turning":
        """The same with its springs at another temperature than 20 C."""
        springs = tuple(replace(s, force=force_at(s.force, celsius)) for s in self.springs)
        return replace(self, springs=springs)

    def scaled(self, force: float) -> "Turning":
        """The same with springs of another force."""
        return replace(self, springs=tuple(replace(s, force=force) for s in self.springs))


def largest(of: Callable[[Floats], Floats], travel: float, sign: int = 1) -> tuple[float, float]:
    """Where a smooth function over 0 to `travel` is largest, and `sign` times its value: a grid, closed in on twice."""
    low, high, at = 0.0, travel, 0.0
    for _ in range(3):
        angles = np.linspace(low, high, STEPS)
        i = int(np.argmax(of(angles)))
        low, at, high = float(angles[max(i - 1, 0)]), float(angles[i]), float(angles[min(i + 1, STEPS - 1)])
    return at, sign * float(of(np.array([at]))[0])


def best_force(bed: Turning) -> float:
    """The force of each spring (N), in the places they have, with the least worst net moment.

    The worst moment is convex in the force: a third of what is left is cut off again and again.
    """
    angles = np.linspace(0.0, bed.travel, STEPS)
    weight, unit = bed.gravity(angles), sum(s.moment(angles) / s.force for s in bed.springs)

    def worst(force: float) -> float:
        return float(np.abs(weight + force * unit).max())

    low, high = 0.0, STRONGEST
    for _ in range(THIRDS):
        third = (high - low) / 3
        if worst(low + third) <= worst(high - third):
            high -= third
        else:
            low += third
    return (low + high) / 2


Window = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Places:
    """Where springs may be held: windows (forward, up; mm) for their fixed and their moving ends, how far they keep
    off their stops (`spare`) and off the pivot (`clear`), mm."""

    fixed: tuple[Window, Window]
    moving: tuple[Window, Window]
    spare: float
    clear: float


def best_place(bed: Turning, places: Places) -> Turning | None:
    """Springs of the same length where, and as strong as, they balance best.

    Only those count that hold the bed shut and do not lift it when it is down. A grid over both windows, the best force
    of each of its places; then ever finer grids round the best. None where no place does.
    """
    windows = [*places.fixed, *places.moving]
    centre, half, count = [(a + b) / 2 for a, b in windows], [(b - a) / 2 for a, b in windows], 9
    best: Found | None = None
    for _ in range(9):
        axes = [
            np.unique(np.clip(np.linspace(c - h, c + h, count), low, high))
            for c, h, (low, high) in zip(centre, half, windows, strict=True)
        ]
        found = _best_of(bed, axes, places)
        if found is not None and (best is None or found.worst < best.worst - 1e-9):
            best = found
        if best is None:
            return None
        centre, half, count = list(best.place), [h * 0.5 for h in half], 5
    if best is None:
        return None
    a, b, c, d = best.place
    moved = tuple(replace(s, fixed=(a, b), moving=(c, d), force=best.force) for s in bed.springs)
    return replace(bed, springs=moved)


@dataclass(frozen=True, slots=True)
class Found:
    """A place for springs (fixed end, moving end), their force (N) and the worst net moment it leaves (N m)."""

    worst: float
    place: tuple[float, float, float, float]
    force: float


def _best_of(bed: Turning, axes: Sequence[Floats], where: Places) -> Found | None:
    """The best place of a grid."""
    angles = np.linspace(0.0, bed.travel, COARSE)
    places = np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 4)
    fits, unit = _moments(bed, places, angles, where)
    if not fits.any():
        return None
    places, unit, weight = places[fits], unit[fits], bed.gravity(angles)
    with np.errstate(divide="ignore", invalid="ignore"):
        least = np.where(unit[:, 0] < 0, -weight[0] / unit[:, 0], np.where(weight[0] <= 0, 0.0, np.inf))
        most = np.where(unit[:, -1] < 0, -weight[-1] / unit[:, -1], STRONGEST)
    low, high = np.maximum(least, 0.0), np.minimum(most, STRONGEST)
    held = low <= high
    if not held.any():
        return None
    places, unit, low, high = places[held], unit[held], low[held], high[held]

    def worst(force: Floats) -> Floats:
        return np.abs(weight + force[:, None] * unit).max(1)

    for _ in range(THIRDS):  # convex in the force of each place
        third = (high - low) / 3
        left = worst(low + third) <= worst(high - third)
        low, high = np.where(left, low, low + third), np.where(left, high - third, high)
    force = (low + high) / 2
    found = worst(force)
    i = int(np.argmin(found))
    a, b, c, d = places[i].tolist()
    return Found(float(found[i]), (a, b, c, d), float(force[i]))


def _moments(bed: Turning, places: Floats, angles: Floats, where: Places) -> tuple[NDArray[np.bool_], Floats]:
    """Which places keep the springs off their stops and the pivot, and what all springs do there for each N of one."""
    spring, count = bed.springs[0], len(bed.springs)
    fixed_f, fixed_u, m_f, m_u = (places[:, i, None] for i in range(4))
    c, s = np.cos(angles), np.sin(angles)
    forward, up = m_f * c + m_u * s, m_u * c - m_f * s
    df, du = forward - fixed_f, up - fixed_u
    length = np.maximum(np.hypot(df, du), 1e-9)
    foot = np.clip(-(fixed_f * df + fixed_u * du) / length**2, 0.0, 1.0)
    fits = np.hypot(fixed_f + foot * df, fixed_u + foot * du).min(1) >= where.clear
    fits &= length.min(1) >= spring.closed + where.spare
    fits &= length.max(1) <= spring.closed + spring.stroke - where.spare
    share = np.clip((spring.closed + spring.stroke - length) / spring.stroke, 0.0, 1.0)
    thrust = 1 + (spring.progression - 1) * share
    return fits, count * thrust * (up * df - forward * du) / length / 1000.0
