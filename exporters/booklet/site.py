"""What is done in the room: the order of the units, studs and seams; wiring and lights; finishing."""

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from exporters.booklet import words
from exporters.booklet.show import Shown, clean
from exporters.lists.bought import finishes as finish_table
from exporters.lists.bought import lighting
from model.assembly.installation import in_order
from model.bill import cut_list
from model.costs import bill_of, painted_in
from model.finishes import amounts
from model.plan import BuiltUnit

if TYPE_CHECKING:
    from model.build import Build

ON_THE_FLOOR = 1.0
"""mm. What is no higher than this stands on the floor."""


def installation(build: "Build", shown: Shown) -> dict[str, Any]:
    """The order of the units with where they stand, the studs of each wall, the seams of the tops."""
    return {
        "rules": words.INSTALLING,
        "order": [_stands(build, unit, shown) for unit in in_order(build) if unit.parts],
        "studs": [(clean(name), told) for name, told in _studs(build, shown)],
        "seams": list(_seams(build, shown)),
        "screws": _screws(build),
    }


def _stands(build: "Build", unit: BuiltUnit, shown: Shown) -> dict[str, str]:
    wall = next(w for w in build.walls if w.name == build.stands_at[unit.name])
    frame = wall.frame.inverse()
    boxes = [frame.box(p.bounds()) for p in unit.parts]
    feet = unit.levelling
    return {
        "code": unit.code,
        "unit": clean(unit.name),
        "wall": clean(wall.name),
        "from": shown.number(min(b.lo[0] for b in boxes)),
        "to": shown.number(max(b.hi[0] for b in boxes)),
        "low": shown.number(min(b.lo[2] for b in boxes)),
        "high": shown.number(max(b.hi[2] for b in boxes)),
        "level": f"feet, {shown.number(-feet[0])} in, {shown.number(feet[1])} out"
        if feet
        else "shims"
        if min(b.lo[2] for b in boxes) < ON_THE_FLOOR
        else "",
    }


def _studs(build: "Build", shown: Shown) -> Iterator[tuple[str, str]]:
    for wall in build.walls:
        studs = wall.wall.studs
        if wall.name in build.stands_at.values():
            centres = studs.centres(wall.wall.width) if studs else ()
            told = ", ".join(shown.number(x) for x in centres)
            yield wall.name, told or "the room file names none: find them, or use plugs made for the wall"


def _seams(build: "Build", shown: Shown) -> Iterator[dict[str, Any]]:
    """Which parts meet where, from the left end of their wall."""
    frames = {w.name: w.frame.inverse() for w in build.walls}
    for joint in build.plan.joints:
        if joint.kind == "seam":
            parts = [build.plan.by_path[path] for path in (joint.a, joint.b)]
            marks = [build.plan.marks[p.part] for p in parts]
            unit = joint.a.partition("/")[0]
            a, b = (frames[build.stands_at[unit]].box(p.bounds()) for p in parts)
            yield {"unit": clean(unit), "marks": marks, "at": shown.length(max(a.lo[0], b.lo[0]))}


def _screws(build: "Build") -> list[tuple[str, str, str]]:
    """What is driven on site: between units and into walls."""
    counts: Counter[tuple[str, str]] = Counter()
    for fixing in build.plan.fixings_between:
        counts[fixing.kind, fixing.item] += fixing.count
    return [(clean(kind), clean(item), str(n)) for (kind, item), n in sorted(counts.items())]


def wiring(build: "Build", shown: Shown) -> dict[str, Any] | None:
    """Lights, drivers and outlets; None where there are none."""
    table = lighting(cut_list(build.plan, build.stock), build.stock)
    at = {column.key: i for i, column in enumerate(table.columns)}
    lights = [
        {
            "item": clean(str(row[at["item"]])),
            "mark": str(row[at["mark"]]),
            "count": str(row[at["quantity"]]),
            "length": shown.number(float(str(row[at["length_mm"]]))),
            "unit": clean(str(row[at["unit"]])),
            "volts": _plain(row[at["volts"]]),
            "watts": _plain(row[at["watts_each"]]),
            "rated": _plain(row[at["rated_watts"]]),
        }
        for row in table.rows
    ]
    outlets = [
        (clean(o.name), o.kind, clean(w.name), shown.number(o.x), shown.number(o.z))
        for w in build.walls
        for o in w.wall.outlets
    ]
    if not lights and not outlets:
        return None
    return {"rules": words.WIRING if lights else (), "lights": lights, "outlets": outlets, "loads": _loads(table)}


def _plain(value: object) -> str:
    return "" if value is None else f"{float(str(value)):.4g}"


def _loads(table: Any) -> list[str]:
    """What all lights of one voltage take, and what the drivers for it are rated for."""
    at = {column.key: i for i, column in enumerate(table.columns)}
    drawn: Counter[float] = Counter()
    rated: Counter[float] = Counter()
    for row in table.rows:
        volts, count = row[at["volts"]], row[at["quantity"]]
        if volts is not None:
            drawn[volts] += (row[at["watts_each"]] or 0.0) * count
            rated[volts] += (row[at["rated_watts"]] or 0.0) * count
    return [
        f"{volts:g} V: the lights take {drawn[volts]:.1f} W, the drivers are rated for {rated[volts]:.0f} W in all."
        for volts in sorted(drawn)
    ]


def finishing(build: "Build", shown: Shown) -> dict[str, Any] | None:
    """Coats, areas and tins; None where nothing is finished."""
    painted = painted_in(build)
    if not painted:
        return None
    used = amounts(painted, build.stock.finishes)
    tins = finish_table(used, bill_of(build), build.stock.prices.waste, shown.unit)
    rows = [
        {
            "finish": clean(a.finish.name),
            "coats": str(a.finish.coats),
            "area": shown.area(a.area),
            "takes": shown.litres(a.litres * (1 + build.stock.prices.waste)),
            "tins": clean(str(row[tins.index("tins")])),
        }
        for a, row in zip(used, tins.rows, strict=True)
    ]
    areas: dict[tuple[str, str], float] = {}
    marks: dict[tuple[str, str], dict[str, None]] = {}
    for each in painted:
        key = (each.finish, each.unit)
        areas[key] = areas.get(key, 0.0) + each.area
        marks.setdefault(key, {})[build.plan.marks[each.placed.part]] = None
    units = [
        {"finish": clean(f), "unit": clean(u), "area": shown.area(area), "marks": list(marks[f, u])}
        for (f, u), area in sorted(areas.items())
    ]
    waste = f"{build.stock.prices.waste * 100:g} %"
    return {"rules": words.FINISHING, "rows": rows, "units": units, "waste": waste}
