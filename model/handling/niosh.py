"""How much may be lifted by hand: the revised lifting equation.

NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, DHHS publication 94-110 (rev. 9/2021), 1.3: the
recommended weight limit is a load that three in four women and nearly all men can lift without undue strain. It is for
one person who lifts smoothly with both hands; for teams see `team`.
"""

from dataclasses import dataclass
from typing import Literal

Coupling = Literal["good", "fair", "poor"]
Hours = Literal[1, 2, 8]

LOAD = 23.0
"""kg. The load constant: what one person may lift where every multiplier is 1."""

_COUPLING: dict[Coupling, tuple[float, float]] = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}
"""Table 7: hands below 750 mm (30 in), and at or above it."""

_RATES = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
_FREQUENCY: dict[tuple[Hours, bool], tuple[float, ...]] = {
    (1, False): (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0, 0, 0),
    (1, True): (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    (2, False): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0, 0, 0, 0, 0),
    (2, True): (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0.23, 0.21, 0, 0, 0),
    (8, False): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0, 0, 0, 0, 0, 0, 0),
    (8, True): (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0, 0, 0, 0, 0),
}
"""Table 5, by the hours of lifting and whether hands are at or above 750 mm; rates are lifts a minute."""

_TEAM = {1: 1.0, 2: 2 / 3, 3: 1 / 2, 4: 1 / 2}


@dataclass(frozen=True, slots=True)
class Lift:
    """A lift, in mm and degrees.

    `out`: the hands before the ankles. `height`: the hands above the floor. `travel`: how far up or down they go.
    `twist`: how far off straight ahead. `rate`: lifts a minute for `hours`.
    """

    out: float
    height: float
    travel: float
    twist: float = 0.0
    coupling: Coupling = "fair"
    rate: float = 0.2
    hours: Hours = 1


@dataclass(frozen=True, slots=True)
class Multipliers:
    """What each circumstance leaves of the load constant."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    @property
    def limit(self) -> float:
        """The recommended weight limit, kg."""
        return LOAD * (
            self.horizontal * self.vertical * self.distance * self.asymmetry * self.frequency * self.coupling
        )


def multipliers(lift: Lift) -> Multipliers:
    """The six multipliers (1.3.1 to 1.3.6); 0 where the equation says that nothing may be lifted so."""
    high = lift.height >= 750.0
    return Multipliers(
        horizontal=0.0 if lift.out > 630.0 else min(1.0, 250.0 / lift.out) if lift.out > 0 else 1.0,
        vertical=1.0 - 0.0003 * abs(lift.height - 750.0) if 0.0 <= lift.height <= 1750.0 else 0.0,
        distance=0.0 if lift.travel > 1750.0 else min(1.0, 0.82 + 45.0 / lift.travel) if lift.travel > 0 else 1.0,
        asymmetry=1.0 - 0.0032 * abs(lift.twist) if abs(lift.twist) <= 135.0 else 0.0,
        frequency=_frequency(lift, high),
        coupling=_COUPLING[lift.coupling][high],
    )


def _frequency(lift: Lift, high: bool) -> float:
    """Table 5, with the next higher rate that is listed."""
    row = _FREQUENCY[lift.hours, high]
    return next((m for rate, m in zip(_RATES, row, strict=True) if lift.rate <= rate), 0.0)


def limit(lift: Lift) -> float:
    """The recommended weight limit for one person, kg."""
    return multipliers(lift).limit


def team(people: int) -> float:
    """How many times what one person may lift a team may: two people 4/3, three 3/2, four 2.

    Two people can do two thirds, three a half of what they could one by one (HSE, Manual handling, L23, guidance on
    team handling); four as three, and more than four seldom work well. Raises ValueError below 1.
    """
    if people < 1:
        raise ValueError("a team has one person or more")
    return min(people, 4) * _TEAM[min(people, 4)]


def box_out(depth: float, height: float) -> float:
    """How far out from the ankles a box `depth` mm deep is held at its sides, hands `height` mm above the floor.

    H = 20 + W/2 cm, and 25 + W/2 cm for hands below 25 cm (1.3.1); no less than 25 cm.
    """
    return max(250.0, (250.0 if height < 250.0 else 200.0) + depth / 2)
