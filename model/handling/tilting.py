"""Standing a tall thing up, and tilting a long one to get it round a corner: boxes in one upright plane, mm."""

import math


def needed_height(tall: float, deep: float, rise: float = 0.0) -> float:
    """The ceiling a box needs over the edge it turns on while it is tipped up from lying.

    The box lies on its face with its foot at that edge and its top away from it, and is raised by a right angle: it
    ends on the far side of the edge, `tall` high and `deep` deep. The ceiling rises by `rise` mm for each mm away from
    there, in the direction the top lay; level, the answer is the diagonal of the box.

    The upper corner stands at (tall cos a - deep sin a, tall sin a + deep cos a); its height less the ceiling's rise is
    (tall + rise deep) sin a + (deep - rise tall) cos a, which is greatest where its derivative is nought, or upright.
    """
    up, flat = tall + rise * deep, deep - rise * tall
    if flat <= 0:
        return up
    if up <= 0:
        return flat
    return math.hypot(up, flat)


def tallest(ceiling: float, deep: float) -> float:
    """The tallest box that is tipped up under a level ceiling; 0 where it is deeper than that."""
    return math.sqrt(max(ceiling**2 - deep**2, 0.0))


def tilted_length(long: float, high: float, ceiling: float) -> float:
    """The least length in plan of an upright rectangle `long` by `high`, tilted as far as the ceiling lets it.

    Tilted by a, it is long cos a + high sin a in plan and long sin a + high cos a high. In plan it first grows and then
    shrinks, so the best is level, or as steep as it goes. Infinite where it is too high even level.
    """
    if high > ceiling:
        return math.inf
    diagonal = math.hypot(long, high)
    if diagonal <= ceiling:
        return min(long, high)
    steepest = math.asin(ceiling / diagonal) - math.atan2(high, long)
    return min(long, long * math.cos(steepest) + high * math.sin(steepest))
