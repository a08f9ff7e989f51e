"""How much light work needs, and how well lamps are hidden: published levels."""

from dataclasses import dataclass
from typing import Literal

TaskName = Literal["store", "general", "write", "draw", "fine", "very fine", "precision", "colour", "inspect"]


@dataclass(frozen=True, slots=True)
class Task:
    """Maintained illuminance (lux) on the work, least over mean, and where that is said."""

    lux: float
    uniformity: float
    source: str


_EN = "EN 12464-1:2011"
TASKS: dict[TaskName, Task] = {
    "store": Task(100, 0.4, f"{_EN}, store and stockrooms: 100 lx"),
    "general": Task(300, 0.6, f"{_EN}, filing and copying, general machine work: 300 lx"),
    "write": Task(500, 0.6, f"{_EN}, writing, typing, reading: 500 lx"),
    "draw": Task(750, 0.7, f"{_EN}, technical drawing: 750 lx"),
    "fine": Task(500, 0.6, f"{_EN}, fine assembly: 500 lx"),
    "very fine": Task(750, 0.7, f"{_EN}, very fine assembly: 750 lx"),
    "precision": Task(1000, 0.7, f"{_EN}, precision assembly, watchmaking, tools: 1000 lx"),
    "colour": Task(1000, 0.7, f"{_EN}, colour inspection: 1000 lx"),
    "inspect": Task(1500, 0.7, f"{_EN}, working precious stones: 1500 lx"),
}

_SHIELDING = ((500_000.0, 30.0), (50_000.0, 20.0), (20_000.0, 15.0))


def shielding(luminance: float) -> float:
    """How far under the level (degrees) a lamp of so many cd/m2 must be hidden; 0 below 20 000.

    EN 12464-1:2011, 4.5.2, Table 1: 15 degrees from 20 000, 20 from 50 000, 30 from 500 000 cd/m2.
    """
    return next((angle for least, angle in _SHIELDING if luminance >= least), 0.0)
