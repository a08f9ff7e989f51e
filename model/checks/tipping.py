"""Whether units that stand on the floor tip over, before they are fixed: everything open, loaded, a child on top of it.

True masses and centres, moments about the front of what stands on the floor: feet, sides, toe board. The code: `tips`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.meshes import triangles
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.statics.fasteners import THREAD, withdrawal
from model.statics.masses import lump_of, together
from model.statics.openings import openings
from model.statics.tipping import NM, Case, Edge, Point2, State, anchor_force, edges, hull, worst_case
from model.stock.tables import Screw
from model.tolerances import CONTACT, rounded

LEAST = 100.0
"""mm. What stands on less than this, either way, does not stand by itself: a panel, a filler."""
FORWARD = math.cos(math.radians(60))
"""Edges are looked at that face into the room, within 60 degrees: the wall and the neighbours hold the others."""
AT_STUD = 20.0
"""mm. A stud counts for a unit that covers its middle by so much."""
TIES = ("stretcher", "sub-top", "top", "wall rail", "rail", "back rail")
NEAR_WALL = 60.0
"""mm. A tie so near to the rear of its unit is screwed to the wall."""
SOURCE = (
    "moments about the front of what stands on a hard, level floor; a child on an open front: ASTM F2057-23 (60 lb)"
)

CODES = (
    Code(
        "tips",
        "A unit tips forward before it is fixed, by itself or with a child on it: it must be held to studs or masonry. "
        "Screw every unit to the wall whatever this says; local codes and licensed practice go before it.",
        causes=(
            "all drawers run out at once, full, before a carcass that weighs less than they carry",
            "a heavy door that opens in front of a shallow carcass",
            "a toe kick or feet set far back under the front",
            "a wall bed on its way down",
        ),
        moved_by=(
            "project: safety.fixing",
            "project: safety.child",
            "unit: drawers.load",
            "unit: depth",
            "unit: toe_kick.depth",
            "room: walls.studs",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Stands:
    """Units that stand as one: their names, and their worst case with and without a child."""

    names: tuple[str, ...]
    alone: Case
    with_child: Case


@check
def tipping(build: Build) -> Iterator[Finding]:
    """Finding `tips`, once for each unit that does."""
    walls = {wall.name: wall for wall in build.walls}
    groups = _groups(build)
    runs: dict[tuple[str, ...], Stands | None] = {}
    for unit in build.plan.units:
        wall = walls[build.stands_at[unit.name]]
        found = stands(build, (unit,), wall)
        if found is None or found.with_child.net >= 0:
            continue
        run = groups[unit.name]
        key = (wall.name, *(u.name for u in run))
        if key not in runs:
            runs[key] = stands(build, run, wall) if len(run) > 1 else None
        yield _finding(build, unit, wall, found, runs[key])


def stands(build: Build, units: tuple[BuiltUnit, ...], wall: RoomWall) -> Stands | None:
    """How units stand as one in front of a wall; None where they do not stand by themselves."""
    front = front_edges([p for u in units for p in u.parts], wall)
    if not front:
        return None
    movers = [o for u in units for o in openings(build, u)]
    moving = {path for u in units for m in u.motions for path in m.parts}
    fixed = [lump_of(p, build.stock) for u in units for p in u.parts if p.path not in moving]
    child = build.inputs.project.value.safety.child
    return Stands(
        tuple(u.name for u in units), worst_case(fixed, movers, front), worst_case(fixed, movers, front, child)
    )


def front_edges(parts: list[PlacedPart], wall: RoomWall) -> list[Edge]:
    """The edges of what stands on the floor that face into the room; none where that is too narrow to stand on."""
    points: list[Point2] = []
    for placed in parts:
        if placed.bounds().lo[2] <= CONTACT:
            vertices, _ = triangles(placed)
            points += [(rounded(x), rounded(y)) for x, y, z in vertices.tolist() if z <= CONTACT]
    outline = hull(points)
    along, inward = wall.frame.turn((1.0, 0.0, 0.0)), wall.frame.turn((0.0, 1.0, 0.0))
    for axis in (along, inward):
        reach = [x * axis[0] + y * axis[1] for x, y in outline]
        if len(outline) < 3 or max(reach) - min(reach) < LEAST:
            return []
    return [e for e in edges(outline) if e.inward[0] * inward[0] + e.inward[1] * inward[1] >= FORWARD]


def _groups(build: Build) -> dict[str, tuple[BuiltUnit, ...]]:
    """The units each unit is joined to, directly or through others, itself among them, in reading order."""
    owner = {p.path: u.name for u in build.plan.units for p in u.parts}
    leader = {u.name: u.name for u in build.plan.units}

    def find(name: str) -> str:
        while leader[name] != name:
            name = leader[name]
        return name

    for joint in build.plan.joints_between:
        leader[find(owner[joint.a])] = find(owner[joint.b])
    return {
        u.name: tuple(o for o in build.plan.units if find(o.name) == find(u.name) and not _hangs(build, o))
        for u in build.plan.units
    }


def _hangs(build: Build, unit: BuiltUnit) -> bool:
    return any(u.name == unit.name and u.hung for u in build.inputs.project.value.uppers)


def fixing_height(unit: BuiltUnit, wall: RoomWall) -> float:
    """Where a unit is screwed to the wall, mm above the floor: the middle of its wall rail, else of its highest tie at
    the rear."""
    back = wall.frame.inverse()
    boxes = [(p, p.moved(back).bounds()) for p in unit.parts]
    rear = max(b.hi[1] for _, b in boxes)
    near = [(p.role, b) for p, b in boxes if p.role in TIES and rear - b.hi[1] <= NEAR_WALL]
    ties = [b for role, b in near if role == "wall rail"] or [b for _, b in near]
    return max((b.center[2] for b in ties), default=max(b.hi[2] for _, b in boxes))


def studs_behind(units: tuple[BuiltUnit, ...], wall: RoomWall) -> tuple[float, ...]:
    """The studs behind units, mm from the left end of their wall."""
    if wall.wall.studs is None:
        return ()
    back = wall.frame.inverse()
    spans = [p.moved(back).bounds().span("x") for u in units for p in u.parts]
    low, high = min(s[0] for s in spans) + AT_STUD, max(s[1] for s in spans) - AT_STUD
    return tuple(rounded(x) for x in wall.wall.studs.centres(wall.wall.width) if low <= x <= high)


def _finding(build: Build, unit: BuiltUnit, wall: RoomWall, found: Stands, run: Stands | None) -> Finding:
    safety = build.inputs.project.value.safety
    by_itself = found.alone.net < 0
    case = found.alone if by_itself else found.with_child
    height = rounded(fixing_height(unit, wall))
    force = anchor_force(found.with_child.net, height)
    studs = studs_behind((unit,), wall)
    free = safety.fixing == "none"
    short = wall.wall.studs is not None and not studs
    holds, tips = (together(side) for side in case.sides)
    details = [
        ("holding_kg", round(holds.mass, 2)),
        ("holding_arm_mm", round(case.edge.arm(holds.centre), 1)),
        ("tipping_kg", round(tips.mass, 2)),
        ("tipping_arm_mm", round(-case.edge.arm(tips.centre), 1) if tips.mass else 0.0),
        ("net_Nm", round(case.net, 1)),
        ("with_child_net_Nm", round(found.with_child.net, 1)),
        ("anchor_N", round(force, 1)),
        ("anchor_height_mm", height),
    ]
    if run is not None:
        details.append(("joined_with_child_net_Nm", round(run.with_child.net, 1)))
    return Finding(
        code="tips",
        severity=_severity(found, run, free),
        message=f"{unit.name}, not yet fixed, tips {_when(case)}: {_sum(build, case)}. "
        f"{_hold(build, wall, force, height, studs, free, short)}{_joined(run)}; local code goes first",
        parts=tuple(p.path for p in unit.parts if p.role in ("front", "door", "tray", "front panel"))[:8],
        value=round(case.factor, 3),
        limit=1.0,
        unit="holding/tipping",
        source=SOURCE,
        details=tuple(details),
    )


def _severity(found: Stands, run: Stands | None, free: bool) -> Literal["fault", "warning", "note"]:
    """A note where it only tips until it is joined; a fault where nothing is said to hold what tips by itself."""
    last = run or found
    if free and last.alone.net < 0:
        return "fault"
    return "warning" if last.with_child.net < 0 else "note"


def _when(case: Case) -> str:
    opened = [s for s in case.states if s.opened]
    names = [_short(s) for s in opened]
    loaded = [s for s in opened if s.loaded and s.opening.contents]
    text = f"with {_listed(names)} open" if names else "as it stands"
    if loaded:
        text += " and loaded" if len(loaded) == len(opened) else f", {_listed([_short(s) for s in loaded])} loaded"
    on = next((_short(s) for s in case.states if s.child), None)
    return f"{text} and a child on {on}" if on else text


def _short(state: State) -> str:
    return state.opening.name.split("/", 1)[1]


def _listed(names: list[str]) -> str:
    """`drawers 1, 2 and 3` for names that differ in their number alone; else all of them."""
    stems = {n.rsplit(" ", 1)[0] for n in names}
    if len(names) > 1 and len(stems) == 1 and all(n.rsplit(" ", 1)[-1].isdigit() for n in names):
        numbers = [n.rsplit(" ", 1)[1] for n in names]
        return f"{stems.pop()}s {', '.join(numbers[:-1])} and {numbers[-1]}"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _sum(build: Build, case: Case) -> str:
    """The moments, so that they can be done again by hand: mass x arm x g (9.80665 m/s2)."""
    lengths = build.plan.lengths

    def product(mass: float, arm: float) -> str:
        return f"{mass:.1f} kg x {show_length(rounded(abs(arm)), lengths)} x g = {mass * abs(arm) * NM:.0f} N m"

    holds, tips = (together(side) for side in case.sides)
    said = [f"{product(holds.mass, case.edge.arm(holds.centre))} hold"]
    against = [product(tips.mass, case.edge.arm(tips.centre))] if tips.mass else []
    if case.child:
        against.append(f"a child of {product(case.child.mass, case.edge.arm(case.child.centre))}")
    return f"{said[0]}, {' and '.join(against)} tip"


def _hold(
    build: Build, wall: RoomWall, force: float, height: float, studs: tuple[float, ...], free: bool, short: bool
) -> str:
    """What holds it: the pull at its fixing, and the studs that carry it."""
    lengths = build.plan.lengths
    need = f"{force:.0f} N at {show_length(height, lengths)} above the floor hold it even with a child"
    if free:
        return f"Fix it to the wall: {need}"
    if short:
        return f"No stud of {wall.name} lies behind it: join it to a neighbour that is screwed to one, {need}"
    if not studs:
        return f"Screw it to studs or masonry: {need}"
    places = _listed([show_length(x, lengths) for x in studs])
    words = f"Screw it to the stud{'s' if len(studs) > 1 else ''} at {places} from the left of {wall.name}: {need}"
    each = _screw_bears(build)
    if each is None:
        return words
    count = math.ceil(force / len(studs) / each - 1e-9)
    least = max(count, build.inputs.project.value.safety.anchor_screws)
    screw = build.inputs.materials.wall_screw
    return f"{words}, {least} {screw} to each stud, {each:.0f} N a screw"


def _screw_bears(build: Build) -> float | None:
    """What the project's wall screw may be pulled with, N; None where none is named."""
    name, safety = build.inputs.materials.wall_screw, build.inputs.project.value.safety
    if name is None or name not in build.stock.screws:
        return None
    screw: Screw = build.stock.screw(name)
    sheet = build.stock.sheets.get(build.inputs.materials.carcass or "")
    bites = screw.length - safety.wallboard - (sheet.thickness if sheet else 18.0)
    thread = min(bites, screw.length * THREAD)
    return withdrawal(safety.stud_gravity, screw.diameter, thread) if thread > 0 else None


def _joined(run: Stands | None) -> str:
    if run is None:
        return ""
    if run.with_child.net >= 0:
        return f"; joined to its neighbours ({len(run.names)} units in all) it stands"
    return f"; joined to its neighbours ({len(run.names)} units in all) it still tips with everything open"
