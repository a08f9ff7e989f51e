"""The work in the room: what stands first, what hangs, what waits until all is fixed; and the whole assembly."""

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from model.assembly.insertion import Space
from model.assembly.items import Item, wall_parts
from model.assembly.order import AXES, BY_HAND, DOWN, Near, Placing, back, through_an_opening
from model.assembly.sequence import UnitWork, neighbours, unit_work
from model.assembly.steps import Assembly, Step
from model.assembly.tally import Shop, bench_steps, step, told
from model.lengths import show_length
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Vec
from model.tolerances import rounded

if TYPE_CHECKING:
    from model.build import Build, RoomWall

STANDS = {
    "wall-bed": 0,
    "base": 0,
    "corner": 0,
    "kneehole": 1,
    "panel": 1,
    "top": 3,
    "upper": 4,
    "connecting": 5,
    "filler": 6,
}
"""The round in which a kind of unit is set; others stand with the bases."""

LAST = ("shelves", "lights", "tray", "drawers", "fronts", "doors", "bed", "springs", "mattress")
"""What waits, in order: the bed when all else is fixed."""


def assembly(build: "Build") -> Assembly:
    """Every step of a built project: each unit at the bench, then the room."""
    space = Space.of(build.plan.walk())
    shop = Shop(space, build.stock)
    walls = {wall.name: wall for wall in build.walls}
    works = {}
    for unit in build.plan.units:
        wall = walls[build.stands_at[unit.name]]
        works[unit.name] = unit_work(space, unit, Placement((0.0, 0.0, 0.0), wall.frame.rotation))
    steps = [s for work in works.values() for s in bench_steps(shop, work)]
    steps += _in_the_room(build, shop, works)
    return Assembly(told(steps, build.plan.joints, build.plan.fixings))


def in_order(build: "Build") -> tuple[BuiltUnit, ...]:
    """The units in the order they are set: bases wall by wall from the corner or the highest floor, then what lies and
    hangs on them."""
    walls = {wall.name: (k, wall) for k, wall in enumerate(build.walls)}
    corners = {build.stands_at[u.name] for u in build.plan.units if u.kind == "corner"}

    def turn(unit: BuiltUnit) -> tuple[int, int, float, str]:
        number, wall = walls[build.stands_at[unit.name]]
        return (
            STANDS.get(unit.kind, 0),
            number,
            abs(_middle(unit, wall) - _start(wall, wall.name in corners)),
            unit.name,
        )

    return tuple(sorted(build.plan.units, key=turn))


def _start(wall: "RoomWall", corner: bool) -> float:
    """Where the setting of a wall begins: the corner at its right end, else its highest floor, else its left end."""
    if corner:
        return wall.wall.width
    if not wall.wall.floor:
        return 0.0
    return max(wall.wall.floor, key=lambda p: (p.z, -p.x)).x


def _middle(unit: BuiltUnit, wall: "RoomWall") -> float:
    inward = wall.frame.inverse()
    ends = [inward.box(p.bounds()).span("x") for p in unit.parts]
    return (min(a for a, _ in ends) + max(b for _, b in ends)) / 2


def _in_the_room(build: "Build", shop: Shop, works: dict[str, UnitWork]) -> Iterator[Step]:
    walls = {wall.name: wall for wall in build.walls}
    near = neighbours(build.plan.joints)
    there: list[str] = []
    for unit in in_order(build):
        wall = walls[build.stands_at[unit.name]]
        for stage, parts in (("wall", wall_parts(unit)), ("place", works[unit.name].bench)):
            if not parts:
                continue
            placings = []
            for group in ((p,) for p in parts) if stage == "wall" else (parts,):
                placings.append(_set(shop.space, unit.name, stage, group, there, near, wall.frame))
                there += group
            said = _says(build, unit, wall, stage, frozenset(there))
            yield step(shop, unit.name, "site", stage, placings, 1, said)
    for stage in LAST:
        for unit in in_order(build):
            for batch in works[unit.name].late:
                if batch.stage != stage:
                    continue
                placings = []
                for placing in batch.moves:
                    placings.append(_later(shop.space, placing, there, walls[build.stands_at[unit.name]].frame))
                    there += placing.item.parts
                yield step(shop, unit.name, "site", stage, placings)


def _set(
    space: Space, name: str, stage: str, group: tuple[str, ...], there: list[str], near: Near, frame: Placement
) -> Placing:
    """A unit, or a part on the wall, into the room: from the front, from above, from the side, whichever is free."""
    item = Item(name, group, 0, stage)
    if not there:
        return Placing(item, DOWN, (), 0.0)
    moving, still = space.at(group), space.at(there)
    hung = any(space.bodies.placed[space.rows[m]].role == "wall cleat" for p in group for m in near.get(p, ()))
    ways = (AXES[4], AXES[0], AXES[2], AXES[3]) if hung and stage == "place" else (*AXES[:1], AXES[4], *AXES[2:4])
    for axis in ways:
        out: Vec = frame.turn(axis)
        travel = space.way_out(moving, still, out)
        if space.blocked(moving, still, out, travel) is None:
            return Placing(item, back(out), tuple(there), travel)
    return Placing(item, back(frame.turn(AXES[0])), tuple(there), 0.0, needs=BY_HAND)


def _later(space: Space, placing: Placing, there: list[str], frame: Placement) -> Placing:
    """A late move of a unit once everything stands: the same way, held against all of the room."""
    past = tuple(there)
    moving, still = space.at(placing.item.parts), space.at(past)
    if placing.needs or placing.before is not None:
        return replace(placing, past=past)
    if space.blocked(moving, still, back(placing.direction), placing.travel) is None:
        return replace(placing, past=past)
    around = space.at(placing.past)
    ways = [frame.turn(axis) for axis in AXES]
    for out in ways:
        travel = space.way_out(moving, around, out)
        if space.blocked(moving, still, out, travel) is None:
            return Placing(placing.item, back(out), past, travel)
    found = through_an_opening(space, placing.item, past, ways, placing.past)
    return found or replace(placing, past=past, needs=BY_HAND)


def _says(build: "Build", unit: BuiltUnit, wall: "RoomWall", stage: str, there: frozenset[str]) -> str:
    """What is done with a unit in the room, with the measures of this room."""
    lengths = build.plan.lengths
    inward = wall.frame.inverse()
    boxes = [inward.box(p.bounds()) for p in unit.parts]
    x0, x1 = min(b.lo[0] for b in boxes), max(b.hi[0] for b in boxes)
    z0, z1 = min(b.lo[2] for b in boxes), max(b.hi[2] for b in boxes)
    studs = [x for x in (wall.wall.studs.centres(wall.wall.width) if wall.wall.studs else ()) if x0 <= x <= x1]
    at = ", ".join(show_length(x, lengths) for x in studs)
    into = f"the studs at {at} from the left end of {wall.name}" if studs else "studs or masonry"
    if stage == "wall":
        fixed = frozenset(wall_parts(unit))
        feet = {rounded(box.lo[2]) for p, box in zip(unit.parts, boxes, strict=True) if p.path in fixed}
        edges = ", ".join(show_length(z, lengths) for z in sorted(feet))
        if unit.kind == "connecting":
            return f"Screw the ledges to the sides of the uppers, level, their lower edges {edges} above the floor."
        return f"Mark a level line, lower edge {edges} above the floor; fix into {into}."
    left = show_length(x0, lengths)
    if unit.kind == "top":
        seams = sum(j.kind == "seam" for j in unit.joints)
        joined = (
            f" Glue and draw together its {_count(seams, 'seam')} over the carcass that carries it." if seams else ""
        )
        return f"Lay the top down, scribe it to the wall, and screw it on from below.{joined}"
    if unit.kind in ("filler", "panel"):
        return f"Set it {left} from the left end of {wall.name}; scribe it to the wall and fix it to its neighbour."
    if unit.kind == "connecting":
        return "Lay the shelves on their ledges between the uppers and screw them down from above."
    beside = " Clamp it flush with its neighbour and screw the two together." if _beside(build, unit, there) else ""
    if z0 > 1.0:
        height = show_length(z1, lengths)
        place = f"Set it {left} from the left end of {wall.name}, its top {height} above the floor."
        return f"{place}{beside} Fix it into {into}."
    shim = max(wall.wall.floor_at(x0), wall.wall.floor_at(x1))
    packed = f" Shims of up to {show_length(shim, lengths)} take up the floor." if shim > 0 else ""
    rails = [inward.box(p.bounds()) for p in unit.parts if p.role == "wall rail"]
    high = show_length(max((b.center[2] for b in rails), default=z1 - 50.0), lengths)
    at_rail = f"Screw its wall rail, {high} above the floor, to" if rails else f"Fix it at {high} into"
    return f"Set it {left} from the left end of {wall.name} and level it.{packed}{beside} {at_rail} {into}."


def _beside(build: "Build", unit: BuiltUnit, there: frozenset[str]) -> bool:
    """Whether a neighbour that one of its ends is screwed to stands already."""
    return any(
        (joint.a in unit.ends and joint.b in there) or (joint.b in unit.ends and joint.a in there)
        for joint in build.plan.joints_between
    )


def _count(n: int, noun: str) -> str:
    return f"{n} {noun}{'s' if n != 1 else ''}"
