"""Block and tackle: what a hand must pull to hoist a load, without friction and with it."""

from typing import Literal

Lead = Literal["fixed", "moving"]


def advantage(parts: int, kept: float = 1.0, lead: Lead = "fixed") -> float:
    """The load over the pull of the hand, for `parts` parts of rope that carry the load.

    `kept` is the share of its pull a rope keeps over one sheave. With the hand's end off the fixed block (pulled
    downward) the rope runs over as many sheaves as there are parts: kept + kept^2 + ... + kept^parts; off the moving
    block over one less: 1 + kept + ... + kept^(parts - 1). Statics; without friction both are the number of parts.
    Raises ValueError for less than one part.
    """
    if parts < 1:
        raise ValueError("at least one part of rope carries the load")
    first = 1 if lead == "fixed" else 0
    return sum(kept ** (first + i) for i in range(parts))


def pull(load: float, parts: int, kept: float = 1.0, lead: Lead = "fixed") -> float:
    """What the hand pulls, in the unit of the load."""
    return load / advantage(parts, kept, lead)


def at_anchor(load: float, parts: int, kept: float = 1.0, lead: Lead = "fixed") -> float:
    """What hangs on the fixed block's anchor: the load, and the hand's pull where that is downward."""
    hand = pull(load, parts, kept, lead)
    return load + hand if lead == "fixed" else load - hand
