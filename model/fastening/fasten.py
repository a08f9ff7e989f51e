"""Every joint of a plan fastened: the parts with their bores, and every screw, nail and bolt counted."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from model.cuts import Cut, PocketBore
from model.fastening.bench import Blank, contact, view_from
from model.fastening.choice import pocket_screw
from model.fastening.drive import Bench, Free, fasten_joint
from model.fastening.fixing import Fixing, Spot
from model.fastening.hardware import fasten_hardware
from model.fastening.on_site import WALL_ROLES, Wall, cables_through, screw_down, screw_to_wall
from model.materials import Materials
from model.part import Joint, Part
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Vec
from model.site import Unbuildable
from model.stock.tables import Stock
from model.tolerances import CONTACT

SCREWED = frozenset({"screwed", "frame"})
"""Kinds of joint that take screws; a `pocket screwed` one has its bores already."""
TOPS = frozenset({"top", "second layer", "build-up strip"})
"""Roles of the sheets of a top."""
LEVEL = frozenset({"sub-top", "stretcher", "strap", "bottom"})
"""Roles of what lies level under a top: rail screws and cables reach it."""
SITS = frozenset({"side", "left side", "backsplash", "moulding", "edge"})
"""Roles between units that only stand or lie against one another: what carries them is screwed elsewhere."""


class NotFastened(Exception):
    """A joint of a unit that nothing in stock holds: the unit's name, and what its builder would say."""

    def __init__(self, unit: str, problem: Unbuildable) -> None:
        super().__init__(problem.message)
        self.unit = unit
        self.problem = problem


@dataclass(frozen=True)
class Fastened:
    """Units with their bores and fixings, and the fixings between them."""

    units: tuple[BuiltUnit, ...]
    between: tuple[Fixing, ...]


def fasten(
    units: Sequence[BuiltUnit],
    joints_between: Sequence[Joint],
    stock: Stock,
    materials: Callable[[str], Materials],
    walls: Mapping[str, Wall] | None = None,
) -> Fastened:
    """Fasten units that are built and placed. `walls` gives the wall each stands at, by the unit's name.

    Raises NotFastened where no screw in stock fits a joint.
    """
    at = walls or {}
    blanks = {p.path: Blank(p, unit.name) for unit in units for p in unit.parts}

    def front(unit: str) -> Vec:
        return at[unit].frame.turn((0.0, -1.0, 0.0)) if unit in at else (0.0, -1.0, 0.0)

    bench = Bench(stock, blanks, materials, front)
    for unit in units:
        bench.partners = _partners(unit.joints)
        try:
            _within(bench, unit)
        except Unbuildable as problem:
            raise NotFastened(unit.name, problem) from None
    _between(bench, units, joints_between, at)
    made: dict[tuple[Part, tuple[Cut, ...]], tuple[Part, Placement]] = {}
    done = tuple(
        replace(
            unit,
            parts=tuple(blanks[p.path].finished(made) for p in unit.parts),
            fixings=tuple(bench.fixings.get(unit.name, ())),
        )
        for unit in units
    )
    return Fastened(done, tuple(bench.between))


def _partners(joints: Sequence[Joint]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for joint in joints:
        found.setdefault(joint.a, []).append(joint.b)
        found.setdefault(joint.b, []).append(joint.a)
    return found


def _within(bench: Bench, unit: BuiltUnit) -> None:
    """Hardware first, whose holes lie where they lie; then pockets that are bored; then screws, which give way."""
    wood: list[Joint] = []
    for joint in unit.joints:
        a, b = bench.blanks[joint.a], bench.blanks[joint.b]
        if joint.kind == "pocket screwed":
            _pocketed(bench, a, b, unit.name)
        elif joint.kind in SCREWED:
            if a.is_hardware or b.is_hardware:
                fasten_hardware(bench, joint.a, joint.b, unit.name)
            else:
                wood.append(joint)
    for joint in wood:
        fasten_joint(bench, joint.kind, joint.a, joint.b, unit.name)


def _pocketed(bench: Bench, a: Blank, b: Blank, unit: str) -> None:
    """Count the screws of pockets a carcass panel was bored with."""
    c = contact(a, b)
    screw = pocket_screw(bench.stock, bench.materials(unit))
    if c is None or screw is None:
        return
    size = a.placed.part.size
    spots: list[Spot] = []
    for cut in a.placed.part.cuts:
        if not isinstance(cut, PocketBore):
            continue
        start, direction = cut.seat(size)
        ahead = direction[c.axis] * c.sign
        if ahead < 0.5:
            continue
        reach = (c.plane - start[c.axis]) / direction[c.axis]
        p = [s + d * reach for s, d in zip(start, direction, strict=True)]
        if all(low - CONTACT <= p[i] <= high + CONTACT for i, low, high in c.spans):
            spots.append(Spot(start, direction))
            c.b.block((p[0], p[1], p[2]), c.normal, screw.length - cut.shoulder, screw.diameter / 2)
    if spots:
        frame = a.placed.placement
        bench.note(
            unit,
            Fixing(
                item=screw.name,
                kind="pocket screw",
                length=screw.length,
                through=a.path,
                into=(b.path,),
                spots=tuple(s.moved(frame) for s in spots),
            ),
        )


def _between(bench: Bench, units: Sequence[BuiltUnit], joints: Sequence[Joint], walls: Mapping[str, Wall]) -> None:
    """What is fastened on site: rails down into tops, units to one another, tops from below, all to the walls."""
    by_kind: dict[str, list[Blank]] = {}
    for unit in units:
        kind = "top" if unit.kind == "top" else "other"
        by_kind.setdefault(kind, []).extend(bench.blanks[p.path] for p in unit.parts)
    tops = [b for b in by_kind.get("top", []) if b.role in TOPS]
    level = [b for b in by_kind.get("other", []) if b.role in LEVEL]
    for unit in units:
        rail = bench.materials(unit.name).rail_screw
        if unit.kind == "upper" and rail is not None:
            for blank in (bench.blanks[p.path] for p in unit.parts):
                if blank.role in ("rail", "bottom rail") and blank.early:
                    screw_down(bench, blank, rail, [*tops, *level])
    for top in tops:
        cables_through(bench, top, level)
    rooms = tuple(dict.fromkeys(walls.values()))
    for blank in bench.blanks.values():
        if blank.role in WALL_ROLES:
            screw_to_wall(bench, blank, rooms)
    for joint in joints:
        if joint.kind == "screwed":
            _join_units(bench, joint)


def _join_units(bench: Bench, joint: Joint) -> None:
    a, b = bench.blanks[joint.a], bench.blanks[joint.b]
    if a.is_hardware or b.is_hardware:
        return
    if ("top" in (a.role, b.role)) and (a.role in SITS or b.role in SITS):
        return
    if "backsplash" in (a.role, b.role):
        return
    fasten_joint(bench, joint.kind, joint.a, joint.b, None, _driver_reaches(bench, a, b))


def _driver_reaches(bench: Bench, a: Blank, b: Blank) -> Free:
    """Whether a head lies free: no other part of either unit lies on it."""
    frame = a.placed.placement
    views = [
        view
        for blank in bench.blanks.values()
        if blank.unit in (a.unit, b.unit) and blank is not a and blank is not b
        if (view := view_from(blank, frame)) is not None
    ]

    def free(head: Vec, direction: Vec) -> bool:
        x, y, z = (h - d * 2.0 for h, d in zip(head, direction, strict=True))
        r = 5.0
        return not any(
            v.lo[0] - r < x < v.hi[0] + r and v.lo[1] - r < y < v.hi[1] + r and v.lo[2] - r < z < v.hi[2] + r
            for v in views
        )

    return free
