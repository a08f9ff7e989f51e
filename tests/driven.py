"""Following screws: what each one really meets in the parts of a plan, worked out from their cuts in the room."""

from collections import Counter
from collections.abc import Iterator, Sequence

from model.cuts import Bore, PocketBore
from model.fastening.fixing import Fixing, Spot
from model.part import PlacedPart
from model.plan import Plan
from model.shapes import Box, Cylinder, Primitive, Vec
from model.stock.screws import Screw
from model.stock.tables import Stock

SLACK = 0.02
"""mm. Rounding of a place on both sides of a joint."""


def faults(plan: Plan, stock: Stock) -> list[str]:
    """Everything wrong with the screws of a plan, in words; nothing where all is as it should be."""
    return [*_each(plan, stock), *_counts(plan)]


def _each(plan: Plan, stock: Stock) -> Iterator[str]:
    for fixing in plan.fixings:
        through = plan.by_path[fixing.through]
        into = [plan.by_path[path] for path in fixing.into]
        item = stock.item(fixing.item)
        for spot in fixing.spots:
            where = f"{fixing.kind} {fixing.item} through {fixing.through} at {spot.at}"
            if isinstance(item, Screw):
                yield from (f"{where}: {what}" for what in _bored(fixing, spot, item, through, into))
            if fixing.kind not in ("bolt", "wall screw"):
                yield from (f"{where}: {what}" for what in _tip(fixing, spot, into[-1]))
            elif fixing.kind == "bolt":
                yield from (f"{where}: {what}" for what in _through(fixing, spot, through, into))


def _bored(fixing: Fixing, spot: Spot, item: Screw, through: PlacedPart, into: Sequence[PlacedPart]) -> Iterator[str]:
    if fixing.kind in ("screw", "rail screw", "wall screw"):
        clear = [b for b in on_axis(through, spot) if b.depth is None and b.diameter == item.clearance_diameter]
        if len(clear) != 1:
            yield f"{len(clear)} clearance bores of {item.clearance_diameter}"
        elif clear[0].countersink is None or abs(clear[0].countersink - item.head) > SLACK:
            yield f"countersunk {clear[0].countersink}, its head is {item.head}"
        elif abs(_mouth(through, clear[0], spot)) > SLACK:
            yield "its head is not where the countersink is"
    if fixing.kind in ("screw", "fitting screw", "rail screw"):
        for part in into:
            ahead = [b for b in on_axis(part, spot) if -SLACK <= _mouth(part, b, spot) <= fixing.length]
            pilots = [b for b in ahead if b.diameter == item.pilot_diameter]
            if len(pilots) != 1:
                yield f"{len(pilots)} pilot bores of {item.pilot_diameter} in {part.path}"


def _mouth(placed: PlacedPart, bore: Bore, spot: Spot) -> float:
    """How far the countersunk mouth of a bore is from a head, along the screw; mm."""
    bar = bore.bar(placed.part.size)
    base = placed.placement.apply(bar.base)
    into = placed.placement.turn(bar.direction)
    if bore.depth is None and bore.countersink is None:  # open at both ends: the nearer is its mouth
        ends = [
            _dot(_minus(base, spot.at), spot.direction) + _dot(into, spot.direction) * s for s in (1, bar.length - 1)
        ]
        return min(ends)
    if _dot(into, spot.direction) < 0:
        return 1e9
    return _dot(_minus(base, spot.at), spot.direction) + 1.0  # a bar begins 1 mm before its face


def _tip(fixing: Fixing, spot: Spot, last: PlacedPart) -> Iterator[str]:
    back = last.placement.inverse()
    blank = Box((0.0, 0.0, 0.0), last.part.size)
    samples = [back.apply(spot.point(fixing.length + s)) for s in (0.0, 2.4 if fixing.kind == "pocket screw" else 2.9)]
    voids = [p for c in last.part.cuts if not isinstance(c, Bore) for p in c.primitives(last.part.size)]
    for point, what in zip(samples, ("its tip", "3 mm before its tip"), strict=True):
        if not _holds(blank, point):
            yield f"{what} is outside {last.path}"
        elif any(_in_void(void, point) for void in voids):
            yield f"{what} is in the open in {last.path}"
    bite = fixing.length - _enters(last, spot)
    if bite < 5.0 - SLACK and len(fixing.into) == 1:
        yield f"it bites {bite:.2f}"


def _through(fixing: Fixing, spot: Spot, through: PlacedPart, into: Sequence[PlacedPart]) -> Iterator[str]:
    for part in (through, *into[:-1]):
        if not [b for b in on_axis(part, spot) if b.purpose == "pull"]:
            yield f"no bore in {part.path}"
    bite = fixing.length - _enters(into[-1], spot)
    if not 4.0 <= bite <= 12.0:
        yield f"it reaches {bite:.2f} into the pull"


def _enters(placed: PlacedPart, spot: Spot) -> float:
    """How far from its head a screw meets the blank of a part, mm."""
    back = placed.placement.inverse()
    head, d = back.apply(spot.at), back.turn(spot.direction)
    ways = []
    for h, step, size in zip(head, d, placed.part.size, strict=True):
        if abs(step) > 1e-6:
            ways.append(min(-h / step, (size - h) / step))
    return max(ways)


def on_axis(placed: PlacedPart, spot: Spot) -> list[Bore]:
    """The bores of a part that a screw runs along."""
    found: list[Bore] = []
    for cut in placed.part.cuts:
        if not isinstance(cut, Bore):
            continue
        bar = cut.bar(placed.part.size)
        d = placed.placement.turn(bar.direction)
        gap = _minus(placed.placement.apply(bar.base), spot.at)
        along = _dot(gap, spot.direction)
        off = sum((g - along * s) ** 2 for g, s in zip(gap, spot.direction, strict=True)) ** 0.5
        if abs(abs(_dot(d, spot.direction)) - 1) < 1e-6 and off < SLACK:
            found.append(cut)
    return found


def _counts(plan: Plan) -> Iterator[str]:
    """Every bore has its screw and every screw its bore: compared as totals over the whole plan."""
    bores: Counter[str] = Counter()
    for placed in plan.walk():
        for cut in placed.part.cuts:
            if isinstance(cut, Bore):
                bores[cut.purpose] += 1
            elif isinstance(cut, PocketBore):
                bores["pocket"] += 1
    driven: Counter[str] = Counter()
    for fixing in plan.fixings:
        driven[fixing.kind] += fixing.count
    pilots = sum(f.count * len(f.into) for f in plan.fixings if f.kind in ("screw", "fitting screw", "rail screw"))
    wanted = {
        "screw": driven["screw"] + driven["rail screw"],
        "pilot": pilots,
        "pocket": driven["pocket screw"],
        "wall screw": driven["wall screw"],
    }
    for what, count in wanted.items():
        if bores[what] != count:
            yield f"{bores[what]} {what} bores for {count} screws"


def _in_void(void: Primitive, point: Vec) -> bool:
    if isinstance(void, Cylinder):
        gap = _minus(point, void.base)
        along = _dot(gap, void.direction)
        off = sum((g - along * d) ** 2 for g, d in zip(gap, void.direction, strict=True)) ** 0.5
        return 0 < along < void.length and off < void.radius - SLACK
    lo, hi = void.bounds().lo, void.bounds().hi
    return all(a + SLACK < c < b - SLACK for a, c, b in zip(lo, point, hi, strict=True))


def _holds(box: Box, point: Vec) -> bool:
    return all(lo - SLACK <= c <= hi + SLACK for lo, c, hi in zip(box.lo, point, box.hi, strict=True))


def _dot(a: Vec, b: Vec) -> float:
    return sum(p * q for p, q in zip(a, b, strict=True))


def _minus(a: Vec, b: Vec) -> Vec:
    x, y, z = (p - q for p, q in zip(a, b, strict=True))
    return (x, y, z)
