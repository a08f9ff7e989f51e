"""A wall bed as the checks of its springs see it: what turns, in a side view, read off the built parts."""

import math
from dataclasses import dataclass, replace

from model.build import Build
from model.part import Motion, PlacedPart
from model.placement import cross
from model.plan import BuiltUnit
from model.shapes import Box, Vec
from model.statics.masses import newtons
from model.statics.openings import openings, riders
from model.statics.springs import Places, Point, Spring, Turning, best_force, best_place
from model.stock.beds import END, GasSpring

EDGE = 3.0
"""mm. A stud keeps this far inside the edge of what it is screwed to."""
LESS = 0.85
"""Other places for springs are told where they leave less than this of the worst moment."""


@dataclass(frozen=True, slots=True)
class View:
    """A side view of a motion about a level axis: the unit vectors forward and up, from a point of the axis."""

    origin: Vec
    forward: Vec

    def point(self, p: Vec) -> Point:
        r = [a - b for a, b in zip(p, self.origin, strict=True)]
        return (sum(a * b for a, b in zip(r, self.forward, strict=True)), r[2])

    def spans(self, box: Box) -> tuple[Point, Point]:
        """A box in the view: from and to, forward and up."""
        seen = [self.point((x, y, z)) for x in box.span("x") for y in box.span("y") for z in box.span("z")]
        low, high = ((pick(p[0] for p in seen), pick(p[1] for p in seen)) for pick in (min, max))
        return (low[0], high[0]), (low[1], high[1])


@dataclass(frozen=True, slots=True)
class Bed:
    """A bed that comes down: its unit and motion, the view of it, how it turns, and the stock of its springs."""

    unit: BuiltUnit
    motion: Motion
    view: View
    turning: Turning
    stock: GasSpring
    mass: float


def bed_of(build: Build, unit: BuiltUnit, motion: Motion) -> Bed | None:
    """What a motion says of a bed on gas springs; None where it moves no bed."""
    parts = riders(unit, motion)
    springs = [p for p in unit.parts if p.role == "gas spring"]
    if motion.kind != "swing" or not springs or not any(p.role == "mattress" for p in parts):
        return None
    view = View(motion.origin, cross(motion.direction, (0.0, 0.0, 1.0)))
    own = next(o for o in openings(build, unit) if o.name == motion.name).own
    stock = build.stock.gas_springs[springs[0].part.material]
    pulls = [math.hypot(*view.point(p.bounds().center)) for p in parts if p.role == "pull"]
    far = max(math.hypot(*view.point(p.bounds().hi)) for p in parts)
    held = tuple(spring_of(unit, motion, view, p, build.stock.gas_springs[p.part.material]) for p in springs)
    hand = min(pulls, default=far)
    turning = Turning(newtons(own.mass), view.point(own.centre), held, motion.travel, hand)
    return Bed(unit, motion, view, turning, stock, own.mass)


def spring_of(unit: BuiltUnit, motion: Motion, view: View, placed: PlacedPart, stock: GasSpring) -> Spring:
    """A spring in the side view: of its two studs, the one that is nearer to what turns turns with it."""
    r, part = stock.end_diameter / 2, placed.part
    rod = placed.placement.apply((r, part.width, part.thickness / 2))
    body = placed.placement.apply((part.length - r, 0.0, part.thickness / 2))
    by_path = {p.path: p.bounds() for p in unit.parts}
    joined = [j.b if j.a == placed.path else j.a for j in unit.joints if placed.path in (j.a, j.b)]
    turning = [by_path[p] for p in joined if p in motion.parts]
    staying = [by_path[p] for p in joined if p not in motion.parts]
    straight = _off(rod, turning) + _off(body, staying)
    swapped = _off(body, turning) + _off(rod, staying)
    moving, fixed = (rod, body) if straight <= swapped else (body, rod)
    return Spring(view.point(fixed), view.point(moving), stock.closed, stock.stroke, stock.force, stock.progression)


def _off(p: Vec, boxes: list[Box]) -> float:
    """How far a point is from the nearest of some boxes."""
    gaps = [[max(b.lo[i] - p[i], 0.0, p[i] - b.hi[i]) for i in range(3)] for b in boxes]
    return min((math.hypot(*g) for g in gaps), default=0.0)


def places_of(bed: Bed) -> Places | None:
    """Where the springs of a bed may be held: on the sides over the pivots and on the rails; None where nowhere."""
    springs = {p.path for p in bed.unit.parts if p.role == "gas spring"}
    plate = next(p.part for p in bed.unit.parts if p.role == "pivot")
    by_path = {p.path: p.bounds() for p in bed.unit.parts}
    joined = [j.b if j.a in springs else j.a for j in bed.unit.joints if j.a in springs or j.b in springs]
    rail = bed.view.spans(by_path[next(p for p in joined if p in bed.motion.parts)])
    side = bed.view.spans(by_path[next(p for p in joined if p not in bed.motion.parts)])
    margin = bed.stock.end_diameter / 2 + EDGE
    clear = (plate.length + max(bed.stock.diameter, bed.stock.end_diameter)) / 2 + EDGE
    reach = bed.stock.closed + bed.stock.stroke
    fixed = (
        (side[0][0] + margin, min(side[0][1], rail[0][1]) - margin),
        (clear, min(side[1][1] - margin, reach)),  # over the pivots, clear of what the bed turns through
    )
    moving = (
        (rail[0][0] + margin, rail[0][1] - margin),
        (rail[1][0] + margin, min(rail[1][1] - margin, reach)),
    )
    if any(low >= high for low, high in (*fixed, *moving)):
        return None
    return Places(fixed, moving, END / 2, clear)


def better(bed: Bed) -> tuple[Turning, Turning | None]:
    """The bed with springs of the force that suits their places, and with springs of another force held elsewhere;
    None where no other place is much better than the first."""
    first, where = bed.turning.scaled(round(best_force(bed.turning), -1)), places_of(bed)
    best = best_place(bed.turning, where) if where else None
    if best is None or where is None:
        return first, None
    best = replace(best, springs=tuple(_rounded(s) for s in best.springs))
    fits = best.springs[0].fits(bed.motion.travel, where.spare - 1.0)  # held at whole millimetres
    return first, best if fits and _worst(best) < LESS * _worst(first) else None


def _worst(turning: Turning) -> float:
    return abs(turning.worst()[1])


def _rounded(spring: Spring) -> Spring:
    """A spring held at whole millimetres and of a force in tens of N, as it would be marked out and bought."""
    (a, b), (c, d) = spring.fixed, spring.moving
    return replace(spring, fixed=(round(a), round(b)), moving=(round(c), round(d)), force=round(spring.force, -1))
