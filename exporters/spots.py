"""A finding as it is shown: its number, its parts where the trouble is largest, the colours that tell them apart."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from model.collision.motion import swung
from model.findings import Finding
from model.part import Motion, PlacedPart
from model.placement import Placement
from model.plan import Plan

Colour = tuple[float, float, float]
"""sRGB, each 0 to 1."""

FIRST: Colour = (0.0, 0.447, 0.698)
SECOND: Colour = (0.902, 0.624, 0.0)
"""Blue and orange that people who see no red or no green still tell apart (M. Okabe and K. Ito, Color Universal Design,
2008)."""
SHARED: Colour = (0.85, 0.0, 0.28)
"""What two parts share: darker than the orange and redder than the blue, whatever the eye."""


@dataclass(frozen=True, slots=True)
class Spot:
    """The parts of a finding where the trouble is largest; `moved` is how far the first came from rest for that."""

    parts: tuple[PlacedPart, ...]
    moved: Placement | None = None
    motion: Motion | None = None

    @property
    def riders(self) -> tuple[str, ...]:
        """The paths of all that came along."""
        return self.motion.parts if self.motion and self.moved else ()


def spot_of(plan: Plan, finding: Finding) -> Spot:
    """The parts of a finding at their places: what slides or turns as far on its way as the finding says."""
    parts = tuple(plan.by_path[path] for path in finding.parts if path in plan.by_path)
    motion = next((m for m in plan.laden if m.name == finding.motion), None)
    if motion is None or not parts or parts[0].path not in motion.parts:
        return Spot(parts)
    details = dict(finding.details)
    # where no place is given, the place where they meet
    at = details.get("position_mm", details.get("position_deg", finding.value or 0.0))
    moved = _moved(motion, at)
    return Spot(tuple(p.moved(moved) if p.path in motion.parts else p for p in parts), moved, motion)


def _moved(motion: Motion, at: float) -> Placement:
    """How far what moves is from rest, `at` mm of its slide or degrees of its swing."""
    if motion.kind == "swing":
        return swung(motion, math.copysign(math.radians(at), motion.travel))
    x, y, z = (d * at for d in motion.direction)
    return Placement((x, y, z))


def numbered(findings: Iterable[Finding]) -> Iterator[tuple[str, Finding]]:
    """Each finding with its number in the report, from 01 on, all of one length."""
    found = list(findings)
    digits = max(2, len(str(len(found))))
    for i, finding in enumerate(found, start=1):
        yield f"{i:0{digits}}", finding
