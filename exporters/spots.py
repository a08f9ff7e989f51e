"""A finding as it is shown: its number, its parts where the trouble is largest, the colours that tell them apart."""

from collections.abc import Iterable, Iterator, Mapping
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
    """The parts of a finding where the trouble is largest; `moved` is how far what is not at rest came for that, by
    path."""

    parts: tuple[PlacedPart, ...]
    moved: Mapping[str, Placement]


def spot_of(plan: Plan, finding: Finding) -> Spot:
    """The parts of a finding at their places: what slides or turns as far on its way as the finding says."""
    motions = {m.name: m for m in plan.laden}
    moved = {
        path: _moved(motions[name], run)
        for name, run in finding.posed
        if name in motions
        for path in motions[name].parts
    }
    named = finding.parts[:2] if finding.code == "not-both-open" else finding.parts  # the others are further pairs
    parts = (plan.by_path[path] for path in named if path in plan.by_path)
    return Spot(tuple(p.moved(moved[p.path]) if p.path in moved else p for p in parts), moved)


def _moved(motion: Motion, run: float) -> Placement:
    """How far what moves is from rest, after `run` mm or radians."""
    if motion.kind == "swing":
        return swung(motion, run)
    x, y, z = (d * run for d in motion.direction)
    return Placement((x, y, z))


def numbered(findings: Iterable[Finding]) -> Iterator[tuple[str, Finding]]:
    """Each finding with its number in the report, from 01 on, all of one length."""
    found = list(findings)
    digits = max(2, len(str(len(found))))
    for i, finding in enumerate(found, start=1):
        yield f"{i:0{digits}}", finding
