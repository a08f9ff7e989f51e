"""Where things stand in the room: walls end to end, units along them, corners, and the tops over them."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NoReturn

from model.errors import ConfigError
from model.inputs import Inputs, UnitInput
from model.materials import Materials
from model.messages import mm
from model.placement import Placement
from model.project import Corner, Top
from model.room.room import Wall
from model.site import Site, Unbuildable
from model.siting.wall_rules import wall_rules
from model.siting.widths import DoesNotFit
from model.tolerances import CONTACT, rounded
from model.tops.slab import Slab, TopRun, plan_top

Span = tuple[float, float]
STEP_MM = 0.5
STEP_INCH = 25.4 / 32


@dataclass(frozen=True)
class RoomWall:
    """A wall in the room: its own frame has x along it from its left end, y into it (its face is y = 0), z up."""

    name: str
    wall: Wall
    frame: Placement


@dataclass(frozen=True)
class Spot:
    """A unit at its place along a wall, before it is built: x from the wall's left end, y of its face (mm)."""

    unit: UnitInput
    wall: RoomWall
    x: Span
    front: float

    @property
    def at(self) -> Placement:
        """Where the unit's own origin lies in the wall's frame."""
        return Placement((self.x[0], self.front, 0.0))


@dataclass(frozen=True)
class CornerSpot:
    """A corner before it is built: what it takes of both walls (x in their frames) and the faces it ends at (mm).

    `depths` are the distances from each wall to the face of its frames, `stand_offs` those to the rear of its units.
    """

    corner: Corner
    first: RoomWall
    second: RoomWall
    x: tuple[Span, Span]
    depths: tuple[float, float]
    stand_offs: tuple[float, float]


@dataclass(frozen=True)
class Covered:
    """What a top can lie over: a unit, or what a corner takes of one wall."""

    name: str
    x: Span
    front: float
    carries: bool


@dataclass(frozen=True)
class TopPlan:
    """A top before it is built: what it covers, where it is seamed and how deep it is (mm, wall frame)."""

    top: Top
    wall: RoomWall
    run: TopRun
    y: Span
    slab: Slab

    @property
    def seams(self) -> tuple[float, ...]:
        """Those of every layer: what a carcass must carry."""
        return self.slab.all_seams

    @property
    def thickness(self) -> float:
        return self.slab.thickness

    @property
    def underside(self) -> float:
        return rounded(self.top.height - self.thickness)


@dataclass(frozen=True)
class Layout:
    """Every place in the room, before anything is built."""

    walls: dict[str, RoomWall]
    spots: dict[str, Spot]
    corners: tuple[CornerSpot, ...]
    tops: tuple[TopPlan, ...]


def lay_out(inputs: Inputs) -> Layout:
    """Places for all that stands on the floor, and for the tops. Raises ConfigError."""
    walls = room_walls(inputs)
    for name in inputs.project.value.walls:
        found_wall(inputs, walls, name, "walls", name)
    spots = {spot.unit.name: spot for wall in walls.values() for spot in _spots(inputs, wall)}
    corners = tuple(_corner_spot(inputs, i, walls) for i in range(len(inputs.project.value.corners)))
    covered = [(s.wall.name, Covered(s.unit.name, s.x, s.front, s.unit.kind.carries)) for s in spots.values()]
    for c in corners:
        for wall, x, depth in zip((c.first, c.second), c.x, c.depths, strict=True):
            covered.append((wall.name, Covered(c.corner.name, x, -depth, c.corner.kind == "blind" and wall is c.first)))
    by_wall = {name: sorted((c for w, c in covered if w == name), key=lambda c: c.x) for name in walls}
    tops = tuple(_top_plan(inputs, i, walls, by_wall, corners) for i in range(len(inputs.project.value.tops)))
    return Layout(walls, spots, corners, tops)


def room_walls(inputs: Inputs) -> dict[str, RoomWall]:
    """The walls in order, each beginning where the last ends, as one walks along them inside, left to right."""
    walls: dict[str, RoomWall] = {}
    frame, angle = Placement(), 0.0
    for name, wall in inputs.room.value.walls.items():
        walls[name] = RoomWall(name, wall, frame)
        angle -= math.radians(wall.turn)
        frame = Placement.turned("z", angle, frame.apply((wall.width, 0.0, 0.0)))
    return walls


def found_wall(inputs: Inputs, walls: dict[str, RoomWall], name: str, *loc: str | int) -> RoomWall:
    """The wall of that name. Raises ConfigError at the key path where there is none."""
    if name not in walls:
        raise inputs.error(f"the room has no wall {name!r}: it has {', '.join(walls)}", *loc)
    return walls[name]


def at_baseboard(inputs: Inputs, wall: str) -> str:
    """What is done where units meet the baseboard of a wall."""
    said = inputs.project.value
    return said.baseboards.get(wall, said.baseboard)


def stand_off(inputs: Inputs, wall: str) -> float:
    """How far units stand off a wall, mm: clear of its baseboard where they do."""
    board = inputs.room.value.walls[wall].baseboard
    return board.thickness if board and at_baseboard(inputs, wall) == "stand_off" else 0.0


def ends(inputs: Inputs, wall: str) -> Span:
    """What margins and corners take of the left and the right end of a wall, mm."""
    said = inputs.project.value
    margins = said.margins.get(wall)
    left, right = (margins.left, margins.right) if margins else (0.0, 0.0)
    for i, corner in enumerate(said.corners):
        if wall in corner.walls:
            depths = _depths(inputs, i)
            if wall == corner.walls[0]:
                right = depths[1] + corner.clear + _cabinet(inputs, corner)
            else:
                left = depths[0] + corner.clear
    return rounded(left), rounded(right)


def _cabinet(inputs: Inputs, corner: Corner) -> float:
    """What a blind corner's cabinet takes of the first wall before the second wall's clearance: a side, the opening."""
    if corner.kind != "blind":
        return 0.0
    try:
        sheet = site_of(inputs, corner.name, "", 1.0, corner.materials).sheet("carcass")
    except Unbuildable as problem:
        index = inputs.project.value.corners.index(corner)
        raise inputs.error(f"{corner.name}: {problem.message}", "corners", index) from None
    return rounded(corner.opening + sheet.thickness)


def _depths(inputs: Inputs, index: int) -> tuple[float, float]:
    """From each wall of a corner to the face of the unit next to it, mm."""
    corner = inputs.project.value.corners[index]
    rows = [inputs.project.value.walls.get(w, ()) for w in corner.walls]
    for i, (wall, row) in enumerate(zip(corner.walls, rows, strict=True)):
        if not row:
            raise inputs.error(
                f"no units stand along {wall!r}: a corner lies between two runs", "corners", index, "walls", i
            )
    first, second = (inputs.units[rows[0][-1].name], inputs.units[rows[1][0].name])
    return (
        rounded(first.options.depth + stand_off(inputs, corner.walls[0])),
        rounded(second.options.depth + stand_off(inputs, corner.walls[1])),
    )


def wall_widths(inputs: Inputs, wall: str) -> list[float]:
    """The width of each unit along a wall, in order, mm. Raises ConfigError where they do not work out."""
    left, right = ends(inputs, wall)
    try:
        return wall_rules(inputs, wall, left, right).widths()
    except DoesNotFit as error:
        problem = f"the wall {wall} does not work out: {error.message}"
        raise inputs.error(problem, "walls", wall, *error.loc) from None


def _spots(inputs: Inputs, wall: RoomWall) -> Iterator[Spot]:
    """The units along a wall, their widths solved."""
    placed = inputs.project.value.walls.get(wall.name, ())
    x = ends(inputs, wall.name)[0]
    back = stand_off(inputs, wall.name)
    for p, width in zip(placed, wall_widths(inputs, wall.name), strict=True):
        unit = inputs.units[p.name]
        yield Spot(unit, wall, (rounded(x), rounded(x + width)), rounded(-(unit.options.depth + back)))
        x += width


def _corner_spot(inputs: Inputs, index: int, walls: dict[str, RoomWall]) -> CornerSpot:
    corner = inputs.project.value.corners[index]
    loc = ("corners", index, "walls")
    first, second = (found_wall(inputs, walls, name, *loc, i) for i, name in enumerate(corner.walls))
    names = list(walls)
    if names.index(second.name) != names.index(first.name) + 1:
        raise inputs.error(f"{second.name!r} does not begin where {first.name!r} ends: name the walls in order", *loc)
    if abs(first.wall.turn - 90.0) > 1.0:
        raise inputs.error(
            f"{first.name!r} turns by {first.wall.turn:g} degrees: only an inside corner of 90 is built into", *loc
        )
    others = inputs.project.value.corners[:index]
    if any(other.walls == corner.walls for other in others):
        raise inputs.error("these walls have a corner already", *loc)
    depths = _depths(inputs, index)
    end = first.wall.width
    taken = ((rounded(end - ends(inputs, first.name)[1]), end), (0.0, ends(inputs, second.name)[0]))
    board = second.wall.baseboard
    there = board is not None and at_baseboard(inputs, second.name) != "removed"
    # a cabinet's end is not notched over a baseboard that runs along it: it stands off whatever the units do
    offs = (stand_off(inputs, first.name), board.thickness if board and there else 0.0)
    return CornerSpot(corner, first, second, taken, depths, offs)


def site_of(
    inputs: Inputs, name: str, code: str, width: float, own: Materials, height: float | None = None, lands: bool = False
) -> Site:
    """A site of that size with the stock a unit draws on: its own where it names any, else the project's."""
    step = STEP_INCH if inputs.project.value.lengths == "in" else STEP_MM
    return Site(name, code, width, height, inputs.stock, own.over(inputs.materials).filled(), step, lands)


def _top_plan(
    inputs: Inputs,
    index: int,
    walls: dict[str, RoomWall],
    by_wall: dict[str, list[Covered]],
    corners: Iterable[CornerSpot],
) -> TopPlan:
    top = inputs.project.value.tops[index]
    wall = found_wall(inputs, walls, top.wall, "tops", index, "wall")
    over = _under(inputs, index, by_wall[wall.name])
    fronts = {c.front for c in over}
    if len(fronts) > 1:
        deep = ", ".join(f"{c.name} {mm(-c.front - stand_off(inputs, wall.name))}" for c in over)
        raise inputs.error(f"units under one top are equally deep: {deep}", "tops", index, "over")
    start = _corner_start(inputs, over[0], wall, corners)
    span = (
        rounded((over[0].x[0] if start is None else start) - top.overhang.left),
        rounded(over[-1].x[1] + top.overhang.right),
    )
    y = (rounded(min(fronts) - top.overhang.front), 0.0)
    places = {c.name: c.x for c in over}
    standing = [
        (places[u.above], -inputs.units[u.name].options.depth)
        for u in inputs.project.value.uppers
        if u.on == top.name and u.above is not None and u.above in places
    ]
    run = TopRun(
        span,
        tuple(c.x for c in over if c.carries),
        tuple(x for x, _ in standing),
        top.bearing,
        tuple(c.x for c in over),
        min(fronts),
        tuple(front for _, front in standing),
    )
    site = site_of(inputs, top.name, "T", 1.0, Materials(top=top.sheet))
    try:
        slab = plan_top(site, run, y, top.make)
    except Unbuildable as problem:
        raise inputs.error(f"{top.name}: {problem.message}", "tops", index, *problem.loc) from None
    return TopPlan(top, wall, run, y, slab)


def _under(inputs: Inputs, index: int, there: list[Covered]) -> list[Covered]:
    """What a top lies over, each next to the one before."""
    top = inputs.project.value.tops[index]
    found: list[Covered] = []
    for i, name in enumerate(top.over):
        loc = ("tops", index, "over", i)
        covered = next((c for c in there if c.name == name), None)
        if covered is None:
            names = ", ".join(c.name for c in there) or "none"
            raise inputs.error(f"no unit {name!r} along the wall {top.wall}: there is {names}", *loc)
        if found and abs(found[-1].x[1] - covered.x[0]) > CONTACT:
            raise inputs.error(f"{name!r} does not stand next to {found[-1].name!r}", *loc)
        found.append(covered)
    return found


def _corner_start(inputs: Inputs, left: Covered, wall: RoomWall, corners: Iterable[CornerSpot]) -> float | None:
    """Where the top of a corner's second wall begins: at the front edge of the first wall's, which runs through."""
    spot = next((c for c in corners if c.corner.name == left.name and c.second is wall), None)
    if spot is None:
        return None
    through = next(
        (t for t in inputs.project.value.tops if t.wall == spot.first.name and spot.corner.name in t.over), None
    )
    return spot.depths[0] + through.overhang.front if through else 0.0


def unbuildable(inputs: Inputs, unit: UnitInput, problem: Exception) -> NoReturn:
    """Raise what a builder says as an error at the place in the files that can mend it."""
    if isinstance(problem, Unbuildable):
        raise unit.error(problem, inputs.project.value.lengths) from None
    # sizes that leave a part nothing: the builder's own words name the part
    raise ConfigError.at(unit.named_at, f"{unit.name}: these sizes leave no room for a part ({problem})") from None
