"""Driving screws, nails and pocket screws into a joint: bores in both parts, and the Fixing that counts them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from model.cabinet.joinery import POCKET_DIAMETER, pocket_bore
from model.cuts import PocketBore
from model.fastening.bench import Blank, Contact, View, contact, extents
from model.fastening.choice import TIP, fitting_length, lists_screws, nail, pocket_screw, wood_screw
from model.fastening.fixing import Fixing, Spot
from model.fastening.rules import REACH, SHOWN, Drive, drive_of, lines, spacing
from model.materials import Materials
from model.messages import mm
from model.shapes import Vec
from model.site import Unbuildable
from model.stock.screws import Nail, Screw
from model.stock.tables import Stock
from model.tolerances import rounded

STEP, STEPS = 4.0, 14
"""mm, and how often: a screw that would meet another bore moves along its joint by so much, toward the middle first."""
END_KEEP = 6.0
"""mm. No screw nearer to the end of its joint than this."""
POCKET_EVERY = 120.0
"""mm. Pocket screws at most this far apart (common practice)."""
LEAST_WIDE = 4.0
"""mm. Narrower contacts are left to glue."""
NARROW = 10.0
"""mm. An edge narrower than this is left to glue where no screw is thin enough for it."""

Free = Callable[[Vec, Vec], bool]
"""Whether a screw driver reaches a head (a point and the direction it is driven along, in the first part's frame)."""


@dataclass
class Bench:
    """Everything on the bench: the parts by path, the stock, and what was driven so far."""

    stock: Stock
    blanks: dict[str, Blank]
    materials: Callable[[str], Materials]
    front: Callable[[str], Vec]
    """The direction a unit looks, in the room."""
    fixings: dict[str, list[Fixing]] = field(default_factory=dict)
    between: list[Fixing] = field(default_factory=list)
    partners: dict[str, list[str]] = field(default_factory=dict)
    """What each part of the unit in hand is joined to."""

    def neighbours(self, blank: Blank) -> list[Blank]:
        return [self.blanks[path] for path in self.partners.get(blank.path, ())]

    def note(self, unit: str | None, fixing: Fixing) -> None:
        """Count a fixing to its unit, or to what joins units where `unit` is None."""
        if unit is None:
            self.between.append(fixing)
        else:
            self.fixings.setdefault(unit, []).append(fixing)


def shifts() -> Iterator[float]:
    yield 0.0
    for i in range(1, STEPS):
        yield STEP * i
        yield -STEP * i


def fasten_joint(bench: Bench, kind: str, first: str, second: str, unit: str | None, free: Free | None = None) -> bool:
    """Bore and count what holds two parts (by path); False where they do not touch squarely or too little for that.

    `unit` is the unit both belong to, None between units. Raises Unbuildable where no screw in stock fits.
    """
    c = contact(bench.blanks[first], bench.blanks[second])
    if c is None or min(high - low for _, low, high in c.spans) < LEAST_WIDE:
        return False
    drive = drive_of(c, kind)
    if drive.by == "pocket":
        return _pockets(bench, c, drive, unit) or _straight(bench, c, replace(drive, by="screw"), kind, unit, free)
    return _straight(bench, c, drive, kind, unit, free)


@dataclass(eq=False, slots=True)
class Pair:
    """The two parts of a joint in the order a screw meets them, both in the frame of the joint's first."""

    c: Contact
    through: View
    into: View
    normal: Vec
    passes: float
    depth: float

    @classmethod
    def of(cls, c: Contact, through_first: bool) -> "Pair":
        n = c.normal
        if through_first:
            return cls(c, c.a, c.b, n, c.walls[0], c.walls[1])
        return cls(c, c.b, c.a, (-n[0], -n[1], -n[2]), c.walls[1], c.walls[0])

    @property
    def in_edge(self) -> bool:
        return not self.into.is_face(self.c.axis)

    @property
    def wide(self) -> float:
        """How wide the edge is that is screwed into, mm; no limit in a face."""
        if not self.in_edge:
            return 1000.0
        return min(high - low for _, low, high in self.c.spans)


def _straight(bench: Bench, c: Contact, drive: Drive, kind: str, unit: str | None, free: Free | None) -> bool:
    pair = Pair.of(c, drive.through_first)
    if pair.passes > REACH:
        return False
    materials = bench.materials(pair.into.blank.unit)
    if drive.by == "nail":
        nails = nail(bench.stock, pair.passes, pair.depth)
        if nails is not None:
            return _nailed(bench, pair, nails, unit)
    named = materials.carcass_screw if pair.in_edge and unit is not None else None
    if named is not None and _bored_already(bench, pair, bench.stock.screws[named], unit):
        return True
    screw = wood_screw(bench.stock, named, pair.passes, pair.depth, pair.wide, pair.in_edge)
    if screw is None:
        other = _other_way(bench, c, drive)
        if other is None and _pockets(bench, c, drive, unit):
            return True
        if other is None and (unit is None or pair.wide < NARROW or not lists_screws(bench.stock, materials)):
            return False
        if other is None:
            raise _none_fits(pair)
        screw, pair = other
    while screw is not None:
        if _screwed(bench, pair, screw, kind, unit, free):
            return True
        # no place is clear for so long a one
        screw = wood_screw(bench.stock, None, pair.passes, pair.depth, pair.wide, pair.in_edge, screw.length - 1.0)
    return False


def _other_way(bench: Bench, c: Contact, drive: Drive) -> tuple[Screw, Pair] | None:
    """From the other side, where no screw fits from this one and that side is not seen."""
    other = Pair.of(c, not drive.through_first)
    if other.through.blank.role in SHOWN or other.passes > REACH:
        return None
    screw = wood_screw(bench.stock, None, other.passes, other.depth, other.wide, other.in_edge)
    return (screw, other) if screw is not None else None


def _none_fits(pair: Pair) -> Unbuildable:
    low, high = fitting_length(pair.passes, pair.depth, pair.in_edge)
    wanted = f"one {mm(rounded(low))} to {mm(rounded(high))} long"
    if high < low:
        wanted = "a thicker part, or glue and a strip behind it"
    thick = f", no thicker than {mm(rounded(pair.wide / 2.5))}," if pair.in_edge else ""
    return Unbuildable(
        f"no screw in stock fits through {pair.through.blank.path} ({mm(rounded(pair.passes))}) into "
        f"{pair.into.blank.path} ({mm(rounded(pair.depth))}): it takes {wanted}{thick.rstrip(',')}",
        "materials",
    )


def _point(axis: int, plane: float, j: int, u: float, k: int, v: float) -> Vec:
    p = [0.0, 0.0, 0.0]
    p[axis], p[j], p[k] = plane, u, v
    return (p[0], p[1], p[2])


def _along(p: Vec, d: Vec, by: float) -> Vec:
    return (p[0] + d[0] * by, p[1] + d[1] * by, p[2] + d[2] * by)


def _places(pair: Pair, every: float, rows: bool, fits: Callable[[Vec], bool]) -> list[Vec]:
    """The points in the plane of the joint where screws go, each moved along the joint until it `fits`."""
    c = pair.c
    j, k, along, across = lines(c, every, rows)
    _, low, high = next(s for s in c.spans if s[0] == j)
    middle = (low + high) / 2
    found: list[Vec] = []
    for v in across:
        for u in along:
            sign = 1.0 if u <= middle else -1.0
            for step in shifts():
                at = u + sign * step
                if step and not low + END_KEEP <= at <= high - END_KEEP:
                    continue
                p = _point(c.axis, c.plane, j, rounded(at), k, v)
                if fits(p):
                    found.append(p)
                    break
    return found


def _screwed(bench: Bench, pair: Pair, screw: Screw, kind: str, unit: str | None, free: Free | None) -> bool:
    n = pair.normal
    bite = rounded(min(screw.length - pair.passes, pair.depth - TIP))
    head = max(screw.head, screw.clearance_diameter) / 2
    roles = (pair.through.blank.role, pair.into.blank.role)
    taken: list[Vec] = []

    def fits(p: Vec) -> bool:
        top = _along(p, n, -pair.passes)
        good = (
            all(max(abs(a - b) for a, b in zip(p, q, strict=True)) > 2 * head for q in taken)
            and pair.through.is_clear(top, n, pair.passes, head)
            and pair.into.is_clear(p, n, bite + TIP, screw.pilot_diameter / 2)
            and (free is None or free(top, n))
        )
        if good:
            taken.append(p)
        return good

    rows = unit is not None or "top" not in roles
    places = _places(pair, spacing(kind, roles, unit is None), rows, fits)
    spots: list[Spot] = []
    for p in places:
        top = _along(p, n, -pair.passes)
        pair.through.bore(top, n, screw.clearance_diameter, None, "screw", screw.sink)
        pair.into.bore(p, n, screw.pilot_diameter, bite, "pilot")
        spots.append(Spot(top, n))
    _count(bench, pair, screw, "screw", spots, unit, True)
    return bool(spots)


def _count(
    bench: Bench, pair: Pair, item: Screw | Nail, kind: str, spots: list[Spot], unit: str | None, sunk: bool
) -> None:
    if not spots:
        return
    frame = pair.c.a.blank.placed.placement
    bench.note(
        unit,
        Fixing(
            item=item.name,
            kind=kind,
            length=item.length,
            through=pair.through.blank.path,
            into=(pair.into.blank.path,),
            spots=tuple(s.moved(frame) for s in spots),
            sunk=sunk,
        ),
    )


def _nailed(bench: Bench, pair: Pair, nails: Nail, unit: str | None) -> bool:
    """Nails without bores, where neither part is cut away."""
    n, r = pair.normal, nails.diameter / 2
    bite = nails.length - pair.passes

    def fits(p: Vec) -> bool:
        top = _along(p, n, -pair.passes)
        return pair.through.is_clear(top, n, pair.passes, r) and pair.into.is_clear(p, n, bite + TIP, r)

    places = _places(pair, 150.0, False, fits)
    spots = [Spot(_along(p, n, -pair.passes), n) for p in places]
    for p in places:
        pair.into.block(p, n, bite, r)
    _count(bench, pair, nails, "nail", spots, unit, False)
    return bool(spots)


def _bored_already(bench: Bench, pair: Pair, screw: Screw, unit: str | None) -> bool:
    """Count the screws of a joint that its carcass was bored for."""
    spots: list[Spot] = []
    view, size = pair.through, pair.through.blank.placed.part.size
    (j, j0, j1), (k, k0, k1) = pair.c.spans
    for bore in view.blank.early:
        bar = bore.bar(size)
        start = view.at.apply(bar.base)
        if abs(view.at.turn(bar.direction)[pair.c.axis]) < 0.5:
            continue
        if j0 < start[j] < j1 and k0 < start[k] < k1:
            p = list(start)
            p[pair.c.axis] = pair.c.plane
            spots.append(Spot(_along((p[0], p[1], p[2]), pair.normal, -pair.passes), pair.normal))
    _count(bench, pair, screw, "screw", spots, unit, True)
    return bool(spots)


def _pockets(bench: Bench, c: Contact, drive: Drive, unit: str | None) -> bool:
    """Pocket bores in the part that ends at the joint, on the face that is not seen; False where none can be made."""
    pair = Pair.of(c, drive.through_first)
    host, n = pair.through, pair.normal
    screw = pocket_screw(bench.stock, bench.materials(host.blank.unit))
    local = host.back.turn(n)
    if screw is None or abs(local[2]) > 0.5 or (unit is None and host.blank.role in SHOWN):
        return False
    i = 0 if abs(local[0]) > 0.5 else 1
    edge = f"{'xy'[i]}{1 if local[i] > 0 else 0}"
    size = host.blank.placed.part.size
    try:
        bore = pocket_bore(screw, size[2], pair.depth, (size[0], size[1]), edge, 0.0)
    except Unbuildable:
        return False
    face = _hidden_face(bench, host)
    bore = replace(bore, face=face)
    tip = (screw.length - bore.shoulder) * 0.97
    at: dict[Vec, PocketBore] = {}

    def fits(p: Vec) -> bool:
        q = host.local(p)
        here = replace(bore, v=q[1]) if i == 0 else replace(bore, u=q[0])
        if not all(host.blank.is_clear(box) for box in extents(here, size)):
            return False
        if not pair.into.is_clear(p, n, tip + TIP, screw.diameter / 2):
            return False
        if any(max(abs(a - b) for a, b in zip(p, other, strict=True)) < POCKET_DIAMETER + 2 for other in at):
            return False
        at[p] = here
        return True

    spots: list[Spot] = []
    for p in _places(pair, POCKET_EVERY, False, fits):
        host.pocket(at[p])
        pair.into.block(p, n, tip, screw.diameter / 2)
        start, direction = at[p].seat(size)
        spots.append(Spot(host.at.apply(start), host.at.turn(direction)))
    _count(bench, pair, screw, "pocket screw", spots, unit, False)
    return bool(spots)


def _hidden_face(bench: Bench, view: View) -> str:
    """The face of a panel that looks to the rear or down; A where neither tells."""
    placed = view.blank.placed.placement
    out = placed.turn((0.0, 0.0, 1.0))
    front = bench.front(view.blank.unit)
    forward = sum(a * b for a, b in zip(out, front, strict=True))
    if abs(forward) > 0.5:
        return "B" if forward > 0 else "A"
    if abs(out[2]) > 0.5:
        return "B" if out[2] > 0 else "A"
    return "A"
