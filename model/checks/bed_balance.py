"""How a wall bed's gas springs balance it over its whole turn, what its pivots and legs carry, what would be better.

Everything is read off the built parts: masses and centre of gravity of what turns (mattress and bedding with it), the
two ends of each spring, the pivots, the pulls. The codes: `bed-balance`, `bed-pivot-load`, `bed-leg-load`.

Cautions. Gas springs are under high pressure: never open, drill or heat one; fit them last, two people, the bed held.
Keep children away from a bed that moves.
"""

import math
from collections.abc import Iterator

import numpy as np

from model.build import Build
from model.checks import check
from model.findings import Code, Finding, Severity
from model.lengths import LengthUnit, show_length
from model.part import Motion
from model.statics.bed_turning import Bed, bed_of, better
from model.statics.masses import newtons
from model.statics.openings import outermost
from model.statics.springs import Point, Turning
from model.tolerances import rounded

COLD, WARM = 10.0, 30.0
"""C. A room that is not heated, and one on a hot day."""
CAUTION = "gas springs are under high pressure: never open, drill or heat one; keep children away while the bed moves"
SOURCE = (
    "moments about the pivots over the whole turn (statics); springs push evenly harder as they go in (common "
    "practice), and as the absolute temperature, 3.4 % for 10 C (ideal gas)"
)

CODES = (
    Code(
        "bed-balance",
        "How hard a wall bed is to hold, lift and lower at the worst angle of its turn, and whether it stays up and "
        "down. Gas springs are under high pressure: never open, drill or heat one; keep children away while it moves.",
        causes=(
            "springs too weak or too strong for the mattress that lies on it",
            "springs held so near to the pivots that they have no lever",
            "a cold room: springs lose 3.4 % for each 10 C",
        ),
        moved_by=(
            "project: materials.gas_spring",
            "project: safety.bedding",
            "project: safety.hand",
            "unit: mattress_mass",
            "unit: rail",
        ),
    ),
    Code(
        "bed-pivot-load",
        "The pair of pivots of a wall bed carries more than it is rated for: weight and springs together.",
        causes=("strong springs: they push the bed off its pivots when it stands", "many or heavy sleepers"),
        moved_by=("project: materials.bed_pivot", "project: materials.gas_spring", "project: safety.sleepers"),
    ),
    Code(
        "bed-leg-load",
        "The legs of a wall bed carry more than they are rated for, the bed down and people on it.",
        causes=("many or heavy sleepers", "light legs"),
        moved_by=("project: materials.bed_leg", "project: safety.sleepers", "unit: leg"),
    ),
)


@check
def bed_balance(build: Build) -> Iterator[Finding]:
    """Findings `bed-balance`, `bed-pivot-load` and `bed-leg-load`."""
    for unit in build.plan.units:
        for motion in outermost(unit):
            bed = bed_of(build, unit, motion)
            if bed is not None:
                yield _balance(build, bed)
                yield from _pivots(build, bed)
                yield from _legs(build, bed)


def _balance(build: Build, bed: Bed) -> Finding:
    limit = build.inputs.project.value.safety.hand
    turning = bed.turning
    angle, net = turning.worst()
    force = abs(net) * 1000 / turning.hand
    shut, down = turning.at(0.0), turning.at(turning.travel)
    cold, warm = (abs(turning.warmed(c).worst()[1]) * 1000 / turning.hand for c in (COLD, WARM))
    opens, bad = shut > 1e-6, force > limit
    severity: Severity = "warning" if opens or bad or down < -1e-6 else "note"
    better = _better(build, bed) if severity == "warning" else ""
    weight = float(turning.gravity(np.array([angle]))[0])
    details = (
        ("mass_kg", round(bed.mass, 2)),
        ("centre_forward_mm", round(turning.centre[0], 1)),
        ("centre_up_mm", round(turning.centre[1], 1)),
        ("worst_deg", round(math.degrees(angle), 2)),
        ("weight_Nm", round(weight, 1)),
        ("springs_Nm", round(net - weight, 1)),
        ("net_Nm", round(net, 1)),
        ("hand_mm", round(turning.hand, 1)),
        ("shut_Nm", round(shut, 1)),
        ("down_Nm", round(down, 1)),
        ("worst_at_10C_N", round(cold, 1)),
        ("worst_at_30C_N", round(warm, 1)),
    )
    return Finding(
        code="bed-balance",
        severity=severity,
        message=f"{_words(build, bed, (angle, net))}; {_stays(turning, shut, down)}; at {COLD:g} C {cold:.0f} N, at "
        f"{WARM:g} C {warm:.0f} N{better}. {CAUTION[0].upper()}{CAUTION[1:]}",
        parts=tuple(p.path for p in bed.unit.parts if p.role == "gas spring"),
        value=round(force, 1),
        limit=limit,
        unit="N",
        source=SOURCE,
        details=details,
        motion=bed.motion.name,
    )


def _words(build: Build, bed: Bed, worst: tuple[float, float]) -> str:
    """What turns, and the worst angle, so that it can be done again by hand."""
    lengths, t = build.plan.lengths, bed.turning
    angle, net = worst
    weight = float(t.gravity(np.array([angle]))[0])
    out = abs(weight) * 1000 / t.weight
    does = "must be held back" if net > 0 else "must be pulled down"
    return (
        f"{bed.unit.name}: {bed.mass:.1f} kg turn on {len(t.springs)} {bed.stock.name} of {bed.stock.force:g} N; worst "
        f"{math.degrees(angle):.0f} deg from shut, its weight {show_length(rounded(out), lengths)} out: "
        f"{bed.mass:.1f} kg x {show_length(rounded(out), lengths)} x g = {weight:.0f} N m, springs "
        f"{net - weight:.0f} N m, so it {does} with {abs(net) * 1000 / t.hand:.0f} N at its pulls, "
        f"{show_length(rounded(t.hand), lengths)} from the pivots"
    )


def _stays(turning: Turning, shut: float, down: float) -> str:
    if shut > 1e-6:
        up = f"shut, it comes down by itself ({shut * 1000 / turning.hand:.0f} N at the pulls): it needs a latch"
    else:
        up = f"shut, {-shut * 1000 / turning.hand:.0f} N at the pulls starts it"
    if down < -1e-6:
        low = f"down and empty, it rises by itself ({-down * 1000 / turning.hand:.0f} N): it needs a latch"
    else:
        low = f"down, {down * 1000 / turning.hand:.0f} N lifts it"
    return f"{up}; {low}"


def _better(build: Build, bed: Bed) -> str:
    """What would balance it better: springs of another force, held as they are or elsewhere; each worked out again."""
    t, lengths = bed.turning, build.plan.lengths
    scaled, moved = better(bed)
    now, hand = abs(t.worst()[1]), t.hand / 1000
    said: list[str] = []
    left = abs(scaled.worst()[1])
    if left < now:
        said.append(f"springs of {scaled.springs[0].force:.0f} N in these places leave {left / hand:.0f} N")
    if moved is not None:
        place = moved.springs[0]
        said.append(
            f"springs of {place.force:.0f} N held on the cabinet {_at(place.fixed, lengths)} and on the bed "
            f"{_at(place.moving, lengths)}, the bed standing, leave {abs(moved.worst()[1]) / hand:.0f} N (see that "
            "they clear all on their way)"
        )
    return f". Better: {'; or '.join(said)}" if said else ""


def _at(point: Point, lengths: LengthUnit) -> str:
    """A point of the side view in words, from the pivots."""
    along = "before" if point[0] > 0 else "behind"
    over = "over" if point[1] > 0 else "under"
    return (
        f"{show_length(rounded(abs(point[0])), lengths)} {along} and "
        f"{show_length(rounded(abs(point[1])), lengths)} {over} the pivots"
    )


def _folding(bed: Bed) -> list[Motion]:
    """The motions of legs that fold: they ride on the bed, and stand about where they are hinged."""
    riding = set(bed.motion.parts)
    return [m for m in bed.unit.motions if m is not bed.motion and set(m.parts) <= riding]


def down_loads(build: Build, bed: Bed) -> tuple[float, float]:
    """What the legs carry together, springs left out, and the pivots, N: the bed down, people in its middle."""
    people = newtons(build.inputs.project.value.safety.sleepers)
    t, angle = bed.turning, np.array([bed.turning.travel])
    mattress = next(p.bounds().center for p in bed.unit.parts if p.role == "mattress")
    lying = bed.view.point(mattress)[1]
    boards = [p.bounds().center for p in bed.unit.parts if p.role == "leg board"]
    legs = [bed.view.point(p)[1] for p in (*boards, *(m.origin for m in _folding(bed)))]
    out = sum(legs) / len(legs) if legs else math.inf
    moment = float(t.gravity(angle)[0]) * 1000 + people * lying
    net = max(t.at(t.travel) * 1000 + people * lying, 0.0)
    forward, up = (sum(float(s.push(angle)[i][0]) for s in t.springs) for i in (0, 1))
    return moment / out, math.hypot(forward, t.weight + people - net / out - up)


def _pivots(build: Build, bed: Bed) -> Iterator[Finding]:
    pivot = next(p.part.material for p in bed.unit.parts if p.role == "pivot")
    may = newtons(build.stock.bed_pivots[pivot].load)
    angles = np.linspace(0.0, bed.turning.travel, 91)
    turning = bed.turning.on_pivots(angles)
    i = int(np.argmax(turning))
    down = down_loads(build, bed)[1]
    most = max(float(turning[i]), down)
    if most > may:
        people = build.inputs.project.value.safety.sleepers
        when = (
            f"{math.degrees(angles[i]):.0f} deg from shut" if turning[i] >= down else f"down with {people:g} kg on it"
        )
        yield Finding(
            code="bed-pivot-load",
            severity="warning",
            message=f"{bed.unit.name}: weight and springs press on its pivots with {most:.0f} N, {when}; a pair of "
            f"{pivot} carries {may:.0f} N",
            parts=tuple(p.path for p in bed.unit.parts if p.role == "pivot"),
            value=round(most, 1),
            limit=round(may, 1),
            unit="N",
            source="its rating in stock",
            motion=bed.motion.name,
        )


def _legs(build: Build, bed: Bed) -> Iterator[Finding]:
    folding = {path for m in _folding(bed) for path in m.parts}
    tubes = [p for p in bed.unit.parts if p.path in folding and p.part.material in build.stock.bed_legs]
    if not tubes:
        return
    may = newtons(build.stock.bed_legs[tubes[0].part.material].load)
    each = down_loads(build, bed)[0] / len(tubes)
    if each > may:
        people = build.inputs.project.value.safety.sleepers
        yield Finding(
            code="bed-leg-load",
            severity="warning",
            message=f"{bed.unit.name}: down with {people:g} kg on it each leg carries {each:.0f} N, a "
            f"{tubes[0].part.material} {may:.0f} N",
            parts=tuple(p.path for p in tubes),
            value=round(each, 1),
            limit=round(may, 1),
            unit="N",
            source="its rating in stock; people in the middle of the bed, springs left out",
            motion=bed.motion.name,
        )
