"""Whether a shelf that is too long for the opening can be tilted in: one end up, then down on its pins."""

import math

import numpy as np

from model.assembly.insertion import BEYOND, Space
from model.collision.bodies import Bodies, apart
from model.collision.motion import Slides, swung
from model.collision.pairs import Pairs
from model.collision.swings import Swings
from model.part import Motion, PlacedPart
from model.placement import Placement
from model.shapes import Vec

ANGLES = tuple(range(6, 70, 2))
"""Degrees that are looked at; the least that gets through is the easiest on the arms."""


def tilts_in(space: Space, parts: tuple[str, ...], past: tuple[str, ...], frame: Placement) -> bool:
    """True where one of the angles leads out: up off the pins, tilted about its length's middle, then straight forward.

    All three legs are tested exactly and whole: two slides and a swing.
    """
    movers = [space.bodies.placed[space.rows[p]] for p in parts]
    still = [space.bodies.placed[space.rows[p]] for p in past]
    out, up = frame.turn((0.0, -1.0, 0.0)), (0.0, 0.0, 1.0)
    rows = space.at(parts)
    across = np.array(frame.turn((1.0, 0.0, 0.0)))
    low, high = space.span(rows, across)
    half = float(high.max() - low.min()) / 2
    centre = space.bodies.centre[rows].mean(axis=0)
    depth = space.way_out(rows, space.at(past), out)
    return any(
        _leads_out(movers, still, up, out, centre, half, math.radians(sign * angle), depth)
        for angle in ANGLES
        for sign in (1, -1)
    )


def _leads_out(
    movers: list[PlacedPart],
    still: list[PlacedPart],
    up: Vec,
    out: Vec,
    centre: np.ndarray,
    half: float,
    angle: float,
    depth: float,
) -> bool:
    lift = half * math.sin(abs(angle)) + BEYOND
    if not _passes_as_boxes(movers, still, out, centre, angle, depth, lift):
        return False
    if not _free(movers, still, Motion("lift", "slide", tuple(m.path for m in movers), up, lift)):
        return False
    lifted = [m.moved(Placement((0.0, 0.0, lift))) for m in movers]
    x, y, z = (float(c) for c in centre)
    turn = Motion("tilt", "swing", tuple(m.path for m in movers), out, angle, (x, y, z + lift))
    tilted = [m.moved(swung(turn, angle)) for m in lifted]
    forward = Motion("forward", "slide", tuple(m.path for m in movers), out, depth)
    return _free(tilted, still, forward) and _free(lifted, still, turn)


def _passes_as_boxes(
    movers: list[PlacedPart],
    still: list[PlacedPart],
    out: Vec,
    centre: np.ndarray,
    angle: float,
    depth: float,
    lift: float,
) -> bool:
    """Whether the blanks alone, tilted and lifted, pass forward: quick, and no less strict."""
    x, y, z = (float(c) for c in centre)
    turn = Motion("tilt", "swing", (), out, angle, (x, y, z + lift))
    bodies = Bodies.of([*(m.moved(Placement((0.0, 0.0, lift))).moved(swung(turn, angle)) for m in movers), *still])
    names = {m.path for m in movers}
    rows = [k for k, p in enumerate(bodies.placed) if p.path in names]
    others = [k for k, p in enumerate(bodies.placed) if p.path not in names]
    i, j = np.repeat(rows, len(others)), np.tile(others, len(rows))
    return bool(apart(bodies, i, j, np.broadcast_to(np.array(out) * depth, (len(i), 3))).all())


def _free(movers: list[PlacedPart], still: list[PlacedPart], motion: Motion) -> bool:
    pairs = Pairs(Bodies.of([*movers, *still]))
    if motion.kind == "slide":
        return Slides(pairs, (motion,)).first() is None
    return Swings(pairs, (motion,)).first() is None
