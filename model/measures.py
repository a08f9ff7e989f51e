"""How checks show what they measure, for people: small depths, volumes, angles and runs, in the project's unit."""

import math

from model.lengths import LengthUnit, show_length
from model.part import Motion

CUBIC_INCH = 25.4**3
"""mm^3. The inch is 25.4 mm exactly (international yard and pound agreement of 1959)."""


def show_small(mm: float, lengths: LengthUnit) -> str:
    """A depth or a gap, which matters below the nearest 1/32 in: decimals in both units."""
    return f"{mm / 25.4:.3f} in" if lengths == "in" else f"{mm:.2f} mm"


def show_volume(mm3: float, lengths: LengthUnit) -> str:
    """A volume, in cubic inches or cubic centimetres."""
    return f"{mm3 / CUBIC_INCH:.3f} in³" if lengths == "in" else f"{mm3 / 1000:.3f} cm³"


def show_angle(degrees: float) -> str:
    """An angle to a hundredth of a degree."""
    return f"{degrees:.2f}".rstrip("0").rstrip(".") + "\u00b0"


def show_run(motion: Motion, free: float | None, lengths: LengthUnit) -> str:
    """How far a motion runs free (mm, radians; None: all the way) against its whole travel."""
    if motion.kind == "swing":
        whole = math.degrees(abs(motion.travel))
        return f"{show_angle(whole if free is None else math.degrees(free))} of {show_angle(whole)}"
    return f"{show_length(motion.travel if free is None else free, lengths)} of {show_length(motion.travel, lengths)}"
