"""From a project file to a built plan: widths along each wall, tops with their seams, uppers, every part placed."""

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from model.errors import ConfigError
from model.findings import Finding
from model.inputs import Inputs, UnitInput, read_inputs
from model.materials import Materials
from model.messages import mm
from model.part import Joint
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.project import Fill, Top, Wall
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock import Stock
from model.tolerances import CONTACT, rounded
from model.tops import TopRun, build_top, plan_seams
from model.widths import DoesNotFit, WidthWish, solve_widths

STEP_MM = 0.5
STEP_INCH = 25.4 / 32
Span = tuple[float, float]


@dataclass(frozen=True)
class RoomWall:
    """A wall in the room: its own frame has x along it from its left end, y into it (its face is y = 0), z up."""

    name: str
    wall: Wall
    frame: Placement


@dataclass(frozen=True)
class Build:
    """A built project: what every exporter and check is given."""

    plan: Plan
    stock: Stock
    walls: tuple[RoomWall, ...]
    ceiling: float
    stands_at: dict[str, str]
    """The wall each unit stands at, by the names of both."""

    @cached_property
    def interference(self) -> tuple[Finding, ...]:
        """What collides or hangs loose, found once for every report of it."""
        from model.checks.interference import interference  # numpy and meshes are slow to import

        return tuple(interference(self.plan))


@dataclass(frozen=True)
class Spot:
    """A unit at its place along a wall, before it is built: x from the wall's left end, y of its face (mm)."""

    unit: UnitInput
    wall: RoomWall
    x: Span
    front: float


@dataclass(frozen=True)
class TopPlan:
    """A top before it is built: what it covers, where it is seamed and how deep it is (mm, wall frame)."""

    top: Top
    wall: RoomWall
    run: TopRun
    y: Span
    seams: tuple[float, ...]
    thickness: float

    @property
    def underside(self) -> float:
        return rounded(self.top.height - self.thickness)


def build(path: Path) -> Build:
    """Read and build the project in a file. Raises ConfigError for anything its maker can mend."""
    return assemble(read_inputs(path))


def assemble(inputs: Inputs) -> Build:
    """The plan of what was read. Raises ConfigError."""
    walls = _room_walls(inputs)
    spots = {spot.unit.name: spot for wall in walls.values() for spot in _spots(inputs, wall)}
    tops = [_top_plan(inputs, i, top, walls, spots) for i, top in enumerate(inputs.project.value.tops)]
    units = _build_units(inputs, spots, tops)
    said = inputs.project.value
    plan = Plan(said.title, tuple(units), said.lengths, tuple(_joints(units, tops, spots)))
    stands_at = {name: spot.wall.name for name, spot in spots.items()}
    stands_at |= {t.top.name: t.wall.name for t in tops}
    stands_at |= {u.name: stands_at[u.on] for u in said.uppers}
    return Build(plan, inputs.stock, tuple(walls.values()), inputs.room.value.height, stands_at)


def _room_walls(inputs: Inputs) -> dict[str, RoomWall]:
    """The walls in order, each turned a quarter to the right of the one before, as one walks along them inside."""
    walls: dict[str, RoomWall] = {}
    frame = Placement()
    for name, wall in inputs.room.value.walls.items():
        walls[name] = RoomWall(name, wall, frame)
        frame = Placement.turned("z", -math.pi / 2 * len(walls), frame.apply((wall.width, 0.0, 0.0)))
    return walls


def _wall(inputs: Inputs, walls: dict[str, RoomWall], name: str, *loc: str | int) -> RoomWall:
    if name not in walls:
        raise inputs.error(f"the room has no wall {name!r}: it has {', '.join(walls)}", *loc)
    return walls[name]


def _spots(inputs: Inputs, wall: RoomWall) -> Iterator[Spot]:
    """The units along a wall, their widths solved."""
    said = inputs.project.value
    for name in said.walls:
        _wall(inputs, dict.fromkeys(inputs.room.value.walls, wall), name, "walls", name)
    placed = said.walls.get(wall.name, ())
    margins = said.margins.get(wall.name)
    left, right = (margins.left, margins.right) if margins else (0.0, 0.0)
    wishes = [
        WidthWish(p.name, share=p.width.fill, least=p.width.min or 0.0, most=p.width.max or math.inf)
        if isinstance(p.width, Fill)
        else WidthWish(p.name, fixed=p.width)
        for p in placed
    ]
    try:
        widths = solve_widths(wishes, rounded(wall.wall.width - left - right))
    except DoesNotFit as error:
        raise inputs.error(f"the wall {wall.name} does not work out: {error.message}", "walls", wall.name) from None
    x = left
    stand_off = wall.wall.baseboard.thickness if wall.wall.baseboard else 0.0
    for p, width in zip(placed, widths, strict=True):
        unit = inputs.units[p.name]
        yield Spot(unit, wall, (rounded(x), rounded(x + width)), -(unit.options.depth + stand_off))
        x += width


def _top_plan(inputs: Inputs, index: int, top: Top, walls: dict[str, RoomWall], spots: dict[str, Spot]) -> TopPlan:
    wall = _wall(inputs, walls, top.wall, "tops", index, "wall")
    over: list[Spot] = []
    for i, name in enumerate(top.over):
        loc = ("tops", index, "over", i)
        if name not in spots or spots[name].wall is not wall:
            there = ", ".join(s.unit.name for s in spots.values() if s.wall is wall)
            raise inputs.error(f"no unit {name!r} along the wall {wall.name}: there is {there}", *loc)
        if over and abs(over[-1].x[1] - spots[name].x[0]) > CONTACT:
            raise inputs.error(f"{name!r} does not stand next to {over[-1].unit.name!r}", *loc)
        over.append(spots[name])
    fronts = {rounded(s.front) for s in over}
    if len(fronts) > 1:
        deep = ", ".join(f"{s.unit.name} {mm(s.unit.options.depth)}" for s in over)
        raise inputs.error(f"units under one top are equally deep: {deep}", "tops", index, "over")
    span = (rounded(over[0].x[0] - top.overhang.left), rounded(over[-1].x[1] + top.overhang.right))
    y = (rounded(min(fronts) - top.overhang.front), 0.0)
    uppers = tuple(spots[u.above].x for u in inputs.project.value.uppers if u.on == top.name and u.above in spots)
    carcasses = tuple(s.x for s in over if s.unit.kind.carries)
    run = TopRun(span, carcasses, uppers, top.bearing)
    site = _site(inputs, top.name, "T", 1.0, None, Materials(top=top.sheet))
    try:
        sheet = site.sheet("top")
        seams = tuple(plan_seams(run, sheet, inputs.stock, y[1] - y[0]))
    except Unbuildable as problem:
        raise inputs.error(f"{top.name}: {problem.message}", "tops", index, *problem.loc) from None
    return TopPlan(top, wall, run, y, seams, sheet.thickness)


def _site(
    inputs: Inputs, name: str, code: str, width: float, height: float | None, own: Materials, lands: bool = False
) -> Site:
    step = STEP_INCH if inputs.project.value.lengths == "in" else STEP_MM
    materials = own.over(inputs.materials).filled()
    return Site(name, code, width, height, inputs.stock, materials, step, lands)


@dataclass
class Codes:
    """Shop codes: a letter for the kind and a number in reading order."""

    counts: dict[str, int]

    def next(self, letter: str) -> str:
        self.counts[letter] = self.counts.get(letter, 0) + 1
        return f"{letter}{self.counts[letter]}"


def _build_units(inputs: Inputs, spots: dict[str, Spot], tops: list[TopPlan]) -> list[BuiltUnit]:
    """Every unit, built and placed: along the walls, then tops, then uppers."""
    codes = Codes({})
    units: list[BuiltUnit] = []
    for spot in spots.values():
        over = next((t for t in tops if spot.unit.name in t.top.over), None)
        lands = over is not None and (
            any(spot.x[0] < s < spot.x[1] for s in over.seams) or any(u == spot.x for u in over.run.uppers)
        )
        height = over.underside if over else None
        width = rounded(spot.x[1] - spot.x[0])
        at = spot.wall.frame.compose(Placement((spot.x[0], spot.front, 0.0)))
        units.append(_built(inputs, spot.unit, codes, width, height, at, lands))
    for i, plan in enumerate(tops):
        site = _site(inputs, plan.top.name, codes.next("T"), 1.0, None, Materials(top=plan.top.sheet))
        try:
            built = build_top(site, plan.run, plan.seams, plan.y)
        except (Unbuildable, ValueError) as problem:
            raise inputs.error(f"{plan.top.name}: {problem}", "tops", i) from None
        units.append(built.placed(plan.wall.frame.compose(Placement((0.0, 0.0, plan.underside)))))
    units.extend(_uppers(inputs, spots, tops, codes))
    return units


def _uppers(inputs: Inputs, spots: dict[str, Spot], tops: list[TopPlan], codes: Codes) -> Iterator[BuiltUnit]:
    for i, said in enumerate(inputs.project.value.uppers):
        plan = next((t for t in tops if t.top.name == said.on), None)
        if plan is None:
            names = ", ".join(t.top.name for t in tops) or "none"
            raise inputs.error(f"there is no top {said.on!r}; there is {names}", "uppers", i, "on")
        if said.above not in plan.top.over:
            there = ", ".join(plan.top.over)
            raise inputs.error(f"{said.above!r} is not under {said.on!r}; there is {there}", "uppers", i, "above")
        spot = spots[said.above]
        unit = inputs.units[said.name]
        y = -unit.options.depth
        if y < plan.y[0]:
            too_deep = Unbuildable(f"deeper than the top it stands on ({mm(-plan.y[0])})", "depth")
            raise unit.error(too_deep, inputs.project.value.lengths)
        at = plan.wall.frame.compose(Placement((spot.x[0], y, plan.top.height)))
        yield _built(inputs, unit, codes, rounded(spot.x[1] - spot.x[0]), said.height, at, False)


def _built(
    inputs: Inputs, unit: UnitInput, codes: Codes, width: float, height: float | None, at: Placement, lands: bool
) -> BuiltUnit:
    site = _site(inputs, unit.name, codes.next(unit.kind.letter), width, height, unit.options.materials, lands)
    try:
        return unit.kind.build(unit.options, site).placed(at)
    except Unbuildable as problem:
        raise unit.error(problem, inputs.project.value.lengths) from None
    except ValueError as problem:
        # sizes that leave a part nothing: the builder's own words name the part
        raise ConfigError.at(unit.named_at, f"{unit.name}: these sizes leave no room for a part ({problem})") from None


def _joints(units: Iterable[BuiltUnit], tops: list[TopPlan], spots: dict[str, Spot]) -> Iterator[Joint]:
    """What is screwed together on site: neighbours, tops on what bears them, uppers on tops."""
    built = {u.name: u for u in units}
    along = list(spots.values())
    for a, b in itertools.pairwise(along):
        if a.wall is b.wall and abs(a.x[1] - b.x[0]) <= CONTACT:
            yield Joint("screwed", built[a.unit.name].ends[1], built[b.unit.name].ends[0])
    for plan in tops:
        pieces = {p.path: p.bounds() for p in built[plan.top.name].parts}
        standing = [built[name] for name in plan.top.over]
        standing += [u for u in built.values() if u.kind == "upper"]
        for unit in standing:
            bounds = {p.path: p.bounds() for p in unit.parts}
            for path in unit.bears:
                for piece, box in pieces.items():
                    if _touch(box, bounds[path]):
                        yield Joint("screwed", piece, path)


def _touch(a: Box, b: Box) -> bool:
    """Whether two boxes meet in more than a line."""
    shared = a.grown(CONTACT).common(b.grown(CONTACT))
    return shared is not None and sum(size > 3 * CONTACT for size in shared.size) >= 2


def with_units(build: Build, units: tuple[BuiltUnit, ...]) -> Build:
    """The same build with other units: what a test changes to see that a check sees it."""
    return replace(build, plan=replace(build.plan, units=units))
