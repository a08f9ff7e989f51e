"""What a check has to say: one Finding each, measured value and limit included."""

from dataclasses import dataclass
from typing import Literal

from model.shapes import Vec

Severity = Literal["fault", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Code:
    """What a code stands for, for people: what it means, what usually causes it, which config values move it."""

    name: str
    means: str
    causes: tuple[str, ...]
    moved_by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found, in plain words, with what was measured against what.

    `code` is a stable short name of the rule (`overlap`, `blocked`). `parts` are paths; `at` a point in the room (mm).
    `value` and `limit` share `unit`; `source` says where the limit comes from. `details` are further measures by name
    (`depth_mm`, `free_travel_mm`). `motion` names the motion it is about, where there is one;
    `posed` says which motions are how far from rest (mm, radians) where the trouble shows.
    """

    code: str
    severity: Severity
    message: str
    parts: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None
    unit: str = "mm"
    source: str = ""
    at: Vec | None = None
    details: tuple[tuple[str, float], ...] = ()
    motion: str = ""
    posed: tuple[tuple[str, float], ...] = ()
