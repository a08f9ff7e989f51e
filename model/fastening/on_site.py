"""What is fastened on site: uppers through their rails, cleats and rails to the wall, cables through what is below."""

from collections.abc import Sequence
from dataclasses import dataclass

from model.cuts import Bore
from model.fastening.bench import Blank, View, view_from
from model.fastening.choice import TIP, wall_screw
from model.fastening.drive import Bench
from model.fastening.fixing import Fixing, Spot
from model.placement import Placement
from model.shapes import Cylinder, Vec
from model.stock.screws import Screw
from model.tolerances import CONTACT, rounded

BITE = 38.0
"""mm. What a wall screw reaches behind what it holds: 13 mm of wall board and 25 mm of stud (common practice)."""
AT_WALL = 30.0
"""mm. A rail this near to the wall is packed out and screwed to it."""
STUD_EDGE = 25.0
"""mm. A screw no nearer than this to the end of its rail (common practice)."""
EVERY = 406.0
"""mm. Screws at most this far apart where no stud is known (406 mm, 16 in: common practice)."""
BESIDE = 5.0
"""mm. Wood left beside a bore for cables (common practice)."""
ON_STUD = (0.0, 6.0, -6.0, 12.0, -12.0)
"""mm. A screw that would meet another bore moves so far from the middle of its stud (38 mm, 1 1/2 in, wide: PS 20)."""
WALL_ROLES = frozenset({"wall rail", "floor rail", "wall cleat"})
"""Rails and cleats that carry on the wall they stand at."""


@dataclass(frozen=True)
class Wall:
    """A wall as screws see it: its frame, how long it is, and the centres of its studs along it (mm)."""

    frame: Placement
    width: float
    studs: tuple[float, ...] = ()


def _bars(blank: Blank, *purposes: str) -> list[tuple[Bore, Cylinder]]:
    size = blank.placed.part.size
    cuts = blank.placed.part.cuts
    return [(c, c.bar(size)) for c in cuts if isinstance(c, Bore) and c.purpose in purposes]


def screw_down(bench: Bench, rail: Blank, screw_name: str, below: Sequence[Blank]) -> None:
    """Count the screws of a bottom rail, and bore what they bite in: the top, and what lies under it.

    `below` are the parts of tops and of what carries them.
    """
    screw = bench.stock.screws[screw_name]
    at = rail.placed.placement
    groups: dict[tuple[str, ...], list[Spot]] = {}
    height = 0.0
    for bore, bar in _bars(rail, "screw"):
        down = at.turn(bar.direction)
        if bore.depth is not None or abs(down[2]) < 0.99:
            continue
        ends = [at.apply(bar.base), at.apply(_end(bar))]
        x, y, _ = max(ends, key=lambda p: p[2])
        bounds = rail.placed.bounds()
        height = bounds.size[2]
        spot = Spot((x, y, bounds.hi[2]), (0.0, 0.0, -1.0))
        groups.setdefault(_bite(below, spot, height, screw.length, screw.pilot_diameter), []).append(spot)
    for into, spots in groups.items():
        bench.between.append(
            Fixing(
                item=screw_name,
                kind="rail screw",
                length=screw.length,
                through=rail.path,
                into=into,
                spots=tuple(spots),
                sunk=True,
            )
        )


def _end(bar: Cylinder) -> Vec:
    x, y, z = (b + d * bar.length for b, d in zip(bar.base, bar.direction, strict=True))
    return (x, y, z)


def _bite(below: Sequence[Blank], spot: Spot, passes: float, length: float, pilot: float) -> tuple[str, ...]:
    """Pilot bores along a screw straight down in whatever lies under the rail, piece under piece."""
    left, start = length - passes, spot.point(passes)
    into: list[str] = []
    while left > CONTACT:
        found = next((b for b in below if b.path not in into and _lies_under(b, start)), None)
        if found is None:
            break
        view = view_from(found, Placement())
        thick = found.placed.bounds().size[2]
        if view is None:  # on a wall at an angle: its own frame turned level
            view = view_from(found, _level(found))
        if view is not None:
            frame = Placement() if view.at == found.placed.placement else _level(found)
            p = frame.inverse().apply(start)
            whole = left >= thick - CONTACT
            deep = None if whole else rounded(min(left, max(thick - TIP, 1.0)))
            view.bore(p, _DOWN, pilot, deep, "pilot")
        into.append(found.path)
        left -= thick
        start = (start[0], start[1], start[2] - thick)
    return tuple(into)


def _level(blank: Blank) -> Placement:
    """A level frame along a part: its own turn about the vertical."""
    x = blank.placed.placement.turn((1.0, 0.0, 0.0))
    if abs(x[2]) > 0.5:
        x = blank.placed.placement.turn((0.0, 1.0, 0.0))
    return Placement((0.0, 0.0, 0.0), ((x[0], -x[1], 0.0), (x[1], x[0], 0.0), (0.0, 0.0, 1.0)))


def _lies_under(blank: Blank, point: Vec) -> bool:
    """Whether the upper side of a part is at a point, which lies on it."""
    bounds = blank.placed.bounds()
    if abs(bounds.hi[2] - point[2]) > 0.1:
        return False
    own = blank.placed.placement.inverse().apply((point[0], point[1], point[2] - 0.5))
    return all(-CONTACT <= c <= size + CONTACT for c, size in zip(own, blank.placed.part.size, strict=True))


def screw_to_wall(bench: Bench, blank: Blank, walls: Sequence[Wall]) -> None:
    """Wall screws of a part at one of the walls: where it is bored for them, else two a stud for a rail, one for a
    cleat."""
    bored = [bar for _, bar in _bars(blank, "wall screw")]
    for wall in walls:
        view = view_from(blank, wall.frame)
        if view is None or view.thick != 1 or not -CONTACT <= -view.hi[1] <= AT_WALL:
            continue
        if view.lo[0] < -CONTACT or view.hi[0] > wall.width + CONTACT:
            continue
        screw = wall_screw(bench.stock, bench.materials(blank.unit), -view.lo[1], BITE)
        if screw is not None:
            behind = _behind(bench, blank, view, wall)
            spots = (
                [_at_wall(view, bar) for bar in bored] if bored else _bored_at(view, behind, wall, screw, blank.role)
            )
            _note(bench, blank, screw, [s.moved(wall.frame) for s in sorted(spots, key=lambda s: s.at)])
        return


_IN = (0.0, 1.0, 0.0)
_DOWN = (0.0, 0.0, -1.0)


def _at_wall(view: View, bar: Cylinder) -> Spot:
    x, _, z = view.at.apply(bar.base)
    return Spot((x, view.lo[1], z), _IN)


def _behind(bench: Bench, blank: Blank, view: View, wall: Wall) -> list[View]:
    """The panels of the same unit between a rail and the wall, each whole behind it: a back."""
    found: list[View] = []
    for path in (p for p, other in bench.blanks.items() if other.unit == blank.unit and other.role == "back"):
        other = view_from(bench.blanks[path], wall.frame)
        if other is not None and other.thick == 1 and abs(other.lo[1] - view.hi[1]) <= CONTACT:
            found.append(other)
    return found


def _bored_at(view: View, behind: Sequence[View], wall: Wall, screw: Screw, role: str) -> list[Spot]:
    """Bore a rail or cleat, and what lies behind it, at the studs behind it, evenly where none is known."""
    low, high = view.lo[0], view.hi[0]
    thick = view.hi[1] - view.lo[1]
    xs = [x for x in wall.studs if low + STUD_EDGE <= x <= high - STUD_EDGE] or _even(low, high)
    shares = (1 / 3, 2 / 3) if role == "wall rail" else (1 / 2,)
    zs = [rounded(view.lo[2] + (view.hi[2] - view.lo[2]) * share) for share in shares]
    spots: list[Spot] = []
    for x in xs:
        for step in ON_STUD:
            row = [(rounded(x + step), view.lo[1], z) for z in zs]
            through = [(other, (p[0], other.lo[1], p[2])) for other in behind for p in row]
            if all(view.is_clear(p, _IN, thick, screw.head / 2) for p in row) and all(
                other.is_clear(p, _IN, other.hi[1] - p[1], screw.clearance_diameter / 2) for other, p in through
            ):
                for p in row:
                    view.bore(p, _IN, screw.clearance_diameter, None, "wall screw", screw.sink)
                for other, p in through:
                    other.bore(p, _IN, screw.clearance_diameter, None, "wall clearance")
                spots += [Spot(p, _IN) for p in row]
                break
    return spots


def _note(bench: Bench, blank: Blank, screw: Screw, spots: list[Spot]) -> None:
    if spots:
        bench.between.append(
            Fixing(
                item=screw.name,
                kind="wall screw",
                length=screw.length,
                through=blank.path,
                into=(),
                spots=tuple(spots),
                sunk=True,
            )
        )


def _even(low: float, high: float) -> list[float]:
    end = min(50.0, (high - low) / 2)
    gaps = max(1, round((high - low - 2 * end) / EVERY + 0.499)) if high - low > 2 * end else 0
    return [low + end + (high - low - 2 * end) * i / gaps for i in range(gaps + 1)] if gaps else [(low + high) / 2]


def cables_through(bench: Bench, top: Blank, below: Sequence[Blank]) -> None:
    """Bore what lies right under a top where a grommet leads cables through it, and the bore is whole there."""
    at = top.placed.placement
    for bore, bar in _bars(top, "grommet"):
        x, y, _ = at.apply(bar.base)
        under = top.placed.bounds().lo[2]
        for blank in below:
            if not _lies_under(blank, (x, y, under)):
                continue
            frame = _level(blank)
            view = view_from(blank, frame)
            p = frame.inverse().apply((x, y, under))
            keep = bore.diameter / 2 + BESIDE
            if view is not None and all(view.lo[i] + keep <= p[i] <= view.hi[i] - keep for i in (0, 1)):
                view.bore(p, _DOWN, bore.diameter, None, "cable")
