"""What bought hardware is rated for, and what it carries: slides, hinges, shelf pins, feet.

One finding for each unit and kind of hardware that carries more than it may, with the worst of them. The codes:
`slide-rating`, `hinge-rating`, `pin-rating`, `foot-rating`.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.build import Build
from model.checks import check
from model.findings import Code, Finding, Severity
from model.lengths import show_length
from model.part import Motion, PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box
from model.statics.fasteners import bearing_strength, pin_load
from model.statics.laden import heavy_things, on_boards
from model.statics.masses import GRAVITY, Lump, lump_of, newtons, together
from model.statics.openings import carried, contents, riders
from model.strength.woods import gravity
from model.tolerances import rounded

MM2_PER_M2 = 1e6
DRAWER = 73.0
"""kg/m2. What a drawer is tried with all over its bottom: 15 lb/ft2 (ANSI/KCMA A161.1, 7.1)."""
HINGES = 2
"""A hinge's mass is that of a door on two of them; each further one takes half as much again (common practice)."""
REDUCE = 2.2
"""Dowel bearing strength over what a thin dowel may lastingly bear (NDS Table 12.3.1B, as for a wood screw)."""

CODES = (
    Code(
        "slide-rating",
        "A drawer or tray with what is in it weighs more than its pair of slides carries.",
        causes=("a wide, deep drawer of thick sheet on light slides", "a load given that the drawer alone weighs"),
        moved_by=("project: materials.slide", "unit: drawers.load", "unit: tray.load"),
    ),
    Code(
        "hinge-rating",
        "A door is too heavy for its hinges, or wider than they stand apart.",
        causes=("a high or wide door of thick or dense sheet", "a door wider than it is high"),
        moved_by=("project: materials.hinge", "project: materials.front", "unit: doors.leaves"),
    ),
    Code(
        "pin-rating",
        "A shelf with what lies on it presses harder on its four pins than a pin, or the hole it sits in, bears.",
        causes=("a wide, deep shelf of heavy things", "short pins in soft sheet"),
        moved_by=("project: loads.shelf", "project: materials.pin", "unit: shelves.count"),
    ),
    Code(
        "foot-rating",
        "A foot carries more than it is rated for, the unit full and its share of what lies on it counted.",
        causes=("feet at the corners of a wide unit", "an upper and a heavy top over it"),
        moved_by=("project: materials.foot", "project: loads.shelf", "unit: drawers.load"),
    ),
)


@dataclass(frozen=True, slots=True)
class Rated:
    """A piece, what it carries and what it may (kg), and what there is to say of it."""

    path: str
    carries: float
    may: float
    words: str
    severity: Severity = "warning"

    @property
    def share(self) -> float:
        return self.carries / self.may


@check
def ratings(build: Build) -> Iterator[Finding]:
    """Findings `slide-rating`, `hinge-rating`, `pin-rating` and `foot-rating`."""
    for unit in build.plan.units:
        yield from _told("slide-rating", unit, _slides(build, unit), "its rating in stock; 15 lb/ft2: ANSI/KCMA A161.1")
        yield from _hinges(build, unit)
        yield from _told("pin-rating", unit, _pins(build, unit), "NDS dowel bearing, statics of a stiff pin")
        yield from _told("foot-rating", unit, _feet(build, unit), "its rating in stock")


def _told(code: str, unit: BuiltUnit, rated: Iterator[Rated], source: str) -> Iterator[Finding]:
    """The worst of what is over its rating."""
    over = [r for r in rated if r.share > 1 + 1e-9]
    if over:
        worst = max(over, key=lambda r: r.share)
        more = f" (and {len(over) - 1} more)" if len(over) > 1 else ""
        yield Finding(
            code=code,
            severity=worst.severity,
            message=f"{unit.name}: {worst.words}{more}",
            parts=tuple(r.path for r in over),
            value=round(worst.carries, 2),
            limit=round(worst.may, 2),
            unit="kg",
            source=source,
        )


def _slides(build: Build, unit: BuiltUnit) -> Iterator[Rated]:
    """Each drawer and tray on slides: itself and the more of what it is to carry and what drawers are tried with."""
    for motion in unit.motions:
        parts = riders(unit, motion)
        member = next((p for p in parts if p.role == "slide"), None)
        if member is None:
            continue
        may = build.stock.slide(member.part.material).load
        own = sum(lump_of(p, build.stock).mass for p in parts)
        inside = contents(build, unit, motion)
        said = inside.mass if inside else 0.0
        tried = _tried(parts)
        most = max(said, tried)
        why = "it is to carry" if said >= tried else "spread at 15 lb/ft2 over its bottom"
        words = (
            f"{_name(motion)} weighs {own:.1f} kg, with {most:.1f} kg {why} {own + most:.1f} kg: a pair of "
            f"{member.part.material} carries {round(may, 1):g} kg"
        )
        yield Rated(member.path, own + most, may, words, "warning" if own + said > may else "note")
        asked = carried(build, unit, motion)
        if inside is None and 0 < asked <= own:
            yield Rated(
                member.path, own, asked, f"{_name(motion)} alone weighs {own:.1f} kg of the {asked:g} kg it is to carry"
            )


def _name(motion: Motion) -> str:
    return motion.name.split("/", 1)[1]


def _tried(parts: list[PlacedPart]) -> float:
    bottom = next((p.bounds() for p in parts if p.role == "drawer bottom"), None)
    return DRAWER * bottom.size[0] * bottom.size[1] / MM2_PER_M2 if bottom else 0.0


def _hinges(build: Build, unit: BuiltUnit) -> Iterator[Finding]:
    """Doors: their mass against their hinges, and their width against how far those stand apart."""
    heavy: list[Rated] = []
    wide: list[Rated] = []
    for motion in unit.motions:
        parts = riders(unit, motion)
        door = next((p for p in parts if p.role == "door"), None)
        cups = [p.bounds().center[2] for p in parts if p.role == "hinge"]
        if door is None or not cups:
            continue
        hinge = next(p.part.material for p in parts if p.role == "hinge")
        own = sum(lump_of(p, build.stock).mass for p in parts)
        may = build.stock.hinge(hinge).max_door_mass * len(cups) / HINGES
        words = f"{_name(motion)} weighs {own:.1f} kg, {len(cups)} {hinge} carry {may:.1f} kg"
        heavy.append(Rated(door.path, own, may, words, "fault"))
        size = door.bounds().size
        width, apart = max(size[0], size[1]), max(max(cups) - min(cups), 1.0)
        if width <= size[2]:
            continue
        pull = newtons(own) * width / 2 / apart
        lengths = build.plan.lengths
        words = (
            f"{_name(motion)} is {show_length(rounded(width), lengths)} x {show_length(size[2], lengths)} high: "
            f"{own:.1f} kg on hinges {show_length(rounded(apart), lengths)} apart pull {pull:.0f} N at the upper one"
        )
        wide.append(Rated(door.path, width, size[2], words))
    yield from _told("hinge-rating", unit, iter(heavy), "its rating in stock, half of it for each hinge")
    if wide:
        worst = max(wide, key=lambda r: r.share)
        yield Finding(
            code="hinge-rating",
            severity="note",
            message=f"{unit.name}: {worst.words}; make two doors of it",
            parts=tuple(r.path for r in wide),
            value=rounded(worst.carries),
            limit=rounded(worst.may),
            source="a door is higher than wide (common practice)",
        )


def _pins(build: Build, unit: BuiltUnit) -> Iterator[Rated]:
    """Shelves on pins: what each of their pins carries against what its hole bears."""
    lies: dict[str, float] = {}
    for part, lump in on_boards(build, unit, heavy_things(build)):
        lies[part.path] = lies.get(part.path, 0.0) + lump.mass
    by_path = {p.path: p for p in unit.parts}
    rests: dict[str, list[str]] = {}
    hosts = {j.a: j.b for j in unit.joints if j.kind == "plugged"}
    for joint in unit.joints:
        if joint.kind == "rests" and by_path[joint.b].role == "shelf pin":
            rests.setdefault(joint.a, []).append(joint.b)
    for path, pins in rests.items():
        shelf, pin = by_path[path], by_path[pins[0]]
        item = build.stock.pin(pin.part.material)
        load = lump_of(shelf, build.stock).mass + lies.get(path, 0.0)
        host = by_path[hosts[pins[0]]].part.material
        sheet = build.stock.sheets.get(host)
        if sheet is None:
            continue
        bearing = bearing_strength(gravity(sheet.density), item.diameter) / REDUCE
        stands_out = item.length - item.bore_depth
        may = pin_load(bearing, item.diameter, item.bore_depth, stands_out / 2) / GRAVITY
        words = (
            f"{_within(shelf.path)} with {load:.1f} kg puts {load / len(pins):.1f} kg on each of {len(pins)} "
            f"{item.name}, whose hole in {host} bears {may:.1f} kg"
        )
        yield Rated(path, load / len(pins), may, words, "fault")


def _within(path: str) -> str:
    return path.split("/", 1)[1]


def _feet(build: Build, unit: BuiltUnit) -> Iterator[Rated]:
    """Feet: the unit and all it is to carry, its share of what lies over it, spread as on equal springs."""
    feet = [p for p in unit.parts if p.role == "foot"]
    if len(feet) < 3:
        return
    may = build.stock.feet[feet[0].part.material].load
    if not may:
        return
    load = together(standing_on(build, unit))
    places = [(p.bounds().center[0], p.bounds().center[1]) for p in feet]
    shares = spread(load, places)
    worst = max(range(len(feet)), key=lambda i: shares[i])
    words = (
        f"{feet[worst].name} carries {shares[worst]:.1f} kg of {load.mass:.1f} kg on {len(feet)} feet, "
        f"a {feet[0].part.material} {may:g} kg"
    )
    yield Rated(feet[worst].path, shares[worst], may, words)


def standing_on(build: Build, unit: BuiltUnit) -> Iterator[Lump]:
    """The lumps that a unit's feet carry: itself full, and what lies over its plan of all that does not stand."""
    plan, heavy = _plan_of(unit), heavy_things(build)
    stands = {u.name for u in build.plan.units if min(p.bounds().lo[2] for p in u.parts) < 1.0}
    for other in (unit, *(u for u in build.plan.units if u.name not in stands)):
        carried_by = ((p, lump_of(p, build.stock)) for p in other.parts)
        for p, lump in (*carried_by, *on_boards(build, other, heavy)):
            over = 1.0 if other is unit else _share(p.bounds(), plan)
            if over > 0:
                yield Lump(lump.mass * over, lump.centre)
    for motion in unit.motions:
        inside = contents(build, unit, motion)
        if inside:
            yield inside


def _plan_of(unit: BuiltUnit) -> Box:
    boxes = [p.bounds() for p in unit.parts]
    lo = [min(b.lo[i] for b in boxes) for i in range(3)]
    hi = [max(b.hi[i] for b in boxes) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _share(box: Box, plan: Box) -> float:
    """How much of the plan of a box lies over another's."""
    sides = ((min(box.hi[i], plan.hi[i]) - max(box.lo[i], plan.lo[i])) / box.size[i] for i in (0, 1))
    x, y = (max(0.0, s) for s in sides)
    return x * y


def spread(load: Lump, places: list[tuple[float, float]]) -> list[float]:
    """What each of equal springs carries of a load, in its unit: R = a + b x + c y, sums and moments in balance."""
    rows = np.array([(1.0, x - places[0][0], y - places[0][1]) for x, y in places])
    lever = np.array([1.0, load.centre[0] - places[0][0], load.centre[1] - places[0][1]]) * load.mass
    found, *_ = np.linalg.lstsq(rows.T @ rows, lever, rcond=None)
    return [float(r) for r in rows @ found]
