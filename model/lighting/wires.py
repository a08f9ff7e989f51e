"""Copper for low voltage: sizes, resistance, how many volts are lost on the way."""

import math

RESISTIVITY = 1.7241e-8
"""ohm m. Annealed copper at 20 C (IEC 60028, 100 % IACS)."""
PER_KELVIN = 0.00393
"""Of resistance at 20 C (IEC 60028)."""
OUNCE_COPPER = 0.035
"""mm. Foil of one ounce to the square foot (trade)."""

AWG_SIZES = (20, 18, 16, 14, 12, 10)
METRIC_SIZES = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0)
"""mm2. The sections sold (IEC 60228). Thinner ones, of both kinds, break where they are handled (common practice)."""
DENSITY = 8.0
"""A/mm2. A short cord in free air carries at most this (common practice)."""


def awg_diameter(number: int) -> float:
    """The diameter of a gauge, mm: 0.127 x 92^((36 - n)/39) (ASTM B258; 4/0 is -3)."""
    return 0.127 * 92 ** ((36 - number) / 39)


def awg_area(number: int) -> float:
    """Its section, mm2."""
    return math.pi / 4 * awg_diameter(number) ** 2


def resistance(area: float, length: float = 1.0, celsius: float = 20.0) -> float:
    """Of one copper conductor `area` mm2 and `length` m, ohm."""
    return RESISTIVITY * 1e6 / area * length * (1 + PER_KELVIN * (celsius - 20))


def drop(amperes: float, ohm: float, along: bool = False) -> float:
    """Volts lost in a loop of so many ohm; half of that where the load is spread evenly `along` it."""
    return amperes * ohm * (0.5 if along else 1.0)


def tracks(width: float, ounces: float = 2.0, share: float = 0.3) -> float:
    """ohm per metre of both conductors of a strip `width` mm wide, where nothing is published.

    Each track is `share` of the width of foil of so many ounces: an estimate (common practice).
    """
    return 2 * resistance(width * share * OUNCE_COPPER * ounces)


def smallest(areas: tuple[float, ...], amperes: float, length: float, volts: float) -> int | None:
    """Which of some sections, rising, is the first to carry a current `length` m there and back and lose no more than
    `volts`; None where none does."""
    for i, area in enumerate(areas):
        if amperes <= DENSITY * area and drop(amperes, 2 * resistance(area, length)) <= volts + 1e-12:
            return i
    return None


def class_2(volts: float) -> float:
    """The most watts of a Class 2 supply: 100, and no more than 5 A up to 20 V (NFPA 70, 2023, ch. 9 Table 11(B))."""
    return min(100.0, 5.0 * volts) if volts <= 20 else 100.0
