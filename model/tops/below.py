"""What stands under a top: what carries it, and how near to it things move."""

from collections.abc import Iterable
from dataclasses import dataclass

from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.tolerances import CONTACT, rounded

UPRIGHT = 60.0
"""mm. What reaches the top, thinner than this one way and higher than HIGH, stands upright: a side, a rail, a back."""

HIGH = 30.0
"""mm."""


@dataclass(frozen=True)
class Below:
    """What stands upright under a top and reaches it, by name and as a box (x, y of the wall), and the air over all
    that moves (mm).

    `clear` is None where nothing moves.
    """

    uprights: tuple[tuple[str, Box], ...] = ()
    clear: float | None = None


def below(units: Iterable[BuiltUnit], frame: Placement, underside: float) -> Below:
    """What `units`, placed in the room, are to a top along the wall with that frame, its underside at that height."""
    back = frame.inverse()
    uprights: list[tuple[str, Box]] = []
    highest: float | None = None
    for unit in units:
        moving = {path for motion in unit.motions for path in motion.parts}
        for placed in unit.parts:
            box = back.box(placed.bounds())
            if placed.path in moving:
                highest = max(box.hi[2], highest) if highest is not None else box.hi[2]
            elif box.hi[2] > underside - CONTACT and min(box.size[:2]) <= UPRIGHT and box.size[2] >= HIGH:
                uprights.append((f"the {placed.name} of {unit.name}", box))
    return Below(tuple(uprights), None if highest is None else rounded(underside - highest))
