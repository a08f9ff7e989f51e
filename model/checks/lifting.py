"""What each unit weighs, where its centre of gravity is, and whether those at hand can lift it and set it in its place.

The code: `lifting`, once for each unit. What is laid in place piece by piece is judged by its heaviest piece.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from model.build import Build
from model.checks import check
from model.checks.way_in import LAID_IN_PLACE, goes_in_whole
from model.findings import Code, Finding, Severity
from model.handling.niosh import LOAD, Lift, Multipliers, box_out, multipliers, team
from model.handling.tackle import advantage
from model.lengths import show_length
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.room.alongside import around, boxes_along, wall_of
from model.shapes import Box
from model.statics.masses import Lump, lump_of, newtons, together
from model.tolerances import CONTACT, rounded

GRIP = 150.0
"""mm. A box on the floor is tipped up and gripped so high (common practice)."""
CARRIED = 750.0
"""mm. It is carried at this height: knuckles of one who stands (NIOSH 94-110, 1.3.2: 30 in)."""
AT_END = 300.0
"""mm. Those who carry a box between them hold it so far out from their ankles (common practice)."""
LIGHT = 10.0
"""kg. Single boards and fillers below this are not spoken of."""
HIGH_RISK = 3.0
"""From this lifting index on most are at risk (NIOSH 94-110, 1.4.2)."""
MOST = 4
"""People. Larger teams seldom work well (HSE L23)."""
WORDS = {1: "one person", 2: "two people", 3: "three people", 4: "four people"}
SOURCE = "NIOSH 94-110 (rev. 9/2021), recommended weight limit; teams: HSE L23 (two 4/3, three 3/2, four 2)"

CODES = (
    Code(
        "lifting",
        "What a unit weighs and whether those at hand can lift it: the lifting index is its mass over what may be "
        "lifted so. Above 1 some are at risk, above 3 most.",
        causes=(
            "a wide carcass lifted whole, with its drawers, doors and shelves in it",
            "a long top in one piece",
            "an upper that is lifted over the head",
        ),
        moved_by=(
            "project: comfort.carrying.people",
            "project: comfort.carrying.tackle",
            "project: materials.carcass",
            "project: walls.width",
            "project: uppers.bottom",
            "unit: depth",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Carried:
    """What is lifted in one go: all of it and what is left once loose things are out, the box it fills in the frame of
    its wall, and the height its foot comes to (mm)."""

    whole: Lump
    bare: Lump
    box: Box
    foot: float
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """The harder of the lifts, what it leaves of the load constant, and what all may lift together (kg)."""

    where: str
    lift: Lift
    left: Multipliers
    limit: float


@check
def lifting(build: Build) -> Iterator[Finding]:
    """Finding `lifting`."""
    for unit in build.plan.units:
        load = carried(build, unit)
        if load is not None:
            yield _finding(build, unit, load)


def carried(build: Build, unit: BuiltUnit) -> Carried | None:
    """What is lifted of a unit; None where that is next to nothing."""
    parts = [p for p in unit.parts if p.role != "mattress"]
    if unit.kind in LAID_IN_PLACE:
        heaviest = max(parts, key=lambda p: (lump_of(p, build.stock).mass, p.path))
        return _as_one(build, unit, [heaviest], [heaviest], heaviest.path)
    moving = {path for m in unit.motions for path in m.parts}
    fixed = [p for p in parts if p.path not in moving and p.role not in ("shelf", "shelf pin")]
    return _as_one(build, unit, parts, fixed or parts)


def _as_one(
    build: Build, unit: BuiltUnit, all_of: list[PlacedPart], fixed: list[PlacedPart], piece: str = ""
) -> Carried | None:
    whole = together(lump_of(p, build.stock) for p in all_of)
    if whole.mass < LIGHT:
        return None
    wall = wall_of(build, unit.name)
    # pulls and other hardware stand out, but nobody holds a cabinet by them
    wood = [p for p in fixed if p.part.kind != "hardware"] or fixed
    box = around(b for _, b in boxes_along(wall, wood))
    back = wall.frame.inverse()
    lumps = [Lump(m.mass, back.apply(m.centre)) for m in (whole, together(lump_of(p, build.stock) for p in fixed))]
    return Carried(lumps[0], lumps[1], box, max(box.lo[2], 0.0), piece)


def judged(load: Carried, people: int) -> Judged:
    """The harder of lifting it off the floor and setting it in its place, for so many people."""
    depth = min(load.box.size)  # boards are carried on edge, boxes with their least side toward the body
    found = []
    lifts = [("off the floor", GRIP, CARRIED - GRIP)]
    if load.foot > CONTACT + GRIP:
        lifts.append(("up to its place", load.foot, abs(load.foot - CARRIED)))
    for where, height, travel in lifts:
        out = box_out(depth, height) if people == 1 else AT_END
        lift = Lift(rounded(out), rounded(height), rounded(travel))
        left = multipliers(lift)
        found.append(Judged(where, lift, left, left.limit * team(people)))
    return min(found, key=lambda j: j.limit)


def index(load: Carried, people: int) -> float:
    """The lifting index: the mass over what may be lifted; infinite where nothing may."""
    allowed = judged(load, people).limit
    return load.bare.mass / allowed if allowed > 0 else math.inf


def _finding(build: Build, unit: BuiltUnit, load: Carried) -> Finding:
    carrying = build.inputs.project.value.comfort.carrying
    people = next((n for n in range(1, carrying.people + 1) if index(load, n) <= 1), carrying.people)
    hard, li = judged(load, people), index(load, people)
    details = [
        ("mass_kg", round(load.whole.mass, 2)),
        ("bare_kg", round(load.bare.mass, 2)),
        *((f"centre_{a}_mm", round(c, 1)) for a, c in zip("xyz", _centre(load), strict=True)),
        ("people", float(people)),
        ("out_mm", hard.lift.out),
        ("hands_mm", hard.lift.height),
        ("travel_mm", hard.lift.travel),
        ("lifting_index", round(min(li, 99.0), 3)),
    ]
    in_place = unit.kind not in LAID_IN_PLACE and (
        (li > HIGH_RISK and not carrying.tackle) or not goes_in_whole(build, unit)
    )
    said = [_weighs(build, unit, load), _may(load, hard, people, li)]
    if in_place:
        said.append("bring it in flat and put it together in its place")
    elif li > 1:
        said.append(_help(build, load, hard))
    if load.foot > CARRIED and any(u.name == unit.name and u.hung for u in build.inputs.project.value.uppers):
        said.append("hang it before what stands under it: over a base it is out of reach")
    severity: Severity = "warning" if li > HIGH_RISK and not carrying.tackle else "note"
    return Finding(
        code="lifting",
        severity=severity,
        message="; ".join(said),
        parts=(load.piece,) if load.piece else (),
        value=round(load.bare.mass, 2),
        limit=round(hard.limit, 2),
        unit="kg",
        source=SOURCE,
        at=wall_of(build, unit.name).frame.apply(load.whole.centre),
        details=tuple(details),
    )


def _centre(load: Carried) -> tuple[float, float, float]:
    """The centre of gravity from the left, from the front and from the foot of what is lifted, to a millimetre."""
    x, y, z = (float(round(c - low)) for c, low in zip(load.whole.centre, load.box.lo, strict=True))
    return (x, y, z)


def _weighs(build: Build, unit: BuiltUnit, load: Carried) -> str:
    x, y, z = (show_length(c, build.plan.lengths) for c in _centre(load))
    what = f"{load.piece}, the heaviest piece," if load.piece else unit.name
    loose = load.whole.mass - load.bare.mass
    bare = f", {load.bare.mass:.1f} kg with what opens and loose shelves out" if loose > 0.05 else ""
    return (
        f"{what} weighs {load.whole.mass:.1f} kg{bare}; its centre of gravity is {x} from the left, {y} behind its "
        f"front, {z} over its foot"
    )


def _may(load: Carried, hard: Judged, people: int, li: float) -> str:
    m = hard.left
    factors = f"{LOAD:g} x {m.horizontal:.3f} x {m.vertical:.3f} x {m.distance:.3f} x {m.coupling:.2f}"
    crew = f" x {team(people):.3f}" if people > 1 else ""
    said = f"{hard.where} {WORDS[people]} may lift {factors}{crew} = {hard.limit:.1f} kg"
    if not math.isfinite(li):
        return f"{said}: it is higher than anything should be lifted to by hand"
    return f"{said}, a lifting index of {li:.2f}"


def _help(build: Build, load: Carried, hard: Judged) -> str:
    """What would do instead: more people, or the tackle at hand, with what its rope and its anchor carry."""
    carrying = build.inputs.project.value.comfort.carrying
    more = next((n for n in range(carrying.people + 1, MOST + 1) if index(load, n) <= 1), None)
    if carrying.tackle:
        kg, n, e = load.bare.mass, carrying.tackle, carrying.sheave
        pull = kg / advantage(n, e)
        return (
            f"hoisted with {n} parts of tackle the hand pulls {pull:.1f} kg ({newtons(pull):.0f} N, "
            f"{kg / n:.1f} kg without friction, {e:g} kept over each of {n} sheaves) and the anchor carries "
            f"{kg + pull:.1f} kg: hang it from a joist"
        )
    crew = f"{WORDS[more]} or " if more else ""
    return f"take {crew}{'straps and a dolly' if hard.lift.height <= GRIP else 'a lift, and a prop under it'}"
